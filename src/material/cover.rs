//! The fewest words that fill what is missing, as nearly as a greedy search finds them.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::practice::Chance;

/// Words that fill needs.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cover {
    /// The words chosen, by place, in order.
    pub chosen: Vec<usize>,
    /// No list of these words that fills what this one fills has fewer.
    pub at_least: usize,
    /// Needs that stay open, each with how much is missing, because too few words fill them.
    pub open: Vec<(usize, usize)>,
}

/// Rounds of the search for a lower bound; more make it only a little better.
const ROUNDS: usize = 200;
/// How fast a need that is being filled loses weight in that search.
const PACE: f64 = 0.2;

/// Rounds in which a part of the list is taken out and found anew.
const RENEWALS: usize = 40;
/// One word in so many is taken out in such a round.
const PART: usize = 4;

/// Chooses words, each given as the needs it fills and how often, until every need is filled as
/// far as the words go. Words stand in the order of preference. `is_free` is asked whether a
/// word may be chosen beside those chosen so far.
///
/// Each time the word is taken that fills most of what is open, of equal ones the first, once
/// by counting and once by what needs are worth in the search for the lower bound; of the two
/// lists the shorter one is improved: a part of it is taken out and found anew, again and
/// again, and words are left out without which the rest still does, or changed for ones that
/// stand earlier. That is not always the shortest list; the lower bound says how far from it it
/// can be. It is that of the dual of the linear program: weights on the needs so that no word
/// is worth more than one, found by multiplicative weights. The result is the same on every
/// run, and the number of rounds is fixed.
///
/// Cost: a heap over the words in each of 42 searches, and a look at all of them in each of 200
/// rounds.
///
/// # Examples
///
/// ```
/// use apical::material::cover;
///
/// // Two words fill what the first alone nearly fills.
/// let gives = [vec![(0, 1), (1, 1)], vec![(0, 1)], vec![(1, 1), (2, 1)]];
/// let cover = cover(&[1, 1, 1], &gives, &mut |_, _| true);
/// assert_eq!((cover.chosen.len(), cover.at_least), (2, 2));
/// assert!(cover.open.is_empty());
/// ```
///
/// # Source
///
/// Greedy cover: Chvátal (1979); multiplicative weights for such programs: Plotkin, Shmoys and
/// Tardos (1995); taking out and finding anew: Schrimpf and others (2000); all from memory.
#[must_use]
pub fn cover(
    need: &[usize],
    gives: &[Vec<(usize, usize)>],
    is_free: &mut dyn FnMut(usize, &[usize]) -> bool,
) -> Cover {
    let plain = vec![UNIT; need.len()];
    let (mut best, open) = greedy(need, gives, &plain, Vec::new(), is_free);
    let filled: Vec<usize> = need
        .iter()
        .zip(&open)
        .map(|(all, left)| all - left)
        .collect();
    prune(&mut best, &filled, gives);
    let (at_least, worth) = at_least(&filled, gives);
    let (mut other, _) = greedy(&filled, gives, &worth, Vec::new(), is_free);
    prune(&mut other, &filled, gives);
    if other.len() < best.len() && fills(&other, &filled, gives) {
        best = other;
    }
    let mut chance = Chance::new(0);
    for _ in 0..RENEWALS {
        if best.len() <= at_least {
            break;
        }
        let mut kept = best.clone();
        kept.retain(|_| chance.below(PART) > 0);
        let shaken: Vec<u64> = worth
            .iter()
            .map(|price| price * (75 + chance.below(50) as u64) / 100 + 1)
            .collect();
        let (mut anew, _) = greedy(&filled, gives, &shaken, kept, is_free);
        prune(&mut anew, &filled, gives);
        if anew.len() <= best.len() && fills(&anew, &filled, gives) {
            best = anew;
        }
    }
    prefer_early(&mut best, &filled, gives, is_free);
    order(&mut best, &filled, gives);
    Cover {
        at_least: at_least.min(best.len()),
        chosen: best,
        open: open
            .into_iter()
            .enumerate()
            .filter(|(_, left)| *left > 0)
            .collect(),
    }
}

