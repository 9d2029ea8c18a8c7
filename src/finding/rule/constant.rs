//! The constants of rule discovery, read from `grammar/rules.tsv` when the crate is compiled.

use super::site::{BEFORE_TWO, CODA, ONSET};
use crate::inventory::number::number;

/// The table as it stands in the repository.
const TABLE: &[u8] = include_bytes!("../../../grammar/rules.tsv");

macro_rules! constants {
    ($($name:ident),+ $(,)?) => {
        /// The constants: bits, counts and shares. What each is for stands beside it in the
        /// table, which has hundredths.
        #[derive(Clone, Copy, Debug)]
        pub(super) struct Constants { $(pub(super) $name: f64),+ }

        /// All of them.
        pub(super) fn all() -> Constants {
            Constants {
                $($name: f64::from(const { number(TABLE, stringify!($name), 1) }) / 100.0),+
            }
        }
    };
}

constants! {
    segment,
    major_class,
    predicate_1,
    predicate_2,
    predicate_3,
    no_context,
    context,
    no_position,
    syllable_position,
    stress_position,
    constant_change,
    feature_change,
    feature_value,
    deletion,
    insertion,
    on_production,
    rule,
    catalogue,
    rate_floor,
    rate_slope,
    rate_least,
    rate_chance,
    noise_deletion,
    noise_sounds,
    firm,
    likely,
    firm_hits,
    few_chances,
    near,
    doubtful,
    favour,
    known,
    part,
}

impl Constants {
    /// What it costs to ask for a position.
    pub(super) fn position(&self, position: u8) -> f64 {
        match position {
            0 => self.no_position,
            ONSET | CODA | BEFORE_TWO => self.syllable_position,
            _ => self.stress_position,
        }
    }
}
