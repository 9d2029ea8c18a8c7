//! What other programs may rely on in `apical compare`.

use std::io::Write;
use std::process::{Command, Stdio};

use serde_json::{Value, json};

/// Runs the program on some input and reads what it writes.
fn compare(arguments: &[&str], input: &str) -> Vec<Value> {
    let mut child = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(["compare", "--format", "json"])
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::inherit())
        .spawn()
        .expect("the program starts");
    child
        .stdin
        .take()
        .expect("a pipe")
        .write_all(input.as_bytes())
        .expect("it reads");
    let output = child.wait_with_output().expect("the program ends");
    assert_eq!(output.status.code(), Some(0));
    std::str::from_utf8(&output.stdout)
        .expect("UTF-8")
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect()
}

/// The segments of one side, put together from the columns.
fn joined(object: &Value, side: &str) -> String {
    let columns = object["columns"].as_array().expect("a list");
    columns
        .iter()
        .filter_map(|column| column[side].as_str())
        .collect()
}

#[test]
fn the_contracts_example_holds() {
    let pairs = "id\ttarget\tproduction\n\n7\t/θɪŋk/\t[t̪ɪŋk]\n";
    let objects = compare(&["--pairs", "-"], pairs);
    assert_eq!(objects.len(), 1);
    let object = &objects[0];
    assert_eq!(object["version"], 1);
    assert_eq!(object["id"], "7");
    assert_eq!(object["line"], 3);
    assert_eq!(object["target"], "/θɪŋk/");
    assert_eq!(object["production"], "[t̪ɪŋk]");
    assert_eq!(object["diagnostics"], json!([]));
    assert!(object["distance"].as_u64().expect("a whole number") > 0);
    let first = &object["columns"][0];
    assert_eq!(first["target"], "θ");
    assert_eq!(first["production"], "t̪");
    assert_eq!(first["kind"], "substitution");
    let manner =
        json!({"feature": "manner", "target": "fricative", "production": "plosive"});
    let differences = first["differences"].as_array().expect("a list");
    assert!(differences.contains(&manner), "{differences:?}");
    let second = &object["columns"][1];
    assert_eq!(second["target"], "ɪ");
    assert_eq!(second["production"], "ɪ");
    assert_eq!(second["kind"], "match");
    assert_eq!(second["differences"], json!([]));
    // Where it stands: common terms of the field.
    assert_eq!(second["position"], "medial");
    assert_eq!(second["syllable_part"], "nucleus");
    assert_eq!(second["stressed"], true);
    let last = &object["columns"][3];
    assert_eq!(last["position"], "final");
    assert_eq!(last["syllable_part"], "coda");
    assert_eq!((&last["slot"], &last["cluster"]), (&json!(2), &json!(2)));
    assert_eq!(object["columns"].as_array().map(Vec::len), Some(4));
}

#[test]
fn differences_come_in_the_order_of_the_contract() {
    const ORDER: [&str; 19] = [
        "voicing",
        "phonation",
        "place",
        "manner",
        "lateral",
        "nasalized",
        "airstream",
        "release",
        "height",
        "backness",
        "rounded",
        "rhotic",
        "syllabic",
        "length",
        "secondary",
        "jaw",
        "lips",
        "tongue",
        "contact",
    ];
    for (target, production) in [
        ("tʰ", "ɓ̰ʷ"),
        ("i", "õ̞ːʷ"),
        ("ɹ̩", "l"),
        ("s", "ʃʷ"),
        ("ɚ", "a̤"),
        ("k", "ǃ"),
        ("n", "t̚"),
    ] {
        let objects = compare(&[target, production], "");
        for column in objects[0]["columns"].as_array().expect("a list") {
            let places: Vec<usize> = column["differences"]
                .as_array()
                .expect("a list")
                .iter()
                .map(|difference| {
                    let name = difference["feature"].as_str().expect("a name");
                    assert_ne!(difference["target"], difference["production"], "{name}");
                    ORDER.iter().position(|known| *known == name).unwrap_or_else(|| {
                        panic!("{target} {production}: no feature of the contract: {name}")
                    })
                })
                .collect();
            assert!(places.is_sorted(), "{target} {production}: {places:?}");
        }
    }
}

