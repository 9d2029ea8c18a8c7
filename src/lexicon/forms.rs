//! The distinct pronunciations of a word list.

use super::packed::{Mark, Packed, Variant};
use super::{Entry, Kind, Lexicon, Phoneme, per_million, sound};

/// Which words and targets are taken in, and what counts as one phoneme.
#[derive(Clone, Copy, Debug)]
pub struct Scope<'s> {
    /// The kinds of word. Default: ordinary words alone.
    pub kinds: &'s [Kind],
    /// The words among which contrasts are looked for, as of a client's sheet; those without
    /// an entry are passed over. Default: all words of the list.
    pub words: Option<&'s [&'s str]>,
    /// Whether all variants of a word are taken, or its first alone. Default: its first.
    pub variants: bool,
    /// Contrasts that the accent or the client's own speech does not make. Default: none.
    pub merges: &'s [Merge<'s>],
    /// Phonemes that count as one where they stand in one syllable. Default: none.
    pub joins: &'s [Join],
}

impl Scope<'_> {
    /// Every word with every variant.
    pub const WHOLE: Self = Self {
        kinds: &Kind::ALL,
        words: None,
        variants: true,
        merges: &[],
        joins: &[],
    };
}

impl Default for Scope<'_> {
    fn default() -> Self {
        Self {
            kinds: &[Kind::Word],
            words: None,
            variants: false,
            merges: &[],
            joins: &[],
        }
    }
}

/// Two phonemes that count as one.
///
/// # Examples
///
/// The cot–caught merger, which leaves car and core apart:
///
/// ```
/// use apical::lexicon::{Before, Merge};
///
/// let merge = Merge { from: "ɔ", into: "ɑ", before: Before::AnythingBut("ɹ") };
/// # let _ = merge;
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Merge<'s> {
    /// The phoneme that disappears.
    pub from: &'s str,
    /// What it counts as.
    pub into: &'s str,
    /// Where.
    pub before: Before<'s>,
}

/// Two phonemes that count as one within a syllable, as a vowel and the r that colours it;
/// made by [`Lexicon::join`].
///
/// # Examples
///
/// Of *beard* and *bird* only the vowel is another one:
///
/// ```
/// use apical::lexicon::{Contrast, Forms, Lexicon, Scope};
///
/// let lexicon = Lexicon::of("en-US").unwrap();
/// let near = lexicon.join(0, ["ɪ", "ɹ"], "ɪ͡ɹ").unwrap();
/// let scope = Scope { joins: &[near], ..Scope::default() };
/// let forms = Forms::of(&lexicon, &scope).unwrap();
/// let contrast = Contrast { a: near.whole(), b: lexicon.phoneme("ɝ").unwrap() };
/// let pairs = forms.minimal_pairs(contrast);
/// assert!(pairs.iter().any(|pair| pair.a.word == "beard" && pair.b.word == "bird"));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Join {
    first: u8,
    second: u8,
    whole: Phoneme,
}

impl Join {
    /// What the two count as.
    #[must_use]
    pub const fn whole(&self) -> Phoneme {
        self.whole
    }
}

impl Lexicon {
    /// A join of two phonemes, written `text`. `place` tells the joins of one scope apart and
    /// counts from 0; `None` where a phoneme is unknown or there is no room for more joins.
    #[must_use]
    pub fn join(
        &self,
        place: usize,
        parts: [&str; 2],
        text: &'static str,
    ) -> Option<Join> {
        let [first, second] = parts.map(|part| self.phoneme(part));
        let number = u8::try_from(self.table.sounds.len() + place + 1).ok()?;
        (number <= NUMBER).then_some(Join {
            first: first?.number,
            second: second?.number,
            whole: Phoneme { number, text },
        })
    }
}

/// What must follow for a merge to hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Before<'s> {
    /// Anything or nothing.
    Anything,
    /// This phoneme.
    Only(&'s str),
    /// Any other phoneme, or nothing.
    AnythingBut(&'s str),
}

/// A merge names a phoneme that the word list does not have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownPhoneme(pub String);

impl std::fmt::Display for UnknownPhoneme {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "`{}` is no phoneme of the word list", self.0)
    }
}

impl std::error::Error for UnknownPhoneme {}

/// The stress on a vowel. A word of one syllable has none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stress {
    /// No stress.
    None,
    /// Secondary stress.
    Secondary,
    /// Primary stress.
    Primary,
}

/// A symbol of a form is a phoneme's number with the stress on it, if it is a vowel, in the
/// upper two bits.
pub(super) const NUMBER: u8 = (1 << 6) - 1;
const SECONDARY: u8 = 1 << 6;
const PRIMARY: u8 = 2 << 6;

