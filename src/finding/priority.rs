//! What to work on first: the contrasts that a client loses, by what each costs and how far
//! work on it reaches.

use super::rule::{Discovery, Sample, Sounds};
use crate::lexicon::{Forms, Lexicon};

/// How much each factor counts: the power it is raised to. 0 leaves it out, 1 takes it as it
/// is, 2 counts it twice over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weights {
    /// Of the errors.
    pub errors: f64,
    /// Of the functional load.
    pub functional_load: f64,
    /// Of how easily it generalises.
    pub generalises: f64,
}

impl Default for Weights {
    fn default() -> Self {
        Self {
            errors: 1.0,
            functional_load: 1.0,
            generalises: 1.0,
        }
    }
}

/// A contrast that a client loses.
#[derive(Clone, Debug, PartialEq)]
pub struct Priority {
    /// The sound intended, where the two fall together in both directions the one more often
    /// missed.
    pub target: String,
    /// The sound said for it.
    pub production: String,
    /// How often the one was said for the other.
    pub errors: usize,
    /// The share of what the sounds of words tell that is lost when the two fall together,
    /// from 0 to 1; `None` if one is no phoneme of the accent, so that no two words do.
    pub functional_load: Option<f64>,
    /// The share of all errors of sounds that the rule behind it covers, or itself where no
    /// rule was found: work on one member of a rule is expected to carry over to the rest.
    pub generalises: f64,
    /// The rule behind it, by its place in the discovery.
    pub rule: Option<usize>,
    /// The product of the three, each raised to its weight; errors as a share of all.
    pub score: f64,
}

/// The contrasts that are lost, what to work on first before the others; those between
/// phonemes first. What is left out or put in loses no contrast of two sounds: rules tell
/// of it.
///
/// # Source
/// Functional load: see [`Forms::functional_load`]. That a rule's members improve together
/// is the common expectation of pattern-based work, from memory; the product of the three is
/// a judgement, so each is shown.
#[must_use]
pub fn priorities(
    discovery: &Discovery,
    samples: &[Sample],
    sounds: &Sounds,
    lexicon: &Lexicon,
    forms: &Forms<'_>,
    weights: Weights,
) -> Vec<Priority> {
    let spoken = samples.iter().flat_map(|it| &it.sounds);
    let mut lost: Vec<(u8, u8)> = spoken
        .filter_map(|it| Some((it.target, it.outcome?)))
        .filter(|(target, outcome)| target != outcome)
        .collect();
    lost.sort_unstable();
    let mut counted: Vec<((u8, u8), usize)> = lost
        .chunk_by(PartialEq::eq)
        .filter_map(|it| Some((*it.first()?, it.len())))
        .collect();
    // The commoner direction stands for both.
    counted.sort_by_key(|(pair, count)| (core::cmp::Reverse(*count), *pair));
    let mut contrasts: Vec<((u8, u8), usize)> = Vec::new();
    for ((target, outcome), count) in counted {
        let same = contrasts
            .iter_mut()
            .find(|(pair, _)| *pair == (outcome, target));
        match same {
            Some((_, sum)) => *sum += count,
            None => contrasts.push(((target, outcome), count)),
        }
    }
    let share = |part: usize| {
        #[allow(clippy::cast_precision_loss, reason = "counts of sites")]
        let (part, whole) = (part as f64, discovery.errors.max(1) as f64);
        part / whole
    };
    let mut all: Vec<Priority> = contrasts
        .into_iter()
        .map(|((target, outcome), errors)| {
            let behind = discovery.rules.iter().position(|rule| {
                let is_it = |(from, to, _): &(Option<u8>, Option<u8>, usize)| {
                    (*from, *to) == (Some(target), Some(outcome))
                };
                rule.changes.iter().any(is_it)
            });
            let covers = behind
                .and_then(|at| discovery.rules.get(at))
                .map_or(errors, |rule| rule.covers.max(errors));
            let [target, production] = [target, outcome].map(|it| sounds.text(it));
            let load = lexicon
                .contrast(target, production)
                .map(|it| forms.functional_load(it));
            let generalises = share(covers);
            Priority {
                target: target.to_owned(),
                production: production.to_owned(),
                errors,
                functional_load: load,
                generalises,
                rule: behind,
                score: share(errors).powf(weights.errors)
                    * load.unwrap_or(0.0).powf(weights.functional_load)
                    * generalises.powf(weights.generalises),
            }
        })
        .collect();
    all.sort_by(|one, other| {
        other
            .functional_load
            .is_some()
            .cmp(&one.functional_load.is_some())
            .then(other.score.total_cmp(&one.score))
            .then(other.errors.cmp(&one.errors))
    });
    all
}
