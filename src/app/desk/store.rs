//! What the desk keeps between two runs: settings, histories, a text that was being typed.
//! All of it is readable by its owner alone, as it may hold what a client said.

#![allow(
    clippy::disallowed_methods,
    reason = "this is where the desk reads and writes its own files"
)]

use std::fmt::Write as _;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// The folder of the desk, if the system has a place for one.
#[derive(Clone, Debug, Default)]
pub(super) struct Store {
    folder: Option<PathBuf>,
}

/// The file that holds the text that is being typed; after its last line end the row and
/// the sheet it is for.
const DRAFT: &str = "draft.txt";
/// The file of the settings: a name, a tab, a value a line.
const SETTINGS: &str = "settings.tsv";

impl Store {
    /// The folder where this system keeps the state of programs, made if need be. Without
    /// one the desk works, and forgets.
    pub(super) fn open() -> Self {
        let state = std::env::var_os("XDG_STATE_HOME").filter(|path| !path.is_empty());
        let folder = match (state, std::env::var_os("HOME")) {
            (Some(state), _) => Some(PathBuf::from(state)),
            (None, Some(home)) => Some(Path::new(&home).join(".local").join("state")),
            (None, None) => None,
        };
        let folder = folder.map(|folder| folder.join("apical"));
        let folder = folder.filter(|folder| private_folder(folder).is_ok());
        Self { folder }
    }

    /// The place of a file.
    pub(super) fn path(&self, name: &str) -> Option<PathBuf> {
        self.folder.as_ref().map(|folder| folder.join(name))
    }

    /// Writes down a text that is being typed, and for which row of which sheet. An empty
    /// one is let go.
    pub(super) fn keep_draft(&self, row: Option<(&Path, usize)>, text: &str) {
        if text.trim().is_empty() {
            self.drop_draft();
            return;
        }
        if let Some(path) = self.path(DRAFT) {
            let mut whole = text.to_owned();
            if let Some((sheet, row)) = row {
                let _ = write!(whole, "\n{row}\t{}", sheet.display());
            }
            // Nothing more can be done where even this fails.
            let _ = replace(&path, whole.as_bytes());
        }
    }

    /// Lets go of it.
    pub(super) fn drop_draft(&self) {
        if let Some(path) = self.path(DRAFT) {
            let _ = fs::remove_file(path);
        }
    }

    /// The text that was being typed when the desk was ended, once.
    pub(super) fn take_draft(&self) -> Option<Draft> {
        let path = self.path(DRAFT)?;
        let whole = fs::read_to_string(&path).ok()?;
        fs::remove_file(&path).ok()?;
        let place = whole.rsplit_once('\n').and_then(|(text, place)| {
            let (row, sheet) = place.split_once('\t')?;
            Some((text, (PathBuf::from(sheet), row.parse::<usize>().ok()?)))
        });
        let (text, row) = match place {
            Some((text, row)) => (text.to_owned(), Some(row)),
            None => (whole, None),
        };
        Some(Draft { text, row })
    }

    /// The settings.
    pub(super) fn settings(&self) -> Vec<(String, String)> {
        let text = self
            .path(SETTINGS)
            .and_then(|path| fs::read_to_string(path).ok());
        text.unwrap_or_default()
            .lines()
            .filter_map(|line| line.split_once('\t'))
            .map(|(name, value)| (name.to_owned(), value.to_owned()))
            .collect()
    }

    /// Writes the settings down.
    pub(super) fn keep_settings(&self, settings: &[(String, String)]) -> io::Result<()> {
        let Some(path) = self.path(SETTINGS) else {
            return Ok(());
        };
        let mut text = String::new();
        for (name, value) in settings {
            let _ = writeln!(text, "{name}\t{value}");
        }
        write_whole(&path, text.as_bytes())
    }
}

/// A text that was being typed when the desk was ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Draft {
    pub(super) text: String,
    /// The sheet and the row, from 1, that it was for.
    pub(super) row: Option<(PathBuf, usize)>,
}

/// Puts a file in the place of another at one stroke; unlike [`write_whole`] it does not
/// wait for the disk, so it outlives the program but not a loss of power.
fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let beside = path.with_extension("new");
    let mut options = fs::OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(&beside)?.write_all(bytes)?;
    fs::rename(beside, path)
}

fn private_folder(folder: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

/// Writes a file as a whole or not at all: a new file beside it takes its place once it is
/// on the disk. The permissions of a file that was there stay.
pub(super) fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    // Through a link, the file it leads to is the one to replace.
    let path = &fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let mut name = std::ffi::OsString::from(".");
    name.push(path.file_name().unwrap_or_default());
    name.push(format!(".{}.new", std::process::id()));
    let beside = path.with_file_name(name);
    let written = write_beside(&beside, path, bytes);
    if written.is_err() {
        let _ = fs::remove_file(&beside);
    }
    written
}

fn write_beside(beside: &Path, path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut options = fs::OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options.open(beside)?;
    if let Ok(old) = fs::metadata(path) {
        if old.permissions().readonly() {
            return Err(io::Error::new(
                io::ErrorKind::PermissionDenied,
                "the file is read-only",
            ));
        }
        file.set_permissions(old.permissions())?;
    }
    file.write_all(bytes)?;
    file.sync_all()?;
    drop(file);
    fs::rename(beside, path)?;
    // The new name itself must outlive a loss of power.
    if let Some(folder) = path.parent() {
        if let Ok(folder) = fs::File::open(folder) {
            let _ = folder.sync_all();
        }
    }
    Ok(())
}
