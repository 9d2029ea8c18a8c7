//! Draws words from those that are wished for, and holds some back as probes.

use std::collections::BTreeSet;

use super::wish::{Condition, Wish};
use super::{Candidate, Stock};
use crate::practice::Chance;

/// How words are drawn.
#[derive(Clone, Debug)]
pub struct Draw {
    /// How many for the drill.
    pub count: usize,
    /// How many are held back as probes.
    pub hold_back: usize,
    /// The seed of a varied draw; without one the commonest words are drawn.
    pub seed: Option<u64>,
    /// Whether every form of a word, and every word said like it, counts for itself.
    pub all_forms: bool,
    /// Words that never come up, nor forms of them, nor words said alike.
    pub except: Vec<String>,
    /// Whether names, abbreviations and unlisted words are taken too.
    pub every_kind: bool,
}

/// What was drawn.
#[derive(Clone, Debug, Default)]
pub struct Chosen {
    /// For the drill, commonest first.
    pub drill: Vec<Candidate>,
    /// Held back, commonest first: none of them, no form of one and no word said alike is in
    /// the drill.
    pub probes: Vec<Candidate>,
    /// How many words there are to draw from; with forms counted once, unless asked for.
    pub matching: usize,
    /// How many matching words were left out for the sake of `except`.
    pub excepted: usize,
}

/// Why nothing was found: what each condition keeps out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Refusal {
    /// A condition, and how many words there would be without it; the most helpful first.
    pub without_one: Vec<(Condition, usize)>,
    /// Where no condition alone helps: two together.
    pub without_two: Vec<(Condition, Condition, usize)>,
    /// How many words have the sound at all.
    pub with_the_sound: usize,
}

/// Draws words.
///
/// Without a seed the commonest words are taken, and of them every so many-th held back, so
/// that probes are about as common as what is drilled; with a seed both are drawn by chance
/// from all that match. Cost: a look at every word that is common enough.
///
/// # Errors
///
/// Where no word matches: which condition to loosen.
///
/// # Examples
///
/// ```
/// use apical::accent::Accent;
/// use apical::lexicon::Lexicon;
/// use apical::material::{Draw, SoundWish, Stock, Wish, choose};
///
/// let lexicon = Lexicon::of("en-US").unwrap();
/// let stock = Stock::new(&lexicon, &Accent::named("en-US").unwrap());
/// let wish = Wish {
///     sounds: vec![SoundWish::parse("θ", &stock.sounds).unwrap()],
///     ..Wish::default()
/// };
/// let draw = Draw {
///     count: 10,
///     hold_back: 3,
///     seed: Some(7),
///     all_forms: false,
///     except: Vec::new(),
///     every_kind: false,
/// };
/// let chosen = choose(&stock, &wish, &draw).unwrap();
/// assert_eq!((chosen.drill.len(), chosen.probes.len()), (10, 3));
/// assert!(chosen.drill.iter().all(|it| it.target().contains('θ')));
/// ```
pub fn choose(stock: &Stock<'_>, wish: &Wish, draw: &Draw) -> Result<Chosen, Refusal> {
    let candidates = stock.candidates(wish.least, draw.every_kind);
    let mut matching: Vec<Candidate> = candidates
        .into_iter()
        .filter(|it| !wish.places(it, stock).is_empty())
        .collect();
    let excepted: BTreeSet<String> = draw
        .except
        .iter()
        .flat_map(|word| stock.keys(word))
        .collect();
    let found = matching.len();
    if !excepted.is_empty() {
        matching.retain(|it| !shares(&excepted, &stock.keys(it.word())));
    }
    let mut chosen = Chosen {
        excepted: found - matching.len(),
        ..Chosen::default()
    };
    if found == 0 {
        return Err(refusal(stock, wish, draw.every_kind));
    }
    let seeded = draw.seed.map(Chance::new);
    let wanted = draw.count.saturating_add(draw.hold_back);
    let mut taken: BTreeSet<String> = BTreeSet::new();
    let mut pool: Vec<Candidate> = Vec::new();
    if draw.all_forms {
        chosen.matching = matching.len();
        pool = matching;
    } else {
        for candidate in matching {
            let keys = stock.keys(candidate.word());
            if shares(&taken, &keys) {
                continue;
            }
            taken.extend(keys);
            pool.push(candidate);
        }
        chosen.matching = pool.len();
    }
    if let Some(mut chance) = seeded {
        chance.shuffle(&mut pool);
    }
    hold_back(stock, pool, draw, wanted, &mut chosen);
    for list in [&mut chosen.drill, &mut chosen.probes] {
        list.sort_by(|one, other| {
            let often = other.frequency().total_cmp(&one.frequency());
            often.then_with(|| one.word().cmp(other.word()))
        });
    }
    Ok(chosen)
}

