//! The measures, in what `apical analyze` writes.

use serde::Serialize;

use crate::finding::measure;
use crate::finding::measure::breakdown;
use crate::finding::measure::repertoire;
use crate::finding::measure::rules::{RULE_SET, Rules};

/// What is measured of a sheet; its fields stand in the analysis itself.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Measures<'a> {
    /// One figure each.
    pub measures: Vec<Measure<'a>>,
    /// What they are counted over, and where the right and wrong sounds are.
    pub measured: Measured<'a>,
}

/// One figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Measure<'a> {
    /// Its name.
    pub name: &'static str,
    /// Its value; `null` where the denominator is zero.
    pub value: Option<f64>,
    /// What is counted.
    pub numerator: u64,
    /// Out of what.
    pub denominator: u64,
    /// What the value is in.
    pub unit: &'static str,
    /// The rule set, its version, what is counted, and the rules that are not as usual.
    pub rules: &'a str,
    /// Why there is no value, or what was left out.
    pub note: Option<&'a str>,
}

impl<'a> Measure<'a> {
    /// The contract's form of a figure.
    #[must_use]
    pub fn new(measure: &'a measure::Measure) -> Self {
        Self {
            name: measure.name,
            value: measure.value,
            numerator: measure.numerator,
            denominator: measure.denominator,
            unit: measure.unit,
            rules: &measure.rules,
            note: measure.note.as_deref(),
        }
    }
}

/// What the figures are counted over.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Measured<'a> {
    /// The rule set and its version.
    pub rule_set: &'static str,
    /// Every rule that published sources answer differently, as it was answered.
    pub switches: Vec<Switch>,
    /// How many rows count.
    pub items: usize,
    /// What does not count.
    pub left_out: Vec<LeftOut<'a>>,
    /// The sounds of the targets by class, by place and by phoneme.
    pub groups: Vec<Group<'a>>,
    /// The sounds produced, whatever they were meant to be.
    pub inventory: Vec<Heard<'a>>,
}

/// A rule.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Switch {
    /// Its name.
    pub name: &'static str,
    /// Its value: yes, no or a number.
    pub value: String,
    /// Whether that is the usual one.
    pub usual: bool,
    /// What it decides.
    pub decides: &'static str,
}

/// Rows that do not count, and why.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LeftOut<'a> {
    /// Why, in a word.
    pub cause: &'static str,
    /// How many.
    pub count: usize,
    /// Their lines in the file, from 1.
    pub rows: &'a [u64],
}

/// Sounds of the targets that have something in common.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Group<'a> {
    /// class, position or phoneme.
    pub by: &'static str,
    /// What they have in common.
    pub name: &'a str,
    /// How many were right; allophones are.
    pub right: u64,
    /// How many were off in detail.
    pub distorted: u64,
    /// How many were another sound, left out, or had a sound added to them.
    pub wrong: u64,
    /// The sum of the three.
    pub of: u64,
    /// How far the productions are from them in all, in thousandths of a feature.
    pub distance: u64,
}

/// A sound that was heard, or a phoneme that was not.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Heard<'a> {
    /// The phoneme, detail apart, or the sound as it was typed.
    pub sound: &'a str,
    /// Whether it is a phoneme of the accent.
    pub phoneme: bool,
    /// In how many different words it was heard.
    pub words: usize,
    /// Whether that is enough to stand in the inventory.
    pub established: bool,
    /// How often it was heard at the beginning of a word.
    pub initial: u64,
    /// Within a word.
    pub medial: u64,
    /// At the end of a word.
    pub r#final: u64,
    /// In how many different words it was wanted.
    pub wanted: usize,
}

impl<'a> Measured<'a> {
    /// The contract's form of it.
    #[must_use]
    pub fn new(
        rules: &Rules,
        items: usize,
        left_out: &'a [(&'static str, Vec<u64>)],
        groups: &'a [breakdown::Group],
        inventory: &'a [repertoire::Heard],
    ) -> Self {
        let switches = rules.all().into_iter();
        Self {
            rule_set: RULE_SET,
            switches: switches
                .map(|(name, value, usual, decides)| Switch {
                    name,
                    value,
                    usual,
                    decides,
                })
                .collect(),
            items,
            left_out: left_out
                .iter()
                .map(|(cause, rows)| LeftOut {
                    cause,
                    count: rows.len(),
                    rows,
                })
                .collect(),
            groups: groups
                .iter()
                .map(|it| Group {
                    by: it.by.name(),
                    name: &it.name,
                    right: it.right,
                    distorted: it.distorted,
                    wrong: it.wrong,
                    of: it.of(),
                    distance: it.distance,
                })
                .collect(),
            inventory: inventory
                .iter()
                .map(|it| Heard {
                    sound: &it.sound,
                    phoneme: it.is_phoneme,
                    words: it.words.len(),
                    established: it.words.len() >= rules.inventory_words,
                    initial: it.positions[0],
                    medial: it.positions[1],
                    r#final: it.positions[2],
                    wanted: it.wanted.len(),
                })
                .collect(),
        }
    }
}