#[test]
fn equal_sounds_are_no_distance_apart_and_distance_has_no_direction() {
    let pairs =
        "target\tproduction\n/ˈtit͡ʃɚ/\t[tit͡ʃɚ]\n/θɪŋk/\t[siŋ]\n/siŋ/\t[θɪŋk]\nã\tã\n";
    let distances: Vec<u64> = compare(&["--pairs", "-"], pairs)
        .iter()
        .map(|object| object["distance"].as_u64().expect("a whole number"))
        .collect();
    assert_eq!(distances[0], 0);
    assert!(distances[1] > 0);
    assert_eq!(distances[1], distances[2]);
    assert_eq!(distances[3], 0);
}

#[test]
fn each_side_is_given_back_once_in_order() {
    let pairs =
        "target,production\n/ˈmʌðɚ/,[ˈmad̪ɛɾ]\n/stɹit/,[ɛsˈtɾi]\n/a͡ɪ/,[a ɪ ˥˩]\n,t\nt,\n";
    for arguments in [
        &["--pairs", "-"][..],
        &["--pairs", "-", "--accent", "en-US"],
    ] {
        let objects = compare(arguments, pairs);
        let expected = [
            ("mʌðɚ", "mad̪ɛɾ"),
            ("stɹit", "ɛstɾi"),
            ("a͡ɪ", "aɪ˥˩"),
            ("", "t"),
            ("t", ""),
        ];
        assert_eq!(objects.len(), expected.len());
        for (object, (target, production)) in objects.iter().zip(expected) {
            assert_eq!(joined(object, "target"), target);
            assert_eq!(joined(object, "production"), production);
        }
    }
}

#[test]
fn without_an_accent_a_column_holds_one_sound_a_side() {
    let objects = compare(&["/t͡ʃa͡ɪld/", "[tʃaɪəld]"], "");
    for column in objects[0]["columns"].as_array().expect("a list") {
        let production = column["production"].as_str().unwrap_or("x");
        assert_eq!(production.chars().count(), 1, "{column}");
    }
}

#[test]
fn stress_on_another_vowel_stands_in_prosody() {
    let objects = compare(&["/hoʊˈtɛl/", "[ˈhotɛl]"], "");
    let prosody = &objects[0]["prosody"];
    assert_eq!(prosody[0]["feature"], "primary stress");
    assert!(prosody[0]["target"].is_u64() && prosody[0]["production"].is_u64());
    assert_ne!(prosody[0]["target"], prosody[0]["production"]);
    // A consonant gained before the vowel moves no stress.
    let objects = compare(&["/ˈskul/", "[ɛsˈkul]"], "");
    assert_eq!(objects[0]["prosody"], json!([]));
    // On a word of one syllable stress goes without saying (common practice, no source).
    let objects = compare(&["/skul/", "[ɛsˈkul]"], "");
    assert_eq!(objects[0]["prosody"], json!([]));
}

#[test]
fn faults_name_their_side() {
    let objects = compare(&["/bed:/", "[kæt"], "");
    let sides: Vec<&str> = objects[0]["diagnostics"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|fault| fault["side"].as_str())
        .collect();
    assert_eq!(sides, ["target", "production"]);
}

#[test]
fn a_table_may_come_as_commas_or_tabs_or_objects() {
    let form =
        |arguments: &[&str], input: &str| compare(arguments, input)[0]["columns"].clone();
    let tabs = form(&["--pairs", "-"], "target\tproduction\nθ\tt\n");
    let commas = form(&["--pairs", "-"], "production,target\r\nt,θ\r\n");
    let objects = form(
        &["--pairs", "-", "--input", "json"],
        "{\"production\":\"t\",\"target\":\"θ\",\"id\":[1]}\n",
    );
    assert_eq!(tabs, commas);
    assert_eq!(tabs, objects);
}
