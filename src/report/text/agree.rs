//! How far two transcriptions of one sample agree, for a person.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::line::visible;
use super::{counted, padded, palette, push_hanging, push_line, styled};
use crate::finding::agreement::kappa::Kappa;
use crate::finding::agreement::transcribers::{DENOMINATOR, Disagreement, Share, Sound};
use crate::finding::difference;
use crate::report::agree::Page;

/// Disagreements that are listed, and words that are named for each.
const LISTED: usize = 15;
const WORDS: usize = 6;
/// Columns of a name, of n/N.
const NAMES: usize = 22;
const SHARES: usize = 9;

/// Draws the page for a screen of so many columns.
#[must_use]
pub fn page(page: &Page<'_>, columns: usize) -> String {
    let mut out = String::new();
    head(&mut out, page, columns);
    point_to_point(&mut out, page, columns);
    coefficients(&mut out, page, columns);
    if page.every {
        every(&mut out, page);
    } else {
        commonest(&mut out, page, columns);
    }
    stress(&mut out, page, columns);
    left_out(&mut out, page, columns);
    out.push('\n');
    let text = "Two who agree can both be wrong: this says how far one listener's marks can \
                stand for another's, not who is right. Cut-offs in use, such as 85 or 90 %, \
                are convention.";
    push_hanging(&mut out, 0, "", palette::FAINT, 0, text, columns);
    out
}

fn title(out: &mut String, name: &str) {
    out.push('\n');
    push_line(out, &super::heading(name));
}

fn head(out: &mut String, page: &Page<'_>, columns: usize) {
    let [first, second] = page.names;
    let both = if first == second {
        format!("two columns of {}", visible(first))
    } else {
        format!("{} and {}", visible(first), visible(second))
    };
    let rows = counted(page.rows.len(), "row", "rows");
    let mut line = format!("{rows} compared, of {both} ({})", page.called);
    if !page.left_out.is_empty() {
        let left = page.left_out.len();
        let _ = write!(
            line,
            "; {} left out, see below",
            counted(left, "row", "rows")
        );
    }
    push_hanging(out, 0, "", palette::STRONG, 0, &line, columns);
}

/// "118/151    78.1 %".
fn share(share: Share) -> String {
    let part = format!("{}/{}", share.agreements, share.comparisons);
    let value = share.percent();
    let value = value.map_or_else(|| "–".to_owned(), |it| format!("{it:.1} %"));
    format!("{}  {}", padded(&part, SHARES), padded(&value, 8))
}

fn point_to_point(out: &mut String, page: &Page<'_>, columns: usize) {
    let found = page.found;
    title(out, "Agreement, sound by sound");
    for (name, it, what) in [
        ("broad", found.broad, "letters, marks left off"),
        ("narrow", found.narrow, "letters and marks"),
        ("whole words", found.whole, "every sound alike, marks too"),
    ] {
        let label = format!("{}{}", padded(name, NAMES), share(it));
        push_hanging(out, 2, &label, palette::FAINT, 42, what, columns);
    }
    push_hanging(
        out,
        2,
        "",
        palette::FAINT,
        0,
        &format!("Out of: {DENOMINATOR}."),
        columns,
    );
    if found.classes.is_empty() {
        return;
    }
    title(out, "By class");
    let head = format!("{}broad{}narrow", padded("", NAMES), padded("", 16));
    push_line(out, &format!("  {}", styled(palette::FAINT, &head)));
    for it in &found.classes {
        let name = if matches!(it.name, "consonants" | "vowels") {
            it.name.to_owned()
        } else {
            format!("  {}", it.name)
        };
        let name = padded(&name, NAMES);
        push_line(
            out,
            &format!("  {name}{}  {}", share(it.broad), share(it.narrow)),
        );
    }
}

fn coefficients(out: &mut String, page: &Page<'_>, columns: usize) {
    let found = page.found;
    title(out, "Beyond chance");
    let mut line = |name: &str, value: Option<f64>, text: String| {
        let value = value.map_or_else(|| "–".to_owned(), |it| format!("{it:.2}"));
        let label = format!("{}{}", padded(name, NAMES), padded(&value, 7));
        push_hanging(out, 2, &label, palette::FAINT, 29, &text, columns);
    };
    let parts = |kappa: &Kappa| {
        let undefined = match kappa.kappa {
            Some(_) => "",
            None => "undefined here: nothing compared, or chance alone agrees fully; ",
        };
        format!(
            "{undefined}seen {:.2}, by chance {:.2}",
            kappa.observed, kappa.expected
        )
    };
    line("Cohen's kappa", found.kappa.kappa, parts(&found.kappa));
    line(
        "  letters alone",
        found.broad_kappa.kappa,
        parts(&found.broad_kappa),
    );
    line(
        "weighted kappa",
        found.weighted_kappa.kappa,
        format!(
            "{}; weighed by distance in features",
            parts(&found.weighted_kappa)
        ),
    );
    line(
        "Krippendorff's alpha",
        found.alpha.alpha,
        format!(
            "nominal; disagreement seen {:.2}, by chance {:.2}",
            found.alpha.observed, found.alpha.expected
        ),
    );
    let text = format!(
        "Over {}, marks included, no sound being one of them. Where nearly all sounds are the \
         same, kappa is low although agreement is high: read the parts.",
        counted(found.labels, "label", "labels")
    );
    push_hanging(out, 2, "", palette::FAINT, 0, &text, columns);
}

