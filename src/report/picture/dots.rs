//! The mouth in a terminal: braille dots, or plain characters where a screen has no dots.

use crate::posture::geometry::Point;
use crate::posture::gesture::{Gesture, Stricture};
use crate::posture::mouth::Mouth;

/// What a terminal can show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grain {
    /// Braille dots, eight a cell.
    Dots,
    /// Plain ASCII characters, each organ its own.
    Characters,
}

/// What a cell shows, where more than one thing meets the one that matters most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Nothing.
    Nothing,
    /// Roof, throat wall, face.
    Wall,
    /// The soft roof.
    Velum,
    /// Teeth.
    Teeth,
    /// Lips.
    Lips,
    /// The tongue of what was said, where another is wanted.
    Said,
    /// The tongue.
    Tongue,
    /// Tongue of target and production in one place.
    Both,
    /// Friction.
    Friction,
    /// Contact.
    Contact,
}

impl Part {
    /// The plain character that stands for it.
    const fn character(self) -> char {
        match self {
            Self::Nothing => ' ',
            Self::Wall => '.',
            Self::Velum => '=',
            Self::Teeth => 'v',
            Self::Lips => ')',
            Self::Said => 'x',
            Self::Tongue => 'o',
            Self::Both => '8',
            Self::Friction => '~',
            Self::Contact => '#',
        }
    }
}

/// A cell of the picture.
pub type Cell = (char, Part);

/// The left edge of what is shown, in millimetres.
const LEFT: f64 = -22.0;
/// The right edge.
const RIGHT: f64 = 80.0;
/// The top edge.
const TOP: f64 = 32.0;
/// The bottom edge.
const BOTTOM: f64 = -62.0;

/// A field of dots, two columns and four rows a cell.
struct Field {
    columns: usize,
    rows: usize,
    dots: Vec<Part>,
}

impl Field {
    fn new(columns: usize, rows: usize) -> Self {
        Self {
            columns,
            rows,
            dots: vec![Part::Nothing; columns * 2 * rows * 4],
        }
    }

    /// Millimetres a dot, across and down.
    fn grain(&self) -> (f64, f64) {
        let of = |count: usize| f64::from(u32::try_from(count).unwrap_or(1).max(1));
        (
            (RIGHT - LEFT) / of(self.columns * 2),
            (TOP - BOTTOM) / of(self.rows * 4),
        )
    }

    fn set(&mut self, point: Point, part: Part) {
        let (across, down) = self.grain();
        let (x, y) = ((point.x - LEFT) / across, (TOP - point.y) / down);
        if x < 0.0 || y < 0.0 {
            return;
        }
        // Both are small positive numbers here.
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a negative or a far point has no dot"
        )]
        let (x, y) = (x as usize, y as usize);
        if x >= self.columns * 2 || y >= self.rows * 4 {
            return;
        }
        if let Some(dot) = self.dots.get_mut(y * self.columns * 2 + x) {
            let both = *dot == Part::Said && part == Part::Tongue;
            *dot = if both { Part::Both } else { (*dot).max(part) };
        }
    }

    /// Sets the dots of a line; of every `every` dots one.
    fn line(&mut self, points: &[Point], closed: bool, part: Part, every: u32) {
        let (across, down) = self.grain();
        let step = across.min(down) * 0.5;
        let mut walked = 0_u32;
        let ends = points.windows(2).map(|pair| match *pair {
            [a, b] => (a, b),
            _ => (Point::default(), Point::default()),
        });
        let back = match (points.last(), points.first()) {
            (Some(last), Some(first)) if closed => Some((*last, *first)),
            _ => None,
        };
        for (a, b) in ends.chain(back) {
            let length = a.distance(b);
            let mut along = 0.0;
            while along < length {
                if walked % (every * 2) < 2 || every == 1 {
                    self.set(a.towards(b, along / length), part);
                }
                walked += 1;
                along += step;
            }
        }
    }

    fn cells(&self, grain: Grain) -> Vec<Vec<Cell>> {
        // The bit of a dot by its row and column in the cell.
        const BITS: [[u32; 2]; 4] =
            [[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]];
        let mut rows = Vec::with_capacity(self.rows);
        for row in 0..self.rows {
            let mut line: Vec<Cell> = Vec::with_capacity(self.columns);
            for column in 0..self.columns {
                let (mut bits, mut most) = (0, Part::Nothing);
                for (y, pair) in BITS.iter().enumerate() {
                    for (x, bit) in pair.iter().enumerate() {
                        let at = (row * 4 + y) * self.columns * 2 + column * 2 + x;
                        let part = self.dots.get(at).copied().unwrap_or(Part::Nothing);
                        if part != Part::Nothing {
                            bits |= bit;
                        }
                        most = most.max(part);
                    }
                }
                let character = match (grain, most) {
                    (_, Part::Nothing) => ' ',
                    (Grain::Dots, Part::Contact) => '█',
                    (Grain::Dots, Part::Friction) => '≈',
                    (Grain::Dots, _) => char::from_u32(0x2800 + bits).unwrap_or(' '),
                    (Grain::Characters, part) => part.character(),
                };
                line.push((character, most));
            }
            while line.last().is_some_and(|(character, _)| *character == ' ') {
                line.pop();
            }
            rows.push(line);
        }
        rows
    }
}

