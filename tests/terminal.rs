//! The program on a terminal of its own, and that terminal's screen: keys go in, and a test
//! waits until the screen is in a state. Nothing here sleeps.

use std::io::{Read, Write};
use std::path::PathBuf;
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use portable_pty::{
    Child, CommandBuilder, ExitStatus, MasterPty, PtySize, native_pty_system,
};

/// How long a state may take to come; far more than it ever needs.
const PATIENCE: Duration = Duration::from_secs(30);

/// The program.
const PROGRAM: &str = env!("CARGO_BIN_EXE_apical");

/// A folder of the test's own, gone with it.
#[derive(Debug)]
pub(crate) struct Folder(pub(crate) PathBuf);

impl Folder {
    pub(crate) fn new() -> Self {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        let name = format!("apical-test-{}-{number}", std::process::id());
        let path = std::env::temp_dir().join(name);
        std::fs::create_dir_all(&path).expect("a temporary folder");
        Self(path)
    }

    /// Writes a file into it and gives its place.
    pub(crate) fn file(&self, name: &str, bytes: &[u8]) -> String {
        let path = self.0.join(name);
        std::fs::write(&path, bytes).expect("a temporary file");
        path.to_str().expect("a plain path").to_owned()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// A running desk.
pub(crate) struct Desk {
    master: Box<dyn MasterPty + Send>,
    child: Box<dyn Child + Send + Sync>,
    keys: Box<dyn Write + Send>,
    output: Receiver<Vec<u8>>,
    screen: vt100::Parser,
    /// Everything that was written, as it came.
    pub(crate) raw: Vec<u8>,
    /// How much of that came before the last keys.
    before: usize,
}

/// What a desk is started with.
#[derive(Debug)]
pub(crate) struct Start<'a> {
    pub(crate) rows: u16,
    pub(crate) columns: u16,
    pub(crate) state: &'a Folder,
    pub(crate) environment: &'a [(&'a str, &'a str)],
    /// Whether a shell is in between, as suspending needs one.
    pub(crate) in_shell: bool,
}

impl Desk {
    /// A desk on a screen of 24 by 80, once it is ready for the first line.
    pub(crate) fn open(state: &Folder) -> Self {
        Self::start(&Start {
            rows: 24,
            columns: 80,
            state,
            environment: &[],
            in_shell: false,
        })
    }

    pub(crate) fn start(start: &Start<'_>) -> Self {
        let mut command = CommandBuilder::new(PROGRAM);
        if start.in_shell {
            command = CommandBuilder::new("bash");
            command.args(["--norc", "--noprofile", "-i"]);
            command.env("PS1", "shell$ ");
        }
        Self::run(start, command)
    }

