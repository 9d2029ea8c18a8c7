//! The verdict on a transcription: the line, carets under each fault, reason, remedy.

use super::line::{visible, window};
use super::{counted, padded, palette, push_hanging, push_line, severity_style, styled};
use crate::diagnostic::Severity;
use crate::report::{Fault, Tally};
use crate::text::{Span, width};

/// Faults of one line that are drawn; the rest is counted.
const MOST_FAULTS: usize = 8;

/// How far the number of a line takes up the left of the screen.
const GUTTER: usize = 6;

/// One transcription to draw.
#[derive(Clone, Copy, Debug)]
pub struct Line<'a> {
    /// Its number in the input, from 1; `None` where there is only one.
    pub number: Option<u64>,
    /// The text as it is shown.
    pub text: &'a str,
    /// Its reading in the alphabet, where it was typed in another notation.
    pub ipa: Option<&'a str>,
    /// What kind of transcription it is, in a word.
    pub notation: &'a str,
    /// Everything wrong with it, in text order.
    pub faults: &'a [Fault],
    /// How many more there are, beyond those in `faults`.
    pub more: usize,
}

/// Draws one transcription and its faults on a screen of `columns`.
#[must_use]
pub fn line(line: &Line<'_>, columns: usize) -> String {
    let mut page = String::new();
    let gutter = gutter(line.number);
    let indent = width(&gutter);
    let room = columns.saturating_sub(indent).max(20);
    if line.faults.is_empty() {
        let verdict = format!("in order ({})", line.notation);
        let text = super::line::clipped(
            line.text,
            room.saturating_sub(width(&verdict) + 2).max(20),
        );
        let row = format!(
            "{}{}  {}",
            styled(palette::FAINT, &gutter),
            padded(&text, 16),
            styled(palette::GOOD, &verdict)
        );
        push_line(&mut page, &row);
    } else {
        page.push_str(&faults(line, indent, &gutter, columns));
    }
    if let Some(ipa) = line.ipa {
        let room = columns.saturating_sub(indent + 12).max(20);
        let ipa = super::line::clipped(ipa, room);
        push_line(
            &mut page,
            &format!("{}read as   {ipa}", " ".repeat(indent + 2)),
        );
    }
    page
}

fn gutter(number: Option<u64>) -> String {
    match number {
        Some(number) => format!("{number:>width$}  ", width = GUTTER - 2),
        None => "  ".to_owned(),
    }
}

/// The windows of a line with their faults.
#[must_use]
pub(crate) fn faults(
    line: &Line<'_>,
    indent: usize,
    gutter: &str,
    columns: usize,
) -> String {
    let mut page = String::new();
    let room = columns.saturating_sub(indent).max(20);
    let shown = line.faults.get(..MOST_FAULTS).unwrap_or(line.faults);
    let several = shown.len() > 1;
    if line.text.is_empty() {
        let head = styled(palette::FAINT, gutter);
        push_line(
            &mut page,
            &format!("{head}{}", styled(palette::FAINT, "(empty)")),
        );
        for fault in shown {
            reason(&mut page, indent, fault, "", line, columns);
        }
        return page;
    }
    let mut at = 0;
    let mut first = true;
    while let Some(rest) = shown.get(at..).filter(|rest| !rest.is_empty()) {
        let spans: Vec<Span> = rest.iter().map(|fault| fault.span).collect();
        let (view, taken) = window(line.text, &spans, room);
        let taken = taken.max(1);
        let head = if first {
            styled(palette::FAINT, gutter)
        } else {
            " ".repeat(indent)
        };
        first = false;
        push_line(&mut page, &format!("{head}{}", view.line));
        let group = rest.get(..taken).unwrap_or(rest);
        caret_rows(&mut page, indent, &view.carets, group, at, several);
        reasons(
            &mut page,
            indent,
            group,
            several.then_some(at),
            line,
            columns,
        );
        at += taken;
    }
    let left_out = line.faults.len() - shown.len() + line.more;
    if left_out > 0 {
        let note = format!(
            "and {} in this line",
            counted(left_out, "more fault", "more faults")
        );
        push_line(&mut page, &format!("{}{}", " ".repeat(indent + 2), note));
    }
    if let Some(mended) = mended(line) {
        let label_columns = 10;
        push_hanging(
            &mut page,
            indent + 2,
            "mended",
            palette::GOOD,
            label_columns,
            &mended,
            columns,
        );
    }
    page
}

/// The letter that ties a caret to its reason.
fn letter(number: usize) -> char {
    u8::try_from(number)
        .ok()
        .and_then(|n| b'a'.checked_add(n))
        .map_or('?', char::from)
}

/// A caret run and the faults it stands for.
struct Run {
    column: usize,
    wide: usize,
    faults: Vec<usize>,
}

