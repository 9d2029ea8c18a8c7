//! The desk's editor for answers to exercises: the same keys, hints and mends.

use super::draft::Drafts;
use super::editor::{Lines, Typed};
use super::helper::Shared;
use super::live::Waiting;
use super::store::Store;
use super::words::words;
use super::{Desk, columns, in_colour, say, terminal};
use crate::accent::Accent;
use crate::app::{Failure, Stop};

/// What kind of answer is wanted.
#[derive(Clone, Debug)]
pub(in crate::app) struct Wanted {
    /// Whether it is a transcription.
    pub(in crate::app) transcription: bool,
    /// Whether sounds must not be named while it is typed, for that would be the answer.
    pub(in crate::app) nameless: bool,
    /// What Tab completes words to.
    pub(in crate::app) offers: Vec<String>,
}

/// Reads answers from the terminal.
pub(in crate::app) struct Answering {
    lines: Lines,
    shared: Shared,
    /// The command that plays a recording, as it is set at the desk, word by word.
    pub(in crate::app) player: Vec<String>,
}

impl Answering {
    /// An editor with the keys that are set at the desk. Its history is its own and is not
    /// written down: it would give answers away.
    pub(in crate::app) fn new() -> Result<Self, Stop> {
        let store = Store::open();
        let desk = Desk::new(store, true);
        let shared = Shared::default();
        {
            let mut live = shared.lock();
            live.keys = desk.keys.clone();
            live.in_colour = in_colour();
        }
        let nowhere = Store::default();
        terminal::guard(&Drafts::default()).map_err(|error| lost(&error))?;
        let lines =
            Lines::new(&shared, desk.vi, &nowhere).map_err(|error| lost(&error))?;
        Ok(Self {
            lines,
            shared,
            player: command(&desk.player),
        })
    }

    /// Reads a line; `None` when the person leaves with Ctrl-D.
    pub(in crate::app) fn ask(
        &mut self,
        wanted: &Wanted,
        accent: &Accent,
    ) -> Result<Option<String>, Stop> {
        {
            let mut live = self.shared.lock();
            live.columns = columns();
            live.accent = Some(accent.clone());
            live.nameless = wanted.nameless;
            live.offers.clone_from(&wanted.offers);
            live.waiting = if wanted.transcription {
                Waiting::Answer
            } else {
                Waiting::Words
            };
        }
        loop {
            match self.lines.read("", false).map_err(|error| lost(&error))? {
                Typed::End => return Ok(None),
                Typed::Line(line) => return Ok(Some(line)),
                Typed::Interrupted(_) => say("Ctrl-D ends the session.\n")?,
                Typed::Left(..) => {}
            }
        }
    }
}

/// A command cut into its words as the desk cuts them.
pub(in crate::app) fn command(text: &str) -> Vec<String> {
    words(text, |_| true)
        .into_iter()
        .map(|word| word.text)
        .collect()
}

fn lost(error: &dyn std::fmt::Display) -> Stop {
    Stop::Run(Failure::new(
        "the terminal",
        format!("{error}"),
        "pipe the answers in instead, one a line",
    ))
}
