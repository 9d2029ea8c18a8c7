//! A session of a client's record as a store of items: each is one transaction of the
//! caseload.

use std::collections::BTreeMap;
use std::path::PathBuf;

use super::draft::{Place, Shelf, opened};
use super::drill::Trials;
use super::items::{Field, Items, UNSURE_TOO};
use crate::app::Failure;
use crate::app::record::now;
use crate::record::{
    CUES, Draft, Item, Outcome, Planned, Session, SessionKind, TrialMark, cue_level,
    cue_name,
};

/// What stands for "nothing was said" where a transcription would stand.
pub(super) const SILENCE: &str = "∅";

/// A session that is open on the desk.
#[derive(Debug)]
pub(super) struct Kept {
    shelf: Shelf,
    client: String,
    session: i64,
    name: String,
    kind: SessionKind,
    planned: Vec<Planned>,
    /// By position, attempt and pass.
    items: BTreeMap<(u32, u32, u32), Item>,
    trials: Trials,
}

impl Kept {
    /// Begins a session on a list.
    pub(super) fn begin(
        shelf: &Shelf,
        client: &str,
        kind: SessionKind,
        name: &str,
        planned: Vec<Planned>,
    ) -> Result<Self, Failure> {
        let session = opened(shelf).begin_list(client, kind, name, &now(), &planned)?;
        Ok(Self {
            shelf: shelf.clone(),
            client: client.to_owned(),
            session,
            name: name.to_owned(),
            kind,
            planned,
            items: BTreeMap::new(),
            trials: Trials::of(shelf, client, name),
        })
    }

    /// Takes a session up that was begun before.
    pub(super) fn resume(
        shelf: &Shelf,
        client: &str,
        session: &Session,
    ) -> Result<Self, Failure> {
        let caseload = opened(shelf);
        let mut planned = caseload.planned(session.id)?;
        let mut items = BTreeMap::new();
        for item in caseload.items(session.id)? {
            if !planned.iter().any(|it| it.position == item.position) {
                planned.push(Planned {
                    position: item.position,
                    word: item.word.clone(),
                    target: item.target.clone(),
                    ..Planned::default()
                });
            }
            items.insert((item.position, item.attempt, item.pass), item);
        }
        planned.sort_by_key(|it| it.position);
        Ok(Self {
            shelf: shelf.clone(),
            client: client.to_owned(),
            session: session.id,
            name: session.list.clone(),
            kind: session.kind,
            planned,
            items,
            trials: Trials::of(shelf, client, &session.list),
        })
    }

    fn position(&self, at: usize) -> u32 {
        self.planned.get(at).map_or(0, |it| it.position)
    }

    fn item(&self, at: usize, attempt: u32, pass: u32) -> Option<&Item> {
        self.items.get(&(self.position(at), attempt, pass))
    }

    /// The last attempt of the first pass.
    fn latest(&self, at: usize) -> Option<&Item> {
        let position = self.position(at);
        self.items
            .range((position, 0, 0)..=(position, u32::MAX, u32::MAX))
            .map(|(_, item)| item)
            .rfind(|item| item.pass == 1)
    }

    /// An item that nothing is known of yet.
    fn fresh(&self, at: usize, attempt: u32, pass: u32) -> Item {
        let planned = self.planned.get(at).cloned().unwrap_or_default();
        Item {
            position: planned.position,
            word: planned.word,
            target: planned.target,
            outcome: Outcome::Skipped,
            attempt,
            pass,
            at: now(),
            ..Item::default()
        }
    }

    fn record(&mut self, item: Item) -> Result<(), Failure> {
        opened(&self.shelf).record(self.session, &item)?;
        let key = (item.position, item.attempt, item.pass);
        self.items.insert(key, item);
        Ok(())
    }

    /// Changes the word itself, and what is recorded of it.
    fn replan(
        &mut self,
        at: usize,
        change: impl FnOnce(&mut Planned),
    ) -> Result<(), Failure> {
        let mut planned = self.planned.get(at).cloned().unwrap_or_default();
        change(&mut planned);
        let position = planned.position;
        let mut items: Vec<Item> = self
            .items
            .values()
            .filter(|item| item.position == position)
            .cloned()
            .collect();
        for item in &mut items {
            item.word.clone_from(&planned.word);
            item.target.clone_from(&planned.target);
        }
        opened(&self.shelf).plan(self.session, &planned, &items)?;
        for item in items {
            let key = (item.position, item.attempt, item.pass);
            self.items.insert(key, item);
        }
        if let Some(old) = self.planned.get_mut(at) {
            *old = planned;
        }
        Ok(())
    }
}