/// What one chance is worth where all are worth the same.
const UNIT: u64 = 1 << 20;

/// Words added to those given, by what they fill of what is open; and what stays open.
fn greedy(
    need: &[usize],
    gives: &[Vec<(usize, usize)>],
    worth: &[u64],
    mut chosen: Vec<usize>,
    is_free: &mut dyn FnMut(usize, &[usize]) -> bool,
) -> (Vec<usize>, Vec<usize>) {
    let mut open = need.to_vec();
    let parts = |word: usize| gives.get(word).into_iter().flatten();
    let fill = |open: &mut [usize], word: usize| {
        for (cell, times) in parts(word) {
            if let Some(left) = open.get_mut(*cell) {
                *left = left.saturating_sub(*times);
            }
        }
    };
    for word in &chosen {
        fill(&mut open, *word);
    }
    let gain = |open: &[usize], word: usize| -> u64 {
        let part = |(cell, times): &(usize, usize)| {
            let fills = open.get(*cell).copied().unwrap_or(0).min(*times);
            fills as u64 * worth.get(*cell).copied().unwrap_or(0)
        };
        parts(word).map(part).sum()
    };
    let mut heap: BinaryHeap<(u64, Reverse<usize>)> = (0..gives.len())
        .map(|word| (gain(&open, word), Reverse(word)))
        .filter(|(gain, _)| *gain > 0)
        .collect();
    while let Some((promised, Reverse(word))) = heap.pop() {
        let now = gain(&open, word);
        if now == 0 || chosen.contains(&word) {
            continue;
        }
        if now < promised {
            heap.push((now, Reverse(word)));
            continue;
        }
        if is_free(word, &chosen) {
            fill(&mut open, word);
            chosen.push(word);
        }
    }
    (chosen, open)
}

/// How often a list fills each need.
fn sums(chosen: &[usize], needs: usize, gives: &[Vec<(usize, usize)>]) -> Vec<usize> {
    let mut sums = vec![0_usize; needs];
    for (cell, times) in chosen.iter().filter_map(|it| gives.get(*it)).flatten() {
        if let Some(sum) = sums.get_mut(*cell) {
            *sum += times;
        }
    }
    sums
}

fn fills(chosen: &[usize], filled: &[usize], gives: &[Vec<(usize, usize)>]) -> bool {
    let sums = sums(chosen, filled.len(), gives);
    sums.iter().zip(filled).all(|(sum, need)| sum >= need)
}

/// Changes words, the last in the order of preference first, for ones that stand earlier and
/// fill what only they fill.
fn prefer_early(
    chosen: &mut [usize],
    filled: &[usize],
    gives: &[Vec<(usize, usize)>],
    is_free: &mut dyn FnMut(usize, &[usize]) -> bool,
) {
    chosen.sort_unstable();
    for at in (0..chosen.len()).rev() {
        let Some(word) = chosen.get(at).copied() else {
            continue;
        };
        let others: Vec<usize> =
            chosen.iter().copied().filter(|it| *it != word).collect();
        let without = sums(&others, filled.len(), gives);
        let open: Vec<(usize, usize)> = filled
            .iter()
            .zip(&without)
            .enumerate()
            .filter(|(_, (need, sum))| need > sum)
            .map(|(cell, (need, sum))| (cell, need - sum))
            .collect();
        let does = |other: usize| {
            let parts = gives.get(other).map(Vec::as_slice).unwrap_or_default();
            open.iter().all(|(cell, missing)| {
                let part = parts.iter().find(|it| it.0 == *cell);
                part.is_some_and(|it| it.1 >= *missing)
            })
        };
        let earlier = (0..word).find(|other| {
            does(*other) && !others.contains(other) && is_free(*other, &others)
        });
        if let (Some(earlier), Some(slot)) = (earlier, chosen.get_mut(at)) {
            *slot = earlier;
        }
    }
}

