//! However lines come in, and on however many cores they are judged, the answers are those
//! of one line after another.

use std::fmt::Write as _;
use std::io::{Read, Write};
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

use apical::app::Stop;
use apical::app::arguments::Form;
use apical::app::files::{self, Pick, Source, Wanted};
use proptest::prelude::*;
use serde_json::Value;

use crate::outside::Table;
use crate::program::fed;

fn scratch(name: &str, content: &[u8]) -> PathBuf {
    let name = format!("apical-streams-{}-{name}", std::process::id());
    let path = std::env::temp_dir().join(name);
    std::fs::write(&path, content).expect("a scratch file");
    path
}

fn check(options: &[&str], input: &[u8]) -> Output {
    fed(&[&["check"], options].concat(), input)
}

fn objects(output: &Output) -> Vec<Value> {
    let text = std::str::from_utf8(&output.stdout).expect("UTF-8");
    text.lines()
        .map(|line| serde_json::from_str(line).expect(line))
        .collect()
}

/// Lines enough for several blocks: published words, faults, blank and ill-formed ones.
fn corpus() -> Vec<u8> {
    let mut corpus = b"\xEF\xBB\xBF".to_vec();
    let rows = Table::read("wordlists/eng-us-narrow.tsv");
    let words: Vec<String> = rows
        .rows()
        .map(|row| row.cell("transcription").replace([' ', '/'], ""))
        .filter(|word| !word.is_empty())
        .collect();
    let mut at = 0;
    while corpus.len() < 600_000 {
        let word = &words[at * 31 % words.len()];
        corpus.extend_from_slice(word.as_bytes());
        corpus.extend_from_slice(match at % 50 {
            7 => b":\r\n",
            17 => b"\n \t\n",
            27 => b"\xFF\xC9\n",
            37 => b"\0\n",
            _ => b"\n",
        });
        at += 1;
    }
    corpus
}

#[test]
fn any_number_of_cores_gives_the_same_bytes() {
    let corpus = corpus();
    let path = scratch("cores.txt", &corpus);
    let path = path.to_str().expect("a path");
    let whole = check(&["--format", "json"], &corpus);
    let faults = objects(&whole)
        .into_iter()
        .filter(|object| object["diagnostics"] != Value::Array(Vec::new()));
    let faults: Vec<Value> = faults.collect();
    assert!(faults.len() > 500, "{}", faults.len());
    for format in ["json", "text", "lines", "sarif"] {
        let run = |jobs: &str| {
            let options = ["--faults-only", "--format", format, "--jobs", jobs];
            let mut options = options.to_vec();
            options.extend(["--width", "80", "--file", path]);
            check(&options, b"")
        };
        let one = run("1");
        assert_eq!(one.status.code(), Some(1));
        for jobs in ["2", "3"] {
            let several = run(jobs);
            assert_eq!(several.status.code(), Some(1));
            assert!(several.stdout == one.stdout, "{format} on {jobs} cores");
        }
        if format == "json" {
            let mut found = objects(&one);
            for object in &mut found {
                object.as_object_mut().expect("an object").remove("file");
            }
            assert!(found == faults, "passing over lines changes what is found");
        }
    }
    let _ = std::fs::remove_file(path);
}

/// Lines between brackets and slashes, of other line ends, blank ones, and flawless ones of
/// every length up to those that are too long to be.
fn all_kinds() -> Vec<u8> {
    let mut lines = Vec::new();
    let rows = Table::read("wordlists/other-languages.tsv");
    for (at, row) in rows.rows().enumerate() {
        let word = row.cell("transcription").replace([' ', '/'], "");
        let end = if at % 5 == 3 { "\r\n" } else { "\n" };
        let line = match at % 7 {
            0 => format!("[{word}]"),
            1 => format!("/{word}/"),
            2 => format!("{word}] [{word}"),
            _ => word,
        };
        lines.extend(line.bytes().chain(end.bytes()));
        if at % 400 == 0 {
            let length = 100 + at / 4 % 1_100;
            lines.extend("ta".repeat(length / 2).bytes().chain(*b"\n\n\r\n \n"));
        }
    }
    lines.extend("tʰa".bytes());
    lines
}

