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

/// The widest a segment may get before the rest of its row moves.
const WIDEST_SEGMENT: usize = 8;
/// Blanks between columns.
const GAP: usize = 2;

/// Draws the segments of one transcription on a screen of `columns`, one row each. Where
/// the screen is too narrow for columns, the posture stands under the name in a sentence.
#[must_use]
pub fn table(rows: &[Row<'_>], indent: usize, columns: usize) -> String {
    let shown: Vec<String> = rows.iter().map(|row| visible(row.segment)).collect();
    let segments = widest(shown.iter().map(String::as_str)).min(WIDEST_SEGMENT);
    let names = widest(rows.iter().map(|row| row.name.as_str())).max(MOVING.len());
    let postures: Vec<[String; 3]> = rows
        .iter()
        .flat_map(|row| row.posture.into_iter().chain(row.to))
        .map(cells)
        .collect();
    let column = |at: usize, head: &str| {
        widest(
            postures
                .iter()
                .filter_map(|cell| cell.get(at))
                .map(String::as_str),
        )
        .max(width(head))
    };
    let widths = [column(0, "jaw"), column(1, "lips"), column(2, TONGUE)];
    let whole = indent + segments + names + widths.iter().sum::<usize>() + 4 * GAP;
    let mut page = String::new();
    let head = |number: usize| {
        let segment = shown.get(number).map_or("", String::as_str);
        let gap = " ".repeat((segments + GAP).saturating_sub(width(segment)).max(1));
        format!(
            "{}{}{gap}",
            " ".repeat(indent),
            styled(palette::STRONG, segment)
        )
    };
    let hang = " ".repeat(indent + segments + GAP);
    if whole <= columns && !postures.is_empty() {
        let row_of = |name: &str, [jaw, lips, tongue]: [&str; 3]| {
            let [jaw_columns, lips_columns, _] = widths;
            format!(
                "{}{}{}{tongue}",
                padded(name, names + GAP),
                padded(jaw, jaw_columns + GAP),
                padded(lips, lips_columns + GAP)
            )
        };
        let titles = row_of("", ["jaw", "lips", TONGUE]);
        push_line(
            &mut page,
            &format!("{hang}{}", styled(palette::FAINT, &titles)),
        );
        for (number, row) in rows.iter().enumerate() {
            let mut line = |head: &str, name: &str, posture: Option<Posture>| {
                let [jaw, lips, tongue] = posture.map(cells).unwrap_or_default();
                let row = row_of(name, [jaw.as_str(), lips.as_str(), tongue.as_str()]);
                push_line(&mut page, &format!("{head}{row}"));
            };
            line(&head(number), &row.name, row.posture);
            if row.to.is_some() {
                line(&hang, MOVING, row.to);
            }
        }
        return page;
    }
    let room = columns.saturating_sub(indent + segments + GAP).max(20);
    for (number, row) in rows.iter().enumerate() {
        for (part, line) in wrapped(&row.name, room).iter().enumerate() {
            let lead = if part == 0 {
                head(number)
            } else {
                hang.clone()
            };
            push_line(&mut page, &format!("{lead}{line}"));
        }
        let moving = row.to.map(|to| format!("{MOVING} {}", posture_words(&to)));
        for text in row
            .posture
            .as_ref()
            .map(posture_words)
            .into_iter()
            .chain(moving)
        {
            for line in wrapped(&text, room) {
                push_line(&mut page, &format!("{hang}{line}"));
            }
        }
    }
    page
}

/// What stands over the column of the tongue.
const TONGUE: &str = "tongue and contact";
/// What leads to the second posture of a diphthong.
const MOVING: &str = "moving to";

fn widest<'a>(texts: impl Iterator<Item = &'a str>) -> usize {
    texts.map(width).max().unwrap_or(0)
}

/// Jaw, lips, tongue.
fn cells(posture: Posture) -> [String; 3] {
    [
        posture.jaw.to_string(),
        posture.lips.to_string(),
        contact_words(&posture),
    ]
}
