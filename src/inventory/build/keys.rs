//! The tables of live typing, checked and compiled: `key_map.tsv` and `rings.tsv`.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use unicode_normalization::is_nfd;

use crate::{Row, line, read, sourced, symbol};

/// Reads the tables, writes their statics to `out` and what is wrong with them to
/// `faults`, one `FILE:LINE: reason` each.
pub fn generate(grammar: &Path, out: &mut String, faults: &mut Vec<String>) {
    keys(grammar, out, faults);
    rings(grammar, out, faults);
}

fn keys(grammar: &Path, out: &mut String, faults: &mut Vec<String>) {
    // A key has its X-SAMPA value, or says why it has not.
    let codes: BTreeMap<String, String> = read(
        &grammar.join("x_sampa.tsv"),
        &["code", "ipa"],
        &mut Vec::new(),
    )
    .rows
    .iter()
    .map(|row| (row.cell("code").to_owned(), bare(row.cell("ipa"))))
    .collect();
    let columns = ["key", "ipa", "codepoints", "kind", "note", "source"];
    let mut map = BTreeMap::new();
    for row in &read(&grammar.join("key_map.tsv"), &columns, faults).rows {
        sourced(row, faults);
        let ipa = symbol(row, row.cell("ipa"), "codepoints", faults);
        let mut wrong = |reason: &str| faults.push(format!("{}: {reason}", row.place));
        let key = one_key(row);
        if key.is_none() {
            wrong("a key is one printable character of ASCII");
        }
        let kind = row.cell("kind");
        if !matches!(kind, "letter" | "mark" | "sign") {
            wrong("kind must be letter, mark or sign");
        }
        if row.cell("note").is_empty() && codes.get(row.cell("key")) != Some(&ipa) {
            wrong("not the key's X-SAMPA value, and no note says why");
        }
        if let Some(key) = key {
            if map.insert(key, (ipa, kind == "mark")).is_some() {
                wrong("the key stands twice");
            }
        }
    }
    line(out, "pub static KEY_MAP: &[(char, (&str, bool))] = &[");
    for (key, (ipa, mark)) in &map {
        line(out, &format!("    ({key:?}, ({ipa:?}, {mark})),"));
    }
    line(out, "];");
}

fn one_key(row: &Row) -> Option<char> {
    let mut characters = row.cell("key").chars();
    let key = characters.next().filter(char::is_ascii_graphic)?;
    characters.next().is_none().then_some(key)
}

fn bare(text: &str) -> String {
    text.trim_start_matches('◌').to_owned()
}

fn rings(grammar: &Path, out: &mut String, faults: &mut Vec<String>) {
    let columns = ["letters", "what", "source"];
    let mut taken = BTreeSet::new();
    line(out, "pub static RINGS: &[&[&str]] = &[");
    for row in &read(&grammar.join("rings.tsv"), &columns, faults).rows {
        sourced(row, faults);
        let ring: Vec<&str> = row.cell("letters").split(' ').collect();
        if ring.len() < 2 {
            faults.push(format!("{}: a ring has two letters or more", row.place));
        }
        for letter in &ring {
            if !taken.insert((*letter).to_owned()) {
                faults.push(format!("{}: {letter} is in two rings", row.place));
            }
            if !is_nfd(letter) && *letter != "ç" || letter.chars().count() != 1 {
                faults.push(format!("{}: {letter} is not one letter", row.place));
            }
        }
        line(out, &format!("    &{ring:?},"));
    }
    line(out, "];");
    // Every current letter of the chart can be reached by turning.
    for row in &read(&grammar.join("symbols.tsv"), &["symbol"], &mut Vec::new()).rows {
        let wanted = row.cell("set") == "ipa" && row.cell("status") == "current";
        if wanted && !taken.contains(row.cell("symbol")) {
            faults.push(format!(
                "{}: {} is in no ring",
                row.place,
                row.cell("symbol")
            ));
        }
    }
}
