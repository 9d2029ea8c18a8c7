//! Accents: one folder each under `accents/`, found by listing.

use std::fs;
use std::path::Path;

use crate::feature::{Contact, Jaw, Lips, TonguePart, TongueParts};
use crate::letters::Letters;
use crate::{Row, line, read, sourced};

pub fn generate(
    grammar: &Path,
    letters: &Letters,
    out: &mut String,
    faults: &mut Vec<String>,
) {
    let mut names: Vec<String> = fs::read_dir(grammar.join("accents"))
        .into_iter()
        .flatten()
        .flatten()
        .filter(|entry| entry.path().is_dir())
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    println!("cargo::rerun-if-changed=grammar/accents");
    let mut body = String::new();
    for name in &names {
        let folder = grammar.join("accents").join(name);
        let facts = read(
            &folder.join("accent.tsv"),
            &["field", "value", "source"],
            faults,
        );
        let fact = |field: &str| {
            facts
                .rows
                .iter()
                .find(|row| row.cell("field") == field)
                .map_or("", |row| row.cell("value"))
                .to_owned()
        };
        if fact("called").is_empty() {
            faults.push(format!(
                "{}/accent.tsv: no field `called`",
                folder.display()
            ));
        }
        let phonemes = phonemes(&folder, letters, faults);
        let postures = postures(&folder, letters, faults);
        let onsets = onsets(&folder, letters, faults);
        line(
            &mut body,
            &format!(
                "AccentTable {{ name: {name:?}, called: {:?}, phonemes: &[\n{phonemes}], postures: &[\n{postures}], onsets: &[{onsets}] }},",
                fact("called")
            ),
        );
    }
    line(
        out,
        &format!(
            "pub static ACCENTS: [AccentTable; {}] = [\n{body}];",
            names.len()
        ),
    );
}

/// Whether every letter of a phoneme is in the inventory.
fn known(row: &Row, text: &str, letters: &Letters, faults: &mut Vec<String>) {
    for c in text.chars() {
        let joins = c == '\u{361}' || c == ' ' || letters.marks.contains_key(&c);
        if !joins && !letters.symbols.contains_key(&c.to_string()) {
            faults.push(format!("{}: unknown symbol `{c}`", row.place));
        }
    }
}

fn phonemes(folder: &Path, letters: &Letters, faults: &mut Vec<String>) -> String {
    let mut body = String::new();
    let columns = ["phoneme", "kind", "keyword", "also", "source"];
    for row in &read(&folder.join("phonemes.tsv"), &columns, faults).rows {
        sourced(row, faults);
        let text = row.cell("phoneme");
        known(row, text, letters, faults);
        known(row, row.cell("also"), letters, faults);
        let kind = match row.cell("kind") {
            "consonant" => "Consonant",
            "affricate" => "Affricate",
            "monophthong" => "Monophthong",
            "diphthong" => "Diphthong",
            "r-coloured" => "RColoured",
            "syllabic" => "Syllabic",
            other => {
                faults.push(format!("{}: unknown kind `{other}`", row.place));
                continue;
            }
        };
        let also: Vec<&str> = row.cell("also").split_whitespace().collect();
        line(
            &mut body,
            &format!(
                "PhonemeRow {{ text: {text:?}, kind: PhonemeKind::{kind}, keyword: {:?}, also: &{also:?} }},",
                row.cell("keyword")
            ),
        );
    }
    body
}

fn postures(folder: &Path, letters: &Letters, faults: &mut Vec<String>) -> String {
    let mut body = String::new();
    let columns = [
        "sound", "jaw", "lips", "tongue", "contact", "touches", "to_jaw", "to_lips",
        "source",
    ];
    for row in &read(&folder.join("postures.tsv"), &columns, faults).rows {
        sourced(row, faults);
        known(row, row.cell("sound"), letters, faults);
        let from = posture(row, "", faults);
        let to = if row.cell("to_jaw").is_empty() {
            "None".to_owned()
        } else {
            format!("Some({})", posture(row, "to_", faults))
        };
        line(
            &mut body,
            &format!(
                "PostureRow {{ text: {:?}, from: {from}, to: {to} }},",
                row.cell("sound")
            ),
        );
    }
    body
}

fn posture(row: &Row, prefix: &str, faults: &mut Vec<String>) -> String {
    let cell = |column: &str| row.cell(&format!("{prefix}{column}"));
    let jaw = Jaw::from_name(cell("jaw"));
    let lips = Lips::from_name(cell("lips"));
    if jaw.is_none() {
        faults.push(format!(
            "{}: unknown {prefix}jaw `{}`",
            row.place,
            cell("jaw")
        ));
    }
    if lips.is_none() {
        faults.push(format!(
            "{}: unknown {prefix}lips `{}`",
            row.place,
            cell("lips")
        ));
    }
    let mut tongue = TongueParts::NONE;
    for part in cell("tongue").split_whitespace() {
        match TonguePart::from_name(part) {
            Some(part) => tongue = tongue.with(part),
            None => faults.push(format!(
                "{}: unknown {prefix}tongue part `{part}`",
                row.place
            )),
        }
    }
    let contact = match (cell("contact"), Contact::from_name(cell("contact"))) {
        ("", _) => "None".to_owned(),
        (_, Some(contact)) => format!("Some(Contact::{contact:?})"),
        (other, None) => {
            faults.push(format!("{}: unknown {prefix}contact `{other}`", row.place));
            "None".to_owned()
        }
    };
    format!(
        "Posture {{ jaw: Jaw::{:?}, lips: Lips::{:?}, tongue: TongueParts({}), contact: {contact}, touches: {} }}",
        jaw.unwrap_or(Jaw::Closed),
        lips.unwrap_or(Lips::Neutral),
        tongue.0,
        cell("touches") == "yes",
    )
}

/// The legal onsets, each as its phonemes.
fn onsets(folder: &Path, letters: &Letters, faults: &mut Vec<String>) -> String {
    let mut all = Vec::new();
    for row in &read(&folder.join("onsets.tsv"), &["onset", "source"], faults).rows {
        sourced(row, faults);
        known(row, row.cell("onset"), letters, faults);
        all.push(format!("{:?}", row.cell("onset")));
    }
    all.join(", ")
}