/// Puts the words first that fill most of what the ones before them leave open.
fn order(chosen: &mut Vec<usize>, filled: &[usize], gives: &[Vec<(usize, usize)>]) {
    let mut rest = std::mem::take(chosen);
    rest.sort_unstable();
    let mut open = filled.to_vec();
    while !rest.is_empty() {
        let gain = |word: &usize| -> usize {
            let parts = gives.get(*word).into_iter().flatten();
            let left = |cell: usize| open.get(cell).copied().unwrap_or(0);
            parts.map(|(cell, times)| left(*cell).min(*times)).sum()
        };
        let best = rest
            .iter()
            .enumerate()
            .max_by_key(|(at, word)| (gain(word), Reverse(*at)))
            .map_or(0, |(at, _)| at);
        let word = rest.remove(best);
        for (cell, times) in gives.get(word).into_iter().flatten() {
            if let Some(left) = open.get_mut(*cell) {
                *left = left.saturating_sub(*times);
            }
        }
        chosen.push(word);
    }
}

/// Leaves out every word without which the others still fill what is filled.
fn prune(chosen: &mut Vec<usize>, filled: &[usize], gives: &[Vec<(usize, usize)>]) {
    let mut sums = sums(chosen, filled.len(), gives);
    let parts = |word: usize| gives.get(word).into_iter().flatten();
    let mut last_first = chosen.clone();
    last_first.sort_unstable_by_key(|word| Reverse(*word));
    for word in last_first {
        let spare = parts(word).all(|(cell, times)| {
            let sum = sums.get(*cell).copied().unwrap_or(0);
            sum.saturating_sub(*times) >= filled.get(*cell).copied().unwrap_or(0)
        });
        if spare {
            for (cell, times) in parts(word) {
                if let Some(sum) = sums.get_mut(*cell) {
                    *sum = sum.saturating_sub(*times);
                }
            }
            chosen.retain(|it| *it != word);
        }
    }
}

/// How many words it takes at least, and what each need is worth by that reckoning.
#[allow(clippy::cast_precision_loss, reason = "counts of sounds in a list")]
fn at_least(need: &[usize], gives: &[Vec<(usize, usize)>]) -> (usize, Vec<u64>) {
    let useful: Vec<Vec<(usize, f64)>> = gives
        .iter()
        .map(|gives| {
            let part = |(cell, times): &(usize, usize)| {
                let need = need.get(*cell).copied().unwrap_or(0);
                (need > 0).then(|| (*cell, need.min(*times) as f64))
            };
            gives.iter().filter_map(part).collect()
        })
        .filter(|it: &Vec<_>| !it.is_empty())
        .collect();
    let mut weights: Vec<f64> =
        need.iter().map(|it| f64::from(u8::from(*it > 0))).collect();
    let mut bound = 0.0_f64;
    let mut worth_most = weights.clone();
    for _ in 0..ROUNDS {
        let worth = |word: &Vec<(usize, f64)>| -> f64 {
            let part = |(cell, times): &(usize, f64)| {
                weights.get(*cell).copied().unwrap_or(0.0) * times
            };
            word.iter().map(part).sum()
        };
        let mut best: Option<(&Vec<(usize, f64)>, f64)> = None;
        for word in &useful {
            let worth = worth(word);
            if best.is_none_or(|(_, most)| worth > most) {
                best = Some((word, worth));
            }
        }
        let Some((word, most)) = best.filter(|(_, most)| *most > 1e-12) else {
            break;
        };
        let all = need.iter().zip(&weights);
        let all: f64 = all.map(|(need, weight)| *need as f64 * weight).sum();
        if all / most > bound {
            bound = all / most;
            worth_most = weights.iter().map(|weight| weight / most).collect();
        }
        for (cell, times) in word {
            let need = need.get(*cell).copied().unwrap_or(1).max(1) as f64;
            if let Some(weight) = weights.get_mut(*cell) {
                *weight *= 1.0 - PACE * times / need;
            }
        }
    }
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "small numbers, never negative"
    )]
    let whole = |number: f64| number.max(0.0) as u64;
    let worth = worth_most
        .iter()
        .map(|weight| whole(weight * UNIT as f64) + 1)
        .collect();
    let words = whole((bound - 1e-6).ceil());
    (usize::try_from(words).unwrap_or(usize::MAX), worth)
}