#[test]
fn lines_that_are_passed_over_are_those_without_a_fault() {
    let mut lines = all_kinds();
    let faults = |whole: &Output| {
        let all = objects(whole).into_iter();
        let found =
            all.filter(|object| object["diagnostics"] != Value::Array(Vec::new()));
        found.collect::<Vec<Value>>()
    };
    for more in [
        "",
        "\n",
        "\r\n",
        "\na:",
        &format!("\n{}\na:\n", "ta".repeat(900)),
    ] {
        lines.extend(more.bytes());
        for accent in [&[][..], &["--accent", "en-US"]] {
            let json = [&["--format", "json"], accent].concat();
            let whole = faults(&check(&json, &lines));
            assert!(whole.len() > 20, "{}", whole.len());
            for jobs in ["1", "2"] {
                let few = [&["--faults-only", "--jobs", jobs], &json[..]].concat();
                let few = objects(&check(&few, &lines));
                assert!(few == whole, "{more:?} {accent:?} on {jobs} cores");
            }
        }
    }
}

#[test]
fn a_line_is_answered_before_the_next_one_comes() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(["check", "--format", "json"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("a pipe");
    let mut stdout = child.stdout.take().expect("a pipe");
    for line in 1..=3 {
        stdin.write_all("tʰa\n".as_bytes()).expect("it reads");
        let mut answer = Vec::new();
        let mut byte = [0];
        while answer.last() != Some(&b'\n') {
            assert_eq!(stdout.read(&mut byte).expect("it answers"), 1);
            answer.push(byte[0]);
        }
        let answer: Value = serde_json::from_slice(&answer).expect("JSON");
        assert_eq!(answer["line"], line);
    }
    drop(stdin);
    assert!(child.wait().expect("it ends").success());
}

#[test]
fn a_line_without_end_is_refused_and_the_next_one_read() {
    for length in [17_000_000, 20_000_000] {
        let corpus = format!("a:\n{}\nb:\n", "ta".repeat(length / 2));
        for command in [&["--jobs", "1"][..], &["--jobs", "2"]] {
            let mut options = vec!["--format", "json"];
            options.extend(command);
            let output = check(&options, corpus.as_bytes());
            assert_eq!(output.status.code(), Some(1));
            let found = objects(&output);
            assert_eq!(found.len(), 3, "{length}");
            let long = &found[1];
            assert_eq!((&long["line"], &long["valid"]), (&2.into(), &false.into()));
            let fault = &long["diagnostics"][0];
            assert_eq!(fault["code"], "text-long");
            assert_eq!(fault["severity"], "error");
            let shown = long["text"].as_str().expect("a text").len();
            assert!((1_000..2_000).contains(&shown), "{shown}");
            assert_eq!(fault["end"], shown);
            let place = &found[2]["diagnostics"][0]["place"];
            assert_eq!(found[2]["line"], 3);
            assert_eq!(place["start"], corpus.rfind(':').expect("a colon"));
        }
    }
}

#[test]
fn a_reader_that_goes_away_ends_the_run() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(["check", "--format", "json", "--jobs", "2"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("a pipe");
    let mut stdout = child.stdout.take().expect("a pipe");
    let writer = std::thread::spawn(move || {
        let lines = "a:\n".repeat(10_000);
        // Until nobody reads; at some thirty megabytes it would be over anyway.
        (0..1_000).all(|_| stdin.write_all(lines.as_bytes()).is_ok())
    });
    let mut some = [0; 100];
    stdout.read_exact(&mut some).expect("answers");
    drop(stdout);
    let status = child.wait().expect("it ends");
    assert_eq!(status.code(), Some(0));
    assert!(!writer.join().expect("the writer ends"), "it was cut short");
}

#[test]
fn a_folder_and_a_missing_file_are_told_and_the_rest_is_read() {
    let path = scratch("after.txt", b"a:\n");
    let folder = std::env::temp_dir();
    let output = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(["check", "--format", "json", "--file"])
        .arg(&folder)
        .args(["--file", "no/such/file", "--file"])
        .arg(&path)
        .output()
        .expect("the program starts");
    assert_eq!(output.status.code(), Some(2));
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(told.contains("this is a folder"), "{told}");
    assert!(told.contains("no such file"), "{told}");
    assert_eq!(objects(&output).len(), 1);
    let _ = std::fs::remove_file(path);
}

#[cfg(unix)]
#[test]
fn a_named_pipe_is_read_like_a_file() {
    let path = scratch("pipe", b"");
    std::fs::remove_file(&path).expect("a name");
    let made = Command::new("mkfifo").arg(&path).status();
    assert!(made.expect("mkfifo runs").success());
    let child = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(["check", "--format", "lines", "--file"])
        .arg(&path)
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    std::fs::write(&path, "ta\na:\n").expect("a writer");
    let output = child.wait_with_output().expect("it ends");
    let text = String::from_utf8_lossy(&output.stdout);
    assert!(text.contains(":2:2: error"), "{text}");
    let _ = std::fs::remove_file(path);
}

#[test]
fn a_record_without_end_is_refused() {
    let long = "x".repeat(17_000_000);
    for (form, text) in [
        ("json", format!("\"{long}\"\n")),
        ("csv", format!("ipa\n\"{long}\n")),
        ("tsv", format!("ipa\n{long}\n")),
    ] {
        let output = check(&["--input", form], text.as_bytes());
        assert_eq!(output.status.code(), Some(2), "{form}");
        let told = String::from_utf8_lossy(&output.stderr);
        assert!(told.contains("a record is longer than"), "{form}: {told}");
    }
}

/// Reads bytes in a form to the end; a panic or an endless loop is what it looks for.
fn read(form: Form, bytes: &[u8]) -> usize {
    let wanted = Wanted::One(Pick::default());
    let source = Source::Held("fuzzed".into(), bytes.into());
    let mut records = 0;
    let read = files::read(&source, Some(form), &wanted, &mut |record| {
        records += 1;
        for (place, text) in record.places.iter().zip(&record.texts) {
            let whole = apical::text::Span::new(0, text.len());
            let range = place.range(whole);
            assert!(range.start <= range.end && range.end <= place.raw(text).len());
        }
        Ok(())
    });
    if let Err(stop) = read {
        let Stop::Source(failure) = stop else {
            panic!("{stop:?}");
        };
        let mut told = String::new();
        let _ = write!(told, "{failure}");
        assert!(told.contains("remedy: "), "{told}");
    }
    records
}

const FORMS: [Form; 8] = [
    Form::Lines,
    Form::Tsv,
    Form::Csv,
    Form::Json,
    Form::Pls,
    Form::Ssml,
    Form::Xml,
    Form::Html,
];

fn pieces() -> impl Strategy<Value = Vec<u8>> {
    const PIECES: &[&[u8]] = &[
        b"<lexicon alphabet='ipa'>",
        b"</lexicon>",
        b"<phoneme>",
        b"<phoneme ph='",
        b"</phoneme>",
        b"<!DOCTYPE x [<!ENTITY a 'b'>]>",
        b"<!ENTITY a SYSTEM 'file:///etc/passwd'>",
        b"<![CDATA[",
        b"]]>",
        b"<!--",
        b"-->",
        b"<?",
        b"<",
        b">",
        b"&a;",
        b"&#x",
        b"&#0;",
        b"&#55296;",
        b"&lt",
        b"'",
        b"\"",
        b"\\u",
        b"\\ud800",
        b"{\"text\":",
        b"}",
        b"transcription",
        b"\t",
        b",",
        b"\r",
        b"\n",
        b"\0",
        b"\xFF",
        b"\xC9",
        b"\xEF\xBB\xBF",
        "t͡ʃ".as_bytes(),
        b"a:",
    ];
    let piece = prop::sample::select(PIECES);
    prop::collection::vec(piece, 0..40).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1_500))]

    #[test]
    fn readers_never_fail_without_a_reason(
        bytes in prop_oneof![pieces(), prop::collection::vec(any::<u8>(), 0..200)],
    ) {
        for form in FORMS {
            read(form, &bytes);
        }
    }
}

#[test]
fn entities_are_never_resolved() {
    // The classic growth of nine entities by tens, and a file of the system.
    let mut bomb = String::from("<!DOCTYPE lexicon [<!ENTITY a0 'aaaaaaaaaa'>");
    for level in 1..10 {
        let inner = format!("&a{};", level - 1).repeat(10);
        let _ = write!(bomb, "<!ENTITY a{level} '{inner}'>");
    }
    bomb.push_str("<!ENTITY f SYSTEM 'file:///etc/hostname'>]>");
    bomb.push_str("<lexicon alphabet='ipa'><lexeme><phoneme>&a9;&f;</phoneme></lexeme>");
    bomb.push_str("</lexicon>");
    let output = check(&["--input", "pls", "--format", "json"], bomb.as_bytes());
    assert!(output.stdout.len() < 10_000, "{}", output.stdout.len());
    let hostname = std::fs::read_to_string("/etc/hostname").unwrap_or_default();
    let hostname = hostname.trim();
    let text = String::from_utf8_lossy(&output.stdout);
    assert!(hostname.is_empty() || !text.contains(hostname), "{text}");
}
