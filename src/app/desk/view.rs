//! How the line is drawn while it is typed: pure text with styles, never wider than told.

use std::fmt::Write as _;

use anstyle::{AnsiColor, Effects, Style};

use super::live::{Live, Target, Waiting};
use crate::alignment::Kind;
use crate::app::describe::postures;
use crate::articulation;
use crate::diagnostic::Severity;
use crate::feature::{Class, FeatureBundle, Voicing};
use crate::notation::{ItemKind, key_map};
use crate::report::text::line::{clipped, visible};
use crate::report::text::{palette, posture_words, severity_style};
use crate::text::{Span, width};

/// The last row of the prompt, where the line begins.
pub(super) const fn prompt(waiting: Waiting) -> &'static str {
    match waiting {
        Waiting::Command => "apical> ",
        Waiting::Heard => " heard> ",
        Waiting::Answer | Waiting::Words => "answer> ",
    }
}

/// The rows above the line, without ends: what the item is, the target, the caret.
pub(super) fn above(live: &Live) -> Vec<String> {
    let mut rows: Vec<String> = live
        .header
        .iter()
        .map(|row| painted(live, palette::STRONG, &clipped(row, room(live))))
        .collect();
    if let Some(target) = &live.target {
        rows.extend(target_rows(live, target));
    }
    rows
}

/// How many rows [`above`] gives.
pub(super) fn rows_above(live: &Live) -> usize {
    live.header.len() + if live.target.is_some() { 2 } else { 0 }
}

fn room(live: &Live) -> usize {
    live.columns.saturating_sub(1).max(20)
}

/// The target's segments, and under them what became of each and the caret.
fn target_rows(live: &Live, target: &Target) -> [String; 2] {
    const LABEL: &str = "target  ";
    let mut cells: Vec<(String, usize)> = Vec::new();
    for segment in &target.segments {
        let shown = visible(segment);
        let columns = width(&shown).max(1);
        cells.push((shown, columns));
    }
    let space = room(live).saturating_sub(width(LABEL) + 2);
    // The window moves so that the caret is in it, with what comes next.
    let caret = target.caret.min(cells.len());
    let wide = |cells: &[(String, usize)]| -> usize {
        cells.iter().map(|(_, columns)| columns + 1).sum()
    };
    let mut from = 0;
    while from < caret
        && wide(
            cells
                .get(from..(caret + 3).min(cells.len()))
                .unwrap_or_default(),
        ) > space
    {
        from += 1;
    }
    let mut first = painted(live, palette::FAINT, LABEL);
    let mut second = " ".repeat(width(LABEL));
    if from > 0 {
        first.push('…');
        second.push(' ');
    }
    let mut used = 0;
    for (number, (shown, columns)) in cells.iter().enumerate().skip(from) {
        if used + columns + 1 > space {
            first.push('…');
            break;
        }
        used += columns + 1;
        let kind = target.kinds.get(number).copied().flatten();
        let style = match kind {
            None => Style::new(),
            Some(Kind::Match | Kind::Allophone) => palette::GOOD,
            Some(Kind::Distortion) => palette::WARNING,
            Some(_) => palette::ERROR,
        };
        first.push_str(&painted(live, style, shown));
        first.push(' ');
        let mark = if number == caret {
            "^"
        } else {
            kind.map_or("", mark_of)
        };
        second.push_str(mark);
        second.push_str(&" ".repeat((columns + 1).saturating_sub(width(mark))));
    }
    [first, second.trim_end().to_owned()]
}

/// The mark of what became of a segment.
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

