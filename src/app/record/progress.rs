//! `apical progress CODE`: how targets and patterns go from session to session.

use std::collections::BTreeMap;

use super::open;
use crate::accent::Accent;
use crate::app::arguments::{Format, Progress};
use crate::app::caseload::Caseload;
use crate::app::output::Answers;
use crate::app::sheet::{Cause, LeftOut, Notes, Sheet};
use crate::app::{Failure, Status, Stop};
use crate::finding::item::{Item, Pairing};
use crate::finding::pattern::{self, Pattern};
use crate::finding::progress::{Count, Drill, Series, Way, by_target, whole_words};
use crate::notation::Transcription;
use crate::record::{Outcome, Session, SessionKind, TrialMark};
use crate::report::json::record as json;
use crate::report::text::record as drawn;

/// Runs the command.
pub(in crate::app) fn progress(arguments: &Progress) -> Result<Status, Stop> {
    let caseload = open(&arguments.kept)?;
    let client = caseload.client(&arguments.code).map_err(Stop::Run)?;
    let accent = crate::app::declared(&client.accent, &arguments.accent_options)?;
    let sessions = caseload.sessions(&client.code).map_err(Stop::Run)?;
    if sessions.is_empty() {
        return Err(Stop::Run(Failure::new(
            format!("client `{}`", client.code),
            "no session is recorded yet",
            "work through a list on the desk, or `apical keep SHEET --client CODE`",
        )));
    }
    let mut answers = Answers::new(&arguments.output);
    let way = way(&caseload, sessions, &accent, arguments.all).map_err(Stop::Run)?;
    match answers.format {
        Format::Json => answers.object(&json::Progress::new(&client, &way))?,
        Format::Text => answers.page(&drawn::progress(&client, &way, answers.columns))?,
    }
    Ok(Status::Good)
}

/// The figures of some sessions.
pub(in crate::app) fn way(
    caseload: &Caseload,
    sessions: Vec<Session>,
    accent: &Accent,
    all: bool,
) -> Result<Way, Failure> {
    let mut way = Way::default();
    let mut pairing = Pairing::new(accent);
    let mut items = [Vec::new(), Vec::new()];
    for session in sessions {
        let (part, items) = match (session.kind, &mut items) {
            (SessionKind::Tally, _) => {
                let drills = drills(caseload, &session)?;
                way.drills.push((session, drills));
                continue;
            }
            (SessionKind::List, [items, _]) => (&mut way.practised, items),
            (SessionKind::Probe, [_, items]) => (&mut way.probes, items),
        };
        let sheet = read(caseload, &session, &mut pairing)?;
        part.not_counted += sheet.left_out.len();
        part.sessions.push(session);
        items.push(sheet.items);
    }
    let patterns = pattern::shipped();
    for (part, items) in [&mut way.practised, &mut way.probes]
        .into_iter()
        .zip(&items)
    {
        part.words = whole_words(items);
        part.targets = by_target(items, all);
        part.patterns = by_pattern(&patterns, items);
    }
    Ok(way)
}

/// The items of a session as a sheet, by the rules of an accent. Of several attempts the
/// first counts, and of several passes too: a second one is there to see how far the ear
/// agrees with itself. Of several targets that count, the nearest is taken.
pub(in crate::app) fn sheet_of(
    caseload: &Caseload,
    session: &Session,
    accent: &Accent,
) -> Result<Sheet, Failure> {
    read(caseload, session, &mut Pairing::new(accent))
}