    /// Another program in the place of the desk: one whose prompt is the desk's.
    pub(crate) fn run(start: &Start<'_>, mut command: CommandBuilder) -> Self {
        let size = PtySize {
            rows: start.rows,
            cols: start.columns,
            pixel_width: 0,
            pixel_height: 0,
        };
        let pair = native_pty_system().openpty(size).expect("a terminal");
        command.env("TERM", "xterm-256color");
        command.env_remove("NO_COLOR");
        command.env("XDG_STATE_HOME", &start.state.0);
        command.env("XDG_DATA_HOME", &start.state.0);
        command.env_remove("APICAL_PRACTICE");
        command.cwd(&start.state.0);
        for (name, value) in start.environment {
            command.env(name, value);
        }
        let child = pair
            .slave
            .spawn_command(command)
            .expect("the program starts");
        drop(pair.slave);
        let mut reader = pair.master.try_clone_reader().expect("a reader");
        let keys = pair.master.take_writer().expect("a writer");
        let (sender, output) = channel();
        std::thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(count @ 1..) = reader.read(&mut bytes) {
                if sender.send(bytes[..count].to_vec()).is_err() {
                    break;
                }
            }
        });
        let mut desk = Self {
            master: pair.master,
            child,
            keys,
            output,
            screen: vt100::Parser::new(start.rows, start.columns, 2_000),
            raw: Vec::new(),
            before: 0,
        };
        if start.in_shell {
            desk.shows("shell$");
            desk.press(&format!("{PROGRAM}\r"));
        }
        desk.until("the first prompt", |screen| {
            screen.rows().iter().any(|row| row.starts_with("apical>"))
        });
        desk
    }

    /// Presses keys, given as the bytes a terminal sends.
    pub(crate) fn press(&mut self, keys: &str) {
        self.before = self.raw.len();
        self.keys
            .write_all(keys.as_bytes())
            .expect("the desk listens");
        self.keys.flush().expect("the desk listens");
    }

    /// Waits until the screen is in a state.
    pub(crate) fn until(&mut self, what: &str, state: impl Fn(&Screen<'_>) -> bool) {
        let deadline = Instant::now() + PATIENCE;
        while !state(&Screen(self.screen.screen())) {
            let left = deadline.saturating_duration_since(Instant::now());
            match self.output.recv_timeout(left) {
                Ok(bytes) => {
                    self.raw.extend_from_slice(&bytes);
                    self.screen.process(&bytes);
                }
                Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => {
                    let cursor = self.screen.screen().cursor_position();
                    let text = self.text();
                    panic!(
                        "{what} never came; cursor at {cursor:?}; the screen:\n{text}"
                    );
                }
            }
        }
    }

    /// Waits until a text was shown since the last keys; a long answer may have carried it
    /// off the screen again.
    pub(crate) fn shows(&mut self, text: &str) {
        let deadline = Instant::now() + PATIENCE;
        loop {
            let answer = self.raw.get(self.before..).unwrap_or_default();
            let passed = String::from_utf8_lossy(answer).contains(text);
            if passed || self.text().contains(text) {
                return;
            }
            let left = deadline.saturating_duration_since(Instant::now());
            let Ok(bytes) = self.output.recv_timeout(left) else {
                panic!("{text} was never shown; the screen:\n{}", self.text());
            };
            self.raw.extend_from_slice(&bytes);
            self.screen.process(&bytes);
        }
    }

    /// Waits until the line being typed is this, with the cursor after so many columns of it.
    pub(crate) fn line_is(&mut self, line: &str, column: u16) {
        self.until(
            &format!("the line `{line}`, cursor at {column}"),
            |screen| screen.line() == line && screen.column() == column,
        );
    }

    /// The screen as text.
    pub(crate) fn text(&self) -> String {
        Screen(self.screen.screen()).text()
    }

    pub(crate) fn screen(&self) -> Screen<'_> {
        Screen(self.screen.screen())
    }

    /// Waits until the program sleeps for want of keys, where the system tells. A change of
    /// size is noticed by the read that it interrupts: between two reads the line editor
    /// misses it.
    fn rests(&self) {
        let id = self.child.process_id().expect("it runs");
        let deadline = Instant::now() + PATIENCE;
        while let Ok(stat) = std::fs::read_to_string(format!("/proc/{id}/stat")) {
            let state = stat.rsplit(')').next().map(str::trim_start);
            if state.is_some_and(|state| state.starts_with('S')) {
                break;
            }
            assert!(Instant::now() < deadline, "it never rests");
            std::thread::yield_now();
        }
    }

    /// Gives the screen another size.
    pub(crate) fn resize(&mut self, rows: u16, columns: u16) {
        self.rests();
        self.screen.screen_mut().set_size(rows, columns);
        let size = PtySize {
            rows,
            cols: columns,
            pixel_width: 0,
            pixel_height: 0,
        };
        self.master.resize(size).expect("another size");
    }

    /// Sends the program a signal by its number's name.
    pub(crate) fn signal(&mut self, name: &str) {
        let id = self.child.process_id().expect("it runs");
        let sent = std::process::Command::new("kill")
            .args(["-s", name, &id.to_string()])
            .status()
            .expect("kill");
        assert!(sent.success());
    }

    /// Kills the program at a moment, and gives everything that it had written by then.
    pub(crate) fn kill_at(&mut self, moment: Instant) -> String {
        // The moment of the kill is what is tried: nothing is waited for.
        while let Some(left) = moment.checked_duration_since(Instant::now()) {
            if let Ok(bytes) = self.output.recv_timeout(left) {
                self.raw.extend_from_slice(&bytes);
            }
        }
        self.signal("KILL");
        let _ = self.child.wait();
        while let Ok(bytes) = self.output.recv_timeout(PATIENCE) {
            self.raw.extend_from_slice(&bytes);
        }
        String::from_utf8_lossy(&self.raw).into_owned()
    }

    /// Whether the terminal is as a shell wants it: lines, echo, signals.
    pub(crate) fn is_sane(&self) -> bool {
        let termios = self.master.get_termios().expect("the terminal's state");
        let text = format!("{:?}", termios.local_flags);
        ["ICANON", "ECHO", "ISIG"]
            .iter()
            .all(|flag| text.contains(flag))
    }

    /// Ends the desk from an empty line. An end of input typed before the next line is read
    /// would be lost: only a key that is drawn shows that it is.
    pub(crate) fn leave(&mut self) {
        self.press("s");
        self.line_is("s", 1);
        self.press("\x7f");
        self.line_is("", 0);
        self.press("\x04");
    }

    /// Waits for the program's end.
    pub(crate) fn end(&mut self) -> ExitStatus {
        loop {
            match self.output.recv_timeout(PATIENCE) {
                Ok(bytes) => {
                    self.raw.extend_from_slice(&bytes);
                    self.screen.process(&bytes);
                }
                Err(RecvTimeoutError::Disconnected) => break,
                Err(RecvTimeoutError::Timeout) => {
                    panic!("it did not end; the screen:\n{}", self.text())
                }
            }
        }
        self.child.wait().expect("it has ended")
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// What stands on a screen.
pub(crate) struct Screen<'s>(&'s vt100::Screen);

