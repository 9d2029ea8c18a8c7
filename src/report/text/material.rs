//! Drill material on the screen: words, pairs and sets, and what a list gives chances for.

use std::fmt::Write as _;

use super::line::visible;
use super::{heading, padded, palette, push_hanging, push_line, styled, wrapped};
use crate::material::{
    Alike, Candidate, Cell, Chances, Chosen, Count, Cover, Found, Gap, Pairs, Slot,
    Sounds,
};
use crate::syllable::{Part, Position};
use crate::text::width;

/// How far rows are moved in.
const INDENT: usize = 2;
/// How many pairs that are left out are named.
const EXAMPLES: usize = 4;

/// A number with its noun.
#[must_use]
pub fn counted(number: usize, one: &str, many: &str) -> String {
    super::counted(number, one, many)
}

/// "1 word", "2 words".
#[must_use]
pub fn words(number: usize) -> String {
    counted(number, "word", "words")
}

/// Where a sound is asked for, in words.
#[must_use]
pub fn place(
    position: Option<Position>,
    part: Option<Part>,
    stressed: Option<bool>,
) -> Vec<String> {
    let position = position.map(|it| match it {
        Position::Initial => "at the start of a word",
        Position::Medial => "in the middle of a word",
        Position::Final => "at the end of a word",
    });
    let part = part.map(|it| match it {
        Part::Onset => "in an onset",
        Part::Nucleus => "as a nucleus",
        Part::Coda => "in a coda",
    });
    let stressed = stressed.map(|it| {
        if it {
            "in a stressed syllable"
        } else {
            "in a syllable without stress"
        }
    });
    let all = [position, part, stressed].into_iter().flatten();
    all.map(str::to_owned).collect()
}

/// What `apical words` found.
#[derive(Debug)]
pub struct WordsPage<'a> {
    /// What was asked for, in words.
    pub asked: &'a str,
    /// What the accent is called.
    pub accent: &'a str,
    /// The words.
    pub chosen: &'a Chosen,
    /// Whether they were drawn by chance.
    pub seeded: bool,
    /// The sheet they were written to.
    pub sheet: Option<String>,
    /// The sheet of what is held back.
    pub probes: Option<String>,
    /// What may have been overlooked.
    pub remark: Option<String>,
}

/// Draws words: what they are, the words with target and frequency, what is held back.
#[must_use]
pub fn words_page(page: &WordsPage<'_>, columns: usize) -> String {
    let mut out = String::new();
    let chosen = page.chosen;
    let order = if page.seeded {
        "drawn by chance"
    } else {
        "commonest first"
    };
    let head = format!(
        "{}: {} of {} of {}, {order}",
        page.asked,
        chosen.drill.len(),
        words(chosen.matching),
        page.accent
    );
    push_hanging(&mut out, 0, "", palette::STRONG, 0, &head, columns);
    table(&mut out, &chosen.drill);
    if !chosen.probes.is_empty() {
        let names: Vec<&str> = chosen.probes.iter().map(Candidate::word).collect();
        let mut text =
            format!("Held back as probes, never drilled: {}", names.join(", "));
        text.push_str(match &page.probes {
            Some(_) => "",
            None => "; --probes FILE keeps them for later drills to leave out",
        });
        out.push('\n');
        push_hanging(&mut out, 0, "", palette::STRONG, 0, &text, columns);
    }
    let mut notes: Vec<String> = Vec::new();
    if chosen.excepted > 0 {
        notes.push(format!(
            "{} left out: in the sheets named, forms of those, or said alike",
            words(chosen.excepted)
        ));
    }
    notes.extend(page.remark.clone());
    notes.extend(written(page.sheet.as_deref(), page.probes.as_deref()));
    push_notes(&mut out, &notes, columns);
    out
}

fn written(sheet: Option<&str>, probes: Option<&str>) -> Option<String> {
    match (sheet, probes) {
        (None, None) => None,
        (Some(sheet), None) => Some(format!("written to {sheet}")),
        (None, Some(probes)) => Some(format!("what is held back is written to {probes}")),
        (Some(sheet), Some(probes)) => {
            Some(format!("written to {sheet}, what is held back to {probes}"))
        }
    }
}

