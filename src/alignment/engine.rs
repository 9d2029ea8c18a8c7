//! The recursion: the cheapest way through two words, and the way back.
//!
//! Two costs stand at every point of the table, both less the plain gap costs of every sound
//! behind it: a gap then adds nothing, and along a row the costs are a running minimum.
//! Directions are not kept; the way back asks the costs again.

use core::ops::Range;

use super::row::{Cell, Grid, MARGIN, fill_rich_row, fill_row, merge};
use super::word::Slot;

/// Points held at once, of eight bytes each. A longer table is worked through in blocks of
/// rows, each worked out a second time on the way back.
const BLOCK: usize = 1 << 20;

/// Points of all windows together, about.
const WINDOW_POINTS: usize = 1 << 29;

/// One step along both words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Step {
    /// One sound of each.
    Pair,
    /// A sound of the first word alone.
    First,
    /// A sound of the second word alone.
    Second,
    /// Two sounds of the first word, one of the second.
    FirstTwo,
    /// One sound of the first word, two of the second.
    SecondTwo,
}

impl Step {
    /// How many sounds of the first and of the second word it takes; the other way round
    /// where the words were `swapped`.
    #[allow(clippy::indexing_slicing, reason = "as many rows as steps")]
    pub(crate) const fn sounds(self, swapped: bool) -> [u32; 2] {
        const SOUNDS: [[[u32; 2]; 2]; 5] = [
            [[1, 1], [1, 1]],
            [[1, 0], [0, 1]],
            [[0, 1], [1, 0]],
            [[2, 1], [1, 2]],
            [[1, 2], [2, 1]],
        ];
        SOUNDS[self as usize][swapped as usize]
    }

    const fn is_gap(self) -> bool {
        matches!(self, Self::First | Self::Second)
    }
}

/// The memory of the recursion, kept from pair to pair: 8 MB at most, and while a table of
/// several blocks is worked through 16 bytes more for each block and column.
#[derive(Clone, Debug, Default)]
pub(crate) struct Workspace {
    /// The two rows before a block, then its rows.
    cells: Vec<Cell>,
    checkpoints: Vec<Cell>,
    /// What units cost along a row.
    merges: Vec<i32>,
    /// Where in the second word a unit ends.
    units: Vec<u32>,
}

impl Workspace {
    /// Finds the cheapest way; puts its steps into `path`, last one first; returns its cost.
    ///
    /// Of equally cheap ways it takes, looking back from the end, a pair before a gap, a
    /// sound of the first word alone before one of the second, and one sound paired with one
    /// before a unit.
    pub(crate) fn run(&mut self, grid: Grid, path: &mut Vec<Step>) -> i32 {
        match (grid.rich, grid.table.all_kept()) {
            (false, true) => self.run_as::<false, true>(grid, path),
            (false, false) => self.run_as::<false, false>(grid, path),
            (true, true) => self.run_as::<true, true>(grid, path),
            (true, false) => self.run_as::<true, false>(grid, path),
        }
    }

    fn run_as<const RICH: bool, const KEPT: bool>(
        &mut self,
        grid: Grid,
        path: &mut Vec<Step>,
    ) -> i32 {
        let (height, width) = (grid.firsts.len(), grid.seconds.len() + 1);
        if height == 0 || width == 1 {
            return only_gaps(grid, path);
        }
        let whole = (height + 2) * width;
        let rows = if whole <= BLOCK {
            height
        } else {
            (BLOCK / width).max(1)
        };
        let needed = (rows + 2) * width;
        if self.cells.len() < needed {
            self.cells.resize(needed, MARGIN);
        }
        let mut units = core::mem::take(&mut self.units);
        if RICH {
            units.clear();
            let ends = (0_u32..)
                .zip(grid.seconds)
                .filter(|(_, slot)| slot.unit != 0);
            units.extend(ends.map(|(column, _)| column));
        }
        let cost = self.run_with::<RICH, KEPT>(
            Grid {
                units: &units,
                ..grid
            },
            rows,
            path,
        );
        self.units = units;
        let gaps = |slots: &[Slot]| slots.iter().map(|slot| slot.gap).sum::<i32>();
        cost + gaps(grid.firsts) + gaps(grid.seconds)
    }

