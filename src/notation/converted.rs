//! A text put into another notation, with the way back from every byte of it.

use std::borrow::Cow;

use unicode_normalization::char::{canonical_combining_class, decompose_canonical};

use crate::text::Span;

/// A text put into another notation.
///
/// The results of [`pieces`](Self::pieces) lie end to end and cover the whole text; their
/// sources never overlap and cover the whole input. What has no counterpart stands in the
/// text as it was typed, with a [`Fault`] that says so: a conversion loses nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Converted {
    /// The text in the other notation.
    pub text: String,
    /// What became of each part of the input, in the order of the result.
    pub pieces: Vec<Piece>,
    /// What has no counterpart, in the order of the input.
    pub faults: Vec<Fault>,
}

/// One part of the input and what became of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Piece {
    /// Where it stands in the input, in bytes.
    pub source: Span,
    /// Where its counterpart stands in the result, in bytes; empty where it writes nothing.
    pub result: Span,
}

/// A part of the input that the other notation cannot write.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where it stands in the input, in bytes.
    pub span: Span,
    /// What is wrong: lower case, no full stop.
    pub reason: String,
    /// What to type instead.
    pub help: String,
}

impl Converted {
    /// Where the bytes of a span of the result come from.
    ///
    /// The smallest span of the input that covers every piece the given span touches;
    /// `None` where it touches none.
    #[must_use]
    pub fn source_of(&self, result: Span) -> Option<Span> {
        self.pieces
            .iter()
            .filter(|piece| {
                piece.result.start < result.end && result.start < piece.result.end
            })
            .map(|piece| piece.source)
            .reduce(Span::cover)
    }
}

/// Gathers pieces and faults into a [`Converted`].
#[derive(Debug, Default)]
pub(super) struct Builder<'t> {
    parts: Vec<(Span, Cow<'t, str>)>,
    faults: Vec<Fault>,
}

impl<'t> Builder<'t> {
    /// Adds what a part of the input became. A part whose source overlaps the one before,
    /// as the letter and the mark of a precomposed character do, joins it.
    pub(super) fn push(&mut self, source: Span, result: impl Into<Cow<'t, str>>) {
        let result = result.into();
        match self.parts.last_mut() {
            Some((last, text)) if source.start < last.end && last.start < source.end => {
                *last = last.cover(source);
                text.to_mut().push_str(&result);
            }
            _ => self.parts.push((source, result)),
        }
    }

    /// Adds what a part of the input became before the last `back` parts.
    pub(super) fn insert(
        &mut self,
        back: usize,
        source: Span,
        result: impl Into<Cow<'t, str>>,
    ) {
        let at = self.parts.len().saturating_sub(back);
        self.parts.insert(at, (source, result.into()));
    }

    /// Puts something else in place of the last result.
    pub(super) fn replace(&mut self, result: impl Into<Cow<'t, str>>) {
        if let Some((_, last)) = self.parts.last_mut() {
            *last = result.into();
        }
    }

    /// Reports a part of the input.
    pub(super) fn fault(&mut self, span: Span, reason: String, help: impl Into<String>) {
        self.faults.push(Fault {
            span,
            reason,
            help: help.into(),
        });
    }

    /// Lays the parts end to end.
    pub(super) fn finish(mut self) -> Converted {
        let mut text = String::new();
        let mut pieces = Vec::with_capacity(self.parts.len());
        for (source, result) in &self.parts {
            let start = text.len();
            text.push_str(result);
            pieces.push(Piece {
                source: *source,
                result: Span::new(start, text.len()),
            });
        }
        self.faults.sort_by_key(|fault| fault.span);
        Converted {
            text,
            pieces,
            faults: self.faults,
        }
    }
}

/// A text in NFD whose characters know where they were typed.
#[derive(Debug)]
pub(super) struct Decomposed {
    text: String,
    /// Where each character starts in `text`, and the typed character it is from.
    sources: Vec<(usize, Span)>,
}

impl Decomposed {
    /// Decomposes a text and puts its marks into canonical order.
    pub(super) fn new(typed: &str) -> Self {
        let mut characters: Vec<(char, Span)> = Vec::new();
        for (start, c) in typed.char_indices() {
            let source = Span::new(start, start + c.len_utf8());
            decompose_canonical(c, |part| characters.push((part, source)));
        }
        for run in characters.chunk_by_mut(|_, (c, _)| canonical_combining_class(*c) != 0)
        {
            run.sort_by_key(|(c, _)| canonical_combining_class(*c));
            if !run.is_sorted_by_key(|(_, source)| *source) {
                let whole = run.iter().map(|(_, source)| *source).reduce(Span::cover);
                for (_, source) in run.iter_mut() {
                    *source = whole.unwrap_or(*source);
                }
            }
        }
        let mut text = String::new();
        let mut sources = Vec::with_capacity(characters.len());
        for (c, source) in characters {
            sources.push((text.len(), source));
            text.push(c);
        }
        Self { text, sources }
    }

    /// What follows an offset.
    pub(super) fn rest(&self, at: usize) -> &str {
        self.text.get(at..).unwrap_or("")
    }

    /// Where the characters from `start` up to `end` were typed.
    pub(super) fn source(&self, start: usize, end: usize) -> Span {
        let first = self.sources.partition_point(|(at, _)| *at < start);
        let last = self.sources.partition_point(|(at, _)| *at < end);
        self.sources
            .get(first..last)
            .unwrap_or(&[])
            .iter()
            .map(|(_, source)| *source)
            .reduce(Span::cover)
            .unwrap_or_default()
    }
}

/// No key of a table is longer, in bytes; the build script checks it.
const LONGEST_KEY: usize = 12;

/// The keys at the start of a text with their values, longest first; the table is sorted.
pub(super) fn keys<'k, V: Copy>(
    table: &'static [(&'k str, V)],
    text: &str,
) -> impl Iterator<Item = (&'k str, V)> {
    let most = LONGEST_KEY.min(text.len());
    (1..=most)
        .rev()
        .filter_map(move |length| exactly(table, text.get(..length)?))
}

/// The entry of a key in a table sorted by key.
pub(super) fn exactly<'k, V: Copy>(
    table: &[(&'k str, V)],
    key: &str,
) -> Option<(&'k str, V)> {
    let at = table
        .binary_search_by(|(known, _)| (*known).cmp(key))
        .ok()?;
    table.get(at).copied()
}

/// A character, or a few, as a message shows them: with their code points.
pub(super) fn shown(text: &str) -> String {
    let points: Vec<String> = text
        .chars()
        .map(|c| format!("U+{:04X}", u32::from(c)))
        .collect();
    let alone = text
        .chars()
        .next()
        .is_some_and(|c| canonical_combining_class(c) != 0);
    format!(
        "`{}{text}` {}",
        if alone { "◌" } else { "" },
        points.join(" ")
    )
}
