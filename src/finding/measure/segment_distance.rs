//! How far the production's sounds are from the target's, in features.

use super::rules::Rules;
use super::score::sounds;
use super::{Measure, Sample};
use crate::alignment::{Column, Kind};
use crate::distance;
use crate::feature::FeatureBundle;
use crate::finding::item::Item;

/// The segment distance: the reported distance of all columns over the sounds of the
/// targets, in thousandths of one feature a sound.
#[must_use]
pub fn measures(sample: &Sample<'_>, rules: &Rules) -> Vec<Measure> {
    let apart = sample.items.iter().map(|item| between(item)).sum();
    let wanted = sample
        .items
        .iter()
        .map(|it| sounds(&it.target).len() as u64);
    vec![Measure::ratio(
        "segment distance",
        (apart, wanted.sum()),
        "thousandths of a feature a sound",
        "Apical feature weights, omissions and additions included",
        rules,
    )]
}

/// The distance of an item's two sides over its columns; what the accent allows counts
/// nothing.
#[must_use]
pub fn between(item: &Item) -> u64 {
    item.columns.iter().map(|column| of(item, column)).sum()
}

/// The distance of one column.
pub(super) fn of(item: &Item, column: &Column) -> u64 {
    if matches!(column.kind, Kind::Match | Kind::Allophone) {
        return 0;
    }
    let wanted = item.target.whole(&column.target);
    let said = item.production.whole(&column.production);
    u64::from(match (wanted, said) {
        (Some(wanted), Some(said)) => distance::between(&wanted, &said),
        (Some(alone), None) | (None, Some(alone)) => distance::alone(&alone),
        (None, None) => 0,
    })
}

/// How many of place, manner and voicing differ, 0 to 3: a distance that can be checked by
/// hand. A lateral is another manner than a central sound.
#[must_use]
pub fn place_manner_voicing(one: &FeatureBundle, other: &FeatureBundle) -> u32 {
    u32::from(one.place != other.place)
        + u32::from((one.manner, one.lateral) != (other.manner, other.lateral))
        + u32::from(one.voicing != other.voicing)
}