    fn run_with<const RICH: bool, const KEPT: bool>(
        &mut self,
        grid: Grid,
        rows: usize,
        path: &mut Vec<Step>,
    ) -> i32 {
        let (height, width) = (grid.firsts.len(), grid.seconds.len() + 1);
        self.first_row(grid);
        let mut start = 0;
        while start + rows < height {
            self.fill::<RICH, KEPT>(grid, start..start + rows);
            self.carry_over(rows, width);
            start += rows;
        }
        self.fill::<RICH, KEPT>(grid, start..height);
        let mut at = Back {
            first: height,
            second: width - 1,
            pair_follows: false,
        };
        let cost = self.cell(start, width, height, width - 1).before_gap;
        self.walk_back::<RICH>(grid, start, &mut at, path);
        while start > 0 {
            start -= rows;
            self.restore(grid, start / rows, width);
            self.fill::<RICH, KEPT>(grid, start..start + rows);
            self.walk_back::<RICH>(grid, start, &mut at, path);
        }
        self.checkpoints = Vec::new();
        cost
    }

    /// The same for texts too long to be searched whole: window by window, each aligned on
    /// its own and its first half taken over. The cost is that of the way found.
    pub(crate) fn run_in_windows(&mut self, grid: Grid, path: &mut Vec<Step>) -> i64 {
        let (height, width) = (grid.firsts.len(), grid.seconds.len());
        let window = (WINDOW_POINTS / (height + width).max(1)).clamp(64, 1024);
        let (mut first, mut second) = (0, 0);
        let mut forward = Vec::new();
        let mut steps = Vec::new();
        while first < height || second < width {
            let part = grid.part(
                first..height.min(first + window),
                second..width.min(second + window),
            );
            steps.clear();
            self.run(part, &mut steps);
            let (first_start, second_start) = (first, second);
            for &step in steps.iter().rev() {
                let [in_first, in_second] = step.sounds(false);
                first += in_first as usize;
                second += in_second as usize;
                forward.push(step);
                let taken = (first - first_start).max(second - second_start);
                if !part.ends && taken >= window / 2 {
                    break;
                }
            }
        }
        path.extend(forward.iter().rev());
        recount(grid, &forward)
    }

    /// The row before the first sound: sounds of the second word alone.
    fn first_row(&mut self, grid: Grid) {
        let width = grid.seconds.len() + 1;
        if let Some(row) = self.cells.get_mut(width..2 * width) {
            row.fill(MARGIN);
            if let Some(origin) = row.first_mut() {
                origin.before_pair = grid.initial();
            }
        }
    }

    /// Moves a full block's last two rows before the next block, and keeps a copy.
    fn carry_over(&mut self, rows: usize, width: usize) {
        let last = rows * width;
        if self.cells.len() >= last + 2 * width {
            self.cells.copy_within(last..last + 2 * width, 0);
        }
        if let Some(top) = self.cells.get(..2 * width) {
            self.checkpoints.extend_from_slice(top);
        }
    }

    /// Puts the two rows before an earlier block back.
    fn restore(&mut self, grid: Grid, block: usize, width: usize) {
        if block == 0 {
            self.first_row(grid);
            return;
        }
        let from = (block - 1) * 2 * width;
        if let (Some(to), Some(from)) = (
            self.cells.get_mut(..2 * width),
            self.checkpoints.get(from..from + 2 * width),
        ) {
            to.copy_from_slice(from);
        }
    }

