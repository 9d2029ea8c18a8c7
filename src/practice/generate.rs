//! Exercises made from the word list, the accent and the patterns, without end: a seed says
//! which.

use std::collections::BTreeSet;

mod described;

use super::chance::Chance;
use super::difficulty::Scale;
use super::grade::Grader;
use super::name;
use super::outcome::Outcome;
use super::read::{Read, bracketed};
use super::set::{Exercise, Kind, Set};
use super::term;
use crate::accent::Accent;
use crate::feature::{Airstream, Class};
use crate::inventory;
use crate::lexicon::{self, Lexicon};
use crate::notation::Transcription;

/// Words of higher rank are too rare to be put before a trainee.
const COMMONEST: u32 = 5000;
/// The fewest letters of a word.
const SHORTEST: usize = 3;
/// How many levels there are.
pub const LEVELS: u8 = 5;
/// Words that are not put before a trainee, one a line.
const LEFT_OUT: &str = include_str!("../../grammar/exercises/left-out.txt");

/// The rules that a made exercise may ask for, one a line: those whose place leaves no doubt.
/// Of the rows that make up a rule the first is asked for, its usual place.
const ASKED: &str = include_str!("../../grammar/exercises/asked-rules.txt");

/// The kinds of exercise that can be made.
pub const KINDS: [Kind; 10] = Kind::ALL;

/// What is wished for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wish {
    /// Kinds of exercise, each of [`KINDS`]; they take turns.
    pub kinds: Vec<Kind>,
    /// How many exercises.
    pub count: usize,
    /// The seed: the same one gives the same exercises.
    pub seed: u64,
    /// From 1, the easiest fifth of what there is by the measured difficulty, to
    /// [`LEVELS`]; without one, all of it.
    pub level: Option<u8>,
}

/// What the names of made sets begin with.
const MADE: &str = "generated";
/// What stands before a level in them.
const LEVEL: &str = "level";

impl Wish {
    /// The name of the set that it makes: all that the set follows from but the count, of
    /// which a greater one only makes the set longer.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::practice::Kind;
    /// use apical::practice::generate::Wish;
    ///
    /// let kinds = vec![Kind::Broad, Kind::Stress];
    /// let wish = Wish { kinds, count: 20, seed: 7, level: Some(2) };
    /// assert_eq!(wish.name(), "generated-broad-stress-level2-7");
    /// assert_eq!(Wish::named(&wish.name(), 20), Some(wish));
    /// assert_eq!(Wish::named("first-symbols", 20), None);
    /// ```
    #[must_use]
    pub fn name(&self) -> String {
        let mut parts = vec![MADE.to_owned()];
        parts.extend(self.kinds.iter().map(|kind| kind.name().to_owned()));
        parts.extend(self.level.map(|it| format!("{LEVEL}{it}")));
        parts.push(self.seed.to_string());
        parts.join("-")
    }

    /// The wish that makes a set of this name, with so many exercises; `None` if no made
    /// set has it.
    #[must_use]
    pub fn named(name: &str, count: usize) -> Option<Self> {
        let parts = name.strip_prefix(MADE)?.strip_prefix('-')?;
        let (parts, seed) = parts.rsplit_once('-')?;
        let mut wish = Self {
            kinds: Vec::new(),
            count,
            seed: seed.parse().ok()?,
            level: None,
        };
        for part in parts.split('-') {
            let level = part.strip_prefix(LEVEL).and_then(|it| it.parse().ok());
            match level {
                Some(level) => wish.level = Some(level),
                None => wish
                    .kinds
                    .push(Kind::ALL.into_iter().find(|it| it.name() == part)?),
            }
        }
        Some(wish)
    }
}

