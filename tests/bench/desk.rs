//! What the desk costs its user: keys for each symbol, and the time from a key to the screen.
//!
//! Prints figures beside the aim that each is held to; a bench is not a test, and fails only
//! where what it measures is not what it claims to be.

#![allow(
    missing_docs,
    clippy::cast_precision_loss,
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::print_stdout,
    clippy::unwrap_used,
    dead_code,
    reason = "a bench may panic, print, and use only some of the terminal's ways"
)]

#[path = "../terminal.rs"]
mod terminal;

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use apical::lexicon::Lexicon;
use apical::notation::key_map::{KeyMap, ring};
use portable_pty::CommandBuilder;
use terminal::{Desk, Folder, Start};

/// Words whose typing is counted.
const WORDS: usize = 1_000;
/// Characters in the line while keys are timed.
const LENGTH: usize = 200;
/// Keys timed.
const KEYS: usize = 400;

fn main() {
    if std::env::args().any(|it| it == ALONE) {
        line_editor_alone();
        return;
    }
    keystrokes();
    latency();
}

/// The argument that makes this program the line editor that the desk is measured against.
const ALONE: &str = "line-editor-alone";

/// The line editor of the desk with nothing of the desk in it.
fn line_editor_alone() {
    let config = rustyline::Config::builder()
        .behavior(rustyline::Behavior::Stdio)
        .bracketed_paste(true)
        .build();
    let mut editor = rustyline::DefaultEditor::with_config(config).expect("an editor");
    while editor.readline("apical> ").is_ok() {}
}

/// A way to type a symbol: the keys, Tab for a turn of the ring.
fn way(keys: &KeyMap, symbol: char) -> Option<String> {
    let typed = |way: &str| {
        let mut text = String::from("a");
        for key in way.chars() {
            let edit = if key == '\t' {
                apical::notation::key_map::turned(&text, 1)
            } else {
                keys.typed(&text, key)
            };
            match edit {
                Some(edit) => text = edit.applied(&text),
                None if key == '\t' => return None,
                None => text.push(key),
            }
        }
        Some(text)
    };
    let wanted = format!("a{symbol}");
    let plain = (' '..='~').map(|key| key.to_string());
    let marks = (' '..='~').map(|key| format!("_{key}"));
    let continued = (' '..='~').flat_map(|key| [format!("{key}\\"), format!("{key}`")]);
    let letter = symbol.to_string();
    let turned = ring(&letter).into_iter().flat_map(|ring| {
        let first = ring.letters[0].to_owned();
        (1..ring.letters.len()).map(move |turns| format!("{first}{}", "\t".repeat(turns)))
    });
    plain
        .chain(marks)
        .chain(continued)
        .chain(turned)
        .find(|way| typed(way).as_deref() == Some(wanted.as_str()))
}

fn keystrokes() {
    let lexicon = Lexicon::of("en-US").expect("the word list");
    let usual = KeyMap::default();
    let mut own = KeyMap::default();
    own.set('r', Some("ɹ"));
    for (name, keys) in [("as it comes", &usual), ("after `key r ɹ`", &own)] {
        let mut ways: BTreeMap<char, usize> = BTreeMap::new();
        let (mut symbols, mut strokes, mut beyond) = (0, 0, 0);
        for entry in lexicon.commonest_first().into_iter().take(WORDS) {
            let target = entry.targets().next().expect("a target");
            for symbol in target.chars() {
                let cost = *ways.entry(symbol).or_insert_with(|| {
                    way(keys, symbol)
                        .unwrap_or_else(|| panic!("no way to type {symbol}"))
                        .chars()
                        .count()
                });
                symbols += 1;
                strokes += cost;
                beyond += usize::from(!symbol.is_ascii());
            }
        }
        let each = strokes as f64 / f64::from(symbols);
        let share = beyond as f64 * 100.0 / f64::from(symbols);
        println!(
            "keystrokes, {name}: {strokes} for {symbols} symbols of {WORDS} words ({share:.0} % beyond \
             ASCII) = {each:.3} a symbol (aim: at most 1.1; 1.0 is a keyboard of one's own)"
        );
    }
}

fn latency() {
    let state = Folder::new();
    let start = Start {
        rows: 30,
        columns: 250,
        state: &state,
        environment: &[],
        in_shell: false,
    };
    let text = "tɪkʰæsə".chars().cycle().take(LENGTH).collect::<String>();
    let mut command = CommandBuilder::new(std::env::current_exe().expect("this program"));
    command.arg(ALONE);
    let alone = timed(&mut Desk::run(&start, command), &text);
    println!(
        "keystroke to screen, the line editor alone: median {:.2} ms, p95 {:.2} ms",
        alone[0], alone[1]
    );
    let mut desk = Desk::start(&start);
    desk.press(&format!("target /{text}/\r"));
    desk.shows("heard>");
    let said = |name: &str, times: [f64; 2]| {
        println!(
            "keystroke to screen, {name}: median {:.2} ms, p95 {:.2} ms (aim: p95 at most \
             1 ms; a screen is drawn every 16.7 ms) = {:.2} × and {:.2} × the line editor \
             alone",
            times[0],
            times[1],
            times[0] / alone[0],
            times[1] / alone[1],
        );
    };
    let as_the_target = timed(&mut desk, &text);
    said(
        &format!("{LENGTH} characters with target, alignment and hint, as the target"),
        as_the_target,
    );
    // What differs in every word is what costs most.
    desk.press("\x15");
    desk.until("an empty line", |screen| screen.column() == 0);
    let other = text.replace('t', "d").replace('ɪ', "i").replace('æ', "ɛ");
    said("the same, half the sounds others", timed(&mut desk, &other));
}

/// What a key takes at the end of a line, until the screen has it: median and p95, in
/// thousandths of a second.
fn timed(desk: &mut Desk, text: &str) -> [f64; 2] {
    desk.press(&format!("\x1b[200~{text}\x1b[201~"));
    // The aspiration takes a column of its own, as every letter here does.
    let full = u16::try_from(LENGTH).expect("a short line");
    desk.until("the whole line", |screen| screen.column() == full);
    let mut times: Vec<Duration> = Vec::with_capacity(KEYS);
    for number in 0..KEYS {
        let (key, column) = if number % 2 == 0 {
            ("n", full + 1)
        } else {
            ("\x7f", full)
        };
        let start = Instant::now();
        desk.press(key);
        desk.until("the key", |screen| screen.column() == column);
        times.push(start.elapsed());
    }
    times.sort();
    let at = |part: usize| {
        times[(times.len() * part / 100).min(times.len() - 1)].as_secs_f64() * 1e3
    };
    [at(50), at(95)]
}
