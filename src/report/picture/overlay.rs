//! A production laid over its target.

use super::svg::Svg;
use super::{insets, side};
use crate::posture::geometry::Point;
use crate::posture::gesture::Gesture;
use crate::posture::mouth::Mouth;
use crate::posture::movement::{self, Organ};

/// The height of the two frames under the side view.
pub(crate) const FRAMES: f64 = 112.0;

/// Draws one moment of both.
pub(crate) fn panel(svg: &mut Svg, target: &Gesture, said: &Gesture, offset: Point) {
    let (wanted, produced) = (Mouth::at(target), Mouth::at(said));
    let moves = movement::between(said, target);
    let moved = |organ: Organ| moves.iter().any(|it| it.organ == organ);
    let tongue = moved(Organ::Tip) || moved(Organ::Body) || moved(Organ::Root);
    side::behind(svg, &wanted, offset);
    let fill = if tongue { "ap-target-fill" } else { "ap-same" };
    svg.path(fill, &side::path(&wanted.tongue, true, offset));
    let edge = if tongue { "ap-target" } else { "ap-edge" };
    side::around(svg, &wanted, offset);
    svg.path(edge, &side::path(side::surface(&wanted), false, offset));
    if tongue {
        svg.path(
            "ap-said",
            &side::path(side::surface(&produced), false, offset),
        );
    }
    let thin = |svg: &mut Svg, points: &[Point], closed: bool| {
        let path = side::path(points, closed, offset);
        svg.shape("path", "ap-said", &[("d", &path), ("stroke-width", "1.8")]);
    };
    if moved(Organ::Jaw) {
        thin(svg, &produced.lower_tooth, true);
    }
    if moved(Organ::Lips) || moved(Organ::Jaw) {
        thin(svg, &produced.upper_red, true);
        thin(svg, &produced.lower_red, true);
    }
    if moved(Organ::Velum) {
        thin(svg, &produced.velum, true);
    }
    // What was touched is an open bar, what is to be touched a full one.
    for stretch in &produced.touching {
        svg.path("ap-touch", &side::path(stretch, false, offset));
        let path = side::path(stretch, false, offset);
        svg.shape("path", "ap-halo", &[("d", &path), ("stroke-width", "3")]);
    }
    for stretch in &wanted.touching {
        svg.path("ap-touch", &side::path(stretch, false, offset));
    }
    if let Some((from, to)) = produced.lips_touch {
        svg.path("ap-touch", &side::path(&[from, to], false, offset));
        let path = side::path(&[from, to], false, offset);
        svg.shape("path", "ap-halo", &[("d", &path), ("stroke-width", "3")]);
    }
    if let Some((from, to)) = wanted.lips_touch {
        svg.path("ap-touch", &side::path(&[from, to], false, offset));
    }
    for step in &moves {
        if matches!(step.organ, Organ::Root | Organ::Larynx) {
            continue;
        }
        let (from, to) = (
            side::on_page(step.from, offset),
            side::on_page(step.to, offset),
        );
        // Lips that only grow wider or narrower show it from the front.
        if from.distance(to) > 1.5 {
            svg.arrow(from, to);
        }
    }
    let disc = side::on_page(side::FOLDS, offset);
    if target.folds == said.folds {
        side::folds(svg, target.folds, disc, "ap-rule");
    } else {
        let beside = disc + Point::new(48.0, 0.0);
        side::folds(svg, target.folds, disc, "ap-target");
        side::folds(svg, said.folds, beside, "ap-said");
        svg.arrow(beside - Point::new(19.0, 0.0), disc + Point::new(19.0, 0.0));
    }
    let top = offset + Point::new(0.0, side::HIGH);
    frame(
        svg,
        target,
        &wanted,
        top + Point::new(6.0, 6.0),
        "ap-target",
    );
    frame(
        svg,
        said,
        &produced,
        top + Point::new(190.0, 6.0),
        "ap-said",
    );
}

/// Lips and roof of one of the two, in a frame.
fn frame(svg: &mut Svg, gesture: &Gesture, mouth: &Mouth, at: Point, ring: &str) {
    svg.rect("ap-page", (at.x, at.y), (176.0, FRAMES - 12.0), 4.0);
    svg.shape(
        "rect",
        ring,
        &[
            ("x", &super::svg::number(at.x)),
            ("y", &super::svg::number(at.y)),
            ("width", "176"),
            ("height", &super::svg::number(FRAMES - 12.0)),
            ("rx", "4"),
            ("fill", "none"),
        ],
    );
    small(svg, at + Point::new(54.0, 50.0), 0.66, &mut |svg| {
        insets::lips(svg, &gesture.pose, Point::default());
    });
    small(svg, at + Point::new(134.0, 10.0), 0.72, &mut |svg| {
        insets::roof(svg, &gesture.pose, mouth, Point::default());
    });
}

/// Draws something at a spot and a scale.
pub(crate) fn small(
    svg: &mut Svg,
    at: Point,
    scale: f64,
    draw: &mut dyn FnMut(&mut Svg),
) {
    let [x, y, scale] = [at.x, at.y, scale].map(super::svg::number);
    svg.open(
        "g",
        &[("transform", &format!("translate({x} {y}) scale({scale})"))],
    );
    draw(svg);
    svg.close("g");
}