/// Which attempt and pass a field is of.
const fn listening(field: &Field) -> Option<(u32, u32)> {
    match field {
        Field::Production => Some((1, 1)),
        Field::Attempt(number) => Some((*number, 1)),
        Field::SecondPass => Some((1, 2)),
        _ => None,
    }
}

/// The field of an attempt and a pass.
const fn field_of(attempt: u32, pass: u32) -> Field {
    match (attempt, pass) {
        (_, 2..) => Field::SecondPass,
        (0 | 1, _) => Field::Production,
        (number, _) => Field::Attempt(number),
    }
}

impl Items for Kept {
    fn title(&self) -> String {
        match self.kind {
            SessionKind::Probe => format!("{}, probe {}", self.client, self.name),
            _ => format!("{}, {}", self.client, self.name),
        }
    }

    fn owner(&self) -> String {
        self.client.clone()
    }

    fn len(&self) -> usize {
        self.planned.len()
    }

    fn get(&self, at: usize, field: &Field) -> String {
        let planned = self.planned.get(at);
        let latest = self.latest(at);
        match field {
            Field::Word => planned.map(|it| it.word.clone()),
            Field::Target => planned.map(|it| it.target.clone()),
            Field::Accepted => planned.map(|it| it.accepted.clone()),
            Field::Recording => planned.map(|it| it.recording.clone()),
            Field::Session => Some(self.name.clone()),
            Field::Production | Field::Attempt(_) | Field::SecondPass => {
                listening(field).and_then(|(attempt, pass)| {
                    let item = self.item(at, attempt, pass)?;
                    let silent = item.outcome == Outcome::NoResponse;
                    // Of the first attempt the response says so.
                    let further = pass > 1 || attempt > 1;
                    match &item.production {
                        None if silent && further => Some(SILENCE.to_owned()),
                        other => other.clone(),
                    }
                })
            }
            Field::Cue => latest
                .filter(|it| it.cue > 0)
                .map(|it| cue_name(it.cue).to_owned()),
            Field::Response => self.item(at, 1, 1).map(|it| {
                let unsure = latest.is_some_and(|it| it.unsure);
                let word = match it.outcome {
                    Outcome::NoResponse => "none",
                    Outcome::Skipped => "skipped",
                    Outcome::Said if unsure => "unsure",
                    Outcome::Said => "",
                };
                word.to_owned()
            }),
            Field::Note => latest.map(|it| it.note.clone()),
            Field::Trials(mark) => Some(self.counted(at, *mark).to_string()),
            Field::Other(_) => None,
        }
        .unwrap_or_default()
    }

    fn put(&mut self, at: usize, values: &[(Field, &str)]) -> Result<(), Failure> {
        let heard = values
            .iter()
            .find_map(|(field, text)| Some((listening(field)?, *text)));
        let mut item = match heard {
            Some(((attempt, pass), _)) => self
                .item(at, attempt, pass)
                .cloned()
                .unwrap_or_else(|| self.fresh(at, attempt, pass)),
            None => self
                .latest(at)
                .cloned()
                .unwrap_or_else(|| self.fresh(at, 1, 1)),
        };
        if let Some((_, text)) = heard {
            (item.outcome, item.production) = match text {
                SILENCE => (Outcome::NoResponse, None),
                "" => (Outcome::Skipped, None),
                text => (Outcome::Said, Some(text.to_owned())),
            };
            item.at = now();
        }
        let mut recorded = heard.is_some();
        for (field, text) in values {
            let text = (*text).to_owned();
            match field {
                Field::Word => self.replan(at, |it| it.word = text)?,
                Field::Target => self.replan(at, |it| it.target = text)?,
                Field::Accepted => self.replan(at, |it| it.accepted = text)?,
                Field::Recording => self.replan(at, |it| it.recording = text)?,
                Field::Response => {
                    match text.as_str() {
                        "none" => {
                            (item.outcome, item.production) = (Outcome::NoResponse, None);
                        }
                        "unsure" | UNSURE_TOO => item.unsure = true,
                        "" => item.unsure = false,
                        _ => {
                            return Err(Failure::new(
                                format!("response {text}"),
                                "a response is none, unsure or nothing",
                                "write down anything else with :note",
                            ));
                        }
                    }
                    recorded = true;
                }
                Field::Cue => {
                    item.cue = cue_level(if text.is_empty() { "none" } else { &text })
                        .ok_or_else(|| no_level(&text))?;
                    recorded = true;
                }
                Field::Note => {
                    item.note = text;
                    recorded = true;
                }
                Field::Production | Field::Attempt(_) | Field::SecondPass => {}
                Field::Session | Field::Trials(_) | Field::Other(_) => {
                    return Err(Failure::new(
                        field.name(),
                        "the record of an item has no place for this",
                        "write it down with :note",
                    ));
                }
            }
        }
        if recorded {
            let planned = self.planned.get(at).cloned().unwrap_or_default();
            (item.word, item.target) = (planned.word, planned.target);
            self.record(item)?;
        }
        Ok(())
    }

