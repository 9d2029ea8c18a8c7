//! The recursion: cheapest way through two words, and the way back.

use core::ops::Range;

use super::table::Table;
use super::word::Slot;

/// Higher than any cost that arises, low enough that adding to it does not overflow: texts
/// long enough to come near are cut into windows first.
const NEVER: i32 = 1_700_000_000;

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
    /// How many sounds of the first and of the second word it takes.
    pub(crate) const fn sounds(self) -> [u32; 2] {
        match self {
            Self::Pair => [1, 1],
            Self::First => [1, 0],
            Self::Second => [0, 1],
            Self::FirstTwo => [2, 1],
            Self::SecondTwo => [1, 2],
        }
    }
}

/// The cheapest ways to a point in both words.
#[derive(Clone, Copy, Debug)]
struct Cell {
    /// Ending in a pair.
    pair: i32,
    /// Ending in a gap.
    gap: i32,
    /// Ending in either, with what a gap after it costs on top.
    before_gap: i32,
}

const ORIGIN: Cell = Cell { pair: 0, gap: NEVER, before_gap: 0 };

/// The pair before this one was reached over a gap.
const PAIR_AFTER_GAP: u8 = 1;
/// The gap is in the first word: a sound of the second stands alone.
const GAP_SECOND: u8 = 2;
/// A gap after this point follows a gap.
const GAP_AFTER_GAP: u8 = 4;
/// The pair takes two sounds of the first word.
const FIRST_TWO: u8 = 8;
/// The pair takes two sounds of the second word.
const SECOND_TWO: u8 = 16;

/// Bytes of directions held at once; a longer table is worked through in blocks of rows,
/// each worked out a second time on the way back.
const BLOCK: usize = 40_000_000;
/// Bytes of directions kept from pair to pair.
const KEPT: usize = 1 << 20;

/// Points of all windows together, about.
const WINDOW_POINTS: usize = 1 << 30;

/// Two words, or two stretches of them.
#[derive(Clone, Copy)]
pub(crate) struct Grid<'a> {
    pub(crate) table: &'a Table,
    pub(crate) first: &'a [Slot],
    pub(crate) second: &'a [Slot],
    /// Whether the stretches begin, and end, their words.
    pub(crate) starts: bool,
    pub(crate) ends: bool,
}

/// The memory of the recursion, kept from pair to pair.
#[derive(Clone, Debug, Default)]
pub(crate) struct Workspace {
    /// The row being filled and the two before it.
    rows: [Vec<Cell>; 3],
    directions: Vec<u8>,
    /// The two rows before each block.
    checkpoints: Vec<Cell>,
}

impl Workspace {
    /// Finds the cheapest way; puts its steps into `path`, last one first; returns its cost.
    ///
    /// Of equally cheap ways it takes, looking back from the end, a pair before a gap, a
    /// sound of the first word alone before one of the second, and one sound paired with one
    /// before a unit.
    ///
    /// Cost: time with the product of the lengths; a byte for each point of the table, at
    /// most 40 MB, beyond that twice the time.
    pub(crate) fn run(&mut self, grid: Grid, merging: bool, path: &mut Vec<Step>) -> i32 {
        if merging { self.run_as::<true>(grid, path) } else { self.run_as::<false>(grid, path) }
    }

