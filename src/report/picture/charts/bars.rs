//! Shares by position, syllable part or anything else that has a name.

use super::super::count;
use super::super::svg::{Svg, line};
use super::{interval, percent, progress::note};
use crate::posture::geometry::Point;

/// A share with a name: errors in a position, say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Share {
    /// What is counted.
    pub label: String,
    /// How many of them.
    pub count: u32,
    /// Out of how many.
    pub of: u32,
}

const LEFT: f64 = 150.0;
const TOP: f64 = 44.0;
const ROW: f64 = 34.0;
const LONG: f64 = 300.0;

/// A bar for each share, with its interval, its figures and its count.
#[must_use]
pub fn shares(title: &str, shares: &[Share]) -> String {
    let wide = LEFT + LONG + 120.0;
    let high = TOP + ROW * count(shares.len()) + 56.0;
    let words: Vec<String> = shares
        .iter()
        .map(|it| {
            format!(
                "{}: {} of {} ({})",
                it.label,
                it.count,
                it.of,
                percent(it.count, it.of)
            )
        })
        .collect();
    let mut svg = Svg::new(wide, high, title, &format!("{}.", words.join("; ")));
    svg.text("ap-text", Point::new(16.0, 24.0), 15.0, "start", title);
    for (at, share) in shares.iter().enumerate() {
        let y = TOP + ROW * count(at);
        let size =
            (15.0 * 20.0 / count(share.label.chars().count().max(20))).clamp(8.0, 13.0);
        let label = Point::new(LEFT - 8.0, y + 17.0);
        svg.text("ap-text", label, size, "end", &share.label);
        svg.rect("ap-bar-open", (LEFT, y + 4.0), (LONG, 18.0), 1.0);
        let figures = Point::new(LEFT + LONG + 10.0, y + 17.0);
        let text = format!(
            "{} of {} · {}",
            share.count,
            share.of,
            percent(share.count, share.of)
        );
        svg.text("ap-text", figures, 12.0, "start", &text);
        if share.of == 0 {
            continue;
        }
        let part = f64::from(share.count.min(share.of)) / f64::from(share.of);
        svg.rect("ap-bar", (LEFT, y + 4.0), (LONG * part, 18.0), 1.0);
        let (low, top) = interval(share.count, share.of);
        let at = |share: f64| Point::new(LEFT + LONG * share, y + 26.0);
        let tick = Point::new(0.0, 3.0);
        svg.path("ap-range", &line(&[at(low), at(top)], false));
        for end in [low, top] {
            svg.path("ap-range", &line(&[at(end) - tick, at(end) + tick], false));
        }
    }
    note(&mut svg, high, wide);
    svg.finish()
}
