//! Over time: before and after are counted on the same words, what was said after a cue is
//! never added to what was said alone, and a word that was practised is no probe.
//!
//! Every figure here is counted by hand from what the sessions say.

use apical::record::{Item, Outcome, Planned, SessionKind};
use serde_json::{Value, json};

use crate::program::{apical, told};
use crate::records::{caseload_of, client};
use crate::terminal::Folder;

/// Words with their targets.
const TARGETS: [(&str, &str); 7] = [
    ("think", "θɪŋk"),
    ("bath", "bæθ"),
    ("see", "si"),
    ("zoo", "zu"),
    ("thin", "θɪn"),
    ("past", "pæst"),
    ("passed", "pæst"),
];

/// A word as it was said: production, attempt, cue.
type Heard<'a> = (&'a str, &'a str, u32, u32);

/// A caseload with one client and sessions: kind, list, day of the month, what was said.
fn case(
    folder: &Folder,
    sessions: &[(SessionKind, &str, u32, &[Heard<'_>])],
) -> std::path::PathBuf {
    let (mut caseload, path) = caseload_of(folder, &client());
    for (kind, list, day, heard) in sessions {
        let began = format!("2026-03-{day:02}T09:00:00Z");
        let mut words: Vec<&str> = heard.iter().map(|it| it.0).collect();
        words.dedup();
        let target = |word: &str| {
            let known = TARGETS.iter().find(|it| it.0 == word).expect("a target");
            known.1.to_owned()
        };
        let planned: Vec<Planned> = words
            .iter()
            .zip(1..)
            .map(|(word, position)| Planned {
                position,
                word: (*word).to_owned(),
                target: target(word),
                ..Planned::default()
            })
            .collect();
        let session = caseload
            .begin_list("K-07", *kind, list, &began, &planned)
            .unwrap();
        for (word, said, attempt, cue) in *heard {
            let place = planned.iter().find(|it| it.word == *word).unwrap();
            let item = Item {
                position: place.position,
                word: place.word.clone(),
                target: place.target.clone(),
                production: (!said.is_empty()).then(|| (*said).to_owned()),
                outcome: if said.is_empty() {
                    Outcome::NoResponse
                } else {
                    Outcome::Said
                },
                attempt: *attempt,
                pass: 1,
                cue: *cue,
                at: began.clone(),
                ..Item::default()
            };
            caseload.record(session, &item).unwrap();
        }
    }
    path
}

fn progress(path: &std::path::Path, more: &[&str]) -> String {
    let mut run = apical(&["progress", "K-07", "--width", "80"]);
    let (page, errors, status) = told(run.args(more).env("APICAL_CASELOAD", path));
    assert_eq!((errors.as_str(), status), ("", 0));
    page
}

fn figures(path: &std::path::Path) -> Value {
    serde_json::from_str(&progress(path, &["--format", "json"])).expect("JSON")
}

fn share(right: u32, of: u32) -> Value {
    json!([right, of])
}

/// A count of the JSON without what follows from it.
fn short(count: &Value) -> Value {
    json!([count["right"], count["of"]])
}

use SessionKind::{List, Probe};

#[test]
fn before_and_after_are_the_first_and_the_last_time_on_one_list() {
    let folder = Folder::new();
    let path = case(
        &folder,
        &[
            (
                List,
                "th",
                2,
                &[
                    ("think", "tɪŋk", 1, 0),
                    ("bath", "bæt", 1, 0),
                    ("see", "si", 1, 0),
                ],
            ),
            // Between them another list, far easier: it must not count as an after.
            (List, "easy", 9, &[("zoo", "zu", 1, 0)]),
            (
                List,
                "th",
                16,
                &[
                    ("think", "θɪŋk", 1, 0),
                    ("bath", "bæt", 1, 0),
                    ("see", "si", 1, 0),
                ],
            ),
            (
                List,
                "th",
                23,
                &[
                    ("think", "θɪŋk", 1, 0),
                    ("bath", "bæθ", 1, 0),
                    ("see", "ti", 1, 0),
                ],
            ),
            (List, "last", 30, &[("zoo", "su", 1, 0)]),
        ],
    );
    let all = figures(&path);
    let compared = all["practised"]["comparisons"].as_array().unwrap();
    assert_eq!(compared.len(), 1, "{compared:?}");
    let th = &compared[0];
    assert_eq!(
        th["before"],
        json!({"list": "th", "began": "2026-03-02T09:00:00Z"})
    );
    assert_eq!(
        th["after"],
        json!({"list": "th", "began": "2026-03-23T09:00:00Z"})
    );
    assert_eq!(th["same_list"], true);
    assert_eq!((&th["items"], &th["of"]), (&json!(3), &json!([3, 3])));
    assert_eq!(short(&th["words"][0]), share(1, 3));
    assert_eq!(short(&th["words"][1]), share(2, 3));
    assert_eq!((&th["gained"], &th["lost"]), (&json!(2), &json!(1)));
    let theta = &th["targets"][0];
    assert_eq!(theta["target"], "θ");
    assert_eq!(short(&theta["before"]), share(0, 2));
    assert_eq!(short(&theta["after"]), share(2, 2));
    let page = progress(&path, &[]);
    for words in [
        "before and after on the same list, th",
        "3 words, 2026-03-02 and 2026-03-23",
        "1/3 (33 %) → 2/3 (67 %); 1 as intended only before, 2",
        "only after\n",
        "θ                       0/2 (0 %) → 2/2 (100 %)",
        "last 0/1 (0 %), all 6/11 (55 %)",
    ] {
        assert!(page.contains(words), "{words} in\n{page}");
    }
}

#[test]
fn of_a_list_that_changed_only_the_words_of_both_sessions_count() {
    let folder = Folder::new();
    let path = case(
        &folder,
        &[
            (
                List,
                "th",
                2,
                &[
                    ("think", "tɪŋk", 1, 0),
                    ("bath", "bæt", 1, 0),
                    ("zoo", "", 1, 0),
                ],
            ),
            (
                List,
                "th",
                9,
                &[
                    ("see", "si", 1, 0),
                    ("think", "θɪŋk", 1, 0),
                    ("zoo", "zu", 1, 0),
                ],
            ),
        ],
    );
    let page = progress(&path, &[]);
    for words in [
        "the words that both sessions on th have",
        "1 word of 2 and 3, 2026-03-02 and 2026-03-09",
        "0/1 (0 %) → 1/1 (100 %)",
        "left out: 1 item (nothing said, skipped or unreadable)",
    ] {
        assert!(page.contains(words), "{words} in\n{page}");
    }
}

#[test]
fn where_no_list_came_again_the_words_in_common_are_named() {
    let folder = Folder::new();
    let path = case(
        &folder,
        &[
            (
                List,
                "one",
                2,
                &[("think", "tɪŋk", 1, 0), ("see", "si", 1, 0)],
            ),
            (
                List,
                "two",
                9,
                &[("think", "θɪŋk", 1, 0), ("see", "si", 1, 0)],
            ),
            (
                List,
                "three",
                16,
                &[("see", "ti", 1, 0), ("zoo", "zu", 1, 0)],
            ),
        ],
    );
    let page = progress(&path, &[]);
    let words = "no list was said twice: the words that one and two have in common";
    assert!(page.contains(words), "{page}");
    assert!(page.contains("1/2 (50 %) → 2/2 (100 %)"), "{page}");
    // Without a word in common nothing is compared.
    let folder = Folder::new();
    let path = case(
        &folder,
        &[
            (List, "one", 2, &[("think", "tɪŋk", 1, 0)]),
            (List, "two", 9, &[("see", "si", 1, 0)]),
        ],
    );
    let all = figures(&path);
    assert_eq!(all["practised"]["comparisons"], json!([]));
    assert!(!progress(&path, &[]).contains('→'));
}

#[test]
fn what_was_said_after_a_cue_is_counted_apart() {
    let folder = Folder::new();
    let path = case(
        &folder,
        &[
            (
                List,
                "th",
                2,
                &[
                    ("think", "tɪŋk", 1, 0),
                    // The same word once more, after a model: it came.
                    ("think", "θɪŋk", 2, 2),
                    ("bath", "bæθ", 1, 1),
                    ("thin", "tɪn", 1, 3),
                    ("see", "si", 1, 0),
                ],
            ),
            (
                List,
                "th",
                9,
                &[
                    ("think", "θɪŋk", 1, 0),
                    ("bath", "bæt", 1, 0),
                    ("thin", "θɪn", 1, 1),
                    ("see", "si", 1, 0),
                ],
            ),
        ],
    );
    let all = figures(&path);
    let words = &all["practised"]["words"];
    let of = |name: &str| -> Vec<Value> {
        words[name].as_array().unwrap().iter().map(short).collect()
    };
    assert_eq!(of("counts"), [share(1, 2), share(2, 3)]);
    assert_eq!(of("cued"), [share(2, 3), share(1, 1)]);
    assert_eq!(all["practised"]["not_counted"], 0);
    // Alone both times: think and see.
    let th = &all["practised"]["comparisons"][0];
    assert_eq!((&th["items"], &th["of"]), (&json!(2), &json!([2, 3])));
    assert_eq!(short(&th["words"][1]), share(2, 2));
    let page = progress(&path, &[]);
    assert!(
        page.contains("all 3/5 (60 %); with cue 3/4 (75 %)"),
        "{page}"
    );
    assert!(page.contains("first attempts, alone"), "{page}");
}

#[test]
fn a_word_that_was_practised_is_no_probe() {
    let folder = Folder::new();
    let path = case(
        &folder,
        &[
            (
                Probe,
                "new",
                2,
                &[("think", "tɪŋk", 1, 0), ("thin", "tɪn", 1, 0)],
            ),
            (List, "th", 9, &[("think", "θɪŋk", 1, 0)]),
            (
                Probe,
                "new",
                16,
                &[("think", "θɪŋk", 1, 0), ("thin", "tɪn", 1, 0)],
            ),
        ],
    );
    let all = figures(&path);
    let words = &all["probes"]["words"]["counts"];
    assert_eq!(short(&words[0]), share(0, 2));
    assert_eq!(short(&words[1]), share(0, 1), "think was practised by then");
    assert_eq!(all["probes"]["practised_before"], 1);
    let page = progress(&path, &[]);
    assert!(
        page.contains("whose word had been practised before"),
        "{page}"
    );
    let probes = page.split("Words never practised").nth(1).unwrap();
    assert!(probes.contains("1 word of 2 and 1"), "{page}");
}

#[test]
fn words_that_sound_alike_are_counted_by_their_own_spelling() {
    let folder = Folder::new();
    let heard = [("past", "pæs", 1, 0), ("passed", "pæs", 1, 0)];
    let path = case(&folder, &[(List, "endings", 2, &heard)]);
    let all = figures(&path);
    let patterns = all["practised"]["patterns"].as_array().unwrap();
    let of = |name: &str| -> Option<Value> {
        let found = patterns.iter().find(|it| it["target"] == name)?;
        Some(short(&found["counts"][0]))
    };
    // Both lose a final consonant, but only one of them an ending.
    assert_eq!(of("final consonant deletion"), Some(share(0, 2)));
    assert_eq!(of("inflection loss (-s, -ed)"), Some(share(0, 1)));
}
