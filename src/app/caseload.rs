//! The caseload: clients, sessions and what was heard, in one SQLite file.
//!
//! Every call that records something is one transaction, on disk before it returns. The
//! file is created readable by its owner alone; clients have codes, not names. Two programs
//! may use one caseload: each waits for the other's transaction.

mod plan;
mod rows;
mod schema;
mod secret;
mod transfer;
mod upkeep;

pub use secret::Sealed;
pub use transfer::{Export, ExportedClient, Imported};
pub use upkeep::Forgotten;

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, ErrorCode, OpenFlags, OptionalExtension as _, params};

use super::Failure;
use crate::record::{Client, Item, Seen, Session, SessionKind, Trial};

/// How long to wait for another program's transaction.
const PATIENCE: Duration = Duration::from_secs(10);

/// An open caseload.
#[derive(Debug)]
pub struct Caseload {
    connection: Connection,
    path: PathBuf,
}

type Answer<T> = Result<T, Failure>;

impl Caseload {
    /// Opens a caseload, or creates an empty one.
    ///
    /// An older file is brought up to date, after a copy of it was put beside it. With a
    /// passphrase the file is, or must be, encrypted.
    ///
    /// # Errors
    ///
    /// Where the file cannot be read or written, is no caseload, was written by a newer
    /// program, or the passphrase is not the one it was encrypted with.
    pub fn open(path: &Path, passphrase: Option<&str>) -> Answer<Self> {
        upkeep::look_at(path)?;
        create_for_owner(path)?;
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = Connection::open_with_flags(path, flags)
            .map_err(|error| failure(path, &error))?;
        let mut caseload = Self {
            connection,
            path: path.to_owned(),
        };
        caseload.unlock(passphrase)?;
        caseload
            .prepare()
            .map_err(|error| caseload.failed(&error))?;
        schema::bring_up_to_date(&mut caseload)?;
        Ok(caseload)
    }

    /// Where it is.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    #[cfg(feature = "encryption")]
    fn unlock(&self, passphrase: Option<&str>) -> Answer<()> {
        if let Some(passphrase) = passphrase {
            if secret::is_plain(&self.path) {
                return Err(Failure::new(
                    self.path.display().to_string(),
                    "a passphrase is given, and the caseload is not encrypted",
                    "leave `APICAL_PASSPHRASE` unset; `apical passphrase set` encrypts it",
                ));
            }
            self.connection
                .pragma_update(None, "key", passphrase)
                .map_err(|error| self.failed(&error))?;
        }
        Ok(())
    }

    #[cfg(not(feature = "encryption"))]
    fn unlock(&self, passphrase: Option<&str>) -> Answer<()> {
        match passphrase {
            None => Ok(()),
            Some(_) => Err(without_encryption(&self.path)),
        }
    }

    fn prepare(&self) -> rusqlite::Result<()> {
        let connection = &self.connection;
        connection.busy_timeout(PATIENCE)?;
        connection.pragma_update(None, "journal_mode", "delete")?;
        // The rollback journal's directory entry too: a row is on disk or was never there.
        connection.pragma_update(None, "synchronous", "extra")?;
        connection.pragma_update(None, "foreign_keys", true)?;
        connection.pragma_update(None, "secure_delete", true)?;
        connection.pragma_update(None, "trusted_schema", false)
    }

    fn failed(&self, error: &rusqlite::Error) -> Failure {
        failure(&self.path, error)
    }

    /// Every client, by code.
    ///
    /// # Errors
    ///
    /// Where the file cannot be read.
    pub fn clients(&self) -> Answer<Vec<Client>> {
        self.all(
            &format!("{} ORDER BY code", rows::CLIENT),
            [],
            Client::from_row,
        )
    }

    /// Every client, by code, with how often it came: one look at an index for each.
    ///
    /// # Errors
    ///
    /// Where the file cannot be read.
    pub fn clients_seen(&self) -> Answer<Vec<(Client, Seen)>> {
        let sql = format!("{} ORDER BY code", rows::CLIENT_SEEN);
        self.all(&sql, [], |row| {
            let seen = Seen {
                sessions: row.get(9)?,
                last: row.get(10)?,
            };
            Ok((Client::from_row(row)?, seen))
        })
    }

    /// The client of a code.
    ///
    /// # Errors
    ///
    /// Where there is none, or the file cannot be read.
    pub fn client(&self, code: &str) -> Answer<Client> {
        let sql = format!("{} WHERE code = ?1", rows::CLIENT);
        let found = self
            .connection
            .query_row(&sql, [code], Client::from_row)
            .optional()
            .map_err(|error| self.failed(&error))?;
        found.ok_or_else(|| {
            Failure::new(
                format!("client `{code}`"),
                "the caseload has no client of this code",
                "`apical clients` lists them; `apical client CODE` opens a new one",
            )
        })
    }

