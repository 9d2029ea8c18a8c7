//! What it costs to pair two sounds, or to leave one unpaired, out of context.

use super::constant::Constants;
use crate::feature::{
    Airstream, Backness, Class, FeatureBundle, Height, Length, Manner, Place, Places,
    Secondary, Voicing,
};

/// How open the passage is, coarser than the chart: what counts when sounds change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Stricture {
    /// A stop of any airstream.
    Plosive,
    /// A stop released into friction.
    Affricate,
    /// Friction.
    Fricative,
    /// A nasal.
    Nasal,
    /// A lateral without friction.
    Lateral,
    /// Any r: trills, taps, \[ɹ ɻ\] and \[ʁ\].
    Rhotic,
    /// A vowel-like approximant.
    Glide,
}

/// What the aligner looks at in a sound, worked out once.
#[derive(Clone, Copy, Debug)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "independent facts about a sound"
)]
pub(crate) struct Profile {
    pub(crate) class: Class,
    pub(crate) stricture: Stricture,
    /// \[h ɦ ʔ\] and their like.
    pub(crate) laryngeal: bool,
    /// A palatal or velar approximant: \[j ɥ ɰ w\].
    pub(crate) semivowel: bool,
    /// R-coloured, for a vowel.
    pub(crate) rhotic: bool,
    /// A consonant that is the peak of a syllable.
    pub(crate) syllabic: bool,
    pub(crate) schwa: bool,
    /// Height, backness and rounding, each in thousandths of its range (close, front and
    /// unrounded are 0); for a glide, those of the vowel it is made from.
    pub(crate) vowel: [i32; 3],
    pub(crate) tone: u32,
    /// Places along the roof of the mouth; the same one twice for a single articulation.
    places: [i32; 2],
    /// A place reached only by a secondary articulation.
    second_place: Option<i32>,
    tap: bool,
    nasal: bool,
    secondary: bool,
    detail: (u16, Length),
    nasalized: bool,
    long: bool,
    letter: Letter,
}

/// The features that a base letter of the chart stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Letter {
    place: Places,
    manner: Option<Manner>,
    airstream: Airstream,
    lateral: bool,
    voicing: Voicing,
    height: Option<Height>,
    backness: Option<Backness>,
    rounded: Option<bool>,
    rhotic: bool,
}

impl Profile {
    pub(crate) fn of(sound: &FeatureBundle, constants: &Constants) -> Self {
        let first = constants.place(sound.place.first.unwrap_or(Place::Alveolar));
        let second = sound
            .place
            .second
            .map_or(first, |place| constants.place(place));
        let stricture = stricture(sound);
        Self {
            class: sound.class,
            stricture,
            laryngeal: sound.place.first == Some(Place::Glottal),
            semivowel: stricture == Stricture::Glide
                && (sound.place.contains(Place::Palatal)
                    || sound.place.contains(Place::Velar)),
            rhotic: sound.rhotic,
            syllabic: sound.syllabic && sound.class == Class::Consonant,
            schwa: sound.class == Class::Vowel
                && sound.height == Some(Height::Mid)
                && sound.backness == Some(Backness::Central),
            vowel: vowel(sound),
            tone: sound.tone,
            places: [first, second],
            second_place: secondary_place(sound).map(|place| constants.place(place)),
            tap: sound.manner == Some(Manner::Tap),
            nasal: sound.manner == Some(Manner::Nasal),
            secondary: !sound.secondary.is_empty(),
            detail: (sound.release.0, sound.length),
            nasalized: sound.nasalized,
            long: sound.length >= Length::HalfLong,
            letter: Letter {
                place: sound.place,
                manner: sound.manner,
                airstream: sound.airstream,
                lateral: sound.lateral,
                voicing: sound.voicing,
                height: sound.height,
                backness: sound.backness,
                rounded: sound.rounded,
                rhotic: sound.rhotic,
            },
        }
    }

    pub(crate) const fn is_vowel(&self) -> bool {
        matches!(self.class, Class::Vowel)
    }

    pub(crate) const fn is_consonant(&self) -> bool {
        matches!(self.class, Class::Consonant)
    }

