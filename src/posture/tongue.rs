//! The outline of the tongue: always the same number of points, so that two outlines can be
//! blended point by point.

use super::geometry::{Point, area, crossing, eased, inside, nearest, points, smooth};
use super::pose::Pose;
use super::wall::Wall;
use crate::inventory::mouth;

/// Pieces a span of the outline.
const STEPS: u32 = 6;
/// Points on the circle of the body.
const ON_BODY: u32 = 12;
/// Points on the slope before it.
const ON_SLOPE: u32 = 4;
/// Points round the tip.
const ON_TIP: u32 = 8;
/// Points of the floor.
const ON_FLOOR: u32 = 10;

/// The outline before anything stops it: its points from the root over the body to the tip
/// and under it to the floor, each with the spot inside the tongue that it grows from.
fn free(pose: &Pose) -> Vec<(Point, Point)> {
    let (body, radius) = (pose.body, pose.radius);
    let (tip, tip_radius) = (pose.tip, pose.tip_radius);
    let vallecula = Point::new(mouth::VALLECULA_X, mouth::VALLECULA_Y);
    let frenulum = frenulum(pose);
    let mut controls: Vec<(Point, Point)> = Vec::new();
    // The root, up to where a straight line from its bottom touches the body behind.
    let down = vallecula - body;
    let behind = down.angle_below()
        + (radius / down.length().max(radius))
            .clamp(-1.0, 1.0)
            .acos()
            .to_degrees();
    let rear = body + Point::at_angle(behind) * radius;
    let root_way = (rear - vallecula).unit().right();
    let root_inside = Point::new(mouth::VALLECULA_X - 12.0, mouth::VALLECULA_Y + 10.0);
    for (share, bulge) in [(0.0, 0.0), (0.3, 0.75), (0.62, 1.0)] {
        controls.push((
            vallecula.towards(rear, share) + root_way * (pose.root * bulge),
            root_inside.towards(body, share),
        ));
    }
    // The body, over to where a straight line touches body and tip.
    let ahead = tip - body;
    let lean = ((radius - tip_radius) / ahead.length().max(1e-6)).clamp(-1.0, 1.0);
    let front = ahead.angle() - lean.acos().to_degrees();
    let front = front.max(behind + 20.0);
    // Where the slope swells, it leaves the body sooner and meets the tip later, so that it
    // stays round.
    let long = ahead.length().max(1e-6);
    let swell = (4.0 * (-pose.hollow).max(0.0) / long)
        .clamp(0.0, 0.6)
        .asin()
        .to_degrees();
    let (leave, meet) = (front - swell, front + swell);
    for step in 0..ON_BODY {
        let share = f64::from(step) / f64::from(ON_BODY - 1);
        let degrees = behind + (leave - behind) * share;
        let bulge = pose.root * (0.6 - 2.0 * share).max(0.0);
        let way = Point::at_angle(degrees);
        controls.push((body + way * (radius + bulge), body));
    }
    // The slope, hollow or full.
    let from = body + Point::at_angle(leave) * radius;
    let to = tip + Point::at_angle(meet) * tip_radius;
    let inward = (to - from).unit().right() * -1.0;
    let arm = from.distance(to) / 3.0;
    let leaving = from + Point::at_angle(leave + 90.0) * arm;
    let meeting = to - Point::at_angle(meet + 90.0) * arm;
    for step in 1..=ON_SLOPE {
        let share = f64::from(step) / f64::from(ON_SLOPE + 1);
        // A hollow lies nearer to the tip.
        let profile = (std::f64::consts::PI * share.powf(1.25)).sin();
        let on_curve = curve([from, leaving, meeting, to], share);
        controls.push((
            on_curve + inward * (pose.hollow.max(0.0) * profile),
            body.towards(tip, share),
        ));
    }
    // Round the tip, to where a straight line from the floor touches it in front.
    let back = frenulum - tip;
    let under = back.angle_below()
        - (tip_radius / back.length().max(tip_radius))
            .acos()
            .to_degrees();
    let under = if under < meet { under + 360.0 } else { under };
    for step in 0..ON_TIP {
        let share = f64::from(step) / f64::from(ON_TIP - 1);
        let way = Point::at_angle(meet + (under - meet) * share);
        controls.push((tip + way * tip_radius, tip));
    }
    // The underside, a little hollow.
    let from = tip + Point::at_angle(under) * tip_radius;
    let side = (frenulum - from).unit().right() * -1.0;
    let depth = 0.1 * from.distance(frenulum);
    for (share, much) in [(0.35, 0.9), (0.7, 0.8)] {
        controls.push((
            from.towards(frenulum, share) + side * (depth * much),
            tip.towards(body, 0.25 + 0.3 * share),
        ));
    }
    controls.push((frenulum, tip.towards(body, 0.6)));
    let outline = smooth(
        &controls.iter().map(|(point, _)| *point).collect::<Vec<_>>(),
        STEPS,
    );
    let insides = controls.windows(2).flat_map(|pair| {
        let (a, b) = match *pair {
            [(_, a), (_, b)] => (a, b),
            _ => (body, body),
        };
        (0..STEPS).map(move |step| a.towards(b, f64::from(step) / f64::from(STEPS)))
    });
    outline.into_iter().zip(insides.chain([body])).collect()
}

/// A point on the cubic curve that four points span.
fn curve([a, b, c, d]: [Point; 4], share: f64) -> Point {
    let (ab, bc, cd) = (
        a.towards(b, share),
        b.towards(c, share),
        c.towards(d, share),
    );
    ab.towards(bc, share).towards(bc.towards(cd, share), share)
}

