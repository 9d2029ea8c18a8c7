//! Pictures beside the answers of `describe` and `compare`: in the terminal, and in files.

use std::path::{Path, PathBuf};

use super::arguments::{Format, Grain, Picture};
use super::output::Answers;
use super::{Failure, Stop};
use crate::accent::Accent;
use crate::articulation;
use crate::feature::{FeatureBundle, Manner};
use crate::notation::Segment;
use crate::report::picture::{self, Sound, dots};
use crate::report::text::picture as drawn;

/// The widest that a terminal picture is drawn; it is half as high.
const WIDEST: usize = 44;

/// One thing to draw.
enum Drawing {
    Sound(Sound),
    Difference(Sound, Sound),
}

/// Draws what the arguments ask for.
pub(super) struct Drawer<'a> {
    wanted: &'a Picture,
    /// To be drawn on the next page.
    next: Vec<Drawing>,
    /// To be written in the end.
    files: Vec<Drawing>,
}

impl<'a> Drawer<'a> {
    /// A drawer for some arguments.
    pub(super) fn new(wanted: &'a Picture, format: Format) -> Result<Self, Stop> {
        if wanted.picture && format == Format::Json {
            return Err(Stop::Run(Failure::new(
                "--picture",
                "an answer in JSON holds no picture",
                "leave out --format json, or write the picture to a file with --svg PATH",
            )));
        }
        Ok(Self {
            wanted,
            next: Vec::new(),
            files: Vec::new(),
        })
    }

    /// Whether anything is to be drawn at all.
    pub(super) fn is_wanted(&self) -> bool {
        self.wanted.picture || self.wanted.svg.is_some()
    }

    /// Takes a sound to draw.
    pub(super) fn sound(&mut self, sound: Sound) {
        if !sound.gestures.is_empty() {
            self.next.push(Drawing::Sound(sound));
        }
    }

    /// Takes a production to draw over its target.
    pub(super) fn difference(&mut self, target: Sound, said: Sound) {
        let known = |it: &Drawing| matches!(it, Drawing::Difference(one, other) if *one == target && *other == said);
        if !self.next.iter().chain(&self.files).any(known) {
            self.next.push(Drawing::Difference(target, said));
        }
    }

    /// The pictures of what was taken since the last page.
    pub(super) fn page(&mut self, columns: usize) -> String {
        let mut page = String::new();
        if self.wanted.picture {
            let grain = match self.wanted.drawn_in {
                Grain::Dots => dots::Grain::Dots,
                Grain::Characters => dots::Grain::Characters,
            };
            let wide = columns.saturating_sub(4).min(WIDEST);
            for drawing in &self.next {
                page.push_str(&match drawing {
                    Drawing::Sound(sound) => drawn::sound(sound, wide, grain),
                    Drawing::Difference(target, said) => {
                        drawn::difference(target, said, wide, grain)
                    }
                });
            }
        }
        self.keep();
        page
    }

    fn keep(&mut self) {
        let taken = std::mem::take(&mut self.next);
        if self.wanted.svg.is_some() {
            self.files.extend(taken);
        }
    }

    /// Writes the files, and says which.
    pub(super) fn finish(mut self, answers: &mut Answers) -> Result<(), Stop> {
        self.keep();
        let Some(path) = &self.wanted.svg else {
            return Ok(());
        };
        let pictures = self.pictures();
        if pictures.is_empty() {
            let why = if self.wanted.steps {
                "nothing moves from one position to another"
            } else {
                "there is nothing to draw"
            };
            return Err(Stop::Run(Failure::new(
                path.display().to_string(),
                format!("no picture was written: {why}"),
                "give a sound that has a mouth, or a production that differs",
            )));
        }
        let several = pictures.len() > 1;
        for (picture, number) in pictures.iter().zip(1..) {
            let name = if several {
                numbered(path, number)
            } else {
                path.clone()
            };
            write(&name, picture)?;
            if answers.format == Format::Text {
                answers.page(&format!("wrote {}\n", name.display()))?;
            }
        }
        Ok(())
    }

    /// The pictures for the files.
    fn pictures(&self) -> Vec<String> {
        let steps = self.wanted.steps;
        let sounds: Vec<Sound> = self
            .files
            .iter()
            .filter_map(|it| match it {
                Drawing::Sound(sound) => Some(sound.clone()),
                Drawing::Difference(..) => None,
            })
            .collect();
        if !sounds.is_empty() {
            return if steps {
                sounds.iter().filter_map(picture::steps).collect()
            } else {
                picture::sounds(&sounds).into_iter().collect()
            };
        }
        self.files
            .iter()
            .filter_map(|it| match it {
                Drawing::Difference(target, said) if steps => {
                    picture::correction(target, said)
                }
                Drawing::Difference(target, said) => picture::difference(target, said),
                Drawing::Sound(_) => None,
            })
            .collect()
    }
}

/// `mouth.svg` with a number: `mouth-2.svg`.
fn numbered(path: &Path, number: u32) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let name = match path.extension() {
        Some(ending) => format!("{stem}-{number}.{}", ending.to_string_lossy()),
        None => format!("{stem}-{number}"),
    };
    path.with_file_name(name)
}

pub(super) fn write(path: &Path, picture: &str) -> Result<(), Stop> {
    #[allow(
        clippy::disallowed_methods,
        reason = "this is the place that writes pictures"
    )]
    std::fs::write(path, picture).map_err(|error| {
        Stop::Run(Failure::new(
            path.display().to_string(),
            format!("cannot be written: {error}"),
            "give a path in a folder that exists and may be written to",
        ))
    })
}

/// Two segments that an accent has as one sound, a diphthong or an affricate typed without
/// its tie.
pub(super) fn joined(pair: [&Segment<'_>; 2], accent: &Accent) -> Option<Sound> {
    let [first, second] = pair;
    if first.span().end != second.span().start {
        return None;
    }
    let text = format!("{}{}", first.text(), second.text());
    let phonemes = accent.phonemes().iter();
    let phoneme = phonemes
        .filter(|it| {
            it.bundle.glide.is_some() || it.bundle.manner == Some(Manner::Affricate)
        })
        .find(|it| it.text.replace('\u{0361}', "") == text)?;
    Some(whole(&text, &phoneme.bundle, Some(accent)))
}

/// A segment to draw, with what the accent teaches for it.
pub(super) fn sound(segment: &Segment<'_>, accent: Option<&Accent>) -> Sound {
    whole(segment.text(), &articulation::bundle(segment), accent)
}

/// A sound to draw from its features.
pub(super) fn whole(
    text: &str,
    bundle: &FeatureBundle,
    accent: Option<&Accent>,
) -> Sound {
    let coaching = accent.and_then(|accent| accent.posture(bundle));
    Sound::new(text, bundle, coaching)
}
