//! What hangs on a contrast of two phonemes: minimal pairs and functional load.

use std::cmp::Reverse;

use super::forms::{BASE, NUMBER, Spelled, Stored, value, weighted_log};
use super::{Forms, Lexicon, Phoneme};

/// Two different phonemes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Contrast {
    /// The one.
    pub a: Phoneme,
    /// The other.
    pub b: Phoneme,
}

/// Two words that one phoneme keeps apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// The word with the first phoneme of the contrast.
    pub a: Member,
    /// The word with the second.
    pub b: Member,
}

/// A word of a pair or a set.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    /// In its usual spelling.
    pub word: &'static str,
    /// The variant that makes the pair, as the word list writes it.
    pub target: String,
    /// The word's occurrences in a million words, if known.
    pub frequency: Option<f64>,
}

/// The pairs of pronunciations that one contrast keeps apart.
#[derive(Clone, Debug, PartialEq)]
pub struct MinimalPairs {
    /// The contrast.
    pub contrast: Contrast,
    /// The pairs; from [`Forms::all_minimal_pairs`] in the order of the forms.
    pub forms: Vec<FormPair>,
}

/// Two forms of [`Forms`] by their place in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct FormPair {
    /// The form with the first phoneme.
    pub a: u32,
    /// The form with the second.
    pub b: u32,
}

impl Lexicon {
    /// The contrast of two phonemes, in any spelling that [`Lexicon::phoneme`] takes; `None`
    /// if one is unknown or both are the same.
    #[must_use]
    pub fn contrast(&self, a: &str, b: &str) -> Option<Contrast> {
        let contrast = Contrast {
            a: self.phoneme(a)?,
            b: self.phoneme(b)?,
        };
        (contrast.a != contrast.b).then_some(contrast)
    }
}

