//! From one mouth to another: which organs move, which way and how far, and the same in
//! words.

use super::geometry::Point;
use super::gesture::{Folds, Gesture};
use super::mouth::upper_lip_seam;
use crate::inventory::mouth;

/// An organ that a client can be asked to move.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Organ {
    /// The very front of the tongue.
    Tip,
    /// The middle and the back of the tongue.
    Body,
    /// The root of the tongue.
    Root,
    /// The lower jaw.
    Jaw,
    /// The lips.
    Lips,
    /// The soft roof, which opens the nose.
    Velum,
    /// The larynx as a whole.
    Larynx,
}

impl Organ {
    /// Its name in plain words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Tip => "tip of the tongue",
            Self::Body => "body of the tongue",
            Self::Root => "root of the tongue",
            Self::Jaw => "jaw",
            Self::Lips => "lips",
            Self::Velum => "soft roof",
            Self::Larynx => "larynx",
        }
    }
}

/// One organ that moves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Move {
    /// The organ.
    pub organ: Organ,
    /// Where it was.
    pub from: Point,
    /// Where it is wanted.
    pub to: Point,
    /// How far, in millimetres.
    pub distance: f64,
}

/// The organs that move from what was said to what is wanted, in the order of [`Organ`];
/// ways under 0.8 mm are no movement.
#[must_use]
pub fn between(said: &Gesture, wanted: &Gesture) -> Vec<Move> {
    let (here, there) = (&said.pose, &wanted.pose);
    let mut moves = Vec::new();
    let mut add = |organ: Organ, from: Point, to: Point, distance: f64| {
        if distance >= mouth::MOVES_FROM {
            moves.push(Move {
                organ,
                from,
                to,
                distance,
            });
        }
    };
    let front = |gesture: &Gesture| {
        let pose = &gesture.pose;
        pose.tip + (pose.tip - pose.body).unit() * pose.tip_radius
    };
    let (from, to) = (front(said), front(wanted));
    add(Organ::Tip, from, to, from.distance(to));
    // The top of the body towards the roof, where the change of place and size both show.
    let way = (there.body - here.body).unit();
    let side = if way.length() < 0.5 {
        Point::new(0.0, 1.0)
    } else {
        let up = Point::new(-0.2, 1.0).unit();
        if way.along(up) >= 0.0 { up + way } else { up }.unit()
    };
    let from = here.body + side * here.radius;
    let to = there.body + side * there.radius;
    add(Organ::Body, from, to, from.distance(to));
    let root = |pose: &super::pose::Pose| Point::new(64.0 + pose.root, -28.0);
    add(
        Organ::Root,
        root(here),
        root(there),
        (here.root - there.root).abs(),
    );
    let tooth = Point::new(-1.0, -24.0);
    let (from, to) = (here.with_jaw(tooth), there.with_jaw(tooth));
    add(Organ::Jaw, from, to, (here.jaw - there.jaw).abs());
    let lip = |pose: &super::pose::Pose| {
        let seam = upper_lip_seam(pose);
        Point::new(
            seam.x - 5.0 + 4.0 * pose.labiodental,
            seam.y - pose.aperture * 0.7,
        )
    };
    let (from, to) = (lip(here), lip(there));
    let lips = ((here.aperture - there.aperture) * 0.6)
        .abs()
        .max((here.protrusion - there.protrusion).abs())
        .max((here.width - there.width).abs() * 0.25)
        .max((here.labiodental - there.labiodental).abs() * 6.0);
    add(Organ::Lips, from, to, lips);
    let uvula = |open: f64| Point::new(71.0 - 7.0 * open, 8.0 - 14.0 * open);
    let (from, to) = (uvula(here.velum), uvula(there.velum));
    add(Organ::Velum, from, to, from.distance(to));
    let larynx = |up: f64| Point::new(66.0, -60.0 + 4.0 * up);
    let (from, to) = (larynx(here.larynx), larynx(there.larynx));
    add(Organ::Larynx, from, to, from.distance(to));
    moves
}

