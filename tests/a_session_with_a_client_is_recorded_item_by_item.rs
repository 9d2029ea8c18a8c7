//! A session with a client on the desk: each item is in the caseload once Enter was pressed,
//! and what was left unfinished is there when the session is taken up again.

use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

use apical::app::caseload::Caseload;
use apical::record::{Client, Hat, Item, Outcome, SessionKind, TrialMark};

use crate::records::{caseload_of, client};
use crate::terminal::{Desk, Folder, Start};

const WORDS: &str = "# th words\nthink\nteacher\nsee\nzzyx\n";

/// A caseload with one client, in a folder of its own.
struct Case {
    folder: Folder,
    path: PathBuf,
}

impl Case {
    fn new(hat: Hat) -> Self {
        let folder = Folder::new();
        let client = Client {
            first_language: "Spanish".to_owned(),
            hat,
            ..client()
        };
        let path = caseload_of(&folder, &client).1;
        folder.file("th.txt", WORDS.as_bytes());
        Self { folder, path }
    }

    fn caseload(&self) -> Caseload {
        Caseload::open(&self.path, None).unwrap()
    }

    /// What is recorded of the client's session of a number, from 0.
    fn items(&self, session: usize) -> Vec<Item> {
        let caseload = self.caseload();
        let sessions = caseload.sessions("K-07").unwrap();
        caseload.items(sessions[session].id).unwrap()
    }

    /// Runs the desk on a script.
    fn script(&self, arguments: &[&str], lines: &str) -> Output {
        use std::io::Write as _;
        let mut child = Command::new(env!("CARGO_BIN_EXE_apical"))
            .args(arguments)
            .env("APICAL_CASELOAD", &self.path)
            .current_dir(&self.folder.0)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let mut input = child.stdin.take().expect("its input");
        input.write_all(lines.as_bytes()).expect("it reads");
        drop(input);
        child.wait_with_output().expect("it ends")
    }

    /// A desk on a terminal.
    fn desk(&self) -> Desk {
        let path = self.path.to_str().expect("a plain path");
        Desk::start(&Start {
            rows: 24,
            columns: 80,
            state: &self.folder,
            environment: &[("APICAL_CASELOAD", path)],
            in_shell: false,
        })
    }