/// The distinct pronunciations of a word list, each with the words that have it.
///
/// Two pronunciations are one if they have the same phonemes and the same stress on each
/// vowel; where syllables begin is not compared. Memory: some 8 MB for the whole of en-US;
/// building reads every entry and sorts them.
///
/// # Examples
///
/// ```
/// use apical::lexicon::{Forms, Lexicon, Scope};
///
/// let lexicon = Lexicon::of("en-US").unwrap();
/// let forms = Forms::of(&lexicon, &Scope::default()).unwrap();
/// let contrast = lexicon.contrast("θ", "s").unwrap();
/// let pairs = forms.minimal_pairs(contrast);
/// assert!(pairs.iter().any(|pair| pair.a.word == "think" && pair.b.word == "sink"));
/// ```
#[derive(Clone, Debug)]
pub struct Forms<'l> {
    pub(super) lexicon: &'l Lexicon,
    /// The symbols of all forms end to end.
    symbols: Vec<u8>,
    /// In the alphabetical order of their first words.
    pub(super) stored: Vec<Stored>,
    /// The words of all forms end to end, those of one form in alphabetical order.
    words: Vec<Spelled>,
    /// What joined phonemes are written as.
    joins: Vec<Join>,
    /// Of the words, by the frequency of their first variants, in bits.
    pub(super) entropy: f64,
    /// The sum of all weights.
    pub(super) weight: f64,
}

/// One form.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stored {
    pub(super) hash: u64,
    /// The frequency in a million words of the words whose first variant it is.
    pub(super) weight: f64,
    symbols: (u32, u32),
    words: (u32, u32),
}

/// A word of a form.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Spelled {
    /// Where its entry lies.
    pub(super) offset: u32,
    /// Which of its variants has the form.
    pub(super) variant: u32,
    /// In hundredths; 0 if unknown.
    pub(super) zipf: u16,
}

impl<'l> Forms<'l> {
    /// The forms of the words in a scope.
    ///
    /// # Errors
    ///
    /// A merge names a phoneme that the word list does not have.
    pub fn of(lexicon: &'l Lexicon, scope: &Scope<'_>) -> Result<Self, UnknownPhoneme> {
        let merges = resolved(lexicon, scope.merges)?;
        let wanted: Option<Vec<u32>> = scope.words.map(|words| {
            let mut offsets: Vec<u32> = words
                .iter()
                .filter_map(|word| lexicon.offset(word))
                .collect();
            offsets.sort_unstable();
            offsets
        });
        let is_wanted = |offset| {
            wanted
                .as_ref()
                .is_none_or(|all| all.binary_search(&offset).is_ok())
        };
        let mut gathered = Gathered {
            vowels: lexicon
                .table
                .sounds
                .iter()
                .map(|sound| sound.vowel)
                .collect(),
            joins: scope.joins.to_vec(),
            ..Gathered::default()
        };
        let packed = lexicon.table.packed;
        let mut rest = packed;
        while let Some(entry) = Packed::read(rest) {
            let offset = u32::try_from(packed.len() - rest.len()).unwrap_or(u32::MAX);
            rest = entry.after();
            if scope.kinds.contains(&entry.kind) && is_wanted(offset) {
                let taken = if scope.variants { usize::MAX } else { 1 };
                for (number, variant) in (0..).zip(entry.variants().take(taken)) {
                    let word = Spelled {
                        offset,
                        variant: number,
                        zipf: entry.zipf,
                    };
                    gathered.add(variant, &merges, word);
                }
            }
        }
        Ok(gathered.sorted(lexicon))
    }

    /// How many distinct pronunciations there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.stored.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.stored.is_empty()
    }

    /// All forms, in the alphabetical order of their first words.
    pub fn iter(&self) -> impl Iterator<Item = Form<'_>> {
        self.stored.iter().map(|stored| Form {
            forms: self,
            stored,
        })
    }

    /// The entropy of the words as they sound, in bits: −Σ p log₂ p over the forms, p their
    /// share of all occurrences. A word occurs in its first variant; words of unknown
    /// frequency do not occur.
    #[must_use]
    pub fn entropy(&self) -> f64 {
        self.entropy
    }

    pub(super) fn symbols(&self, stored: &Stored) -> &[u8] {
        slice(&self.symbols, stored.symbols)
    }

    pub(super) fn words(&self, stored: &Stored) -> &[Spelled] {
        slice(&self.words, stored.words)
    }
}

/// One pronunciation.
#[derive(Clone, Copy, Debug)]
pub struct Form<'f> {
    forms: &'f Forms<'f>,
    stored: &'f Stored,
}

