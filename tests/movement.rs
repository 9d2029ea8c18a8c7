//! How far a tongue moves, for what draws movements.

use apical::posture::geometry::Point;
use apical::posture::gesture::Gesture;
use apical::posture::mouth::Mouth;

/// The farthest that any point of the tongue moves in one of so many steps.
pub(crate) fn largest_step(from: &Gesture, to: &Gesture, steps: u32) -> f64 {
    let mouths: Vec<Vec<Point>> = (0..=steps)
        .map(|step| {
            let share = f64::from(step) / f64::from(steps);
            Mouth::of(&from.pose.towards(&to.pose, share)).tongue
        })
        .collect();
    mouths
        .windows(2)
        .flat_map(|pair| pair[0].iter().zip(&pair[1]).map(|(a, b)| a.distance(*b)))
        .fold(0.0, f64::max)
}
