//! Rules over sounds: A → B / C _ D.

use super::sound::{Choice, Sound};
use super::unit::{Said, Unit, Units};
use super::{Chance, Outcome};
use crate::alignment::same_phoneme;
use crate::feature::{Class, FeatureBundle, Places};
use crate::syllable::Site;

/// A place of a context.
#[derive(Clone, Debug)]
pub(super) enum Neighbour {
    One(Choice),
    Optional(Choice),
    /// Any sounds of the same word.
    Far,
}

/// A rule over sounds.
#[derive(Clone, Debug, Default)]
pub(super) struct Segmental {
    /// What the rule changes; empty where it puts something in.
    pub(super) from: Vec<Choice>,
    /// What it becomes; empty where it is left out.
    pub(super) to: Vec<Choice>,
    /// What stands before, nearest first.
    pub(super) left: Vec<Neighbour>,
    /// What stands after, nearest first.
    pub(super) right: Vec<Neighbour>,
}

impl Segmental {
    /// Adds the places of an item that meet the rule's description.
    pub(super) fn chances(&self, units: &Units, chances: &mut Vec<Chance>) {
        let places = 0..=units.sounds.len();
        chances.extend(places.filter_map(|at| self.chance(units, at)));
    }

    /// The chance of an item at the unit of a number or, where the rule puts something in,
    /// before it; `None` where the rule's description is not met.
    pub(super) fn chance(&self, units: &Units, start: usize) -> Option<Chance> {
        if self.from.is_empty() {
            return self.insertion(units, start);
        }
        let end = start + self.from.len();
        let these = units.sounds.get(start..end)?;
        let inside = these.windows(2).all(|pair| match pair {
            [one, other] => one.site.word == other.site.word,
            _ => true,
        });
        let mut pairs = these.iter().zip(&self.from);
        if !inside || !pairs.all(|(unit, it)| it.is(&unit.bundle, &unit.site)) {
            return None;
        }
        let mut places = Vec::new();
        if !self.fits(units, start, end, &mut places) {
            return None;
        }
        Some(Chance {
            column: these.first()?.column,
            outcome: self.outcome(units, start, these, &places)?,
        })
    }

    /// What became of the sounds; `None` where the rule would change nothing.
    fn outcome(
        &self,
        units: &Units,
        start: usize,
        these: &[Unit],
        places: &[Places],
    ) -> Option<Outcome> {
        if let ([unit], [from], to) = (these, self.from.as_slice(), self.to.as_slice()) {
            let targets = from.answers(to, unit);
            let vacuous = |it: &Choice| match it {
                Choice::Sound(sound) if sound.alpha => {
                    places.iter().all(|place| *place == unit.bundle.place)
                }
                Choice::Sound(sound) => sound.is_vacuous(&unit.bundle, &unit.site),
                _ => false,
            };
            if targets.len() == 1 && targets.iter().all(vacuous) {
                return None;
            }
            return Some(single(units, start, unit, targets, places));
        }
        let columns = these.first()?.column..these.last()?.column + 1;
        let said = units.said_in(columns.clone());
        let wrong = !columns.clone().all(|column| units.is_right(column));
        let answers = |said: &[Said]| {
            let mut pairs = said.iter().zip(&self.to);
            said.len() == self.to.len()
                && pairs.all(|(said, to)| self.answers_in_order(to, said, these))
        };
        let before = units.gap(start).start;
        let after = units.gap(start + these.len()).end;
        let shown = answers(said) && wrong
            || answers(units.said_in(columns.start..after)) && after > columns.end
            || answers(units.said_in(before..columns.end)) && before < columns.start;
        Some(if shown {
            Outcome::Shown
        } else if said.is_empty() && !self.to.is_empty() {
            Outcome::Bled
        } else {
            Outcome::Absent
        })
    }

    /// Whether a sound of a production is what stands in order for one of several targets.
    fn answers_in_order(&self, to: &Choice, said: &Said, these: &[Unit]) -> bool {
        let Choice::Sound(sound) = to else {
            return to.is(&said.bundle, &said.site);
        };
        let Some(number) = sound.number else {
            return sound.is(&said.bundle, &said.site);
        };
        let numbered = |it: &Choice| match it {
            Choice::Sound(sound) => sound.number,
            _ => None,
        };
        let same = |unit: &Unit| same_phoneme(&unit.bundle, &said.bundle);
        let like = self.from.iter().position(|it| numbered(it) == Some(number));
        sound.is(&said.bundle, &said.site)
            && match like {
                Some(at) => these.get(at).is_some_and(same),
                None => !these.iter().any(same),
            }
    }

