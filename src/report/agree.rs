//! What is reported of two transcriptions of one sample, whatever the form.

use crate::finding::agreement::transcribers::Agreement;

/// Everything that is said about them.
#[derive(Clone, Debug)]
pub struct Page<'a> {
    /// The accent's name.
    pub accent: &'a str,
    /// What the accent is called.
    pub called: &'a str,
    /// The two tables.
    pub names: &'a [String; 2],
    /// The rows that were compared.
    pub rows: Vec<Row<'a>>,
    /// How far they agree.
    pub found: &'a Agreement,
    /// The rows that were not compared.
    pub left_out: &'a [LeftOut],
    /// Whether every disagreement is listed, row by row.
    pub every: bool,
}

/// A row that was compared.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    /// What it is called.
    pub word: &'a str,
    /// Its lines in the two tables, from 1.
    pub lines: [u64; 2],
}

/// A row that was not compared.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// The table it is in.
    pub file: String,
    /// Its line, from 1.
    pub line: u64,
    /// What it is called.
    pub word: String,
    /// Why, in a word or two.
    pub cause: &'static str,
    /// Why, and what to do about it.
    pub reason: String,
}