impl<'f> Form<'f> {
    /// Its phonemes, merged ones as what they are merged into, with the stress on them.
    pub fn phonemes(&self) -> impl Iterator<Item = (Phoneme, Stress)> + use<'f> {
        let (table, joins) = (self.forms.lexicon.table, &self.forms.joins);
        self.forms
            .symbols(self.stored)
            .iter()
            .filter_map(move |symbol| {
                let number = symbol & NUMBER;
                let stress = match symbol & !NUMBER {
                    PRIMARY => Stress::Primary,
                    SECONDARY => Stress::Secondary,
                    _ => Stress::None,
                };
                let joined = || joins.iter().find(|it| it.whole.number == number);
                let text = match sound(table, number) {
                    Some(sound) => sound.text,
                    None => joined()?.whole.text,
                };
                Some((Phoneme { number, text }, stress))
            })
    }

    /// The words that have it, in alphabetical order.
    pub fn words(&self) -> impl Iterator<Item = Entry> + use<'f> {
        let lexicon = self.forms.lexicon;
        let words = self.forms.words(self.stored);
        words
            .iter()
            .filter_map(move |word| lexicon.entry(word.offset))
    }

    /// How often it occurs in a million words, if every word is said in its first variant.
    #[must_use]
    pub fn frequency(&self) -> f64 {
        self.stored.weight
    }
}

/// The forms of all words one after the other, alike or not.
#[derive(Default)]
struct Gathered {
    symbols: Vec<u8>,
    records: Vec<Record>,
    /// Which phonemes are vowels, in the order of their numbers.
    vowels: Vec<bool>,
    joins: Vec<Join>,
}

/// One variant of one word.
struct Record {
    hash: u64,
    /// Where its symbols are.
    place: (u32, u32),
    word: Spelled,
}

impl Gathered {
    fn add(&mut self, variant: Variant<'_>, merges: &[Resolved], word: Spelled) {
        let start = self.symbols.len();
        let mut stress = 0;
        // Where a syllable begins, as bits: no word has so many sounds.
        let mut begins = 0_u64;
        for (at, (mark, number)) in variant.enumerate() {
            if mark != Mark::None && at < 64 {
                begins |= 1 << at;
            }
            stress = match mark {
                Mark::None => stress,
                Mark::Break => 0,
                Mark::Secondary => SECONDARY,
                Mark::Primary => PRIMARY,
            };
            // Numbers begin at 1.
            let vowel = self.vowels.get(usize::from(number).wrapping_sub(1));
            let borne = match vowel {
                Some(true) => std::mem::take(&mut stress),
                _ => 0,
            };
            self.symbols.push(number | borne);
        }
        let form = self.symbols.get_mut(start..).unwrap_or_default();
        if !merges.is_empty() {
            let typed = form.to_vec();
            let following = typed.iter().skip(1).map(|next| next & NUMBER).chain([0]);
            for (symbol, next) in form.iter_mut().zip(following) {
                let here = *symbol & NUMBER;
                if let Some(merge) = merges.iter().find(|merge| merge.holds(here, next)) {
                    *symbol = merge.into | *symbol & !NUMBER;
                }
            }
        }
        if !self.joins.is_empty() {
            self.join(start, begins);
        }
        let form = self.symbols.get(start..).unwrap_or_default();
        let place = (position(start), position(start + form.len()));
        self.records.push(Record {
            hash: hash(form),
            place,
            word,
        });
    }

    /// Puts the sounds of the last form together that count as one.
    fn join(&mut self, start: usize, begins: u64) {
        let typed = self.symbols.split_off(start);
        for (at, symbol) in typed.into_iter().enumerate() {
            let goes_on = at > 0 && (at >= 64 || begins >> at & 1 == 0);
            let last = self.symbols.last_mut().filter(|_| goes_on);
            let joined = last.and_then(|last| {
                let holds = |it: &&Join| {
                    it.first == *last & NUMBER && it.second == symbol & NUMBER
                };
                Some((self.joins.iter().find(holds)?.whole.number, last))
            });
            match joined {
                Some((whole, last)) => *last = whole | *last & !NUMBER,
                None => self.symbols.push(symbol),
            }
        }
    }

