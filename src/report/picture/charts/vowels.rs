//! The vowel space: what was wanted, what was said, and arrows between them.

use super::super::count;
use super::super::svg::{Svg, line};
use crate::feature::{FeatureBundle, Shift};
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

/// Where a glide ends, if the vowel has one.
fn end(bundle: &FeatureBundle) -> Option<Point> {
    let glide = bundle.glide?;
    Some(spot(&FeatureBundle {
        height: Some(glide.height),
        backness: Some(glide.backness),
        rounded: Some(glide.rounded),
        shift: Shift::default(),
        ..*bundle
    }))
}

/// A vowel with its disc's place.
struct Mark<'s> {
    bundle: &'s FeatureBundle,
    text: &'s str,
    at: Point,
    wanted: bool,
}

const DISC: f64 = 12.0;

/// Every vowel once, wanted ones first; those of one place stand side by side.
fn marks(shifts: &[VowelShift]) -> Vec<Mark<'_>> {
    let wanted = shifts.iter().map(|it| (&it.wanted, &it.target, true));
    let said = shifts.iter().map(|it| (&it.produced, &it.said, false));
    let mut all: Vec<Mark<'_>> = Vec::new();
    for (bundle, text, wanted) in wanted.chain(said) {
        if all.iter().any(|it| it.bundle == bundle) {
            continue;
        }
        let (x, y) = (2.0 * DISC + 3.0, 2.0 * DISC + 2.0);
        let beside = [(0.0, 0.0), (x, 0.0), (-x, 0.0), (0.0, y), (x, y), (-x, y)];
        let free = |at: &Point| all.iter().all(|it| it.at.distance(*at) > 2.0 * DISC);
        let own = spot(bundle);
        let mut places = beside.iter().map(|(x, y)| own + Point::new(*x, *y));
        all.push(Mark {
            bundle,
            text,
            at: places.find(free).unwrap_or(own),
            wanted,
        });
    }
    all
}

/// The vowel space with targets as full discs, productions as open ones, and an arrow from
/// what was said to the target, thicker the more often it came.
///
/// Rows are heights, columns front to back, as on the chart of the IPA; rounded vowels stand
/// to the right of their place. A vowel that glides stands where it begins, with a dotted way
/// to where it ends.
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
    let marks = marks(shifts);
    for mark in &marks {
        let Some(to) = end(mark.bundle) else { continue };
        let way = (to - mark.at).unit();
        let taken = marks.iter().any(|it| it.at.distance(to) < DISC);
        let to = if taken { to - way * (DISC + 2.0) } else { to };
        svg.path(
            "ap-glide",
            &line(&[mark.at + way * DISC, to - way * 8.0], false),
        );
        svg.head(to, way);
    }
    let place = |bundle: &FeatureBundle| {
        let mark = marks.iter().find(|it| it.bundle == bundle);
        mark.map_or_else(|| spot(bundle), |it| it.at)
    };
    let most = shifts.iter().map(|it| it.times).max().unwrap_or(1).max(1);
    for shift in shifts.iter().filter(|it| it.wanted != it.produced) {
        let (from, to) = (place(&shift.produced), place(&shift.wanted));
        let way = (to - from).unit();
        let apart = from.distance(to);
        if apart > 34.0 {
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
        // Between discs that touch there is no room: above them.
        let off = if apart > 34.0 {
            way.right() * 11.0
        } else {
            Point::new(0.0, -15.0)
        };
        let label = from.towards(to, 0.5) + off;
        svg.text(
            "ap-text",
            label,
            11.0,
            "middle",
            &format!("{}×", shift.times),
        );
    }
    for mark in &marks {
        let (disc, letter) = if mark.wanted {
            ("ap-target-mark", "ap-page")
        } else {
            ("ap-said-mark", "ap-text")
        };
        let size = if mark.text.chars().count() > 1 {
            12.0
        } else {
            15.0
        };
        svg.disc(disc, mark.at, DISC);
        svg.text(
            letter,
            mark.at + Point::new(0.0, 5.0),
            size,
            "middle",
            mark.text,
        );
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
    if marks.iter().any(|it| it.bundle.glide.is_some()) {
        let from = key + Point::new(160.0, 0.0);
        let to = from + Point::new(34.0, 0.0);
        svg.path("ap-glide", &line(&[from, to - Point::new(8.0, 0.0)], false));
        svg.head(to, Point::new(1.0, 0.0));
        let words = to + Point::new(8.0, 4.0);
        svg.text("ap-text", words, 12.0, "start", "glides to");
    }
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
