//! How long a report on 60 words in 30 sessions takes, and drawing every letter of the chart in
//! a process of its own, as ratios to what a program start costs in the same run.

#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    clippy::unwrap_used,
    missing_docs,
    reason = "a benchmark that panics has failed, and it prints its figures"
)]

use std::path::Path;
use std::process::Command;
use std::time::Instant;

use apical::app::caseload::Caseload;
use apical::record::{Client, Item, Outcome, Session};

const SESSIONS: u32 = 30;
/// Of how many runs the middle is taken.
const RUNS: usize = 7;

/// Word, target, production.
fn rows() -> Vec<[String; 3]> {
    let sheet = include_str!("../data/demo/word_list.tsv");
    let mut lines = sheet
        .lines()
        .map(|line| line.split('\t').collect::<Vec<_>>());
    let head = lines.next().expect("a heading");
    let at = |name: &str| head.iter().position(|it| *it == name).expect("a column");
    let columns = [at("word"), at("target"), at("production")];
    let lexicon = apical::lexicon::Lexicon::of("en-US").expect("a word list");
    lines
        .map(|row| {
            let cell = |column: usize| row.get(column).copied().unwrap_or_default();
            let [word, target, production] = columns.map(|it| cell(it).to_owned());
            let looked_up = || {
                let entry = lexicon.look_up(&word)?;
                Some(format!("/{}/", entry.targets().next()?))
            };
            let target = if target.is_empty() {
                looked_up().unwrap_or_default()
            } else {
                target
            };
            [word, target, production]
        })
        .collect()
}

fn fill(path: &Path) {
    let mut caseload = Caseload::open(path, None).expect("a caseload");
    let client = Client {
        code: "B-1".to_owned(),
        accent: "en-US".to_owned(),
        opened: "2026-01-01T09:00:00Z".to_owned(),
        ..Client::default()
    };
    caseload.keep_client(&client).expect("a client");
    let rows = rows();
    for number in 0..SESSIONS {
        let session = Session {
            list: format!("list {}", number % 3),
            began: format!(
                "2026-{:02}-{:02}T09:00:00Z",
                1 + number / 28,
                1 + number % 28
            ),
            ..Session::default()
        };
        let items: Vec<Item> = rows
            .iter()
            .zip(1..)
            .map(|([word, target, production], position)| Item {
                position,
                word: word.clone(),
                target: target.clone(),
                // Every session some more words come right.
                production: Some(if (position * 7 + number) % 40 < number {
                    target.clone()
                } else {
                    production.clone()
                }),
                outcome: Outcome::Said,
                attempt: 1,
                pass: 1,
                at: session.began.clone(),
                ..Item::default()
            })
            .collect();
        caseload
            .keep_session("B-1", &session, &items)
            .expect("a session");
    }
    println!("{} items × {SESSIONS} sessions", rows.len());
}

/// The middle time of some runs, in milliseconds, and how much was written.
fn timed(caseload: &Path, arguments: &[&str]) -> (f64, usize) {
    let mut times = Vec::new();
    let mut bytes = 0;
    for _ in 0..RUNS {
        let start = Instant::now();
        let output = Command::new(env!("CARGO_BIN_EXE_apical"))
            .args(arguments)
            .env("APICAL_CASELOAD", caseload)
            .output()
            .expect("the program runs");
        times.push(start.elapsed().as_secs_f64() * 1000.0);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.success(), "{said}");
        bytes = output.stdout.len();
    }
    times.sort_by(f64::total_cmp);
    (times[RUNS / 2], bytes)
}

fn main() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("caseload.sqlite");
    fill(&path);
    // Baseline: the program starts and says its version.
    let (start, _) = timed(&path, &["--version"]);
    println!("a start of the program: {start:.1} ms");
    for reader in ["client", "colleague"] {
        for form in ["html", "text"] {
            let report = ["report", "--client", "B-1", "--for", reader, "--as", form];
            let (took, bytes) = timed(&path, &report);
            println!(
                "report for a {reader} as {form} ({bytes} bytes): {took:.0} ms, {:.1} × a start",
                took / start
            );
        }
    }
    let (took, bytes) = timed(&path, &["handout", "θ"]);
    println!(
        "practice sheet ({bytes} bytes): {took:.0} ms, {:.1} × a start",
        took / start
    );
    let letters: Vec<String> = apical::inventory::symbols()
        .iter()
        .filter(|it| it.set == "ipa" && it.status == apical::inventory::Status::Current)
        .map(|it| format!("[{}]", it.text))
        .collect();
    let svg = folder.path().join("letter.svg");
    let mut describe = vec!["describe", "--svg", svg.to_str().expect("UTF-8")];
    describe.extend(letters.iter().map(String::as_str));
    let (took, _) = timed(&path, &describe);
    println!(
        "describing and drawing {} letters: {took:.0} ms, {:.1} × a start",
        letters.len(),
        took / start
    );
}
