//! `apical class`: how the exercises of a set did in a class, and how the learners did.

use super::arguments::{Class, Marks};
use super::mark::{Marker, table_of};
use super::output::Answers;
use super::practice::journal;
use super::{Status, Stop, complain};
use crate::practice::{Mark, agree, class};
use crate::report::json::class as json;
use crate::report::text::class as drawn;

/// Columns of the table of exercises.
const COLUMNS: &[&str] = &[
    "set",
    "item",
    "answers",
    "difficulty",
    "credit",
    "point_biserial",
    "corrected",
    "upper_lower",
];

/// Runs the command.
pub(super) fn run(arguments: &Class) -> Result<Status, Stop> {
    let mut marker = Marker::new(&arguments.from)?;
    let (marks, status) = collected(&mut marker, &arguments.sheets, arguments.input)?;
    let found = class::analyse(&marks);
    let mut answers = Answers::new(&arguments.output.output());
    match arguments.output.format {
        Marks::Text => {
            let agreement = agree::agreement(&marks);
            answers.page(&drawn::page(&found, &agreement, answers.columns))?;
        }
        Marks::Json => {
            let agreement = agree::agreement(&marks);
            answers.object(&json::Class::new(&found, &agreement))?;
        }
        Marks::Tsv => answers.page(&table(&found, b'\t')?)?,
        Marks::Csv => answers.page(&table(&found, b',')?)?,
    }
    Ok(status)
}

/// The marks of answer sheets and of files of marks (JSON Lines), in their order.
pub(super) fn collected(
    marker: &mut Marker,
    paths: &[std::path::PathBuf],
    form: Option<super::arguments::Form>,
) -> Result<(Vec<Mark>, Status), Stop> {
    let (mut marks, mut status) = (Vec::new(), Status::Good);
    for path in paths {
        let ending = path.extension().and_then(std::ffi::OsStr::to_str);
        let marked = matches!(ending, Some("json" | "jsonl" | "ndjson"));
        let read = if marked {
            journal::read(path)
                .map_err(Stop::Source)
                .map(|(read, whole)| {
                    marks.extend(read.into_iter().map(|(_, mark)| mark));
                    if whole { Status::Good } else { Status::Failed }
                })
        } else {
            let source = super::files::Source::of(path);
            marker.sheet(&source, form, &mut marks)
        };
        match read {
            Ok(read) => status = status.max(read),
            Err(Stop::Source(failure)) => {
                complain(&failure);
                status = Status::Failed;
            }
            Err(stop) => return Err(stop),
        }
    }
    Ok((marks, status))
}

fn table(class: &class::Class, parted: u8) -> Result<String, Stop> {
    let figure =
        |value: Option<f64>| value.map_or_else(String::new, |it| format!("{it:.4}"));
    let rows = class.items.iter().map(|it| {
        vec![
            it.item.0.clone(),
            it.item.1.clone(),
            it.answers.to_string(),
            figure(it.difficulty),
            figure(it.credit),
            figure(it.point_biserial),
            figure(it.corrected),
            figure(it.upper_lower),
        ]
    });
    table_of(COLUMNS, rows, parted)
}
