//! Reads every table under `grammar/`, checks it, and writes it out as sorted statics.
//!
//! All faults of all tables are reported at once, as `FILE:LINE: reason`.

#![allow(missing_docs, reason = "a build script has no public items")]
#![allow(clippy::disallowed_methods, reason = "a build script reads files")]
#![allow(
    dead_code,
    reason = "the feature types are shared with the library, which uses the rest"
)]
#![allow(
    unreachable_pub,
    reason = "the feature types are shared with the library"
)]

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs};

#[path = "build/accents.rs"]
mod accents;
#[path = "build/automaton.rs"]
mod automaton;
#[path = "build/characters.rs"]
mod characters;
#[path = "../feature.rs"]
mod feature;
#[path = "build/keys.rs"]
mod keys;
#[path = "build/letters.rs"]
mod letters;
#[cfg(feature = "lexicon")]
#[path = "build/lexicon.rs"]
mod lexicon;
#[path = "build/mouth.rs"]
mod mouth;
#[path = "build/notations.rs"]
mod notations;
#[path = "build/patterns.rs"]
mod patterns;

/// A table read into rows of cells by column name.
#[derive(Debug)]
pub struct Table {
    pub file: String,
    pub rows: Vec<Row>,
}

/// One row of a table, with the place to report a fault at.
#[derive(Debug)]
pub struct Row {
    pub place: String,
    cells: BTreeMap<String, String>,
}

impl Row {
    /// The cell of a column; empty where the row has none.
    pub fn cell(&self, column: &str) -> &str {
        self.cells.get(column).map_or("", String::as_str)
    }
}

/// Reads a table; a missing file or a short header is a fault.
pub fn read(path: &Path, columns: &[&str], faults: &mut Vec<String>) -> Table {
    let file = path
        .file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned();
    println!("cargo::rerun-if-changed={}", path.display());
    let text = fs::read_to_string(path).unwrap_or_else(|error| {
        faults.push(format!("{}: {error}", path.display()));
        String::new()
    });
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().unwrap_or_default().split('\t').collect();
    for column in columns {
        if !header.contains(column) {
            faults.push(format!("{}:1: no column `{column}`", path.display()));
        }
    }
    let mut rows = Vec::new();
    for (at, line) in lines.enumerate() {
        if line.is_empty() {
            continue;
        }
        let place = format!("{}:{}", path.display(), at + 2);
        let cells: Vec<&str> = line.split('\t').collect();
        if cells.len() > header.len() {
            faults.push(format!("{place}: more cells than columns"));
        }
        let cells = header
            .iter()
            .zip(cells)
            .map(|(h, c)| ((*h).to_owned(), c.to_owned()))
            .collect();
        rows.push(Row { place, cells });
    }
    Table { file, rows }
}

/// Checks that a symbol and its code points agree, and gives the symbol without ◌.
pub fn symbol(row: &Row, text: &str, codes: &str, faults: &mut Vec<String>) -> String {
    let bare = text.trim_start_matches('◌');
    let spelled: Vec<String> = bare
        .chars()
        .map(|c| format!("U+{:04X}", u32::from(c)))
        .collect();
    if spelled.join(" ") != row.cell(codes) {
        faults.push(format!(
            "{}: `{bare}` is {}, the row says {}",
            row.place,
            spelled.join(" "),
            row.cell(codes)
        ));
    }
    bare.to_owned()
}

/// Every row must say where it is from.
pub fn sourced(row: &Row, faults: &mut Vec<String>) {
    if row.cell("source").is_empty() {
        faults.push(format!("{}: no source", row.place));
    }
}

fn main() {
    println!("cargo::rerun-if-changed=src/inventory/build.rs");
    println!("cargo::rerun-if-changed=src/inventory/build");
    println!("cargo::rerun-if-changed=src/feature.rs");
    at_a_fixed_address();
    let root = PathBuf::from(env::var_os("CARGO_MANIFEST_DIR").unwrap_or_default());
    let grammar = root.join("grammar");
    let mut faults = Vec::new();
    let mut out = String::new();

    let letters = letters::generate(&grammar, &mut out, &mut faults);
    characters::generate(&grammar, &letters, &mut out, &mut faults);
    accents::generate(&grammar, &letters, &mut out, &mut faults);
    notations::generate(&grammar, &mut out, &mut faults);
    mouth::generate(&grammar, &mut out, &mut faults);
    patterns::generate(&grammar, &mut out, &mut faults);
    keys::generate(&grammar, &mut out, &mut faults);
    #[cfg(feature = "lexicon")]
    lexicon::generate(&grammar, &mut faults);

    if faults.is_empty() {
        let target = PathBuf::from(env::var_os("OUT_DIR").unwrap_or_default());
        if let Err(error) = fs::write(target.join("inventory.rs"), &out) {
            println!("cargo::error=inventory.rs: {error}");
        }
    } else {
        for fault in faults {
            println!("cargo::error={fault}");
        }
    }
}

/// Links the released program to stand at a fixed address, where the linker can: else
/// thirty thousand pointers of the tables are set at every start, which takes longer than
/// to judge a word. Libraries, heap and stack stay where chance puts them; who asks for
/// encryption wants the program there too, and keeps it.
fn at_a_fixed_address() {
    let is = |name: &str, wanted: &str| env::var(name).is_ok_and(|it| it == wanted);
    let features = env::var("CARGO_CFG_TARGET_FEATURE").unwrap_or_default();
    if env::var_os("CARGO_FEATURE_APP").is_some()
        && env::var_os("CARGO_FEATURE_ENCRYPTION").is_none()
        && is("PROFILE", "release")
        && is("CARGO_CFG_TARGET_OS", "linux")
        && is("CARGO_CFG_TARGET_ENV", "gnu")
        && !features.split(',').any(|feature| feature == "crt-static")
    {
        println!("cargo::rustc-link-arg-bin=apical=-no-pie");
    }
}

/// Writes a line of generated code.
pub fn line(out: &mut String, text: &str) {
    let _ = writeln!(out, "{text}");
}
