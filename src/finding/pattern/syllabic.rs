//! Rules over syllables: stress that moves, syllables that go or are said twice.

use super::unit::{Syllable, Units};
use super::{Chance, Outcome};
use crate::alignment::same_phoneme;
use crate::syllable::Stress;

/// What a rule asks of a syllable's stress.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Asked {
    Primary,
    Secondary,
    /// Anything but primary.
    NotPrimary,
    /// None at all.
    Unstressed,
}

/// A syllable of a rule, or the edge of a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Beat {
    Syllable(Asked, Option<u8>),
    WordEdge,
}

/// A rule over syllables.
#[derive(Clone, Debug, Default)]
pub(super) struct Syllabic {
    pub(super) from: Vec<Beat>,
    /// Empty where the syllable is left out.
    pub(super) to: Vec<Beat>,
    /// What stands before, nearest first.
    pub(super) left: Vec<Beat>,
    pub(super) right: Vec<Beat>,
}

impl Asked {
    const fn is(self, stress: Stress) -> bool {
        match self {
            Self::Primary => matches!(stress, Stress::Primary),
            Self::Secondary => matches!(stress, Stress::Secondary),
            Self::NotPrimary => matches!(stress, Stress::Secondary | Stress::None),
            Self::Unstressed => matches!(stress, Stress::None),
        }
    }
}

impl Syllabic {
    /// Adds the places of an item that meet the rule's description.
    pub(super) fn chances(&self, units: &Units, chances: &mut Vec<Chance>) {
        let places = 0..units.syllables.len();
        chances.extend(places.filter_map(|at| self.chance(units, at)));
    }

    /// The chance of an item at the syllable of a number; `None` where the rule's description
    /// is not met.
    pub(super) fn chance(&self, units: &Units, start: usize) -> Option<Chance> {
        let all = &units.syllables;
        let end = walk(&self.from, all, start, true)?;
        walk(&self.left, all, start, false)?;
        walk(&self.right, all, end, true)?;
        let these = all.get(start..end)?;
        Some(Chance {
            column: these.first()?.column,
            outcome: self.outcome(these)?,
        })
    }

    /// What became of the syllables; `None` where the production does not say.
    fn outcome(&self, these: &[Syllable]) -> Option<Outcome> {
        let shown = |yes: bool| if yes { Outcome::Shown } else { Outcome::Absent };
        if self.to.is_empty() {
            return Some(shown(these.iter().all(|it| it.said.is_none())));
        }
        let numbers: Vec<u8> = self.to.iter().filter_map(|beat| beat.number()).collect();
        if let [one, other] = numbers[..] {
            return Some(doubled(these, one == other));
        }
        let mut said = these.iter();
        let mut all = true;
        for beat in &self.to {
            let Beat::Syllable(asked, _) = beat else {
                continue;
            };
            match &said.next()?.said {
                None => return Some(Outcome::Bled),
                Some((Stress::Unmarked, _)) => return None,
                Some((stress, _)) => all &= asked.is(*stress),
            }
        }
        Some(shown(all))
    }
}

/// Whether a syllable is said twice in place of two that differ.
fn doubled(these: &[Syllable], same: bool) -> Outcome {
    let [one, other] = these else {
        return Outcome::Absent;
    };
    let (Some((_, first)), Some((_, second))) = (&one.said, &other.said) else {
        return Outcome::Bled;
    };
    let alike = |one: &[_], other: &[_]| {
        one.len() == other.len()
            && one
                .iter()
                .zip(other)
                .all(|(one, other)| same_phoneme(one, other))
    };
    let shown = same && alike(first, second) && !alike(&one.target, &other.target);
    if shown {
        Outcome::Shown
    } else {
        Outcome::Absent
    }
}

impl Beat {
    const fn number(self) -> Option<u8> {
        match self {
            Self::Syllable(_, number) => number,
            Self::WordEdge => None,
        }
    }
}

/// Where a run of beats that begins at a gap ends, if it is there.
fn walk(beats: &[Beat], all: &[Syllable], gap: usize, ahead: bool) -> Option<usize> {
    let word = |at: Option<usize>| at.and_then(|at| all.get(at)).map(|it| it.word);
    let mut gap = gap;
    let mut crossing = true;
    for (number, beat) in beats.iter().enumerate() {
        let before = word(gap.checked_sub(1));
        let edge = before != word(Some(gap)) || before.is_none();
        match beat {
            Beat::WordEdge => {
                if !edge {
                    return None;
                }
                crossing = true;
            }
            Beat::Syllable(asked, _) => {
                let inner = number > 0 || !ahead;
                if inner && edge && !crossing {
                    return None;
                }
                let at = if ahead { Some(gap) } else { gap.checked_sub(1) };
                let syllable = at.and_then(|at| all.get(at))?;
                if !asked.is(syllable.stress) {
                    return None;
                }
                gap = if ahead { gap + 1 } else { gap - 1 };
                crossing = false;
            }
        }
    }
    Some(gap)
}
