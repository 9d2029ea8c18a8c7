//! Rules in words: the notation of phonology, and a plain sentence.

use super::Wording;
use super::change::{Change, Kind};
use super::model::Rule;
use super::site::{BEFORE_TWO, CODA, ONSET, STRESSED, UNSTRESSED};
use super::sound::{Described, EDGE, Set, Traits, bit};

/// \[voiced obstruent\] → \[voiceless\] / _ #.
pub(super) fn notation(rule: &Rule, change: &Change, wording: &Wording<'_>) -> String {
    let (before, after) = sides(rule, wording);
    let focus = bracketed(&focus(rule, change, wording));
    let outcome = match &change.kind {
        Kind::Insertion(sound) | Kind::Sound(sound) => {
            wording.sounds.text(*sound).to_owned()
        }
        Kind::Deletion => "∅".to_owned(),
        Kind::FullVowel => "[full vowel]".to_owned(),
        Kind::Features(..) => match only_result(rule, change) {
            Some(sound) => wording.sounds.text(sound).to_owned(),
            None => format!("[{}]", values(change, wording)),
        },
        Kind::Listed(pairs) => listed(pairs, wording),
    };
    let mut text = format!("{focus} → {outcome}");
    let mut right = after.map_or(String::new(), |it| bracketed(&it));
    if rule.position & BEFORE_TWO != 0 {
        right = if right.is_empty() {
            "CC".to_owned()
        } else {
            format!("{right}C")
        };
    }
    let left = before.map_or(String::new(), |it| bracketed(&it));
    if !left.is_empty() || !right.is_empty() {
        let spaced = [left.as_str(), "_", right.as_str()];
        let spaced: Vec<&str> = spaced.into_iter().filter(|it| !it.is_empty()).collect();
        text = format!("{text} / {}", spaced.join(" "));
    }
    let place = position(rule.position);
    if !place.is_empty() {
        text = format!("{text} ({place})");
    }
    if rule.said {
        text.push_str(" (by the sounds as said)");
    }
    text
}

/// The same as a sentence would have it.
pub(super) fn plain(rule: &Rule, change: &Change, wording: &Wording<'_>) -> String {
    let (before, after) = sides(rule, wording);
    let (name, symbol) = focus(rule, change, wording);
    let mut text = match &change.kind {
        Kind::Insertion(sound) => format!("{} is added", wording.sounds.text(*sound)),
        Kind::Deletion => format!("{} is left out", spelled(&name, symbol)),
        Kind::FullVowel => format!("{} becomes a full vowel", spelled(&name, symbol)),
        Kind::Sound(sound) => {
            format!(
                "{} becomes {}",
                spelled(&name, symbol),
                wording.sounds.text(*sound)
            )
        }
        Kind::Features(..) => {
            let outcome = match only_result(rule, change) {
                Some(sound) => wording.sounds.text(sound).to_owned(),
                None => values(change, wording),
            };
            format!("{} becomes {outcome}", spelled(&name, symbol))
        }
        Kind::Listed(pairs) if change.is_insertion() => {
            format!("{} is added", listed(pairs, wording))
        }
        Kind::Listed(pairs) => match listed(pairs, wording).as_str() {
            "∅" => format!("{} is left out", spelled(&name, symbol)),
            outcome => format!("{} becomes {outcome}", spelled(&name, symbol)),
        },
    };
    let edge =
        |side: &Option<(String, bool)>| side.as_ref().is_some_and(|it| it.0 == "#");
    if edge(&before) {
        text.push_str(" at the start of a word");
    } else if let Some((name, symbol)) = &before {
        text = format!("{text} after {}", spelled(name, *symbol));
    }
    if edge(&after) {
        text.push_str(" at the end of a word");
    } else if let Some((name, symbol)) = &after {
        text = format!("{text} before {}", spelled(name, *symbol));
        if rule.position & BEFORE_TWO != 0 {
            text.push_str(" and a consonant");
        }
    } else if rule.position & BEFORE_TWO != 0 {
        text.push_str(" before two consonants");
    }
    let place = position(rule.position);
    if !place.is_empty() {
        text = format!("{text} in {place}");
    }
    text
}

/// The outcomes of a change given sound by sound, in the order of its sounds: one if it is
/// the same for all.
fn listed(pairs: &[(u8, u8)], wording: &Wording<'_>) -> String {
    let mut sorted = pairs.to_vec();
    sorted.sort_unstable();
    let mut outcomes: Vec<u8> = sorted.iter().map(|it| it.1).collect();
    outcomes.dedup();
    let texts: Vec<&str> = outcomes.iter().map(|it| wording.sounds.text(*it)).collect();
    match texts.as_slice() {
        [one] => (*one).to_owned(),
        several => format!("{{{}}}", several.join(", ")),
    }
}

