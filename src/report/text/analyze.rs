//! What a sheet shows, for a person: first what comes up most, then the rest.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use super::line::visible;
use super::{counted, padded, palette, push_hanging, push_line, styled};
use super::{measure, rules};
use crate::alignment::Kind;
use crate::finding::error::Error;
use crate::finding::item::Item;
use crate::finding::pattern::{Pattern, Tally};
use crate::finding::prosody::rhythm::{Rhythm, Share};
use crate::text::width;

/// Everything that is said about a sheet.
#[derive(Clone, Debug)]
pub struct Page<'a> {
    /// What the accent is called.
    pub accent: &'a str,
    /// What could be read.
    pub items: &'a [Item],
    /// How many of their targets were looked up.
    pub looked_up: usize,
    /// Rows that could not be read: row, word, why.
    pub left_out: Vec<(u64, &'a str, &'a str)>,
    /// The errors of each item.
    pub errors: &'a [Vec<Error>],
    /// The patterns with an opportunity, commonest first.
    pub patterns: Vec<(&'a Pattern, &'a Tally)>,
    /// Prosody.
    pub rhythm: &'a Rhythm,
    /// The rules behind the errors, and what follows from them.
    pub rules: rules::Page<'a>,
    /// How much is right, how near, how complex.
    pub measures: measure::Page<'a>,
    /// Whether every single error is listed.
    pub every_error: bool,
    /// Whether long lists are shown to their end.
    pub whole_lists: bool,
}

impl Page<'_> {
    /// How many of a list are shown.
    const fn most(&self, usual: usize) -> usize {
        if self.whole_lists { usize::MAX } else { usual }
    }
}

/// How many words stand as examples.
const WORDS: usize = 8;
/// How many lines a list has.
const LINES: usize = 12;

/// Says how much of a list is not shown.
fn push_more(out: &mut String, all: usize, most: usize, columns: usize) {
    let more = all.saturating_sub(most);
    if more > 0 {
        let text = format!("and {more} more: --whole-lists shows them");
        push_hanging(out, 2, "", palette::FAINT, 0, &text, columns);
    }
}

/// Some names parted by commas, and how many more there are.
fn some(names: impl ExactSizeIterator<Item = String>, most: usize) -> String {
    let more = names.len().saturating_sub(most);
    let shown: Vec<String> = names.take(most).collect();
    let more = if more > 0 {
        format!(" and {more} more")
    } else {
        String::new()
    };
    shown.join(", ") + &more
}

/// Draws the page for a screen of so many columns.
#[must_use]
pub fn page(page: &Page<'_>, columns: usize) -> String {
    let mut out = String::new();
    head(&mut out, page, columns);
    rules::push(&mut out, &page.rules, columns);
    let folded = fold(&page.patterns);
    patterns(&mut out, page, &folded, columns);
    others(&mut out, page, columns);
    prosody(&mut out, page, columns);
    measure::push(&mut out, &page.measures, columns);
    rare(&mut out, page, &folded, columns);
    if page.every_error {
        every_error(&mut out, page);
    }
    left_out(&mut out, page, columns);
    cautions(&mut out, columns);
    out
}

/// How much was right, in one line.
fn head(out: &mut String, page: &Page<'_>, columns: usize) {
    let right = page.items.iter().filter(|item| item.is_right()).count();
    let errors: usize = page.errors.iter().map(Vec::len).sum();
    let mut line = format!(
        "{}: {right} said right, {} in the sounds of the others ({})",
        counted(page.items.len(), "word", "words"),
        counted(errors, "error", "errors"),
        page.accent,
    );
    if page.looked_up > 0 {
        let _ = write!(
            line,
            "; {} looked up",
            counted(page.looked_up, "target", "targets")
        );
    }
    if !page.left_out.is_empty() {
        let rows = counted(page.left_out.len(), "row", "rows");
        let _ = write!(line, "; {rows} left out, see below");
    }
    push_hanging(out, 0, "", palette::STRONG, 0, &line, columns);
}

