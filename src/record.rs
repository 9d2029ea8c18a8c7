//! What is recorded of the work with clients: plain values, wherever they are kept.

mod wording;

pub use wording::Wording;

/// Declares an enum whose values are words in the file.
macro_rules! words {
    ($(#[$meta:meta])* $name:ident { $($(#[$inner:meta])* $variant:ident = $text:literal),+ $(,)? }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name { $($(#[$inner])* $variant),+ }

        impl $name {
            /// Every value.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The word for it, in the file and in exports.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$variant => $text),+ }
            }

            /// The value of a word.
            #[must_use]
            pub fn from_name(name: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|value| value.name() == name)
            }
        }
    };
}

words! {
    /// What the work with a client is: it decides the words of outputs.
    Hat {
        /// Coaching somebody who chose it: accent modification.
        #[default]
        Elective = "elective",
        /// Speech-language pathology.
        Clinical = "clinical",
    }
}

words! {
    /// What a session was.
    SessionKind {
        /// Items of a list, transcribed.
        #[default]
        List = "list",
        /// A list of words that were never practised, to see what carries over.
        Probe = "probe",
        /// Trials of a drill, counted.
        Tally = "tally",
    }
}

words! {
    /// What became of an item.
    Outcome {
        /// Something was said and written down.
        #[default]
        Said = "said",
        /// Nothing was said.
        NoResponse = "no response",
        /// It was left out.
        Skipped = "skipped",
    }
}

words! {
    /// How one trial of a drill went.
    TrialMark {
        /// Right without help.
        #[default]
        Right = "right",
        /// Right with a cue.
        WithCue = "with cue",
        /// Not right.
        Wrong = "wrong",
    }
}

/// What a client agreed to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Consent {
    /// That the record leaves the caseload with its code on it.
    pub export: bool,
    /// That recordings are kept.
    pub recording: bool,
}

/// A client: a code, never a name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Client {
    /// The row; 0 before it is kept.
    pub id: i64,
    /// Letters, digits, `-` and `_`; at most 40.
    pub code: String,
    /// The first language, as the coach calls it; may be empty.
    pub first_language: String,
    /// The target accent, such as `en-US`.
    pub accent: String,
    /// Elective or clinical.
    pub hat: Hat,
    /// What they agreed to.
    pub consent: Consent,
    /// The coach's own note; may be empty.
    pub note: String,
    /// When the record was opened (RFC 3339, UTC).
    pub opened: String,
}

/// A session with a client.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Session {
    /// Its number.
    pub id: i64,
    /// List, probe or tally.
    pub kind: SessionKind,
    /// The name of the list, or the target of the drill.
    pub list: String,
    /// When it began (RFC 3339, UTC).
    pub began: String,
}

/// How often a client came, and when last.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Seen {
    /// How many sessions.
    pub sessions: u32,
    /// When the last one began (RFC 3339, UTC).
    pub last: Option<String>,
}

impl Seen {
    /// That of some sessions, oldest first.
    #[must_use]
    pub fn of(sessions: &[Session]) -> Self {
        Self {
            sessions: u32::try_from(sessions.len()).unwrap_or(u32::MAX),
            last: sessions.last().map(|it| it.began.clone()),
        }
    }
}

/// What was said, as written down.
pub type Heard = Option<String>;

/// One item of a session.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Item {
    /// Its place in the list, from 1.
    pub position: u32,
    /// The word.
    pub word: String,
    /// What was intended, as written.
    pub target: String,
    /// What was heard; `None` where nothing was.
    pub production: Heard,
    /// Said, no response or skipped.
    pub outcome: Outcome,
    /// Which attempt at the word, from 1.
    pub attempt: u32,
    /// Which time the coach listened: 2 is a blind second pass.
    pub pass: u32,
    /// How much help was given before it: 0 none, 1 a hint, 2 a model, 3 a model said
    /// together. Levels are the coach's own; only 0 is independent.
    pub cue: u32,
    /// Whether the coach was unsure of what was heard.
    pub unsure: bool,
    /// A note; may be empty.
    pub note: String,
    /// When it was accepted (RFC 3339, UTC).
    pub at: String,
}

/// One trial of a drill.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Trial {
    /// What was practised.
    pub target: String,
    /// Right, with cue, wrong.
    pub mark: TrialMark,
    /// When (RFC 3339, UTC).
    pub at: String,
}

/// A word of a session's list: what is to be said, whether or not it has been yet.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Planned {
    /// Its place in the list, from 1.
    pub position: u32,
    /// The word.
    pub word: String,
    /// What is intended, as written; empty where nobody said.
    pub target: String,
    /// Further targets that count as well, separated by `;`; may be empty.
    pub accepted: String,
    /// The file of its recording; may be empty.
    pub recording: String,
}

/// A text that was left unfinished.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Draft {
    /// The item it belongs to, from 1.
    pub position: u32,
    /// Which attempt at the word, from 1.
    pub attempt: u32,
    /// Which time the coach listened.
    pub pass: u32,
    /// What stood on the line.
    pub text: String,
}

/// The names of the cue levels, from 0: no help, a hint, a model to say after, a model said
/// together. Only the first is independent.
pub const CUES: [&str; 4] = ["none", "hint", "model", "together"];

/// The level of a cue: its name or its number.
///
/// # Examples
///
/// ```
/// use apical::record::cue_level;
///
/// assert_eq!(cue_level("model"), Some(2));
/// assert_eq!(cue_level("2"), Some(2));
/// assert_eq!(cue_level("shouting"), None);
/// ```
#[must_use]
pub fn cue_level(text: &str) -> Option<u32> {
    let named = (0..).zip(CUES).find(|(_, name)| *name == text);
    named.map(|(level, _)| level).or_else(|| {
        let level = text.parse::<u32>().ok()?;
        (level < 4).then_some(level)
    })
}

/// The name of a cue level; beyond the last, the last.
#[must_use]
pub fn cue_name(level: u32) -> &'static str {
    let level = usize::try_from(level).unwrap_or(usize::MAX);
    CUES.get(level).or(CUES.last()).copied().unwrap_or_default()
}
