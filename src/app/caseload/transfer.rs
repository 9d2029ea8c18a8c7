//! Records that leave the caseload, and come back.

use serde::{Deserialize, Serialize};

use super::{Answer, Caseload};
use crate::app::Failure;
use crate::record::{
    Client, Consent, Hat, Item, Outcome, Planned, Session, SessionKind, Trial, TrialMark,
};

/// Clients with their sessions: what an export holds and an import reads.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Export {
    /// The version of this form: 1.
    pub version: u32,
    /// Whether codes, notes and times of day are on it.
    pub identified: bool,
    /// The clients.
    pub clients: Vec<ExportedClient>,
}

/// One client of an export.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ExportedClient {
    code: String,
    first_language: String,
    accent: String,
    hat: String,
    consent_export: bool,
    consent_recording: bool,
    note: String,
    opened: String,
    /// What whoever reads the record must know; not taken in again.
    #[serde(default)]
    statement: String,
    sessions: Vec<ExportedSession>,
}

#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ExportedSession {
    kind: String,
    list: String,
    began: String,
    /// The list, with what nothing is recorded of yet.
    #[serde(default)]
    planned: Vec<ExportedWord>,
    items: Vec<ExportedItem>,
    trials: Vec<ExportedTrial>,
}

#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ExportedWord {
    position: u32,
    word: String,
    target: String,
    accepted: String,
}

#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ExportedItem {
    position: u32,
    word: String,
    target: String,
    production: Option<String>,
    outcome: String,
    attempt: u32,
    pass: u32,
    cue: u32,
    unsure: bool,
    note: String,
    at: String,
}

#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ExportedTrial {
    target: String,
    mark: String,
    at: String,
}

/// What an import brought.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Imported {
    /// Clients.
    pub clients: usize,
    /// Sessions.
    pub sessions: usize,
    /// Items and trials.
    pub items: usize,
}

impl Caseload {
    /// The records of a client, or of all.
    ///
    /// Without `identified`, codes are replaced by `client-1`, `client-2`…, notes are empty
    /// and only days are left of times. With it, every client must have agreed.
    ///
    /// # Errors
    ///
    /// Where there is no such client, one has not agreed, or the file cannot be read.
    pub fn export(&self, code: Option<&str>, identified: bool) -> Answer<Export> {
        let clients = match code {
            Some(code) => vec![self.client(code)?],
            None => self.clients()?,
        };
        let refused: Vec<&str> = clients
            .iter()
            .filter(|client| identified && !client.consent.export)
            .map(|client| client.code.as_str())
            .collect();
        if !refused.is_empty() {
            return Err(Failure::new(
                format!("client {}", refused.join(", ")),
                "has not agreed that the record leaves the caseload with its code on it",
                "export without `--identified`, or record the consent: \
                 `apical client CODE --consent-export yes`",
            ));
        }
        let mut exported = Vec::with_capacity(clients.len());
        for (client, number) in clients.into_iter().zip(1..) {
            exported.push(self.exported(client, number, identified)?);
        }
        Ok(Export {
            version: 1,
            identified,
            clients: exported,
        })
    }

    fn exported(
        &self,
        client: Client,
        number: usize,
        identified: bool,
    ) -> Answer<ExportedClient> {
        let note = |note: String| if identified { note } else { String::new() };
        let time = |time: String| match (identified, time.split_once('T')) {
            (false, Some((day, _))) => day.to_owned(),
            _ => time,
        };
        let mut sessions = Vec::new();
        for session in self.sessions(&client.code)? {
            let items = self
                .items(session.id)?
                .into_iter()
                .map(|item| ExportedItem {
                    position: item.position,
                    word: item.word,
                    target: item.target,
                    production: item.production,
                    outcome: item.outcome.name().to_owned(),
                    attempt: item.attempt,
                    pass: item.pass,
                    cue: item.cue,
                    unsure: item.unsure,
                    note: note(item.note),
                    at: time(item.at),
                });
            let trials =
                self.trials(session.id)?
                    .into_iter()
                    .map(|trial| ExportedTrial {
                        target: trial.target,
                        mark: trial.mark.name().to_owned(),
                        at: time(trial.at),
                    });
            let planned = self.planned(session.id)?.into_iter();
            sessions.push(ExportedSession {
                // Where a recording lies says who was recorded, and is of no use elsewhere.
                planned: planned
                    .map(|it| ExportedWord {
                        position: it.position,
                        word: it.word,
                        target: it.target,
                        accepted: it.accepted,
                    })
                    .collect(),
                kind: session.kind.name().to_owned(),
                list: session.list,
                began: time(session.began),
                items: items.collect(),
                trials: trials.collect(),
            });
        }
        Ok(ExportedClient {
            code: if identified {
                client.code
            } else {
                format!("client-{number}")
            },
            first_language: client.first_language,
            accent: client.accent,
            hat: client.hat.name().to_owned(),
            statement: client.hat.wording().caution.to_owned(),
            consent_export: client.consent.export,
            consent_recording: client.consent.recording,
            note: note(client.note),
            opened: time(client.opened),
            sessions,
        })
    }

