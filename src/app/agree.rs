//! `apical agree`: how far two transcriptions of one sample agree.

use std::collections::BTreeMap;

use super::arguments::{Agree, Alphabet, Form, Format};
use super::files::{self, Source};
use super::output::Answers;
use super::reading::Reading;
use super::sheet::{self, Cause, Why};
use super::{Failure, Status, Stop};
use crate::finding::agreement::transcribers::agreement;
use crate::notation::Transcription;
use crate::report::agree::{LeftOut, Page, Row as Compared};
use crate::report::json::agree as json;
use crate::report::text::agree as drawn;
use crate::report::text::line::visible;

/// Runs the command.
pub(super) fn run(arguments: &Agree) -> Result<Status, Stop> {
    let mut answers = Answers::new(&arguments.output);
    let accent = super::declared(&arguments.accent, &arguments.accent_options)?;
    let columns = columns(arguments)?;
    let first = Source::of(&arguments.first);
    let (one, other) = if let Some(second) = &arguments.second {
        let second = Source::of(second);
        if matches!((&first, &second), (Source::Standard, Source::Standard)) {
            return Err(Stop::Run(Failure::new(
                "agree - -",
                "standard input can be read once only",
                "put one of the two into a file",
            )));
        }
        let [one, other] =
            [(&first, columns[0]), (&second, columns[1])].map(|(source, column)| {
                Table::read(source, arguments.input, arguments.alphabet, &[column])
            });
        (one?, other?)
    } else {
        let table = Table::read(&first, arguments.input, arguments.alphabet, &columns)?;
        table.in_two()
    };
    let matched = matched(one, other)?;
    let pairs: Vec<[&Transcription; 2]> = matched
        .pairs
        .iter()
        .map(|it| [&it.said[0], &it.said[1]])
        .collect();
    let found = agreement(&pairs, Some(&accent));
    let page = Page {
        accent: accent.name(),
        called: accent.called(),
        names: &matched.names,
        rows: matched
            .pairs
            .iter()
            .map(|it| Compared {
                word: &it.word,
                lines: it.lines,
            })
            .collect(),
        found: &found,
        left_out: &matched.left_out,
        every: arguments.every,
    };
    match answers.format {
        Format::Json => answers.object(&json::Agreement::new(&page))?,
        Format::Text => answers.page(&drawn::page(&page, answers.columns))?,
    }
    Ok(Status::Good)
}

/// The columns of the two transcribers.
fn columns(arguments: &Agree) -> Result<[&str; 2], Stop> {
    let fault = |reason: &str, remedy: &str| {
        Err(Stop::Run(Failure::new("agree", reason, remedy)))
    };
    match (arguments.columns.as_slice(), &arguments.second) {
        ([], Some(_)) => Ok(["production", "production"]),
        ([], None) => fault(
            "one table is named, and not which columns of it hold the two transcriptions",
            "name a second table, or two columns: --columns FIRST,SECOND",
        ),
        ([one, other], second) => {
            let [one, other] = [one.trim(), other.trim()];
            if second.is_none() && one.eq_ignore_ascii_case(other) {
                return fault(
                    "both columns are the same",
                    "name two columns: --columns FIRST,SECOND",
                );
            }
            Ok([one, other])
        }
        _ => fault(
            "--columns needs two names",
            "part them by a comma: --columns FIRST,SECOND",
        ),
    }
}

/// A transcriber's table: its rows in order.
struct Table {
    name: String,
    /// The names of its columns that tell rows apart and are there.
    known: Vec<&'static str>,
    rows: Vec<Row>,
    /// What is in the way of some rows.
    left_out: Vec<LeftOut>,
}

/// A row of a table.
struct Row {
    line: u64,
    /// The cells of [`KEYS`].
    cells: [String; 4],
    /// What was written, once for each column asked for.
    said: Vec<Result<Transcription, (Cause, String)>>,
}

/// The columns that may tell rows apart.
const KEYS: [&str; 4] = ["id", "word", "target", "session"];

