//! A movement in steps: stills in a row, and the same moving.

use super::svg::Svg;
use super::{overlay, side};
use crate::posture::geometry::Point;
use crate::posture::gesture::Gesture;
use crate::posture::mouth::Mouth;
use crate::posture::pose::Pose;

/// Steps between two moments.
const BETWEEN: u32 = 4;

/// The poses from the first moment to the last.
fn poses(gestures: &[Gesture]) -> Vec<Pose> {
    let mut poses = Vec::new();
    for pair in gestures.windows(2) {
        let [from, to] = pair else { continue };
        poses.extend((0..BETWEEN).map(|step| {
            let share = f64::from(step) / f64::from(BETWEEN);
            let eased = crate::posture::geometry::eased(share);
            from.pose.towards(&to.pose, eased)
        }));
    }
    poses.extend(gestures.last().map(|last| last.pose));
    poses
}

/// One shape through all mouths: there, a rest, and back, so that the end is seen as long as
/// the way.
fn animate(
    svg: &mut Svg,
    mouths: &[Mouth],
    offset: Point,
    class: &str,
    of: &dyn Fn(&Mouth) -> (Vec<Point>, bool),
) {
    let paths: Vec<String> = mouths
        .iter()
        .map(|mouth| {
            let (points, closed) = of(mouth);
            side::path(&points, closed, offset)
        })
        .collect();
    let mut values: Vec<&str> = paths.iter().map(String::as_str).collect();
    values.extend(paths.last().map(String::as_str));
    values.extend(paths.iter().rev().map(String::as_str));
    values.extend(paths.first().map(String::as_str));
    let start = paths.first().map_or("", String::as_str);
    svg.animated(class, start, &values.join(";"));
}

/// Draws the moving panel. Where movement is not wanted, and on paper, it stays away: the
/// stills beside it show the same.
pub(crate) fn moving(svg: &mut Svg, gestures: &[Gesture], offset: Point) {
    let mouths: Vec<Mouth> = poses(gestures).iter().map(Mouth::of).collect();
    let Some(first) = mouths.first() else { return };
    svg.open("g", &[("class", "ap-moving")]);
    side::head(svg, offset);
    for (number, (class, ..)) in side::below(first).into_iter().enumerate() {
        animate(svg, &mouths, offset, class, &|mouth| {
            let shapes = side::below(mouth).into_iter();
            let mut shapes = shapes.map(|(_, points, closed)| (points, closed));
            shapes.nth(number).unwrap_or_default()
        });
    }
    side::above(svg, first, offset);
    let mut animate = |class: &str, of: &dyn Fn(&Mouth) -> (Vec<Point>, bool)| {
        animate(svg, &mouths, offset, class, of);
    };
    animate("ap-tongue", &|mouth| (mouth.tongue.clone(), true));
    animate("ap-tongue-edge", &|mouth| {
        (side::surface(mouth).to_vec(), false)
    });
    animate("ap-velum", &|mouth| (mouth.velum.clone(), true));
    animate("ap-tooth", &|mouth| (mouth.lower_tooth.clone(), true));
    animate("ap-flesh", &|mouth| (mouth.upper_lip.clone(), true));
    animate("ap-lip", &|mouth| (mouth.upper_red.clone(), true));
    animate("ap-edge", &|mouth| (mouth.upper_lip.clone(), false));
    animate("ap-flesh", &|mouth| (mouth.lower_lip.clone(), true));
    animate("ap-lip", &|mouth| (mouth.lower_red.clone(), true));
    animate("ap-edge", &|mouth| (mouth.lower_lip.clone(), false));
    side::upper_tooth(svg, offset);
    svg.close("g");
}

/// Draws four stills in a square of two by two, numbered.
pub(crate) fn stills(svg: &mut Svg, gestures: &[Gesture], offset: Point) {
    let poses = poses(gestures);
    let last = poses.len().saturating_sub(1);
    for number in 0..4_usize {
        let at = last * number / 3;
        let Some(pose) = poses.get(at) else { continue };
        let mouth = Mouth::of(pose);
        let column = if number % 2 == 0 { 0.0 } else { 1.0 };
        let row = if number < 2 { 0.0 } else { 1.0 };
        let corner =
            offset + Point::new(column * side::WIDE / 2.0, row * side::HIGH / 2.0);
        overlay::small(svg, corner, 0.5, &mut |svg| {
            let nowhere = Point::default();
            side::behind(svg, &mouth, nowhere);
            side::tongue(svg, &mouth, nowhere);
            side::around(svg, &mouth, nowhere);
            for stretch in &mouth.touching {
                svg.path("ap-touch", &side::path(stretch, false, nowhere));
            }
        });
        let spot = corner + Point::new(8.0, side::HIGH / 2.0 - 8.0);
        svg.text("ap-text", spot, 14.0, "start", &(number + 1).to_string());
    }
}
