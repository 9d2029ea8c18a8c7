//! The outlines of a mouth in one pose, and what can be measured on them.

use super::geometry::{Point, area, crossing, inside, nearest, points, smooth, spaced};
use super::gesture::{Air, Gesture};
use super::pose::Pose;
use super::tongue;
use super::wall::{self, Wall};
use crate::inventory::mouth;

/// A mouth from the side, in millimetres: the origin at the edge of the upper front teeth,
/// x towards the back, y upwards. Closed outlines are not repeated at their end.
#[derive(Clone, Debug, PartialEq)]
pub struct Mouth {
    /// The tongue, closed: root, body, tip, underside, then the floor.
    pub tongue: Vec<Point>,
    /// How many points of the tongue are its free surface; the others are the floor.
    pub surface: usize,
    /// The wall above and behind the tongue, open: upper lip, teeth, roof, velum, throat.
    pub wall: Vec<Point>,
    /// The soft roof with the uvula, closed.
    pub velum: Vec<Point>,
    /// The upper lip with the skin up to the nose, closed.
    pub upper_lip: Vec<Point>,
    /// The red of the upper lip, closed.
    pub upper_red: Vec<Point>,
    /// The lower lip with the skin down to the chin, closed.
    pub lower_lip: Vec<Point>,
    /// The red of the lower lip, closed.
    pub lower_red: Vec<Point>,
    /// The lower front tooth, closed.
    pub lower_tooth: Vec<Point>,
    /// The bone of the lower jaw in the middle, closed.
    pub jaw_bone: Vec<Point>,
    /// Chin and underside of the jaw, open, front to back.
    pub chin: Vec<Point>,
    /// The epiglottis, open.
    pub epiglottis: Vec<Point>,
    /// Where the tongue touches the wall: a stretch of the wall each.
    pub touching: Vec<Vec<Point>>,
    /// Where the lips, or the lower lip and the teeth, touch.
    pub lips_touch: Option<(Point, Point)>,
    /// The middle of the passage between tongue and wall, from the throat to the lips.
    pub passage: Vec<Point>,
    /// The narrowest point of the passage of the tongue, and how wide it is there.
    pub narrowest: (Point, f64),
    /// The area of the tongue in the middle plane, in square millimetres.
    pub area: f64,
}

/// How the roof is touched at one distance from the teeth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touch {
    /// The spot on the middle line of the roof.
    pub spot: Point,
    /// The share of the half width, from the middle out, from which on it is touched; 0 all
    /// over, 1 nowhere.
    pub from: f64,
    /// The share up to which it is touched; 1 to the edge.
    pub to: f64,
}

impl Mouth {
    /// The outlines of a pose.
    ///
    /// Cost: some thousand steps a mouth, a fraction of a millisecond.
    #[must_use]
    pub fn of(pose: &Pose) -> Self {
        let wall = Wall::of(pose);
        let (tongue, surface) = tongue::outline(pose, &wall);
        let (under, over) = wall::velum(pose.velum);
        let velum = under.into_iter().chain(over.into_iter().skip(1)).collect();
        let lips = lips(pose);
        let jaw = |table: &[(f64, f64)]| -> Vec<Point> {
            let moved = points(table).into_iter().map(|it| pose.with_jaw(it));
            moved.collect()
        };
        let free = tongue.get(..surface).unwrap_or_default();
        let touching = touching(free, &wall);
        let (passage, narrowest) = passage(&tongue, &wall.line, pose);
        Self {
            surface,
            velum,
            upper_lip: lips.upper,
            upper_red: lips.upper_red,
            lower_lip: lips.lower,
            lower_red: lips.lower_red,
            lower_tooth: smooth_closed(&jaw(&mouth::LOWER_TOOTH)),
            jaw_bone: smooth_closed(&jaw(&mouth::JAW_BONE)),
            chin: jaw(&mouth::CHIN),
            epiglottis: epiglottis(pose, &tongue, &wall),
            touching,
            lips_touch: lips.touch,
            passage,
            narrowest,
            area: area(&tongue),
            wall: wall.line,
            tongue,
        }
    }

