//! A word list wrapped into a lexicon, speech markup, CSV, JSON Lines, HTML or prose gets
//! the verdicts of the same list line by line, and every fault is placed on the bytes it
//! is about.
//!
//! The lines themselves are the expectation. The wrapping is written here, by the
//! standards: PLS 1.0, SSML 1.1, RFC 4180, RFC 8259.

use std::path::PathBuf;
use std::process::Command;

use serde_json::Value;

use crate::outside::Table;

fn scratch(name: &str, content: &str) -> PathBuf {
    let name = format!("apical-formats-{}-{name}", std::process::id());
    let path = std::env::temp_dir().join(name);
    std::fs::write(&path, content).expect("a scratch file");
    path
}

fn check(path: &PathBuf, options: &[&str]) -> Vec<Value> {
    let output = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(["check", "--format", "json", "--file"])
        .arg(path)
        .args(options)
        .output()
        .expect("the program starts");
    assert_ne!(output.status.code(), Some(2), "{output:?}");
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    let objects = text
        .lines()
        .map(|line| serde_json::from_str(line).expect(line));
    objects.collect()
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('"', "&quot;")
}

/// Every third word with a colon for its length mark, so that there are faults to place.
fn words() -> Vec<String> {
    let lists = [
        "eng-uk-broad",
        "eng-us-broad",
        "eng-us-narrow",
        "eng-us-stress",
        "other-languages",
    ];
    let mut words = Vec::new();
    for list in lists {
        for row in Table::read(&format!("wordlists/{list}.tsv")).rows() {
            let word = row.cell("transcription").trim_matches('/').replace(' ', "");
            let spoilt = words.len() % 3 == 0;
            words.push(if spoilt {
                word.replace('ː', ":") + "&<"
            } else {
                word
            });
        }
    }
    words.retain(|word| !word.trim().is_empty());
    words
}

#[test]
fn every_wrapping_gives_the_same_verdicts() {
    let words = words();
    let joined = |wrap: &dyn Fn(&str) -> String| -> String {
        words.iter().map(|word| wrap(word)).collect()
    };
    let lines = scratch("l.txt", &joined(&|word| format!("{word}\n")));
    let expected = check(&lines, &[]);
    assert_eq!(expected.len(), words.len());
    let pls = format!(
        "<?xml version=\"1.0\"?>\r\n<!DOCTYPE lexicon SYSTEM \"pls.dtd\">\n\
         <lexicon version=\"1.0\" alphabet=\"ipa\">{}</lexicon>",
        joined(&|word| {
            let word = escaped(word).replace('ɹ', "&#633;");
            format!(
                "<lexeme><grapheme>é</grapheme>\n<phoneme>{word} </phoneme></lexeme>\r\n"
            )
        })
    );
    let ssml = format!(
        "<speak version=\"1.1\">{}</speak>",
        joined(&|word| {
            let word = escaped(word);
            format!("<phoneme alphabet='ipa'\n ph=\"{word}\">é</phoneme> <!-- n -->\n")
        })
    );
    let html = format!(
        "<!doctype html><script>if (a<b) {{ '</p>' }}</script><p class=intro>{}",
        joined(&|word| {
            let word = escaped(word).replace('æ', "&aelig;");
            format!("<br><SPAN class=\"big ipa\">{word}</SPAN>\n")
        })
    );
    let csv = format!(
        "word,ipa\r\n{}",
        joined(&|word| format!(
            "\"é, \"\"x\"\"\n\",\"{}\"\r\n",
            word.replace('"', "\"\"")
        ))
    );
    let tsv = format!("word\tipa\n{}", joined(&|word| format!("é\t{word}\n")));
    let json = joined(&|word| {
        let word = serde_json::to_string(word).expect("JSON");
        let word = word.replace('ə', "\\u0259");
        format!("{{\"é\": 1, \"entry\": {{\"ipa\" : {word}}}}}\n")
    });
    let cases: [(&str, String, &[&str]); 6] = [
        ("w.pls", pls, &[]),
        ("w.ssml", ssml, &[]),
        ("w.html", html, &["--element", "span", "--class", "ipa"]),
        ("w.csv", csv, &["--column", "ipa"]),
        ("w.tsv", tsv, &["--column", "ipa"]),
        ("w.jsonl", json, &["--field", "/entry/ipa"]),
    ];
    for (name, content, options) in &cases {
        let path = scratch(name, content);
        let found = check(&path, options);
        assert_eq!(found.len(), expected.len(), "{name}");
        let mut faults = 0;
        let ends = content.match_indices('\n').map(|(at, _)| at + 1);
        let lines: Vec<usize> = std::iter::once(0).chain(ends).collect();
        for (found, expected) in found.iter().zip(&expected) {
            assert_eq!(found["text"], expected["text"], "{name}");
            assert_eq!(found["valid"], expected["valid"], "{name}: {found}");
            let pairs = |object: &Value| object["diagnostics"].as_array().cloned();
            let (found, expected) = (
                pairs(found).expect("a list"),
                pairs(expected).expect("a list"),
            );
            assert_eq!(found.len(), expected.len(), "{name}");
            for (found, expected) in found.iter().zip(&expected) {
                for field in ["code", "start", "end", "message", "replacement"] {
                    assert_eq!(found[field], expected[field], "{name}");
                }
                faults += 1;
                placed(name, content, &lines, found);
            }
        }
        println!("{name}: {} words, {faults} faults", words.len());
        assert!(faults > words.len() / 100, "{name}: {faults}");
        let _ = std::fs::remove_file(path);
    }
    let _ = std::fs::remove_file(lines);
}

/// The place of a fault about a colon is a colon; line and column lead to the same byte.
fn placed(name: &str, content: &str, lines: &[usize], fault: &Value) {
    let place = &fault["place"];
    let number = |field: &str| {
        let number = place[field].as_u64().expect(field);
        usize::try_from(number).expect("small")
    };
    let (start, end) = (number("start"), number("end"));
    if fault["replacement"] == "ː"
        && fault["message"].as_str().unwrap().starts_with("`:`")
    {
        assert_eq!(&content[start..end], ":", "{name}: {fault}");
    }
    let line = lines.partition_point(|begins| *begins <= start);
    let line_start = lines[line - 1];
    assert_eq!(number("line"), line, "{name}: {fault}");
    let column = content[line_start..start].chars().count() + 1;
    assert_eq!(number("column"), column, "{name}: {fault}");
}
