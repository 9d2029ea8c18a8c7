//! A class on the screen: its exercises, its learners, how far they agree.

use std::fmt::Write as _;

use anstyle::Style;

use super::line::visible;
use super::{
    counted, heading, padded, palette, push_hanging, push_line, styled, wrapped,
};
use crate::practice::agree::Agreement;
use crate::practice::class::{Class, ItemStatistics};
use crate::text::width;

/// Below this many learners, figures about exercises say little.
const FEW: usize = 10;

/// Draws a class.
#[must_use]
pub fn page(class: &Class, agreement: &Agreement, columns: usize) -> String {
    let mut page = String::new();
    let plain = Style::new();
    let learners = counted(class.learners.len(), "learner", "learners");
    let items = counted(class.items.len(), "exercise", "exercises");
    push_line(&mut page, &format!("{learners}, {items}"));
    if class.learners.len() < FEW {
        let note = format!(
            "Fewer than {FEW} learners: the figures below can turn with a single answer."
        );
        push_hanging(&mut page, 0, "", plain, 0, &note, columns);
    }
    push_line(&mut page, &heading("Exercises"));
    let name = |item: &ItemStatistics| {
        format!("{} {}", visible(&item.item.0), visible(&item.item.1))
    };
    let names = class.items.iter().map(|it| width(&name(it))).max();
    let names = names.unwrap_or(0).max(4);
    let head = format!(
        "  {}  {:>7}  {:>5}  {:>6}  {:>5}  {:>5}  {:>5}",
        padded("", names),
        "answers",
        "p",
        "credit",
        "r",
        "r'",
        "D"
    );
    push_line(&mut page, &styled(palette::FAINT, &head));
    for item in &class.items {
        let row = format!(
            "  {}  {:>7}  {:>5}  {:>6}  {:>5}  {:>5}  {:>5}",
            padded(&name(item), names),
            item.answers,
            figure(item.difficulty),
            figure(item.credit),
            figure(item.point_biserial),
            figure(item.corrected),
            figure(item.upper_lower),
        );
        push_line(&mut page, &row);
        let wrong: Vec<String> = item
            .wrong
            .iter()
            .take(3)
            .map(|(answer, count)| {
                let answer = if answer.is_empty() {
                    "blank".to_owned()
                } else {
                    visible(answer)
                };
                format!("{answer} ({count})")
            })
            .collect();
        if !wrong.is_empty() {
            let text = format!("wrong: {}", wrong.join(", "));
            push_hanging(&mut page, 4, "", plain, 0, &text, columns);
        }
    }
    let legend = "p: share right (the higher, the easier); credit: mean credit; r: \
         point-biserial correlation with the share right over all exercises, r': over the \
         other exercises; D: share right in the upper 27 % less that in the lower 27 %. \
         A low or negative r' asks for a look at the key before a look at the class.";
    for row in wrapped(legend, columns.saturating_sub(2)) {
        push_line(&mut page, &styled(palette::FAINT, &format!("  {row}")));
    }
    let reliability = figure(class.reliability);
    let complete = counted(class.complete, "learner", "learners");
    let text = format!("KR-20 {reliability}, over {complete} who answered everything.");
    push_hanging(&mut page, 0, "", plain, 0, &text, columns);
    push_line(&mut page, &heading("Learners"));
    let names = class
        .learners
        .iter()
        .map(|it| width(&visible(&it.learner)))
        .max();
    let names = names.unwrap_or(0).max(4);
    for learner in &class.learners {
        let with_key = agreement
            .with_key
            .iter()
            .find(|it| it.learner == learner.learner);
        let mut text = format!(
            "{} right of {}, credit {:.2}",
            learner.right, learner.answers, learner.credit
        );
        if let Some(it) = with_key {
            let _ = write!(
                text,
                "; with the key {} of {} sounds, kappa {}",
                it.agreed,
                it.places,
                figure(it.kappa)
            );
        }
        let label = visible(&learner.learner);
        push_hanging(
            &mut page,
            2,
            &label,
            palette::STRONG,
            names + 2,
            &text,
            columns,
        );
    }
    if agreement.with_key.len() > 1 {
        let alpha = figure(agreement.among);
        let text =
            format!("Among the learners: Krippendorff's alpha {alpha} over sounds.");
        push_hanging(&mut page, 0, "", plain, 0, &text, columns);
    }
    page
}

/// A figure with two decimals; a dash where it is undefined.
fn figure(value: Option<f64>) -> String {
    value.map_or_else(|| "–".to_owned(), |value| format!("{value:.2}"))
}