    fn insert(&mut self, _: usize, planned: &Planned) -> Result<usize, Failure> {
        let last = self.planned.iter().map(|it| it.position).max();
        let planned = Planned {
            position: last.unwrap_or(0) + 1,
            ..planned.clone()
        };
        opened(&self.shelf).plan(self.session, &planned, &[])?;
        self.planned.push(planned);
        Ok(self.planned.len() - 1)
    }

    fn remove(&mut self, at: usize) -> Result<(), Failure> {
        let position = self.position(at);
        if !opened(&self.shelf).unplan(self.session, position)? {
            return Err(Failure::new(
                format!("item {position}"),
                "something is recorded of it, and a record stays",
                "write on it with :note why it does not count",
            ));
        }
        self.planned.remove(at);
        Ok(())
    }

    fn skip(&mut self, at: usize) -> Result<(), Failure> {
        if self.latest(at).is_some() {
            return Ok(());
        }
        let item = self.fresh(at, 1, 1);
        self.record(item)
    }

    fn cue(&self, text: &str) -> Result<String, Failure> {
        let level = cue_level(text).ok_or_else(|| no_level(text))?;
        Ok(cue_name(level).to_owned())
    }

    fn counted(&self, at: usize, mark: TrialMark) -> u64 {
        self.trials.counted(at, mark)
    }

    fn count(&mut self, at: usize, mark: TrialMark) -> Result<(), Failure> {
        let word = self.get(at, &Field::Word);
        self.trials.count(at, &word, mark)
    }

    fn uncount(&mut self) -> Result<Option<usize>, Failure> {
        self.trials.uncount()
    }

    fn folder(&self) -> PathBuf {
        PathBuf::new()
    }

    fn has(&self, field: &Field) -> bool {
        !matches!(field, Field::Session | Field::Trials(_) | Field::Other(_))
    }

    fn drafts(&self) -> Vec<(usize, Field, String)> {
        let drafts = opened(&self.shelf).unfinished(self.session);
        drafts
            .unwrap_or_default()
            .into_iter()
            .filter_map(|draft| {
                let at = self
                    .planned
                    .iter()
                    .position(|it| it.position == draft.position)?;
                Some((at, field_of(draft.attempt, draft.pass), draft.text))
            })
            .collect()
    }

    fn keep_draft(
        &mut self,
        at: usize,
        field: &Field,
        text: &str,
    ) -> Result<(), Failure> {
        let (attempt, pass) = listening(field).unwrap_or((1, 1));
        let draft = Draft {
            position: self.position(at),
            attempt,
            pass,
            text: text.to_owned(),
        };
        opened(&self.shelf).keep_draft_of(self.session, &draft)
    }

    fn place(&self, at: usize, field: &Field) -> Place {
        let (attempt, pass) = listening(field).unwrap_or((1, 1));
        Place::Caseload {
            shelf: self.shelf.clone(),
            session: self.session,
            item: Draft {
                position: self.position(at),
                attempt,
                pass,
                text: String::new(),
            },
        }
    }

    fn is_private(&self) -> bool {
        true
    }
}

fn no_level(text: &str) -> Failure {
    Failure::new(
        format!("cue {text}"),
        "no cue has this name",
        format!("the cues of a record: {}, or 0 to 3", CUES.join(", ")),
    )
}
