//! Two sounds that are one unit: an affricate said as two, a diphthong, \[əɹ\] for \[ɚ\].

use super::constant::Constants;
use super::cost::{Profile, Stricture, pair};
use crate::feature::{
    Backness, Class, FeatureBundle, Glide, Height, Manner, Place, Places,
};

/// What two neighbouring sounds make together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Make {
    /// Plosive and fricative, or plosive and \[j\].
    Affricate,
    /// Vowel and a closer or a weak vowel, or a glide.
    Diphthong,
    /// Vowel and r.
    Rhotic,
    /// Vowel and a nasal or \[l\].
    Syllabic,
}

/// Two neighbouring sounds as one.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Unit {
    pub(crate) make: Make,
    /// Whether the accent lists it.
    pub(crate) listed: bool,
    /// Whether the second is a lateral.
    pub(crate) lateral: bool,
    /// Their numbers.
    pub(crate) sounds: [u32; 2],
}

/// What a sound is to a unit of the other word, as bits: whether it could answer it at all.
pub(crate) mod answer {
    pub(crate) const VOWEL: u8 = 1;
    pub(crate) const AFFRICATE: u8 = 2;
    pub(crate) const CONSONANT: u8 = 4;
    pub(crate) const RHOTIC: u8 = 8;
    pub(crate) const SYLLABIC: u8 = 16;
    /// A vowel that a vocalised lateral becomes.
    pub(crate) const VOCALISED: u8 = 32;
    pub(crate) const ALL: u8 = 63;
}

/// As what a sound could answer a unit.
pub(crate) fn answers(sound: &Profile) -> u8 {
    let liquid = sound.syllabic && sound.is_liquid();
    let bits = if sound.is_vowel() {
        [
            (true, answer::VOWEL),
            (sound.rhotic, answer::RHOTIC),
            (is_vocalised_lateral(sound), answer::VOCALISED),
            (false, 0),
        ]
    } else {
        let affricate = sound.stricture == Stricture::Affricate;
        [
            (sound.is_consonant() && !sound.is_glide(), answer::CONSONANT),
            (sound.is_consonant() && affricate, answer::AFFRICATE),
            (sound.syllabic, answer::SYLLABIC),
            (liquid, answer::RHOTIC),
        ]
    };
    bits.into_iter()
        .filter(|(is, _)| *is)
        .fold(0, |all, (_, bit)| all | bit)
}

/// Whether a vowel is what schwa and a lateral become where they are vocalised.
const fn is_vocalised_lateral(vowel: &Profile) -> bool {
    vowel.is_retracted() && vowel.vowel[0] < 700 && !vowel.schwa
}

impl Unit {
    /// The sounds that could answer it, as bits.
    pub(crate) const fn wants(&self) -> u8 {
        match (self.make, self.listed) {
            (Make::Diphthong, _) => answer::VOWEL,
            (Make::Affricate, false) => answer::AFFRICATE,
            (Make::Affricate, true) => answer::AFFRICATE | answer::CONSONANT,
            (Make::Rhotic, _) => answer::RHOTIC,
            (Make::Syllabic, false) => answer::SYLLABIC,
            (Make::Syllabic, true) if self.lateral => {
                answer::SYLLABIC | answer::VOCALISED
            }
            (Make::Syllabic, true) => answer::SYLLABIC,
        }
    }

