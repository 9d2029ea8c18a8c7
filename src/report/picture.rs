//! Pictures: the mouth of any sound, a production laid over its target, the steps between;
//! as SVG, and in dots for a terminal ([`dots`]). And charts ([`charts`]).
//!
//! Every picture is computed from features ([`crate::posture::gesture`]); none is stored.
//! An SVG stands alone: no script, no link, no file beside it. It has a title and a
//! description, goes by the page's light or dark, and says nothing by colour alone.

pub mod charts;
pub mod dots;
mod insets;
mod overlay;
mod side;
mod steps;
mod svg;

use crate::feature::{FeatureBundle, Posture};
use crate::posture::geometry::Point;
use crate::posture::gesture::{self, Air, Coaching, Gesture};
use crate::posture::mouth::Mouth;
use crate::posture::movement;
use svg::Svg;

/// A sound to be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Sound {
    /// As written.
    pub text: String,
    /// The phonetician's name for it.
    pub name: String,
    /// Its moments, in order; none for a tone or a pause.
    pub gestures: Vec<Gesture>,
    /// What a client can feel, first and, for a diphthong, last.
    pub postures: Vec<Posture>,
}

impl Sound {
    /// A sound from its features, with what an accent teaches for it.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::articulation::bundle;
    /// use apical::notation::Transcription;
    /// use apical::report::picture::{Sound, sound};
    ///
    /// let read = Transcription::parse("θ");
    /// let drawn = Sound::new("θ", &bundle(&read.segments().next().unwrap()), None);
    /// let svg = sound(&drawn).unwrap();
    /// assert!(svg.starts_with("<svg") && svg.contains("<title>θ: voiceless dental fricative"));
    /// let tone = Transcription::parse("˥");
    /// let tone = Sound::new("˥", &bundle(&tone.segments().next().unwrap()), None);
    /// assert!(sound(&tone).is_none());
    /// ```
    #[must_use]
    pub fn new(text: &str, bundle: &FeatureBundle, coaching: Coaching) -> Self {
        let gestures = gesture::of(bundle, coaching);
        let postures = match coaching {
            _ if gestures.is_empty() => Vec::new(),
            Some((from, to)) => [Some(from), to].into_iter().flatten().collect(),
            None => [
                Some(crate::posture::of(bundle)),
                crate::posture::glide_of(bundle),
            ]
            .into_iter()
            .flatten()
            .collect(),
        };
        Self {
            text: text.to_owned(),
            name: crate::articulation::name(bundle),
            gestures,
            postures,
        }
    }

    /// What the mouth does, in sentences: the alternative to its picture.
    #[must_use]
    pub fn in_words(&self) -> String {
        let mut words: Vec<String> = Vec::new();
        for (at, posture) in self.postures.iter().enumerate() {
            let lead = if at == 0 { "" } else { "moving to " };
            words.push(format!("{lead}jaw {}, lips {}", posture.jaw, posture.lips));
            let parts: Vec<&str> = posture
                .tongue
                .iter()
                .map(crate::feature::TonguePart::name)
                .collect();
            let verb = if posture.touches { "touching" } else { "near" };
            match (parts.is_empty(), posture.contact) {
                (false, Some(contact)) => {
                    words.push(format!(
                        "tongue {} {verb} the {contact}",
                        parts.join(" and ")
                    ));
                }
                (false, None) => {
                    words.push(format!("tongue {} raised", parts.join(" and ")));
                }
                (true, Some(contact)) => words.push(format!("{verb} the {contact}")),
                (true, None) => {}
            }
        }
        if let Some(gesture) = self.gestures.first() {
            words.push(air(gesture.air).to_owned());
            words.push(format!("voice {}", movement::folds(gesture.folds)));
        }
        words.join("; ")
    }
}

/// Where the air goes, in words.
const fn air(air: Air) -> &'static str {
    match air {
        Air::Mouth => "air out through the mouth",
        Air::Sides => "air out over the sides of the tongue",
        Air::Nose => "air out through the nose",
        Air::Both => "air out through mouth and nose",
        Air::Held => "air held back",
        Air::Inward => "air drawn in",
    }
}

/// What stands under every picture.
const CAUTION: &str = "Schematic, from features; not a scan of a speaker.";

/// Letters of plain text that go on a line of a panel.
const LETTERS: usize = 56;

/// A count as a length.
fn count(number: usize) -> f64 {
    f64::from(u32::try_from(number).unwrap_or(u32::MAX))
}

