//! A production set under its target: two rows, a row of marks, and what each mark means.

use std::cmp::Ordering;

use anstyle::Style;

use super::line::visible;
use super::{
    contact_words, counted, padded, palette, posture_words, push_hanging, push_line,
    styled, wrapped,
};
use crate::alignment::Kind;
use crate::feature::{Posture, TonguePart};
use crate::text::width;

/// What stands in a row where the other row has a sound.
const NOTHING: &str = "∅";

/// Blanks between two columns.
const GAP: usize = 2;

/// How far the mark of an error takes up the left of the screen.
const MARKS: usize = 5;

/// The widest "wanted → said" before what follows moves.
const WIDEST_HEAD: usize = 14;

/// The mark that stands for a kind under the rows.
pub(super) const fn mark_of(kind: Kind) -> &'static str {
    match kind {
        Kind::Match => "",
        Kind::Allophone => "≈",
        Kind::Distortion => "~",
        Kind::Substitution => "≠",
        Kind::Omission => "−",
        Kind::Addition => "+",
        Kind::Transposition => "⇄",
    }
}

pub(super) const fn style_of(kind: Kind) -> Style {
    match kind {
        Kind::Match | Kind::Allophone => palette::FAINT,
        Kind::Distortion => palette::WARNING,
        _ => palette::ERROR,
    }
}

pub(super) const fn is_error(kind: Kind) -> bool {
    !matches!(kind, Kind::Match | Kind::Allophone)
}

/// One side of a column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Side {
    /// The segment, or the segments, as written.
    pub text: String,
    /// How many segments stand there.
    pub segments: usize,
    /// The phonetician's name for the sound they are, or make together.
    pub name: String,
    /// What the mouth does; `None` for a tone or a pause.
    pub posture: Option<Posture>,
    /// Where the mouth of a diphthong moves to.
    pub to: Option<Posture>,
}

/// One column of the comparison.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// What was intended; `None` for an addition.
    pub target: Option<Side>,
    /// What was said; `None` for an omission.
    pub production: Option<Side>,
    /// What happened.
    pub kind: Kind,
    /// What differs, a feature each, in plain words: the mouth left out.
    pub differences: Vec<String>,
    /// The same in a few words each.
    pub in_short: Vec<String>,
    /// Where in word and syllable, in words; empty where there is nothing to say.
    pub place: String,
    /// What the accent says of it, a sentence each.
    pub remarks: Vec<String>,
}

impl Column {
    /// Whether it is the same error, wherever in the word.
    fn is_like(&self, other: &Self) -> bool {
        self.kind == other.kind
            && self.target == other.target
            && self.production == other.production
            && self.differences == other.differences
            && self.remarks == other.remarks
    }
}

/// The line over a pair: its number in the input, its name, the word.
#[must_use]
pub fn title(number: u64, id: &str, word: &str) -> String {
    let mut title = styled(palette::FAINT, &number.to_string());
    for part in [id, word].into_iter().filter(|part| !part.is_empty()) {
        title.push_str("  ");
        title.push_str(&styled(palette::STRONG, &visible(part)));
    }
    title.push('\n');
    title
}

/// The line over the faults of one side.
#[must_use]
pub fn side_heading(side: &str) -> String {
    format!(
        "  {}\n",
        styled(palette::STRONG, &format!("in the {side}:"))
    )
}

