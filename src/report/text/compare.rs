//! A production set under its target: two rows, a row of marks, and what each mark means.

use anstyle::Style;

use super::line::visible;
use super::{contact_words, padded, palette, push_hanging, push_line, styled};
use crate::feature::Posture;
use crate::text::width;

/// What stands in a row where the other row has a sound.
const NOTHING: &str = "∅";

/// Columns between two columns of the rows.
const GAP: usize = 2;

/// What happened in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The same sound.
    Match,
    /// A variant the accent allows there.
    Allophone,
    /// The same phoneme, off in detail.
    Distortion,
    /// Another sound.
    Substitution,
    /// Nothing where a sound was wanted.
    Omission,
    /// A sound where none was wanted.
    Addition,
    /// A sound that changed places.
    Transposition,
}

impl Kind {
    const fn mark(self) -> &'static str {
        match self {
            Self::Match => "",
            Self::Allophone => "≈",
            Self::Distortion => "~",
            Self::Substitution => "≠",
            Self::Omission => "−",
            Self::Addition => "+",
            Self::Transposition => "⇄",
        }
    }

    const fn style(self) -> Style {
        match self {
            Self::Match | Self::Allophone => palette::FAINT,
            Self::Distortion => palette::WARNING,
            _ => palette::ERROR,
        }
    }

    const fn is_error(self) -> bool {
        !matches!(self, Self::Match | Self::Allophone)
    }
}

/// One side of a column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Side {
    /// The segment, or the segments, as written.
    pub text: String,
    /// The phonetician's name.
    pub name: String,
    /// What the mouth does; `None` for a tone, or where several segments stand.
    pub posture: Option<Posture>,
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
    /// Feature, wanted value, said value; posture features left out.
    pub differences: Vec<(String, String, String)>,
}

/// Draws a comparison on a screen of `columns`.
///
/// `prosody` holds one sentence for each difference of stress or boundaries.
#[must_use]
pub fn comparison(
    table: &[Column],
    prosody: &[String],
    indent: usize,
    columns: usize,
) -> String {
    let mut page = String::new();
    rows(&mut page, table, indent, columns);
    let errors: Vec<&Column> = table
        .iter()
        .filter(|column| column.kind.is_error())
        .collect();
    for (number, column) in errors.iter().enumerate() {
        paragraph(&mut page, number + 1, column, indent, columns);
    }
    if table.iter().any(|column| column.kind == Kind::Allophone) {
        let text = "a variant that the accent allows there";
        push_hanging(&mut page, indent, "≈", palette::FAINT, 5, text, columns);
    }
    for sentence in prosody {
        push_hanging(
            &mut page,
            indent,
            "stress",
            palette::WARNING,
            8,
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

/// The two rows and their marks, in as many blocks as the screen asks for.
fn rows(page: &mut String, table: &[Column], indent: usize, columns: usize) {
    const LABELS: usize = 12;
    let room = columns.saturating_sub(indent + LABELS).max(12);
    let mut cells = Vec::new();
    let mut errors = 0;
    for column in table {
        let target = side_text(column.target.as_ref());
        let production = side_text(column.production.as_ref());
        let mark = if column.kind.is_error() {
            errors += 1;
            format!("{}{errors}", column.kind.mark())
        } else {
            column.kind.mark().to_owned()
        };
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
            let blank = |text: &str| " ".repeat((wide + GAP).saturating_sub(width(text)));
            let style = if kind.is_error() {
                kind.style()
            } else {
                Style::new()
            };
            first.push_str(&format!("{target}{}", blank(target)));
            second.push_str(&format!(
                "{}{}",
                styled(style, production),
                blank(production)
            ));
            third.push_str(&format!("{}{}", styled(kind.style(), mark), blank(mark)));
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

fn side_text(side: Option<&Side>) -> String {
    side.map_or_else(|| NOTHING.to_owned(), |side| visible(&side.text))
}

/// What one mark means: the kind, the features, the mouth.
fn paragraph(
    page: &mut String,
    number: usize,
    column: &Column,
    indent: usize,
    columns: usize,
) {
    const MARKS: usize = 5;
    const LABELS: usize = 11;
    let mark = format!("{}{number}", column.kind.mark());
    let name = |side: &Option<Side>| {
        side.as_ref()
            .map_or("", |side| side.name.as_str())
            .to_owned()
    };
    let text = |side: &Option<Side>| side_text(side.as_ref());
    let headline = match (column.kind, &column.target, &column.production) {
        (Kind::Transposition, Some(_), None) => {
            format!(
                "{} has moved away from here: {}",
                text(&column.target),
                name(&column.target)
            )
        }
        (Kind::Transposition, None, Some(_)) => {
            format!(
                "{} has moved to here: {}",
                text(&column.production),
                name(&column.production)
            )
        }
        (_, Some(_), None) => {
            format!(
                "{} left out: {}",
                text(&column.target),
                name(&column.target)
            )
        }
        (_, None, Some(_)) => {
            format!(
                "{} added: {}",
                text(&column.production),
                name(&column.production)
            )
        }
        (kind, _, _) => {
            let how = if kind == Kind::Distortion {
                "off its target"
            } else {
                "in its place"
            };
            format!(
                "{} wanted ({}), {} said {how} ({})",
                text(&column.target),
                name(&column.target),
                text(&column.production),
                name(&column.production)
            )
        }
    };
    push_hanging(
        page,
        indent,
        &mark,
        column.kind.style(),
        MARKS,
        &headline,
        columns,
    );
    let (Some(target), Some(production)) = (&column.target, &column.production) else {
        return;
    };
    for (feature, wanted, said) in &column.differences {
        let change = format!("{wanted} → {said}");
        push_hanging(
            page,
            indent + MARKS,
            feature,
            palette::DETAIL,
            LABELS,
            &change,
            columns,
        );
    }
    if let (Some(wanted), Some(said)) = (&target.posture, &production.posture) {
        for (part, change) in mouth(wanted, said) {
            push_hanging(
                page,
                indent + MARKS,
                part,
                palette::DETAIL,
                LABELS,
                &change,
                columns,
            );
        }
    }
}

/// What the mouth did instead, part by part.
fn mouth(wanted: &Posture, said: &Posture) -> Vec<(&'static str, String)> {
    let mut changes = Vec::new();
    if wanted.jaw != said.jaw {
        changes.push(("jaw", format!("{} → {}", wanted.jaw, said.jaw)));
    }
    if wanted.lips != said.lips {
        changes.push(("lips", format!("{} → {}", wanted.lips, said.lips)));
    }
    let (before, after) = (contact_words(wanted), contact_words(said));
    if before != after {
        changes.push(("tongue", format!("{before} → {after}")));
    }
    changes
}
