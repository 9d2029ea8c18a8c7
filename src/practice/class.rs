//! How the exercises of a set did in a class, and how the learners did: classical item
//! analysis.

use std::collections::BTreeMap;

use super::mark::Mark;
use super::outcome::{FULL, Outcome};

/// What the answers of a class say about one exercise.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ItemStatistics {
    /// The set and the exercise.
    pub item: (String, String),
    /// How many learners answered it.
    pub answers: usize,
    /// The share of them who were right, from 0 to 1 (the difficulty *p*: the higher, the
    /// easier).
    pub difficulty: Option<f64>,
    /// The mean credit, from 0 to 1.
    pub credit: Option<f64>,
    /// The point-biserial correlation of being right here with the share right over all
    /// exercises; undefined where everybody or nobody was right.
    pub point_biserial: Option<f64>,
    /// The same with the share right over all *other* exercises.
    pub corrected: Option<f64>,
    /// The share right among the upper 27 % less that among the lower 27 %, from −1 to 1.
    pub upper_lower: Option<f64>,
    /// The wrong answers, the commonest first, with how many gave each.
    pub wrong: Vec<(String, usize)>,
}

/// What a learner's answers add up to.
#[derive(Clone, Debug, PartialEq)]
pub struct LearnerStatistics {
    /// The learner's code.
    pub learner: String,
    /// How many exercises were answered.
    pub answers: usize,
    /// How many of them right.
    pub right: usize,
    /// The mean credit, from 0 to 1.
    pub credit: f64,
}

/// An item analysis.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Class {
    /// Exercise by exercise, in the order in which they first come.
    pub items: Vec<ItemStatistics>,
    /// Learner by learner, by code.
    pub learners: Vec<LearnerStatistics>,
    /// Kuder and Richardson's formula 20 over the learners who answered everything;
    /// undefined for fewer than two exercises or learners, or where all have one total.
    pub reliability: Option<f64>,
    /// How many learners that was.
    pub complete: usize,
}

/// The share of a class in the upper and the lower group.
///
/// # Source
///
/// Kelley (1939), The selection of upper and lower groups for the validation of test items.
const GROUP: f64 = 0.27;

/// Analyses the first answer of each learner to each exercise. Blank answers count as
/// wrong; an exercise that a learner does not have a row for counts nowhere.
#[must_use]
pub fn analyse(marks: &[Mark]) -> Class {
    let mut items: Vec<(String, String)> = Vec::new();
    let mut numbers: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    let mut learners: BTreeMap<&str, Vec<Option<(bool, u32)>>> = BTreeMap::new();
    let mut wrong: Vec<BTreeMap<&str, usize>> = Vec::new();
    for mark in marks.iter().filter(|mark| mark.attempt == 1) {
        let key = (mark.set.as_str(), mark.item.as_str());
        let number = *numbers.entry(key).or_insert_with(|| {
            items.push((mark.set.clone(), mark.item.clone()));
            wrong.push(BTreeMap::new());
            items.len() - 1
        });
        let row = learners.entry(&mark.learner).or_default();
        if row.len() <= number {
            row.resize(number + 1, None);
        }
        let right = matches!(mark.outcome, Outcome::Right | Outcome::Typing);
        if let Some(cell) = row.get_mut(number).filter(|cell| cell.is_none()) {
            *cell = Some((right, mark.credit));
            if let (false, Some(wrong)) = (right, wrong.get_mut(number)) {
                *wrong.entry(mark.answer.as_str()).or_default() += 1;
            }
        }
    }
    let names: Vec<&str> = learners.keys().copied().collect();
    let rows: Vec<Vec<Option<(bool, u32)>>> = learners
        .into_values()
        .map(|mut row| {
            row.resize(items.len(), None);
            row
        })
        .collect();
    let table: Vec<Vec<Option<bool>>> = rows
        .iter()
        .map(|row| row.iter().map(|cell| cell.map(|it| it.0)).collect())
        .collect();
    let mut statistics = item_statistics(&table);
    for (number, (one, item)) in statistics.iter_mut().zip(items).enumerate() {
        one.item = item;
        let credits: Vec<f64> = rows
            .iter()
            .filter_map(|row| row.get(number).copied().flatten())
            .map(|(_, credit)| f64::from(credit) / f64::from(FULL))
            .collect();
        one.credit = mean(&credits);
        if let Some(wrong) = wrong.get(number) {
            one.wrong = wrong.iter().map(|(it, n)| ((*it).to_owned(), *n)).collect();
            one.wrong
                .sort_by_key(|(_, count)| core::cmp::Reverse(*count));
        }
    }
    let (reliability, complete) = kuder_richardson(&table);
    Class {
        items: statistics,
        learners: names
            .iter()
            .zip(&rows)
            .map(|(name, row)| of_learner(name, row))
            .collect(),
        reliability,
        complete,
    }
}

fn of_learner(name: &str, row: &[Option<(bool, u32)>]) -> LearnerStatistics {
    let given = row.iter().flatten();
    let credits: Vec<f64> = given
        .clone()
        .map(|(_, credit)| f64::from(*credit) / f64::from(FULL))
        .collect();
    LearnerStatistics {
        learner: name.to_owned(),
        answers: credits.len(),
        right: given.filter(|(right, _)| *right).count(),
        credit: mean(&credits).unwrap_or(0.0),
    }
}

