//! What to ask next: the words that would decide between rules.

use super::{Discovery, Effect, Found, Nearly, Sample, Sounds};

/// A word worth asking for.
#[derive(Clone, Debug, PartialEq)]
pub struct Probe {
    /// Its place in the list that was given.
    pub word: usize,
    /// What it is expected to tell, in bits.
    pub bits: f64,
    /// The rule it tells most about, by its place in the discovery; `None` for one that is
    /// only nearly there.
    pub decides: Option<usize>,
}

/// How likely an error is that no rule predicts.
const SLIP: f64 = 0.02;
/// How often a rule works of which little is known.
const USUAL: f64 = 0.8;

/// The words, most telling first, that would decide best between the rules found, their
/// rivals and none. Cost: linear in the words for each rule and rival.
///
/// A word tells, of a rule, the mutual information between which rule holds and what is said,
/// summed over the places where they disagree, one bit at most; less the more the words
/// before it have told already.
#[must_use]
pub fn probes(
    discovery: &Discovery,
    sounds: &Sounds,
    words: &[Sample],
    count: usize,
) -> Vec<Probe> {
    let mut questions: Vec<Question<'_>> =
        discovery.rules.iter().map(Question::of).collect();
    questions.extend(discovery.nearly.iter().map(Question::near));
    let told: Vec<Vec<f64>> = words
        .iter()
        .map(|word| questions.iter().map(|it| it.told(word, sounds)).collect())
        .collect();
    let mut known = vec![0.0; questions.len()];
    let mut chosen: Vec<Probe> = Vec::new();
    while chosen.len() < count {
        let worth = |told: &Vec<f64>| -> f64 {
            told.iter()
                .zip(&known)
                .map(|(bits, known)| bits / (1.0 + known))
                .sum()
        };
        let mut best: Option<(usize, f64)> = None;
        for (at, told) in told.iter().enumerate() {
            let worth = worth(told);
            let better = best.is_none_or(|(_, so_far)| worth > so_far + 1e-9);
            if better && chosen.iter().all(|it| it.word != at) {
                best = Some((at, worth));
            }
        }
        let Some((word, bits)) = best.filter(|(_, worth)| *worth > 1e-3) else {
            break;
        };
        let told = told.get(word).map(Vec::as_slice).unwrap_or_default();
        let most = told
            .iter()
            .enumerate()
            .max_by(|one, other| one.1.total_cmp(other.1));
        chosen.push(Probe {
            word,
            bits,
            decides: most
                .map(|(at, _)| at)
                .filter(|at| *at < discovery.rules.len()),
        });
        for (known, bits) in known.iter_mut().zip(told) {
            *known += bits;
        }
    }
    chosen
}

/// A rule, what could stand in its place, and how likely each is.
struct Question<'f> {
    effects: Vec<(&'f Effect, f64)>,
    absent: f64,
    rate: f64,
}

impl<'f> Question<'f> {
    fn of(found: &'f Found) -> Self {
        let mut effects = vec![(&found.effect, 1.0)];
        let rivals = found.rival_effects.iter().zip(&found.rivals);
        effects.extend(rivals.map(|(effect, (_, more))| (effect, (-more).exp2())));
        // What the rivals kept do not account for is left to "no rule".
        let sum: f64 = effects.iter().map(|(_, weight)| weight).sum();
        let absent = (1.0 / found.posterior.max(1e-6) - sum).max(1e-3);
        let total = sum + absent;
        for (_, weight) in &mut effects {
            *weight /= total;
        }
        #[allow(clippy::cast_precision_loss, reason = "counts of sites")]
        let rate = (found.covers as f64 + 1.0)
            / ((found.covers + found.exceptions) as f64 + 1.5);
        Self {
            effects,
            absent: absent / total,
            rate,
        }
    }

    /// Whether a rule that the sheet nearly shows is there.
    fn near(nearly: &'f Nearly) -> Self {
        let weight = (-nearly.more).exp2();
        Self {
            effects: vec![(&nearly.effect, weight / (1.0 + weight))],
            absent: 1.0 / (1.0 + weight),
            rate: USUAL,
        }
    }

    fn told(&self, word: &Sample, sounds: &Sounds) -> f64 {
        let predicted: Vec<Vec<(usize, Option<u8>)>> = self
            .effects
            .iter()
            .map(|(effect, _)| effect.predictions(word, sounds))
            .collect();
        let mut places: Vec<(usize, Option<u8>)> =
            predicted.iter().flatten().copied().collect();
        places.sort_unstable();
        places.dedup();
        let mut bits = 0.0;
        for place in places {
            let (mut mixed, mut sure) = (SLIP * self.absent, self.absent * spread(SLIP));
            for (predicted, (_, weight)) in predicted.iter().zip(&self.effects) {
                let chance = if predicted.contains(&place) {
                    self.rate
                } else {
                    SLIP
                };
                mixed += weight * chance;
                sure += weight * spread(chance);
            }
            bits += (spread(mixed) - sure).max(0.0);
        }
        bits.min(1.0)
    }
}

/// The entropy of a yes-or-no question, in bits.
fn spread(chance: f64) -> f64 {
    let part = |it: f64| if it > 0.0 { -it * it.log2() } else { 0.0 };
    part(chance) + part(1.0 - chance)
}
