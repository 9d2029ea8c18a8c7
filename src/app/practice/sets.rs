//! Sets of exercises from the program and from files, their keys looked through.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use crate::accent::Accent;
use crate::app::arguments::Exercises;
use crate::app::files::Source;
use crate::app::{Failure, Stop, complain};
use crate::lexicon::Lexicon;
use crate::practice::generate::{Wish, generate};
use crate::practice::{self, Exercise, Fault, Grader, NoGrader, Set};

/// Exercises in a session, or made, unless a number is given.
pub(in crate::app) const USUAL_COUNT: usize = 20;
/// The longest that a made set is made again for what is due of it.
const LONGEST: usize = 5_000;
/// The accent that exercises are made in.
const ACCENT: &str = "en-US";

/// A set with what marks its answers.
pub(in crate::app) struct Loaded {
    pub(in crate::app) set: Set,
    pub(in crate::app) grader: Grader,
    /// The folder that the names of its recordings start from.
    pub(in crate::app) folder: PathBuf,
}

/// The sets that the arguments name: shipped ones first, then files.
pub(in crate::app) fn load(from: &Exercises) -> Result<Vec<Loaded>, Stop> {
    let mut loaded: Vec<Loaded> = Vec::new();
    for name in &from.sets {
        loaded.push(shipped(name, from)?);
    }
    for path in &from.files {
        loaded.push(of_file(path, from)?);
    }
    if !from.generate.is_empty() {
        loaded.push(made(from)?);
    }
    for (number, one) in loaded.iter().enumerate() {
        let before = loaded.iter().take(number);
        if before.clone().any(|other| other.set.name == one.set.name) {
            return Err(Stop::Run(Failure::new(
                &one.set.name,
                "two of the sets have this name, and their answers could not be told apart",
                "name it once, or call the file something else",
            )));
        }
    }
    Ok(loaded)
}

/// A shipped set.
pub(in crate::app) fn shipped(name: &str, from: &Exercises) -> Result<Loaded, Stop> {
    let Some(read) = practice::shipped(name) else {
        return Err(Stop::Run(unknown(name)));
    };
    let set = read.map_err(|faults| told(name, &faults))?;
    ready(set, name, from)
}

/// The failure of a name that no shipped set has.
pub(in crate::app) fn unknown(name: &str) -> Failure {
    let names: Vec<&str> = practice::SHIPPED
        .iter()
        .map(|(full, _)| full.split_once('-').map_or(*full, |(_, plain)| plain))
        .collect();
    Failure::new(
        format!("set {name}"),
        "no set has this name",
        format!(
            "the sets there are: {}; one of your own is read with --file",
            names.join(", ")
        ),
    )
}

/// A set that is made, from the seed that is given or the time of day.
fn made(from: &Exercises) -> Result<Loaded, Stop> {
    let nanoseconds = jiff::Timestamp::now().as_nanosecond();
    let of_time = u64::try_from(nanoseconds / 1000 % 1_000_000).unwrap_or(0);
    let wish = Wish {
        kinds: from.generate.clone(),
        count: from.count.unwrap_or(USUAL_COUNT),
        seed: from.seed.unwrap_or(of_time),
        level: from.level,
    };
    made_by(&wish, from)
}

/// A made set again, with these of its exercises; of those that are made no longer, as where
/// the word list has changed, nothing is left.
pub(in crate::app) fn again(
    name: &str,
    wanted: &BTreeSet<&str>,
    from: &Exercises,
) -> Result<Option<Loaded>, Stop> {
    let is_wanted = |it: &Exercise| wanted.contains(it.id.as_str());
    let mut count = USUAL_COUNT;
    loop {
        let Some(wish) = Wish::named(name, count) else {
            return Ok(None);
        };
        let mut loaded = made_by(&wish, from)?;
        let made = loaded.set.exercises.len();
        loaded.set.exercises.retain(is_wanted);
        let ids = loaded.set.exercises.iter().map(|it| it.id.as_str());
        let all = ids.collect::<BTreeSet<_>>().len() == wanted.len();
        if all || made < count || count >= LONGEST {
            return Ok(Some(loaded));
        }
        count *= 4;
    }
}

fn made_by(wish: &Wish, from: &Exercises) -> Result<Loaded, Stop> {
    let missing = || {
        let remedy = "look whether the program was built with its word lists";
        Stop::Run(Failure::new(ACCENT, "it has no word list", remedy))
    };
    let accent = Accent::named(ACCENT).ok_or_else(missing)?;
    let lexicon = Lexicon::of(ACCENT).ok_or_else(missing)?;
    ready(generate(&lexicon, &accent, wish), "--generate", from)
}

/// A set from a trainer's own file.
fn of_file(path: &Path, from: &Exercises) -> Result<Loaded, Stop> {
    let source = Source::of(path);
    let place = source.name();
    let text = source.text().map_err(Stop::Run)?;
    let name = path
        .file_stem()
        .map_or_else(|| place.clone(), |stem| stem.to_string_lossy().into_owned());
    let set = Set::read(&name, &text).map_err(|faults| told(&place, &faults))?;
    let mut loaded = ready(set, &place, from)?;
    loaded.folder = path.parent().map(Path::to_owned).unwrap_or_default();
    // An error in a key teaches a wrong thing: nothing is practised before it is mended.
    let faults = loaded.grader.faults(&loaded.set);
    if faults.is_empty() {
        Ok(loaded)
    } else {
        Err(told(&place, &faults))
    }
}

fn ready(mut set: Set, place: &str, from: &Exercises) -> Result<Loaded, Stop> {
    set.options.extend(from.accent_options.iter().cloned());
    let made = Grader::for_set(&set);
    let grader = made.map_err(|error| {
        let (reason, remedy) = match error {
            NoGrader::Accent(name) => {
                let known: Vec<&str> = Accent::names().collect();
                (
                    format!("no accent has the name “{name}”"),
                    format!("the accents there are: {}", known.join(", ")),
                )
            }
            NoGrader::Option(unknown) => {
                let known: Vec<&str> = unknown.known.iter().map(|it| it.name).collect();
                (
                    format!("{} has no option “{}”", set.accent, unknown.given),
                    format!("its options: {}", known.join(", ")),
                )
            }
        };
        Stop::Run(Failure::new(place, reason, remedy))
    })?;
    Ok(Loaded {
        set,
        grader,
        folder: PathBuf::new(),
    })
}

/// Says every fault but the last, and hands that one on to end the run.
fn told(place: &str, faults: &[Fault]) -> Stop {
    let failure = |fault: &Fault| {
        let place = format!("{place}:{}", fault.line);
        Failure::new(place, fault.reason.clone(), fault.remedy.clone())
    };
    let Some((last, others)) = faults.split_last() else {
        return Stop::Run(Failure::new(place, "it cannot be read", "look into it"));
    };
    for fault in others {
        complain(&failure(fault));
    }
    Stop::Run(failure(last))
}
