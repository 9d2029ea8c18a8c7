//! What is worked out of a client's productions: each different one once, however often the
//! same word was said in the same way, and on as many cores as there are.

use std::collections::BTreeMap;
use std::thread::{self, available_parallelism};

use super::nearest;
use crate::accent::Accent;
use crate::finding::item::Pairing;
use crate::finding::pattern::{Detector, Pattern};
use crate::finding::progress::Tried;
use crate::notation::Transcription;
use crate::record::{Item, Outcome};

/// Productions for which another thread is worth its while.
const SHARE: usize = 250;

/// What makes two productions the same: in the order of their targets, so that what one has
/// in common with the next is at hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Production<'k> {
    target: &'k str,
    /// What is accepted besides.
    accepted: &'k str,
    said: &'k str,
    /// Some patterns look at the spelling.
    word: &'k str,
}

/// The different productions that came up, each with its number.
#[derive(Debug, Default)]
pub(super) struct Wanted<'k> {
    numbers: BTreeMap<Production<'k>, (usize, &'k Item)>,
}

impl<'k> Wanted<'k> {
    /// The number of what was said for an item; `None` where nothing was.
    pub(super) fn number(&mut self, item: &'k Item, accepted: &'k str) -> Option<usize> {
        let said = item.production.as_deref();
        let production = Production {
            target: &item.target,
            accepted,
            said: said.filter(|_| item.outcome == Outcome::Said)?,
            word: &item.word,
        };
        let next = self.numbers.len();
        Some(self.numbers.entry(production).or_insert((next, item)).0)
    }

    /// What each gives, by number: `None` where it cannot be read.
    pub(super) fn work_out(
        &self,
        accent: &Accent,
        patterns: &[Pattern],
    ) -> Vec<Option<Tried>> {
        let all: Vec<(&Production<'k>, &(usize, &'k Item))> =
            self.numbers.iter().collect();
        let cores = available_parallelism().map_or(1, usize::from);
        let shares = all.len().div_ceil(SHARE).clamp(1, cores);
        let work =
            |share: &[(&Production<'k>, &(usize, &'k Item))]| -> Vec<Option<Tried>> {
                let mut bench = Bench {
                    pairing: Pairing::new(accent),
                    detector: Detector::new(patterns),
                };
                share
                    .iter()
                    .map(|(production, (_, item))| bench.tried(production, item))
                    .collect()
            };
        let mut shares = all.chunks(all.len().div_ceil(shares).max(1));
        let own = shares.next().unwrap_or_default();
        let found = thread::scope(|scope| {
            let others: Vec<_> = shares
                .map(|share| scope.spawn(move || work(share)))
                .collect();
            let mut found = work(own);
            for other in others {
                match other.join() {
                    Ok(these) => found.extend(these),
                    Err(panic) => std::panic::resume_unwind(panic),
                }
            }
            found
        });
        let mut tried = vec![None; all.len()];
        for ((_, (number, _)), found) in all.into_iter().zip(found) {
            if let Some(place) = tried.get_mut(*number) {
                *place = found;
            }
        }
        tried
    }
}

/// Works out production after production.
struct Bench<'p> {
    pairing: Pairing,
    detector: Detector<'p>,
}

impl Bench<'_> {
    /// What a production gives, if it can be counted.
    fn tried(&mut self, production: &Production<'_>, item: &Item) -> Option<Tried> {
        let Production {
            target, accepted, ..
        } = *production;
        let [target, said] = [target, production.said].map(Transcription::parse);
        if !target.is_valid() || !said.is_valid() {
            return None;
        }
        let target = if accepted.is_empty() {
            target
        } else {
            nearest(&mut self.pairing, target, accepted, &said)
        };
        let row = u64::from(item.position);
        let item = self.pairing.item(row, &item.word, &target, &said);
        Some(Tried::of(&item, &mut self.detector))
    }
}
