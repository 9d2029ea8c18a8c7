//! What is taken for what: a learner's confusions, or a class's, counted from marks.

use std::collections::BTreeMap;

use super::mark::{Mark, Sound};
use super::outcome::Outcome;
use crate::finding::difference::Feature;
use crate::syllable::{Part, Position};

/// How often something was wrong, out of how often it could have been.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Share {
    /// Wrong.
    pub wrong: usize,
    /// Right and wrong.
    pub of: usize,
}

impl Share {
    fn add(&mut self, wrong: bool) {
        self.wrong += usize::from(wrong);
        self.of += 1;
    }
}

/// Two sounds that are taken for each other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contrast {
    /// The one that comes first in the order of code points.
    pub one: String,
    /// The other.
    pub other: String,
    /// How often the one was asked for, and the other answered.
    pub one_as_other: Share,
    /// How often the other was asked for, and the one answered.
    pub other_as_one: Share,
    /// The features they were told apart by, each once.
    pub features: Vec<Feature>,
}

impl Contrast {
    /// How often either was taken for the other.
    #[must_use]
    pub const fn wrong(&self) -> usize {
        self.one_as_other.wrong + self.other_as_one.wrong
    }
}

/// Counts over marked transcriptions.
///
/// What cannot be read, and what was left blank, counts nowhere: nothing was taken for
/// anything there. After a slip of the hand the mended answer counts.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Confusions {
    /// How often each sound (a row) was answered with each (a column): empty texts stand
    /// for nothing asked for, and for nothing answered.
    pub cells: BTreeMap<(String, String), usize>,
    /// How often each feature was wrong, out of the sounds it can be wrong in: all that
    /// were asked for and answered.
    pub features: BTreeMap<Feature, Share>,
    /// By the place in the word.
    pub positions: BTreeMap<Position, Share>,
    /// By the part of the syllable.
    pub parts: BTreeMap<Part, Share>,
    /// Main stress, out of the answers with a stress to be marked or marked.
    pub stress: Share,
    /// Slips of the hand, out of all answers.
    pub slips: Share,
    /// The features of the pairs that were confused.
    told: BTreeMap<(String, String), Vec<Feature>>,
    /// The answers that were counted.
    pub answers: usize,
    /// The answers that were not: unreadable or blank.
    pub left_out: usize,
}

