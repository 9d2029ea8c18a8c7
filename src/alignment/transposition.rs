//! Sounds that changed places: found in a finished alignment.

use core::ops::Range;

use super::cost::pair;
use super::table::Table;
use super::{Column, Kind, Sound};
use crate::feature::Class;

/// Paired columns that the very same sound may have jumped over, in the coaching setting.
const FAR: usize = 3;

/// Labels the two columns of every sound that changed places.
///
/// That is: an omission and an addition of sounds of one class, with exactly one paired
/// column between them; in the coaching setting also of the very same consonant, with up to
/// three. Of one class are: two
/// vowels, neither of them beside another vowel of its word (the gap would be half a
/// diphthong); two consonants that are close; a liquid and a liquid or glide.
pub(crate) fn mark(
    table: &Table,
    target: &[Sound],
    production: &[Sound],
    columns: &mut [Column],
    coaching: bool,
) {
    let far = if coaching { FAR } else { 1 };
    let mut rest = columns;
    while let Some((before, after)) = rest.split_first_mut() {
        let between = after
            .iter()
            .take(far + 1)
            .take_while(|column| {
                !column.target.is_empty() && !column.production.is_empty()
            })
            .count();
        if (1..=far).contains(&between)
            && let Some(other) = after.get_mut(between)
        {
            let pair = match (before.kind, other.kind) {
                (Kind::Omission, Kind::Addition) => {
                    Some((&before.target, &other.production))
                }
                (Kind::Addition, Kind::Omission) => {
                    Some((&other.target, &before.production))
                }
                _ => None,
            };
            if let Some((missing, put_in)) = pair
                && moved(table, (target, missing), (production, put_in), between)
            {
                before.kind = Kind::Transposition;
                other.kind = Kind::Transposition;
            }
        }
        rest = after;
    }
}

/// Whether the sound left alone in one word is the one left alone in the other.
fn moved(
    table: &Table,
    missing: (&[Sound], &Range<u32>),
    put_in: (&[Sound], &Range<u32>),
    between: usize,
) -> bool {
    if between == 1 {
        return alike(table, missing, put_in);
    }
    let sound =
        |(word, range): (&[Sound], &Range<u32>)| word.get(range.start as usize).copied();
    let class = sound(missing)
        .and_then(|it| table.profile(it.0))
        .map(|it| it.class);
    class == Some(Class::Consonant) && sound(missing) == sound(put_in)
}

/// Whether two sounds, each left alone in its word, are so alike that one may be the other.
fn alike(
    table: &Table,
    missing: (&[Sound], &Range<u32>),
    put_in: (&[Sound], &Range<u32>),
) -> bool {
    let profile = |(word, range): (&[Sound], &Range<u32>), offset: i64| {
        let at = usize::try_from(i64::from(range.start) + offset).ok()?;
        table.profile(word.get(at)?.0)
    };
    let (Some(one), Some(other)) = (profile(missing, 0), profile(put_in, 0)) else {
        return false;
    };
    if one.is_vowel() && other.is_vowel() {
        let beside_vowel = |it| {
            [-1, 1].iter().any(|&offset| {
                profile(it, offset).is_some_and(|it| it.is_vowel() || it.syllabic)
            })
        };
        return !beside_vowel(missing) && !beside_vowel(put_in);
    }
    if !one.is_consonant() || !other.is_consonant() {
        return false;
    }
    let close = table.constants.consonant_gap / 2;
    let liquids = one.is_liquid() && (other.is_liquid() || other.is_glide())
        || other.is_liquid() && one.is_glide();
    liquids || pair(one, other, &table.constants) <= close
}
