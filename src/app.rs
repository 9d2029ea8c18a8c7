//! The terminal program: arguments, files, the screen.
//!
//! The one place that reads, prints and asks the system anything. Each command turns
//! records into plain values and hands them to [`crate::report`].

pub mod arguments;
pub mod files;
pub mod output;

use std::fmt;
use std::io;

/// Why the run could not go on: where, what and what to do about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failure {
    /// A file, perhaps with a line, or an argument.
    pub place: String,
    /// What went wrong.
    pub reason: String,
    /// What to do about it.
    pub remedy: String,
}

impl Failure {
    /// A failure at a place.
    pub fn new(
        place: impl Into<String>,
        reason: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            place: place.into(),
            reason: reason.into(),
            remedy: remedy.into(),
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            formatter,
            "{}: {}\n  remedy: {}",
            self.place, self.reason, self.remedy
        )
    }
}

/// What ends the work on a source before its end.
#[derive(Debug)]
pub enum Stop {
    /// The run failed.
    Failed(Failure),
    /// Nobody reads the output any more.
    Unread,
}

impl From<Failure> for Stop {
    fn from(failure: Failure) -> Self {
        Self::Failed(failure)
    }
}

impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Self {
        if error.kind() == io::ErrorKind::BrokenPipe {
            return Self::Unread;
        }
        Self::Failed(Failure::new(
            "standard output",
            format!("writing failed: {error}"),
            "look whether the disk is full",
        ))
    }
}