/// A pattern that leads, with those that say the same of the same places.
struct Folded<'a> {
    pattern: &'a Pattern,
    tally: &'a Tally,
    /// Occurrences that no pattern before it has.
    own: usize,
    also: Vec<(&'a Pattern, &'a Tally)>,
}

/// Orders patterns by what each adds to those before it, and puts those that add nothing
/// under the one that they share most with.
///
/// What a pattern adds is its occurrences that no pattern before it has, times its share of
/// chances: of a narrow pattern that always shows and a broad one that shows in the same
/// places and rarely elsewhere, the narrow one goes first.
///
/// Cost: the occurrences of all patterns, and the square of the number of patterns.
fn fold<'a>(patterns: &[(&'a Pattern, &'a Tally)]) -> Vec<Folded<'a>> {
    let mut rest: Vec<Waiting<'a>> = patterns
        .iter()
        .filter(|(_, tally)| tally.occurrences > 0)
        .map(|(pattern, tally)| Waiting {
            pattern,
            tally,
            own: tally.shown.len(),
        })
        .collect();
    let mut folded: Vec<Folded<'a>> = Vec::new();
    let mut known: BTreeSet<(usize, usize)> = BTreeSet::new();
    while !rest.is_empty() {
        let mut best = 0;
        for (at, candidate) in rest.iter().enumerate() {
            if rest
                .get(best)
                .is_some_and(|it| candidate.adds() > it.adds())
            {
                best = at;
            }
        }
        let Waiting {
            pattern,
            tally,
            own,
        } = rest.remove(best);
        if own == 0 {
            // Both lists are in order.
            let shared = |other: &Folded<'_>| {
                let there = &other.tally.shown;
                tally
                    .shown
                    .iter()
                    .filter(|it| there.binary_search(it).is_ok())
                    .count()
            };
            let under = folded.iter_mut().rev().max_by_key(|it| shared(it));
            if let Some(other) = under {
                other.also.push((pattern, tally));
                continue;
            }
        }
        for place in &tally.shown {
            if known.insert(*place) {
                for other in &mut rest {
                    let has = other.tally.shown.binary_search(place).is_ok();
                    other.own -= usize::from(has);
                }
            }
        }
        folded.push(Folded {
            pattern,
            tally,
            own,
            also: Vec::new(),
        });
    }
    folded
}

/// A pattern that is not in order yet.
struct Waiting<'a> {
    pattern: &'a Pattern,
    tally: &'a Tally,
    /// Occurrences that no pattern before it has.
    own: usize,
}

impl Waiting<'_> {
    /// What it adds: whole numbers, so that ties are ties, its share in millionths.
    fn adds(&self) -> (bool, usize, usize) {
        let tally = self.tally;
        let share = tally.occurrences * 1_000_000 / tally.opportunities.max(1);
        let few = tally.is_too_few() || self.pattern.counts_allowed;
        (!few, self.own * share, tally.opportunities)
    }
}

/// Whether a pattern comes up often enough to be named first: in two places or more that
/// no other pattern has, out of four chances or more, and in a fifth of them.
///
/// # Source
///
/// Four chances and a fifth: `McReynolds` and Elbert (1981), from memory; a fifth: Haelsig
/// and Madison (1986). Other published rules ask for one occurrence, or for five.
fn leads(folded: &Folded<'_>) -> bool {
    let tally = folded.tally;
    folded.own >= 2
        && !tally.is_too_few()
        && tally.occurrences * 5 >= tally.opportunities
        && !folded.pattern.counts_allowed
}

fn title(out: &mut String, name: &str) {
    out.push('\n');
    push_line(out, &super::heading(name));
}

