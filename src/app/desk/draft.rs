//! The line that is being typed, written down as it grows by a thread of its own, so that
//! nothing that ends the program takes it along.

use std::path::PathBuf;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::{io, thread};

use super::store::Store;
use crate::app::caseload::Caseload;
use crate::record::Draft;

/// A caseload that the session and the keeper of drafts share.
pub(super) type Shelf = Arc<Mutex<Caseload>>;

/// The caseload, for as long as the guard lives.
pub(super) fn opened(shelf: &Shelf) -> MutexGuard<'_, Caseload> {
    shelf.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Where the line is kept.
#[derive(Clone, Debug, Default)]
pub(super) enum Place {
    /// Among the desk's own files.
    #[default]
    Desk,
    /// There too, as what was to stand in a row of a sheet.
    Row {
        /// The sheet.
        sheet: PathBuf,
        /// The row, from 1.
        row: usize,
    },
    /// In the caseload.
    Caseload {
        /// The caseload.
        shelf: Shelf,
        /// The number of the session.
        session: i64,
        /// The item, attempt and pass; its text is not used.
        item: Draft,
    },
}

/// The keeper of the line.
#[derive(Clone, Debug, Default)]
pub(super) struct Drafts(Arc<Inner>);

#[derive(Debug, Default)]
struct Inner {
    state: Mutex<State>,
    wake: Condvar,
}

#[derive(Debug, Default)]
struct State {
    store: Store,
    place: Place,
    text: String,
    /// Whether the text differs from what is written down.
    dirty: bool,
    /// Whether a line is being typed.
    open: bool,
    /// Whether anything of this line is written down.
    written: bool,
}

impl Drafts {
    /// A keeper at work.
    pub(super) fn start(store: &Store) -> io::Result<Self> {
        let drafts = Self::default();
        drafts.lock().store = store.clone();
        let keeper = drafts.clone();
        thread::Builder::new()
            .name("drafts".to_owned())
            .spawn(move || keeper.keep())?;
        Ok(drafts)
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.0.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A line begins; what it begins with is kept elsewhere already.
    pub(super) fn begin(&self, place: Place, text: &str) {
        let mut state = self.lock();
        state.place = place;
        text.clone_into(&mut state.text);
        state.open = true;
        state.dirty = false;
        state.written = false;
    }

    /// The line as it stands now.
    pub(super) fn note(&self, text: &str) {
        let mut state = self.lock();
        if state.open && state.text != text {
            text.clone_into(&mut state.text);
            state.dirty = true;
            self.0.wake.notify_one();
        }
    }

    /// The line has ended: it is somebody else's now, and no draft any more. In a caseload
    /// it is let go together with what is recorded instead. Whether anything of it was
    /// written down.
    pub(super) fn end(&self) -> bool {
        let mut state = self.lock();
        state.open = false;
        state.dirty = false;
        if state.written && !matches!(state.place, Place::Caseload { .. }) {
            state.store.drop_draft();
        }
        state.written
    }

    /// Writes the line down now, before the program ends.
    pub(super) fn flush(&self) {
        let state = self.lock();
        if !state.open || state.text.trim().is_empty() {
            return;
        }
        let (place, text) = (state.place.clone(), state.text.clone());
        let store = state.store.clone();
        drop(state);
        write(&store, &place, &text);
    }

    fn keep(&self) {
        loop {
            let mut state = self.lock();
            while !state.dirty {
                let waited = self.0.wake.wait(state);
                state = waited.unwrap_or_else(PoisonError::into_inner);
            }
            let place = state.place.clone();
            drop(state);
            // A caseload is held first: what is recorded after this line was taken up
            // must come after it on the disk too.
            let held = match &place {
                Place::Caseload { shelf, .. } => Some(opened(shelf)),
                Place::Desk | Place::Row { .. } => None,
            };
            let mut state = self.lock();
            if !std::mem::take(&mut state.dirty) {
                continue;
            }
            state.written = true;
            let text = state.text.clone();
            match (held, &place) {
                (Some(mut caseload), Place::Caseload { session, item, .. }) => {
                    drop(state);
                    write_to(&mut caseload, *session, item, &text);
                }
                // So small a file is written in less time than the next key takes; while
                // it is, the line cannot be declared done.
                _ => write(&state.store, &place, &text),
            }
        }
    }
}

impl Place {
    /// Puts what was unfinished there before back in the place of a command, once that has
    /// been obeyed.
    pub(super) fn settle(&self, text: &str) {
        if let Self::Caseload {
            shelf,
            session,
            item,
        } = self
        {
            write_to(&mut opened(shelf), *session, item, text);
        }
    }
}

fn write(store: &Store, place: &Place, text: &str) {
    match place {
        Place::Desk => store.keep_draft(None, text),
        Place::Row { sheet, row } => store.keep_draft(Some((sheet, *row)), text),
        Place::Caseload {
            shelf,
            session,
            item,
        } => write_to(&mut opened(shelf), *session, item, text),
    }
}

fn write_to(caseload: &mut Caseload, session: i64, item: &Draft, text: &str) {
    let text = if text.trim().is_empty() { "" } else { text };
    let draft = Draft {
        text: text.to_owned(),
        ..item.clone()
    };
    // The line itself is still there; that a copy of it fails must not stop the typing.
    let _ = caseload.keep_draft_of(session, &draft);
}
