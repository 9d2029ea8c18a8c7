//! `apical practice`: a course of exercises, on a terminal or from a script.

pub(super) mod journal;
mod lesson;
pub(super) mod sets;

use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, IsTerminal as _, Write as _};

use super::arguments::{Format, Practice};
use super::desk::lesson::Answering;
use super::output::Answers;
use super::{Failure, Status, Stop};
use crate::practice::course::{self, Turn};
use crate::practice::generate::Wish;
use crate::practice::schedule::{Memory, Recall, memory};
use crate::practice::{self, Chance, Set};
use crate::report::json::practice as json;
use crate::report::text::practice as drawn;
use journal::Journal;
use lesson::{Lesson, Taken};
use sets::{Loaded, USUAL_COUNT};

/// Runs the command.
pub(super) fn run(arguments: &Practice) -> Result<Status, Stop> {
    let on_terminal = io::stdin().is_terminal() && io::stdout().is_terminal();
    let mut loaded = sets::load(&arguments.from)?;
    let journal = journal(arguments, on_terminal)?;
    let memories = journal.as_ref().map(memories).unwrap_or_default();
    if loaded.is_empty() && arguments.due {
        for (name, _) in practice::SHIPPED {
            loaded.push(sets::shipped(name, &arguments.from)?);
        }
        for (name, wanted) in due_of_made(&memories) {
            loaded.extend(sets::again(name, &wanted, &arguments.from)?);
        }
    }
    if loaded.is_empty() {
        list(arguments, &memories)?;
        if !on_terminal || matches!(arguments.output.format, Format::Json) {
            return Ok(Status::Good);
        }
        match choose()? {
            Some(name) => loaded.push(sets::shipped(&name, &arguments.from)?),
            None => return Ok(Status::Good),
        }
    }
    let taken = taken(&loaded, &memories, arguments);
    if taken.is_empty() {
        Answers::new(&arguments.output).page("Nothing is due.\n")?;
        return Ok(Status::Good);
    }
    let mut lesson = Lesson::new(loaded, taken, journal, arguments);
    if on_terminal {
        lesson.on_terminal(Answering::new()?)
    } else {
        lesson.script()
    }
}

/// What is remembered of each exercise, by set and exercise.
type Memories = BTreeMap<(String, String), Memory>;

/// The record that the session is kept in, if it is.
fn journal(arguments: &Practice, on_terminal: bool) -> Result<Option<Journal>, Stop> {
    // A script must not depend on what someone once answered at the keyboard.
    let wanted = arguments.record.is_some() || arguments.due || on_terminal;
    if arguments.no_record || !wanted {
        return Ok(None);
    }
    let place = journal::place(arguments.record.as_deref()).map_err(Stop::Run)?;
    Journal::open(&place).map(Some)
}

fn memories(journal: &Journal) -> Memories {
    let mut answers: BTreeMap<(String, String), Vec<(i64, Recall)>> = BTreeMap::new();
    for (at, mark) in &journal.marks {
        let key = (mark.set.clone(), mark.item.clone());
        let answer = (*at, Recall::of(mark.outcome));
        answers.entry(key).or_default().push(answer);
    }
    let memories = answers.into_iter();
    memories
        .filter_map(|(key, answers)| Some((key, memory(&answers)?)))
        .collect()
}

/// What is due of sets that were made, by set.
fn due_of_made(memories: &Memories) -> BTreeMap<&str, BTreeSet<&str>> {
    let now = jiff::Timestamp::now().as_second();
    let mut due: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for ((set, exercise), memory) in memories {
        if Turn::of(Some(memory), now) == Turn::Due && Wish::named(set, 0).is_some() {
            due.entry(set).or_default().insert(exercise);
        }
    }
    due
}

/// Which exercises are taken, in which order.
fn taken(loaded: &[Loaded], memories: &Memories, arguments: &Practice) -> Vec<Taken> {
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
    let memory_of = |taken: &Taken| -> Option<Memory> {
        let set = &loaded.get(taken.set)?.set;
        let exercise = set.exercises.get(taken.exercise)?;
        let key = (set.name.clone(), exercise.id.clone());
        memories.get(&key).copied()
    };
    let now = jiff::Timestamp::now().as_second();
    if arguments.due {
        taken.retain(|it| Turn::of(memory_of(it).as_ref(), now) == Turn::Due);
    }
    match arguments.from.seed {
        // Made exercises have come in the order of the seed.
        Some(_) if !arguments.from.generate.is_empty() => {}
        Some(seed) => Chance::new(seed).shuffle(&mut taken),
        None => {
            let remembered: Vec<Option<Memory>> = taken.iter().map(memory_of).collect();
            let order = course::order(&remembered, now);
            taken = order
                .iter()
                .filter_map(|at| taken.get(*at).copied())
                .collect();
        }
    }
    taken.truncate(arguments.from.count.unwrap_or(USUAL_COUNT));
    taken
}

/// Lists the shipped sets.
fn list(arguments: &Practice, memories: &Memories) -> Result<(), Stop> {
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
            let now = jiff::Timestamp::now().as_second();
            let counts: Vec<(usize, usize)> = sets
                .iter()
                .map(|set| {
                    let of_set = memories.iter().filter(|(key, _)| key.0 == set.name);
                    let due = of_set.clone().filter(|(_, it)| it.due <= now);
                    (of_set.clone().count(), due.count())
                })
                .collect();
            answers.page(&drawn::sets(&sets, &counts, answers.columns))?;
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
