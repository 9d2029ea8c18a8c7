//! Words with their frequency and their broad target: what a word list holds, and what can
//! be computed from the whole of it.
//!
//! A word list is compiled in: looking a word up reads a few hundred bytes and loads
//! nothing. What needs every word, such as minimal pairs, is built on demand, see [`Forms`].

mod contrast;
mod forms;
mod packed;

pub use contrast::{Contrast, FormPair, Member, MinimalPairs, Pair};
pub use forms::{Before, Form, Forms, Join, Merge, Scope, Stress, UnknownPhoneme};

pub use packed::Mark;

use packed::{Packed, Variant};

/// The notices of the sources that the word lists are made from; a program that carries the
/// lists must be able to show them.
///
/// # Source
/// `grammar/lexicon/`, which says what was changed.
pub const NOTICES: &str = concat!(
    "Pronunciations\n==============\n\n",
    include_str!("../grammar/lexicon/LICENCE-pronunciations.txt"),
    "\nFrequencies\n===========\n\n",
    include_str!("../grammar/lexicon/LICENCE-frequency.txt"),
    "\nSpellings\n=========\n\n",
    include_str!("../grammar/lexicon/LICENCE-spellings.txt"),
);

/// A word list as the build script lays it down.
struct Table {
    /// The accent's name.
    name: &'static str,
    /// From a word in small letters to the offset of its entry; offsets rise with the words.
    map: &'static [u8],
    /// The entries.
    packed: &'static [u8],
    /// How many entries.
    words: usize,
    /// The rank of words by their zipf frequency in hundredths.
    ranks: &'static [u32],
    /// The phonemes; the first has the number 1.
    sounds: &'static [Sound],
}

/// Its name alone: the rest is megabytes.
impl std::fmt::Debug for Table {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.write_str(self.name)
    }
}

/// A phoneme as the word list writes it.
#[derive(Debug)]
struct Sound {
    text: &'static str,
    /// Other spellings.
    also: &'static [&'static str],
    vowel: bool,
}

use generated::TABLES;

/// What the build script wrote.
mod generated {
    #![allow(clippy::unreadable_literal, reason = "written by the build script")]

    use super::{Sound, Table};

    include!(concat!(env!("OUT_DIR"), "/lexicon.rs"));
}

/// A phoneme of a word list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Phoneme {
    /// Its place in the accent's table, from 1.
    number: u8,
    text: &'static str,
}

impl Phoneme {
    /// In IPA as the targets write it: affricates tied, diphthongs untied.
    #[must_use]
    pub fn text(self) -> &'static str {
        self.text
    }

    /// Its place in [`Lexicon::phonemes`], from 0.
    #[must_use]
    pub fn index(self) -> usize {
        usize::from(self.number).saturating_sub(1)
    }
}

/// What kind of word an entry is, as far as a spelling list tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// An ordinary word, written in small letters.
    Word,
    /// A name, or what English writes like one (Monday, English).
    Name,
    /// An abbreviation, said by its letters or not (FBI, NASA, Mr).
    Abbreviation,
    /// In no list of spellings that was at hand: mostly surnames, places, firms, British
    /// spellings and rare words.
    Unlisted,
}

impl Kind {
    /// Every kind, the ordinary word first.
    pub const ALL: [Self; 4] =
        [Self::Word, Self::Name, Self::Abbreviation, Self::Unlisted];
}

/// The word list of an accent.
#[derive(Clone)]
pub struct Lexicon {
    table: &'static Table,
    map: fst::Map<&'static [u8]>,
}

impl std::fmt::Debug for Lexicon {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.debug_tuple("Lexicon").field(&self.table).finish()
    }
}

impl Lexicon {
    /// The word list of the accent of that name, if it has one. Cost: none to speak of.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::lexicon::Lexicon;
    ///
    /// assert!(Lexicon::of("en-US").is_some());
    /// assert!(Lexicon::of("xx-XX").is_none());
    /// ```
    ///
    /// # Source
    /// en-US: the CMU Pronouncing Dictionary, with frequencies by wordfreq and spellings by
    /// SCOWL; see `grammar/lexicon/README.md` for versions, licences and changes.
    #[must_use]
    pub fn of(accent: &str) -> Option<Self> {
        let table = TABLES.iter().find(|table| table.name == accent)?;
        let map = fst::Map::new(table.map).ok()?;
        Some(Self { table, map })
    }

