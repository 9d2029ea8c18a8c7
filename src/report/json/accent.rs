//! What `apical accents` writes, and what a comparison says of an accent's rules.

use serde::Serialize;

use super::VERSION;
use crate::accent;
use crate::inventory::{AllophoneRow, OptionRow, PhonemeKind, WeakFormRow};

/// An accent with what it holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Accent {
    /// Always [`VERSION`].
    pub version: u32,
    /// Its name: a BCP 47 language tag.
    pub name: &'static str,
    /// What it is called.
    pub called: &'static str,
    /// Its phonemes, those of options that are on among them.
    pub phonemes: Vec<Phoneme>,
    /// What a coach may declare.
    pub options: Vec<Choice>,
    /// What its phonemes may be where.
    pub allophones: Vec<Allophone>,
    /// Words with another form where they are not stressed.
    pub weak_forms: Vec<WeakForm>,
}

/// A phoneme.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Phoneme {
    /// In IPA.
    pub text: &'static str,
    /// Consonant, affricate, monophthong, diphthong, r-coloured or syllabic.
    pub kind: &'static str,
    /// A word that has it.
    pub keyword: &'static str,
}

/// Something a coach may declare.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Choice {
    /// Its name.
    pub name: &'static str,
    /// Whether it is on.
    pub on: bool,
    /// What it means.
    pub means: &'static str,
}

/// A rule of an accent about a sound where it stands.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Allophone {
    /// What it is called.
    pub name: &'static str,
    /// A → B / C _ D.
    pub rule: String,
    /// The context in plain words.
    pub context: &'static str,
    /// What a sound is that lacks it; left out for what is optional.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub lacking: &'static str,
}

/// A word with weak forms.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct WeakForm {
    /// The word.
    pub word: &'static str,
    /// Its strong form.
    pub strong: &'static str,
    /// Its weak forms.
    pub weak: &'static [&'static str],
    /// Where they stand.
    pub when: &'static str,
}

impl From<&accent::Accent> for Accent {
    fn from(accent: &accent::Accent) -> Self {
        Self {
            version: VERSION,
            name: accent.name(),
            called: accent.called(),
            phonemes: accent
                .inventory()
                .map(|row| Phoneme {
                    text: row.text,
                    kind: kind(row.kind),
                    keyword: row.keyword,
                })
                .collect(),
            options: accent
                .options()
                .iter()
                .map(|option: &OptionRow| Choice {
                    name: option.name,
                    on: accent.is_on(option.name),
                    means: option.means,
                })
                .collect(),
            allophones: accent.allophones().map(Into::into).collect(),
            weak_forms: accent
                .weak_forms()
                .iter()
                .map(|row: &WeakFormRow| WeakForm {
                    word: row.word,
                    strong: row.strong,
                    weak: row.weak,
                    when: row.when,
                })
                .collect(),
        }
    }
}

impl From<&'static AllophoneRow> for Allophone {
    fn from(row: &'static AllophoneRow) -> Self {
        Self {
            name: row.name,
            rule: row.rule(),
            context: row.context,
            lacking: row.lacking,
        }
    }
}

const fn kind(kind: PhonemeKind) -> &'static str {
    match kind {
        PhonemeKind::Consonant => "consonant",
        PhonemeKind::Affricate => "affricate",
        PhonemeKind::Monophthong => "monophthong",
        PhonemeKind::Diphthong => "diphthong",
        PhonemeKind::RColoured => "r-coloured",
        PhonemeKind::Syllabic => "syllabic",
    }
}
