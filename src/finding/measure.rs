//! Measures over a sample: how much of it is right, how near, how complex.
//!
//! Every figure carries its numerator, its denominator, the rules it was counted by and what
//! was left out. Samples are pooled by sums over sums, never by means of words' shares. None
//! of them says how good is good enough: an accent is a difference, not a disorder.

pub mod breakdown;
pub mod complexity;
pub mod correctness;
pub mod edit;
pub mod repertoire;
pub mod rules;
pub mod score;
pub mod segment_distance;
pub mod whole_word;

use crate::finding::item::Item;
use rules::Rules;

/// One figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// Its name, as in `PCC`.
    pub name: &'static str,
    /// Numerator over denominator, times a hundred for a percentage; `None` where the
    /// denominator is zero.
    pub value: Option<f64>,
    /// What is counted.
    pub numerator: u64,
    /// Out of what.
    pub denominator: u64,
    /// What the value is in: `%`, or what a denominator's unit has of it.
    pub unit: &'static str,
    /// What is counted, in words.
    pub definition: &'static str,
    /// The rule set, its version, the definition and the switches it was counted with.
    pub rules: String,
    /// Why there is no value, or how to read it.
    pub note: Option<String>,
}

impl Measure {
    /// A percentage.
    pub(crate) fn percent(
        name: &'static str,
        counted: (u64, u64),
        definition: &'static str,
        rules: &Rules,
    ) -> Self {
        let measure = Self::ratio(name, counted, "%", definition, rules);
        Self {
            value: measure.value.map(|value| value * 100.0),
            ..measure
        }
    }

    /// A ratio.
    #[allow(
        clippy::cast_precision_loss,
        reason = "counts of sounds are far below the whole numbers that f64 holds"
    )]
    pub(crate) fn ratio(
        name: &'static str,
        (numerator, denominator): (u64, u64),
        unit: &'static str,
        definition: &'static str,
        rules: &Rules,
    ) -> Self {
        let value = (denominator > 0).then(|| numerator as f64 / denominator as f64);
        Self {
            name,
            value,
            numerator,
            denominator,
            unit,
            definition,
            rules: rules.named(definition),
            note: value
                .is_none()
                .then(|| "nothing to count: the denominator is zero".to_owned()),
        }
    }
}

/// What the measures count over: the items without those that the rules leave out.
#[derive(Clone, Debug, Default)]
pub struct Sample<'i> {
    /// The items that count.
    pub items: Vec<&'i Item>,
    /// The rows of further repetitions of a word, which were left out.
    pub repetitions: Vec<u64>,
}

impl<'i> Sample<'i> {
    /// The items of a sheet that count. Of a word said several times in a row the first two
    /// count, and a later one if it was said differently from the one before, unless the
    /// rules have all of them count.
    ///
    /// # Source
    /// Shriberg & Kwiatkowski 1982, Journal of Speech and Hearing Disorders 47:256–270; the
    /// wording from memory.
    #[must_use]
    pub fn of(items: &'i [Item], rules: &Rules) -> Self {
        let mut sample = Self::default();
        let mut run = 0;
        let mut before: Option<&Item> = None;
        for item in items {
            let again = before.is_some_and(|it| {
                it.word == item.word && it.target.bundles == item.target.bundles
            });
            let changed =
                before.is_none_or(|it| it.production.bundles != item.production.bundles);
            run = if again { run + 1 } else { 0 };
            before = Some(item);
            if run < 2 || changed || rules.every_repetition {
                sample.items.push(item);
            } else {
                sample.repetitions.push(item.row);
            }
        }
        sample
    }
}

/// A way to make measures of a sample.
type Made = fn(&Sample<'_>, &Rules) -> Vec<Measure>;

/// Every family of measures, in the order of reports.
const FAMILIES: &[Made] = &[
    correctness::measures,
    whole_word::measures,
    complexity::measures,
    segment_distance::measures,
];

/// All measures of a sheet's items.
///
/// Cost: linear in the segments.
///
/// # Examples
///
/// ```
/// use apical::accent::Accent;
/// use apical::finding::item::Pairing;
/// use apical::finding::measure::{self, rules::Rules};
/// use apical::notation::Transcription;
///
/// let mut pairing = Pairing::new(&Accent::named("en-US").unwrap());
/// let [target, production] = ["θɪŋk", "sɪŋk"].map(Transcription::parse);
/// let items = [pairing.item(2, "think", &target, &production)];
/// let pcc = &measure::all(&items, &Rules::default())[0];
/// assert_eq!((pcc.name, pcc.numerator, pcc.denominator), ("PCC", 2, 3));
/// assert_eq!(measure::all(&[], &Rules::default())[0].value, None);
/// ```
#[must_use]
pub fn all(items: &[Item], rules: &Rules) -> Vec<Measure> {
    let sample = Sample::of(items, rules);
    let left_out = match sample.repetitions.len() {
        0 => None,
        1 => Some("1 further repetition left out".to_owned()),
        many => Some(format!("{many} further repetitions left out")),
    };
    let mut all: Vec<Measure> = FAMILIES
        .iter()
        .flat_map(|made| made(&sample, rules))
        .collect();
    for measure in &mut all {
        let notes = measure.note.take().into_iter().chain(left_out.clone());
        let notes: Vec<String> = notes.collect();
        measure.note = (!notes.is_empty()).then(|| notes.join("; "));
    }
    all
}
