//! `apical progress CODE`: how targets and patterns go from session to session.

use std::collections::{BTreeMap, BTreeSet};

use super::open;
use crate::accent::Accent;
use crate::app::arguments::{Format, Progress};
use crate::app::caseload::Caseload;
use crate::app::output::Answers;
use crate::app::{Failure, Status, Stop};
use crate::finding::item::Pairing;
use crate::finding::pattern::{self, Detector};
use crate::finding::progress::{Drill, Part, Said, Tried, Way};
use crate::notation::Transcription;
use crate::record::{Item, Outcome, Session, SessionKind, TrialMark};
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
    let patterns = pattern::shipped();
    let mut reader = Reader {
        pairing: Pairing::new(accent),
        detector: Detector::new(&patterns),
        known: BTreeMap::new(),
        practised: BTreeSet::new(),
    };
    let mut lists = (Vec::new(), Vec::new(), [0, 0]);
    let mut probes = (Vec::new(), Vec::new(), [0, 0]);
    for session in sessions {
        let part = match session.kind {
            SessionKind::Tally => {
                let drills = drills(caseload, &session)?;
                let words = drills.iter().map(|it| it.target.clone());
                reader.practised.extend(words);
                way.drills.push((session, drills));
                continue;
            }
            SessionKind::List => &mut lists,
            SessionKind::Probe => &mut probes,
        };
        let (said, left) = reader.read(caseload, &session)?;
        part.0.push(session);
        part.1.push(said);
        part.2 = [part.2[0] + left[0], part.2[1] + left[1]];
    }
    for (part, (sessions, said, [not_counted, practised_before])) in
        [(&mut way.practised, lists), (&mut way.probes, probes)]
    {
        *part = Part {
            not_counted,
            practised_before,
            ..Part::of(sessions, &said, &patterns, all)
        };
    }
    Ok(way)
}

/// Reads sessions, oldest first.
struct Reader<'p> {
    pairing: Pairing,
    detector: Detector<'p>,
    /// What was found for a target, what is accepted besides, and a production: the same
    /// words are said in session after session.
    known: BTreeMap<[String; 3], Option<Tried>>,
    /// Words that were practised so far.
    practised: BTreeSet<String>,
}

impl Reader<'_> {
    /// What was said in a session, and how many first attempts are not counted: because
    /// nothing was said, and of a probe because the word had been practised before.
    ///
    /// Of several passes the first counts: a second one is there to see how far the ear
    /// agrees with itself. Of several targets that count, the nearest is taken.
    fn read(
        &mut self,
        caseload: &Caseload,
        session: &Session,
    ) -> Result<(Said, [usize; 2]), Failure> {
        let mut said = Said::default();
        let mut left = [0, 0];
        let accepted: BTreeMap<u32, String> = caseload
            .planned(session.id)?
            .into_iter()
            .map(|it| (it.position, it.accepted))
            .collect();
        let mut items = caseload.items(session.id)?;
        items.retain(|item| item.pass == 1);
        let mut times: BTreeMap<(String, String), u32> = BTreeMap::new();
        let is_probe = session.kind == SessionKind::Probe;
        let mut words = Vec::new();
        for attempts in items.chunk_by(|one, other| one.position == other.position) {
            let Some(first) = attempts.first() else {
                continue;
            };
            let place = (first.word.trim().to_owned(), bare(&first.target).to_owned());
            if is_probe && self.practised.contains(&place.0) {
                left[1] += 1;
                continue;
            }
            if attempts.iter().any(|item| item.outcome != Outcome::Skipped) {
                words.push(place.0.clone());
            }
            let time = times.entry(place.clone()).or_default();
            *time += 1;
            let key = format!("{}\t{}\t{time}", place.0, place.1);
            let also = accepted.get(&first.position).map_or("", String::as_str);
            let alone = (first.attempt == 1 && first.cue == 0).then_some(first);
            let cued = attempts.iter().find(|item| item.cue > 0);
            let mut counted = false;
            for (item, list) in [(alone, &mut said.alone), (cued, &mut said.cued)] {
                let tried = item.and_then(|item| self.tried(item, also));
                if let Some(tried) = tried {
                    counted |= item.is_some_and(|item| item.attempt == 1);
                    let key = key.clone();
                    list.push(Tried { key, ..tried });
                }
            }
            left[0] += usize::from(!counted);
        }
        if !is_probe {
            self.practised.extend(words);
        }
        Ok((said, left))
    }

    /// What an item gives, if it can be counted.
    fn tried(&mut self, item: &Item, accepted: &str) -> Option<Tried> {
        let said = item.production.as_deref();
        let said = said.filter(|_| item.outcome == Outcome::Said)?;
        let key = [item.target.as_str(), accepted, said].map(str::to_owned);
        if let Some(known) = self.known.get(&key) {
            return known.clone();
        }
        let texts = [item.target.as_str(), said];
        let [target, production] = texts.map(Transcription::parse);
        let tried = (target.is_valid() && production.is_valid()).then(|| {
            let target = if accepted.is_empty() {
                target
            } else {
                nearest(&mut self.pairing, target, accepted, &production)
            };
            let row = u64::from(item.position);
            let item = self.pairing.item(row, &item.word, &target, &production);
            Tried::of(&item, &mut self.detector)
        });
        self.known.insert(key, tried.clone());
        tried
    }
}

/// A target without its brackets: written with or without, it is the same.
fn bare(text: &str) -> &str {
    text.trim().trim_matches(['/', '[', ']'])
}

/// The nearest of the targets that count for an item; of equally near ones the first.
pub(super) fn nearest(
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