impl Point {
    /// Its angle in degrees, −180 up to 180.
    fn angle_below(self) -> f64 {
        self.y.atan2(self.x).to_degrees()
    }
}

/// Where the tongue leaves the floor: further back while the tip is up.
fn frenulum(pose: &Pose) -> Point {
    let rest = pose.with_jaw(Point::new(mouth::FRENULUM_X, mouth::FRENULUM_Y));
    let up = eased((pose.tip.y + 4.0) / 18.0);
    let back = eased((pose.tip.x - 6.0) / 14.0);
    rest + Point::new(3.0 * up + 3.0 * up * back, 2.0 * up)
}

/// The floor, from the frenulum back to the root.
fn floor(pose: &Pose) -> impl Iterator<Item = Point> {
    let from = frenulum(pose);
    let to = Point::new(mouth::VALLECULA_X, mouth::VALLECULA_Y);
    let up = (to - from).unit().right() * -1.0;
    let middle = from.towards(to, 0.5) + up * (2.0 * pose.floor);
    (1..ON_FLOOR).map(move |step| {
        let share = f64::from(step) / f64::from(ON_FLOOR);
        from.towards(middle, share)
            .towards(middle.towards(to, share), share)
    })
}

/// Moves the floor, and where that does not do the body's size, so that the tongue keeps its
/// area.
pub(super) fn balance(pose: &mut Pose) {
    pose.floor = 0.0;
    let excess = area(&whole(&free(pose), pose)) - mouth::AREA_GOAL;
    let chord =
        frenulum(pose).distance(Point::new(mouth::VALLECULA_X, mouth::VALLECULA_Y));
    let per_millimetre = chord * 2.0 / 3.0;
    pose.floor = (excess / per_millimetre).clamp(-mouth::FLOOR_REACH, mouth::FLOOR_REACH);
    let left = excess - pose.floor * per_millimetre;
    let change = left / (std::f64::consts::PI * pose.radius * 1.3);
    pose.radius = (pose.radius - change).clamp(mouth::BALL_SMALLEST, mouth::BALL_LARGEST);
}

fn whole(upper: &[(Point, Point)], pose: &Pose) -> Vec<Point> {
    let upper = upper.iter().map(|(point, _)| *point);
    upper.chain(floor(pose)).collect()
}

/// How near the tongue comes to the wall around a spot, negative where it presses in.
pub(super) fn clearance(pose: &Pose, wall: &Wall, around: Point, within: f64) -> f64 {
    free(pose)
        .iter()
        .filter(|(point, _)| point.distance(around) <= within)
        .map(|(point, _)| wall.clearance(*point))
        .fold(f64::INFINITY, f64::min)
}

/// The outline, stopped by wall and lower teeth; how many of its points lead from the root
/// over the body and the tip to the floor; the rest is the floor.
pub(super) fn outline(pose: &Pose, wall: &Wall) -> (Vec<Point>, usize) {
    let upper = free(pose);
    let count = upper.len();
    let insides: Vec<Point> = upper.iter().map(|(_, inner)| *inner).collect();
    let mut tooth = points(&mouth::JAW_INSIDE);
    tooth.extend(points(&[(-6.0, -17.0), (-6.0, -0.2), (-0.6, -0.6)]));
    let tooth: Vec<Point> = tooth.into_iter().map(|it| pose.with_jaw(it)).collect();
    let mut closed = tooth.clone();
    closed.extend(tooth.first());
    let cut = upper.into_iter().map(|(point, inner)| {
        let stopped = stop(point, inner, wall);
        if inside(&tooth, stopped) {
            let out = stopped + Point::new(0.6, 0.8) * 30.0;
            match crossing(stopped, out, &closed) {
                Some(share) => stop(stopped.towards(out, share), inner, wall),
                None => stopped,
            }
        } else {
            stopped
        }
    });
    let mut cut: Vec<Point> = cut.collect();
    // Each round draws in farther, so that in the end every edge is off.
    for round in 0..ROUNDS {
        match off_corners(&cut, &insides, wall, round) {
            Some(drawn) => cut = drawn,
            None => break,
        }
    }
    cut.extend(floor(pose));
    (cut, count)
}

/// How often edges that cross a corner of the wall are drawn in, at most.
const ROUNDS: u32 = 24;

/// Draws in the ends of every edge that runs across a corner of the wall; `None` where none
/// does.
fn off_corners(
    cut: &[Point],
    insides: &[Point],
    wall: &Wall,
    round: u32,
) -> Option<Vec<Point>> {
    let mut drawn = cut.to_vec();
    let mut any = false;
    for (at, pair) in cut.windows(2).enumerate() {
        let [a, b] = *pair else { continue };
        let middle = a.towards(b, 0.5);
        if a.distance(b) < 0.05 || wall.holds(middle) {
            continue;
        }
        let (corner, beyond) = nearest(&wall.line, middle);
        if beyond < 0.04 {
            continue;
        }
        any = true;
        for (point, inner) in drawn.iter_mut().zip(insides).skip(at).take(2) {
            let way = if round < 4 {
                (*inner - *point).unit()
            } else {
                // Where that does not lead off the wall: over the corner.
                ((corner - middle).unit() + (*inner - *point).unit() * 0.25).unit()
            };
            *point = stop(*point + way * (beyond + 0.02), *inner, wall);
        }
    }
    any.then_some(drawn)
}

/// The point, or where the way to it from inside the tongue meets the wall.
fn stop(point: Point, inner: Point, wall: &Wall) -> Point {
    if wall.holds(point) {
        return point;
    }
    match crossing(inner, point, &wall.line) {
        Some(share) => inner.towards(point, share - 1e-7),
        None => nearest(&wall.line, point).0,
    }
}
