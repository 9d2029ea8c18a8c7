//! Suspicions about the whole text: wrong encoding, another notation, plain spelling.

use crate::diagnostic::{Code, Diagnostic, Subject};
use crate::inventory::{self, EntryKind};

/// The characters that Windows code page 1252 has at 0x80–0x9F.
///
/// # Source
///
/// Unicode's mapping table for code page 1252.
const CODE_PAGE: &[(char, u8)] = &[
    ('€', 0x80),
    ('‚', 0x82),
    ('ƒ', 0x83),
    ('„', 0x84),
    ('…', 0x85),
    ('†', 0x86),
    ('‡', 0x87),
    ('ˆ', 0x88),
    ('‰', 0x89),
    ('Š', 0x8A),
    ('‹', 0x8B),
    ('Œ', 0x8C),
    ('Ž', 0x8E),
    ('‘', 0x91),
    ('’', 0x92),
    ('“', 0x93),
    ('”', 0x94),
    ('•', 0x95),
    ('–', 0x96),
    ('—', 0x97),
    ('˜', 0x98),
    ('™', 0x99),
    ('š', 0x9A),
    ('›', 0x9B),
    ('œ', 0x9C),
    ('ž', 0x9E),
    ('Ÿ', 0x9F),
];

/// The byte that a one-byte encoding has for a character.
fn byte_of(c: char) -> Option<u8> {
    CODE_PAGE
        .iter()
        .find(|(known, _)| *known == c)
        .map(|(_, byte)| *byte)
        .or_else(|| u8::try_from(u32::from(c)).ok())
}

/// Lookalike brackets around the whole transcription are one fault, mended together.
pub(super) fn foreign_brackets(text: &str, diagnostics: &mut Vec<Diagnostic>) {
    let whole = text.trim();
    let start = text.find(whole).unwrap_or(0);
    let end = start + whole.len();
    let edge = |found: &&Diagnostic| found.code == Code::BracketLookalike;
    let open = diagnostics
        .iter()
        .filter(edge)
        .find(|found| found.span.start == start);
    let close = diagnostics
        .iter()
        .filter(edge)
        .find(|found| found.span.end == end);
    let (Some(open), Some(close)) = (open, close) else {
        return;
    };
    let (open, close) = (open.clone(), close.clone());
    if open.span == close.span {
        return;
    }
    let mut merged = open.clone();
    merged.span.end = end;
    merged.related = Some(close.span);
    merged.replacement = None;
    if let (Some(first), Some(last)) = (open.replacement(), close.replacement()) {
        let inside = text
            .get(open.span.end..close.span.start)
            .unwrap_or_default();
        merged.replacement = Some(format!("{first}{inside}{last}").into());
    }
    diagnostics.retain(|found| *found != open && *found != close);
    diagnostics.push(merged);
}

/// UTF-8 that was decoded as a one-byte encoding: each run that decodes to IPA symbols is
/// one fault, in place of all that was found inside it.
pub(super) fn wrong_encoding(text: &str, diagnostics: &mut Vec<Diagnostic>) {
    let mut at = 0;
    while let Some(rest) = text.get(at..) {
        let Some(start) = rest.find(|c: char| !c.is_ascii()) else {
            break;
        };
        let run = rest.get(start..).unwrap_or_default();
        let length = run
            .find(|c: char| c.is_ascii() || byte_of(c).is_none())
            .unwrap_or(run.len());
        let run = run.get(..length).unwrap_or_default();
        let (from, to) = (at + start, at + start + length);
        at = to.max(from + 1);
        while !text.is_char_boundary(at) {
            at += 1;
        }
        let bytes: Option<Vec<u8>> = run.chars().map(byte_of).collect();
        let decoded = bytes.and_then(|bytes| String::from_utf8(bytes).ok());
        let Some(decoded) = decoded.filter(|decoded| {
            !decoded.is_empty()
                && decoded.chars().all(|c| {
                    let entry = inventory::entry(c);
                    !matches!(entry.kind, EntryKind::Unknown | EntryKind::Lookalike)
                })
        }) else {
            continue;
        };
        diagnostics.retain(|found| found.span.end <= from || found.span.start >= to);
        let found = Diagnostic::new(Code::Mojibake, from, to, Subject::None);
        diagnostics.push(found.replaced_by(decoded));
    }
}

/// A text that reads as ARPABET from end to end is one fault.
pub(super) fn other_notation(text: &str, diagnostics: &mut Vec<Diagnostic>) {
    let inside =
        text.trim_matches(|c: char| matches!(c, '[' | ']' | '/') || c.is_whitespace());
    let start = text.find(inside).unwrap_or(0);
    let end = start + inside.len();
    // A text of this length is no utterance typed in another notation.
    if inside.len() > 4_096 {
        return;
    }
    let mut phones = 0_usize;
    let mut vowels = 0_usize;
    for token in inside.split_ascii_whitespace() {
        if !super::arpabet::is_phone(token) {
            return;
        }
        phones += 1;
        vowels += usize::from(token.ends_with(|c: char| c.is_ascii_digit()));
    }
    // One or two capitals may be anything; a vowel with its stress digit may not.
    if phones < 2 || vowels == 0 && phones < 3 {
        return;
    }
    diagnostics.retain(|found| found.span.end <= start || found.span.start >= end);
    let converted = super::arpabet::to_ipa(inside);
    let found = Diagnostic::new(
        Code::OtherNotation,
        start,
        end,
        Subject::Words(Box::new((
            "the text is ARPABET, not IPA".to_owned(),
            Some(format!(
                "type `{}`, or say that the input is ARPABET",
                converted.text
            )),
        ))),
    );
    diagnostics.push(if converted.faults.is_empty() {
        found.replaced_by(converted.text)
    } else {
        found
    });
}

/// Nothing but plain keyboard letters, with some that English spells with.
pub(super) fn spelling(text: &str, diagnostics: &mut Vec<Diagnostic>) {
    let inside = text.trim_matches(|c: char| matches!(c, '[' | ']' | '/'));
    let start = text.find(inside).unwrap_or(0);
    let letters = inside.bytes().all(|byte| byte.is_ascii_lowercase());
    let vowel = inside.contains(['a', 'e', 'i', 'o', 'u']);
    let spelled = inside.contains(['c', 'q', 'x', 'y']);
    if letters && vowel && spelled && inside.len() > 2 {
        let end = start + inside.len();
        diagnostics.push(Diagnostic::new(
            Code::SpellingLike,
            start,
            end,
            Subject::None,
        ));
    }
}
