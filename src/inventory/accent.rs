//! What the folder of an accent holds, as its tables have it.

use crate::feature::Posture;

/// A phoneme of an accent.
#[derive(Debug)]
pub struct PhonemeRow {
    /// In IPA, affricates and diphthongs tied.
    pub text: &'static str,
    /// What kind of phoneme.
    pub kind: PhonemeKind,
    /// A word that has it.
    pub keyword: &'static str,
    /// Other spellings of the same sound.
    pub also: &'static [&'static str],
    /// Letters that stand for it in a broad transcription, though they are other sounds.
    pub broad: &'static [&'static str],
    /// A vowel that a stressed syllable does not end in.
    pub checked: bool,
    /// A vowel that has no stress.
    pub reduced: bool,
    /// The vowel that a reduced one is under stress; empty where there is none.
    pub full: &'static str,
    /// The option that makes it a phoneme; empty where it is one anyway.
    pub option: &'static str,
}

/// What kind of phoneme it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PhonemeKind {
    /// A plain consonant.
    Consonant,
    /// A stop and its friction as one.
    Affricate,
    /// A steady vowel.
    Monophthong,
    /// A vowel that moves.
    Diphthong,
    /// A vowel with r in it.
    RColoured,
    /// A consonant that is a syllable of its own.
    Syllabic,
}

/// A coaching posture of an accent.
#[derive(Debug)]
pub struct PostureRow {
    /// The sound, as [`PhonemeRow::text`].
    pub text: &'static str,
    /// The posture, or the first one of a sound that moves.
    pub from: Posture,
    /// The posture it moves to.
    pub to: Option<Posture>,
}

/// Alternatives of phonemes in a row, each place with the phonemes that may stand there; `#`
/// is the edge of a word.
pub type Neighbours = &'static [&'static [&'static [&'static str]]];

/// A rule A → B / C _ D of an accent: what a phoneme may be where.
#[derive(Debug, PartialEq, Eq)]
pub struct AllophoneRow {
    /// What it is called; several rows may make up one allophone.
    pub name: &'static str,
    /// A: the phonemes it is about, each alone or several in a row; one empty row for a
    /// sound that is put in.
    pub sounds: &'static [&'static [&'static str]],
    /// A as the table writes it.
    pub sounds_written: &'static str,
    /// B: what they become. `◌` with marks is the sound with those marks, `∅` nothing.
    pub becomes: &'static [&'static str],
    /// C: what comes before; empty for anything.
    pub left: Neighbours,
    /// What must not come before.
    pub not_left: Neighbours,
    /// D: what comes after; empty for anything.
    pub right: Neighbours,
    /// What must not come after.
    pub not_right: Neighbours,
    /// Where in syllable and word, as bits of [`Where`].
    pub places: u16,
    /// Whether a narrow transcription that lacks it says so.
    pub obligatory: bool,
    /// The option that allows it; empty where it is allowed anyway.
    pub option: &'static str,
    /// The context in plain words.
    pub context: &'static str,
    /// What a sound is that lacks it, as an adjective; empty for optional ones.
    pub lacking: &'static str,
    /// A word that has it.
    pub example: &'static str,
    /// C _ D and the places as one reads them.
    pub environment: &'static str,
}

impl AllophoneRow {
    /// The rule as A → B / C _ D.
    #[must_use]
    pub fn rule(&self) -> String {
        let becomes = self.becomes.join(" ");
        format!("{} → {becomes} / {}", self.sounds_written, self.environment)
    }
}

/// Where in syllable and word an allophone has its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum Where {
    /// In an onset.
    Onset,
    /// In a nucleus.
    Nucleus,
    /// In a coda.
    Coda,
    /// The first slot of a cluster.
    First,
    /// The last slot.
    Last,
    /// The only slot.
    Alone,
    /// At the start of a word.
    Initial,
    /// Inside a word.
    Medial,
    /// At the end of a word.
    Final,
    /// In a stressed syllable.
    Stressed,
    /// In a syllable without stress.
    Unstressed,
    /// In a syllable that is known to be without stress, in a word of several.
    Weak,
}

/// Something about a region's or a client's own speech that a coach declares.
#[derive(Debug, PartialEq, Eq)]
pub struct OptionRow {
    /// Its name: small letters and hyphens.
    pub name: &'static str,
    /// Whether it holds unless it is switched off.
    pub default: bool,
    /// What it means, in words.
    pub means: &'static str,
}

/// A word that has another form where it is not stressed.
#[derive(Debug, PartialEq, Eq)]
pub struct WeakFormRow {
    /// The word.
    pub word: &'static str,
    /// Its strong form, broad.
    pub strong: &'static str,
    /// Its weak forms, broad, the usual one first.
    pub weak: &'static [&'static str],
    /// Where they stand.
    pub when: &'static str,
}

/// A coda, or an ending that may follow one.
#[derive(Debug)]
pub struct CodaRow {
    /// Its phonemes.
    pub coda: &'static [&'static str],
    /// For an ending, the phonemes it may follow; empty for a coda.
    pub after: &'static [&'static str],
    /// The option that makes it legal; empty where it is legal anyway.
    pub option: &'static str,
}

/// An accent as its folder has it.
#[derive(Debug)]
pub struct AccentTable {
    /// The folder's name: a BCP 47 language tag.
    pub name: &'static str,
    /// What the accent is called.
    pub called: &'static str,
    /// Its phonemes.
    pub phonemes: &'static [PhonemeRow],
    /// Its coaching postures.
    pub postures: &'static [PostureRow],
    /// Its legal onsets, phonemes separated by spaces.
    pub onsets: &'static [&'static str],
    /// Its legal codas and the endings that may follow them.
    pub codas: &'static [CodaRow],
    /// What its phonemes may be where.
    pub allophones: &'static [AllophoneRow],
    /// What a coach may declare.
    pub options: &'static [OptionRow],
    /// Words with weak forms.
    pub weak_forms: &'static [WeakFormRow],
}
