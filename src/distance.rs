//! How far two sounds are apart: the reported distance, which counts every difference.
//!
//! The aligner's cost is another figure: it serves to choose between alignments and wants
//! vowels nearly free ([`crate::alignment`]). The weights stand in `grammar/distance.tsv`,
//! each with its reason.

use crate::feature::{
    Class, Detail, Details, FeatureBundle, Glide, Manner, Place, Places, Shift,
};
use crate::inventory::number::number;

/// How far two sounds are apart, in whole thousandths of one feature.
///
/// A weighted sum over the features: whether the folds vibrate counts 1,000, every other
/// feature by its weight; ordered features (height, backness, length, place along the roof of
/// the mouth) by their steps, sets (release, secondary articulation, detail) by what is in
/// one of them only. 0 only for equal bundles; symmetric; the triangle inequality holds, since
/// every part is a metric.
///
/// Of a vowel and a consonant the features that only one of them has are not compared: one
/// weight stands for them.
///
/// Cost: constant.
///
/// # Examples
///
/// ```
/// use apical::articulation::bundle;
/// use apical::distance::between;
/// use apical::notation::Transcription;
///
/// let word = Transcription::parse("tdk");
/// let [t, d, k] = word.segments().map(|it| bundle(&it)).collect::<Vec<_>>()[..] else {
///     panic!("three segments")
/// };
/// assert_eq!(between(&t, &t), 0);
/// assert_eq!(between(&t, &d), 1000); // voicing
/// assert_eq!(between(&t, &k), 900); // another place, and 400 of 1,000 along the mouth
/// ```
#[must_use]
pub fn between(one: &FeatureBundle, other: &FeatureBundle) -> u32 {
    let mut sum = 0;
    let mut add = |differs: bool, weight: u32| {
        if differs {
            sum += weight;
        }
    };
    add(one.voicing != other.voicing, VOICING);
    add(one.phonation != other.phonation, PHONATION);
    add(one.airstream != other.airstream, AIRSTREAM);
    add(one.nasalized != other.nasalized, NASALIZED);
    add(one.rhotic != other.rhotic, RHOTIC);
    add(one.syllabic != other.syllabic, SYLLABIC);
    add(one.tongue_root != other.tongue_root, TONGUE_ROOT);
    sum += u32::from(one.release.0 ^ other.release.0).count_ones() * RELEASE;
    sum += u32::from(one.secondary.0 ^ other.secondary.0).count_ones() * SECONDARY;
    sum += (one.length as u32).abs_diff(other.length as u32) * LENGTH;
    sum += shift(one.shift, other.shift) * SHIFT;
    sum += detail(one.detail, other.detail);
    sum += tone(one.tone, other.tone) * TONE;
    if one.class != other.class {
        return sum + CLASS;
    }
    sum += either(one.manner, other.manner, manner);
    sum += either(some(one.place), some(other.place), place);
    sum += either(one.height, other.height, |one, other| {
        (one as u32).abs_diff(other as u32) * HEIGHT
    });
    sum += either(one.backness, other.backness, |one, other| {
        (one as u32).abs_diff(other as u32) * BACKNESS
    });
    sum += if one.lateral == other.lateral {
        0
    } else {
        LATERAL
    };
    sum += if one.rounded == other.rounded {
        0
    } else {
        ROUNDED
    };
    sum + match (one.glide, other.glide) {
        (None, None) => 0,
        (Some(one), Some(other)) => glide(one, other),
        _ => GLIDE,
    }
}

/// What a sound counts that stands alone, left out or put in: 3,000 for a consonant or a
/// vowel, 1,000 for a tone or a pause.
#[must_use]
pub const fn alone(sound: &FeatureBundle) -> u32 {
    match sound.class {
        Class::Consonant | Class::Vowel => ALONE_SOUND,
        Class::Tone | Class::Pause => ALONE_SIGN,
    }
}

/// What it counts, beside their difference, that one sound is said as two or two as one.
pub const SPLIT: u32 = weight("split");

const TABLE: &[u8] = include_bytes!("../grammar/distance.tsv");

const fn weight(name: &str) -> u32 {
    number(TABLE, name, 1).cast_unsigned()
}

