//! Encrypting a caseload, changing its passphrase, and taking the encryption off: by the
//! means of the library that reads it, SQLCipher. Nothing here is cryptography of our own.
//!
//! A new file is written beside the old one, compared with it row by row, and put in its
//! place at one stroke; only then is the old one overwritten. Whatever ends the program, one
//! of the two is there, whole.

#![allow(
    clippy::disallowed_methods,
    reason = "this is where the app writes a caseload anew"
)]

use std::path::{Path, PathBuf};

#[cfg(feature = "encryption")]
use super::upkeep;
use super::{Answer, Caseload};
use crate::app::Failure;

/// What a changed passphrase leaves to be known.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sealed {
    /// Whether the caseload is encrypted now.
    pub encrypted: bool,
    /// Copies of older forms beside it that anybody can read who gets at them.
    pub plain_copies: Vec<PathBuf>,
    /// Copies beside it that only the passphrase of before opens.
    pub older_copies: Vec<PathBuf>,
}

/// How every file begins that is not encrypted.
#[cfg(feature = "encryption")]
const PLAIN: &[u8] = b"SQLite format 3\0";

/// Whether a file is a database that anybody can read who gets at it.
#[cfg(feature = "encryption")]
pub(super) fn is_plain(path: &Path) -> bool {
    use std::io::Read as _;
    let mut start = [0; PLAIN.len()];
    let read = std::fs::File::open(path).and_then(|mut file| file.read_exact(&mut start));
    read.is_ok() && start == PLAIN
}

impl Caseload {
    /// Encrypts the caseload with a passphrase, changes the passphrase, or with none takes
    /// the encryption off. `present` is the passphrase it opens with now.
    ///
    /// Meanwhile no other program can use it; one that has it open is refused afterwards,
    /// and loses nothing that it was told is recorded.
    ///
    /// # Errors
    ///
    /// Where there is no caseload yet, the present passphrase does not open it, another
    /// program is at work on it, the program was built without encryption, or the new file
    /// cannot be written. Then the caseload is as it was.
    pub fn seal(path: &Path, present: Option<&str>, new: Option<&str>) -> Answer<Sealed> {
        let real = std::fs::canonicalize(path).map_err(|_| {
            Failure::new(
                path.display().to_string(),
                "there is no caseload here yet",
                "a new one is encrypted from the start where its passphrase is in \
                 `APICAL_PASSPHRASE` when it is made",
            )
        })?;
        if new.is_some_and(|it| it.trim().is_empty()) {
            return Err(Failure::new(
                "the new passphrase",
                "is empty",
                "choose several words that nobody would guess, and keep them where they \
                 are not lost: without them nobody opens the caseload again",
            ));
        }
        if present.is_none() && new.is_none() {
            return Err(Failure::new(
                path.display().to_string(),
                "no passphrase is given, and none is to be taken off",
                "the passphrase it has now is read from `APICAL_PASSPHRASE`",
            ));
        }
        let caseload = Self::open(&real, present)?;
        caseload.seal_anew(new)
    }

    #[cfg(not(feature = "encryption"))]
    fn seal_anew(&self, _: Option<&str>) -> Answer<Sealed> {
        Err(super::without_encryption(&self.path))
    }

    #[cfg(feature = "encryption")]
    fn seal_anew(self, new: Option<&str>) -> Answer<Sealed> {
        let failed = |error: rusqlite::Error| super::failure(&self.path, &error);
        // From here on until the end, nobody else reads or writes it.
        self.connection
            .execute_batch(
                "PRAGMA main.locking_mode = exclusive; BEGIN EXCLUSIVE; COMMIT;",
            )
            .map_err(failed)?;
        for left in upkeep::unfinished(&self.path) {
            remove(&left)?;
        }
        let mut name = self.path.file_name().unwrap_or_default().to_owned();
        name.push(format!(".form-0.{}.new", std::process::id()));
        let beside = self.path.with_file_name(name);
        super::create_for_owner(&beside)?;
        let written = self
            .write_anew(&beside, new)
            .and_then(|()| self.put_in_place(&beside));
        if let Err(failure) = written {
            // Closed first: it may still be attached.
            let path = self.path.clone();
            drop(self);
            for left in upkeep::unfinished(&path) {
                let _ = std::fs::remove_file(left);
            }
            return Err(failure);
        }
        let (plain, sealed): (Vec<_>, Vec<_>) = upkeep::copies(&self.path)
            .into_iter()
            .partition(|copy| is_plain(copy));
        Ok(Sealed {
            encrypted: new.is_some(),
            plain_copies: if new.is_some() { plain } else { Vec::new() },
            older_copies: sealed,
        })
    }

