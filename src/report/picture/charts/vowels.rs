//! The vowel space: what was wanted, what was said, and arrows between them.

use super::super::count;
use super::super::svg::{Svg, line};
use crate::feature::FeatureBundle;
use crate::posture::geometry::Point;
use crate::posture::gesture::vowel_spot;

/// A vowel that was wanted and what was said for it, so many times.
#[derive(Clone, Debug, PartialEq)]
pub struct VowelShift {
    /// The target as written.
    pub target: String,
    /// Its features.
    pub wanted: FeatureBundle,
    /// The production as written.
    pub said: String,
    /// Its features.
    pub produced: FeatureBundle,
    /// How often.
    pub times: u32,
}

const WIDE: f64 = 560.0;
const HIGH: f64 = 430.0;

/// Where a vowel lies on the page: the chart's trapezium, front at the left.
fn spot(bundle: &FeatureBundle) -> Point {
    let (height, back) = vowel_spot(bundle);
    let left = 70.0 + 190.0 * height;
    let rounded = if bundle.rounded == Some(true) {
        14.0
    } else {
        -14.0
    };
    Point::new(
        left + (500.0 - left) * back + rounded,
        60.0 + 290.0 * height,
    )
}

/// The vowel space with targets as full discs, productions as open ones, and an arrow from
/// what was said to the target, thicker the more often it came.
///
/// Rows are heights, columns front to back, as on the chart of the IPA; rounded vowels stand
/// to the right of their place.
#[must_use]
pub fn vowels(shifts: &[VowelShift]) -> String {
    let words: Vec<String> = shifts
        .iter()
        .map(|it| {
            if it.wanted == it.produced {
                format!("{} as wanted {} times", it.target, it.times)
            } else {
                format!("{} said as {} {} times", it.target, it.said, it.times)
            }
        })
        .collect();
    let description = format!("{}.", words.join("; "));
    let mut svg = Svg::new(WIDE, HIGH, "Vowels: wanted and said", &description);
    svg.text(
        "ap-text",
        Point::new(16.0, 24.0),
        15.0,
        "start",
        "Vowels: wanted and said",
    );
    for (row, name) in [
        (0.0, "close"),
        (2.0, "close-mid"),
        (4.0, "open-mid"),
        (6.0, "open"),
    ] {
        let y = 60.0 + 290.0 * row / 6.0;
        let left = 70.0 + 190.0 * row / 6.0;
        svg.path(
            "ap-grid",
            &line(&[Point::new(left, y), Point::new(500.0, y)], false),
        );
        svg.text("ap-faint", Point::new(8.0, y + 4.0), 11.0, "start", name);
    }
    for (back, name) in [(0.0, "front"), (0.5, "central"), (1.0, "back")] {
        let (top, bottom) = (70.0 + 430.0 * back, 260.0 + 240.0 * back);
        let column = [Point::new(top, 60.0), Point::new(bottom, 350.0)];
        svg.path("ap-grid", &line(&column, false));
        svg.text("ap-faint", Point::new(top, 40.0), 11.0, "middle", name);
    }
    let most = shifts.iter().map(|it| it.times).max().unwrap_or(1).max(1);
    for shift in shifts.iter().filter(|it| it.wanted != it.produced) {
        let (from, to) = (spot(&shift.produced), spot(&shift.wanted));
        let way = (to - from).unit();
        let apart = from.distance(to);
        if apart > 30.0 {
            let thick = 1.6 + 3.0 * f64::from(shift.times) / f64::from(most);
            let shaft = line(&[from + way * 13.0, to - way * 21.0], false);
            let thick = super::super::svg::number(thick);
            svg.shape(
                "path",
                "ap-arrow",
                &[("d", &shaft), ("stroke-width", &thick)],
            );
            svg.head(to - way * 13.0, way);
        }
        let label = from.towards(to, 0.5) + way.right() * 11.0;
        svg.text(
            "ap-text",
            label,
            11.0,
            "middle",
            &format!("{}×", shift.times),
        );
    }
    let mut drawn: Vec<Point> = Vec::new();
    let mut mark = |svg: &mut Svg, bundle: &FeatureBundle, text: &str, target: bool| {
        let at = spot(bundle);
        if drawn.iter().any(|it| it.distance(at) < 1.0) {
            return;
        }
        drawn.push(at);
        let (disc, letter) = if target {
            ("ap-target-mark", "ap-page")
        } else {
            ("ap-said-mark", "ap-text")
        };
        svg.disc(disc, at, 12.0);
        svg.text(letter, at + Point::new(0.0, 5.0), 15.0, "middle", text);
    };
    for shift in shifts {
        mark(&mut svg, &shift.wanted, &shift.target, true);
    }
    for shift in shifts {
        mark(&mut svg, &shift.produced, &shift.said, false);
    }
    let key = Point::new(24.0, HIGH - 34.0);
    svg.disc("ap-target-mark", key, 7.0);
    svg.text(
        "ap-text",
        key + Point::new(14.0, 4.0),
        12.0,
        "start",
        "wanted",
    );
    svg.disc("ap-said-mark", key + Point::new(90.0, 0.0), 7.0);
    svg.text(
        "ap-text",
        key + Point::new(104.0, 4.0),
        12.0,
        "start",
        "said",
    );
    let note = format!(
        "Places on the chart by features, not measured from sound. {} counted.",
        count(shifts.iter().map(|it| it.times as usize).sum())
    );
    svg.text(
        "ap-faint",
        Point::new(16.0, HIGH - 8.0),
        11.0,
        "start",
        &note,
    );
    svg.finish()
}
