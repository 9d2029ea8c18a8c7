//! Practice at the command line: what is asked, what is said of an answer, marks as objects
//! and tables, faults of a trainer's own set with file, line and reason.

use std::process::Output;

use serde_json::Value;

use super::program::fed;
use super::terminal::{Desk, Folder, Start};

fn run(arguments: &[&str], input: &str) -> Output {
    fed(arguments, input.as_bytes())
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

fn errors(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("UTF-8")
}

fn objects(output: &Output) -> Vec<Value> {
    let text = out(output);
    text.lines()
        .map(|line| serde_json::from_str(line).expect("an object a line"))
        .collect()
}

#[test]
fn a_script_answers_exercise_by_exercise() {
    let told = run(
        &["practice", "--set", "plain-words", "--count", "3"],
        "/pɛn/\nbɛt\n\n",
    );
    let page = out(&told);
    assert_eq!(told.status.code(), Some(0));
    assert!(
        page.contains("Write the word broadly, in /…/:  pen"),
        "{page}"
    );
    // d has the place and the manner of t, and voice (IPA 2020).
    assert!(
        page.contains(
            "t for d: place and manner right, voicing wrong: the folds should be on"
        ),
        "{page}"
    );
    assert!(page.contains("1 right, 1 wrong, 1 blank"), "{page}");
}

/// Made exercises stand in no file: what was wrong of them is made again when it is due.
#[test]
fn made_exercises_come_again() {
    let folder = Folder::new();
    let record = &folder.file("record.jsonl", b"");
    let kept = ["--record", record, "--format", "json"];
    let made = ["practice", "--generate", "stress,broad", "--seed", "7"];
    let items = |output: &Output| -> Vec<String> {
        let marks = objects(output);
        let named = marks
            .iter()
            .map(|it| format!("{} {}", it["set"], it["item"]));
        named.collect()
    };
    let first = items(&run(&[&made[..], &kept].concat(), "x\ny\nz\n"));
    assert_eq!(first.len(), 3);
    // As if answered long ago.
    let text = std::fs::read_to_string(record).expect("the record");
    let mut old = String::new();
    for line in text.lines() {
        let mut mark: Value = serde_json::from_str(line).expect("a mark");
        mark["at"] = "2024-01-01T09:00:00Z".into();
        old.push_str(&mark.to_string());
        old.push('\n');
    }
    std::fs::write(record, old).expect("it is written");
    let mut due = items(&run(
        &[&["practice", "--due"][..], &kept].concat(),
        "a\nb\nc\n",
    ));
    let mut first = first;
    first.sort();
    due.sort();
    assert_eq!(due, first);
}

#[test]
fn the_same_seed_gives_the_same_order() {
    let order = |seed: &str| -> Vec<Value> {
        let arguments = [
            "practice", "--set", "vowels", "--seed", seed, "--format", "json",
        ];
        let marks = objects(&run(&arguments, &"x\n".repeat(20)));
        assert_eq!(marks.len(), 20);
        marks.iter().map(|mark| mark["item"].clone()).collect()
    };
    assert_eq!(order("7"), order("7"));
    assert_ne!(order("7"), order("8"));
}

#[test]
fn sheets_are_marked_row_by_row() {
    let sheet = "set\titem\tlearner\tanswer\n\
                 plain-words\t01\tA\tpɛn\n\
                 plain-words\t02\tA\tbɛt\n\
                 new-letters\t18\tA\tSi\n\
                 name-the-pattern\t01\tB\tstopping\n\
                 first-consonants\t01\tB\tvoiced bilabial stop\n\
                 plain-words\t99\tB\tx\n\
                 slides\t01\tB\tx\n";
    let marked = run(&["mark", "-", "--format", "json"], sheet);
    let marks = objects(&marked);
    let outcomes: Vec<&str> = marks
        .iter()
        .map(|mark| mark["outcome"].as_str().unwrap())
        .collect();
    assert_eq!(
        outcomes,
        ["right", "wrong", "typing slip", "detail", "wrong"]
    );
    assert_eq!(marks[1]["features"], serde_json::json!(["voicing"]));
    assert_eq!(marks[2]["slip"]["meant"], "ʃ");
    assert_eq!(marks[4]["features"], serde_json::json!(["voicing"]));
    assert!(
        marks
            .iter()
            .all(|mark| mark["credit"].as_u64().unwrap() > 0)
    );
    // What cannot be marked is told by its line, and nothing else is lost.
    assert_eq!(marked.status.code(), Some(2));
    let errors = errors(&marked);
    assert!(errors.contains("standard input:7: item 99"), "{errors}");
    assert!(errors.contains("standard input:8: set slides"), "{errors}");

    let table = out(&run(&["mark", "-", "--format", "csv"], sheet));
    let mut rows = table.lines();
    assert!(
        rows.next()
            .unwrap()
            .starts_with("set,item,learner,attempt,kind,answer,key")
    );
    assert_eq!(rows.count(), 5);
}

#[test]
fn a_set_of_ones_own_is_looked_through_before_it_is_practised() {
    let folder = Folder::new();
    let good = "title: Mine\naccent: en-US\n\nid\tkind\tword\tkey\tpoint\na\tbroad\tzoo\t/zu/\tz\n";
    let path = folder.file("mine.txt", good.as_bytes());
    let told = run(&["practice", "--file", &path], "zu\n");
    assert!(out(&told).contains("  right\n"), "{}", out(&told));

    let bad = "title: Mine\naccent: en-US\n\nid\tkind\tword\tkey\tpoint\n\
               a\tbroad\tzoo\t/z9u/\tz\nb\tsing\tzoo\t/zu/\tz\na\tbroad\tsee\t/si/\tz\n";
    let path = folder.file("bad.txt", bad.as_bytes());
    let told = run(&["practice", "--file", &path], "zu\n");
    assert_eq!(told.status.code(), Some(2));
    let errors = errors(&told);
    for place in [
        "bad.txt:6: “sing” is no kind of exercise",
        "bad.txt:7: the id “a” stands",
    ] {
        assert!(errors.contains(place), "{errors}");
    }
    let bad = bad
        .replace("b\tsing", "b\tbroad")
        .replace("\na\tbroad\tsee", "\nc\tbroad\tsee");
    let path = folder.file("bad.txt", bad.as_bytes());
    let errors = self::errors(&run(&["practice", "--file", &path], "zu\n"));
    assert!(
        errors.contains("bad.txt:5: the key /z9u/ cannot be read"),
        "{errors}"
    );
}

#[test]
fn a_course_is_typed_in_the_editor_of_the_desk() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("practice --set new-letters --count 2\r");
    desk.shows("1 of 2  Consonants");
    desk.until("the first exercise", |screen| {
        screen.text().contains("thick") && screen.last_row().contains("answer>")
    });
    // The key map is that of the desk: T is θ, I is ɪ, { is æ.
    desk.press("TIk\r");
    desk.until("the second exercise", |screen| {
        let text = screen.text();
        text.contains("  right") && text.contains("2 of 2") && text.contains("bath")
    });
    desk.press("b{T\r");
    desk.until("the end", |screen| {
        let text = screen.text();
        text.contains("2 answers: 2 right") && screen.last_row().contains("apical>")
    });
    desk.leave();
}

