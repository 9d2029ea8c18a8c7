//! SVG, element by element: well-formed and escaped whatever the text.

use quick_xml::Writer;
use quick_xml::events::{BytesEnd, BytesStart, BytesText, Event};

use crate::posture::geometry::Point;

/// The looks of a class of element: presentation attributes, which hold everywhere, and what
/// a dark page puts in their place.
struct Look {
    class: &'static str,
    light: &'static str,
    dark: &'static str,
}

/// What every class looks like. Colours are told apart by every kind of colour vision, and
/// nothing is said by colour alone.
const LOOKS: &[Look] = &[
    look("ap-page", "fill=#ffffff", "fill:#14171a"),
    look("ap-air", "fill=#fbfaf7", "fill:#1b1f23"),
    look("ap-flesh", "fill=#ece4d9", "fill:#343a40"),
    look("ap-bone", "fill=#d3cdc1", "fill:#565f68"),
    look(
        "ap-velum",
        "fill=#d7b49d;stroke=#3b342e;stroke-width=1.4;stroke-linejoin=round",
        "fill:#7d5f4c;stroke:#e6e1da",
    ),
    look("ap-tongue", "fill=#dd9a8f", "fill:#93483f"),
    look(
        "ap-tongue-edge",
        "fill=none;stroke=#6d241d;stroke-width=2.4;stroke-linecap=round;stroke-linejoin=round",
        "stroke:#f0b5ab",
    ),
    look("ap-lip", "fill=#bf6a63", "fill:#a5544d"),
    look(
        "ap-tooth",
        "fill=#ffffff;stroke=#3b342e;stroke-width=1.3;stroke-linejoin=round",
        "fill:#e9e7e2;stroke:#14171a",
    ),
    look(
        "ap-edge",
        "fill=none;stroke=#3b342e;stroke-width=1.6;stroke-linecap=round;stroke-linejoin=round",
        "stroke:#e6e1da",
    ),
    look(
        "ap-thin",
        "fill=none;stroke=#3b342e;stroke-width=1;stroke-linecap=round",
        "stroke:#e6e1da",
    ),
    look(
        "ap-breath",
        "fill=none;stroke=#00629b;stroke-width=2.2;stroke-linecap=round;stroke-linejoin=round",
        "stroke:#63b8ec",
    ),
    look("ap-breath-head", "fill=#00629b", "fill:#63b8ec"),
    look(
        "ap-touch",
        "fill=none;stroke=#000000;stroke-width=6;stroke-linecap=round;stroke-linejoin=round",
        "stroke:#ffffff",
    ),
    look("ap-touch-area", "fill=#2b2622", "fill:#f2efe9"),
    look("ap-ink", "fill=#1d1a17", "fill:#f2efe9"),
    look("ap-hole", "fill=#3a211f", "fill:#0a0506"),
    look("ap-text", "fill=#1d1a17", "fill:#f2efe9"),
    look("ap-faint", "fill=#5c554d", "fill:#b9b3aa"),
    look(
        "ap-rule",
        "fill=none;stroke=#8b8377;stroke-width=1",
        "stroke:#8b9299",
    ),
    look(
        "ap-grid",
        "fill=none;stroke=#cfc8bc;stroke-width=1",
        "stroke:#454c53",
    ),
    look(
        "ap-target",
        "fill=none;stroke=#0072b2;stroke-width=2.6;stroke-linecap=round;stroke-linejoin=round",
        "stroke:#63b8ec",
    ),
    look("ap-target-fill", "fill=#cfe3f1", "fill:#1f4258"),
    look("ap-target-mark", "fill=#0072b2", "fill:#63b8ec"),
    look(
        "ap-said",
        "fill=none;stroke=#c04f00;stroke-width=2.6;stroke-dasharray=7 4;stroke-linejoin=round",
        "stroke:#ffa064",
    ),
    look(
        "ap-said-mark",
        "fill=#ffffff;stroke=#c04f00;stroke-width=2",
        "fill:#14171a;stroke:#ffa064",
    ),
    look("ap-same", "fill=#dcd8d2", "fill:#474c52"),
    look(
        "ap-halo",
        "fill=none;stroke=#ffffff;stroke-width=7;stroke-linecap=round;stroke-linejoin=round",
        "stroke:#14171a",
    ),
    look(
        "ap-arrow",
        "fill=none;stroke=#1d1a17;stroke-width=3;stroke-linecap=round",
        "stroke:#f2efe9",
    ),
    look(
        "ap-glide",
        "fill=none;stroke=#5c554d;stroke-width=2;stroke-dasharray=1 5;stroke-linecap=round",
        "stroke:#b9b3aa",
    ),
    look(
        "ap-mark",
        "fill=none;stroke=#1d1a17;stroke-width=3;stroke-linecap=round",
        "stroke:#f2efe9",
    ),
    look("ap-bar", "fill=#46617a", "fill:#8fb0cd"),
    look(
        "ap-bar-open",
        "fill=#ffffff;stroke=#46617a;stroke-width=1.4",
        "fill:#14171a;stroke:#8fb0cd",
    ),
    look(
        "ap-range",
        "fill=none;stroke=#46617a;stroke-width=1.6",
        "stroke:#8fb0cd",
    ),
];