fn patterns(out: &mut String, page: &Page<'_>, folded: &[Folded<'_>], columns: usize) {
    let leading: Vec<&Folded<'_>> = folded.iter().filter(|it| leads(it)).collect();
    title(out, "What comes up again and again");
    if leading.is_empty() {
        push_line(
            out,
            "  no named pattern shows twice in four chances or more",
        );
    }
    for it in leading {
        let share = share_words(it.tally);
        let rules: Vec<&str> = it.pattern.rules().collect();
        push_line(
            out,
            &format!(
                "  {}  {}",
                styled(palette::STRONG, &padded(&share, 9)),
                visible(&it.pattern.name)
            ),
        );
        let mut text = visible(&it.pattern.catches);
        let _ = write!(text, " ({})", visible(&rules.join("; ")));
        push_hanging(out, 13, "", palette::FAINT, 0, &text, columns);
        let said = words(page, it.tally);
        push_hanging(out, 13, "", palette::FAINT, 0, &said, columns);
        let mut notes = Vec::new();
        if it.tally.bled > 0 {
            notes.push(format!(
                "{} of the chances say nothing: the sound was left out",
                it.tally.bled
            ));
        }
        if !it.also.is_empty() {
            let also = it.also.iter().map(|(pattern, tally)| {
                format!("{} {}", visible(&pattern.name), share_words(tally))
            });
            notes.push(format!(
                "the same places show {}",
                also.collect::<Vec<_>>().join("; ")
            ));
        }
        for note in notes {
            push_hanging(out, 13, "", palette::FAINT, 0, &note, columns);
        }
    }
}

/// "9 of 12".
fn share_words(tally: &Tally) -> String {
    format!("{} of {}", tally.occurrences, tally.opportunities)
}

/// Some of the words that a pattern shows in, target and production of each.
fn words(page: &Page<'_>, tally: &Tally) -> String {
    let named = |at: &usize| page.items.get(*at).map_or(String::new(), name);
    some(tally.items.iter().map(named), page.most(WORDS))
}

/// An item in a list: its word, or its target where it has none.
fn name(item: &Item) -> String {
    if item.word.is_empty() {
        visible(&item.target.text)
    } else {
        visible(&item.word)
    }
}

/// Errors in places where no leading or rarer pattern shows, grouped.
fn others(out: &mut String, page: &Page<'_>, columns: usize) {
    let mut named: Vec<(usize, usize)> = page
        .patterns
        .iter()
        .flat_map(|(_, tally)| tally.shown.iter().copied())
        .collect();
    named.sort_unstable();
    let mut groups: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (number, (item, errors)) in page.items.iter().zip(page.errors).enumerate() {
        for error in errors {
            let column = error.column;
            // What was put in is told at the column it stands before.
            let next = item
                .columns
                .iter()
                .skip(column)
                .position(|it| !it.target.is_empty())
                .map_or(item.columns.len(), |at| column + at);
            let known = [column, next]
                .iter()
                .any(|at| named.binary_search(&(number, *at)).is_ok());
            if !known {
                groups.entry(change(error)).or_default().push(name(item));
            }
        }
    }
    if groups.is_empty() {
        return;
    }
    title(out, "Errors that no pattern names");
    let mut groups: Vec<(String, Vec<String>)> = groups.into_iter().collect();
    groups.sort_by_key(|(_, words)| std::cmp::Reverse(words.len()));
    let shown = groups.iter().take(page.most(LINES));
    let widest = shown.map(|(change, _)| width(change)).max();
    let (all, most) = (groups.len(), page.most(LINES));
    for (change, words) in groups.into_iter().take(most) {
        let count = words.len().to_string();
        let text = format!(
            "{} {}",
            padded(&change, widest.unwrap_or(0)),
            some(words.into_iter(), page.most(WORDS))
        );
        push_hanging(out, 2, &count, palette::STRONG, 5, &text, columns);
    }
    push_more(out, all, most, columns);
}

/// "final θ → t", "initial + h".
fn change(error: &Error) -> String {
    let target = error.target.as_deref().unwrap_or("∅");
    let production = error.production.as_deref().unwrap_or("∅");
    let lacking: Vec<&str> = error.lacking.iter().map(|row| row.lacking).collect();
    let moved = if error.kind == Kind::Transposition {
        format!("{} changed places", visible(target))
    } else if !lacking.is_empty() {
        let (target, production) = (visible(target), visible(production));
        format!("{target} → {production} ({})", lacking.join(", "))
    } else {
        format!("{} → {}", visible(target), visible(production))
    };
    format!("{moved}, {}", place(error))
}

/// "initial onset".
fn place(error: &Error) -> String {
    let mut place = error.site.position.name().to_owned();
    if let Some(part) = error.site.part {
        let _ = write!(place, " {}", part.name());
    }
    if error.site.size > 1 {
        place.push_str(" cluster");
    }
    place
}

