//! Validation for other tools: yes or no, a file streamed, start-up and memory.
//!
//! Speeds are ratios to baselines that take turns with us in one run, each the median of
//! neighbouring turns. The words are varied real ones, in an order drawn at random: a
//! repeated word flatters up to four times.

#![allow(
    clippy::print_stdout,
    missing_docs,
    reason = "a benchmark prints its figures"
)]
#![allow(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::cast_precision_loss,
    reason = "a benchmark reads its words, and one that panics has failed"
)]

use std::hint::black_box;
use std::io::Write;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Instant;

use apical::inventory;
use apical::notation::{Transcription, is_clean, is_valid};
use regex::Regex;
use unicode_normalization::UnicodeNormalization;

const PROGRAM: &str = env!("CARGO_BIN_EXE_apical");
const LISTS: [&str; 5] = [
    "eng-uk-broad",
    "eng-us-broad",
    "eng-us-narrow",
    "eng-us-stress",
    "other-languages",
];
const STREAM: usize = 50_000_000;

/// The outside word lists if they are beside the project, else the sample in the repository.
fn words() -> Vec<String> {
    let root = env!("CARGO_MANIFEST_DIR");
    let mut words = Vec::new();
    for name in LISTS {
        let outside = format!("{root}/../shared/data/wordlists/{name}.tsv");
        let inside = format!("{root}/tests/data/wordlists/{name}.tsv");
        let text = std::fs::read_to_string(outside)
            .or_else(|_| std::fs::read_to_string(inside))
            .unwrap_or_default();
        let cells = text
            .lines()
            .skip(1)
            .filter_map(|line| line.split('\t').nth(1));
        words.extend(cells.map(|cell| cell.replace([' ', '/'], "")));
    }
    words.retain(|word| !word.is_empty());
    words
}

/// Numbers below a bound, in an order that nothing can learn (xorshift, fixed seed).
fn drawn(bound: usize) -> impl Iterator<Item = usize> {
    let mut state = 0x9E37_79B9_7F4A_7C15_u64;
    std::iter::repeat_with(move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        usize::try_from(state >> 20).unwrap_or(0) % bound
    })
}

fn time(work: &mut dyn FnMut()) -> f64 {
    let start = Instant::now();
    work();
    start.elapsed().as_secs_f64()
}

fn median(mut all: Vec<f64>) -> f64 {
    all.sort_by(f64::total_cmp);
    all[all.len() / 2]
}

/// How many times as fast as the baseline each contender is.
fn ratios(
    turns: usize,
    baseline: &mut dyn FnMut(),
    them: &mut [&mut dyn FnMut()],
) -> Vec<f64> {
    let mut found = vec![Vec::new(); them.len()];
    for _ in 0..turns {
        let base = time(baseline);
        for (contender, found) in them.iter_mut().zip(&mut found) {
            found.push(base / time(contender));
        }
    }
    found.into_iter().map(median).collect()
}

/// What the parser calls valid, as far as a pattern can say it: letters with marks, ties,
/// stress, breaks, links and tones, from the same tables.
fn pattern() -> Regex {
    let class = |texts: Vec<&str>| {
        let all: Vec<String> = texts.into_iter().map(regex::escape).collect();
        format!("(?:{})", all.join("|"))
    };
    let letter = class(inventory::symbols().iter().map(|one| one.text).collect());
    let precomposed: String = ('\u{C0}'..='\u{1EF9}')
        .filter(|c| is_clean(c.to_string().as_bytes()) && c.nfd().count() > 1)
        .collect();
    let letter = format!("(?:{letter}|[{precomposed}])");
    let mark = class(inventory::marks().iter().map(|one| one.text).collect());
    let sound = format!("{letter}{mark}*(?:[\u{361}\u{35C}]{letter}{mark}*)*");
    let word = format!("(?:[ˈˌ]?{mark}?{sound}[˥˦˧˨˩]*[.]?)+");
    Regex::new(&format!("^{word}(?:[ ‿]{word})*$")).unwrap()
}

fn yes_or_no(words: &[String]) {
    let lines: Vec<&str> = drawn(words.len())
        .take(100_000)
        .map(|at| words[at].as_str())
        .collect();
    let mut reused = String::new();
    let mut nfd = || {
        for line in &lines {
            reused.clear();
            reused.extend(line.nfd());
            black_box(&reused);
        }
    };
    let regex = pattern();
    let mut by_regex = || {
        black_box(lines.iter().filter(|line| regex.is_match(line)).count());
    };
    let mut buffer = Transcription::default();
    let mut valid = || {
        let valid = |line: &&&str| is_valid(line, &mut buffer);
        black_box(lines.iter().filter(valid).count());
    };
    let mut clean = || {
        let clean = |line: &&&str| is_clean(line.as_bytes());
        black_box(lines.iter().filter(clean).count());
    };
    let mut parsed = Transcription::default();
    let mut parse = || {
        for line in &lines {
            parsed.reparse(line);
            black_box(parsed.is_valid());
        }
    };
    let found = ratios(
        15,
        &mut nfd,
        &mut [&mut valid, &mut by_regex, &mut clean, &mut parse],
    );
    let [ours, regex_over, clean_over, parse_over] = found[..] else {
        return;
    };
    let share = |count: usize| 100.0 * count as f64 / lines.len() as f64;
    let clean = share(lines.iter().filter(|l| is_clean(l.as_bytes())).count());
    let matched = share(lines.iter().filter(|l| regex.is_match(l)).count());
    println!("yes or no, {} lines of {} words:", lines.len(), words.len());
    println!("  {clean:.1} % flawless without parsing, {matched:.1} % match the pattern");
    println!("  is_valid    {ours:6.2} × NFD (8 wanted)");
    println!("  is_valid    {:6.2} × regex (2 wanted)", ours / regex_over);
    println!("  is_clean    {clean_over:6.2} × NFD");
    println!("  full parse  {parse_over:6.2} × NFD");
}