impl Table {
    fn read(
        source: &Source,
        form: Option<Form>,
        alphabet: Alphabet,
        columns: &[&str],
    ) -> Result<Self, Stop> {
        let fault = |error: std::io::Error| Stop::Source(source.failure(&error));
        let mut rows = files::rows(source, form)?;
        let Some(header) = rows.next().map_err(fault)? else {
            let remedy = "its first line names the columns: word, production";
            return Err(Failure::new(source.name(), "the table is empty", remedy).into());
        };
        let header: Vec<String> = header
            .iter()
            .map(|cell| String::from_utf8_lossy(cell).trim().to_owned())
            .collect();
        let place = format!("{}:{}", source.name(), rows.line());
        let find = |name: &str| column(&place, &header, name);
        let mut keys = [None; 4];
        let mut known = Vec::new();
        for (key, at) in KEYS.iter().zip(&mut keys) {
            *at = find(key)?;
            known.extend(at.map(|_| *key));
        }
        let mut wanted = Vec::new();
        for name in columns {
            wanted.push(find(name)?.ok_or_else(|| {
                let there: Vec<String> = header.iter().map(|it| visible(it)).collect();
                Failure::new(
                    place.clone(),
                    format!(
                        "no column is called “{}”; there are: {}",
                        visible(name),
                        there.join(", ")
                    ),
                    "call the column with what was heard production in the first line, or \
                     name it: --columns FIRST,SECOND",
                )
            })?);
        }
        let mut table = Self {
            name: source.name(),
            known,
            rows: Vec::new(),
            left_out: Vec::new(),
        };
        let mut reading = sheet::reading(alphabet);
        while let Some(row) = rows.next().map_err(fault)? {
            if row.iter().all(|cell| cell.trim_ascii().is_empty()) {
                continue;
            }
            let cell = |at: Option<usize>| {
                let cell = at.and_then(|at| row.get(at)).unwrap_or_default();
                cell.trim_ascii()
            };
            let cells = keys.map(|at| String::from_utf8_lossy(cell(at)).into_owned());
            let line = rows.line();
            let extra = row.iter().skip(header.len()).any(|cell| !cell.is_empty());
            if extra {
                table.left_out.push(LeftOut {
                    file: table.name.clone(),
                    line,
                    word: named(&cells),
                    cause: Cause::Misshapen.name(),
                    reason: format!(
                        "the row has {} cells, the first line names {}: put quotes around \
                         a cell that holds the separator",
                        row.len(),
                        header.len()
                    ),
                });
                continue;
            }
            let said = wanted
                .iter()
                .map(|at| heard(&mut reading, alphabet, cell(Some(*at))))
                .collect();
            table.rows.push(Row { line, cells, said });
        }
        Ok(table)
    }

    /// A table with two columns as two tables with one.
    fn in_two(mut self) -> (Self, Self) {
        let mut other = Self {
            name: self.name.clone(),
            known: self.known.clone(),
            rows: Vec::new(),
            left_out: Vec::new(),
        };
        for row in &mut self.rows {
            other.rows.push(Row {
                line: row.line,
                cells: row.cells.clone(),
                said: row.said.drain(1..).collect(),
            });
        }
        (self, other)
    }
}

/// Where a column stands, whatever the case of its name.
fn column(place: &str, header: &[String], name: &str) -> Result<Option<usize>, Failure> {
    let mut these = header
        .iter()
        .enumerate()
        .filter(|(_, cell)| cell.eq_ignore_ascii_case(name));
    let first = these.next().map(|(at, _)| at);
    if these.next().is_some() {
        return Err(Failure::new(
            place,
            format!("two columns are called “{}”", visible(name)),
            "give one of them another name",
        ));
    }
    Ok(first)
}

/// What was written down, or why nothing can be made of it.
fn heard(
    reading: &mut Reading,
    alphabet: Alphabet,
    production: &[u8],
) -> Result<Transcription, (Cause, String)> {
    let why = |it: Why| (it.cause, it.reason);
    if let Some(unheard) = sheet::unheard(production, alphabet) {
        return Err(why(unheard));
    }
    reading.read(production);
    sheet::sound(reading, "production").map_err(why)?;
    Ok(Transcription::parse(reading.transcription().text()))
}

/// What a row is called: its word, else its target, else its id.
fn named(cells: &[String; 4]) -> String {
    let [id, word, target, _] = cells;
    let mut names = [word, target, id].into_iter();
    names.find(|it| !it.is_empty()).cloned().unwrap_or_default()
}