    /// Opens a record for a client, or changes it: the code says which.
    ///
    /// # Errors
    ///
    /// Where the code is no code, or the file cannot be written.
    pub fn keep_client(&mut self, client: &Client) -> Answer<()> {
        rows::check_code(&client.code)?;
        let sql = "INSERT INTO client (code, first_language, accent, hat, consent_export,
                consent_recording, note, opened) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)
            ON CONFLICT (code) DO UPDATE SET first_language = ?2, accent = ?3, hat = ?4,
                consent_export = ?5, consent_recording = ?6, note = ?7";
        let values = params![
            client.code,
            client.first_language,
            client.accent,
            client.hat.name(),
            client.consent.export,
            client.consent.recording,
            client.note,
            client.opened,
        ];
        self.connection
            .execute(sql, values)
            .map_err(|error| self.failed(&error))?;
        Ok(())
    }

    /// The sessions of a client, oldest first.
    ///
    /// # Errors
    ///
    /// Where there is no such client, or the file cannot be read.
    pub fn sessions(&self, code: &str) -> Answer<Vec<Session>> {
        let client = self.client(code)?;
        let sql = format!("{} WHERE client = ?1 ORDER BY began, id", rows::SESSION);
        self.all(&sql, [client.id], Session::from_row)
    }

    /// Begins a session, and gives its number.
    ///
    /// # Errors
    ///
    /// Where there is no such client, or the file cannot be written.
    pub fn begin(
        &mut self,
        code: &str,
        kind: SessionKind,
        list: &str,
        began: &str,
    ) -> Answer<i64> {
        let client = self.client(code)?;
        let sql =
            "INSERT INTO session (client, kind, list, began) VALUES (?1, ?2, ?3, ?4)";
        self.connection
            .execute(sql, params![client.id, kind.name(), list, began])
            .map_err(|error| self.failed(&error))?;
        Ok(self.connection.last_insert_rowid())
    }

    /// Records what was heard for one item of a session: once for each position, attempt
    /// and pass, the last one counts. Its draft is gone with it.
    ///
    /// # Errors
    ///
    /// Where there is no such session, or the file cannot be written; then nothing changed.
    pub fn record(&mut self, session: i64, item: &Item) -> Answer<()> {
        self.record_all(session, std::slice::from_ref(item))
    }

    /// The same for several items, all or none.
    ///
    /// # Errors
    ///
    /// As [`Caseload::record`].
    pub fn record_all(&mut self, session: i64, items: &[Item]) -> Answer<()> {
        let path = self.path.clone();
        let write = || -> rusqlite::Result<()> {
            let transaction = self.connection.transaction()?;
            {
                let mut put = transaction.prepare_cached(rows::PUT_ITEM)?;
                let mut undraft = transaction.prepare_cached(
                    "DELETE FROM draft WHERE session = ?1 AND position = ?2",
                )?;
                for item in items {
                    item.put(&mut put, session)?;
                    undraft.execute(params![session, item.position])?;
                }
            }
            transaction.commit()
        };
        let mut write = write;
        write().map_err(|error| failure(&path, &error))
    }

    /// What was heard in a session, by position, attempt and pass.
    ///
    /// # Errors
    ///
    /// Where the file cannot be read.
    pub fn items(&self, session: i64) -> Answer<Vec<Item>> {
        let sql = format!(
            "{} WHERE session = ?1 ORDER BY position, attempt, pass",
            rows::ITEM
        );
        self.all(&sql, [session], Item::from_row)
    }

    /// Keeps what stands on the line but was not accepted yet; an empty text lets it go.
    ///
    /// # Errors
    ///
    /// Where there is no such session, or the file cannot be written.
    pub fn keep_draft(&mut self, session: i64, position: u32, text: &str) -> Answer<()> {
        let done = if text.is_empty() {
            self.connection.execute(
                "DELETE FROM draft WHERE session = ?1 AND position = ?2",
                params![session, position],
            )
        } else {
            self.connection.execute(
                "INSERT INTO draft (session, position, text) VALUES (?1, ?2, ?3)
                 ON CONFLICT (session, position) DO UPDATE SET text = ?3",
                params![session, position, text],
            )
        };
        done.map(|_| ()).map_err(|error| self.failed(&error))
    }

    /// The drafts of a session, by position.
    ///
    /// # Errors
    ///
    /// Where the file cannot be read.
    pub fn drafts(&self, session: i64) -> Answer<Vec<(u32, String)>> {
        let sql = "SELECT position, text FROM draft WHERE session = ?1 ORDER BY position";
        self.all(sql, [session], |row| Ok((row.get(0)?, row.get(1)?)))
    }

    /// Counts one trial of a drill.
    ///
    /// # Errors
    ///
    /// Where there is no such session, or the file cannot be written.
    pub fn count(&mut self, session: i64, trial: &Trial) -> Answer<()> {
        let sql = "INSERT INTO trial (session, target, mark, at) VALUES (?1, ?2, ?3, ?4)";
        let values = params![session, trial.target, trial.mark.name(), trial.at];
        let done = self.connection.execute(sql, values);
        done.map(|_| ()).map_err(|error| self.failed(&error))
    }

    /// Takes the last trial of a session back; whether there was one.
    ///
    /// # Errors
    ///
    /// Where the file cannot be written.
    pub fn uncount(&mut self, session: i64) -> Answer<bool> {
        let sql = "DELETE FROM trial WHERE id =
            (SELECT max(id) FROM trial WHERE session = ?1)";
        let done = self.connection.execute(sql, [session]);
        done.map(|rows| rows > 0)
            .map_err(|error| self.failed(&error))
    }

    /// The trials of a session in the order they were counted.
    ///
    /// # Errors
    ///
    /// Where the file cannot be read.
    pub fn trials(&self, session: i64) -> Answer<Vec<Trial>> {
        let sql = "SELECT target, mark, at FROM trial WHERE session = ?1 ORDER BY id";
        self.all(sql, [session], Trial::from_row)
    }

    fn all<T>(
        &self,
        sql: &str,
        values: impl rusqlite::Params,
        read: impl FnMut(&rusqlite::Row<'_>) -> rusqlite::Result<T>,
    ) -> Answer<Vec<T>> {
        let rows = || -> rusqlite::Result<Vec<T>> {
            let mut statement = self.connection.prepare_cached(sql)?;
            statement.query_map(values, read)?.collect()
        };
        rows().map_err(|error| self.failed(&error))
    }
}

