//! What is said about an answer, in sentences.

use super::outcome::{Grade, Outcome, Place};
use super::read::bracketed;
use super::set::{Exercise, Kind};
use crate::alignment::Kind as Change;
use crate::articulation;
use crate::feature::Voicing;
use crate::finding::difference::{Difference, Differences, Feature};
use crate::syllable::{Part, Position};

/// From how many wrong features on a sound is simply another one.
const MANY: usize = 3;
/// The detail that sets [s] and its like apart from other fricatives.
const HISS: &str = "sibilant";

/// How it came out, in a few words.
///
/// # Examples
///
/// ```
/// use apical::practice::{Grader, Set, feedback};
///
/// let text = "title: One\naccent: en-US\n\nid\tkind\tword\tkey\tpoint\n1\tbroad\tzoo\t/zu/\tz\n";
/// let set = Set::read("one", text).unwrap();
/// let grade = Grader::for_set(&set).unwrap().grade(&set.exercises[0], "/su/");
/// assert_eq!(feedback::verdict(&set.exercises[0], &grade), "not right yet");
/// assert_eq!(
///     feedback::sentences(&set.exercises[0], &grade),
///     ["s for z: place and manner right, voicing wrong: the folds should be on"]
/// );
/// ```
#[must_use]
pub fn verdict(exercise: &Exercise, grade: &Grade) -> &'static str {
    let sounds_right = grade.places.iter().all(|place| place.right);
    match grade.outcome {
        Outcome::Right if is_key(exercise, grade) => "right",
        Outcome::Right if is_answer(grade) => "right, an accepted variant",
        Outcome::Right if exercise.kind.is_transcription() => {
            "right: the accent allows it"
        }
        Outcome::Right => "right",
        Outcome::Typing => "right, but for a typing slip",
        Outcome::Detail if exercise.kind == Kind::Pattern => {
            "nearly: the process is right, now say of which sound"
        }
        Outcome::Detail if grade.stress.is_some() && sounds_right => {
            "the sounds are right, the stress is not"
        }
        Outcome::Detail => "nearly: the sounds are right, a detail is not",
        Outcome::Wrong => "not right yet",
        Outcome::Unread => match exercise.kind {
            Kind::Features => "no feature could be read from it",
            Kind::Pattern => "not a name that is known here",
            _ => "it cannot be read whole",
        },
        Outcome::Blank => "no answer",
    }
}

/// Whether the answer is the key itself.
fn is_key(exercise: &Exercise, grade: &Grade) -> bool {
    grade.key == exercise.key && is_answer(grade)
}

/// Whether the answer is the right answer that it was set against, brackets aside.
fn is_answer(grade: &Grade) -> bool {
    use unicode_normalization::UnicodeNormalization;
    let plain = |text: &str| -> String {
        let text = bracketed(text, false);
        text.nfd().filter(|it| !matches!(it, '.' | 'ˌ')).collect()
    };
    plain(&grade.answer) == plain(&grade.key)
}

/// What is to be said of an answer beyond its verdict, a sentence each; nothing of one that
/// is right.
#[must_use]
pub fn sentences(exercise: &Exercise, grade: &Grade) -> Vec<String> {
    let mut said: Vec<String> = grade.remarks.clone();
    if let Some(slip) = &grade.slip {
        let (typed, meant) = (&slip.typed, &slip.meant);
        said.push(match (slip.sure, typed.is_empty(), meant.is_empty()) {
            (true, false, false) => {
                format!("typing slip, not a hearing slip: {typed} was typed for {meant}")
            }
            (true, false, true) => format!("typing slip: {typed} does not belong there"),
            (true, true, _) => format!("typing slip: {meant} was left out"),
            (false, ..) => format!(
                "perhaps the hand and not the ear: {typed} is beside {meant} on the keys"
            ),
        });
    }
    said.extend(grade.places.iter().filter_map(place));
    said.extend(grade.stress.and_then(stress));
    let terms = grade.terms.iter();
    said.extend(
        terms.filter_map(|(feature, wanted, named)| {
            term(*feature, wanted, named.as_deref())
        }),
    );
    if exercise.kind == Kind::Features && grade.is_right() {
        said.clear();
    }
    said
}

fn place(place: &Place) -> Option<String> {
    if place.right {
        return None;
    }
    let rules = place.missed.join(", ");
    Some(match (&place.key, &place.answer) {
        (Some(key), Some(answer)) => {
            let what = place.differences.as_ref().map(substitution);
            match (what, rules.is_empty()) {
                (Some(what), true) => format!("{answer} for {key}: {what}"),
                (Some(what), false) => {
                    format!("{answer} for {key}: {rules} is asked for ({what})")
                }
                (None, true) => format!("{answer} for {key}: another sound"),
                (None, false) => format!("{answer} for {key}: {rules} is asked for"),
            }
        }
        (Some(key), None) if place.change == Change::Transposition => {
            format!("{key} has changed places with its neighbour")
        }
        (Some(key), None) if !rules.is_empty() => {
            format!("{key} is missing: {rules} is asked for")
        }
        (Some(key), None) => format!("{key} is missing, {}", whereabouts(place)),
        (None, Some(_)) if place.change == Change::Transposition => return None,
        (None, Some(answer)) => {
            format!("{answer} is one sound too many, {}", whereabouts(place))
        }
        (None, None) => return None,
    })
}

