//! How an answer came out, place by place.

use super::slip::Slip;
use crate::alignment::Kind as Change;
use crate::finding::difference::{Differences, Feature};
use crate::syllable::{Part, Position};

/// The credit of an answer that is right.
pub const FULL: u32 = 1000;
/// The most that is credited to an answer with a fault.
pub(super) const ALMOST: u32 = 990;

/// How an answer came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Outcome {
    /// Right: the key, a variant of it, or what the accent allows.
    Right,
    /// Right but for the hand: mended, it is right.
    Typing,
    /// Every sound is the right one; detail or stress is off.
    Detail,
    /// Another sound, one too many or one too few.
    Wrong,
    /// It cannot be read whole; what could be read is marked.
    Unread,
    /// Nothing was answered.
    Blank,
}

impl Outcome {
    /// Every outcome, the best first.
    pub const ALL: [Self; 6] = [
        Self::Right,
        Self::Typing,
        Self::Detail,
        Self::Wrong,
        Self::Unread,
        Self::Blank,
    ];

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Typing => "typing slip",
            Self::Detail => "detail",
            Self::Wrong => "wrong",
            Self::Unread => "unreadable",
            Self::Blank => "blank",
        }
    }

    /// The outcome of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|outcome| outcome.name() == name)
    }
}

/// One place of an answer, beside the key's.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The key's sound; `None` for one too many.
    pub key: Option<String>,
    /// The answer's sound; `None` for one that is missing.
    pub answer: Option<String>,
    /// Whether it is right.
    pub right: bool,
    /// Whether the key's sound is the second half of a diphthong or an affricate whose first
    /// half is the place before.
    pub half: bool,
    /// What became of the key's sound.
    pub change: Change,
    /// In what the two differ; `None` where one is missing or no single sound.
    pub differences: Option<Differences>,
    /// Allophones that were asked for and are not shown, by the names of their rules.
    pub missed: Vec<&'static str>,
    /// Where in the word.
    pub position: Position,
    /// Where in the syllable.
    pub part: Option<Part>,
}

impl Place {
    /// The features, posture aside, in which it is wrong.
    #[must_use]
    pub fn features(&self) -> Vec<Feature> {
        let all = self.differences.iter().flat_map(Differences::iter);
        let all = all.map(|difference| difference.feature);
        all.filter(|feature| !self.right && !feature.is_posture())
            .collect()
    }
}

/// An answer with its marks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grade {
    /// How it came out.
    pub outcome: Outcome,
    /// How much of it is right, in thousandths: what is wrong, in distance by feature,
    /// against all that the key holds. Only an answer that is right throughout has 1,000,
    /// and one that is off in a mark or two never has 0.
    pub credit: u32,
    /// The answer as it was marked.
    pub answer: String,
    /// Which of the right answers it was set against.
    pub key: String,
    /// Sound by sound, for a transcription.
    pub places: Vec<Place>,
    /// Where the main stress differs: which syllable has it in the key and in the answer,
    /// from 1.
    pub stress: Option<(Option<usize>, Option<usize>)>,
    /// Feature by feature, for the name of a sound: what is asked for, what was said.
    pub terms: Vec<(Feature, String, Option<String>)>,
    /// The slip of the hand, where it looks like one.
    pub slip: Option<Slip>,
    /// What is to be said beside: places of the answer that cannot be read, and the like.
    pub remarks: Vec<String>,
}

impl Grade {
    /// An answer without marks yet.
    pub(super) fn new(outcome: Outcome, key: &str, answer: &str) -> Self {
        Self {
            outcome,
            credit: if outcome == Outcome::Right { FULL } else { 0 },
            answer: answer.to_owned(),
            key: key.to_owned(),
            places: Vec::new(),
            stress: None,
            terms: Vec::new(),
            slip: None,
            remarks: Vec::new(),
        }
    }

    /// Whether the ear was right.
    #[must_use]
    pub const fn is_right(&self) -> bool {
        matches!(self.outcome, Outcome::Right | Outcome::Typing)
    }

    /// Every feature in which it is wrong, posture aside, each once.
    #[must_use]
    pub fn features(&self) -> Vec<Feature> {
        let places = self.places.iter().flat_map(Place::features);
        let terms = self.terms.iter();
        let terms = terms.filter(|(_, wanted, said)| Some(wanted) != said.as_ref());
        let mut all: Vec<Feature> = places.chain(terms.map(|term| term.0)).collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

impl Grade {
    /// Gives the outcome and the credit, when all places are marked.
    pub(super) fn settle(&mut self, lost: u32, all: u32) {
        let wrong = |place: &&Place| !place.right;
        let faults = self.places.iter().filter(wrong).count();
        if faults == 0 && self.stress.is_none() {
            self.outcome = Outcome::Right;
            self.credit = FULL;
            return;
        }
        let off = self.places.iter().filter(wrong).all(|place| {
            let detail =
                place.differences.is_some() && place.change != Change::Substitution;
            detail || !place.missed.is_empty() && place.answer.is_some()
        });
        self.outcome = if off { Outcome::Detail } else { Outcome::Wrong };
        let share = (u64::from(lost) * u64::from(FULL)).checked_div(u64::from(all));
        let share = share
            .and_then(|share| u32::try_from(share).ok())
            .unwrap_or(FULL);
        self.credit = FULL.saturating_sub(share).min(ALMOST);
    }
}
