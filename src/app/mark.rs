//! `apical mark`: marks answer sheets, with nobody at the keyboard.

use std::collections::BTreeMap;

use super::arguments::{Exercises, Mark, Marks};
use super::files::{self, Source};
use super::output::Answers;
use super::practice::sets::{self, Loaded};
use super::{Failure, Status, Stop, complain};
use crate::practice;
use crate::report::json::practice as json;
use crate::report::text::practice as drawn;

/// Columns of a table of marks.
const COLUMNS: &[&str] = &[
    "set", "item", "learner", "attempt", "kind", "answer", "key", "outcome", "credit",
    "features", "slip", "feedback",
];

/// Runs the command.
pub(super) fn run(arguments: &Mark) -> Result<Status, Stop> {
    let mut marker = Marker::new(&arguments.from)?;
    let mut marks = Vec::new();
    let mut status = Status::Good;
    for path in &arguments.sheets {
        let source = Source::of(path);
        match marker.sheet(&source, arguments.input, &mut marks) {
            Ok(good) => status = status.max(good),
            Err(Stop::Source(failure)) => {
                complain(&failure);
                status = Status::Failed;
            }
            Err(stop) => return Err(stop),
        }
    }
    write(&marks, arguments)?;
    Ok(status)
}

/// Marks rows of answer sheets by the sets they name.
pub(super) struct Marker {
    from: Exercises,
    /// Those of the arguments, then every shipped one that a row has named.
    loaded: Vec<Loaded>,
    /// How often each learner has answered each exercise.
    attempts: BTreeMap<(String, String, String), u32>,
}

impl Marker {
    /// A marker that knows the sets of some arguments, and the shipped ones.
    pub(super) fn new(from: &Exercises) -> Result<Self, Stop> {
        Ok(Self {
            loaded: sets::load(from)?,
            from: from.clone(),
            attempts: BTreeMap::new(),
        })
    }

    /// Marks every row of a sheet. A row that names no exercise is complained about, and
    /// the others are marked.
    pub(super) fn sheet(
        &mut self,
        source: &Source,
        form: Option<super::arguments::Form>,
        marks: &mut Vec<practice::Mark>,
    ) -> Result<Status, Stop> {
        let fault = |error: std::io::Error| Stop::Source(source.failure(&error));
        let mut rows = files::rows(source, form)?;
        let Some(header) = rows.next().map_err(fault)? else {
            let remedy = "its first line names the columns: set, item, learner, answer";
            return Err(Failure::new(source.name(), "the sheet is empty", remedy).into());
        };
        let header: Vec<String> = header
            .iter()
            .map(|cell| String::from_utf8_lossy(cell).trim().to_owned())
            .collect();
        let find = |name: &str| header.iter().position(|cell| cell == name);
        for needed in ["item", "answer"] {
            if find(needed).is_none() {
                return Err(Failure::new(
                    format!("{}:{}", source.name(), rows.line()),
                    format!("the sheet has no column “{needed}”"),
                    "name the columns in its first line: set, item, learner, answer",
                )
                .into());
            }
        }
        let columns = ["set", "item", "learner", "answer"].map(find);
        let mut status = Status::Good;
        while let Some(row) = rows.next().map_err(fault)? {
            if row.iter().all(|cell| cell.trim_ascii().is_empty()) {
                continue;
            }
            let [set, item, learner, answer] = columns.map(|at| {
                let cell = at.and_then(|at| row.get(at)).unwrap_or_default();
                String::from_utf8_lossy(cell).trim().to_owned()
            });
            match self.mark(&set, &item, &learner, &answer) {
                Ok(mark) => marks.push(mark),
                Err(failure) => {
                    let place = format!("{}:{}", source.name(), rows.line());
                    let place = format!("{place}: {}", failure.place);
                    complain(&Failure { place, ..failure });
                    status = Status::Failed;
                }
            }
        }
        Ok(status)
    }