/// One moment of a sound in `rows` rows of at most `columns` cells; blanks at the end of a
/// row are left out.
#[must_use]
pub fn sound(
    gesture: &Gesture,
    columns: usize,
    rows: usize,
    grain: Grain,
) -> Vec<Vec<Cell>> {
    let mut field = Field::new(columns, rows);
    let mouth = Mouth::at(gesture);
    around(&mut field, &mouth);
    field.line(surface(&mouth), false, Part::Tongue, 1);
    marks(&mut field, gesture, &mouth);
    field.cells(grain)
}

/// A production over its target: the target's tongue whole, that of what was said dotted
/// (`o` and `x` in plain characters, `8` where they meet).
#[must_use]
pub fn difference(
    target: &Gesture,
    said: &Gesture,
    columns: usize,
    rows: usize,
    grain: Grain,
) -> Vec<Vec<Cell>> {
    let mut field = Field::new(columns, rows);
    let (wanted, produced) = (Mouth::at(target), Mouth::at(said));
    around(&mut field, &wanted);
    let every = if grain == Grain::Dots { 2 } else { 1 };
    field.line(surface(&produced), false, Part::Said, every);
    field.line(surface(&wanted), false, Part::Tongue, 1);
    marks(&mut field, target, &wanted);
    field.cells(grain)
}

fn surface(mouth: &Mouth) -> &[Point] {
    mouth.tongue.get(..mouth.surface).unwrap_or_default()
}

fn around(field: &mut Field, mouth: &Mouth) {
    let wall: Vec<Point> = mouth
        .wall
        .iter()
        .copied()
        .skip_while(|it| it.x < 0.5)
        .collect();
    field.line(&wall, false, Part::Wall, 1);
    field.line(&mouth.chin, false, Part::Wall, 2);
    field.line(&mouth.velum, true, Part::Velum, 1);
    field.line(&mouth.lower_tooth, true, Part::Teeth, 1);
    let tooth = crate::posture::geometry::points(&crate::inventory::mouth::UPPER_TOOTH);
    field.line(&tooth, true, Part::Teeth, 1);
    field.line(&mouth.upper_red, true, Part::Lips, 1);
    field.line(&mouth.lower_red, true, Part::Lips, 1);
}

fn marks(field: &mut Field, gesture: &Gesture, mouth: &Mouth) {
    for stretch in &mouth.touching {
        field.line(stretch, false, Part::Contact, 1);
    }
    if let Some((from, to)) = mouth.lips_touch {
        field.line(&[from, to], false, Part::Contact, 1);
    }
    if gesture.stricture == Stricture::Friction {
        for (_, spot) in &gesture.spots {
            let at = spot
                .and_then(|spot| mouth.gap_at(spot, 14.0))
                .map_or(Point::new(-2.0, -1.0), |(_, at)| at);
            field.set(at, Part::Friction);
        }
    }
}

/// The rows as text.
#[must_use]
pub fn text(cells: &[Vec<Cell>]) -> String {
    let mut out = String::new();
    for row in cells {
        out.extend(row.iter().map(|(character, _)| character));
        out.push('\n');
    }
    out
}
