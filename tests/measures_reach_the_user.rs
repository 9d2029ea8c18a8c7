//! What `analyze` says of the measures: every figure with its numerator, its denominator, its
//! rules and what was left out. Counts were made by hand on the rows beside them.

use serde_json::Value;

use crate::program::analyzed;

fn json(sheet: &str, name: &str, rules: &[&str]) -> Value {
    let mut arguments = vec!["--format", "json"];
    for rule in rules {
        arguments.extend(["--measure-rule", rule]);
    }
    let (out, err, status) = analyzed(sheet, name, &arguments);
    assert_eq!((status, err.as_str()), (0, ""), "{sheet}");
    serde_json::from_str(&out).unwrap()
}

/// Numerator and denominator of a measure.
fn share(analysis: &Value, name: &str) -> (u64, u64) {
    let measures = analysis["measures"].as_array().unwrap();
    let it = measures.iter().find(|it| it["name"] == name).expect(name);
    let number = |field: &str| it[field].as_u64().unwrap();
    (number("numerator"), number("denominator"))
}

/// The rows left out for a cause.
fn left_out(analysis: &Value, cause: &str) -> Vec<u64> {
    let all = analysis["measured"]["left_out"].as_array().unwrap();
    let it = all.iter().find(|it| it["cause"] == cause);
    it.map_or(Vec::new(), |it| {
        let rows: Vec<u64> = it["rows"]
            .as_array()
            .unwrap()
            .iter()
            .map(|row| row.as_u64().unwrap())
            .collect();
        assert_eq!(it["count"], rows.len());
        rows
    })
}

const SHEET: &str = "word\ttarget\tproduction\n\
    think\tθɪŋk\tsɪŋk\n\
    bag\tbæɡ\tbæk\n\
    sun\tsʌn\t[s̪ʌn]\n\
    cat\tkæt\txxx\n\
    dog\tdɔɡ\t\n\
    red\tɹɛd\tNR\n\
    blue\tblu\tbəlu\n\
    cat\tkæt\t[xxx]\n\
    hat\thæt\t[hæt\n\
    Kwilby\t\tsɪŋk\n";

#[test]
fn every_figure_has_its_chances() {
    let analysis = json(SHEET, "measured.tsv", &[]);
    // Consonants: θŋk, bɡ, sn, bl; wrong are θ, ɡ and, off in detail, s.
    assert_eq!(share(&analysis, "PCC"), (6, 9));
    assert_eq!(share(&analysis, "PCC-A"), (7, 9));
    assert_eq!(share(&analysis, "PCC-R"), (7, 9));
    assert_eq!(share(&analysis, "PVC"), (4, 4));
    assert_eq!(share(&analysis, "PPC"), (10, 13));
    assert_eq!(share(&analysis, "whole-word correctness"), (0, 4));
    // Wanted 7 + 5 + 5 + 5; said 4 + 2, 3 + 1, 3 + 1 and, its added vowel unseen, 3 + 2.
    assert_eq!(share(&analysis, "PWP"), (19, 22));
    assert_eq!(share(&analysis, "PMLU"), (19, 4));
}

#[test]
fn what_does_not_count_is_named_with_its_cause() {
    let analysis = json(SHEET, "left-out.tsv", &[]);
    assert_eq!(analysis["measured"]["items"], 4);
    assert_eq!(left_out(&analysis, "unintelligible"), [5, 9]);
    assert_eq!(left_out(&analysis, "no response"), [6, 7]);
    assert_eq!(left_out(&analysis, "unreadable"), [10]);
    assert_eq!(left_out(&analysis, "no target"), [11]);
    let (out, _, _) = analyzed(SHEET, "left-out.tsv", &["--width", "400"]);
    let wanted = "Counted over 4 rows; left out: 2 unintelligible (rows 5, 9), \
                  2 no response (rows 6, 7), 1 no target (row 11), 1 unreadable (row 10).";
    assert!(out.contains(wanted), "{out}");
    assert!(out.contains("row 5     cat: not understood (xxx)"), "{out}");
}

#[test]
fn a_phrase_with_a_word_not_understood_leaves_whole() {
    let sheet = "target\tproduction\nðə kæt\tðə xxx\nkæt\tkæt\n";
    let analysis = json(sheet, "phrase.tsv", &[]);
    assert_eq!(share(&analysis, "PCC"), (2, 2));
    let reason = analysis["left_out"][0]["reason"].as_str().unwrap();
    assert!(reason.contains("give each word a row"), "{reason}");
}

#[test]
fn repetitions_are_left_out_unless_asked_for() {
    let row = "cat\tkæt\tkæt\n";
    let sheet = format!("word\ttarget\tproduction\n{}", row.repeat(4));
    let analysis = json(&sheet, "again.tsv", &[]);
    assert_eq!(share(&analysis, "PCC"), (4, 4));
    assert_eq!(left_out(&analysis, "further repetition"), [4, 5]);
    let all = json(&sheet, "again.tsv", &["every-repetition=yes"]);
    assert_eq!(share(&all, "PCC"), (8, 8));
}