    /// The outlines of a moment of a sound.
    #[must_use]
    pub fn at(gesture: &Gesture) -> Self {
        Self::of(&gesture.pose)
    }

    /// The farthest that the tongue reaches beyond the wall, in millimetres; 0 where it
    /// keeps within.
    #[must_use]
    pub fn overreach(&self) -> f64 {
        let free = self.tongue.get(..self.surface).unwrap_or_default();
        let mut closed = self.wall.clone();
        closed.push(Point::new(70.0, -90.0));
        closed.push(Point::new(-60.0, -90.0));
        let first = self.wall.first().copied().unwrap_or_default();
        closed.push(Point::new(-60.0, first.y));
        let halves = free.windows(2).map(|pair| match *pair {
            [a, b] => a.towards(b, 0.5),
            _ => Point::default(),
        });
        free.iter()
            .copied()
            .chain(halves)
            .filter(|point| !inside(&closed, *point))
            .map(|point| nearest(&self.wall, point).1)
            .fold(0.0, f64::max)
    }

    /// Whether two edges of the tongue's outline cross.
    #[must_use]
    pub fn crosses_itself(&self) -> bool {
        let edges: Vec<[Point; 2]> = self
            .tongue
            .iter()
            .zip(self.tongue.iter().cycle().skip(1))
            .map(|(a, b)| [*a, *b])
            .collect();
        edges.iter().enumerate().any(|(at, [a, b])| {
            edges.iter().skip(at + 2).any(|[c, d]| {
                let side = |p: Point, q: Point, r: Point| (q - p).across(r - p);
                let neighbours = a.distance(*d) < 1e-9 || b.distance(*c) < 1e-9;
                !neighbours
                    && side(*a, *b, *c) * side(*a, *b, *d) < -1e-9
                    && side(*c, *d, *a) * side(*c, *d, *b) < -1e-9
            })
        })
    }

    /// The distance between tongue and wall nearest to a spot, within 12 mm of it, and
    /// where.
    #[must_use]
    pub fn gap_at(&self, spot: Point, within: f64) -> Option<(f64, Point)> {
        let free = self.tongue.get(..self.surface)?;
        free.iter()
            .filter(|point| point.distance(spot) <= within)
            .map(|point| (nearest(&self.wall, *point).1, *point))
            // Where it touches over a length, the point nearest to the spot.
            .min_by(|one, other| {
                let (near, far) = (one.0.max(0.03), other.0.max(0.03));
                let aside = |point: Point| point.distance(spot);
                near.total_cmp(&far)
                    .then(aside(one.1).total_cmp(&aside(other.1)))
            })
    }

    /// The length over which the tongue touches, in millimetres.
    #[must_use]
    pub fn contact_length(&self) -> f64 {
        self.touching
            .iter()
            .flat_map(|stretch| stretch.windows(2))
            .map(|pair| match *pair {
                [a, b] => a.distance(b),
                _ => 0.0,
            })
            .sum()
    }

