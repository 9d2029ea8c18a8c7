//! Looking the file through, and forgetting a client for good.

use std::path::{Path, PathBuf};

use rusqlite::params;

use super::{Answer, Caseload};
use crate::app::Failure;

/// What went with a client.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Forgotten {
    /// Sessions.
    pub sessions: i64,
    /// Items of them.
    pub items: i64,
    /// Trials of them.
    pub trials: i64,
}

impl Caseload {
    /// Looks the whole file through: its pages, its links, and that every item says what
    /// its outcome says. Gives what is wrong; nothing where all is well.
    ///
    /// # Errors
    ///
    /// Where the file cannot be read at all.
    pub fn verify(&self) -> Answer<Vec<String>> {
        let mut faults: Vec<String> = self
            .all("PRAGMA integrity_check", [], |row| row.get::<_, String>(0))?
            .into_iter()
            .filter(|line| line != "ok")
            .collect();
        faults.extend(self.all("PRAGMA foreign_key_check", [], |row| {
            let (table, parent): (String, String) = (row.get(0)?, row.get(2)?);
            Ok(format!(
                "a row of `{table}` belongs to no row of `{parent}`"
            ))
        })?);
        let sql = "SELECT session, position, outcome, production IS NULL FROM item
            WHERE (outcome = 'said') <> (production IS NOT NULL)";
        faults.extend(self.all(sql, [], |row| {
            let (session, position): (i64, u32) = (row.get(0)?, row.get(1)?);
            let (outcome, empty): (String, bool) = (row.get(2)?, row.get(3)?);
            let has = if empty { "no production" } else { "a production" };
            Ok(format!(
                "session {session}, item {position}: its outcome is `{outcome}`, and it has {has}"
            ))
        })?);
        if others_may_read(&self.path) {
            faults.push(
                "others on this machine may read the file: make it yours alone \
                 (`chmod 600`)"
                    .to_owned(),
            );
        }
        Ok(faults)
    }

    /// Removes a client and everything recorded: rows overwritten, the file rewritten
    /// without them, and the copies that older forms left beside it removed too, since they
    /// hold the client as well.
    ///
    /// # Errors
    ///
    /// Where there is no such client, or the file cannot be written; then all is still there.
    pub fn forget(&mut self, code: &str) -> Answer<Forgotten> {
        let client = self.client(code)?;
        let counted = |sql: &str| -> Answer<i64> {
            self.connection
                .query_row(sql, [client.id], |row| row.get(0))
                .map_err(|error| self.failed(&error))
        };
        let gone = Forgotten {
            sessions: counted("SELECT count(*) FROM session WHERE client = ?1")?,
            items: counted(
                "SELECT count(*) FROM item JOIN session ON session.id = item.session
                 WHERE client = ?1",
            )?,
            trials: counted(
                "SELECT count(*) FROM trial JOIN session ON session.id = trial.session
                 WHERE client = ?1",
            )?,
        };
        // First what cannot be found again from the client's code, should we be stopped.
        for copy in beside(&self.path) {
            std::fs::remove_file(&copy).map_err(|error| {
                Failure::new(
                    copy.display().to_string(),
                    format!("this older copy holds the client too: {error}"),
                    "remove the file yourself, then forget the client again; nothing was \
                     forgotten",
                )
            })?;
        }
        self.connection
            .execute("DELETE FROM client WHERE id = ?1", params![client.id])
            .and_then(|_| self.connection.execute_batch("VACUUM"))
            .map_err(|error| self.failed(&error))?;
        Ok(gone)
    }
}

/// The copies of older forms that lie beside a caseload, oldest form first.
pub(super) fn copies(path: &Path) -> Vec<PathBuf> {
    let mut copies = beside(path);
    copies.retain(|copy| !is_unfinished(copy));
    copies
}

/// What is left beside it of copies that were not finished.
#[cfg(feature = "encryption")]
pub(super) fn unfinished(path: &Path) -> Vec<PathBuf> {
    let mut left = beside(path);
    left.retain(|copy| is_unfinished(copy));
    left
}

/// Such a copy ends in `.new`; its own journal may lie beside it.
fn is_unfinished(copy: &Path) -> bool {
    let ending = copy.extension().unwrap_or_default().to_string_lossy();
    ending.starts_with("new")
}

fn beside(path: &Path) -> Vec<PathBuf> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let start = format!("{name}.form-");
    let folder = path.parent().filter(|it| !it.as_os_str().is_empty());
    let Ok(beside) = std::fs::read_dir(folder.unwrap_or(Path::new("."))) else {
        return Vec::new();
    };
    let mut copies: Vec<PathBuf> = beside
        .filter_map(|entry| Some(entry.ok()?.file_name()))
        .filter(|file| file.to_string_lossy().starts_with(&start))
        .map(|file| path.with_file_name(file))
        .collect();
    copies.sort();
    copies
}

/// Looks at what lies at the place of a caseload before it is opened: only a file can be
/// one, and what SQLite would wait for, or silently begin anew, is named instead.
pub(super) fn look_at(path: &Path) -> Answer<()> {
    let Ok(there) = std::fs::metadata(path) else {
        // Nothing there yet, or the reason comes when it is made.
        return Ok(());
    };
    let place = || path.display().to_string();
    if !there.is_file() {
        let what = if there.is_dir() {
            "a folder"
        } else {
            "no file"
        };
        return Err(Failure::new(
            place(),
            format!("the place of the caseload is {what}"),
            "name a file with `--caseload FILE`",
        ));
    }
    if there.len() > 0 {
        return Ok(());
    }
    if let Some(copy) = copies(path).last() {
        return Err(Failure::new(
            place(),
            "the caseload is empty, to the last byte, and an older copy lies beside it",
            format!(
                "put your own backup, or {}, in its place; to begin anew, move both away",
                copy.display()
            ),
        ));
    }
    for_owner_alone(path)
}

#[cfg(unix)]
fn for_owner_alone(path: &Path) -> Answer<()> {
    use std::os::unix::fs::PermissionsExt as _;
    if !others_may_read(path) {
        return Ok(());
    }
    let owner = std::fs::Permissions::from_mode(0o600);
    std::fs::set_permissions(path, owner).map_err(|error| {
        Failure::new(
            path.display().to_string(),
            format!("others may read this file, and that cannot be changed: {error}"),
            "name a file of your own with `--caseload FILE`",
        )
    })
}

#[cfg(not(unix))]
fn for_owner_alone(_: &Path) -> Answer<()> {
    Ok(())
}

#[cfg(unix)]
fn others_may_read(path: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt as _;
    std::fs::metadata(path).is_ok_and(|it| it.permissions().mode() & 0o077 != 0)
}

#[cfg(not(unix))]
fn others_may_read(_: &Path) -> bool {
    false
}
