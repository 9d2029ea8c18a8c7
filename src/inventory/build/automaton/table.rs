//! From the rules of a machine to its table: every state that can be reached, merged where
//! nothing tells them apart, then taken apart into bytes.

use std::collections::BTreeMap;

use super::{Machine, Pair, Part, Run, Sign, State, sort_of};
use crate::line;

/// Makes a machine's table.
pub(super) fn compile(
    machine: &Machine<'_>,
    signs: &BTreeMap<char, Sign>,
    out: &mut String,
    faults: &mut Vec<String>,
) {
    let letters = machine.letters;
    // Letters that no state tells apart share a column.
    let mut columns: BTreeMap<Vec<Option<State>>, usize> = BTreeMap::new();
    let mut kinds: Vec<Sign> = Vec::new();
    let mut column_of: BTreeMap<char, usize> = BTreeMap::new();
    let probes = [
        State::Start,
        State::Stressed,
        State::Tied(Pair::Vowel, Run::Far),
        State::Tied(Pair::Stop, Run::Far),
    ];
    for (c, sign) in signs {
        let column = if let Sign::Letter(..) = sign {
            let key = probes.iter().map(|state| machine.step(*state, sign));
            *columns.entry(key.collect()).or_insert_with(|| {
                kinds.push(sign.clone());
                kinds.len() - 1
            })
        } else if let Some(known) = kinds.iter().position(|kind| match (kind, sign) {
            (Sign::Mark(a), Sign::Mark(b)) => {
                sort_of(letters, *a) == sort_of(letters, *b)
            }
            (kind, sign) => kind == sign,
        }) {
            known
        } else {
            kinds.push(sign.clone());
            kinds.len() - 1
        };
        column_of.insert(*c, column);
    }
    let explored = explore(machine, &kinds);
    let rows = minimised(&explored);
    let mut bytes = Bytes {
        rows: vec![BTreeMap::new(); rows.len()],
        known: BTreeMap::new(),
    };
    for (at, (_, next)) in rows.iter().enumerate() {
        let ends: Vec<(Vec<u8>, usize)> = column_of
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
    emit(machine.part, &rows, &bytes.rows, out, faults);
}

/// A machine over kinds of sign: for each state whether it may end there, and its next
/// states.
type Rows = Vec<(bool, Vec<Option<usize>>)>;

/// Every state that can be reached.
fn explore(machine: &Machine<'_>, kinds: &[Sign]) -> Rows {
    let first = machine.part.of(State::Start);
    let mut numbers = BTreeMap::from([(first, 0)]);
    let mut states = vec![first];
    let mut rows = Rows::new();
    while let Some(state) = states.get(rows.len()).copied() {
        let next = kinds.iter().map(|sign| {
            let next = machine.step(state, sign)?;
            Some(*numbers.entry(next).or_insert_with(|| {
                states.push(next);
                states.len() - 1
            }))
        });
        let next: Vec<Option<usize>> = next.collect();
        let ends = match state {
            State::Tied(..) => false,
            _ if matches!(machine.part, Part::Marks | Part::Broad) => true,
            State::Letter { run, .. } => run != Run::Pending,
            State::Tones(_) => true,
            _ => false,
        };
        rows.push((ends, next));
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

/// Writes the table: a column a class of bytes, in it a cell a state. State 0 is the dead
/// end; the states a transcription may end in come last.
fn emit(
    part: Part,
    rows: &Rows,
    bytes: &[BTreeMap<u8, usize>],
    out: &mut String,
    faults: &mut Vec<String>,
) {
    let ends = |state: &usize| rows.get(*state).is_some_and(|(ends, _)| *ends);
    let mut order: Vec<usize> = (0..bytes.len()).collect();
    order.sort_by_key(ends);
    let mut place = vec![0; bytes.len()];
    for (at, state) in order.iter().enumerate() {
        if let Some(slot) = place.get_mut(*state) {
            *slot = at + 1;
        }
    }
    let mut classes: BTreeMap<Vec<Option<&usize>>, usize> = BTreeMap::new();
    let mut class_of = Vec::new();
    let mut samples = Vec::new();
    // The byte 0xFF never occurs in text: its class is that of bytes that lead nowhere.
    for byte in (0..=u8::MAX).rev() {
        let column: Vec<Option<&usize>> =
            bytes.iter().map(|row| row.get(&byte)).collect();
        let class = *classes.entry(column).or_insert_with(|| {
            samples.push(byte);
            samples.len() - 1
        });
        class_of.push(class);
    }
    class_of.reverse();
    let states = bytes.len() + 1;
    if states > usize::from(u16::MAX) {
        faults.push(format!("automaton: {states} states do not fit 16 bits"));
    }
    // A column a class, so that the number of a state is all there is to add to it.
    let mut cells = Vec::new();
    for byte in &samples {
        cells.push(0);
        for state in &order {
            let to = bytes.get(*state).and_then(|row| row.get(byte));
            cells.push(to.and_then(|to| place.get(*to)).copied().unwrap_or(0));
        }
    }
    let column_of: Vec<usize> = class_of.iter().map(|class| class * states).collect();
    let first_end = order.iter().position(ends).unwrap_or(0) + 1;
    let start = place.first().copied().unwrap_or(0);
    let name = part.name();
    line(
        out,
        &format!(
            "pub static CLEAN_{name}: Automaton = Automaton {{ columns: {column_of:?}, cells: &{cells:?}, start: {start}, ends: {first_end} }};",
        ),
    );
}