    /// How the roof is touched, from the teeth back, seen from below.
    #[must_use]
    pub fn roof(&self, pose: &Pose) -> Vec<Touch> {
        let roof: Vec<Point> = self
            .wall
            .iter()
            .copied()
            .skip_while(|it| it.x < 0.8)
            .take_while(|it| it.x < 58.0 && it.y > 0.0)
            .collect();
        let mut touches = Vec::new();
        let mut closed_before = false;
        for spot in spaced(&roof, 0.6) {
            let gap = self.down_from(spot);
            // The palate is a shallow arch in front and a deep one further back.
            let depth = mouth::ARCH_DEPTH * ((spot.x + 4.0) / 26.0).clamp(0.35, 1.3);
            let spare = gap - mouth::TOUCH_WITHIN;
            let share = |side: f64| (spare.abs() / side).powf(1.0 / 1.6).min(1.0);
            let (from, to) = if pose.lateral > 0.5 {
                if spare > 0.0 {
                    (1.0, 1.0)
                } else {
                    (0.0, 0.25 + 0.5 * share(mouth::SIDE_SLACK_LATERAL))
                }
            } else if spare <= 0.0 {
                (0.0, 1.0)
            } else {
                let side = (depth - mouth::SIDE_SLACK).max(0.6);
                (share(side), 1.0)
            };
            let mut from = from;
            closed_before |= spare <= 1.5 && pose.lateral <= 0.5;
            if pose.seal > 0.5 && closed_before && spot.x < 48.0 {
                from = from.min(0.86);
            }
            if self.narrowest.1 > 9.0 {
                from = 1.0;
            }
            touches.push(Touch { spot, from, to });
        }
        // The edge of what is touched is round; a closure stays closed.
        let shares: Vec<f64> = touches.iter().map(|touch| touch.from).collect();
        for (at, touch) in touches.iter_mut().enumerate() {
            let around = shares.iter().skip(at.saturating_sub(2)).take(5);
            let count = around.clone().map(|_| 1.0).sum::<f64>();
            if touch.from > 0.0 && touch.from < 1.0 {
                touch.from = around.sum::<f64>() / count;
            }
        }
        touches
    }

    /// How far below a spot of the roof the tongue is, in the middle.
    fn down_from(&self, spot: Point) -> f64 {
        let free = self.tongue.get(..self.surface).unwrap_or_default();
        let near = nearest(free, spot).1;
        near.min(30.0)
    }

    /// The way of the air, from the throat out; where the passage is shut it ends there.
    #[must_use]
    pub fn stream(&self, gesture: &Gesture) -> Vec<Vec<Point>> {
        let mouth: Vec<Point> = self.passage.clone();
        let nose = nose_way(self.passage.first().copied());
        // Where the way is shut: at the tongue's contact that comes first, or at the lips.
        let shut = self.touching.last().and_then(|stretch| stretch.last());
        let until_shut = || -> Vec<Point> {
            match shut {
                Some(spot) => {
                    let near = |it: &Point| it.distance(*spot) > 3.0;
                    mouth.iter().copied().take_while(near).collect()
                }
                None => mouth
                    .iter()
                    .copied()
                    .take_while(|it| self.lips_touch.is_none() || it.x > 1.0)
                    .collect(),
            }
        };
        match gesture.air {
            Air::Mouth | Air::Sides => vec![mouth],
            Air::Held => vec![until_shut()],
            Air::Nose => vec![nose],
            Air::Both => vec![mouth, nose],
            Air::Inward => {
                let mut way: Vec<Point> =
                    mouth.iter().copied().filter(|it| it.x < 4.0).collect();
                way.reverse();
                vec![way]
            }
        }
    }
}

/// Through the throat, past the velum, over the palate and out.
fn nose_way(from: Option<Point>) -> Vec<Point> {
    let mut way = vec![from.unwrap_or(Point::new(69.0, -60.0))];
    way.extend(points(&[
        (70.5, -44.0),
        (71.5, -20.0),
        (71.5, 0.0),
        (72.0, 16.0),
        (68.0, 29.0),
        (54.0, 33.0),
        (30.0, 33.5),
        (8.0, 32.0),
        (-10.0, 27.0),
        (-22.0, 19.0),
        (-25.0, 12.0),
    ]));
    smooth(&way, 5)
}

/// A closed outline made smooth.
fn smooth_closed(outline: &[Point]) -> Vec<Point> {
    let mut closed = outline.to_vec();
    closed.extend(outline.first());
    let mut line = smooth(&closed, 4);
    line.pop();
    line
}

/// How high the lips part: the underside of the upper lip.
fn seam(pose: &Pose) -> f64 {
    -0.8 + (0.34 * pose.aperture).min(2.8) + 1.2 * pose.labiodental
        - 0.12 * pose.protrusion
        - pose.lip_down
}

