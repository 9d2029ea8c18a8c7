//! Pictures: the mouth of any sound, a production laid over its target, the steps between;
//! as SVG, and in dots for a terminal. And charts ([`charts`]).
//!
//! Every picture is computed from features ([`crate::posture::gesture`]); none is stored.
//! An SVG stands alone: no script, no link, no file beside it. It has a title and a
//! description, goes by the page's light or dark, and says nothing by colour alone.

mod insets;
mod side;
mod svg;

use crate::feature::FeatureBundle;
use crate::posture::geometry::Point;
use crate::posture::gesture::{self, Coaching, Gesture};
use crate::posture::mouth::Mouth;
use svg::Svg;

/// A sound to be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Sound {
    /// As written.
    pub text: String,
    /// The phonetician's name for it.
    pub name: String,
    /// Its moments, in order.
    pub gestures: Vec<Gesture>,
}

impl Sound {
    /// A sound from its features, with what an accent teaches for it.
    #[must_use]
    pub fn new(text: &str, bundle: &FeatureBundle, coaching: Coaching) -> Self {
        Self {
            text: text.to_owned(),
            name: crate::articulation::name(bundle),
            gestures: gesture::of(bundle, coaching),
        }
    }
}

/// What stands under every picture.
const CAUTION: &str = "schematic, from features; not a scan of a speaker";

/// One moment of a sound, drawn at a spot.
fn panel(svg: &mut Svg, gesture: &Gesture, offset: Point) {
    let mouth = Mouth::at(gesture);
    side::behind(svg, &mouth, offset);
    side::tongue(svg, &mouth, offset);
    side::around(svg, &mouth, offset);
    side::marks(svg, gesture, &mouth, offset);
    let strip = offset + Point::new(0.0, side::HIGH);
    insets::lips(svg, &gesture.pose, strip + Point::new(92.0, 58.0));
    insets::jaw(svg, &gesture.pose, strip + Point::new(196.0, 18.0));
    insets::roof(svg, &gesture.pose, &mouth, strip + Point::new(304.0, 14.0));
}

/// The mouth of a sound, a panel for each of its moments; `None` where it has no mouth (a
/// tone, a pause).
#[must_use]
pub fn sound(sound: &Sound) -> Option<String> {
    let count = sound.gestures.len();
    if count == 0 {
        return None;
    }
    let wide = side::WIDE * f64::from(u32::try_from(count).unwrap_or(1));
    let high = side::HIGH + insets::HIGH + 34.0;
    let title = format!("{}: {}", sound.text, sound.name);
    let mut svg = Svg::new(wide, high, &title, CAUTION);
    for (at, gesture) in sound.gestures.iter().enumerate() {
        let left = side::WIDE * f64::from(u32::try_from(at).unwrap_or(0));
        panel(&mut svg, gesture, Point::new(left, 0.0));
        svg.text("ap-faint", Point::new(left + 12.0, 336.0), 13.0, "start", gesture.moment);
    }
    svg.text("ap-text", Point::new(12.0, 318.0), 34.0, "start", &sound.text);
    svg.text("ap-text", Point::new(12.0, high - 18.0), 14.0, "start", &sound.name);
    svg.text("ap-faint", Point::new(12.0, high - 4.0), 10.0, "start", CAUTION);
    Some(svg.finish())
}
