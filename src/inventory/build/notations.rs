//! The tables of the two ASCII notations, checked and compiled: `x_sampa.tsv`,
//! `arpabet.tsv`, and the English onsets that place ARPABET's stress marks.

use std::collections::BTreeMap;
use std::path::Path;

use unicode_normalization::{UnicodeNormalization, is_nfc};

use crate::{Row, line, read, sourced, symbol};

/// What the look-ups try at most, in bytes (`notation/converted.rs`).
const LONGEST_KEY: usize = 12;

/// Reads the tables, writes their statics to `out` and what is wrong with them to
/// `faults`, one `FILE:LINE: reason` each.
pub fn generate(grammar: &Path, out: &mut String, faults: &mut Vec<String>) {
    x_sampa(grammar, out, faults);
    arpabet(grammar, out, faults);
    onsets(grammar, out, faults);
}

/// A row of `x_sampa.tsv` or `arpabet.tsv`, which share their columns.
struct CodeRow {
    place: String,
    code: String,
    ipa: String,
    kind: String,
    /// Whether the code is read.
    read: bool,
    /// Whether the IPA is written with this code.
    written: bool,
    note: String,
}

/// The rows of a table of codes, with everything wrong about a single row reported.
fn codes(path: &Path, kinds: &[&str], faults: &mut Vec<String>) -> Vec<CodeRow> {
    let columns = [
        "code",
        "ipa",
        "codepoints",
        "kind",
        "direction",
        "note",
        "source",
    ];
    let mut rows = Vec::new();
    for row in &read(path, &columns, faults).rows {
        sourced(row, faults);
        let ipa = ipa_of(row, faults);
        let (code, kind, note) = (row.cell("code"), row.cell("kind"), row.cell("note"));
        let mut wrong = |reason: &str| faults.push(format!("{}: {reason}", row.place));
        if !is_nfc(&ipa) {
            wrong("not in NFC");
        }
        if !kinds.contains(&kind) {
            wrong("unknown kind");
        }
        if !code.chars().all(|c| c.is_ascii_graphic()) {
            wrong("a code is made of printable ASCII");
        }
        if code.is_empty() != (kind == "gap") {
            wrong("a gap has no code, and only a gap");
        }
        if code.len().max(ipa.nfd().map(char::len_utf8).sum()) > LONGEST_KEY {
            wrong("longer than the look-up allows");
        }
        if kind == "gap" && note.is_empty() {
            wrong("a gap needs a note that says what to write instead");
        }
        let direction = row.cell("direction");
        if !matches!(direction, "both" | "in" | "out") {
            wrong("direction must be both, in or out");
        }
        rows.push(CodeRow {
            place: row.place.clone(),
            code: code.to_owned(),
            ipa,
            kind: kind.to_owned(),
            read: kind != "gap" && direction != "out",
            written: kind != "gap" && direction != "in",
            note: note.to_owned(),
        });
    }
    rows
}

/// The IPA of a row: its symbol, or a space, which a cell cannot show.
fn ipa_of(row: &Row, faults: &mut Vec<String>) -> String {
    if row.cell("codepoints") == "U+0020" {
        " ".to_owned()
    } else {
        symbol(row, row.cell("ipa"), "codepoints", faults)
    }
}

