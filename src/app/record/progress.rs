//! `apical progress CODE`: how targets and patterns go from session to session.

mod wanted;

use std::collections::{BTreeMap, BTreeSet};

use wanted::Wanted;

use super::open;
use crate::accent::Accent;
use crate::app::arguments::{Format, Progress};
use crate::app::caseload::Caseload;
use crate::app::output::Answers;
use crate::app::{Failure, Status, Stop};
use crate::finding::item::Pairing;
use crate::finding::pattern;
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
    let mut kept = Vec::new();
    for session in sessions {
        kept.push(match session.kind {
            SessionKind::Tally => Kept {
                drills: drills(caseload, &session)?,
                session,
                ..Kept::default()
            },
            SessionKind::List | SessionKind::Probe => Kept {
                items: caseload.items(session.id)?,
                accepted: caseload
                    .planned(session.id)?
                    .into_iter()
                    .map(|it| (it.position, it.accepted))
                    .collect(),
                session,
                ..Kept::default()
            },
        });
    }
    let mut reader = Reader::default();
    let places: Vec<(Vec<Place>, usize)> =
        kept.iter().map(|it| reader.read(it)).collect();
    let patterns = pattern::shipped();
    let tried = reader.wanted.work_out(accent, &patterns);
    let (mut lists, mut probes) = (Gathered::default(), Gathered::default());
    for (kept, (places, practised_before)) in kept.into_iter().zip(places) {
        let part = match kept.session.kind {
            SessionKind::Tally => {
                way.drills.push((kept.session, kept.drills));
                continue;
            }
            SessionKind::List => &mut lists,
            SessionKind::Probe => &mut probes,
        };
        part.sessions.push(kept.session);
        part.practised_before += practised_before;
        part.add(places, &tried);
    }
    for (part, gathered) in [(&mut way.practised, lists), (&mut way.probes, probes)] {
        *part = Part {
            not_counted: gathered.not_counted,
            practised_before: gathered.practised_before,
            ..Part::of(gathered.sessions, &gathered.said, &patterns, all)
        };
    }
    Ok(way)
}

/// A session as it is in the caseload.
#[derive(Default)]
struct Kept {
    session: Session,
    items: Vec<Item>,
    /// What is accepted besides the target, by position.
    accepted: BTreeMap<u32, String>,
    drills: Vec<Drill>,
}

/// A place in the list of a session: what was said there, as numbers of what is to be worked
/// out.
struct Place {
    /// What makes it the same item in another session.
    key: String,
    /// The first attempt, if it had no cue.
    alone: Option<usize>,
    /// The first attempt that was given with a cue, and whether that was the first of all.
    cued: Option<(usize, bool)>,
}

/// Reads sessions, oldest first.
#[derive(Default)]
struct Reader<'k> {
    wanted: Wanted<'k>,
    /// Words that were practised so far.
    practised: BTreeSet<&'k str>,
}

impl<'k> Reader<'k> {
    /// What was said in a session, and how many places of a probe are not counted because the
    /// word had been practised before.
    ///
    /// Of several passes the first counts: a second one is there to see how far the ear
    /// agrees with itself. Of several targets that count, the nearest is taken.
    fn read(&mut self, kept: &'k Kept) -> (Vec<Place>, usize) {
        let drilled = kept.drills.iter().map(|it| it.target.as_str());
        self.practised.extend(drilled);
        let items: Vec<&Item> = kept.items.iter().filter(|it| it.pass == 1).collect();
        let is_probe = kept.session.kind == SessionKind::Probe;
        let mut times: BTreeMap<(&str, &str), u32> = BTreeMap::new();
        let (mut places, mut words, mut practised_before) = (Vec::new(), Vec::new(), 0);
        for attempts in items.chunk_by(|one, other| one.position == other.position) {
            let Some(first) = attempts.first() else {
                continue;
            };
            let (word, target) = (first.word.trim(), bare(&first.target));
            if is_probe && self.practised.contains(word) {
                practised_before += 1;
                continue;
            }
            if attempts.iter().any(|item| item.outcome != Outcome::Skipped) {
                words.push(word);
            }
            let time = times.entry((word, target)).or_default();
            *time += 1;
            let also = kept.accepted.get(&first.position);
            let also = also.map_or("", String::as_str);
            let alone = (first.attempt == 1 && first.cue == 0).then_some(first);
            let cued = attempts.iter().find(|item| item.cue > 0);
            places.push(Place {
                key: format!("{word}\t{target}\t{time}"),
                alone: alone.and_then(|item| self.wanted.number(item, also)),
                cued: cued.and_then(|item| {
                    Some((self.wanted.number(item, also)?, item.attempt == 1))
                }),
            });
        }
        if !is_probe {
            self.practised.extend(words);
        }
        (places, practised_before)
    }
}

/// The sessions of one kind.
#[derive(Default)]
struct Gathered<'t> {
    sessions: Vec<Session>,
    said: Vec<Said<'t>>,
    not_counted: usize,
    practised_before: usize,
}

impl<'t> Gathered<'t> {
    /// Adds what was said at the places of a session. First attempts that cannot be counted,
    /// because nothing was said or nothing can be read, are left out.
    fn add(&mut self, places: Vec<Place>, tried: &'t [Option<Tried>]) {
        let of = |number: usize| tried.get(number).and_then(Option::as_ref);
        let mut said = Said::default();
        for place in places {
            let alone = place.alone.and_then(of);
            let cued = place.cued.and_then(|(at, first)| Some((of(at)?, first)));
            let counted = alone.is_some() || cued.is_some_and(|(_, first)| first);
            self.not_counted += usize::from(!counted);
            if let Some((tried, _)) = cued {
                said.cued.push((place.key.clone(), tried));
            }
            if let Some(tried) = alone {
                said.alone.push((place.key, tried));
            }
        }
        self.said.push(said);
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
