//! A learner's record keeps every answer, brings exercises back, and says what is confused.

use std::process::Output;

use serde_json::Value;

use super::program::fed;
use super::terminal::{Desk, Folder};

fn run(arguments: &[&str], input: &str) -> Output {
    fed(arguments, input.as_bytes())
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

#[test]
fn every_answer_is_kept_and_a_broken_line_costs_nothing_else() {
    let folder = Folder::new();
    // A record whose last line was cut off by a loss of power.
    let record = folder.file("record.jsonl", b"{\"version\":1,\"set\":\"04-pl");
    let practice = [
        "practice",
        "--set",
        "plain-words",
        "--count",
        "2",
        "--record",
        &record,
    ];
    let told = run(&practice, "pɛn\nbɛt\n");
    assert_eq!(told.status.code(), Some(0), "{}", text(&told.stderr));
    assert!(text(&told.stderr).contains("record.jsonl:1: no marked answer"));
    let kept = std::fs::read_to_string(&record).unwrap();
    let lines: Vec<&str> = kept.lines().collect();
    assert_eq!(lines.len(), 3);
    assert!(lines[0].ends_with("04-pl"));
    let last: Value = serde_json::from_str(lines[2]).unwrap();
    assert_eq!(
        (&last["item"], &last["outcome"]),
        (&"02".into(), &"wrong".into())
    );
    assert!(last["at"].as_str().unwrap().ends_with('Z'));

    let told = run(&["confusions", "--record", &record, "--format", "json"], "");
    assert_eq!(told.status.code(), Some(2));
    let counts: Value = serde_json::from_slice(&told.stdout).unwrap();
    assert_eq!(counts["answers"], 2);
}

#[test]
fn what_was_answered_is_not_new_and_what_was_wrong_comes_first() {
    let folder = Folder::new();
    let record = folder.file("record.jsonl", b"");
    let arguments = |count: &'static str| {
        ["practice", "--set", "vowels", "--count", count, "--record"]
    };
    let with = |count: &'static str, input: &str| {
        let mut line = arguments(count).to_vec();
        line.push(&record);
        text(&run(&line, input).stdout)
    };
    let first = with("3", "si\nkɪ\ntim\n");
    assert!(first.contains("1 wrong"), "{first}");
    // Long after: the answers above are made two years old.
    let kept = std::fs::read_to_string(&record).unwrap();
    let old: Vec<String> = kept
        .lines()
        .map(|line| {
            let mut line: Value = serde_json::from_str(line).unwrap();
            line["at"] = "2023-01-01T10:00:00Z".into();
            format!("{line}\n")
        })
        .collect();
    std::fs::write(&record, old.concat()).unwrap();
    // The one that was wrong was due first, within minutes.
    let second = with("4", "ki\nsi\ntim\nfild\n");
    let at = |word: &str| second.find(&format!(":  {word}\n")).expect(word);
    assert!(at("key") < at("see") && at("see") < at("team"), "{second}");
    assert!(at("team") < at("field"), "{second}");
}

