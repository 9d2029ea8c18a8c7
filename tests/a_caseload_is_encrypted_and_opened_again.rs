//! An existing caseload is encrypted, its passphrase changed, the encryption taken off: each
//! time everything is there, and what must not be read any more cannot be.

use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::process::Output;

use apical::app::caseload::Caseload;
use apical::record::{SessionKind, Trial, TrialMark};

use crate::program::apical;
use crate::records::{caseload_of, client, items};
use crate::terminal::{Desk, Folder, Start};

const FIRST: &str = "seven quiet otters";
const SECOND: &str = "eleven 'loud' geese";

fn trial() -> Trial {
    Trial {
        target: "θ".to_owned(),
        mark: TrialMark::Right,
        at: "2026-03-02T09:02:00Z".to_owned(),
    }
}

/// A caseload with a session of 300 items, a draft, and two trials that are alike.
fn filled(folder: &Folder) -> PathBuf {
    let (mut caseload, path) = caseload_of(folder, &client());
    let began = "2026-03-02T09:00:00Z";
    let list = caseload
        .begin("K-07", SessionKind::List, "first", began)
        .unwrap();
    caseload.record_all(list, &items(300)).unwrap();
    caseload.keep_draft(list, 301, "half of a line").unwrap();
    let drill = caseload
        .begin("K-07", SessionKind::Tally, "θ", began)
        .unwrap();
    caseload.count(drill, &trial()).unwrap();
    caseload.count(drill, &trial()).unwrap();
    path
}

/// That everything is there, with this passphrase.
#[track_caller]
fn assert_whole(path: &Path, passphrase: Option<&str>) {
    let caseload = Caseload::open(path, passphrase).unwrap();
    let sessions = caseload.sessions("K-07").unwrap();
    assert_eq!(sessions.len(), 2);
    assert_eq!(caseload.items(sessions[0].id).unwrap(), items(300));
    let drafts = caseload.drafts(sessions[0].id).unwrap();
    assert_eq!(drafts, [(301, "half of a line".to_owned())]);
    let trials = caseload.trials(sessions[1].id).unwrap();
    assert_eq!(trials, [trial(), trial()]);
    assert_eq!(caseload.verify().unwrap(), [""; 0]);
    let mode = fs::metadata(path).unwrap().permissions().mode();
    assert_eq!(mode & 0o777, 0o600);
}

fn run(path: &Path, change: &str, present: Option<&str>, new: Option<&str>) -> Output {
    let mut run = apical(&["passphrase", change]);
    run.env("APICAL_CASELOAD", path);
    for (name, value) in [
        ("APICAL_PASSPHRASE", present),
        ("APICAL_NEW_PASSPHRASE", new),
    ] {
        match value {
            Some(value) => run.env(name, value),
            None => run.env_remove(name),
        };
    }
    run.output().expect("the program runs")
}

