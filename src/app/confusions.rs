//! `apical confusions`: what a learner, or a class, takes for what.

use super::arguments::{Confusions, Format};
use super::class::collected;
use super::mark::Marker;
use super::output::Answers;
use super::practice::journal;
use super::{Failure, Status, Stop};
use crate::practice;
use crate::report::json::class as json;
use crate::report::picture::charts::{Confusion, confusions};
use crate::report::text::confusions as drawn;

/// Runs the command.
pub(super) fn run(arguments: &Confusions) -> Result<Status, Stop> {
    let (mut marks, status) = if arguments.sheets.is_empty() {
        let place = journal::place(arguments.record.as_deref()).map_err(Stop::Run)?;
        if !place.exists() {
            return Err(Stop::Run(Failure::new(
                place.display().to_string(),
                "there is no record of practice yet",
                "`apical practice` begins one; or name answer sheets or files of marks",
            )));
        }
        let (read, whole) = journal::read(&place).map_err(Stop::Run)?;
        let status = if whole { Status::Good } else { Status::Failed };
        (read.into_iter().map(|(_, mark)| mark).collect(), status)
    } else {
        let mut marker = Marker::new(&arguments.from)?;
        collected(&mut marker, &arguments.sheets, arguments.input)?
    };
    if let Some(learner) = &arguments.learner {
        marks.retain(|mark| mark.learner == *learner);
    }
    // Sets that are named limit what is counted, whatever the marks come from.
    let wanted = &arguments.from.sets;
    if !wanted.is_empty() {
        let is_wanted = |set: &str| {
            let plain = set.split_once('-').map_or(set, |(_, plain)| plain);
            wanted.iter().any(|it| it == set || it == plain)
        };
        marks.retain(|mark| is_wanted(&mark.set));
    }
    let counts = practice::Confusions::of(&marks);
    if let Some(path) = &arguments.svg {
        let drawing = confusions(&cells(&counts));
        super::picture::write(path, &drawing)?;
    }
    let mut answers = Answers::new(&arguments.output);
    match answers.format {
        Format::Json => answers.object(&json::Confusions::from(&counts))?,
        Format::Text => answers.page(&drawn::page(&counts, answers.columns))?,
    }
    Ok(status)
}

/// What was ever confused, and how often the same sounds were right.
fn cells(counts: &practice::Confusions) -> Vec<Confusion> {
    let confused = counts.confused();
    let worth = |key: &str, answer: &str| {
        key != answer || confused.iter().any(|sound| sound == key)
    };
    let cells = counts.cells.iter();
    cells
        .filter(|((key, answer), _)| worth(key, answer))
        .map(|((key, answer), times)| Confusion {
            target: key.clone(),
            said: answer.clone(),
            times: u32::try_from(*times).unwrap_or(u32::MAX),
        })
        .collect()
}
