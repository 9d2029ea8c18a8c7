//! The rules behind errors, for a person: what is going on, and what to work on first.

use std::fmt::Write as _;

use super::line::visible;
use super::{counted, palette, push_hanging, push_line};
use crate::finding::priority::{Goal, Priority, is_slip};
use crate::finding::rule::{Confidence, Discovery, Found};

/// What is said of them.
#[derive(Clone, Debug)]
pub struct Page<'a> {
    /// Whether long lists are shown to their end.
    pub whole_lists: bool,
    /// How many words there are.
    pub words: usize,
    /// The rules.
    pub discovery: &'a Discovery,
    /// For each rule the name of the pattern that it is, if it is a known one.
    pub names: Vec<Option<&'a str>>,
    /// The contrasts lost.
    pub priorities: &'a [Priority],
    /// What to work on, first things first.
    pub goals: &'a [Goal],
    /// The commonest words made alike: both words and how they are said.
    pub homophones: Vec<(&'a str, &'a str, String)>,
    /// How many pairs there are in all.
    pub pairs: usize,
    /// Words to ask next, each with the rule it tells most about.
    pub probes: Vec<(&'a str, Option<usize>)>,
}

/// How many pairs of words are shown.
pub const PAIRS: usize = 8;
/// How many goals are shown.
const GOALS: usize = 5;
/// How many contrasts of one goal.
const CONTRASTS: usize = 8;

/// Draws what is going on, what to work on first and what to ask next.
pub(super) fn push(out: &mut String, page: &Page<'_>, columns: usize) {
    if page.discovery.errors == 0 {
        return;
    }
    title(out, "What is going on");
    if page.discovery.rules.is_empty() {
        push_line(out, "  no rule explains these errors better than chance");
    }
    for (rule, name) in page.discovery.rules.iter().zip(&page.names) {
        push_rule(out, rule, *name, columns);
    }
    if !page.discovery.rules.is_empty() && page.discovery.unexplained > 0 {
        let errors = counted(page.discovery.unexplained, "error", "errors");
        let text = format!("{errors} of {} follow no rule", page.discovery.errors);
        push_hanging(out, 2, "", palette::FAINT, 0, &text, columns);
    }
    if page.discovery.searched < page.words {
        let text = format!(
            "looked for in {} of the {} words, chosen by their targets so that every sound \
             has its chances; counted over all",
            page.discovery.searched, page.words
        );
        push_hanging(out, 2, "", palette::FAINT, 0, &text, columns);
    }
    if page.discovery.cut_short {
        let text =
            "the search was cut short: other rules may explain more; try fewer rows";
        push_hanging(out, 2, "", palette::WARNING, 0, text, columns);
    }
    first(out, page, columns);
    alike(out, page, columns);
    next(out, page, columns);
}

fn title(out: &mut String, name: &str) {
    out.push('\n');
    push_line(out, &super::heading(name));
}

fn push_rule(out: &mut String, rule: &Found, name: Option<&str>, columns: usize) {
    let chances = rule.covers + rule.exceptions + rule.otherwise;
    let share = format!("{} of {chances}", rule.covers);
    let mut text = format!("{} ({})", visible(&rule.plain), visible(&rule.rule));
    if let Some(name) = name {
        let _ = write!(text, ": {}", visible(name));
    }
    let share = format!("{share}  ");
    push_hanging(out, 2, &share, palette::STRONG, 11, &text, columns);
    let rival = rule.rivals.first().map(|(rule, _)| visible(rule));
    let mut sure = match (rule.confidence, rival) {
        (Confidence::Undecided, Some(rival)) => {
            format!("cannot tell this from {rival}")
        }
        (Confidence::Likely, Some(rival)) => format!("likely; it could be {rival}"),
        (confidence, _) => confidence.name().to_owned(),
    };
    if rule.exceptions > 0 {
        let _ = write!(sure, "; right in {}", rule.exceptions);
    }
    if rule.otherwise > 0 {
        let _ = write!(sure, "; said in another way in {}", rule.otherwise);
    }
    push_hanging(out, 13, "", palette::FAINT, 0, &sure, columns);
}

fn first(out: &mut String, page: &Page<'_>, columns: usize) {
    let most = |usual| if page.whole_lists { usize::MAX } else { usual };
    let worth = |it: &&Goal| it.rule.is_some() || !is_slip(it.errors, it.generalises);
    let shown: Vec<&Goal> = page.goals.iter().filter(worth).take(most(GOALS)).collect();
    if shown.is_empty() {
        return;
    }
    title(out, "What to work on first");
    for (it, number) in shown.into_iter().zip(1..) {
        let contrasts: Vec<&Priority> = it
            .contrasts
            .iter()
            .filter_map(|at| page.priorities.get(*at))
            .collect();
        let rule = it.rule.and_then(|at| page.discovery.rules.get(at));
        let what = match (rule, contrasts.first()) {
            (Some(rule), _) => visible(&rule.plain),
            (None, Some(alone)) => contrast(alone),
            (None, None) => continue,
        };
        push_hanging(
            out,
            2,
            &format!("{number}"),
            palette::STRONG,
            3,
            &what,
            columns,
        );
        let text = format!(
            "{}; {:.2} % of what sounds tell is lost with it; work on it reaches {:.0} % \
             of all errors",
            counted(it.errors, "error", "errors"),
            100.0 * it.functional_load,
            100.0 * it.generalises,
        );
        push_hanging(out, 5, "", palette::STRONG, 0, &text, columns);
        if rule.is_some() && !contrasts.is_empty() {
            let listed = contrasts.iter().take(most(CONTRASTS)).map(|it| {
                let load = match it.functional_load {
                    Some(load) => format!("; {:.2} %", 100.0 * load),
                    None => "; tells no words apart".to_owned(),
                };
                format!("{} ({}{load})", contrast(it), it.errors)
            });
            let mut text = listed.collect::<Vec<_>>().join(", ");
            let more = contrasts.len().saturating_sub(most(CONTRASTS));
            if more > 0 {
                let _ = write!(text, " and {more} more");
            }
            push_hanging(out, 5, "", palette::FAINT, 0, &text, columns);
        }
    }
}

/// "d – t"; "θ – t̪, nearest to t".
fn contrast(it: &Priority) -> String {
    let nearest = it.nearest.as_deref().map(visible);
    let nearest = nearest.map_or(String::new(), |it| format!(", nearest to {it}"));
    format!(
        "{} – {}{nearest}",
        visible(&it.target),
        visible(&it.production)
    )
}

fn alike(out: &mut String, page: &Page<'_>, columns: usize) {
    if page.homophones.is_empty() {
        return;
    }
    title(out, "Words that these rules make alike");
    let pairs: Vec<String> = page
        .homophones
        .iter()
        .map(|(a, b, said)| {
            format!("{} = {} [{}]", visible(a), visible(b), visible(said))
        })
        .collect();
    let mut text = pairs.join(", ");
    let more = page.pairs.saturating_sub(page.homophones.len());
    if more > 0 {
        let _ = write!(text, " and {} more", counted(more, "pair", "pairs"));
    }
    push_hanging(out, 2, "", palette::FAINT, 0, &text, columns);
}

fn next(out: &mut String, page: &Page<'_>, columns: usize) {
    if page.probes.is_empty() {
        return;
    }
    title(out, "What to ask next: words that decide between rules");
    let words: Vec<String> = page.probes.iter().map(|it| visible(it.0)).collect();
    push_hanging(out, 2, "", palette::FAINT, 0, &words.join(", "), columns);
}
