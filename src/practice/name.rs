//! Marking names: of a sound by its features, of an error pattern.

use std::sync::LazyLock;

use super::grade::Grader;
use super::outcome::{FULL, Grade, Outcome};
use super::set::Exercise;
use super::term;
use crate::finding::difference::Feature;
use crate::finding::item::Item;
use crate::finding::pattern::{self, Outcome as Shown, Pattern};
use crate::notation::Transcription;

/// Stands for what is wanted where a term was said that nobody asked for.
pub(super) const NOT_ASKED: &str = "not asked for";

/// What the right process without its sound is credited.
const PROCESS: u32 = 800;

/// Marks the name of a sound.
pub(super) fn sound(exercise: &Exercise, answer: &str) -> Grade {
    let (said, unknown) = term::read(answer);
    let mut best: Option<Grade> = None;
    for key in exercise.answers() {
        let wanted = term::read(key).0;
        let mut grade = Grade::new(Outcome::Right, key, answer);
        let mut left = said.clone();
        for (feature, value) in &wanted {
            let same = left.iter().position(|it| it == &(*feature, value.clone()));
            let other = || {
                left.iter()
                    .position(|it| it.0 == *feature && !wanted.contains(it))
            };
            let found = same.or_else(other).map(|at| left.remove(at).1);
            grade.terms.push((*feature, value.clone(), found));
        }
        let right = grade
            .terms
            .iter()
            .filter(|term| Some(&term.1) == term.2.as_ref());
        let (right, asked) = (right.count(), grade.terms.len());
        left.retain(|(feature, value)| {
            // Said beside what is asked for, and true of every such sound.
            !(*feature == Feature::Airstream && value == "pulmonic")
        });
        if right < asked || !left.is_empty() {
            grade.outcome = Outcome::Wrong;
            let share = FULL as usize * right / (asked + left.len()).max(1);
            grade.credit = u32::try_from(share).unwrap_or(0);
        }
        for (feature, value) in left {
            grade
                .terms
                .push((feature, NOT_ASKED.to_owned(), Some(value)));
        }
        if best.as_ref().is_none_or(|best| grade.credit > best.credit) {
            best = Some(grade);
        }
    }
    let mut grade =
        best.unwrap_or_else(|| Grade::new(Outcome::Wrong, &exercise.key, answer));
    if !unknown.is_empty() {
        let words = unknown.join("”, “");
        grade
            .remarks
            .push(format!("“{words}” is no name of a feature here"));
        if said.is_empty() {
            grade.outcome = Outcome::Unread;
        }
    }
    grade
}

/// The shipped patterns with the names of their files, which are names too.
static PATTERNS: LazyLock<Vec<(String, Pattern)>> = LazyLock::new(|| {
    let named = |pattern: Pattern| {
        let path = pattern.place.rsplit('/').next().unwrap_or_default();
        let file = path.split('.').next().unwrap_or_default();
        (file.to_owned(), pattern)
    };
    pattern::shipped().into_iter().map(named).collect()
});

/// What an error pattern may be called here: its short name, and its full one.
///
/// # Examples
///
/// ```
/// let mut names = apical::practice::pattern_names();
/// assert!(names.any(|name| name == ("theta-stopping", "θ stopping")));
/// ```
pub fn pattern_names() -> impl Iterator<Item = (&'static str, &'static str)> {
    let patterns = PATTERNS.iter();
    patterns.map(|(file, pattern)| (file.as_str(), pattern.name.as_str()))
}

/// A name without what people write in different ways.
fn plain(text: &str) -> String {
    let text = text.replace("->", "→").replace('>', "→").replace('→', "to");
    let letters = text.chars().flat_map(char::to_lowercase);
    letters
        .filter(|character| character.is_alphanumeric())
        .collect()
}

/// The shipped pattern of a name.
pub(super) fn pattern_named(name: &str) -> Option<&'static Pattern> {
    let said = plain(name);
    let found = PATTERNS
        .iter()
        .find(|(file, pattern)| plain(file) == said || plain(&pattern.name) == said);
    found.map(|(_, pattern)| pattern)
}

/// Whether a pattern shows in an item.
pub(super) fn shows(pattern: &Pattern, item: &Item) -> bool {
    let chances = pattern.chances(item);
    chances.iter().any(|chance| chance.outcome == Shown::Shown)
}

/// The words of a name.
fn words(name: &str) -> Vec<String> {
    let words = name.split(|it: char| !it.is_alphanumeric());
    words
        .filter(|word| !word.is_empty())
        .map(|word| word.chars().flat_map(char::to_lowercase).collect())
        .collect()
}

/// Words that say nothing of what happened.
const SMALL: &[&str] = &["of", "the", "a", "to", "for", "and"];

impl Grader {
    /// The item that an exercise on patterns shows: a target, an arrow, a production.
    pub(super) fn shown_item(&mut self, exercise: &Exercise) -> Option<Item> {
        let (target, production) = exercise.given.split_once('→')?;
        let target = Transcription::parse(target.trim());
        let production = Transcription::parse(production.trim());
        let valid = target.is_valid() && production.is_valid();
        valid.then(|| self.pairing.item(0, &exercise.word, &target, &production))
    }

    /// Marks the name of a pattern.
    ///
    /// Any shipped pattern that shows in the item is right, whatever the key; its process
    /// without the sound it befalls (“stopping”) is nearly so.
    pub(super) fn pattern(&mut self, exercise: &Exercise, answer: &str) -> Grade {
        let said = plain(answer);
        if let Some(key) = exercise.answers().find(|key| plain(key) == said) {
            return Grade::new(Outcome::Right, key, answer);
        }
        let mut grade = Grade::new(Outcome::Wrong, &exercise.key, answer);
        let item = self.shown_item(exercise);
        let wanted = pattern_named(&exercise.key);
        if let Some(named) = pattern_named(answer) {
            if item.is_some_and(|item| shows(named, &item)) {
                grade.outcome = Outcome::Right;
                grade.credit = FULL;
                grade.remarks.push("this pattern shows here too".to_owned());
                return grade;
            }
            let catches = &named.catches;
            grade.remarks.push(format!("{} is: {catches}", named.name));
        }
        if let Some(wanted) = wanted {
            grade.remarks.push(format!("here: {}", wanted.catches));
        }
        let mut names: Vec<String> = exercise.answers().flat_map(words).collect();
        names.extend(wanted.iter().flat_map(|wanted| words(&wanted.name)));
        let mut process = words(answer);
        process.retain(|word| !SMALL.contains(&word.as_str()));
        let long = |word: &String| word.chars().count() > 3;
        if process.iter().any(long) && process.iter().all(|word| names.contains(word)) {
            grade.outcome = Outcome::Detail;
            grade.credit = PROCESS;
        } else if pattern_named(answer).is_none() {
            grade.outcome = Outcome::Unread;
        }
        grade
    }
}