    /// A desk on a terminal with the list begun.
    fn begun(&self) -> Desk {
        let mut desk = self.desk();
        desk.press("with K-07\r");
        desk.shows("first language Spanish");
        desk.press("list th.txt\r");
        desk.shows("K-07  item 1 of 4  think\ntarget  θ ɪ ŋ k\n        ^\n heard>");
        desk
    }
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn enter_records_the_item_and_shows_the_difference_in_short() {
    let case = Case::new(Hat::Elective);
    let mut desk = case.begun();
    desk.press("sInk\r");
    desk.shows("item 2 of 4  teacher");
    // By hand: the two rows, a line for each of the two errors, and what stood there before
    // is gone from the screen.
    let shown = desk.text();
    let rows: Vec<&str> = shown
        .lines()
        .skip_while(|row| !row.starts_with("think  "))
        .collect();
    assert_eq!(rows[0], "think  θ ɪ ŋ k");
    assert_eq!(rows[1], "       s ɪ n k");
    assert!(rows[2].starts_with(" θ→s  place: "), "{shown}");
    assert!(rows[3].starts_with(" ŋ→n  place: "), "{shown}");
    assert!(rows[4].starts_with("K-07  item 2 of 4"), "{shown}");
    assert!(!shown.contains("item 1 of 4"), "{shown}");
    let items = case.items(0);
    assert_eq!(items.len(), 1);
    assert_eq!(items[0].word, "think");
    assert_eq!(items[0].target, "θɪŋk");
    assert_eq!(items[0].production.as_deref(), Some("sɪnk"));
    assert_eq!(items[0].outcome, Outcome::Said);
    assert_eq!((items[0].attempt, items[0].pass, items[0].cue), (1, 1, 0));
    desk.press("*");
    desk.shows("should be dental");
    desk.shows("item 2 of 4  teacher");
}

#[test]
fn one_key_each_for_what_is_commonest() {
    let case = Case::new(Hat::Elective);
    let mut desk = case.begun();
    desk.press("=");
    desk.shows("item 2 of 4");
    desk.press("-");
    desk.shows("item 3 of 4");
    desk.press(">");
    desk.shows("item 4 of 4  zzyx");
    // A word that no list has is without a target, and is taken all the same.
    desk.press("zIks\r");
    desk.shows("item 3 of 4  see  skipped");
    desk.press("<");
    desk.shows("item 2 of 4  teacher  no response");
    let items = case.items(0);
    let outcomes: Vec<Outcome> = items.iter().map(|item| item.outcome).collect();
    assert_eq!(
        outcomes,
        [
            Outcome::Said,
            Outcome::NoResponse,
            Outcome::Skipped,
            Outcome::Said
        ]
    );
    assert_eq!(items[0].production.as_deref(), Some("θɪŋk"));
    assert_eq!(items[3].production.as_deref(), Some("zɪks"));
}

#[test]
fn further_attempts_cues_doubts_and_notes_are_recorded() {
    let case = Case::new(Hat::Elective);
    let output = case.script(
        &["--client", "K-07", "--words", "th.txt"],
        "tɪŋk\n:cue model\n+\nθɪŋk\n+\n:cue 3\nθɪŋk\n!\n:note tired today\n:cue none\n=\n",
    );
    assert_eq!(text(&output.stderr), "");
    assert_eq!(output.status.code(), Some(0));
    let items = case.items(0);
    let think: Vec<_> = items.iter().filter(|item| item.word == "think").collect();
    assert_eq!(think.len(), 3);
    assert_eq!(think[0].production.as_deref(), Some("tɪŋk"));
    assert_eq!((think[0].attempt, think[0].cue), (1, 0));
    assert_eq!(think[1].production.as_deref(), Some("θɪŋk"));
    assert_eq!((think[1].attempt, think[1].cue), (2, 2));
    assert_eq!((think[2].attempt, think[2].cue), (3, 3));
    assert!(think[2].unsure && !think[0].unsure);
    assert_eq!(think[2].note, "tired today");
    assert!(
        items
            .iter()
            .any(|item| item.word == "teacher" && item.cue == 0)
    );
}

#[test]
fn a_text_that_was_being_typed_survives_a_kill() {
    let case = Case::new(Hat::Elective);
    let mut desk = case.begun();
    desk.press("=");
    desk.shows("item 2 of 4");
    desk.press("tiS");
    desk.line_is("tiʃ", 3);
    let kept = || {
        let caseload = case.caseload();
        let session = caseload.sessions("K-07").unwrap()[0].id;
        caseload.unfinished(session).unwrap()
    };
    // The copy is written beside the typing.
    while kept().first().map(|draft| draft.text.clone()).as_deref() != Some("tiʃ") {
        std::thread::yield_now();
    }
    desk.signal("KILL");
    let _ = desk.end();
    let mut desk = case.desk();
    desk.press("with K-07\r");
    desk.shows("3 of 4 items of th wait");
    desk.press("resume\r");
    desk.shows("K-07  item 2 of 4  teacher");
    desk.line_is("tiʃ", 3);
    desk.press("@r\r");
    desk.shows("item 3 of 4  see");
    assert!(kept().is_empty());
    // What a client said is in the record and in no other file.
    let state = case.folder.0.join("apical");
    for file in std::fs::read_dir(state).expect("the desk's own folder") {
        let path = file.expect("a file").path();
        let bytes = std::fs::read(&path).expect("a file of the desk");
        assert!(!text(&bytes).contains("tiʃ"), "{}", path.display());
    }
}

#[test]
fn a_signal_keeps_the_text_too() {
    let case = Case::new(Hat::Elective);
    let mut desk = case.begun();
    desk.press("TI");
    desk.line_is("θɪ", 2);
    desk.signal("TERM");
    assert!(!desk.end().success());
    assert!(desk.is_sane());
    let mut desk = case.desk();
    desk.press("with K-07\r");
    desk.shows("wait");
    desk.press("resume\r");
    desk.line_is("θɪ", 2);
}

#[test]
fn a_blind_second_pass_ends_in_the_agreement() {
    let case = Case::new(Hat::Elective);
    let output = case.script(
        &["--client", "K-07", "--words", "th.txt"],
        "tɪŋk\ntit͡ʃɚ\n-\nzɪks\n:blind\n:rows\nθɪŋk\ntit͡ʃɚ\n-\nzɪks\n",
    );
    assert_eq!(text(&output.stderr), "");
    let page = text(&output.stdout);
    let blind = page.find("second pass").expect("it begins");
    let end = page.find("the second pass is done").expect("it ends");
    assert!(!page[blind..end].contains("tɪŋk"), "{page}");
    // By hand: 3 of 4 items; of 4 + 4 + 4 sounds all but one.
    assert!(page.contains("items 3 of 4 (75 %)"), "{page}");
    assert!(page.contains("sounds 11 of 12 (92 %)"), "{page}");
    assert!(page.contains("item 1 think: tɪŋk, then θɪŋk"), "{page}");
    assert!(page.contains("n 12)"), "{page}");
    let second: Vec<_> = case.items(0);
    let second = second.iter().filter(|item| item.pass == 2).count();
    assert_eq!(second, 4);
}

#[test]
fn trials_of_a_drill_are_in_the_record_with_n_beside_the_percentage() {
    let case = Case::new(Hat::Clinical);
    let mut desk = case.desk();
    desk.press("with K-07\r");
    desk.shows("speech-language pathology");
    desk.press("drill θ\r");
    desk.shows("no trials yet");
    desk.press("1");
    desk.shows("correct 1/1 (100 %)");
    desk.press("2");
    desk.shows("correct 1/2 (50 %), with cue 1/2 (50 %)");
    desk.press("3");
    desk.shows("incorrect 1/3 (33 %)");
    desk.press("0");
    desk.shows("correct 1/2 (50 %), with cue 1/2 (50 %), incorrect 0/2 (0 %)");
    let caseload = case.caseload();
    let sessions = caseload.sessions("K-07").unwrap();
    assert_eq!(sessions[0].kind, SessionKind::Tally);
    let trials = caseload.trials(sessions[0].id).unwrap();
    let marks: Vec<TrialMark> = trials.iter().map(|trial| trial.mark).collect();
    assert_eq!(marks, [TrialMark::Right, TrialMark::WithCue]);
    assert!(trials.iter().all(|trial| trial.target == "θ"));
}

#[test]
fn the_work_decides_the_words() {
    for (hat, said, unsaid) in [
        (Hat::Elective, "as intended", "diagnosis"),
        (Hat::Clinical, "correct", "not a disorder"),
    ] {
        let case = Case::new(hat);
        let output = case.script(
            &["--client", "K-07", "--words", "th.txt"],
            "tɪŋk\n=\n:close\nprogress\nexport\n",
        );
        assert_eq!(text(&output.stderr), "");
        let page = text(&output.stdout);
        assert!(page.contains(said), "{page}");
        assert!(!page.contains(unsaid), "{page}");
        assert!(page.contains(hat.wording().caution), "{page}");
    }
}

#[test]
fn what_is_asked_without_a_client_says_what_to_do() {
    let case = Case::new(Hat::Elective);
    let lines = "list th.txt\nresume\nwith Q-99\nwith K-07\nlist nowhere.txt\ndraw ʀ\n\
                 list th.txt\nlist th.txt\n:cue shouting\n:go 9\n";
    let output = case.script(&[], lines);
    assert_eq!(output.status.code(), Some(2));
    let errors = text(&output.stderr);
    for (line, words) in [
        (1, "no client is at hand"),
        (2, "no client is at hand"),
        (3, "no client of this code"),
        (5, "cannot be read"),
        (6, "no sound of this accent"),
        (9, "no cue has this name"),
        (10, "no item has this number"),
    ] {
        let place = format!("line {line}: ");
        let said = errors.split("apical: ").find(|it| it.starts_with(&place));
        let said = said.unwrap_or_else(|| panic!("nothing on line {line}: {errors}"));
        assert!(said.contains(words) && said.contains("remedy"), "{said}");
    }
    // The caseload has no client by accident.
    assert_eq!(case.caseload().clients().unwrap().len(), 1);
}

#[test]
fn a_list_is_drawn_from_the_commonest_words_with_a_sound() {
    let case = Case::new(Hat::Elective);
    let output = case.script(&[], "with K-07\ndraw 12 θ initial\n:rows\n");
    assert_eq!(text(&output.stderr), "");
    let caseload = case.caseload();
    let session = caseload.sessions("K-07").unwrap()[0].id;
    let planned = caseload.planned(session).unwrap();
    assert_eq!(planned.len(), 12);
    for it in &planned {
        let first = it.target.trim_start_matches(['ˈ', 'ˌ']);
        assert!(first.starts_with('θ'), "{it:?}");
    }
    assert!(planned.iter().any(|it| it.word == "think"));
}

#[test]
fn a_table_brings_targets_what_is_accepted_and_recordings() {
    let case = Case::new(Hat::Elective);
    let table = "word,target,accepted,recording\neither,/ˈiðɚ/,/ˈaɪðɚ/,either.wav\n";
    case.folder.file("either.csv", table.as_bytes());
    let output = case.script(
        &["--client", "K-07", "--words", "either.csv"],
        "ˈaɪðɚ\n:rows\n:close\nprogress --all\n",
    );
    assert_eq!(text(&output.stderr), "");
    let page = text(&output.stdout);
    assert!(page.contains("either  aɪðɚ  as the target"), "{page}");
    let caseload = case.caseload();
    let session = caseload.sessions("K-07").unwrap()[0].id;
    let planned = caseload.planned(session).unwrap();
    assert!(PathBuf::from(&planned[0].recording).is_absolute());
}

#[test]
fn a_narrow_screen_shows_it_all_the_same() {
    let case = Case::new(Hat::Elective);
    let path = case.path.to_str().expect("a plain path").to_owned();
    let mut desk = Desk::start(&Start {
        rows: 20,
        columns: 60,
        state: &case.folder,
        environment: &[("APICAL_CASELOAD", &path), ("NO_COLOR", "1")],
        in_shell: false,
    });
    desk.press("with K-07\r");
    desk.shows("list FILE or draw");
    desk.press("list th.txt\r");
    desk.shows("item 1 of 4");
    desk.press("sInk\r");
    desk.shows("item 2 of 4");
    let shown = desk.text();
    assert!(shown.contains("think  θ ɪ ŋ k\n       s ɪ n k\n θ→s  place"));
    assert!(!desk.screen().coloured());
}

#[test]
fn nothing_that_disturbs_a_session_loses_a_text() {
    let case = Case::new(Hat::Elective);
    let mut desk = case.begun();
    desk.press("sInk");
    desk.line_is("sɪnk", 4);
    // Set aside, and brought back by the Up key.
    desk.press("\x03");
    desk.shows("Set aside");
    desk.line_is("", 0);
    desk.press("\x1b[A");
    desk.line_is("sɪnk", 4);
    desk.press("\r");
    desk.shows("item 2 of 4");
    // Pasted with what a terminal would obey: nothing is taken before Enter.
    desk.press("\x1b[200~ti\x07ʃ\r\nə\x1b[201~");
    desk.until("the text", |screen| screen.text().contains('ə'));
    assert!(!desk.raw.contains(&7));
    desk.press("\r");
    desk.shows("taken out");
    desk.line_is("tiʃ ə", 5);
    assert_eq!(case.items(0).len(), 1);
    desk.press("\r");
    desk.shows("item 3 of 4");
    assert_eq!(case.items(0)[1].production.as_deref(), Some("tiʃ ə"));
    // A line of ten thousand characters.
    let long = "si".repeat(5_000);
    desk.press(&format!("\x1b[200~{long}\x1b[201~"));
    desk.until("its end", |screen| screen.text().contains("sisi"));
    desk.signal("TERM");
    let _ = desk.end();
    assert!(desk.is_sane());
    let caseload = case.caseload();
    let session = caseload.sessions("K-07").unwrap()[0].id;
    let left = caseload.unfinished(session).unwrap();
    assert_eq!(left.len(), 1);
    assert!(left[0].text == long, "the line is kept whole");
}

#[test]
fn a_session_is_suspended_and_taken_up_again() {
    let case = Case::new(Hat::Elective);
    let path = case.path.to_str().expect("a plain path").to_owned();
    let mut desk = Desk::start(&Start {
        rows: 24,
        columns: 80,
        state: &case.folder,
        environment: &[("APICAL_CASELOAD", &path)],
        in_shell: true,
    });
    desk.press("with K-07\r");
    desk.shows("list FILE or draw");
    desk.press("list th.txt\r");
    desk.shows("item 1 of 4");
    desk.press("sI");
    desk.line_is("sɪ", 2);
    desk.press("\x1a");
    desk.until("the shell", |screen| screen.last_row() == "shell$");
    desk.press("fg\r");
    desk.line_is("sɪ", 2);
    desk.press("k\r");
    desk.shows("item 2 of 4");
    assert_eq!(case.items(0)[0].production.as_deref(), Some("sɪk"));
}

#[test]
fn what_cannot_be_recorded_stays_in_the_line() {
    let case = Case::new(Hat::Elective);
    let mut desk = case.begun();
    // Another program holds the file in the middle of a transaction that never ends: here a
    // table that the record needs is gone.
    let raw = rusqlite::Connection::open(&case.path).unwrap();
    raw.execute_batch("ALTER TABLE item RENAME TO away")
        .unwrap();
    desk.press("sInk\r");
    desk.shows("remedy");
    desk.line_is("sɪnk", 4);
    raw.execute_batch("ALTER TABLE away RENAME TO item")
        .unwrap();
    desk.press("\r");
    desk.shows("item 2 of 4");
    assert_eq!(case.items(0)[0].production.as_deref(), Some("sɪnk"));
}

#[test]
fn two_desks_work_on_one_caseload() {
    let case = Case::new(Hat::Elective);
    let mut one = case.begun();
    let mut other = case.desk();
    other.press("with K-07\r");
    other.shows("wait");
    other.press("list th.txt\r");
    other.shows("item 1 of 4");
    for (item, keys) in ["sInk\r", "titS@\r", "si\r"].iter().enumerate() {
        for desk in [&mut one, &mut other] {
            desk.press(keys);
            desk.shows(&format!("item {} of 4", item + 2));
        }
    }
    for session in [0, 1] {
        let said: Vec<_> = case.items(session);
        let said: Vec<_> = said.iter().map(|it| it.production.as_deref()).collect();
        assert_eq!(said, [Some("sɪnk"), Some("titʃə"), Some("si")]);
    }
    assert!(case.caseload().verify().unwrap().is_empty());
}

#[test]
fn codes_cues_and_files_are_completed() {
    let case = Case::new(Hat::Elective);
    let mut desk = case.desk();
    desk.press("with K\t");
    desk.line_is("with K-07", 9);
    desk.press("\r");
    desk.shows("list FILE or draw");
    desk.press("list th\t");
    desk.line_is("list th.txt", 11);
    desk.press("\r");
    desk.shows("item 1 of 4");
    desk.press(":cue mo\t");
    desk.line_is(":cue model", 10);
    desk.press("\r");
    desk.shows("item 1 of 4  think  cue: model");
    // In a session help is about the session.
    desk.press(":help\r");
    desk.shows("Counting trials");
    assert!(!desk.text().contains("Keeping the record"));
}

#[test]
fn an_exported_session_keeps_its_list() {
    let case = Case::new(Hat::Elective);
    let lines = "tɪŋk\n:close\nexport --to all.json\n";
    let output = case.script(&["--client", "K-07", "--words", "th.txt"], lines);
    assert_eq!(text(&output.stderr), "");
    let fresh = case.folder.0.join("fresh.sqlite");
    let output = case.script(
        &["--caseload", fresh.to_str().expect("a plain path")],
        "import all.json\nwith client-1\nresume\nti\n",
    );
    assert_eq!(text(&output.stderr), "");
    assert!(text(&output.stdout).contains("4 items, 3 open"));
    let caseload = Caseload::open(&fresh, None).unwrap();
    let session = caseload.sessions("client-1").unwrap()[0].id;
    assert_eq!(caseload.items(session).unwrap().len(), 2);
}

#[test]
fn of_the_targets_that_count_the_nearest_is_taken_in_figures_too() {
    let case = Case::new(Hat::Elective);
    let table = "word,target,accepted\neither,/ˈiðɚ/,/ˈaɪðɚ/\n";
    case.folder.file("either.csv", table.as_bytes());
    let output = case.script(
        &["--client", "K-07", "--words", "either.csv"],
        "ˈaɪðɚ\n:blind\nˈaʊðɚ\n:close\nprogress\n",
    );
    assert_eq!(text(&output.stderr), "");
    // The second pass is there for the agreement and changes no figure.
    let page = text(&output.stdout);
    assert!(page.contains("1/1 (100 %)"), "{page}");
}

#[test]
fn one_key_draws_the_mouth_at_each_difference() {
    let case = Case::new(Hat::Elective);
    let mut desk = case.begun();
    desk.press(",");
    desk.shows("nothing has been set against a target yet");
    desk.press("sInk\r");
    desk.shows("item 2 of 4");
    desk.press(",");
    desk.shows("target θ, said s");
    desk.shows("1 of 2 differences; the same key draws the next one");
    desk.shows("item 2 of 4");
    // In the middle of a line there is another key, and the line stays.
    desk.press("ti");
    desk.line_is("ti", 2);
    desk.press("\x1b[15~");
    desk.shows("target ŋ, said n");
    desk.line_is("ti", 2);
    // Under a target without a session too.
    let dots = |page: &str| {
        page.chars()
            .any(|it| ('\u{2801}'..='\u{28FF}').contains(&it))
    };
    let output = case.script(&[], "target think\ntɪŋk\n:mouth\n:mouth dots\n");
    let page = text(&output.stdout);
    assert!(page.contains("target θ, said t") && dots(&page));
    let plain = case.script(&[], "target think\ntɪŋk\n:mouth characters\n");
    let page = text(&plain.stdout);
    assert!(page.contains("target θ, said t") && !dots(&page));
    assert!(text(&output.stderr).contains("mouth characters"));
    // What was left out has no mouth.
    let output = case.script(&[], "target think\nɪŋk\n:mouth\n");
    assert!(text(&output.stderr).contains("no two mouths to draw"));
}

#[test]
fn a_command_half_typed_survives_a_kill_and_leaves_no_draft_once_obeyed() {
    let case = Case::new(Hat::Elective);
    let kept = || -> Vec<String> {
        let caseload = case.caseload();
        let session = caseload.sessions("K-07").unwrap()[0].id;
        let drafts = caseload.unfinished(session).unwrap();
        drafts.into_iter().map(|draft| draft.text).collect()
    };
    let mut desk = case.begun();
    // What stands at an item when it is left is its draft.
    desk.press("sI");
    desk.line_is("sɪ", 2);
    desk.press("\x1b[6~");
    desk.shows("item 2 of 4");
    desk.press("<");
    desk.shows("item 1 of 4");
    desk.line_is("sɪ", 2);
    desk.press("\x15:note tired tod");
    desk.line_is(":note tired tod", 15);
    while kept() != [":note tired tod"] {
        std::thread::yield_now();
    }
    desk.signal("KILL");
    let _ = desk.end();
    let mut desk = case.desk();
    desk.press("with K-07\r");
    desk.shows("wait");
    desk.press("resume\r");
    desk.shows("item 1 of 4");
    desk.line_is(":note tired tod", 15);
    // Written down in the caseload, as it may be about the client, and nowhere else.
    for file in std::fs::read_dir(case.folder.0.join("apical")).expect("the folder") {
        let bytes = std::fs::read(file.expect("a file").path()).expect("a file");
        assert!(!text(&bytes).contains("tired"));
    }
    desk.press("ay\r");
    desk.shows("note on item 1 think: tired today");
    desk.line_is("", 0);
    assert_eq!(kept(), [""; 0]);
    assert_eq!(case.items(0)[0].note, "tired today");
}

#[test]
fn a_table_of_the_record_carries_the_trials_of_drills() {
    let case = Case::new(Hat::Elective);
    let output = case.script(
        &["--client", "K-07"],
        "list th.txt\ntɪŋk\n:close\ndrill θ\n1\n2\n3\n:close\nexport --table\n",
    );
    assert_eq!(text(&output.stderr), "");
    let page = text(&output.stdout);
    let start = page.find("client,number").expect("a header");
    let mut table = csv::Reader::from_reader(&page.as_bytes()[start..]);
    let names = table.headers().unwrap().clone();
    let at = |name: &str| names.iter().position(|it| it == name).expect("a column");
    let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 4);
    assert_eq!(&rows[0][at("production")], "tɪŋk");
    let trials: Vec<[&str; 4]> = rows[1..]
        .iter()
        .map(|row| ["kind", "target", "outcome", "position"].map(|it| &row[at(it)]))
        .collect();
    assert_eq!(
        trials,
        [
            ["tally", "θ", "right", "1"],
            ["tally", "θ", "with cue", "2"],
            ["tally", "θ", "wrong", "3"],
        ]
    );
    // Only the day is left of the time.
    assert_eq!(rows[1][at("at")].len(), "2026-03-02".len());
}