    /// \[l\], an r, or their like.
    pub(crate) const fn is_liquid(&self) -> bool {
        self.is_consonant()
            && matches!(self.stricture, Stricture::Lateral | Stricture::Rhotic)
    }

    pub(crate) const fn is_glide(&self) -> bool {
        self.is_consonant() && matches!(self.stricture, Stricture::Glide)
    }

    const fn is_obstruent(&self) -> bool {
        matches!(
            self.stricture,
            Stricture::Plosive | Stricture::Affricate | Stricture::Fricative
        )
    }

    /// A vowel of the middle: \[ə ɜ ɐ\] and their like.
    pub(crate) const fn is_central(&self) -> bool {
        self.is_vowel()
            && self.vowel[1] == 500
            && self.vowel[0] >= 500
            && self.vowel[0] < 900
    }

    /// A vowel that is central or back.
    pub(crate) const fn is_retracted(&self) -> bool {
        self.is_vowel() && self.vowel[1] >= 500
    }

    /// Whether a vowel is what this liquid becomes where it is vocalised: central or back,
    /// and for a lateral not open.
    pub(crate) const fn becomes(&self, vowel: &Self) -> bool {
        self.is_liquid()
            && vowel.is_retracted()
            && (matches!(self.stricture, Stricture::Rhotic) || vowel.vowel[0] < 700)
    }

    /// What leaving it unpaired costs out of context.
    pub(crate) const fn gap(&self, constants: &Constants) -> i32 {
        match self.class {
            Class::Consonant if self.laryngeal || self.semivowel => constants.weak_gap,
            Class::Consonant if matches!(self.stricture, Stricture::Fricative) => {
                constants.fricative_gap
            }
            Class::Consonant => constants.consonant_gap,
            Class::Vowel if self.schwa => constants.schwa_gap,
            Class::Vowel => constants.vowel_gap,
            Class::Tone => constants.tone_gap,
            Class::Pause => constants.pause_gap,
        }
    }
}

fn stricture(sound: &FeatureBundle) -> Stricture {
    let at = |place| sound.place.contains(place);
    match sound.manner {
        Some(Manner::Affricate) => Stricture::Affricate,
        Some(Manner::Nasal) => Stricture::Nasal,
        Some(Manner::Trill | Manner::Tap)
            if at(Place::Bilabial) || at(Place::Labiodental) =>
        {
            Stricture::Fricative
        }
        Some(Manner::Trill | Manner::Tap) => Stricture::Rhotic,
        Some(Manner::Fricative)
            if at(Place::Uvular) && sound.voicing == Voicing::Voiced =>
        {
            Stricture::Rhotic
        }
        Some(Manner::Fricative) => Stricture::Fricative,
        Some(Manner::Approximant) if sound.lateral => Stricture::Lateral,
        Some(Manner::Approximant)
            if at(Place::Alveolar) || at(Place::Postalveolar) || at(Place::Retroflex) =>
        {
            Stricture::Rhotic
        }
        Some(Manner::Approximant) => Stricture::Glide,
        Some(Manner::Plosive) | None => Stricture::Plosive,
    }
}

fn secondary_place(sound: &FeatureBundle) -> Option<Place> {
    let has = |secondary| sound.secondary.contains(secondary);
    if has(Secondary::Labialized)
        || has(Secondary::Compressed)
        || has(Secondary::LabioPalatalized)
        || has(Secondary::Labiodentalized)
    {
        Some(Place::Bilabial)
    } else if has(Secondary::Palatalized) {
        Some(Place::Palatal)
    } else {
        None
    }
}

fn vowel(sound: &FeatureBundle) -> [i32; 3] {
    if sound.class == Class::Consonant {
        let palatal = sound.place.contains(Place::Palatal);
        let labial = sound.place.contains(Place::Bilabial)
            || sound.place.contains(Place::Labiodental)
            || !sound.secondary.is_empty();
        return [
            0,
            if palatal { 0 } else { 1000 },
            if labial { 1000 } else { 0 },
        ];
    }
    let height = sound.height.unwrap_or(Height::Mid) as i32;
    let backness = sound.backness.unwrap_or(Backness::Central) as i32;
    [
        height * 1000 / 6,
        backness * 250,
        if sound.rounded == Some(true) { 1000 } else { 0 },
    ]
}