const CLASS: u32 = weight("class");
const VOICING: u32 = weight("voicing");
const PHONATION: u32 = weight("phonation");
const PLACE_OTHER: u32 = weight("place_other");
const PLACE_RANGE: u32 = weight("place_range");
const MANNER_OTHER: u32 = weight("manner_other");
const MANNER_NOSE: u32 = weight("manner_nose");
const LATERAL: u32 = weight("lateral");
const NASALIZED: u32 = weight("nasalized");
const AIRSTREAM: u32 = weight("airstream");
const RELEASE: u32 = weight("release");
const HEIGHT: u32 = weight("height");
const BACKNESS: u32 = weight("backness");
const ROUNDED: u32 = weight("rounded");
const RHOTIC: u32 = weight("rhotic");
const SYLLABIC: u32 = weight("syllabic");
const LENGTH: u32 = weight("length");
const SECONDARY: u32 = weight("secondary");
const TONGUE_ROOT: u32 = weight("tongue_root");
const SHIFT: u32 = weight("shift");
const DETAIL: u32 = weight("detail");
const SIBILANT: u32 = weight("sibilant");
const GLIDE: u32 = weight("glide");
const GLIDE_STEP: u32 = weight("glide_step");
const GLIDE_LIPS: u32 = weight("glide_lips");
const TONE: u32 = weight("tone");
const NONE: u32 = weight("none");
const ALONE_SOUND: u32 = weight("alone_sound");
const ALONE_SIGN: u32 = weight("alone_sign");

const fn position(place: Place) -> u32 {
    match place {
        Place::Bilabial => const { weight("place_bilabial") },
        Place::Labiodental => const { weight("place_labiodental") },
        Place::Linguolabial => const { weight("place_linguolabial") },
        Place::Dental => const { weight("place_dental") },
        Place::Alveolar => const { weight("place_alveolar") },
        Place::Postalveolar => const { weight("place_postalveolar") },
        Place::Retroflex => const { weight("place_retroflex") },
        Place::AlveoloPalatal => const { weight("place_alveolo_palatal") },
        Place::Palatal => const { weight("place_palatal") },
        Place::Velar => const { weight("place_velar") },
        Place::Uvular => const { weight("place_uvular") },
        Place::Pharyngeal => const { weight("place_pharyngeal") },
        Place::Epiglottal => const { weight("place_epiglottal") },
        Place::Glottal => const { weight("place_glottal") },
    }
}

const fn opening(manner: Manner) -> u32 {
    match manner {
        Manner::Plosive => const { weight("manner_plosive") },
        Manner::Nasal => const { weight("manner_nasal") },
        Manner::Trill => const { weight("manner_trill") },
        Manner::Tap => const { weight("manner_tap") },
        Manner::Fricative => const { weight("manner_fricative") },
        Manner::Affricate => const { weight("manner_affricate") },
        Manner::Approximant => const { weight("manner_approximant") },
    }
}

/// The distance of two values that may both be missing, or one of them.
fn either<T: Copy>(one: Option<T>, other: Option<T>, apart: impl Fn(T, T) -> u32) -> u32 {
    match (one, other) {
        (None, None) => 0,
        (Some(one), Some(other)) => apart(one, other),
        _ => NONE,
    }
}

fn some(places: Places) -> Option<Places> {
    places.first.map(|_| places)
}

/// A double articulation is two places, a single one the same place twice.
fn place(one: Places, other: Places) -> u32 {
    if one == other {
        return 0;
    }
    let ends = |places: Places| {
        let first = places.first.map_or(0, position);
        let second = places.second.map_or(first, position);
        [first.min(second), first.max(second)]
    };
    let apart: u32 = ends(one)
        .iter()
        .zip(ends(other))
        .map(|(a, b)| a.abs_diff(b))
        .sum();
    PLACE_OTHER + apart * PLACE_RANGE / 2000
}

fn manner(one: Manner, other: Manner) -> u32 {
    if one == other {
        return 0;
    }
    let nose = (one == Manner::Nasal) != (other == Manner::Nasal);
    MANNER_OTHER
        + opening(one).abs_diff(opening(other))
        + if nose { MANNER_NOSE } else { 0 }
}

/// Half steps between two shifts, over all four directions.
fn shift(one: Shift, other: Shift) -> u32 {
    [
        (one.raising, other.raising),
        (one.advancing, other.advancing),
        (one.centralizing, other.centralizing),
        (one.rounding, other.rounding),
    ]
    .iter()
    .map(|(one, other)| u32::from(one.abs_diff(*other)))
    .sum()
}

fn detail(one: Details, other: Details) -> u32 {
    let only_one = Details(one.0 ^ other.0);
    let hiss = only_one.contains(Detail::Sibilant);
    only_one.without(Detail::Sibilant).0.count_ones() * DETAIL
        + if hiss { SIBILANT } else { 0 }
}

fn glide(one: Glide, other: Glide) -> u32 {
    let steps = (one.height as u32).abs_diff(other.height as u32)
        + (one.backness as u32).abs_diff(other.backness as u32);
    let lips =
        u32::from(one.rounded != other.rounded) + u32::from(one.rhotic != other.rhotic);
    steps * GLIDE_STEP + lips * GLIDE_LIPS
}

/// Levels between two runs of levels, point by point; a missing point is level 0.
fn tone(one: u32, other: u32) -> u32 {
    (0..8)
        .map(|at| (one >> (4 * at) & 0xF).abs_diff(other >> (4 * at) & 0xF))
        .sum()
}