/// The rows that are in both tables.
struct Matched {
    names: [String; 2],
    pairs: Vec<Pair>,
    left_out: Vec<LeftOut>,
}

/// A row in both.
struct Pair {
    word: String,
    lines: [u64; 2],
    said: [Transcription; 2],
}

/// Sets the rows of two tables against each other: those of the same id where both have
/// ids, else of the same word (or target) and session; of several of the same, the first with
/// the first and so on.
fn matched(one: Table, other: Table) -> Result<Matched, Stop> {
    let both = |key: &str| one.known.contains(&key) && other.known.contains(&key);
    let by: &[usize] = if both("id") {
        &[0]
    } else if both("word") {
        if both("session") { &[1, 3] } else { &[1] }
    } else if both("target") {
        if both("session") { &[2, 3] } else { &[2] }
    } else {
        return Err(Stop::Run(Failure::new(
            format!("{}, {}", one.name, other.name),
            "the two have no column in common that tells rows apart",
            "give both a column `word`, `target` or `id`",
        )));
    };
    let key = |row: &Row| -> Vec<String> {
        let cell = |at: &usize| row.cells.get(*at).cloned().unwrap_or_default();
        by.iter().map(cell).collect()
    };
    let names = [one.name.clone(), other.name.clone()];
    let [rows, others] = [one.rows.len(), other.rows.len()];
    let mut left_out: Vec<LeftOut> =
        one.left_out.into_iter().chain(other.left_out).collect();
    let mut waiting: BTreeMap<Vec<String>, Vec<Row>> = BTreeMap::new();
    for row in other.rows.into_iter().rev() {
        waiting.entry(key(&row)).or_default().push(row);
    }
    let mut pairs = Vec::new();
    let mut met = 0;
    for row in one.rows {
        let word = named(&row.cells);
        let mut leave = |file: &str, line: u64, cause: &'static str, reason: String| {
            left_out.push(LeftOut {
                file: file.to_owned(),
                line,
                word: word.clone(),
                cause,
                reason,
            });
        };
        let partner = waiting.get_mut(&key(&row)).and_then(Vec::pop);
        let Some(partner) = partner else {
            let reason = format!("has no partner in {}", visible(&names[1]));
            leave(&names[0], row.line, "in one only", reason);
            continue;
        };
        met += 1;
        let [target, wanted] = [&row.cells[2], &partner.cells[2]];
        if !target.is_empty() && !wanted.is_empty() && target != wanted {
            let reason = format!(
                "the targets differ, {} and {}: not the same word was meant",
                visible(target),
                visible(wanted)
            );
            leave(&names[0], row.line, "targets differ", reason);
            continue;
        }
        let mut said = row.said.into_iter().chain(partner.said);
        match (said.next(), said.next()) {
            (Some(Ok(first)), Some(Ok(second))) => pairs.push(Pair {
                word,
                lines: [row.line, partner.line],
                said: [first, second],
            }),
            (Some(Err((cause, reason))), Some(Err((again, _)))) if cause == again => {
                leave(&names[0], row.line, cause.name(), format!("both: {reason}"));
            }
            (first, second) => {
                let [one, other] = &names;
                let sides = [
                    (first, row.line, one, "the first"),
                    (second, partner.line, other, "the second"),
                ];
                for (said, line, name, which) in sides {
                    if let Some(Err((cause, reason))) = said {
                        leave(name, line, cause.name(), format!("{which}: {reason}"));
                    }
                }
            }
        }
    }
    if met == 0 && rows > 0 && others > 0 {
        let keys: Vec<&str> = by.iter().filter_map(|at| KEYS.get(*at).copied()).collect();
        return Err(Stop::Run(Failure::new(
            format!("{}, {}", names[0], names[1]),
            format!(
                "no row of the one is in the other by {}",
                keys.join(" and ")
            ),
            "both must be of one sample, with the words spelled alike",
        )));
    }
    for row in waiting.into_values().flatten() {
        left_out.push(LeftOut {
            file: names[1].clone(),
            line: row.line,
            word: named(&row.cells),
            cause: "in one only",
            reason: format!("has no partner in {}", visible(&names[0])),
        });
    }
    left_out.sort_by_key(|it| (it.file != names[0], it.line));
    Ok(Matched {
        names,
        pairs,
        left_out,
    })
}
