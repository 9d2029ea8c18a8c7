//! The lips: of vowels, of consonants, as an accent teaches them, as marks bend them.

use super::Stricture;
use crate::feature::{Detail, FeatureBundle, Height, Lips, Place, Posture, Secondary};
use crate::inventory::mouth;
use crate::posture;
use crate::posture::pose::Pose;

/// The lips of a mouth that does nothing with them.
fn neutral_lips(pose: &mut Pose) {
    pose.aperture = mouth::APERTURE_OF_JAW * pose.jaw + mouth::APERTURE_REST;
    pose.width = mouth::WIDTH_REST - mouth::WIDTH_CLOSING * (pose.jaw - 3.0).max(0.0);
    pose.protrusion = 0.0;
}

pub(super) fn lips_of_vowel(
    pose: &mut Pose,
    height: f64,
    back: f64,
    rounded: bool,
    bundle: &FeatureBundle,
) {
    let height = height.clamp(0.0, 1.0);
    if rounded {
        pose.aperture = mouth::ROUND_APERTURE + mouth::ROUND_APERTURE_RANGE * height;
        pose.width = mouth::ROUND_WIDTH + mouth::ROUND_WIDTH_RANGE * height;
        pose.protrusion =
            mouth::ROUND_PROTRUSION - mouth::ROUND_PROTRUSION_RANGE * height;
        if bundle.height == Some(Height::NearClose) {
            protrude(pose);
        }
    } else {
        neutral_lips(pose);
        let spread = (1.0 - 1.5 * back) * (1.0 - 1.2 * height);
        pose.width += mouth::WIDTH_SPREAD * spread.max(0.0);
    }
}

fn protrude(pose: &mut Pose) {
    pose.aperture = mouth::PROTRUDED_APERTURE;
    pose.width = mouth::PROTRUDED_WIDTH;
    pose.protrusion = mouth::PROTRUDED_PROTRUSION;
}

fn spread(pose: &mut Pose) {
    neutral_lips(pose);
    pose.width = mouth::WIDTH_REST + mouth::WIDTH_SPREAD;
}

/// Lips rounded as for a vowel of some height.
fn round(pose: &mut Pose, height: f64) {
    pose.aperture = mouth::ROUND_APERTURE + mouth::ROUND_APERTURE_RANGE * height;
    pose.width = mouth::ROUND_WIDTH + mouth::ROUND_WIDTH_RANGE * height;
    pose.protrusion = mouth::ROUND_PROTRUSION - mouth::ROUND_PROTRUSION_RANGE * height;
}

pub(super) fn lips_of_consonant(pose: &mut Pose, bundle: &FeatureBundle) {
    neutral_lips(pose);
    match posture::of(bundle).lips {
        Lips::Neutral => {}
        Lips::Spread => spread(pose),
        Lips::Protruded => protrude(pose),
        Lips::Rounded => round(pose, 0.1),
    }
}

/// Makes the lips what the accent teaches, where they are not already.
pub(super) fn coached_lips(
    pose: &mut Pose,
    coaching: Option<Posture>,
    rounded: bool,
    height: f64,
) {
    let Some(taught) = coaching else { return };
    match taught.lips {
        Lips::Neutral => neutral_lips(pose),
        Lips::Spread => spread(pose),
        Lips::Protruded => protrude(pose),
        Lips::Rounded if rounded => round(pose, height),
        Lips::Rounded => round(pose, 0.1),
    }
}

/// What marks do to the lips.
pub(super) fn lips_of_marks(bundle: &FeatureBundle, pose: &mut Pose) {
    let has = |secondary| bundle.secondary.contains(secondary);
    if has(Secondary::Labialized) || has(Secondary::LabioPalatalized) {
        round(pose, 0.15);
    }
    if has(Secondary::Compressed) {
        pose.aperture = 2.6;
        pose.protrusion = 0.8;
        pose.width = 42.0;
    }
    if has(Secondary::Labiodentalized) {
        pose.labiodental = 0.6;
    }
    if bundle.detail.contains(Detail::LipSpread) {
        spread(pose);
    }
    if bundle.detail.contains(Detail::Whistled) {
        round(pose, 0.0);
    }
    let steps = f64::from(bundle.shift.rounding.clamp(-2, 2));
    if steps > 0.0 {
        let mut rounder = *pose;
        round(&mut rounder, 0.0);
        *pose = pose.towards(&rounder, (mouth::LIP_STEP * steps).min(1.0));
    } else if steps < 0.0 {
        let mut looser = *pose;
        neutral_lips(&mut looser);
        *pose = pose.towards(&looser, (-mouth::LIP_STEP * steps).min(1.0));
    }
}

/// Lips that make the sound themselves.
pub(super) fn lip_places(pose: &mut Pose, bundle: &FeatureBundle, stricture: Stricture) {
    let labial = bundle.place.contains(Place::Bilabial);
    if labial {
        let double = bundle.place.second.is_some();
        pose.aperture = match stricture {
            Stricture::Closure | Stricture::Touch => 0.0,
            Stricture::Flutter => 0.4,
            Stricture::Friction if double => mouth::LIP_LABIAL_VELAR - 0.8,
            Stricture::Friction => mouth::LIP_FRICATIVE,
            Stricture::Open => mouth::LIP_APPROXIMANT,
        };
        if double && matches!(stricture, Stricture::Friction | Stricture::Open) {
            pose.width = mouth::ROUND_WIDTH;
            pose.protrusion = mouth::ROUND_PROTRUSION;
        }
    }
    if bundle.place.contains(Place::Labiodental) {
        pose.labiodental = 1.0;
        pose.aperture = match stricture {
            Stricture::Closure | Stricture::Touch | Stricture::Flutter => 4.0,
            Stricture::Friction => 4.6,
            Stricture::Open => 6.6,
        };
    }
    if bundle.place.contains(Place::Linguolabial) {
        pose.lip_down = 3.4;
    }
    if bundle.detail.contains(Detail::Dentolabial) {
        pose.aperture = pose.aperture.min(3.0);
    }
}
