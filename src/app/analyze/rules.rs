//! The rules behind a sheet's errors, for `apical analyze`: what to work on first, the words
//! made alike, what to ask next.

use crate::accent::Accent;
use crate::finding::homophone::{self, Homophones};
use crate::finding::item::{Item, Pairing};
use crate::finding::priority::{Priority, Weights, priorities};
use crate::finding::rule::{BUDGET, Discovery, Probe, Sample, Sounds, discover, probes};
use crate::lexicon::{Forms, Kind, Lexicon, Scope};
use crate::notation::Transcription;
use crate::report::json::rules as json;
use crate::report::text::rules as drawn;

/// What was found.
pub(super) struct Rules {
    discovery: Discovery,
    sounds: Sounds,
    priorities: Vec<Priority>,
    /// Common words, as a client who follows the rules would say them.
    words: Vec<Sample>,
    homophones: Vec<Homophones>,
    probes: Vec<Probe>,
}

/// How many of the commonest words are looked at: those a client meets.
const COMMON: usize = 5_000;
/// How many words to ask next are named.
const PROBES: usize = 8;
/// Bits below which a word is not worth asking for: the rules are decided.
const WORTH: f64 = 0.05;

impl Rules {
    pub(super) fn in_items(items: &[Item], accent: &Accent) -> Self {
        let mut sounds = Sounds::of(accent);
        let samples: Vec<Sample> =
            items.iter().map(|it| Sample::of(it, &mut sounds)).collect();
        let discovery = discover(&sounds, &samples, &[], BUDGET);
        let mut rules = Self {
            discovery,
            sounds,
            priorities: Vec::new(),
            words: Vec::new(),
            homophones: Vec::new(),
            probes: Vec::new(),
        };
        let Some(lexicon) = Lexicon::of(accent.name()) else {
            return rules;
        };
        if rules.discovery.errors == 0 {
            return rules;
        }
        if let Ok(forms) = Forms::of(&lexicon, &Scope::default()) {
            rules.priorities = priorities(
                &rules.discovery,
                &samples,
                &rules.sounds,
                &lexicon,
                &forms,
                Weights::default(),
            );
        }
        if rules.discovery.rules.is_empty() {
            return rules;
        }
        let mut pairing = Pairing::new(accent);
        let entries = lexicon.commonest_first();
        let common = entries.iter().filter(|it| it.kind() == Kind::Word);
        for entry in common.take(COMMON) {
            let Some(target) = entry.targets().next() else {
                continue;
            };
            let target = Transcription::parse(&target);
            let item = pairing.item(0, entry.word(), &target, &target);
            rules.words.push(Sample::of(&item, &mut rules.sounds));
        }
        rules.homophones =
            homophone::homophones(&rules.discovery, &rules.words, &rules.sounds);
        let asked = |word: &Sample| {
            items
                .iter()
                .any(|it| it.word.eq_ignore_ascii_case(&word.word))
        };
        let (pool, places): (Vec<Sample>, Vec<usize>) = rules
            .words
            .iter()
            .enumerate()
            .filter(|(_, it)| it.sounds.len() > 1 && !asked(it))
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
        self.words.get(at).map_or("", |it| &it.word)
    }

    /// How two words sound that fall together.
    fn sounds_as(&self, pair: &Homophones) -> String {
        self.words.get(pair.a).map_or(String::new(), |it| {
            let said = homophone::said(&self.discovery, it, &self.sounds);
            homophone::written(&said, &self.sounds)
        })
    }

    pub(super) fn json(&self) -> json::Rules<'_> {
        json::Rules {
            rules: self.discovery.rules.iter().map(json::Rule::new).collect(),
            unexplained: self.discovery.unexplained,
            cut_short: self.discovery.cut_short,
            priorities: self.priorities.iter().map(json::Priority::new).collect(),
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

    pub(super) fn page(&self) -> drawn::Page<'_> {
        drawn::Page {
            discovery: &self.discovery,
            priorities: &self.priorities,
            homophones: self
                .homophones
                .iter()
                .take(drawn::PAIRS)
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
