//! Every sound an aligner has met, numbered once, with the costs of pairing them.

use std::collections::BTreeMap;
use core::hash::{Hash, Hasher};

use super::constant::Constants;
use super::cost::{self, Profile, scaled};
use super::unit::Unit;
use crate::feature::{Class, FeatureBundle};

/// Sounds whose costs are kept. Beyond them costs are worked out each time, so that a text
/// of countless different sounds cannot fill the memory.
const KEPT: usize = 1024;

/// Neighbours that are remembered as making a unit or none; beyond them none is looked for.
const KEPT_NEIGHBOURS: usize = 1 << 16;

/// A sound and where it stands, as far as pairing it depends on that: the sound's number,
/// twice, plus one for an offglide or for a liquid that no vowel follows.
pub(crate) type Code = u32;

/// The sounds met so far.
#[derive(Clone, Debug)]
pub(crate) struct Table {
    pub(crate) constants: Constants,
    bundles: Vec<FeatureBundle>,
    profiles: Vec<Profile>,
    traits: Vec<Traits>,
    /// Open hash table: a sound's number plus one, or 0.
    index: Vec<u32>,
    /// Costs of pairing, a square of `stride` codes a side.
    pairs: Vec<i16>,
    stride: usize,
    /// Pairs of sounds that the accent counts as one unit.
    listed: Vec<[FeatureBundle; 2]>,
    units: Vec<Unit>,
    unit_of: BTreeMap<(u32, u32), u32>,
}

impl Table {
    pub(crate) fn new(constants: Constants, listed: Vec<[FeatureBundle; 2]>) -> Self {
        Self {
            constants,
            bundles: Vec::new(),
            profiles: Vec::new(),
            traits: Vec::new(),
            index: vec![0; 64],
            pairs: Vec::new(),
            stride: 0,
            listed,
            units: Vec::new(),
            unit_of: BTreeMap::new(),
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
        let mut hasher = Mix(0);
        sound.hash(&mut hasher);
        usize::try_from(hasher.finish() >> 32).unwrap_or(0) & (self.index.len() - 1)
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
        let profile = Profile::of(sound, &self.constants);
        self.traits.push(Traits::of(&profile, &self.constants));
        self.profiles.push(profile);
        self.enter(number);
        if number < KEPT {
            self.price(number);
        }
        u32::try_from(number).unwrap_or(u32::MAX)
    }

    fn enter(&mut self, number: usize) {
        let Some(sound) = self.bundles.get(number).copied() else { return };
        let mut slot = self.slot(&sound);
        while self.index.get(slot).is_some_and(|&taken| taken != 0) {
            slot = (slot + 1) % self.index.len();
        }
        if let Some(place) = self.index.get_mut(slot) {
            *place = u32::try_from(number + 1).unwrap_or(0);
        }
    }

    /// Works out what pairing a new sound with every other costs.
    fn price(&mut self, number: usize) {
        let codes = 2 * (number + 1);
        if codes > self.stride {
            let stride = (2 * self.stride).max(64);
            let mut pairs = vec![0; stride * stride];
            if self.stride > 0 {
                for (to, from) in
                    pairs.chunks_exact_mut(stride).zip(self.pairs.chunks_exact(self.stride))
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
            return cost + if one % 2 == other % 2 { 0 } else { by.offglide_pair };
        }
        let coda = one % 2 == 1 && here.becomes(there) || other % 2 == 1 && there.becomes(here);
        if coda { cost.min(by.coda_vowel) } else { cost }
    }

    /// The kept costs of pairing a sound with each code; empty where they are not kept.
    pub(crate) fn costs(&self, code: Code) -> &[i16] {
        let start = code as usize * self.stride;
        self.pairs.get(start..start + self.stride).unwrap_or(&[])
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
    pub(crate) fn traits(&self, number: u32) -> Traits {
        self.traits.get(number as usize).copied().unwrap_or(Traits::NOTHING)
    }

    /// One more than the number of the unit that two neighbours make; 0 if they make none.
    pub(crate) fn unit(&mut self, first: u32, second: u32) -> u32 {
        if let Some(&known) = self.unit_of.get(&(first, second)) {
            return known;
        }
        if self.unit_of.len() >= KEPT_NEIGHBOURS {
            return 0;
        }
        let unit = self.make_unit(first, second);
        let number = unit.map_or(0, |unit| {
            self.units.push(unit);
            u32::try_from(self.units.len()).unwrap_or(0)
        });
        self.unit_of.insert((first, second), number);
        number
    }

    fn make_unit(&self, first: u32, second: u32) -> Option<Unit> {
        let (first, second) = (self.bundle(first)?, self.bundle(second)?);
        let listed = self.listed.iter().any(|[one, other]| {
            super::same_phoneme(one, first) && super::same_phoneme(other, second)
        });
        Unit::of(first, second, listed, &self.constants)
    }

    /// What pairing a unit with one sound of the other word costs.
    pub(crate) fn merge(&self, unit: u32, other: Code) -> i32 {
        let unit = self.units.get(unit as usize - 1);
        match (unit, self.profile(other / 2)) {
            (Some(unit), Some(other)) => unit.merge(other, &self.constants),
            _ => self.constants.forbidden,
        }
    }
}

/// What the context rules look at in a sound.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Traits {
    pub(crate) kind: Kind,
    /// A vowel's height: 0 is close.
    pub(crate) height: i16,
    /// A vowel of the middle, [ə ɜ ɐ] and their like.
    pub(crate) central: bool,
    /// Equal for vowels of equal height, backness, rounding and r-colour.
    pub(crate) shape: u32,
    /// Cost of leaving it unpaired: plain and after the other word has ended, for each
    /// [`Standing`].
    pub(crate) gaps: [[i32; 2]; 4],
}

/// The broad kinds of sound that the context rules tell apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Vowel,
    Liquid,
    Consonant,
    Tone,
    Pause,
}

/// Which of a sound's four gap costs holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Standing {
    Plain = 0,
    Offglide = 1,
    Final = 2,
    FinalOffglide = 3,
}