/// A weight times a number of thousandths, rounded to the nearest.
pub(crate) const fn scaled(weight: i32, thousandths: i32) -> i32 {
    (weight * thousandths + 500) / 1000
}

/// What pairing two sounds costs out of context. Symmetric.
pub(crate) fn pair(one: &Profile, other: &Profile, constants: &Constants) -> i32 {
    match (one.class, other.class) {
        (Class::Consonant, Class::Consonant) => consonants(one, other, constants),
        (Class::Vowel, Class::Vowel) => vowels(one, other, constants),
        (Class::Tone, Class::Tone) => tones(one.tone, other.tone, constants),
        (Class::Pause, Class::Pause) => 0,
        (Class::Consonant, Class::Vowel) => consonant_and_vowel(one, other, constants),
        (Class::Vowel, Class::Consonant) => consonant_and_vowel(other, one, constants),
        _ => constants.forbidden,
    }
}

/// A consonant against a vowel, wherever they stand; a liquid's coda is not known here.
fn consonant_and_vowel(
    consonant: &Profile,
    vowel: &Profile,
    constants: &Constants,
) -> i32 {
    let cost = if consonant.syllabic {
        constants.syllabic_vowel
    } else if consonant.is_glide()
        && vowel.vowel[0] <= 200
        && (vowel.vowel[1] - consonant.vowel[1]).abs() < 500
    {
        constants.glide_vowel + axes(consonant, vowel, constants)
    } else {
        constants.forbidden
    };
    cost.min(constants.forbidden)
}

fn consonants(one: &Profile, other: &Profile, constants: &Constants) -> i32 {
    let mut cost = place(one, other, constants) + manner(one, other, constants);
    if one.letter != other.letter {
        cost += constants.other_letter;
    }
    let sonorant = |it: &Profile| {
        matches!(
            it.stricture,
            Stricture::Nasal | Stricture::Lateral | Stricture::Rhotic
        ) && !it.tap
    };
    if one.is_obstruent() && sonorant(other) || other.is_obstruent() && sonorant(one) {
        cost += constants.obstruent_sonorant;
    }
    for (differs, weight) in [
        (one.nasal != other.nasal, constants.nasality),
        (
            one.letter.voicing != other.letter.voicing,
            constants.voicing,
        ),
        (
            one.letter.lateral != other.letter.lateral,
            constants.laterality,
        ),
        (one.secondary != other.secondary, constants.secondary),
        (one.detail != other.detail, constants.consonant_detail),
    ] {
        if differs {
            cost += weight;
        }
    }
    cost
}

fn place(one: &Profile, other: &Profile, constants: &Constants) -> i32 {
    if one.laryngeal || other.laryngeal {
        return if one.laryngeal && other.laryngeal {
            0
        } else if one.is_glide() || other.is_glide() {
            constants.place_laryngeal_glide
        } else {
            constants.place_laryngeal
        };
    }
    let mut least = constants.place_cap;
    for here in one.places {
        for there in other.places {
            least = least.min((here - there).abs());
        }
    }
    for (second, places) in [
        (one.second_place, other.places),
        (other.second_place, one.places),
    ] {
        for there in places {
            if let Some(here) = second {
                least = least.min((here - there).abs() + constants.place_secondary);
            }
        }
    }
    if one.stricture == Stricture::Rhotic && other.stricture == Stricture::Rhotic {
        least = scaled(least, constants.place_rhotic);
    }
    least
}