    /// What it costs to pair the unit with one sound of the other word.
    ///
    /// Where the accent doesn't list it, the other sound has to be such a unit itself; for a
    /// diphthong any vowel will do, since learners make diphthongs of their own.
    pub(crate) fn merge(
        &self,
        [first, second]: [&FeatureBundle; 2],
        other: &Profile,
        constants: &Constants,
    ) -> i32 {
        let forbidden = constants.forbidden;
        let Some((_, whole)) = compose(first, second, self.listed) else {
            return forbidden;
        };
        let to_other = |sound| pair(&Profile::of(sound, constants), other, constants);
        let like = match self.make {
            Make::Diphthong if other.is_vowel() => to_other(first).min(to_other(second)),
            Make::Affricate if other.stricture == Stricture::Affricate => {
                to_other(&whole)
            }
            Make::Affricate
                if self.listed && other.is_consonant() && !other.is_glide() =>
            {
                to_other(&whole)
            }
            Make::Rhotic if other.is_vowel() && other.rhotic => to_other(&whole),
            Make::Rhotic if other.syllabic && other.is_liquid() => 0,
            Make::Syllabic if other.syllabic => to_other(&whole),
            Make::Syllabic
                if self.listed && self.lateral && is_vocalised_lateral(other) =>
            {
                constants.vowel_detail
            }
            _ => return forbidden,
        };
        let price = constants.merge
            + if self.listed {
                0
            } else {
                constants.merge_unlisted
            };
        (price + like).min(forbidden)
    }
}

/// The one sound that two neighbours make, if they make one.
///
/// An affricate takes the place of its friction; a diphthong, an r-coloured vowel and a
/// syllabic consonant keep the features of the sound that is the peak. Two vowels are a
/// diphthong where the second is closer or is schwa, or where they are `listed`.
pub(crate) fn compose(
    first: &FeatureBundle,
    second: &FeatureBundle,
    listed: bool,
) -> Option<(Make, FeatureBundle)> {
    match (first.class, second.class) {
        (Class::Consonant, Class::Consonant) => {
            let stop = first.manner == Some(Manner::Plosive);
            let friction =
                second.manner == Some(Manner::Fricative) && homorganic(first, second);
            let glide = second.manner == Some(Manner::Approximant)
                && !second.lateral
                && second.place == Places::one(Place::Palatal)
                && first.place == Places::one(Place::Alveolar);
            let whole = FeatureBundle {
                manner: Some(Manner::Affricate),
                voicing: first.voicing,
                ..*second
            };
            (stop && (friction || glide)).then_some((Make::Affricate, whole))
        }
        (Class::Vowel, Class::Vowel) if first.glide.or(second.glide).is_none() => {
            let closing = second.height < first.height;
            let centring = second.height == Some(Height::Mid)
                && second.backness == Some(Backness::Central);
            let glide = Glide {
                height: second.height?,
                backness: second.backness?,
                rounded: second.rounded == Some(true),
                rhotic: second.rhotic,
            };
            let whole = FeatureBundle {
                glide: Some(glide),
                ..*first
            };
            (closing || centring || listed).then_some((Make::Diphthong, whole))
        }
        (Class::Vowel, Class::Consonant) => vowel_and_consonant(first, second),
        _ => None,
    }
}

/// Whether two consonants are made with the same part of the mouth.
fn homorganic(one: &FeatureBundle, other: &FeatureBundle) -> bool {
    let part = |sound: &FeatureBundle| match sound.place.first? {
        Place::Bilabial | Place::Labiodental => Some(0),
        Place::Linguolabial
        | Place::Dental
        | Place::Alveolar
        | Place::Postalveolar
        | Place::Retroflex
        | Place::AlveoloPalatal => Some(1),
        Place::Palatal | Place::Velar | Place::Uvular => Some(2),
        Place::Pharyngeal | Place::Epiglottal | Place::Glottal => Some(3),
    };
    part(one).is_some() && part(one) == part(other)
}

fn vowel_and_consonant(
    first: &FeatureBundle,
    second: &FeatureBundle,
) -> Option<(Make, FeatureBundle)> {
    let profile = Profile::of(second, &Constants::COACHING);
    match profile.stricture {
        Stricture::Rhotic => Some((
            Make::Rhotic,
            FeatureBundle {
                rhotic: true,
                ..*first
            },
        )),
        Stricture::Nasal | Stricture::Lateral if !second.syllabic => Some((
            Make::Syllabic,
            FeatureBundle {
                syllabic: true,
                ..*second
            },
        )),
        _ => None,
    }
}
