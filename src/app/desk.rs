//! The desk: lines typed on a terminal, or read from a pipe as a script.
//!
//! Every function is a command that can be typed; the keys only save strokes. The commands
//! of the program work here as they do in a shell.

mod command;
mod editor;
mod going;
mod helper;
mod items;
mod keys;
pub(super) mod lesson;
mod live;
mod obey;
mod session;
mod sheet;
mod store;
mod terminal;
mod view;
mod words;

use std::io::{self, BufRead as _, IsTerminal, Write as _};

use super::{Failure, Status, Stop};
use crate::accent::Accent;
use crate::lexicon::Lexicon;
use crate::notation::key_map::KeyMap;
use crate::report::text::line::visible;
use crate::report::text::push_hanging;
use editor::{Lines, Typed};
use helper::Shared;
use live::{Target, Waiting};
use session::{Pass, Session};
use store::Store;

/// The accent that one begins with.
const USUAL_ACCENT: &str = "en-US";

/// Runs the desk on standard input: a terminal, or a script.
pub(super) fn run() -> Result<Status, Stop> {
    if io::stdin().is_terminal() {
        on_terminal()
    } else {
        script()
    }
}

/// What comes after a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Next {
    /// The next line.
    Line(Status),
    /// Nothing: the desk is left.
    End,
}

/// Everything the desk knows between two lines.
struct Desk {
    store: Store,
    /// The accent it goes by.
    accent: Option<Accent>,
    /// The words of that accent.
    lexicon: Option<Lexicon>,
    /// What the keys stand for.
    keys: KeyMap,
    /// Whether lines are edited as in vi.
    vi: bool,
    /// The command that plays a recording.
    player: String,
    /// What was intended.
    target: Option<String>,
    /// The items that are gone through.
    session: Option<Session>,
    /// What the next line begins with.
    initial: String,
    /// The last transcription that was taken.
    last: String,
    /// Earlier lines, for the command that lists them.
    history: Vec<String>,
    /// Whether a person is typing.
    on_terminal: bool,
}

impl Desk {
    fn new(store: Store, on_terminal: bool) -> Self {
        let mut desk = Self {
            store,
            accent: Accent::named(USUAL_ACCENT),
            lexicon: Lexicon::of(USUAL_ACCENT),
            keys: KeyMap::default(),
            vi: false,
            player: String::new(),
            target: None,
            session: None,
            initial: String::new(),
            last: String::new(),
            history: Vec::new(),
            on_terminal,
        };
        // A script must not depend on what someone once chose at the keyboard.
        if on_terminal {
            for (name, value) in desk.store.settings() {
                desk.set(&name, &value);
            }
        }
        desk
    }

    /// Takes over a setting that was written down.
    fn set(&mut self, name: &str, value: &str) {
        match name {
            "accent" => {
                self.accent = Accent::named(value);
                self.lexicon = Lexicon::of(value);
            }
            "keys" => self.vi = value == "vi",
            "player" => value.clone_into(&mut self.player),
            _ => {
                let key = name.strip_prefix("key ").and_then(|key| key.chars().next());
                if let Some(key) = key {
                    self.keys.set(key, Some(value));
                }
            }
        }
    }

    /// Writes the settings down.
    fn keep_settings(&self) -> Result<(), Failure> {
        let accent = self.accent.as_ref().map_or("none", Accent::name);
        let keys = if self.vi { "vi" } else { "emacs" };
        let mut settings = vec![
            ("accent".to_owned(), accent.to_owned()),
            ("keys".to_owned(), keys.to_owned()),
            ("player".to_owned(), self.player.clone()),
        ];
        for (key, text) in self.keys.own() {
            settings.push((format!("key {key}"), text.to_owned()));
        }
        if !self.on_terminal {
            return Ok(());
        }
        self.store.keep_settings(&settings).map_err(|error| {
            let reason = format!("not written down: {error}");
            Failure::new(
                "the settings of the desk",
                reason,
                "look whether the disk is full",
            )
        })
    }

    /// What the next line is taken for.
    fn waiting(&self) -> Waiting {
        if self.target.is_some() || self.session.is_some() {
            Waiting::Heard
        } else {
            Waiting::Command
        }
    }

    /// Tells the line editor what it is to show.
    fn show(&self, shared: &Shared) {
        let mut live = shared.lock();
        live.keys = self.keys.clone();
        live.accent.clone_from(&self.accent);
        live.waiting = self.waiting();
        live.in_colour = in_colour();
        live.columns = columns();
        live.in_session = self.session.is_some();
        live.header.clear();
        live.in_tally = false;
        let mut text = self.target.clone();
        if let Some(session) = &self.session {
            live.header
                .extend(session.header().iter().map(|row| visible(row)));
            live.in_tally = session.pass == Pass::Tally;
            text = session.target();
        }
        if live.target.as_ref().map(|target| target.text.as_str()) != text.as_deref() {
            live.target = text.map(|text| Target::new(&text, self.accent.as_ref()));
        }
    }
}