const fn look(class: &'static str, light: &'static str, dark: &'static str) -> Look {
    Look { class, light, dark }
}

/// Typefaces that have the letters of the phonetic alphabet on one system or another.
const FACES: &str =
    "'Noto Sans','DejaVu Sans','Segoe UI','Lucida Grande',system-ui,sans-serif";

/// A picture being written.
pub(crate) struct Svg {
    out: Writer<Vec<u8>>,
}

impl Svg {
    /// Begins a picture of a size, with a title and a description for those who hear it.
    pub(crate) fn new(wide: f64, high: f64, title: &str, description: &str) -> Self {
        let mut svg = Self {
            out: Writer::new(Vec::new()),
        };
        svg.open(
            "svg",
            &[
                ("xmlns", "http://www.w3.org/2000/svg"),
                ("viewBox", &format!("0 0 {} {}", number(wide), number(high))),
                ("width", &number(wide)),
                ("height", &number(high)),
                ("role", "img"),
                ("font-family", FACES),
                ("style", "max-width:100%;height:auto"),
            ],
        );
        svg.said("title", title);
        svg.said("desc", description);
        let mut dark = String::new();
        for look in LOOKS {
            for part in [".", look.class, "{", look.dark, "}"] {
                dark.push_str(part);
            }
        }
        svg.said(
            "style",
            &format!(
                "@media screen and (prefers-color-scheme:dark){{{dark}}}@media print,(prefers-reduced-motion:reduce){{.ap-moving{{display:none}}}}"
            ),
        );
        svg.rect("ap-page", (0.0, 0.0), (wide, high), 0.0);
        svg
    }

    /// Ends it.
    pub(crate) fn finish(mut self) -> String {
        self.close("svg");
        let mut text = String::from_utf8(self.out.into_inner()).unwrap_or_default();
        text.push('\n');
        text
    }

    /// Opens an element. Writing to memory does not fail.
    pub(crate) fn open(&mut self, name: &str, attributes: &[(&str, &str)]) {
        let start = BytesStart::new(name).with_attributes(attributes.iter().copied());
        let _ = self.out.write_event(Event::Start(start));
    }

    /// Closes it.
    pub(crate) fn close(&mut self, name: &str) {
        let _ = self.out.write_event(Event::End(BytesEnd::new(name)));
    }

    /// An element without content.
    pub(crate) fn empty(&mut self, name: &str, attributes: &[(&str, &str)]) {
        let start = BytesStart::new(name).with_attributes(attributes.iter().copied());
        let _ = self.out.write_event(Event::Empty(start));
    }

    /// An element that holds text.
    pub(crate) fn said(&mut self, name: &str, text: &str) {
        self.open(name, &[]);
        let _ = self.out.write_event(Event::Text(BytesText::new(text)));
        self.close(name);
    }

    /// An element of a class, with its looks and further attributes.
    pub(crate) fn shape(&mut self, name: &str, class: &str, more: &[(&str, &str)]) {
        let attributes = looks(class, more);
        self.empty(name, &attributes);
    }

    /// A line or outline.
    pub(crate) fn path(&mut self, class: &str, path: &str) {
        self.shape("path", class, &[("d", path)]);
    }

