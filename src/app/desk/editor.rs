//! The line editor: rustyline with the desk's keys, one history a kind of input.

use rustyline::completion::FilenameCompleter;
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

/// A kind of input, each with a history of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Command,
    Heard,
    /// What a client said: in the record and nowhere else on the disk.
    Private,
    /// Answers to exercises: written down, they would give answers away.
    Answer,
}

impl Kind {
    /// The name of its history's file.
    const fn file(self) -> Option<&'static str> {
        match self {
            Self::Command => Some("commands.history"),
            Self::Heard => Some("transcriptions.history"),
            Self::Private | Self::Answer => None,
        }
    }
}

/// The editor and its histories.
pub(super) struct Lines {
    editor: Editor<Desk, FileHistory>,
    /// The kind of input whose history the editor holds.
    held: Kind,
    /// The histories of the other kinds.
    others: Vec<(Kind, FileHistory)>,
    shared: Shared,
    store: Store,
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
            files: FilenameCompleter::new(),
        }));
        keys::bind(&mut editor, shared);
        let mut others = Vec::new();
        for kind in [Kind::Heard, Kind::Private, Kind::Answer] {
            let mut history = FileHistory::with_config(&config_of_history()?);
            // A history that is not there yet is no fault.
            if let Some(path) = kind.file().and_then(|name| store.path(name)) {
                let _ = history.load(&path);
            }
            others.push((kind, history));
        }
        let mut lines = Self {
            editor,
            held: Kind::Command,
            others,
            shared: shared.clone(),
            store: store.clone(),
        };
        let path = Kind::Command.file().and_then(|name| store.path(name));
        if let Some(path) = path {
            let _ = lines.editor.load_history(&path);
        }
        Ok(lines)
    }

    /// Chooses the way of editing.
    pub(super) fn set_vi(&mut self, vi: bool) {
        self.editor.set_edit_mode(mode(vi));
    }

    /// Reads a line that begins with a text; a `private` one is not written down with the
    /// histories.
    pub(super) fn read(
        &mut self,
        initial: &str,
        private: bool,
    ) -> rustyline::Result<Typed> {
        let (waiting, rows) = {
            let mut live = self.shared.lock();
            live.begin();
            (live.waiting, view::rows_above(&live))
        };
        self.hold(match waiting {
            Waiting::Command => Kind::Command,
            Waiting::Heard if private => Kind::Private,
            Waiting::Heard => Kind::Heard,
            Waiting::Answer | Waiting::Words => Kind::Answer,
        });
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

    /// Gives the editor the history of a kind of input.
    fn hold(&mut self, kind: Kind) {
        if kind == self.held {
            return;
        }
        if let Some(other) = self.others.iter_mut().find(|other| other.0 == kind) {
            std::mem::swap(self.editor.history_mut(), &mut other.1);
            other.0 = self.held;
            self.held = kind;
        }
    }

    /// Puts a line into the history, on the disk too where it may be. That fails where the
    /// disk does, and the line itself has been taken all the same.
    fn keep(&mut self, line: &str) -> rustyline::Result<()> {
        if line.trim().is_empty() {
            return Ok(());
        }
        let new = self.editor.add_history_entry(line)?;
        let path = self.held.file().and_then(|name| self.store.path(name));
        if let Some(path) = path.filter(|_| new) {
            let _ = self.editor.append_history(&path);
        }
        Ok(())
    }

    /// The earlier lines of the kind of input at hand, the oldest first.
    pub(super) fn history(&self) -> Vec<String> {
        self.editor.history().iter().cloned().collect()
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
