//! A paper as plain text: pictures as what they show, X-SAMPA beside IPA.

use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr;

use super::{Block, Line, Paper, Run};
use crate::notation::x_sampa;

/// The columns that are written.
const WIDE: usize = 78;
/// The widest that a table's column becomes.
const CELL: usize = 26;

/// Writes the paper as plain text, 78 columns wide.
///
/// Beside IPA stands X-SAMPA, for record systems that cannot hold IPA. Control characters and
/// those that turn the direction of text are shown by their numbers.
///
/// # Examples
///
/// ```
/// use apical::report::paper::{Block, Paper, Run, plain};
///
/// let line = vec![Run::Sound("ʃiːp".to_owned())];
/// let paper = Paper {
///     title: "A page".to_owned(),
///     blocks: vec![Block::Paragraph { line }],
///     ..Paper::default()
/// };
/// assert_eq!(plain(&paper), "A page\n======\n\nʃiːp (Si:p)\n");
/// ```
#[must_use]
pub fn plain(paper: &Paper) -> String {
    let mut page = underlined(&in_one_line(&visible(&paper.title)), '=');
    if !paper.under.is_empty() {
        page.push_str(&wrapped(&written(&paper.under), "", ""));
    }
    for block in &paper.blocks {
        page.push('\n');
        match block {
            Block::Heading { level, line } => {
                let mark = if *level <= 2 { '-' } else { '.' };
                page.push_str(&underlined(&written(line), mark));
            }
            Block::Paragraph { line } => page.push_str(&wrapped(&written(line), "", "")),
            Block::List { lines, .. } => {
                for line in lines {
                    page.push_str(&wrapped(&written(line), "- ", "  "));
                }
            }
            Block::Table {
                caption,
                head,
                rows,
            } => {
                page.push_str(&wrapped(&in_one_line(caption), "", ""));
                page.push_str(&table(head, rows));
            }
            Block::Picture { caption, words, .. } => {
                let words = in_one_line(&visible(words));
                let shown = format!("Picture: {} {words}", written(caption));
                page.push_str(&wrapped(&shown, "  ", "  "));
            }
        }
    }
    if !paper.cautions.is_empty() {
        page.push('\n');
        for caution in &paper.cautions {
            page.push_str(&wrapped(caution, "", ""));
        }
    }
    page
}

fn underlined(text: &str, mark: char) -> String {
    let rule: String = std::iter::repeat_n(mark, text.width().min(WIDE)).collect();
    format!("{text}\n{rule}\n")
}

pub(super) fn written(line: &Line) -> String {
    line.iter()
        .map(|run| match run {
            Run::Text(text) | Run::Strong(text) | Run::Given(text) => {
                in_one_line(&visible(text))
            }
            Run::Sound(text) => in_one_line(&visible(&with_ascii(text))),
        })
        .collect()
}

/// A transcription with its X-SAMPA behind it, where that says anything new and is sure.
pub(super) fn with_ascii(text: &str) -> String {
    let ascii = x_sampa::from_ipa(text);
    if text.is_ascii() || !ascii.faults.is_empty() || ascii.text == text {
        text.to_owned()
    } else {
        format!("{text} ({})", ascii.text)
    }
}

/// Line ends as blanks.
pub(super) fn in_one_line(text: &str) -> String {
    text.split(['\n', '\r', '\t']).collect::<Vec<_>>().join(" ")
}

/// Control characters, and those that turn the direction of what follows, by their numbers.
pub(super) fn visible(text: &str) -> String {
    let hidden = |it: char| {
        it.is_control() && !matches!(it, '\n' | '\r' | '\t')
            || matches!(it, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
    };
    let mut shown = String::with_capacity(text.len());
    for character in text.chars() {
        if hidden(character) {
            let _ = write!(shown, "[U+{:04X}]", u32::from(character));
        } else {
            shown.push(character);
        }
    }
    shown
}

/// Words in lines of at most [`WIDE`] columns.
fn wrapped(text: &str, first: &str, further: &str) -> String {
    let mut page = String::new();
    let mut line = first.to_owned();
    let mut empty = true;
    for word in text.split(' ').filter(|it| !it.is_empty()) {
        if !empty && line.width() + 1 + word.width() > WIDE {
            page.push_str(line.trim_end());
            page.push('\n');
            further.clone_into(&mut line);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    page.push_str(line.trim_end());
    page.push('\n');
    page
}

/// A table in columns; where it is wider than the page, each row as its cells with their
/// heads before them.
fn table(head: &[String], rows: &[Vec<Line>]) -> String {
    let cells: Vec<Vec<String>> = rows
        .iter()
        .map(|row| row.iter().map(written).collect())
        .collect();
    let widths: Vec<usize> = head
        .iter()
        .enumerate()
        .map(|(at, head)| {
            let column = cells.iter().filter_map(|row| row.get(at));
            column.map(|it| it.width()).fold(head.width(), usize::max)
        })
        .collect();
    let wide = widths.iter().sum::<usize>() + 2 * widths.len();
    let fits = wide <= WIDE + 2 && widths.iter().all(|it| *it <= CELL.max(WIDE / 2));
    let mut page = String::new();
    if !fits {
        for row in &cells {
            let mut shown = row.iter().zip(head);
            let first = shown.next().map_or("", |(cell, _)| cell.as_str());
            let rest: Vec<String> = shown
                .filter(|(cell, _)| !cell.is_empty())
                .map(|(cell, head)| match head.as_str() {
                    "" => cell.clone(),
                    head => format!("{head}: {cell}"),
                })
                .collect();
            let named = head.first().is_some_and(String::is_empty);
            let colon = if named { ":" } else { ";" };
            let line = format!("{first}{colon} {}", rest.join("; "));
            page.push_str(&wrapped(line.trim_end_matches("; "), "- ", "  "));
        }
        return page;
    }
    let mut push = |row: &[String]| {
        let mut line = String::new();
        for (cell, width) in row.iter().zip(&widths) {
            line.push_str(cell);
            let blanks = (width + 2).saturating_sub(cell.width());
            line.extend(std::iter::repeat_n(' ', blanks));
        }
        page.push_str(line.trim_end());
        page.push('\n');
    };
    push(head);
    push(
        &widths
            .iter()
            .map(|width| "-".repeat(*width))
            .collect::<Vec<_>>(),
    );
    for row in &cells {
        push(row);
    }
    page
}
