//! What the line editor asks while a line is typed. Every edit that a key wants goes through
//! [`Completer::update`], which is given the line itself: the key's handler leaves the
//! wanted action in the shared state and asks for completion.

use std::borrow::Cow;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rustyline::completion::{Completer, FilenameCompleter, Pair};
use rustyline::highlight::{CmdKind, Highlighter};
use rustyline::hint::{Hint, Hinter};
use rustyline::line_buffer::LineBuffer;
use rustyline::validate::Validator;
use rustyline::{Changeset, Context, Helper};

use super::draft::Drafts;
use super::live::{Action, Live, Waiting};
use super::{command, view};

/// The state that the keys and the screen share.
#[derive(Clone, Debug, Default)]
pub(super) struct Shared {
    live: Arc<Mutex<Live>>,
    drafts: Drafts,
}

impl Shared {
    /// A state whose line is kept as it grows.
    pub(super) fn new(drafts: Drafts) -> Self {
        Self {
            live: Arc::default(),
            drafts,
        }
    }

    /// The state, for as long as the guard lives. A panic elsewhere is no reason to lose
    /// the line.
    pub(super) fn lock(&self) -> MutexGuard<'_, Live> {
        self.live.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// What the line editor is given.
pub(super) struct Desk {
    /// The shared state.
    pub(super) shared: Shared,
    /// Names of files.
    pub(super) files: FilenameCompleter,
}

/// Rows below the line: nothing to insert.
pub(super) struct Below(String);

impl Hint for Below {
    fn display(&self) -> &str {
        &self.0
    }

    fn completion(&self) -> Option<&str> {
        None
    }
}

impl Helper for Desk {}

impl Validator for Desk {}

impl Completer for Desk {
    type Candidate = Pair;

    fn complete(
        &self,
        line: &str,
        position: usize,
        _: &Context<'_>,
    ) -> rustyline::Result<(usize, Vec<Pair>)> {
        let live = self.shared.lock();
        if live.pending.is_some() {
            let any = "·".to_owned();
            let candidate = Pair {
                display: any.clone(),
                replacement: any,
            };
            return Ok((position, vec![candidate]));
        }
        if live.waiting == Waiting::Words && !line.starts_with(':') {
            return Ok(offered(&live.offers, line, position));
        }
        let caseload = live.caseload.clone();
        drop(live);
        if command::completes_path(line, position) {
            return self.files.complete_path(line, position);
        }
        // The caseload is only looked into where its clients are asked for.
        let codes = if command::completes_code(line) {
            crate::app::record::codes(caseload.as_deref())
        } else {
            Vec::new()
        };
        Ok(command::completions(line, position, &codes))
    }

    fn update(
        &self,
        line: &mut LineBuffer,
        start: usize,
        elected: &str,
        changes: &mut Changeset,
    ) {
        let pending = self.shared.lock().pending.take();
        match pending {
            None => {
                let end = line.pos();
                line.replace(start..end, elected, changes);
            }
            Some(Action::Replace(span, text)) => {
                let whole = line.as_str();
                let end = span.end.min(whole.len());
                if whole.is_char_boundary(span.start) && whole.is_char_boundary(end) {
                    line.replace(span.start..end, &text, changes);
                }
            }
            Some(Action::Move(place)) => {
                let place = place.min(line.len());
                if line.as_str().is_char_boundary(place) {
                    line.set_pos(place);
                }
            }
            Some(Action::Redraw) => {}
        }
    }
}

impl Hinter for Desk {
    type Hint = Below;

    fn hint(&self, line: &str, position: usize, _: &Context<'_>) -> Option<Below> {
        let mut live = self.shared.lock();
        if let Some((columns, _)) = terminal_size::terminal_size() {
            live.columns = usize::from(columns.0);
        }
        live.read(line, position);
        if !live.searching {
            self.shared.drafts.note(line);
        }
        view::below(&live).map(Below)
    }
}

impl Highlighter for Desk {
    fn highlight<'l>(&self, line: &'l str, position: usize) -> Cow<'l, str> {
        let mut live = self.shared.lock();
        if !live.searching {
            live.read(line, position);
        }
        if live.line != line {
            // A line of the history, shown while searching.
            return Cow::Borrowed(line);
        }
        Cow::Owned(view::line(&live, line))
    }

    fn highlight_prompt<'b, 's: 'b, 'p: 'b>(
        &'s self,
        prompt: &'p str,
        default: bool,
    ) -> Cow<'b, str> {
        let mut live = self.shared.lock();
        live.searching = !default;
        if !default {
            return Cow::Borrowed(prompt);
        }
        let mut text = String::new();
        for row in view::above(&live) {
            text.push_str(&row);
            text.push('\n');
        }
        text.push_str(view::prompt(live.waiting));
        Cow::Owned(text)
    }

    fn highlight_hint<'h>(&self, hint: &'h str) -> Cow<'h, str> {
        Cow::Borrowed(hint)
    }

    fn highlight_char(&self, _: &str, _: usize, _: CmdKind) -> bool {
        true
    }
}

/// What the words before the cursor may go on as: the whole of them as one offer, else the
/// last.
fn offered(offers: &[String], line: &str, position: usize) -> (usize, Vec<Pair>) {
    let before = line.get(..position).unwrap_or_default();
    let found = |start: usize| -> Vec<Pair> {
        let begun = before.get(start..).unwrap_or_default();
        let fitting = offers.iter().filter(|offer| offer.starts_with(begun));
        let pair = |offer: &String| Pair {
            display: offer.clone(),
            replacement: offer.clone(),
        };
        fitting.map(pair).collect()
    };
    let whole = found(0);
    if !whole.is_empty() {
        return (0, whole);
    }
    let start = before.rfind(' ').map_or(0, |at| at + 1);
    (start, found(start))
}