#[test]
fn a_session_on_a_screen_that_changes_its_size() {
    let case = Case::new(Hat::Elective);
    let mut desk = case.begun();
    desk.press("sInk");
    desk.line_is("sɪnk", 4);
    for (rows, columns) in [(24, 40), (10, 60), (24, 100), (24, 80)] {
        desk.resize(rows, columns);
        desk.until("the item on the new screen", |screen| {
            let text = screen.text();
            let fits = screen
                .rows()
                .iter()
                .all(|row| row.chars().count() <= usize::from(columns));
            fits && text.contains("item 1 of 4  think")
                && screen.line() == "sɪnk"
                && screen.column() == 4
        });
    }
    desk.press("\r");
    desk.shows("item 2 of 4");
    assert_eq!(case.items(0)[0].production.as_deref(), Some("sɪnk"));
    desk.until("one prompt, none left of the smaller screens", |screen| {
        let rows = screen.rows();
        let prompts = rows.iter().filter(|row| row.starts_with(" heard>"));
        prompts.count() == 1
    });
}

#[test]
fn after_the_last_item_a_command_is_not_written_into_it() {
    let case = Case::new(Hat::Elective);
    let mut desk = case.begun();
    desk.press("sInk\r==zIks\r");
    desk.shows("every item is done");
    desk.line_is("", 0);
    desk.press(":close\r");
    desk.shows("th closed, 0 items open");
    assert_eq!(case.items(0)[3].production.as_deref(), Some("zɪks"));
}

