//! Sounds that changed places: found in a finished alignment.

use super::cost::{Profile, Stricture, pair};
use super::table::Table;
use super::{Column, Kind, Sound, same_phoneme};

/// Paired columns that the very same sound may have jumped over, in the coaching setting.
const FAR: usize = 3;

/// Two words and the columns they are set in.
struct Words<'a> {
    table: &'a Table,
    target: &'a [Sound],
    production: &'a [Sound],
}

/// Labels the two columns of every sound that changed places.
///
/// That is: an omission and an addition of like sounds with exactly one paired column between
/// them, in which one sound stands beside much the same; in the coaching setting also of the
/// very same consonant, with up to three columns between. Like sounds are: two vowels,
/// neither of them beside another vowel of its word or a syllabic consonant (the gap would
/// be half a diphthong); two consonants that are close; a liquid and a liquid or glide.
pub(crate) fn mark(
    table: &Table,
    target: &[Sound],
    production: &[Sound],
    columns: &mut [Column],
    coaching: bool,
) {
    let words = Words {
        table,
        target,
        production,
    };
    let far = if coaching { FAR } else { 1 };
    let mut rest = columns;
    while let Some((before, after)) = rest.split_first_mut() {
        let paired =
            |column: &&Column| !column.target.is_empty() && !column.production.is_empty();
        let between = after.iter().take(far + 1).take_while(paired).count();
        if let Some((passed, [other, ..])) = after.split_at_mut_checked(between)
            && (1..=far).contains(&between)
            && words.moved(before, passed, other)
        {
            before.kind = Kind::Transposition;
            other.kind = Kind::Transposition;
        }
        rest = after;
    }
}

impl Words<'_> {
    /// Whether the sound that is missing in one column stands in the other.
    fn moved(&self, before: &Column, passed: &[Column], after: &Column) -> bool {
        let (missing, put_in) = match (before.kind, after.kind) {
            (Kind::Omission, Kind::Addition) => {
                (before.target.start, after.production.start)
            }
            (Kind::Addition, Kind::Omission) => {
                (after.target.start, before.production.start)
            }
            _ => return false,
        };
        let (Some(one), Some(other)) = (
            self.profile(self.target, missing),
            self.profile(self.production, put_in),
        ) else {
            return false;
        };
        match passed {
            [column] => {
                let alike = if one.is_vowel() && other.is_vowel() {
                    !self.beside_vowel(self.target, missing)
                        && !self.beside_vowel(self.production, put_in)
                } else {
                    alike(one, other, self.table)
                };
                alike && self.stayed(column)
            }
            _ => {
                one.is_consonant()
                    && self.target.get(missing as usize)
                        == self.production.get(put_in as usize)
            }
        }
    }

    /// Whether a paired column holds much the same sound on both sides: vowels within two
    /// rows and half the chart's width, consonants of one letter, or two sonorants.
    fn stayed(&self, column: &Column) -> bool {
        let (at, other_at) = (column.target.start, column.production.start);
        let (Some(one), Some(other)) = (
            self.profile(self.target, at),
            self.profile(self.production, other_at),
        ) else {
            return false;
        };
        if one.is_vowel() && other.is_vowel() {
            let apart = |axis: usize| {
                one.vowel
                    .get(axis)
                    .zip(other.vowel.get(axis))
                    .map_or(0, |(a, b)| (a - b).abs())
            };
            return apart(0) <= 340 && apart(1) <= 500;
        }
        let bundle = |word: &[Sound], at: u32| {
            word.get(at as usize)
                .and_then(|sound| self.table.bundle(sound.0))
                .copied()
        };
        let same = bundle(self.target, at)
            .zip(bundle(self.production, other_at))
            .is_some_and(|(one, other)| same_phoneme(&one, &other));
        same || is_sonorant(one) && is_sonorant(other)
    }

    fn profile(&self, word: &[Sound], at: u32) -> Option<&Profile> {
        self.table.profile(word.get(at as usize)?.0)
    }

    fn beside_vowel(&self, word: &[Sound], at: u32) -> bool {
        [at.checked_sub(1), at.checked_add(1)]
            .into_iter()
            .flatten()
            .any(|beside| {
                self.profile(word, beside)
                    .is_some_and(|it| it.is_vowel() || it.syllabic)
            })
    }
}

const fn is_sonorant(sound: &Profile) -> bool {
    sound.is_liquid()
        || sound.is_glide()
        || sound.is_consonant() && matches!(sound.stricture, Stricture::Nasal)
}

/// Whether two consonants, each left alone in its word, are so alike that one may be the
/// other.
fn alike(one: &Profile, other: &Profile, table: &Table) -> bool {
    let close = table.constants.consonant_gap / 2;
    let liquids = one.is_liquid() && (other.is_liquid() || other.is_glide())
        || other.is_liquid() && one.is_glide();
    one.is_consonant()
        && other.is_consonant()
        && (liquids || pair(one, other, &table.constants) <= close)
}
