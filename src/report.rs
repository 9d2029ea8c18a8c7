//! What is said about a transcription, ready to be written: plain values, then one
//! renderer a format.
//!
//! [`json`] holds the machine contract's own types, versioned apart from the library's;
//! [`text`] draws for a person in a terminal. Neither reads a file or prints.

pub mod agree;
pub mod json;
#[cfg(feature = "papers")]
pub mod paper;
#[cfg(feature = "pictures")]
pub mod picture;
#[cfg(feature = "app")]
pub mod text;

use std::borrow::Cow;

use crate::diagnostic::{Diagnostic, Severity};
use crate::text::Span;

/// One thing to report about a text, with its words made.
///
/// Two spans are kept because the bytes that came in are not always the text that can be
/// shown: ill-formed UTF-8 is shown with a replacement character, and other notations are
/// converted before they are read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Its name in the register.
    pub code: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// Where, in bytes of the text as it is shown.
    pub span: Span,
    /// Where, in bytes of what was given.
    pub given: Span,
    /// What is wrong.
    pub message: String,
    /// What to type instead.
    pub help: Option<Cow<'static, str>>,
    /// What mends it when put in place of the span.
    pub replacement: Option<String>,
    /// Other places that have to do with it.
    pub labels: Vec<Label>,
}

impl Fault {
    /// A diagnostic of a text that is shown as it was given, with its words made.
    #[must_use]
    pub fn new(found: &Diagnostic, text: &str) -> Self {
        let related = found.related.map(|span| Label {
            span,
            given: span,
            message: "goes with".to_owned(),
        });
        Self {
            code: found.code.name(),
            severity: found.severity,
            span: found.span,
            given: found.span,
            message: found.message(text),
            help: found.help(text),
            replacement: found.replacement().map(str::to_owned),
            labels: related.into_iter().collect(),
        }
    }
}

/// A second place that a fault points at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Where, in bytes of the text as it is shown.
    pub span: Span,
    /// Where, in bytes of what was given.
    pub given: Span,
    /// What is there.
    pub message: String,
}

/// How many of each kind were met in a run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Transcriptions read.
    pub read: usize,
    /// Those with at least one error.
    pub invalid: usize,
    /// Those without an error but with a warning or a matter of style.
    pub noticed: usize,
}

impl Tally {
    /// Counts one more transcription by the worst thing said about it.
    pub fn count(&mut self, worst: Option<Severity>) {
        self.read += 1;
        match worst {
            Some(Severity::Error) => self.invalid += 1,
            Some(Severity::Warning | Severity::Style) => self.noticed += 1,
            None => {}
        }
    }

    /// Counts transcriptions about which nothing is said.
    pub const fn pass(&mut self, count: usize) {
        self.read += count;
    }

    /// Adds what was counted elsewhere.
    pub fn add(&mut self, other: Self) {
        self.read += other.read;
        self.invalid += other.invalid;
        self.noticed += other.noticed;
    }

    /// Transcriptions about which nothing was said.
    #[must_use]
    pub const fn clean(&self) -> usize {
        self.read
            .saturating_sub(self.invalid)
            .saturating_sub(self.noticed)
    }
}