    /// Takes exported records in: all of them or, where something is wrong, none. Clients
    /// must not be in the caseload yet: two records are never mixed.
    ///
    /// # Errors
    ///
    /// Where a word of the records has no meaning, a client is there already, or the file
    /// cannot be written.
    pub fn import(&mut self, export: &Export) -> Answer<Imported> {
        if export.version != 1 {
            return Err(Failure::new(
                "import",
                format!(
                    "records of version {}, and this program reads 1",
                    export.version
                ),
                "use the program that wrote them",
            ));
        }
        let known: Vec<String> = self.clients()?.into_iter().map(|it| it.code).collect();
        let mut read = Vec::new();
        let mut seen: Vec<&str> = Vec::new();
        for client in &export.clients {
            if known.contains(&client.code) || seen.contains(&client.code.as_str()) {
                return Err(Failure::new(
                    format!("client `{}`", client.code),
                    "is in the caseload already, or twice in the records",
                    "give one of the two another code; nothing was taken in",
                ));
            }
            seen.push(&client.code);
            client.check_items()?;
            read.push(client.read()?);
        }
        let mut brought = Imported::default();
        self.all_or_nothing(|caseload| {
            for (client, sessions) in &read {
                caseload.keep_client(client)?;
                brought.clients += 1;
                for (session, planned, items, trials) in sessions {
                    let id = caseload.begin(
                        &client.code,
                        session.kind,
                        &session.list,
                        &session.began,
                    )?;
                    for it in planned {
                        caseload.put_planned(id, it)?;
                    }
                    for item in items {
                        caseload.put(id, item)?;
                    }
                    for trial in trials {
                        caseload.count(id, trial)?;
                    }
                    brought.sessions += 1;
                    brought.items += items.len() + trials.len();
                }
            }
            Ok(())
        })?;
        Ok(brought)
    }

    /// Keeps a whole session, all of it or nothing, and once: the same items on the same
    /// list of the same day are not taken twice.
    ///
    /// # Errors
    ///
    /// Where there is no such client, the session is there already, or the file cannot be
    /// written.
    pub fn keep_session(
        &mut self,
        code: &str,
        session: &Session,
        items: &[Item],
    ) -> Answer<()> {
        let day = |time: &str| time.split('T').next().unwrap_or(time).to_owned();
        let heard = |item: &Item| {
            (
                item.position,
                item.word.clone(),
                item.target.clone(),
                item.production.clone(),
            )
        };
        self.all_or_nothing(|caseload| {
            for kept in caseload.sessions(code)? {
                let same = kept.kind == session.kind
                    && kept.list == session.list
                    && day(&kept.began) == day(&session.began)
                    && caseload
                        .items(kept.id)?
                        .iter()
                        .map(heard)
                        .eq(items.iter().map(heard));
                if same {
                    return Err(Failure::new(
                        format!("client `{code}`, session \"{}\"", kept.list),
                        format!("these items are in the record already, on {}", day(&kept.began)),
                        "nothing was kept twice; if the list was said again with the same \
                         result, give it a name of its own with `--session NAME`",
                    ));
                }
            }
            let id = caseload.begin(code, session.kind, &session.list, &session.began)?;
            for item in items {
                caseload.put(id, item)?;
            }
            Ok(())
        })
    }

    fn put(&mut self, session: i64, item: &Item) -> Answer<()> {
        let mut put = self
            .connection
            .prepare_cached(super::rows::PUT_ITEM)
            .map_err(|error| self.failed(&error))?;
        let done = item.put(&mut put, session);
        done.map(|_| ()).map_err(|error| self.failed(&error))
    }

    fn all_or_nothing(
        &mut self,
        work: impl FnOnce(&mut Self) -> Answer<()>,
    ) -> Answer<()> {
        let run = |caseload: &Self, sql: &str| {
            let done = caseload.connection.execute_batch(sql);
            done.map_err(|error| caseload.failed(&error))
        };
        run(self, "BEGIN IMMEDIATE")?;
        match work(self).and_then(|()| run(self, "COMMIT")) {
            Ok(()) => Ok(()),
            Err(failure) => {
                // What failed is what the person should hear of.
                let _ = run(self, "ROLLBACK");
                Err(failure)
            }
        }
    }
}

type ReadSession = (Session, Vec<Planned>, Vec<Item>, Vec<Trial>);

impl ExportedClient {
    /// The client's code, or what stands for it.
    #[must_use]
    pub fn code(&self) -> &str {
        &self.code
    }