impl Confusions {
    /// Counts marks. Names of sounds and patterns are left aside: they hold no sounds.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::practice::{Confusions, Grader, Mark, Set};
    ///
    /// let text = "title: One\naccent: en-US\n\nid\tkind\tword\tkey\tpoint\n1\tbroad\tzoo\t/zu/\tz\n";
    /// let set = Set::read("one", text).unwrap();
    /// let grade = Grader::for_set(&set).unwrap().grade(&set.exercises[0], "/su/");
    /// let mark = Mark::new("one", &set.exercises[0], "", 1, &grade);
    /// let counted = Confusions::of([&mark]);
    /// assert_eq!(counted.cells[&("z".to_owned(), "s".to_owned())], 1);
    /// let contrast = &counted.contrasts()[0];
    /// assert_eq!((contrast.one.as_str(), contrast.other.as_str()), ("s", "z"));
    /// assert_eq!((contrast.other_as_one.wrong, contrast.other_as_one.of), (1, 1));
    /// ```
    pub fn of<'m>(marks: impl IntoIterator<Item = &'m Mark>) -> Self {
        let mut counted = Self::default();
        for mark in marks {
            counted.slips.add(mark.slip.is_some());
            if !mark.kind.is_transcription() {
                continue;
            }
            if matches!(mark.outcome, Outcome::Unread | Outcome::Blank) {
                counted.left_out += 1;
                continue;
            }
            counted.answers += 1;
            if mark.stress.is_some() || mark.key.contains('ˈ') {
                counted.stress.add(mark.stress.is_some());
            }
            for sound in &mark.sounds {
                counted.sound(sound);
            }
        }
        counted
    }

    fn sound(&mut self, sound: &Sound) {
        // What the accent allows was not confused with anything.
        let answer = if sound.right {
            &sound.key
        } else {
            &sound.answer
        };
        let pair = (sound.key.clone(), answer.clone());
        *self.cells.entry(pair.clone()).or_default() += 1;
        if let Some(position) = sound.position {
            self.positions
                .entry(position)
                .or_default()
                .add(!sound.right);
        }
        if let Some(part) = sound.part {
            self.parts.entry(part).or_default().add(!sound.right);
        }
        if sound.key.is_empty() || answer.is_empty() {
            return;
        }
        for feature in Feature::ALL.iter().filter(|it| !it.is_posture()) {
            let wrong = sound.features.contains(feature);
            self.features.entry(*feature).or_default().add(wrong);
        }
        if !sound.right {
            let told = self.told.entry(pair).or_default();
            told.extend(&sound.features);
            told.sort_unstable();
            told.dedup();
        }
    }

    /// How often a sound was asked for.
    fn asked(&self, sound: &str) -> usize {
        let rows = self.cells.iter().filter(|((key, _), _)| key == sound);
        rows.map(|(_, count)| count).sum()
    }

    /// The contrasts that were lost, the most often lost first.
    #[must_use]
    pub fn contrasts(&self) -> Vec<Contrast> {
        let mut found: BTreeMap<(&str, &str), Contrast> = BTreeMap::new();
        for ((key, answer), count) in &self.cells {
            if key == answer || key.is_empty() || answer.is_empty() {
                continue;
            }
            let (one, other) = if key < answer {
                (key, answer)
            } else {
                (answer, key)
            };
            let contrast = found.entry((one, other)).or_insert_with(|| Contrast {
                one: one.clone(),
                other: other.clone(),
                one_as_other: Share {
                    wrong: 0,
                    of: self.asked(one),
                },
                other_as_one: Share {
                    wrong: 0,
                    of: self.asked(other),
                },
                features: Vec::new(),
            });
            let share = if key == one {
                &mut contrast.one_as_other
            } else {
                &mut contrast.other_as_one
            };
            share.wrong += count;
            let told = self.told.get(&(key.clone(), answer.clone()));
            contrast.features.extend(told.into_iter().flatten());
            contrast.features.sort_unstable();
            contrast.features.dedup();
        }
        let mut contrasts: Vec<Contrast> = found.into_values().collect();
        contrasts.sort_by_key(|it| core::cmp::Reverse(it.wrong()));
        contrasts
    }

    /// The sounds that were missing or too many, with how often each.
    #[must_use]
    pub fn lost_and_added(&self) -> Vec<(String, Share, usize)> {
        let mut found: BTreeMap<&str, (Share, usize)> = BTreeMap::new();
        for ((key, answer), count) in &self.cells {
            if answer.is_empty() && !key.is_empty() {
                let share = &mut found.entry(key).or_default().0;
                share.wrong += count;
                share.of = self.asked(key);
            } else if key.is_empty() && !answer.is_empty() {
                found.entry(answer).or_default().1 += count;
            }
        }
        let mut found: Vec<_> = found
            .into_iter()
            .map(|(sound, (share, added))| (sound.to_owned(), share, added))
            .collect();
        found.sort_by_key(|(_, share, added)| core::cmp::Reverse(share.wrong + added));
        found
    }

    /// The sounds that were ever taken for another or another for them, in the order of
    /// code points: the rows and columns of a table worth drawing.
    #[must_use]
    pub fn confused(&self) -> Vec<String> {
        let mut sounds: Vec<String> = self
            .cells
            .keys()
            .filter(|(key, answer)| key != answer)
            .flat_map(|(key, answer)| [key.clone(), answer.clone()])
            .filter(|sound| !sound.is_empty())
            .collect();
        sounds.sort();
        sounds.dedup();
        sounds
    }

    /// The count of a cell.
    #[must_use]
    pub fn count(&self, key: &str, answer: &str) -> usize {
        let cell = (key.to_owned(), answer.to_owned());
        self.cells.get(&cell).copied().unwrap_or(0)
    }
}
