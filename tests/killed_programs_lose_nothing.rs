//! Killed at any moment, the program has lost nothing that it said it had accepted: it is
//! there, once, and the file is sound.
//!
//! `APICAL_KILLS=1000` kills a thousand times; unless set, few enough for every day. The
//! moments are drawn from a fixed seed, but what the program is doing then is up to the
//! machine: every run tries other moments.

use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use apical::app::caseload::Caseload;
use apical::record::Client;

use crate::terminal::Folder;

const ROWS: usize = 24;

fn kills() -> u32 {
    let said = std::env::var("APICAL_KILLS").ok();
    said.and_then(|it| it.parse().ok()).unwrap_or(24)
}

/// Shares of a whole run, from a fixed seed (the constants of Knuth's MMIX generator).
struct Moments(u64);

impl Moments {
    fn next(&mut self, whole: Duration) -> Duration {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        whole * u32::try_from(self.0 >> 54).unwrap() / 1024
    }
}

/// The program, at work.
fn start(folder: &Path, arguments: &[&str], script: &str) -> Child {
    let mut child = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(arguments)
        .current_dir(folder)
        .env("APICAL_CASELOAD", folder.join("caseload.sqlite"))
        .env("XDG_STATE_HOME", folder)
        .env("NO_COLOR", "1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut input = child.stdin.take().expect("its input");
    // Shorter than what a pipe holds: this never waits for the program.
    let _ = input.write_all(script.as_bytes());
    child
}

/// Kills it at a moment, and gives what it had said by then.
fn kill_at(mut child: Child, moment: Instant) -> String {
    // The moment of the kill is what is tried: nothing is waited for.
    while let Some(left) = moment.checked_duration_since(Instant::now()) {
        std::thread::park_timeout(left);
    }
    let _ = child.kill();
    child.wait().expect("it ends");
    let mut said = Vec::new();
    let mut output = child.stdout.take().expect("its output");
    output.read_to_end(&mut said).expect("what it said");
    String::from_utf8_lossy(&said).into_owned()
}

/// How long it works when nobody kills it, the longest of three.
fn whole_run(run: impl Fn(usize) -> Child) -> Duration {
    let timed = (0..3).map(|number| {
        let began = Instant::now();
        let output = run(number).wait_with_output().expect("it ends");
        assert!(output.status.success(), "{output:?}");
        began.elapsed()
    });
    timed.max().expect("three")
}

fn production(row: usize) -> String {
    // Every row another: what is there twice, or in the wrong row, is seen.
    let vowels = ["i", "ɪ", "e", "ɛ", "æ", "ɑ", "o", "u"];
    format!("t{}k{}", vowels[row % 8], vowels[row / 8])
}

fn sheet(filled: usize) -> String {
    let rows = (0..ROWS).map(|row| {
        let said = if row < filled {
            production(row)
        } else {
            String::new()
        };
        format!("word-{row}\t/θɪŋki/\t{said}\t\"as it was\"\r\n")
    });
    "word\ttarget\tproduction\tmine\r\n".to_owned() + &rows.collect::<String>()
}

#[test]
fn a_sheet_has_every_row_that_was_accepted() {
    let folder = Folder::new();
    let path: PathBuf = folder.0.join("sheet.tsv");
    let mut script = "sheet sheet.tsv\n".to_owned();
    for row in 0..ROWS {
        script += &production(row);
        script.push('\n');
    }
    let run = |_| {
        std::fs::write(&path, sheet(0)).expect("a fresh sheet");
        start(&folder.0, &[], &script)
    };
    let whole = whole_run(run);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), sheet(ROWS));
    let mut moments = Moments(4);
    let mut midway = 0;
    for number in 0..kills() {
        let began = Instant::now();
        let child = run(0);
        let said = kill_at(child, began + moments.next(whole));
        let accepted = said.lines().filter(|it| it.starts_with("word-")).count();
        let after = std::fs::read_to_string(&path).expect("the sheet is there, as text");
        let kept = (0..=ROWS).find(|filled| sheet(*filled) == after);
        let kept = kept.unwrap_or_else(|| panic!("kill {number}: not whole: {after}"));
        assert!(
            kept >= accepted && kept <= accepted + 1,
            "kill {number}: {accepted} accepted, {kept} there"
        );
        midway += u32::from(kept > 0 && kept < ROWS);
    }
    println!(
        "sheet: {} kills, {midway} of them between two rows",
        kills()
    );
    assert!(midway > 0, "the moments miss the work");
}

#[test]
fn a_caseload_has_every_session_that_was_accepted() {
    let folder = Folder::new();
    let path = folder.0.join("caseload.sqlite");
    let mut caseload = Caseload::open(&path, None).unwrap();
    let client = Client {
        code: "K-07".to_owned(),
        accent: "en-US".to_owned(),
        opened: "2026-03-02T09:00:00Z".to_owned(),
        ..Client::default()
    };
    caseload.keep_client(&client).unwrap();
    drop(caseload);
    std::fs::write(folder.0.join("sheet.tsv"), sheet(ROWS)).expect("a sheet");
    let run = |name: String| {
        let arguments = ["keep", "sheet.tsv", "--client", "K-07", "--session", &name];
        start(&folder.0, &arguments, "")
    };
    let whole = whole_run(|number| run(format!("whole-{number}")));
    let mut moments = Moments(7);
    let (mut accepted, mut there) = (0, 0);
    for number in 0..kills() {
        let name = format!("session-{number}");
        let began = Instant::now();
        let child = run(name.clone());
        let said = kill_at(child, began + moments.next(whole));
        let is_accepted = said.contains("Kept for K-07: 24 items");
        let caseload = Caseload::open(&path, None).unwrap();
        let sessions = caseload.sessions("K-07").unwrap();
        let found: Vec<_> = sessions.iter().filter(|it| it.list == name).collect();
        assert!(found.len() <= 1, "kill {number}: {} times", found.len());
        if is_accepted {
            assert_eq!(found.len(), 1, "kill {number}: accepted and not there");
        }
        if let [session] = found[..] {
            let items = caseload.items(session.id).unwrap();
            let productions: Vec<_> =
                items.iter().flat_map(|it| &it.production).collect();
            let expected: Vec<String> = (0..ROWS).map(production).collect();
            assert_eq!(productions, expected.iter().collect::<Vec<_>>());
        }
        assert_eq!(caseload.verify().unwrap(), [""; 0], "kill {number}");
        accepted += usize::from(is_accepted);
        there += found.len();
    }
    println!(
        "caseload: {} kills, {there} sessions there, {accepted} said to be",
        kills()
    );
    assert!(there < kills() as usize, "the moments come after the work");
}