    fn run_as<const MERGING: bool>(&mut self, grid: Grid, path: &mut Vec<Step>) -> i32 {
        let (height, width) = (grid.first.len(), grid.second.len());
        self.first_row(grid);
        let rows_a_block = (BLOCK / width.max(1)).max(1);
        if height <= rows_a_block {
            self.fill::<MERGING>(grid, 0..height, true);
            let cost = self.cost();
            let mut at = Back { first: height, second: width, state: self.last_state() };
            self.walk_back(grid, 0, &mut at, path);
            if self.directions.capacity() > KEPT {
                self.directions = Vec::new();
            }
            return cost;
        }
        self.checkpoints.clear();
        let mut start = 0;
        while start < height {
            let end = (start + rows_a_block).min(height);
            self.checkpoints.extend_from_slice(&self.rows[1]);
            self.checkpoints.extend_from_slice(&self.rows[0]);
            self.fill::<MERGING>(grid, start..end, false);
            start = end;
        }
        let cost = self.cost();
        let mut at = Back { first: height, second: width, state: self.last_state() };
        for block in (0..height.div_ceil(rows_a_block)).rev() {
            let start = block * rows_a_block;
            let from = block * 2 * (width + 1);
            for (row, offset) in [(1, 0), (0, width + 1)] {
                let saved = self.checkpoints.get(from + offset..from + offset + width + 1);
                self.rows[row].clear();
                self.rows[row].extend_from_slice(saved.unwrap_or(&[]));
            }
            self.fill::<MERGING>(grid, start..(start + rows_a_block).min(height), true);
            self.walk_back(grid, start, &mut at, path);
        }
        self.checkpoints = Vec::new();
        self.directions = Vec::new();
        cost
    }

    /// The same for texts too long to be searched whole: window by window, each aligned on
    /// its own and its first half taken over. The cost is that of the way found.
    pub(crate) fn run_in_windows(
        &mut self,
        grid: Grid,
        merging: bool,
        path: &mut Vec<Step>,
    ) -> i64 {
        let (height, width) = (grid.first.len(), grid.second.len());
        let window = (WINDOW_POINTS / (height + width).max(1)).clamp(64, 1024);
        let (mut first, mut second) = (0, 0);
        let mut forward = Vec::new();
        let mut steps = Vec::new();
        while first < height || second < width {
            let (first_end, second_end) =
                ((first + window).min(height), (second + window).min(width));
            let last = first_end == height && second_end == width;
            let part = Grid {
                first: grid.first.get(first..first_end).unwrap_or(&[]),
                second: grid.second.get(second..second_end).unwrap_or(&[]),
                starts: first == 0 && second == 0,
                ends: last,
                ..grid
            };
            steps.clear();
            self.run(part, merging, &mut steps);
            let (first_start, second_start) = (first, second);
            for &step in steps.iter().rev() {
                let [in_first, in_second] = step.sounds();
                first += in_first as usize;
                second += in_second as usize;
                forward.push(step);
                let taken = (first - first_start).max(second - second_start);
                if !last && taken >= window / 2 {
                    break;
                }
            }
        }
        let cost = recount(grid, &forward);
        path.extend(forward.iter().rev());
        cost
    }

    fn cost(&self) -> i32 {
        self.rows[0].last().map_or(0, |cell| cell.pair.min(cell.gap))
    }

    fn last_state(&self) -> State {
        match self.rows[0].last() {
            Some(cell) if cell.gap < cell.pair => State::Gap,
            _ => State::Pair,
        }
    }

    /// The row before the first sound: sounds of the second word alone.
    fn first_row(&mut self, grid: Grid) {
        let ended = usize::from(grid.ends && grid.first.is_empty());
        for row in &mut self.rows {
            row.clear();
            row.resize(grid.second.len() + 1, Cell { pair: NEVER, gap: NEVER, before_gap: NEVER });
        }
        let mut last = ORIGIN;
        let slots = grid.second.iter();
        if let Some((origin, rest)) = self.rows[0].split_first_mut() {
            *origin = ORIGIN;
            for (cell, slot) in rest.iter_mut().zip(slots) {
                let gap = last.before_gap + slot.gap[ended];
                *cell = Cell { pair: NEVER, gap, before_gap: gap };
                last = *cell;
            }
        }
    }

