//! What to work on first: the contrasts that a client loses, by what each costs and how far
//! work on it reaches.

use super::homophone;
use super::rule::{Confidence, Discovery, Found, Sample, Sounds};
use crate::accent::{Accent, Phoneme};
use crate::feature::FeatureBundle;
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
    /// The phoneme nearest to the sound said, where that sound is no phoneme of the accent and
    /// the one intended is farther off.
    pub nearest: Option<String>,
    /// How often the one was said for the other.
    pub errors: usize,
    /// The share of what the sounds of words tell that is lost when the two fall together,
    /// from 0 to 1; `None` if what was said is no phoneme and the one intended is as near as
    /// any, so that no two words do.
    pub functional_load: Option<f64>,
    /// The share of all errors of sounds that the rule behind it covers, or itself where no
    /// rule was found: work on one member of a rule is expected to carry over to the rest.
    pub generalises: f64,
    /// The rule behind it, by its place in the discovery.
    pub rule: Option<usize>,
    /// The product of the three, each raised to its weight; errors as a share of all.
    pub score: f64,
}

/// How many contrasts are looked at, the commonest: on a long sheet slips make hundreds, each
/// heard a few times.
const MOST: usize = 120;

/// Something to work on: a rule with the contrasts that are lost by it, or one contrast that
/// no rule explains.
#[derive(Clone, Debug, PartialEq)]
pub struct Goal {
    /// The rule, by its place in the discovery.
    pub rule: Option<usize>,
    /// The contrasts, by their places in the list of contrasts, commonest first; none for a
    /// rule that leaves sounds out or puts some in.
    pub contrasts: Vec<usize>,
    /// How many errors it explains.
    pub errors: usize,
    /// The share of what the sounds of words tell that is lost: the sum over the contrasts; of
    /// a rule that loses none, what is lost where it works, see [`homophone::load`].
    pub functional_load: f64,
    /// The share of all errors of sounds that work on it reaches.
    pub generalises: f64,
    /// The product of the three, each raised to its weight; errors as a share of all.
    pub score: f64,
}

/// A contrast that is a smaller share of the errors is a slip or two.
const A_FEW: f64 = 0.02;

/// Whether a contrast that no rule explains, heard so often and making up that share of all
/// errors, is but a slip or two: nothing to work on. Common practice, no source.
#[must_use]
pub fn is_slip(errors: usize, share: f64) -> bool {
    errors < 2 || share < A_FEW
}

/// What to work on, first things first: the contrasts, those of one rule together, and the
/// rules that leave out or put in. `words` are common ones with right productions and how
/// often each occurs.
///
/// What stands behind too few chances explains nothing yet: its contrasts stand alone.
#[must_use]
pub fn goals(
    discovery: &Discovery,
    contrasts: &[Priority],
    words: &[(Sample, f64)],
    sounds: &Sounds,
    weights: Weights,
) -> Vec<Goal> {
    let stands = |rule: &Found| rule.confidence != Confidence::TooFew;
    let rules = discovery.rules.iter().enumerate();
    let mut goals: Vec<Goal> = Vec::new();
    for (number, rule) in rules.filter(|(_, rule)| stands(rule)) {
        let lost = contrasts.iter().enumerate();
        let mut lost: Vec<(usize, &Priority)> =
            lost.filter(|(_, it)| it.rule == Some(number)).collect();
        lost.sort_by_key(|(_, it)| core::cmp::Reverse(it.errors));
        let loads = lost.iter().filter_map(|(_, it)| it.functional_load);
        let load = if loads.clone().next().is_some() {
            loads.sum()
        } else {
            homophone::load(&rule.effect, words, sounds).unwrap_or(0.0)
        };
        let generalises = share(rule.covers, discovery);
        goals.push(Goal {
            rule: Some(number),
            contrasts: lost.iter().map(|(at, _)| *at).collect(),
            errors: rule.covers,
            functional_load: load,
            generalises,
            score: weights.score(generalises, load, generalises),
        });
    }
    let told: Vec<usize> = goals.iter().flat_map(|it| it.contrasts.clone()).collect();
    for (at, it) in contrasts.iter().enumerate() {
        if let Some(load) = it.functional_load.filter(|_| !told.contains(&at)) {
            goals.push(Goal {
                rule: None,
                contrasts: vec![at],
                errors: it.errors,
                functional_load: load,
                generalises: it.generalises,
                score: it.score,
            });
        }
    }
    goals.sort_by(|one, other| {
        let by_score = other.score.total_cmp(&one.score);
        by_score.then(other.errors.cmp(&one.errors))
    });
    goals
}

impl Weights {
    /// The product of the factors, each raised to its weight.
    fn score(self, errors: f64, load: f64, generalises: f64) -> f64 {
        errors.powf(self.errors)
            * load.powf(self.functional_load)
            * generalises.powf(self.generalises)
    }
}

/// A number of errors as a share of all.
fn share(part: usize, discovery: &Discovery) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "counts of sites")]
    let (part, whole) = (part as f64, discovery.errors.max(1) as f64);
    part / whole
}

/// The phoneme nearest to a sound outside the accent, unless the one intended is as near, or
/// is a glide that begins with it.
fn nearest_phoneme(
    accent: &Accent,
    target: &str,
    production: &FeatureBundle,
) -> Option<String> {
    let near = accent.nearest(production);
    let least = near.first()?.0;
    let nearest = || near.iter().take_while(|(far, _)| *far == least);
    let is_intended = |it: &Phoneme| {
        let tie = |c: &char| *c == '\u{361}';
        it.text.chars().filter(|c| !tie(c)).eq(target.chars())
    };
    let intended = near.iter().find(|(_, it)| is_intended(it));
    let begins =
        |it: &Phoneme| it.parts.len() > 1 && it.parts.first() == Some(production);
    if intended.is_some_and(|(far, it)| *far == least || begins(it)) {
        return None;
    }
    nearest().next().map(|(_, it)| it.text.to_owned())
}

/// The contrasts that are lost, a hundred or so of the commonest, what to work on first before
/// the others; those between
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
    accent: &Accent,
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
    let mut all: Vec<Priority> = contrasts
        .into_iter()
        .take(MOST)
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
            let bundle = sounds.bundle(outcome);
            let [target, production] = [target, outcome].map(|it| sounds.text(it));
            let nearest = if lexicon.phoneme(production).is_some() {
                None
            } else {
                bundle.and_then(|it| nearest_phoneme(accent, target, it))
            };
            let contrast =
                lexicon.contrast(target, nearest.as_deref().unwrap_or(production));
            let load = contrast.map(|it| forms.functional_load(it));
            let generalises = share(covers, discovery);
            Priority {
                target: target.to_owned(),
                production: production.to_owned(),
                nearest,
                errors,
                functional_load: load,
                generalises,
                rule: behind,
                score: weights.score(
                    share(errors, discovery),
                    load.unwrap_or(0.0),
                    generalises,
                ),
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