    /// A line or outline that goes through a list of shapes, over and over.
    pub(crate) fn animated(&mut self, class: &str, path: &str, values: &str) {
        let attributes = looks(class, &[("d", path)]);
        self.open("path", &attributes);
        self.empty(
            "animate",
            &[
                ("attributeName", "d"),
                ("dur", "3.2s"),
                ("repeatCount", "indefinite"),
                ("values", values),
            ],
        );
        self.close("path");
    }

    /// A rectangle with corners of a radius.
    pub(crate) fn rect(
        &mut self,
        class: &str,
        at: (f64, f64),
        size: (f64, f64),
        round: f64,
    ) {
        let [x, y, wide, high, round] = [at.0, at.1, size.0, size.1, round].map(number);
        self.shape(
            "rect",
            class,
            &[
                ("x", &x),
                ("y", &y),
                ("width", &wide),
                ("height", &high),
                ("rx", &round),
            ],
        );
    }

    /// A disc.
    pub(crate) fn disc(&mut self, class: &str, at: Point, radius: f64) {
        let [x, y, radius] = [at.x, at.y, radius].map(number);
        self.shape("circle", class, &[("cx", &x), ("cy", &y), ("r", &radius)]);
    }

    /// Text at a spot: `anchor` is start, middle or end.
    pub(crate) fn text(
        &mut self,
        class: &str,
        at: Point,
        size: f64,
        anchor: &str,
        text: &str,
    ) {
        let [x, y, size] = [at.x, at.y, size].map(number);
        let attributes = looks(
            class,
            &[
                ("x", &x),
                ("y", &y),
                ("font-size", &size),
                ("text-anchor", anchor),
            ],
        );
        self.open("text", &attributes);
        let _ = self.out.write_event(Event::Text(BytesText::new(text)));
        self.close("text");
    }

    /// An arrow of a movement, with a halo, so that it stands out from what lies under it.
    pub(crate) fn arrow(&mut self, from: Point, to: Point) {
        self.pointer("ap-arrow", from, to);
    }

    /// The head of an arrow alone, at a spot, for a shaft that ends 8 before it.
    pub(crate) fn head(&mut self, to: Point, way: Point) {
        let (neck, side) = (to - way * 9.0, way.right() * 5.0);
        self.path("ap-ink", &line_of(&[to, neck + side, neck - side], true));
    }

    /// An arrow of another meaning.
    pub(crate) fn pointer(&mut self, class: &str, from: Point, to: Point) {
        let way = (to - from).unit();
        let length = from.distance(to);
        // A short way is still drawn long enough to see.
        let from = if length < 14.0 { to - way * 14.0 } else { from };
        let neck = to - way * 6.0;
        let side = way.right() * 4.6;
        let line = line(&[from, neck], false);
        let head = line_of(
            &[to, neck - way * 2.0 + side, neck - way * 2.0 - side],
            true,
        );
        self.path("ap-halo", &format!("{line}{head}"));
        self.path(class, &line);
        self.path("ap-ink", &head);
    }
}

fn looks<'a>(class: &'a str, more: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let mut attributes = vec![("class", class)];
    for one in class.split(' ') {
        if let Some(look) = LOOKS.iter().find(|look| look.class == one) {
            let pairs = look.light.split(';').filter_map(|it| it.split_once('='));
            attributes.extend(
                pairs.filter(|(name, _)| !more.iter().any(|(known, _)| known == name)),
            );
        }
    }
    attributes.extend_from_slice(more);
    attributes
}

/// A number for SVG: two places, no needless ones.
pub(crate) fn number(value: f64) -> String {
    let value = (value * 100.0).round() / 100.0;
    // Never a negative nothing.
    let value = if value == 0.0 { 0.0 } else { value };
    format!("{value}")
}

/// The path of a line through points.
pub(crate) fn line(points: &[Point], closed: bool) -> String {
    line_of(points, closed)
}

fn line_of(points: &[Point], closed: bool) -> String {
    let mut path = String::with_capacity(points.len() * 12);
    for (at, point) in points.iter().enumerate() {
        path.push(if at == 0 { 'M' } else { 'L' });
        let [x, y] = [point.x, point.y]
            .map(|it| (it * 10.0).round() / 10.0)
            .map(number);
        path.push_str(&x);
        path.push(' ');
        path.push_str(&y);
    }
    if closed && !points.is_empty() {
        path.push('Z');
    }
    path
}