/// The lowest point of the upper lip.
pub(super) fn upper_lip_seam(pose: &Pose) -> Point {
    Point::new(-6.6 - 0.8 * pose.protrusion, seam(pose))
}

struct LipShapes {
    upper: Vec<Point>,
    upper_red: Vec<Point>,
    lower: Vec<Point>,
    lower_red: Vec<Point>,
    touch: Option<(Point, Point)>,
}

fn lips(pose: &Pose) -> LipShapes {
    let out = pose.protrusion;
    let top = seam(pose);
    let bottom = top - pose.aperture;
    // Pressed lips are thinner, those that stand out fuller.
    let full = 0.85 + 0.03 * out + 0.02 * pose.aperture.min(6.0);
    let at = |x: f64, y: f64| Point::new(x, y);
    let upper_edge = [
        at(-12.4 - 0.75 * out, top + 7.4 * full),
        at(-13.2 - 1.05 * out, top + 3.4 * full),
        at(-10.4 - 1.0 * out, top + 0.5),
        at(-6.6 - 0.8 * out, top),
        at(-4.4 - 0.35 * out, top + 2.4),
    ];
    let mut upper = vec![at(-15.0, 18.6), at(-12.4 - 0.3 * out, 13.2)];
    upper.extend(upper_edge);
    upper.extend([at(-3.4, 7.0), at(-3.0, 11.0), at(-1.2, 14.6), at(0.6, 18.0)]);
    let upper = smooth(&upper, 4);
    let upper_red = smooth(&upper_edge, 4);
    // The lower lip: below the opening, or tucked under the upper teeth.
    let tuck = pose.labiodental;
    let gap = (pose.aperture - 4.0).max(0.0) * 0.75;
    let mix = |free: Point, tucked: Point| free.towards(tucked, tuck);
    let lift = -0.3 - gap;
    let gum = pose.with_jaw(at(-0.5, -11.5));
    let fold = pose.with_jaw(at(-7.4, -17.5));
    let lower_edge = [
        mix(at(-4.2 - 0.35 * out, bottom - 2.8), at(0.0, lift - 2.8)),
        mix(at(-6.6 - 0.8 * out, bottom), at(-1.6, lift)),
        mix(at(-10.4 - 1.0 * out, bottom - 0.6), at(-5.4, lift - 0.7)),
        mix(
            at(-13.0 - 1.0 * out, bottom - 4.0 * full),
            at(-8.6, lift - 4.6),
        ),
        mix(
            at(-11.6 - 0.7 * out, bottom - 8.0 * full),
            at(-8.8, lift - 9.0),
        ),
    ];
    let mut lower = vec![
        pose.with_jaw(at(2.4, -16.0)),
        gum,
        mix(
            at(-2.4, (gum.y + bottom - 4.0) * 0.5),
            at(-0.4, (gum.y + lift - 4.0) * 0.5),
        ),
    ];
    lower.extend(lower_edge);
    lower.push(fold);
    let lower = smooth(&lower, 4);
    let lower_red = smooth(&lower_edge, 4);
    let touch = if tuck > 0.9 && gap < 0.1 {
        Some((at(-1.8, -0.3), at(0.3, -0.3)))
    } else if pose.aperture < 0.1 && tuck < 0.5 {
        Some((at(-11.2 - 1.0 * out, top), at(-6.0 - 0.8 * out, top)))
    } else {
        None
    };
    LipShapes {
        upper,
        upper_red,
        lower,
        lower_red,
        touch,
    }
}

/// The epiglottis: a leaf behind the root.
fn epiglottis(pose: &Pose, tongue: &[Point], wall: &Wall) -> Vec<Point> {
    let foot = Point::new(mouth::VALLECULA_X, mouth::VALLECULA_Y);
    // It leans on the root, and back to the throat wall for the epiglottals.
    let root = tongue
        .iter()
        .take(16)
        .filter(|it| it.y < -24.0)
        .map(|it| it.x)
        .fold(foot.x, f64::max);
    let free = Point::new((root + 1.6).min(75.4), -33.0);
    let back = Point::new(75.6, -36.0);
    let tip = free.towards(back, pose.epiglottis);
    let tip = if wall.holds(tip) { tip } else { back };
    smooth(
        &[
            foot + Point::new(1.0, -4.0),
            foot.towards(tip, 0.5) + Point::new(1.4, -1.0),
            tip,
        ],
        4,
    )
}