impl Traits {
    /// Before the first sound.
    pub(crate) const NOTHING: Self =
        Self { kind: Kind::Pause, height: 0, central: false, shape: 0, gaps: [[0; 2]; 4] };

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
        let at_end = |gap| [gap, scaled(gap, by.end_gap)];
        let [height, backness, rounding] = profile.vowel;
        Self {
            kind,
            height: i16::try_from(height).unwrap_or(0),
            central: backness == 500 && (500..900).contains(&height),
            shape: (height * 2002 + backness + rounding + i32::from(profile.rhotic) * 4_000_000)
                .cast_unsigned(),
            gaps: [
                at_end(plain),
                at_end(offglide),
                at_end(scaled(plain, by.final_vowel_gap)),
                at_end(scaled(offglide, by.final_vowel_gap)),
            ],
        }
    }

    /// Its cost of being left unpaired where it stands.
    pub(crate) const fn gap(&self, standing: Standing) -> [i32; 2] {
        match standing {
            Standing::Plain => self.gaps[0],
            Standing::Offglide => self.gaps[1],
            Standing::Final => self.gaps[2],
            Standing::FinalOffglide => self.gaps[3],
        }
    }
}

/// A small hash that is the same on every machine: multiply and mix, word by word.
struct Mix(u64);

impl Hasher for Mix {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            self.write_u64(u64::from(byte));
        }
    }

    fn write_u8(&mut self, value: u8) {
        self.write_u64(u64::from(value));
    }

    fn write_u16(&mut self, value: u16) {
        self.write_u64(u64::from(value));
    }

    fn write_u32(&mut self, value: u32) {
        self.write_u64(u64::from(value));
    }

    fn write_u64(&mut self, value: u64) {
        self.0 = (self.0.rotate_left(5) ^ value).wrapping_mul(0x517c_c1b7_2722_0a95);
    }

    fn write_isize(&mut self, value: isize) {
        self.write_u64(value.cast_unsigned() as u64);
    }
}
