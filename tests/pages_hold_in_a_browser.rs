//! Pages hold in a browser: `tests/pages/look.mjs` opens them in headless Chromium at two
//! widths, light and dark, and looks for anything on the console, anything fetched, missing
//! glyphs, overflow, and serious findings of an accessibility checker.
//!
//! Needs Chromium, Node.js, and `npm install` in `tests/pages`. Without them it says on
//! standard error that nothing was looked at; with `APICAL_BROWSER=1` that is a failure.

use std::io::Write as _;
use std::path::Path;
use std::process::Command;

use crate::papers_are_whole_and_safe::hostile;
use crate::program::{apical, fed};

/// Says, past the harness that keeps what a test prints, that nothing was looked at.
fn skip(why: &str) {
    let said = format!("NOT LOOKED AT: the pages of reports, in a browser: {why}\n");
    assert!(std::env::var_os("APICAL_BROWSER").is_none(), "{said}");
    let _ = std::io::stderr().write_all(said.as_bytes());
}

#[test]
fn nothing_serious_is_found() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let pages = root.join("tests/pages");
    if !pages.join("node_modules/playwright-core").exists() {
        return skip("needs Chromium, and `npm install` in tests/pages");
    }
    let folder = tempfile::tempdir().unwrap();
    let caseload = hostile(folder.path(), 12);
    let record = folder.path().join("practice.jsonl");
    let record = record.to_str().unwrap();
    let set = ["practice", "--set", "first-consonants", "--count", "6"];
    fed(
        &[&set[..], &["--record", record]].concat(),
        b"voiceless velar plosive\nb\n\ns\n\nm\n",
    );
    let sheet = "tests/data/demo/word_list.tsv";
    let client = ["report", "--client", "H-1", "--for"];
    let of_sheet = ["report", sheet, "--for"];
    let wanted = [
        [&client[..], &["client", "--identified"]].concat(),
        [&client[..], &["colleague"]].concat(),
        [&of_sheet[..], &["client"]].concat(),
        [&of_sheet[..], &["colleague"]].concat(),
        [&of_sheet[..], &["client", "--hat", "clinical"]].concat(),
        vec!["report", "--for", "trainee", "--record", record],
        vec!["handout", "t͡ʃ"],
        vec!["handout", "θ"],
        vec!["handout", "aɪ"],
        vec!["handout", "ɝ", "--beside", "ɔ"],
    ];
    let mut files = Vec::new();
    for (arguments, number) in wanted.iter().zip(1..) {
        let file = folder.path().join(format!("page-{number}.html"));
        let status = apical(arguments)
            .args(["--to", file.to_str().unwrap()])
            .env("APICAL_CASELOAD", &caseload)
            .current_dir(root)
            .output()
            .unwrap()
            .status;
        assert!(status.success(), "{arguments:?}");
        files.push(file);
    }
    let looked = Command::new("node")
        .arg(pages.join("look.mjs"))
        .args(&files)
        .output();
    let Ok(looked) = looked else {
        return skip("needs Node.js");
    };
    let said = String::from_utf8_lossy(&looked.stdout).into_owned();
    println!("{said}");
    if said.contains("NOT LOOKED AT") {
        return skip("needs Chromium");
    }
    assert!(
        looked.status.success(),
        "{said}{}",
        String::from_utf8_lossy(&looked.stderr)
    );
}