/// Draws a comparison on a screen of `columns`.
///
/// `prosody` holds a mark and a sentence for each difference of stress or boundaries.
#[must_use]
pub fn comparison(
    table: &[Column],
    prosody: &[(&'static str, String)],
    indent: usize,
    columns: usize,
) -> String {
    let mut page = String::new();
    let (errors, numbers) = numbered(table);
    rows(&mut page, table, &numbers, indent, columns);
    let heads: Vec<String> = errors.iter().map(|column| head(column)).collect();
    let wide = heads
        .iter()
        .map(|head| width(head))
        .max()
        .unwrap_or(0)
        .min(WIDEST_HEAD);
    for (number, (column, head)) in errors.iter().zip(&heads).enumerate() {
        let mark = format!("{}{}", mark_of(column.kind), number + 1);
        let indent_of_text = indent + MARKS + wide + GAP;
        let room = columns.saturating_sub(indent_of_text).max(20);
        let mut lead = format!(
            "{}{}{}{head}{}",
            " ".repeat(indent),
            styled(style_of(column.kind), &mark),
            " ".repeat(MARKS.saturating_sub(width(&mark))),
            " ".repeat((wide + GAP).saturating_sub(width(head)).max(1))
        );
        let places = places(table, column);
        for text in explanations(column).into_iter().chain(places) {
            for line in wrapped(&text, room) {
                push_line(&mut page, &format!("{lead}{line}"));
                lead = " ".repeat(indent_of_text);
            }
        }
    }
    for text in allowed(table) {
        push_hanging(
            &mut page,
            indent,
            "≈",
            palette::FAINT,
            MARKS,
            &text,
            columns,
        );
    }
    for (mark, sentence) in prosody {
        push_hanging(
            &mut page,
            indent,
            mark,
            palette::WARNING,
            MARKS,
            sentence,
            columns,
        );
    }
    if errors.is_empty() && prosody.is_empty() {
        let text = if table.is_empty() {
            "no sounds to compare"
        } else if table.iter().all(|column| column.kind == Kind::Match) {
            "no difference"
        } else {
            "nothing to correct"
        };
        push_line(
            &mut page,
            &format!("{}{}", " ".repeat(indent), styled(palette::GOOD, text)),
        );
    }
    page
}

/// Where an error stands, each place once.
fn places(table: &[Column], error: &Column) -> Option<String> {
    let mut places: Vec<&str> = Vec::new();
    for column in table.iter().filter(|column| column.is_like(error)) {
        if !column.place.is_empty() && !places.contains(&column.place.as_str()) {
            places.push(&column.place);
        }
    }
    (!places.is_empty()).then(|| format!("where: {}", places.join("; ")))
}

/// What the accent allows that differs from the target, each once, in order.
fn allowed(table: &[Column]) -> Vec<String> {
    let mut said = Vec::new();
    for column in table.iter().filter(|column| column.kind == Kind::Allophone) {
        let head = head(column);
        let text = format!("{head}  {}", column.remarks.join("; "));
        if !said.contains(&text) {
            said.push(text);
        }
    }
    said
}

/// The errors without repetitions, and for each column the number of its error, from 1: an
/// error that comes again has the number it had.
pub(super) fn numbered(table: &[Column]) -> (Vec<&Column>, Vec<Option<usize>>) {
    let mut errors: Vec<&Column> = Vec::new();
    let numbers = table
        .iter()
        .map(|column| {
            is_error(column.kind).then(|| {
                let known = errors.iter().position(|error| error.is_like(column));
                known.unwrap_or_else(|| {
                    errors.push(column);
                    errors.len() - 1
                }) + 1
            })
        })
        .collect();
    (errors, numbers)
}

/// The two rows and their marks, in as many blocks as the screen asks for.
fn rows(
    page: &mut String,
    table: &[Column],
    numbers: &[Option<usize>],
    indent: usize,
    columns: usize,
) {
    const LABELS: usize = 12;
    let room = columns.saturating_sub(indent + LABELS).max(12);
    let mut cells = Vec::new();
    for (column, number) in table.iter().zip(numbers) {
        let target = side_text(column.target.as_ref());
        let production = side_text(column.production.as_ref());
        let number = number.map(|number| number.to_string()).unwrap_or_default();
        let mark = format!("{}{number}", mark_of(column.kind));
        let wide = width(&target).max(width(&production)).max(width(&mark));
        cells.push((target, production, mark, column.kind, wide));
    }
    let mut at = 0;
    while at < cells.len() {
        let mut used = 0;
        let mut count = 0;
        for (.., wide) in cells.get(at..).unwrap_or_default() {
            if count > 0 && used + wide > room {
                break;
            }
            used += wide + GAP;
            count += 1;
        }
        let block = cells.get(at..at + count).unwrap_or_default();
        let margin = " ".repeat(indent);
        let label = |text: &str| styled(palette::FAINT, &padded(text, LABELS));
        let mut first = format!("{margin}{}", label("target"));
        let mut second = format!("{margin}{}", label("production"));
        let mut third = " ".repeat(indent + LABELS);
        for (target, production, mark, kind, wide) in block {
            let style = if is_error(*kind) {
                style_of(*kind)
            } else {
                Style::new()
            };
            for (row, text, style) in [
                (&mut first, target, Style::new()),
                (&mut second, production, style),
                (&mut third, mark, style_of(*kind)),
            ] {
                row.push_str(&styled(style, text));
                row.push_str(&" ".repeat((wide + GAP).saturating_sub(width(text))));
            }
        }
        push_line(page, &first);
        push_line(page, &second);
        if block.iter().any(|cell| !cell.2.is_empty()) {
            push_line(page, &third);
        }
        page.push('\n');
        at += count;
    }
}

pub(super) fn side_text(side: Option<&Side>) -> String {
    side.map_or_else(|| NOTHING.to_owned(), |side| visible(&side.text))
}

/// What was wanted and what was said, in a word.
fn head(column: &Column) -> String {
    format!(
        "{} → {}",
        side_text(column.target.as_ref()),
        side_text(column.production.as_ref())
    )
}

/// What a mark means: the features on one line, the mouth on another.
fn explanations(column: &Column) -> Vec<String> {
    let mut lines = Vec::new();
    match (column.kind, &column.target, &column.production) {
        (Kind::Transposition, Some(wanted), None) => {
            lines.push(format!("moved away from here: {}", wanted.name));
        }
        (Kind::Transposition, None, Some(said)) => {
            lines.push(format!("moved to here: {}", said.name));
        }
        (_, Some(wanted), None) => lines.push(format!("left out: {}", wanted.name)),
        (_, None, Some(said)) => lines.push(format!("added: {}", said.name)),
        (_, Some(wanted), Some(said)) => {
            match said.segments.cmp(&wanted.segments) {
                Ordering::Greater => lines.push("said as two sounds".to_owned()),
                Ordering::Less => lines.push("said as one sound".to_owned()),
                Ordering::Equal => {}
            }
            lines.extend(column.differences.iter().cloned());
            if lines.is_empty() && column.remarks.is_empty() {
                lines.push(format!("{}, not {}", said.name, wanted.name));
            }
        }
        (_, None, None) => {}
    }
    lines.extend(column.remarks.iter().cloned());
    if let (Some(wanted), Some(said)) = (&column.target, &column.production)
        && let (Some(from), Some(instead)) = (wanted.posture, said.posture)
    {
        let mut changes = mouth(from, instead);
        changes.extend(movement(wanted.to, said.to));
        if !changes.is_empty() {
            lines.push(format!("mouth: {}", changes.join("; ")));
        }
    }
    lines
}

/// What the mouth did instead, part by part.
fn mouth(wanted: Posture, said: Posture) -> Vec<String> {
    let mut changes = Vec::new();
    if wanted.jaw != said.jaw {
        changes.push(format!("jaw {}, not {}", said.jaw, wanted.jaw));
    }
    if wanted.lips != said.lips {
        changes.push(format!("lips {}, not {}", said.lips, wanted.lips));
    }
    changes.extend(tongue(wanted, said));
    changes
}

/// How the movement of a diphthong differs.
fn movement(wanted: Option<Posture>, said: Option<Posture>) -> Option<String> {
    match (wanted, said) {
        (Some(wanted), None) => {
            Some(format!("not moving on to {}", posture_words(&wanted)))
        }
        (None, Some(said)) => Some(format!("moving on to {}", posture_words(&said))),
        (Some(wanted), Some(said)) if wanted != said => {
            Some(format!("moving on to {}", mouth(wanted, said).join("; ")))
        }
        _ => None,
    }
}

/// What the tongue, or whatever touches, did instead, said as shortly as it can be.
fn tongue(wanted: Posture, said: Posture) -> Option<String> {
    let (before, after) = (contact_words(&wanted), contact_words(&said));
    if before == after {
        return None;
    }
    let working = if said.tongue.is_empty() {
        ""
    } else {
        "tongue "
    };
    let full = format!("{working}{after}, not {before}");
    if said.tongue.is_empty() || wanted.tongue.is_empty() {
        return Some(full);
    }
    let same_part = said.tongue == wanted.tongue;
    let same_touch = said.touches == wanted.touches;
    Some(match (said.contact, wanted.contact) {
        (Some(place), Some(other)) if same_part && place == other && said.touches => {
            format!("tongue touching the {place}, not only near it")
        }
        (Some(place), Some(other)) if same_part && place == other => {
            format!("tongue near the {place}, not touching it")
        }
        (Some(_), Some(other)) if same_part && same_touch => {
            format!("tongue {after}, not the {other}")
        }
        (place, other) if place == other && same_touch => {
            let parts = |posture: Posture| {
                let names: Vec<&str> =
                    posture.tongue.iter().map(TonguePart::name).collect();
                names.join(" and ")
            };
            format!("tongue {}, not {}", parts(said), parts(wanted))
        }
        _ => full,
    })
}

/// What came of a run of many pairs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    pairs: usize,
    alike: usize,
    kinds: [usize; 7],
}

impl Tally {
    /// Counts one more pair.
    pub fn count(&mut self, table: &[Column]) {
        self.pairs += 1;
        self.alike += usize::from(table.iter().all(|column| !is_error(column.kind)));
        for column in table {
            if let Some(count) = self.kinds.get_mut(column.kind as usize) {
                *count += 1;
            }
        }
    }
}

/// Draws the counts of a run.
#[must_use]
pub fn summary(tally: &Tally) -> String {
    if tally.pairs == 0 {
        return "no pairs\n".to_owned();
    }
    let of = |kind: Kind| tally.kinds.get(kind as usize).copied().unwrap_or(0);
    let mut parts = vec![counted(tally.alike, "without an error", "without an error")];
    for (kind, one, many) in [
        (Kind::Substitution, "sound replaced", "sounds replaced"),
        (Kind::Distortion, "off in detail", "off in detail"),
        (Kind::Omission, "left out", "left out"),
        (Kind::Addition, "added", "added"),
        (
            Kind::Transposition,
            "column of a change of places",
            "columns of changes of places",
        ),
    ] {
        if of(kind) > 0 {
            parts.push(counted(of(kind), one, many));
        }
    }
    format!(
        "{}: {}\n",
        counted(tally.pairs, "pair", "pairs"),
        parts.join(", ")
    )
}
