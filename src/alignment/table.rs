//! Every sound an aligner has met, numbered once, with the costs of pairing them.

use core::cmp::Ordering;
use std::collections::BTreeMap;

use super::constant::Constants;
use super::cost::{self, Profile, scaled};
use super::unit::{self, Make, Unit, answer};
use super::word::Neighbours;
use crate::feature::{Class, FeatureBundle};

/// Sounds whose costs are kept. Beyond them costs are worked out each time, so that a text
/// of countless different sounds cannot fill the memory.
const KEPT: usize = 512;

/// In place of a unit: not looked at yet.
const UNKNOWN: u32 = 0;
/// Set in the number of a unit of sounds whose costs are not kept.
const RARE: u32 = 1 << 31;
/// In place of a unit: the two make none.
const NONE: u32 = u32::MAX;

/// A sound and where it stands, as far as pairing it depends on that: the sound's number,
/// twice, plus one for an offglide or for a liquid that no vowel follows.
pub(crate) type Code = u32;

/// The sounds met so far.
#[derive(Clone, Debug)]
pub(crate) struct Table {
    pub(crate) constants: Constants,
    pub(crate) neighbours: Neighbours,
    tones: bool,
    bundles: Vec<FeatureBundle>,
    profiles: Vec<Profile>,
    traits: Vec<Traits>,
    /// Where each kept sound stands among the kept ones in the order of bundles.
    ranks: Vec<u32>,
    /// Open hash table: a sound's number plus one, or 0.
    index: Vec<u32>,
    /// Costs of pairing, a square of `stride` codes a side.
    pairs: Vec<i16>,
    stride: usize,
    /// Pairs of sounds that the accent counts as one unit.
    listed: Vec<[FeatureBundle; 2]>,
    units: Vec<Unit>,
    /// The units that two kept sounds make: one more than the unit's number, or a mark for
    /// none or not looked at yet. A square of `unit_side` sounds a side.
    unit_of: Vec<u32>,
    unit_side: usize,
    /// The same for sounds whose costs are not kept; forgotten with every pair of words.
    rare_units: Vec<Unit>,
    unit_of_rare: BTreeMap<(u32, u32), u32>,
}

impl Table {
    pub(crate) fn new(constants: &Constants, listed: Vec<[FeatureBundle; 2]>) -> Self {
        Self {
            constants: *constants,
            neighbours: Neighbours::new(constants),
            tones: false,
            bundles: Vec::new(),
            profiles: Vec::new(),
            traits: Vec::new(),
            ranks: Vec::new(),
            index: vec![0; 64],
            pairs: Vec::new(),
            stride: 0,
            listed,
            units: Vec::new(),
            unit_of: Vec::new(),
            unit_side: 0,
            rare_units: Vec::new(),
            unit_of_rare: BTreeMap::new(),
        }
    }

    /// The sound's number; a new one where it was not met before.
    pub(crate) fn intern(&mut self, sound: &FeatureBundle) -> u32 {
        let mut slot = self.slot(sound);
        loop {
            match self.index.get(slot).copied() {
                Some(0) | None => break,
                Some(found) if self.bundles.get(found as usize - 1) == Some(sound) => {
                    return found - 1;
                }
                Some(_) => slot = (slot + 1) % self.index.len(),
            }
        }
        self.add(sound)
    }

    fn slot(&self, sound: &FeatureBundle) -> usize {
        usize::try_from(hash(sound) >> 32).unwrap_or(0) & (self.index.len() - 1)
    }

    #[cold]
    fn add(&mut self, sound: &FeatureBundle) -> u32 {
        if (self.bundles.len() + 1) * 2 > self.index.len() {
            self.index = vec![0; self.index.len() * 2];
            for number in 0..self.bundles.len() {
                self.enter(number);
            }
        }
        let number = self.bundles.len();
        self.bundles.push(*sound);
        self.tones |= sound.class == Class::Tone;
        let profile = Profile::of(sound, &self.constants);
        self.traits.push(Traits::of(&profile, &self.constants));
        self.profiles.push(profile);
        self.enter(number);
        if number < KEPT {
            self.rank(sound);
            self.price(number);
        }
        u32::try_from(number).unwrap_or(u32::MAX)
    }

    fn enter(&mut self, number: usize) {
        let Some(sound) = self.bundles.get(number).copied() else {
            return;
        };
        let mut slot = self.slot(&sound);
        while self.index.get(slot).is_some_and(|&taken| taken != 0) {
            slot = (slot + 1) % self.index.len();
        }
        if let Some(place) = self.index.get_mut(slot) {
            *place = u32::try_from(number + 1).unwrap_or(0);
        }
    }

