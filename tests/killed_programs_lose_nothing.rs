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
use apical::record::{Item, Outcome, SessionKind};

use crate::records::{caseload_of, client};
use crate::terminal::{Desk, Folder, Start};

const ROWS: usize = 24;

/// What a caseload is encrypted with.
const SECRET: &str = "seven quiet otters";

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
        .env("APICAL_NEW_PASSPHRASE", SECRET)
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
    let (mut midway, mut rows) = (0, 0);
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
        rows += accepted;
    }
    println!(
        "sheet: {} kills, {midway} of them between two rows; {rows} rows accepted, all there \
         once",
        kills()
    );
    assert!(midway > 0, "the moments miss the work");
}

#[test]
fn a_caseload_has_every_session_that_was_accepted() {
    let folder = Folder::new();
    let path = caseload_of(&folder, &client()).1;
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
        "caseload: {} kills, {there} sessions there, whole and once, {accepted} said to be; \
         looked through after each",
        kills()
    );
    assert!(there < kills() as usize, "the moments come after the work");
}

/// Words of a session on the desk that is killed.
const WORDS: usize = 10;

/// What is pressed for a word, in the first pass or in the second, and what that records.
fn pressed(word: usize, pass: u32) -> (&'static str, Option<&'static str>) {
    let answers = [
        ("tINk", Some("tɪŋk")),
        ("=", Some("θɪŋk")),
        ("-", None),
        ("sInk", Some("sɪnk")),
        ("fINk", Some("fɪŋk")),
    ];
    answers[(word + pass as usize) % answers.len()]
}

/// What a session on the desk is told in the end, after the two passes.
const HALF: (&str, &str) = (":note half of a th", "note");

#[test]
fn a_session_on_a_terminal_has_every_item_that_was_accepted() {
    let folder = Folder::new();
    let path = caseload_of(&folder, &client()).1;
    let rows = (0..WORDS).map(|word| format!("word-{word}\t/θɪŋk/\n"));
    let list = "word\ttarget\n".to_owned() + &rows.collect::<String>();
    folder.file("list.tsv", list.as_bytes());
    let place = path.to_str().expect("a plain path").to_owned();
    let begin = || {
        let mut desk = Desk::start(&Start {
            rows: 24,
            columns: 80,
            state: &folder,
            environment: &[("APICAL_CASELOAD", &place), ("NO_COLOR", "1")],
            in_shell: false,
        });
        desk.press("with K-07\r");
        desk.shows("accent modification");
        desk.press("list list.tsv\r");
        desk.shows(&format!("item 1 of {WORDS}"));
        desk
    };
    // All keys at once, as fast as the desk can take them.
    let mut keys = String::new();
    for pass in [1, 2] {
        for word in 0..WORDS {
            let (key, _) = pressed(word, pass);
            keys.push_str(key);
            if key.len() > 1 {
                keys.push('\r');
            }
        }
        if pass == 1 {
            keys.push_str(":blind\r");
        }
    }
    keys.push_str(HALF.0);
    let mut whole = Duration::ZERO;
    for _ in 0..3 {
        let mut desk = begin();
        let began = Instant::now();
        desk.press(&keys);
        desk.shows(HALF.1);
        desk.until("the last keys", |screen| screen.line() == HALF.0);
        whole = whole.max(began.elapsed());
    }
    let mut moments = Moments(11);
    let (mut midway, mut second, mut drafts, mut taken_in) = (0, 0, 0, 0);
    for number in 0..kills() {
        let mut desk = begin();
        let began = Instant::now();
        desk.press(&keys);
        let said = desk.kill_at(began + moments.next(whole));
        let caseload = Caseload::open(&path, None).unwrap();
        assert_eq!(caseload.verify().unwrap(), [""; 0], "kill {number}");
        let sessions = caseload.sessions("K-07").unwrap();
        let session = sessions.last().expect("the session").id;
        assert_eq!(sessions.last().unwrap().kind, SessionKind::List);
        let items = caseload.items(session).unwrap();
        // The next item is shown when the last one is on the disk.
        let blind = said.contains("second pass: the first is hidden");
        let shown = |part: &str, pass: &str| {
            let is_shown = |at: &usize| {
                part.contains(&format!("item {} of {WORDS}  word-{at}{pass}", at + 1))
            };
            (0..WORDS).rev().find(is_shown).unwrap_or(0)
        };
        let accepted = if said.contains("the second pass is done") {
            2 * WORDS
        } else if blind {
            WORDS + shown(&said, "  second pass")
        } else {
            shown(&said, "")
        };
        assert!(
            items.len() == accepted || items.len() == accepted + 1,
            "kill {number}: {accepted} accepted, {} there",
            items.len()
        );
        let mut there: Vec<&Item> = items.iter().collect();
        there.sort_by_key(|item| (item.pass, item.position));
        for (at, item) in there.iter().enumerate() {
            let (word, pass) = (at % WORDS, if at < WORDS { 1 } else { 2 });
            let (_, expected) = pressed(word, pass);
            assert_eq!(item.position as usize, word + 1, "kill {number}");
            assert_eq!((item.pass, item.attempt), (pass, 1));
            assert_eq!(item.production.as_deref(), expected, "kill {number}");
            let outcome = if expected.is_some() {
                Outcome::Said
            } else {
                Outcome::NoResponse
            };
            assert_eq!(item.outcome, outcome);
        }
        // What was being typed is a beginning of what was typed, of an item that waits.
        let left = caseload.unfinished(session).unwrap();
        assert!(left.len() <= 1, "kill {number}: {left:?}");
        for draft in &left {
            let taken = there
                .iter()
                .any(|item| (item.position, item.pass) == (draft.position, draft.pass));
            let typed = if items.len() == 2 * WORDS {
                HALF.0
            } else if draft.text.starts_with(':') {
                ":blind"
            } else {
                assert!(!taken, "kill {number}: {draft:?} is recorded already");
                pressed(draft.position as usize - 1, draft.pass)
                    .1
                    .unwrap_or("")
            };
            assert!(typed.starts_with(&draft.text), "kill {number}: {draft:?}");
            drafts += 1;
        }
        taken_in += accepted;
        midway += u32::from(!items.is_empty() && items.len() < 2 * WORDS);
        second += u32::from(items.len() > WORDS && items.len() < 2 * WORDS);
    }
    println!(
        "session: {} kills, {midway} of them between two items, {second} in the second pass, \
         {drafts} with a text half typed; {taken_in} items accepted, all there once; looked \
         through after each",
        kills()
    );
    assert!(midway > 0, "the moments miss the work");
}