/// The change from what was said to what is wanted in plain words, one sentence an organ,
/// without full stops; nothing where nothing changes.
#[must_use]
pub fn in_words(said: &Gesture, wanted: &Gesture) -> Vec<String> {
    let (here, there) = (&said.pose, &wanted.pose);
    let mut words = Vec::new();
    for step in between(said, wanted) {
        let way = step.to - step.from;
        words.push(match step.organ {
            Organ::Tip => format!("tip of the tongue: {}", direction(way, step.distance)),
            Organ::Body => {
                format!("body of the tongue: {}", direction(way, step.distance))
            }
            Organ::Root if there.root > here.root => {
                "root of the tongue: back towards the throat wall".to_owned()
            }
            Organ::Root => {
                "root of the tongue: forward, away from the throat wall".to_owned()
            }
            Organ::Jaw => {
                let way = if there.jaw > here.jaw {
                    "open"
                } else {
                    "close"
                };
                format!("jaw: {way} by {:.0} mm", step.distance.max(1.0))
            }
            Organ::Lips => format!("lips: {}", lips(said, wanted)),
            Organ::Velum if there.velum < here.velum => {
                "soft roof: up, to close off the nose".to_owned()
            }
            Organ::Velum => "soft roof: down, to open the nose".to_owned(),
            Organ::Larynx if there.larynx > here.larynx => "larynx: up".to_owned(),
            Organ::Larynx => "larynx: down".to_owned(),
        });
    }
    if said.folds != wanted.folds {
        words.push(format!("voice: {}", folds(wanted.folds)));
    }
    words
}

/// What the vocal folds do, in plain words.
#[must_use]
pub const fn folds(folds: Folds) -> &'static str {
    match folds {
        Folds::Apart => "off: the folds rest apart",
        Folds::Humming => "on: the folds hum",
        Folds::Breathy => "on, with breath running along",
        Folds::Creaky => "on, low and crackling",
        Folds::Narrowed => "off: breath rubs between the folds",
        Folds::Shut => "off: the folds are shut",
    }
}

fn direction(way: Point, distance: f64) -> String {
    let mut parts = Vec::new();
    let least = distance * 0.35;
    if way.x < -least {
        parts.push("forward");
    } else if way.x > least {
        parts.push("back");
    }
    if way.y > least {
        parts.push("up");
    } else if way.y < -least {
        parts.push("down");
    }
    format!("{} by {:.0} mm", parts.join(" and "), distance.max(1.0))
}

fn lips(said: &Gesture, wanted: &Gesture) -> String {
    let (here, there) = (&said.pose, &wanted.pose);
    if there.labiodental > 0.5 && here.labiodental < 0.5 {
        return "lower lip up to the upper teeth".to_owned();
    }
    let mut parts = Vec::new();
    if here.labiodental > 0.5 && there.labiodental < 0.5 {
        parts.push("let the lower lip go from the teeth");
    }
    if there.aperture < 0.1 && here.aperture >= 0.1 {
        parts.push("together");
    } else if there.protrusion - here.protrusion > 1.0 {
        parts.push("forward, into a circle");
    } else if here.protrusion - there.protrusion > 1.0 {
        parts.push("back, flat against the teeth");
    }
    if there.width - here.width > 4.0 && there.width > mouth::WIDTH_REST + 2.0 {
        parts.push("corners apart");
    }
    if here.aperture < 0.1 && there.aperture >= 0.1 {
        parts.push("apart");
    } else if parts.is_empty() {
        parts.push(if there.aperture > here.aperture {
            "further apart"
        } else if there.aperture < here.aperture {
            "nearer to each other"
        } else if there.width > here.width {
            "wider"
        } else {
            "narrower"
        });
    }
    parts.join(", ")
}