/// Difficulty and discrimination of each exercise, from a row a learner and a cell an
/// exercise: right, wrong, or no answer. Names are left empty.
///
/// The score that an exercise is set against is the share right of what a learner answered.
/// Upper and lower group are `round(0.27 n)` of the learners who answered the exercise, at
/// least one each; learners who tie over the border of a group count in it by the share of
/// their places that it takes, so that no order decides.
///
/// Cost: learners times exercises, and a sort an exercise.
///
/// # Source
///
/// Lord and Novick (1968), Statistical Theories of Mental Test Scores: point-biserial and
/// corrected item-total correlation; Kelley (1939) for the groups.
#[must_use]
pub fn item_statistics(table: &[Vec<Option<bool>>]) -> Vec<ItemStatistics> {
    let items = table.iter().map(Vec::len).max().unwrap_or(0);
    let totals: Vec<(usize, usize)> = table
        .iter()
        .map(|row| {
            let given = row.iter().flatten();
            (given.clone().filter(|right| **right).count(), given.count())
        })
        .collect();
    (0..items)
        .map(|number| {
            let mut answers: Vec<(f64, f64, Option<f64>)> = Vec::new();
            for (row, (right, given)) in table.iter().zip(&totals) {
                let Some(here) = row.get(number).copied().flatten() else {
                    continue;
                };
                let others = right - usize::from(here);
                answers.push((
                    f64::from(u8::from(here)),
                    share(*right, *given).unwrap_or(0.0),
                    share(others, given - 1),
                ));
            }
            let here: Vec<f64> = answers.iter().map(|it| it.0).collect();
            let total: Vec<f64> = answers.iter().map(|it| it.1).collect();
            let with_others = answers.iter().filter_map(|it| Some((it.0, it.2?)));
            let (own, others): (Vec<f64>, Vec<f64>) = with_others.unzip();
            ItemStatistics {
                answers: here.len(),
                difficulty: mean(&here),
                point_biserial: correlation(&here, &total),
                corrected: correlation(&own, &others),
                upper_lower: upper_lower(&here, &total),
                ..ItemStatistics::default()
            }
        })
        .collect()
}

/// Kuder and Richardson's formula 20, and the number of learners who answered everything.
///
/// # Source
///
/// Kuder and Richardson (1937), The theory of the estimation of test reliability, formula 20
/// with the variance of the totals over all learners (divisor *n*).
#[must_use]
pub fn kuder_richardson(table: &[Vec<Option<bool>>]) -> (Option<f64>, usize) {
    let items = table.iter().map(Vec::len).max().unwrap_or(0);
    let complete: Vec<Vec<f64>> = table
        .iter()
        .filter(|row| row.len() == items && row.iter().all(Option::is_some))
        .map(|row| {
            let cells = row.iter().flatten();
            cells.map(|right| f64::from(u8::from(*right))).collect()
        })
        .collect();
    let many = complete.len();
    if items < 2 || many < 2 {
        return (None, many);
    }
    let totals: Vec<f64> = complete.iter().map(|row| row.iter().sum()).collect();
    let Some(spread) = variance(&totals).filter(|it| *it > 0.0) else {
        return (None, many);
    };
    let mut own = 0.0;
    for number in 0..items {
        let column = complete.iter().filter_map(|row| row.get(number).copied());
        let column: Vec<f64> = column.collect();
        let easy = mean(&column).unwrap_or(0.0);
        own += easy * (1.0 - easy);
    }
    let items = number(items);
    (Some(items / (items - 1.0) * (1.0 - own / spread)), many)
}

fn upper_lower(here: &[f64], total: &[f64]) -> Option<f64> {
    let many = here.len();
    if many < 2 {
        return None;
    }
    let size = (number(many) * GROUP).round().max(1.0);
    let mut pairs: Vec<(f64, f64)> =
        total.iter().copied().zip(here.iter().copied()).collect();
    pairs.sort_by(|one, other| one.0.total_cmp(&other.0));
    let lower = of_group(&pairs, size);
    pairs.reverse();
    Some(of_group(&pairs, size) - lower)
}

/// The share right in a group of some size at the start of a sorted list; ties over its
/// border count in part.
fn of_group(pairs: &[(f64, f64)], size: f64) -> f64 {
    let (mut left, mut right) = (size, 0.0);
    let same = |one: &(f64, f64), other: &(f64, f64)| one.0.total_cmp(&other.0).is_eq();
    for tied in pairs.chunk_by(same) {
        let many = number(tied.len());
        let taken = many.min(left);
        right += tied.iter().map(|it| it.1).sum::<f64>() * taken / many;
        left -= taken;
        if left <= 0.0 {
            break;
        }
    }
    right / size
}

fn share(part: usize, whole: usize) -> Option<f64> {
    (whole > 0).then(|| number(part) / number(whole))
}

#[allow(
    clippy::cast_precision_loss,
    reason = "a class has fewer learners than a float has whole numbers"
)]
const fn number(count: usize) -> f64 {
    count as f64
}

fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / number(values.len()))
}

/// The variance with the divisor *n*.
fn variance(values: &[f64]) -> Option<f64> {
    let centre = mean(values)?;
    let squares: Vec<f64> = values.iter().map(|it| (it - centre).powi(2)).collect();
    mean(&squares)
}

/// Pearson's correlation; undefined where one side does not vary.
fn correlation(one: &[f64], other: &[f64]) -> Option<f64> {
    let (centre, far) = (mean(one)?, mean(other)?);
    let spread = variance(one)? * variance(other)?;
    if spread <= f64::EPSILON * f64::EPSILON {
        return None;
    }
    let products = one.iter().zip(other);
    let products: Vec<f64> = products.map(|(a, b)| (a - centre) * (b - far)).collect();
    Some(mean(&products)? / spread.sqrt())
}
