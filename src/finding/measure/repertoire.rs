//! The sounds a client has, whatever they were meant to be.

use std::collections::{BTreeMap, BTreeSet};

use super::Sample;

/// The sounds produced, each with the different words that have it.
///
/// Whether a sound was right is of no account: \[f\] in thumb and bath counts. Words are told
/// apart by their spelling, or where there is none by their target.
#[must_use]
pub fn repertoire(sample: &Sample<'_>) -> BTreeMap<String, BTreeSet<String>> {
    let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for item in &sample.items {
        let word = if item.word.is_empty() {
            &item.target.text
        } else {
            &item.word
        };
        for column in &item.columns {
            let sound = item.production.text_of(&column.production);
            if !sound.is_empty() {
                found.entry(sound).or_default().insert(word.clone());
            }
        }
    }
    found
}

/// In how many different words a sound must occur to count as established, in speech that is
/// understood.
///
/// # Source
/// Bleile's criterion, as taught; three words where speech is not understood.
pub const ESTABLISHED: usize = 2;

/// The same where speech is not understood.
pub const ESTABLISHED_UNINTELLIGIBLE: usize = 3;