#[test]
fn what_is_heard_is_played_or_spoken_and_said_to_be_synthetic() {
    let state = Folder::new();
    // A voice and a player that only write down what they are given.
    let write_down = |name: &str| {
        let log = state.0.join(format!("{name}.log"));
        let script = format!("#!/bin/sh\necho \"$@\" >> {}\n", log.display());
        let path = state.file(name, script.as_bytes());
        let mode = std::os::unix::fs::PermissionsExt::from_mode(0o755);
        std::fs::set_permissions(&path, mode).unwrap();
        (path, log)
    };
    let (_, spoken) = write_down("espeak-ng");
    let (player, played) = write_down("player");
    state.file("word.wav", b"");
    let set = state.file(
        "ear.txt",
        "title: Ear\naccent: en-US\n\nid\tkind\tword\tgiven\tkey\tpoint\n\
         1\tlisten\tzoo\tsay:zoo\t/zu/\tz\n2\tlisten\tsee\tword.wav\t/si/\ts\n\
         3\tlisten\tsee\tgone.wav\t/si/\ts\n"
            .as_bytes(),
    );
    let path = format!("{}:/usr/bin:/bin", state.0.display());
    let mut desk = Desk::start(&Start {
        rows: 30,
        columns: 100,
        state: &state,
        environment: &[("PATH", &path)],
        in_shell: false,
    });
    desk.press(&format!(
        "practice --file {set} --no-record --player {player}\r"
    ));
    desk.shows("a synthetic voice speaks, not a person");
    desk.until("the first exercise", |screen| {
        screen.last_row().contains("answer>") && !screen.text().contains(":  zoo")
    });
    desk.press("zu\r");
    desk.shows("playing; :play plays it again");
    desk.press(":play\r");
    desk.press("si\r");
    desk.shows("there is no file");
    desk.press("si\r");
    desk.shows("3 answers: 3 right");
    desk.leave();
    let text = |path: &std::path::Path| std::fs::read_to_string(path).unwrap();
    assert_eq!(text(&spoken), "-v en-us -- zoo\n");
    assert_eq!(text(&played).lines().count(), 2);
    assert!(text(&played).lines().all(|line| line.ends_with("word.wav")));
}