#[cfg(not(feature = "encryption"))]
fn without_encryption(path: &Path) -> Failure {
    Failure::new(
        path.display().to_string(),
        "this program was built without encryption",
        "build it with `--features encryption`",
    )
}

/// Makes the file, empty, if there is none: for its owner alone from the first byte on.
fn create_for_owner(path: &Path) -> Answer<()> {
    let failed = |error: &std::io::Error| {
        Failure::new(
            path.display().to_string(),
            format!("the caseload cannot be made: {error}"),
            "name a file in a folder you may write to, with `--caseload FILE`",
        )
    };
    if path.exists() {
        return Ok(());
    }
    if let Some(folder) = path.parent().filter(|it| !it.as_os_str().is_empty()) {
        std::fs::create_dir_all(folder).map_err(|error| failed(&error))?;
    }
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create(true).truncate(false);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt as _;
        options.mode(0o600);
    }
    options
        .open(path)
        .map(|_| ())
        .map_err(|error| failed(&error))
}

/// What SQLite says, with what to do about it.
fn failure(path: &Path, error: &rusqlite::Error) -> Failure {
    let code = error.sqlite_error_code();
    let remedy = match code {
        Some(ErrorCode::NotADatabase) => {
            "this is no caseload, or it is encrypted: give its passphrase in \
             `APICAL_PASSPHRASE`, or name another file with `--caseload FILE`"
        }
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => {
            "another program is writing to it: close that, or try again"
        }
        Some(ErrorCode::DiskFull | ErrorCode::SystemIoFailure) => {
            "make room on the disk, or look whether it fails; what was recorded before is \
             still there, this was not"
        }
        Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => {
            "the file or its folder may not be written: mend its permissions"
        }
        Some(ErrorCode::DatabaseCorrupt) => {
            "the file is damaged: put it aside, do not write to it, and put your own backup \
             in its place"
        }
        Some(ErrorCode::CannotOpen) => {
            "look whether it is there and may be read, or name another with `--caseload FILE`"
        }
        _ => "nothing was changed; `apical verify` looks the file through",
    };
    let copies = upkeep::copies(path);
    let damaged = matches!(
        code,
        Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase)
    );
    let remedy = match copies.last() {
        Some(copy) if damaged => format!(
            "{remedy}; a copy from before a change of its form is {}",
            copy.display()
        ),
        _ => remedy.to_owned(),
    };
    Failure::new(path.display().to_string(), error.to_string(), remedy)
}
