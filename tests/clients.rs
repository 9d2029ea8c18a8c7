//! Invented clients whose rules are known: what rule discovery is measured on.
//!
//! A client has one to five of the templates below, each working at its own rate, and slips
//! that follow no rule. One seed fixes everything about a client.

use apical::accent::Accent;
use apical::finding::item::Pairing;
use apical::finding::rule::{Effect, Known, Neighbours, Sample, Sounds, Spoken};
use apical::lexicon::{Kind, Lexicon};
use apical::notation::Transcription;

/// Numbers that look random (splitmix64).
pub(crate) struct Random(pub(crate) u64);

impl Random {
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut x = self.0;
        x = (x ^ x >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        x = (x ^ x >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        x ^ x >> 31
    }
    pub(crate) fn below(&mut self, bound: usize) -> usize {
        usize::try_from(self.next() % (bound.max(1) as u64)).unwrap()
    }
    #[allow(clippy::cast_precision_loss, reason = "a fraction")]
    pub(crate) fn fraction(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// Focus, outcomes in the same order (or one for all, ∅, or `*` for any full vowel), left,
/// right, position. Patterns known from teaching English to speakers of other languages,
/// from memory.
const TEMPLATES: &[[&str; 5]] = &[
    ["θ ð", "t̪ d̪", "", "", ""],
    ["θ ð", "t d", "", "", ""],
    ["θ ð", "s z", "", "", ""],
    ["θ", "s", "", "", ""],
    ["θ", "f", "", "", ""],
    ["θ", "t", "", "", "onset"],
    ["ð", "d", "", "", ""],
    ["b d ɡ v ð z ʒ dʒ", "p t k f θ s ʃ tʃ", "", "#", ""],
    ["b d ɡ", "p t k", "", "#", ""],
    ["z", "s", "", "", ""],
    ["ɪ ʊ", "i u", "", "", ""],
    ["ɪ", "i", "", "", ""],
    ["i", "ɪ", "", "C", ""],
    ["æ", "ɛ", "", "", ""],
    ["æ", "a", "", "", ""],
    ["ʌ", "a", "", "", ""],
    ["ɑ", "ɔ", "", "", "stressed"],
    ["ɔ", "o", "", "", ""],
    ["v", "w", "", "", ""],
    ["v", "b", "", "", ""],
    ["w", "v", "", "", ""],
    ["f", "p", "", "", ""],
    ["ɹ", "ɾ", "", "", ""],
    ["ɹ", "l", "", "", "onset"],
    ["ɹ", "∅", "V", "C #", ""],
    ["l", "ɾ", "", "", ""],
    ["l", "w", "", "", "coda"],
    ["C", "∅", "", "#", ""],
    ["p b t d k ɡ", "∅", "", "#", ""],
    ["C", "∅", "C", "#", ""],
    ["ɹ l w j", "∅", "C", "V", ""],
    ["ɹ l", "∅", "O", "", "onset"],
    ["", "ɛ", "#", "s", "two"],
    ["", "ɡ", "ŋ", "", ""],
    ["", "ə", "C", "#", ""],
    ["", "ə", "O", "ɹ l", ""],
    ["ʃ", "tʃ", "", "", ""],
    ["tʃ", "ʃ", "", "", ""],
    ["tʃ dʒ", "ʃ ʒ", "", "", ""],
    ["dʒ", "j", "", "", ""],
    ["ʒ", "dʒ", "", "", ""],
    ["ə", "*", "", "", ""],
    ["h", "∅", "#", "", ""],
    ["h", "x", "", "", ""],
    ["ŋ", "n", "", "#", ""],
    ["m ŋ", "n n", "", "#", ""],
    ["eɪ oʊ", "e o", "", "", ""],
    ["eɪ", "e", "", "", ""],
    ["p t k f θ s ʃ tʃ", "b d ɡ v ð z ʒ dʒ", "V", "V", ""],
    ["t d", "t̪ d̪", "", "", ""],
    ["s", "ʃ", "", "i ɪ", ""],
    ["t d", "tʃ dʒ", "", "i ɪ", ""],
    ["ɝ ɚ", "ɜ ə", "", "", ""],
    ["p b t d k ɡ", "ʔ", "V", "#", ""],
];

const CONSONANTS: &str = "p b t d k ɡ m n ŋ f v θ ð s z ʃ ʒ h ɹ l w j tʃ dʒ t̪ d̪ ʔ ɾ x";
const OBSTRUENTS: &str = "p b t d k ɡ f v θ ð s z ʃ ʒ tʃ dʒ";
const VOWELS: &str = "i ɪ ɛ æ ɑ ɔ ʊ u ʌ ə eɪ aɪ ɔɪ aʊ oʊ ɝ ɚ a e o ɜ ɪɹ ɛɹ ɑɹ ɔɹ ʊɹ";
/// Sounds that only productions have.
const ELSEWHERE: &str = "a e o ɜ ɾ x ʔ t̪ d̪";

/// A template over numbers.
#[derive(Clone, Debug)]
pub(crate) struct Template {
    pub(crate) number: usize,
    focus: Vec<u8>,
    outcomes: Vec<u8>,
    deletes: bool,
    any_full: Vec<u8>,
    left: Option<(Vec<u8>, bool)>,
    right: Option<(Vec<u8>, bool)>,
    position: &'static str,
}

/// A sound of a word as it changes: the number, and which target sound it was.
#[derive(Clone, Copy)]
struct Now {
    sound: u8,
    origin: Option<usize>,
    onset: bool,
    coda: bool,
    stressed: bool,
}

/// Everything that clients are made of.
pub(crate) struct World {
    pub(crate) sounds: Sounds,
    pub(crate) templates: Vec<Template>,
    /// Words with right productions.
    pub(crate) words: Vec<Sample>,
    pub(crate) targets: Vec<String>,
    /// Other words, on which rules are compared.
    pub(crate) reference: Vec<Sample>,
    /// Words that discovery may tell rules apart on: those that sheets are made of.
    pub(crate) background: Vec<Sample>,
    pub(crate) consonants: Vec<u8>,
    pub(crate) pairing: Pairing,
}

pub(crate) struct Client {
    pub(crate) rules: Vec<(Template, f64)>,
    pub(crate) slips: f64,
    seed: u64,
}

impl World {
    pub(crate) fn new() -> Self {
        Self::of_words(3_600)
    }

    /// A world of so many words at least, two in three of them for sheets.
    pub(crate) fn of_words(wanted: usize) -> Self {
        let accent = Accent::named("en-US").unwrap();
        let mut pairing = Pairing::new(&accent);
        let mut sounds = Sounds::of(&accent);
        let mut number = |text: &str| {
            let parsed = Transcription::parse(text);
            let side = pairing.side(&parsed);
            let whole = apical::alignment::whole(&side.bundles).unwrap();
            sounds.number(&whole, text)
        };
        let mut list = |text: &str| -> Vec<u8> {
            text.split_whitespace().map(&mut number).collect()
        };
        list(ELSEWHERE);
        let (consonants, obstruents) = (list(CONSONANTS), list(OBSTRUENTS));
        let vowels = list(VOWELS);
        let full = list("i ɪ ɛ æ ɑ ɔ ʊ u ʌ a e o eɪ aɪ ɔɪ aʊ oʊ");
        let mut side = |text: &'static str| {
            (!text.is_empty()).then(|| {
                let mut all = Vec::new();
                let mut edge = false;
                for it in text.split(' ') {
                    match it {
                        "#" => edge = true,
                        "C" => all.extend(&consonants),
                        "O" => all.extend(&obstruents),
                        "V" => all.extend(&vowels),
                        sound => all.extend(list(sound)),
                    }
                }
                (all, edge)
            })
        };
        let templates = TEMPLATES
            .iter()
            .enumerate()
            .map(|(number, [focus, outcome, left, right, position])| {
                let focus = side(focus).map_or(Vec::new(), |it| it.0);
                let plain = !["∅", "*"].contains(outcome);
                let mut outcomes = if plain {
                    side(outcome).unwrap().0
                } else {
                    Vec::new()
                };
                while plain && outcomes.len() < focus.len() {
                    outcomes.push(outcomes[0]);
                }
                Template {
                    number,
                    focus,
                    outcomes,
                    deletes: *outcome == "∅",
                    any_full: if *outcome == "*" {
                        full.clone()
                    } else {
                        Vec::new()
                    },
                    left: side(left),
                    right: side(right),
                    position,
                }
            })
            .collect();
        let lexicon = Lexicon::of("en-US").unwrap();
        let mut random = Random(7);
        let mut entries: Vec<_> = lexicon
            .commonest_first()
            .into_iter()
            .filter(|it| it.kind() == Kind::Word && it.frequency().is_some())
            .take(wanted.saturating_mul(2).max(24_000))
            .collect();
        for at in (1..entries.len()).rev() {
            entries.swap(at, random.below(at + 1));
        }
        let mut words = Vec::new();
        let mut targets = Vec::new();
        let mut counts = vec![0_usize; 200];
        for entry in entries {
            let text = entry.targets().next().unwrap();
            let parsed = Transcription::parse(&text);
            let item = pairing.item(0, entry.word(), &parsed, &parsed);
            let sample = Sample::of(&item, &mut sounds);
            if !(2..=8).contains(&sample.sounds.len()) {
                continue;
            }
            // Beyond the first, words only for sounds that are still too rare.
            let rare = sample
                .sounds
                .iter()
                .any(|it| counts[usize::from(it.target)] < 70);
            if words.len() >= wanted && !rare {
                continue;
            }
            for sound in &sample.sounds {
                counts[usize::from(sound.target)] += 1;
            }
            words.push(sample);
            targets.push(text);
        }
        // Every third is kept to compare rules on.
        let mut reference = Vec::new();
        let mut kept = (Vec::new(), Vec::new());
        for (at, (word, target)) in words.into_iter().zip(targets).enumerate() {
            if at % 3 == 0 {
                reference.push(word);
            } else {
                kept.0.push(word);
                kept.1.push(target);
            }
        }
        Self {
            sounds,
            templates,
            background: kept.0.clone(),
            words: kept.0,
            targets: kept.1,
            reference,
            consonants,
            pairing,
        }
    }

    pub(crate) fn client(&self, seed: u64) -> Client {
        let mut random = Random(seed.wrapping_mul(0x5851_f42d_4c95_7f2d));
        let wanted = 1 + random.below(5);
        let mut rules: Vec<(Template, f64)> = Vec::new();
        let mut tries = 0;
        while rules.len() < wanted && tries < 200 {
            tries += 1;
            let template = self.templates[random.below(self.templates.len())].clone();
            let rate = 0.6 + 0.4 * random.fraction();
            let clashes = rules.iter().any(|(it, _)| {
                it.number == template.number
                    || (it.is_insertion() == template.is_insertion()
                        && it.deletes == template.deletes
                        && self.overlap(it, &template) >= 0.35)
            });
            if !clashes {
                rules.push((template, rate));
            }
        }
        Client {
            rules,
            slips: 0.1 * random.fraction(),
            seed,
        }
    }

    /// The share of sites that two templates have in common, of the smaller one's.
    #[allow(clippy::cast_precision_loss, reason = "a share")]
    fn overlap(&self, one: &Template, other: &Template) -> f64 {
        let (mut both, mut here, mut there) = (0, 0, 0);
        for word in self.reference.iter().take(300) {
            let places = |it: &Template| -> Vec<usize> {
                self.predictions(it, word).iter().map(|it| it.0).collect()
            };
            let (a, b) = (places(one), places(other));
            both += a.iter().filter(|it| b.contains(it)).count();
            here += a.len();
            there += b.len();
        }
        both as f64 / (here.min(there).max(1)) as f64
    }

    /// Where a template could work in a target, and what it would make of it.
    pub(crate) fn predictions(
        &self,
        template: &Template,
        word: &Sample,
    ) -> Vec<(usize, Option<u8>)> {
        let now = start(word);
        let mut all = Vec::new();
        for at in 0..=now.len() {
            if template.is_insertion() {
                if self.fits(template, &now, at) {
                    all.push((2 * at, template.outcomes.first().copied()));
                }
            } else if at < now.len() && self.fits(template, &now, at) {
                let outcome = template
                    .focus
                    .iter()
                    .position(|it| *it == now[at].sound)
                    .and_then(|which| template.outcomes.get(which).copied());
                all.push((2 * at + 1, outcome));
            }
        }
        all
    }

    fn fits(&self, template: &Template, now: &[Now], at: usize) -> bool {
        let insertion = template.is_insertion();
        let sound = now.get(at);
        if !insertion && sound.is_none_or(|it| !template.focus.contains(&it.sound)) {
            return false;
        }
        let side = |side: &Option<(Vec<u8>, bool)>, there: Option<&Now>| {
            side.as_ref().is_none_or(|(sounds, edge)| match there {
                Some(it) => sounds.contains(&it.sound),
                None => *edge,
            })
        };
        let before = at.checked_sub(1).and_then(|it| now.get(it));
        let after = now.get(if insertion { at } else { at + 1 });
        let consonant = |at: usize| {
            now.get(at)
                .is_some_and(|it| self.consonants.contains(&it.sound))
        };
        let place = match template.position {
            "onset" => sound.is_some_and(|it| it.onset),
            "coda" => sound.is_some_and(|it| it.coda),
            "stressed" => sound.is_some_and(|it| it.stressed),
            "two" => consonant(at) && consonant(at + 1),
            _ => true,
        };
        place && side(&template.left, before) && side(&template.right, after)
    }

    /// What a client makes of a word.
    pub(crate) fn say(&self, client: &Client, word: usize) -> Sample {
        let target = &self.words[word];
        let mut random = Random(client.seed.wrapping_mul(977) ^ (word as u64) << 20);
        let mut now = start(target);
        for (template, rate) in &client.rules {
            let mut next = Vec::new();
            for at in 0..=now.len() {
                if template.is_insertion() && self.fits(template, &now, at) {
                    if random.fraction() < *rate {
                        next.push(Now {
                            sound: template.outcomes[0],
                            origin: None,
                            onset: false,
                            coda: false,
                            stressed: false,
                        });
                    }
                }
                let Some(sound) = now.get(at) else { continue };
                let works = !template.is_insertion()
                    && self.fits(template, &now, at)
                    && random.fraction() < *rate;
                if !works {
                    next.push(*sound);
                    continue;
                }
                if template.deletes {
                    continue;
                }
                let outcome = if template.any_full.is_empty() {
                    let which = template.focus.iter().position(|it| *it == sound.sound);
                    template.outcomes[which.unwrap()]
                } else {
                    template.any_full[random.below(template.any_full.len())]
                };
                next.push(Now {
                    sound: outcome,
                    ..*sound
                });
            }
            now = next;
        }
        let mut slipped = Vec::new();
        for sound in now {
            if random.fraction() >= client.slips {
                slipped.push(sound);
                continue;
            }
            let kind = random.fraction();
            let any = u8::try_from(random.below(self.sounds.len())).unwrap();
            if kind < 0.2 {
                continue;
            }
            let similar = self.similar(sound.sound, &mut random);
            let other = if kind < 0.3 {
                slipped.push(sound);
                Now {
                    sound: any,
                    origin: None,
                    ..sound
                }
            } else {
                let to = if kind < 0.7 { similar } else { any };
                Now { sound: to, ..sound }
            };
            slipped.push(other);
        }
        let mut said = Sample {
            row: target.row,
            word: target.word.clone(),
            sounds: target
                .sounds
                .iter()
                .map(|it| Spoken {
                    outcome: None,
                    ..*it
                })
                .collect(),
            added: vec![Vec::new(); target.sounds.len() + 1],
        };
        let mut gap = 0;
        for sound in slipped {
            match sound.origin {
                Some(at) => {
                    said.sounds[at].outcome = Some(sound.sound);
                    gap = at + 1;
                }
                None => said.added[gap].push(sound.sound),
            }
        }
        said
    }

    /// A sound that differs in one or two features, if there is one.
    fn similar(&self, sound: u8, random: &mut Random) -> u8 {
        let Some(here) = self.sounds.bundle(sound) else {
            return sound;
        };
        let near: Vec<u8> = (0..self.sounds.len())
            .filter_map(|it| u8::try_from(it).ok())
            .filter(|it| {
                *it != sound
                    && self.sounds.bundle(*it).is_some_and(|there| {
                        let differences =
                            apical::finding::difference::between(here, there);
                        let features =
                            differences.iter().filter(|it| !it.feature.is_posture());
                        features.count() <= 2
                    })
            })
            .collect();
        if near.is_empty() {
            sound
        } else {
            near[random.below(near.len())]
        }
    }

    /// A sheet that gives every sound its chances in each place, `count` words long.
    pub(crate) fn coverage_sheet(&self, seed: u64, count: usize) -> Vec<usize> {
        let mut random = Random(seed ^ 0xabcd_ef01);
        let pool: Vec<usize> = (0..700).map(|_| random.below(self.words.len())).collect();
        let keys = |word: usize| -> Vec<usize> {
            let sounds = &self.words[word].sounds;
            let last = sounds.len() - 1;
            sounds
                .iter()
                .enumerate()
                .map(|(at, it)| {
                    let place = usize::from(at == last) * 2 + usize::from(it.onset);
                    usize::from(it.target) * 4 + place
                })
                .collect()
        };
        let mut counts = vec![0_usize; 200 * 4];
        let mut sheet: Vec<usize> = Vec::new();
        while sheet.len() < count {
            #[allow(clippy::cast_precision_loss, reason = "small counts")]
            let worth = |word: &usize| -> f64 {
                let keys = keys(*word);
                let sum: f64 =
                    keys.iter().map(|it| 1.0 / (1.0 + counts[*it] as f64)).sum();
                sum / (keys.len() as f64).sqrt()
            };
            let best = pool
                .iter()
                .filter(|it| !sheet.contains(it))
                .max_by(|one, other| worth(one).total_cmp(&worth(other)))
                .copied()
                .unwrap();
            for key in keys(best) {
                counts[key] += 1;
            }
            sheet.push(best);
        }
        sheet
    }

    pub(crate) fn known(template: &Template) -> Known {
        let side = |it: &Option<(Vec<u8>, bool)>| {
            it.as_ref().map(|(sounds, edge)| Neighbours {
                sounds: sounds.clone(),
                edge: *edge,
            })
        };
        Known {
            pairs: match (template.is_insertion(), template.outcomes.as_slice()) {
                (true, outcomes) => vec![(None, outcomes.first().copied())],
                (false, []) => {
                    let open = template.any_full.first().copied();
                    template.focus.iter().map(|it| (Some(*it), open)).collect()
                }
                (false, outcomes) => {
                    let pairs = template.focus.iter().zip(outcomes);
                    pairs.map(|(from, to)| (Some(*from), Some(*to))).collect()
                }
            },
            open: template.any_full.clone(),
            before_two: template.position == "two",
            of: 1,
            left: side(&template.left),
            right: side(&template.right),
            onset: match template.position {
                "onset" => Some(true),
                "coda" => Some(false),
                _ => None,
            },
            stressed: (template.position == "stressed").then_some(true),
        }
    }

    /// How much two rules agree: Jaccard over sites and outcomes of the reference words.
    #[allow(clippy::cast_precision_loss, reason = "a share")]
    pub(crate) fn agreement(&self, template: &Template, effect: &Effect) -> f64 {
        let (mut both, mut either) = (0, 0);
        for word in &self.reference {
            let mut wanted = self.predictions(template, word);
            let mut got = effect.predictions(word, &self.sounds);
            if !template.any_full.is_empty() {
                for it in &mut wanted {
                    it.1 = None;
                }
                for it in &mut got {
                    it.1 = None;
                }
            }
            let shared = wanted.iter().filter(|it| got.contains(it)).count();
            both += shared;
            either += wanted.len() + got.len() - shared;
        }
        both as f64 / (either.max(1)) as f64
    }

    /// The transcription of a production, without brackets.
    pub(crate) fn written(&self, sample: &Sample) -> String {
        let mut text = String::new();
        let add = |text: &mut String, sounds: &[u8]| {
            for it in sounds {
                text.push_str(self.sounds.text(*it));
            }
        };
        for (sound, added) in sample.sounds.iter().zip(&sample.added) {
            add(&mut text, added);
            add(&mut text, sound.outcome.as_slice());
        }
        add(&mut text, sample.added.last().map_or(&[], Vec::as_slice));
        text
    }
}

impl Template {
    /// The template as it stands in the list.
    pub(crate) fn name(&self) -> String {
        let row = TEMPLATES
            .get(self.number)
            .map_or(&[""; 5][..], |it| &it[..]);
        row.join("|")
    }

    pub(crate) fn is_insertion(&self) -> bool {
        self.focus.is_empty()
    }
}

fn start(word: &Sample) -> Vec<Now> {
    let sounds = word.sounds.iter().enumerate();
    sounds
        .map(|(at, it)| Now {
            sound: it.target,
            origin: Some(at),
            onset: it.onset,
            coda: it.coda,
            stressed: it.stressed == Some(true),
        })
        .collect()
}
