//! Transcriptions in running text: between slashes, or between square brackets.
//!
//! Slashes and brackets have other uses there. A stretch is taken for a transcription when
//!
//! - it stands on one line, holds no further bracket or slash and no more than
//!   200 characters, and neither begins nor ends with a blank;
//! - slashes stand free, so that paths, dates and `and/or` are left alone, and something
//!   between them is a letter;
//! - what stands between brackets has a letter or mark of the alphabet beyond ASCII, or is
//!   one word of small letters with a length mark or an accent typed as `:`, `'` or `"`;
//!   no `(`, `[` or `:` follows, so that links and their definitions are left alone.
//!
//! Common practice, no source.

use std::ops::Range;

use crate::inventory;

/// The most characters between two delimiters.
const LONGEST: usize = 200;

/// The transcriptions of a line, delimiters included.
#[must_use]
pub fn find(line: &[u8]) -> Vec<Range<usize>> {
    // Ill-formed bytes have no delimiter among them, and keep their number this way.
    let text: String = line
        .utf8_chunks()
        .flat_map(|chunk| {
            let valid = chunk.valid().chars();
            valid.chain(chunk.invalid().iter().map(|_| '\u{1}'))
        })
        .collect();
    let mut found = Vec::new();
    let mut before: Option<char> = None;
    let mut characters = text.char_indices();
    while let Some((at, character)) = characters.next() {
        let end = match character {
            '/' => slashes(&text, at, before),
            '[' => brackets(&text, at),
            _ => None,
        };
        before = Some(character);
        if let Some(end) = end {
            found.push(at..end);
            before = text.get(..end).and_then(|text| text.chars().next_back());
            while characters.offset() < end && characters.next().is_some() {}
        }
    }
    found
}

/// What stands between a delimiter and the next of its kind, and the end of that.
fn between(text: &str, at: usize, close: char) -> Option<(&str, usize)> {
    let inside = text.get(at + 1..)?;
    let length = inside
        .char_indices()
        .take(LONGEST + 1)
        .find(|(_, character)| *character == close || "[]/".contains(*character))
        .filter(|(_, character)| *character == close)?
        .0;
    let inside = inside.get(..length)?;
    let blank = |character: Option<char>| character.is_none_or(char::is_whitespace);
    if blank(inside.chars().next()) || blank(inside.chars().next_back()) {
        return None;
    }
    Some((inside, at + 1 + length + 1))
}

fn slashes(text: &str, at: usize, before: Option<char>) -> Option<usize> {
    let joined = |character: char| {
        character.is_alphanumeric() || "/\\.~<:_-&=?#%+".contains(character)
    };
    if before.is_some_and(joined) {
        return None;
    }
    let (inside, end) = between(text, at, '/')?;
    let after = text.get(end..).and_then(|rest| rest.chars().next());
    let joined =
        |character: char| character.is_alphanumeric() || "/_\\".contains(character);
    let digits = inside.chars().any(|character| character.is_ascii_digit());
    if after.is_some_and(joined) || inside.contains(['<', '>', '=']) {
        return None;
    }
    let spoken = inside.chars().any(char::is_alphabetic);
    let plain = inside.is_ascii() && (digits || inside.contains(['.', '_', '*', '\\']));
    (spoken && !plain).then_some(end)
}

fn brackets(text: &str, at: usize) -> Option<usize> {
    let (inside, end) = between(text, at, ']')?;
    let after = text.get(end..).and_then(|rest| rest.chars().next());
    if after.is_some_and(|character| "([:".contains(character)) {
        return None;
    }
    if inside.is_ascii() {
        let letters = inside.bytes().any(|byte| byte.is_ascii_lowercase());
        let stand_in = inside.contains([':', '\'', '"']);
        let word = inside
            .bytes()
            .all(|byte| byte.is_ascii_lowercase() || b":'\".@".contains(&byte));
        return (letters && stand_in && word).then_some(end);
    }
    inside.chars().any(is_phonetic).then_some(end)
}

/// Whether a character beyond ASCII is one of the alphabet's, or one that is typed for one.
fn is_phonetic(character: char) -> bool {
    let mut bytes = [0; 4];
    let text: &str = character.encode_utf8(&mut bytes);
    let words = inventory::lookalikes().iter();
    !character.is_ascii()
        && !"\u{A0}\u{2018}\u{2019}\u{201C}\u{201D}\u{2013}\u{2014}\u{2026}"
            .contains(character)
        && (inventory::symbols()
            .iter()
            .any(|symbol| symbol.text == text)
            || inventory::marks().iter().any(|mark| mark.text == text)
            || inventory::suprasegmentals()
                .iter()
                .any(|sign| sign.text == text)
            || words.clone().any(|lookalike| lookalike.input == text))
}