/// "θ – f".
fn pair(it: &Disagreement) -> String {
    let side = |sound: Option<&Sound>| {
        sound.map_or_else(|| "∅".to_owned(), |it| visible(&it.written))
    };
    format!("{} – {}", side(it.one.as_ref()), side(it.other.as_ref()))
}

/// "place dental or labiodental".
fn differing(it: &Disagreement) -> String {
    let (Some(one), Some(other)) = (&it.one, &it.other) else {
        return "only one of them has a sound".to_owned();
    };
    let [one, other] = [one.bundle(), other.bundle()];
    if one.class != other.class {
        return format!("{} or {}", one.class.name(), other.class.name());
    }
    let differences = difference::between(&one, &other);
    let features: Vec<String> = differences
        .iter()
        .filter(|it| !it.feature.is_posture())
        .map(|it| {
            format!(
                "{} {} or {}",
                it.feature.name(),
                it.target(),
                it.production()
            )
        })
        .collect();
    if features.is_empty() {
        return "one of them has more than one sound".to_owned();
    }
    features.join(", ")
}

/// Disagreements put together, commonest first.
fn commonest(out: &mut String, page: &Page<'_>, columns: usize) {
    title(out, "Where they disagree, commonest first");
    let mut groups: BTreeMap<String, Vec<&Disagreement>> = BTreeMap::new();
    for it in &page.found.disagreements {
        groups.entry(pair(it)).or_default().push(it);
    }
    if groups.is_empty() {
        push_line(out, "  nowhere");
        return;
    }
    let mut groups: Vec<(String, Vec<&Disagreement>)> = groups.into_iter().collect();
    groups.sort_by_key(|(_, these)| std::cmp::Reverse(these.len()));
    let total = groups.len();
    for (pair, these) in groups.into_iter().take(LISTED) {
        let Some(first) = these.first() else { continue };
        let mut named: Vec<String> = these
            .iter()
            .filter_map(|it| page.rows.get(it.pair))
            .take(WORDS)
            .map(|row| visible(row.word))
            .collect();
        named.dedup();
        let more = these.len().saturating_sub(WORDS);
        let more = if more > 0 {
            format!(" and {more} more")
        } else {
            String::new()
        };
        let text = format!("{}: {}{more}", differing(first), named.join(", "));
        let label = format!(
            "{}{}",
            padded(&these.len().to_string(), 5),
            padded(&pair, 9)
        );
        push_hanging(out, 2, &label, palette::STRONG, 15, &text, columns);
    }
    if total > LISTED {
        let more = counted(total - LISTED, "kind more", "kinds more");
        push_line(out, &format!("  and {more}; --every lists each"));
    }
}

/// Every single disagreement, row by row.
fn every(out: &mut String, page: &Page<'_>) {
    title(out, "Every disagreement");
    if page.found.disagreements.is_empty() {
        push_line(out, "  nowhere");
    }
    for it in &page.found.disagreements {
        let Some(row) = page.rows.get(it.pair) else {
            continue;
        };
        let [one, other] = row.lines;
        let place = if one == other {
            format!("row {one}")
        } else {
            format!("rows {one}, {other}")
        };
        push_line(
            out,
            &format!(
                "  {}  {}  {}  {}",
                padded(&place, 13),
                padded(&visible(row.word), 14),
                padded(&pair(it), 9),
                differing(it)
            ),
        );
    }
}

fn stress(out: &mut String, page: &Page<'_>, columns: usize) {
    if page.found.stress.is_empty() {
        return;
    }
    let named: Vec<String> = page
        .found
        .stress
        .iter()
        .filter_map(|at| page.rows.get(*at))
        .map(|row| visible(row.word))
        .collect();
    title(out, "Stress marked differently");
    push_hanging(out, 2, "", palette::FAINT, 0, &named.join(", "), columns);
}

fn left_out(out: &mut String, page: &Page<'_>, columns: usize) {
    if page.left_out.is_empty() {
        return;
    }
    title(out, "Left out");
    let [first, second] = page.names;
    for it in page.left_out {
        let mut text = if it.word.is_empty() {
            it.reason.clone()
        } else {
            format!("{}: {}", visible(&it.word), it.reason)
        };
        if first != second {
            let _ = write!(text, " [{}]", visible(&it.file));
        }
        let row = format!("row {}", it.line);
        push_hanging(out, 2, &row, palette::WARNING, 10, &text, columns);
    }
}
