//! What the tongue moves against: teeth, roof, velum, throat wall.

use std::sync::LazyLock;

use super::geometry::{Point, inside, nearest, points, smooth};
use super::pose::Pose;
use crate::inventory::mouth;

/// The upper and rear wall of the mouth, from the upper front teeth to the throat.
#[derive(Clone, Debug)]
pub(crate) struct Wall {
    /// From front to back and down.
    pub(crate) line: Vec<Point>,
    /// The space the tongue may be in, closed.
    cavity: Vec<Point>,
    /// The underside of the velum, from its hinge.
    velum: Vec<Point>,
}

static ROOF: LazyLock<Vec<Point>> = LazyLock::new(|| smooth(&points(&mouth::ROOF), 4));
static PHARYNX: LazyLock<Vec<Point>> =
    LazyLock::new(|| smooth(&points(&mouth::PHARYNX), 6));

/// A point of two outlines, blended.
fn blended(one: &[(f64, f64)], other: &[(f64, f64)], share: f64) -> Vec<Point> {
    let pairs = one.iter().zip(other);
    let mixed = pairs.map(|(a, b)| Point::from(*a).towards(Point::from(*b), share));
    smooth(&mixed.collect::<Vec<_>>(), 5)
}

/// The velum's underside and upper side, each from front to back and back again.
pub(crate) fn velum(open: f64) -> (Vec<Point>, Vec<Point>) {
    (
        blended(
            &mouth::VELUM_RAISED_UNDER,
            &mouth::VELUM_LOWERED_UNDER,
            open,
        ),
        blended(&mouth::VELUM_RAISED_OVER, &mouth::VELUM_LOWERED_OVER, open),
    )
}

impl Wall {
    /// The wall while the velum is let down so far and the upper lip is where it is.
    pub(crate) fn of(pose: &Pose) -> Self {
        let (velum, _) = velum(pose.velum);
        let lip = super::mouth::upper_lip_seam(pose);
        // In front of the teeth: their face, then the inside of the lip.
        let mut line = vec![
            lip + Point::new(-6.0, 1.0),
            lip,
            Point::new(-3.0, lip.y.max(1.5) + 0.6),
            Point::new(-1.1, 0.8),
            Point::new(0.2, -0.2),
        ];
        line.extend(ROOF.iter());
        line.extend(velum.iter().skip(1));
        line.extend(PHARYNX.iter());
        let mut cavity = line.clone();
        cavity.push(Point::new(70.0, -90.0));
        cavity.push(Point::new(-60.0, -90.0));
        cavity.push(Point::new(-60.0, lip.y + 1.0));
        Self {
            line,
            cavity,
            velum,
        }
    }

    /// Whether the tongue may be at a point.
    pub(crate) fn holds(&self, point: Point) -> bool {
        // The open middle of the mouth, which no wall comes near.
        if (10.0..58.0).contains(&point.x)
            && (-60.0..5.0).contains(&point.y)
            && point.y < (58.0 - point.x)
        {
            return true;
        }
        inside(&self.cavity, point)
    }

    /// How far a point is from the wall, negative beyond it.
    pub(crate) fn clearance(&self, point: Point) -> f64 {
        let (_, distance) = nearest(&self.line, point);
        if self.holds(point) {
            distance
        } else {
            -distance
        }
    }

    /// The point a share of the way along the velum.
    pub(crate) fn on_velum(&self, share: f64) -> Point {
        let whole: f64 = lengths(&self.velum).sum();
        walk(&self.velum, whole * share)
    }

    /// The spot of the wall nearest to a point, moved forward along it, and the way into
    /// the mouth there.
    pub(crate) fn anchor(&self, near: Point, forward: f64) -> (Point, Point) {
        let (foot, _) = nearest(&self.line, near);
        let at = self.place_of(foot) - forward;
        let here = walk(&self.line, at);
        let way = walk(&self.line, at + 2.5) - walk(&self.line, at - 2.5);
        (here, way.unit().right())
    }

    /// How far along the wall a point of it lies.
    fn place_of(&self, foot: Point) -> f64 {
        let mut walked = 0.0;
        for pair in self.line.windows(2) {
            let [a, b] = *pair else { continue };
            let length = a.distance(b);
            if a.distance(foot) + foot.distance(b) < length + 1e-6 {
                return walked + a.distance(foot);
            }
            walked += length;
        }
        walked
    }
}

fn lengths(line: &[Point]) -> impl Iterator<Item = f64> {
    line.windows(2).map(|pair| match *pair {
        [a, b] => a.distance(b),
        _ => 0.0,
    })
}

/// The point so far along a line; its ends beyond them.
fn walk(line: &[Point], along: f64) -> Point {
    let mut left = along.max(0.0);
    for pair in line.windows(2) {
        let [a, b] = *pair else { continue };
        let length = a.distance(b);
        if left <= length && length > 0.0 {
            return a.towards(b, left / length);
        }
        left -= length;
    }
    line.last().copied().unwrap_or_default()
}