fn said(output: &Output) -> String {
    assert!(output.status.success(), "{output:?}");
    let page = String::from_utf8_lossy(&output.stdout).into_owned();
    // As it is wrapped is no matter here.
    page.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[track_caller]
fn assert_refused(output: &Output, words: &[&str]) {
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{errors}");
    for word in words.iter().chain(&["remedy: "]) {
        assert!(errors.contains(word), "{word} in {errors}");
    }
}

fn holds(path: &Path, words: &[&str]) -> bool {
    let bytes = fs::read(path).unwrap();
    let held = |word: &&str| bytes.windows(word.len()).any(|it| it == word.as_bytes());
    words.iter().any(held)
}

const OPEN: [&str; 4] = ["SQLite format", "K-07", "think", "half of a line"];

#[test]
fn it_is_encrypted_changed_and_opened_for_good() {
    let folder = Folder::new();
    let path = filled(&folder);
    // What is left of the old file is seen through a second name of it.
    let old = folder.0.join("old");
    fs::hard_link(&path, &old).unwrap();
    let copy =
        PathBuf::from(folder.file("caseload.sqlite.form-2", &fs::read(&path).unwrap()));
    let page = said(&run(&path, "set", None, Some(FIRST)));
    assert!(
        page.contains("encrypted") && page.contains("nobody opens"),
        "{page}"
    );
    let name = copy.file_name().unwrap().to_str().unwrap();
    assert!(
        page.contains("Not encrypted") && page.contains(name),
        "{page}"
    );
    assert_whole(&path, Some(FIRST));
    assert!(!holds(&path, &OPEN));
    assert!(fs::read(&old).unwrap().iter().all(|byte| *byte == 0));
    fs::remove_file(&old).unwrap();
    fs::remove_file(&copy).unwrap();
    // Another passphrase.
    fs::hard_link(&path, &old).unwrap();
    said(&run(&path, "set", Some(FIRST), Some(SECOND)));
    assert_whole(&path, Some(SECOND));
    assert!(Caseload::open(&path, Some(FIRST)).is_err());
    assert!(Caseload::open(&path, None).is_err());
    assert!(fs::read(&old).unwrap().iter().all(|byte| *byte == 0));
    fs::remove_file(&old).unwrap();
    // And none.
    let page = said(&run(&path, "remove", Some(SECOND), None));
    assert!(page.contains("no longer encrypted"), "{page}");
    assert_whole(&path, None);
    // Nothing lies about.
    let names: Vec<_> = fs::read_dir(&folder.0).unwrap().collect();
    assert_eq!(names.len(), 1, "{names:?}");
}

#[test]
fn what_is_wrong_is_said_and_changes_nothing() {
    let folder = Folder::new();
    let path = filled(&folder);
    let before = fs::read(&path).unwrap();
    let nowhere = folder.0.join("nowhere.sqlite");
    assert_refused(
        &run(&nowhere, "set", None, Some(FIRST)),
        &["no caseload here"],
    );
    assert!(!nowhere.exists());
    assert_refused(&run(&path, "set", None, Some(" ")), &["is empty", "words"]);
    assert_refused(&run(&path, "remove", None, None), &["APICAL_PASSPHRASE"]);
    assert_refused(&run(&path, "set", None, None), &["APICAL_NEW_PASSPHRASE"]);
    let given = run(&path, "set", Some(FIRST), Some(SECOND));
    assert_refused(&given, &["not encrypted", "passphrase set"]);
    assert_eq!(fs::read(&path).unwrap(), before);
    said(&run(&path, "set", None, Some(FIRST)));
    let before = fs::read(&path).unwrap();
    let wrong = run(&path, "set", Some(SECOND), Some(SECOND));
    assert_refused(&wrong, &["APICAL_PASSPHRASE"]);
    assert_refused(
        &run(&path, "remove", Some(SECOND), None),
        &["APICAL_PASSPHRASE"],
    );
    assert_eq!(fs::read(&path).unwrap(), before);
    assert_whole(&path, Some(FIRST));
}

#[test]
fn a_program_that_is_writing_is_waited_for_or_named() {
    let folder = Folder::new();
    let path = filled(&folder);
    // A transaction that is open for as long as the test likes.
    let raw = rusqlite::Connection::open(&path).unwrap();
    raw.execute_batch("BEGIN IMMEDIATE").unwrap();
    assert_refused(&run(&path, "set", None, Some(FIRST)), &["another program"]);
    raw.execute_batch("ROLLBACK").unwrap();
    drop(raw);
    assert_whole(&path, None);
}

#[test]
fn a_desk_that_has_it_open_is_refused_and_loses_nothing() {
    let folder = Folder::new();
    let path = filled(&folder);
    folder.file("th.txt", b"think\nteacher\nsee\n");
    let place = path.to_str().expect("a plain path");
    let start = |secret: &str| {
        let mut desk = Desk::start(&Start {
            rows: 24,
            columns: 80,
            state: &folder,
            environment: &[("APICAL_CASELOAD", place), ("APICAL_PASSPHRASE", secret)],
            in_shell: false,
        });
        desk.press("with K-07\r");
        desk.shows("accent modification");
        desk
    };
    let set = |present: &str, new: &str| {
        said(&run(
            &path,
            "set",
            Some(present).filter(|it| !it.is_empty()),
            Some(new),
        ));
    };
    set("", FIRST);
    let mut desk = start(FIRST);
    desk.press("list th.txt\r");
    desk.shows("item 1 of 3");
    desk.press("sInk\r");
    desk.shows("item 2 of 3");
    set(FIRST, SECOND);
    desk.press("titS@\r");
    desk.shows("remedy");
    desk.line_is("titʃə", 5);
    drop(desk);
    let mut desk = start(SECOND);
    desk.press("resume 3\r");
    desk.shows("item 2 of 3");
    desk.press("passphrase remove\r");
    drop(desk);
    let caseload = Caseload::open(&path, Some(SECOND)).unwrap();
    let session = caseload.sessions("K-07").unwrap()[2].id;
    let items = caseload.items(session).unwrap();
    assert_eq!(items.len(), 1);
    assert_eq!(items[0].production.as_deref(), Some("sɪnk"));
    assert_eq!(caseload.verify().unwrap(), [""; 0]);
}

#[test]
fn the_desk_itself_leaves_the_passphrase_alone() {
    let folder = Folder::new();
    let path = filled(&folder);
    let mut run = apical(&[]);
    run.env("APICAL_CASELOAD", &path)
        .env("APICAL_NEW_PASSPHRASE", FIRST);
    let script = folder.file("script", b"with K-07\npassphrase set\n");
    let output = run.stdin(fs::File::open(script).unwrap()).output().unwrap();
    assert_refused(&output, &["line 2: passphrase", "leave the desk"]);
    assert_whole(&path, None);
}
