//! Places in a text: byte spans, grapheme clusters, columns.

use unicode_segmentation::{GraphemeCursor, UnicodeSegmentation};
use unicode_width::UnicodeWidthStr;

/// A half-open range of bytes in the text exactly as it was given.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// The span from `start` up to `end`.
    #[must_use]
    pub const fn new(start: usize, end: usize) -> Self {
        Self { start, end }
    }

    /// Whether nothing is in it.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.start >= self.end
    }

    /// How many bytes it covers.
    #[must_use]
    pub const fn len(self) -> usize {
        self.end.saturating_sub(self.start)
    }

    /// The smallest span that holds both.
    #[must_use]
    pub fn cover(self, other: Self) -> Self {
        Self {
            start: self.start.min(other.start),
            end: self.end.max(other.end),
        }
    }

    /// The text it covers; empty where the span does not fit the text.
    #[must_use]
    pub fn of(self, text: &str) -> &str {
        text.get(self.start..self.end).unwrap_or("")
    }
}

/// Widens a span to whole grapheme clusters, so that a caret never lands on half a letter.
///
/// An empty span becomes the cluster it stands before; at the end of the text it stays
/// empty. Cost: linear in the span, not in the text.
#[must_use]
pub fn whole_clusters(text: &str, span: Span) -> Span {
    let mut start = span.start.min(text.len());
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    if start == text.len() {
        return Span::new(start, start);
    }
    if !is_boundary(text, start) {
        start = cluster_before(text, start).unwrap_or(0);
    }
    let mut end = span.end.clamp(start, text.len());
    while !text.is_char_boundary(end) {
        end += 1;
    }
    if end == start || !is_boundary(text, end) {
        end = cluster_after(text, end).unwrap_or(text.len());
    }
    Span::new(start, end)
}

fn is_boundary(text: &str, at: usize) -> bool {
    GraphemeCursor::new(at, text.len(), true)
        .is_boundary(text, 0)
        .unwrap_or(true)
}

/// Where the grapheme cluster at or around a byte offset ends; `None` at the end of the text.
#[must_use]
pub fn cluster_after(text: &str, at: usize) -> Option<usize> {
    GraphemeCursor::new(at, text.len(), true)
        .next_boundary(text, 0)
        .ok()
        .flatten()
}

/// Where the grapheme cluster before a byte offset begins; `None` at the start of the text.
#[must_use]
pub fn cluster_before(text: &str, at: usize) -> Option<usize> {
    GraphemeCursor::new(at, text.len(), true)
        .prev_boundary(text, 0)
        .ok()
        .flatten()
}

/// The column, counted in grapheme clusters from 1, at which a byte offset stands.
#[must_use]
pub fn column(text: &str, offset: usize) -> usize {
    1 + text
        .grapheme_indices(true)
        .take_while(|(at, cluster)| at + cluster.len() <= offset)
        .count()
}

/// How many terminal columns a text takes; combining marks take none.
#[must_use]
pub fn width(text: &str) -> usize {
    text.width()
}
