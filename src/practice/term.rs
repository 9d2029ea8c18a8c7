//! The words that name the features of a sound, as people say them.

use crate::feature::{
    Airstream, Backness, Class, FeatureBundle, Height, Manner, Place, Voicing,
};
use crate::finding::difference::Feature;

/// Other words for the terms of the chart: what is said, what is meant, source.
const TABLE: &str = include_str!("../../grammar/exercises/terms.tsv");

/// A feature and its value, by name.
pub type Term = (Feature, String);

/// What a description says of a sound, and the words in it that say nothing known.
///
/// The order of the words does not matter, nor does the case; other words for a term
/// (`stop`, `high`, `flap`) stand in `grammar/exercises/terms.tsv`.
///
/// # Examples
///
/// ```
/// use apical::practice::term::read;
///
/// let (terms, unknown) = read("voiceless alveolar stop");
/// let names: Vec<&str> = terms.iter().map(|(_, value)| value.as_str()).collect();
/// assert_eq!(names, ["voiceless", "alveolar", "plosive"]);
/// assert!(unknown.is_empty());
/// assert_eq!(read("voiceless alveolar thing").1, ["thing"]);
/// ```
#[must_use]
pub fn read(text: &str) -> (Vec<Term>, Vec<String>) {
    let mut plain = String::from(" ");
    for character in text.chars() {
        match character {
            ',' | ';' | '/' | '[' | ']' | '.' => plain.push(' '),
            '\u{2010}' | '\u{2011}' | '_' => plain.push('-'),
            _ => plain.extend(character.to_lowercase()),
        }
    }
    plain.push(' ');
    let mut said = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    for (phrase, term) in rows() {
        said = replaced(&said, phrase, term);
    }
    let (mut terms, mut unknown) = (Vec::new(), Vec::new());
    for word in said.split(' ').filter(|word| !word.is_empty()) {
        match term(word) {
            Some(known) if !terms.contains(&known) => terms.push(known),
            Some(_) => {}
            None if matches!(word, "a" | "an" | "the" | "vowel" | "consonant") => {}
            None => unknown.push(word.to_owned()),
        }
    }
    (terms, unknown)
}

/// The terms that name a sound in full: voicing, place and manner; or height, backness and
/// rounding.
#[must_use]
pub fn of(bundle: &FeatureBundle) -> Vec<Term> {
    let mut terms: Vec<Term> = Vec::new();
    let mut add = |feature: Feature, value: &str| terms.push((feature, value.to_owned()));
    if bundle.class == Class::Vowel {
        if let Some(height) = bundle.height {
            add(Feature::Height, height.name());
        }
        if let Some(backness) = bundle.backness {
            add(Feature::Backness, backness.name());
        }
        if let Some(rounded) = bundle.rounded {
            add(
                Feature::Rounded,
                if rounded { "rounded" } else { "unrounded" },
            );
        }
        if bundle.rhotic {
            add(Feature::Rhotic, "r-coloured");
        }
        return terms;
    }
    add(Feature::Voicing, bundle.voicing.name());
    for place in bundle.place.iter() {
        add(Feature::Place, place.name());
    }
    if bundle.lateral {
        add(Feature::Lateral, "lateral");
    }
    if bundle.airstream != Airstream::Pulmonic {
        add(Feature::Airstream, bundle.airstream.name());
    }
    if let Some(manner) = bundle.manner {
        add(Feature::Manner, manner.name());
    }
    terms
}

/// The table's rows, longest phrase first.
fn rows() -> Vec<(&'static str, &'static str)> {
    let cells = TABLE.lines().skip(1).map(|line| {
        let mut cells = line.split('\t');
        (
            cells.next().unwrap_or_default(),
            cells.next().unwrap_or_default(),
        )
    });
    let mut rows: Vec<_> = cells.filter(|(said, _)| !said.is_empty()).collect();
    rows.sort_by_key(|(said, _)| core::cmp::Reverse(said.len()));
    rows
}

/// A text with whole words of it replaced.
fn replaced(text: &str, phrase: &str, term: &str) -> String {
    let padded = format!(" {text} ");
    let replaced = padded.replace(&format!(" {phrase} "), &format!(" {term} "));
    replaced.trim().to_owned()
}

fn term(word: &str) -> Option<Term> {
    let known = |feature: Feature| Some((feature, word.to_owned()));
    match word {
        "rounded" | "unrounded" => known(Feature::Rounded),
        "lateral" => known(Feature::Lateral),
        "r-coloured" => known(Feature::Rhotic),
        _ if Voicing::from_name(word).is_some() => known(Feature::Voicing),
        _ if Place::from_name(word).is_some() => known(Feature::Place),
        _ if Manner::from_name(word).is_some() => known(Feature::Manner),
        _ if Height::from_name(word).is_some() => known(Feature::Height),
        _ if Backness::from_name(word).is_some() => known(Feature::Backness),
        _ if Airstream::from_name(word).is_some() => known(Feature::Airstream),
        _ => None,
    }
}