impl Forms<'_> {
    /// The pairs of words that differ in one place, where one has the one phoneme and the
    /// other the other, and in nothing else: stress is the same on every vowel. Words that
    /// sound alike each make a pair of their own.
    ///
    /// Commonest first: by the frequency of the rarer word, then of the other, then by
    /// spelling. Cost: linear in the forms that have one of the phonemes, but for a sort.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::lexicon::{Forms, Lexicon, Scope};
    ///
    /// let lexicon = Lexicon::of("en-US").unwrap();
    /// let forms = Forms::of(&lexicon, &Scope::default()).unwrap();
    /// let pairs = forms.minimal_pairs(lexicon.contrast("ɪ", "i").unwrap());
    /// assert!(pairs.iter().any(|pair| pair.a.word == "ship" && pair.b.word == "sheep"));
    /// assert_eq!(lexicon.contrast("ɪ", "x"), None);
    /// ```
    #[must_use]
    pub fn minimal_pairs(&self, contrast: Contrast) -> Vec<Pair> {
        self.spelled(&self.form_pairs(contrast))
    }

    /// The pairs of pronunciations behind [`minimal_pairs`](Self::minimal_pairs), in the order
    /// of what stands around the contrast.
    ///
    /// Cost: linear in the forms that have one of the phonemes, but for a sort of them.
    #[must_use]
    pub fn form_pairs(&self, contrast: Contrast) -> MinimalPairs {
        let Contrast { a, b } = contrast;
        let mut forms = Vec::new();
        self.frames(
            |number| number == a.number || number == b.number,
            |frame| {
                for one in frame.iter().filter(|place| place.number == a.number) {
                    for other in frame.iter().filter(|place| place.number == b.number) {
                        if self.is_pair(one, other) {
                            forms.push(FormPair {
                                a: one.form,
                                b: other.form,
                            });
                        }
                    }
                }
            },
        );
        MinimalPairs { contrast, forms }
    }

    /// The minimal pairs of all contrasts, in the order of the phonemes; contrasts without a
    /// pair are left out.
    ///
    /// Cost: a key for every phoneme of every form and a sort of the keys. Every pair is
    /// compared phoneme by phoneme before it counts.
    ///
    /// # Source
    /// The method, a polynomial hash in which a wildcard stands for one place in turn, so
    /// that equal keys are words alike but for that place, is common practice.
    #[must_use]
    pub fn all_minimal_pairs(&self) -> Vec<MinimalPairs> {
        let mut found: Vec<(u8, u8, FormPair)> = Vec::new();
        self.frames(
            |_| true,
            |frame| {
                for (at, one) in frame.iter().enumerate() {
                    for other in frame.iter().skip(at + 1) {
                        if self.is_pair(one, other) {
                            let (a, b) = if one.number < other.number {
                                (one, other)
                            } else {
                                (other, one)
                            };
                            found.push((
                                a.number,
                                b.number,
                                FormPair {
                                    a: a.form,
                                    b: b.form,
                                },
                            ));
                        }
                    }
                }
            },
        );
        found.sort_unstable();
        let phonemes: Vec<Phoneme> = self.lexicon.phonemes().collect();
        let phoneme =
            |number: u8| phonemes.get(usize::from(number).checked_sub(1)?).copied();
        found
            .chunk_by(|(a, b, _), (c, d, _)| (a, b) == (c, d))
            .filter_map(|pairs| {
                let (a, b, _) = pairs.first()?;
                let contrast = Contrast {
                    a: phoneme(*a)?,
                    b: phoneme(*b)?,
                };
                Some(MinimalPairs {
                    contrast,
                    forms: pairs.iter().map(|pair| pair.2).collect(),
                })
            })
            .collect()
    }

    /// The words of pairs of forms, ordered as by [`minimal_pairs`](Self::minimal_pairs); two
    /// variants of one word are no pair.
    #[must_use]
    pub fn spelled(&self, pairs: &MinimalPairs) -> Vec<Pair> {
        let mut found = Vec::new();
        for pair in &pairs.forms {
            for one in self.words_of(pair.a) {
                for other in self.words_of(pair.b) {
                    if one.offset != other.offset {
                        found.push((one, other));
                    }
                }
            }
        }
        // Entries lie in the order of their words: the offset stands for the spelling.
        found.sort_unstable_by_key(|(a, b)| {
            let common = (Reverse(a.zipf.min(b.zipf)), Reverse(a.zipf.max(b.zipf)));
            (common, a.offset, b.offset, a.variant, b.variant)
        });
        found
            .iter()
            .filter_map(|(a, b)| {
                Some(Pair {
                    a: self.member(a)?,
                    b: self.member(b)?,
                })
            })
            .collect()
    }

    /// The sets of words that differ in one place, where each has another of the phonemes, in
    /// the order given: bat, bet, bit for æ, ɛ, ɪ. Of words that sound alike the commonest
    /// stands for all. Sets whose rarest word is the commonest come first. Fewer than two
    /// phonemes, or one twice, make no set.
    #[must_use]
    pub fn minimal_sets(&self, phonemes: &[Phoneme]) -> Vec<Vec<Member>> {
        let numbers: Vec<u8> = phonemes.iter().map(|phoneme| phoneme.number).collect();
        let mut distinct = numbers.clone();
        distinct.sort_unstable();
        distinct.dedup();
        if distinct.len() < numbers.len() || numbers.len() < 2 {
            return Vec::new();
        }
        let mut found: Vec<Vec<Spelled>> = Vec::new();
        self.frames(
            |number| numbers.contains(&number),
            |frame| {
                // Where keys collide, the first place decides which frame is meant.
                let Some(first) = frame.first() else { return };
                let set: Option<Vec<Spelled>> = numbers
                    .iter()
                    .map(|number| {
                        let fills = |place: &&Place| {
                            place.number == *number
                                && (place.form == first.form
                                    || self.is_pair(first, place))
                        };
                        let words = self.words_of(frame.iter().find(fills)?.form);
                        words
                            .iter()
                            .copied()
                            .min_by_key(|word| (Reverse(word.zipf), word.offset))
                    })
                    .collect();
                found.extend(set);
            },
        );
        let order = |set: &Vec<Spelled>| {
            let rarest = set.iter().map(|word| word.zipf).min();
            (
                Reverse(rarest),
                set.iter().map(|word| word.offset).collect::<Vec<_>>(),
            )
        };
        found.sort_by_cached_key(order);
        found
            .iter()
            .filter_map(|set| set.iter().map(|word| self.member(word)).collect())
            .collect()
    }

    /// How much of what the sounds of words tell is lost when two phonemes fall together
    /// everywhere: 0 nothing, 1 all; symmetric.
    ///
    /// (H(L) − H(Lₐ₌ᵦ)) / H(L), where H is the entropy of the words as they sound,
    /// −Σ p log₂ p over the distinct pronunciations, p their share of all occurrences, and
    /// Lₐ₌ᵦ the language in which the one phoneme is said as the other. What is in the sum,
    /// the scope decides; see also [`Forms::entropy`].
    ///
    /// Cost: linear in the forms that have one of the phonemes, but for a sort.
    ///
    /// # Source
    /// Surendran and Niyogi, "Quantifying the functional load of phonemic oppositions,
    /// distinctive features, and suprasegmentals" (2006), word level; from memory.
    #[must_use]
    pub fn functional_load(&self, contrast: Contrast) -> f64 {
        let Contrast { a, b } = contrast;
        let said = |symbol: u8| {
            if symbol & NUMBER == b.number {
                a.number | symbol & !NUMBER
            } else {
                symbol
            }
        };
        let mut merged: Vec<(u64, &Stored)> = Vec::new();
        for stored in self.stored.iter().filter(|stored| stored.weight > 0.0) {
            let (mut hash, mut power, mut touched) = (stored.hash, 1_u64, false);
            for symbol in self.symbols(stored) {
                let number = symbol & NUMBER;
                touched |= number == a.number;
                if number == b.number {
                    touched = true;
                    let change = value(said(*symbol)).wrapping_sub(value(*symbol));
                    hash = hash.wrapping_add(change.wrapping_mul(power));
                }
                power = power.wrapping_mul(BASE);
            }
            if touched {
                merged.push((hash, stored));
            }
        }
        // A stable sort: the sums are added up in the same order on every run.
        merged.sort_by_key(|(hash, _)| *hash);
        let sounds = |stored: &Stored| self.symbols(stored).iter().map(|s| said(*s));
        let lost: f64 = merged
            .chunk_by(|(x, one), (y, other)| x == y && sounds(one).eq(sounds(other)))
            .filter(|group| group.len() > 1)
            .map(|group| {
                let together: f64 = group.iter().map(|(_, stored)| stored.weight).sum();
                let apart: f64 =
                    group.iter().map(|(_, one)| weighted_log(one.weight)).sum();
                weighted_log(together) - apart
            })
            .sum();
        let whole = self.weight * self.entropy;
        if whole > 0.0 { lost / whole } else { 0.0 }
    }

    /// Hands over, one after the other, the places that are alike but for the phoneme there:
    /// a group of two or more, unless keys collide.
    fn frames(&self, wanted: impl Fn(u8) -> bool, mut visit: impl FnMut(&[Place])) {
        let mut places = Vec::new();
        for (form, stored) in (0..).zip(&self.stored) {
            let mut power = 1_u64;
            for (at, symbol) in (0..).zip(self.symbols(stored)) {
                let number = symbol & NUMBER;
                if wanted(number) {
                    // Number 0 is no phoneme: with the stress, it is the wildcard.
                    let change = value(symbol & !NUMBER).wrapping_sub(value(*symbol));
                    let key = stored.hash.wrapping_add(change.wrapping_mul(power));
                    places.push(Place {
                        key,
                        form,
                        at,
                        number,
                    });
                }
                power = power.wrapping_mul(BASE);
            }
        }
        let places = sorted(&places);
        for frame in places.chunk_by(|one, other| one.key == other.key) {
            if frame.len() > 1 {
                visit(frame);
            }
        }
    }

    /// Whether two places are alike but for the phoneme there.
    fn is_pair(&self, one: &Place, other: &Place) -> bool {
        let symbols = |place: &Place| {
            let stored = self.stored.get(place.form as usize);
            stored.map_or(&[][..], |stored| self.symbols(stored))
        };
        let (a, b) = (symbols(one), symbols(other));
        let at = usize::from(one.at);
        one.at == other.at
            && one.number != other.number
            && a.len() == b.len()
            && a.get(..at) == b.get(..at)
            && a.get(at + 1..) == b.get(at + 1..)
            && a.get(at).map(|s| s & !NUMBER) == b.get(at).map(|s| s & !NUMBER)
    }

    fn words_of(&self, form: u32) -> &[Spelled] {
        self.stored
            .get(form as usize)
            .map_or(&[], |stored| self.words(stored))
    }

    fn member(&self, word: &Spelled) -> Option<Member> {
        let entry = self.lexicon.entry(word.offset)?;
        let variant = entry.packed.variants().nth(word.variant as usize)?;
        let target = entry.written(variant);
        Some(Member {
            target,
            frequency: entry.frequency(),
            word: entry.word(),
        })
    }
}