fn read(
    caseload: &Caseload,
    session: &Session,
    pairing: &mut Pairing,
) -> Result<Sheet, Failure> {
    let mut chosen = BTreeMap::new();
    for item in caseload.items(session.id)? {
        if item.attempt == 1 && item.pass == 1 {
            chosen.insert(item.position, item);
        }
    }
    let accepted: BTreeMap<u32, String> = caseload
        .planned(session.id)?
        .into_iter()
        .map(|it| (it.position, it.accepted))
        .collect();
    let mut sheet = Sheet {
        items: Vec::with_capacity(chosen.len()),
        notes: Vec::with_capacity(chosen.len()),
        left_out: Vec::new(),
        looked_up: 0,
    };
    for (position, item) in chosen {
        let row = u64::from(position);
        let texts = item.production.as_deref().map(|said| [&item.target, said]);
        let read = texts.map(|texts| texts.map(Transcription::parse));
        match read {
            Some([target, production])
                if item.outcome == Outcome::Said
                    && target.is_valid()
                    && production.is_valid() =>
            {
                let also = accepted.get(&position).map_or("", String::as_str);
                let target = nearest(pairing, target, also, &production);
                let item_of = pairing.item(row, &item.word, &target, &production);
                sheet.items.push(item_of);
                sheet.notes.push(Notes {
                    note: item.note,
                    ..Notes::default()
                });
            }
            _ => {
                let (cause, reason) = match item.outcome {
                    Outcome::Said => {
                        (Cause::Unreadable, "a transcription cannot be read")
                    }
                    Outcome::NoResponse => (Cause::NoResponse, "nothing was said"),
                    Outcome::Skipped => (Cause::NoResponse, "it was left out"),
                };
                sheet.left_out.push(LeftOut {
                    row,
                    word: item.word,
                    cause,
                    reason: reason.to_owned(),
                });
            }
        }
    }
    Ok(sheet)
}

/// The nearest of the targets that count for an item; of equally near ones the first.
fn nearest(
    pairing: &mut Pairing,
    target: Transcription,
    accepted: &str,
    production: &Transcription,
) -> Transcription {
    let said = pairing.side(production);
    let mut best = target;
    let wanted = pairing.side(&best);
    let mut least = pairing.cost(&wanted, &said);
    for text in accepted.split(';').map(str::trim) {
        let read = Transcription::parse(text);
        if read.segments().next().is_none() || !read.is_valid() {
            continue;
        }
        let wanted = pairing.side(&read);
        let cost = pairing.cost(&wanted, &said);
        if cost < least {
            (least, best) = (cost, read);
        }
    }
    best
}

/// Patterns that showed in any session: how often each did not show, of its chances.
fn by_pattern(patterns: &[Pattern], sessions: &[Vec<Item>]) -> Vec<Series> {
    let tallies: Vec<_> = sessions
        .iter()
        .map(|items| pattern::tally(patterns, items))
        .collect();
    let count = |number: usize| -> Vec<Count> {
        let tallied = tallies.iter().filter_map(|tallies| tallies.get(number));
        tallied
            .map(|tally| Count {
                right: u32::try_from(tally.opportunities - tally.occurrences)
                    .unwrap_or(0),
                of: u32::try_from(tally.opportunities).unwrap_or(0),
            })
            .collect()
    };
    let mut series: Vec<Series> = patterns
        .iter()
        .enumerate()
        .map(|(number, pattern)| Series {
            target: pattern.name.clone(),
            counts: count(number),
        })
        .filter(|it| it.whole().right < it.whole().of)
        .collect();
    series.sort_by_key(|it| std::cmp::Reverse(it.whole().of - it.whole().right));
    series
}

fn drills(caseload: &Caseload, session: &Session) -> Result<Vec<Drill>, Failure> {
    let mut drills: Vec<Drill> = Vec::new();
    for trial in caseload.trials(session.id)? {
        let at = drills.iter().position(|it| it.target == trial.target);
        let at = at.unwrap_or_else(|| {
            drills.push(Drill {
                target: trial.target.clone(),
                ..Drill::default()
            });
            drills.len() - 1
        });
        if let Some(drill) = drills.get_mut(at) {
            drill.alone.add(trial.mark == TrialMark::Right);
            drill.with_cue.add(trial.mark != TrialMark::Wrong);
        }
    }
    Ok(drills)
}
