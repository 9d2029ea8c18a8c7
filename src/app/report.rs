//! `apical report`: a paper to hand over about a sheet, a client of the caseload, or a
//! trainee's own practice.

use std::io::Write as _;
use std::path::Path;

use super::analyze::Found;
use super::arguments::{self, Paper as Form, Reader, Report};
use super::caseload::Caseload;
use super::files::Source;
use super::output::Answers;
use super::practice::journal;
use super::sheet::{self, Sheet};
use super::{Failure, Status, Stop, record};
use crate::accent::Accent;
use crate::finding::agreement::transcribers::{Share, agreement};
use crate::finding::measure::rules::Rules as Scoring;
use crate::finding::pattern;
use crate::finding::priority::Weights;
use crate::finding::progress::Way;
use crate::lexicon::Lexicon;
use crate::notation::Transcription;
use crate::record::{Client, Hat, Session, SessionKind};
use crate::report::paper::{self, Case, Paper};

/// Runs the command.
pub(super) fn run(arguments: &Report) -> Result<Status, Stop> {
    let paper = match (&arguments.sheet, &arguments.client, arguments.reader) {
        (_, _, Reader::Trainee) => trainee(arguments)?,
        (Some(sheet), None, _) => of_sheet(arguments, sheet)?,
        (None, Some(code), _) => of_client(arguments, code)?,
        _ => {
            return Err(Stop::Run(Failure::new(
                "report",
                "nothing to report on",
                "name a sheet, or a client of the caseload with `--client CODE`",
            )));
        }
    };
    written(&paper, arguments.form, arguments.to.as_deref())?;
    Ok(Status::Good)
}

/// Writes a paper in its form, to a file or to standard output.
pub(super) fn written(paper: &Paper, form: Form, to: Option<&Path>) -> Result<(), Stop> {
    let text = match form {
        Form::Html => paper::html(paper).map_err(|fault| {
            Stop::Run(Failure::new(
                "report",
                format!("the page cannot be laid out: {fault}"),
                "write it with `--as text`, and tell us",
            ))
        })?,
        Form::Markdown => paper::markdown(paper),
        Form::Text => paper::plain(paper),
    };
    match to {
        None => {
            let mut out = std::io::stdout().lock();
            out.write_all(text.as_bytes())?;
            out.flush()?;
        }
        Some(path) => {
            record::write_whole(path, text.as_bytes())
                .map_err(|error| Stop::Run(record::written(path, &error)))?;
            Answers::new(&arguments::Output::plain())
                .page(&format!("wrote {}\n", path.display()))?;
        }
    }
    Ok(())
}

/// What the parts of a report come from.
struct Material<'a> {
    client: &'a Client,
    list: &'a str,
    day: &'a str,
    sheet: &'a Sheet,
    way: Option<&'a Way>,
    passes: Option<(Share, Share)>,
}

fn of_sheet(arguments: &Report, path: &Path) -> Result<Paper, Stop> {
    let accent = super::declared(&arguments.accent, &arguments.accent_options)?;
    let source = Source::of(path);
    let manner = sheet::Manner {
        accent: accent.clone(),
        alphabet: arguments.alphabet,
        form: arguments.input,
    };
    let sheet = sheet::read(&source, &manner, &mut |_| {})?;
    if sheet.items.is_empty() {
        return Err(Stop::Run(Failure::new(
            source.name(),
            "no row can be counted",
            "mend the sheet: `apical analyze SHEET` says what is wrong with each row",
        )));
    }
    let client = Client {
        hat: match arguments.hat {
            Some(arguments::Hat::Clinical) => Hat::Clinical,
            Some(arguments::Hat::Elective) | None => Hat::Elective,
        },
        ..Client::default()
    };
    let list = path.file_stem().unwrap_or_default().to_string_lossy();
    let material = Material {
        client: &client,
        list: if path == Path::new("-") { "" } else { &list },
        day: "",
        sheet: &sheet,
        way: None,
        passes: None,
    };
    Ok(put_together(arguments, &accent, &material))
}

