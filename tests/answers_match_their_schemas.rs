//! What is written is what the published schemas say: the program's own for JSON Lines, the
//! standard's for SARIF 2.1.0 (`tests/data/sarif/README.md`).

use std::process::Command;

use serde_json::Value;

fn apical(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program starts");
    assert_ne!(output.status.code(), Some(2), "{output:?}");
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// The schema with every field that it does not name forbidden, so that none is forgotten.
fn strict(schema: &mut Value) {
    match schema {
        Value::Object(fields) => {
            fields.values_mut().for_each(strict);
            if fields.get("properties").is_some_and(|own| own.is_object()) {
                fields.insert("additionalProperties".to_owned(), Value::Bool(false));
            }
        }
        Value::Array(items) => items.iter_mut().for_each(strict),
        _ => {}
    }
}

const ANSWERS: &str = "tests/data/practice/class.tsv";
const SHEET: &str = "tests/data/demo/word_list.tsv";
const FIRST: &str = "tests/data/demo/first_session.tsv";
const LEXICON: &str = "tests/data/formats/lexicon.pls";

#[test]
fn every_line_of_json_is_valid() {
    let mistakes = [
        "[pʰɪ̃n]",
        "/bed:/",
        "[t͡ʃɪ̥n",
        "˥˩",
        "[u\u{31F}\u{320}]",
        "",
        "|",
        "ɚ aɪ̯",
    ];
    let with = |arguments: &[&'static str]| [arguments, &mistakes[..]].concat();
    let cases = [
        ("check", with(&["check", "--format", "json"])),
        (
            "check",
            with(&["check", "--format", "json", "--alphabet", "x-sampa"]),
        ),
        (
            "check",
            vec!["check", "--format", "json", "--file", LEXICON],
        ),
        ("describe", with(&["describe", "--format", "json"])),
        (
            "describe",
            vec![
                "describe",
                "--format",
                "json",
                "--accent",
                "en-US",
                "[tʰaɪʔ˦]",
            ],
        ),
        (
            "describe",
            vec!["describe", "--format", "json", "--file", LEXICON],
        ),
        (
            "compare",
            vec!["compare", "--format", "json", "ˈθɪŋk.ə", "tɪŋˈk˥"],
        ),
        (
            "convert",
            with(&[
                "convert", "--format", "json", "--from", "ipa", "--to", "x-sampa",
            ]),
        ),
        ("explain", vec!["explain", "--format", "json"]),
        ("practice", vec!["practice", "--format", "json"]),
        ("mark", vec!["mark", ANSWERS, "--format", "json"]),
        (
            "confusions",
            vec!["confusions", ANSWERS, "--format", "json"],
        ),
        ("class", vec!["class", ANSWERS, "--format", "json"]),
        ("analyze", vec!["analyze", "--format", "json", SHEET]),
        ("analyze", vec!["analyze", "--format", "json", FIRST]),
        (
            "agree",
            vec![
                "agree",
                "--format",
                "json",
                FIRST,
                "tests/data/demo/second_listener.tsv",
            ],
        ),
        (
            "words",
            vec![
                "words",
                "θ",
                "--format",
                "json",
                "--hold-back",
                "4",
                "-n",
                "30",
            ],
        ),
        ("words", vec!["words", "--format", "json", "--names-too"]),
        (
            "pairs",
            vec!["pairs", "æ", "ɛ", "--format", "json", "-n", "all"],
        ),
        (
            "pairs",
            vec!["pairs", "θ", "ð", "--near", "--format", "json"],
        ),
        (
            "pairs",
            vec!["pairs", "--set", "i", "ɪ", "æ", "--format", "json"],
        ),
        (
            "sample",
            vec![
                "sample",
                "--format",
                "json",
                "tests/data/demo/word_list.tsv",
            ],
        ),
    ];
    for (command, arguments) in cases {
        let mut schema: Value =
            serde_json::from_str(&apical(&["schema", command])).expect("JSON");
        jsonschema::meta::validate(&schema).expect("a schema");
        strict(&mut schema);
        let validator = jsonschema::validator_for(&schema).expect("a schema");
        let answer = apical(&arguments);
        assert!(!answer.is_empty(), "{arguments:?}");
        for line in answer.lines() {
            let value: Value = serde_json::from_str(line).expect(line);
            let faults: Vec<String> = validator
                .iter_errors(&value)
                .map(|one| one.to_string())
                .collect();
            assert!(faults.is_empty(), "{arguments:?}: {faults:?}: {line}");
        }
        assert!(!validator.is_valid(&serde_json::json!({"version": 0})));
    }
}

#[test]
fn sarif_is_valid() {
    let root = env!("CARGO_MANIFEST_DIR");
    let path = format!("{root}/tests/data/sarif/sarif-schema-2.1.0.json");
    let schema = std::fs::read_to_string(path).expect("the schema");
    let schema: Value = serde_json::from_str(&schema).expect("JSON");
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    for (arguments, results) in [
        (&["check", "--format", "sarif", "--file", LEXICON][..], 1),
        (
            &["check", "--format", "sarif", "/bed:/", "[pæn]", "[t͡ʃɪ̥n"],
            2,
        ),
        (&["check", "--format", "sarif", "[pæn]"], 0),
        (
            &[
                "check",
                "--format",
                "sarif",
                "--in-text",
                "--file",
                "tests/data/formats/notes.md",
            ],
            1,
        ),
    ] {
        let log: Value = serde_json::from_str(&apical(arguments)).expect("JSON");
        let faults: Vec<String> = validator
            .iter_errors(&log)
            .map(|one| one.to_string())
            .collect();
        assert!(faults.is_empty(), "{arguments:?}: {faults:?}");
        let found = log["runs"][0]["results"].as_array().expect("a list");
        assert_eq!(found.len(), results, "{arguments:?}");
        for finding in found {
            let index = usize::try_from(finding["ruleIndex"].as_u64().expect("a number"))
                .unwrap();
            let rules = &log["runs"][0]["tool"]["driver"]["rules"];
            assert_eq!(rules[index]["id"], finding["ruleId"]);
        }
    }
}

#[test]
fn completions_and_manuals_name_every_command() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = apical(&["completions", shell]);
        for word in ["check", "describe", "dry-run", "in-text"] {
            assert!(script.contains(word), "{shell}: {word}");
        }
    }
    let manual = apical(&["manual"]);
    assert!(manual.contains(".TH apical 1"), "{manual}");
    assert!(apical(&["manual", "check"]).contains("column"));
}
