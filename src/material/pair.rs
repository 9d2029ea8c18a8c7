//! Minimal pairs and sets that are truly minimal in the accent declared.

use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};

use super::wish::SoundWish;
use super::{Candidate, Placed, Spoken, Stock};
use crate::accent::Sounded;
use crate::inventory::AllophoneRow;
use crate::lexicon::{Before, Contrast, Forms, Join, Kind, Merge, Pair, Phoneme, Scope};
use crate::syllable::{Part, Position, Stress};

/// What pairs are asked for.
#[derive(Clone, Debug, Default)]
pub struct Question {
    /// The contrasts, each two phonemes of the accent by number.
    pub contrasts: Vec<[u16; 2]>,
    /// Where in the word the two sounds stand.
    pub position: Option<Position>,
    /// In what part of the syllable.
    pub part: Option<Part>,
    /// Whether in a stressed syllable.
    pub stressed: Option<bool>,
    /// How many syllables the words have, at least and at most.
    pub syllables: Option<(u32, u32)>,
    /// Sounds that neither word has.
    pub without: Vec<SoundWish>,
    /// How often in a million words each word occurs at least.
    pub least: f64,
    /// Whether names, abbreviations and unlisted words are taken too.
    pub every_kind: bool,
    /// Words that never come up, nor forms of them, nor words said alike.
    pub except: Vec<String>,
}

/// A word with the place of its sound.
#[derive(Clone, Debug)]
pub struct Slot {
    /// The word.
    pub candidate: Candidate,
    /// The place of the sound in its target.
    pub at: usize,
}

/// A pair of words.
#[derive(Clone, Debug)]
pub struct Found {
    /// The contrast.
    pub contrast: [u16; 2],
    /// The word with the first sound.
    pub a: Slot,
    /// The word with the second.
    pub b: Slot,
    /// Where the contrast stands in the word.
    pub position: Position,
    /// What may make the two alike for some speakers of the accent.
    pub alike: Option<Alike>,
    /// For a near-minimal pair, what else differs.
    pub near: Option<Near>,
}

impl Found {
    fn commonness(&self) -> [f64; 2] {
        let [a, b] = [&self.a, &self.b].map(|it| it.candidate.frequency());
        [a.min(b), a.max(b)]
    }
}

/// Why two words may be said alike.
#[derive(Clone, Debug, PartialEq)]
pub enum Alike {
    /// A variant of the one is a variant of the other.
    Variant,
    /// Rules of the accent, each by its name and context.
    Rules(Vec<(&'static str, &'static str)>),
}

/// The one other place where a near-minimal pair differs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Near {
    /// The sound of the first word there.
    pub a: u16,
    /// That of the second.
    pub b: u16,
}

/// The pairs of a question.
#[derive(Clone, Debug, Default)]
pub struct Pairs {
    /// The pairs, commonest first by the rarer word; those that some speakers say alike stand
    /// last.
    pub found: Vec<Found>,
    /// Pairs left out because the accent as declared, or a variant, makes the two words alike;
    /// commonest first.
    pub alike: Vec<Found>,
}

/// The minimal pairs of contrasts.
///
/// Two words are a pair if their targets differ in one phoneme, stress alike, each word in its
/// first variant; options that merge phonemes are applied first. A pair is left out where any
/// variants of the two are the same, or where a rule of an option declared (the flap of *ladder*
/// and *latter*) may make them alike; where a rule open to any speaker does (*bag* and *beg* for
/// those who raise a before ɡ), it is marked. Of words said alike the commonest makes the pair.
///
/// Cost: the minimal pairs of the lexicon, and a look at the rules for each.
#[must_use]
pub fn pairs(stock: &Stock<'_>, question: &Question) -> Pairs {
    let search = Search::new(stock, question);
    let mut all = Pairs::default();
    for contrast in &question.contrasts {
        for pair in search.minimal(*contrast) {
            let found = search.slots(*contrast, &pair);
            if let Some(found) = found {
                all.sort_in(search.judged(found));
            }
        }
    }
    all.finish();
    all
}

