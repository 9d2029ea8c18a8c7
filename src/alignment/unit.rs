//! Two sounds that are one unit: an affricate said as two, a diphthong, \[əɹ\] for \[ɚ\].

use super::constant::Constants;
use super::cost::{Profile, Stricture};
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
    /// What it costs that they answer to one sound, beside the difference.
    pub(crate) price: i32,
    /// The sounds that could answer it, as bits.
    pub(crate) wants: u8,
    /// Sounds that the answer is compared with, the nearer one counts: the halves of a
    /// diphthong, else what the two make together.
    pub(crate) like: [u32; 2],
}

/// What a sound could be to a unit of the other word, as bits.
pub(crate) mod answer {
    pub(crate) const VOWEL: u8 = 1;
    pub(crate) const AFFRICATE: u8 = 2;
    /// Neither glide nor affricate.
    pub(crate) const CONSONANT: u8 = 4;
    /// A vowel with r-colour.
    pub(crate) const RHOTIC: u8 = 8;
    pub(crate) const SYLLABIC: u8 = 16;
    /// A syllabic liquid.
    pub(crate) const LIQUID: u8 = 32;
    /// A vowel that schwa and a lateral become where they are vocalised.
    pub(crate) const VOCALISED: u8 = 64;
}

/// What a sound could be to a unit of the other word, as bits.
pub(crate) fn answers(sound: &Profile) -> u8 {
    let vocalised = sound.is_retracted() && sound.vowel[0] < 700 && !sound.schwa;
    let affricate = sound.stricture == Stricture::Affricate;
    let bits = if sound.is_vowel() {
        [
            (true, answer::VOWEL),
            (sound.rhotic, answer::RHOTIC),
            (vocalised, answer::VOCALISED),
            (false, 0),
        ]
    } else if sound.is_consonant() {
        [
            (!sound.is_glide() && !affricate, answer::CONSONANT),
            (affricate, answer::AFFRICATE),
            (sound.syllabic, answer::SYLLABIC),
            (sound.syllabic && sound.is_liquid(), answer::LIQUID),
        ]
    } else {
        [(false, 0); 4]
    };
    bits.into_iter()
        .filter(|(is, _)| *is)
        .fold(0, |all, (_, bit)| all | bit)
}

/// The sounds that could answer a unit, as bits.
///
/// Where the accent does not list the two, the other sound has to be such a unit itself; for
/// a diphthong any vowel will do, since learners make diphthongs of their own.
pub(crate) fn wants(make: Make, listed: bool, second: &FeatureBundle) -> u8 {
    match make {
        Make::Diphthong => answer::VOWEL,
        Make::Affricate if listed => answer::AFFRICATE | answer::CONSONANT,
        Make::Affricate => answer::AFFRICATE,
        Make::Rhotic => answer::RHOTIC | answer::LIQUID,
        Make::Syllabic if listed && second.lateral => {
            answer::SYLLABIC | answer::VOCALISED
        }
        Make::Syllabic => answer::SYLLABIC,
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
