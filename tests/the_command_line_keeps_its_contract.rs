//! Other programs rely on this: one object a line, fields and types, offsets into what was
//! given, exit statuses, nothing else on standard output.

use std::io::Write;
use std::process::{Command, Output, Stdio};

use serde_json::{Value, json};

use crate::program::fed;

fn objects(output: &Output) -> Vec<Value> {
    std::str::from_utf8(&output.stdout)
        .expect("UTF-8")
        .lines()
        .map(|line| {
            serde_json::from_str(line).unwrap_or_else(|error| panic!("{error}: {line}"))
        })
        .collect()
}

fn status(output: &Output) -> i32 {
    output.status.code().expect("it ended by itself")
}

fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("UTF-8")
}

/// A file of this run alone, gone when the test is over.
struct Scratch(std::path::PathBuf);

impl Scratch {
    fn new(name: &str, bytes: &[u8]) -> Self {
        let path =
            std::env::temp_dir().join(format!("apical-{}-{name}", std::process::id()));
        std::fs::write(&path, bytes).expect("a scratch file");
        Self(path)
    }

    fn path(&self) -> &str {
        self.0.to_str().expect("UTF-8")
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.0);
    }
}

#[test]
fn check_writes_its_fields() {
    let output = fed(&["check", "--format", "json", "[pʰɪ̃n]", "/bed:/"], b"");
    assert_eq!(status(&output), 1);
    assert!(output.stderr.is_empty());
    let objects = objects(&output);
    assert_eq!(
        objects[0],
        json!({"version": 1, "id": null, "line": 1, "text": "[pʰɪ̃n]", "valid": true,
               "notation": "narrow", "diagnostics": []})
    );
    assert_eq!(objects[1]["line"], 2);
    assert_eq!(objects[1]["valid"], false);
    assert_eq!(objects[1]["notation"], "broad");
    let fault = &objects[1]["diagnostics"][0];
    assert_eq!((&fault["start"], &fault["end"]), (&json!(4), &json!(5)));
    assert_eq!(fault["severity"], "error");
    assert_eq!(fault["replacement"], "ː");
    for field in ["code", "message", "help"] {
        assert!(fault[field].is_string(), "{field}: {fault}");
    }
}

#[test]
fn exit_statuses_tell_what_happened() {
    for (arguments, expected) in [
        (&["check", "[pæn]"][..], 0),
        (&["check", "/bed:/"], 1),
        (&["check", "--format", "json", "[pæn]", "/bed:/"], 1),
        (&["describe", "/bed:/"], 0),
        (&["describe", "[pæn]"], 0),
        (&["explain"], 0),
        (&["explain", "there-is-none"], 2),
        (&["check", "--file", "there/is/none.txt"], 2),
        (&["check", "--file", "."], 2),
        (&["check", "--nonsense"], 2),
        (&["check", "--format", "xml", "[pæn]"], 2),
        (&["check", "--accent", "there-is-none", "[pæn]"], 2),
        (&["describe", "--file", "a.txt", "[pæn]"], 2),
        (&["compare", "[pæn]"], 2),
        (&["--help"], 0),
        (&[], 0),
    ] {
        let output = fed(arguments, b"");
        assert_eq!(
            status(&output),
            expected,
            "{arguments:?}: {}",
            stderr(&output)
        );
        if expected == 2 {
            assert!(output.stdout.is_empty(), "{arguments:?}");
            assert!(!output.stderr.is_empty(), "{arguments:?}");
        } else {
            assert!(
                output.stderr.is_empty(),
                "{arguments:?}: {}",
                stderr(&output)
            );
        }
    }
}

#[test]
fn a_failure_says_where_why_and_what_to_do() {
    for (arguments, place, reason) in [
        (
            &["check", "--file", "there/is/none.txt"][..],
            "there/is/none.txt",
            "no such file",
        ),
        (&["check", "--file", "src"], "src", "folder"),
    ] {
        let said = stderr(&fed(arguments, b""));
        assert!(said.contains(place) && said.contains(reason), "{said}");
        assert!(said.contains("remedy:"), "{said}");
    }
}

