//! What `confusions` and `class` write.

use serde::Serialize;

use super::VERSION;
use crate::practice::{self, agree, class};

/// What a learner or a class confuses.
#[derive(Clone, Debug, Serialize)]
pub struct Confusions {
    version: u32,
    answers: usize,
    left_out: usize,
    contrasts: Vec<Contrast>,
    missing: Vec<Missing>,
    added: Vec<Added>,
    features: Vec<Named>,
    positions: Vec<Named>,
    syllable_parts: Vec<Named>,
    stress: Share,
    slips: Share,
    cells: Vec<Cell>,
}

#[derive(Clone, Copy, Debug, Serialize)]
struct Share {
    wrong: usize,
    of: usize,
}

impl From<practice::Share> for Share {
    fn from(share: practice::Share) -> Self {
        Self {
            wrong: share.wrong,
            of: share.of,
        }
    }
}

#[derive(Clone, Debug, Serialize)]
struct Contrast {
    one: String,
    other: String,
    one_as_other: Share,
    other_as_one: Share,
    features: Vec<&'static str>,
}

#[derive(Clone, Debug, Serialize)]
struct Missing {
    sound: String,
    #[serde(flatten)]
    share: Share,
}

#[derive(Clone, Debug, Serialize)]
struct Added {
    sound: String,
    times: usize,
}

#[derive(Clone, Debug, Serialize)]
struct Named {
    name: &'static str,
    #[serde(flatten)]
    share: Share,
}

#[derive(Clone, Debug, Serialize)]
struct Cell {
    key: String,
    answer: String,
    times: usize,
}

impl From<&practice::Confusions> for Confusions {
    fn from(counts: &practice::Confusions) -> Self {
        let named = |(name, share): (&'static str, practice::Share)| Named {
            name,
            share: share.into(),
        };
        let lost = counts.lost_and_added();
        Self {
            version: VERSION,
            answers: counts.answers,
            left_out: counts.left_out,
            contrasts: counts
                .contrasts()
                .into_iter()
                .map(|it| Contrast {
                    features: it.features.iter().map(|it| it.name()).collect(),
                    one_as_other: it.one_as_other.into(),
                    other_as_one: it.other_as_one.into(),
                    one: it.one,
                    other: it.other,
                })
                .collect(),
            missing: lost
                .iter()
                .filter(|(_, share, _)| share.wrong > 0)
                .map(|(sound, share, _)| Missing {
                    sound: sound.clone(),
                    share: (*share).into(),
                })
                .collect(),
            added: lost
                .iter()
                .filter(|(_, _, times)| *times > 0)
                .map(|(sound, _, times)| Added {
                    sound: sound.clone(),
                    times: *times,
                })
                .collect(),
            features: counts
                .features
                .iter()
                .map(|(it, share)| named((it.name(), *share)))
                .collect(),
            positions: counts
                .positions
                .iter()
                .map(|(it, share)| named((it.name(), *share)))
                .collect(),
            syllable_parts: counts
                .parts
                .iter()
                .map(|(it, share)| named((it.name(), *share)))
                .collect(),
            stress: counts.stress.into(),
            slips: counts.slips.into(),
            cells: counts
                .cells
                .iter()
                .map(|((key, answer), times)| Cell {
                    key: key.clone(),
                    answer: answer.clone(),
                    times: *times,
                })
                .collect(),
        }
    }
}

/// How a class did.
#[derive(Clone, Debug, Serialize)]
pub struct Class {
    version: u32,
    items: Vec<ItemRow>,
    learners: Vec<LearnerRow>,
    kr20: Option<f64>,
    complete: usize,
    alpha: Option<f64>,
}

#[derive(Clone, Debug, Serialize)]
struct ItemRow {
    set: String,
    item: String,
    answers: usize,
    difficulty: Option<f64>,
    credit: Option<f64>,
    point_biserial: Option<f64>,
    corrected: Option<f64>,
    upper_lower: Option<f64>,
    wrong: Vec<WrongAnswer>,
}

#[derive(Clone, Debug, Serialize)]
struct WrongAnswer {
    answer: String,
    times: usize,
}

#[derive(Clone, Debug, Serialize)]
struct LearnerRow {
    learner: String,
    answers: usize,
    right: usize,
    credit: f64,
    places: usize,
    agreed: usize,
    kappa: Option<f64>,
}

impl Class {
    /// A class with how far it agrees.
    #[must_use]
    pub fn new(class: &class::Class, agreement: &agree::Agreement) -> Self {
        Self {
            version: VERSION,
            items: class
                .items
                .iter()
                .map(|it| ItemRow {
                    set: it.item.0.clone(),
                    item: it.item.1.clone(),
                    answers: it.answers,
                    difficulty: it.difficulty,
                    credit: it.credit,
                    point_biserial: it.point_biserial,
                    corrected: it.corrected,
                    upper_lower: it.upper_lower,
                    wrong: it
                        .wrong
                        .iter()
                        .map(|(answer, times)| WrongAnswer {
                            answer: answer.clone(),
                            times: *times,
                        })
                        .collect(),
                })
                .collect(),
            learners: class
                .learners
                .iter()
                .map(|it| {
                    let mut with_key = agreement.with_key.iter();
                    let with_key = with_key.find(|key| key.learner == it.learner);
                    LearnerRow {
                        learner: it.learner.clone(),
                        answers: it.answers,
                        right: it.right,
                        credit: it.credit,
                        places: with_key.map_or(0, |it| it.places),
                        agreed: with_key.map_or(0, |it| it.agreed),
                        kappa: with_key.and_then(|it| it.kappa),
                    }
                })
                .collect(),
            kr20: class.reliability,
            complete: class.complete,
            alpha: agreement.among,
        }
    }
}