    fn rank(&mut self, sound: &FeatureBundle) {
        let mut rank = 0;
        for (other, at) in self.bundles.iter().zip(&mut self.ranks) {
            if other < sound {
                rank += 1;
            } else {
                *at += 1;
            }
        }
        self.ranks.push(rank);
    }

    /// Which of two sounds comes first in the order of bundles.
    pub(crate) fn order(&self, one: u32, other: u32) -> Ordering {
        match (self.ranks.get(one as usize), self.ranks.get(other as usize)) {
            (Some(one), Some(other)) => one.cmp(other),
            _ => self.bundle(one).cmp(&self.bundle(other)),
        }
    }

    /// Works out what pairing a new sound with every other costs.
    fn price(&mut self, number: usize) {
        let codes = 2 * (number + 1);
        if codes > self.stride {
            let stride = (2 * self.stride).max(64);
            let mut pairs = vec![0; stride * stride];
            if self.stride > 0 {
                for (to, from) in pairs
                    .chunks_exact_mut(stride)
                    .zip(self.pairs.chunks_exact(self.stride))
                {
                    to.iter_mut().zip(from).for_each(|(to, from)| *to = *from);
                }
            }
            (self.pairs, self.stride) = (pairs, stride);
        }
        let new = u32::try_from(2 * number).unwrap_or(0);
        for one in [new, new + 1] {
            for other in 0..new + 2 {
                let cost = self.work_out(one, other);
                let cost = i16::try_from(cost).unwrap_or(i16::MAX);
                for (row, column) in [(one, other), (other, one)] {
                    let at = row as usize * self.stride + column as usize;
                    if let Some(place) = self.pairs.get_mut(at) {
                        *place = cost;
                    }
                }
            }
        }
    }

    /// What pairing two sounds where they stand costs.
    pub(crate) fn work_out(&self, one: Code, other: Code) -> i32 {
        let by = &self.constants;
        let (Some(here), Some(there)) = (self.profile(one / 2), self.profile(other / 2))
        else {
            return by.forbidden;
        };
        let cost = cost::pair(here, there, by);
        if here.is_vowel() && there.is_vowel() {
            let unlike = match (one % 2, other % 2) {
                (0, 0) => false,
                (1, 1) => here.is_central() != there.is_central(),
                _ => true,
            };
            return cost + if unlike { by.offglide_pair } else { 0 };
        }
        let coda =
            one % 2 == 1 && here.becomes(there) || other % 2 == 1 && there.becomes(here);
        if coda { cost.min(by.coda_vowel) } else { cost }
    }

    /// The same, looked up where it is kept.
    pub(crate) fn cost(&self, one: Code, other: Code) -> i32 {
        let kept = self.costs(one).get(other as usize);
        kept.map_or_else(|| self.work_out(one, other), |&cost| i32::from(cost))
    }

    /// The kept costs of pairing a sound with each code; empty where they are not kept.
    pub(crate) fn costs(&self, code: Code) -> &[i16] {
        let start = code as usize * self.stride;
        self.pairs.get(start..start + self.stride).unwrap_or(&[])
    }

    /// Whether a tone was met yet.
    pub(crate) const fn has_tones(&self) -> bool {
        self.tones
    }

    /// Whether the costs of every sound met so far are kept.
    pub(crate) fn all_kept(&self) -> bool {
        self.bundles.len() <= KEPT
    }

    pub(crate) fn profile(&self, number: u32) -> Option<&Profile> {
        self.profiles.get(number as usize)
    }

    pub(crate) fn bundle(&self, number: u32) -> Option<&FeatureBundle> {
        self.bundles.get(number as usize)
    }

    /// What a word's context looks at; nothing for a number that was never given out.
    pub(crate) fn traits(&self, number: u32) -> &Traits {
        self.traits.get(number as usize).unwrap_or(&Traits::NOTHING)
    }

    /// Whether a code is that of a consonant.
    pub(crate) fn is_consonant(&self, code: Code) -> bool {
        matches!(self.traits(code / 2).kind, Kind::Consonant | Kind::Liquid)
    }

    /// One more than the number of the unit that two neighbours make, or 0 if they make none;
    /// `None` if it was not looked at yet ([`Table::look_for_unit`]).
    pub(crate) fn unit(&self, first: u32, second: u32) -> Option<u32> {
        let side = self.unit_side;
        let known = if (first.max(second) as usize) < side {
            self.unit_of.get(first as usize * side + second as usize)
        } else {
            self.unit_of_rare.get(&(first, second))
        };
        match known.copied() {
            None | Some(UNKNOWN) => None,
            Some(NONE) => Some(0),
            known => known,
        }
    }

