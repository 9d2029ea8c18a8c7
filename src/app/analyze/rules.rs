//! The rules behind a sheet's errors, for `apical analyze`: what to work on first, the words
//! made alike, what to ask next.

use std::collections::BTreeSet;

use crate::accent::Accent;
use crate::finding::homophone::{self, Homophones};
use crate::finding::item::{Item, Pairing};
use crate::finding::pattern::Pattern;
use crate::finding::priority::{Goal, Priority, Weights, goals, priorities};
use crate::finding::rule::{
    BUDGET, Background, Discovery, Known, Probe, Sample, Sounds, catalogue, discover,
    probes,
};
use crate::lexicon::{Forms, Kind, Lexicon, Scope};
use crate::notation::Transcription;
use crate::report::json::rules as json;
use crate::report::text::rules as drawn;

/// What was found.
pub(super) struct Rules {
    /// How many items were looked at.
    items: usize,
    discovery: Discovery,
    sounds: Sounds,
    /// For each rule the name of the pattern that it is, if it is a known one.
    names: Vec<Option<String>>,
    priorities: Vec<Priority>,
    goals: Vec<Goal>,
    /// Common words with right productions, and how often each occurs.
    words: Vec<(Sample, f64)>,
    homophones: Vec<Homophones>,
    probes: Vec<Probe>,
}

/// How many of the commonest words are looked at: those a client meets.
const COMMON: usize = 5_000;
/// How many words to ask next are named.
const PROBES: usize = 8;
/// How many sounds a word has that is asked: long ones show much, but are hard to say and
/// to write down.
const ASKABLE: core::ops::RangeInclusive<usize> = 2..=7;
/// Bits below which a word is not worth asking for: the rules are decided.
const WORTH: f64 = 0.05;

/// How many words tell rules apart that look alike on the sheet, at most.
const APART: usize = 2_400;
/// How often each sound stands in them if there are enough such words: a rule that concerns
/// a rare sound too is then another rule.
const EACH: usize = 100;

impl Rules {
    pub(super) fn in_items(
        items: &[Item],
        accent: &Accent,
        patterns: &[Pattern],
        weights: Weights,
    ) -> Self {
        let mut sounds = Sounds::of(accent);
        let samples: Vec<Sample> =
            items.iter().map(|it| Sample::of(it, &mut sounds)).collect();
        let wrong = items.iter().any(|it| !it.is_right());
        let lexicon = Lexicon::of(accent.name()).filter(|_| wrong);
        let words = match &lexicon {
            Some(lexicon) => common(lexicon, accent, &mut sounds),
            None => Vec::new(),
        };
        let (places, known): (Vec<usize>, Vec<Known>) =
            catalogue(patterns, &sounds).into_iter().unzip();
        let background = Background {
            known: &known,
            words: &apart(&words),
        };
        let discovery = discover(&sounds, &samples, &background, BUDGET);
        let name = |known: usize| {
            let pattern = places.get(known).and_then(|at| patterns.get(*at));
            pattern.map(|it| it.name.clone())
        };
        let mut rules = Self {
            items: items.len(),
            names: discovery
                .rules
                .iter()
                .map(|it| it.known.and_then(name))
                .collect(),
            discovery,
            sounds,
            priorities: Vec::new(),
            goals: Vec::new(),
            words,
            homophones: Vec::new(),
            probes: Vec::new(),
        };
        let Some(lexicon) = lexicon.filter(|_| rules.discovery.errors > 0) else {
            return rules;
        };
        if let Ok(forms) = Forms::of(&lexicon, &Scope::default()) {
            rules.priorities = priorities(
                &rules.discovery,
                &samples,
                &rules.sounds,
                accent,
                &lexicon,
                &forms,
                weights,
            );
        }
        rules.goals = goals(
            &rules.discovery,
            &rules.priorities,
            &rules.words,
            &rules.sounds,
            weights,
        );
        if rules.discovery.rules.is_empty() {
            return rules;
        }
        rules.homophones =
            homophone::homophones(&rules.discovery, &rules.words, &rules.sounds);
        // Spelled words, not transcriptions: their case means nothing.
        let folded = |word: &str| -> String {
            word.chars().map(|it| it.to_ascii_lowercase()).collect()
        };
        let asked: BTreeSet<String> = items.iter().map(|it| folded(&it.word)).collect();
        let asked = |word: &Sample| asked.contains(&folded(&word.word));
        let (pool, places): (Vec<Sample>, Vec<usize>) = rules
            .words
            .iter()
            .enumerate()
            .map(|(at, (word, _))| (at, word))
            .filter(|(_, it)| ASKABLE.contains(&it.sounds.len()) && !asked(it))
            .map(|(at, it)| (it.clone(), at))
            .unzip();
        rules.probes = probes(&rules.discovery, &rules.sounds, &pool, PROBES)
            .into_iter()
            .filter(|it| it.bits >= WORTH)
            .filter_map(|it| {
                let word = *places.get(it.word)?;
                Some(Probe { word, ..it })
            })
            .collect();
        rules
    }