    /// Fills a block's rows; the two before them stand already.
    fn fill<const RICH: bool, const KEPT: bool>(
        &mut self,
        grid: Grid,
        range: Range<usize>,
    ) {
        let width = grid.seconds.len() + 1;
        let slots = grid.firsts.get(range.clone()).unwrap_or(&[]);
        let last = if grid.ends {
            grid.firsts.len() - 1
        } else {
            usize::MAX
        };
        let Some((mut above_two, mut rest)) = self.cells.split_at_mut_checked(width)
        else {
            return;
        };
        let merges = &mut self.merges;
        for (row, slot) in range.zip(slots) {
            let Some((above, after)) = rest.split_at_mut_checked(width) else {
                return;
            };
            let Some(here) = after.get_mut(..width) else {
                return;
            };
            let two = (if row == 0 { &[] } else { &*above_two }, &*above);
            let rich = RICH && (grid.tones || slot.unit != 0 || !grid.units.is_empty());
            match (rich, grid.tones, row == last) {
                (false, _, false) if grid.merging => {
                    fill_row::<KEPT, false, true>(grid, slot, above, here);
                }
                (false, _, true) if grid.merging => {
                    fill_row::<KEPT, true, true>(grid, slot, above, here);
                }
                (false, _, false) => {
                    fill_row::<KEPT, false, false>(grid, slot, above, here);
                }
                (false, _, true) => {
                    fill_row::<KEPT, true, false>(grid, slot, above, here);
                }
                (true, false, false) => {
                    fill_rich_row::<KEPT, false, false>(grid, slot, two, here, merges);
                }
                (true, false, true) => {
                    fill_rich_row::<KEPT, true, false>(grid, slot, two, here, merges);
                }
                (true, true, false) => {
                    fill_rich_row::<KEPT, false, true>(grid, slot, two, here, merges);
                }
                (true, true, true) => {
                    fill_rich_row::<KEPT, true, true>(grid, slot, two, here, merges);
                }
            }
            (above_two, rest) = (above, after);
        }
    }

    /// A point of the block whose rows begin at `start`.
    #[allow(
        clippy::indexing_slicing,
        reason = "points asked for lie in the filled block"
    )]
    fn cell(&self, start: usize, width: usize, row: usize, column: usize) -> Cell {
        self.cells[(row + 1 - start) * width + column]
    }

    /// Follows the costs back until a block's first row is left.
    #[allow(
        clippy::indexing_slicing,
        reason = "points on the way lie in the filled block"
    )]
    fn walk_back<const RICH: bool>(
        &self,
        grid: Grid,
        start: usize,
        at: &mut Back,
        path: &mut Vec<Step>,
    ) {
        let Grid {
            firsts, seconds, ..
        } = grid;
        let width = seconds.len() + 1;
        let mut row = at.first;
        let mut column = at.second;
        while row > start && column > 0 {
            let (one, other) = (&firsts[row - 1], &seconds[column - 1]);
            let index = (row + 1 - start) * width + column;
            let here = self.cells[index];
            let mut alone = self.cells[index - width].before_gap;
            let mut other_alone = self.cells[index - 1].before_gap;
            if grid.ends && column == seconds.len() {
                alone += one.end;
            }
            if grid.ends && row == firsts.len() {
                other_alone += other.end;
            }
            if RICH && grid.tones {
                alone += one.tone_inside(other);
                other_alone += other.tone_inside(one);
            }
            let (reached, added) = if at.pair_follows {
                let link = if grid.merging {
                    one.link.max(other.link)
                } else {
                    one.link
                };
                (here.before_pair, link)
            } else {
                (here.before_gap, one.cut | other.cut)
            };
            let by_gap = reached == alone || reached == other_alone;
            let mut step = Step::Pair;
            if by_gap || RICH && (one.unit | other.unit) != 0 {
                step = self
                    .paired::<RICH>(grid, (row - 1, column - 1), index, reached - added)
                    .unwrap_or(if reached == alone {
                        Step::First
                    } else {
                        Step::Second
                    });
            }
            let [in_first, in_second] = step.sounds(false);
            row -= in_first as usize;
            column -= in_second as usize;
            at.pair_follows = !step.is_gap();
            path.push(step);
        }
        if column == 0 {
            path.extend(core::iter::repeat_n(Step::First, row.saturating_sub(start)));
            row = row.min(start);
        }
        if row == 0 {
            path.extend(core::iter::repeat_n(Step::Second, column));
            column = 0;
        }
        (at.first, at.second) = (row, column);
    }

    /// Which kind of pair a cost came from, if it came from one. `index`: where its cell is.
    fn paired<const RICH: bool>(
        &self,
        grid: Grid,
        (row, column): (usize, usize),
        index: usize,
        cost: i32,
    ) -> Option<Step> {
        let width = grid.seconds.len() + 1;
        let back = |cells: usize| self.cells.get(index.checked_sub(cells)?).copied();
        let (one, other) = (grid.firsts.get(row)?, grid.seconds.get(column)?);
        let price = grid.table.cost(one.code, other.code) - one.gap - other.gap;
        if back(width + 1)?.before_pair + price == cost {
            return Some(Step::Pair);
        }
        if !RICH {
            return None;
        }
        if one.unit != 0
            && row > 0
            && back(2 * width + 1)?.before_pair + merge(grid, one, other) == cost
        {
            return Some(Step::FirstTwo);
        }
        let two = other.unit != 0
            && column > 0
            && back(width + 2)?.before_pair + merge(grid, other, one) == cost;
        two.then_some(Step::SecondTwo)
    }
}