    /// One row an item, and one a trial of a drill, in the order of the sessions. A trial is
    /// in a session of the kind `tally`: its number stands for the position, what was
    /// practised for the target, how it went for the outcome; the rest is empty.
    pub fn rows(&self) -> impl Iterator<Item = [String; 16]> {
        let sessions = self.sessions.iter().zip(1_u32..);
        sessions.flat_map(move |(session, number)| {
            let common = move || {
                [
                    self.code.clone(),
                    number.to_string(),
                    session.kind.clone(),
                    session.list.clone(),
                    session.began.clone(),
                ]
            };
            let items = session.items.iter().map(move |item| {
                let [client, number, kind, list, began] = common();
                [
                    client,
                    number,
                    kind,
                    list,
                    began,
                    item.position.to_string(),
                    item.word.clone(),
                    item.target.clone(),
                    item.production.clone().unwrap_or_default(),
                    item.outcome.clone(),
                    item.attempt.to_string(),
                    item.pass.to_string(),
                    item.cue.to_string(),
                    if item.unsure { "yes" } else { "no" }.to_owned(),
                    item.note.clone(),
                    item.at.clone(),
                ]
            });
            let trials = session.trials.iter().zip(1_u32..);
            let trials = trials.map(move |(trial, position)| {
                let [client, number, kind, list, began] = common();
                let empty = String::new;
                [
                    client,
                    number,
                    kind,
                    list,
                    began,
                    position.to_string(),
                    empty(),
                    trial.target.clone(),
                    empty(),
                    trial.mark.clone(),
                    empty(),
                    empty(),
                    empty(),
                    empty(),
                    empty(),
                    trial.at.clone(),
                ]
            });
            items.chain(trials)
        })
    }

    /// The names of those columns.
    pub const COLUMNS: [&str; 16] = [
        "client",
        "number",
        "kind",
        "session",
        "began",
        "position",
        "word",
        "target",
        "production",
        "outcome",
        "attempt",
        "pass",
        "cue",
        "unsure",
        "note",
        "at",
    ];

    fn read(&self) -> Answer<(Client, Vec<ReadSession>)> {
        let client = Client {
            id: 0,
            code: self.code.clone(),
            first_language: self.first_language.clone(),
            accent: self.accent.clone(),
            hat: self.meaning("hat", &self.hat, Hat::from_name)?,
            consent: Consent {
                export: self.consent_export,
                recording: self.consent_recording,
            },
            note: self.note.clone(),
            opened: self.opened.clone(),
        };
        let mut sessions = Vec::with_capacity(self.sessions.len());
        for session_of in &self.sessions {
            let mut items = Vec::with_capacity(session_of.items.len());
            for item in &session_of.items {
                items.push(Item {
                    position: item.position,
                    word: item.word.clone(),
                    target: item.target.clone(),
                    production: item.production.clone(),
                    outcome: self.meaning(
                        "outcome",
                        &item.outcome,
                        Outcome::from_name,
                    )?,
                    attempt: item.attempt,
                    pass: item.pass,
                    cue: item.cue,
                    unsure: item.unsure,
                    note: item.note.clone(),
                    at: item.at.clone(),
                });
            }
            let mut trials = Vec::with_capacity(session_of.trials.len());
            for trial in &session_of.trials {
                trials.push(Trial {
                    target: trial.target.clone(),
                    mark: self.meaning("mark", &trial.mark, TrialMark::from_name)?,
                    at: trial.at.clone(),
                });
            }
            let kind = self.meaning("kind", &session_of.kind, SessionKind::from_name)?;
            let session = Session {
                id: 0,
                kind,
                list: session_of.list.clone(),
                began: session_of.began.clone(),
            };
            let planned = session_of.planned.iter().map(|it| Planned {
                position: it.position,
                word: it.word.clone(),
                target: it.target.clone(),
                accepted: it.accepted.clone(),
                recording: String::new(),
            });
            sessions.push((session, planned.collect(), items, trials));
        }
        Ok((client, sessions))
    }

    /// That no two items of a session claim one place: only one of them could be kept.
    fn check_items(&self) -> Answer<()> {
        for (session, number) in self.sessions.iter().zip(1..) {
            let mut places: Vec<(u32, u32, u32)> = session
                .items
                .iter()
                .map(|item| (item.position, item.attempt, item.pass))
                .collect();
            places.sort_unstable();
            let twice = places.windows(2).find_map(|pair| match pair {
                [one, other] if one == other => Some(one.0),
                _ => None,
            });
            if let Some(position) = twice {
                return Err(Failure::new(
                    format!("client `{}`, session {number}, item {position}", self.code),
                    "is there twice: same position, attempt and pass",
                    "mend the records and take them in again; nothing was taken in",
                ));
            }
        }
        Ok(())
    }

    fn meaning<T>(
        &self,
        field: &str,
        word: &str,
        read: fn(&str) -> Option<T>,
    ) -> Answer<T> {
        read(word).ok_or_else(|| {
            Failure::new(
                format!("client `{}`, field `{field}`", self.code),
                format!("`{word}` has no meaning there"),
                "mend the records and take them in again; nothing was taken in",
            )
        })
    }
}
