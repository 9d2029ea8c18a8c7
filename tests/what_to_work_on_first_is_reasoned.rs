//! What follows from a client's rules: an order of work with its factors, and the words that
//! the rules make alike.
//!
//! Expectations: worked by hand from the invented sheet, in which final obstruents are said
//! voiceless and æ as ɛ, so that bad falls together with bet, and had with head.

use std::process::Command;

use serde_json::Value;

fn analysis() -> Value {
    let output = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args([
            "analyze",
            "--format",
            "json",
            "tests/data/demo/word_list.tsv",
        ])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program runs");
    serde_json::from_slice(&output.stdout).expect("an object")
}

#[test]
fn the_factors_give_the_score_and_the_score_the_order() {
    let analysis = analysis();
    let wrong = analysis["errors"].as_array().unwrap().len();
    let mut before = f64::INFINITY;
    let mut seen = 0;
    for it in analysis["priorities"].as_array().unwrap() {
        let number = |name: &str| it[name].as_f64();
        let Some(load) = number("functional_load") else {
            continue;
        };
        let [errors, reach, score] =
            ["errors", "generalises", "score"].map(|name| number(name).unwrap());
        let product = errors / wrong as f64 * load * reach;
        assert!((product - score).abs() <= 1e-9 + product * 1e-6, "{it}");
        assert!(score <= before, "{it}");
        before = score;
        seen += 1;
    }
    assert!(seen >= 4);
}

#[test]
fn words_that_two_rules_make_alike_are_found() {
    let analysis = analysis();
    let pairs = analysis["homophones"].as_array().unwrap();
    for [one, other, said] in [["bad", "bet", "bɛt"], ["had", "head", "hɛt"]] {
        let is_it = |it: &&Value| {
            let words = [it["a"].as_str(), it["b"].as_str()];
            words.contains(&Some(one)) && words.contains(&Some(other))
        };
        let pair = pairs.iter().find(is_it).expect(one);
        assert_eq!(pair["as"], said);
    }
    for it in pairs {
        assert_ne!(it["a"], it["b"]);
    }
}

#[test]
fn a_rule_tells_its_counts_and_its_rows() {
    let analysis = analysis();
    let rules = analysis["rules"].as_array().unwrap();
    let rounded = rules
        .iter()
        .find(|it| it["rule"] == "w → v")
        .expect("w → v");
    assert_eq!(
        (
            &rounded["covers"],
            &rounded["chances"],
            &rounded["confidence"]
        ),
        (&8.into(), &8.into(), &"firm".into())
    );
    assert_eq!(rounded["rows"].as_array().unwrap().len(), 8);
}