#[test]
fn rules_that_sources_disagree_on_are_switches() {
    let strict = json(SHEET, "switched.tsv", &["added-vowel-counts=yes"]);
    assert_eq!(share(&strict, "PCC"), (5, 9));
    let mild = json(SHEET, "switched.tsv", &["final-devoicing-counts=no"]);
    assert_eq!(share(&mild, "PCC"), (7, 9));
    let rules = mild["measures"][0]["rules"].as_str().unwrap();
    assert!(rules.ends_with("; final-devoicing-counts=no"), "{rules}");
    let switches = mild["measured"]["switches"].as_array().unwrap();
    let odd: Vec<&Value> = switches.iter().filter(|it| it["usual"] == false).collect();
    assert_eq!(odd.len(), 1);
    let three = json(SHEET, "switched.tsv", &["inventory-words=1"]);
    let inventory = three["measured"]["inventory"].as_array().unwrap();
    let heard = |sound: &str| inventory.iter().find(|it| it["sound"] == sound).unwrap();
    assert_eq!(heard("ŋ")["established"], true);
    assert_eq!(heard("θ")["established"], false);
    assert_eq!(heard("θ")["wanted"], 1);
}

#[test]
fn a_rule_typed_wrong_says_what_there_is() {
    for (rule, reason, remedy) in [
        (
            "added-tone-counts=yes",
            "no rule of the measures has this name",
            "final-devoicing-counts=yes",
        ),
        (
            "final-devoicing-counts",
            "final-devoicing-counts has no value",
            "yes or no",
        ),
        (
            "final-devoicing-counts=maybe",
            "cannot be this",
            "yes or no",
        ),
        ("inventory-words=0", "cannot be this", "from 1 to 99"),
        ("=", "no rule", "inventory-words=2"),
    ] {
        let (out, err, status) = analyzed(SHEET, "typo.tsv", &["--measure-rule", rule]);
        assert_eq!((status, out.as_str()), (2, ""), "{rule}");
        assert!(err.contains(&format!("--measure-rule {rule}")), "{err}");
        assert!(
            err.contains(reason) && err.contains(remedy),
            "{rule}: {err}"
        );
    }
    let twice = ["h-is-fricative=no", "h-is-fricative=yes"];
    let arguments = twice.map(|it| ["--measure-rule", it]).concat();
    let (_, err, status) = analyzed(SHEET, "typo.tsv", &arguments);
    assert_eq!(status, 2);
    assert!(err.contains("set twice"), "{err}");
}

#[test]
fn classes_and_phonemes_add_up_to_all_sounds() {
    let analysis = json(SHEET, "groups.tsv", &[]);
    let groups = analysis["measured"]["groups"].as_array().unwrap();
    let sum = |by: &str, field: &str| -> u64 {
        let these = groups.iter().filter(|it| it["by"] == by);
        these.map(|it| it[field].as_u64().unwrap()).sum()
    };
    for by in ["class", "phoneme"] {
        assert_eq!((sum(by, "right"), sum(by, "of")), (10, 13), "{by}");
    }
    let group = |name: &str| groups.iter().find(|it| it["name"] == name).unwrap();
    // θ s: one is another sound, one off in detail.
    let fricatives = group("fricatives");
    assert_eq!(fricatives["of"], 2);
    assert_eq!(fricatives["wrong"], 1);
    assert_eq!(fricatives["distorted"], 1);
    // ŋk, ɡ and n are behind the last vowel.
    assert_eq!(group("final consonants")["of"], 4);
    assert_eq!(group("final consonants")["right"], 3);
    // ŋk and bl.
    assert_eq!(group("consonants in clusters")["of"], 4);
}

#[test]
fn a_sheet_without_a_row_that_counts_has_no_values() {
    let sheet = "word\ttarget\tproduction\ncat\tkæt\txxx\n";
    let analysis = json(sheet, "none.tsv", &[]);
    for measure in analysis["measures"].as_array().unwrap() {
        assert_eq!(measure["value"], Value::Null);
        assert!(
            measure["note"]
                .as_str()
                .unwrap()
                .contains("denominator is zero")
        );
    }
    let (out, _, _) = analyzed(sheet, "none.tsv", &["--measures"]);
    assert!(out.contains("–"), "{out}");
}

#[test]
fn no_figure_comes_with_a_verdict() {
    let (out, _, _) = analyzed(SHEET, "verdict.tsv", &["--measures"]);
    for word in [
        "mild", "moderate", "severe", "normal", "delayed", "impaired",
    ] {
        assert!(!out.contains(word), "{word}");
    }
    assert!(out.contains("no norm, no severity, no diagnosis"), "{out}");
}
