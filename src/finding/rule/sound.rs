//! The sounds of a sheet as numbers, and the natural classes over them.

use std::collections::BTreeMap;

use super::constant;
use crate::accent::Accent;
use crate::feature::{
    Class, Detail, FeatureBundle, Glide, Height, Length, Manner, Place, Places, Releases,
    Shift, Voicing,
};

/// A set of sounds by their numbers; the highest bit stands for the edge of the word.
pub(super) type Set = u128;

/// The number that stands for the edge of the word.
pub(super) const EDGE: u8 = 127;
/// The number that stands for "left out", or for nothing between two sounds.
pub(super) const NOTHING: u8 = 126;
/// The number of any sound beyond the first [`MOST`].
pub(super) const OTHER: u8 = 125;
/// How many sounds are told apart.
const MOST: usize = 124;

/// The set that holds one number.
pub(super) const fn bit(number: u8) -> Set {
    1 << (number & 127)
}

/// The sounds that occur in a sheet, and those of its accent, each with a number.
#[derive(Clone, Debug)]
pub struct Sounds {
    all: Vec<(FeatureBundle, String)>,
}

impl Sounds {
    /// The sounds of an accent.
    #[must_use]
    pub fn of(accent: &Accent) -> Self {
        let mut sounds = Self { all: Vec::new() };
        for phoneme in accent.phonemes() {
            let text: String = phoneme.text.chars().filter(|c| *c != '\u{361}').collect();
            sounds.number(&phoneme.bundle, &text);
        }
        sounds
    }

    /// The number of a sound, a new one if it has none yet. Beyond some 120 sounds, all
    /// others share one number.
    pub fn number(&mut self, bundle: &FeatureBundle, text: &str) -> u8 {
        let plain = plain(bundle);
        let at = self.all.iter().position(|(known, _)| *known == plain);
        let at = at.unwrap_or_else(|| {
            if self.all.len() < MOST {
                self.all.push((plain, text.to_owned()));
            }
            self.all.len() - 1
        });
        let found = self.all.get(at).is_some_and(|(known, _)| *known == plain);
        let number = u8::try_from(at).unwrap_or(OTHER);
        if found { number } else { OTHER }
    }

    /// How a sound is written.
    #[must_use]
    pub fn text(&self, number: u8) -> &str {
        match number {
            EDGE => "#",
            NOTHING => "∅",
            _ => self
                .all
                .get(usize::from(number))
                .map_or("?", |(_, text)| text),
        }
    }

    /// Its features, without details that no rule speaks of.
    #[must_use]
    pub fn bundle(&self, number: u8) -> Option<&FeatureBundle> {
        self.all.get(usize::from(number)).map(|(bundle, _)| bundle)
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// All numbers.
    pub(super) fn numbers(&self) -> impl Iterator<Item = u8> + use<> {
        (0..self.all.len()).filter_map(|at| u8::try_from(at).ok())
    }

    /// The sounds for which a condition holds.
    pub(super) fn set(&self, holds: impl Fn(&FeatureBundle) -> bool) -> Set {
        let all = self.numbers().zip(&self.all);
        all.filter(|(_, (bundle, _))| holds(bundle))
            .fold(0, |set, (number, _)| set | bit(number))
    }
}

/// A sound without what a broad reading leaves aside: puffs of air, nasality by context,
/// length.
fn plain(bundle: &FeatureBundle) -> FeatureBundle {
    FeatureBundle {
        release: Releases::NONE,
        nasalized: false,
        length: Length::Normal,
        tone: 0,
        shift: Shift {
            centralizing: 0,
            ..bundle.shift
        },
        ..*bundle
    }
}

/// What a change may set in a sound: the features of a phonologist, fewer than the chart's.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Traits {
    pub(super) class: Class,
    /// Voicing, place, manner, lateral; or height, backness, tenseness, rounding.
    pub(super) main: [u8; 4],
    pub(super) glide: Option<Glide>,
    pub(super) rhotic: bool,
    rest: (u16, bool, u32, Shift),
}

/// A trait that a change may set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Trait {
    Main(u8),
    Glide,
    Rhotic,
}