fn x_sampa(grammar: &Path, out: &mut String, faults: &mut Vec<String>) {
    let kinds = [
        "letter",
        "diacritic",
        "length",
        "tone",
        "suprasegmental",
        "separator",
        "bracket",
        "gap",
    ];
    let rows = codes(&grammar.join("x_sampa.tsv"), &kinds, faults);
    let (mut to_ipa, mut from_ipa) = (BTreeMap::new(), BTreeMap::new());
    let mut gaps = BTreeMap::new();
    for row in &rows {
        let nfd: String = row.ipa.nfd().collect();
        if row.kind == "gap" && gaps.insert(nfd.clone(), row.note.clone()).is_some() {
            faults.push(format!("{}: the gap stands twice", row.place));
        }
        let on_letter = matches!(row.kind.as_str(), "diacritic" | "length" | "tone");
        let value = (row.ipa.clone(), on_letter);
        if row.read && to_ipa.insert(row.code.clone(), value).is_some() {
            faults.push(format!("{}: the code is read in two ways", row.place));
        }
        if row.written && from_ipa.insert(nfd, row.code.clone()).is_some() {
            faults.push(format!("{}: the symbol is written in two ways", row.place));
        }
    }
    for row in rows
        .iter()
        .filter(|row| row.written && !to_ipa.contains_key(&row.code))
    {
        faults.push(format!("{}: the code is written and never read", row.place));
    }
    line(out, "pub static X_SAMPA: &[(&str, (&str, bool))] = &[");
    for (code, (ipa, on_letter)) in &to_ipa {
        line(out, &format!("    ({code:?}, ({ipa:?}, {on_letter})),"));
    }
    line(out, "];");
    pairs(out, "X_SAMPA_FROM_IPA", &from_ipa);
    pairs(out, "X_SAMPA_GAPS", &gaps);
}

fn arpabet(grammar: &Path, out: &mut String, faults: &mut Vec<String>) {
    let kinds = [
        "vowel",
        "syllabic",
        "consonant",
        "boundary",
        "break",
        "bracket",
    ];
    let rows = codes(&grammar.join("arpabet.tsv"), &kinds, faults);
    let mut to_ipa = BTreeMap::new();
    // By IPA: the code, and the code with the digit 0 in it where the vowel has one.
    let mut from_ipa: BTreeMap<String, (Option<String>, Option<String>)> =
        BTreeMap::new();
    for row in &rows {
        let value = (row.ipa.clone(), row.kind.clone());
        if row.read && to_ipa.insert(row.code.clone(), value).is_some() {
            faults.push(format!("{}: the code is read in two ways", row.place));
        }
        if row.written {
            let (plain, unstressed) =
                from_ipa.entry(row.ipa.nfd().collect()).or_default();
            let slot = if row.code.ends_with('0') {
                unstressed
            } else {
                plain
            };
            if slot.replace(row.code.clone()).is_some() {
                faults.push(format!("{}: the symbol is written in two ways", row.place));
            }
        }
    }
    line(out, "pub static ARPABET: &[(&str, (&str, &str))] = &[");
    for (code, (ipa, kind)) in &to_ipa {
        line(out, &format!("    ({code:?}, ({ipa:?}, {kind:?})),"));
    }
    line(out, "];");
    line(
        out,
        "pub static ARPABET_FROM_IPA: &[(&str, (&str, Option<&str>))] = &[",
    );
    for (ipa, (plain, unstressed)) in &from_ipa {
        if let Some(plain) = plain {
            line(out, &format!("    ({ipa:?}, ({plain:?}, {unstressed:?})),"));
        } else {
            faults.push(format!("arpabet.tsv: {ipa} has a code only without stress"));
        }
    }
    line(out, "];");
}

/// The onsets that draw a stress mark before them: the core ones, not those of loan words.
fn onsets(grammar: &Path, out: &mut String, faults: &mut Vec<String>) {
    let columns = ["onset", "status", "example", "source"];
    let mut core = Vec::new();
    for row in &read(&grammar.join("accents/en-US/onsets.tsv"), &columns, faults).rows {
        match row.cell("status") {
            "core" => core.push(row.cell("onset").nfd().collect::<String>()),
            "marginal" => {}
            _ => faults.push(format!("{}: status must be core or marginal", row.place)),
        }
    }
    core.sort();
    line(
        out,
        &format!("pub static CORE_ONSETS: &[&str] = &{core:?};"),
    );
}

/// Writes a static of pairs, sorted by the first.
fn pairs(out: &mut String, name: &str, map: &BTreeMap<String, String>) {
    line(out, &format!("pub static {name}: &[(&str, &str)] = &["));
    for (key, value) in map {
        line(out, &format!("    ({key:?}, {value:?}),"));
    }
    line(out, "];");
}