/// Whether the screen may be coloured.
fn in_colour() -> bool {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    io::stdout().is_terminal() && !refused && !dumb
}

/// How wide the screen is.
fn columns() -> usize {
    terminal_size::terminal_size().map_or(80, |(columns, _)| usize::from(columns.0))
}

/// Writes a page to the screen.
fn say(page: &str) -> Result<(), Stop> {
    let mut out = anstream::stdout().lock();
    out.write_all(page.as_bytes())?;
    Ok(out.flush()?)
}

/// Writes a sentence or two, broken at blanks.
fn tell(words: &str) -> Result<(), Stop> {
    let mut page = String::new();
    push_hanging(&mut page, 0, "", anstyle::Style::new(), 0, words, columns());
    say(&page)
}

fn on_terminal() -> Result<Status, Stop> {
    let store = Store::open();
    let shared = Shared::default();
    let mut desk = Desk::new(store.clone(), true);
    let lost = |error: &dyn std::fmt::Display| {
        Stop::Run(Failure::new(
            "the terminal",
            format!("{error}"),
            "pipe the lines in instead: the desk reads them as a script",
        ))
    };
    terminal::guard(&shared, &store).map_err(|error| lost(&error))?;
    let mut lines = Lines::new(&shared, desk.vi, &store).map_err(|error| lost(&error))?;
    tell(
        "Type a transcription in brackets, or a command; help lists them, Ctrl-D leaves.",
    )?;
    if let Some(draft) = store.take_draft() {
        say("Here is the line you were typing when the desk was ended.\n")?;
        desk.initial = draft;
    }
    let status = loop {
        desk.show(&shared);
        let initial = std::mem::take(&mut desk.initial);
        match lines.read(&initial).map_err(|error| lost(&error))? {
            Typed::End => break Status::Good,
            Typed::Interrupted(text) => {
                if text.trim().is_empty() {
                    say("Ctrl-D leaves the desk.\n")?;
                } else {
                    say("Set aside; the Up key brings it back.\n")?;
                }
            }
            Typed::Left(leave, text) => {
                if is_end(desk.leave(leave, &text)) {
                    break Status::Good;
                }
            }
            Typed::Line(line) => {
                desk.history = lines.history(desk.waiting());
                if is_end(desk.obey(&line)) {
                    break Status::Good;
                }
                lines.set_vi(desk.vi);
            }
        }
    };
    if let Err(error) = lines.save(&store) {
        let reason = format!("not written down: {error}");
        let remedy = "look whether the disk is full";
        super::complain(&Failure::new("the history of the desk", reason, remedy));
    }
    Ok(status)
}

/// Whether the desk is left after a line; what went wrong with it is said.
fn is_end(done: Result<Next, Stop>) -> bool {
    match done {
        Ok(Next::End) | Err(Stop::Unread) => true,
        Ok(Next::Line(_)) => false,
        Err(Stop::Source(failure) | Stop::Run(failure)) => {
            super::complain(&failure);
            false
        }
    }
}

/// Reads the lines of a script: the worst that happened is how it went.
fn script() -> Result<Status, Stop> {
    let mut desk = Desk::new(Store::default(), false);
    let mut worst = Status::Good;
    let mut number = 0_usize;
    let mut input = io::stdin().lock();
    let mut bytes = Vec::new();
    loop {
        bytes.clear();
        let read = input.read_until(b'\n', &mut bytes).map_err(|error| {
            let reason = format!("reading failed: {error}");
            Stop::Run(Failure::new(
                "standard input",
                reason,
                "look where it comes from",
            ))
        })?;
        if read == 0 {
            return Ok(worst);
        }
        number += 1;
        let line = String::from_utf8_lossy(&bytes);
        let line = line.trim_end_matches(['\n', '\r']);
        let line = if number == 1 {
            line.trim_start_matches('\u{FEFF}')
        } else {
            line
        };
        if line.trim_start().starts_with('#') {
            continue;
        }
        match desk.obey(line) {
            Ok(Next::Line(status)) => worst = worst.max(status),
            Ok(Next::End) => return Ok(worst),
            Err(Stop::Unread) => return Err(Stop::Unread),
            Err(Stop::Source(failure) | Stop::Run(failure)) => {
                let place = format!("line {number}: {}", failure.place);
                super::complain(&Failure { place, ..failure });
                worst = Status::Failed;
            }
        }
    }
}