impl Traits {
    pub(super) fn of(bundle: &FeatureBundle) -> Self {
        let vowel = bundle.class == Class::Vowel;
        let main = if vowel {
            let height = bundle.height.unwrap_or(Height::Mid);
            let backness = bundle.backness.map_or(1, |it| match it as u8 {
                0 | 1 => 0,
                2 => 1,
                _ => 2,
            });
            [
                level(height),
                backness,
                tenseness(height),
                u8::from(bundle.rounded == Some(true)),
            ]
        } else {
            [
                u8::from(bundle.voicing == Voicing::Voiced),
                place_number(bundle.place),
                bundle.manner.map_or(99, |it| it as u8),
                u8::from(bundle.lateral),
            ]
        };
        let detail = bundle.detail.without(Detail::Sibilant).0;
        Self {
            class: bundle.class,
            main,
            glide: bundle.glide,
            rhotic: bundle.rhotic,
            rest: (bundle.secondary.0, bundle.syllabic, detail, bundle.shift),
        }
    }

    /// The traits in which this differs from another; `None` if it is in more than traits.
    pub(super) fn difference(&self, other: &Self) -> Option<Vec<Trait>> {
        if self.class != other.class || self.rest != other.rest {
            return None;
        }
        let pairs = (0_u8..).zip(self.main.iter().zip(&other.main));
        let mut different: Vec<Trait> = pairs
            .filter(|(_, (one, other))| one != other)
            .map(|(at, _)| Trait::Main(at))
            .collect();
        if self.glide != other.glide {
            different.push(Trait::Glide);
        }
        if self.rhotic != other.rhotic {
            different.push(Trait::Rhotic);
        }
        Some(different)
    }

    /// This with some traits of another.
    pub(super) fn with(mut self, traits: &[Trait], model: &Self) -> Self {
        for it in traits {
            match it {
                Trait::Main(at) => {
                    let value = model.main.get(usize::from(*at)).copied();
                    if let (Some(slot), Some(value)) =
                        (self.main.get_mut(usize::from(*at)), value)
                    {
                        *slot = value;
                    }
                }
                Trait::Glide => self.glide = model.glide,
                Trait::Rhotic => self.rhotic = model.rhotic,
            }
        }
        self
    }

    /// What a trait's value is called.
    pub(super) fn name(&self, it: Trait) -> &'static str {
        let vowel = self.class == Class::Vowel;
        match it {
            Trait::Glide if self.glide.is_some() => "diphthong",
            Trait::Glide => "monophthong",
            Trait::Rhotic if self.rhotic => "r-coloured",
            Trait::Rhotic => "without r-colour",
            Trait::Main(at) => {
                let value = self.main.get(usize::from(at)).copied().unwrap_or(0);
                match (vowel, at, value) {
                    (true, 0, 0) => "high",
                    (true, 0, 1) => "mid",
                    (true, 0, _) => "low",
                    (true, 1, 0) => "front",
                    (true, 1, 1) => "central",
                    (true, 1, _) => "back",
                    (true, 2, 0) => "tense",
                    (true, 2, 1) => "lax",
                    (true, 2, _) => "reduced",
                    (true, _, 0) => "unrounded",
                    (true, ..) => "rounded",
                    (false, 0, 0) => "voiceless",
                    (false, 0, _) => "voiced",
                    (false, 1, place) => place_name(place),
                    (false, 2, manner) => Manner::ALL
                        .get(usize::from(manner))
                        .map_or("other manner", |it| it.name()),
                    (false, _, 0) => "central (not lateral)",
                    (false, ..) => "lateral",
                }
            }
        }
    }
}

fn level(height: Height) -> u8 {
    match height {
        Height::Close | Height::NearClose => 0,
        Height::CloseMid | Height::Mid | Height::OpenMid => 1,
        Height::NearOpen | Height::Open => 2,
    }
}

fn tenseness(height: Height) -> u8 {
    match height {
        Height::Close | Height::CloseMid | Height::Open => 0,
        Height::NearClose | Height::OpenMid | Height::NearOpen => 1,
        Height::Mid => 2,
    }
}

