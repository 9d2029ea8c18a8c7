//! Words that a client's rules make alike.

use super::rule::{Confidence, Discovery, Effect, Sample, Sounds, Spoken};

/// Two words that fall together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Homophones {
    /// The commoner word, by its place in the list that was given.
    pub a: usize,
    /// The other.
    pub b: usize,
}

/// What a client who follows the rules found makes of a word: in each place the first rule
/// that reaches it works. Rules with too few chances, and those whose outcome is open, do
/// not.
#[must_use]
pub fn said(discovery: &Discovery, word: &Sample, sounds: &Sounds) -> Sample {
    let mut said = word.clone();
    let mut taken: Vec<usize> = Vec::new();
    for rule in &discovery.rules {
        let seldom = rule.covers < rule.exceptions;
        if rule.confidence == Confidence::TooFew || seldom || rule.effect.is_open() {
            continue;
        }
        work(&rule.effect, word, sounds, &mut taken, &mut said);
    }
    said
}

/// Lets a rule work in the places of a word that no rule has taken yet.
fn work(
    effect: &Effect,
    word: &Sample,
    sounds: &Sounds,
    taken: &mut Vec<usize>,
    said: &mut Sample,
) {
    for (place, outcome) in effect.predictions(word, sounds) {
        if taken.contains(&place) {
            continue;
        }
        taken.push(place);
        if place % 2 == 1 {
            if let Some(sound) = said.sounds.get_mut(place / 2) {
                sound.outcome = outcome;
            }
        } else if let (Some(gap), Some(sound)) = (said.added.get_mut(place / 2), outcome)
        {
            gap.push(sound);
        }
    }
}

/// How much of what the sounds of words tell is lost where a rule always works: 0 nothing,
/// 1 all. `None` if what comes of the sound is left open.
///
/// `words` stand with their right productions and how often each occurs. Cost: the words,
/// and two sorts.
///
/// # Source
/// The functional load of Surendran and Niyogi (2006), word level, where the language that
/// is compared is the one in which the rule has worked; from memory.
#[must_use]
pub fn load(effect: &Effect, words: &[(Sample, f64)], sounds: &Sounds) -> Option<f64> {
    if effect.is_open() {
        return None;
    }
    let whole = entropy(words.iter().map(|(word, often)| (heard(word), *often)));
    let worked = words.iter().map(|(word, often)| {
        let mut said = word.clone();
        work(effect, word, sounds, &mut Vec::new(), &mut said);
        (heard(&said), *often)
    });
    let left = entropy(worked);
    Some(if whole > 0.0 {
        ((whole - left) / whole).max(0.0)
    } else {
        0.0
    })
}

/// The entropy of words as they sound, in bits.
fn entropy(words: impl Iterator<Item = (Heard, f64)>) -> f64 {
    let mut all: Vec<(Heard, f64)> = words.collect();
    all.sort_by(|one, other| one.0.cmp(&other.0));
    let sum: f64 = all.iter().map(|(_, often)| often).sum();
    all.chunk_by(|one, other| one.0 == other.0)
        .map(|alike| alike.iter().map(|(_, often)| often).sum::<f64>() / sum)
        .filter(|share| *share > 0.0)
        .map(|share| -share * share.log2())
        .sum()
}

/// What is heard: each sound with whether it is stressed.
type Heard = Vec<(u8, Option<bool>)>;

/// A sample as it sounds.
fn heard(sample: &Sample) -> Heard {
    let mut heard = Vec::new();
    let spoken = |it: &Spoken| Some((it.outcome?, it.stressed));
    for (at, added) in sample.added.iter().enumerate() {
        heard.extend(added.iter().map(|it| (*it, None)));
        heard.extend(sample.sounds.get(at).and_then(spoken));
    }
    heard
}

/// A production in IPA, without stress.
#[must_use]
pub fn written(sample: &Sample, sounds: &Sounds) -> String {
    heard(sample).iter().map(|it| sounds.text(it.0)).collect()
}

/// The pairs of words, among some that stand commonest first with right productions, that
/// sound alike once the rules have worked, and did not before; the commonest first, by
/// their rarer word. Of words that are alike anyhow the commonest stands for all.
///
/// Cost: the words times the rules, and a sort.
#[must_use]
pub fn homophones(
    discovery: &Discovery,
    words: &[(Sample, f64)],
    sounds: &Sounds,
) -> Vec<Homophones> {
    let mut all: Vec<(Heard, Heard, usize)> = words
        .iter()
        .enumerate()
        .map(|(at, (word, _))| (heard(&said(discovery, word, sounds)), heard(word), at))
        .collect();
    all.sort();
    // Alike anyhow: the first, which is the commonest, stays.
    all.dedup_by(|one, other| (&one.0, &one.1) == (&other.0, &other.1));
    let mut found: Vec<Homophones> = all
        .chunk_by(|one, other| one.0 == other.0)
        .flat_map(|alike| {
            let mut places: Vec<usize> = alike.iter().map(|it| it.2).collect();
            places.sort_unstable();
            let first = places.first().copied();
            let others = places.into_iter().skip(1);
            others
                .filter_map(|b| Some(Homophones { a: first?, b }))
                .collect::<Vec<_>>()
        })
        .collect();
    found.sort_by_key(|it| (it.b, it.a));
    found
}
