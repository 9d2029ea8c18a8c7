//! One line of a transcription as a person can see it: visible characters, windows on
//! long lines, carets under whole grapheme clusters.

use std::fmt::Write as _;

use unicode_properties::{GeneralCategory, UnicodeGeneralCategory};

use crate::text::{Span, cluster_after, cluster_before, whole_clusters, width};

/// Stands where text was left out.
pub const ELLIPSIS: &str = "…";

/// A cluster with more characters than this is shown by its first ones and a count.
const LONGEST_CLUSTER: usize = 12;

/// Characters that draw nothing, though their general category does not say so: the
/// grapheme joiner, fillers of Hangul, variation selectors, a vowel separator.
const BLANK: [(char, char); 8] = [
    ('\u{34F}', '\u{34F}'),
    ('\u{115F}', '\u{1160}'),
    ('\u{17B4}', '\u{17B5}'),
    ('\u{180B}', '\u{180F}'),
    ('\u{3164}', '\u{3164}'),
    ('\u{FE00}', '\u{FE0F}'),
    ('\u{FFA0}', '\u{FFA0}'),
    ('\u{E0100}', '\u{E01EF}'),
];

/// A text with everything that cannot be seen, or would move what is seen, drawn out.
///
/// Control characters become their pictures (`␀`), other invisible, directional,
/// private and unassigned characters their code point in angle brackets, and a mark
/// without a base gets a dotted circle to sit on.
///
/// # Examples
///
/// ```
/// use apical::report::text::line::visible;
///
/// assert_eq!(visible("t\u{361}ʃ\u{202E}\0"), "t\u{361}ʃ⟨U+202E⟩␀");
/// assert_eq!(visible("\u{325}"), "\u{25CC}\u{325}");
/// ```
#[must_use]
pub fn visible(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for (at, character) in text.char_indices() {
        if at == 0 && is_mark(character) && !is_blank(character) {
            shown.push('\u{25CC}');
        }
        push_visible(&mut shown, character);
    }
    shown
}

/// The same for text of several lines, whose ends stay.
#[must_use]
pub fn visible_lines(text: &str) -> String {
    text.split('\n').map(visible).collect::<Vec<_>>().join("\n")
}

fn is_mark(character: char) -> bool {
    matches!(
        character.general_category(),
        GeneralCategory::NonspacingMark
            | GeneralCategory::EnclosingMark
            | GeneralCategory::SpacingMark
    )
}

fn is_blank(character: char) -> bool {
    BLANK
        .iter()
        .any(|(first, last)| (*first..=*last).contains(&character))
}

fn push_visible(shown: &mut String, character: char) {
    let code = u32::from(character);
    let picture = match code {
        0..=0x1F => char::from_u32(0x2400 + code),
        0x7F => Some('\u{2421}'),
        _ => None,
    };
    if let Some(picture) = picture {
        shown.push(picture);
        return;
    }
    let hidden = is_blank(character)
        || matches!(
            character.general_category(),
            GeneralCategory::Control
                | GeneralCategory::Format
                | GeneralCategory::LineSeparator
                | GeneralCategory::ParagraphSeparator
                | GeneralCategory::PrivateUse
                | GeneralCategory::Surrogate
                | GeneralCategory::Unassigned
        )
        || (character != ' '
            && character.general_category() == GeneralCategory::SpaceSeparator);
    if hidden {
        let _ = write!(shown, "\u{27E8}U+{code:04X}\u{27E9}");
    } else {
        shown.push(character);
    }
}

/// A grapheme cluster as it is drawn.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Cell {
    /// Where it stands in the text.
    span: Span,
    /// What is drawn.
    shown: String,
    /// How many columns that takes; at least one.
    width: usize,
}

impl Cell {
    fn new(text: &str, span: Span) -> Self {
        let cluster = span.of(text);
        let longer = cluster.chars().nth(LONGEST_CLUSTER).is_some();
        let mut shown = if longer {
            let head: String = cluster.chars().take(LONGEST_CLUSTER).collect();
            let left_out = cluster.chars().count() - LONGEST_CLUSTER;
            format!("{}\u{27E8}{left_out} more marks\u{27E9}", visible(&head))
        } else {
            visible(cluster)
        };
        let mut columns = width(&shown);
        if columns == 0 {
            shown.insert(0, '\u{25CC}');
            columns = width(&shown).max(1);
        }
        Self {
            span,
            shown,
            width: columns,
        }
    }
}

/// A stretch of a line that fits the screen, and the marks that go under it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Window {
    /// The visible text, with an ellipsis where it was cut.
    pub line: String,
    /// For each span asked for, in order: its first column (from 0) and how many it takes.
    pub carets: Vec<(usize, usize)>,
}