    /// Fills rows; on entry `rows[0]` is the one before them and `rows[1]` the one before
    /// that, on return `rows[0]` is the last.
    fn fill<const MERGING: bool>(&mut self, grid: Grid, range: Range<usize>, keep: bool) {
        let width = grid.second.len();
        let needed = if keep { range.len() * width } else { width };
        if self.directions.len() < needed {
            self.directions.resize(needed, 0);
        }
        let mut directions = self.directions.chunks_mut(width.max(1));
        let mut scratch = Vec::new();
        if !keep {
            scratch.resize(width, 0);
        }
        for at in range {
            self.rows.rotate_right(1);
            let [here, above, above_two] = &mut self.rows;
            let row = if keep { directions.next() } else { Some(scratch.as_mut_slice()) };
            let last = grid.ends && at + 1 == grid.first.len();
            let rows = Rows {
                here,
                above,
                above_two: if at == 0 { &[] } else { above_two },
                directions: row.unwrap_or(&mut []),
            };
            fill_row::<MERGING>(grid, at, last, rows);
        }
    }

    /// Follows the directions of the rows from `start` on until their top is left.
    #[allow(clippy::indexing_slicing, reason = "points of the path lie in the filled block")]
    fn walk_back(&self, grid: Grid, start: usize, at: &mut Back, path: &mut Vec<Step>) {
        let width = grid.second.len();
        while at.first > start && at.second > 0 {
            let direction = self.directions[(at.first - 1 - start) * width + at.second - 1];
            if at.state == State::Either {
                at.state =
                    if direction & GAP_AFTER_GAP == 0 { State::Pair } else { State::Gap };
            }
            if at.state == State::Gap {
                if direction & GAP_SECOND == 0 {
                    path.push(Step::First);
                    at.first -= 1;
                } else {
                    path.push(Step::Second);
                    at.second -= 1;
                }
                at.state = State::Either;
                continue;
            }
            let step = if direction & FIRST_TWO != 0 {
                Step::FirstTwo
            } else if direction & SECOND_TWO != 0 {
                Step::SecondTwo
            } else {
                Step::Pair
            };
            path.push(step);
            at.first -= if step == Step::FirstTwo { 2 } else { 1 };
            at.second -= if step == Step::SecondTwo { 2 } else { 1 };
            at.state =
                if direction & PAIR_AFTER_GAP == 0 { State::Pair } else { State::Gap };
        }
        if at.second == 0 {
            path.extend(core::iter::repeat_n(Step::First, at.first - start.min(at.first)));
            at.first = at.first.min(start);
        }
        if at.first == 0 {
            path.extend(core::iter::repeat_n(Step::Second, at.second));
            at.second = 0;
        }
    }
}

/// Where the way back has come to.
struct Back {
    first: usize,
    second: usize,
    state: State,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Pair,
    Gap,
    /// Whichever is cheaper before a gap.
    Either,
}

/// The rows that filling one needs.
struct Rows<'a> {
    here: &'a mut [Cell],
    above: &'a [Cell],
    /// Empty for the first row.
    above_two: &'a [Cell],
    directions: &'a mut [u8],
}

