//! The C interface: the header is what its source says, and programs in C and Python get
//! the answers that the program gives.
//!
//! Needs `cc` and `python3`; a test that lacks one says so and passes.

#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    missing_docs,
    reason = "a test that panics has found something, and says what it left out"
)]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::LazyLock;

const ROOT: &str = env!("CARGO_MANIFEST_DIR");
const HEADER: &str = "src/apical.h";

fn at_root(path: &str) -> PathBuf {
    Path::new(ROOT).join(path)
}

/// The shared library, built as DEVELOPERS.md says but without optimisation.
static LIBRARY: LazyLock<PathBuf> = LazyLock::new(|| {
    let target = Path::new(env!("CARGO_TARGET_TMPDIR")).join("c");
    let built = Command::new(env!("CARGO"))
        .current_dir(ROOT)
        .args(["rustc", "--lib", "--crate-type", "cdylib", "--offline"])
        .args(["--no-default-features", "--features", "c", "--target-dir"])
        .arg(&target)
        .output()
        .expect("cargo runs");
    assert!(built.status.success(), "{}", told(&built));
    let name = format!(
        "{}apical{}",
        std::env::consts::DLL_PREFIX,
        std::env::consts::DLL_SUFFIX
    );
    target.join("debug").join(name)
});

fn told(output: &Output) -> String {
    format!(
        "{}\n{}{}",
        output.status,
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    )
}

/// Whether a command can be had at all.
fn is_there(command: &str) -> bool {
    let there = Command::new(command).arg("--version").output();
    let there = there.is_ok_and(|output| output.status.success());
    if !there {
        println!("left out: there is no `{command}` here");
    }
    there
}

/// What a caller is to print, from the answers of the program itself.
fn expected() -> String {
    let texts = ["[ˈt͡ʃʰiːz]", "/bed:/", "a\u{303}b"];
    let mut lines = Vec::new();
    for command in ["check", "describe"] {
        for text in texts {
            let output = Command::new(env!("CARGO_BIN_EXE_apical"))
                .args([command, "--format", "json", text])
                .output()
                .expect("the program runs");
            lines.push(String::from_utf8(output.stdout).expect("UTF-8"));
        }
    }
    let version = env!("CARGO_PKG_VERSION");
    format!("1 {version}\n1 0 1 0 0 -1\n{}", lines.concat())
}

#[test]
fn the_header_is_what_the_source_says() {
    let configuration = cbindgen::Config::from_file(at_root("tests/c/cbindgen.toml"));
    let made = cbindgen::Builder::new()
        .with_src(at_root("src/c.rs"))
        .with_config(configuration.expect("a configuration"))
        .generate()
        .expect("a header");
    let mut text = Vec::new();
    made.write(&mut text);
    let text = String::from_utf8(text).expect("UTF-8");
    let path = at_root(HEADER);
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    if text != kept {
        // What is right is put beside, to look at and take over.
        let beside = Path::new(env!("CARGO_TARGET_TMPDIR")).join("apical.h");
        std::fs::write(&beside, &text).expect("a file beside");
        panic!("{HEADER} is out of date: take over {}", beside.display());
    }
}

#[test]
fn a_program_in_c_gets_the_answers() {
    if !is_there("cc") {
        return;
    }
    let program = Path::new(env!("CARGO_TARGET_TMPDIR")).join("caller");
    let built = Command::new("cc")
        .args(["-std=c99", "-Wall", "-Wextra", "-Werror", "-pedantic", "-I"])
        .arg(at_root("src"))
        .arg("-o")
        .arg(&program)
        .arg(at_root("tests/c/caller.c"))
        .arg(&*LIBRARY)
        .output()
        .expect("cc runs");
    assert!(built.status.success(), "{}", told(&built));
    let folder = LIBRARY.parent().expect("a folder");
    let output = Command::new(&program)
        .env("LD_LIBRARY_PATH", folder)
        .env("DYLD_LIBRARY_PATH", folder)
        .output()
        .expect("it runs");
    assert!(output.status.success(), "{}", told(&output));
    assert_eq!(String::from_utf8_lossy(&output.stdout), expected());
}

#[test]
fn a_program_in_python_gets_the_answers() {
    if !is_there("python3") {
        return;
    }
    let output = Command::new("python3")
        .arg(at_root("tests/c/caller.py"))
        .arg(&*LIBRARY)
        .env("PYTHONIOENCODING", "utf-8")
        .output()
        .expect("it runs");
    assert!(output.status.success(), "{}", told(&output));
    assert_eq!(String::from_utf8_lossy(&output.stdout), expected());
}