    /// The chance that the rule puts something in before a unit, or after the last.
    fn insertion(&self, units: &Units, gap: usize) -> Option<Chance> {
        if !self.fits(units, gap, gap, &mut Vec::new()) {
            return None;
        }
        let columns = units.gap(gap);
        if matches!(self.to.as_slice(), [Choice::Pause]) {
            if gap == 0 || gap == units.sounds.len() {
                return None;
            }
            let made = units.pauses.get(gap).is_some_and(|it| *it);
            return Some(Chance {
                column: columns.end,
                outcome: if made {
                    Outcome::Shown
                } else {
                    Outcome::Absent
                },
            });
        }
        let said = units.said_in(columns.clone());
        let wrong = !columns.clone().all(|column| units.is_right(column));
        let shown = wrong
            && said.windows(self.to.len().max(1)).any(|said| {
                said.iter()
                    .zip(&self.to)
                    .all(|(said, to)| to.is(&said.bundle, &said.site))
            });
        let beside = [
            (gap.checked_sub(1), self.left.first()),
            (Some(gap), self.right.first()),
        ];
        let bled = beside.into_iter().any(|(at, asked)| {
            let asked = matches!(asked, Some(Neighbour::One(Choice::Sound(_))));
            let unit = at.and_then(|at| units.sounds.get(at));
            asked && unit.is_some_and(|unit| units.is_omitted(unit.column))
        });
        Some(Chance {
            column: columns.end,
            outcome: match (shown, bled) {
                (true, _) => Outcome::Shown,
                (false, true) => Outcome::Bled,
                (false, false) => Outcome::Absent,
            },
        })
    }

    /// Whether the context is there, around the units from `start` to `end`; the places of
    /// sounds that an α asks for are added to `places`.
    fn fits(
        &self,
        units: &Units,
        start: usize,
        end: usize,
        places: &mut Vec<Places>,
    ) -> bool {
        if self.left.is_empty() && self.right.is_empty() {
            return true;
        }
        let mut walk = Walk { units, places };
        // What is put in at the edge of a word has the other word beside it.
        let sides = [self.left.first(), self.right.first()];
        let edged = start == end && sides.into_iter().flatten().any(Neighbour::is_edge);
        walk.fits(&self.left, start, false, !edged)
            && walk.fits(&self.right, end, true, !edged)
    }
}

/// What became of one sound.
fn single(
    units: &Units,
    start: usize,
    unit: &Unit,
    targets: &[Choice],
    places: &[Places],
) -> Outcome {
    let said = units.said(unit.column);
    let gone = matches!(targets, []) || matches!(targets, [Choice::Nothing]);
    if said.is_empty() {
        let may_go = gone || targets.iter().any(Choice::may_be_nothing);
        return if may_go {
            Outcome::Shown
        } else {
            Outcome::Bled
        };
    }
    if gone || units.is_right(unit.column) {
        // What follows may still be put in by the rule: V → V r.
        if targets.len() < 2 {
            return Outcome::Absent;
        }
    }
    let answers = |said: &[Said]| {
        said.len() == targets.len()
            && said
                .iter()
                .zip(targets)
                .all(|(said, to)| to.is_said(&unit.bundle, said, places))
    };
    let after = units.gap(start + 1).end;
    let before = units.gap(start).start;
    let shown = answers(said)
        || targets.len() > 1
            && (answers(units.said_in(unit.column..after))
                || answers(units.said_in(before..unit.column + 1)));
    if shown {
        Outcome::Shown
    } else {
        Outcome::Absent
    }
}

/// Walks away from the focus along a context.
struct Walk<'w> {
    units: &'w Units,
    places: &'w mut Vec<Places>,
}

