//! Points and lines of the side view, in millimetres: x towards the back, y upwards.

use std::ops::{Add, Mul, Sub};

/// A point, or the way from one to another.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// Towards the back of the head.
    pub x: f64,
    /// Upwards.
    pub y: f64,
}

impl Point {
    /// The point with these coordinates.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// Its distance from the origin.
    #[must_use]
    pub fn length(self) -> f64 {
        self.x.hypot(self.y)
    }

    /// The distance of two points.
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        (self - other).length()
    }

    /// The point a share of the way to another: 0 here, 1 there.
    #[must_use]
    pub fn towards(self, other: Self, share: f64) -> Self {
        self + (other - self) * share
    }

    /// The same direction with length 1; nothing stays nothing.
    #[must_use]
    pub fn unit(self) -> Self {
        let length = self.length();
        if length > 0.0 {
            self * (1.0 / length)
        } else {
            Self::default()
        }
    }

    /// The direction at an angle in degrees, 0 to the back and 90 up.
    #[must_use]
    pub fn at_angle(degrees: f64) -> Self {
        let (sine, cosine) = degrees.to_radians().sin_cos();
        Self::new(cosine, sine)
    }

    /// Its angle in degrees, −90 up to 270.
    #[must_use]
    pub fn angle(self) -> f64 {
        let degrees = self.y.atan2(self.x).to_degrees();
        if degrees < -90.0 {
            degrees + 360.0
        } else {
            degrees
        }
    }

    /// Turned about a centre, counter-clockwise, by an angle in radians.
    #[must_use]
    pub fn turned(self, about: Self, radians: f64) -> Self {
        let (sine, cosine) = radians.sin_cos();
        let way = self - about;
        about + Self::new(way.x * cosine - way.y * sine, way.x * sine + way.y * cosine)
    }

    /// Turned a quarter clockwise: for a wall that runs to the back, the way down from it.
    #[must_use]
    pub const fn right(self) -> Self {
        Self {
            x: self.y,
            y: -self.x,
        }
    }

    /// How far it goes along another direction.
    #[must_use]
    pub fn along(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// The turn from this to another: twice the area of their triangle.
    #[must_use]
    pub fn across(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }
}

impl From<(f64, f64)> for Point {
    fn from((x, y): (f64, f64)) -> Self {
        Self { x, y }
    }
}

impl Add for Point {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y)
    }
}

impl Sub for Point {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y)
    }
}

impl Mul<f64> for Point {
    type Output = Self;
    fn mul(self, by: f64) -> Self {
        Self::new(self.x * by, self.y * by)
    }
}

/// Points from a table.
pub(crate) fn points(table: &[(f64, f64)]) -> Vec<Point> {
    table.iter().copied().map(Point::from).collect()
}

/// A smooth line through points, `steps` pieces a span: Catmull-Rom, centripetal, which
/// makes no loops where points lie at uneven distances.
#[must_use]
pub fn smooth(points: &[Point], steps: u32) -> Vec<Point> {
    let (Some(&first), Some(&last)) = (points.first(), points.last()) else {
        return Vec::new();
    };
    let after_first = points.get(1).copied().unwrap_or(first);
    let before_last = points
        .len()
        .checked_sub(2)
        .and_then(|at| points.get(at))
        .copied()
        .unwrap_or(last);
    let mut all = Vec::with_capacity(points.len() + 2);
    all.push(first + (first - after_first));
    all.extend_from_slice(points);
    all.push(last + (last - before_last));
    let mut line = Vec::with_capacity(points.len() * steps as usize + 1);
    for four in all.windows(4) {
        if let [a, b, c, d] = *four {
            line.extend(
                (0..steps).map(|step| {
                    between([a, b, c, d], f64::from(step) / f64::from(steps))
                }),
            );
        }
    }
    line.push(last);
    line
}

/// The point of a smooth line between the middle two of four points (Barry and Goldman
/// 1988).
fn between(four: [Point; 4], share: f64) -> Point {
    let [before, from, to, after] = four;
    let knot = |one: Point, other: Point| one.distance(other).sqrt().max(1e-6);
    let first = knot(before, from);
    let second = first + knot(from, to);
    let third = second + knot(to, after);
    let now = first + (second - first) * share;
    let mix = |one: Point, other: Point, start: f64, end: f64| {
        one * ((end - now) / (end - start)) + other * ((now - start) / (end - start))
    };
    let early = mix(before, from, 0.0, first);
    let middle = mix(from, to, first, second);
    let late = mix(to, after, second, third);
    mix(
        mix(early, middle, 0.0, second),
        mix(middle, late, first, third),
        first,
        second,
    )
}

/// The area inside a closed line.
#[must_use]
pub fn area(outline: &[Point]) -> f64 {
    let Some(&first) = outline.first() else {
        return 0.0;
    };
    let around = outline.iter().zip(outline.iter().skip(1).chain([&first]));
    (around.map(|(a, b)| a.across(*b)).sum::<f64>() / 2.0).abs()
}

/// Whether a point lies inside a closed line.
#[must_use]
pub fn inside(outline: &[Point], point: Point) -> bool {
    let Some(&first) = outline.first() else {
        return false;
    };
    let around = outline.iter().zip(outline.iter().skip(1).chain([&first]));
    around
        .filter(|(a, b)| {
            (a.y > point.y) != (b.y > point.y)
                && point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x)
        })
        .count()
        % 2
        == 1
}

/// The point of an open line that is nearest, and how far it is.
#[must_use]
pub fn nearest(line: &[Point], point: Point) -> (Point, f64) {
    let mut best = (point, f64::INFINITY);
    for pair in line.windows(2) {
        let [a, b] = *pair else { continue };
        let way = b - a;
        let share = ((point - a).along(way) / way.along(way).max(1e-12)).clamp(0.0, 1.0);
        let foot = a.towards(b, share);
        let distance = foot.distance(point);
        if distance < best.1 {
            best = (foot, distance);
        }
    }
    best
}

/// The share of the way from one point to another at which a line is first crossed.
#[must_use]
pub fn crossing(from: Point, to: Point, line: &[Point]) -> Option<f64> {
    let way = to - from;
    let mut best: Option<f64> = None;
    for pair in line.windows(2) {
        let [a, b] = *pair else { continue };
        let side = b - a;
        let turn = way.across(side);
        if turn.abs() < 1e-12 {
            continue;
        }
        let share = (a - from).across(side) / turn;
        let along = (a - from).across(way) / turn;
        if (0.0..=1.0).contains(&share)
            && (-1e-9..=1.0 + 1e-9).contains(&along)
            && best.is_none_or(|known| share < known)
        {
            best = Some(share);
        }
    }
    best
}

/// Spots along a line at even distances of about `every` millimetres, the ends included.
#[must_use]
pub fn spaced(line: &[Point], every: f64) -> Vec<Point> {
    let mut spots: Vec<Point> = line.first().copied().into_iter().collect();
    let mut walked = 0.0;
    for pair in line.windows(2) {
        let [a, b] = *pair else { continue };
        let length = a.distance(b);
        let mut next = every - walked;
        while next < length {
            spots.push(a.towards(b, next / length));
            next += every;
        }
        walked = length - (next - every);
    }
    spots.extend(line.last());
    spots
}

/// A share that rises smoothly from 0 to 1.
#[must_use]
pub fn eased(share: f64) -> f64 {
    let share = share.clamp(0.0, 1.0);
    share * share * (3.0 - 2.0 * share)
}