/// Near-minimal pairs: the words have the contrast in the same place between the same
/// neighbours, stress alike, and differ in one sound more, a vowel for a vowel or a consonant
/// for a consonant. Commonest first.
///
/// # Source
///
/// That near-minimal pairs show a contrast where minimal ones are wanting: common practice, no
/// source; that one further sound may differ, and none beside the contrast, is our definition.
#[must_use]
pub fn near_pairs(stock: &Stock<'_>, question: &Question) -> Pairs {
    let search = Search::new(stock, question);
    let mut all = Pairs::default();
    for contrast in &question.contrasts {
        for found in search.near(*contrast) {
            all.sort_in(search.judged(found));
        }
    }
    all.finish();
    all
}

impl Pairs {
    fn sort_in(&mut self, (found, left_out): (Found, bool)) {
        if left_out {
            self.alike.push(found);
        } else {
            self.found.push(found);
        }
    }

    fn finish(&mut self) {
        for (list, marked_last) in [(&mut self.found, true), (&mut self.alike, false)] {
            list.sort_by(|one, other| {
                let marked = one.alike.is_some().cmp(&other.alike.is_some());
                let [[a, b], [c, d]] = [one, other].map(Found::commonness);
                let words = |it: &Found| (it.a.candidate.word(), it.b.candidate.word());
                let common = c.total_cmp(&a).then(d.total_cmp(&b));
                let order = if marked_last {
                    marked.then(common)
                } else {
                    common
                };
                order.then_with(|| words(one).cmp(&words(other)))
            });
        }
    }
}

/// The sets of words that differ in one place, where each has another of the phonemes, in the
/// order given; the set whose rarest word is the commonest comes first. Sets of which two words
/// may be said alike by an option declared or a variant are left out; the number of those is
/// given too. The contrasts of the question are not looked at.
#[must_use]
pub fn minimal_sets(
    stock: &Stock<'_>,
    phonemes: &[u16],
    question: &Question,
) -> (Vec<Vec<Slot>>, usize) {
    let joined = phonemes.iter().any(|it| stock.sounds.is_vowel(*it));
    let search = Search::new(stock, question);
    let (mut sets, mut left_out) = (Vec::new(), 0);
    let Some(named) = search.phonemes(phonemes) else {
        return (sets, 0);
    };
    let forms = search.forms(joined);
    for members in forms.map_or_else(Vec::new, |it| it.minimal_sets(&named)) {
        let candidates: Option<Vec<&Candidate>> =
            members.iter().map(|it| search.candidate(it.word)).collect();
        let Some(candidates) = candidates else {
            continue;
        };
        let Some(slots) = slots(&candidates, joined) else {
            continue;
        };
        if !search.fits(&slots) {
            continue;
        }
        let alike = slots.iter().enumerate().any(|(at, one)| {
            let mut others = slots.iter().skip(at + 1);
            others.any(|other| matches!(search.alike(one, other), Some((_, true))))
        });
        if alike {
            left_out += 1;
        } else {
            sets.push(slots);
        }
    }
    (sets, left_out)
}

/// The candidates of a question.
struct Search<'s> {
    stock: &'s Stock<'s>,
    question: &'s Question,
    candidates: Vec<Candidate>,
    /// From a spelling to its candidate.
    by_word: BTreeMap<&'static str, usize>,
    joins: Vec<Join>,
    /// The forms without joins, and with them.
    plain: OnceCell<Option<Forms<'s>>>,
    joined: OnceCell<Option<Forms<'s>>>,
}

/// A sound of a word as pairs compare it: the phoneme, and its place in the target.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Unit {
    number: u16,
    stress: Stress,
    at: usize,
}

