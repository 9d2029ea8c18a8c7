//! What `apical agree` writes: one object for two transcriptions of a sample.

use serde::Serialize;

use super::VERSION;
use crate::finding::agreement::kappa;
use crate::finding::agreement::transcribers::{self, DENOMINATOR, Sound};
use crate::finding::difference;
use crate::report::agree::Page;

/// What `apical agree` writes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Agreement<'a> {
    /// Always [`VERSION`].
    pub version: u32,
    /// The accent that says what one sound is.
    pub accent: &'a str,
    /// The two tables.
    pub files: &'a [String; 2],
    /// How many rows were compared.
    pub items: usize,
    /// What the percentages are out of.
    pub denominator: &'static str,
    /// Point to point, by the letters alone.
    pub broad: Share,
    /// Point to point, by letters and marks.
    pub narrow: Share,
    /// Rows that are alike in every sound, by letters and marks.
    pub whole: Share,
    /// By class of sound.
    pub classes: Vec<OfClass>,
    /// How many labels the coefficients know, marks included; no sound is one.
    pub labels: usize,
    /// Cohen's kappa; `null` where it is undefined.
    pub kappa: Option<f64>,
    /// Cohen's kappa weighted by distance in features.
    pub weighted_kappa: Option<f64>,
    /// Krippendorff's alpha, nominal.
    pub alpha: Option<f64>,
    /// Cohen's kappa over the letters alone.
    pub broad_kappa: Option<f64>,
    /// What these are made of.
    pub coefficients: Vec<Coefficient>,
    /// Every place where the two disagree, in order.
    pub disagreements: Vec<Disagreement<'a>>,
    /// Rows of the first table in which the stress marks differ.
    pub stress_rows: Vec<u64>,
    /// Rows that were not compared.
    pub left_out: Vec<LeftOut<'a>>,
}

/// Agreements out of comparisons.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Share {
    /// Where they agree.
    pub agreements: u64,
    /// Where they were compared.
    pub comparisons: u64,
    /// As a percentage; `null` where nothing was compared.
    pub percent: Option<f64>,
}

/// A class of sounds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OfClass {
    /// Its name.
    pub name: &'static str,
    /// By the letters.
    pub broad: Share,
    /// By letters and marks.
    pub narrow: Share,
}

/// What a coefficient is made of.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Coefficient {
    /// Its name.
    pub name: &'static str,
    /// Its value.
    pub value: Option<f64>,
    /// What was seen: agreement for a kappa, disagreement for alpha.
    pub observed: f64,
    /// What chance alone would give.
    pub expected: f64,
}

/// A place where the two disagree.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Disagreement<'a> {
    /// The line of the first table, from 1.
    pub row: u64,
    /// The line of the second.
    pub row_b: u64,
    /// The word.
    pub word: &'a str,
    /// What the first wrote; `null` where only the second has a sound.
    pub a: Option<&'a str>,
    /// What the second wrote.
    pub b: Option<&'a str>,
    /// Whether the letters differ too, not only the marks.
    pub broad: bool,
    /// In what, by feature.
    pub differences: Vec<Difference>,
}

/// A feature in which two sounds differ.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Difference {
    /// Its name.
    pub feature: &'static str,
    /// Its value in what the first wrote.
    pub a: String,
    /// In what the second wrote.
    pub b: String,
}

/// A row that was not compared.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LeftOut<'a> {
    /// The table it is in.
    pub file: &'a str,
    /// Its line, from 1.
    pub row: u64,
    /// The word.
    pub word: &'a str,
    /// Why, in a word or two.
    pub cause: &'static str,
    /// Why, and what to do about it.
    pub reason: &'a str,
}

impl From<transcribers::Share> for Share {
    fn from(share: transcribers::Share) -> Self {
        Self {
            agreements: share.agreements,
            comparisons: share.comparisons,
            percent: share.percent(),
        }
    }
}

impl<'a> Agreement<'a> {
    /// The contract's form of it.
    #[must_use]
    pub fn new(page: &'a Page<'a>) -> Self {
        let found = page.found;
        let kappa = |name, kappa: &kappa::Kappa| Coefficient {
            name,
            value: kappa.kappa,
            observed: kappa.observed,
            expected: kappa.expected,
        };
        Self {
            version: VERSION,
            accent: page.accent,
            files: page.names,
            items: page.rows.len(),
            denominator: DENOMINATOR,
            broad: found.broad.into(),
            narrow: found.narrow.into(),
            whole: found.whole.into(),
            classes: found
                .classes
                .iter()
                .map(|it| OfClass {
                    name: it.name,
                    broad: it.broad.into(),
                    narrow: it.narrow.into(),
                })
                .collect(),
            labels: found.labels,
            kappa: found.kappa.kappa,
            weighted_kappa: found.weighted_kappa.kappa,
            alpha: found.alpha.alpha,
            broad_kappa: found.broad_kappa.kappa,
            coefficients: vec![
                kappa("kappa", &found.kappa),
                kappa("broad kappa", &found.broad_kappa),
                kappa("weighted kappa", &found.weighted_kappa),
                Coefficient {
                    name: "alpha",
                    value: found.alpha.alpha,
                    observed: found.alpha.observed,
                    expected: found.alpha.expected,
                },
            ],
            disagreements: found
                .disagreements
                .iter()
                .filter_map(|it| {
                    let row = page.rows.get(it.pair)?;
                    Some(Disagreement {
                        row: row.lines[0],
                        row_b: row.lines[1],
                        word: row.word,
                        a: it.one.as_ref().map(|it| it.written.as_str()),
                        b: it.other.as_ref().map(|it| it.written.as_str()),
                        broad: it.is_broad,
                        differences: differences(it.one.as_ref(), it.other.as_ref()),
                    })
                })
                .collect(),
            stress_rows: found
                .stress
                .iter()
                .filter_map(|at| page.rows.get(*at).map(|it| it.lines[0]))
                .collect(),
            left_out: page
                .left_out
                .iter()
                .map(|it| LeftOut {
                    file: &it.file,
                    row: it.line,
                    word: &it.word,
                    cause: it.cause,
                    reason: &it.reason,
                })
                .collect(),
        }
    }
}

fn differences(one: Option<&Sound>, other: Option<&Sound>) -> Vec<Difference> {
    let (Some(one), Some(other)) = (one, other) else {
        return Vec::new();
    };
    let differences = difference::between(&one.bundle(), &other.bundle());
    differences
        .iter()
        .map(|it| Difference {
            feature: it.feature.name(),
            a: it.target(),
            b: it.production(),
        })
        .collect()
}
