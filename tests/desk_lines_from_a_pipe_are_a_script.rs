//! Without a terminal the desk reads its lines as a script: no prompt, the same commands,
//! and an exit status that is the worst of what happened.

use std::io::Write;
use std::process::{Command, Output, Stdio};

/// Runs a script.
fn run(script: &[u8]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_apical"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    child
        .stdin
        .take()
        .expect("its input")
        .write_all(script)
        .expect("it reads");
    child.wait_with_output().expect("it ends")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

#[test]
fn lines_are_obeyed_in_order() {
    let output = run(
        "# a comment\n\n/kæt/\r\ntarget think\nt̪ɪŋk\n:target\nquit\n/ne:ver/\n"
            .as_bytes(),
    );
    let page = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0), "{page}");
    let places: Vec<usize> = ["in order (broad)", "target θɪŋk", "θ → t̪", "no target"]
        .iter()
        .map(|words| {
            page.find(words)
                .unwrap_or_else(|| panic!("{words} in {page}"))
        })
        .collect();
    assert!(places.is_sorted());
    assert!(!page.contains("apical>") && !page.contains('\u{1b}'));
}

#[test]
fn the_worst_is_the_exit_status() {
    assert_eq!(run(b"check [kat]\n").status.code(), Some(0));
    assert_eq!(run(b"check [ka:t]\ncheck [kat]\n").status.code(), Some(1));
    assert_eq!(
        run(b"check [ka:t]\nnonsense\ncheck [kat]\n").status.code(),
        Some(2)
    );
    // The last line needs no end.
    assert_eq!(run(b"check [ka:t]").status.code(), Some(1));
}

#[test]
fn a_failure_says_its_line_and_the_rest_goes_on() {
    let output = run(b"chekc [kat]\ncheck\ncheck --file -\naccent none\n");
    let complaint = text(&output.stderr);
    assert!(
        complaint.contains("line 1: \u{201C}chekc\u{201D}: no command has this name"),
        "{complaint}"
    );
    assert!(complaint.contains("perhaps check"), "{complaint}");
    assert!(
        complaint.contains("line 2: check: no transcription is given"),
        "{complaint}"
    );
    assert!(complaint.contains("line 3: check"), "{complaint}");
    assert!(text(&output.stdout).contains("accent: none"));
}

#[test]
fn ill_formed_bytes_are_a_fault_of_their_line() {
    let output = run(b"check [k\xFFt]\ncheck [kat]\n");
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stdout).contains("[kat]"));
}

#[test]
fn every_command_has_a_line_of_help() {
    let page = text(&run(b"help\n").stdout);
    for name in [
        "check", "describe", "compare", "convert", "explain", "target", "sheet", "tally",
        "quit",
    ] {
        assert!(
            page.lines().any(|line| line.trim_start().starts_with(name)),
            "{name}"
        );
        let full = text(&run(format!("help {name}\n").as_bytes()).stdout);
        assert!(full.len() > name.len() + 5, "{name}");
    }
}
