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

/// The file that holds a text that was being typed when the desk was ended.
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

    /// Writes down a text that was being typed.
    pub(super) fn keep_draft(&self, text: &str) {
        if text.trim().is_empty() {
            return;
        }
        if let Some(path) = self.path(DRAFT) {
            // Nothing more can be done where even this fails.
            let _ = write_whole(&path, text.as_bytes());
        }
    }

    /// The text that was being typed when the desk was ended, once.
    pub(super) fn take_draft(&self) -> Option<String> {
        let path = self.path(DRAFT)?;
        let text = fs::read_to_string(&path).ok()?;
        fs::remove_file(&path).ok()?;
        Some(text)
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
