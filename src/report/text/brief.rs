//! A comparison in as few lines as can be read while the next word is said: the two rows, and
//! a line for each of the first errors.

use anstyle::Style;

use super::compare::{Column, is_error, mark_of, numbered, side_text, style_of};
use super::line::{clipped, visible};
use super::{padded, palette, push_line, styled};
use crate::alignment::Kind;
use crate::text::width;

/// Lines about errors; further ones are only named.
const ERROR_LINES: usize = 2;

/// Columns of the rows before the first error that is shown, where not all have room.
const BEFORE: usize = 3;

/// The widest name over the rows; a longer one is cut.
const WIDEST_NAME: usize = 16;

/// Draws a comparison in one line where there is nothing to correct, else in three or four.
///
/// `name` stands before the rows; `prosody` is as for
/// [`comparison`](super::compare::comparison). No line is wider than `columns`.
#[must_use]
pub fn brief(
    name: &str,
    table: &[Column],
    prosody: &[(&'static str, String)],
    columns: usize,
) -> String {
    let name = clipped(&visible(name), WIDEST_NAME);
    let label = width(&name) + 2;
    let room = columns.saturating_sub(1).max(20);
    let mut page = String::new();
    let (errors, _) = numbered(table);
    if errors.is_empty() && prosody.is_empty() {
        let said: String = table
            .iter()
            .map(|column| side_text(column.production.as_ref()))
            .collect();
        let words = clipped(
            &in_order(table),
            room.saturating_sub(label + width(&said) + 2),
        );
        let words = styled(palette::GOOD, &words);
        push_line(
            &mut page,
            &format!("{}{said}  {words}", padded(&name, label)),
        );
        return page;
    }
    rows(&mut page, &name, label, table, room);
    let mut lines: Vec<(Style, String, String)> = errors
        .iter()
        .map(|column| {
            let head = format!(
                "{}→{}",
                side_text(column.target.as_ref()),
                side_text(column.production.as_ref())
            );
            (style_of(column.kind), head, reason(column))
        })
        .collect();
    let stress = prosody
        .iter()
        .map(|(mark, sentence)| (palette::WARNING, (*mark).to_owned(), sentence.clone()));
    lines.extend(stress);
    let whole = if lines.len() > ERROR_LINES {
        ERROR_LINES - 1
    } else {
        lines.len()
    };
    for (style, head, reason) in lines.iter().take(whole) {
        let reason = clipped(reason, room.saturating_sub(3 + width(head)));
        push_line(&mut page, &format!(" {}  {reason}", styled(*style, head)));
    }
    if whole < lines.len() {
        let heads: Vec<&str> = lines
            .iter()
            .skip(whole)
            .map(|(_, head, _)| head.as_str())
            .collect();
        let also = format!("and {}", heads.join(", "));
        push_line(&mut page, &format!(" {}", clipped(&also, room - 1)));
    }
    page
}

/// What is said where nothing is to be corrected.
fn in_order(table: &[Column]) -> String {
    let mut allowed: Vec<String> = Vec::new();
    for column in table.iter().filter(|column| column.kind == Kind::Allophone) {
        let text = format!(
            "{}→{} {}",
            side_text(column.target.as_ref()),
            side_text(column.production.as_ref()),
            column.remarks.join("; ")
        );
        if !allowed.contains(&text) {
            allowed.push(text);
        }
    }
    if table.is_empty() {
        "no sounds to compare".to_owned()
    } else if allowed.is_empty() {
        "as the target".to_owned()
    } else {
        format!("nothing to correct: {}", allowed.join(", "))
    }
}

/// The two rows, sound under sound, from a little before the first error where there is not
/// room for all.
fn rows(page: &mut String, name: &str, label: usize, table: &[Column], room: usize) {
    let cells: Vec<(String, String, Kind)> = table
        .iter()
        .map(|column| {
            let target = side_text(column.target.as_ref());
            (target, side_text(column.production.as_ref()), column.kind)
        })
        .collect();
    let wide = |cell: &(String, String, Kind)| width(&cell.0).max(width(&cell.1)) + 1;
    let all: usize = cells.iter().map(wide).sum();
    let first = cells.iter().position(|cell| is_error(cell.2)).unwrap_or(0);
    let from = if label + all > room {
        first.saturating_sub(BEFORE)
    } else {
        0
    };
    let mut above = styled(palette::STRONG, name);
    above.push_str(&" ".repeat(label.saturating_sub(width(name))));
    let mut below = " ".repeat(label);
    let mut used = label;
    if from > 0 {
        above.push_str("… ");
        below.push_str("  ");
        used += 2;
    }
    for cell in cells.iter().skip(from) {
        let columns = wide(cell);
        if used + columns + 1 > room {
            above.push('…');
            break;
        }
        used += columns;
        let style = if mark_of(cell.2).is_empty() {
            Style::new()
        } else {
            style_of(cell.2)
        };
        for (row, text, style) in [
            (&mut above, &cell.0, Style::new()),
            (&mut below, &cell.1, style),
        ] {
            row.push_str(&styled(style, text));
            row.push_str(&" ".repeat(columns.saturating_sub(width(text))));
        }
    }
    push_line(page, &above);
    push_line(page, &below);
}

/// What an error is, in a line.
fn reason(column: &Column) -> String {
    match (column.kind, &column.target, &column.production) {
        (Kind::Transposition, Some(_), None) => "moved away from here".to_owned(),
        (Kind::Transposition, None, Some(_)) => "moved to here".to_owned(),
        (_, Some(wanted), None) => format!("left out: {}", wanted.name),
        (_, None, Some(said)) => format!("added: {}", said.name),
        (_, Some(wanted), Some(said)) => {
            let mut parts = column.in_short.clone();
            parts.extend(column.remarks.iter().cloned());
            if parts.is_empty() {
                parts.push(format!("{}, not {}", said.name, wanted.name));
            }
            parts.join("; ")
        }
        (_, None, None) => String::new(),
    }
}