impl Walk<'_> {
    /// Whether neighbours are there from a gap on. `within`: no edge of a word was asked for
    /// at this gap, so that the next sound has to be of the same word.
    fn fits(
        &mut self,
        neighbours: &[Neighbour],
        gap: usize,
        ahead: bool,
        within: bool,
    ) -> bool {
        let Some((first, rest)) = neighbours.split_first() else {
            return true;
        };
        match first {
            Neighbour::One(choice) => self.one(choice, rest, gap, ahead, within),
            Neighbour::Optional(choice) => {
                self.one(choice, rest, gap, ahead, within)
                    || self.fits(rest, gap, ahead, within)
            }
            Neighbour::Far => {
                let alpha = rest.first().is_some_and(Neighbour::is_alpha);
                let (mut gap, mut found) = (gap, false);
                loop {
                    found |= self.fits(rest, gap, ahead, true);
                    if found && !alpha || self.units.is_edge(gap) {
                        return found;
                    }
                    gap = if ahead { gap + 1 } else { gap - 1 };
                }
            }
        }
    }

    fn one(
        &mut self,
        choice: &Choice,
        rest: &[Neighbour],
        gap: usize,
        ahead: bool,
        within: bool,
    ) -> bool {
        match choice {
            Choice::Set(all) => {
                let mut any = false;
                for one in all {
                    any = any || self.one(one, rest, gap, ahead, within);
                }
                any
            }
            Choice::WordEdge => {
                self.units.is_edge(gap) && self.fits(rest, gap, ahead, false)
            }
            Choice::SyllableEdge => {
                self.is_syllable_edge(gap) && self.fits(rest, gap, ahead, within)
            }
            Choice::Sound(sound) => {
                if within && self.units.is_edge(gap) {
                    return false;
                }
                let at = if ahead { Some(gap) } else { gap.checked_sub(1) };
                let Some(unit) = at.and_then(|at| self.units.sounds.get(at)).copied()
                else {
                    return false;
                };
                if !sound.is(&unit.bundle, &unit.site) {
                    return false;
                }
                if sound.alpha {
                    self.places.push(unit.bundle.place);
                }
                let next = if ahead { gap + 1 } else { gap - 1 };
                self.fits(rest, next, ahead, true)
            }
            Choice::Nothing | Choice::Pause => self.fits(rest, gap, ahead, within),
        }
    }

    fn is_syllable_edge(&self, gap: usize) -> bool {
        let unit = |at: Option<usize>| at.and_then(|at| self.units.sounds.get(at));
        match (unit(gap.checked_sub(1)), unit(Some(gap))) {
            (Some(before), Some(after)) => before.site.syllable != after.site.syllable,
            _ => true,
        }
    }
}

impl Neighbour {
    /// What has to be the sound next to here; `None` where none has to be.
    pub(super) fn sound(&self) -> Option<&Choice> {
        match self {
            Self::One(choice) if choice.is_all_sounds() => Some(choice),
            _ => None,
        }
    }

    /// Whether it is, or may be, the edge of a word.
    fn is_edge(&self) -> bool {
        match self {
            Self::One(Choice::Set(all)) => {
                all.iter().any(|it| matches!(it, Choice::WordEdge))
            }
            Self::One(choice) => matches!(choice, Choice::WordEdge),
            _ => false,
        }
    }

    fn is_alpha(&self) -> bool {
        match self {
            Self::One(Choice::Sound(sound)) => sound.alpha,
            _ => false,
        }
    }
}

impl Choice {
    /// Whether a sound at a place is one of these.
    pub(super) fn is(&self, bundle: &FeatureBundle, site: &Site) -> bool {
        match self {
            Self::Sound(sound) => sound.is(bundle, site),
            Self::Set(all) => all.iter().any(|it| it.is(bundle, site)),
            Self::Pause => bundle.class == Class::Pause,
            Self::WordEdge | Self::SyllableEdge | Self::Nothing => false,
        }
    }

    /// Whether a sound is one of these somewhere.
    pub(super) fn may_be(&self, bundle: &FeatureBundle) -> bool {
        match self {
            Self::Sound(sound) => sound.is_somewhere(bundle),
            Self::Set(all) => all.iter().any(|it| it.may_be(bundle)),
            other => other.is(bundle, &Site::default()),
        }
    }

    /// Whether it is nothing but sounds: no edge and no pause.
    fn is_all_sounds(&self) -> bool {
        match self {
            Self::Sound(_) => true,
            Self::Set(all) => all.iter().all(Self::is_all_sounds),
            _ => false,
        }
    }

    fn may_be_nothing(&self) -> bool {
        match self {
            Self::Nothing => true,
            Self::Set(all) => all.iter().any(Self::may_be_nothing),
            _ => false,
        }
    }

    /// What a target's sound becomes by the rule: where both sides are sets of one size, the
    /// member that answers it.
    fn answers<'c>(&self, to: &'c [Self], unit: &Unit) -> &'c [Self] {
        if let (Self::Set(from), [Self::Set(into)]) = (self, to)
            && from.len() == into.len()
        {
            let at = from.iter().position(|it| it.is(&unit.bundle, &unit.site));
            let member = at.and_then(|at| into.get(at));
            return member.map(core::slice::from_ref).unwrap_or_default();
        }
        to
    }

    /// Whether a sound of a production is what the rule makes of a target's.
    pub(super) fn is_said(
        &self,
        target: &FeatureBundle,
        said: &Said,
        places: &[Places],
    ) -> bool {
        let change = |sound: &Sound| {
            let moved =
                said.bundle.place != target.place && places.contains(&said.bundle.place);
            sound.changes(target, (&said.bundle, &said.site)) && (!sound.alpha || moved)
        };
        match self {
            Self::Sound(sound) if sound.is_change() => change(sound),
            Self::Set(all) => all.iter().any(|it| it.is_said(target, said, places)),
            other => other.is(&said.bundle, &said.site),
        }
    }
}
