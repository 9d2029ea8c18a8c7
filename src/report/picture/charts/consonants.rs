//! Consonants by place and manner, with how many were right.

use super::super::count;
use super::super::svg::Svg;
use super::percent;
use crate::feature::{FeatureBundle, Manner, Place, Places, Voicing};
use crate::posture::geometry::Point;

/// A target consonant and how it was said.
#[derive(Clone, Debug, PartialEq)]
pub struct Consonant {
    /// As written.
    pub text: String,
    /// Its features.
    pub bundle: FeatureBundle,
    /// How often it was right.
    pub right: u32,
    /// How often it was wanted.
    pub of: u32,
}

const CELL: (f64, f64) = (92.0, 62.0);
const LEFT: f64 = 104.0;
const TOP: f64 = 66.0;

/// A table of places and manners, as far as they occur: in each cell the consonants, voiceless
/// left and voiced right, the count, and a bar that is filled as far as they were right.
#[must_use]
pub fn consonants(consonants: &[Consonant]) -> String {
    // Sounds of two places have a column of their own, after those of one.
    let mut places: Vec<Places> = consonants.iter().map(|it| it.bundle.place).collect();
    places.sort_unstable_by_key(|it| (it.second.is_some(), it.first, it.second));
    places.dedup();
    let lateral = |bundle: &FeatureBundle| bundle.lateral;
    let mut rows: Vec<(Manner, bool)> = Vec::new();
    for manner in Manner::ALL {
        for sides in [false, true] {
            let occurs = consonants.iter().any(|it| {
                it.bundle.manner == Some(*manner) && lateral(&it.bundle) == sides
            });
            if occurs {
                rows.push((*manner, sides));
            }
        }
    }
    let words: Vec<String> = consonants
        .iter()
        .map(|it| format!("{}: {} of {} right", it.text, it.right, it.of))
        .collect();
    let title = "Consonants by place and manner";
    let wide = (LEFT + CELL.0 * count(places.len()) + 16.0).max(320.0);
    let high = TOP + CELL.1 * count(rows.len()) + 30.0;
    let mut svg = Svg::new(wide, high, title, &format!("{}.", words.join("; ")));
    svg.text("ap-text", Point::new(16.0, 24.0), 15.0, "start", title);
    for (column, place) in places.iter().enumerate() {
        let x = LEFT + CELL.0 * (count(column) + 0.5);
        let front = place.first.map_or("", Place::name).to_owned();
        let names = match place.second {
            Some(second) => vec![format!("+ {}", second.name()), front],
            None => vec![front],
        };
        for (line, name) in names.iter().enumerate() {
            let above = Point::new(x, TOP - 10.0 - 13.0 * count(line));
            svg.text("ap-faint", above, 11.0, "middle", name);
        }
    }
    for (row, (manner, sides)) in rows.iter().enumerate() {
        let y = TOP + CELL.1 * count(row);
        svg.text(
            "ap-faint",
            Point::new(12.0, y + 28.0),
            11.0,
            "start",
            manner.name(),
        );
        if *sides {
            svg.text(
                "ap-faint",
                Point::new(12.0, y + 42.0),
                11.0,
                "start",
                "lateral",
            );
        }
        for (column, place) in places.iter().enumerate() {
            let x = LEFT + CELL.0 * count(column);
            svg.rect("ap-grid", (x, y), CELL, 0.0);
            let here = consonants.iter().filter(|it| {
                it.bundle.place == *place
                    && it.bundle.manner == Some(*manner)
                    && lateral(&it.bundle) == *sides
            });
            let mut here: Vec<&Consonant> = here.collect();
            here.sort_by_key(|it| {
                (it.bundle.voicing == Voicing::Voiced, it.text.clone())
            });
            cell(&mut svg, &here, (x, y));
        }
    }
    let note = "Under each: right of wanted; the bar is filled as far as it was right.";
    svg.text(
        "ap-faint",
        Point::new(16.0, high - 8.0),
        11.0,
        "start",
        note,
    );
    svg.finish()
}

fn cell(svg: &mut Svg, here: &[&Consonant], (x, y): (f64, f64)) {
    let each = CELL.0 / count(here.len().max(1));
    for (at, consonant) in here.iter().enumerate() {
        let middle = x + each * (count(at) + 0.5);
        svg.text(
            "ap-text",
            Point::new(middle, y + 22.0),
            17.0,
            "middle",
            &consonant.text,
        );
        let figures = format!("{}/{}", consonant.right, consonant.of);
        svg.text(
            "ap-faint",
            Point::new(middle, y + 37.0),
            10.0,
            "middle",
            &figures,
        );
        let wide = (each - 12.0).min(40.0);
        let left = middle - wide / 2.0;
        svg.rect("ap-bar-open", (left, y + 44.0), (wide, 9.0), 1.0);
        if consonant.of > 0 && percent(consonant.right, consonant.of) != "0 %" {
            let share =
                f64::from(consonant.right.min(consonant.of)) / f64::from(consonant.of);
            svg.rect("ap-bar", (left, y + 44.0), (wide * share, 9.0), 1.0);
        }
    }
}
