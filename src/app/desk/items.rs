//! What a session goes through: items with a word, a target and what was heard. A sheet
//! file is one kind of store; the session does not know which it has.

use crate::app::Failure;

/// What can be known about an item, by the name of its column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Field {
    Word,
    Target,
    /// What was heard first.
    Production,
    /// What was heard at the second attempt.
    SecondAttempt,
    /// The cue given.
    Cue,
    /// `none` where the client said nothing, `unsure` where it was not heard clearly.
    Response,
    Note,
    /// The recording's file.
    Recording,
    /// What was heard in a second pass, the first hidden.
    SecondPass,
    /// Trials counted: right, right with a cue, wrong.
    Right,
    Cued,
    Wrong,
    /// Any other column.
    Other(String),
}

impl Field {
    /// The name of its column.
    pub(super) fn name(&self) -> &str {
        match self {
            Self::Word => "word",
            Self::Target => "target",
            Self::Production => "production",
            Self::SecondAttempt => "second_attempt",
            Self::Cue => "cue",
            Self::Response => "response",
            Self::Note => "note",
            Self::Recording => "recording",
            Self::SecondPass => "second_pass",
            Self::Right => "right",
            Self::Cued => "cued",
            Self::Wrong => "wrong",
            Self::Other(name) => name,
        }
    }

    /// The field of a column.
    pub(super) fn of(name: &str) -> Self {
        let known = [
            Self::Word,
            Self::Target,
            Self::Production,
            Self::SecondAttempt,
            Self::Cue,
            Self::Response,
            Self::Note,
            Self::Recording,
            Self::SecondPass,
            Self::Right,
            Self::Cued,
            Self::Wrong,
        ];
        let found = known.into_iter().find(|field| field.name() == name);
        found.unwrap_or_else(|| Self::Other(name.to_owned()))
    }
}

/// Where items come from and go to.
pub(super) trait Items {
    /// What it is called, for the screen.
    fn title(&self) -> String;

    /// How many items there are.
    fn len(&self) -> usize;

    /// What is known; empty where nothing is.
    fn get(&self, at: usize, field: &Field) -> String;

    /// Writes several things about one item at once. When this returns they are on the
    /// disk, all of them; when it fails, none is, and [`get`](Self::get) says what it said.
    fn put(&mut self, at: usize, values: &[(Field, &str)]) -> Result<(), Failure>;

    /// Puts a new item before the one at a place.
    fn insert(&mut self, at: usize, word: &str, target: &str) -> Result<(), Failure>;

    /// Takes an item out.
    fn remove(&mut self, at: usize) -> Result<(), Failure>;

    /// The folder that the names of recordings start from.
    fn folder(&self) -> std::path::PathBuf;

    /// Whether an item of this kind can hold a field without being changed in form.
    fn has(&self, field: &Field) -> bool;
}