/// The widest window on `text` that shows all the `spans` from the first on that fit
/// `room` columns.
///
/// The first span is always shown, cut after `room` columns if it is wider than that; a
/// span at the very end of the text gets a column of its own after it. Returns the window
/// and how many spans it holds.
/// Cost: linear in what is shown, not in the text.
///
/// # Examples
///
/// ```
/// use apical::report::text::line::window;
/// use apical::text::Span;
///
/// let (view, shown) = window("[bu\u{325}\u{303}n]", &[Span::new(3, 5)], 60);
/// assert_eq!(shown, 1);
/// // The ring belongs to `[u]`, so the caret stands under [u]: column 2, one wide.
/// assert_eq!(view.carets, [(2, 1)]);
///
/// let long = "ta".repeat(5_000) + ":";
/// let (view, _) = window(&long, &[Span::new(10_000, 10_001)], 30);
/// assert!(view.line.starts_with("…ta") && view.line.ends_with("ta:"));
/// ```
#[must_use]
pub fn window(text: &str, spans: &[Span], room: usize) -> (Window, usize) {
    let Some(first) = spans.first() else {
        return (whole(text, room), 0);
    };
    let room = room.max(8);
    let anchor = whole_clusters(text, *first);
    // Room for two ellipses and a caret after the end is set aside beforehand.
    let inner = room.saturating_sub(3);
    let mut cells = Vec::new();
    let (mut start, mut end) = (anchor.start, anchor.start);
    let used = take_right(text, &mut end, anchor.end, inner, &mut cells);
    let spare = inner.saturating_sub(used);
    // What follows explains a fault as much as what leads up to it, and is read next: two
    // thirds of the room that is left go to the right, where there is text for it.
    let mut tail_end = end;
    let wanted = take_right(text, &mut tail_end, text.len(), spare, &mut Vec::new());
    let lead_room = (spare / 3).max(spare.saturating_sub(wanted));
    let mut lead = Vec::new();
    let taken = take_left(text, &mut start, lead_room, &mut lead);
    let _ = take_right(
        text,
        &mut end,
        text.len(),
        spare.saturating_sub(taken),
        &mut cells,
    );
    lead.append(&mut cells);
    let mut line = String::new();
    let mut column = 0;
    if start > 0 {
        line.push_str(ELLIPSIS);
        column = 1;
    }
    let shift = column;
    for cell in &lead {
        line.push_str(&cell.shown);
        column += cell.width;
    }
    let mut carets = Vec::new();
    for (number, span) in spans.iter().enumerate() {
        let wide = whole_clusters(text, *span);
        let fits = wide.start >= start && wide.end <= end;
        if !fits && number > 0 {
            break;
        }
        carets.push(caret(&lead, wide, shift, column));
    }
    if end < text.len() {
        line.push_str(ELLIPSIS);
    }
    let shown = carets.len();
    (Window { line, carets }, shown)
}

/// Takes clusters from `at` up to `limit` while they fit `room` columns, at least one
/// where there is one and nothing was taken yet; returns the columns they take.
fn take_right(
    text: &str,
    at: &mut usize,
    limit: usize,
    room: usize,
    cells: &mut Vec<Cell>,
) -> usize {
    let mut used = 0;
    while *at < limit {
        let next = cluster_after(text, *at).unwrap_or(text.len());
        let cell = Cell::new(text, Span::new(*at, next));
        if used + cell.width > room && !cells.is_empty() {
            break;
        }
        used += cell.width;
        cells.push(cell);
        *at = next;
    }
    used
}

/// Takes clusters before `at` while they fit `room` columns, in the order of the text.
fn take_left(text: &str, at: &mut usize, room: usize, cells: &mut Vec<Cell>) -> usize {
    let mut used = 0;
    while let Some(previous) = cluster_before(text, *at) {
        let cell = Cell::new(text, Span::new(previous, *at));
        if used + cell.width > room {
            break;
        }
        used += cell.width;
        cells.push(cell);
        *at = previous;
    }
    cells.reverse();
    used
}

/// Where the caret run for a span stands among the cells.
fn caret(cells: &[Cell], span: Span, shift: usize, end_column: usize) -> (usize, usize) {
    if span.is_empty() {
        return (end_column, 1);
    }
    let mut column = shift;
    let mut from = None;
    let mut to = shift;
    for cell in cells {
        if cell.span.start < span.end && span.start < cell.span.end {
            from.get_or_insert(column);
            to = column + cell.width;
        }
        column += cell.width;
    }
    let from = from.unwrap_or(shift);
    (from, to.saturating_sub(from).max(1))
}

/// A line without marks, cut at the end where it does not fit.
fn whole(text: &str, room: usize) -> Window {
    let mut line = String::new();
    let (mut used, mut at) = (0, 0);
    while at < text.len() {
        let next = cluster_after(text, at).unwrap_or(text.len());
        let cell = Cell::new(text, Span::new(at, next));
        let more = usize::from(next < text.len());
        if used + cell.width + more > room {
            line.push_str(ELLIPSIS);
            break;
        }
        used += cell.width;
        line.push_str(&cell.shown);
        at = next;
    }
    Window {
        line,
        carets: Vec::new(),
    }
}

/// The visible text of a line, cut to `room` columns.
#[must_use]
pub fn clipped(text: &str, room: usize) -> String {
    whole(text, room.max(2)).line
}
