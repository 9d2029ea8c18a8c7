//! Practice on the screen: the sets, what is asked, what became of an answer.

use std::fmt::Write as _;

use anstyle::Style;

use super::line::visible;
use super::{counted, heading, padded, palette, push_hanging, push_line, styled};
use crate::alignment::Kind as Change;
use crate::practice::{Exercise, FULL, Grade, Mark, Outcome, Place, Set, feedback};
use crate::text::width;

/// How far what belongs to an exercise is moved in.
const INDENT: usize = 2;
/// The columns of a label.
const LABELS: usize = 8;
/// What stands in a row where the other row has a sound.
const NOTHING: &str = "∅";

/// Draws the sets, a line each, numbered; `counts` holds for each how many exercises were
/// answered, and how many should come again by now.
#[must_use]
pub fn sets(sets: &[Set], counts: &[(usize, usize)], columns: usize) -> String {
    let mut page = String::new();
    let names = sets.iter().map(|set| width(&set.name)).max().unwrap_or(0);
    for (number, set) in (1..).zip(sets) {
        let label = format!("{number:>2}  {}", padded(&visible(&set.name), names));
        let many = set.exercises.len();
        let mut text = format!("{} ({many}", visible(&set.title));
        let (answered, due) = counts.get(number - 1).copied().unwrap_or_default();
        if answered > 0 {
            let _ = write!(text, ", {answered} answered");
        }
        if due > 0 {
            let _ = write!(text, ", {due} to come again");
        }
        text.push(')');
        let wide = names + 6;
        push_hanging(&mut page, 0, &label, palette::STRONG, wide, &text, columns);
    }
    page
}

/// Draws what is asked.
#[must_use]
pub fn task(
    (number, of): (usize, usize),
    set: &Set,
    exercise: &Exercise,
    columns: usize,
) -> String {
    let mut page = String::from("\n");
    let head = format!("{number} of {of}  {}", visible(&set.title));
    push_line(&mut page, &styled(palette::FAINT, &head));
    let task = format!("{}:", exercise.task());
    let prompt = visible(&exercise.prompt());
    let fits = width(&task) + 2 + width(&prompt) < columns;
    if fits {
        push_line(&mut page, &format!("{task}  {}", heading(&prompt)));
    } else {
        push_hanging(&mut page, 0, "", Style::new(), 0, &task, columns);
        for row in super::wrapped(&prompt, columns.saturating_sub(INDENT)) {
            push_line(&mut page, &format!("  {}", heading(&row)));
        }
    }
    page
}

const fn style_of(outcome: Outcome) -> Style {
    match outcome {
        Outcome::Right | Outcome::Typing => palette::GOOD,
        Outcome::Detail => palette::WARNING,
        Outcome::Wrong | Outcome::Unread => palette::ERROR,
        Outcome::Blank => palette::FAINT,
    }
}

/// Draws what became of an answer: the verdict, the answer under the key, what differs, the
/// key and what the exercise teaches.
#[must_use]
pub fn marked(exercise: &Exercise, grade: &Grade, columns: usize) -> String {
    let mut page = String::new();
    let mut verdict = feedback::verdict(exercise, grade).to_owned();
    if !grade.is_right() && grade.credit > 0 {
        let _ = write!(verdict, " ({} % of it is)", percent(grade.credit));
    }
    let verdict = styled(style_of(grade.outcome), &verdict);
    push_line(&mut page, &format!("{:INDENT$}{verdict}", ""));
    if grade.places.iter().any(|place| !place.right) {
        aligned(&mut page, &grade.places, columns);
    }
    let row = |page: &mut String, label: &str, text: &str| {
        push_hanging(page, INDENT, label, palette::FAINT, LABELS, text, columns);
    };
    for sentence in feedback::sentences(exercise, grade) {
        row(&mut page, "", &visible(&sentence));
    }
    let mut keys = vec![visible(&exercise.key)];
    keys.extend(exercise.also.iter().map(|also| visible(also)));
    if keys.len() > 1 || feedback::verdict(exercise, grade) != "right" {
        row(&mut page, "key", &keys.join("  or  "));
    }
    if !exercise.point.is_empty() {
        row(&mut page, "point", &visible(&exercise.point));
    }
    page
}

/// A credit in whole per cent; 100 only for all of it.
fn percent(credit: u32) -> u32 {
    let percent = credit * 100 / FULL;
    percent.max(u32::from(credit > 0))
}