    /// Words that sound alike under one form.
    fn sorted(self, lexicon: &Lexicon) -> Forms<'_> {
        let Self {
            symbols,
            records,
            joins,
            ..
        } = self;
        // Equal hashes are equal forms but for chance, so the sort seldom looks further.
        let mut order: Vec<(u64, u32)> = records
            .iter()
            .zip(0..)
            .map(|(record, number)| (record.hash, number))
            .collect();
        order.sort_unstable();
        let record = |number: u32| records.get(number as usize);
        let form =
            |number: u32| record(number).map(|record| slice(&symbols, record.place));
        for chance in order.chunk_by_mut(|one, other| one.0 == other.0) {
            chance.sort_by_key(|(_, number)| form(*number));
        }
        let mut stored = Vec::new();
        let mut words: Vec<Spelled> = Vec::with_capacity(records.len());
        let alike = |a: &(u64, u32), b: &(u64, u32)| a.0 == b.0 && form(a.1) == form(b.1);
        let weights: Vec<f64> = (0..1 << 10).map(per_million).collect();
        for group in order.chunk_by(alike) {
            let from = position(words.len());
            let mut weight = 0.0;
            for Record { hash, place, word } in
                group.iter().filter_map(|(_, n)| record(*n))
            {
                // Variants that a merge has made alike count once.
                let again = words.get(from as usize..).and_then(<[_]>::last);
                if again.is_some_and(|last| last.offset == word.offset) {
                    continue;
                }
                if word.variant == 0 && word.zipf > 0 {
                    weight += weights.get(usize::from(word.zipf)).unwrap_or(&0.0);
                }
                if position(words.len()) == from {
                    stored.push(Stored {
                        hash: *hash,
                        weight: 0.0,
                        symbols: *place,
                        words: (from, from),
                    });
                }
                words.push(*word);
            }
            if let Some(last) = stored.last_mut() {
                last.weight = weight;
                last.words.1 = position(words.len());
            }
        }
        stored.sort_unstable_by_key(|form| form.symbols.0);
        let weight: f64 = stored.iter().map(|form| form.weight).sum();
        let spread: f64 = stored.iter().map(|form| weighted_log(form.weight)).sum();
        let entropy = if weight > 0.0 {
            weight.log2() - spread / weight
        } else {
            0.0
        };
        Forms {
            lexicon,
            symbols,
            stored,
            words,
            joins,
            entropy,
            weight,
        }
    }
}

/// A merge by the phonemes' numbers.
struct Resolved {
    from: u8,
    into: u8,
    /// The phoneme that must follow, or must not.
    before: Option<(u8, bool)>,
}

impl Resolved {
    fn holds(&self, here: u8, next: u8) -> bool {
        self.from == here
            && self
                .before
                .is_none_or(|(wanted, follows)| (wanted == next) == follows)
    }
}

fn resolved(
    lexicon: &Lexicon,
    merges: &[Merge<'_>],
) -> Result<Vec<Resolved>, UnknownPhoneme> {
    let number = |text: &str| {
        let phoneme = lexicon
            .phoneme(text)
            .ok_or_else(|| UnknownPhoneme(text.to_owned()))?;
        Ok(phoneme.number)
    };
    merges
        .iter()
        .map(|merge| {
            let before = match merge.before {
                Before::Anything => None,
                Before::Only(next) => Some((number(next)?, true)),
                Before::AnythingBut(next) => Some((number(next)?, false)),
            };
            Ok(Resolved {
                from: number(merge.from)?,
                into: number(merge.into)?,
                before,
            })
        })
        .collect()
}

/// w log₂ w, which is 0 for 0.
pub(super) fn weighted_log(weight: f64) -> f64 {
    if weight > 0.0 {
        weight * weight.log2()
    } else {
        0.0
    }
}

/// What the place of a symbol in its word is weighed with: B to the power of the place.
pub(super) const BASE: u64 = 0x9e37_79b9_7f4a_7c15;

/// A number for each symbol, as random as can be.
#[allow(clippy::indexing_slicing, reason = "evaluated when compiling")]
pub(super) const VALUES: [u64; 256] = {
    let mut values = [0; 256];
    let mut at = 0;
    while at < 256 {
        let mut x = (at as u64 + 1).wrapping_mul(BASE);
        x = (x ^ x >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        x = (x ^ x >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        values[at] = x ^ x >> 31;
        at += 1;
    }
    values
};

/// The number of a symbol.
#[allow(clippy::indexing_slicing, reason = "a byte is always below 256")]
pub(super) fn value(symbol: u8) -> u64 {
    VALUES[usize::from(symbol)]
}

/// The polynomial Σ value(symbol) Bᵖˡᵃᶜᵉ, so that another symbol in one place changes it by
/// a product.
fn hash(symbols: &[u8]) -> u64 {
    let mut power = 1_u64;
    let mut hash = 0_u64;
    for symbol in symbols {
        hash = hash.wrapping_add(value(*symbol).wrapping_mul(power));
        power = power.wrapping_mul(BASE);
    }
    hash
}

fn slice<T>(all: &[T], (start, end): (u32, u32)) -> &[T] {
    all.get(start as usize..end as usize).unwrap_or(&[])
}

fn position(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}
