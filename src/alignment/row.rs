//! One row of the recursion's table.

use core::ops::Range;

use super::table::Table;
use super::word::Slot;

/// The cheapest ways to a point in both words.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Cell {
    /// With what a gap after it costs on top.
    pub(crate) before_gap: i32,
    /// With what a pair after it adds.
    pub(crate) before_pair: i32,
}

/// Where only gaps lead.
pub(crate) const MARGIN: Cell = Cell {
    before_gap: 0,
    before_pair: 0,
};

/// Two words, or two stretches of them.
#[derive(Clone, Copy)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "independent facts about two words"
)]
pub(crate) struct Grid<'a> {
    pub(crate) table: &'a Table,
    pub(crate) firsts: &'a [Slot],
    pub(crate) seconds: &'a [Slot],
    /// Whether they begin, and end, their words.
    pub(crate) starts: bool,
    pub(crate) ends: bool,
    /// Whether sounds of different kinds may be paired, so that links need not be shared.
    pub(crate) merging: bool,
    /// Whether there are units, or both words have tones.
    pub(crate) rich: bool,
    pub(crate) tones: bool,
    /// Where in the second word a unit ends.
    pub(crate) units: &'a [u32],
}

impl<'a> Grid<'a> {
    /// The whole of two words.
    pub(crate) fn whole(
        table: &'a Table,
        firsts: &'a [Slot],
        seconds: &'a [Slot],
        merging: bool,
        has_units: bool,
    ) -> Self {
        let has = |slots: &[Slot]| slots.iter().any(|slot| slot.tone != 0);
        let tones = table.has_tones() && has(firsts) && has(seconds);
        let rich = has_units || tones;
        let units = &[];
        Self {
            table,
            firsts,
            seconds,
            starts: true,
            ends: true,
            merging,
            rich,
            tones,
            units,
        }
    }

    /// A stretch of them.
    pub(crate) fn part(&self, rows: Range<usize>, columns: Range<usize>) -> Self {
        Self {
            starts: rows.start == 0 && columns.start == 0,
            ends: rows.end == self.firsts.len() && columns.end == self.seconds.len(),
            firsts: self.firsts.get(rows).unwrap_or(&[]),
            seconds: self.seconds.get(columns).unwrap_or(&[]),
            table: self.table,
            merging: self.merging,
            rich: self.rich,
            tones: self.tones,
            units: &[],
        }
    }

    /// What is added for pairing the first sounds of both words.
    pub(crate) fn initial(&self) -> i32 {
        let consonant = |slots: &[Slot]| {
            slots
                .first()
                .is_some_and(|slot| self.table.is_consonant(slot.code))
        };
        if self.starts && consonant(self.firsts) && consonant(self.seconds) {
            self.table.constants.initial_consonants
        } else {
            0
        }
    }
}

/// Fills one row. `LAST`: both words end, the first one with it. `MERGING`: links need not be
/// shared.
pub(crate) fn fill_row<const KEPT: bool, const LAST: bool, const MERGING: bool>(
    grid: Grid,
    slot: &Slot,
    above: &[Cell],
    here: &mut [Cell],
) {
    let costs = grid.table.costs(slot.code);
    let (Some((margin, here)), Some((&corner, above))) =
        (here.split_first_mut(), above.split_first())
    else {
        return;
    };
    *margin = MARGIN;
    let (mut left, mut diagonal) = (MARGIN, corner);
    for ((other, &over), cell) in grid.seconds.iter().zip(above).zip(&mut *here) {
        let cost = if KEPT {
            costs
                .get(other.code as usize)
                .map_or(0, |&cost| i32::from(cost))
        } else {
            grid.table.work_out(slot.code, other.code)
        };
        let pair = diagonal.before_pair + cost - slot.gap - other.gap;
        let other_alone = left.before_gap + if LAST { other.end } else { 0 };
        let gap = over.before_gap.min(other_alone);
        let link = if MERGING {
            slot.link.max(other.link)
        } else {
            slot.link
        };
        diagonal = over;
        left = Cell {
            before_gap: (pair + (slot.cut | other.cut)).min(gap),
            before_pair: (pair + link).min(gap),
        };
        *cell = left;
    }
    end_row(grid, slot, above, here);
}

/// The same where units, tones and links that the words do not share are looked at.
/// `merges` is memory for what a unit would cost at each point of the row.
pub(crate) fn fill_rich_row<const KEPT: bool, const LAST: bool, const TONES: bool>(
    grid: Grid,
    slot: &Slot,
    (above_two, above): (&[Cell], &[Cell]),
    here: &mut [Cell],
    merges: &mut Vec<i32>,
) {
    merges.clear();
    if slot.unit != 0 {
        let points = grid.seconds.iter().zip(above_two);
        merges.extend(
            points.map(|(other, from)| from.before_pair + merge(grid, slot, other)),
        );
    }
    merges.resize(grid.seconds.len(), i32::MAX);
    for &column in grid.units {
        let from = above.get((column as usize).wrapping_sub(1));
        if let (Some(least), Some(other), Some(from)) = (
            merges.get_mut(column as usize),
            grid.seconds.get(column as usize),
            from,
        ) {
            *least = (*least).min(from.before_pair + merge(grid, other, slot));
        }
    }
    let costs = grid.table.costs(slot.code);
    let (Some((margin, here)), Some((&corner, above))) =
        (here.split_first_mut(), above.split_first())
    else {
        return;
    };
    *margin = MARGIN;
    let (mut left, mut diagonal) = (MARGIN, corner);
    let points = grid.seconds.iter().zip(above).zip(merges).zip(&mut *here);
    for (((other, &over), &mut merged), cell) in points {
        let cost = if KEPT {
            costs
                .get(other.code as usize)
                .map_or(0, |&cost| i32::from(cost))
        } else {
            grid.table.work_out(slot.code, other.code)
        };
        let pair = (diagonal.before_pair + cost - slot.gap - other.gap).min(merged);
        let mut alone = over.before_gap;
        let mut other_alone = left.before_gap + if LAST { other.end } else { 0 };
        if TONES {
            alone += slot.tone_inside(other);
            other_alone += other.tone_inside(slot);
        }
        let gap = alone.min(other_alone);
        diagonal = over;
        left = Cell {
            before_gap: (pair + (slot.cut | other.cut)).min(gap),
            before_pair: (pair + slot.link.max(other.link)).min(gap),
        };
        *cell = left;
    }
    end_row(grid, slot, above, here);
}

/// Lowers the last point of a row by what a gap costs less where the second word has ended.
fn end_row(grid: Grid, slot: &Slot, above: &[Cell], here: &mut [Cell]) {
    if let (Some(over), Some(cell), Some(other)) =
        (above.last(), here.last_mut(), grid.seconds.last())
        && grid.ends
    {
        let inside = if grid.tones {
            slot.tone_inside(other)
        } else {
            0
        };
        let alone = over.before_gap + slot.end + inside;
        cell.before_gap = cell.before_gap.min(alone);
        cell.before_pair = cell.before_pair.min(alone);
    }
}

/// What pairing a unit, given by its second sound, with one sound of the other word adds,
/// less the gaps of all three.
pub(crate) fn merge(grid: Grid, unit: &Slot, other: &Slot) -> i32 {
    grid.table.merge(unit.unit, other.code, other.answers)
        - unit.gap_before
        - unit.gap
        - other.gap
}
