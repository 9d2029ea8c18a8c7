//! `apical practice`: a course of exercises, on a terminal or from a script.

mod lesson;
pub(super) mod sets;

use std::io::{self, IsTerminal as _, Write as _};

use super::arguments::{Format, Practice};
use super::desk::lesson::Answering;
use super::output::Answers;
use super::{Failure, Status, Stop};
use crate::practice::{self, Chance, Set};
use crate::report::json::practice as json;
use crate::report::text::practice as drawn;
use lesson::{Lesson, Taken};
use sets::Loaded;

/// Exercises in a session, unless a number is given.
const USUAL_COUNT: usize = 20;

/// Runs the command.
pub(super) fn run(arguments: &Practice) -> Result<Status, Stop> {
    let on_terminal = io::stdin().is_terminal() && io::stdout().is_terminal();
    let mut loaded = sets::load(&arguments.from)?;
    if loaded.is_empty() {
        list(arguments)?;
        if !on_terminal || matches!(arguments.output.format, Format::Json) {
            return Ok(Status::Good);
        }
        match choose()? {
            Some(name) => loaded.push(sets::shipped(&name, &arguments.from)?),
            None => return Ok(Status::Good),
        }
    }
    let taken = taken(&loaded, arguments);
    let learner = arguments.learner.clone().unwrap_or_default();
    let mut lesson = Lesson::new(loaded, taken, learner, arguments)?;
    if on_terminal {
        lesson.on_terminal(Answering::new()?)
    } else {
        lesson.script()
    }
}

/// Which exercises are taken, in which order.
fn taken(loaded: &[Loaded], arguments: &Practice) -> Vec<Taken> {
    let mut taken: Vec<Taken> = loaded
        .iter()
        .enumerate()
        .flat_map(|(set, it)| {
            let exercises = 0..it.set.exercises.len();
            exercises.map(move |exercise| Taken {
                set,
                exercise,
                attempt: 1,
            })
        })
        .collect();
    if let Some(seed) = arguments.seed {
        Chance::new(seed).shuffle(&mut taken);
    }
    taken.truncate(arguments.count.unwrap_or(USUAL_COUNT));
    taken
}

/// Lists the shipped sets.
fn list(arguments: &Practice) -> Result<(), Stop> {
    let mut answers = Answers::new(&arguments.output);
    let sets: Vec<Set> = practice::SHIPPED
        .iter()
        .filter_map(|(name, text)| Set::read(name, text).ok())
        .collect();
    match answers.format {
        Format::Json => {
            for set in &sets {
                answers.object(&json::Listed::new(set))?;
            }
        }
        Format::Text => {
            answers.page(&drawn::sets(&sets, answers.columns))?;
            answers.page("`apical practice --set NAME` opens one.\n")?;
        }
    }
    Ok(())
}

/// Asks which set to open; nothing where the person leaves.
fn choose() -> Result<Option<String>, Stop> {
    loop {
        let mut out = anstream::stdout().lock();
        out.write_all(b"Which set? Its number or name; Enter alone leaves: ")?;
        out.flush()?;
        drop(out);
        let mut line = String::new();
        let read = io::stdin().read_line(&mut line).map_err(|error| {
            let reason = format!("reading failed: {error}");
            Stop::Run(Failure::new("the terminal", reason, "name it with --set"))
        })?;
        let said = line.trim();
        if read == 0 || said.is_empty() {
            return Ok(None);
        }
        let number: Option<usize> = said.parse().ok();
        let of_number = number.and_then(|it| practice::SHIPPED.get(it.checked_sub(1)?));
        if let Some((name, _)) = of_number {
            return Ok(Some((*name).to_owned()));
        }
        if practice::shipped(said).is_some() {
            return Ok(Some(said.to_owned()));
        }
        super::complain(&sets::unknown(said));
    }
}
