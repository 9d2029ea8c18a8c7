//! A corpus checked in pieces on Apache Spark gets the answers that one process gives.
//!
//! Needs Java and a `python3` that imports `pyspark`; without them the test says so and
//! passes.

use std::process::Command;

use serde_json::{Value, json};

use crate::outside::Table;

/// What both must agree on: Spark's lines come by their number as `id`.
fn kept(text: &str, number: &str) -> Vec<Value> {
    let objects = text.lines().map(|line| {
        let object: Value = serde_json::from_str(line).expect(line);
        let mut diagnostics = object["diagnostics"].clone();
        for diagnostic in diagnostics.as_array_mut().expect("a list") {
            diagnostic
                .as_object_mut()
                .expect("an object")
                .remove("place");
        }
        json!([object[number], object["text"], object["valid"], diagnostics])
    });
    objects.collect()
}

#[test]
fn on_published_words_with_faults() {
    let there = Command::new("python3")
        .args(["-c", "import pyspark"])
        .output();
    if !there.is_ok_and(|output| output.status.success()) {
        println!("left out: there is no pyspark here");
        return;
    }
    let folder =
        std::env::temp_dir().join(format!("apical-spark-test-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder");
    let mut corpus = String::new();
    for row in Table::read("wordlists/eng-us-narrow.tsv")
        .rows()
        .take(3_000)
    {
        let word = row.cell("transcription").replace([' ', '/'], "");
        corpus.push_str(&word.replace('ː', ":"));
        corpus.push_str(if corpus.len().is_multiple_of(7) {
            "\n\n"
        } else {
            "\n"
        });
    }
    let path = folder.join("corpus.txt");
    std::fs::write(&path, &corpus).expect("a corpus");
    let alone = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(["check", "--format", "json", "--faults-only", "--file"])
        .arg(&path)
        .output()
        .expect("the program runs");
    let alone = String::from_utf8(alone.stdout).expect("UTF-8");
    let recipe = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/recipe/spark.py");
    let spark = Command::new("python3")
        .arg(recipe)
        .args(["--partitions", "5", "--program"])
        .arg(env!("CARGO_BIN_EXE_apical"))
        .arg(&path)
        .arg(folder.join("answers"))
        .env("PYSPARK_SUBMIT_ARGS", "--master local[2] pyspark-shell")
        .output()
        .expect("python3 runs");
    assert!(
        spark.status.success(),
        "{}",
        String::from_utf8_lossy(&spark.stderr)
    );
    let parts = std::fs::read_dir(folder.join("answers")).expect("answers");
    let mut parts: Vec<_> = parts.map(|part| part.expect("a file").path()).collect();
    parts.retain(|part| {
        let name = part.file_name().unwrap_or_default().to_string_lossy();
        name.starts_with("part-")
    });
    parts.sort();
    assert!(parts.len() >= 5, "{parts:?}");
    let together: String = parts
        .iter()
        .map(|part| std::fs::read_to_string(part).expect("a part"))
        .collect();
    let (alone, together) = (kept(&alone, "line"), kept(&together, "id"));
    assert!(alone.len() > 10, "faults to compare: {}", alone.len());
    assert_eq!(together, alone);
    let _ = std::fs::remove_dir_all(&folder);
}
