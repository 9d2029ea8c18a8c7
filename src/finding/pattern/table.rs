//! Rules over sounds as tables: what each of some sounds becomes, between which neighbours.

use super::segmental::{Neighbour, Segmental};
use super::sound::{Choice, Letter, Sound};
use super::unit::Said;
use super::{Pattern, Rule};
use crate::feature::{Class, FeatureBundle};
use crate::finding::difference;
use crate::syllable::{Part, Site, Stress};

/// A rule over some listed sounds; a number is a sound's place in that list.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(in crate::finding) struct Table {
    /// What each sound becomes, `None` for nothing; one pair from `None` for an insertion.
    pub(in crate::finding) pairs: Vec<(Option<usize>, Option<usize>)>,
    /// The sounds that may stand before, and whether the edge of the word may.
    pub(in crate::finding) left: Option<Beside>,
    /// The same after.
    pub(in crate::finding) right: Option<Beside>,
    /// Whether two consonants have to follow: insertions alone.
    pub(in crate::finding) before_two: bool,
    /// Onset, or coda.
    pub(in crate::finding) onset: Option<bool>,
    /// In a stressed syllable, or not.
    pub(in crate::finding) stressed: Option<bool>,
    /// How many tables the rule comes to, of which this is one.
    pub(in crate::finding) of: usize,
}

/// Sounds, and whether the edge of the word is as good.
type Beside = (Vec<usize>, bool);

impl Pattern {
    /// Its rules as tables over some sounds, one for each outcome that a rule leaves open.
    /// None for what a table cannot say: rules over syllables, several sounds at once,
    /// places further off than the next sound, spelling, the sheer phonetic detail.
    pub(in crate::finding) fn tables(&self, sounds: &[FeatureBundle]) -> Vec<Table> {
        if !self.spelling.is_empty() || self.counts_allowed {
            return Vec::new();
        }
        self.rules
            .iter()
            .filter_map(|(_, rule)| match rule {
                Rule::Segmental(rule) => rule.tables(sounds),
                Rule::Syllabic(_) => None,
            })
            .flatten()
            .collect()
    }
}

impl Segmental {
    fn tables(&self, sounds: &[FeatureBundle]) -> Option<Vec<Table>> {
        let mut frame = Table {
            left: side(&self.left, sounds)?,
            ..Table::default()
        };
        let insertion = self.from.is_empty();
        frame.right = match self.right.as_slice() {
            // The second of two consonants is said by the first and that two follow.
            [first, Neighbour::One(Choice::Sound(second))]
                if insertion && is_any_consonant(second) =>
            {
                frame.before_two = true;
                side(core::slice::from_ref(first), sounds)?
            }
            right => side(right, sounds)?,
        };
        let outcomes: Vec<(Option<usize>, Vec<Option<usize>>)> =
            match (self.from.as_slice(), self.to.as_slice()) {
                ([], [to]) => vec![(None, added(to, sounds))],
                ([from], [] | [_]) => {
                    let (members, onset, stressed) = members(from, sounds)?;
                    (frame.onset, frame.stressed) = (onset, stressed);
                    members
                        .into_iter()
                        .map(|it| (Some(it), outcomes(from, self.to.first(), it, sounds)))
                        .filter(|(_, outcomes)| !outcomes.is_empty())
                        .collect()
                }
                _ => return None,
            };
        // The nth table takes the nth outcome of each sound, or its last.
        let of = outcomes.iter().map(|(_, all)| all.len()).max()?;
        let table = |nth: usize| Table {
            pairs: outcomes
                .iter()
                .filter_map(|(from, all)| Some((*from, *all.get(nth).or(all.last())?)))
                .collect(),
            of,
            ..frame.clone()
        };
        Some((0..of).map(table).collect())
    }
}

/// Places where a sound may stand, as rules can ask for them.
fn places() -> [Site; 6] {
    let place = |part: Part, stress: Stress| Site {
        part: Some(part),
        stress,
        ..Site::default()
    };
    [
        place(Part::Onset, Stress::Primary),
        place(Part::Nucleus, Stress::Primary),
        place(Part::Coda, Stress::Primary),
        place(Part::Onset, Stress::None),
        place(Part::Nucleus, Stress::None),
        place(Part::Coda, Stress::None),
    ]
}

/// The sounds of a class, and where they have to stand: onset or coda, stressed or not.
type Members = (Vec<usize>, Option<bool>, Option<bool>);

/// `None` if it asks for more of the place than a table can.
fn members(choice: &Choice, sounds: &[FeatureBundle]) -> Option<Members> {
    let at = |site: &Site| -> Vec<usize> {
        let all = sounds.iter().enumerate();
        all.filter(|(_, it)| choice.is(it, site))
            .map(|it| it.0)
            .collect()
    };
    let [onset, nucleus, coda, weak_onset, weak_nucleus, weak_coda] =
        places().map(|it| at(&it));
    let strong: Vec<usize> = [&onset[..], &nucleus, &coda].concat();
    let weak: Vec<usize> = [&weak_onset[..], &weak_nucleus, &weak_coda].concat();
    let every = |all: Vec<usize>| {
        let mut all = all;
        all.sort_unstable();
        all.dedup();
        all
    };
    let even = onset == weak_onset && nucleus == weak_nucleus && coda == weak_coda;
    let part = match (even, onset == coda) {
        (true, true) if onset == nucleus => None,
        (true, false) if coda.is_empty() => Some(true),
        (true, false) if onset.is_empty() => Some(false),
        (true, _) => return None,
        (false, _) => None,
    };
    let stressed = match (even, strong.is_empty(), weak.is_empty()) {
        (true, ..) => None,
        (false, false, true) => Some(true),
        (false, true, false) => Some(false),
        _ => return None,
    };
    let all = every([strong, weak].concat());
    (!all.is_empty()).then_some((all, part, stressed))
}

