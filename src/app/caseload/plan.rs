//! The list of a session, item by item, and what was left unfinished.

use rusqlite::params;

use super::{Answer, Caseload, failure, rows};
use crate::record::{Draft, Item, Planned, SessionKind};

const PLAN: &str =
    "INSERT INTO planned (session, position, word, target, accepted, recording)
    VALUES (?1, ?2, ?3, ?4, ?5, ?6)
    ON CONFLICT (session, position) DO UPDATE SET word = ?3, target = ?4, accepted = ?5,
        recording = ?6";

impl Caseload {
    /// Begins a session on a list, all of it or nothing, and gives the session's number.
    ///
    /// # Errors
    ///
    /// Where there is no such client, or the file cannot be written.
    pub fn begin_list(
        &mut self,
        code: &str,
        kind: SessionKind,
        list: &str,
        began: &str,
        planned: &[Planned],
    ) -> Answer<i64> {
        let client = self.client(code)?;
        let path = self.path.clone();
        let mut write = || -> rusqlite::Result<i64> {
            let transaction = self.connection.transaction()?;
            let sql = "INSERT INTO session (client, kind, list, began)
                VALUES (?1, ?2, ?3, ?4)";
            transaction.execute(sql, params![client.id, kind.name(), list, began])?;
            let session = transaction.last_insert_rowid();
            {
                let mut put = transaction.prepare_cached(PLAN)?;
                for it in planned {
                    put.execute(params![
                        session,
                        it.position,
                        it.word,
                        it.target,
                        it.accepted,
                        it.recording
                    ])?;
                }
            }
            transaction.commit()?;
            Ok(session)
        };
        write().map_err(|error| failure(&path, &error))
    }

    /// The list of a session, in its order.
    ///
    /// # Errors
    ///
    /// Where the file cannot be read.
    pub fn planned(&self, session: i64) -> Answer<Vec<Planned>> {
        let sql = "SELECT position, word, target, accepted, recording FROM planned
            WHERE session = ?1 ORDER BY position";
        self.all(sql, [session], |row| {
            Ok(Planned {
                position: row.get(0)?,
                word: row.get(1)?,
                target: row.get(2)?,
                accepted: row.get(3)?,
                recording: row.get(4)?,
            })
        })
    }

    /// How many items of a session's list wait, and how many there are. What was left out
    /// waits too.
    ///
    /// # Errors
    ///
    /// Where the file cannot be read.
    pub fn waiting(&self, session: i64) -> Answer<(u32, u32)> {
        let sql = "SELECT
            (SELECT count(*) FROM planned WHERE session = ?1 AND NOT EXISTS (
                SELECT 1 FROM item WHERE item.session = planned.session
                AND item.position = planned.position AND outcome <> 'skipped')),
            (SELECT count(*) FROM planned WHERE session = ?1)";
        self.connection
            .query_row(sql, [session], |row| Ok((row.get(0)?, row.get(1)?)))
            .map_err(|error| self.failed(&error))
    }

    /// Changes a word of the list, or adds one, with what was said of it, all or nothing.
    ///
    /// # Errors
    ///
    /// Where there is no such session, or the file cannot be written; then nothing changed.
    pub fn plan(
        &mut self,
        session: i64,
        planned: &Planned,
        items: &[Item],
    ) -> Answer<()> {
        let path = self.path.clone();
        let mut write = || -> rusqlite::Result<()> {
            let transaction = self.connection.transaction()?;
            transaction.execute(
                PLAN,
                params![
                    session,
                    planned.position,
                    planned.word,
                    planned.target,
                    planned.accepted,
                    planned.recording
                ],
            )?;
            {
                let mut put = transaction.prepare_cached(rows::PUT_ITEM)?;
                for item in items {
                    item.put(&mut put, session)?;
                }
            }
            transaction.commit()
        };
        write().map_err(|error| failure(&path, &error))
    }

    /// Puts a word into the list, within a transaction of the caller's.
    pub(super) fn put_planned(&mut self, session: i64, it: &Planned) -> Answer<()> {
        let values = params![
            session,
            it.position,
            it.word,
            it.target,
            it.accepted,
            it.recording
        ];
        let done = self.connection.execute(PLAN, values);
        done.map(|_| ()).map_err(|error| self.failed(&error))
    }

    /// Takes a word out of the list that nothing was recorded of; whether it was there.
    ///
    /// # Errors
    ///
    /// Where the file cannot be written.
    pub fn unplan(&mut self, session: i64, position: u32) -> Answer<bool> {
        let sql =
            "DELETE FROM planned WHERE session = ?1 AND position = ?2 AND NOT EXISTS
            (SELECT 1 FROM item WHERE item.session = ?1 AND item.position = ?2)";
        let done = self.connection.execute(sql, params![session, position]);
        done.map(|rows| rows > 0)
            .map_err(|error| self.failed(&error))
    }

    /// Keeps what stands on the line of an attempt and a pass; an empty text lets it go.
    ///
    /// # Errors
    ///
    /// Where there is no such session, or the file cannot be written.
    pub fn keep_draft_of(&mut self, session: i64, draft: &Draft) -> Answer<()> {
        if draft.text.is_empty() {
            return self.keep_draft(session, draft.position, "");
        }
        let sql = "INSERT INTO draft (session, position, attempt, pass, text)
            VALUES (?1, ?2, ?3, ?4, ?5)
            ON CONFLICT (session, position) DO UPDATE SET attempt = ?3, pass = ?4, text = ?5";
        let values = params![
            session,
            draft.position,
            draft.attempt,
            draft.pass,
            draft.text
        ];
        let done = self.connection.execute(sql, values);
        done.map(|_| ()).map_err(|error| self.failed(&error))
    }

    /// The drafts of a session, with the attempt and the pass they belong to.
    ///
    /// # Errors
    ///
    /// Where the file cannot be read.
    pub fn unfinished(&self, session: i64) -> Answer<Vec<Draft>> {
        let sql = "SELECT position, attempt, pass, text FROM draft WHERE session = ?1
            ORDER BY position";
        self.all(sql, [session], |row| {
            Ok(Draft {
                position: row.get(0)?,
                attempt: row.get(1)?,
                pass: row.get(2)?,
                text: row.get(3)?,
            })
        })
    }
}