    fn word(&self, at: usize) -> &str {
        self.words.get(at).map_or("", |(it, _)| &it.word)
    }

    /// How two words sound that fall together.
    fn sounds_as(&self, pair: &Homophones) -> String {
        self.words.get(pair.a).map_or(String::new(), |(it, _)| {
            let said = homophone::said(&self.discovery, it, &self.sounds);
            homophone::written(&said, &self.sounds)
        })
    }

    pub(super) fn json(&self) -> json::Rules<'_> {
        json::Rules {
            rules: self
                .discovery
                .rules
                .iter()
                .zip(&self.names)
                .map(|(rule, name)| json::Rule {
                    pattern: name.as_deref(),
                    ..json::Rule::new(rule)
                })
                .collect(),
            unexplained: self.discovery.unexplained,
            cut_short: self.discovery.cut_short,
            searched: self.discovery.searched,
            priorities: self.priorities.iter().map(json::Priority::new).collect(),
            work_first: self
                .goals
                .iter()
                .map(|it| json::Goal::new(it, &self.discovery, &self.priorities))
                .collect(),
            homophones: self
                .homophones
                .iter()
                .map(|it| json::Homophones {
                    a: self.word(it.a),
                    b: self.word(it.b),
                    r#as: self.sounds_as(it),
                })
                .collect(),
            ask_next: self
                .probes
                .iter()
                .map(|it| json::Probe {
                    word: self.word(it.word),
                    bits: it.bits,
                    rule: it.decides,
                })
                .collect(),
        }
    }

    pub(super) fn page(&self, whole_lists: bool) -> drawn::Page<'_> {
        let pairs = if whole_lists {
            usize::MAX
        } else {
            drawn::PAIRS
        };
        drawn::Page {
            whole_lists,
            words: self.items,
            discovery: &self.discovery,
            names: self.names.iter().map(Option::as_deref).collect(),
            priorities: &self.priorities,
            goals: &self.goals,
            homophones: self
                .homophones
                .iter()
                .take(pairs)
                .map(|it| (self.word(it.a), self.word(it.b), self.sounds_as(it)))
                .collect(),
            pairs: self.homophones.len(),
            probes: self
                .probes
                .iter()
                .map(|it| (self.word(it.word), it.decides))
                .collect(),
        }
    }
}

/// The commonest words of a lexicon with right productions, and how often each occurs in a
/// million words.
fn common(lexicon: &Lexicon, accent: &Accent, sounds: &mut Sounds) -> Vec<(Sample, f64)> {
    let mut pairing = Pairing::new(accent);
    let entries = lexicon.commonest_first();
    let words = entries.iter().filter(|it| it.kind() == Kind::Word);
    words
        .take(COMMON)
        .filter_map(|entry| {
            let target = Transcription::parse(&entry.targets().next()?);
            let item = pairing.item(0, entry.word(), &target, &target);
            Some((Sample::of(&item, sounds), entry.frequency().unwrap_or(0.0)))
        })
        .collect()
}

/// Words in which every sound stands often enough, as far as there are such.
fn apart(words: &[(Sample, f64)]) -> Vec<Sample> {
    let mut counts = [0_usize; 256];
    let mut chosen = Vec::new();
    for (word, _) in words {
        let mut rare = false;
        for sound in &word.sounds {
            let count = counts.get_mut(usize::from(sound.target));
            rare |= count.is_some_and(|it| *it < EACH);
        }
        if !rare || chosen.len() >= APART {
            continue;
        }
        for sound in &word.sounds {
            if let Some(count) = counts.get_mut(usize::from(sound.target)) {
                *count += 1;
            }
        }
        chosen.push(word.clone());
    }
    chosen
}
