//! What a list gives chances for, on the screen.

use std::fmt::Write as _;

use super::super::line::visible;
use super::super::{counted, heading, padded, palette, push_hanging, push_line, wrapped};
use super::{INDENT, push_notes, words, written};
use crate::material::{Candidate, Cell, Chances, Count, Cover, Gap, Sounds};
use crate::syllable::{Part, Position};
use crate::text::width;

/// What `apical sample` found.
#[derive(Debug)]
pub struct SamplePage<'a> {
    /// What the accent is called.
    pub accent: &'a str,
    /// The chances of the list.
    pub chances: &'a Chances,
    /// What ought to have chances.
    pub cells: Vec<Cell>,
    /// What has too few.
    pub gaps: &'a [Gap],
    /// How many are wanted, of sounds and of clusters.
    pub wanted: [usize; 2],
    /// The words to add.
    pub fill: &'a [&'a Candidate],
    /// How they were found.
    pub cover: &'a Cover,
    /// Rows that could not be counted: row, word, why.
    pub left_out: &'a [(u64, String, String)],
    /// Whether clusters are shown with their chances.
    pub whole_lists: bool,
    /// The sheet the words were written to.
    pub sheet: Option<String>,
    /// How many syllables the words to add have, at least and at most.
    pub syllables: Option<(u32, u32)>,
}

/// Draws what a list gives chances for: how it stands, what to add, what is missing, and the
/// chances of each sound.
#[must_use]
pub fn sample_page(page: &SamplePage<'_>, sounds: &Sounds, columns: usize) -> String {
    let mut out = String::new();
    let [of_sounds, of_clusters] = page.wanted;
    let gaps = match page.gaps.len() {
        0 => "nothing is missing".to_owned(),
        gaps => counted(gaps, "gap", "gaps"),
    };
    let mut head = format!(
        "{} of {}: {gaps}, with {} wanted of each sound in its places",
        words(page.chances.words),
        page.accent,
        counted(of_sounds, "chance", "chances"),
    );
    if of_clusters > 0 {
        let _ = write!(head, " and {of_clusters} of each cluster");
    }
    if !page.left_out.is_empty() {
        let rows = counted(page.left_out.len(), "row", "rows");
        let _ = write!(head, "; {rows} left out, see below");
    }
    push_hanging(&mut out, 0, "", palette::STRONG, 0, &head, columns);
    push_fill(&mut out, page, sounds, columns);
    push_missing(&mut out, page.gaps, sounds, columns);
    push_counts(&mut out, page, sounds);
    push_clusters(&mut out, page, sounds, columns);
    if !page.left_out.is_empty() {
        out.push('\n');
        push_line(&mut out, &heading("Left out"));
        for (row, word, reason) in page.left_out {
            let label = format!("row {row}");
            let text = format!("{}: {}", visible(word), visible(reason));
            push_hanging(&mut out, INDENT, &label, palette::STRONG, 9, &text, columns);
        }
    }
    let written = written(page.sheet.as_deref(), None);
    let notes: Vec<String> = written
        .map(|it| format!("the words to add are {it}"))
        .into_iter()
        .collect();
    push_notes(&mut out, &notes, columns);
    out
}

fn push_fill(out: &mut String, page: &SamplePage<'_>, sounds: &Sounds, columns: usize) {
    if page.gaps.is_empty() {
        return;
    }
    out.push('\n');
    if page.fill.is_empty() {
        push_line(out, &heading("No word that may be added fills a gap"));
    } else {
        let all = if page.cover.open.is_empty() {
            "all gaps"
        } else {
            "what words can fill"
        };
        let head = format!("Add {} to fill {all}", words(page.fill.len()));
        push_line(out, &heading(&head));
        let names: Vec<&str> = page.fill.iter().map(|it| it.word()).collect();
        push_hanging(
            out,
            INDENT,
            "",
            palette::STRONG,
            0,
            &names.join(", "),
            columns,
        );
        let how = if page.cover.at_least == page.fill.len() {
            "no list is shorter".to_owned()
        } else {
            format!(
                "found by search, not by trying all lists: the shortest has at least {}",
                words(page.cover.at_least)
            )
        };
        let syllables = match page.syllables {
            Some((least, most)) if least == most => {
                format!("; of {least} syllables (--syllables)")
            }
            Some((least, most)) => {
                format!("; of {least} to {most} syllables (--syllables)")
            }
            None => String::new(),
        };
        let text = format!("those that fill most first; {how}{syllables}");
        push_hanging(out, INDENT, "", palette::FAINT, 0, &text, columns);
    }
    if !page.cover.open.is_empty() {
        let open: Vec<String> = page
            .cover
            .open
            .iter()
            .filter_map(|(at, missing)| {
                let gap = page.gaps.get(*at)?;
                Some(format!("{} ({missing})", cell_words(&gap.cell, sounds)))
            })
            .collect();
        let text = format!("too few words for {}", open.join(", "));
        push_hanging(out, INDENT, "", palette::WARNING, 0, &text, columns);
    }
}

/// A cell in words: "j at the start".
#[must_use]
pub fn cell_words(cell: &Cell, sounds: &Sounds) -> String {
    match cell {
        Cell::Sound(number, place) => {
            let text = sounds.text(*number);
            match place {
                None => text,
                Some(Position::Initial) => format!("{text} at the start"),
                Some(Position::Medial) => format!("{text} in the middle"),
                Some(Position::Final) => format!("{text} at the end"),
            }
        }
        Cell::Cluster(part, cluster) => {
            let text: String = cluster.iter().map(|it| sounds.text(*it)).collect();
            format!(
                "{text} as {}",
                if *part == Part::Onset {
                    "onset"
                } else {
                    "coda"
                }
            )
        }
    }
}

