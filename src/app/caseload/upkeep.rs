//! Looking the file through, and forgetting a client for good.

use rusqlite::params;

use super::{Answer, Caseload};

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
        self.connection
            .execute("DELETE FROM client WHERE id = ?1", params![client.id])
            .and_then(|_| self.connection.execute_batch("VACUUM"))
            .map_err(|error| self.failed(&error))?;
        for copy in self.copies() {
            std::fs::remove_file(&copy).map_err(|error| {
                crate::app::Failure::new(
                    copy.display().to_string(),
                    format!(
                        "the client is gone from the caseload, but not from this older copy: {error}"
                    ),
                    "remove the file yourself",
                )
            })?;
        }
        Ok(gone)
    }

    /// The copies of older forms that lie beside the file.
    fn copies(&self) -> Vec<std::path::PathBuf> {
        (1..100)
            .map(|form| {
                let mut name = self.path.file_name().unwrap_or_default().to_owned();
                name.push(format!(".form-{form}"));
                self.path.with_file_name(name)
            })
            .filter(|copy| copy.exists())
            .collect()
    }
}