fn stream(words: &[String], folder: &Path) {
    let mut text = String::with_capacity(STREAM + 100);
    for at in drawn(words.len()) {
        text.push_str(&words[at]);
        text.push('\n');
        if text.len() >= STREAM {
            break;
        }
    }
    let path = folder.join("lines.txt");
    std::fs::write(&path, &text).unwrap();
    let mut reused = String::new();
    let mut nfd = || {
        for line in text.lines() {
            reused.clear();
            reused.extend(line.nfd());
            black_box(&reused);
        }
    };
    let run = |jobs: &str| {
        let status = Command::new(PROGRAM)
            .args(["check", "--format", "json", "--faults-only"])
            .args(["--jobs", jobs, "--file"])
            .arg(&path)
            .stdout(Stdio::null())
            .status()
            .unwrap();
        assert!(status.code() != Some(2));
    };
    let found = ratios(7, &mut nfd, &mut [&mut || run("1"), &mut || run("2")]);
    let faulty = {
        let mut buffer = Transcription::default();
        let mut faulty = |word: &&String| {
            buffer.reparse(word);
            !buffer.diagnostics().is_empty()
        };
        words.iter().filter(&mut faulty).count()
    };
    let share = 100.0 * faulty as f64 / words.len() as f64;
    println!(
        "a file of {STREAM} bytes, JSON for faults only ({share:.2} % of the lines):"
    );
    println!("  one core    {:6.2} × NFD (5 wanted)", found[0]);
    println!(
        "  two cores   {:6.2} × one (1.85 wanted)",
        found[1] / found[0]
    );
}

fn start_up(folder: &Path) {
    let source = folder.join("empty.rs");
    std::fs::write(&source, "fn main() {}\n").unwrap();
    let program = folder.join("empty");
    let built = Command::new("rustc")
        .args(["--edition", "2024", "-O", "-o"])
        .args([&program, &source])
        .status();
    if !built.is_ok_and(|status| status.success()) {
        println!("start-up: no rustc to build an empty program with");
        return;
    }
    let run = |program: &Path, arguments: &[&str]| {
        let mut command = Command::new(program);
        command.args(arguments).stdout(Stdio::null());
        assert!(command.status().unwrap().success());
    };
    let found = ratios(
        301,
        &mut || run(&program, &[]),
        &mut [&mut || run(Path::new(PROGRAM), &["check", "[ˈtʰiː]"])],
    );
    println!("start-up:");
    println!(
        "  one word    {:6.2} × an empty program (at most 1.7 wanted)",
        1.0 / found[0]
    );
}

/// The most memory a process has had, in megabytes, as Linux tells it.
fn peak(child: &Child) -> f64 {
    let status = std::fs::read_to_string(format!("/proc/{}/status", child.id()));
    let status = status.unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes = line.and_then(|line| line.split_whitespace().next());
    kilobytes.map_or(f64::NAN, |kilobytes| {
        kilobytes.parse::<f64>().unwrap_or(f64::NAN) / 1024.0
    })
}

fn memory(words: &[String]) {
    let run = |what: &str, piece: &[u8], times: usize| {
        let mut child = Command::new(PROGRAM)
            .args(["check", "--format", "json", "--faults-only", "--jobs", "2"])
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        let mut input = child.stdin.take().unwrap();
        for _ in 0..times {
            input.write_all(piece).unwrap();
        }
        let peak = peak(&child);
        drop(input);
        assert!(child.wait().unwrap().code() != Some(2));
        let megabytes = (piece.len() * times) as f64 / 1e6;
        println!("  {what:<24} {megabytes:5.0} MB in, {peak:4.0} MB at most (64 wanted)");
    };
    let mut lines = String::new();
    for at in drawn(words.len()).take(200_000) {
        lines.push_str(&words[at]);
        lines.push('\n');
    }
    println!("memory:");
    let times = 2_000_000_000 / lines.len() + 1;
    run("lines", lines.as_bytes(), times);
    run("lines, all faulty", "a:\n".repeat(100_000).as_bytes(), 100);
    run("one line", "ta".repeat(500_000).as_bytes(), 100);
    let longest = format!("{}\n", "a:".repeat(260_000));
    run("the longest that is read", longest.as_bytes(), 4);
}

fn main() {
    let words = words();
    let folder =
        std::env::temp_dir().join(format!("apical-bench-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    yes_or_no(&words);
    stream(&words, &folder);
    let mut buffer = Transcription::default();
    let mut flawless = words.clone();
    flawless.retain(|word| {
        buffer.reparse(word);
        buffer.diagnostics().is_empty()
    });
    stream(&flawless, &folder);
    start_up(&folder);
    memory(&words);
    std::fs::remove_dir_all(&folder).unwrap();
}
