//! The lines of a block about which there may be something to say.

use memchr::{memchr, memchr_iter, memrchr};

use crate::inventory::{self, ABREAST};
use crate::notation::{LONG_STRETCH, is_clean};

/// Two of these in a row without a line end may belong to a line too long to be flawless.
const WINDOW: usize = LONG_STRETCH / 2;

/// Finds the lines that have to be read; its room is used again by the next block.
#[derive(Debug, Default)]
pub(super) struct Sieve {
    found: [Vec<usize>; ABREAST],
}

impl Sieve {
    /// Where the lines end, line ends included, about which there may be something to say,
    /// in order. Nothing is to be said of the others, and none of those is blank.
    pub(super) fn doubtful(&mut self, lines: &[u8]) -> impl Iterator<Item = usize> {
        for found in &mut self.found {
            found.clear();
        }
        let (whole, open) = lines.split_at(memrchr(b'\n', lines).map_or(0, |at| at + 1));
        let mut windows = whole.chunks_exact(WINDOW);
        if windows.all(|window| memchr(b'\n', window).is_some()) {
            self.scan(whole);
        } else if let Some(found) = self.found.first_mut() {
            let mut from = 0;
            found.extend(memchr_iter(b'\n', whole).filter_map(|at| {
                let line = whole.get(from..at).unwrap_or_default();
                from = at + 1;
                let line = line.strip_suffix(b"\r").unwrap_or(line);
                (!is_clean(line)).then_some(from)
            }));
        }
        let open = (!open.is_empty()).then_some(lines.len());
        self.found.iter().flatten().copied().chain(open)
    }

    /// Looks at stretches of about the same length side by side.
    fn scan(&mut self, lines: &[u8]) {
        let share = lines.len() / ABREAST;
        let mut stretches: [&[u8]; ABREAST] = [&[]; ABREAST];
        let mut begins = [0; ABREAST];
        let mut from = 0;
        for (number, (stretch, begin)) in
            stretches.iter_mut().zip(&mut begins).enumerate()
        {
            let about = (number + 1) * share;
            let after = lines.get(about.max(from)..).unwrap_or_default();
            let to = match memchr(b'\n', after) {
                Some(at) if number + 1 < ABREAST => about.max(from) + at + 1,
                _ => lines.len(),
            };
            *stretch = lines.get(from..to).unwrap_or_default();
            *begin = from;
            from = to;
        }
        inventory::turned_down(stretches, &mut |stretch, end| {
            if let (Some(found), Some(begin)) =
                (self.found.get_mut(stretch), begins.get(stretch))
            {
                found.push(begin + end);
            }
        });
    }
}
