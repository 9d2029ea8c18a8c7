//! What became of each sound of a target, as the measures score it.

use core::ops::Range;

use super::rules::Rules;
use crate::alignment::{self, Column, Kind};
use crate::feature::{
    Class, FeatureBundle, Manner, Place, Places, Secondaries, Secondary, Voicing,
};
use crate::finding::item::{Item, Side};
use crate::syllable::{Position, Site, Stress};

/// How a sound of the target is scored.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Score {
    /// As it should be; allophones are.
    Right,
    /// Off in detail in one of the ways that are common in the clinic: dentalized or
    /// lateralized sibilants, labialized or velarized \[l\] and \[ɹ\], \[ɹ\] without its
    /// r-colour. Shriberg 1993, from memory.
    CommonDistortion,
    /// Off in detail in another way.
    Distortion,
    /// Another sound, or none; or a sound was added to it.
    Wrong,
}

/// One sound of the target: a diphthong, an affricate or an r-coloured vowel is one, a vowel
/// and the consonant \[ɹ\] behind it are two.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Scored {
    /// Its features.
    pub sound: FeatureBundle,
    /// Where it stands.
    pub site: Site,
    /// How it is scored.
    pub score: Score,
}

/// The consonants and vowels of an item's target, scored.
#[must_use]
pub fn scored(item: &Item, rules: &Rules) -> Vec<Scored> {
    let mut all: Vec<Scored> = Vec::new();
    // For each addition how many sounds of the target stand before it.
    let mut added: Vec<(usize, FeatureBundle, Site)> = Vec::new();
    for column in &item.columns {
        if column.target.is_empty() {
            let sound = item.production.whole(&column.production);
            let site = item.production.site_of(&column.production);
            let next = item.production.bundles.get(column.production.end as usize);
            // A consonant before a vowel is attached to no other, as in a syllable said twice.
            let opens = next.is_some_and(|it| it.class == Class::Vowel);
            if opens && sound.is_some_and(|it| it.class == Class::Consonant) {
                continue;
            }
            if let (Kind::Addition, Some(sound), Some(site)) = (column.kind, sound, site)
            {
                added.push((all.len(), sound, site));
            }
            continue;
        }
        all.extend(of_column(item, column, rules));
    }
    for (at, sound, site) in added {
        let counts = match sound.class {
            Class::Consonant => rules.added_consonant_counts,
            Class::Vowel => rules.added_vowel_counts,
            Class::Tone | Class::Pause => false,
        };
        if !counts {
            continue;
        }
        let before = at.checked_sub(1).and_then(|at| all.get(at)).copied();
        let after = all.get(at).copied().filter(|after| {
            before.is_none_or(|before| before.site.word == after.site.word)
                || site.position != Position::Final
        });
        let is_consonant = |it: &Scored| it.sound.class == Class::Consonant;
        let charged = match (before, after) {
            (_, Some(after)) if is_consonant(&after) => Some(at),
            // Before a vowel it is attached to no consonant.
            (_, Some(_)) => None,
            (Some(before), None) if is_consonant(&before) => at.checked_sub(1),
            _ => None,
        };
        if let Some(charged) = charged.and_then(|at| all.get_mut(at)) {
            charged.score = Score::Wrong;
        }
    }
    all
}

/// The sounds of a side, counted as [`Scored`] counts them.
#[must_use]
pub fn sounds(side: &Side) -> Vec<(FeatureBundle, Site)> {
    let wholes = wholes(side).into_iter();
    wholes.map(|(_, sound, site)| (sound, site)).collect()
}

/// The same, each with its segments.
pub(super) fn wholes(side: &Side) -> Vec<(Range<u32>, FeatureBundle, Site)> {
    let mut sounds: Vec<(Range<u32>, FeatureBundle, Site)> = Vec::new();
    let mut parts: Vec<FeatureBundle> = Vec::new();
    for ((bundle, site), at) in side.bundles.iter().zip(&side.sites).zip(0..) {
        if !matches!(bundle.class, Class::Consonant | Class::Vowel) {
            continue;
        }
        let slot = |site: &Site| (site.word, site.syllable, site.part, site.slot);
        let last = sounds.last_mut().filter(|(_, last, place)| {
            last.class == bundle.class && site.part.is_some() && slot(place) == slot(site)
        });
        if let Some((range, last, _)) = last {
            parts.push(*bundle);
            range.end = at + 1;
            if let Some(whole) = alignment::whole(&parts) {
                *last = whole;
            }
        } else {
            parts = vec![*bundle];
            sounds.push((at..at + 1, *bundle, *site));
        }
    }
    sounds
}