/// What may stand on one side; `None` if a table cannot say it.
#[allow(
    clippy::option_option,
    reason = "nothing may stand there, or a table cannot say it: two answers"
)]
fn side(neighbours: &[Neighbour], sounds: &[FeatureBundle]) -> Option<Option<Beside>> {
    let (first, rest) = match neighbours {
        [] => return Some(None),
        [Neighbour::One(first), rest @ ..] => (first, rest),
        _ => return None,
    };
    // What stands beyond the edge of the word, a table does not see.
    if !rest.is_empty() {
        return None;
    }
    let mut beside = (Vec::new(), false);
    let choices = match first {
        Choice::Set(all) => all.as_slice(),
        one => core::slice::from_ref(one),
    };
    for choice in choices {
        match choice {
            Choice::WordEdge => beside.1 = true,
            Choice::Sound(sound) if sound.alpha => return None,
            Choice::Sound(_) | Choice::Set(_) => {
                let (sounds, None, None) = members(choice, sounds)? else {
                    return None;
                };
                beside.0.extend(sounds);
            }
            _ => return None,
        }
    }
    beside.0.sort_unstable();
    beside.0.dedup();
    Some(Some(beside))
}

fn is_any_consonant(sound: &Sound) -> bool {
    matches!(sound.letter, Letter::Consonant) && sound.matrix.is_empty() && !sound.alpha
}

/// Every sound that may be put in.
fn added(to: &Choice, sounds: &[FeatureBundle]) -> Vec<Option<usize>> {
    listed(to, sounds).into_iter().map(Some).collect()
}

/// The sounds that a choice stands for, as the list has them; a plain letter stands for one.
fn listed(choice: &Choice, sounds: &[FeatureBundle]) -> Vec<usize> {
    let site = Site::default();
    match choice {
        Choice::Set(all) => {
            let mut listed: Vec<usize> = Vec::new();
            for one in all {
                for it in self::listed(one, sounds) {
                    if !listed.contains(&it) {
                        listed.push(it);
                    }
                }
            }
            listed
        }
        Choice::Sound(sound) => {
            let all = sounds.iter().enumerate();
            let fitting: Vec<usize> = all
                .filter(|(_, it)| sound.is(it, &site))
                .map(|it| it.0)
                .collect();
            // A letter may have further marks in a production; here it is itself.
            let Letter::Sound(wanted) = sound.letter else {
                return fitting;
            };
            let marks = |at: &usize| {
                let other = sounds.get(*at);
                other.map_or(usize::MAX, |it| difference::between(&wanted, it).len())
            };
            fitting.into_iter().min_by_key(marks).into_iter().collect()
        }
        _ => Vec::new(),
    }
}

/// What a sound becomes: each outcome that the rule leaves open, itself left aside.
fn outcomes(
    from: &Choice,
    to: Option<&Choice>,
    sound: usize,
    sounds: &[FeatureBundle],
) -> Vec<Option<usize>> {
    let site = Site::default();
    let Some(bundle) = sounds.get(sound) else {
        return Vec::new();
    };
    let to = match (from, to) {
        (_, None) => return vec![None],
        (Choice::Set(from), Some(Choice::Set(to))) if from.len() == to.len() => {
            let at = from.iter().position(|it| it.is(bundle, &site));
            at.and_then(|at| to.get(at))
        }
        (_, to) => to,
    };
    let Some(to) = to else { return Vec::new() };
    let choices = match to {
        Choice::Set(all) => all.as_slice(),
        one => core::slice::from_ref(one),
    };
    let mut all: Vec<Option<usize>> = Vec::new();
    for choice in choices {
        match choice {
            Choice::Nothing => all.push(None),
            Choice::Sound(it) if it.alpha => return Vec::new(),
            Choice::Sound(it) if it.is_change() => {
                let changed = sounds.iter().enumerate().filter(|(at, said)| {
                    let said = Said {
                        bundle: **said,
                        site,
                    };
                    *at != sound && choice.is_said(bundle, &said, &[])
                });
                all.extend(nearest(bundle, changed.map(|it| it.0), sounds).map(Some));
            }
            Choice::Sound(it) => {
                let listed = listed(choice, sounds).into_iter();
                let others: Vec<usize> = listed.filter(|it| *it != sound).collect();
                // Of a class of consonants the nearest stands for all; of vowels, any may.
                let consonants = matches!(it.letter, Letter::Consonant);
                if consonants && bundle.class == Class::Consonant {
                    all.extend(nearest(bundle, others.into_iter(), sounds).map(Some));
                } else {
                    all.extend(others.into_iter().map(Some));
                }
            }
            Choice::Set(_) => {
                let listed = listed(choice, sounds).into_iter();
                all.extend(listed.filter(|it| *it != sound).map(Some));
            }
            _ => {}
        }
    }
    all.dedup();
    all
}

/// The one of some sounds that differs from a sound in the fewest features.
fn nearest(
    bundle: &FeatureBundle,
    those: impl Iterator<Item = usize>,
    sounds: &[FeatureBundle],
) -> Option<usize> {
    those.min_by_key(|at| {
        let other = sounds.get(*at);
        other.map_or(usize::MAX, |it| difference::between(bundle, it).len())
    })
}
