//! What is recorded is on disk, once, for its owner alone; what is forgotten is gone.

use std::path::Path;
use std::process::{Command, Output};

use apical::app::caseload::Caseload;
use apical::record::{Client, Item, Outcome, SessionKind, Trial, TrialMark};

fn client(code: &str) -> Client {
    Client {
        code: code.to_owned(),
        first_language: "Basque".to_owned(),
        accent: "en-US".to_owned(),
        note: "prefers mornings".to_owned(),
        opened: "2026-03-02T09:00:00Z".to_owned(),
        ..Client::default()
    }
}

fn item(position: u32, production: &str) -> Item {
    Item {
        position,
        word: "think".to_owned(),
        target: "/θɪŋk/".to_owned(),
        production: Some(production.to_owned()),
        outcome: Outcome::Said,
        attempt: 1,
        pass: 1,
        at: "2026-03-02T09:01:00Z".to_owned(),
        ..Item::default()
    }
}

fn apical(caseload: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(arguments)
        .env("APICAL_CASELOAD", caseload)
        .env("NO_COLOR", "1")
        .output()
        .expect("the program runs")
}

#[test]
fn an_item_is_there_once_and_the_last_word_counts() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("caseload.sqlite");
    let mut caseload = Caseload::open(&path, None).unwrap();
    caseload.keep_client(&client("K-07")).unwrap();
    let began = "2026-03-02T09:00:00Z";
    let session = caseload
        .begin("K-07", SessionKind::List, "th", began)
        .unwrap();
    caseload.keep_draft(session, 1, "[tɪ").unwrap();
    assert_eq!(caseload.drafts(session).unwrap(), [(1, "[tɪ".to_owned())]);
    caseload.record(session, &item(1, "[tɪŋk]")).unwrap();
    caseload.record(session, &item(1, "[t̪ɪŋk]")).unwrap();
    assert!(caseload.drafts(session).unwrap().is_empty());
    // A second program on the same file sees what the first one accepted.
    let other = Caseload::open(&path, None).unwrap();
    assert_eq!(other.items(session).unwrap(), [item(1, "[t̪ɪŋk]")]);
    for mark in [TrialMark::Right, TrialMark::Wrong] {
        let trial = Trial {
            target: "θ".to_owned(),
            mark,
            at: began.to_owned(),
        };
        caseload.count(session, &trial).unwrap();
    }
    assert!(caseload.uncount(session).unwrap());
    assert_eq!(caseload.trials(session).unwrap().len(), 1);
    assert!(caseload.verify().unwrap().is_empty());
}

#[cfg(unix)]
#[test]
fn the_file_is_its_owners_alone() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("caseload.sqlite");
    drop(Caseload::open(&path, None).unwrap());
    let mode = std::fs::metadata(&path).unwrap().permissions().mode();
    assert_eq!(mode & 0o777, 0o600);
}

#[test]
fn records_leave_without_identifiers_and_come_back() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("caseload.sqlite");
    let mut caseload = Caseload::open(&path, None).unwrap();
    caseload.keep_client(&client("K-07")).unwrap();
    let began = "2026-03-02T09:00:00Z";
    let session = caseload
        .begin("K-07", SessionKind::List, "th", began)
        .unwrap();
    caseload.record(session, &item(1, "[tɪŋk]")).unwrap();
    let refused = caseload.export(None, true).unwrap_err();
    assert!(refused.reason.contains("agreed"), "{refused}");
    let exported = apical(&path, &["export"]);
    let text = String::from_utf8(exported.stdout).unwrap();
    for hidden in ["K-07", "mornings", "09:0"] {
        assert!(!text.contains(hidden), "{hidden} in {text}");
    }
    let copy = folder.path().join("copy.json");
    std::fs::write(&copy, &text).unwrap();
    let fresh = folder.path().join("fresh.sqlite");
    let taken = apical(&fresh, &["import", copy.to_str().unwrap()]);
    assert!(taken.status.success());
    let again = apical(&fresh, &["import", copy.to_str().unwrap()]);
    assert_eq!(again.status.code(), Some(2), "two records are never mixed");
    let fresh = Caseload::open(&fresh, None).unwrap();
    let session = fresh.sessions("client-1").unwrap()[0].id;
    assert_eq!(
        fresh.items(session).unwrap()[0].production.as_deref(),
        Some("[tɪŋk]")
    );
}

#[test]
fn an_older_file_is_brought_up_to_date_after_a_copy_was_made() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("caseload.sqlite");
    let mut caseload = Caseload::open(&path, None).unwrap();
    caseload.keep_client(&client("K-07")).unwrap();
    let session = caseload
        .begin("K-07", SessionKind::List, "th", "2026-03-02T09:00:00Z")
        .unwrap();
    caseload.record(session, &item(1, "[tɪŋk]")).unwrap();
    drop(caseload);
    // The file as its second form was.
    let raw = rusqlite::Connection::open(&path).unwrap();
    raw.execute_batch(
        "DROP TABLE planned; ALTER TABLE draft DROP COLUMN attempt;
         ALTER TABLE draft DROP COLUMN pass; PRAGMA user_version = 2;",
    )
    .unwrap();
    drop(raw);
    let caseload = Caseload::open(&path, None).unwrap();
    assert_eq!(caseload.items(session).unwrap().len(), 1);
    assert!(caseload.planned(session).unwrap().is_empty());
    assert!(caseload.verify().unwrap().is_empty());
    let copy = folder.path().join("caseload.sqlite.form-2");
    let copy = rusqlite::Connection::open(copy).unwrap();
    let kept: i64 = copy
        .query_row("SELECT count(*) FROM item", [], |row| row.get(0))
        .unwrap();
    assert_eq!(kept, 1);
}

#[test]
fn a_forgotten_client_leaves_no_trace_in_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("caseload.sqlite");
    let mut caseload = Caseload::open(&path, None).unwrap();
    caseload.keep_client(&client("K-07")).unwrap();
    caseload.keep_client(&client("M-12")).unwrap();
    let began = "2026-03-02T09:00:00Z";
    let session = caseload
        .begin("K-07", SessionKind::List, "only-K", began)
        .unwrap();
    caseload.record(session, &item(1, "[tɪŋk]")).unwrap();
    drop(caseload);
    assert_eq!(apical(&path, &["forget", "K-07"]).status.code(), Some(2));
    assert!(
        apical(&path, &["forget", "K-07", "--for-good"])
            .status
            .success()
    );
    let bytes = std::fs::read(&path).unwrap();
    let holds = |text: &str| bytes.windows(text.len()).any(|it| it == text.as_bytes());
    assert!(!holds("K-07") && !holds("only-K") && !holds("tɪŋk"));
    assert!(holds("M-12"));
    assert!(apical(&path, &["verify"]).status.success());
}

#[test]
fn what_is_no_caseload_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("notes.txt");
    std::fs::write(&path, "a list of groceries, longer than a header of a file").unwrap();
    let output = apical(&path, &["clients"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("no caseload"));
    assert!(
        std::fs::read_to_string(&path)
            .unwrap()
            .starts_with("a list")
    );
    let named = apical(&folder.path().join("c.sqlite"), &["client", "Jo Bloggs"]);
    assert_eq!(named.status.code(), Some(2), "a name is no code");
}