fn manner(one: &Profile, other: &Profile, by: &Constants) -> i32 {
    use Stricture::{Affricate, Fricative, Glide, Lateral, Nasal, Plosive, Rhotic};
    let (low, high) = if one.stricture as u8 <= other.stricture as u8 {
        (one, other)
    } else {
        (other, one)
    };
    match (low.stricture, high.stricture) {
        (Rhotic, Rhotic) if low.letter.manner != high.letter.manner => by.manner_rhotics,
        (Plosive, Affricate) => by.manner_plosive_affricate,
        (Plosive, Fricative) => by.manner_plosive_fricative,
        (Plosive, Nasal) => by.manner_plosive_nasal,
        (Plosive, Lateral) => by.manner_plosive_lateral,
        (Plosive, Rhotic) if high.tap => by.manner_plosive_tap,
        (Plosive, Rhotic) => by.manner_plosive_rhotic,
        (Plosive, Glide) => by.manner_plosive_glide,
        (Affricate, Fricative) => by.manner_affricate_fricative,
        (Affricate, Nasal) => by.manner_affricate_nasal,
        (Affricate, Lateral) => by.manner_affricate_lateral,
        (Affricate, Rhotic) => by.manner_affricate_rhotic,
        (Affricate, Glide) => by.manner_affricate_glide,
        (Fricative, Nasal) => by.manner_fricative_nasal,
        (Fricative, Lateral) if low.letter.lateral => by.manner_laterals,
        (Fricative, Lateral) => by.manner_fricative_lateral,
        (Fricative, Rhotic) => by.manner_fricative_rhotic,
        (Fricative, Glide) => by.manner_fricative_glide,
        (Nasal, Lateral) => by.manner_nasal_lateral,
        (Nasal, Rhotic) => by.manner_nasal_rhotic,
        (Nasal, Glide) => by.manner_nasal_glide,
        (Lateral, Rhotic) => by.manner_lateral_rhotic,
        (Lateral, Glide) => by.manner_lateral_glide,
        (Rhotic, Glide) => by.manner_rhotic_glide,
        _ => 0,
    }
}

fn axes(one: &Profile, other: &Profile, constants: &Constants) -> i32 {
    one.vowel
        .iter()
        .zip(other.vowel)
        .map(|(here, there)| scaled(constants.vowel_axis, (here - there).abs()))
        .sum()
}

fn vowels(one: &Profile, other: &Profile, constants: &Constants) -> i32 {
    let details = i32::from(one.letter != other.letter)
        + i32::from(one.nasalized != other.nasalized)
        + i32::from(one.long != other.long);
    axes(one, other, constants) + details * constants.vowel_detail
}

/// Mean difference of where two tones begin and end.
fn tones(one: u32, other: u32, constants: &Constants) -> i32 {
    let ends = |tone: u32| {
        let first = tone & 0xF;
        let last = (0..8)
            .map(|at| tone >> (4 * at) & 0xF)
            .take_while(|&it| it != 0)
            .last();
        [first, last.unwrap_or(0)]
    };
    let levels: u32 = ends(one)
        .iter()
        .zip(ends(other))
        .map(|(a, b)| a.abs_diff(b))
        .sum();
    constants.tone_level * levels.cast_signed() / 2
}

#[cfg(test)]
mod tests {
    use super::{Constants, Profile, pair};
    use crate::feature::{
        Airstream, Class, FeatureBundle, Manner, Place, Places, Voicing,
    };

    #[test]
    fn pairing_two_sounds_costs_the_same_either_way_round() {
        let mut sounds = vec![
            FeatureBundle::VOWEL,
            FeatureBundle::TONE,
            FeatureBundle::PAUSE,
        ];
        for &place in Place::ALL {
            for &manner in Manner::ALL {
                for lateral in [false, true] {
                    sounds.push(FeatureBundle {
                        place: Places::one(place),
                        manner: Some(manner),
                        lateral,
                        voicing: if lateral {
                            Voicing::Voiced
                        } else {
                            Voicing::Voiceless
                        },
                        airstream: Airstream::Pulmonic,
                        ..FeatureBundle::CONSONANT
                    });
                }
            }
        }
        for constants in [Constants::GENERAL, Constants::COACHING] {
            let profiles: Vec<Profile> = sounds
                .iter()
                .map(|it| Profile::of(it, &constants))
                .collect();
            for one in &profiles {
                for other in &profiles {
                    let there = pair(one, other, &constants);
                    assert_eq!(there, pair(other, one, &constants));
                    assert!(there >= 0);
                    if one.class != other.class && one.class != Class::Consonant {
                        assert!(there >= constants.forbidden || other.is_consonant());
                    }
                }
            }
        }
    }
}
