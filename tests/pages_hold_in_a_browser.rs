//! Pages hold in a browser: `tests/pages/look.mjs` opens them in headless Chromium at two
//! widths, light and dark, and looks for anything on the console, anything fetched, missing
//! glyphs, overflow, and serious findings of an accessibility checker.
//!
//! Needs Chromium, Node.js, and `npm install` in `tests/pages`; without them it says so.

use std::path::Path;
use std::process::Command;

use crate::papers_are_whole_and_safe::hostile;

#[test]
fn nothing_serious_is_found() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let pages = root.join("tests/pages");
    if !pages.join("node_modules/playwright-core").exists() {
        println!("skipped: needs `npm install` in tests/pages, and Chromium");
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let caseload = hostile(folder.path(), 12);
    let sheet = "tests/data/demo/word_list.tsv";
    let wanted: [&[&str]; 5] = [
        &[
            "report",
            "--client",
            "H-1",
            "--for",
            "client",
            "--identified",
        ],
        &["report", "--client", "H-1", "--for", "colleague"],
        &["report", sheet, "--for", "client"],
        &["report", sheet, "--for", "colleague"],
        &["handout", "t͡ʃ"],
    ];
    let mut files = Vec::new();
    for (arguments, number) in wanted.iter().zip(1..) {
        let file = folder.path().join(format!("page-{number}.html"));
        let status = Command::new(env!("CARGO_BIN_EXE_apical"))
            .args(*arguments)
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
        println!("skipped: needs Node.js");
        return;
    };
    let said = String::from_utf8_lossy(&looked.stdout).into_owned();
    println!("{said}");
    assert!(
        looked.status.success(),
        "{said}{}",
        String::from_utf8_lossy(&looked.stderr)
    );
}
