//! Patterns made ready to be looked for in item after item.

use std::collections::BTreeMap;

use super::segmental::{Neighbour, Segmental};
use super::sound::Choice;
use super::syllabic::Syllabic;
use super::unit::Units;
use super::{Chance, Pattern, Rule};
use crate::feature::FeatureBundle;
use crate::finding::item::Item;

/// Looks for patterns in item after item: what [`Pattern::chances`] finds, sooner.
///
/// Most rules are about few sounds. Which rules a sound can be at issue for, which it can
/// stand before and which after, is worked out once for each sound that comes up; an item
/// then costs a few tests of bits for each of its sounds, and the rules that are left.
///
/// # Examples
///
/// ```
/// use apical::accent::Accent;
/// use apical::finding::item::Pairing;
/// use apical::finding::pattern::{self, Detector};
/// use apical::notation::Transcription;
///
/// let mut pairing = Pairing::new(&Accent::named("en-US").unwrap());
/// let [target, production] = ["θɪŋk", "tɪŋk"].map(Transcription::parse);
/// let item = pairing.item(2, "think", &target, &production);
/// let patterns = pattern::shipped();
/// let mut detector = Detector::new(&patterns);
/// for (number, chance) in detector.chances(&item) {
///     assert!(patterns[*number].chances(&item).contains(chance));
/// }
/// ```
#[derive(Clone, Debug)]
pub struct Detector<'p> {
    patterns: &'p [Pattern],
    /// Rules over sounds, each with the number of its pattern.
    segmental: Vec<(usize, &'p Segmental)>,
    /// Rules over syllables, likewise.
    syllabic: Vec<(usize, &'p Syllabic)>,
    /// Rules over sounds that put something in.
    insertions: Rules,
    /// Rules that ask for no sound right before, and right after.
    no_sound: [Rules; 2],
    /// Rules that ask for the edge of a word there.
    edge: [Rules; 2],
    /// What is known of each sound that came up.
    known: BTreeMap<FeatureBundle, usize>,
    roles: Vec<Roles>,
    chances: Vec<(usize, Chance)>,
}

/// The rules that a sound, wherever it stands, can be something to.
#[derive(Clone, Debug)]
struct Roles {
    /// It can be the first of what the rule changes.
    here: Rules,
    /// It can stand right before.
    before: Rules,
    /// It can stand right after the first of what the rule changes, or what it puts in.
    after: Rules,
}

/// A set of rules over sounds, a bit for each.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Rules(Vec<u64>);

impl Rules {
    fn of(rules: impl Iterator<Item = bool>) -> Self {
        let mut bits = Vec::new();
        for (number, is_in) in rules.enumerate() {
            if number % 64 == 0 {
                bits.push(0);
            }
            if let Some(last) = bits.last_mut() {
                *last |= u64::from(is_in) << (number % 64);
            }
        }
        Self(bits)
    }

    fn part(&self, at: usize) -> u64 {
        self.0.get(at).copied().unwrap_or_default()
    }
}

impl<'p> Detector<'p> {
    /// Makes patterns ready.
    #[must_use]
    pub fn new(patterns: &'p [Pattern]) -> Self {
        let (mut segmental, mut syllabic) = (Vec::new(), Vec::new());
        for (number, pattern) in patterns.iter().enumerate() {
            for (_, rule) in &pattern.rules {
                match rule {
                    Rule::Segmental(rule) => segmental.push((number, rule)),
                    Rule::Syllabic(rule) => syllabic.push((number, rule)),
                }
            }
        }
        Self {
            patterns,
            insertions: Rules::of(segmental.iter().map(|(_, it)| it.from.is_empty())),
            no_sound: [
                Rules::of(segmental.iter().map(|(_, it)| before(it).is_none())),
                Rules::of(segmental.iter().map(|(_, it)| after(it).is_none())),
            ],
            edge: [
                Rules::of(segmental.iter().map(|(_, it)| is_edge(it.left.first()))),
                Rules::of(
                    segmental
                        .iter()
                        .map(|(_, it)| it.from.len() < 2 && is_edge(it.right.first())),
                ),
            ],
            segmental,
            syllabic,
            known: BTreeMap::new(),
            roles: Vec::new(),
            chances: Vec::new(),
        }
    }

    /// Every place of an item where a pattern could show, with the pattern's number: pattern
    /// by pattern, and of each in order, each once. They stand until the next call.
    pub fn chances(&mut self, item: &Item) -> &[(usize, Chance)] {
        let mut units = Units::of(item);
        let roles: Vec<usize> = units
            .sounds
            .iter()
            .map(|it| self.role(&it.bundle))
            .collect();
        self.chances.clear();
        for at in 0..=roles.len() {
            for part in 0..self.insertions.0.len() {
                let mut left = self.at_issue(&units, &roles, at, part);
                while left != 0 {
                    let number = part * 64 + left.trailing_zeros() as usize;
                    left &= left - 1;
                    self.ask(number, item, &mut units, at);
                }
            }
        }
        let of_spelling = |number: usize| {
            let pattern = self.patterns.get(number);
            pattern.is_some_and(|it| it.is_about(&item.word))
        };
        for (number, rule) in &self.syllabic {
            let places = 0..units.syllables.len();
            let found = places.filter_map(|at| rule.chance(&units, at));
            let found = found.map(|chance| (*number, chance));
            self.chances.extend(found.filter(|_| of_spelling(*number)));
        }
        // Of what two rules say of one place, what shows goes first.
        self.chances.sort_unstable();
        self.chances
            .dedup_by_key(|(number, chance)| (*number, chance.column));
        &self.chances
    }

    /// The rules over sounds, 64 of them, that the sounds at and around a unit leave open.
    fn at_issue(&self, units: &Units, roles: &[usize], at: usize, part: usize) -> u64 {
        let of = |at: Option<usize>| {
            let role = at.and_then(|at| roles.get(at));
            role.and_then(|role| self.roles.get(*role))
        };
        let [no_before, no_after] = &self.no_sound;
        let [edge_before, edge_after] = &self.edge;
        let unless_edge = |gap: usize, rules: &Rules| {
            if units.is_edge(gap) {
                u64::MAX
            } else {
                !rules.part(part)
            }
        };
        let after = |gap: usize| {
            let sound = of(Some(gap)).map_or(no_after, |it| &it.after);
            sound.part(part) & unless_edge(gap, edge_after)
        };
        let sound = of(at.checked_sub(1)).map_or(no_before, |it| &it.before);
        let before = sound.part(part) & unless_edge(at, edge_before);
        let put_in = self.insertions.part(part) & after(at);
        let changed = of(Some(at)).map_or(0, |it| it.here.part(part));
        before & (put_in | (changed & after(at + 1)))
    }

    /// Asks a rule over sounds about a unit.
    fn ask(&mut self, rule: usize, item: &Item, units: &mut Units, at: usize) {
        let Some((number, rule)) = self.segmental.get(rule) else {
            return;
        };
        let Some(pattern) = self.patterns.get(*number) else {
            return;
        };
        if pattern.is_about(&item.word) {
            units.counts_allowed = pattern.counts_allowed;
            let chance = rule.chance(units, at);
            self.chances.extend(chance.map(|it| (*number, it)));
        }
    }

    /// The number of what is known of a sound.
    fn role(&mut self, sound: &FeatureBundle) -> usize {
        if let Some(known) = self.known.get(sound) {
            return *known;
        }
        let rules = || self.segmental.iter().map(|(_, rule)| rule);
        let may_be = |asked: Option<&Choice>| asked.is_none_or(|it| it.may_be(sound));
        let roles = Roles {
            here: Rules::of(rules().map(|it| {
                let first = it.from.first();
                first.is_some_and(|first| first.may_be(sound))
            })),
            before: Rules::of(rules().map(|it| may_be(before(it)))),
            after: Rules::of(rules().map(|it| may_be(after(it)))),
        };
        let number = self.roles.len();
        self.roles.push(roles);
        self.known.insert(*sound, number);
        number
    }
}

/// Whether the edge of a word has to be there.
fn is_edge(neighbour: Option<&Neighbour>) -> bool {
    matches!(neighbour, Some(Neighbour::One(Choice::WordEdge)))
}

/// What has to be the sound right before what a rule changes, if one has to be there.
fn before(rule: &Segmental) -> Option<&Choice> {
    rule.left.first().and_then(Neighbour::sound)
}

/// What has to be the sound right after the first that a rule changes, or after what it puts
/// in, if one has to be there.
fn after(rule: &Segmental) -> Option<&Choice> {
    let second = rule.from.get(1);
    second.or_else(|| rule.right.first().and_then(Neighbour::sound))
}
