//! Slips of the hand: what was typed, and what was meant.

use unicode_segmentation::UnicodeSegmentation;

use crate::notation::{Transcription, key_map, x_sampa};

/// A slip of the hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slip {
    /// What was typed.
    pub typed: String,
    /// What it stands for, or what shares its key.
    pub meant: String,
    /// Whether that is sure: a lookalike or a stand-in cannot have been heard, a neighbour on
    /// the keyboard can.
    pub sure: bool,
}

impl Slip {
    /// The stretch in which a typed text and its mended form differ.
    pub(super) fn between(typed: &str, mended: &str) -> Option<Self> {
        let (one, other): (Vec<&str>, Vec<&str>) = (
            typed.graphemes(true).collect(),
            mended.graphemes(true).collect(),
        );
        let start = one
            .iter()
            .zip(&other)
            .take_while(|(one, other)| one == other)
            .count();
        let (one, other) = (one.get(start..)?, other.get(start..)?);
        let pairs = one.iter().rev().zip(other.iter().rev());
        let end = pairs.take_while(|(one, other)| one == other).count();
        let typed = one.get(..one.len() - end)?.concat();
        let meant = other.get(..other.len() - end)?.concat();
        (typed != meant).then_some(Self {
            typed,
            meant,
            sure: true,
        })
    }
}

/// What an answer may have been meant to be: with what the diagnostics would put in place of
/// lookalikes, with ASCII letters, digits and signs read as X-SAMPA, and with both. Texts
/// that are the answer itself are left out.
pub(super) fn mended(answer: &str) -> Vec<String> {
    let replaced = with_replacements(answer);
    let mut mended = vec![
        stand_ins(answer),
        stand_ins(&replaced),
        with_replacements(&stand_ins(answer)),
        replaced,
    ];
    mended.retain(|text| text != answer);
    mended.dedup();
    mended
}

fn with_replacements(text: &str) -> String {
    let read = Transcription::parse(text);
    let mut mended = text.to_owned();
    let mut limit = text.len();
    for fault in read.diagnostics().iter().rev() {
        if let (Some(replacement), true) = (fault.replacement(), fault.span.end <= limit)
        {
            mended.replace_range(fault.span.start..fault.span.end, replacement);
            limit = fault.span.start;
        }
    }
    mended
}

/// Capitals, digits and signs as X-SAMPA has them; small letters are the alphabet's own.
fn stand_ins(text: &str) -> String {
    let mut mended = String::new();
    for character in text.chars() {
        let mut buffer = [0; 4];
        let key: &str = character.encode_utf8(&mut buffer);
        let stands = character.is_ascii_uppercase()
            || character.is_ascii_digit()
            || matches!(
                character,
                '@' | '{' | '}' | '&' | '?' | '"' | '%' | ':' | '\''
            );
        let read = match character {
            '\'' => "ˈ".to_owned(),
            '3' => "ɝ".to_owned(),
            _ if stands => x_sampa::to_ipa(key).text,
            _ => String::new(),
        };
        if read.is_empty() {
            mended.push(character);
        } else {
            mended.push_str(&read);
        }
    }
    mended
}

/// A letter that shares its key with the right one, with Shift or without, or that stands
/// beside it when the letter is turned.
pub(super) fn same_key(typed: &str, meant: &str) -> Option<Slip> {
    let (one, other) = (typed.chars().next()?, meant.chars().next()?);
    let shifted = |plain: char, other: char| {
        let mut buffer = [0; 4];
        let capital: &str = plain.to_ascii_uppercase().encode_utf8(&mut buffer);
        plain.is_ascii_lowercase() && x_sampa::to_ipa(capital).text.starts_with(other)
    };
    let beside = || {
        let ring = key_map::ring(typed)?;
        let at = ring
            .letters
            .iter()
            .position(|letter| meant.starts_with(letter))?;
        let (at, count) = (at + ring.letters.len() - ring.at, ring.letters.len());
        Some(matches!(at % count, 1) || at % count == count - 1)
    };
    let near = one != other
        && (shifted(one, other) || shifted(other, one) || beside().unwrap_or(false));
    near.then(|| Slip {
        typed: typed.to_owned(),
        meant: meant.to_owned(),
        sure: false,
    })
}