impl<'s> Search<'s> {
    fn new(stock: &'s Stock<'s>, question: &'s Question) -> Self {
        let except: BTreeSet<String> = question
            .except
            .iter()
            .flat_map(|word| stock.keys(word))
            .collect();
        let wish = super::Wish {
            syllables: question.syllables,
            without: question.without.clone(),
            least: question.least,
            ..super::Wish::default()
        };
        let free = |it: &Candidate| {
            except.is_empty() || !stock.keys(it.word()).iter().any(|k| except.contains(k))
        };
        let candidates: Vec<Candidate> = stock
            .candidates(question.least, question.every_kind)
            .into_iter()
            .filter(|it| !wish.places(it, stock).is_empty() && free(it))
            .collect();
        let by_word = candidates
            .iter()
            .enumerate()
            .map(|(at, it)| (it.word(), at))
            .collect();
        let sounds = &stock.sounds;
        let joins = sounds
            .coloured()
            .iter()
            .enumerate()
            .filter_map(|(place, [vowel, r, whole])| {
                let row = sounds.accent().row(*whole)?;
                let [vowel, r] = [vowel, r].map(|it| sounds.text(*it));
                stock.lexicon.join(place, [&vowel, &r], row.text)
            })
            .collect();
        Self {
            stock,
            question,
            candidates,
            by_word,
            joins,
            plain: OnceCell::new(),
            joined: OnceCell::new(),
        }
    }

    fn candidate(&self, word: &str) -> Option<&Candidate> {
        self.candidates.get(*self.by_word.get(word)?)
    }

    /// Phonemes as the word list has them.
    fn phonemes(&self, numbers: &[u16]) -> Option<Vec<Phoneme>> {
        let sounds = &self.stock.sounds;
        let named = |number: &u16| {
            let joined = sounds.coloured().iter().zip(&self.joins);
            let joined = joined.clone().find(|(it, _)| it[2] == *number);
            match joined {
                Some((_, join)) => Some(join.whole()),
                None => self.stock.lexicon.phoneme(&sounds.text(*number)),
            }
        };
        numbers.iter().map(named).collect()
    }

