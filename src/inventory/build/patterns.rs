//! Named patterns: one file each under `patterns/`, found by listing. Their one parser is
//! the library's, and a test runs it on every file.

use std::fs;
use std::path::Path;

use crate::line;

pub fn generate(grammar: &Path, out: &mut String, faults: &mut Vec<String>) {
    println!("cargo::rerun-if-changed=grammar/patterns");
    let mut files: Vec<_> = fs::read_dir(grammar.join("patterns"))
        .into_iter()
        .flatten()
        .flatten()
        .map(|entry| entry.path())
        .collect();
    files.sort();
    let mut body = String::new();
    for file in &files {
        let name = file.file_name().unwrap_or_default().to_string_lossy();
        let text = fs::read_to_string(file).unwrap_or_else(|error| {
            faults.push(format!("{}: {error}", file.display()));
            String::new()
        });
        for field in [
            "name", "catches", "class", "rule", "source", "match", "differ",
        ] {
            let begins = |line: &str| line.starts_with(&format!("{field}: "));
            if !text.lines().any(begins) {
                faults.push(format!("{}:1: no field `{field}`", file.display()));
            }
        }
        line(
            &mut body,
            &format!("({:?}, {text:?}),", format!("grammar/patterns/{name}")),
        );
    }
    line(
        out,
        &format!(
            "pub static PATTERNS: [(&str, &str); {}] = [\n{body}];",
            files.len()
        ),
    );
}
