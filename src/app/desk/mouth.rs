//! The mouth at a difference, drawn: target and production over each other.

use std::fmt::Write as _;

use super::{Desk, Next, Said, columns, say, screen_rows};
use crate::app::compare::pictured;
use crate::app::{Failure, Status, Stop};
use crate::report::picture::dots::Grain;
use crate::report::text::line::visible;
use crate::report::text::picture;

/// The widest picture, in cells; it is half as high.
const WIDEST: usize = 44;

/// The narrowest that a mouth is still seen in.
const NARROWEST: usize = 24;

/// Rows that must stay on the screen beside a picture: its title, its key, its words, and the
/// item at hand.
const BESIDE: usize = 12;

impl Desk {
    /// Draws a difference of what was compared last: the first one, and each time after that
    /// the next.
    pub(super) fn draw_mouth(&mut self, grain: Option<&str>) -> Result<Next, Stop> {
        let grain = match grain {
            None => Grain::Dots,
            Some("characters") => Grain::Characters,
            Some(other) => {
                return Err(Stop::Run(Failure::new(
                    format!("mouth {other}"),
                    "a picture is made of dots or of characters",
                    "type mouth alone, or on a screen without braille dots: mouth characters",
                )));
            }
        };
        let Some(said) = &mut self.said else {
            return Err(nothing(
                "nothing has been set against a target yet",
                "type what was heard first; where it differs, the mouth can be drawn",
            ));
        };
        let Said {
            target, production, ..
        } = &*said;
        let found = pictured(target, production, self.accent.as_ref());
        let at = said.drawn % found.len().max(1);
        let Some((wanted, heard)) = found.get(at) else {
            return Err(nothing(
                "no sound stands in the place of another, so there are no two mouths to draw",
                "the comparison is in full in: full; one sound is drawn by: describe --picture",
            ));
        };
        said.drawn = at + 1;
        let high = screen_rows().saturating_sub(BESIDE);
        let wide = (2 * high)
            .clamp(NARROWEST, WIDEST)
            .min(columns().saturating_sub(4));
        let mut page = picture::difference(wanted, heard, wide, grain);
        if found.len() > 1 {
            let next = if at + 1 < found.len() {
                "the next one"
            } else {
                "the first one again"
            };
            let (number, all) = (at + 1, found.len());
            // Beside a picture that has carried its title off the screen.
            let _ = writeln!(
                page,
                "  {}, not {}: {number} of {all} differences; the same key draws {next}",
                visible(&wanted.text),
                visible(&heard.text)
            );
        }
        say(&page)?;
        Ok(Next::Line(Status::Good))
    }
}

fn nothing(reason: &str, remedy: &str) -> Stop {
    Stop::Run(Failure::new("mouth", reason, remedy))
}
