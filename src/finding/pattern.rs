//! Named error patterns: rules A → B / C _ D, looked for in the items of a sheet.
//!
//! A pattern is a file under `grammar/patterns/`, or the coach's own in the same form. Each
//! line is `field: value`; a pattern begins with its `name`, a line that begins with `%` is a
//! remark. Fields: `name`, `catches` (what it is, in words), `class`, `rule` (again for
//! more), `spelling` (endings such as `-ed` that the words must have), `languages` (first
//! languages that the source names), `source`, `allowed: yes` (it counts where the accent
//! allows it too), and examples, each a word, its target and a
//! production parted by `|`: `match` shows the pattern, `differ` does not.
//!
//! # The notation of rules
//!
//! | written | is |
//! |---|---|
//! | `θ`, `tʃ`, `eɪ`, `t̪` | that sound; its marks must be there, further ones may |
//! | `C` `V` `N` `T` | a consonant, a vowel, a nasal, a tone |
//! | `C[-son, +voice]`, `[+sibilant]` | any sound with these features |
//! | `{ɪ, ʊ, V[+low]}` | any of these; in two sets of the same size each answers its like |
//! | `∅` | nothing |
//! | `#` `.` | the edge of a word, of a syllable |
//! | `(C)` | perhaps a consonant |
//! | `…` | any sounds of the same word |
//! | `C₁ C₂ → C₂ C₁` | the same sounds in another order; a new number, another sound |
//! | `[αplace]` | the place of a sound of the context |
//! | `ˈσ` `ˌσ` `σ` `σ[-stress]` | a syllable with primary stress, with secondary, without primary, without any |
//! | `\|` | a pause |
//!
//! To the right of the arrow a matrix without a letter, `→ [-voice]`, is a change: the rest
//! of the sound stays. Contexts are read on the target.

mod class;
mod detector;
mod feature;
mod notation;
mod segmental;
mod sound;
mod syllabic;
mod table;
mod unit;

pub use class::{SoundClass, contrasts};
pub use detector::Detector;
pub use notation::{Fault, parse};

use segmental::Segmental;
use syllabic::Syllabic;
use unit::Units;

use crate::finding::item::Item;

/// Opportunities below which a share says nothing.
///
/// # Source
///
/// Four chances at least: `McReynolds` and Elbert (1981), from memory.
pub const FEW: usize = 4;

/// A named pattern.
#[derive(Clone, Debug)]
pub struct Pattern {
    /// Its name.
    pub name: String,
    /// What it catches, in words.
    pub catches: String,
    /// What kind of pattern it is: vowel, consonant, syllable, prosody and so on.
    pub class: String,
    /// First languages whose speakers are known for it, as far as the source names them.
    pub languages: Vec<String>,
    /// Where it is described.
    pub source: String,
    /// What shows it.
    pub matches: Vec<Example>,
    /// What does not show it.
    pub differs: Vec<Example>,
    /// The file and line it begins on.
    pub place: String,
    /// Whether it counts where the accent allows it too: a habit worth knowing, no error.
    pub counts_allowed: bool,
    rules: Vec<(String, Rule)>,
    spelling: Vec<String>,
}

/// A word that shows a pattern, or does not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Example {
    /// The word.
    pub word: String,
    /// What was intended.
    pub target: String,
    /// What was said.
    pub production: String,
    /// The file and line it stands on.
    pub place: String,
}

#[derive(Clone, Debug)]
enum Rule {
    Segmental(Segmental),
    Syllabic(Syllabic),
}

/// What became of a chance to show a pattern.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// The pattern shows.
    Shown,
    /// What the pattern would change was left out, so that nothing can be said.
    Bled,
    /// It does not show.
    Absent,
}

/// A place of an item where a pattern could show.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Chance {
    /// The column of the item, from 0; for something put in the column it stands before.
    pub column: usize,
    /// What became of it.
    pub outcome: Outcome,
}

/// What a sheet shows of one pattern.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// How often it shows.
    pub occurrences: usize,
    /// How often it could have: every place of the targets that meets its description.
    pub opportunities: usize,
    /// Opportunities, among them, that were bled: see [`Outcome::Bled`].
    pub bled: usize,
    /// The items it shows in, each once, in order.
    pub items: Vec<usize>,
    /// The item and column of every occurrence.
    pub shown: Vec<(usize, usize)>,
}

impl Tally {
    /// Whether there were too few chances to say anything.
    #[must_use]
    pub const fn is_too_few(&self) -> bool {
        self.opportunities < FEW
    }
}

impl Pattern {
    /// Its rules as they are written.
    pub fn rules(&self) -> impl Iterator<Item = &str> {
        self.rules.iter().map(|(text, _)| text.as_str())
    }

    /// Every place of an item where it could show, in order, each once. For many patterns or
    /// many items a [`Detector`] finds the same sooner.
    #[must_use]
    pub fn chances(&self, item: &Item) -> Vec<Chance> {
        let mut chances = Vec::new();
        if !self.is_about(&item.word) {
            return chances;
        }
        let mut units = Units::of(item);
        units.counts_allowed = self.counts_allowed;
        for (_, rule) in &self.rules {
            match rule {
                Rule::Segmental(rule) => rule.chances(&units, &mut chances),
                Rule::Syllabic(rule) => rule.chances(&units, &mut chances),
            }
        }
        // Of what two rules say of one place, what shows goes first.
        chances.sort_unstable();
        chances.dedup_by_key(|chance| chance.column);
        chances
    }

    /// Whether a word is spelled as it asks.
    fn is_about(&self, word: &str) -> bool {
        let ends = |ending: &String| word.ends_with(ending.as_str());
        self.spelling.is_empty() || self.spelling.iter().any(ends)
    }
}

/// The patterns that Apical comes with, in the order of their files' names.
#[must_use]
pub fn shipped() -> Vec<Pattern> {
    crate::inventory::patterns()
        .iter()
        .flat_map(|(file, text)| parse(file, text).unwrap_or_default())
        .collect()
}

/// What some items show of each pattern, in the order of the patterns.
///
/// Cost: that of a [`Detector`].
#[must_use]
pub fn tally(patterns: &[Pattern], items: &[Item]) -> Vec<Tally> {
    let mut tallies = vec![Tally::default(); patterns.len()];
    let mut detector = Detector::new(patterns);
    for (number, item) in items.iter().enumerate() {
        for (pattern, chance) in detector.chances(item) {
            let Some(tally) = tallies.get_mut(*pattern) else {
                continue;
            };
            tally.opportunities += 1;
            match chance.outcome {
                Outcome::Shown => {
                    tally.occurrences += 1;
                    tally.shown.push((number, chance.column));
                    if tally.items.last() != Some(&number) {
                        tally.items.push(number);
                    }
                }
                Outcome::Bled => tally.bled += 1,
                Outcome::Absent => {}
            }
        }
    }
    tallies
}
