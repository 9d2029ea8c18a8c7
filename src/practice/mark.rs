//! What is kept of a marked answer.

use super::feedback;
use super::name::NOT_ASKED;
use super::outcome::{Grade, Outcome, Place};
use super::set::{Exercise, Kind};
use super::slip::Slip;
use crate::finding::difference::Feature;
use crate::syllable::{Part, Position};

/// A marked answer with all that a record, a list of marks or a table of a class is made
/// from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// The set.
    pub set: String,
    /// The exercise within the set.
    pub item: String,
    /// What was asked for.
    pub kind: Kind,
    /// Whose answer it is; empty where nobody is named.
    pub learner: String,
    /// The how-manieth answer to this exercise it is, from 1.
    pub attempt: u32,
    /// The answer.
    pub answer: String,
    /// The right answer it was set against.
    pub key: String,
    /// How it came out.
    pub outcome: Outcome,
    /// How much of it is right, in thousandths.
    pub credit: u32,
    /// Sound by sound, diphthongs and affricates as one, or for the name of a sound term by term.
    pub sounds: Vec<Sound>,
    /// Where the main stress differs: its syllable in the key and in the answer, from 1.
    pub stress: Option<(Option<usize>, Option<usize>)>,
    /// The slip of the hand, where it looks like one.
    pub slip: Option<Slip>,
    /// What is said to the learner, a sentence each.
    pub feedback: Vec<String>,
}

/// One place of a marked answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sound {
    /// What was asked for; empty for one too many.
    pub key: String,
    /// What was answered; empty for one that is missing.
    pub answer: String,
    /// Whether it is right.
    pub right: bool,
    /// The features it is wrong in, posture aside.
    pub features: Vec<Feature>,
    /// Where in the word; nowhere for a term.
    pub position: Option<Position>,
    /// Where in the syllable.
    pub part: Option<Part>,
}

impl Sound {
    fn of(place: &Place) -> Self {
        Self {
            key: place.key.clone().unwrap_or_default(),
            answer: place.answer.clone().unwrap_or_default(),
            right: place.right,
            features: place.features(),
            position: Some(place.position),
            part: place.part,
        }
    }

    /// Takes the second half of a diphthong or an affricate in: it is one sound.
    fn join(&mut self, half: Self) {
        self.key.push_str(&half.key);
        self.answer.push_str(&half.answer);
        self.right &= half.right;
        self.features.extend(half.features);
        self.features.sort_unstable();
        self.features.dedup();
    }
}

impl Mark {
    /// The mark of an answer.
    #[must_use]
    pub fn new(
        set: &str,
        exercise: &Exercise,
        learner: &str,
        attempt: u32,
        grade: &Grade,
    ) -> Self {
        let mut sounds: Vec<Sound> = Vec::new();
        for place in &grade.places {
            let sound = Sound::of(place);
            match sounds.last_mut() {
                Some(first) if place.half => first.join(sound),
                _ => sounds.push(sound),
            }
        }
        let terms = grade.terms.iter().map(|(feature, wanted, said)| {
            let right = said.as_ref() == Some(wanted);
            Sound {
                key: if wanted == NOT_ASKED {
                    String::new()
                } else {
                    wanted.clone()
                },
                answer: said.clone().unwrap_or_default(),
                right,
                features: if right { Vec::new() } else { vec![*feature] },
                position: None,
                part: None,
            }
        });
        Self {
            set: set.to_owned(),
            item: exercise.id.clone(),
            kind: exercise.kind,
            learner: learner.to_owned(),
            attempt,
            answer: grade.answer.clone(),
            key: grade.key.clone(),
            outcome: grade.outcome,
            credit: grade.credit,
            sounds: sounds.into_iter().chain(terms).collect(),
            stress: grade.stress,
            slip: grade.slip.clone(),
            feedback: feedback::sentences(exercise, grade),
        }
    }

    /// Every feature it is wrong in, each once, in the order of reports.
    #[must_use]
    pub fn features(&self) -> Vec<Feature> {
        let sounds = self.sounds.iter();
        let mut all: Vec<Feature> = sounds.flat_map(|it| it.features.clone()).collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}