fn prosody(out: &mut String, page: &Page<'_>, columns: usize) {
    title(out, "Stress and syllables");
    let rhythm = page.rhythm;
    let mut line = |label: &str, share: &Share, fault: &str| {
        if share.chances == 0 {
            return;
        }
        let mut text = format!("{} of {}", share.held, share.chances);
        if share.failures() > 0 {
            let named = |at: &usize| page.items.get(*at).map_or(String::new(), name);
            let failed = some(share.failed.iter().map(named), page.most(WORDS));
            let _ = write!(text, "; {fault} in {failed}");
        }
        push_hanging(out, 2, label, palette::FAINT, 28, &text, columns);
    };
    line("stress where it should be", &rhythm.stress, "elsewhere");
    line("weak vowels weak", &rhythm.reduction, "said in full");
    line("full vowels full", &rhythm.full, "weakened");
    line("syllables kept", &rhythm.kept, "lost");
    if !rhythm.added.is_empty() {
        let count: usize = rhythm.added.iter().map(|(_, count)| count).sum();
        let named =
            |(at, _): &(usize, usize)| page.items.get(*at).map_or(String::new(), name);
        let these = some(rhythm.added.iter().map(named), page.most(WORDS));
        let text = format!("{count}, in {these}");
        push_hanging(
            out,
            2,
            "syllables added",
            palette::FAINT,
            28,
            &text,
            columns,
        );
    }
    if !rhythm.unmarked.is_empty() {
        let text = format!(
            "{} of several syllables: one side marks no stress, so nothing can be said",
            counted(rhythm.unmarked.len(), "word", "words")
        );
        push_hanging(
            out,
            2,
            "stress not marked",
            palette::FAINT,
            28,
            &text,
            columns,
        );
    }
}

/// Patterns that show once, had few chances, or that the accent allows.
fn rare(out: &mut String, page: &Page<'_>, folded: &[Folded<'_>], columns: usize) {
    let rare: Vec<&Folded<'_>> = folded.iter().filter(|it| !leads(it)).collect();
    if rare.is_empty() {
        return;
    }
    title(
        out,
        "Seen, but too little to go by: ask for more such words",
    );
    let (all, most) = (rare.len(), page.most(LINES));
    for it in rare.into_iter().take(most) {
        let mut text =
            format!("{}: {}", visible(&it.pattern.name), words(page, it.tally));
        if it.pattern.counts_allowed {
            text.push_str("; the accent allows it");
        }
        let share = share_words(it.tally);
        push_hanging(out, 2, &share, palette::FAINT, 11, &text, columns);
    }
    push_more(out, all, most, columns);
}

/// Every single error, row by row.
fn every_error(out: &mut String, page: &Page<'_>) {
    title(out, "Every error");
    for (item, errors) in page.items.iter().zip(page.errors) {
        for error in errors {
            push_line(
                out,
                &format!(
                    "  row {}  {}  {}  {}",
                    padded(&item.row.to_string(), 5),
                    padded(&name(item), 14),
                    padded(error.kind.name(), 13),
                    change(error)
                ),
            );
        }
    }
}

fn left_out(out: &mut String, page: &Page<'_>, columns: usize) {
    if page.left_out.is_empty() {
        return;
    }
    title(out, "Left out");
    let most = page.most(LINES);
    for (row, word, reason) in page.left_out.iter().take(most) {
        let text = if word.is_empty() {
            (*reason).to_owned()
        } else {
            format!("{}: {reason}", visible(word))
        };
        push_hanging(
            out,
            2,
            &format!("row {row}"),
            palette::WARNING,
            10,
            &text,
            columns,
        );
    }
    push_more(out, page.left_out.len(), most, columns);
}

fn cautions(out: &mut String, columns: usize) {
    out.push('\n');
    let text = "An accent is a difference, not a disorder. These are counts of what one \
                listener wrote down about these words: no norm, no severity, no diagnosis.";
    push_hanging(out, 0, "", palette::FAINT, 0, text, columns);
}
