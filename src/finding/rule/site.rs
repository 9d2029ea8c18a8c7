//! Where a rule could work: every sound of a target, and every gap between two.

use std::collections::BTreeMap;

use super::shortlist::mixed;
use super::sound::{EDGE, NOTHING, OTHER, Set, Sounds, bit};
use crate::alignment::Kind;
use crate::feature::{Class, FeatureBundle};
use crate::finding::item::Item;
use crate::syllable::Part;

/// In an onset.
pub(super) const ONSET: u8 = 1;
/// In a coda.
pub(super) const CODA: u8 = 2;
/// In a stressed syllable.
pub(super) const STRESSED: u8 = 4;
/// In an unstressed one.
pub(super) const UNSTRESSED: u8 = 8;
/// Before two consonants: gaps alone.
pub(super) const BEFORE_TWO: u8 = 16;

/// One sound of a target and what became of it; numbers are those of [`Sounds`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spoken {
    /// The sound intended.
    pub target: u8,
    /// The sound said, itself if right; `None` if it was left out.
    pub outcome: Option<u8>,
    /// Whether it stands in an onset.
    pub onset: bool,
    /// Whether it stands in a coda.
    pub coda: bool,
    /// Whether its syllable is stressed; `None` if nothing says so.
    pub stressed: Option<bool>,
}

/// A word as a rule sees it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sample {
    /// The row of the sheet.
    pub row: u64,
    /// Its spelling.
    pub word: String,
    /// Its sounds in order.
    pub sounds: Vec<Spoken>,
    /// What was put in before each sound and after the last: one entry more than sounds.
    pub added: Vec<Vec<u8>>,
}

impl Sample {
    /// An item of a sheet. A sound that the accent allows there counts as right; a
    /// transposed one as what stands in its place.
    #[must_use]
    pub fn of(item: &Item, sounds: &mut Sounds) -> Self {
        let mut sample = Self {
            row: item.row,
            word: item.word.clone(),
            sounds: Vec::new(),
            added: vec![Vec::new()],
        };
        for column in &item.columns {
            let said = item.production.bundles_of(&column.production);
            let text = item.production.text_of(&column.production);
            let mut number = |bundles: &[FeatureBundle], text: &str| {
                let text: String = text.chars().filter(|c| *c != '\u{361}').collect();
                match crate::alignment::whole(bundles) {
                    Some(whole) => sounds.number(&whole, &text),
                    None => OTHER,
                }
            };
            if column.target.is_empty() {
                let added: Vec<u8> = said
                    .iter()
                    .map(|it| number(core::slice::from_ref(it), &text))
                    .collect();
                if let Some(last) = sample.added.last_mut() {
                    last.extend(added);
                }
                continue;
            }
            let site = item.site(column);
            let target = number(
                item.target.bundles_of(&column.target),
                &item.target.text_of(&column.target),
            );
            let outcome = match column.kind {
                Kind::Match | Kind::Allophone => Some(target),
                _ if column.production.is_empty() => None,
                _ => Some(number(said, &text)),
            };
            sample.sounds.push(Spoken {
                target,
                outcome,
                onset: site.part == Some(Part::Onset),
                coda: site.part == Some(Part::Coda),
                stressed: site.stress.is_stressed(),
            });
            sample.added.push(Vec::new());
        }
        sample
    }
}

/// A place where a rule could work, with all that a rule may ask.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Site {
    /// The target's sound; [`NOTHING`] for a gap.
    pub(super) focus: u8,
    pub(super) left: u8,
    pub(super) right: u8,
    /// The neighbours in the production.
    pub(super) said_left: u8,
    pub(super) said_right: u8,
    pub(super) position: u8,
    pub(super) outcome: u8,
}

impl Site {
    pub(super) fn is_error(&self) -> bool {
        self.focus != self.outcome
    }
}

