//! What `apical analyze` writes: one object for a sheet.

use serde::Serialize;

use super::measure::Measures;
use super::rules::Rules;
use super::{Difference, VERSION};
use crate::finding::difference::Differences;
use crate::finding::error;
use crate::finding::item::Item;
use crate::finding::pattern::{self, Tally};
use crate::finding::prosody::rhythm;
use crate::syllable::Part;

/// What `apical analyze` writes.
#[derive(Clone, Debug, Serialize)]
pub struct Analysis<'a> {
    /// Always [`VERSION`].
    pub version: u32,
    /// The accent that targets are read by.
    pub accent: &'a str,
    /// How many rows could be read.
    pub items: usize,
    /// Of them, those with every sound and every stress right.
    pub right: usize,
    /// Of them, those whose target was looked up.
    pub looked_up: usize,
    /// Rows that could not be read.
    pub left_out: Vec<LeftOut<'a>>,
    /// Every error, by row and place.
    pub errors: Vec<Error<'a>>,
    /// Named patterns with at least one opportunity, commonest first.
    pub patterns: Vec<Pattern<'a>>,
    /// Prosody, apart from the sounds.
    pub prosody: Rhythm,
    /// The rules behind the errors, and what follows from them.
    #[serde(flatten)]
    pub rules: Rules<'a>,
    /// How much is right, how near, how complex.
    #[serde(flatten)]
    pub measures: Measures<'a>,
}

impl<'a> Analysis<'a> {
    /// An analysis without anything in it.
    #[must_use]
    pub fn new(accent: &'a str, items: &[Item]) -> Self {
        Self {
            version: VERSION,
            accent,
            items: items.len(),
            right: items.iter().filter(|item| item.is_right()).count(),
            looked_up: 0,
            left_out: Vec::new(),
            errors: Vec::new(),
            patterns: Vec::new(),
            prosody: Rhythm::default(),
            rules: Rules::default(),
            measures: Measures::default(),
        }
    }
}

/// A row that could not be read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LeftOut<'a> {
    /// The line of the file it begins on, from 1.
    pub row: u64,
    /// The word.
    pub word: &'a str,
    /// Why, in a word: unintelligible, no response, no target, unreadable, misshapen row.
    pub cause: &'static str,
    /// Why, and what to do about it.
    pub reason: &'a str,
}

/// One error.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Error<'a> {
    /// The line of the file it stands on, from 1.
    pub row: u64,
    /// The word.
    pub word: &'a str,
    /// What was intended; `null` for an addition.
    pub target: Option<&'a str>,
    /// What was said; `null` for an omission.
    pub production: Option<&'a str>,
    /// Distortion, substitution, omission, addition or transposition.
    pub kind: &'static str,
    /// Initial, medial or final in the word.
    pub position: &'static str,
    /// Onset, nucleus or coda; `null` in a word without a vowel.
    pub syllable_part: Option<&'static str>,
    /// Its place in that part, from 1.
    pub slot: u32,
    /// How many sounds that part has.
    pub cluster: u32,
    /// Whether its syllable is stressed; `null` where the transcription does not say.
    pub stressed: Option<bool>,
    /// By feature, in the contract's order.
    pub differences: Vec<Difference>,
}

impl<'a> Error<'a> {
    /// The contract's form of an error of an item.
    #[must_use]
    pub fn new(item: &'a Item, error: &'a error::Error) -> Self {
        let differences = error.differences.iter().flat_map(Differences::iter);
        Self {
            row: item.row,
            word: &item.word,
            target: error.target.as_deref(),
            production: error.production.as_deref(),
            kind: error.kind.name(),
            position: error.site.position.name(),
            syllable_part: error.site.part.map(Part::name),
            slot: error.site.slot + 1,
            cluster: error.site.size,
            stressed: error.site.stress.is_stressed(),
            differences: differences.map(Into::into).collect(),
        }
    }
}

/// What a sheet shows of a named pattern.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Pattern<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its rules as they are written, parted by semicolons.
    pub rule: String,
    /// What it catches, in words.
    pub catches: &'a str,
    /// What kind of pattern it is.
    pub class: &'a str,
    /// How often it shows.
    pub occurrences: usize,
    /// How often it could have.
    pub opportunities: usize,
    /// Opportunities, among them, whose sound was left out.
    pub bled: usize,
    /// Whether there were too few chances to say anything.
    pub too_few: bool,
    /// Whether it counts what the accent allows: a habit, no error.
    pub allowed: bool,
    /// The rows it shows in, each once.
    pub rows: Vec<u64>,
    /// Their words.
    pub words: Vec<&'a str>,
    /// Where it is described.
    pub source: &'a str,
}

impl<'a> Pattern<'a> {
    /// The contract's form of a tally.
    #[must_use]
    pub fn new(pattern: &'a pattern::Pattern, tally: &Tally, items: &'a [Item]) -> Self {
        let shown = tally.items.iter().filter_map(|at| items.get(*at));
        Self {
            name: &pattern.name,
            rule: pattern.rules().collect::<Vec<_>>().join("; "),
            catches: &pattern.catches,
            class: &pattern.class,
            occurrences: tally.occurrences,
            opportunities: tally.opportunities,
            bled: tally.bled,
            too_few: tally.is_too_few(),
            allowed: pattern.counts_allowed,
            rows: shown.clone().map(|item| item.row).collect(),
            words: shown.map(|item| item.word.as_str()).collect(),
            source: &pattern.source,
        }
    }
}

/// Prosody over a sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Rhythm {
    /// Words of several syllables stressed where they should be.
    pub stress: Share,
    /// Reduced vowels that are reduced.
    pub reduction: Share,
    /// Full vowels that are full.
    pub full_vowels: Share,
    /// Syllables of the targets that are there.
    pub syllables: Share,
    /// Syllables that no target has.
    pub added_syllables: usize,
    /// The rows that have them.
    pub added_rows: Vec<u64>,
    /// Rows of several syllables in which one side marks no stress.
    pub unmarked_rows: Vec<u64>,
}

/// How often something held.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Share {
    /// How often it held.
    pub numerator: usize,
    /// How often it could have.
    pub denominator: usize,
    /// The rows it did not hold in, each once.
    pub rows: Vec<u64>,
}

impl Rhythm {
    /// The contract's form of it.
    #[must_use]
    pub fn new(rhythm: &rhythm::Rhythm, items: &[Item]) -> Self {
        let rows = |numbers: &mut dyn Iterator<Item = usize>| -> Vec<u64> {
            numbers
                .filter_map(|at| items.get(at))
                .map(|item| item.row)
                .collect()
        };
        let share = |share: &rhythm::Share| Share {
            numerator: share.held,
            denominator: share.chances,
            rows: rows(&mut share.failed.iter().copied()),
        };
        Self {
            stress: share(&rhythm.stress),
            reduction: share(&rhythm.reduction),
            full_vowels: share(&rhythm.full),
            syllables: share(&rhythm.kept),
            added_syllables: rhythm.added.iter().map(|(_, count)| count).sum(),
            added_rows: rows(&mut rhythm.added.iter().map(|(at, _)| *at)),
            unmarked_rows: rows(&mut rhythm.unmarked.iter().copied()),
        }
    }
}