    /// The forms of the candidates, with what the accent merges and, where it is asked for,
    /// joins; made once.
    fn forms(&self, joined: bool) -> Option<&Forms<'s>> {
        let made = if joined { &self.joined } else { &self.plain };
        made.get_or_init(|| self.made_forms(joined)).as_ref()
    }

    fn made_forms(&self, joined: bool) -> Option<Forms<'s>> {
        let joins = if joined { self.joins.as_slice() } else { &[] };
        let sounds = &self.stock.sounds;
        let words: Vec<&str> = self.candidates.iter().map(Candidate::word).collect();
        let named: Vec<[String; 3]> = sounds
            .mergers()
            .iter()
            .map(|it| {
                let next = it.before.map(|(next, _)| sounds.text(next));
                [
                    sounds.text(it.from),
                    sounds.text(it.into),
                    next.unwrap_or_default(),
                ]
            })
            .collect();
        let merges: Vec<Merge<'_>> = sounds
            .mergers()
            .iter()
            .zip(&named)
            .map(|(merger, [from, into, next])| Merge {
                from,
                into,
                before: match merger.before {
                    None => Before::Anything,
                    Some((_, true)) => Before::Only(next),
                    Some((_, false)) => Before::AnythingBut(next),
                },
            })
            // An option's own phoneme is not in the list.
            .filter(|it| {
                let known = |text: &str| self.stock.lexicon.phoneme(text).is_some();
                known(it.from) && known(it.into)
            })
            .collect();
        let scope = Scope {
            kinds: &Kind::ALL,
            words: Some(&words),
            variants: false,
            merges: &merges,
            joins,
        };
        Forms::of(self.stock.lexicon, &scope).ok()
    }

    /// The minimal pairs of a contrast, of words said alike the commonest.
    fn minimal(&self, contrast: [u16; 2]) -> Vec<Pair> {
        let joined = self.is_joined(contrast);
        let Some(named) = self.phonemes(&contrast) else {
            return Vec::new();
        };
        let [a, b] = named.as_slice() else {
            return Vec::new();
        };
        let contrast = Contrast { a: *a, b: *b };
        let forms = self.forms(joined);
        let mut pairs = forms.map_or_else(Vec::new, |it| it.minimal_pairs(contrast));
        let mut seen = BTreeSet::new();
        let bare = |it: &str| it.replace('.', "");
        pairs.retain(|pair| seen.insert((bare(&pair.a.target), bare(&pair.b.target))));
        pairs
    }

    /// Whether a vowel and its r count as one: where the contrast is one of vowels.
    fn is_joined(&self, contrast: [u16; 2]) -> bool {
        contrast.iter().any(|it| self.stock.sounds.is_vowel(*it))
    }

    /// A pair with the places of its sounds, if they stand where they are asked for.
    fn slots(&self, contrast: [u16; 2], pair: &Pair) -> Option<Found> {
        let a = self.candidate(pair.a.word)?;
        let b = self.candidate(pair.b.word)?;
        let slots = slots(&[a, b], self.is_joined(contrast))?;
        self.fits(&slots)
            .then(|| Self::found(contrast, slots, None))
            .flatten()
    }

    fn found(contrast: [u16; 2], slots: Vec<Slot>, near: Option<Near>) -> Option<Found> {
        let mut slots = slots.into_iter();
        let (a, b) = (slots.next()?, slots.next()?);
        Some(Found {
            contrast,
            position: place_of(&a).or(place_of(&b)).unwrap_or_default(),
            a,
            b,
            alike: None,
            near,
        })
    }

    /// Whether the slots stand where they are asked for.
    fn fits(&self, slots: &[Slot]) -> bool {
        let question = self.question;
        let sites = slots
            .iter()
            .filter_map(|it| it.candidate.spoken.get(it.at))
            .map(|it| it.site);
        let mut positions = slots.iter().filter_map(place_of);
        question
            .position
            .is_none_or(|wanted| positions.any(|it| it == wanted))
            && question
                .part
                .is_none_or(|wanted| sites.clone().all(|it| it.part == Some(wanted)))
            && question.stressed.is_none_or(|wanted| {
                sites
                    .clone()
                    .all(|it| it.stress.is_stressed() == Some(wanted))
            })
    }

    /// A pair with what may make it alike, and whether that leaves it out.
    fn judged(&self, found: Found) -> (Found, bool) {
        match self.alike(&found.a, &found.b) {
            None => (found, false),
            Some((why, left_out)) => {
                let alike = Some(why);
                (Found { alike, ..found }, left_out)
            }
        }
    }

    /// Why two words may be said alike, and whether that is so in the accent as declared.
    fn alike(&self, a: &Slot, b: &Slot) -> Option<(Alike, bool)> {
        let stock = self.stock;
        let keys = |slot: &Slot| -> Vec<String> {
            let variants = stock.sounds.own(stock.variants(&slot.candidate.entry));
            variants.iter().map(|it| stock.sounds.key(it)).collect()
        };
        let (mine, theirs) = (keys(a), keys(b));
        if mine.iter().any(|it| theirs.contains(it)) {
            return Some((Alike::Variant, true));
        }
        // Of different length, they are not alike by one sound.
        if a.candidate.spoken.len() != b.candidate.spoken.len() {
            return None;
        }
        let [one, other] = [a, b].map(|it| sounded(&it.candidate.spoken));
        let accent = stock.sounds.accent();
        let rules = accent.alike((&one, a.at), (&other, b.at))?;
        let declared = |row: &&AllophoneRow| !row.option.is_empty();
        let left_out = rules.iter().all(declared);
        let mut named: Vec<_> = rules.iter().map(|it| (it.name, it.context)).collect();
        named.dedup();
        Some((Alike::Rules(named), left_out))
    }

    /// The near-minimal pairs of a contrast.
    fn near(&self, contrast: [u16; 2]) -> Vec<Found> {
        type Frame = (Vec<(u16, Stress)>, usize, usize);
        let joined = self.is_joined(contrast);
        let all: Vec<Vec<Unit>> = self
            .candidates
            .iter()
            .map(|it| units(&it.spoken, joined))
            .collect();
        let mut frames: BTreeMap<Frame, [Vec<usize>; 2]> = BTreeMap::new();
        for (word, units) in all.iter().enumerate() {
            for (at, unit) in units.iter().enumerate() {
                let Some(which) = contrast.iter().position(|it| *it == unit.number)
                else {
                    continue;
                };
                for (free, other) in units.iter().enumerate() {
                    if free.abs_diff(at) < 2 {
                        continue;
                    }
                    let vowel = u16::from(self.stock.sounds.is_vowel(other.number));
                    let hole = |(place, it): (usize, &Unit)| match place {
                        place if place == at => (u16::MAX, it.stress),
                        place if place == free => (u16::MAX - 1 - vowel, it.stress),
                        _ => (it.number, it.stress),
                    };
                    let frame = units.iter().enumerate().map(hole).collect();
                    let entry = frames.entry((frame, at, free)).or_default();
                    if let Some(list) = entry.get_mut(which) {
                        list.push(word);
                    }
                }
            }
        }
        let mut found = Vec::new();
        let mut seen = BTreeSet::new();
        for ((_, at, free), [ones, others]) in &frames {
            for one in ones {
                for other in others {
                    let unit = |word: &usize, at: &usize| {
                        all.get(*word).and_then(|units| units.get(*at)).copied()
                    };
                    let (Some(a), Some(b)) = (unit(one, free), unit(other, free)) else {
                        continue;
                    };
                    if a.number == b.number || !seen.insert((*one, *other, *at)) {
                        continue;
                    }
                    let near = Near {
                        a: a.number,
                        b: b.number,
                    };
                    let slot = |word: &usize| {
                        Some(Slot {
                            candidate: self.candidates.get(*word)?.clone(),
                            at: unit(word, at)?.at,
                        })
                    };
                    let slots: Option<Vec<Slot>> =
                        [one, other].into_iter().map(slot).collect();
                    let slots = slots.filter(|it| self.fits(it));
                    found.extend(
                        slots.and_then(|it| Self::found(contrast, it, Some(near))),
                    );
                }
            }
        }
        found
    }
}