/// The line itself: each sound drawn by what it is, faults underlined, and nothing in it
/// that the terminal would obey.
pub(super) fn line(live: &Live, line: &str) -> String {
    let mut out = String::with_capacity(line.len() * 2);
    let mut at = 0;
    let mut current = Style::new();
    for stretch in live.stretches() {
        if stretch.span().end > line.len() {
            break;
        }
        let read = &stretch.transcription;
        let mut faults = stretch.found.iter().peekable();
        // Diagnostics come in the order of their beginnings; one may reach far.
        let mut reach: Option<(usize, Severity)> = None;
        let mut bundles = stretch.bundles.iter();
        for item in read.items() {
            let span = item.span();
            while let Some(fault) = faults.next_if(|fault| fault.span.start < span.end) {
                if fault.span.end > span.start || fault.span.is_empty() {
                    let end = fault.span.end.max(fault.span.start + 1);
                    if reach.is_none_or(|(old, _)| old < end) {
                        reach = Some((end, fault.severity));
                    }
                }
            }
            let mut style = match item.kind() {
                ItemKind::Segment | ItemKind::Tone => {
                    bundles.next().map_or_else(Style::new, style_of)
                }
                ItemKind::Pause => {
                    bundles.next();
                    palette::FAINT
                }
                ItemKind::Unreadable => palette::ERROR,
                _ => palette::FAINT,
            };
            if let Some((_, severity)) = reach.filter(|(end, _)| *end > span.start) {
                style = severity_style(severity).underline();
            }
            push(
                live,
                &mut out,
                line,
                at,
                stretch.start + span.start,
                &mut current,
                None,
            );
            let span = stretch.shifted(span);
            push(
                live,
                &mut out,
                line,
                span.start,
                span.end,
                &mut current,
                Some(style),
            );
            at = span.end;
        }
    }
    push(live, &mut out, line, at, line.len(), &mut current, None);
    if current != Style::new() {
        out.push_str("\u{1B}[0m");
    }
    out
}

/// Appends a stretch of the line in a style, the change of style only where there is one.
fn push(
    live: &Live,
    out: &mut String,
    line: &str,
    from: usize,
    to: usize,
    current: &mut Style,
    style: Option<Style>,
) {
    let text = Span::new(from, to.max(from)).of(line);
    if text.is_empty() {
        return;
    }
    let style = allowed(live, style.unwrap_or_default());
    if style != *current {
        out.push_str("\u{1B}[0m");
        out.push_str(&style.render().to_string());
        *current = style;
    }
    out.extend(text.chars().filter(|character| is_drawn(*character)));
}

/// Whether a character is drawn in the line: what has no width and could steer the
/// terminal, or hide the order of the text, is not.
fn is_drawn(character: char) -> bool {
    match character {
        '\n' | '\t' => true,
        '\u{200B}'..='\u{200F}'
        | '\u{202A}'..='\u{202E}'
        | '\u{2060}'..='\u{2069}'
        | '\u{FEFF}' => false,
        _ => !character.is_control(),
    }
}

/// The style of a sound: by what it is.
fn style_of(bundle: &FeatureBundle) -> Style {
    match (bundle.class, bundle.voicing) {
        (Class::Vowel, _) => AnsiColor::Green.on_default(),
        (Class::Consonant, Voicing::Voiced) => AnsiColor::Cyan.on_default(),
        (Class::Consonant, Voicing::Voiceless) => Style::new(),
        _ => AnsiColor::Magenta.on_default(),
    }
}

/// A style as far as it may be used: without colours, underlining stays.
fn allowed(live: &Live, style: Style) -> Style {
    if live.in_colour {
        style
    } else {
        let underlined = style.get_effects().contains(Effects::UNDERLINE);
        if underlined {
            Style::new().underline()
        } else {
            Style::new()
        }
    }
}

fn painted(live: &Live, style: Style, text: &str) -> String {
    let style = allowed(live, style);
    if text.is_empty() || style == Style::new() {
        text.to_owned()
    } else {
        format!("{style}{text}{style:#}")
    }
}

