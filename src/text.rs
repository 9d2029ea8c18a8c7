//! Places in a text: byte spans, grapheme clusters, columns.

use unicode_segmentation::UnicodeSegmentation;
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
        Self { start: self.start.min(other.start), end: self.end.max(other.end) }
    }

    /// The text it covers; empty where the span does not fit the text.
    #[must_use]
    pub fn of(self, text: &str) -> &str {
        text.get(self.start..self.end).unwrap_or("")
    }
}

/// Widens a span to whole grapheme clusters, so that a caret never lands on half a letter.
///
/// An empty span becomes the cluster it stands before. Cost: linear in the text.
#[must_use]
pub fn whole_clusters(text: &str, span: Span) -> Span {
    let mut wide = Span::new(usize::MAX, 0);
    for (at, cluster) in text.grapheme_indices(true) {
        let end = at + cluster.len();
        if at < span.end.max(span.start + 1) && span.start < end {
            wide = Span::new(wide.start.min(at), wide.end.max(end));
        }
    }
    if wide.end == 0 { Span::new(text.len(), text.len()) } else { wide }
}

/// The column, counted in grapheme clusters from 1, at which a byte offset stands.
#[must_use]
pub fn column(text: &str, offset: usize) -> usize {
    1 + text.grapheme_indices(true).take_while(|(at, cluster)| at + cluster.len() <= offset).count()
}

/// How many terminal columns a text takes; combining marks take none.
#[must_use]
pub fn width(text: &str) -> usize {
    text.width()
}
