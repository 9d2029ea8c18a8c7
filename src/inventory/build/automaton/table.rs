//! From rules over characters to a table over bytes: every state that can be reached,
//! those that nothing tells apart merged, UTF-8 spelled out.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use crate::line;

/// How many states the table of lines may have, so that it stays small.
const LINES: usize = 10_000;

/// A machine over kinds of character: for each state whether a text may end there, and its
/// next states.
type Rows = Vec<(bool, Vec<Option<usize>>)>;

/// Rules, and the kinds of character that they are about.
pub(super) struct Rules<'a, S, K> {
    pub(super) start: S,
    pub(super) kinds: &'a [K],
    pub(super) step: &'a dyn Fn(S, &K) -> Option<S>,
    pub(super) ends: &'a dyn Fn(S) -> bool,
}

/// The machine over bytes: for each state whether a text may end there, and its next
/// states. It starts in the first.
pub(super) struct Machine {
    ends: Vec<bool>,
    rows: Vec<BTreeMap<u8, usize>>,
}

/// Makes the machine; `columns` says which kind each character is.
pub(super) fn machine<S: Copy + Ord, K>(
    rules: &Rules<'_, S, K>,
    columns: &BTreeMap<char, usize>,
) -> Machine {
    let rows = minimised(&explore(rules));
    let mut bytes = Bytes {
        rows: vec![BTreeMap::new(); rows.len()],
        known: BTreeMap::new(),
    };
    for (at, (_, next)) in rows.iter().enumerate() {
        let ends: Vec<(Vec<u8>, usize)> = columns
            .iter()
            .filter_map(|(c, column)| {
                let to = next.get(*column).copied().flatten()?;
                Some((c.to_string().into_bytes(), to))
            })
            .collect();
        let row = bytes.row(&ends);
        if let Some(slot) = bytes.rows.get_mut(at) {
            *slot = row;
        }
    }
    let mut ends: Vec<bool> = rows.iter().map(|(ends, _)| *ends).collect();
    ends.resize(bytes.rows.len(), false);
    Machine {
        ends,
        rows: bytes.rows,
    }
}

/// Every state that can be reached.
fn explore<S: Copy + Ord, K>(rules: &Rules<'_, S, K>) -> Rows {
    let mut numbers = BTreeMap::from([(rules.start, 0)]);
    let mut states = vec![rules.start];
    let mut rows = Rows::new();
    while let Some(state) = states.get(rows.len()).copied() {
        let next = rules.kinds.iter().map(|kind| {
            let next = (rules.step)(state, kind)?;
            Some(*numbers.entry(next).or_insert_with(|| {
                states.push(next);
                states.len() - 1
            }))
        });
        let next: Vec<Option<usize>> = next.collect();
        rows.push(((rules.ends)(state), next));
    }
    rows
}

/// Merges the states that nothing tells apart (Moore's refinement).
fn minimised(rows: &Rows) -> Rows {
    let mut class: Vec<usize> = rows.iter().map(|(ends, _)| usize::from(*ends)).collect();
    let mut count = 0;
    loop {
        let of = |state: Option<usize>| {
            state
                .and_then(|state| class.get(state))
                .map(|class| class + 1)
        };
        let mut keys: BTreeMap<Vec<usize>, usize> = BTreeMap::new();
        let refined: Vec<usize> = rows
            .iter()
            .enumerate()
            .map(|(at, (_, next))| {
                let mut key = vec![of(Some(at)).unwrap_or(0)];
                key.extend(next.iter().map(|next| of(*next).unwrap_or(0)));
                let number = keys.len();
                *keys.entry(key).or_insert(number)
            })
            .collect();
        class = refined;
        if keys.len() == count {
            break;
        }
        count = keys.len();
    }
    let mut merged: Rows = vec![(false, Vec::new()); count];
    for ((ends, next), class_of) in rows.iter().zip(&class) {
        if let Some(slot) = merged.get_mut(*class_of) {
            let next = next
                .iter()
                .map(|next| next.and_then(|next| class.get(next).copied()));
            *slot = (*ends, next.collect());
        }
    }
    merged
}

/// The machine over bytes: states of the one over characters come first.
struct Bytes {
    rows: Vec<BTreeMap<u8, usize>>,
    known: BTreeMap<Vec<(u8, usize)>, usize>,
}

impl Bytes {
    /// The state that reads these ends of characters.
    fn node(&mut self, ends: &[(Vec<u8>, usize)]) -> usize {
        let row = self.row(ends);
        let key: Vec<(u8, usize)> = row.iter().map(|(byte, to)| (*byte, *to)).collect();
        if let Some(known) = self.known.get(&key) {
            return *known;
        }
        self.rows.push(row);
        self.known.insert(key, self.rows.len() - 1);
        self.rows.len() - 1
    }

    fn row(&mut self, ends: &[(Vec<u8>, usize)]) -> BTreeMap<u8, usize> {
        let mut by_first: BTreeMap<u8, Vec<(Vec<u8>, usize)>> = BTreeMap::new();
        for (bytes, to) in ends {
            if let Some((first, rest)) = bytes.split_first() {
                by_first
                    .entry(*first)
                    .or_default()
                    .push((rest.to_vec(), *to));
            }
        }
        let mut row = BTreeMap::new();
        for (byte, ends) in by_first {
            let whole = ends.iter().find(|(rest, _)| rest.is_empty());
            let to = match whole {
                Some((_, to)) => *to,
                None => self.node(&ends),
            };
            row.insert(byte, to);
        }
        row
    }
}

