//! Percentages of consonants, vowels and phonemes correct, and what is made of them.
//!
//! # Source
//! PCC: Shriberg & Kwiatkowski 1982, Journal of Speech and Hearing Disorders 47:256–270.
//! PCC-A, PCC-R, PVC, PPC: Shriberg, Austin, Lewis, McSweeny & Wilson 1997, Journal of
//! Speech, Language, and Hearing Research 40:708–722; details of both from memory.

use super::rules::Rules;
use super::score::{Score, Scored, scored};
use super::{Measure, Sample};
use crate::feature::Class;

/// PCC, PCC-A, PCC-R, PVC and PPC, in this order.
///
/// Additions have no place in the denominators. `PCC ≤ PCC-A ≤ PCC-R` always holds.
#[must_use]
pub fn measures(sample: &Sample<'_>, rules: &Rules) -> Vec<Measure> {
    let all = sounds(sample, rules);
    let of = |class: Option<Class>, worst: Score| share(&all, class, worst);
    let consonants = Some(Class::Consonant);
    let row =
        |name, counted, definition| Measure::percent(name, counted, definition, rules);
    vec![
        row(
            "PCC",
            of(consonants, Score::Right),
            "consonants; distortions are wrong",
        ),
        row(
            "PCC-A",
            of(consonants, Score::CommonDistortion),
            "consonants; common clinical distortions are right",
        ),
        row(
            "PCC-R",
            of(consonants, Score::Distortion),
            "consonants; distortions are right",
        ),
        row(
            "PVC",
            of(Some(Class::Vowel), Score::Right),
            "vowels; distortions are wrong",
        ),
        row(
            "PPC",
            of(None, Score::Right),
            "consonants and vowels; distortions are wrong",
        ),
    ]
}

/// The articulation competence index, the mean of PCC and the percentage of distortions
/// among the errors; `None` without consonants or without errors.
///
/// A clinical measure: for an accent a greater share of distortions is not better.
///
/// # Source
/// Shriberg 1993, Journal of Speech and Hearing Research 36:105–140, from memory.
#[must_use]
pub fn articulation_competence(
    consonants: u32,
    errors: u32,
    distortions: u32,
) -> Option<f64> {
    if consonants == 0 || errors == 0 || errors > consonants || distortions > errors {
        return None;
    }
    let percent = |part: u32, all: u32| 100.0 * f64::from(part) / f64::from(all);
    let correct = percent(consonants - errors, consonants);
    Some(f64::midpoint(correct, percent(distortions, errors)))
}

fn sounds(sample: &Sample<'_>, rules: &Rules) -> Vec<Scored> {
    sample
        .items
        .iter()
        .flat_map(|item| scored(item, rules))
        .collect()
}

/// How many of a class are no worse than that, of how many.
fn share(all: &[Scored], class: Option<Class>, worst: Score) -> (u64, u64) {
    let these = all
        .iter()
        .filter(|it| class.is_none_or(|class| it.sound.class == class));
    these.fold((0, 0), |(good, all), it| {
        (good + u64::from(it.score <= worst), all + 1)
    })
}