    /// Marks one answer.
    fn mark(
        &mut self,
        set: &str,
        item: &str,
        learner: &str,
        answer: &str,
    ) -> Result<practice::Mark, Failure> {
        let at = self.find(set)?;
        let Some(loaded) = self.loaded.get_mut(at) else {
            return Err(sets::unknown(set));
        };
        let name = loaded.set.name.clone();
        let exercise = loaded.set.exercises.iter().find(|it| it.id == item);
        let Some(exercise) = exercise else {
            let first = loaded.set.exercises.first();
            let last = loaded.set.exercises.last();
            let [first, last] =
                [first, last].map(|it| it.map_or("", |it| it.id.as_str()));
            return Err(Failure::new(
                format!("item {item}"),
                format!("the set {name} has no exercise of this name"),
                format!("its exercises are {first} to {last}"),
            ));
        };
        let attempts = self
            .attempts
            .entry((name.clone(), item.to_owned(), learner.to_owned()))
            .or_insert(0);
        *attempts += 1;
        let grade = loaded.grader.grade(exercise, answer);
        Ok(practice::Mark::new(
            &name, exercise, learner, *attempts, &grade,
        ))
    }

    /// The number of a set; a shipped one is made ready when it is first named.
    fn find(&mut self, name: &str) -> Result<usize, Failure> {
        if name.is_empty() {
            return match self.loaded.len() {
                1 => Ok(0),
                0 => Err(Failure::new(
                    "set",
                    "the row names no set",
                    "fill in the column set, or name one set with --set or --file",
                )),
                _ => Err(Failure::new(
                    "set",
                    "the row names no set, and there are several",
                    "fill in the column set",
                )),
            };
        }
        let plain = |full: &str| full.split_once('-').map_or("", |(_, it)| it).to_owned();
        let known = self.loaded.iter().position(|it| {
            it.set.name == name
                || plain(&it.set.name) == name && practice::shipped(name).is_some()
        });
        if let Some(at) = known {
            return Ok(at);
        }
        let loaded = sets::shipped(name, &self.from).map_err(|stop| match stop {
            Stop::Run(failure) | Stop::Source(failure) => failure,
            Stop::Unread => sets::unknown(name),
        })?;
        self.loaded.push(loaded);
        Ok(self.loaded.len() - 1)
    }
}

fn write(marks: &[practice::Mark], arguments: &Mark) -> Result<(), Stop> {
    let mut answers = Answers::new(&arguments.output.output());
    match arguments.output.format {
        Marks::Text => {
            answers.page(&drawn::marks(marks, answers.columns))?;
            answers.page(&drawn::summary(marks, answers.columns))
        }
        Marks::Json => marks
            .iter()
            .try_for_each(|mark| answers.object(&json::Mark::from(mark))),
        Marks::Tsv => answers.page(&table(marks, b'\t')?),
        Marks::Csv => answers.page(&table(marks, b',')?),
    }
}

/// The marks as a table.
fn table(marks: &[practice::Mark], parted: u8) -> Result<String, Stop> {
    let rows = marks.iter().map(|mark| {
        let mark = json::Mark::from(mark);
        let slip = mark.slip.as_ref().map_or_else(String::new, |slip| {
            let sure = if slip.sure { "" } else { "?" };
            format!("{} for {}{sure}", slip.typed, slip.meant)
        });
        vec![
            mark.set,
            mark.item,
            mark.learner,
            mark.attempt.to_string(),
            mark.kind,
            mark.answer,
            mark.key,
            mark.outcome,
            mark.credit.to_string(),
            mark.features.join("; "),
            slip,
            mark.feedback.join("; "),
        ]
    });
    table_of(COLUMNS, rows, parted)
}

/// A table as text.
pub(super) fn table_of(
    columns: &[&str],
    rows: impl Iterator<Item = Vec<String>>,
    parted: u8,
) -> Result<String, Stop> {
    let mut table = csv::WriterBuilder::new()
        .delimiter(parted)
        .from_writer(Vec::new());
    let failed = |error: csv::Error| Stop::from(std::io::Error::other(error));
    table.write_record(columns).map_err(failed)?;
    for row in rows {
        table.write_record(&row).map_err(failed)?;
    }
    let bytes = table
        .into_inner()
        .map_err(|error| Stop::from(std::io::Error::other(error.to_string())))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
