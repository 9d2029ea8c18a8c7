//! Vowels: where the body, the jaw and the lips go by height, backness and rounding.

use super::lips::{coached_lips, lips_of_marks, lips_of_vowel};
use super::{
    Air, Gesture, Stricture, coached_jaw, folds, nose, root_of_marks, secondary_body,
};
use crate::feature::{Backness, FeatureBundle, Height, Posture, TonguePart};
use crate::inventory::mouth;
use crate::posture::geometry::Point;
use crate::posture::pose::Pose;
use crate::posture::tongue;
use crate::posture::wall::Wall;

/// The height of a vowel, 0 close to 1 open, and how far back it is, 0 to 1, with the marks
/// that shift it.
#[must_use]
pub fn vowel_spot(bundle: &FeatureBundle) -> (f64, f64) {
    let row = |height: Height| f64::from(height as u8) / 6.0;
    let column = |backness: Backness| f64::from(backness as u8) / 4.0;
    let mut height = bundle.height.map_or(0.5, row);
    let mut back = bundle.backness.map_or(0.5, column);
    let shift = bundle.shift;
    height -= f64::from(shift.raising) / 6.0;
    back -= f64::from(shift.advancing) / 4.0 * 0.6;
    match shift.centralizing {
        0 => {}
        1 => {
            height += (0.5 - height) * 0.5;
            back += (0.5 - back) * 0.5;
        }
        _ => back += (0.5 - back) * 0.6,
    }
    (height.clamp(-0.04, 1.0), back.clamp(0.0, 1.0))
}

/// Where the body is for a vowel.
fn vowel_body(height: f64, back: f64) -> Point {
    let close = Point::new(mouth::FRONT_CLOSE_X, mouth::FRONT_CLOSE_Y)
        .towards(Point::new(mouth::BACK_CLOSE_X, mouth::BACK_CLOSE_Y), back);
    let open = Point::new(mouth::FRONT_OPEN_X, mouth::FRONT_OPEN_Y)
        .towards(Point::new(mouth::BACK_OPEN_X, mouth::BACK_OPEN_Y), back);
    close.towards(open, height)
}

pub(super) fn vowel(bundle: &FeatureBundle, coaching: Option<Posture>) -> Gesture {
    let (height, mut back) = vowel_spot(bundle);
    let rounded = bundle.rounded == Some(true);
    let taught_middle = coaching.is_some_and(|taught| {
        taught.tongue.contains(TonguePart::Middle)
            && !taught.tongue.contains(TonguePart::Back)
    });
    if taught_middle && back > 0.7 {
        back = mouth::COACHED_CENTRAL;
    } else if !rounded && back > 0.6 {
        // Fading out towards the open corner, where the chart's vowel is the farthest back.
        back -= mouth::UNROUNDED_BACK * (1.0 - height.max(0.0).powi(3)) * back;
    }
    let mut pose = Pose::rest();
    pose.body = vowel_body(height, back);
    pose.jaw = mouth::JAW_VOWEL_CLOSE
        + ((mouth::JAW_VOWEL_RANGE - mouth::JAW_VOWEL_BEND) * height
            + mouth::JAW_VOWEL_BEND * height * height);
    if rounded {
        pose.jaw *= mouth::JAW_ROUNDED;
    }
    pose.root = mouth::ROOT_OPEN * height * (1.0 - 0.7 * back)
        - mouth::ROOT_CLOSE * (1.0 - height) * (1.0 - back);
    if bundle.rhotic {
        let bunched = Point::new(mouth::BUNCHED_X, mouth::BUNCHED_Y);
        pose.body = pose.body.towards(bunched, mouth::BUNCHED_SHARE);
        pose.root += (mouth::BUNCHED_ROOT - pose.root) * mouth::BUNCHED_SHARE;
        pose.jaw += (mouth::JAW_REST - pose.jaw) * mouth::BUNCHED_SHARE * 0.5;
    }
    secondary_body(bundle, &mut pose);
    root_of_marks(bundle, &mut pose);
    coached_jaw(&mut pose, coaching);
    lips_of_vowel(&mut pose, height, back, rounded, bundle);
    coached_lips(&mut pose, coaching, rounded, height);
    lips_of_marks(bundle, &mut pose);
    pose.velum = nose(bundle);
    pose.rest_tip();
    if bundle.rhotic {
        // The bunched tongue draws its tip in.
        pose.tip = pose.tip + Point::new(2.5, 1.0);
        pose.free_tip();
    }
    tongue::balance(&mut pose);
    keep_clear(&mut pose);
    Gesture {
        pose,
        folds: folds(bundle),
        stricture: Stricture::Open,
        air: if pose.velum > 0.0 {
            Air::Both
        } else {
            Air::Mouth
        },
        spots: Vec::new(),
        moment: "",
    }
}

/// Draws the body in where it would come nearer to the wall than a vowel does.
fn keep_clear(pose: &mut Pose) {
    let wall = Wall::of(pose);
    let least = 2.7;
    for _ in 0..4 {
        let near = tongue::clearance(pose, &wall, pose.body, 60.0);
        if near >= least {
            return;
        }
        // Away from the wall: towards the middle of the mouth.
        let middle = Point::new(41.0, -14.0);
        let way = (middle - pose.body).unit();
        pose.body = pose.body + way * ((least - near) * 0.9 + 0.05);
        if pose.root > 0.0 {
            pose.root -= (least - near).min(pose.root) * 0.5;
        }
        tongue::balance(pose);
    }
}
