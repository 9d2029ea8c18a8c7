//! Trials of a drill, counted: alone, or in a client's record.

use super::draft::{Place, Shelf, opened};
use super::items::{Field, Items};
use crate::app::Failure;
use crate::app::record::now;
use crate::record::{Planned, SessionKind, Trial, TrialMark};

/// Trials in the order they were counted, and the record that has them.
#[derive(Debug, Default)]
pub(super) struct Trials {
    record: Option<Record>,
    /// The item and the judgement.
    counted: Vec<(usize, TrialMark)>,
}

/// The session of a caseload that trials are counted in; begun with the first trial.
#[derive(Debug)]
struct Record {
    shelf: Shelf,
    client: String,
    name: String,
    session: Option<i64>,
}

impl Trials {
    /// Trials of a client.
    pub(super) fn of(shelf: &Shelf, client: &str, name: &str) -> Self {
        Self {
            record: Some(Record {
                shelf: shelf.clone(),
                client: client.to_owned(),
                name: name.to_owned(),
                session: None,
            }),
            counted: Vec::new(),
        }
    }

    pub(super) fn counted(&self, at: usize, mark: TrialMark) -> u64 {
        let these = self.counted.iter().filter(|it| **it == (at, mark));
        these.count() as u64
    }

    /// Counts a trial of an item.
    pub(super) fn count(
        &mut self,
        at: usize,
        target: &str,
        mark: TrialMark,
    ) -> Result<(), Failure> {
        if let Some(record) = &mut self.record {
            let mut caseload = opened(&record.shelf);
            let session = match record.session {
                Some(session) => session,
                None => caseload.begin(
                    &record.client,
                    SessionKind::Tally,
                    &record.name,
                    &now(),
                )?,
            };
            record.session = Some(session);
            let trial = Trial {
                target: target.to_owned(),
                mark,
                at: now(),
            };
            caseload.count(session, &trial)?;
        }
        self.counted.push((at, mark));
        Ok(())
    }

    /// Takes the last one back and gives its item.
    pub(super) fn uncount(&mut self) -> Result<Option<usize>, Failure> {
        let Some((at, _)) = self.counted.last().copied() else {
            return Ok(None);
        };
        if let Some(record) = &self.record {
            if let Some(session) = record.session {
                opened(&record.shelf).uncount(session)?;
            }
        }
        self.counted.pop();
        Ok(Some(at))
    }
}

/// A drill: targets whose trials are counted, and nothing else.
#[derive(Debug)]
pub(super) struct Drill {
    targets: Vec<String>,
    owner: String,
    trials: Trials,
}

impl Drill {
    /// A drill of some targets, of a client whose caseload is open or of nobody.
    pub(super) fn new(targets: Vec<String>, client: Option<(&Shelf, &str)>) -> Self {
        let name = targets.join(" ");
        let (owner, trials) = match client {
            Some((shelf, code)) => (code.to_owned(), Trials::of(shelf, code, &name)),
            None => (String::new(), Trials::default()),
        };
        Self {
            targets,
            owner,
            trials,
        }
    }
}

/// The failure of what a drill cannot do.
fn only_counts() -> Failure {
    Failure::new(
        "the drill",
        "a drill only counts trials",
        "close it first, then open a list or a sheet",
    )
}

impl Items for Drill {
    fn title(&self) -> String {
        format!("drill {}", self.targets.join(" "))
    }

    fn owner(&self) -> String {
        self.owner.clone()
    }

    fn len(&self) -> usize {
        self.targets.len()
    }

    fn get(&self, at: usize, field: &Field) -> String {
        match field {
            Field::Word => self.targets.get(at).cloned().unwrap_or_default(),
            Field::Trials(mark) => self.counted(at, *mark).to_string(),
            _ => String::new(),
        }
    }

    fn put(&mut self, _: usize, _: &[(Field, &str)]) -> Result<(), Failure> {
        Err(only_counts())
    }

    fn insert(&mut self, _: usize, planned: &Planned) -> Result<usize, Failure> {
        self.targets.push(planned.word.clone());
        Ok(self.targets.len() - 1)
    }

    fn remove(&mut self, _: usize) -> Result<(), Failure> {
        Err(only_counts())
    }

    fn counted(&self, at: usize, mark: TrialMark) -> u64 {
        self.trials.counted(at, mark)
    }

    fn count(&mut self, at: usize, mark: TrialMark) -> Result<(), Failure> {
        let target = self.targets.get(at).cloned().unwrap_or_default();
        self.trials.count(at, &target, mark)
    }

    fn uncount(&mut self) -> Result<Option<usize>, Failure> {
        self.trials.uncount()
    }

    fn folder(&self) -> std::path::PathBuf {
        std::path::PathBuf::new()
    }

    fn has(&self, _: &Field) -> bool {
        false
    }

    fn place(&self, _: usize, _: &Field) -> Place {
        Place::Desk
    }
}
