//! The fewest words that fill what is missing, as nearly as a greedy search finds them.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

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

/// Chooses words, each given as the needs it fills and how often, until every need is filled as
/// far as the words go. `is_free` is asked about a word when its turn has come, in the order of
/// the choice; what it refuses is not chosen.
///
/// Each time the word is taken that fills most of what is open, of equal ones the first; then
/// every word is left out again, the last of the list first, without which the rest still does.
/// That is not always the shortest list; the lower bound says how far from it it can be. It is
/// that of the dual of the linear program: weights on the needs so that no word is worth more
/// than one, found by multiplicative weights. The result is the same on every run.
///
/// Cost: a heap over the words, and a look at all of them in each of 200 rounds.
///
/// # Examples
///
/// ```
/// use apical::material::cover;
///
/// // Two words fill what the first alone nearly fills.
/// let gives = [vec![(0, 1), (1, 1)], vec![(0, 1)], vec![(1, 1), (2, 1)]];
/// let cover = cover(&[1, 1, 1], &gives, &mut |_| true);
/// assert_eq!((cover.chosen.len(), cover.at_least), (2, 2));
/// assert!(cover.open.is_empty());
/// ```
///
/// # Source
///
/// Greedy cover: Chvátal (1979); multiplicative weights for such programs: Plotkin, Shmoys and
/// Tardos (1995); both from memory.
#[must_use]
pub fn cover(
    need: &[usize],
    gives: &[Vec<(usize, usize)>],
    is_free: &mut dyn FnMut(usize) -> bool,
) -> Cover {
    let mut open = need.to_vec();
    let gain = |open: &[usize], word: usize| -> usize {
        let gives = gives.get(word).map(Vec::as_slice).unwrap_or_default();
        let part = |(cell, times): &(usize, usize)| {
            open.get(*cell).copied().unwrap_or(0).min(*times)
        };
        gives.iter().map(part).sum()
    };
    let mut heap: BinaryHeap<(usize, Reverse<usize>)> = (0..gives.len())
        .map(|word| (gain(&open, word), Reverse(word)))
        .filter(|(gain, _)| *gain > 0)
        .collect();
    let mut chosen = Vec::new();
    while let Some((promised, Reverse(word))) = heap.pop() {
        let now = gain(&open, word);
        if now == 0 {
            continue;
        }
        if now < promised {
            heap.push((now, Reverse(word)));
            continue;
        }
        if !is_free(word) {
            continue;
        }
        for (cell, times) in gives.get(word).into_iter().flatten() {
            if let Some(left) = open.get_mut(*cell) {
                *left = left.saturating_sub(*times);
            }
        }
        chosen.push(word);
    }
    let filled: Vec<usize> = need.iter().zip(&open).map(|(all, left)| all - left).collect();
    prune(&mut chosen, &filled, gives);
    Cover {
        at_least: at_least(&filled, gives).min(chosen.len()),
        chosen,
        open: open
            .into_iter()
            .enumerate()
            .filter(|(_, left)| *left > 0)
            .collect(),
    }
}

/// Leaves out every word without which the others still fill what is filled.
fn prune(chosen: &mut Vec<usize>, filled: &[usize], gives: &[Vec<(usize, usize)>]) {
    let mut sums = vec![0_usize; filled.len()];
    let parts = |word: usize| gives.get(word).into_iter().flatten();
    for word in chosen.iter() {
        for (cell, times) in parts(*word) {
            if let Some(sum) = sums.get_mut(*cell) {
                *sum += times;
            }
        }
    }
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

/// How many words it takes at least.
#[allow(clippy::cast_precision_loss, reason = "counts of sounds in a list")]
fn at_least(need: &[usize], gives: &[Vec<(usize, usize)>]) -> usize {
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
    let mut weights: Vec<f64> = need.iter().map(|it| f64::from(u8::from(*it > 0))).collect();
    let mut bound = 0.0_f64;
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
        bound = bound.max(all / most);
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
        reason = "a small number of words, never negative"
    )]
    let words = (bound - 1e-6).ceil().max(0.0) as usize;
    words
}
