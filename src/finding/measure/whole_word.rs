//! Measures of whole words: PMLU, PWP and whole-word correctness.
//!
//! Vowels never score by being right, and added sounds are invisible in PWP.
//!
//! # Source
//! Ingram 2002, Journal of Child Language 29:713–733; rules of the sample from memory.

use super::rules::Rules;
use super::score::{Score, scored, sounds};
use super::{Measure, Sample};
use crate::feature::Class;
use crate::finding::item::Item;

/// PMLU, PWP and whole-word correctness.
#[must_use]
pub fn measures(sample: &Sample<'_>, rules: &Rules) -> Vec<Measure> {
    let (mut said, mut wanted, mut right) = (0, 0, 0);
    for item in &sample.items {
        let points = points(item, rules);
        said += points.production;
        wanted += points.target;
        right += u64::from(item.has_right_sounds());
    }
    let words = sample.items.len() as u64;
    vec![
        Measure::ratio(
            "PMLU",
            (said, words),
            "points a word",
            "one a segment, up to the target's number, and one a right consonant",
            rules,
        ),
        Measure::ratio(
            "PWP",
            (said, wanted),
            "of the targets' points",
            "as in PMLU",
            rules,
        ),
        Measure::percent(
            "whole-word correctness",
            (right, words),
            "words with every sound right, stress apart",
            rules,
        ),
    ]
}

/// The points of a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Points {
    /// What the target is worth: its segments and its consonants.
    pub target: u64,
    /// What the production earns.
    pub production: u64,
}

/// The points of an item, the phonological length of its target and of its production.
#[must_use]
pub fn points(item: &Item, rules: &Rules) -> Points {
    let all = scored(item, rules);
    let consonants = all.iter().filter(|it| it.sound.class == Class::Consonant);
    let right = consonants.clone().filter(|it| it.score == Score::Right);
    // An addition is no fault of the consonant here: it has no points to lose.
    let unscored = Rules {
        added_consonant_counts: false,
        added_vowel_counts: false,
        ..rules.clone()
    };
    let kept = if *rules == unscored {
        right.count()
    } else {
        let all = scored(item, &unscored);
        all.iter()
            .filter(|it| it.sound.class == Class::Consonant && it.score == Score::Right)
            .count()
    };
    let said = sounds(&item.production).len();
    let said = if rules.added_segments_earn {
        said
    } else {
        said.min(all.len())
    };
    Points {
        target: (all.len() + consonants.count()) as u64,
        production: (said + kept) as u64,
    }
}

/// The weight of PCC in the sample form of PWP, `p = n·PC / (1 + n·PC)`: PC is the share of
/// the target's segments that are consonants, n the extra weight of consonants.
///
/// # Source
/// Babatsouli, Ingram & Sotiropoulos; the formula inferred from eight printed values, which
/// it gives.
#[must_use]
pub fn weight_of_consonants(share_of_consonants: f64, extra: f64) -> f64 {
    let weighted = extra * share_of_consonants;
    weighted / (1.0 + weighted)
}