    /// Looks whether two neighbours make a unit, unless it is known.
    pub(crate) fn look_for_unit(&mut self, first: u32, second: u32) {
        let side = self.unit_side;
        let at = first as usize * side + second as usize;
        let kept = (first.max(second) as usize) < side;
        if kept && self.unit_of.get(at).is_some_and(|&known| known != UNKNOWN) {
            return;
        }
        self.find_unit(first, second);
    }

    #[cold]
    fn find_unit(&mut self, first: u32, second: u32) {
        let side = (self.stride / 2).min(KEPT);
        if self.unit_side < side {
            let mut wider = vec![UNKNOWN; side * side];
            if self.unit_side > 0 {
                let rows = self.unit_of.chunks_exact(self.unit_side);
                for (to, from) in wider.chunks_exact_mut(side).zip(rows) {
                    to.iter_mut().zip(from).for_each(|(to, from)| *to = *from);
                }
            }
            (self.unit_of, self.unit_side) = (wider, side);
        }
        let kept = (first.max(second) as usize) < side;
        let number = self.make_unit(first, second).map_or(NONE, |unit| {
            let units = if kept {
                &mut self.units
            } else {
                &mut self.rare_units
            };
            units.push(unit);
            let number = u32::try_from(units.len()).unwrap_or(NONE);
            if kept { number } else { number | RARE }
        });
        let at = first as usize * side + second as usize;
        if !kept {
            self.unit_of_rare.insert((first, second), number);
        } else if let Some(place) = self.unit_of.get_mut(at) {
            *place = number;
        }
    }

    /// Forgets the units of sounds whose costs are not kept.
    pub(crate) fn forget_rare_units(&mut self) {
        if !self.unit_of_rare.is_empty() {
            self.rare_units.clear();
            self.unit_of_rare.clear();
        }
    }

    fn make_unit(&mut self, first: u32, second: u32) -> Option<Unit> {
        let [one, other] = [*self.bundle(first)?, *self.bundle(second)?];
        let listed = self.listed.iter().any(|[here, there]| {
            super::same_phoneme(here, &one) && super::same_phoneme(there, &other)
        });
        let (make, whole) = unit::compose(&one, &other, listed)?;
        let by = &self.constants;
        let price = by.merge + if listed { 0 } else { by.merge_unlisted };
        let like = if make == Make::Diphthong {
            [first, second]
        } else {
            [self.intern(&whole); 2]
        };
        Some(Unit {
            price,
            wants: unit::wants(make, listed, &other),
            like,
        })
    }

    fn unit_of_number(&self, number: u32) -> Option<&Unit> {
        let units = if number & RARE == 0 {
            &self.units
        } else {
            &self.rare_units
        };
        units.get(((number & !RARE) as usize).checked_sub(1)?)
    }

    /// The sounds that could answer a unit, as bits.
    pub(crate) fn wants(&self, unit: u32) -> u8 {
        self.unit_of_number(unit).map_or(0, |unit| unit.wants)
    }

    /// What pairing a unit with one sound of the other word costs; `answers`: what that
    /// could be to a unit.
    pub(crate) fn merge(&self, unit: u32, other: Code, answers: u8) -> i32 {
        let by = &self.constants;
        let Some(unit) = self.unit_of_number(unit) else {
            return by.forbidden;
        };
        let answer = unit.wants & answers;
        if answer == 0 {
            return by.forbidden;
        }
        let apart = if answer & answer::LIQUID != 0 {
            0
        } else if answer & answer::VOCALISED != 0 {
            by.vowel_detail
        } else {
            let [one, two] = unit.like.map(|sound| self.cost(2 * sound, other & !1));
            one.min(two)
        };
        (unit.price + apart).min(by.forbidden)
    }
}

/// What the context rules look at in a sound.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Traits {
    pub(crate) kind: Kind,
    /// A vowel's height: 0 is close.
    pub(crate) height: i16,
    /// A vowel of the middle, \[ə ɜ ɐ\] and their like.
    pub(crate) central: bool,
    /// Equal for vowels of equal height, backness, rounding and r-colour.
    pub(crate) shape: u32,
    /// Leaving it unpaired, and what is added after the other word has ended: plain, as an
    /// offglide, as a last vowel, as a last offglide.
    pub(crate) gaps: [[i32; 2]; 4],
    /// For a tone, what is added to its gap inside a syllable of the other word; else 0.
    pub(crate) tone_inside: i32,
    /// As what it could answer a unit of the other word, as bits.
    pub(crate) answers: u8,
}