    /// Writes the whole caseload into an empty file under another passphrase, and holds the
    /// two against each other.
    #[cfg(feature = "encryption")]
    fn write_anew(&self, beside: &Path, new: Option<&str>) -> Answer<()> {
        let failed = |error: rusqlite::Error| super::failure(&self.path, &error);
        let connection = &self.connection;
        let form = self.number("user_version")?;
        let application = super::schema::APPLICATION;
        let place = beside.display().to_string();
        connection
            .pragma_update(None, "foreign_keys", false)
            .and_then(|()| {
                connection.execute(
                    "ATTACH DATABASE ?1 AS fresh KEY ?2",
                    [place.as_str(), new.unwrap_or_default()],
                )
            })
            .and_then(|_| {
                connection.query_row("SELECT sqlcipher_export('fresh')", [], |_| Ok(()))
            })
            .and_then(|()| {
                connection.execute_batch(&format!(
                    "PRAGMA fresh.application_id = {application};
                     PRAGMA fresh.user_version = {form};"
                ))
            })
            .map_err(failed)?;
        for table in self.tables()? {
            // Counted too: two rows alike are one to EXCEPT.
            let sql = format!(
                "SELECT (SELECT count(*) FROM main.{table}) =
                    (SELECT count(*) FROM fresh.{table})
                 AND NOT EXISTS (SELECT * FROM main.{table} EXCEPT
                    SELECT * FROM fresh.{table})"
            );
            let same: bool = connection
                .query_row(&sql, [], |row| row.get(0))
                .map_err(failed)?;
            if !same {
                return Err(Failure::new(
                    self.path.display().to_string(),
                    format!(
                        "the new file does not say the same as the old one in `{table}`"
                    ),
                    "the caseload is as it was; look whether the disk fails",
                ));
            }
        }
        connection.execute_batch("DETACH fresh").map_err(failed)?;
        // As it will be opened from now on.
        let opened = Self::open(beside, new)?;
        let faults = opened.verify()?;
        match faults.first() {
            None => Ok(()),
            Some(fault) => Err(Failure::new(
                self.path.display().to_string(),
                format!("the new file is not sound: {fault}"),
                "the caseload is as it was; `apical verify` looks it through",
            )),
        }
    }

    #[cfg(feature = "encryption")]
    fn tables(&self) -> Answer<Vec<String>> {
        let sql = "SELECT name FROM sqlite_schema WHERE type = 'table'
            AND name NOT LIKE 'sqlite%'";
        self.all(sql, [], |row| row.get(0))
    }

    /// Puts the new file in the place of the old one, and overwrites the old one: who still
    /// has it open finds no caseload any more.
    #[cfg(feature = "encryption")]
    fn put_in_place(&self, beside: &Path) -> Answer<()> {
        let failed = |error: std::io::Error| {
            Failure::new(
                self.path.display().to_string(),
                format!("the new file cannot be put in its place: {error}"),
                "make room on the disk or mend the folder's permissions; the caseload is \
                 as it was",
            )
        };
        // Opened before the change and closed after it: closing a file lets go of the locks
        // on it.
        let mut old = std::fs::File::options()
            .write(true)
            .open(&self.path)
            .map_err(failed)?;
        let new = std::fs::File::open(beside).map_err(failed)?;
        new.sync_all().map_err(failed)?;
        std::fs::rename(beside, &self.path).map_err(failed)?;
        if let Some(folder) = self.path.parent() {
            if let Ok(folder) = std::fs::File::open(folder) {
                let _ = folder.sync_all();
            }
        }
        // The new one is in force; that the old one's room cannot be overwritten is no
        // reason to say otherwise.
        let _ = overwrite(&mut old);
        Ok(())
    }
}

#[cfg(feature = "encryption")]
fn remove(path: &Path) -> Answer<()> {
    std::fs::remove_file(path).map_err(|error| {
        Failure::new(
            path.display().to_string(),
            format!("what an earlier run left unfinished cannot be removed: {error}"),
            "remove the file yourself, then try again; the caseload is as it was",
        )
    })
}

/// Puts noughts over everything that stood in a file.
#[cfg(feature = "encryption")]
fn overwrite(file: &mut std::fs::File) -> std::io::Result<()> {
    use std::io::Write as _;
    let noughts = [0; 1 << 12];
    let mut left = file.metadata()?.len();
    while left > 0 {
        let count = left.min(noughts.len() as u64);
        let part = usize::try_from(count).unwrap_or(0);
        file.write_all(noughts.get(..part).unwrap_or_default())?;
        left -= count;
    }
    file.sync_all()
}
