//! What each segment of a transcription is: one row a segment.

use super::line::visible;
use super::{contact_words, padded, palette, posture_words, push_line, styled, wrapped};
use crate::feature::Posture;
use crate::text::width;

/// One segment to draw.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row<'a> {
    /// The segment as written.
    pub segment: &'a str,
    /// The phonetician's name for it.
    pub name: String,
    /// What a client can feel; `None` for a tone or a pause.
    pub posture: Option<Posture>,
    /// Where a diphthong moves to.
    pub to: Option<Posture>,
}

/// The widest a segment, then a name may get before the rest of the row moves down.
const WIDEST_SEGMENT: usize = 8;
const WIDEST_NAME: usize = 44;
/// The least room for a posture beside a name.
const LEAST_POSTURE: usize = 44;

/// Draws the segments of one transcription on a screen of `columns`, one row each; where
/// the screen is narrow the posture stands under the name.
#[must_use]
pub fn table(rows: &[Row<'_>], indent: usize, columns: usize) -> String {
    let mut page = String::new();
    let shown: Vec<String> = rows.iter().map(|row| visible(row.segment)).collect();
    let segments = widest(shown.iter().map(String::as_str), WIDEST_SEGMENT);
    let names = widest(rows.iter().map(|row| row.name.as_str()), WIDEST_NAME);
    let room = columns.saturating_sub(indent + segments + 2);
    let beside = room >= names + 2 + LEAST_POSTURE;
    let hang = " ".repeat(indent + segments + 2);
    for (row, segment) in rows.iter().zip(&shown) {
        let head = format!(
            "{}{}",
            " ".repeat(indent),
            styled(palette::STRONG, segment)
                + &padded("", segments.saturating_sub(width(segment)))
        );
        let posture = row
            .posture
            .as_ref()
            .map(|posture| words(posture, row.to.as_ref()));
        if beside {
            let name_lines = wrapped(&row.name, names);
            let posture_lines = posture
                .map(|text| wrapped(&text, room - names - 2))
                .unwrap_or_default();
            for number in 0..name_lines.len().max(posture_lines.len()) {
                let lead = if number == 0 {
                    format!("{head}  ")
                } else {
                    hang.clone()
                };
                let name = name_lines.get(number).map_or("", String::as_str);
                let said = posture_lines.get(number).map_or("", String::as_str);
                push_line(&mut page, &format!("{lead}{}  {said}", padded(name, names)));
            }
        } else {
            for (number, line) in wrapped(&row.name, room.max(20)).iter().enumerate() {
                let lead = if number == 0 {
                    format!("{head}  ")
                } else {
                    hang.clone()
                };
                push_line(&mut page, &format!("{lead}{line}"));
            }
            for line in posture.iter().flat_map(|text| wrapped(text, room.max(20))) {
                push_line(
                    &mut page,
                    &format!("{hang}{}", styled(palette::FAINT, &line)),
                );
            }
        }
    }
    page
}

fn widest<'a>(texts: impl Iterator<Item = &'a str>, at_most: usize) -> usize {
    texts.map(width).max().unwrap_or(0).min(at_most)
}

/// A posture and, for a diphthong, only what changes on the way to its end.
fn words(posture: &Posture, to: Option<&Posture>) -> String {
    let start = posture_words(posture);
    let Some(to) = to else { return start };
    let mut moves = Vec::new();
    if to.jaw != posture.jaw {
        moves.push(format!("jaw {}", to.jaw));
    }
    if to.lips != posture.lips {
        moves.push(format!("lips {}", to.lips));
    }
    if (to.tongue, to.contact, to.touches)
        != (posture.tongue, posture.contact, posture.touches)
    {
        moves.push(contact_words(to));
    }
    if moves.is_empty() {
        start
    } else {
        format!("{start}; then {}", moves.join(", "))
    }
}
