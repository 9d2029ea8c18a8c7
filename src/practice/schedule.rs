//! When an exercise should come again: spaced repetition.
//!
//! Pure: times come in as seconds. What is remembered of an exercise follows from the
//! answers to it alone, so that it is never kept, only computed again from the record.

use chrono::{DateTime, Utc};
use rs_fsrs::{Card, FSRS, Parameters, State};

use super::outcome::Outcome;

/// How well an exercise was remembered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Recall {
    /// Not.
    Again,
    /// With a fault in a detail.
    Hard,
    /// Well.
    Good,
}

impl Recall {
    /// What an answer says about it: a slip of the hand nothing, so that it counts as good.
    #[must_use]
    pub const fn of(outcome: Outcome) -> Self {
        match outcome {
            Outcome::Right | Outcome::Typing => Self::Good,
            Outcome::Detail => Self::Hard,
            Outcome::Wrong | Outcome::Unread | Outcome::Blank => Self::Again,
        }
    }

    const fn rating(self) -> rs_fsrs::Rating {
        match self {
            Self::Again => rs_fsrs::Rating::Again,
            Self::Hard => rs_fsrs::Rating::Hard,
            Self::Good => rs_fsrs::Rating::Good,
        }
    }
}

/// What is remembered of an exercise after some answers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Memory {
    /// When it should come again, in seconds since 1970 began (UTC).
    pub due: i64,
    /// The days until then; 0 for less than one.
    pub days: i64,
    /// The days after which nine in ten would still be remembered.
    pub stability: f64,
    /// How hard it is, from 1 to 10.
    pub difficulty: f64,
    /// How often it was answered.
    pub answers: usize,
    /// How often it had been learnt and was lost again.
    pub lapses: usize,
    /// Whether it is past the first steps, of minutes, and comes after days.
    pub learnt: bool,
}

/// What is remembered after answers at some times, in seconds since 1970 began; nothing of
/// an exercise that was never answered.
///
/// Answers are taken in the order of their times. The parameters are the published ones,
/// nine in ten to be remembered, no chance in the intervals.
///
/// # Examples
///
/// ```
/// use apical::practice::schedule::{Recall, memory};
///
/// let first = memory(&[(0, Recall::Good)]).unwrap();
/// assert!(first.due < 3600);
/// let second = memory(&[(0, Recall::Good), (first.due, Recall::Good)]).unwrap();
/// assert_eq!(second.days, 4);
/// assert_eq!(memory(&[]), None);
/// ```
///
/// # Source
///
/// Ye, Su and Cao (2022), A Stochastic Shortest Path Algorithm for Optimizing Spaced
/// Repetition Scheduling, in its fifth published form (FSRS-5).
#[must_use]
pub fn memory(answers: &[(i64, Recall)]) -> Option<Memory> {
    memory_by(&Parameters::default().w, answers)
}

/// The same by other weights than the published ones: those fitted to a learner.
#[must_use]
pub fn memory_by(weights: &[f64; 19], answers: &[(i64, Recall)]) -> Option<Memory> {
    let mut answers = answers.to_vec();
    answers.sort_by_key(|(at, _)| *at);
    let scheduler = FSRS::new(Parameters {
        w: *weights,
        enable_fuzz: false,
        ..Parameters::default()
    });
    let mut card: Option<Card> = None;
    for (at, recall) in &answers {
        let Some(now) = DateTime::<Utc>::from_timestamp(*at, 0) else {
            continue;
        };
        let before = card.take().unwrap_or_else(|| Card {
            due: now,
            last_review: now,
            ..Card::default()
        });
        card = Some(scheduler.next(before, now, recall.rating()).card);
    }
    let card = card?;
    Some(Memory {
        due: card.due.timestamp(),
        days: card.scheduled_days,
        stability: card.stability,
        difficulty: card.difficulty,
        answers: usize::try_from(card.reps).unwrap_or(0),
        lapses: usize::try_from(card.lapses).unwrap_or(0),
        learnt: card.state == State::Review,
    })
}
