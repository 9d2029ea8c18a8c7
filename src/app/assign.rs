//! `apical assign`: hands exercises out as answer sheets.

use super::arguments::{Assign, Sheet};
use super::mark::table_of;
use super::output;
use super::practice::sets;
use super::{Failure, Status, Stop};
use crate::practice::Chance;

/// Columns of an answer sheet; the last one is to be filled in.
const COLUMNS: &[&str] = &["set", "item", "learner", "task", "given", "answer"];

/// Runs the command.
pub(super) fn run(arguments: &Assign) -> Result<Status, Stop> {
    let loaded = sets::load(&arguments.from)?;
    if loaded.is_empty() {
        return Err(Stop::Run(Failure::new(
            "assign",
            "no exercises are named",
            "name a set with --set (`apical practice` lists them) or a file with --file",
        )));
    }
    if arguments.form == Sheet::Set {
        let [one] = loaded.as_slice() else {
            return Err(Stop::Run(Failure::new(
                "assign --form set",
                "a set is written from one set",
                "name one; an answer sheet can hold several",
            )));
        };
        return output::print(&one.set.written());
    }
    let mut taken: Vec<(&crate::practice::Set, &crate::practice::Exercise)> = loaded
        .iter()
        .flat_map(|it| {
            it.set
                .exercises
                .iter()
                .map(move |exercise| (&it.set, exercise))
        })
        .collect();
    if let (Some(seed), true) = (arguments.from.seed, arguments.from.generate.is_empty())
    {
        Chance::new(seed).shuffle(&mut taken);
    }
    if let Some(count) = arguments.from.count {
        taken.truncate(count);
    }
    let nobody = [String::new()];
    let learners = if arguments.learners.is_empty() {
        nobody.as_slice()
    } else {
        arguments.learners.as_slice()
    };
    let rows = learners.iter().flat_map(|learner| {
        taken.iter().map(move |(set, exercise)| {
            vec![
                set.name.clone(),
                exercise.id.clone(),
                learner.clone(),
                exercise.task(),
                exercise.prompt(),
                String::new(),
            ]
        })
    });
    let parted = match arguments.form {
        Sheet::Tsv => b'\t',
        Sheet::Csv => b',',
        Sheet::Set => return Ok(Status::Good),
    };
    output::print(&table_of(COLUMNS, rows, parted)?)
}
