//! Where the tongue is sent for a place, and how near it comes.

use super::{Stricture, interdental, row_of};
use crate::feature::{Airstream, Detail, FeatureBundle, Manner, Place, Secondary};
use crate::inventory::{MouthOrgan, mouth};
use crate::posture::geometry::Point;
use crate::posture::pose::Pose;
use crate::posture::tongue;
use crate::posture::wall::Wall;

/// What goes where, and how near.
pub(super) struct Aim {
    pub(super) organ: MouthOrgan,
    pub(super) anchor: Point,
    pub(super) normal: Point,
    pub(super) gap: f64,
    /// How far the organ is sent, found by trying.
    pub(super) reach: f64,
}

/// Where an organ is sent for a place; `None` where the tongue has nothing to do there.
pub(super) fn aim_at(
    place: Place,
    bundle: &FeatureBundle,
    stricture: Stricture,
    wall: &Wall,
    click: bool,
) -> Option<Aim> {
    let row = row_of(place);
    let mut organ = row.organ;
    if matches!(organ, MouthOrgan::Lips | MouthOrgan::None) {
        return None;
    }
    let sibilant = bundle.detail.contains(Detail::Sibilant);
    let friction = bundle.manner == Some(Manner::Fricative);
    let mut near: Point = row.anchor.into();
    if row.along_velum > 0.0 {
        near = wall.on_velum(row.along_velum);
    }
    if click && place == Place::Palatal {
        // The blade closes behind the ridge, the back at the velum, a pocket between.
        near = row_of(Place::Postalveolar).anchor.into();
        organ = MouthOrgan::Blade;
    }
    if interdental(place, bundle, friction, sibilant) {
        near = Point::new(-0.6, -0.1);
    }
    let forward = f64::from(bundle.shift.advancing) * mouth::ADVANCE_STEP
        + secondary_forward(bundle, organ);
    let (mut anchor, mut normal) = wall.anchor(near, forward);
    if interdental(place, bundle, friction, sibilant) {
        anchor = near;
        normal = Point::new(0.0, -1.0);
    }
    if place == Place::Linguolabial {
        normal = Point::new(0.25, -0.97);
    }
    if row.normal.0 != 0.0 && bundle.manner != Some(Manner::Nasal) {
        normal = Point::from(row.normal).unit();
    }
    let gap = gap(place, organ, bundle, stricture);
    Some(Aim {
        organ,
        anchor,
        normal,
        gap,
        reach: gap,
    })
}

/// How near the organ comes.
fn gap(
    place: Place,
    organ: MouthOrgan,
    bundle: &FeatureBundle,
    stricture: Stricture,
) -> f64 {
    let broad = matches!(organ, MouthOrgan::Body | MouthOrgan::Root);
    let step = f64::from(bundle.shift.raising.clamp(-1, 1)) * mouth::GAP_STEP;
    if bundle.lateral && bundle.airstream != Airstream::Click {
        return if bundle.manner == Some(Manner::Fricative) {
            mouth::GAP_LATERAL_FRICATIVE
        } else {
            mouth::GAP_LATERAL
        };
    }
    match stricture {
        Stricture::Closure if broad => mouth::GAP_STOP_BODY,
        Stricture::Closure => mouth::GAP_STOP,
        Stricture::Touch => mouth::GAP_TAP,
        Stricture::Flutter => mouth::GAP_TRILL,
        Stricture::Friction => mouth::GAP_FRICATIVE - step * 0.4,
        Stricture::Open if place == Place::Palatal => {
            mouth::GAP_APPROXIMANT_PALATAL - step
        }
        Stricture::Open => mouth::GAP_APPROXIMANT - step,
    }
}

/// A dorsal consonant with a second narrowing in front of it or behind moves along the roof.
fn secondary_forward(bundle: &FeatureBundle, organ: MouthOrgan) -> f64 {
    if organ != MouthOrgan::Body {
        return 0.0;
    }
    let has = |secondary| bundle.secondary.contains(secondary);
    let mut forward = 0.0;
    if has(Secondary::Palatalized) || has(Secondary::LabioPalatalized) {
        forward += 5.0;
    }
    if has(Secondary::Uvularized) || has(Secondary::Pharyngealized) {
        forward -= 3.0;
    }
    forward
}

/// Sends the organs where they aim, and corrects until each is as near as it should be and
/// the tongue keeps its area.
pub(super) fn solve(pose: &mut Pose, aims: &mut [Aim], wall: &Wall) {
    for round in 0..9 {
        send(pose, aims);
        if round < 5 {
            tongue::balance(pose);
            send(pose, aims);
        }
        let mut farthest: f64 = 0.0;
        for aim in aims.iter_mut() {
            let within = match aim.organ {
                MouthOrgan::Body | MouthOrgan::Root => 13.0,
                _ => 9.0,
            };
            let near = tongue::clearance(pose, wall, aim.anchor, within);
            if near.is_finite() {
                let off = (aim.gap - near).clamp(-4.0, 4.0);
                aim.reach += off;
                farthest = farthest.max(off.abs());
            }
        }
        if round >= 2 && farthest < 0.01 {
            break;
        }
    }
    send(pose, aims);
}

fn send(pose: &mut Pose, aims: &[Aim]) {
    for aim in aims {
        match aim.organ {
            MouthOrgan::Tip | MouthOrgan::Blade => {
                pose.tip = aim.anchor + aim.normal * (pose.tip_radius + aim.reach);
            }
            MouthOrgan::Body => {
                pose.body = aim.anchor + aim.normal * (pose.radius + aim.reach);
            }
            MouthOrgan::Root => pose.root = 12.0 - aim.reach,
            MouthOrgan::Lips | MouthOrgan::None => {}
        }
    }
    let tip_works = aims
        .iter()
        .any(|aim| matches!(aim.organ, MouthOrgan::Tip | MouthOrgan::Blade));
    if !tip_works {
        pose.rest_tip();
    }
}