#[test]
fn confusions_are_counted_by_contrast_feature_and_place() {
    // Counted by hand: bed as bɛt and big as pɪg are two confusions of voicing, at the end
    // and at the start; θ of thick as t is one of place and manner.
    let sheet = "set\titem\tlearner\tanswer\n\
                 plain-words\t02\tA\tbɛt\n\
                 plain-words\t06\tA\tpɪɡ\n\
                 plain-words\t01\tA\tpɛn\n\
                 new-letters\t01\tA\ttɪk\n\
                 new-letters\t02\tA\tbæ\n\
                 new-letters\t18\tA\tSi\n\
                 stress\t27\tA\tˈfæntæstɪk\n\
                 new-letters\t03\tA\t\n";
    let folder = Folder::new();
    let path = folder.file("answers.tsv", sheet.as_bytes());
    let told = run(&["confusions", &path, "--format", "json"], "");
    let counts: Value = serde_json::from_slice(&told.stdout).unwrap();
    assert_eq!(
        (&counts["answers"], &counts["left_out"]),
        (&7.into(), &1.into())
    );
    let contrasts = counts["contrasts"].as_array().unwrap();
    assert_eq!(contrasts.len(), 3);
    let of = |one: &str, other: &str| {
        let found = contrasts
            .iter()
            .find(|it| it["one"] == one && it["other"] == other);
        found.unwrap_or_else(|| panic!("{one} {other}")).clone()
    };
    assert_eq!(of("b", "p")["one_as_other"]["wrong"], 1);
    assert_eq!(
        of("d", "t")["one_as_other"],
        serde_json::json!({"wrong": 1, "of": 1})
    );
    assert_eq!(
        of("t", "θ")["other_as_one"],
        serde_json::json!({"wrong": 1, "of": 2})
    );
    assert_eq!(
        of("t", "θ")["features"],
        serde_json::json!(["place", "manner"])
    );
    assert_eq!(counts["missing"][0]["sound"], "θ");
    let feature = |name: &str| {
        let found = counts["features"].as_array().unwrap().iter();
        found.clone().find(|it| it["name"] == name).unwrap()["wrong"].clone()
    };
    assert_eq!((feature("voicing"), feature("place")), (2.into(), 1.into()));
    assert_eq!(counts["stress"], serde_json::json!({"wrong": 1, "of": 1}));
    assert_eq!(counts["slips"]["wrong"], 1);
    let place = |name: &str| {
        let found = counts["positions"].as_array().unwrap().iter();
        found.clone().find(|it| it["name"] == name).unwrap()["wrong"].clone()
    };
    // Initial: p for b, t for θ; final: t for d, the lost θ.
    assert_eq!((place("initial"), place("final")), (2.into(), 2.into()));

    let page = text(&run(&["confusions", &path], "").stdout);
    assert!(page.contains("θ written as t 1 of 2"), "{page}");
    assert!(
        page.contains("Asked for (down) and written (along)"),
        "{page}"
    );
    let svg = folder.0.join("table.svg");
    run(&["confusions", &path, "--svg", svg.to_str().unwrap()], "");
    assert!(std::fs::read_to_string(svg).unwrap().contains("<svg"));
}

#[test]
fn a_class_is_analysed_and_its_answer_sheets_are_handed_out() {
    let sheet = text(
        &run(
            &[
                "assign",
                "--set",
                "plain-words",
                "--count",
                "2",
                "--learner",
                "A",
                "--learner",
                "B",
            ],
            "",
        )
        .stdout,
    );
    let mut rows: Vec<String> = sheet.lines().map(str::to_owned).collect();
    assert_eq!(rows[0], "set\titem\tlearner\ttask\tgiven\tanswer");
    assert_eq!(rows.len(), 5);
    for (row, answer) in rows[1..].iter_mut().zip(["pɛn", "bɛd", "pɛn", "bɛt"]) {
        row.push_str(answer);
    }
    let folder = Folder::new();
    let path = folder.file("answers.tsv", rows.join("\n").as_bytes());
    let told = run(&["class", &path, "--format", "json"], "");
    let class: Value = serde_json::from_slice(&told.stdout).unwrap();
    // Pen: both right; bed: one of two, who is the better one.
    assert_eq!(class["items"][0]["difficulty"], 1.0);
    assert_eq!(class["items"][0]["point_biserial"], Value::Null);
    assert_eq!(class["items"][1]["difficulty"], 0.5);
    assert_eq!(class["items"][1]["point_biserial"], 1.0);
    assert_eq!(class["items"][1]["upper_lower"], 1.0);
    assert_eq!(class["items"][1]["wrong"][0]["answer"], "bɛt");
    let [a, b] = [0, 1].map(|at| class["learners"][at].clone());
    assert_eq!(
        (&a["agreed"], &a["places"], &b["agreed"]),
        (&6.into(), &6.into(), &5.into())
    );
    let table = text(&run(&["class", &path, "--format", "csv"], "").stdout);
    assert!(table.starts_with("set,item,answers,difficulty,credit,point_biserial"));
    assert_eq!(table.lines().count(), 3);
}

#[test]
fn a_session_on_a_terminal_is_recorded_and_shown() {
    let state = Folder::new();
    let record = state.0.join("mine.jsonl");
    let mut desk = Desk::open(&state);
    let record = record.to_str().unwrap();
    desk.press(&format!(
        "practice --set first-consonants --count 1 --record {record}\r"
    ));
    desk.until("the exercise", |screen| {
        screen.last_row().contains("answer>")
    });
    // Words are typed as they are here, and Tab completes them.
    desk.press("voicel\t bilab\t plosive\r");
    desk.until("the end", |screen| {
        screen.text().contains("1 answer: 1 right")
            && screen.last_row().contains("apical>")
    });
    desk.leave();
    assert_eq!(std::fs::read_to_string(record).unwrap().lines().count(), 1);
}