/// Deals a pool out to drill and probes.
fn hold_back(
    stock: &Stock<'_>,
    pool: Vec<Candidate>,
    draw: &Draw,
    wanted: usize,
    chosen: &mut Chosen,
) {
    if draw.hold_back == 0 {
        chosen.drill = pool.into_iter().take(draw.count).collect();
        return;
    }
    // Probes are spread evenly over the words that are wanted: the middle of each stretch.
    let reach = wanted.min(pool.len());
    let probes = draw.hold_back.min(reach);
    let is_probe = |at: usize| {
        let stretch = at * probes / reach;
        at == (stretch * reach + reach / 2) / probes.max(1)
    };
    let mut held: BTreeSet<String> = BTreeSet::new();
    let mut rest = Vec::new();
    for (at, candidate) in pool.into_iter().enumerate() {
        if at < reach && is_probe(at) {
            held.extend(stock.keys(candidate.word()));
            chosen.probes.push(candidate);
        } else {
            rest.push(candidate);
        }
    }
    let free = |it: &Candidate| !shares(&held, &stock.keys(it.word()));
    chosen.drill = rest.into_iter().filter(free).take(draw.count).collect();
}

fn shares(taken: &BTreeSet<String>, keys: &[String]) -> bool {
    keys.iter().any(|it| taken.contains(it))
}

/// Takes out of a list every word that is one of the others, a form of one or said alike.
#[must_use]
pub fn refuse_held_back(
    stock: &Stock<'_>,
    words: Vec<Candidate>,
    held: &[String],
) -> Vec<Candidate> {
    let held: BTreeSet<String> = held.iter().flat_map(|it| stock.keys(it)).collect();
    words
        .into_iter()
        .filter(|it| !shares(&held, &stock.keys(it.word())))
        .collect()
}

/// What keeps every word out.
fn refusal(stock: &Stock<'_>, wish: &Wish, every_kind: bool) -> Refusal {
    let mut refusal = Refusal::default();
    let mut ones = [0_usize; Condition::ALL.len()];
    let mut twos: Vec<(Condition, Condition, usize)> = Vec::new();
    for (at, one) in Condition::ALL.iter().enumerate() {
        for other in Condition::ALL.iter().skip(at + 1) {
            twos.push((*one, *other, 0));
        }
    }
    let bit = |condition: Condition| 1_u16 << condition as u16;
    for candidate in stock.candidates(0.0, every_kind) {
        let failures = wish.failures(&candidate, stock);
        refusal.with_the_sound += usize::from(!failures.is_empty());
        let within = |allowed: u16| failures.iter().any(|it| it & !allowed == 0);
        for (condition, count) in Condition::ALL.iter().zip(&mut ones) {
            *count += usize::from(within(bit(*condition)));
        }
        for (one, other, count) in &mut twos {
            *count += usize::from(within(bit(*one) | bit(*other)));
        }
    }
    refusal.without_one = Condition::ALL.iter().copied().zip(ones).collect();
    refusal.without_one.retain(|it| it.1 > 0);
    refusal
        .without_one
        .sort_by_key(|it| core::cmp::Reverse(it.1));
    if refusal.without_one.is_empty() {
        refusal.without_two = twos;
        refusal.without_two.retain(|it| it.2 > 0);
        refusal
            .without_two
            .sort_by_key(|it| core::cmp::Reverse(it.2));
    }
    refusal
}
