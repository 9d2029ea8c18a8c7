//! How far trainees agree with the key, and with one another, sound by sound.

use std::collections::BTreeMap;

use super::mark::Mark;
use super::outcome::Outcome;
use crate::finding::agreement::alpha::{Level, alpha};
use crate::finding::agreement::kappa::Labels;

/// How far one trainee agrees with the key.
#[derive(Clone, Debug, PartialEq)]
pub struct WithKey {
    /// The trainee's code.
    pub learner: String,
    /// Places at which key and trainee were compared: every sound of the keys, and what the
    /// trainee added.
    pub places: usize,
    /// Places at which they agree; what the accent allows agrees.
    pub agreed: usize,
    /// Cohen's kappa over the sounds; undefined where all expected agreement is by chance.
    pub kappa: Option<f64>,
}

/// How far a class agrees with the key and with itself.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Agreement {
    /// Trainee by trainee, by code.
    pub with_key: Vec<WithKey>,
    /// Krippendorff's alpha among the trainees over the sounds of the keys, nominal;
    /// undefined with fewer than two of them.
    pub among: Option<f64>,
}

/// Agreement over the first answers to transcriptions that could be read.
///
/// # Source
///
/// Cohen (1960), A coefficient of agreement for nominal scales; Krippendorff (2011),
/// Computing Krippendorff's alpha-reliability.
#[must_use]
pub fn agreement(marks: &[Mark]) -> Agreement {
    let counted = |mark: &&Mark| {
        let read = !matches!(mark.outcome, Outcome::Unread | Outcome::Blank);
        mark.attempt == 1 && mark.kind.is_transcription() && read
    };
    let marks: Vec<&Mark> = marks.iter().filter(counted).collect();
    let mut numbers: BTreeMap<&str, usize> = BTreeMap::new();
    for sound in marks.iter().flat_map(|mark| &mark.sounds) {
        for text in [&sound.key, &sound.answer] {
            let next = numbers.len();
            numbers.entry(text.as_str()).or_insert(next);
        }
    }
    let number = |text: &str| numbers.get(text).copied().unwrap_or(0);
    let mut learners: BTreeMap<&str, (usize, usize, Labels)> = BTreeMap::new();
    // A place of a key, by set, exercise and its number in the key.
    let mut units: BTreeMap<(&str, &str, &str, usize), BTreeMap<&str, usize>> =
        BTreeMap::new();
    for mark in &marks {
        let (places, agreed, labels) = learners
            .entry(&mark.learner)
            .or_insert_with(|| (0, 0, Labels::new(numbers.len())));
        let mut at = 0;
        for sound in &mark.sounds {
            let answer = if sound.right {
                &sound.key
            } else {
                &sound.answer
            };
            *places += 1;
            *agreed += usize::from(sound.right);
            labels.add(number(&sound.key), number(answer), 1.0);
            if sound.key.is_empty() {
                continue;
            }
            units
                .entry((&mark.set, &mark.item, &mark.key, at))
                .or_default()
                .insert(&mark.learner, number(answer));
            at += 1;
        }
    }
    let names: Vec<&str> = learners.keys().copied().collect();
    let rows: Vec<Vec<Option<f64>>> = units
        .values()
        .map(|unit| {
            let label = |name: &&str| unit.get(name).map(|number| label(*number));
            names.iter().map(label).collect()
        })
        .collect();
    let among = if names.len() < 2 {
        None
    } else {
        alpha(&rows, Level::Nominal).alpha
    };
    Agreement {
        with_key: learners
            .into_iter()
            .map(|(learner, (places, agreed, labels))| WithKey {
                learner: learner.to_owned(),
                places,
                agreed,
                kappa: labels.kappa().kappa,
            })
            .collect(),
        among,
    }
}

/// A number that stands for a label; nominal alpha only asks whether two are the same.
#[allow(
    clippy::cast_precision_loss,
    reason = "there are fewer sounds than a float has whole numbers"
)]
const fn label(number: usize) -> f64 {
    number as f64
}