/// A place in a form.
#[derive(Clone, Copy, Debug)]
struct Place {
    /// The hash of the form with a wildcard in this place.
    key: u64,
    form: u32,
    at: u16,
    number: u8,
}

/// Places by key, then form and place.
///
/// Keys are as good as random: dealt out by their highest bits, they lie in heaps that are
/// small enough to be sorted in the processor's cache.
fn sorted(places: &[Place]) -> Vec<Place> {
    const BITS: u32 = 12;
    let heap =
        |place: &Place| usize::try_from(place.key >> (u64::BITS - BITS)).unwrap_or(0);
    let mut next = vec![0; (1 << BITS) + 1];
    for place in places {
        if let Some(count) = next.get_mut(heap(place) + 1) {
            *count += 1;
        }
    }
    let mut before = 0;
    for start in &mut next {
        before += *start;
        *start = before;
    }
    let mut sorted = places.to_vec();
    for place in places {
        if let Some(at) = next.get_mut(heap(place)) {
            if let Some(slot) = sorted.get_mut(*at) {
                *slot = *place;
            }
            *at += 1;
        }
    }
    for heap in sorted.chunk_by_mut(|one, other| heap(one) == heap(other)) {
        heap.sort_unstable_by_key(|place| (place.key, place.form, place.at));
    }
    sorted
}