/// Plain text in lines of at most so many letters.
fn wrapped(text: &str, letters: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= letters => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// The size at which the symbol of a sound fits beside the chin.
fn symbol_size(text: &str) -> f64 {
    let letters = crate::text::width(text).max(1);
    (96.0 / count(letters)).clamp(12.0, 34.0)
}

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

/// The height of a panel with its small views and the lines under it.
const PANEL: f64 = side::HIGH + insets::HIGH + 40.0;

/// The mouth of a sound, a panel for each of its moments; `None` where it has no mouth (a
/// tone, a pause).
///
/// Bars are contact, dots friction, arcs a flutter, the line is the air, the disc the vocal
/// folds: a wedge for breath, a zigzag for voice, black where they are shut.
#[must_use]
pub fn sound(sound: &Sound) -> Option<String> {
    sounds(std::slice::from_ref(sound))
}

/// The mouths of several sounds, up to four panels a row; `None` where none of them has one.
#[must_use]
pub fn sounds(sounds: &[Sound]) -> Option<String> {
    let drawn: Vec<(&Sound, &Gesture, usize)> = sounds
        .iter()
        .flat_map(|sound| {
            let moments = sound.gestures.iter().enumerate();
            moments.map(move |(at, gesture)| (sound, gesture, at))
        })
        .collect();
    if drawn.is_empty() {
        return None;
    }
    let columns = drawn.len().min(4);
    let rows = drawn.len().div_ceil(columns);
    let title: Vec<String> = sounds
        .iter()
        .filter(|it| !it.gestures.is_empty())
        .map(|it| format!("{}: {}", it.text, it.name))
        .collect();
    let words: Vec<String> = sounds
        .iter()
        .filter(|it| !it.gestures.is_empty())
        .map(|it| format!("{}: {}.", it.text, it.in_words()))
        .collect();
    let description = format!("{} {CAUTION}", words.join(" "));
    let high = PANEL * count(rows) + 16.0;
    let mut svg = Svg::new(
        side::WIDE * count(columns),
        high,
        &title.join("; "),
        &description,
    );
    for (number, (sound, gesture, moment)) in drawn.iter().enumerate() {
        let offset = Point::new(
            side::WIDE * count(number % columns),
            PANEL * count(number / columns),
        );
        panel(&mut svg, gesture, offset);
        let symbol = offset + Point::new(12.0, 322.0);
        svg.text(
            "ap-text",
            symbol,
            symbol_size(&sound.text),
            "start",
            &sound.text,
        );
        svg.text(
            "ap-faint",
            symbol + Point::new(0.0, 18.0),
            13.0,
            "start",
            gesture.moment,
        );
        if *moment == 0 {
            let under = offset + Point::new(12.0, side::HIGH + insets::HIGH + 12.0);
            for (at, line) in wrapped(&sound.name, LETTERS).iter().take(2).enumerate() {
                svg.text(
                    "ap-text",
                    under + Point::new(0.0, 16.0 * count(at)),
                    13.0,
                    "start",
                    line,
                );
            }
        }
    }
    svg.text(
        "ap-faint",
        Point::new(12.0, high - 5.0),
        11.0,
        "start",
        CAUTION,
    );
    Some(svg.finish())
}

/// The moments of target and production that answer each other.
fn pairs<'a>(target: &'a Sound, said: &'a Sound) -> Vec<(&'a Gesture, &'a Gesture)> {
    let most = target.gestures.len().max(said.gestures.len());
    (0..most)
        .filter_map(|at| {
            let of = |sound: &'a Sound| sound.gestures.get(at).or(sound.gestures.last());
            Some((of(target)?, of(said)?))
        })
        .collect()
}

/// What has to change from the production to the target, in plain words, organ by organ.
#[must_use]
pub fn change_in_words(target: &Sound, said: &Sound) -> Vec<String> {
    let mut words = Vec::new();
    for (wanted, produced) in pairs(target, said) {
        for sentence in movement::in_words(produced, wanted) {
            let sentence = if wanted.moment.is_empty() {
                sentence
            } else {
                format!("{}: {sentence}", wanted.moment)
            };
            if !words.contains(&sentence) {
                words.push(sentence);
            }
        }
    }
    words
}

