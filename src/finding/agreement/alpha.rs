//! Krippendorff's alpha: any number of raters, missing ratings, four levels of measurement.

/// What the values of ratings mean.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Level {
    /// Names: two are the same or not.
    Nominal,
    /// Ranks: how many ratings lie between two.
    Ordinal,
    /// Numbers whose differences mean something.
    Interval,
    /// Numbers with a true zero, none of them negative.
    Ratio,
}

/// Alpha with the two disagreements it compares.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Alpha {
    /// Ratings that have another of the same unit to be compared with.
    pub pairable: usize,
    /// The disagreement seen, Dₒ.
    pub observed: f64,
    /// What chance alone would give, Dₑ.
    pub expected: f64,
    /// `1 − observed / expected`: 1 full agreement, 0 what chance gives; `None` with fewer
    /// than two ratings to compare, or where all of them are the same.
    pub alpha: Option<f64>,
}

/// Krippendorff's alpha over units, each with its raters' values; `None` is a missing
/// rating. A unit with fewer than two ratings is left out, and so is a value that is no
/// finite number.
///
/// Cost: quadratic in the distinct values, times the units.
///
/// # Examples
///
/// ```
/// use apical::finding::agreement::alpha::{Level, alpha};
///
/// let one = [0., 1., 0., 0., 0., 0., 0., 0., 1., 0.];
/// let other = [1., 1., 1., 0., 0., 1., 0., 0., 0., 0.];
/// let units: Vec<_> = one.iter().zip(other).map(|(&a, b)| vec![Some(a), Some(b)]).collect();
/// let found = alpha(&units, Level::Nominal);
/// assert_eq!(format!("{:.3}", found.alpha.unwrap()), "0.095");
/// assert_eq!(alpha(&units[..0], Level::Nominal).alpha, None);
/// ```
///
/// # Source
/// Krippendorff 2011, "Computing Krippendorff's alpha-reliability"; the difference functions
/// are those of its section on metric differences.
#[must_use]
#[allow(
    clippy::cast_precision_loss,
    reason = "counts of ratings are far below the whole numbers that f64 holds"
)]
pub fn alpha(units: &[Vec<Option<f64>>], level: Level) -> Alpha {
    let units: Vec<Vec<f64>> = units
        .iter()
        .map(|unit| unit.iter().flatten().copied().filter(|it| it.is_finite()))
        // The negative zero is the zero.
        .map(|unit| unit.map(|value| value + 0.0).collect())
        .filter(|unit: &Vec<f64>| unit.len() > 1)
        .collect();
    let mut values: Vec<f64> = units.iter().flatten().copied().collect();
    let pairable = values.len();
    values.sort_by(f64::total_cmp);
    let counts: Vec<(f64, f64)> = values
        .chunk_by(|one, other| one.total_cmp(other).is_eq())
        .filter_map(|same| same.first().map(|value| (*value, same.len() as f64)))
        .collect();
    let apart = |one: f64, other: f64| difference(&counts, one, other, level);
    let mut observed = 0.0;
    for unit in &units {
        let others = unit.len() as f64 - 1.0;
        for (at, one) in unit.iter().enumerate() {
            for other in unit.iter().skip(at + 1) {
                observed += 2.0 * apart(*one, *other) / others;
            }
        }
    }
    let mut expected = 0.0;
    for (at, (one, many)) in counts.iter().enumerate() {
        for (other, more) in counts.iter().skip(at + 1) {
            expected += 2.0 * many * more * apart(*one, *other);
        }
    }
    let all = pairable as f64;
    if pairable > 1 {
        observed /= all;
        expected /= all * (all - 1.0);
    }
    Alpha {
        pairable,
        observed,
        expected,
        alpha: (expected > 0.0).then(|| 1.0 - observed / expected),
    }
}

/// The squared difference of two values.
fn difference(counts: &[(f64, f64)], one: f64, other: f64, level: Level) -> f64 {
    let same = one.total_cmp(&other).is_eq();
    match level {
        Level::Nominal => f64::from(u8::from(!same)),
        Level::Ordinal => {
            let (low, high) = (one.min(other), one.max(other));
            let between: f64 = counts
                .iter()
                .filter(|(value, _)| (low..=high).contains(value))
                .map(|(value, count)| {
                    let end =
                        value.total_cmp(&low).is_eq() || value.total_cmp(&high).is_eq();
                    if end { count / 2.0 } else { *count }
                })
                .sum();
            if same { 0.0 } else { between * between }
        }
        Level::Interval => (one - other).powi(2),
        Level::Ratio if same => 0.0,
        Level::Ratio => ((one - other) / (one + other)).powi(2),
    }
}