/// The answer under the key, sound by sound, with a mark under what is wrong.
fn aligned(page: &mut String, places: &[Place], columns: usize) {
    let cell = |text: &Option<String>| {
        let shown = text.as_deref().map(visible);
        shown.unwrap_or_else(|| NOTHING.to_owned())
    };
    let cells: Vec<[String; 3]> = places
        .iter()
        .map(|place| {
            let mark = if place.right { "" } else { mark_of(place) };
            [cell(&place.key), cell(&place.answer), mark.to_owned()]
        })
        .collect();
    let room = columns.saturating_sub(INDENT + LABELS).max(10);
    let mut rest = cells.as_slice();
    while !rest.is_empty() {
        let mut used = 0;
        let fit = rest.iter().take_while(|cells| {
            used += wide(cells) + 1;
            used <= room + 1
        });
        let (now, later) = rest.split_at(fit.count().clamp(1, rest.len()));
        rest = later;
        for (number, label) in ["key", "yours", ""].into_iter().enumerate() {
            let mut row = " ".repeat(INDENT);
            row.push_str(&styled(palette::FAINT, label));
            row.push_str(&" ".repeat(LABELS - label.len()));
            for cells in now {
                let text = cells.get(number).map(String::as_str).unwrap_or_default();
                let wrong = cells.get(2).is_some_and(|mark| !mark.is_empty());
                let padding = " ".repeat((wide(cells) + 1).saturating_sub(width(text)));
                if wrong && number > 0 {
                    row.push_str(&styled(palette::ERROR, text));
                } else {
                    row.push_str(text);
                }
                row.push_str(&padding);
            }
            push_line(page, &row);
        }
    }
}

fn wide(cells: &[String; 3]) -> usize {
    cells.iter().map(|cell| width(cell)).max().unwrap_or(0)
}

const fn mark_of(place: &Place) -> &'static str {
    match (place.change, &place.key, &place.answer) {
        (Change::Transposition, ..) => "⇄",
        (_, Some(_), None) => "−",
        (_, None, Some(_)) => "+",
        (Change::Substitution, ..) => "≠",
        _ => "~",
    }
}

/// Draws how a session went, in counts.
#[must_use]
pub fn summary(marks: &[Mark], columns: usize) -> String {
    let mut page = String::from("\n");
    let count =
        |outcome: Outcome| marks.iter().filter(|mark| mark.outcome == outcome).count();
    let all = counted(marks.len(), "answer", "answers");
    let counts: Vec<String> = [
        (Outcome::Right, "right"),
        (Outcome::Typing, "right but for a typing slip"),
        (Outcome::Detail, "off in a detail"),
        (Outcome::Wrong, "wrong"),
        (Outcome::Unread, "unreadable"),
        (Outcome::Blank, "blank"),
    ]
    .into_iter()
    .map(|(outcome, words)| (count(outcome), words))
    .filter(|(count, _)| *count > 0)
    .map(|(count, words)| format!("{count} {words}"))
    .collect();
    let text = if counts.is_empty() {
        "No answers.".to_owned()
    } else {
        format!("{all}: {}.", counts.join(", "))
    };
    push_hanging(&mut page, 0, "", Style::new(), 0, &text, columns);
    page
}

/// Draws marks as a list: whose, which exercise, how it came out and why.
#[must_use]
pub fn marks(marks: &[Mark], columns: usize) -> String {
    let mut page = String::new();
    for mark in marks {
        let whose = if mark.learner.is_empty() {
            String::new()
        } else {
            format!("{}  ", visible(&mark.learner))
        };
        let head = format!(
            "{whose}{} {}  {} for {}: ",
            visible(&mark.set),
            visible(&mark.item),
            if mark.answer.is_empty() {
                "nothing".to_owned()
            } else {
                visible(&mark.answer)
            },
            visible(&mark.key),
        );
        let outcome = mark.outcome.name();
        let share = if mark.credit == FULL || mark.credit == 0 {
            String::new()
        } else {
            format!(" ({} %)", percent(mark.credit))
        };
        push_line(
            &mut page,
            &format!("{head}{}{share}", styled(style_of(mark.outcome), outcome)),
        );
        for sentence in &mark.feedback {
            let sentence = visible(sentence);
            push_hanging(&mut page, 4, "", Style::new(), 0, &sentence, columns);
        }
    }
    page
}