/// The broad kinds of sound that the context rules tell apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Vowel,
    Liquid,
    Consonant,
    Tone,
    Pause,
    /// Before the first sound, after the last.
    Nothing,
}

impl Kind {
    pub(crate) const COUNT: usize = 6;
}

impl Traits {
    /// Before the first sound, after the last.
    pub(crate) const NOTHING: Self = Self {
        kind: Kind::Nothing,
        height: 0,
        central: false,
        shape: 0,
        gaps: [[0; 2]; 4],
        tone_inside: 0,
        answers: 0,
    };

    fn of(profile: &Profile, by: &Constants) -> Self {
        let kind = match profile.class {
            Class::Vowel => Kind::Vowel,
            Class::Tone => Kind::Tone,
            Class::Pause => Kind::Pause,
            Class::Consonant if profile.is_liquid() => Kind::Liquid,
            Class::Consonant => Kind::Consonant,
        };
        let plain = profile.gap(by);
        let offglide = scaled(plain, by.offglide_gap);
        let at_end = |gap| [gap, scaled(gap, by.end_gap) - gap];
        let [height, backness, rounding] = profile.vowel;
        Self {
            kind,
            height: i16::try_from(height).unwrap_or(0),
            central: profile.is_central(),
            shape: (height * 2002
                + backness
                + rounding
                + i32::from(profile.rhotic) * 4_000_000)
                .cast_unsigned(),
            gaps: [
                at_end(plain),
                at_end(offglide),
                at_end(scaled(plain, by.final_vowel_gap)),
                at_end(scaled(offglide, by.final_vowel_gap)),
            ],
            tone_inside: if kind == Kind::Tone {
                by.tone_inside
            } else {
                0
            },
            answers: unit::answers(profile),
        }
    }

    /// Whether it is the second half of a diphthong, after that sound: another vowel, and
    /// closer, or close, or central.
    pub(crate) const fn is_offglide_after(&self, before: &Self) -> bool {
        matches!((self.kind, before.kind), (Kind::Vowel, Kind::Vowel))
            && self.shape != before.shape
            && (self.height < before.height || self.height == 0 || self.central)
    }

    /// Leaving it unpaired, and what is added after the other word has ended; `last`: whether
    /// it is a last vowel, 0 or 1.
    #[allow(clippy::indexing_slicing, reason = "the index is less than four")]
    pub(crate) fn gap(&self, offglide: bool, last: u8) -> [i32; 2] {
        self.gaps[usize::from(u8::from(offglide) | last << 1) & 3]
    }
}

/// A hash that is the same on every machine: the features packed into three words, each
/// multiplied and folded.
fn hash(sound: &FeatureBundle) -> u64 {
    let place = |place: Option<crate::feature::Place>| place.map_or(15, |it| it as u64);
    let mut main = sound.class as u64;
    for (bits, value) in [
        (1, sound.voicing as u64),
        (2, sound.phonation as u64),
        (4, place(sound.place.first)),
        (4, place(sound.place.second)),
        (3, sound.manner.map_or(7, |it| it as u64)),
        (1, u64::from(sound.lateral)),
        (2, sound.airstream as u64),
        (1, u64::from(sound.nasalized)),
        (3, sound.height.map_or(7, |it| it as u64)),
        (3, sound.backness.map_or(7, |it| it as u64)),
        (2, sound.rounded.map_or(2, u64::from)),
        (1, u64::from(sound.rhotic)),
        (1, u64::from(sound.syllabic)),
        (3, sound.length as u64),
        (2, sound.tongue_root.map_or(3, |it| it as u64)),
    ] {
        main = main << bits | value;
    }
    let marks = u64::from(sound.release.0)
        | u64::from(sound.secondary.0) << 16
        | u64::from(sound.detail.0) << 32;
    let shift = sound.shift;
    let moved = [
        shift.raising,
        shift.advancing,
        shift.centralizing,
        shift.rounding,
    ];
    let glide = sound.glide.map_or(0, |it| {
        1 | (it.height as u64) << 1
            | (it.backness as u64) << 4
            | u64::from(it.rounded) << 7
            | u64::from(it.rhotic) << 8
    });
    let rest = moved
        .iter()
        .fold(u64::from(sound.tone) << 9 | glide, |rest, &it| {
            rest << 4 | u64::from(it.cast_unsigned() & 15)
        });
    let mixed = main.wrapping_mul(0x9e37_79b9_7f4a_7c15)
        ^ marks.wrapping_mul(0xc2b2_ae3d_27d4_eb4f)
        ^ rest.wrapping_mul(0x1656_67b1_9e37_79f9);
    (mixed ^ mixed >> 29).wrapping_mul(0xbf58_476d_1ce4_e5b9)
}