fn whereabouts(place: &Place) -> &'static str {
    match (place.position, place.part) {
        (_, Some(Part::Nucleus)) => "as the vowel of a syllable",
        (Position::Initial, _) => "at the start of the word",
        (Position::Final, _) => "at the end of the word",
        (Position::Medial, _) => "inside the word",
    }
}

/// What is right and what is wrong between two single sounds.
fn substitution(differences: &Differences) -> String {
    let all: Vec<Difference<'_>> = differences.iter().collect();
    let wrong: Vec<&Difference<'_>> =
        all.iter().filter(|it| !it.feature.is_posture()).collect();
    let class = wrong.iter().find(|it| it.feature == Feature::Class);
    if let Some(class) = class {
        let (said, wanted) = (class.production(), class.target());
        return format!("a {said}, and a {wanted} is asked for");
    }
    if wrong.len() > MANY {
        let (said, wanted) = (differences.production(), differences.target());
        let [said, wanted] = [said, wanted].map(articulation::name);
        return format!("another sound: {said}, and a {wanted} is asked for");
    }
    let is_vowel = differences.is_of_vowels();
    let main: &[Feature] = if is_vowel {
        &[Feature::Height, Feature::Backness, Feature::Rounded]
    } else {
        &[Feature::Voicing, Feature::Place, Feature::Manner]
    };
    let right: Vec<&str> = main
        .iter()
        .filter(|feature| !differences.contains(**feature))
        .map(|feature| plain_name(*feature))
        .collect();
    let mut parts = Vec::new();
    if !right.is_empty() && !wrong.is_empty() {
        parts.push(format!("{} right", listed(&right)));
    }
    parts.extend(wrong.iter().map(|difference| one(difference)));
    let mouth: Vec<String> = all
        .iter()
        .filter(|it| matches!(it.feature, Feature::Jaw | Feature::Lips))
        .filter(|_| wrong.len() < MANY)
        .map(mouth)
        .collect();
    let mut text = parts.join(", ");
    if !mouth.is_empty() {
        let gap = if text.is_empty() { "" } else { "; " };
        text.push_str(gap);
        text.push_str("in the mouth: ");
        text.push_str(&mouth.join("; "));
    }
    text
}

fn one(difference: &Difference<'_>) -> String {
    let name = plain_name(difference.feature);
    match difference.feature {
        Feature::Voicing => {
            format!("voicing wrong: {}", folds(&difference.target()))
        }
        Feature::Rounded if difference.target() == "yes" => {
            "rounding wrong: the lips should be rounded".to_owned()
        }
        Feature::Rounded => "rounding wrong: the lips should not be rounded".to_owned(),
        Feature::Detail if difference.production() == HISS => {
            "without the hiss".to_owned()
        }
        Feature::Detail if difference.target() == HISS => "with a hiss".to_owned(),
        _ => {
            let (said, wanted) = (difference.production(), difference.target());
            let how = difference.remedy();
            let how = if how.is_empty() {
                String::new()
            } else {
                format!(" ({how})")
            };
            format!("{name} wrong: {said}, should be {wanted}{how}")
        }
    }
}

fn mouth(difference: &Difference<'_>) -> String {
    let (said, wanted) = (difference.production(), difference.target());
    format!("{} {wanted}, not {said}", plain_name(difference.feature))
}

fn folds(wanted: &str) -> &'static str {
    if wanted == Voicing::Voiced.name() {
        "the folds should be on"
    } else {
        "the folds should be off"
    }
}

/// A feature's name as people say it.
fn plain_name(feature: Feature) -> &'static str {
    match feature {
        Feature::Rounded => "rounding",
        Feature::Nasalized => "nasality",
        Feature::Lateral => "the way of the air",
        Feature::Rhotic => "r-colour",
        Feature::Syllabic => "syllabicity",
        Feature::Secondary => "second narrowing",
        Feature::Glide => "the end of the glide",
        Feature::TongueRoot => "tongue root",
        Feature::Position => "mark of position",
        Feature::Detail => "mark",
        feature => feature.name(),
    }
}

fn listed(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

fn stress((key, answer): (Option<usize>, Option<usize>)) -> Option<String> {
    match (key, answer) {
        (Some(key), Some(answer)) => Some(format!(
            "main stress: on syllable {answer}, should be on syllable {key}"
        )),
        (Some(key), None) => Some(format!(
            "main stress is not marked: ˈ before syllable {key}"
        )),
        (None, Some(answer)) => Some(format!(
            "main stress: syllable {answer} has one that does not belong there"
        )),
        (None, None) => None,
    }
}

fn term(feature: Feature, wanted: &str, named: Option<&str>) -> Option<String> {
    let name = plain_name(feature);
    match named {
        Some(named) if named == wanted => None,
        Some(named) if wanted == super::name::NOT_ASKED => Some(format!(
            "{named} is not asked for: this sound is named without"
        )),
        Some(named) if feature == Feature::Voicing => {
            Some(format!("voicing wrong: not {named}, {}", folds(wanted)))
        }
        Some(named) => Some(format!("{name} wrong: not {named}, but {wanted}")),
        None => Some(format!("{name} is not named: {wanted}")),
    }
}
