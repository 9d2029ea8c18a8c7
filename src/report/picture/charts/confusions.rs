//! What was said for what: a table of counts.

use super::super::count;
use super::super::svg::Svg;
use crate::posture::geometry::Point;

/// What was said for a target, so many times.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Confusion {
    /// The target; empty where a sound was added.
    pub target: String,
    /// The production; empty where a sound was left out.
    pub said: String,
    /// How often.
    pub times: u32,
}

const CELL: f64 = 38.0;
const LEFT: f64 = 92.0;
const TOP: f64 = 88.0;

/// A table with a row for each target and a column for each production, in the order in which
/// they first come; each cell holds its count in a square that is larger the higher the count
/// within its row. What was said as wanted stands in a frame.
#[must_use]
pub fn confusions(confusions: &[Confusion]) -> String {
    let shown = |text: &str| {
        if text.is_empty() {
            "∅".to_owned()
        } else {
            text.to_owned()
        }
    };
    let mut targets: Vec<String> = Vec::new();
    let mut said: Vec<String> = Vec::new();
    for it in confusions {
        for (list, text) in [(&mut targets, &it.target), (&mut said, &it.said)] {
            let text = shown(text);
            if !list.contains(&text) {
                list.push(text);
            }
        }
    }
    // Targets first, in their order, so that what was said as wanted lies on a slope.
    said.sort_by_key(|text| {
        let row = targets.iter().position(|target| target == text);
        row.unwrap_or(usize::MAX)
    });
    let words: Vec<String> = confusions
        .iter()
        .map(|it| match (it.target.is_empty(), it.said.is_empty()) {
            (true, _) => format!("{} added {} times", it.said, it.times),
            (_, true) => format!("{} left out {} times", it.target, it.times),
            _ => format!("{} said as {} {} times", it.target, it.said, it.times),
        })
        .collect();
    let title = "What was said for what";
    let wide = (LEFT + CELL * count(said.len()) + 20.0).max(300.0);
    let high = TOP + CELL * count(targets.len()) + 36.0;
    let mut svg = Svg::new(wide, high, title, &format!("{}.", words.join("; ")));
    svg.text("ap-text", Point::new(16.0, 24.0), 15.0, "start", title);
    svg.text("ap-faint", Point::new(LEFT, 50.0), 11.0, "start", "said →");
    svg.text(
        "ap-faint",
        Point::new(16.0, TOP - 8.0),
        11.0,
        "start",
        "wanted ↓",
    );
    for (column, text) in said.iter().enumerate() {
        let x = LEFT + CELL * (count(column) + 0.5);
        svg.text("ap-text", Point::new(x, TOP - 10.0), 15.0, "middle", text);
    }
    for (row, target) in targets.iter().enumerate() {
        let y = TOP + CELL * count(row);
        svg.text(
            "ap-text",
            Point::new(40.0, y + 24.0),
            15.0,
            "middle",
            target,
        );
        let of_row = confusions.iter().filter(|it| shown(&it.target) == *target);
        let total: u32 = of_row.map(|it| it.times).sum();
        for (column, production) in said.iter().enumerate() {
            let x = LEFT + CELL * count(column);
            svg.rect("ap-grid", (x, y), (CELL, CELL), 0.0);
            let times: u32 = confusions
                .iter()
                .filter(|it| {
                    shown(&it.target) == *target && shown(&it.said) == *production
                })
                .map(|it| it.times)
                .sum();
            if times == 0 {
                continue;
            }
            let share = f64::from(times) / f64::from(total.max(1));
            let middle = Point::new(x + CELL / 2.0, y + CELL / 2.0);
            // The area of the square is the share of the row.
            let side = (CELL - 5.0) * share.sqrt();
            let full = side > 22.0;
            svg.rect(
                "ap-bar",
                (middle.x - side / 2.0, middle.y - side / 2.0),
                (side, side),
                2.0,
            );
            if target == production {
                svg.rect("ap-edge", (x + 1.5, y + 1.5), (CELL - 3.0, CELL - 3.0), 2.0);
            }
            let class = if full { "ap-page" } else { "ap-text" };
            let at = if full {
                middle + Point::new(0.0, 4.5)
            } else {
                Point::new(x + CELL - 5.0, y + CELL - 5.0)
            };
            let anchor = if full { "middle" } else { "end" };
            svg.text(class, at, 12.0, anchor, &times.to_string());
        }
    }
    let note = "Square: share of its row. Frame: said as wanted.";
    svg.text(
        "ap-faint",
        Point::new(16.0, high - 8.0),
        11.0,
        "start",
        note,
    );
    svg.finish()
}
