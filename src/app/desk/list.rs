//! Word lists for a session: from a file, or drawn from the words of an accent.

#![allow(
    clippy::disallowed_methods,
    reason = "this is where the desk reads a word list"
)]

use std::fs;
use std::path::Path;

use super::items::{Field, Items};
use super::session::bare;
use super::sheet::Sheet;
use crate::app::Failure;
use crate::lexicon::{Entry, Forms, Kind, Lexicon, Phoneme, Scope};
use crate::notation::Transcription;
use crate::record::Planned;
use crate::report::text::line::visible;

/// Words that are drawn where no number is said.
const USUAL_COUNT: usize = 20;

/// The most words that a list may be drawn of.
const MOST: usize = 500;

/// A list and what is to be said about it.
#[derive(Debug)]
pub(super) struct List {
    /// What it is called.
    pub(super) name: String,
    pub(super) planned: Vec<Planned>,
    /// Words whose target nobody gave and no word list has.
    pub(super) without_target: Vec<String>,
}

/// Reads a list: a table with the column `word` or `target` (and perhaps `accepted` and
/// `recording`), or a plain text with one word or phrase a line, `#` before a remark.
/// Targets that are not given are looked up; further variants are accepted.
pub(super) fn read(path: &Path, lexicon: Option<&Lexicon>) -> Result<List, Failure> {
    let place = path.display().to_string();
    let text = fs::read(path).map_err(|error| {
        Failure::new(
            &place,
            format!("cannot be read: {error}"),
            "name a table with the column word, or a text with one word a line",
        )
    })?;
    let text = String::from_utf8(text).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        Failure::new(
            &place,
            format!("byte {at} is no UTF-8"),
            "save the list as UTF-8",
        )
    })?;
    let first = text.lines().next().unwrap_or_default();
    let is_table = first
        .trim_start_matches('\u{FEFF}')
        .split(['\t', ',', ';'])
        .any(|cell| matches!(cell.trim_matches(['"', ' ', '\r']), "word" | "target"));
    let rows: Vec<Planned> = if is_table {
        let sheet = Sheet::open(path)?;
        (0..sheet.len())
            .map(|at| Planned {
                word: sheet.get(at, &Field::Word).trim().to_owned(),
                target: bare(&sheet.get(at, &Field::Target)),
                accepted: sheet.get(at, &Field::Accepted).trim().to_owned(),
                recording: recording(path, sheet.get(at, &Field::Recording).trim()),
                position: 0,
            })
            .collect()
    } else {
        text.trim_start_matches('\u{FEFF}')
            .lines()
            .map(str::trim)
            .filter(|line| !line.is_empty() && !line.starts_with('#'))
            .map(|line| Planned {
                word: line.to_owned(),
                ..Planned::default()
            })
            .collect()
    };
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let list = finished(stem.into_owned(), rows, lexicon);
    if list.planned.is_empty() {
        return Err(Failure::new(
            place,
            "there is no word in it",
            "write one word a line, or a table with the column word",
        ));
    }
    let faulty = list
        .planned
        .iter()
        .find(|it| !it.target.is_empty() && !Transcription::parse(&it.target).is_valid());
    if let Some(it) = faulty {
        let read = Transcription::parse(&it.target);
        let fault = read.diagnostics().first();
        return Err(Failure::new(
            format!("{place}: item {} {}", it.position, visible(&it.word)),
            fault.map_or_else(String::new, |fault| {
                format!(
                    "its target {}: {}",
                    visible(&it.target),
                    fault.message(read.text())
                )
            }),
            fault
                .and_then(|fault| fault.help(read.text()))
                .unwrap_or_else(|| "mend the target in the list".into())
                .into_owned(),
        ));
    }
    Ok(list)
}

/// The place of a recording, whose name starts from the folder of the list: the session may
/// be taken up elsewhere.
fn recording(list: &Path, name: &str) -> String {
    if name.is_empty() {
        return String::new();
    }
    let path = list.parent().unwrap_or(Path::new("")).join(name);
    let path = std::path::absolute(&path).unwrap_or(path);
    path.display().to_string()
}