/// Which samples to look for rules in, if not all, so many at most: those that give each
/// pair of neighbours its chances, drawn from all over the list by what was intended alone,
/// so that right and wrong stand as they do in the whole.
pub(super) fn spread(samples: &[Sample], most: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..samples.len()).collect();
    if order.len() <= most {
        return order;
    }
    order.sort_by_key(|at| mixed(*at as u64));
    let mut counts: BTreeMap<(u8, u8), usize> = BTreeMap::new();
    let mut chosen = vec![false; samples.len()];
    let mut left = most;
    let mut enough = 1;
    while left > 0 {
        for at in &order {
            let (Some(sample), Some(chosen)) = (samples.get(*at), chosen.get_mut(*at))
            else {
                continue;
            };
            let targets = || sample.sounds.iter().map(|it| it.target);
            let pairs = || {
                let before = core::iter::once(EDGE).chain(targets());
                before.zip(targets().chain([EDGE]))
            };
            let rare = |it| counts.get(&it).is_none_or(|it| *it < enough);
            if *chosen || !pairs().any(rare) {
                continue;
            }
            *chosen = true;
            for pair in pairs() {
                *counts.entry(pair).or_default() += 1;
            }
            left -= 1;
            if left == 0 {
                break;
            }
        }
        enough *= 2;
    }
    order.retain(|at| chosen.get(*at) == Some(&true));
    order.sort_unstable();
    order
}

/// The sites of all samples, each with the number of its sample, in order.
pub(super) fn sites(samples: &[Sample], sounds: &Sounds) -> Vec<(Site, u32)> {
    let consonants: Set = sounds.set(|it| it.class == Class::Consonant);
    let mut all = Vec::new();
    for (sample, number) in samples.iter().zip(0_u32..) {
        let target = |at: Option<usize>| {
            let sound = at.and_then(|at| sample.sounds.get(at));
            sound.map_or(EDGE, |it| it.target)
        };
        let is_consonant = |at: usize| {
            let sound = sample.sounds.get(at);
            sound.is_some_and(|it| consonants & bit(it.target) != 0)
        };
        let added =
            |at: usize| sample.added.get(at).map(Vec::as_slice).unwrap_or_default();
        let outcome = |it: &Spoken| it.outcome;
        // The nearest sound said before, and after, each place.
        let mut before = EDGE;
        for at in 0..=sample.sounds.len() {
            let here = sample.sounds.get(at);
            let rest = sample.sounds.get(at..).unwrap_or_default();
            let after = rest
                .iter()
                .zip(at + 1..)
                .find_map(|(it, next)| outcome(it).or(added(next).first().copied()));
            let gap = Site {
                focus: NOTHING,
                left: target(at.checked_sub(1)),
                right: target(Some(at)),
                said_left: before,
                said_right: after.unwrap_or(EDGE),
                position: if is_consonant(at) && is_consonant(at + 1) {
                    BEFORE_TWO
                } else {
                    0
                },
                outcome: added(at).first().copied().unwrap_or(NOTHING),
            };
            all.push((gap, number));
            before = added(at).last().copied().unwrap_or(before);
            let Some(here) = here else { continue };
            let rest = sample.sounds.get(at + 1..).unwrap_or_default();
            let after = added(at + 1).first().copied().or_else(|| {
                rest.iter()
                    .zip(at + 2..)
                    .find_map(|(it, next)| outcome(it).or(added(next).first().copied()))
            });
            let mut position = 0;
            for (holds, flag) in [
                (here.onset, ONSET),
                (here.coda, CODA),
                (here.stressed == Some(true), STRESSED),
                (here.stressed == Some(false), UNSTRESSED),
            ] {
                position |= if holds { flag } else { 0 };
            }
            all.push((
                Site {
                    focus: here.target,
                    left: target(at.checked_sub(1)),
                    right: target(Some(at + 1)),
                    said_left: before,
                    said_right: after.unwrap_or(EDGE),
                    position,
                    outcome: here.outcome.unwrap_or(NOTHING),
                },
                number,
            ));
            before = here.outcome.unwrap_or(before);
        }
    }
    all
}