/// Where the way back has come to.
struct Back {
    first: usize,
    second: usize,
    pair_follows: bool,
}

/// The way where one of the words is empty.
fn only_gaps(grid: Grid, path: &mut Vec<Step>) -> i32 {
    let mut cost = 0;
    for (slots, step) in [(grid.firsts, Step::First), (grid.seconds, Step::Second)] {
        for slot in slots {
            cost += slot.gap + if grid.ends { slot.end } else { 0 };
            path.push(step);
        }
    }
    cost
}

/// What a way through two whole words costs, counted step by step by the rules alone.
pub(crate) fn recount(grid: Grid, forward: &[Step]) -> i64 {
    let Grid {
        firsts, seconds, ..
    } = grid;
    let slot = |slots: &[Slot], at: usize| slots.get(at).copied().unwrap_or_default();
    let (mut first, mut second) = (0_usize, 0_usize);
    let mut cost = 0;
    let mut before = Step::First;
    for &step in forward {
        let (one, other) = (slot(firsts, first), slot(seconds, second));
        let last = [
            slot(firsts, first.wrapping_sub(1)),
            slot(seconds, second.wrapping_sub(1)),
        ];
        let mut added = match step {
            Step::Pair => grid.table.work_out(one.code, other.code),
            Step::First => {
                let end = if second == seconds.len() { one.end } else { 0 };
                let inside = if second > 0 {
                    one.tone_inside(&last[1])
                } else {
                    0
                };
                one.gap + end + if grid.tones { inside } else { 0 }
            }
            Step::Second => {
                let end = if first == firsts.len() { other.end } else { 0 };
                let inside = if first > 0 {
                    other.tone_inside(&last[0])
                } else {
                    0
                };
                other.gap + end + if grid.tones { inside } else { 0 }
            }
            Step::FirstTwo => {
                let unit = slot(firsts, first + 1).unit;
                grid.table.merge(unit, other.code, other.answers)
            }
            Step::SecondTwo => {
                let unit = slot(seconds, second + 1).unit;
                grid.table.merge(unit, one.code, one.answers)
            }
        };
        if !before.is_gap() {
            added += if step.is_gap() {
                last[0].cut.max(last[1].cut)
            } else {
                last[0].link.max(last[1].link)
            };
        } else if first == 0 && second == 0 && !step.is_gap() {
            added += grid.initial();
        }
        let [in_first, in_second] = step.sounds(false);
        first += in_first as usize;
        second += in_second as usize;
        cost += i64::from(added);
        before = step;
    }
    cost
}