fn place_number(place: Places) -> u8 {
    match (place.first, place.second) {
        (Some(first), None) => first as u8,
        (Some(Place::Bilabial), Some(_)) => 50,
        (Some(first), Some(_)) => 60 + first as u8,
        (None, _) => 49,
    }
}

fn place_name(number: u8) -> &'static str {
    match number {
        50 => "labial-velar",
        _ => Place::ALL
            .get(usize::from(number))
            .map_or("elsewhere", |it| it.name()),
    }
}

/// A natural class or a side of a context: a set with its cheapest description.
#[derive(Clone, Debug)]
pub(super) struct Described {
    pub(super) set: Set,
    pub(super) bits: f64,
    pub(super) name: String,
    /// Whether the name is a single symbol or letter, which needs no brackets.
    pub(super) symbol: bool,
}

/// Everything a rule may say of a sound or its neighbours, sorted by set.
#[derive(Clone, Debug)]
pub(super) struct Classes {
    pub(super) focus: Vec<Described>,
    pub(super) context: Vec<Described>,
}

type Predicate = (&'static str, fn(&FeatureBundle) -> bool);

fn consonant(it: &FeatureBundle) -> bool {
    it.class == Class::Consonant
}
fn vowel(it: &FeatureBundle) -> bool {
    it.class == Class::Vowel
}
fn manner(it: &FeatureBundle, wanted: Manner) -> bool {
    consonant(it) && it.manner == Some(wanted)
}
fn obstruent(it: &FeatureBundle) -> bool {
    let obstruents = [Manner::Plosive, Manner::Fricative, Manner::Affricate];
    consonant(it) && it.manner.is_some_and(|it| obstruents.contains(&it))
}
fn at(it: &FeatureBundle, place: Place) -> bool {
    consonant(it) && it.place.contains(place) && it.place.second.is_none()
}
fn tall(it: &FeatureBundle, wanted: u8) -> bool {
    vowel(it) && it.height.map(level) == Some(wanted)
}
fn tense(it: &FeatureBundle, wanted: u8) -> bool {
    vowel(it) && it.height.map(tenseness) == Some(wanted)
}
fn back(it: &FeatureBundle, wanted: u8) -> bool {
    vowel(it) && Traits::of(it).main[1] == wanted
}

/// What a class may be described by, one word each, adjectives of place and voice first.
const PREDICATES: &[Predicate] = &[
    ("voiced", |it| {
        obstruent(it) && it.voicing == Voicing::Voiced
    }),
    ("voiceless", |it| {
        consonant(it) && it.voicing == Voicing::Voiceless
    }),
    ("bilabial", |it| at(it, Place::Bilabial)),
    ("labiodental", |it| at(it, Place::Labiodental)),
    ("labial", |it| {
        consonant(it)
            && (it.place.contains(Place::Bilabial)
                || it.place.contains(Place::Labiodental))
    }),
    ("dental", |it| at(it, Place::Dental)),
    ("alveolar", |it| at(it, Place::Alveolar)),
    ("postalveolar", |it| at(it, Place::Postalveolar)),
    ("palatal", |it| at(it, Place::Palatal)),
    ("velar", |it| {
        consonant(it) && it.place.contains(Place::Velar)
    }),
    ("glottal", |it| at(it, Place::Glottal)),
    ("coronal", |it| {
        let coronal = [
            Place::Dental,
            Place::Alveolar,
            Place::Postalveolar,
            Place::Retroflex,
        ];
        coronal.iter().any(|place| at(it, *place))
    }),
    ("sibilant", |it| {
        let sides = [Place::Alveolar, Place::Postalveolar];
        (manner(it, Manner::Fricative) || manner(it, Manner::Affricate))
            && sides.iter().any(|place| at(it, *place))
            && !it.lateral
    }),
    ("high", |it| tall(it, 0)),
    ("mid", |it| tall(it, 1)),
    ("low", |it| tall(it, 2)),
    ("front", |it| back(it, 0)),
    ("central", |it| back(it, 1)),
    ("back", |it| back(it, 2)),
    ("rounded", |it| vowel(it) && it.rounded == Some(true)),
    ("unrounded", |it| vowel(it) && it.rounded == Some(false)),
    ("tense", |it| tense(it, 0) && it.glide.is_none()),
    ("lax", |it| tense(it, 1) && it.glide.is_none()),
    ("r-coloured", |it| vowel(it) && it.rhotic),
    ("full", |it| vowel(it) && it.height != Some(Height::Mid)),
    ("plosive", |it| manner(it, Manner::Plosive)),
    ("fricative", |it| manner(it, Manner::Fricative)),
    ("affricate", |it| manner(it, Manner::Affricate)),
    ("nasal", |it| manner(it, Manner::Nasal)),
    ("liquid", |it| {
        manner(it, Manner::Approximant) && at(it, Place::Alveolar)
    }),
    ("glide", |it| {
        manner(it, Manner::Approximant) && !at(it, Place::Alveolar)
    }),
    ("approximant", |it| manner(it, Manner::Approximant)),
    ("obstruent", obstruent),
    ("sonorant", |it| consonant(it) && !obstruent(it)),
    ("monophthong", |it| {
        vowel(it) && it.glide.is_none() && !it.rhotic
    }),
    ("diphthong", |it| vowel(it) && it.glide.is_some()),
];

impl Classes {
    /// The classes over these sounds.
    pub(super) fn of(sounds: &Sounds) -> Self {
        let constants = constant::all();
        let mut focus: BTreeMap<Set, Described> = BTreeMap::new();
        let mut put = |set: Set, bits: f64, name: String, symbol: bool| {
            let cheaper = focus.get(&set).is_none_or(|it| bits < it.bits);
            if set != 0 && cheaper {
                let described = Described {
                    set,
                    bits,
                    name,
                    symbol,
                };
                focus.insert(set, described);
            }
        };
        for number in sounds.numbers() {
            let text = sounds.text(number).to_owned();
            put(bit(number), constants.segment, text, true);
        }
        put(
            sounds.set(consonant),
            constants.major_class,
            "C".to_owned(),
            true,
        );
        put(
            sounds.set(vowel),
            constants.major_class,
            "V".to_owned(),
            true,
        );
        let sets: Vec<(Set, &str)> = PREDICATES
            .iter()
            .map(|(name, holds)| (sounds.set(holds), *name))
            .collect();
        for (set, name) in &sets {
            put(*set, constants.predicate_1, (*name).to_owned(), false);
        }
        for (at, (one, first)) in sets.iter().enumerate() {
            for (other, second) in sets.iter().skip(at + 1) {
                let name = format!("{first} {second}");
                put(one & other, constants.predicate_2, name, false);
            }
        }
        // The sides of a context go no further than two predicates.
        let edge = Described {
            set: bit(EDGE),
            bits: constants.context + constants.major_class,
            name: "#".to_owned(),
            symbol: true,
        };
        let consonants_or_edge = Described {
            set: sounds.set(consonant) | bit(EDGE),
            bits: constants.context + constants.major_class + 1.0,
            name: "{C, #}".to_owned(),
            symbol: true,
        };
        let nothing = Described {
            set: Set::MAX,
            bits: constants.no_context,
            name: String::new(),
            symbol: true,
        };
        let mut context = vec![nothing, edge, consonants_or_edge];
        context.extend(classes_of(&focus).map(|it| Described {
            bits: it.bits + constants.context,
            ..it.clone()
        }));
        let mut put = |set: Set, name: String| {
            if set != 0 && !focus.contains_key(&set) {
                let described = Described {
                    set,
                    bits: constants.predicate_3,
                    name,
                    symbol: false,
                };
                focus.insert(set, described);
            }
        };
        for (at, (one, first)) in sets.iter().enumerate() {
            for (next, (two, second)) in sets.iter().enumerate().skip(at + 1) {
                if one & two == 0 {
                    continue;
                }
                for (three, third) in sets.iter().skip(next + 1) {
                    put(one & two & three, format!("{first} {second} {third}"));
                }
            }
        }
        Self {
            focus: classes_of(&focus).cloned().collect(),
            context,
        }
    }
}

fn classes_of(map: &BTreeMap<Set, Described>) -> impl Iterator<Item = &Described> {
    map.values()
}
