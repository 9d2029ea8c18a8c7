//! Drawing for a person in a terminal.
//!
//! Everything here is pure: plain values in, styled text out, one `\n` after each line.
//! Styles are escape sequences, which whoever prints takes out where they are not wanted;
//! no meaning hangs on them. Widths are terminal columns.

pub mod accents;
pub mod agree;
pub mod analyze;
pub mod brief;
pub mod check;
pub mod class;
pub mod compare;
pub mod confusions;
pub mod describe;
pub mod explain;
pub mod line;
#[cfg(feature = "lexicon")]
pub mod material;
pub mod measure;
pub mod picture;
pub mod practice;
pub mod record;
#[cfg(feature = "lexicon")]
pub mod rules;

use std::fmt::Write as _;

use anstyle::{AnsiColor, Style};

use crate::diagnostic::Severity;
pub use crate::posture::{contact_words, posture_words};
use crate::text::width;

/// The narrowest screen that is drawn for; narrower ones wrap by themselves.
pub const NARROWEST: usize = 40;

/// What a style stands for.
pub(crate) mod palette {
    use super::{AnsiColor, Style};

    /// What the eye should find first on a line.
    pub(crate) const STRONG: Style = Style::new().bold();
    /// What is there for those who look for it.
    pub(crate) const FAINT: Style = Style::new().dimmed();
    /// Wrong.
    pub(crate) const ERROR: Style = AnsiColor::Red.on_default().bold();
    /// Doubtful.
    pub(crate) const WARNING: Style = AnsiColor::Yellow.on_default().bold();
    /// A preference, or a detail.
    pub(crate) const DETAIL: Style = AnsiColor::Cyan.on_default();
    /// In order; what to type.
    pub(crate) const GOOD: Style = AnsiColor::Green.on_default();
}

/// Text in a style.
pub(crate) fn styled(style: Style, text: &str) -> String {
    if text.is_empty() {
        String::new()
    } else {
        format!("{style}{text}{style:#}")
    }
}

/// The style of a severity.
pub(crate) const fn severity_style(severity: Severity) -> Style {
    match severity {
        Severity::Error => palette::ERROR,
        Severity::Warning => palette::WARNING,
        Severity::Style => palette::DETAIL,
    }
}

/// Appends one line, without blanks at its end.
pub(crate) fn push_line(page: &mut String, line: &str) {
    page.push_str(line.trim_end_matches(' '));
    page.push('\n');
}

/// Text followed by blanks up to a width; longer text stays whole.
pub(crate) fn padded(text: &str, columns: usize) -> String {
    let mut out = text.to_owned();
    out.extend(std::iter::repeat_n(
        ' ',
        columns.saturating_sub(width(text)),
    ));
    out
}

/// Breaks plain text at blanks into lines of at most `room` columns; a longer word stays
/// whole on a line of its own.
pub(crate) fn wrapped(text: &str, room: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut used = 0;
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let columns = width(word);
        if used > 0 && used + 1 + columns > room {
            lines.push(std::mem::take(&mut line));
            used = 0;
        }
        if used > 0 {
            line.push(' ');
            used += 1;
        }
        line.push_str(word);
        used += columns;
    }
    if used > 0 || lines.is_empty() {
        lines.push(line);
    }
    lines
}

/// Appends a label and text beside it, the further lines hanging under the text.
///
/// `indent` blanks stand before the label, which takes `label_columns` with the gap after
/// it.
pub(crate) fn push_hanging(
    page: &mut String,
    indent: usize,
    label: &str,
    style: Style,
    label_columns: usize,
    text: &str,
    columns: usize,
) {
    let room = columns.saturating_sub(indent + label_columns).max(20);
    for (number, line) in wrapped(text, room).iter().enumerate() {
        let mut out = " ".repeat(indent);
        if number == 0 {
            out.push_str(&styled(style, label));
            out.push_str(&" ".repeat(label_columns.saturating_sub(width(label))));
        } else {
            out.push_str(&" ".repeat(label_columns));
        }
        out.push_str(line);
        push_line(page, &out);
    }
}

/// The name of what follows.
#[must_use]
pub fn heading(name: &str) -> String {
    styled(palette::STRONG, name)
}

/// "1 transcription", "2 transcriptions".
pub(crate) fn counted(number: usize, one: &str, many: &str) -> String {
    let mut out = String::new();
    let _ = write!(out, "{number} {}", if number == 1 { one } else { many });
    out
}
