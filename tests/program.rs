//! The program, run as a shell or another program runs it.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// The program with these arguments, not yet started; without colour.
pub(crate) fn apical(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_apical"));
    command.args(arguments).env("NO_COLOR", "1");
    command
}

/// Runs the program with some input.
pub(crate) fn fed(arguments: &[&str], input: &[u8]) -> Output {
    let mut child = apical(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("a pipe");
    let input = input.to_vec();
    let writer = std::thread::spawn(move || {
        // The program may end before it has read everything.
        let _ = stdin.write_all(&input);
    });
    let output = child.wait_with_output().expect("the program ends");
    writer.join().expect("the writer ends");
    output
}

/// Runs `analyze` on a sheet: standard output, standard error, exit status.
pub(crate) fn analyzed(
    sheet: &str,
    name: &str,
    arguments: &[&str],
) -> (String, String, i32) {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, sheet).expect("a scratch file");
    told(apical(&["analyze"]).arg(&path).args(arguments))
}

/// Runs a command: standard output, standard error, exit status.
pub(crate) fn told(command: &mut Command) -> (String, String, i32) {
    let output = command.output().expect("the program runs");
    let text = |bytes| String::from_utf8(bytes).expect("UTF-8");
    (
        text(output.stdout),
        text(output.stderr),
        output.status.code().expect("it ends by itself"),
    )
}