/// The sounds of a word as pairs compare them.
fn units(spoken: &Spoken, joined: bool) -> Vec<Unit> {
    let mut units = Vec::with_capacity(spoken.len());
    let mut skip = false;
    for (at, placed) in spoken.iter().enumerate() {
        if std::mem::take(&mut skip) {
            continue;
        }
        skip = joined && placed.coloured.is_some();
        let nucleus = placed.site.part == Some(Part::Nucleus);
        units.push(Unit {
            number: if joined {
                placed.counts_as()
            } else {
                placed.number
            },
            stress: if nucleus && placed.site.syllables > 1 {
                placed.site.stress
            } else {
                Stress::None
            },
            at,
        });
    }
    units
}

/// The one place where words differ, for each of them.
fn slots(candidates: &[&Candidate], joined: bool) -> Option<Vec<Slot>> {
    let all: Vec<Vec<Unit>> = candidates
        .iter()
        .map(|it| units(&it.spoken, joined))
        .collect();
    let first = all.first()?;
    let differs = |at: usize| {
        let number = |units: &Vec<Unit>| units.get(at).map(|it| it.number);
        all.iter().any(|units| number(units) != number(first))
    };
    let slot = (0..first.len()).find(|at| differs(*at))?;
    candidates
        .iter()
        .zip(&all)
        .map(|(candidate, units)| {
            Some(Slot {
                candidate: (*candidate).clone(),
                at: units.get(slot)?.at,
            })
        })
        .collect()
}

/// Where in its word a slot stands; a vowel with its r is final where the r is.
fn place_of(slot: &Slot) -> Option<Position> {
    let placed: &Placed = slot.candidate.spoken.get(slot.at)?;
    let ends = placed.coloured.is_some() && slot.at + 2 == slot.candidate.spoken.len();
    Some(match placed.site.position {
        Position::Medial if ends => Position::Final,
        position => position,
    })
}

fn sounded(spoken: &Spoken) -> Vec<Sounded> {
    spoken
        .iter()
        .enumerate()
        .map(|(first, placed)| Sounded {
            number: Some(placed.number),
            first,
            length: 1,
            site: placed.site,
        })
        .collect()
}
