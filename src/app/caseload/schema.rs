//! The form of the file, and how an older one becomes the present one.

use rusqlite::TransactionBehavior;

use super::{Answer, Caseload};
use crate::app::Failure;

/// What makes each version of the form out of the one before it. Never change one that was
/// released: add the next.
const STEPS: &[&str] = &[
    // 1: clients, sessions, items.
    "CREATE TABLE client (
        id INTEGER PRIMARY KEY,
        code TEXT NOT NULL UNIQUE,
        first_language TEXT NOT NULL DEFAULT '',
        accent TEXT NOT NULL DEFAULT 'en-US',
        hat TEXT NOT NULL DEFAULT 'elective' CHECK (hat IN ('elective', 'clinical')),
        consent_export INTEGER NOT NULL DEFAULT 0 CHECK (consent_export IN (0, 1)),
        consent_recording INTEGER NOT NULL DEFAULT 0 CHECK (consent_recording IN (0, 1)),
        note TEXT NOT NULL DEFAULT '',
        opened TEXT NOT NULL
    ) STRICT;
    CREATE TABLE session (
        id INTEGER PRIMARY KEY,
        client INTEGER NOT NULL REFERENCES client (id) ON DELETE CASCADE,
        kind TEXT NOT NULL CHECK (kind IN ('list', 'probe', 'tally')),
        list TEXT NOT NULL DEFAULT '',
        began TEXT NOT NULL
    ) STRICT;
    CREATE INDEX session_of_client ON session (client, began);
    CREATE TABLE item (
        session INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
        position INTEGER NOT NULL CHECK (position > 0),
        attempt INTEGER NOT NULL CHECK (attempt > 0),
        pass INTEGER NOT NULL CHECK (pass > 0),
        word TEXT NOT NULL,
        target TEXT NOT NULL,
        production TEXT,
        outcome TEXT NOT NULL CHECK (outcome IN ('said', 'no response', 'skipped')),
        cue INTEGER NOT NULL DEFAULT 0,
        unsure INTEGER NOT NULL DEFAULT 0 CHECK (unsure IN (0, 1)),
        note TEXT NOT NULL DEFAULT '',
        at TEXT NOT NULL,
        PRIMARY KEY (session, position, attempt, pass)
    ) STRICT, WITHOUT ROWID;
    CREATE TABLE draft (
        session INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
        position INTEGER NOT NULL CHECK (position > 0),
        text TEXT NOT NULL,
        PRIMARY KEY (session, position)
    ) STRICT, WITHOUT ROWID;",
    // 2: drills.
    "CREATE TABLE trial (
        id INTEGER PRIMARY KEY,
        session INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
        target TEXT NOT NULL,
        mark TEXT NOT NULL CHECK (mark IN ('right', 'with cue', 'wrong')),
        at TEXT NOT NULL
    ) STRICT;
    CREATE INDEX trial_of_session ON trial (session);",
    // 3: the list of a session, so that one that was broken off can be taken up; which
    // attempt and which pass a draft belongs to.
    "CREATE TABLE planned (
        session INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
        position INTEGER NOT NULL CHECK (position > 0),
        word TEXT NOT NULL,
        target TEXT NOT NULL,
        accepted TEXT NOT NULL DEFAULT '',
        recording TEXT NOT NULL DEFAULT '',
        PRIMARY KEY (session, position)
    ) STRICT, WITHOUT ROWID;
    ALTER TABLE draft ADD COLUMN attempt INTEGER NOT NULL DEFAULT 1 CHECK (attempt > 0);
    ALTER TABLE draft ADD COLUMN pass INTEGER NOT NULL DEFAULT 1 CHECK (pass > 0);",
];

/// Marks a file as a caseload: "Apic" in ASCII (SQLite's application id).
pub(super) const APPLICATION: i32 = 0x4170_6963;

/// Takes the steps that the file has not seen, each in one transaction, after a copy of it
/// was put beside it.
pub(super) fn bring_up_to_date(caseload: &mut Caseload) -> Answer<()> {
    let version = caseload.number("user_version")?;
    let application = caseload.number("application_id")?;
    let tables: i64 = caseload
        .connection
        .query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))
        .map_err(|error| caseload.failed(&error))?;
    let path = caseload.path.display().to_string();
    if tables > 0 && application != APPLICATION {
        return Err(Failure::new(
            path,
            "this is a database, but no caseload",
            "name another file with `--caseload FILE`; nothing was changed",
        ));
    }
    let newest = i32::try_from(STEPS.len()).unwrap_or(i32::MAX);
    if version > newest {
        return Err(Failure::new(
            path,
            format!(
                "the caseload has form {version}, and this program knows forms up to {newest}"
            ),
            "use the newer program that wrote it; nothing was changed",
        ));
    }
    let taken = usize::try_from(version).unwrap_or(0);
    for (step, number) in STEPS.iter().zip(1..).skip(taken) {
        if number > 1 && tables > 0 {
            caseload.back_up(number - 1)?;
        }
        let failed = |error: rusqlite::Error| super::failure(&caseload.path, &error);
        // From the start the only writer: what is looked at cannot change under it.
        let transaction = caseload
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(failed)?;
        // Another program may have taken the step since the version was read.
        let now: i32 = transaction
            .pragma_query_value(None, "user_version", |row| row.get(0))
            .map_err(failed)?;
        if now >= number {
            continue;
        }
        let sql = format!(
            "{step}\nPRAGMA application_id = {APPLICATION};\nPRAGMA user_version = {number};"
        );
        transaction.execute_batch(&sql).map_err(failed)?;
        transaction.commit().map_err(failed)?;
    }
    Ok(())
}

impl Caseload {
    /// Copies the file beside itself before its form changes: whole under its name, or not.
    /// A copy of the same form from earlier is replaced, since the file has gone on since.
    #[allow(clippy::disallowed_methods, reason = "the app reads files")]
    fn back_up(&self, form: i32) -> Answer<()> {
        let mut name = self.path.file_name().unwrap_or_default().to_owned();
        name.push(format!(".form-{form}"));
        let copy = self.path.with_file_name(&name);
        name.push(format!(".{}.new", std::process::id()));
        let unfinished = self.path.with_file_name(name);
        let failed = |error: std::io::Error| {
            Failure::new(
                copy.display().to_string(),
                format!("the copy before a change of form cannot be made: {error}"),
                "make room on the disk or mend the folder's permissions; the caseload is \
                 as it was",
            )
        };
        if unfinished.exists() {
            std::fs::remove_file(&unfinished).map_err(failed)?;
        }
        super::create_for_owner(&unfinished)?;
        let copied = self
            .connection
            .execute("VACUUM INTO ?1", [unfinished.display().to_string()])
            .map_err(|error| self.failed(&error))
            .and_then(|_| {
                let file = std::fs::File::open(&unfinished).map_err(failed)?;
                file.sync_all().map_err(failed)
            })
            .and_then(|()| {
                // Forms only rise: if it is still this one, the copy is of this one.
                if self.number("user_version")? > form {
                    return Ok(false);
                }
                std::fs::rename(&unfinished, &copy).map_err(failed)?;
                Ok(true)
            });
        if !matches!(copied, Ok(true)) {
            let _ = std::fs::remove_file(&unfinished);
        }
        copied.map(|_| ())
    }

    pub(super) fn number(&self, pragma: &str) -> Answer<i32> {
        self.connection
            .pragma_query_value(None, pragma, |row| row.get(0))
            .map_err(|error| self.failed(&error))
    }
}