/// Makes a set. There are fewer exercises than wished for where there are no more.
///
/// Every exercise is one that [`Grader::faults`] finds nothing wrong with.
///
/// Cost: a look at the 5,000 commonest words.
#[must_use]
pub fn generate(lexicon: &Lexicon, accent: &Accent, wish: &Wish) -> Set {
    let kinds: Vec<&str> = wish.kinds.iter().map(|kind| kind.name()).collect();
    let level = wish
        .level
        .map_or_else(String::new, |it| format!(", level {it}"));
    let mut set = Set {
        name: wish.name(),
        title: format!("Generated: {}{level}, seed {}", kinds.join(", "), wish.seed),
        about: "made from the word list, the accent and the patterns".to_owned(),
        accent: accent.name().to_owned(),
        ..Set::default()
    };
    let mut maker = Maker::new(lexicon, accent, wish);
    let mut queues: Vec<(Kind, Vec<Source>)> = Vec::new();
    for kind in &wish.kinds {
        queues.push((*kind, maker.sources(*kind, wish.level)));
    }
    let mut seen = BTreeSet::new();
    while set.exercises.len() < wish.count {
        let before = set.exercises.len();
        for (kind, queue) in &mut queues {
            while set.exercises.len() < wish.count {
                let Some(source) = queue.pop() else { break };
                let Some(mut exercise) = maker.exercise(*kind, &source) else {
                    continue;
                };
                if !seen.insert((exercise.kind, exercise.id.clone())) {
                    continue;
                }
                exercise.line = set.exercises.len() + 1;
                set.exercises.push(exercise);
                break;
            }
        }
        if set.exercises.len() == before {
            break;
        }
    }
    set
}