fn push_notes(out: &mut String, notes: &[String], columns: usize) {
    if notes.is_empty() {
        return;
    }
    out.push('\n');
    for note in notes {
        push_hanging(out, 0, "", palette::FAINT, 0, note, columns);
    }
}

/// Words with their targets and frequencies.
fn table(out: &mut String, words: &[Candidate]) {
    let targets: Vec<String> = words.iter().map(Candidate::target).collect();
    let wide = |texts: &mut dyn Iterator<Item = usize>, least: usize| {
        texts.max().unwrap_or(0).max(least) + 2
    };
    let word = wide(&mut words.iter().map(|it| width(it.word())), 4);
    let target = wide(&mut targets.iter().map(|it| width(it)), 6);
    let head = format!(
        "{}{}{}in a million",
        " ".repeat(INDENT),
        padded("word", word),
        padded("target", target)
    );
    push_line(out, &styled(palette::FAINT, &head));
    for (candidate, text) in words.iter().zip(&targets) {
        let often = per_million(candidate.entry.frequency());
        push_line(
            out,
            &format!(
                "{}{}{}{often:>12}",
                " ".repeat(INDENT),
                padded(candidate.word(), word),
                padded(text, target)
            ),
        );
    }
}

/// A frequency in a million words: whole from ten on.
fn per_million(frequency: Option<f64>) -> String {
    match frequency {
        None => "unknown".to_owned(),
        Some(often) if often >= 9.95 => format!("{often:.0}"),
        Some(often) => format!("{often:.1}"),
    }
}

/// What `apical pairs` found.
#[derive(Debug)]
pub struct PairsPage<'a> {
    /// The contrasts in words.
    pub contrasts: String,
    /// Where they are asked for, in words.
    pub place: Vec<String>,
    /// What the accent is called.
    pub accent: &'a str,
    /// The minimal pairs that are shown, and those left out.
    pub minimal: &'a Pairs,
    /// How many there are.
    pub matching: usize,
    /// Near-minimal pairs, where they are asked for, and how many there are.
    pub near: Option<(&'a Pairs, usize)>,
    /// The sheet they were written to.
    pub sheet: Option<String>,
}

/// Draws pairs.
#[must_use]
pub fn pairs_page(page: &PairsPage<'_>, sounds: &Sounds, columns: usize) -> String {
    let mut out = String::new();
    let asked: Vec<String> = std::iter::once(page.contrasts.clone())
        .chain(page.place.iter().cloned())
        .collect();
    let head = format!(
        "{}: {} of {} of {}, commonest first",
        asked.join(" "),
        page.minimal.found.len(),
        counted(page.matching, "minimal pair", "minimal pairs"),
        page.accent
    );
    push_hanging(&mut out, 0, "", palette::STRONG, 0, &head, columns);
    push_pairs(&mut out, &page.minimal.found, sounds, columns);
    if let Some((near, matching)) = page.near {
        let head = format!(
            "Near-minimal pairs, one sound more differs: {} of {matching}",
            near.found.len()
        );
        out.push('\n');
        push_line(&mut out, &heading(&head));
        push_pairs(&mut out, &near.found, sounds, columns);
    }
    let mut notes = Vec::new();
    if !page.minimal.alike.is_empty() {
        let pairs = counted(page.minimal.alike.len(), "pair is", "pairs are");
        notes.push(format!(
            "{pairs} left out, since the two may be said alike: {}",
            alike_examples(page.minimal)
        ));
    }
    notes.extend(written(page.sheet.as_deref(), None));
    push_notes(&mut out, &notes, columns);
    out
}

