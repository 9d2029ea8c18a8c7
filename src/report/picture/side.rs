//! The head from the side.

use super::svg::{Svg, line, number};
use crate::inventory::mouth as table;
use crate::posture::geometry::{Point, points, smooth};
use crate::posture::gesture::{Air, Folds, Gesture, Stricture};
use crate::posture::mouth::Mouth;

/// Pixels a millimetre.
pub(crate) const SCALE: f64 = 3.0;
/// The left edge, in millimetres.
const LEFT: f64 = -34.0;
/// The top edge.
const TOP: f64 = 47.0;
/// Its width in pixels.
pub(crate) const WIDE: f64 = 372.0;
/// Its height in pixels.
pub(crate) const HIGH: f64 = 345.0;
/// Where the vocal folds are shown.
pub(crate) const FOLDS: Point = Point::new(67.5, -60.0);

/// Where a point of the mouth is on the page.
pub(crate) fn on_page(point: Point, offset: Point) -> Point {
    offset + Point::new((point.x - LEFT) * SCALE, (TOP - point.y) * SCALE)
}

/// The path of points of the mouth.
pub(crate) fn path(of: &[Point], closed: bool, offset: Point) -> String {
    let moved: Vec<Point> = of.iter().map(|it| on_page(*it, offset)).collect();
    line(&moved, closed)
}

/// Draws what does not move with a sound, and what lies under the tongue.
pub(crate) fn behind(svg: &mut Svg, mouth: &Mouth, offset: Point) {
    head(svg, offset);
    for (class, points, closed) in below(mouth) {
        svg.path(class, &path(&points, closed, offset));
    }
    above(svg, mouth, offset);
}

/// Draws the flesh of the head above the mouth.
pub(crate) fn head(svg: &mut Svg, offset: Point) {
    let at = |x: f64, y: f64| Point::new(x, y);
    let mut upper = smooth(&points(&table::FACE), 4);
    upper.extend([
        at(0.6, 18.0),
        at(46.0, 16.0),
        at(90.0, 16.0),
        at(90.0, 47.0),
    ]);
    svg.path("ap-flesh", &path(&upper, true, offset));
}