fn of_client(arguments: &Report, code: &str) -> Result<Paper, Stop> {
    let caseload = record::open(&arguments.kept)?;
    let client = caseload.client(code).map_err(Stop::Run)?;
    if arguments.identified
        && arguments.reader == Reader::Colleague
        && !client.consent.export
    {
        return Err(Stop::Run(Failure::new(
            format!("client `{}`", client.code),
            "did not agree that the record leaves the caseload with its code on it",
            "leave out `--identified`, or record the consent: \
             `apical client CODE --consent-export yes`",
        )));
    }
    let accent = super::declared(&client.accent, &arguments.accent_options)?;
    let sessions = caseload.sessions(&client.code).map_err(Stop::Run)?;
    let is_it = |it: &&Session| {
        it.kind != SessionKind::Tally
            && arguments.list.as_ref().is_none_or(|list| *list == it.list)
    };
    let latest = sessions
        .iter()
        .rev()
        .filter(is_it)
        // Practised lists come before probes where nothing is asked for.
        .min_by_key(|it| arguments.list.is_none() && it.kind == SessionKind::Probe);
    let Some(session) = latest.cloned() else {
        let mut names: Vec<&str> = sessions.iter().map(|it| it.list.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        let remedy = if names.is_empty() {
            "work through a list on the desk, or `apical keep SHEET --client CODE`".into()
        } else {
            format!("the lists there are: {}", names.join(", "))
        };
        return Err(Stop::Run(Failure::new(
            format!("client `{}`", client.code),
            "no such session is recorded yet",
            remedy,
        )));
    };
    let sheet = record::sheet_of(&caseload, &session, &accent).map_err(Stop::Run)?;
    let passes = passes(&caseload, &session, &accent).map_err(Stop::Run)?;
    let way = record::way(&caseload, sessions, &accent, false).map_err(Stop::Run)?;
    let material = Material {
        client: &client,
        list: &session.list,
        day: session.began.split('T').next().unwrap_or_default(),
        sheet: &sheet,
        way: Some(&way),
        passes,
    };
    Ok(put_together(arguments, &accent, &material))
}

fn put_together(arguments: &Report, accent: &Accent, material: &Material<'_>) -> Paper {
    let patterns = pattern::shipped();
    let scoring = Scoring::default();
    let sheet = material.sheet;
    let found = Found::in_sheet(sheet, accent, &patterns, Weights::default(), &scoring);
    let analysis = found.json(sheet, accent, &patterns);
    let named = |text: &'static str| text;
    let (code, note) = if arguments.identified {
        (material.client.code.as_str(), material.client.note.as_str())
    } else {
        (named(""), named(""))
    };
    let notes: Vec<String> = if arguments.identified {
        sheet.notes.iter().map(|it| it.note.clone()).collect()
    } else {
        Vec::new()
    };
    let case = Case {
        code,
        hat: material.client.hat,
        accent,
        lexicon: Lexicon::of(accent.name()),
        first_language: &material.client.first_language,
        note,
        list: material.list,
        day: material.day,
        items: &sheet.items,
        notes: &notes,
        errors: found.errors(),
        analysis: &analysis,
        way: material.way,
        passes: material.passes,
    };
    match arguments.reader {
        Reader::Client => paper::client::paper(&case),
        Reader::Colleague | Reader::Trainee => paper::colleague::paper(&case),
    }
}

/// How far a second pass over a session agrees with the first.
fn passes(
    caseload: &Caseload,
    session: &Session,
    accent: &Accent,
) -> Result<Option<(Share, Share)>, Failure> {
    let items = caseload.items(session.id)?;
    let said = |pass: u32, position: u32| {
        let is_it = |it: &&crate::record::Item| {
            it.attempt == 1 && it.pass == pass && it.position == position
        };
        let text = items.iter().find(is_it)?.production.as_deref()?;
        Some(Transcription::parse(text)).filter(Transcription::is_valid)
    };
    let second = items.iter().filter(|it| it.attempt == 1 && it.pass == 2);
    let pairs: Vec<[Transcription; 2]> = second
        .filter_map(|it| Some([said(1, it.position)?, said(2, it.position)?]))
        .collect();
    if pairs.is_empty() {
        return Ok(None);
    }
    let pairs: Vec<[&Transcription; 2]> =
        pairs.iter().map(|[one, other]| [one, other]).collect();
    let found = agreement(&pairs, Some(accent));
    Ok(Some((found.broad, found.narrow)))
}

fn trainee(arguments: &Report) -> Result<Paper, Stop> {
    let place = journal::place(arguments.record.as_deref()).map_err(Stop::Run)?;
    if !place.exists() {
        return Err(Stop::Run(Failure::new(
            place.display().to_string(),
            "there is no record of practice yet",
            "`apical practice` begins one",
        )));
    }
    let (marks, _) = journal::read(&place).map_err(Stop::Run)?;
    let learner = arguments.learner.as_deref();
    let marks: Vec<(String, crate::practice::Mark)> = marks
        .into_iter()
        .filter(|(_, mark)| learner.is_none_or(|code| code == mark.learner))
        .map(|(second, mark)| {
            let moment = jiff::Timestamp::from_second(second).unwrap_or_default();
            let moment = moment.to_string();
            let day = moment.split('T').next().unwrap_or_default().to_owned();
            (day, mark)
        })
        .collect();
    Ok(paper::trainee::paper(learner.unwrap_or_default(), &marks))
}
