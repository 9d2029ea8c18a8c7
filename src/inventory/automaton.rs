//! The byte automata that the build script makes, and how they are stepped through.

use super::generated;

/// A machine over bytes of so few states that one is a byte; 0 is the dead end, and from
/// `ends` on a text may end. Aligned to cache lines.
#[repr(align(64))]
pub(super) struct Dense {
    /// A row a byte of text, so that its address is known before the state is.
    pub(super) cells: [u8; 65_536],
    pub(super) start: u8,
    pub(super) ends: u8,
}

impl Dense {
    #[inline]
    #[allow(clippy::indexing_slicing, reason = "two bytes index 65,536 cells")]
    fn step(&self, state: u8, byte: u8) -> u8 {
        self.cells[usize::from(byte) << 8 | usize::from(state)]
    }
}

/// A machine over bytes for one text, and for lines one after another; state 0 is the dead
/// end, and from `ends` on a text may end.
#[repr(align(64))]
#[cfg_attr(
    not(feature = "app"),
    allow(dead_code, reason = "lines in blocks are the program's")
)]
pub(super) struct Lines<const N: usize> {
    /// A row a class of bytes.
    pub(super) cells: [u16; N],
    /// Where the row of each byte begins. Here a line end leads to `start` or, where the line
    /// is not taken, to `again`, from where the next line goes on in the same way.
    pub(super) rows: [u32; 256],
    /// The same, and a line end is the end of every text.
    pub(super) text_rows: [u32; 256],
    pub(super) start: u16,
    pub(super) again: u16,
    pub(super) ends: u16,
}

impl<const N: usize> Lines<N> {
    #[inline]
    #[allow(
        clippy::indexing_slicing,
        reason = "a byte indexes 256 rows, and every row has a cell a state; a look that \
                  cannot fail would make each step wait"
    )]
    fn step(&self, rows: &[u32; 256], state: usize, byte: u8) -> u16 {
        self.cells[rows[usize::from(byte)] as usize + state]
    }
}

/// Folds over the bytes of a text. Lengths are as good as random from word to word, and
/// every branch on one costs more than a few steps: so there is one branch for the usual
/// lengths, and the steps of each stand in a row.
macro_rules! fold {
    ($text:expr, $start:expr, $step:expr) => {
        fold!(
            $text, $start, $step,
            1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20 21 22 23 24
        )
    };
    ($text:expr, $start:expr, $step:expr, $($length:literal)+) => {
        match $text.len() {
            $($length => match $text.first_chunk::<$length>() {
                Some(text) => text.iter().fold($start, $step),
                None => $start,
            },)+
            _ => $text.iter().fold($start, $step),
        }
    };
}

/// Whether the automaton of what can be read takes these bytes, brackets taken off.
#[inline]
#[must_use]
pub(crate) fn reads(bytes: &[u8]) -> bool {
    let readable = &generated::READABLE;
    let step = |state, byte: &u8| readable.step(state, *byte);
    fold!(bytes, readable.start, step) >= readable.ends
}

/// Whether the automaton of flawless transcriptions takes these bytes, brackets included.
#[inline]
#[must_use]
pub(crate) fn takes(bytes: &[u8]) -> bool {
    let lines = &generated::LINES;
    let step = |state, byte: &u8| lines.step(&lines.text_rows, usize::from(state), *byte);
    fold!(bytes, lines.start, step) >= lines.ends
}

/// How many stretches of lines are stepped through side by side: each step waits for the
/// one before it, and meanwhile others can be taken.
#[cfg(feature = "app")]
pub(crate) const ABREAST: usize = 5;

/// How many steps are taken before it is looked whether a line was turned down.
#[cfg(feature = "app")]
const STRIDE: usize = 64;

/// Finds in stretches of whole lines those that the automaton of flawless transcriptions
/// does not take; hands the number of the stretch and the place after the line's end to
/// `each`, within a stretch in order.
#[cfg(feature = "app")]
#[allow(
    clippy::indexing_slicing,
    reason = "every index is below a constant length"
)]
#[inline(never)] // Alone it has all registers to itself.
pub(crate) fn turned_down(
    stretches: [&[u8]; ABREAST],
    each: &mut dyn FnMut(usize, usize),
) {
    let machine = &generated::LINES;
    let parts = stretches.map(|stretch| stretch.as_chunks::<STRIDE>().0);
    let abreast = parts.map(<[_]>::len).into_iter().min().unwrap_or(0);
    let mut states = [machine.start; ABREAST];
    let mut trace = [[0; STRIDE]; ABREAST];
    for round in 0..abreast {
        let texts: [&[u8; STRIDE]; ABREAST] = parts.map(|part| &part[round]);
        let mut now = states.map(usize::from);
        for at in 0..STRIDE {
            for one in 0..ABREAST {
                let next = machine.step(&machine.rows, now[one], texts[one][at]);
                trace[one][at] = next;
                now[one] = usize::from(next);
            }
        }
        for (one, trace) in trace.iter().enumerate() {
            states[one] = trace[STRIDE - 1];
            // Without an early end, so that many states are looked at a time.
            let downs = trace.iter().map(|state| u8::from(*state == machine.again));
            if downs.fold(0, |any, down| any | down) != 0 {
                let again = |(_, state): &(usize, &u16)| **state == machine.again;
                for (at, _) in trace.iter().enumerate().filter(again) {
                    each(one, round * STRIDE + at + 1);
                }
            }
        }
    }
    for (one, (stretch, state)) in stretches.iter().zip(states).enumerate() {
        let mut state = state;
        for (at, byte) in stretch.iter().enumerate().skip(abreast * STRIDE) {
            state = machine.step(&machine.rows, usize::from(state), *byte);
            if state == machine.again {
                each(one, at + 1);
            }
        }
    }
}