/// What an exercise is made from.
#[derive(Clone, Debug)]
enum Source {
    /// A word with its targets, without dots.
    Word(&'static str, Vec<String>),
    /// A letter of the alphabet.
    Letter(&'static str),
    /// A pattern and an example of it: word, target, production.
    Pattern(&'static str, String, [String; 3]),
}

/// Whether a word, in small letters, is not put before anybody: swearing and the like.
#[must_use]
pub fn is_left_out(word: &str) -> bool {
    LEFT_OUT.lines().any(|left_out| left_out == word)
}

struct Maker {
    grader: Grader,
    scale: Scale,
    chance: Chance,
    words: Vec<(u32, Source)>,
    /// Phonemes as they are written, one for each.
    sounds: Vec<String>,
}

impl Maker {
    fn new(lexicon: &Lexicon, accent: &Accent, wish: &Wish) -> Self {
        let mut scale = Scale::new(accent);
        let of_words = wish.kinds.iter().any(|kind| {
            let of_sounds = [Kind::Features, Kind::Symbol, Kind::Posture, Kind::Pattern];
            !of_sounds.contains(kind)
        });
        let mut words = Vec::new();
        if of_words {
            for entry in lexicon {
                let word = entry.word();
                let fit = entry.kind() == lexicon::Kind::Word
                    && entry.rank().is_some_and(|rank| rank <= COMMONEST)
                    && word.len() >= SHORTEST
                    && word.bytes().all(|byte| byte.is_ascii_lowercase())
                    && !is_left_out(word);
                if !fit {
                    continue;
                }
                let mut targets: Vec<String> =
                    entry.targets().map(|it| it.replace('.', "")).collect();
                targets.dedup();
                let Some(first) = targets.first() else {
                    continue;
                };
                let score = scale.measure(first).score();
                words.push((score, Source::Word(word, targets)));
            }
        }
        let mut seen = BTreeSet::new();
        let mut sounds: Vec<String> = Vec::new();
        for phoneme in accent.phonemes() {
            if seen.insert(phoneme.number) {
                sounds.push(phoneme.text.to_owned());
            }
        }
        Self {
            grader: Grader::new(accent),
            scale,
            chance: Chance::new(wish.seed),
            words,
            sounds,
        }
    }

    /// What a kind of exercise can be made from at a level, in an order drawn by chance.
    fn sources(&mut self, kind: Kind, level: Option<u8>) -> Vec<Source> {
        let mut sources: Vec<(u32, Source)> = match kind {
            Kind::Features | Kind::Symbol => self.letters(),
            Kind::Posture => self.postures(),
            Kind::Pattern => self.patterns(),
            Kind::Stress => {
                let words = self.words.iter().filter(|(_, source)| {
                    matches!(source, Source::Word(_, targets)
                        if targets.iter().all(|it| it.contains('ˈ')))
                });
                words.cloned().collect()
            }
            _ => self.words.clone(),
        };
        if let Some(level) = level {
            sources.sort_by_key(|(score, _)| *score);
            let all = sources.len();
            let level = usize::from(level.clamp(1, LEVELS));
            let levels = usize::from(LEVELS);
            let (from, to) = (all * (level - 1) / levels, all * level / levels);
            sources = sources.get(from..to).unwrap_or_default().to_vec();
        }
        let mut sources: Vec<Source> = sources.into_iter().map(|(_, it)| it).collect();
        self.chance.shuffle(&mut sources);
        sources
    }

    /// Letters of the chart that their name tells from all others.
    fn letters(&mut self) -> Vec<(u32, Source)> {
        let named = |text: &str| {
            let read = Read::new(&bracketed(text, true));
            let clean = read.text.diagnostics().is_empty();
            let bundle = read
                .bundles
                .first()
                .filter(|_| clean && read.bundles.len() == 1)?;
            // Clicks, implosives and double articulations are named in other ways.
            let known = bundle.class == Class::Vowel
                || bundle.class == Class::Consonant
                    && bundle.airstream == Airstream::Pulmonic
                    && bundle.place.iter().count() == 1;
            let terms: Vec<String> =
                term::of(bundle).into_iter().map(|it| it.1).collect();
            (known && terms.len() >= 3).then(|| terms.join(" "))
        };
        let letters: Vec<(&'static str, String)> = inventory::symbols()
            .iter()
            .filter_map(|symbol| Some((symbol.text, named(symbol.text)?)))
            .collect();
        let alone = |name: &String| {
            letters.iter().filter(|(_, other)| other == name).count() == 1
        };
        let mut found = Vec::new();
        for (text, name) in &letters {
            if alone(name) {
                let score = self.scale.measure(text).score();
                found.push((score, Source::Letter(text)));
            }
        }
        found
    }

    fn patterns(&mut self) -> Vec<(u32, Source)> {
        let mut found = Vec::new();
        for (file, called) in name::pattern_names() {
            let Some(pattern) = name::pattern_named(file) else {
                continue;
            };
            let segmental =
                matches!(pattern.class.as_str(), "consonant" | "vowel" | "syllable");
            for example in pattern.matches.iter().filter(|_| segmental) {
                let score = self.scale.measure(&example.target).score();
                let texts = [&example.word, &example.target, &example.production];
                let texts = texts.map(Clone::clone);
                found.push((score, Source::Pattern(file, called.to_owned(), texts)));
            }
        }
        found
    }

    fn exercise(&mut self, kind: Kind, source: &Source) -> Option<Exercise> {
        match (kind, source) {
            (Kind::Narrow, Source::Word(word, targets)) => self.narrow(word, targets),
            (Kind::Mend, Source::Word(word, targets)) => self.mend(word, targets),
            (Kind::Clinical, Source::Word(word, targets)) => self.marked(word, targets),
            (Kind::Posture, Source::Letter(text)) => self.posture(text),
            (_, Source::Word(word, targets)) => self.word(kind, word, targets),
            (_, Source::Letter(text)) => self.letter(kind, text),
            (_, Source::Pattern(file, called, texts)) => {
                let [word, target, production] = texts;
                let exercise = Exercise {
                    id: format!("{file} {word}"),
                    kind,
                    word: word.clone(),
                    given: format!("/{target}/ → [{production}]"),
                    key: (*file).to_owned(),
                    also: vec![called.clone()],
                    rules: Vec::new(),
                    point: name::pattern_named(file)?.catches.clone(),
                    line: 0,
                };
                let item = self.grader.shown_item(&exercise)?;
                name::shows(name::pattern_named(file)?, &item).then_some(exercise)
            }
        }
    }

    fn of_word(
        &mut self,
        kind: Kind,
        word: &str,
        targets: &[String],
    ) -> Option<Exercise> {
        let key = targets.first()?;
        let point = self.scale.measure(key).to_string();
        Some(Exercise {
            id: word.to_owned(),
            kind,
            word: word.to_owned(),
            given: String::new(),
            key: format!("/{key}/"),
            also: targets.iter().skip(1).map(|it| format!("/{it}/")).collect(),
            rules: Vec::new(),
            point,
            line: 0,
        })
    }

    fn word(&mut self, kind: Kind, word: &str, targets: &[String]) -> Option<Exercise> {
        let mut exercise = self.of_word(kind, word, targets)?;
        match kind {
            Kind::Listen => exercise.given = format!("say:{word}"),
            Kind::Stress => {
                let plain = |text: &str| text.replace(['ˈ', 'ˌ'], "");
                exercise.given = plain(&exercise.key);
                exercise.also.retain(|also| plain(also) == exercise.given);
            }
            _ => {}
        }
        Some(exercise)
    }

    /// One sound of a word's first target put in place of another, one feature away.
    fn mend(&mut self, word: &str, targets: &[String]) -> Option<Exercise> {
        let mut exercise = self.of_word(Kind::Mend, word, targets)?;
        let key = Read::new(&exercise.key);
        let mut places: Vec<usize> = (0..key.bundles.len()).collect();
        self.chance.shuffle(&mut places);
        let accent = self.grader.accent().clone();
        for place in places {
            let bundle = key.bundles.get(place)?;
            let span = key.text.segments().nth(place)?.span();
            let near = accent.nearest(bundle);
            let near: Vec<&str> = near
                .iter()
                .filter(|(apart, other)| {
                    (1..=1000).contains(apart) && other.parts.len() == 1
                })
                .map(|(_, other)| other.text)
                .collect();
            if near.is_empty() {
                continue;
            }
            let other = near.get(self.chance.below(near.len()))?;
            let mut given = exercise.key.clone();
            given.replace_range(span.start..span.end, other);
            let read = Transcription::parse(&given);
            if !read.is_valid() || !accent.judge(&read).is_empty() {
                continue;
            }
            if self.grader.grade(&exercise, &given).outcome == Outcome::Wrong {
                exercise.given = given;
                return Some(exercise);
            }
        }
        None
    }

    /// One allophone put wherever its rule applies in a word's first target.
    fn narrow(&mut self, word: &str, targets: &[String]) -> Option<Exercise> {
        let target = targets.first()?;
        let accent = self.grader.accent().clone();
        let mut rules: Vec<&'static inventory::AllophoneRow> = ASKED
            .lines()
            .filter_map(|name| accent.allophones().find(|rule| rule.name == name))
            .collect();
        self.chance.shuffle(&mut rules);
        for rule in rules {
            let Some(key) = self.narrowed(target, rule) else {
                continue;
            };
            let exercise = Exercise {
                id: format!("{word}: {}", rule.name),
                kind: Kind::Narrow,
                word: word.to_owned(),
                given: format!("/{target}/"),
                key: format!("[{key}]"),
                also: Vec::new(),
                rules: vec![rule.name.to_owned()],
                point: format!("{}: {}", rule.name, rule.context),
                line: 0,
            };
            let set = Set {
                accent: accent.name().to_owned(),
                exercises: vec![exercise.clone()],
                ..Set::default()
            };
            if self.grader.faults(&set).is_empty() {
                return Some(exercise);
            }
        }
        None
    }

    /// A broad target with a rule applied wherever the accent explains the result by that
    /// very rule; nothing where it does not apply.
    fn narrowed(
        &mut self,
        target: &str,
        rule: &inventory::AllophoneRow,
    ) -> Option<String> {
        let becomes = rule.becomes.first()?;
        let mut narrow = target.to_owned();
        let mut shown = 0;
        let sounds = Transcription::parse(target).segments().count();
        // From the end, so that the places before stay where they are.
        for place in (0..sounds).rev() {
            let read = Transcription::parse(&narrow);
            let Some(segment) = read.segments().nth(place) else {
                continue;
            };
            let span = segment.span();
            let one_of_its_own = rule.sounds.iter().any(|row| {
                row.first()
                    .is_some_and(|them| them.contains(segment.text()))
            });
            if !one_of_its_own {
                continue;
            }
            let mut tried = narrow.clone();
            tried.replace_range(
                span.start..span.end,
                &becomes.replace('◌', segment.text()),
            );
            let now = self.grader.shows_rule(target, &tried, rule);
            if now.is_some_and(|now| now > shown) {
                narrow = tried;
                shown += 1;
            }
        }
        (shown > 0).then_some(narrow)
    }

    fn letter(&mut self, kind: Kind, text: &str) -> Option<Exercise> {
        let read = Read::new(&bracketed(text, true));
        let bundle = read.bundles.first()?;
        let terms: Vec<String> = term::of(bundle).into_iter().map(|it| it.1).collect();
        let mut named = terms.join(" ");
        if bundle.class == Class::Vowel {
            named.push_str(" vowel");
        }
        let known = self.sounds.iter().any(|sound| sound == text);
        let point = if known {
            "a sound of the accent"
        } else {
            "a sound from beyond the accent"
        };
        let symbol = format!("[{text}]");
        let (given, key) = if kind == Kind::Features {
            (symbol, named)
        } else {
            (named, symbol)
        };
        Some(Exercise {
            id: text.to_owned(),
            kind,
            word: String::new(),
            given,
            key,
            also: Vec::new(),
            rules: Vec::new(),
            point: point.to_owned(),
            line: 0,
        })
    }
}
