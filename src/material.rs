//! Drill material: words by their sounds, minimal pairs, and what a list gives chances for.
//!
//! Everything goes by the accent declared: what its options merge is one sound here, a vowel
//! before the r of its own syllable counts as the r-coloured vowel, and words that may be said
//! alike make no pair. What is drawn is the same for the same seed.

mod choice;
mod cover;
mod family;
mod pair;
mod sample;
mod spoken;
mod wish;

pub use choice::{Chosen, Draw, Refusal, choose, refuse_held_back};
pub use cover::{Cover, cover};
pub use family::Families;
pub use pair::{
    Alike, Found, Near, Pairs, Question, Slot, minimal_sets, near_pairs, pairs,
};
pub use sample::{Cell, Chances, Count, Gap, Kinds, Wanted, Whole};
pub use spoken::{Placed, Sounds, Spoken};
pub use wish::{Cluster, Condition, SoundWish, Wish};

use crate::accent::Accent;
use crate::lexicon::{Entry, Kind, Lexicon};

/// Words that are not put before a client, nor forms of them: slurs, curses, bodies and
/// violence.
const LEFT_OUT: &str = concat!(
    include_str!("../grammar/exercises/left-out.txt"),
    include_str!("../grammar/exercises/left-out-rare.txt"),
);

/// How often in a million words a word occurs at least, unless something else is asked for:
/// the clients' own vocabulary is likely to have it. A judgement; no source.
pub const USUAL_FLOOR: f64 = 1.0;

/// How many words or pairs are given where no number is asked for: what a drill of some
/// minutes goes through, common practice, no source.
pub const USUAL_COUNT: usize = 20;

/// A word that may be drilled.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// Its entry in the word list.
    pub entry: Entry,
    /// Its target, the first variant.
    pub spoken: Spoken,
}

impl Candidate {
    /// The word in its usual spelling.
    #[must_use]
    pub fn word(&self) -> &'static str {
        self.entry.word()
    }

    /// Its target as the word list writes it.
    #[must_use]
    pub fn target(&self) -> String {
        self.entry.targets().next().unwrap_or_default()
    }

    /// Its other variants, which count as right too.
    #[must_use]
    pub fn accepted(&self) -> Vec<String> {
        self.entry.targets().skip(1).collect()
    }

    /// How often it occurs in a million words; 0 where that is not known.
    #[must_use]
    pub fn frequency(&self) -> f64 {
        self.entry.frequency().unwrap_or(0.0)
    }
}

/// The words of a list as an accent says them.
#[derive(Clone, Debug)]
pub struct Stock<'l> {
    /// The word list.
    pub lexicon: &'l Lexicon,
    /// The accent's sounds.
    pub sounds: Sounds,
    families: Families,
    /// Bases of the words that are left out, sorted.
    left_out: Vec<&'static str>,
}

impl<'l> Stock<'l> {
    /// The words of a list in an accent.
    #[must_use]
    pub fn new(lexicon: &'l Lexicon, accent: &Accent) -> Self {
        let mut left_out: Vec<&str> = LEFT_OUT.lines().collect();
        left_out.sort_unstable();
        Self {
            lexicon,
            sounds: Sounds::new(accent, lexicon),
            families: Families::default(),
            left_out,
        }
    }

    /// The words that may be drilled, commonest first: ordinary words, or with `every_kind`
    /// names, abbreviations and unlisted words too, that occur at least `least` times in a
    /// million. Single letters, words with an apostrophe or a dot, and words that are not put
    /// before a client are never among them.
    ///
    /// Cost: reads and sorts the list.
    #[must_use]
    pub fn candidates(&self, least: f64, every_kind: bool) -> Vec<Candidate> {
        let mut candidates = Vec::new();
        for entry in self.lexicon.commonest_first() {
            let often = entry.frequency().unwrap_or(0.0);
            if often < least && least > 0.0 {
                break;
            }
            if !self.is_fit(&entry, every_kind) {
                continue;
            }
            if let Some(sounds) = entry.sounds().next() {
                let spoken = self.sounds.of_entry(&sounds);
                candidates.push(Candidate { entry, spoken });
            }
        }
        candidates
    }

    /// Whether a word may be drilled.
    fn is_fit(&self, entry: &Entry, every_kind: bool) -> bool {
        let word = entry.word();
        let letters = word.chars().all(|it| it.is_alphabetic() || it == '-');
        let is_letter = word.chars().count() == 1 && !matches!(word, "a" | "I" | "i");
        (every_kind || entry.kind() == Kind::Word)
            && letters
            && !is_letter
            && !self.is_left_out(word)
    }

    fn is_left_out(&self, word: &str) -> bool {
        // Only the first letters are looked at before the word is taken apart.
        let near = |it: &&str| {
            it.as_bytes().first().map(u8::to_ascii_lowercase)
                == word.as_bytes().first().map(u8::to_ascii_lowercase)
                && it.as_bytes().get(1) == word.as_bytes().get(1)
        };
        if !self.left_out.iter().any(near) {
            return false;
        }
        let bases = self.families.bases(word, self.lexicon);
        let out = |base: &String| self.left_out.binary_search(&base.as_str()).is_ok();
        bases.iter().any(out)
    }

    /// All pronunciations of an entry, the target first.
    #[must_use]
    pub fn variants(&self, entry: &Entry) -> Vec<Spoken> {
        entry.sounds().map(|it| self.sounds.of_entry(&it)).collect()
    }

    /// What makes a word the same as another for a drill, sorted: the bases it may be a form
    /// of, and how it is said. Two words that share a key are one word said twice.
    #[must_use]
    pub fn keys(&self, word: &str) -> Vec<String> {
        let mut keys = self.families.bases(word, self.lexicon);
        if let Some(entry) = self.lexicon.look_up(word) {
            for spoken in self.sounds.own(self.variants(&entry)) {
                keys.push(self.sounds.key(&spoken));
            }
        }
        keys.sort();
        keys.dedup();
        keys
    }
}