/// What is missing, by place: what has no chance, then what has too few.
fn push_missing(out: &mut String, gaps: &[Gap], sounds: &Sounds, columns: usize) {
    if gaps.is_empty() {
        return;
    }
    let places = [
        ("at the start", Some(Position::Initial)),
        ("in the middle", Some(Position::Medial)),
        ("at the end", Some(Position::Final)),
        ("vowels", None),
    ];
    for (title, has_some) in [("No chance at all", false), ("Too few chances", true)] {
        let these: Vec<&Gap> =
            gaps.iter().filter(|it| (it.has > 0) == has_some).collect();
        if these.is_empty() {
            continue;
        }
        let count = |gap: &&&Gap, text: String| match gap.has {
            0 => text,
            has => format!("{text} {has}"),
        };
        out.push('\n');
        push_line(out, &heading(title));
        for (label, place) in places {
            let texts: Vec<String> = these
                .iter()
                .filter_map(|gap| match &gap.cell {
                    Cell::Sound(number, at) if *at == place => {
                        Some(count(&gap, sounds.text(*number)))
                    }
                    _ => None,
                })
                .collect();
            push_list(out, label, &texts, columns);
        }
        for (label, part) in [("onsets", Part::Onset), ("codas", Part::Coda)] {
            let texts: Vec<String> = these
                .iter()
                .filter_map(|gap| match &gap.cell {
                    Cell::Cluster(at, cluster) if *at == part => {
                        let text = cluster.iter().map(|it| sounds.text(*it)).collect();
                        Some(count(&gap, text))
                    }
                    _ => None,
                })
                .collect();
            push_list(out, label, &texts, columns);
        }
    }
}

fn push_list(out: &mut String, label: &str, texts: &[String], columns: usize) {
    if texts.is_empty() {
        return;
    }
    let label_width = 15;
    let room = columns.saturating_sub(INDENT + label_width).max(20);
    let separator = if texts.iter().any(|it| it.contains(' ')) {
        ", "
    } else {
        " "
    };
    for (number, line) in wrapped(&texts.join(separator), room).iter().enumerate() {
        let label = if number == 0 { label } else { "" };
        push_line(
            out,
            &format!("{}{}{line}", " ".repeat(INDENT), padded(label, label_width)),
        );
    }
}

/// The table of chances, sound by sound.
fn push_counts(out: &mut String, page: &SamplePage<'_>, sounds: &Sounds) {
    let asked = |number: u16, place: Position| {
        page.cells.contains(&Cell::Sound(number, Some(place)))
    };
    let rows = |vowels: bool| -> Vec<(u16, Count)> {
        let inventory = sounds.inventory();
        let these = inventory
            .into_iter()
            .filter(|it| sounds.is_vowel(*it) == vowels);
        these
            .map(|it| {
                (
                    it,
                    page.chances.sounds.get(&it).copied().unwrap_or_default(),
                )
            })
            .collect()
    };
    let shown = |count: usize, asked: bool| match count {
        0 if !asked => "–".to_owned(),
        count => count.to_string(),
    };
    let tables = [
        (
            "Consonants",
            ["all", "initial", "medial", "final", "onset", "coda"],
            false,
        ),
        (
            "Vowels",
            ["all", "initial", "medial", "final", "stressed", "weak"],
            true,
        ),
    ];
    for (title, heads, vowels) in tables {
        out.push('\n');
        let mut head = padded(title, 12);
        for name in heads {
            let _ = write!(head, "{name:>9}");
        }
        push_line(out, &heading(&head));
        for (number, count) in rows(vowels) {
            let mut row =
                format!("{}{}", " ".repeat(INDENT), padded(&sounds.text(number), 10));
            let free = |place| vowels || asked(number, place);
            let [second, third] = if vowels {
                [count.stressed, count.unstressed]
            } else {
                [count.onset, count.coda]
            };
            let cells = [
                count.all.to_string(),
                shown(count.initial, free(Position::Initial)),
                shown(count.medial, free(Position::Medial)),
                shown(count.r#final, free(Position::Final)),
                second.to_string(),
                third.to_string(),
            ];
            for cell in cells {
                let _ = write!(
                    row,
                    "{}{cell}",
                    " ".repeat(9_usize.saturating_sub(width(&cell)))
                );
            }
            push_line(out, &row);
        }
    }
}

/// The clusters that the list has, and how often.
fn push_clusters(
    out: &mut String,
    page: &SamplePage<'_>,
    sounds: &Sounds,
    columns: usize,
) {
    if page.chances.clusters.is_empty() {
        return;
    }
    out.push('\n');
    push_line(out, &heading("Clusters"));
    for (label, part) in [("onsets", Part::Onset), ("codas", Part::Coda)] {
        let mut these: Vec<(usize, String)> = page
            .chances
            .clusters
            .iter()
            .filter(|((at, _), _)| *at == part)
            .map(|((_, cluster), count)| {
                (*count, cluster.iter().map(|it| sounds.text(*it)).collect())
            })
            .collect();
        these.sort_by(|one, other| other.0.cmp(&one.0).then(one.1.cmp(&other.1)));
        let all = these.len();
        if !page.whole_lists {
            these.truncate(24);
        }
        let mut texts: Vec<String> = these
            .iter()
            .map(|(count, text)| format!("{text} {count}"))
            .collect();
        if all > texts.len() {
            texts.push(format!("{} more (--whole-lists)", all - texts.len()));
        }
        push_list(out, label, &texts, columns);
    }
}
