//! A line of the desk cut into words: transcriptions stay whole, and know where they stand.

use crate::text::Span;

/// One word of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Word {
    /// Where it stands, quotation marks included.
    pub(super) span: Span,
    /// What it says, without quotation marks.
    pub(super) text: String,
    /// Whether it is a transcription.
    pub(super) is_transcription: bool,
}

/// Options whose value is the name of a file.
const PATHS: &[&str] = &[
    "--file",
    "--pairs",
    "--out",
    "--sheet",
    "--probes",
    "--except",
    "--record",
    "--svg",
    "--caseload",
    "--player",
];

/// Cuts a line at blanks. What begins with `[` or `/` goes on to its closing bracket,
/// blanks and all, or to the end of the line; straight double quotes hold words together.
/// After an option for a file, or as an argument of a command that `takes_path`, `/` begins
/// no transcription.
pub(super) fn words(line: &str, takes_path: impl Fn(&str) -> bool) -> Vec<Word> {
    let mut words: Vec<Word> = Vec::new();
    let mut at = 0;
    while let Some(next) = line.get(at..).and_then(|rest| rest.chars().next()) {
        if next.is_whitespace() {
            at += next.len_utf8();
            continue;
        }
        let rest = line.get(at..).unwrap_or_default();
        let path = words
            .last()
            .is_some_and(|last| PATHS.contains(&last.text.as_str()))
            || words.first().is_some_and(|first| takes_path(&first.text));
        let (length, text, bracketed) = match next {
            '"' => {
                let inner = rest.get(1..).unwrap_or_default();
                match inner.find('"') {
                    Some(end) => (end + 2, inner.get(..end).unwrap_or(inner), false),
                    None => (rest.len(), inner, false),
                }
            }
            '[' => {
                let length = closing(rest, ']');
                (length, rest.get(..length).unwrap_or(rest), true)
            }
            '/' if !path => {
                let length = closing(rest, '/');
                (length, rest.get(..length).unwrap_or(rest), true)
            }
            _ => {
                let length = rest.find(char::is_whitespace).unwrap_or(rest.len());
                (length, rest.get(..length).unwrap_or(rest), false)
            }
        };
        words.push(Word {
            span: Span::new(at, at + length),
            text: text.to_owned(),
            is_transcription: bracketed || (!path && next != '"' && !text.is_ascii()),
        });
        at += length;
    }
    words
}

/// How long a bracketed text is: up to a closing bracket before a blank or the end, else
/// up to the end.
fn closing(text: &str, close: char) -> usize {
    let ends = text.char_indices().skip(1).find(|(at, character)| {
        let after = text.get(at + character.len_utf8()..).unwrap_or_default();
        *character == close && after.chars().next().is_none_or(char::is_whitespace)
    });
    let Some((at, character)) = ends else {
        return text.trim_end().len();
    };
    at + character.len_utf8()
}