#[test]
fn a_missing_file_does_not_stop_the_others() {
    let file = Scratch::new("other.txt", "pæn\n".as_bytes());
    let output = fed(
        &[
            "check",
            "--format",
            "json",
            "--file",
            "none",
            "--file",
            file.path(),
        ],
        b"",
    );
    assert_eq!(status(&output), 2);
    assert_eq!(objects(&output)[0]["text"], "pæn");
    assert_eq!(objects(&output)[0]["file"], file.path());
}

#[test]
fn lines_come_with_marks_ends_and_blanks() {
    // A byte order mark, both line ends, blank lines, no end after the last.
    let input = "\u{FEFF}pæn\r\n\r\n  \nbɛd\nkæt".as_bytes();
    let output = fed(&["check", "--format", "json"], input);
    let read: Vec<(u64, String)> = objects(&output)
        .iter()
        .map(|object| {
            let line = object["line"].as_u64().expect("a number");
            (line, object["text"].as_str().expect("a string").to_owned())
        })
        .collect();
    let expected = [(1, "pæn"), (4, "bɛd"), (5, "kæt")];
    assert_eq!(read, expected.map(|(line, text)| (line, text.to_owned())));
    assert_eq!(status(&output), 0);
}

#[test]
fn ill_formed_utf_8_is_a_fault_of_its_line() {
    // Offsets count the bytes as given: C0 AF is at 1..3, the colon behind it at 5..6.
    let input = b"p\xC3\xA6n\n[\xC0\xAF]a:\nk\xC3\xA6t\n";
    let output = fed(&["check", "--format", "json"], input);
    assert_eq!(status(&output), 1);
    let objects = objects(&output);
    assert_eq!(objects.len(), 3);
    assert_eq!(objects[1]["text"], "[\u{FFFD}\u{FFFD}]a:");
    assert_eq!(objects[1]["valid"], false);
    let faults = objects[1]["diagnostics"].as_array().expect("a list");
    let ill: Vec<&Value> = faults
        .iter()
        .filter(|fault| fault["code"] == "utf8-ill-formed")
        .collect();
    assert_eq!(ill.len(), 1);
    assert_eq!((&ill[0]["start"], &ill[0]["end"]), (&json!(1), &json!(3)));
    let colon = faults
        .iter()
        .find(|fault| fault["replacement"] == "ː")
        .expect("a colon");
    assert_eq!((&colon["start"], &colon["end"]), (&json!(5), &json!(6)));
    assert_eq!(objects[2]["valid"], true);
}

#[test]
fn published_ill_formed_lines_are_found_where_they_are() {
    // Unicode 15, table 3-7: overlong, cut short, beyond U+10FFFF, UTF-16 with its mark.
    for (bytes, start, end) in [
        (&b"[\xC0\xAF]"[..], 1, 3),
        (b"[\xCA]", 1, 2),
        (b"[\xF4\x90\x80\x80]", 1, 5),
        (b"\xFF\xFE[\0k\0", 0, 2),
    ] {
        let output = fed(&["check", "--format", "json"], bytes);
        assert_eq!(status(&output), 1);
        let objects = objects(&output);
        let fault = &objects[0]["diagnostics"][0];
        assert_eq!(fault["code"], "utf8-ill-formed");
        assert_eq!(
            (&fault["start"], &fault["end"]),
            (&json!(start), &json!(end)),
            "{bytes:?}"
        );
    }
}