#[cfg(feature = "encryption")]
#[test]
fn a_caseload_that_is_being_encrypted_is_whole() {
    let folder = Folder::new();
    let (mut caseload, path) = caseload_of(&folder, &client());
    let session = caseload
        .begin("K-07", SessionKind::List, "first", "2026-03-02T09:00:00Z")
        .unwrap();
    let items: Vec<Item> = (1..=400)
        .map(|position| Item {
            position,
            word: format!("word-{position}"),
            production: Some(production(position as usize % 8)),
            attempt: 1,
            pass: 1,
            ..Item::default()
        })
        .collect();
    caseload.record_all(session, &items).unwrap();
    drop(caseload);
    let plain = std::fs::read(&path).unwrap();
    let run = |_| {
        std::fs::write(&path, &plain).expect("a fresh caseload");
        start(&folder.0, &["passphrase", "set"], "")
    };
    let whole = whole_run(run);
    let mut moments = Moments(5);
    let (mut sealed, mut halves) = (0, 0);
    // Each run makes a key of the passphrase several times over, and that is meant to be slow.
    let kills = kills() / 6;
    for number in 0..kills {
        let child = run(0);
        kill_at(child, Instant::now() + moments.next(whole));
        let is_plain = std::fs::read(&path)
            .unwrap()
            .starts_with(b"SQLite format 3");
        let passphrase = (!is_plain).then_some(SECRET);
        let caseload = Caseload::open(&path, passphrase)
            .unwrap_or_else(|failure| panic!("kill {number}: {failure}"));
        assert_eq!(caseload.items(session).unwrap(), items, "kill {number}");
        assert_eq!(caseload.verify().unwrap(), [""; 0], "kill {number}");
        drop(caseload);
        sealed += u32::from(!is_plain);
        let beside = std::fs::read_dir(&folder.0).unwrap();
        halves += beside
            .filter(|it| {
                let name = it.as_ref().unwrap().file_name();
                name.to_string_lossy().ends_with(".new")
            })
            .count();
    }
    println!(
        "encryption: {kills} kills, {sealed} of them after it was in force, {halves} left a \
         half beside it"
    );
    // What was left is cleared away by the next run.
    let output = run(0).wait_with_output().expect("it ends");
    assert!(output.status.success(), "{output:?}");
    assert_eq!(std::fs::read_dir(&folder.0).unwrap().count(), 1);
}