impl Screen<'_> {
    pub(crate) fn text(&self) -> String {
        let rows = self.rows();
        let used = rows
            .iter()
            .rposition(|row| !row.is_empty())
            .map_or(0, |row| row + 1);
        rows.get(..used).unwrap_or_default().join("\n")
    }

    pub(crate) fn rows(&self) -> Vec<String> {
        let (_, columns) = self.0.size();
        self.0
            .rows(0, columns)
            .map(|row| row.trim_end().to_owned())
            .collect()
    }

    /// The last row that holds anything.
    pub(crate) fn last_row(&self) -> String {
        let rows = self.rows();
        rows.into_iter()
            .rev()
            .find(|row| !row.is_empty())
            .unwrap_or_default()
    }

    /// The row the cursor is in, without the prompt.
    pub(crate) fn line(&self) -> String {
        let (row, _) = self.0.cursor_position();
        let row = self
            .rows()
            .get(usize::from(row))
            .cloned()
            .unwrap_or_default();
        row.split_once('>').map_or(row.clone(), |(_, line)| {
            line.strip_prefix(' ').unwrap_or(line).to_owned()
        })
    }

    /// Columns of the cursor after the prompt.
    pub(crate) fn column(&self) -> u16 {
        self.0.cursor_position().1.saturating_sub(8)
    }

    /// The row the cursor is in.
    pub(crate) fn row(&self) -> u16 {
        self.0.cursor_position().0
    }

    /// Whether a cell is underlined.
    pub(crate) fn underlined(&self, row: u16, column: u16) -> bool {
        self.0.cell(row, column).is_some_and(vt100::Cell::underline)
    }

    /// Whether any cell has a colour.
    pub(crate) fn coloured(&self) -> bool {
        let (rows, columns) = self.0.size();
        (0..rows).any(|row| {
            (0..columns).any(|column| {
                self.0
                    .cell(row, column)
                    .is_some_and(|cell| cell.fgcolor() != vt100::Color::Default)
            })
        })
    }
}