/// The one sound that comes out, if only one sound goes in.
fn only_result(rule: &Rule, change: &Change) -> Option<u8> {
    let inputs = rule.focus & change.applies;
    inputs
        .is_power_of_two()
        .then(|| u8::try_from(inputs.trailing_zeros()).ok())
        .flatten()
        .and_then(|it| change.of(it))
}

/// The class that is changed: its name, and whether that is a symbol.
fn focus(rule: &Rule, change: &Change, wording: &Wording<'_>) -> (String, bool) {
    if change.is_insertion() {
        return ("∅".to_owned(), true);
    }
    if change.kind == Kind::FullVowel {
        return ("reduced vowel".to_owned(), false);
    }
    // A class may be wider than what the change says something of: the exact name is better.
    let classes = &wording.classes.focus;
    let exact = rule.focus & change.applies;
    let described = classes
        .binary_search_by(|it| it.set.cmp(&exact))
        .ok()
        .or_else(|| rule.classes.first().copied());
    named(
        described.and_then(|it| classes.get(it)),
        rule.focus,
        classes,
        wording,
    )
}

/// A class by its name, and whether that is a symbol.
type Named = (String, bool);

fn sides(rule: &Rule, wording: &Wording<'_>) -> (Option<Named>, Option<Named>) {
    let side = |set: Set, class: usize| {
        (set != Set::MAX).then(|| {
            let classes = &wording.classes.context;
            named(classes.get(class), set, classes, wording)
        })
    };
    let [_, left, right] = rule.classes;
    (side(rule.left, left), side(rule.right, right))
}

/// A class by its description, or by its members where it has none.
fn named(
    described: Option<&Described>,
    set: Set,
    classes: &[Described],
    wording: &Wording<'_>,
) -> (String, bool) {
    let same = described.or_else(|| classes.iter().find(|it| it.set == set));
    if let Some(it) = same {
        return (it.name.clone(), it.symbol);
    }
    let mut members: Vec<&str> = wording
        .sounds
        .numbers()
        .filter(|it| set & bit(*it) != 0)
        .map(|it| wording.sounds.text(it))
        .collect();
    if set & bit(EDGE) != 0 {
        members.push("#");
    }
    match members.as_slice() {
        [one] => ((*one).to_owned(), true),
        several => (format!("{{{}}}", several.join(", ")), true),
    }
}

fn bracketed((name, symbol): &(String, bool)) -> String {
    if *symbol {
        name.clone()
    } else {
        format!("[{name}]")
    }
}

fn spelled(name: &str, symbol: bool) -> String {
    match (name, symbol) {
        ("C", _) => "a consonant".to_owned(),
        ("V", _) => "a vowel".to_owned(),
        ("{C, #}", _) => "a consonant or the end".to_owned(),
        (name, true) => name.to_owned(),
        (name, false) => {
            let vowels = [
                "high", "mid", "low", "front", "central", "back", "tense", "lax",
            ];
            let vowels =
                [&vowels[..], &["rounded", "unrounded", "r-coloured", "full"]].concat();
            let last = name.split(' ').next_back().unwrap_or(name);
            let nouns = [
                "vowel",
                "plosive",
                "fricative",
                "affricate",
                "nasal",
                "liquid",
                "glide",
                "approximant",
                "obstruent",
                "sonorant",
                "monophthong",
                "diphthong",
            ];
            let article = match name.chars().next() {
                Some('a' | 'e' | 'i' | 'o' | 'u') => "an",
                _ => "a",
            };
            if nouns.contains(&last) {
                format!("{article} {name}")
            } else if vowels.contains(&last) {
                format!("{article} {name} vowel")
            } else {
                format!("{article} {name} consonant")
            }
        }
    }
}

/// The values that a change sets, in words.
fn values(change: &Change, wording: &Wording<'_>) -> String {
    let Kind::Features(features, model) = &change.kind else {
        return String::new();
    };
    let Some(model) = wording.sounds.bundle(*model).map(Traits::of) else {
        return String::new();
    };
    let names: Vec<&str> = features.iter().map(|it| model.name(*it)).collect();
    names.join(" ")
}

fn position(position: u8) -> &'static str {
    match position & !BEFORE_TWO {
        ONSET => "onsets",
        CODA => "codas",
        STRESSED => "stressed syllables",
        UNSTRESSED => "unstressed syllables",
        _ => "",
    }
}