    /// The accent's name.
    #[must_use]
    pub fn accent(&self) -> &'static str {
        self.table.name
    }

    /// How many words it has; variants of one word count once.
    #[must_use]
    pub fn len(&self) -> usize {
        self.table.words
    }

    /// Whether it has no word.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.table.words == 0
    }

    /// The entry of a word, however it is capitalised and whichever apostrophe it has; `None`
    /// if it has no entry: a target is never guessed.
    ///
    /// # Examples
    ///
    /// ```
    /// let lexicon = apical::lexicon::Lexicon::of("en-US").unwrap();
    /// let entry = lexicon.look_up("think").unwrap();
    /// assert_eq!(entry.targets().collect::<Vec<_>>(), ["θɪŋk"]);
    /// assert!(lexicon.look_up("thwink").is_none());
    /// ```
    #[must_use]
    pub fn look_up(&self, word: &str) -> Option<Entry> {
        self.entry(self.offset(word)?)
    }

    /// All entries in alphabetical order.
    #[must_use]
    pub fn iter(&self) -> Entries {
        Entries {
            table: self.table,
            rest: self.table.packed,
        }
    }

    /// All entries, commonest first, equally common ones in alphabetical order; those of
    /// unknown frequency last. Cost: reads and sorts the whole list.
    #[must_use]
    pub fn commonest_first(&self) -> Vec<Entry> {
        let mut entries: Vec<Entry> = self.iter().collect();
        entries.sort_by_key(|entry| std::cmp::Reverse(entry.packed.zipf));
        entries
    }

    /// Its phonemes, in the order of the accent's table.
    pub fn phonemes(&self) -> impl Iterator<Item = Phoneme> + use<> {
        (1..).zip(self.table.sounds).map(|(number, sound)| Phoneme {
            number,
            text: sound.text,
        })
    }

    /// The phoneme spelled like this, with or without a tie and in any spelling that the
    /// accent knows.
    ///
    /// # Examples
    ///
    /// ```
    /// let lexicon = apical::lexicon::Lexicon::of("en-US").unwrap();
    /// assert_eq!(lexicon.phoneme("tʃ").unwrap().text(), "t͡ʃ");
    /// assert_eq!(lexicon.phoneme("ʀ"), None);
    /// ```
    #[must_use]
    pub fn phoneme(&self, text: &str) -> Option<Phoneme> {
        let is_it = |sound: &Sound| sound.text == text || sound.also.contains(&text);
        let at = self.table.sounds.iter().position(is_it)?;
        self.phonemes().nth(at)
    }

    /// Where the entry of a word lies.
    fn offset(&self, word: &str) -> Option<u32> {
        // A word is spelling, not transcription: its capitals tell no sounds apart.
        let straight = |c| if c == '\u{2019}' { '\'' } else { c };
        let key: String = word
            .chars()
            .map(straight)
            .flat_map(char::to_lowercase)
            .collect();
        u32::try_from(self.map.get(key)?).ok()
    }

    /// The entry that lies there.
    fn entry(&self, offset: u32) -> Option<Entry> {
        let packed = Packed::read(self.table.packed.get(offset as usize..)?)?;
        Some(Entry {
            table: self.table,
            packed,
        })
    }
}

impl IntoIterator for &Lexicon {
    type Item = Entry;
    type IntoIter = Entries;

    fn into_iter(self) -> Entries {
        self.iter()
    }
}

/// The entries of a word list in alphabetical order.
#[derive(Clone)]
pub struct Entries {
    table: &'static Table,
    rest: &'static [u8],
}

impl std::fmt::Debug for Entries {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.debug_tuple("Entries").field(&self.table).finish()
    }
}

impl Iterator for Entries {
    type Item = Entry;

    fn next(&mut self) -> Option<Entry> {
        let packed = Packed::read(self.rest)?;
        self.rest = packed.after();
        Some(Entry {
            table: self.table,
            packed,
        })
    }
}

/// A word with what the list knows of it.
#[derive(Clone, Copy)]
pub struct Entry {
    table: &'static Table,
    packed: Packed,
}

impl std::fmt::Debug for Entry {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.debug_tuple("Entry").field(&self.word()).finish()
    }
}

impl Entry {
    /// The word in its usual spelling.
    #[must_use]
    pub fn word(&self) -> &'static str {
        self.packed.word
    }

    /// Its kind.
    #[must_use]
    pub fn kind(&self) -> Kind {
        self.packed.kind
    }

    /// Its broad targets in IPA, without brackets: the source's first variant first, never
    /// none. Stress marks and, before syllables without stress, dots stand between
    /// syllables; a word of one syllable has no mark.
    pub fn targets(&self) -> impl Iterator<Item = String> + use<> {
        let entry = *self;
        entry
            .packed
            .variants()
            .map(move |variant| entry.written(variant))
    }

    /// Its variants sound by sound, each with the mark before it, in the order of
    /// [`targets`](Self::targets).
    pub fn sounds(&self) -> impl Iterator<Item = Vec<(Mark, Phoneme)>> + use<> {
        let entry = *self;
        entry.packed.variants().map(move |variant| {
            variant
                .filter_map(|(mark, number)| {
                    let text = sound(entry.table, number)?.text;
                    Some((mark, Phoneme { number, text }))
                })
                .collect()
        })
    }

    /// How often it occurs in a million words; `None` if the source does not know it. The
    /// source's step is a hundredth of a power of ten, some 2 %.
    #[must_use]
    pub fn frequency(&self) -> Option<f64> {
        (self.packed.zipf > 0).then(|| per_million(self.packed.zipf))
    }

    /// Its frequency on the Zipf scale, the power of ten of its occurrences in a thousand
    /// million words: 7 for the commonest, 3 for once in a million.
    #[must_use]
    pub fn zipf(&self) -> Option<f64> {
        (self.packed.zipf > 0).then(|| f64::from(self.packed.zipf) / 100.0)
    }

    /// One more than the number of words of the list that are commoner; `None` if its
    /// frequency is unknown. Equally common words share a rank.
    #[must_use]
    pub fn rank(&self) -> Option<u32> {
        let zipf = usize::from(self.packed.zipf);
        self.table.ranks.get(zipf).copied().filter(|_| zipf > 0)
    }

    fn written(&self, variant: Variant<'_>) -> String {
        let mut text = String::new();
        for (mark, number) in variant {
            text.push_str(mark.text());
            text.push_str(sound(self.table, number).map_or("", |sound| sound.text));
        }
        text
    }
}

/// A frequency in a million words from hundredths on the Zipf scale.
fn per_million(zipf: u16) -> f64 {
    10_f64.powf(f64::from(zipf) / 100.0 - 3.0)
}

/// A phoneme by its number, from 1.
fn sound(table: &'static Table, number: u8) -> Option<&'static Sound> {
    table.sounds.get(usize::from(number).checked_sub(1)?)
}