/// A production laid over its target, a panel for each moment; `None` where one of them has
/// no mouth.
///
/// The target is solid, what was said dashed; arrows lead from what was said to the target,
/// one an organ. What does not differ is drawn once.
#[must_use]
pub fn difference(target: &Sound, said: &Sound) -> Option<String> {
    difference_told(target, said, &change_in_words(target, said))
}

/// The same, with the change told in words of the caller's.
#[must_use]
pub fn difference_told(target: &Sound, said: &Sound, words: &[String]) -> Option<String> {
    let pairs = pairs(target, said);
    if pairs.is_empty() {
        return None;
    }
    let letters = LETTERS * pairs.len();
    let mut lines: Vec<String> =
        words.iter().flat_map(|it| wrapped(it, letters)).collect();
    if lines.is_empty() {
        lines.push("the mouth does the same".to_owned());
    }
    let top = side::HIGH + overlay::FRAMES;
    let high = top + 16.0 * count(lines.len()) + 30.0;
    let title = format!("target {}, said {}", target.text, said.text);
    let description = format!(
        "Target: {}. Said: {}. To change: {}. {CAUTION}",
        target.name,
        said.name,
        lines.join("; ")
    );
    let mut svg = Svg::new(side::WIDE * count(pairs.len()), high, &title, &description);
    for (at, (wanted, produced)) in pairs.iter().enumerate() {
        let offset = Point::new(side::WIDE * count(at), 0.0);
        overlay::panel(&mut svg, wanted, produced, offset);
        let key = offset + Point::new(10.0, 304.0);
        for (row, class, text) in [
            (0.0, "ap-target", format!("target {}", target.text)),
            (1.0, "ap-said", format!("said {}", said.text)),
        ] {
            let spot = key + Point::new(0.0, 22.0 * row);
            let line = svg::line(&[spot, spot + Point::new(26.0, 0.0)], false);
            svg.path(class, &line);
            let size = (1.6 * symbol_size(&text)).clamp(11.0, 15.0);
            svg.text(
                "ap-text",
                spot + Point::new(32.0, 5.0),
                size,
                "start",
                &text,
            );
        }
        svg.text(
            "ap-faint",
            key - Point::new(0.0, 16.0),
            12.0,
            "start",
            wanted.moment,
        );
    }
    for (at, line) in lines.iter().enumerate() {
        let spot = Point::new(12.0, top + 14.0 + 16.0 * count(at));
        svg.text("ap-text", spot, 13.0, "start", line);
    }
    svg.text(
        "ap-faint",
        Point::new(12.0, high - 6.0),
        11.0,
        "start",
        CAUTION,
    );
    Some(svg.finish())
}

/// The way through a sound of several moments, in numbered stills and moving; `None` for a
/// sound of one moment or none.
#[must_use]
pub fn steps(sound: &Sound) -> Option<String> {
    if sound.gestures.len() < 2 {
        return None;
    }
    let title = format!("{}: {}, step by step", sound.text, sound.name);
    Some(in_steps(&title, &sound.in_words(), &sound.gestures))
}

/// The way from what was said to the target, in numbered stills and moving; `None` where one
/// of them has no mouth.
#[must_use]
pub fn correction(target: &Sound, said: &Sound) -> Option<String> {
    let gestures: Vec<Gesture> = [said.gestures.first()?, target.gestures.first()?]
        .into_iter()
        .cloned()
        .collect();
    let title = format!("from {} to {}, step by step", said.text, target.text);
    let words = change_in_words(target, said).join("; ");
    Some(in_steps(&title, &words, &gestures))
}

fn in_steps(title: &str, words: &str, gestures: &[Gesture]) -> String {
    let lines = wrapped(words, LETTERS * 2);
    let high = side::HIGH + 16.0 * count(lines.len()) + 44.0;
    let description = format!("{words}. {CAUTION}");
    let mut svg = Svg::new(side::WIDE * 2.0, high, title, &description);
    steps::stills(&mut svg, gestures, Point::default());
    steps::moving(&mut svg, gestures, Point::new(side::WIDE, 0.0));
    let spot = Point::new(12.0, side::HIGH + 20.0);
    svg.text("ap-text", spot, 14.0, "start", title);
    for (at, line) in lines.iter().enumerate() {
        let below = spot + Point::new(0.0, 16.0 * count(at + 1));
        svg.text("ap-text", below, 12.0, "start", line);
    }
    svg.text(
        "ap-faint",
        Point::new(12.0, high - 5.0),
        11.0,
        "start",
        CAUTION,
    );
    svg.finish()
}