/// The scored sounds of one column.
fn of_column(item: &Item, column: &Column, rules: &Rules) -> Vec<Scored> {
    let wanted = item.target.bundles_of(&column.target);
    let said = item.production.bundles_of(&column.production);
    let parts: Vec<&[FeatureBundle]> = wanted
        .chunk_by(|one, other| one.class == other.class)
        .filter(|part| {
            part.iter()
                .all(|it| matches!(it.class, Class::Consonant | Class::Vowel))
        })
        .collect();
    let alone = parts.len() == 1;
    let site = item.target.site_of(&column.target).unwrap_or_default();
    parts
        .into_iter()
        .filter_map(|part| {
            let sound = alignment::whole(part).or_else(|| part.first().copied())?;
            let answer = if alone {
                alignment::whole(said)
            } else {
                said.iter().find(|it| it.class == sound.class).copied()
            };
            let score = match column.kind {
                Kind::Match | Kind::Allophone => Score::Right,
                kind => answer.map_or(Score::Wrong, |answer| {
                    off(&sound, &answer, alone.then_some(kind))
                }),
            };
            let score =
                if score == Score::Right || is_allowed(&sound, answer, site, rules) {
                    Score::Right
                } else {
                    score
                };
            Some(Scored { sound, site, score })
        })
        .collect()
}

/// How a sound that is not as it should be is scored; the kind where the column is about
/// it alone.
fn off(sound: &FeatureBundle, answer: &FeatureBundle, kind: Option<Kind>) -> Score {
    if kind == Some(Kind::Transposition) {
        return Score::Wrong;
    }
    if kind.is_none() && sound == answer {
        return Score::Right;
    }
    let distorted = match kind {
        Some(kind) => kind == Kind::Distortion,
        None => alignment::same_phoneme(sound, answer),
    };
    let lateralized = is_sibilant(sound)
        && answer.lateral
        && matches!(answer.manner, Some(Manner::Fricative | Manner::Affricate));
    match (
        distorted || lateralized,
        is_common(sound, answer) || lateralized,
    ) {
        (true, true) => Score::CommonDistortion,
        (true, false) => Score::Distortion,
        (false, _) => Score::Wrong,
    }
}

/// Whether the distortion is one of the common ones, and nothing besides.
fn is_common(sound: &FeatureBundle, answer: &FeatureBundle) -> bool {
    let added = Secondaries(answer.secondary.0 & !sound.secondary.0);
    if is_sibilant(sound) {
        let dental = FeatureBundle {
            place: sound.place,
            detail: sound.detail,
            ..*answer
        };
        return answer.place != sound.place
            && answer.place.first == Some(Place::Dental)
            && dental == *sound;
    }
    let narrowed = FeatureBundle {
        secondary: sound.secondary,
        ..*answer
    };
    if is_liquid(sound) && narrowed == *sound {
        return !added.is_empty()
            && added
                .iter()
                .all(|it| matches!(it, Secondary::Labialized | Secondary::Velarized));
    }
    let lowered = FeatureBundle {
        shift: sound.shift,
        rhotic: sound.rhotic,
        ..*answer
    };
    is_liquid(sound) && !sound.lateral && answer.shift.raising < 0 && lowered == *sound
}

/// What the rules let pass although it is no allophone.
fn is_allowed(
    sound: &FeatureBundle,
    answer: Option<FeatureBundle>,
    site: Site,
    rules: &Rules,
) -> bool {
    // A word of one syllable without a mark, where other words have theirs, is unstressed.
    let unstressed = site.stress.is_stressed() == Some(false)
        || site.stress == Stress::Unmarked && site.syllables == 1;
    let nasal = |bundle: &FeatureBundle, place: Place| {
        bundle.manner == Some(Manner::Nasal) && bundle.place == Places::one(place)
    };
    match answer {
        None => !rules.unstressed_h_counts && unstressed && is_h(sound),
        Some(answer) => {
            let ng = !rules.unstressed_ng_counts
                && unstressed
                && nasal(sound, Place::Velar)
                && nasal(&answer, Place::Alveolar);
            let voiced = FeatureBundle {
                voicing: Voicing::Voiced,
                ..answer
            };
            let devoiced = !rules.final_devoicing_counts
                && site.position == Position::Final
                && sound.class == Class::Consonant
                && alignment::same_phoneme(sound, &voiced);
            ng || devoiced
        }
    }
}

/// \[h\].
pub(super) fn is_h(sound: &FeatureBundle) -> bool {
    sound.manner == Some(Manner::Fricative) && sound.place == Places::one(Place::Glottal)
}

/// \[s z ʃ ʒ t͡ʃ d͡ʒ\] and their like: hissing, in the middle of the mouth.
fn is_sibilant(sound: &FeatureBundle) -> bool {
    matches!(sound.manner, Some(Manner::Fricative | Manner::Affricate))
        && !sound.lateral
        && matches!(
            sound.place.first,
            Some(Place::Alveolar | Place::Postalveolar)
        )
}

/// \[l\] and \[ɹ\], and the trill that broad transcriptions write for it.
pub(super) fn is_liquid(sound: &FeatureBundle) -> bool {
    matches!(sound.manner, Some(Manner::Approximant | Manner::Trill))
        && matches!(
            sound.place,
            Places {
                first: Some(
                    Place::Dental
                        | Place::Alveolar
                        | Place::Postalveolar
                        | Place::Retroflex
                ),
                ..
            }
        )
}
