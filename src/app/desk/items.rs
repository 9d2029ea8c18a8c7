//! What a session goes through: items with a word, a target and what was heard. A sheet
//! file is one kind of store, a session of a client's record another; the session does not
//! know which it has.

use super::draft::Place;
use crate::app::Failure;
use crate::record::{Planned, TrialMark};

/// Attempts at a word that have a place to be written; the first is the production.
pub(super) const MOST_ATTEMPTS: u32 = 5;

/// The response where nothing was said first, and a further attempt not heard clearly.
pub(super) const UNSURE_TOO: &str = "none, unsure";

/// The columns of further attempts, from the second.
const ATTEMPTS: [&str; 4] = [
    "second_attempt",
    "third_attempt",
    "fourth_attempt",
    "fifth_attempt",
];

/// What can be known about an item, by the name of its column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Field {
    Word,
    Target,
    /// Further targets that count as well, separated by `;`.
    Accepted,
    /// What was heard first.
    Production,
    /// What was heard at a further attempt, from the second.
    Attempt(u32),
    /// The cue given.
    Cue,
    /// `none` where the client said nothing, `unsure` where it was not heard clearly,
    /// `skipped` where the item was left out.
    Response,
    Note,
    /// The session it was said in.
    Session,
    /// The recording's file.
    Recording,
    /// What was heard in a second pass, the first hidden.
    SecondPass,
    /// Trials counted: right, right with a cue, wrong.
    Trials(TrialMark),
    /// Any other column.
    Other(String),
}

impl Field {
    /// The name of its column.
    pub(super) fn name(&self) -> &str {
        match self {
            Self::Word => "word",
            Self::Target => "target",
            Self::Accepted => "accepted",
            Self::Production => "production",
            Self::Attempt(number) => {
                let at = usize::try_from(number.saturating_sub(2)).unwrap_or(usize::MAX);
                ATTEMPTS
                    .get(at)
                    .or(ATTEMPTS.last())
                    .copied()
                    .unwrap_or_default()
            }
            Self::Cue => "cue",
            Self::Response => "response",
            Self::Note => "note",
            Self::Session => "session",
            Self::Recording => "recording",
            Self::SecondPass => "second_pass",
            Self::Trials(TrialMark::Right) => "right",
            Self::Trials(TrialMark::WithCue) => "cued",
            Self::Trials(TrialMark::Wrong) => "wrong",
            Self::Other(name) => name,
        }
    }

    /// The field of a column.
    pub(super) fn of(name: &str) -> Self {
        let known = [
            Self::Word,
            Self::Target,
            Self::Accepted,
            Self::Production,
            Self::Cue,
            Self::Response,
            Self::Note,
            Self::Session,
            Self::Recording,
            Self::SecondPass,
        ];
        let attempts = (2..=MOST_ATTEMPTS).map(Self::Attempt);
        let trials = TrialMark::ALL.iter().copied().map(Self::Trials);
        let found = known
            .into_iter()
            .chain(attempts)
            .chain(trials)
            .find(|field| field.name() == name);
        found.unwrap_or_else(|| Self::Other(name.to_owned()))
    }

    /// Whether it holds a transcription.
    pub(super) const fn is_transcription(&self) -> bool {
        matches!(
            self,
            Self::Target | Self::Production | Self::Attempt(_) | Self::SecondPass
        )
    }
}

/// Where items come from and go to. Where a call that writes returns well, everything is on
/// the disk; where it fails, nothing is, and what is known is what it was.
pub(super) trait Items {
    /// What it is called, for the screen.
    fn title(&self) -> String;

    /// Whose it is: a client's code before the number of the item; empty for a sheet.
    fn owner(&self) -> String {
        String::new()
    }

    /// How many items there are.
    fn len(&self) -> usize;

    /// What is known; empty where nothing is.
    fn get(&self, at: usize, field: &Field) -> String;

    /// Writes several things about one item at once.
    fn put(&mut self, at: usize, values: &[(Field, &str)]) -> Result<(), Failure>;

    /// Puts a new item before the one at a place, or at the end where the order is kept;
    /// gives its place.
    fn insert(&mut self, at: usize, planned: &Planned) -> Result<usize, Failure>;

    /// Takes an item out.
    fn remove(&mut self, at: usize) -> Result<(), Failure>;

    /// Writes down that an item was passed over, where that is recorded.
    fn skip(&mut self, _: usize) -> Result<(), Failure> {
        Ok(())
    }

    /// A cue as it is written; or why it cannot be.
    fn cue(&self, text: &str) -> Result<String, Failure> {
        Ok(text.to_owned())
    }

    /// How many trials of a mark are counted for an item.
    fn counted(&self, at: usize, mark: TrialMark) -> u64;

    /// Counts a trial.
    fn count(&mut self, at: usize, mark: TrialMark) -> Result<(), Failure>;

    /// Takes the trial counted last back and gives its item; `None` where there is none.
    fn uncount(&mut self) -> Result<Option<usize>, Failure>;

    /// The folder that the names of recordings start from.
    fn folder(&self) -> std::path::PathBuf;

    /// Whether an item of this kind can hold a field without being changed in form.
    fn has(&self, field: &Field) -> bool;

    /// Texts that were left unfinished, with the field each was to be.
    fn drafts(&self) -> Vec<(usize, Field, String)> {
        Vec::new()
    }

    /// Keeps a text that was left unfinished; an empty one is let go.
    fn keep_draft(&mut self, _: usize, _: &Field, _: &str) -> Result<(), Failure> {
        Ok(())
    }

    /// Where the line that is being typed for an item is kept.
    fn place(&self, at: usize, field: &Field) -> Place;

    /// Whether lines must not be written anywhere but into this store.
    fn is_private(&self) -> bool {
        false
    }
}