#[test]
fn json_input_hands_ids_through_untouched() {
    let input = concat!(
        "{\"text\":\"pæn\",\"id\":{\"b\":[1,2.50],\"a\":null}}\n",
        "\"k\\u0000æt\"\n",
        "\n",
        "{\"id\":12345678901234567890123,\"text\":\"a\\nb\",\"more\":true}\n",
        "{\"text\":\"\"}\n",
    );
    let output = fed(
        &["check", "--format", "json", "--input", "json"],
        input.as_bytes(),
    );
    assert_eq!(status(&output), 1);
    let lines: Vec<&str> = std::str::from_utf8(&output.stdout)
        .expect("UTF-8")
        .lines()
        .collect();
    assert_eq!(lines.len(), 4);
    // Order of keys and digits of numbers stay as they came.
    assert!(
        lines[0].contains(r#""id":{"b":[1,2.50],"a":null}"#),
        "{}",
        lines[0]
    );
    assert!(
        lines[2].contains(r#""id":12345678901234567890123"#),
        "{}",
        lines[2]
    );
    let objects = objects(&output);
    assert_eq!(objects[1]["text"], "k\0æt");
    assert_eq!(objects[2]["line"], 4);
    assert_eq!(objects[3]["text"], "");
    assert_eq!(objects[3]["valid"], false);
}

#[test]
fn json_that_is_none_fails_the_run() {
    for line in [
        "{\"text\":",
        "{\"txt\":\"a\"}",
        "7",
        "{\"text\":7}",
        "[\"a\"]",
    ] {
        let input = format!("\"pæn\"\n{line}\n");
        let arguments = ["check", "--format", "json", "--input", "json"];
        let output = fed(&arguments, input.as_bytes());
        assert_eq!(status(&output), 2, "{line}");
        assert_eq!(objects(&output).len(), 1, "{line}");
        assert!(
            stderr(&output).contains("standard input:2"),
            "{}",
            stderr(&output)
        );
    }
}

#[test]
fn tables_are_read_by_column() {
    let tsv = Scratch::new(
        "sheet.tsv",
        "id\tipa\tnote\n7\tpæn\t\n\n8\t\"bɛd\t\n".as_bytes(),
    );
    let output = fed(
        &[
            "check",
            "--format",
            "json",
            "--column",
            "ipa",
            "--file",
            tsv.path(),
        ],
        b"",
    );
    let objects_read = objects(&output);
    assert_eq!(objects_read[0]["id"], "7");
    assert_eq!(objects_read[0]["line"], 2);
    // In a table of tabs a quotation mark is a character like any other.
    assert_eq!(
        (&objects_read[1]["text"], &objects_read[1]["line"]),
        (&json!("\"bɛd"), &json!(4))
    );
    let csv =
        "word,ipa\r\npan,pæn\r\n\r\n\"one, two\",\"b\"\"\nd\"\r\nbed,bɛd".as_bytes();
    let output = fed(
        &[
            "check", "--format", "json", "--input", "csv", "--column", "ipa",
        ],
        csv,
    );
    let read: Vec<(Value, Value)> = objects(&output)
        .iter()
        .map(|object| (object["line"].clone(), object["text"].clone()))
        .collect();
    let expected = [(2, "pæn"), (4, "b\"\nd"), (6, "bɛd")];
    assert_eq!(
        read,
        expected.map(|(line, text)| (json!(line), json!(text)))
    );
}

#[test]
fn the_ending_of_a_file_tells_its_form() {
    for (name, content) in [
        ("a.jsonl", "{\"text\":\"pæn\",\"id\":\"7\"}\n"),
        ("a.csv", "id,transcription\n7,pæn\n"),
        ("a.TSV", "transcription\tid\npæn\t7\n"),
    ] {
        let file = Scratch::new(name, content.as_bytes());
        let output = fed(&["check", "--format", "json", "--file", file.path()], b"");
        let object = &objects(&output)[0];
        assert_eq!(
            (&object["text"], &object["id"]),
            (&json!("pæn"), &json!("7")),
            "{name}"
        );
    }
    // A dash is standard input, and what is given goes before the ending.
    let output = fed(
        &["check", "--format", "json", "--file", "-"],
        "pæn\n".as_bytes(),
    );
    assert_eq!(objects(&output)[0]["text"], "pæn");
    let file = Scratch::new("b.csv", "a,b\n".as_bytes());
    let arguments = [
        "check",
        "--format",
        "json",
        "--input",
        "lines",
        "--file",
        file.path(),
    ];
    assert_eq!(objects(&fed(&arguments, b""))[0]["text"], "a,b");
}

#[cfg(unix)]
#[test]
fn an_argument_may_be_ill_formed_too() {
    use std::os::unix::ffi::OsStrExt;
    let output = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(["check", "--format", "json"])
        .arg(std::ffi::OsStr::from_bytes(b"[\xCA]"))
        .output()
        .expect("the program starts");
    assert_eq!(status(&output), 1);
    let fault = &objects(&output)[0]["diagnostics"][0];
    assert_eq!(fault["code"], "utf8-ill-formed");
    assert_eq!((&fault["start"], &fault["end"]), (&json!(1), &json!(2)));
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_fails_the_run() {
    for format in ["text", "json"] {
        let full = std::fs::OpenOptions::new()
            .write(true)
            .open("/dev/full")
            .expect("it is there");
        let output = Command::new(env!("CARGO_BIN_EXE_apical"))
            .args(["check", "--format", format, "pæn"])
            .stdout(full)
            .output()
            .expect("the program starts");
        assert_eq!(status(&output), 2);
        assert!(
            stderr(&output).contains("standard output"),
            "{}",
            stderr(&output)
        );
    }
}

#[test]
fn a_table_without_the_column_names_the_ones_it_has() {
    let table = "word\tipa\npan\tpæn\n";
    let output = fed(
        &["check", "--input", "tsv", "--column", "IPA"],
        table.as_bytes(),
    );
    assert_eq!(status(&output), 2);
    assert!(stderr(&output).contains("word, ipa"), "{}", stderr(&output));
}

#[test]
fn describe_writes_its_fields() {
    let output = fed(&["describe", "--format", "json", "tʰiː"], b"");
    let objects = objects(&output);
    let segments = objects[0]["segments"].as_array().expect("a list");
    // The contract's own example.
    let expected = json!({
        "text": "tʰ", "start": 0, "end": 3, "class": "consonant", "base": "t",
        "voicing": "voiceless", "phonation": "modal", "place": ["alveolar"],
        "manner": "plosive", "lateral": false, "airstream": "pulmonic", "nasalized": false,
        "height": null, "backness": null, "rounded": null, "rhotic": false,
        "syllabic": false, "length": "normal", "release": ["aspirated"], "secondary": [],
        "tongue_root": null, "marks": ["aspirated"], "jaw": "closed", "lips": "neutral",
        "tongue": ["tip"], "contact": "alveolar ridge",
        "name": "aspirated voiceless alveolar plosive"
    });
    for (field, value) in expected.as_object().expect("an object") {
        assert_eq!(&segments[0][field], value, "{field}");
    }
    let vowel = &segments[1];
    assert_eq!(
        (&vowel["class"], &vowel["manner"]),
        (&json!("vowel"), &Value::Null)
    );
    assert_eq!(
        (&vowel["height"], &vowel["backness"]),
        (&json!("close"), &json!("front"))
    );
    assert_eq!(
        (&vowel["rounded"], &vowel["length"]),
        (&json!(false), &json!("long"))
    );
    assert_eq!((&vowel["start"], &vowel["end"]), (&json!(3), &json!(6)));
}

#[test]
fn colour_is_kept_from_pipes() {
    for arguments in [
        &["check", "/bed:/"][..],
        &["describe", "tʰiː"],
        &["explain"],
    ] {
        let output = fed(arguments, b"");
        assert!(!output.stdout.contains(&0x1B), "{arguments:?}");
    }
}

#[test]
fn json_has_no_colour_even_when_forced() {
    let output = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(["check", "--format", "json", "/bed:/"])
        .env("CLICOLOR_FORCE", "1")
        .output()
        .expect("the program starts");
    assert!(!output.stdout.contains(&0x1B));
}

#[test]
fn no_color_wins_over_a_forced_one() {
    let run = |no_color: Option<&str>| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_apical"));
        command
            .args(["check", "/bed:/"])
            .env("CLICOLOR_FORCE", "1")
            .env_remove("NO_COLOR");
        if let Some(value) = no_color {
            command.env("NO_COLOR", value).env_remove("CLICOLOR_FORCE");
        }
        command.output().expect("the program starts").stdout
    };
    let coloured = run(None);
    assert!(coloured.contains(&0x1B));
    let plain = run(Some("1"));
    assert!(!plain.contains(&0x1B));
    let text = String::from_utf8(coloured).expect("UTF-8");
    assert_eq!(
        anstream::adapter::strip_str(&text).to_string().as_bytes(),
        plain
    );
}

#[test]
fn hidden_characters_never_reach_the_screen() {
    let text = "[k\u{202E}\u{1B}[31m\u{7}æt\u{200B}]";
    let input = format!("{}\n", serde_json::to_string(text).expect("JSON"));
    for command in ["check", "describe"] {
        let output = fed(&[command, "--input", "json"], input.as_bytes());
        let screen = String::from_utf8(output.stdout).expect("UTF-8");
        let hidden = |character: &char| {
            (character.is_control() && *character != '\n')
                || matches!(character, '\u{202E}' | '\u{200B}')
        };
        assert_eq!(screen.chars().find(hidden), None, "{command}: {screen}");
        assert!(screen.contains("⟨U+202E⟩"), "{screen}");
    }
}

#[test]
fn an_object_is_one_line_to_every_reader() {
    // Unicode, 5.8 Newline Guidelines: what a program may take for the end of a line.
    let text = "k\u{85}a\u{2028}b\u{2029}c\u{B}d\u{C}e\u{1C}\u{1D}\u{1E}f\u{202E}g";
    let object = json!({"text": text, "id": text}).to_string();
    let output = fed(
        &["check", "--format", "json", "--input", "json"],
        object.as_bytes(),
    );
    let written = std::str::from_utf8(&output.stdout).expect("UTF-8");
    let ends = [
        '\u{85}', '\u{2028}', '\u{2029}', '\u{B}', '\u{C}', '\u{1C}', '\u{202E}',
    ];
    assert!(!written.contains(ends), "{written}");
    assert_eq!(objects(&output)[0]["text"], text);
    assert_eq!(objects(&output)[0]["id"], text);
}

#[test]
fn a_line_of_ten_megabytes_is_one_input() {
    let mut input = "ta".repeat(5_000_000);
    input.push_str("\npæn\n");
    let output = fed(&["check"], input.as_bytes());
    assert!(
        output.stdout.len() < 10_000,
        "{} bytes drawn",
        output.stdout.len()
    );
    let output = fed(&["check", "--format", "json"], input.as_bytes());
    let objects = objects(&output);
    assert_eq!(objects.len(), 2);
    assert_eq!(objects[0]["text"].as_str().map(str::len), Some(10_000_000));
    assert_eq!(objects[1]["text"], "pæn");
}

#[test]
fn a_closed_pipe_ends_it_quietly() {
    for format in ["text", "json"] {
        let mut child = Command::new(env!("CARGO_BIN_EXE_apical"))
            .args(["check", "--format", format])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        drop(child.stdout.take());
        let mut stdin = child.stdin.take().expect("a pipe");
        for _ in 0..100_000 {
            if stdin.write_all(b"[pan]\n").is_err() {
                break;
            }
        }
        drop(stdin);
        let output = child.wait_with_output().expect("the program ends");
        assert_eq!(output.status.code(), Some(0), "{format}");
        assert!(output.stderr.is_empty(), "{format}: {}", stderr(&output));
    }
}

#[test]
fn answers_come_while_input_is_still_open() {
    use std::io::{BufRead, BufReader};
    let mut child = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(["check", "--format", "json"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("a pipe");
    let mut answers = BufReader::new(child.stdout.take().expect("a pipe"));
    for text in ["a", "[pæn]", "/bed:/"] {
        writeln!(stdin, "{text}").expect("it reads");
        let mut answer = String::new();
        answers.read_line(&mut answer).expect("it answers");
        let object: Value = serde_json::from_str(&answer).expect("JSON");
        assert_eq!(object["text"], text);
    }
    drop(stdin);
    assert_eq!(child.wait().expect("the program ends").code(), Some(1));
}
