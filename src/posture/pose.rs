//! Where the organs of speech are: twenty numbers.

use super::geometry::Point;
use crate::inventory::mouth;

/// Where the organs of speech are. Lengths in millimetres; the origin is the edge of the
/// upper front teeth, x towards the back, y upwards.
///
/// # Source
///
/// Which parts are controls of their own: Mermelstein (1973), Maeda (1979), Lindblom and
/// Sundberg (1971).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// How far the front teeth are apart, 0 to 14.
    pub jaw: f64,
    /// The centre of the tongue's body, which is nearly a circle.
    pub body: Point,
    /// The radius of that circle.
    pub radius: f64,
    /// The centre of the tip.
    pub tip: Point,
    /// Half the thickness of the tip.
    pub tip_radius: f64,
    /// How far the slope between body and tip sinks in, negative where it swells.
    pub hollow: f64,
    /// How far the root bulges towards the throat wall, negative where it is drawn forward.
    pub root: f64,
    /// How far the epiglottis leans back, 0 to 1.
    pub epiglottis: f64,
    /// How far the velum is let down and the nose open, 0 to 1.
    pub velum: f64,
    /// The opening between the lips, 0 to 16.
    pub aperture: f64,
    /// How far the lips stand out, 0 to 7.
    pub protrusion: f64,
    /// The mouth from corner to corner, 20 to 58.
    pub width: f64,
    /// How far the lower lip goes to the upper teeth, 0 to 1.
    pub labiodental: f64,
    /// How far the upper lip is drawn down to meet the tongue, 0 to 4.
    pub lip_down: f64,
    /// How far the tip lies between the teeth, 0 to 1.
    pub interdental: f64,
    /// How far the sides of the tongue hang down, 0 to 1.
    pub lateral: f64,
    /// How far the edges of the tongue seal the sides of the roof, 0 to 1.
    pub seal: f64,
    /// How far the floor of the mouth is raised, −10 to 10.
    pub floor: f64,
    /// How far the larynx is raised, −1 to 1.
    pub larynx: f64,
}

impl Pose {
    /// The mouth at rest, a little open.
    #[must_use]
    pub fn rest() -> Self {
        let mut pose = Self {
            jaw: mouth::JAW_REST,
            body: Point::new(41.0, -9.5),
            radius: mouth::BALL_RADIUS,
            tip: Point::default(),
            tip_radius: mouth::TIP_REST_RADIUS,
            hollow: 0.0,
            root: 0.0,
            epiglottis: 0.0,
            velum: 0.0,
            aperture: mouth::APERTURE_REST,
            protrusion: 0.0,
            width: mouth::WIDTH_REST,
            labiodental: 0.0,
            lip_down: 0.0,
            interdental: 0.0,
            lateral: 0.0,
            seal: 0.0,
            floor: 0.0,
            larynx: 0.0,
        };
        pose.rest_tip();
        pose
    }

    /// Lays the tip behind the lower front teeth, as it lies when it has nothing to do.
    pub fn rest_tip(&mut self) {
        let back = ((self.body.x - mouth::FRONT_CLOSE_X)
            / (mouth::BACK_CLOSE_X - mouth::FRONT_CLOSE_X))
            .clamp(0.0, 1.2);
        let rest = Point::new(
            mouth::TIP_REST_X + mouth::TIP_DRAWN_BACK * back,
            mouth::TIP_REST_Y,
        );
        self.tip_radius = mouth::TIP_REST_RADIUS;
        self.tip = self.with_jaw(rest);
        self.free_tip();
        self.hollow = -mouth::FULLNESS * self.tip.distance(self.body);
    }

    /// Keeps the tip outside the circle of the body.
    pub(crate) fn free_tip(&mut self) {
        let least = self.radius - self.tip_radius + 3.0;
        let way = self.tip - self.body;
        if way.length() < least {
            let ahead = if way.length() < 1.0 {
                Point::new(-1.0, 0.0)
            } else {
                way.unit()
            };
            self.tip = self.body + ahead * least;
        }
    }

    /// Where a point of the jaw, given with the teeth together, is now.
    #[must_use]
    pub fn with_jaw(&self, point: Point) -> Point {
        let axis = Point::new(mouth::JAW_AXIS_X, mouth::JAW_AXIS_Y);
        point.turned(axis, self.jaw / mouth::JAW_REACH)
    }

    /// The pose a share of the way to another: 0 here, 1 there.
    #[must_use]
    pub fn towards(&self, other: &Self, share: f64) -> Self {
        let mix = |here: f64, there: f64| here + (there - here) * share;
        Self {
            jaw: mix(self.jaw, other.jaw),
            body: self.body.towards(other.body, share),
            radius: mix(self.radius, other.radius),
            tip: self.tip.towards(other.tip, share),
            tip_radius: mix(self.tip_radius, other.tip_radius),
            hollow: mix(self.hollow, other.hollow),
            root: mix(self.root, other.root),
            epiglottis: mix(self.epiglottis, other.epiglottis),
            velum: mix(self.velum, other.velum),
            aperture: mix(self.aperture, other.aperture),
            protrusion: mix(self.protrusion, other.protrusion),
            width: mix(self.width, other.width),
            labiodental: mix(self.labiodental, other.labiodental),
            lip_down: mix(self.lip_down, other.lip_down),
            interdental: mix(self.interdental, other.interdental),
            lateral: mix(self.lateral, other.lateral),
            seal: mix(self.seal, other.seal),
            floor: mix(self.floor, other.floor),
            larynx: mix(self.larynx, other.larynx),
        }
    }
}