#[test]
fn keys_lead_on_from_what_is_laid_ready() {
    let case = Case::new(Hat::Elective);
    let mut desk = case.begun();
    desk.press("sInk\rtitS@\r");
    desk.shows("item 3 of 4");
    desk.press("<");
    desk.line_is("titʃə", 5);
    desk.press("<");
    desk.line_is("sɪnk", 4);
    desk.press(">");
    desk.line_is("titʃə", 5);
    // What leads on changes nothing; what is changed is not left by such a key.
    desk.press("\x7f<");
    desk.line_is("titʃ<", 5);
    assert_eq!(case.items(0)[1].production.as_deref(), Some("titʃə"));
}

#[test]
fn stress_is_judged_where_it_is_marked() {
    let case = Case::new(Hat::Elective);
    let output = case.script(
        &["--client", "K-07", "--words", "th.txt"],
        ":go teacher\ntit͡ʃɚ\n:close\nlist th.txt\n:go teacher\ntiˈt͡ʃɚ\n:close\n\
         progress\n",
    );
    assert_eq!(text(&output.stderr), "");
    let page = text(&output.stdout);
    assert!(page.contains("teacher  tit͡ʃɚ  as the target"), "{page}");
    assert!(page.contains("primary stress"), "{page}");
    assert!(page.contains("last 0/1 (0 %), all 1/2 (50 %)"), "{page}");
}