/// The stretches of the wall that the tongue touches.
fn touching(free: &[Point], wall: &Wall) -> Vec<Vec<Point>> {
    // Where it leaves the wall by less and over a shorter way, it is one contact: a corner.
    const BRIDGED: (f64, f64) = (0.25, 3.0);
    let mut stretches: Vec<Vec<Point>> = Vec::new();
    let mut away = f64::INFINITY;
    // From the tip to the root, so that the stretches run from front to back.
    for point in free.iter().rev() {
        let (foot, distance) = nearest(&wall.line, *point);
        if distance > 0.03 {
            away = away.max(distance);
            continue;
        }
        let last = stretches.last().and_then(|it| it.last());
        let near = last.is_some_and(|last| last.distance(foot) < BRIDGED.1);
        match stretches.last_mut() {
            Some(stretch) if near && away < BRIDGED.0 => stretch.push(foot),
            _ => stretches.push(vec![foot]),
        }
        away = 0.0;
    }
    stretches.retain(|stretch| stretch.len() > 1);
    stretches
}

/// The middle of the passage from the throat out, and its narrowest point.
fn passage(tongue: &[Point], wall: &[Point], pose: &Pose) -> (Vec<Point>, (Point, f64)) {
    let mut closed = tongue.to_vec();
    closed.extend(tongue.first());
    let mut middle = Vec::new();
    let mut narrowest = (Point::default(), f64::INFINITY);
    let inner: Vec<Point> = wall.iter().copied().skip_while(|it| it.x < 0.5).collect();
    let spots = spaced(&inner, 1.5);
    for pair in spots.windows(3).rev() {
        let [before, here, after] = *pair else {
            continue;
        };
        let way = (after - before).unit().right();
        let reach = 18.0;
        let share = crossing(here + way * 1e-3, here + way * reach, &closed);
        let gap = share.map_or(11.0, |share| share * reach);
        let (foot, near) = nearest(&closed, here);
        if near < narrowest.1 {
            narrowest = (here.towards(foot, 0.5), near);
        }
        middle.push(here + way * (gap.min(near * 1.4).min(9.0) / 2.0));
    }
    // The wall turns sharply at the uvula; the air does not.
    for _ in 0..6 {
        let evened: Vec<Point> = middle
            .windows(3)
            .map(|three| match *three {
                [a, b, c] => (a + c).towards(b * 2.0, 0.5) * 0.5,
                _ => Point::default(),
            })
            .collect();
        for (point, even) in middle.iter_mut().skip(1).zip(evened) {
            if point.x > 56.0 {
                *point = even;
            }
        }
    }
    // Past the teeth and between the lips.
    let lip = upper_lip_seam(pose);
    let opening = Point::new(lip.x, lip.y - pose.aperture / 2.0);
    if pose.labiodental < 0.5 {
        middle.retain(|it| it.x > 1.2 || it.y < -2.0);
        middle.push(Point::new(
            -2.5,
            (opening.y - 1.5).min(-1.2 - pose.aperture * 0.1),
        ));
    } else {
        middle.push(Point::new(-1.0, -0.9));
        middle.push(Point::new(-3.4, 0.6));
    }
    middle.push(opening);
    middle.push(opening + Point::new(-9.0 - 0.3 * pose.protrusion, -0.5));
    middle.insert(0, Point::new(68.5, -62.0));
    let thinned: Vec<Point> = middle
        .iter()
        .enumerate()
        .filter(|(at, _)| at % 4 == 0 || *at + 5 > middle.len())
        .map(|(_, point)| *point)
        .collect();
    (smooth(&thinned, 4), narrowest)
}
