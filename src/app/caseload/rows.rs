//! What the caseload holds, row by row.

use rusqlite::{Row, Statement, params};

use super::Answer;
use crate::app::Failure;
use crate::record::{
    Client, Consent, Hat, Item, Outcome, Session, SessionKind, Trial, TrialMark,
};

pub(super) const CLIENT: &str = "SELECT id, code, first_language, accent, hat, \
     consent_export, consent_recording, note, opened FROM client";
pub(super) const CLIENT_SEEN: &str = "SELECT id, code, first_language, accent, hat, \
     consent_export, consent_recording, note, opened, \
     (SELECT count(*) FROM session WHERE session.client = client.id), \
     (SELECT max(began) FROM session WHERE session.client = client.id) FROM client";
pub(super) const SESSION: &str = "SELECT id, kind, list, began FROM session";
pub(super) const ITEM: &str = "SELECT position, word, target, production, outcome, \
     attempt, pass, cue, unsure, note, at FROM item";
pub(super) const PUT_ITEM: &str = "INSERT INTO item (session, position, word, target, \
     production, outcome, attempt, pass, cue, unsure, note, at) \
     VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12) \
     ON CONFLICT (session, position, attempt, pass) DO UPDATE SET word = ?3, target = ?4, \
     production = ?5, outcome = ?6, cue = ?9, unsure = ?10, note = ?11, at = ?12";

/// A word of the file that must be one of an enum's.
fn word<T>(row: &Row<'_>, at: usize, read: fn(&str) -> Option<T>) -> rusqlite::Result<T> {
    let text: String = row.get(at)?;
    read(&text).ok_or_else(|| {
        rusqlite::Error::FromSqlConversionFailure(
            at,
            rusqlite::types::Type::Text,
            format!("`{text}` is no word of this column").into(),
        )
    })
}

impl Client {
    pub(super) fn from_row(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            id: row.get(0)?,
            code: row.get(1)?,
            first_language: row.get(2)?,
            accent: row.get(3)?,
            hat: word(row, 4, Hat::from_name)?,
            consent: Consent {
                export: row.get(5)?,
                recording: row.get(6)?,
            },
            note: row.get(7)?,
            opened: row.get(8)?,
        })
    }
}

impl Session {
    pub(super) fn from_row(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            id: row.get(0)?,
            kind: word(row, 1, SessionKind::from_name)?,
            list: row.get(2)?,
            began: row.get(3)?,
        })
    }
}

impl Item {
    pub(super) fn from_row(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            position: row.get(0)?,
            word: row.get(1)?,
            target: row.get(2)?,
            production: row.get(3)?,
            outcome: word(row, 4, Outcome::from_name)?,
            attempt: row.get(5)?,
            pass: row.get(6)?,
            cue: row.get(7)?,
            unsure: row.get(8)?,
            note: row.get(9)?,
            at: row.get(10)?,
        })
    }

    pub(super) fn put(
        &self,
        statement: &mut Statement<'_>,
        session: i64,
    ) -> rusqlite::Result<usize> {
        statement.execute(params![
            session,
            self.position,
            self.word,
            self.target,
            self.production,
            self.outcome.name(),
            self.attempt,
            self.pass,
            self.cue,
            self.unsure,
            self.note,
            self.at,
        ])
    }
}

impl Trial {
    pub(super) fn from_row(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            target: row.get(0)?,
            mark: word(row, 1, TrialMark::from_name)?,
            at: row.get(2)?,
        })
    }
}

/// A code is short and plain, so that it can stand in a file name; it is no name.
pub(super) fn check_code(code: &str) -> Answer<()> {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
    if !code.is_empty() && code.len() <= 40 && code.chars().all(plain) {
        return Ok(());
    }
    Err(Failure::new(
        format!("client `{code}`"),
        "a code is 1 to 40 letters a–z, digits, `-` or `_`",
        "give the client a code such as K-07, not a name: the record is private",
    ))
}
