//! Drill material on the screen: words, pairs and sets, and what a list gives chances for.

mod sample;

pub use sample::{SamplePage, cell_words, sample_page};

use std::fmt::Write as _;

use super::{counted, heading, padded, palette, push_hanging, push_line, styled};
use crate::material::{Alike, Candidate, Chosen, Found, Pairs, Slot, Sounds};
use crate::syllable::{Part, Position};
use crate::text::width;

/// How far rows are moved in.
const INDENT: usize = 2;
/// How many pairs that are left out are named.
const EXAMPLES: usize = 4;

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