/// Gives rows their places and the targets they lack.
fn finished(name: String, rows: Vec<Planned>, lexicon: Option<&Lexicon>) -> List {
    let mut without_target = Vec::new();
    let mut planned = Vec::with_capacity(rows.len());
    for (mut row, position) in rows.into_iter().zip(1..) {
        row.position = position;
        if row.target.is_empty() {
            let mut found = targets(&row.word, lexicon).into_iter();
            match found.next() {
                Some(first) => {
                    row.target = first;
                    if row.accepted.is_empty() {
                        row.accepted = found.collect::<Vec<_>>().join(";");
                    }
                }
                None => without_target.push(row.word.clone()),
            }
        }
        planned.push(row);
    }
    List {
        name,
        planned,
        without_target,
    }
}

/// The targets of a word, or of a phrase word by word, where every word has one.
fn targets(word: &str, lexicon: Option<&Lexicon>) -> Vec<String> {
    let Some(lexicon) = lexicon else {
        return Vec::new();
    };
    if let Some(entry) = lexicon.look_up(word) {
        return entry.targets().collect();
    }
    let words: Option<Vec<String>> = word
        .split_whitespace()
        .map(|word| lexicon.look_up(word)?.targets().next())
        .collect();
    words
        .filter(|words| !words.is_empty())
        .map(|words| words.join(" "))
        .into_iter()
        .collect()
}

/// Where in a word a sound is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Where {
    Anywhere,
    Initial,
    Medial,
    Final,
}

impl Where {
    fn holds(self, at: usize, last: usize) -> bool {
        match self {
            Self::Anywhere => true,
            Self::Initial => at == 0,
            Self::Final => at == last,
            Self::Medial => at > 0 && at < last,
        }
    }
}

/// Draws the commonest words of an accent, those with a sound where one is named: a number,
/// sounds, and `initial`, `medial` or `final`, in any order.
pub(super) fn draw(
    wishes: &[String],
    lexicon: Option<&Lexicon>,
) -> Result<List, Failure> {
    let place = || format!("draw {}", wishes.join(" "));
    let lexicon = lexicon.ok_or_else(|| {
        Failure::new(
            place(),
            "this accent has no word list",
            "choose one that has, as in: accent en-US; or name a list in a file",
        )
    })?;
    let mut count = USUAL_COUNT;
    let mut position = Where::Anywhere;
    let mut sounds = Vec::new();
    for wish in wishes {
        let text = wish.trim_matches(['/', '[', ']']);
        if let Ok(number) = text.parse::<usize>() {
            count = number.clamp(1, MOST);
            continue;
        }
        match text {
            "initial" => position = Where::Initial,
            "medial" => position = Where::Medial,
            "final" => position = Where::Final,
            text => sounds.push(lexicon.phoneme(text).ok_or_else(|| {
                let known: Vec<&str> = lexicon.phonemes().map(Phoneme::text).collect();
                Failure::new(
                    place(),
                    format!("{} is no sound of this accent", visible(text)),
                    format!(
                        "name a number, a sound, and initial, medial or final; the sounds: {}",
                        known.join(" ")
                    ),
                )
            })?),
        }
    }
    let forms = Forms::of(lexicon, &Scope::default()).map_err(|error| {
        Failure::new(place(), error.to_string(), "choose another accent")
    })?;
    let mut found: Vec<Entry> = forms
        .iter()
        .filter(|form| {
            let phonemes: Vec<_> = form.phonemes().map(|(phoneme, _)| phoneme).collect();
            let last = phonemes.len().saturating_sub(1);
            sounds.iter().all(|sound| {
                let mut at = phonemes.iter().enumerate();
                at.any(|(at, known)| known == sound && position.holds(at, last))
            })
        })
        .flat_map(|form| form.words().collect::<Vec<_>>())
        .filter(|entry| entry.kind() == Kind::Word && entry.rank().is_some())
        // One letter is no word to say.
        .filter(|entry| entry.word().chars().count() > 1)
        .collect();
    found.sort_by_key(|entry| (entry.rank(), entry.word()));
    found.dedup_by_key(|entry| entry.word());
    found.truncate(count);
    if found.is_empty() {
        return Err(Failure::new(
            place(),
            "no word has this",
            "ask for fewer sounds, or for another place in the word",
        ));
    }
    let rows = found
        .iter()
        .map(|entry| Planned {
            word: entry.word().to_owned(),
            ..Planned::default()
        })
        .collect();
    Ok(finished(
        format!("words {}", wishes.join(" ")).trim_end().to_owned(),
        rows,
        Some(lexicon),
    ))
}