impl Machine {
    /// The states in the order of their places in a table, those a text may end in last,
    /// and the place of each; place 0 is the dead end. States that are met often stand side
    /// by side, where they share cache lines.
    fn places(&self, met: impl Fn(usize) -> usize) -> (Vec<usize>, Vec<usize>) {
        let mut order: Vec<usize> = (0..self.rows.len()).collect();
        order.sort_by_key(|state| {
            let ends = self.ends.get(*state) == Some(&true);
            let met = met(*state);
            (ends, if ends { usize::MAX - met } else { met })
        });
        let mut place = vec![0; order.len()];
        for (at, state) in order.iter().enumerate() {
            if let Some(slot) = place.get_mut(*state) {
                *slot = at + 1;
            }
        }
        (order, place)
    }

    /// How often each state is met in lines of text.
    fn met(&self, lines: &str) -> Vec<usize> {
        let mut met = vec![0; self.rows.len()];
        for line in lines.lines() {
            let mut state = 0;
            for byte in line.bytes() {
                let Some(next) = self.rows.get(state).and_then(|row| row.get(&byte))
                else {
                    break;
                };
                state = *next;
                if let Some(count) = met.get_mut(state) {
                    *count += 1;
                }
            }
        }
        met
    }

    /// The first place where a text may end.
    fn first_end(&self) -> usize {
        self.ends.iter().filter(|ends| !**ends).count() + 1
    }

    /// Writes a table for texts and for lines of them: a row a class of bytes, so that what a
    /// step waits for is one load. Every line end leads to the start, or to a state like it
    /// where the line was not taken.
    ///
    /// `sample` says which states are met often.
    pub(super) fn lines(
        &self,
        name: &str,
        sample: &str,
        out: &mut String,
        faults: &mut Vec<String>,
    ) {
        let met = self.met(sample);
        let (mut order, place) =
            self.places(|state| met.get(state).copied().unwrap_or(0));
        let start = place.first().copied().unwrap_or(0);
        // The state like the start, last.
        order.push(0);
        let again = order.len();
        let width = again + 1;
        let mut classes: BTreeMap<Vec<usize>, usize> = BTreeMap::new();
        let mut cells: Vec<usize> = Vec::new();
        let mut row_of = |row: Vec<usize>| {
            *classes.entry(row).or_insert_with_key(|row| {
                cells.extend(row);
                cells.len() - width
            })
        };
        let nowhere = row_of(vec![0; width]);
        let rows: Vec<usize> = (0..=u8::MAX)
            .map(|byte| {
                let mut row = self.column(byte, &order, &place);
                if byte == b'\n' {
                    for to in &mut row {
                        *to = if *to == start { start } else { again };
                    }
                }
                row_of(row)
            })
            .collect();
        let room = cells.len();
        if again > LINES {
            faults.push(format!(
                "automaton: {again} states are too many for {name}; take a kind of mark out of \
                 FIRST or SECOND",
            ));
        }
        let mut text_rows = rows.clone();
        for end in [b'\n', b'\r'] {
            if let Some(row) = text_rows.get_mut(usize::from(end)) {
                *row = nowhere;
            }
        }
        line(
            out,
            &format!(
                "pub static {name}: Lines<{room}> = Lines {{ cells: {cells:?}, rows: {rows:?}, \
                 text_rows: {text_rows:?}, start: {start}, again: {again}, ends: {} }};",
                self.first_end(),
            ),
        );
    }

    /// Where a byte leads from each place.
    fn column(&self, byte: u8, order: &[usize], place: &[usize]) -> Vec<usize> {
        let to = |state: &usize| {
            let to = self.rows.get(*state)?.get(&byte)?;
            place.get(*to).copied()
        };
        let to = order.iter().map(|state| to(state).unwrap_or(0));
        std::iter::once(0).chain(to).collect()
    }

    /// Writes a table for at most 255 states: a row a byte, so that what a step waits for
    /// is one load.
    pub(super) fn dense(&self, name: &str, out: &mut String, faults: &mut Vec<String>) {
        // States that lead far are met often.
        let arcs = |state: usize| self.rows.get(state).map_or(0, BTreeMap::len);
        let (order, place) = self.places(arcs);
        if order.len() > usize::from(u8::MAX) {
            faults.push(format!(
                "automaton: the {} states of {name} do not fit 8 bits",
                order.len()
            ));
        }
        let mut cells = String::new();
        for byte in 0..=u8::MAX {
            let row = self.column(byte, &order, &place);
            for at in 0..256 {
                let _ = write!(cells, "{},", row.get(at).copied().unwrap_or(0));
            }
        }
        line(
            out,
            &format!(
                "pub static {name}: Dense = Dense {{ cells: [{cells}], start: {}, ends: {} }};",
                place.first().copied().unwrap_or(0),
                self.first_end(),
            ),
        );
    }
}
