//! A learner's or a class's confusions on the screen.

use std::fmt::Write as _;

use anstyle::Style;

use super::line::visible;
use super::{
    counted, heading, padded, palette, push_hanging, push_line, styled, wrapped,
};
use crate::practice::{Confusions, Share};
use crate::text::width;

/// The widest table that is drawn, in sounds.
const MOST: usize = 24;
/// How far lists are moved in.
const INDENT: usize = 2;

/// Draws what is confused: contrasts in words, what is lost and added, features and places,
/// and a table of sounds.
#[must_use]
pub fn page(counted_: &Confusions, columns: usize) -> String {
    let mut page = String::new();
    let plain = Style::new();
    let mut head = counted(counted_.answers, "transcription", "transcriptions");
    if counted_.left_out > 0 {
        let left_out = counted_.left_out;
        let _ = write!(head, ", {left_out} more left out: blank or unreadable");
    }
    push_line(&mut page, &head);
    let contrasts = counted_.contrasts();
    let lost = counted_.lost_and_added();
    if contrasts.is_empty() && lost.is_empty() && counted_.stress.wrong == 0 {
        push_line(&mut page, "Nothing was confused.");
        return page;
    }
    if !contrasts.is_empty() {
        push_line(&mut page, &heading("Contrasts"));
    }
    for contrast in &contrasts {
        let (one, other) = (visible(&contrast.one), visible(&contrast.other));
        let mut parts = Vec::new();
        for (wanted, said, share) in [
            (&one, &other, contrast.one_as_other),
            (&other, &one, contrast.other_as_one),
        ] {
            if share.wrong > 0 {
                parts.push(format!("{wanted} written as {said} {}", of(share)));
            }
        }
        let features: Vec<&str> = contrast.features.iter().map(|it| it.name()).collect();
        if !features.is_empty() {
            parts.push(features.join(", "));
        }
        let label = format!("{one} {other}");
        let text = parts.join("; ");
        push_hanging(
            &mut page,
            INDENT,
            &label,
            palette::STRONG,
            8,
            &text,
            columns,
        );
    }
    if !lost.is_empty() {
        push_line(&mut page, &heading("Missing and added"));
    }
    for (sound, share, added) in &lost {
        let mut parts = Vec::new();
        if share.wrong > 0 {
            parts.push(format!("missing {}", of(*share)));
        }
        if *added > 0 {
            parts.push(format!("added {}", counted(*added, "time", "times")));
        }
        let (label, text) = (visible(sound), parts.join("; "));
        push_hanging(
            &mut page,
            INDENT,
            &label,
            palette::STRONG,
            8,
            &text,
            columns,
        );
    }
    let mut shares: Vec<(&str, Share)> = Vec::new();
    shares.extend(
        counted_
            .features
            .iter()
            .map(|(it, share)| (it.name(), *share)),
    );
    list(&mut page, "Features", &shares, columns);
    let mut shares: Vec<(&str, Share)> = Vec::new();
    shares.extend(
        counted_
            .positions
            .iter()
            .map(|(it, share)| (it.name(), *share)),
    );
    shares.extend(counted_.parts.iter().map(|(it, share)| (it.name(), *share)));
    shares.push(("main stress", counted_.stress));
    list(&mut page, "Places", &shares, columns);
    if counted_.slips.wrong > 0 {
        let slips = counted(counted_.slips.wrong, "slip", "slips");
        let all = counted(counted_.slips.of, "answer", "answers");
        let text = format!("{slips} of the hand in {all}, not counted above.");
        push_hanging(&mut page, 0, "", plain, 0, &text, columns);
    }
    table(&mut page, counted_, columns);
    page
}

fn of(share: Share) -> String {
    format!("{} of {}", share.wrong, share.of)
}

fn list(page: &mut String, title: &str, shares: &[(&str, Share)], columns: usize) {
    let wrong: Vec<&(&str, Share)> =
        shares.iter().filter(|(_, share)| share.wrong > 0).collect();
    if wrong.is_empty() {
        return;
    }
    push_line(page, &heading(title));
    let parts: Vec<String> = wrong
        .iter()
        .map(|(name, share)| format!("{name} wrong {}", of(*share)))
        .collect();
    for row in wrapped(&parts.join("; "), columns.saturating_sub(INDENT)) {
        push_line(page, &format!("  {row}"));
    }
}

/// The table: what was asked for down the side, what was written along the top. A table that
/// is too wide is cut into several.
fn table(page: &mut String, counts: &Confusions, columns: usize) {
    let mut sounds = counts.confused();
    sounds.truncate(MOST);
    if sounds.is_empty() {
        return;
    }
    let any = |key: Option<&str>, answer: Option<&str>| {
        let mut cells = counts.cells.keys();
        cells.any(|(one, other)| {
            key.is_none_or(|key| key == one) && answer.is_none_or(|it| it == other)
        })
    };
    sounds.push(String::new());
    let mut along = sounds.clone();
    along.retain(|sound| any(None, Some(sound)));
    let mut down = sounds;
    down.retain(|sound| any(Some(sound), None));
    let shown = |sound: &str| {
        if sound.is_empty() {
            "∅".to_owned()
        } else {
            visible(sound)
        }
    };
    let cell = |key: &str, answer: &str| match counts.count(key, answer) {
        0 => "·".to_owned(),
        count => count.to_string(),
    };
    push_line(page, &heading("Asked for (down) and written (along)"));
    let side = down.iter().map(|it| width(&shown(it))).max().unwrap_or(1) + INDENT;
    let wide = |answer: &String| {
        let cells = down.iter().map(|key| width(&cell(key, answer)));
        cells.max().unwrap_or(1).max(width(&shown(answer))) + 2
    };
    let mut rest = along.as_slice();
    while !rest.is_empty() {
        let mut used = side;
        let fit = rest.iter().take_while(|answer| {
            used += wide(answer);
            used <= columns
        });
        let (now, later) = rest.split_at(fit.count().clamp(1, rest.len()));
        rest = later;
        let mut row = " ".repeat(side);
        for answer in now {
            let text = shown(answer);
            row.push_str(&" ".repeat(wide(answer).saturating_sub(width(&text))));
            row.push_str(&text);
        }
        push_line(page, &row);
        for key in &down {
            let mut row = padded(&format!("  {}", shown(key)), side);
            for answer in now {
                let text = if key.is_empty() && answer.is_empty() {
                    String::new()
                } else {
                    cell(key, answer)
                };
                row.push_str(&" ".repeat(wide(answer).saturating_sub(width(&text))));
                let right = key == answer;
                let style = if right {
                    palette::FAINT
                } else {
                    palette::ERROR
                };
                if text == "·" || text.is_empty() {
                    row.push_str(&text);
                } else {
                    row.push_str(&styled(style, &text));
                }
            }
            push_line(page, &row);
        }
    }
}
