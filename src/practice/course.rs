//! Which exercises come, and in which order.

use super::schedule::Memory;

/// When an exercise comes in a session.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Turn {
    /// It should have come again by now.
    Due,
    /// It was never answered.
    New,
    /// It was answered, and it is too early to ask again.
    Early,
}

impl Turn {
    /// The turn of an exercise by what is remembered of it, at a time in seconds since 1970
    /// began.
    #[must_use]
    pub fn of(memory: Option<&Memory>, now: i64) -> Self {
        match memory {
            None => Self::New,
            Some(memory) if memory.due <= now => Self::Due,
            Some(_) => Self::Early,
        }
    }
}

/// The order in which exercises come: what is due, longest due first; then what is new, as
/// it stands; then what comes early, soonest due first. Numbers count the list from 0.
///
/// # Examples
///
/// ```
/// use apical::practice::course::order;
/// use apical::practice::schedule::{Recall, memory};
///
/// let later = memory(&[(0, Recall::Good)]);
/// let soon = memory(&[(0, Recall::Again)]);
/// assert!(soon.unwrap().due < later.unwrap().due);
/// assert_eq!(order(&[None, later, soon], 0), [0, 2, 1]);
/// assert_eq!(order(&[None, later, soon], 86_400), [2, 1, 0]);
/// ```
#[must_use]
pub fn order(memories: &[Option<Memory>], now: i64) -> Vec<usize> {
    let mut numbers: Vec<usize> = (0..memories.len()).collect();
    numbers.sort_by_key(|number| {
        let memory = memories.get(*number).and_then(Option::as_ref);
        let due = memory.map_or(0, |memory| memory.due);
        (Turn::of(memory, now), due)
    });
    numbers
}
