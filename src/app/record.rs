//! The record: clients, their sessions, how they go on, and what leaves the caseload.

mod progress;
mod session;

pub(super) use progress::{progress, way};
pub(super) use session::sheet_of;

use std::ffi::OsStr;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use super::arguments::{
    self, ClientChange, Forget, Format, Import, Keep, Kept, Output, RecordExport,
};
use super::caseload::{Caseload, ExportedClient};
use super::files::Source;
use super::output::Answers;
use super::sheet;
use super::{Failure, Status, Stop};
use crate::record::{Client, Hat, Item, Outcome, Seen, Session, SessionKind};
use crate::report::json::record as json;
use crate::report::text::record as drawn;

/// Names the caseload where no argument does.
const PLACE: &str = "APICAL_CASELOAD";

/// Holds the passphrase of an encrypted caseload: arguments are seen by everybody on the
/// machine.
const PASSPHRASE: &str = "APICAL_PASSPHRASE";

/// Holds the one that it is to have.
const NEW_PASSPHRASE: &str = "APICAL_NEW_PASSPHRASE";

#[allow(clippy::disallowed_methods, reason = "the app reads the environment")]
fn passphrase_in(name: &str) -> Option<String> {
    std::env::var(name).ok()
}

/// Opens the caseload that the arguments name.
pub(super) fn open(kept: &Kept) -> Result<Caseload, Stop> {
    let passphrase = passphrase_in(PASSPHRASE);
    let path = place(kept.caseload.as_deref()).map_err(Stop::Run)?;
    Caseload::open(&path, passphrase.as_deref()).map_err(Stop::Run)
}

/// Where the caseload is.
fn place(said: Option<&Path>) -> Result<PathBuf, Failure> {
    super::own_file(said, PLACE, "caseload.sqlite").ok_or_else(|| {
        Failure::new(
            "caseload",
            "this system does not say where a person's own files are",
            "name the caseload with `--caseload FILE`",
        )
    })
}

/// The codes of the clients, for completion: none where there is no caseload yet, or none
/// that opens.
pub(super) fn codes(said: Option<&Path>) -> Vec<String> {
    let kept = Kept {
        caseload: said.map(Path::to_owned),
    };
    let exists = place(said).is_ok_and(|path| path.exists());
    let clients = exists
        .then(|| open(&kept).ok())
        .flatten()
        .and_then(|caseload| caseload.clients().ok());
    let clients = clients.unwrap_or_default();
    clients.into_iter().map(|client| client.code).collect()
}

/// The present time, to the second.
pub(super) fn now() -> String {
    let second = jiff::Timestamp::now().round(jiff::Unit::Second);
    second.map_or_else(|_| jiff::Timestamp::now().to_string(), |it| it.to_string())
}

/// `apical clients`: every client, a line each.
pub(super) fn clients(arguments: &arguments::Clients) -> Result<Status, Stop> {
    let caseload = open(&arguments.kept)?;
    let mut answers = Answers::new(&arguments.output);
    let rows = caseload.clients_seen().map_err(Stop::Run)?;
    match answers.format {
        Format::Json => {
            for (client, seen) in &rows {
                answers.object(&json::Client::new(client, seen))?;
            }
        }
        Format::Text => answers.page(&drawn::clients(&rows, answers.columns))?,
    }
    Ok(Status::Good)
}

/// `apical client CODE`: opens a record, changes it, and shows it.
pub(super) fn client(arguments: &ClientChange) -> Result<Status, Stop> {
    let mut caseload = open(&arguments.kept)?;
    let known = caseload.client(&arguments.code).ok();
    let is_new = known.is_none();
    let mut client = known.unwrap_or_else(|| Client {
        code: arguments.code.clone(),
        accent: "en-US".to_owned(),
        opened: now(),
        ..Client::default()
    });
    let before = client.clone();
    if let Some(accent) = &arguments.accent {
        super::declared(accent, &[])?;
        client.accent.clone_from(accent);
    }
    if let Some(language) = &arguments.first_language {
        client.first_language.clone_from(language);
    }
    if let Some(hat) = arguments.hat {
        client.hat = match hat {
            arguments::Hat::Elective => Hat::Elective,
            arguments::Hat::Clinical => Hat::Clinical,
        };
    }
    if let Some(consent) = arguments.consent_export {
        client.consent.export = consent.is_yes();
    }
    if let Some(consent) = arguments.consent_recording {
        client.consent.recording = consent.is_yes();
    }
    if let Some(note) = &arguments.note {
        client.note.clone_from(note);
    }
    if is_new || client != before {
        caseload.keep_client(&client).map_err(Stop::Run)?;
    }
    let sessions = caseload.sessions(&client.code).map_err(Stop::Run)?;
    let mut answers = Answers::new(&arguments.output);
    match answers.format {
        Format::Json => {
            answers.object(&json::Client::new(&client, &Seen::of(&sessions)))?;
        }
        Format::Text => {
            answers.page(&drawn::client(&client, &sessions, is_new, answers.columns))?;
        }
    }
    Ok(Status::Good)
}