/// The rows below the line: what is wrong, the sound at the cursor, what the keys offer.
pub(super) fn below(live: &Live) -> Option<String> {
    let room = room(live);
    let mut rows: Vec<String> = Vec::new();
    if live.cleaned {
        let words = "control characters taken out; Enter takes the line, Ctrl-_ undoes";
        rows.push(clipped(words, room));
    }
    if let Some((severity, _, message, help, mends)) = live.fault() {
        let refused = if live.refused && severity == Severity::Error {
            "not taken: "
        } else {
            ""
        };
        let word = severity.name();
        let fault = clipped(&format!("{refused}{word}: {message}"), room);
        rows.push(painted(live, severity_style(severity), &fault));
        if let Some(help) = help {
            let key = if mends { "  Ctrl-F does it" } else { "" };
            let help = clipped(&help, room.saturating_sub(2 + width(key)));
            rows.push(format!("  {help}{}", painted(live, palette::FAINT, key)));
        }
    } else if live.refused {
        let words =
            "nothing typed yet: what was heard, or = same, - no response, < back, > skip";
        rows.push(clipped(words, room));
    }
    let pending = live.is_typing()
        && live
            .before()
            .strip_suffix(key_map::PREFIX)
            .is_some_and(|head| !head.is_empty());
    if live.listing {
        rows.extend(list(live, room));
    } else if pending {
        rows.extend(marks(room));
    } else if live.turning {
        rows.extend(ring(live, room));
    }
    if !live.listing && !pending && !live.nameless {
        rows.extend(sound(live, room));
    }
    if rows.is_empty() {
        return None;
    }
    let mut text = String::new();
    for row in rows {
        text.push('\n');
        text.push_str(&row);
    }
    Some(text)
}

/// The sound at the cursor: its name and its posture.
fn sound(live: &Live, room: usize) -> Option<String> {
    let (text, bundle) = live.segment()?;
    let mut words = format!("{}  {}", visible(&text), articulation::name(&bundle));
    if let (Some(from), to) = postures(&bundle, live.accent.as_ref()) {
        words.push_str(": ");
        words.push_str(&posture_words(&from));
        if let Some(to) = to {
            words.push_str(", moving on to ");
            words.push_str(&posture_words(&to));
        }
    }
    Some(painted(live, palette::FAINT, &clipped(&words, room)))
}

/// The ring of the symbol at the cursor.
fn ring(live: &Live, room: usize) -> Option<String> {
    let ring = key_map::ring(live.before())?;
    let mut words = "Tab turns:".to_owned();
    for (number, letter) in ring.letters.iter().enumerate() {
        words.push(' ');
        if number == ring.at {
            let _ = write!(words, "[{letter}]");
        } else {
            words.push_str(letter);
        }
    }
    Some(clipped(&words, room))
}

/// The relatives of the symbol at the cursor, numbered.
fn list(live: &Live, room: usize) -> Vec<String> {
    let Some(ring) = key_map::ring(live.before()) else {
        return vec!["no letter before the cursor to list relatives of".to_owned()];
    };
    ring.letters
        .iter()
        .zip(1..=9)
        .map(|(letter, number)| {
            let name = if live.nameless {
                ""
            } else {
                symbol_name(letter)
            };
            let here = if number == ring.at + 1 { "*" } else { " " };
            clipped(&format!("{here}{number} {letter}  {name}"), room)
        })
        .collect()
}

/// What a symbol is called.
pub(super) fn symbol_name(symbol: &str) -> &'static str {
    let letters = crate::inventory::symbols().iter();
    let signs = crate::inventory::suprasegmentals().iter();
    letters
        .filter(|known| known.text == symbol)
        .map(|known| known.name)
        .chain(
            signs
                .filter(|known| known.text == symbol)
                .map(|known| known.name),
        )
        .chain(mark_name(symbol))
        .next()
        .unwrap_or_default()
}

/// What a mark is called.
pub(super) fn mark_name(mark: &str) -> Option<&'static str> {
    let mut marks = crate::inventory::marks().iter();
    marks
        .find(|known| known.text == mark)
        .map(|known| known.name)
}

/// The keys that make a mark now.
fn marks(room: usize) -> Vec<String> {
    let mut rows = vec![String::new()];
    for (key, mark) in key_map::mark_keys() {
        let Some(name) = mark_name(mark) else {
            continue;
        };
        let cell = format!("{key} {name}  ");
        if rows
            .last()
            .is_some_and(|row| width(row) + width(&cell) > room)
        {
            rows.push(String::new());
        }
        if let Some(row) = rows.last_mut() {
            row.push_str(&cell);
        }
    }
    rows.truncate(4);
    rows.push("_ ties the next letter to this one".to_owned());
    rows.into_iter().map(|row| clipped(&row, room)).collect()
}
