//! The register of diagnostics: one entry in full, or all of them in a line each.

use super::line::visible;
use super::{padded, palette, push_hanging, push_line, severity_style, styled};
use crate::diagnostic::Severity;
use crate::text::width;

/// A code and what is said about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its name.
    pub code: &'static str,
    /// How bad it usually is.
    pub severity: Severity,
    /// What it means and what to do about it.
    pub explanation: &'static str,
    /// A transcription that has it; empty where there is none to show.
    pub example: &'static str,
}

/// Draws one entry.
#[must_use]
pub fn entry(entry: &Entry, columns: usize) -> String {
    const LABELS: usize = 9;
    let mut page = String::new();
    let severity = styled(severity_style(entry.severity), entry.severity.name());
    push_line(
        &mut page,
        &format!("{}  {severity}", styled(palette::STRONG, entry.code)),
    );
    push_hanging(
        &mut page,
        2,
        "",
        palette::FAINT,
        0,
        entry.explanation,
        columns,
    );
    if !entry.example.is_empty() {
        let example = visible(entry.example);
        push_hanging(
            &mut page,
            2,
            "example",
            palette::FAINT,
            LABELS,
            &example,
            columns,
        );
    }
    page
}

/// Draws a line for each entry: code, severity, example.
#[must_use]
pub fn index(entries: &[Entry], columns: usize) -> String {
    let mut page = String::new();
    let codes = entries
        .iter()
        .map(|entry| width(entry.code))
        .max()
        .unwrap_or(0);
    for entry in entries {
        let severity = padded(entry.severity.name(), 7);
        let room = columns.saturating_sub(codes + 11).max(8);
        let example = super::line::clipped(entry.example, room);
        let row = format!(
            "{}  {}  {example}",
            padded(entry.code, codes),
            styled(severity_style(entry.severity), &severity)
        );
        push_line(&mut page, &row);
    }
    page
}
