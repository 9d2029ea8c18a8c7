//! The small views: lips from the front, the roof from below.

use super::svg::{Svg, line};
use crate::inventory::mouth as table;
use crate::posture::geometry::{Point, smooth};
use crate::posture::mouth::Mouth;
use crate::posture::pose::Pose;

/// Pixels a millimetre.
const SCALE: f64 = 2.1;

/// The height of the strip of small views.
pub(crate) const HIGH: f64 = 128.0;

/// Draws the lips from the front, in the middle of a spot.
pub(crate) fn lips(svg: &mut Svg, pose: &Pose, centre: Point) {
    let at = |x: f64, y: f64| centre + Point::new(x * SCALE, -y * SCALE);
    let half = pose.width / 2.0;
    let open = pose.aperture * 0.5;
    let lift = 0.35 * open + 1.8 * pose.labiodental;
    let red = 6.6 + 0.3 * pose.protrusion;
    let closed = |points: &[Point]| {
        let mut all = points.to_vec();
        all.extend(points.first());
        line(&smooth(&all, 6), true)
    };
    let outer = [
        at(-half, 0.0),
        at(-half * 0.52, open + lift + red * 0.72),
        at(-half * 0.16, open + lift + red),
        at(0.0, open + lift + red * 0.84),
        at(half * 0.16, open + lift + red),
        at(half * 0.52, open + lift + red * 0.72),
        at(half, 0.0),
        at(half * 0.5, -open + lift - red * 0.8),
        at(0.0, -open + lift - red * 1.15),
        at(-half * 0.5, -open + lift - red * 0.8),
    ];
    // Rings around lips that stand out, one for every two millimetres.
    let rings = (pose.protrusion / 2.0).round();
    let mut ring = 1.0;
    while ring <= rings {
        let grown: Vec<Point> = outer
            .iter()
            .map(|it| *it + (*it - centre).unit() * (4.0 * ring))
            .collect();
        svg.shape(
            "path",
            "ap-thin",
            &[("d", &closed(&grown)), ("stroke-dasharray", "2 3")],
        );
        ring += 1.0;
    }
    let skin = closed(&outer);
    svg.path("ap-lip", &skin);
    let inner_half = half * (0.9 - 0.25 * (pose.protrusion / 7.0));
    let (top, bottom) = (open + lift, -open + lift);
    let hole = [
        at(-inner_half, 0.0),
        at(-inner_half * 0.5, top * 0.85),
        at(0.0, top),
        at(inner_half * 0.5, top * 0.85),
        at(inner_half, 0.0),
        at(inner_half * 0.5, bottom * 0.85),
        at(0.0, bottom),
        at(-inner_half * 0.5, bottom * 0.85),
    ];
    if pose.aperture > 0.6 {
        svg.path("ap-hole", &closed(&hole));
        teeth(svg, pose, inner_half, (top, bottom), &at);
    }
    svg.path("ap-edge", &skin);
    if pose.aperture <= 0.6 {
        let seam = [
            at(-inner_half, 0.0),
            at(-inner_half * 0.4, 0.6),
            at(0.0, -0.2),
            at(inner_half * 0.4, 0.6),
            at(inner_half, 0.0),
        ];
        svg.path("ap-edge", &line(&smooth(&seam, 5), false));
    } else {
        svg.path("ap-thin", &closed(&hole));
    }
    if pose.width > table::WIDTH_REST + 3.0 {
        for side in [-1.0, 1.0] {
            let (from, to) = (side * (half + 1.5), side * (half + 9.0));
            svg.pointer("ap-mark", at(from, 0.0), at(to, 0.0));
        }
    }
}

/// The edges of the teeth, and a tip between them, as far as the opening shows them.
fn teeth(
    svg: &mut Svg,
    pose: &Pose,
    half: f64,
    (top, bottom): (f64, f64),
    at: &dyn Fn(f64, f64) -> Point,
) {
    // How far the edge of the upper teeth hangs below the lip, and where the lower ones are.
    let shown = half * 0.74;
    let band = |svg: &mut Svg, class: &str, upper: f64, lower: f64, wide: f64| {
        let upper = upper.min(top * 0.92);
        let lower = lower.max(bottom * 0.92);
        if upper - lower > 0.5 {
            let (from, to) = (at(-wide, upper), at(wide, lower));
            svg.rect(class, (from.x, from.y), (to.x - from.x, to.y - from.y), 3.0);
        }
    };
    let edge = top - 2.0 - 0.14 * pose.aperture;
    band(svg, "ap-tooth", top, edge, shown);
    if pose.labiodental < 0.5 {
        let lower = edge - pose.jaw - 0.6;
        band(svg, "ap-tooth", lower, bottom, shown * 0.86);
        if pose.interdental > 0.5 {
            band(svg, "ap-tongue", edge - 0.3, edge - 4.4, shown * 0.62);
        }
    }
}