/// `apical keep SHEET --client CODE`: puts a sheet into the record as one session, all of
/// it or nothing.
pub(super) fn keep(arguments: &Keep) -> Result<Status, Stop> {
    let mut caseload = open(&arguments.kept)?;
    let client = caseload.client(&arguments.client).map_err(Stop::Run)?;
    let manner = sheet::Manner {
        accent: super::declared(&client.accent, &[])?,
        alphabet: arguments.alphabet,
        form: arguments.input,
    };
    let source = Source::of(&arguments.sheet);
    let sheet = sheet::read(&source, &manner, &mut |_| {})?;
    if sheet.items.is_empty() {
        return Err(Stop::Run(Failure::new(
            source.name(),
            format!(
                "no row can be kept{}",
                sheet
                    .left_out
                    .first()
                    .map(|row| format!("; row {}: {}", row.row, row.reason))
                    .unwrap_or_default()
            ),
            "mend the sheet: `apical analyze SHEET` says what is wrong with each row",
        )));
    }
    let began = match &arguments.on {
        None => now(),
        Some(day) => day.parse::<jiff::civil::Date>().map_or_else(
            |error| {
                Err(Stop::Run(Failure::new(
                    format!("--on {day}"),
                    error.to_string(),
                    "write the day as 2026-03-31",
                )))
            },
            |day| Ok(format!("{day}T00:00:00Z")),
        )?,
    };
    let kind = if arguments.probe {
        SessionKind::Probe
    } else {
        SessionKind::List
    };
    let name = arguments.session.clone().unwrap_or_else(|| {
        let path = Path::new(&arguments.sheet);
        path.file_stem()
            .map(OsStr::to_string_lossy)
            .unwrap_or_default()
            .into_owned()
    });
    let items: Vec<Item> = sheet
        .items
        .iter()
        .zip(&sheet.notes)
        .zip(1..)
        .map(|((item, notes), position)| Item {
            position,
            word: item.word.clone(),
            target: item.target.text.clone(),
            production: Some(item.production.text.clone()),
            outcome: Outcome::Said,
            attempt: 1,
            pass: 1,
            note: notes.note.clone(),
            at: began.clone(),
            ..Item::default()
        })
        .collect();
    let session = Session {
        id: 0,
        kind,
        list: name.clone(),
        began,
    };
    caseload
        .keep_session(&client.code, &session, &items)
        .map_err(Stop::Run)?;
    let left_out: Vec<String> = sheet
        .left_out
        .iter()
        .map(|row| format!("row {} ({}): {}", row.row, row.word, row.reason))
        .collect();
    let mut answers = Answers::new(&arguments.output);
    match answers.format {
        Format::Json => answers.object(&json::KeptSheet {
            version: crate::report::json::VERSION,
            client: &client.code,
            session: &name,
            items: items.len(),
            left_out: &left_out,
        })?,
        Format::Text => {
            answers.page(&drawn::kept(&client.code, &name, items.len(), &left_out))?;
        }
    }
    Ok(Status::Good)
}

/// `apical export`: records that leave the caseload.
pub(super) fn export(arguments: &RecordExport) -> Result<Status, Stop> {
    let caseload = open(&arguments.kept)?;
    let export = caseload
        .export(arguments.client.as_deref(), arguments.identified)
        .map_err(Stop::Run)?;
    let text = if arguments.table {
        let mut table = csv::Writer::from_writer(Vec::new());
        let failed = |error: csv::Error| Stop::Run(written(Path::new("export"), &error));
        table
            .write_record(ExportedClient::COLUMNS)
            .map_err(failed)?;
        for row in export.clients.iter().flat_map(ExportedClient::rows) {
            table.write_record(row).map_err(failed)?;
        }
        table
            .into_inner()
            .map_err(|error| Stop::Run(written(Path::new("export"), &error)))?
    } else {
        let mut text =
            serde_json::to_vec_pretty(&export).map_err(std::io::Error::from)?;
        text.push(b'\n');
        text
    };
    match &arguments.to {
        None => {
            let mut out = std::io::stdout().lock();
            out.write_all(&text)?;
            out.flush()?;
        }
        Some(path) => {
            write_whole(path, &text).map_err(|error| Stop::Run(written(path, &error)))?;
        }
    }
    Ok(Status::Good)
}

/// Writes a file whole or not at all, for its owner alone.
pub(super) fn write_whole(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let folder = path.parent().filter(|it| !it.as_os_str().is_empty());
    let mut beside = tempfile::NamedTempFile::new_in(folder.unwrap_or(Path::new(".")))?;
    beside.write_all(bytes)?;
    beside.as_file().sync_all()?;
    beside.persist(path).map_err(|error| error.error)?;
    Ok(())
}

pub(super) fn written(path: &Path, error: &dyn std::fmt::Display) -> Failure {
    Failure::new(
        path.display().to_string(),
        format!("writing failed: {error}"),
        "look whether the disk is full and the folder may be written to",
    )
}