/// What moves with the jaw and lies under the tongue: the flesh below the mouth, the space of
/// mouth and throat, the jaw, the outline of chin and throat. Each with its class, and whether
/// it is closed; always as many points.
pub(crate) fn below(mouth: &Mouth) -> [(&'static str, Vec<Point>, bool); 4] {
    let at = |x: f64, y: f64| Point::new(x, y);
    let throat = smooth(&[mouth.chin.clone(), points(&table::THROAT)].concat(), 4);
    let mut lower = throat.clone();
    lower.extend([
        at(90.0, -68.0),
        at(90.0, 17.0),
        at(60.0, 17.0),
        at(40.0, -10.0),
    ]);
    lower.extend(mouth.lower_tooth.iter().rev().skip(4).take(8));
    let floor = mouth
        .tongue
        .get(mouth.surface.saturating_sub(1)..)
        .unwrap_or_default();
    let mut cavity = roof(mouth);
    cavity.push(at(75.0, -68.0));
    cavity.extend(points(&table::LARYNX_FRONT));
    cavity.extend(floor.iter().rev());
    cavity.extend(mouth.lower_tooth.iter().take(3).rev());
    [
        ("ap-flesh", lower, true),
        ("ap-air", cavity, true),
        ("ap-bone", mouth.jaw_bone.clone(), true),
        ("ap-edge", throat, false),
    ]
}

/// The wall behind the front teeth.
fn roof(mouth: &Mouth) -> Vec<Point> {
    let wall = mouth.wall.iter().copied();
    wall.skip_while(|it| it.x < 0.5).collect()
}

/// Draws nose and hard palate, and the outline of the face.
pub(crate) fn above(svg: &mut Svg, mouth: &Mouth, offset: Point) {
    let at = |x: f64, y: f64| Point::new(x, y);
    let face = smooth(&points(&table::FACE), 4);
    let roof = roof(mouth);
    // The nose.
    let nose_roof = smooth(&points(&table::NOSE_ROOF), 4);
    let nose_floor = smooth(&points(&table::NOSE_FLOOR), 4);
    let back = smooth(&points(&table::PHARYNX_NOSE), 4);
    let nose = [
        nose_floor.iter().copied().rev().collect(),
        vec![at(58.0, 12.0), at(62.0, -9.0), at(77.0, -9.0)],
        back.clone(),
        nose_roof.clone(),
    ]
    .concat();
    svg.path("ap-air", &path(&nose, true, offset));
    // The hard palate.
    let hard: Vec<Point> = roof
        .iter()
        .copied()
        .take_while(|it| it.x <= 46.0 && it.y > 0.0)
        .filter(|it| it.x > 3.6)
        .collect();
    let bone = [
        hard,
        nose_floor
            .iter()
            .copied()
            .take_while(|it| it.x > 4.0)
            .collect(),
    ]
    .concat();
    svg.path("ap-bone", &path(&bone, true, offset));
    svg.path("ap-edge", &path(&face, false, offset));
    svg.path("ap-thin", &path(&nose_floor, false, offset));
    svg.path("ap-thin", &path(&nose_roof, false, offset));
    let throat_wall: Vec<Point> = roof
        .iter()
        .copied()
        .filter(|it| it.x > 74.5 && it.y <= 3.1)
        .collect();
    svg.path(
        "ap-edge",
        &path(
            &[back.iter().rev().copied().collect::<Vec<_>>(), throat_wall].concat(),
            false,
            offset,
        ),
    );
    svg.path(
        "ap-edge",
        &path(&smooth(&points(&table::LARYNX_FRONT), 3), false, offset),
    );
    let roof_line: Vec<Point> = roof
        .iter()
        .copied()
        .take_while(|it| it.x <= 46.1 && it.y > -0.5)
        .collect();
    svg.path("ap-edge", &path(&roof_line, false, offset));
}

/// Draws the tongue.
pub(crate) fn tongue(svg: &mut Svg, mouth: &Mouth, offset: Point) {
    svg.path("ap-tongue", &path(&mouth.tongue, true, offset));
    svg.path("ap-tongue-edge", &path(surface(mouth), false, offset));
}

/// The free surface of the tongue.
pub(crate) fn surface(mouth: &Mouth) -> &[Point] {
    mouth.tongue.get(..mouth.surface).unwrap_or_default()
}

/// Draws velum, teeth, lips and epiglottis.
pub(crate) fn around(svg: &mut Svg, mouth: &Mouth, offset: Point) {
    svg.path("ap-velum", &path(&mouth.velum, true, offset));
    svg.path("ap-edge", &path(&mouth.epiglottis, false, offset));
    teeth(svg, mouth, offset);
    lips(svg, mouth, offset);
}

/// Draws the front teeth.
pub(crate) fn teeth(svg: &mut Svg, mouth: &Mouth, offset: Point) {
    upper_tooth(svg, offset);
    svg.path("ap-tooth", &path(&mouth.lower_tooth, true, offset));
}

/// Draws the upper front tooth, which never moves.
pub(crate) fn upper_tooth(svg: &mut Svg, offset: Point) {
    let mut upper = points(&table::UPPER_TOOTH);
    upper.extend(upper.first().copied());
    svg.path("ap-tooth", &path(&smooth(&upper, 4), true, offset));
}

/// Draws the lips.
pub(crate) fn lips(svg: &mut Svg, mouth: &Mouth, offset: Point) {
    for (skin, red) in [
        (&mouth.upper_lip, &mouth.upper_red),
        (&mouth.lower_lip, &mouth.lower_red),
    ] {
        svg.path("ap-flesh", &path(skin, true, offset));
        svg.path("ap-lip", &path(red, true, offset));
        svg.path("ap-edge", &path(skin, false, offset));
    }
}

/// Draws what the sound does: contact, friction, flutter, air, voice.
pub(crate) fn marks(svg: &mut Svg, gesture: &Gesture, mouth: &Mouth, offset: Point) {
    let streams = mouth.stream(gesture);
    for stream in &streams {
        breath(svg, stream, gesture.air, offset);
    }
    for stretch in &mouth.touching {
        svg.path("ap-touch", &path(stretch, false, offset));
    }
    if let Some((from, to)) = mouth.lips_touch {
        svg.path("ap-touch", &path(&[from, to], false, offset));
    }
    match gesture.stricture {
        Stricture::Friction => stipple(svg, gesture, mouth, offset),
        Stricture::Flutter | Stricture::Touch => flutter(svg, gesture, mouth, offset),
        Stricture::Closure | Stricture::Open => {}
    }
    folds(svg, gesture.folds, on_page(FOLDS, offset), "ap-rule");
    larynx(svg, gesture.pose.larynx, offset);
}

/// The stream of air, with its head.
fn breath(svg: &mut Svg, stream: &[Point], air: Air, offset: Point) {
    let class = "ap-breath";
    // Between the ends, so that the line does not run into the disc of the folds.
    let shown: Vec<Point> = stream
        .iter()
        .copied()
        .filter(|it| it.distance(FOLDS) > 7.5)
        .collect();
    let line = path(&shown, false, offset);
    let dashes = match air {
        Air::Sides => "5 5",
        Air::Inward => "2 4",
        _ => "none",
    };
    svg.shape("path", class, &[("d", &line), ("stroke-dasharray", dashes)]);
    if let [.., before, last] = shown.as_slice() {
        let tip = on_page(*last, offset);
        let way = (tip - on_page(*before, offset)).unit();
        let side = way.right() * 5.0;
        let head = [tip + way * 9.0, tip + side, tip - side];
        svg.path("ap-breath-head", &super::svg::line(&head, true));
    }
}

/// Where the narrowing of a sound is.
fn spots(gesture: &Gesture, mouth: &Mouth) -> Vec<Point> {
    gesture
        .spots
        .iter()
        .filter_map(|(place, spot)| match spot {
            Some(spot) => mouth.gap_at(*spot, 14.0).map(|(_, at)| at),
            None => lip_spot(*place, mouth),
        })
        .collect()
}

fn lip_spot(place: crate::feature::Place, mouth: &Mouth) -> Option<Point> {
    use crate::feature::Place;
    match place {
        Place::Bilabial => {
            let top = mouth.upper_red.iter().min_by(|a, b| a.y.total_cmp(&b.y))?;
            Some(*top + Point::new(-2.0, -0.8))
        }
        Place::Labiodental => Some(Point::new(-1.2, -1.0)),
        Place::Glottal => Some(FOLDS + Point::new(0.0, 9.0)),
        _ => None,
    }
}

/// Dots where the air hisses, in front of the narrowing.
fn stipple(svg: &mut Svg, gesture: &Gesture, mouth: &Mouth, offset: Point) {
    const DOTS: [(f64, f64); 9] = [
        (0.0, 0.0),
        (-2.0, 1.4),
        (-2.2, -1.4),
        (-4.2, 0.2),
        (-4.4, 2.6),
        (-4.8, -2.4),
        (-6.6, 1.4),
        (-6.8, -1.0),
        (1.6, 0.4),
    ];
    for spot in spots(gesture, mouth) {
        // The way the air goes there.
        let stream = &mouth.passage;
        let at = stream
            .iter()
            .enumerate()
            .min_by(|one, other| one.1.distance(spot).total_cmp(&other.1.distance(spot)))
            .map_or(0, |(at, _)| at);
        let here = stream.get(at).copied().unwrap_or(spot);
        let ahead = stream
            .get(at + 2)
            .copied()
            .unwrap_or(here + Point::new(-1.0, 0.0));
        let way = (ahead - here).unit();
        let centre = if spot.distance(FOLDS) < 12.0 {
            spot
        } else {
            here
        };
        for (along, aside) in DOTS {
            let dot = centre + way * (-along) + way.right() * aside * 0.8;
            svg.disc("ap-ink", on_page(dot, offset), 1.5);
        }
    }
}

/// Arcs at an organ that flutters or taps.
fn flutter(svg: &mut Svg, gesture: &Gesture, mouth: &Mouth, offset: Point) {
    let count = if gesture.stricture == Stricture::Flutter {
        3
    } else {
        1
    };
    for spot in spots(gesture, mouth) {
        let inward = (gesture.pose.body - spot).unit();
        for number_of in 1..=count {
            let reach = 2.2 * f64::from(number_of) + 1.0;
            let arc: Vec<Point> = (-4..=4)
                .map(|step| {
                    let turn = f64::from(step) * 0.16;
                    spot + inward.turned(Point::default(), turn) * reach
                })
                .collect();
            svg.path("ap-halo", &path(&arc, false, offset));
            svg.path("ap-mark", &path(&arc, false, offset));
        }
    }
}

/// The vocal folds seen from above: a gap, a zigzag or a slit in a disc.
pub(crate) fn folds(svg: &mut Svg, folds: Folds, at: Point, ring: &str) {
    const RADIUS: f64 = 17.0;
    let shut = folds == Folds::Shut;
    svg.disc(if shut { "ap-ink" } else { "ap-page" }, at, RADIUS);
    svg.shape(
        "circle",
        ring,
        &[
            ("cx", &number(at.x)),
            ("cy", &number(at.y)),
            ("r", &number(RADIUS)),
        ],
    );
    let of = |points: &[(f64, f64)], closed: bool| {
        let moved: Vec<Point> = points
            .iter()
            .map(|(x, y)| at + Point::new(*x, *y))
            .collect();
        line(&moved, closed)
    };
    match folds {
        Folds::Apart => svg.path(
            "ap-ink",
            &of(&[(0.0, -12.0), (6.5, 11.0), (-6.5, 11.0)], true),
        ),
        Folds::Narrowed => {
            svg.path(
                "ap-ink",
                &of(&[(0.0, -12.0), (3.0, 11.0), (-3.0, 11.0)], true),
            );
        }
        Folds::Humming => svg.path("ap-mark", &of(&zigzag(5.0), false)),
        Folds::Breathy => {
            svg.path("ap-mark", &of(&zigzag(4.0), false));
            svg.path(
                "ap-ink",
                &of(&[(0.0, 4.0), (5.0, 13.0), (-5.0, 13.0)], true),
            );
        }
        Folds::Creaky => {
            svg.path("ap-mark", &of(&[(0.0, -12.0), (0.0, -8.0)], false));
            svg.path("ap-mark", &of(&[(-4.0, -4.0), (4.0, 0.0)], false));
            svg.path("ap-mark", &of(&[(0.0, 4.0), (0.0, 7.0)], false));
            svg.path("ap-mark", &of(&[(-4.0, 10.0), (4.0, 12.0)], false));
        }
        Folds::Shut => svg.path(
            "ap-page",
            &of(
                &[(-1.0, -12.0), (1.0, -12.0), (1.0, 12.0), (-1.0, 12.0)],
                true,
            ),
        ),
    }
}

fn zigzag(wide: f64) -> Vec<(f64, f64)> {
    (0..9)
        .map(|step| {
            let side = if step % 2 == 0 { -wide } else { wide };
            (side, -12.0 + 3.0 * f64::from(step))
        })
        .collect()
}

/// An arrow beside the folds where the larynx is raised or lowered.
fn larynx(svg: &mut Svg, way: f64, offset: Point) {
    if way.abs() < 0.1 {
        return;
    }
    let middle = FOLDS + Point::new(9.5, 0.0);
    let half = Point::new(0.0, 5.0 * way.signum());
    svg.pointer(
        "ap-mark",
        on_page(middle - half, offset),
        on_page(middle + half, offset),
    );
}