fn push_pairs(out: &mut String, pairs: &[Found], sounds: &Sounds, columns: usize) {
    let names: Vec<String> = pairs
        .iter()
        .map(|it| format!("{} – {}", it.a.candidate.word(), it.b.candidate.word()))
        .collect();
    let wide = names.iter().map(|it| width(it)).max().unwrap_or(0) + 3;
    for (pair, name) in pairs.iter().zip(&names) {
        let [a, b] = [&pair.a, &pair.b].map(|it| it.candidate.target());
        let mut text = format!("{a} – {b}");
        if let Some(near) = pair.near {
            let [a, b] = [near.a, near.b].map(|it| sounds.text(it));
            let _ = write!(text, "  (and {a} – {b})");
        }
        push_line(
            out,
            &format!("{}{}{text}", " ".repeat(INDENT), padded(name, wide)),
        );
        if let Some(alike) = &pair.alike {
            let text = format!("some say the two alike: {}", reason(alike));
            push_hanging(out, 2 * INDENT, "", palette::FAINT, 0, &text, columns);
        }
    }
}

fn reason(alike: &Alike) -> String {
    match alike {
        Alike::Variant => "a variant of the one is one of the other".to_owned(),
        Alike::Rules(rules) => {
            let rules: Vec<String> = rules
                .iter()
                .map(|(name, context)| format!("{name} ({context})"))
                .collect();
            rules.join(", ")
        }
    }
}

/// Pairs that were left out, each with why.
#[must_use]
pub fn alike_examples(pairs: &Pairs) -> String {
    let named: Vec<String> = pairs
        .alike
        .iter()
        .take(EXAMPLES)
        .map(|it| {
            let why = match &it.alike {
                Some(Alike::Rules(rules)) => {
                    rules.first().map_or("", |it| it.0).to_owned()
                }
                _ => "a variant".to_owned(),
            };
            let [a, b] = [&it.a, &it.b].map(|it| it.candidate.word());
            format!("{a} – {b} ({why})")
        })
        .collect();
    let more = pairs.alike.len().saturating_sub(named.len());
    let more = match more {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    named.join(", ") + &more
}

/// What `apical pairs --set` found.
#[derive(Debug)]
pub struct SetsPage<'a> {
    /// The sounds.
    pub sounds: String,
    /// Where they are asked for, in words.
    pub place: Vec<String>,
    /// What the accent is called.
    pub accent: &'a str,
    /// The sets that are shown.
    pub sets: &'a [Vec<Slot>],
    /// How many there are.
    pub matching: usize,
    /// How many were left out because two words may be said alike.
    pub left_out: usize,
    /// The sheet they were written to.
    pub sheet: Option<String>,
}

/// Draws sets.
#[must_use]
pub fn sets_page(page: &SetsPage<'_>, columns: usize) -> String {
    let mut out = String::new();
    let asked: Vec<String> = std::iter::once(page.sounds.clone())
        .chain(page.place.iter().cloned())
        .collect();
    let head = format!(
        "{}: {} of {} of {}, commonest first",
        asked.join(" "),
        page.sets.len(),
        counted(page.matching, "minimal set", "minimal sets"),
        page.accent
    );
    push_hanging(&mut out, 0, "", palette::STRONG, 0, &head, columns);
    let names = |set: &Vec<Slot>, text: fn(&Candidate) -> String| -> String {
        let texts: Vec<String> = set.iter().map(|it| text(&it.candidate)).collect();
        texts.join(", ")
    };
    let spelled: Vec<String> = page
        .sets
        .iter()
        .map(|set| names(set, |it| it.word().to_owned()))
        .collect();
    let wide = spelled.iter().map(|it| width(it)).max().unwrap_or(0) + 3;
    for (set, spelled) in page.sets.iter().zip(&spelled) {
        let targets = names(set, Candidate::target);
        push_line(
            &mut out,
            &format!("{}{}{targets}", " ".repeat(INDENT), padded(spelled, wide)),
        );
    }
    let mut notes = Vec::new();
    if page.left_out > 0 {
        let sets = counted(page.left_out, "set is", "sets are");
        notes.push(format!(
            "{sets} left out, since two of the words may be said alike"
        ));
    }
    notes.extend(written(page.sheet.as_deref(), None));
    push_notes(&mut out, &notes, columns);
    out
}

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
