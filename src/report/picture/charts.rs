//! Charts of counts: the vowel space, consonants by place and manner, confusions, progress,
//! errors by position.
//!
//! Each takes plain counts and gives an SVG that stands alone, with a title, a description in
//! words that holds every number, and signs that do without colour.

mod bars;
mod confusions;
mod consonants;
mod progress;
mod vowels;

pub use bars::{Share, shares};
pub use confusions::{Confusion, confusions};
pub use consonants::{Consonant, consonants};
pub use progress::{Session, progress};
pub use vowels::{VowelShift, vowels};

/// The interval of a share at 95 %, both ends 0 to 1; the whole range where nothing was
/// counted.
///
/// # Source
///
/// Wilson (1927): the score interval, which stays within 0 and 1 and holds for few counts;
/// z = 1.96.
///
/// # Examples
///
/// ```
/// use apical::report::picture::charts::interval;
///
/// let (low, high) = interval(8, 10);
/// assert!((low - 0.490).abs() < 0.001 && (high - 0.943).abs() < 0.001);
/// assert_eq!(interval(0, 0), (0.0, 1.0));
/// ```
#[must_use]
pub fn interval(right: u32, of: u32) -> (f64, f64) {
    const Z: f64 = 1.96;
    if of == 0 {
        return (0.0, 1.0);
    }
    let count = f64::from(of);
    let share = f64::from(right.min(of)) / count;
    let spread = Z * Z / count;
    let middle = (share + spread / 2.0) / (1.0 + spread);
    let half = Z * (share * (1.0 - share) / count + spread / (4.0 * count)).sqrt()
        / (1.0 + spread);
    ((middle - half).max(0.0), (middle + half).min(1.0))
}

/// A share as a whole per cent; a dash where nothing was counted.
fn percent(right: u32, of: u32) -> String {
    if of == 0 {
        "–".to_owned()
    } else {
        format!("{:.0} %", 100.0 * f64::from(right) / f64::from(of))
    }
}

/// What every chart of counts says below.
const NOTE: &str = "Bars and whiskers: 95 % interval of each share. Counts describe what one listener wrote down; they are no diagnosis.";