/// Draws how far the jaw is let down: a scale of three steps with a pointer.
pub(crate) fn jaw(svg: &mut Svg, pose: &Pose, at: Point) {
    const HIGH: f64 = 72.0;
    let y = |gap: f64| at.y + HIGH * (gap / table::JAW_MOST).clamp(0.0, 1.0);
    let steps = [
        (0.0, table::JAW_CLOSED_MOST),
        (table::JAW_CLOSED_MOST, table::JAW_SLIGHTLY_MOST),
        (table::JAW_SLIGHTLY_MOST, table::JAW_MOST),
    ];
    for (from, to) in steps {
        let here = pose.jaw >= from - 1e-9 && pose.jaw <= to
            || pose.jaw > to && to >= table::JAW_MOST;
        let class = if here { "ap-bar" } else { "ap-bar-open" };
        svg.rect(
            class,
            (at.x, y(from) + 1.5),
            (9.0, y(to) - y(from) - 3.0),
            2.0,
        );
    }
    let tip = Point::new(at.x + 11.0, y(pose.jaw));
    let head = [tip, tip + Point::new(8.0, -4.5), tip + Point::new(8.0, 4.5)];
    svg.path("ap-ink", &line(&head, true));
    svg.text(
        "ap-faint",
        Point::new(at.x + 4.5, at.y + HIGH + 14.0),
        11.0,
        "middle",
        "jaw",
    );
}

/// The half width of the dental arch at a distance behind the teeth, in millimetres.
fn half_arch(depth: f64) -> f64 {
    const WIDEST: f64 = 24.0;
    WIDEST * (1.0 - (1.0 - (depth / 34.0).clamp(0.0, 1.0)).powf(2.4)).powf(0.62)
}

/// The upper teeth of one side, from the middle: how far aside and how far back, in
/// millimetres.
const TEETH: [(f64, f64); 7] = [
    (2.6, 0.2),
    (7.6, 1.2),
    (12.2, 4.0),
    (15.8, 8.5),
    (18.6, 14.0),
    (21.6, 22.0),
    (23.6, 31.0),
];

/// Draws the roof seen from below, the teeth at the top, what is touched as one shaded area.
pub(crate) fn roof(svg: &mut Svg, pose: &Pose, mouth: &Mouth, top: Point) {
    const SCALE: f64 = 1.72;
    let depth_of = |spot: Point| spot.x - 1.0;
    let at = |aside: f64, depth: f64| top + Point::new(aside * SCALE, depth * SCALE);
    let stations: Vec<f64> = (0..=28).map(|step| f64::from(step) * 2.0).collect();
    let arch = || -> Vec<Point> {
        let left = stations
            .iter()
            .rev()
            .map(|depth| at(-half_arch(*depth), *depth));
        let right = stations.iter().map(|depth| at(half_arch(*depth), *depth));
        left.chain(right).collect()
    };
    svg.path("ap-flesh", &line(&arch(), true));
    // The ridge and the end of the hard roof.
    for (depth, dashes) in [(10.5, "4 3"), (45.0, "1 3")] {
        let wide = half_arch(depth) * 0.94;
        let bow: Vec<Point> = (-6..=6)
            .map(|step| {
                let share = f64::from(step) / 6.0;
                at(
                    share * wide,
                    depth
                        + if depth < 20.0 {
                            5.0 * share * share
                        } else {
                            0.0
                        },
                )
            })
            .collect();
        svg.shape(
            "path",
            "ap-rule",
            &[("d", &line(&bow, false)), ("stroke-dasharray", dashes)],
        );
    }
    // What is touched.
    let touches = mouth.roof(pose);
    let mut run: Vec<(f64, f64, f64)> = Vec::new();
    let mut runs = Vec::new();
    for touch in &touches {
        if touch.from < 0.97 && touch.to - touch.from > 0.02 {
            run.push((depth_of(touch.spot), touch.from, touch.to));
        } else if !run.is_empty() {
            runs.push(std::mem::take(&mut run));
        }
    }
    if !run.is_empty() {
        runs.push(run);
    }
    for run in &runs {
        for side in [-1.0, 1.0] {
            let out = run
                .iter()
                .map(|(depth, _, to)| at(side * half_arch(*depth) * to, *depth));
            let back = run
                .iter()
                .rev()
                .map(|(depth, from, _)| at(side * half_arch(*depth) * from, *depth));
            let mut area: Vec<Point> = out.chain(back).collect();
            // A single row of spots still shows.
            if run.len() == 1
                && let Some((depth, from, to)) = run.first()
            {
                area = vec![
                    at(side * half_arch(*depth) * from, depth - 0.7),
                    at(side * half_arch(*depth) * to, depth - 0.7),
                    at(side * half_arch(*depth) * to, depth + 0.7),
                    at(side * half_arch(*depth) * from, depth + 0.7),
                ];
            }
            svg.path("ap-touch-area", &line(&area, true));
        }
    }
    svg.path("ap-edge", &line(&arch(), false));
    // The teeth: a row of small arches outside the arch.
    for (number, (wide, depth)) in TEETH.into_iter().enumerate() {
        for side in [-1.0, 1.0] {
            let spot = at(side * (wide + 1.6), depth - 2.2);
            let [x, y] = [spot.x, spot.y].map(super::svg::number);
            let (rx, ry) = if number < 2 {
                ("4", "3")
            } else {
                ("3.6", "4.2")
            };
            svg.shape(
                "ellipse",
                "ap-tooth",
                &[("cx", &x), ("cy", &y), ("rx", rx), ("ry", ry)],
            );
        }
    }
    svg.text(
        "ap-faint",
        at(0.0, 56.0) + Point::new(0.0, 13.0),
        11.0,
        "middle",
        "roof, from below",
    );
    if pose.lateral > 0.5 {
        for side in [-1.0, 1.0] {
            svg.arrow(at(side * 17.0, 46.0), at(side * 15.0, 18.0));
        }
    }
}
