//! Practice: exercises in transcription and the marking of their answers.
//!
//! Pure: no clock, no disk. Sets are data (`grammar/exercises/`), and a trainer's own have
//! the same form ([`Set::read`]).

pub mod agree;
mod chance;
mod check;
pub mod class;
mod confusion;
#[cfg(feature = "app")]
pub mod course;
mod difficulty;
pub mod feedback;
#[cfg(feature = "lexicon")]
pub mod generate;
mod grade;
mod mark;
mod name;
mod outcome;
mod read;
#[cfg(feature = "app")]
pub mod schedule;
mod set;
mod slip;
pub mod term;

pub use chance::Chance;
pub use confusion::{Confusions, Contrast, Share};
pub use difficulty::{Difficulty, Scale};
pub use grade::{Grader, NoGrader};
pub use mark::{Mark, Sound};
pub use name::pattern_names;
pub use outcome::{FULL, Grade, Outcome, Place};
pub use set::{Exercise, Fault, Kind, Set};
pub use slip::Slip;

/// The sets that come with the program, by name, easiest first.
pub const SHIPPED: &[(&str, &str)] = &[
    (
        "01-first-consonants",
        include_str!("../grammar/exercises/01-first-consonants.txt"),
    ),
    (
        "02-first-vowels",
        include_str!("../grammar/exercises/02-first-vowels.txt"),
    ),
    (
        "03-postures",
        include_str!("../grammar/exercises/03-postures.txt"),
    ),
    (
        "04-plain-words",
        include_str!("../grammar/exercises/04-plain-words.txt"),
    ),
    (
        "05-vowels",
        include_str!("../grammar/exercises/05-vowels.txt"),
    ),
    (
        "06-new-letters",
        include_str!("../grammar/exercises/06-new-letters.txt"),
    ),
    (
        "07-glides",
        include_str!("../grammar/exercises/07-glides.txt"),
    ),
    (
        "08-r-coloured",
        include_str!("../grammar/exercises/08-r-coloured.txt"),
    ),
    (
        "09-clusters",
        include_str!("../grammar/exercises/09-clusters.txt"),
    ),
    (
        "10-stress",
        include_str!("../grammar/exercises/10-stress.txt"),
    ),
    (
        "11-longer-words",
        include_str!("../grammar/exercises/11-longer-words.txt"),
    ),
    ("12-mend", include_str!("../grammar/exercises/12-mend.txt")),
    (
        "13-aspiration-and-flap",
        include_str!("../grammar/exercises/13-aspiration-and-flap.txt"),
    ),
    (
        "14-vowels-l-nasals",
        include_str!("../grammar/exercises/14-vowels-l-nasals.txt"),
    ),
    (
        "15-name-the-pattern",
        include_str!("../grammar/exercises/15-name-the-pattern.txt"),
    ),
    (
        "16-accented-speech",
        include_str!("../grammar/exercises/16-accented-speech.txt"),
    ),
    (
        "17-disordered-speech",
        include_str!("../grammar/exercises/17-disordered-speech.txt"),
    ),
    (
        "18-listening",
        include_str!("../grammar/exercises/18-listening.txt"),
    ),
];

/// The shipped set of a name, with or without its number (`07-glides`, `glides`).
///
/// # Examples
///
/// ```
/// let set = apical::practice::shipped("glides").unwrap().unwrap();
/// assert_eq!(set.title, "Vowels that move");
/// assert!(apical::practice::shipped("slides").is_none());
/// ```
#[must_use]
pub fn shipped(name: &str) -> Option<Result<Set, Vec<Fault>>> {
    let plain = |full: &str| full.split_once('-').map(|(_, plain)| plain.to_owned());
    let found = SHIPPED
        .iter()
        .find(|(full, _)| *full == name || plain(full).as_deref() == Some(name));
    found.map(|(full, text)| Set::read(full, text))
}
