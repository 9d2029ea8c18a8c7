//! Progress over sessions.

use super::super::count;
use super::super::svg::{Svg, line};
use super::{NOTE, interval, percent};
use crate::posture::geometry::Point;

/// What came of one session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Session {
    /// Its date or number.
    pub label: String,
    /// How many were right.
    pub right: u32,
    /// How many were tried.
    pub of: u32,
}

const LEFT: f64 = 52.0;
const TOP: f64 = 46.0;
const TALL: f64 = 220.0;

/// A line of shares over sessions, each with its count and its interval; a session without
/// attempts is a gap in the line.
#[must_use]
pub fn progress(title: &str, sessions: &[Session]) -> String {
    let step = (720.0 / count(sessions.len().max(1))).clamp(4.0, 74.0);
    let wide = (LEFT + step * count(sessions.len()) + 30.0).max(360.0);
    let high = TOP + TALL + 76.0;
    let words: Vec<String> = sessions
        .iter()
        .map(|it| {
            let (low, top) = interval(it.right, it.of);
            format!(
                "{}: {} of {} ({}, interval {:.0} to {:.0} %)",
                it.label,
                it.right,
                it.of,
                percent(it.right, it.of),
                100.0 * low,
                100.0 * top
            )
        })
        .collect();
    let mut svg = Svg::new(wide, high, title, &format!("{}.", words.join("; ")));
    svg.text("ap-text", Point::new(16.0, 24.0), 15.0, "start", title);
    let y = |share: f64| TOP + TALL * (1.0 - share);
    for tick in [0.0, 0.25, 0.5, 0.75, 1.0] {
        let grid = [Point::new(LEFT, y(tick)), Point::new(wide - 16.0, y(tick))];
        svg.path("ap-grid", &line(&grid, false));
        let label = format!("{:.0} %", 100.0 * tick);
        svg.text(
            "ap-faint",
            Point::new(LEFT - 6.0, y(tick) + 4.0),
            11.0,
            "end",
            &label,
        );
    }
    // Labels as far as there is room for them.
    let every = (58.0 / step).ceil().max(1.0);
    let mut run: Vec<Point> = Vec::new();
    let mut marks = Vec::new();
    for (at, session) in sessions.iter().enumerate() {
        let x = LEFT + step * (count(at) + 0.5);
        if (count(at) % every).abs() < 0.5 {
            let below = Point::new(x, TOP + TALL + 18.0);
            svg.text("ap-faint", below, 11.0, "middle", &session.label);
            let figures = format!("n = {}", session.of);
            svg.text(
                "ap-faint",
                below + Point::new(0.0, 15.0),
                10.0,
                "middle",
                &figures,
            );
        }
        if session.of == 0 {
            svg.path("ap-target", &line(&run, false));
            run.clear();
            continue;
        }
        let share = f64::from(session.right.min(session.of)) / f64::from(session.of);
        let (low, top) = interval(session.right, session.of);
        let whisker = [Point::new(x, y(low)), Point::new(x, y(top))];
        svg.path("ap-range", &line(&whisker, false));
        for end in whisker {
            let bar = [end - Point::new(3.0, 0.0), end + Point::new(3.0, 0.0)];
            svg.path("ap-range", &line(&bar, false));
        }
        let spot = Point::new(x, y(share));
        run.push(spot);
        marks.push(spot);
    }
    svg.path("ap-target", &line(&run, false));
    for spot in marks {
        svg.disc("ap-target-mark", spot, step.min(10.0) / 2.0);
    }
    note(&mut svg, high, wide);
    svg.finish()
}

/// The note under a chart of shares, in as many lines as it takes.
pub(super) fn note(svg: &mut Svg, high: f64, wide: f64) {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a width in pixels"
    )]
    let letters = (wide / 5.8) as usize;
    let lines = super::super::wrapped(NOTE, letters);
    for (at, text) in lines.iter().rev().enumerate() {
        let spot = Point::new(16.0, high - 8.0 - 13.0 * count(at));
        svg.text("ap-faint", spot, 10.5, "start", text);
    }
}
