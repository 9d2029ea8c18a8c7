//! The words of outputs about a client: what the work is decides them, and they are nowhere
//! else.
//!
//! # Source
//! Common practice in the two kinds of work, no single source: accent modification is
//! elective and not treatment; speech-language pathology speaks of treatment, correct and
//! incorrect responses, and probes.

use super::Hat;

/// The words of one kind of work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wording {
    /// The work itself.
    pub work: &'static str,
    /// One meeting.
    pub session: &'static str,
    /// Several meetings.
    pub sessions: &'static str,
    /// What a production that is as it should be is called.
    pub right: &'static str,
    /// A trial that came right with a cue.
    pub with_cue: &'static str,
    /// A trial that did not come right.
    pub wrong: &'static str,
    /// Lists of words that are worked on.
    pub practised: &'static str,
    /// Lists of words that are not.
    pub probes: &'static str,
    /// Counted trials.
    pub drills: &'static str,
    /// What a sound without help is called.
    pub alone: &'static str,
    /// The caution under every figure and on every record that leaves the caseload.
    pub caution: &'static str,
}

const ELECTIVE: Wording = Wording {
    work: "accent modification, elective",
    session: "session",
    sessions: "sessions",
    right: "as intended",
    with_cue: "with cue",
    wrong: "not yet",
    practised: "Practised lists",
    probes: "Words never practised",
    drills: "Drills",
    alone: "alone",
    caution: "An accent is a difference, not a disorder. These are counts of what was said \
              in these sessions: no norm, no grade. Client records are private.",
};

const CLINICAL: Wording = Wording {
    work: "speech-language pathology, clinical",
    session: "treatment session",
    sessions: "treatment sessions",
    right: "correct",
    with_cue: "with cue",
    wrong: "incorrect",
    practised: "Treatment lists",
    probes: "Untreated probe words",
    drills: "Treatment trials",
    alone: "independent",
    caution: "Counts of what was said in these sessions, for use beside a full assessment \
              by a licensed clinician under the rules that apply where you work: no score \
              here is a diagnosis. Client records are private.",
};

impl Hat {
    /// The words of outputs about a client of this kind of work.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::record::Hat;
    ///
    /// assert_eq!(Hat::Elective.wording().right, "as intended");
    /// assert_eq!(Hat::Clinical.wording().right, "correct");
    /// ```
    #[must_use]
    pub const fn wording(self) -> &'static Wording {
        match self {
            Self::Elective => &ELECTIVE,
            Self::Clinical => &CLINICAL,
        }
    }
}