/// Draws the carets of a window. Faults of one place share their carets; runs that would
/// lie on one another go to rows of their own.
fn caret_rows(
    page: &mut String,
    indent: usize,
    carets: &[(usize, usize)],
    faults: &[Fault],
    from: usize,
    lettered: bool,
) {
    let mut rows: Vec<Vec<Run>> = Vec::new();
    for (number, (column, wide)) in carets.iter().enumerate() {
        let shared = rows.iter_mut().flatten();
        if let Some(run) = shared
            .into_iter()
            .find(|run| (run.column, run.wide) == (*column, *wide))
        {
            run.faults.push(number);
            continue;
        }
        let run = Run {
            column: *column,
            wide: *wide,
            faults: vec![number],
        };
        let free = |row: &&mut Vec<Run>| {
            row.last()
                .is_none_or(|last| last.column + last.wide <= *column)
        };
        match rows.iter_mut().find(free) {
            Some(row) => row.push(run),
            None => rows.push(vec![run]),
        }
    }
    for row in rows {
        let mut drawn = " ".repeat(indent);
        let mut at = 0;
        for run in &row {
            let worst = run.faults.iter().filter_map(|number| faults.get(*number));
            let worst = worst
                .map(|fault| fault.severity)
                .min()
                .unwrap_or(Severity::Style);
            drawn.push_str(&" ".repeat(run.column - at));
            drawn.push_str(&styled(severity_style(worst), &"^".repeat(run.wide)));
            at = run.column + run.wide;
        }
        push_line(page, &drawn);
        let deepest = row.iter().map(|run| run.faults.len()).max().unwrap_or(0);
        for depth in 0..if lettered { deepest } else { 0 } {
            let mut names = " ".repeat(indent);
            let mut at = 0;
            for run in &row {
                if let Some(number) = run.faults.get(depth) {
                    names.push_str(&" ".repeat(run.column - at));
                    names.push(letter(from + number));
                    at = run.column + 1;
                }
            }
            push_line(page, &names);
        }
    }
}

/// The reasons and remedies of some faults; what is the same for several is said once.
/// `from` is the number of the first, where they have letters.
fn reasons(
    page: &mut String,
    indent: usize,
    group: &[Fault],
    from: Option<usize>,
    line: &Line<'_>,
    columns: usize,
) {
    let alike = |one: &Fault, other: &Fault| {
        (one.code, &one.message, &one.help) == (other.code, &other.message, &other.help)
            && one.labels.is_empty()
            && other.labels.is_empty()
    };
    for (number, fault) in group.iter().enumerate() {
        let said = group
            .iter()
            .take(number)
            .any(|earlier| alike(earlier, fault));
        if said {
            continue;
        }
        let mut letters = String::new();
        for (later, other) in group.iter().enumerate().skip(number) {
            if let Some(from) = from
                && (later == number || alike(fault, other))
            {
                letters.push(letter(from + later));
                letters.push(' ');
            }
        }
        reason(page, indent, fault, &letters, line, columns);
    }
}

/// The reason and the remedy of one fault, after the letters that stand for it.
fn reason(
    page: &mut String,
    indent: usize,
    fault: &Fault,
    letters: &str,
    line: &Line<'_>,
    columns: usize,
) {
    let label = format!("{letters}{}", fault.severity.name());
    let label_columns = 10.max(width(&label) + 1);
    let message = format!("{} ({})", visible(&fault.message), fault.code);
    let style = severity_style(fault.severity);
    push_hanging(
        page,
        indent + 2,
        &label,
        style,
        label_columns,
        &message,
        columns,
    );
    let mut also = |label: &str, style, text: &str| {
        push_hanging(page, indent + 2, label, style, label_columns, text, columns);
    };
    for other in &fault.labels {
        let place = crate::text::column(line.text, other.span.start);
        let there = super::line::clipped(other.span.of(line.text), 12);
        let text = format!("{} `{there}` at column {place}", visible(&other.message));
        also("", palette::FAINT, &text);
    }
    if let Some(help) = &fault.help {
        also("  remedy", palette::GOOD, &visible(help));
    }
}

/// The text with every replacement made, where that takes away every error and the text
/// is short enough to read.
fn mended(line: &Line<'_>) -> Option<String> {
    if line.more > 0 || line.text.len() > 200 {
        return None;
    }
    let mut out = String::new();
    let mut at = 0;
    for fault in line.faults {
        match &fault.replacement {
            Some(replacement) => {
                out.push_str(line.text.get(at..fault.span.start)?);
                out.push_str(replacement);
                at = fault.span.end;
            }
            None if fault.severity == Severity::Error => return None,
            None => {}
        }
    }
    out.push_str(line.text.get(at..)?);
    (at > 0).then(|| visible(&out))
}

/// What came of a run of many transcriptions.
#[must_use]
pub fn summary(tally: &Tally) -> String {
    let mut page = String::new();
    if tally.read == 0 {
        push_line(&mut page, "no transcriptions");
        return page;
    }
    let mut parts = Vec::new();
    if tally.invalid > 0 {
        parts.push(styled(
            palette::ERROR,
            &format!("{} invalid", tally.invalid),
        ));
    }
    if tally.noticed > 0 {
        let text = format!("{} readable with remarks", tally.noticed);
        parts.push(styled(palette::WARNING, &text));
    }
    if tally.clean() > 0 {
        parts.push(styled(
            palette::GOOD,
            &format!("{} in order", tally.clean()),
        ));
    }
    let read = counted(tally.read, "transcription", "transcriptions");
    push_line(&mut page, &format!("{read}: {}", parts.join(", ")));
    page
}
