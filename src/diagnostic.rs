//! What is wrong with a transcription, where, why, and what to type instead.
//!
//! A diagnostic is a small value: a code, a span and the facts behind it. Its words are
//! made when someone asks for them.

use crate::text::Span;

/// How bad it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Severity {
    /// No reading under the standard: the transcription is not valid.
    Error,
    /// Readable, but contradictory, redundant, retired, ambiguous or off the chart.
    Warning,
    /// Legal; a preference.
    Style,
}

impl Severity {
    /// The word for it in the JSON contract.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Style => "style",
        }
    }
}