#[allow(clippy::indexing_slicing, reason = "every row is one longer than the second word")]
fn fill_row<const MERGING: bool>(grid: Grid, at: usize, last: bool, rows: Rows) {
    let Rows { here, above, above_two, directions } = rows;
    let slot = grid.first[at];
    let table = grid.table;
    let costs = table.costs(slot.code);
    let row_end = usize::from(last);
    let mut left = {
        let ended = usize::from(grid.ends && grid.second.is_empty());
        let gap = above[0].before_gap + slot.gap[ended];
        Cell { pair: NEVER, gap, before_gap: gap }
    };
    here[0] = left;
    let mut diagonal = above[0];
    let first_pair = if at == 0 && grid.starts { initial(grid) } else { 0 };
    let columns = grid.second.len();
    for (column, other) in grid.second.iter().enumerate() {
        let over = above[column + 1];
        let mut cost = costs
            .get(other.code as usize)
            .map_or_else(|| table.work_out(slot.code, other.code), |&cost| i32::from(cost));
        if column == 0 {
            cost += first_pair;
        }
        let after_pair = diagonal.pair + slot.link.max(other.link);
        let mut direction = 0;
        let mut pair = after_pair;
        if diagonal.gap < after_pair {
            pair = diagonal.gap;
            direction = PAIR_AFTER_GAP;
        }
        pair += cost;
        if MERGING {
            if slot.unit != 0 && !above_two.is_empty() {
                let from = above_two[column];
                let way = from.pair.min(from.gap).saturating_add(table.merge(slot.unit, other.code));
                if way < pair {
                    pair = way;
                    direction = FIRST_TWO | after(from);
                }
            }
            if other.unit != 0 && column > 0 {
                let from = above[column - 1];
                let way = from.pair.min(from.gap).saturating_add(table.merge(other.unit, slot.code));
                if way < pair {
                    pair = way;
                    direction = SECOND_TWO | after(from);
                }
            }
        }
        let column_end = usize::from(grid.ends && column + 1 == columns);
        let alone = over.before_gap + slot.gap[column_end];
        let other_alone = left.before_gap + other.gap[row_end];
        let mut gap = alone;
        if other_alone < alone {
            gap = other_alone;
            direction |= GAP_SECOND;
        }
        let mut before_gap = pair + slot.cut.max(other.cut);
        if gap < before_gap {
            before_gap = gap;
            direction |= GAP_AFTER_GAP;
        }
        directions[column] = direction;
        diagonal = over;
        left = Cell { pair, gap, before_gap };
        here[column + 1] = left;
    }
}

/// What a way through two words costs, step by step, by the rules alone.
pub(crate) fn recount(grid: Grid, forward: &[Step]) -> i64 {
    let (mut first, mut second, mut cost) = (0_usize, 0_usize, 0);
    let mut paired = false;
    let slot = |slots: &[Slot], at: usize| slots.get(at).copied().unwrap_or_default();
    for &step in forward {
        let before = [first, second].map(|at| at.wrapping_sub(1));
        let (here, there) = (slot(grid.first, first), slot(grid.second, second));
        let [in_first, in_second] = step.sounds();
        first += in_first as usize;
        second += in_second as usize;
        let cut = if paired {
            slot(grid.first, before[0]).cut.max(slot(grid.second, before[1]).cut)
        } else {
            0
        };
        let added = match step {
            Step::Pair => {
                let start = first == 1 && second == 1 && grid.starts;
                grid.table.work_out(here.code, there.code)
                    + if paired { here.link.max(there.link) } else { 0 }
                    + if start { initial(grid) } else { 0 }
            }
            Step::First => {
                cut + here.gap[usize::from(grid.ends && second == grid.second.len())]
            }
            Step::Second => {
                cut + there.gap[usize::from(grid.ends && first == grid.first.len())]
            }
            Step::FirstTwo => {
                grid.table.merge(slot(grid.first, first - 1).unit, there.code)
            }
            Step::SecondTwo => {
                grid.table.merge(slot(grid.second, second - 1).unit, here.code)
            }
        };
        cost += i64::from(added);
        paired = matches!(step, Step::Pair | Step::FirstTwo | Step::SecondTwo);
    }
    cost
}

/// Whether a merged pair was reached over a gap.
const fn after(from: Cell) -> u8 {
    if from.gap < from.pair { PAIR_AFTER_GAP } else { 0 }
}

/// What is added for pairing the first two sounds of both words.
fn initial(grid: Grid) -> i32 {
    let consonant = |slots: &[Slot]| {
        slots
            .first()
            .and_then(|slot| grid.table.profile(slot.code / 2))
            .is_some_and(super::cost::Profile::is_consonant)
    };
    if consonant(grid.first) && consonant(grid.second) {
        grid.table.constants.initial_consonants
    } else {
        0
    }
}
