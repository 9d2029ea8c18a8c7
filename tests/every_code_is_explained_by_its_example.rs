//! The register of diagnostics keeps its word: every code can be explained, and the example
//! it gives has that fault.

use std::process::Command;

use serde_json::Value;

fn apical(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(arguments)
        .output()
        .expect("the program starts");
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn objects(text: &str) -> Vec<Value> {
    text.lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect()
}

#[test]
fn every_example_has_its_fault() {
    let entries = objects(&apical(&["explain", "--format", "json"]));
    assert!(entries.len() > 50);
    let shown: Vec<(&str, &str)> = entries
        .iter()
        .map(|entry| {
            let text = |field: &str| entry[field].as_str().expect("a string");
            (text("code"), text("example"))
        })
        .filter(|(_, example)| !example.is_empty())
        .collect();
    // With an accent, which some codes need; the others are found all the same.
    let mut arguments = vec!["check", "--format", "json", "--accent", "en-US", "--"];
    arguments.extend(shown.iter().map(|(_, example)| *example));
    let checked = objects(&apical(&arguments));
    assert_eq!(checked.len(), shown.len());
    let mut missed = Vec::new();
    for ((code, example), object) in shown.iter().zip(&checked) {
        let found: Vec<&str> = object["diagnostics"]
            .as_array()
            .expect("a list")
            .iter()
            .filter_map(|fault| fault["code"].as_str())
            .collect();
        if !found.contains(code) {
            missed.push(format!("{code}: {example} has {found:?}"));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

#[test]
fn every_code_has_a_page_of_its_own() {
    for entry in objects(&apical(&["explain", "--format", "json"])) {
        let code = entry["code"].as_str().expect("a string");
        let page = apical(&["explain", code]);
        assert!(page.starts_with(code), "{page}");
        let explanation = entry["explanation"].as_str().expect("a string");
        let first: String = explanation.split(' ').take(4).collect::<Vec<_>>().join(" ");
        assert!(page.contains(&first), "{page}");
    }
}

#[test]
fn a_name_that_is_none_leads_to_ones_that_are() {
    let output = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(["explain", "stress-double"])
        .output()
        .expect("the program starts");
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).expect("UTF-8");
    assert!(said.contains("stress-doubled"), "{said}");
}