/// `apical import FILE`: takes exported records in, all of them or none.
pub(super) fn import(arguments: &Import) -> Result<Status, Stop> {
    let source = Source::of(&arguments.file);
    let text = source.text().map_err(Stop::Run)?;
    let export = serde_json::from_str(&text).map_err(|error| {
        Stop::Run(Failure::new(
            format!("{}:{}:{}", source.name(), error.line(), error.column()),
            error.to_string(),
            "this is not what `apical export` writes; nothing was taken in",
        ))
    })?;
    let mut caseload = open(&arguments.kept)?;
    let brought = caseload.import(&export).map_err(Stop::Run)?;
    let mut answers = Answers::new(&arguments.output);
    match answers.format {
        Format::Json => answers.object(&json::Imported {
            version: crate::report::json::VERSION,
            clients: brought.clients,
            sessions: brought.sessions,
            items: brought.items,
        })?,
        Format::Text => answers.page(&format!(
            "Taken in: clients {}, sessions {}, items and trials {}.\n",
            brought.clients, brought.sessions, brought.items
        ))?,
    }
    Ok(Status::Good)
}

/// `apical forget CODE --for-good`: removes a client and all that was recorded.
pub(super) fn forget(arguments: &Forget) -> Result<Status, Stop> {
    let mut caseload = open(&arguments.kept)?;
    let client = caseload.client(&arguments.code).map_err(Stop::Run)?;
    if !arguments.for_good {
        let sessions = caseload.sessions(&client.code).map_err(Stop::Run)?.len();
        return Err(Stop::Run(Failure::new(
            format!("client `{}`", client.code),
            format!("{sessions} sessions would be gone, and could not be brought back"),
            "export the record first if it must be kept (how long a record is kept is for \
             local law and your licence to say), then say `--for-good`",
        )));
    }
    let gone = caseload.forget(&client.code).map_err(Stop::Run)?;
    Answers::new(&Output::plain()).page(&format!(
        "Forgotten: {}, with {} sessions, {} items and {} trials.\n",
        client.code, gone.sessions, gone.items, gone.trials
    ))?;
    Ok(Status::Good)
}

/// `apical passphrase`: encrypts the caseload, changes its passphrase, or takes the
/// encryption off.
pub(super) fn passphrase(arguments: &arguments::Passphrase) -> Result<Status, Stop> {
    let path = place(arguments.kept.caseload.as_deref()).map_err(Stop::Run)?;
    let present = passphrase_in(PASSPHRASE);
    let new = match arguments.change {
        arguments::PassphraseChange::Set => Some(new_passphrase()?),
        arguments::PassphraseChange::Remove => None,
    };
    let sealed = Caseload::seal(&path, present.as_deref(), new.as_deref());
    let sealed = sealed.map_err(Stop::Run)?;
    let shown = |paths: &[PathBuf]| -> Vec<String> {
        paths.iter().map(|it| it.display().to_string()).collect()
    };
    let path = path.display().to_string();
    let plain = shown(&sealed.plain_copies);
    let older = shown(&sealed.older_copies);
    let mut answers = Answers::new(&arguments.output);
    match answers.format {
        Format::Json => answers.object(&json::Sealed {
            version: crate::report::json::VERSION,
            caseload: &path,
            encrypted: sealed.encrypted,
            plain_copies: &plain,
            older_copies: &older,
        })?,
        Format::Text => answers.page(&drawn::sealed(
            &path,
            sealed.encrypted,
            &plain,
            &older,
            answers.columns,
        ))?,
    }
    Ok(Status::Good)
}

/// The new passphrase: from the environment, else typed twice on the terminal, unseen.
fn new_passphrase() -> Result<String, Stop> {
    use std::io::IsTerminal as _;
    if let Some(new) = passphrase_in(NEW_PASSPHRASE) {
        return Ok(new);
    }
    let refused = |reason: String, remedy: &str| {
        Stop::Run(Failure::new("the new passphrase", reason, remedy))
    };
    if !std::io::stdin().is_terminal() {
        return Err(refused(
            "is not given".to_owned(),
            "put it into `APICAL_NEW_PASSPHRASE`, or type it on a terminal",
        ));
    }
    let ask = |words: &str| {
        rpassword::prompt_password(words)
            .map_err(|error| refused(error.to_string(), "try again"))
    };
    let new = ask("new passphrase (it is not shown): ")?;
    if ask("once more: ")? != new {
        return Err(refused(
            "was typed differently the second time".to_owned(),
            "try again; nothing was changed",
        ));
    }
    Ok(new)
}

/// `apical verify`: looks the caseload through.
pub(super) fn verify(arguments: &arguments::Verify) -> Result<Status, Stop> {
    let caseload = open(&arguments.kept)?;
    let faults = caseload.verify().map_err(Stop::Run)?;
    let mut answers = Answers::new(&arguments.output);
    let path = caseload.path().display().to_string();
    match answers.format {
        Format::Json => answers.object(&json::Verified {
            version: crate::report::json::VERSION,
            caseload: &path,
            sound: faults.is_empty(),
            faults: &faults,
        })?,
        Format::Text => answers.page(&drawn::verified(&path, &faults))?,
    }
    Ok(if faults.is_empty() {
        Status::Good
    } else {
        Status::Invalid
    })
}
