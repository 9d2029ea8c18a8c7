//! The line editor: rustyline with the desk's keys, one history a kind of input.

use rustyline::config::{Configurer, EditMode};
use rustyline::error::ReadlineError;
use rustyline::history::{FileHistory, History};
use rustyline::{Behavior, ColorMode, CompletionType, Config, Editor};

use super::helper::{Desk, Shared};
use super::live::{Leave, Waiting};
use super::store::Store;
use super::{keys, view};

/// Lines that a history keeps.
const LINES_KEPT: usize = 5_000;

/// How a line ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Typed {
    /// With Enter.
    Line(String),
    /// With a key that leads elsewhere; the text that stood there is a draft.
    Left(Leave, String),
    /// With Ctrl-C; the text that stood there.
    Interrupted(String),
    /// With Ctrl-D on an empty line, or the terminal has gone.
    End,
}

/// The editor and its histories.
pub(super) struct Lines {
    editor: Editor<Desk, FileHistory>,
    /// The history of the kind of input that is not at hand.
    other: FileHistory,
    /// The kind of input whose history the editor holds.
    held: Waiting,
    shared: Shared,
}

/// The name of a history's file.
const fn file_of(waiting: Waiting) -> &'static str {
    match waiting {
        Waiting::Command => "commands.history",
        Waiting::Heard => "transcriptions.history",
        Waiting::Answer => "answers.history",
        Waiting::Words => "names.history",
    }
}

impl Lines {
    /// An editor on the terminal.
    pub(super) fn new(
        shared: &Shared,
        vi: bool,
        store: &Store,
    ) -> rustyline::Result<Self> {
        let config = Config::builder()
            .max_history_size(LINES_KEPT)?
            .history_ignore_dups(true)?
            .history_ignore_space(true)
            .completion_type(CompletionType::List)
            .edit_mode(mode(vi))
            // A lone Escape must not swallow the next key.
            .keyseq_timeout(Some(50))
            // Our own colours mind NO_COLOR; rustyline's way also takes the underline away.
            .color_mode(ColorMode::Forced)
            .behavior(Behavior::Stdio)
            .bracketed_paste(true)
            .build();
        let mut editor: Editor<Desk, FileHistory> = Editor::with_config(config)?;
        editor.set_helper(Some(Desk {
            shared: shared.clone(),
        }));
        keys::bind(&mut editor, shared);
        let mut lines = Self {
            other: FileHistory::with_config(&config_of_history()?),
            editor,
            held: Waiting::Command,
            shared: shared.clone(),
        };
        // A history that is not there yet is no fault.
        if let Some(path) = store.path(file_of(Waiting::Command)) {
            let _ = lines.editor.load_history(&path);
        }
        if let Some(path) = store.path(file_of(Waiting::Heard)) {
            let _ = lines.other.load(&path);
        }
        Ok(lines)
    }

    /// Chooses the way of editing.
    pub(super) fn set_vi(&mut self, vi: bool) {
        self.editor.set_edit_mode(mode(vi));
    }

    /// Reads a line that begins with a text.
    pub(super) fn read(&mut self, initial: &str) -> rustyline::Result<Typed> {
        let (waiting, rows) = {
            let mut live = self.shared.lock();
            live.begin();
            (live.waiting, view::rows_above(&live))
        };
        if waiting != self.held {
            std::mem::swap(self.editor.history_mut(), &mut self.other);
            self.held = waiting;
        }
        // The rows above are drawn by the highlighter; here they only take their room.
        let mut prompt = "\n".repeat(rows);
        prompt.push_str(view::prompt(waiting));
        let read = self.editor.readline_with_initial(&prompt, (initial, ""));
        match read {
            Ok(line) => {
                let leave = self.shared.lock().leave.take();
                if let Some(leave) = leave {
                    return Ok(Typed::Left(leave, line));
                }
                self.keep(&line)?;
                Ok(Typed::Line(line))
            }
            Err(ReadlineError::Interrupted) => {
                let line = self.shared.lock().line.clone();
                self.keep(&line)?;
                Ok(Typed::Interrupted(line))
            }
            Err(ReadlineError::Eof) => Ok(Typed::End),
            Err(error) => Err(error),
        }
    }

    fn keep(&mut self, line: &str) -> rustyline::Result<()> {
        if !line.trim().is_empty() {
            self.editor.add_history_entry(line)?;
        }
        Ok(())
    }

    /// The earlier lines of the kind of input at hand, the oldest first.
    pub(super) fn history(&self, waiting: Waiting) -> Vec<String> {
        let history = if waiting == self.held {
            self.editor.history()
        } else {
            &self.other
        };
        history.iter().cloned().collect()
    }

    /// Writes the histories down.
    pub(super) fn save(&mut self, store: &Store) -> rustyline::Result<()> {
        if self.held != Waiting::Command {
            std::mem::swap(self.editor.history_mut(), &mut self.other);
            self.held = Waiting::Command;
        }
        if let Some(path) = store.path(file_of(Waiting::Command)) {
            self.editor.append_history(&path)?;
        }
        if let Some(path) = store.path(file_of(Waiting::Heard)) {
            self.other.append(&path)?;
        }
        Ok(())
    }
}

fn mode(vi: bool) -> EditMode {
    if vi { EditMode::Vi } else { EditMode::Emacs }
}

fn config_of_history() -> rustyline::Result<Config> {
    let config = Config::builder()
        .max_history_size(LINES_KEPT)?
        .history_ignore_dups(true)?
        .history_ignore_space(true);
    Ok(config.build())
}
