//! Word complexity: eight things that make a word hard to say, counted.
//!
//! # Source
//! Stoel-Gammon 2010, Clinical Linguistics & Phonetics 24:271–282; wording of the eight
//! parameters from memory. That clusters are counted within a syllable only is our reading.

use super::rules::Rules;
use super::score::{is_h, is_liquid, sounds};
use super::{Measure, Sample};
use crate::feature::{Class, Manner, Place, Places, Voicing};
use crate::finding::item::Side;
use crate::syllable::{Part, Site, Stress};

/// The complexity of the productions over that of the targets.
#[must_use]
pub fn measures(sample: &Sample<'_>, rules: &Rules) -> Vec<Measure> {
    let (mut said, mut wanted) = (0, 0);
    for item in &sample.items {
        said += u64::from(complexity(&item.production, rules));
        wanted += u64::from(complexity(&item.target, rules));
    }
    vec![Measure::ratio(
        "word complexity",
        (said, wanted),
        "of the targets' points",
        "Stoel-Gammon's eight parameters",
        rules,
    )]
}

/// The points of one side alone: a word of more than two syllables 1, stress not on the
/// first 1; a final consonant 1, each cluster 1; each velar, each liquid or r-coloured
/// vowel, each fricative or affricate 1, and 1 more if that is voiced.
#[must_use]
pub fn complexity(side: &Side, rules: &Rules) -> u32 {
    let sounds = sounds(side);
    let mut points = 0;
    for word in sounds.chunk_by(|(_, one), (_, other)| one.word == other.word) {
        let first = word.first().map(|(_, site)| *site).unwrap_or_default();
        points += u32::from(first.syllables > 2);
        let stressed = word.iter().find(|(_, it)| it.stress == Stress::Primary);
        points += u32::from(stressed.is_some_and(|(_, it)| it.syllable_in_word > 0));
        let ends_in_coda = |it: &(_, Site)| it.1.part == Some(Part::Coda);
        points += u32::from(word.last().is_some_and(ends_in_coda));
        let clusters = word.chunk_by(|(one, here), (other, there)| {
            one.class == Class::Consonant
                && other.class == Class::Consonant
                && (here.syllable, here.part) == (there.syllable, there.part)
        });
        points += clusters.map(|it| u32::from(it.len() > 1)).sum::<u32>();
    }
    for (sound, _) in &sounds {
        points += u32::from(sound.place == Places::one(Place::Velar));
        points +=
            u32::from(is_liquid(sound) || sound.class == Class::Vowel && sound.rhotic);
        let hisses = matches!(sound.manner, Some(Manner::Fricative | Manner::Affricate))
            && (rules.h_is_fricative || !is_h(sound));
        points += u32::from(hisses);
        points += u32::from(hisses && sound.voicing == Voicing::Voiced);
    }
    points
}
