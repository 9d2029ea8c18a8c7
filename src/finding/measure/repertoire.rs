//! The sounds a client has, whatever they were meant to be: the phonetic inventory.

use std::collections::BTreeSet;

use super::Sample;
use super::score::wholes;
use crate::accent::Accent;
use crate::inventory::{PhonemeKind, PhonemeRow};
use crate::syllable::Position;

/// A sound that was said, or that the accent has and nobody said.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Heard {
    /// The phoneme of the accent that it is, detail apart; else the sound as it was typed.
    pub sound: String,
    /// Whether it is a phoneme of the accent.
    pub is_phoneme: bool,
    /// The different words that have it. Words are told apart by their spelling, or where
    /// there is none by their target.
    pub words: BTreeSet<String>,
    /// How often it was said at the beginning, within and at the end of words.
    pub positions: [u64; 3],
    /// How many different words were to have it.
    pub wanted: BTreeSet<String>,
}

/// The sounds produced, in the order of the accent's phonemes, then those that are none. A
/// phoneme that was never said is among them, with no words.
///
/// Whether a sound was right is of no account: \[f\] in thumb and bath counts.
#[must_use]
pub fn repertoire(sample: &Sample<'_>, accent: &Accent) -> Vec<Heard> {
    // A vowel with the consonant behind it is two sounds here.
    let is_one = |row: &&PhonemeRow| {
        let phoneme = accent.phonemes().iter().find(|it| it.text == row.text);
        row.kind != PhonemeKind::Syllabic
            && phoneme.is_some_and(|it| {
                it.parts.iter().all(|part| part.class == it.bundle.class)
            })
    };
    let mut all: Vec<Heard> = accent
        .inventory()
        .filter(is_one)
        .map(|it| Heard {
            sound: it.text.to_owned(),
            is_phoneme: true,
            ..Heard::default()
        })
        .collect();
    let phonemes = all.len();
    for item in &sample.items {
        let word = if item.word.is_empty() {
            &item.target.text
        } else {
            &item.word
        };
        for (sides, said) in [(&item.target, false), (&item.production, true)] {
            for (range, sound, site) in wholes(sides) {
                let number = accent.phoneme_of(&[sound]).map(|it| it.number);
                let name = match number.and_then(|number| accent.row(number)) {
                    Some(row) => row.text.to_owned(),
                    None => sides.text_of(&range),
                };
                let known = all.iter().position(|it| it.sound == name);
                if known.is_none() && !said {
                    continue;
                }
                let at = known.unwrap_or(all.len());
                if known.is_none() {
                    all.push(Heard {
                        sound: name,
                        is_phoneme: number.is_some(),
                        ..Heard::default()
                    });
                }
                let Some(heard) = all.get_mut(at) else {
                    continue;
                };
                if !said {
                    heard.wanted.insert(word.clone());
                    continue;
                }
                heard.words.insert(word.clone());
                let [initial, medial, last] = &mut heard.positions;
                *match site.position {
                    Position::Initial => initial,
                    Position::Medial => medial,
                    Position::Final => last,
                } += 1;
            }
        }
    }
    if let Some(others) = all.get_mut(phonemes..) {
        others.sort_by(|one, other| {
            (other.words.len(), &one.sound).cmp(&(one.words.len(), &other.sound))
        });
    }
    all
}
