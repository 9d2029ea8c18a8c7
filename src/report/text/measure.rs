//! The measures, for a person: a short table, and where the figures come from.

use std::fmt::Write as _;

use super::line::visible;
use super::{counted, padded, palette, push_hanging, push_line};
use crate::finding::measure::Measure;
use crate::finding::measure::breakdown::{By, Group};
use crate::finding::measure::repertoire::Heard;
use crate::finding::measure::rules::{RULE_SET, Rules};
use crate::text::width;

/// What is said of the measures.
#[derive(Clone, Debug)]
pub struct Page<'a> {
    /// How they were counted.
    pub rules: &'a Rules,
    /// The figures.
    pub measures: &'a [Measure],
    /// How many items count.
    pub items: usize,
    /// What does not count: why, and its rows.
    pub left_out: &'a [(&'static str, Vec<u64>)],
    /// The sounds by class, place and phoneme, and the inventory, where they are asked for.
    pub details: Option<(&'a Vec<Group>, &'a Vec<Heard>)>,
}

/// How many rows are named where something is left out.
const ROWS: usize = 12;

/// Draws the measures.
pub(super) fn push(out: &mut String, page: &Page<'_>, columns: usize) {
    title(out, "Measures");
    for it in page.measures {
        let share = format!("{}/{}", it.numerator, it.denominator);
        let (value, counts) = match it.value {
            Some(value) if it.unit == "%" => {
                (format!("{value:.1} %"), it.definition.to_owned())
            }
            Some(value) => {
                let places = if value < 100.0 { 2 } else { 0 };
                let counts = format!("{}: {}", it.unit, it.definition);
                (format!("{value:.places$}"), counts)
            }
            None => ("–".to_owned(), "nothing to count".to_owned()),
        };
        let [name, share] = [padded(it.name, NAMES), padded(&share, SHARES)];
        let figures = format!("{name}{share}  {}", padded(&value, VALUES));
        push_hanging(
            out,
            2,
            &figures,
            palette::FAINT,
            width(&figures),
            &counts,
            columns,
        );
    }
    push_hanging(out, 2, "", palette::FAINT, 0, &counted_over(page), columns);
    if let Some((groups, inventory)) = page.details {
        for (by, name) in [
            (By::Class, "Right sounds by class"),
            (By::Place, "Right sounds by place"),
            (By::Phoneme, "Right sounds by phoneme"),
        ] {
            breakdown(out, groups.iter().filter(|it| it.by == by), name);
        }
        heard(out, page.rules, inventory, columns);
    }
}

fn title(out: &mut String, name: &str) {
    out.push('\n');
    push_line(out, &super::heading(name));
}

/// Columns of the names of measures, of n/N and of values.
const NAMES: usize = 24;
const SHARES: usize = 9;
const VALUES: usize = 8;

/// What the figures are counted over and by which rules.
fn counted_over(page: &Page<'_>) -> String {
    let mut text = format!("Counted over {}", counted(page.items, "row", "rows"));
    for (number, (cause, rows)) in page.left_out.iter().enumerate() {
        text.push_str(if number == 0 { "; left out: " } else { ", " });
        let named: Vec<String> = rows.iter().take(ROWS).map(u64::to_string).collect();
        let more = if rows.len() > ROWS { ", …" } else { "" };
        let row = if rows.len() == 1 { "row" } else { "rows" };
        let many = rows.len();
        let _ = write!(text, "{many} {cause} ({row} {}{more})", named.join(", "));
    }
    let _ = write!(text, ". {RULE_SET}");
    let changed: Vec<String> = page
        .rules
        .all()
        .into_iter()
        .filter(|(_, _, is_usual, _)| !is_usual)
        .map(|(name, value, _, _)| format!("{name}={value}"))
        .collect();
    if changed.is_empty() {
        text.push_str(", no rule changed");
    } else {
        let _ = write!(text, ", but {}", changed.join(", "));
    }
    text.push_str(". Sums over sums, never means of words.");
    text
}

fn breakdown<'g>(out: &mut String, groups: impl Iterator<Item = &'g Group>, name: &str) {
    title(out, name);
    let head = "right  distorted  wrong    of   right    features off a sound";
    push_line(out, &format!("  {}{head}", padded("", NAMES)));
    for it in groups {
        #[allow(
            clippy::cast_precision_loss,
            reason = "counts of sounds are far below the whole numbers that f64 holds"
        )]
        let [right, apart, of] = [it.right, it.distance, it.of()].map(|it| it as f64);
        push_line(
            out,
            &format!(
                "  {}{:>5}  {:>9}  {:>5}  {:>4}  {:>5.1} %  {:.2}",
                padded(&visible(&it.name), NAMES),
                it.right,
                it.distorted,
                it.wrong,
                it.of(),
                100.0 * right / of,
                apart / 1000.0 / of,
            ),
        );
    }
}

/// The phonetic inventory.
fn heard(out: &mut String, rules: &Rules, inventory: &[Heard], columns: usize) {
    title(out, "Sounds heard, whatever they were meant to be");
    let enough = rules.inventory_words;
    let words = |it: &Heard| it.words.len();
    let list = |these: &dyn Fn(&Heard) -> bool| {
        let these = inventory.iter().filter(|it| these(it));
        let named = these.map(|it| format!("{} {}", visible(&it.sound), words(it)));
        named.collect::<Vec<_>>().join(", ")
    };
    let lines = [
        (
            format!("in {enough} words or more"),
            list(&|it| words(it) >= enough && it.is_phoneme),
        ),
        (
            "in fewer words".to_owned(),
            list(&|it| words(it) > 0 && words(it) < enough && it.is_phoneme),
        ),
        (
            "no phonemes of the accent".to_owned(),
            list(&|it| words(it) > 0 && !it.is_phoneme),
        ),
        ("never heard".to_owned(), never(inventory, true)),
        ("never asked for".to_owned(), never(inventory, false)),
    ];
    for (label, text) in lines {
        if !text.is_empty() {
            push_hanging(out, 2, &label, palette::FAINT, 28, &text, columns);
        }
    }
    let text = "The number after a sound is that of the different words it was heard in.";
    push_hanging(out, 2, "", palette::FAINT, 0, text, columns);
}

/// The phonemes that were never said, and were wanted or not.
fn never(inventory: &[Heard], wanted: bool) -> String {
    let these = inventory
        .iter()
        .filter(|it| it.words.is_empty() && it.wanted.is_empty() != wanted);
    let named = these.map(|it| match it.wanted.len() {
        0 => visible(&it.sound),
        many => format!(
            "{} (wanted in {})",
            visible(&it.sound),
            counted(many, "word", "words")
        ),
    });
    named.collect::<Vec<_>>().join(", ")
}
