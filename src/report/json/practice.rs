//! What practice writes: sets and marked answers. The same line is a row of a learner's
//! record.

use serde::{Deserialize, Serialize};

use super::VERSION;
use crate::finding::difference::Feature;
use crate::practice::{self, Kind, Outcome, Set, Slip, Sound};
use crate::syllable::{Part, Position};

/// A set, as `practice` lists it.
#[derive(Clone, Debug, Serialize)]
pub struct Listed<'a> {
    version: u32,
    name: &'a str,
    title: &'a str,
    about: &'a str,
    accent: &'a str,
    options: &'a [String],
    kinds: Vec<&'static str>,
    exercises: usize,
}

impl<'a> Listed<'a> {
    /// A set.
    #[must_use]
    pub fn new(set: &'a Set) -> Self {
        Self {
            version: VERSION,
            name: &set.name,
            title: &set.title,
            about: &set.about,
            accent: &set.accent,
            options: &set.options,
            kinds: set.kinds().iter().map(|kind| kind.name()).collect(),
            exercises: set.exercises.len(),
        }
    }
}

/// A marked answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Mark {
    /// Always [`VERSION`].
    pub version: u32,
    /// When it was answered, RFC 3339; unknown on an answer sheet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
    /// The set.
    pub set: String,
    /// The exercise within the set.
    pub item: String,
    /// The kind of exercise.
    pub kind: String,
    /// Whose answer it is.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub learner: String,
    /// The how-manieth answer to this exercise.
    pub attempt: u32,
    /// The answer.
    pub answer: String,
    /// The right answer it was set against.
    pub key: String,
    /// `right`, `typing slip`, `detail`, `wrong`, `unreadable` or `blank`.
    pub outcome: String,
    /// How much of it is right, in thousandths.
    pub credit: u32,
    /// Every feature it is wrong in.
    pub features: Vec<String>,
    /// Place by place.
    pub sounds: Vec<MarkedSound>,
    /// Where the main stress differs.
    pub stress: Option<MarkedStress>,
    /// The slip of the hand, where it looks like one.
    pub slip: Option<MarkedSlip>,
    /// What is said to the learner.
    pub feedback: Vec<String>,
}

/// One place of a marked answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MarkedSound {
    /// What was asked for; empty for one too many.
    pub key: String,
    /// What was answered; empty for one that is missing.
    pub answer: String,
    /// Whether it is right.
    pub right: bool,
    /// The features it is wrong in.
    pub features: Vec<String>,
    /// `initial`, `medial` or `final`; null for a term.
    pub position: Option<String>,
    /// `onset`, `nucleus` or `coda`.
    pub syllable_part: Option<String>,
}

/// Where the main stress differs: syllables from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MarkedStress {
    /// In the key.
    pub key: Option<usize>,
    /// In the answer.
    pub answer: Option<usize>,
}

/// A slip of the hand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct MarkedSlip {
    /// What was typed.
    pub typed: String,
    /// What was meant.
    pub meant: String,
    /// Whether that is sure.
    pub sure: bool,
}

impl From<&practice::Mark> for Mark {
    fn from(mark: &practice::Mark) -> Self {
        let names = |features: &[Feature]| -> Vec<String> {
            features.iter().map(|it| it.name().to_owned()).collect()
        };
        Self {
            version: VERSION,
            at: None,
            set: mark.set.clone(),
            item: mark.item.clone(),
            kind: mark.kind.name().to_owned(),
            learner: mark.learner.clone(),
            attempt: mark.attempt,
            answer: mark.answer.clone(),
            key: mark.key.clone(),
            outcome: mark.outcome.name().to_owned(),
            credit: mark.credit,
            features: names(&mark.features()),
            sounds: mark
                .sounds
                .iter()
                .map(|sound| MarkedSound {
                    key: sound.key.clone(),
                    answer: sound.answer.clone(),
                    right: sound.right,
                    features: names(&sound.features),
                    position: sound.position.map(|it| it.name().to_owned()),
                    syllable_part: sound.part.map(|it| it.name().to_owned()),
                })
                .collect(),
            stress: mark
                .stress
                .map(|(key, answer)| MarkedStress { key, answer }),
            slip: mark.slip.as_ref().map(|slip| MarkedSlip {
                typed: slip.typed.clone(),
                meant: slip.meant.clone(),
                sure: slip.sure,
            }),
            feedback: mark.feedback.clone(),
        }
    }
}

impl TryFrom<Mark> for practice::Mark {
    type Error = String;

    /// The mark that was written.
    ///
    /// # Errors
    ///
    /// A kind, an outcome, a feature or a place that there is not, or a newer form.
    fn try_from(mark: Mark) -> Result<Self, String> {
        if mark.version != VERSION {
            return Err(format!("it is of the form {}", mark.version));
        }
        let unknown = |what: &str, name: &str| format!("there is no {what} “{name}”");
        let sound = |sound: MarkedSound| {
            let feature = |name: &String| {
                let mut all = Feature::ALL.iter();
                let found = all.find(|it| it.name() == *name);
                found.copied().ok_or_else(|| unknown("feature", name))
            };
            let features = sound.features.iter().map(feature);
            let places = [Position::Initial, Position::Medial, Position::Final];
            let position = |name: String| {
                let found = places.into_iter().find(|it| it.name() == name);
                found.ok_or_else(|| unknown("position", &name))
            };
            let parts = [Part::Onset, Part::Nucleus, Part::Coda];
            let part = |name: String| {
                let found = parts.into_iter().find(|it| it.name() == name);
                found.ok_or_else(|| unknown("part of a syllable", &name))
            };
            Ok(Sound {
                features: features.collect::<Result<_, String>>()?,
                position: sound.position.map(position).transpose()?,
                part: sound.syllable_part.map(part).transpose()?,
                key: sound.key,
                answer: sound.answer,
                right: sound.right,
            })
        };
        let sounds = mark.sounds.into_iter().map(sound);
        Ok(Self {
            kind: Kind::from_name(&mark.kind)
                .ok_or_else(|| unknown("kind of exercise", &mark.kind))?,
            outcome: Outcome::from_name(&mark.outcome)
                .ok_or_else(|| unknown("outcome", &mark.outcome))?,
            sounds: sounds.collect::<Result<_, String>>()?,
            set: mark.set,
            item: mark.item,
            learner: mark.learner,
            attempt: mark.attempt,
            answer: mark.answer,
            key: mark.key,
            credit: mark.credit.min(practice::FULL),
            stress: mark.stress.map(|it| (it.key, it.answer)),
            slip: mark.slip.map(|slip| Slip {
                typed: slip.typed,
                meant: slip.meant,
                sure: slip.sure,
            }),
            feedback: mark.feedback,
        })
    }
}
