//! The phonetician's name of a segment.

use crate::feature::{
    Airstream, Backness, Class, Detail, FeatureBundle, Glide, Height, Length, Manner,
    Phonation, Place, Release, Voicing,
};

/// The name of a segment as a phonetician says it: "aspirated voiceless alveolar plosive".
///
/// Order: length, release, nasalization, secondary articulations, tongue root, detail, moves,
/// syllabicity, phonation, voicing, place, laterality, airstream, manner; for vowels height,
/// backness, rounding. Rounding is left out where the chart does not state it (ə, ɐ).
///
/// # Source
///
/// Terms of the IPA chart (2020) and the extIPA chart (2015).
#[must_use]
pub fn name(bundle: &FeatureBundle) -> String {
    match bundle.class {
        Class::Tone => tone(bundle),
        Class::Pause => "pause".to_owned(),
        Class::Consonant | Class::Vowel => {
            let mut words: Vec<String> = Vec::new();
            adjectives(bundle, &mut words);
            if bundle.class == Class::Vowel {
                vowel(bundle, &mut words);
            } else {
                consonant(bundle, &mut words);
            }
            words.join(" ")
        }
    }
}

/// What marks add, in a fixed order.
fn adjectives(bundle: &FeatureBundle, words: &mut Vec<String>) {
    let mut say = |word: &str| words.push(word.to_owned());
    if bundle.length != Length::Normal {
        say(bundle.length.name());
    }
    for release in bundle.release.iter() {
        // Breathy aspiration is said once, with its phonation.
        if release != Release::BreathyAspirated {
            say(release.name());
        }
    }
    if bundle.nasalized {
        say("nasalized");
    }
    for secondary in bundle.secondary.iter() {
        say(secondary.name());
    }
    if let Some(root) = bundle.tongue_root {
        say(&format!("{}-tongue-root", root.name()));
    }
    for detail in bundle.detail.iter() {
        if !matches!(
            detail,
            Detail::Sibilant
                | Detail::Indeterminate
                | Detail::Percussive
                | Detail::Partial
                | Detail::InitialPartial
                | Detail::FinalPartial
                | Detail::Velodorsal
                | Detail::UpperPharyngeal
        ) {
            say(detail.name());
        }
    }
    let shift = bundle.shift;
    let mut moved = |steps: i8, up: &str, down: &str| {
        if steps != 0 {
            let strongly = if steps.abs() > 1 { "strongly " } else { "" };
            say(&format!("{strongly}{}", if steps > 0 { up } else { down }));
        }
    };
    moved(shift.raising, "raised", "lowered");
    moved(shift.advancing, "advanced", "retracted");
    moved(shift.rounding, "more rounded", "less rounded");
    match shift.centralizing {
        0 => {}
        1 => say("mid-centralized"),
        _ => say("centralized"),
    }
    if bundle.syllabic {
        say("syllabic");
    }
    match (
        bundle.phonation,
        bundle.release.contains(Release::BreathyAspirated),
    ) {
        (_, true) => say("breathy-voiced aspirated"),
        (Phonation::Breathy, false) => say("breathy-voiced"),
        (Phonation::Creaky, false) => say("creaky-voiced"),
        (Phonation::Modal, false) => {}
    }
    if let Some(tone) = pitch(bundle) {
        say(&tone);
    }
}

fn consonant(bundle: &FeatureBundle, words: &mut Vec<String>) {
    let mut say = |word: &str| words.push(word.to_owned());
    if bundle.detail.contains(Detail::Indeterminate) {
        say(match bundle.manner {
            Some(manner) => manner.name(),
            None => "consonant",
        });
        say("not further identified");
        return;
    }
    if bundle.detail.contains(Detail::Percussive) {
        say(bundle.place.first.map_or("", Place::name));
        say("percussive");
        return;
    }
    let click = bundle.airstream == Airstream::Click;
    let ejective = bundle.airstream == Airstream::Ejective;
    let partly = partial(bundle);
    if !partly.is_empty() {
        say(partly);
    } else if !click && !ejective || bundle.voicing == Voicing::Voiced {
        say(bundle.voicing.name());
    }
    if bundle.detail.contains(Detail::Velodorsal) {
        say("velodorsal");
    } else if bundle.detail.contains(Detail::UpperPharyngeal) {
        say("upper pharyngeal");
    } else {
        let place = places(bundle);
        if !place.is_empty() {
            say(&place);
        }
    }
    if bundle.lateral {
        say("lateral");
    }
    match (bundle.airstream, bundle.manner) {
        (Airstream::Click, _) => say("click"),
        (Airstream::Implosive, _) => say("implosive"),
        (Airstream::Ejective, manner) => {
            say("ejective");
            say(manner.map_or("consonant", Manner::name));
        }
        (Airstream::Pulmonic, manner) => say(manner.map_or("consonant", Manner::name)),
    }
}

/// "partially devoiced" and its like, after a voicing mark in parentheses.
fn partial(bundle: &FeatureBundle) -> &'static str {
    let devoiced = bundle.voicing == Voicing::Voiceless;
    if bundle.detail.contains(Detail::Partial) {
        if devoiced {
            "partially devoiced"
        } else {
            "partially voiced"
        }
    } else if bundle.detail.contains(Detail::InitialPartial) {
        if devoiced {
            "initially devoiced"
        } else {
            "initially voiced"
        }
    } else if bundle.detail.contains(Detail::FinalPartial) {
        if devoiced {
            "finally devoiced"
        } else {
            "finally voiced"
        }
    } else {
        ""
    }
}

/// The place, or both: "labial-velar".
fn places(bundle: &FeatureBundle) -> String {
    match (bundle.place.first, bundle.place.second) {
        (Some(Place::Bilabial), Some(second)) => format!("labial-{second}"),
        (Some(first), Some(second)) => format!("{first}-{second}"),
        (Some(first), None) => first.name().to_owned(),
        (None, _) => String::new(),
    }
}

fn vowel(bundle: &FeatureBundle, words: &mut Vec<String>) {
    let mut say = |word: &str| words.push(word.to_owned());
    if bundle.voicing == Voicing::Voiceless {
        say("voiceless");
    }
    if bundle.rhotic {
        say("r-coloured");
    }
    let (Some(height), Some(backness)) = (bundle.height, bundle.backness) else {
        say("vowel not further identified");
        return;
    };
    say(&spot(height, backness, bundle.rounded == Some(true)));
    match bundle.glide {
        Some(Glide {
            height,
            backness,
            rounded,
            rhotic,
        }) => {
            let end = spot(height, backness, rounded);
            let rhotic = if rhotic { "r-coloured " } else { "" };
            say(&format!("to {rhotic}{end} diphthong"));
        }
        None => say("vowel"),
    }
}

/// A spot on the vowel chart.
fn spot(height: Height, backness: Backness, rounded: bool) -> String {
    // The chart leaves the rounding of ə and ɐ open.
    let unstated = backness == Backness::Central
        && matches!(height, Height::Mid | Height::NearOpen)
        && !rounded;
    let rounding = match (unstated, rounded) {
        (true, _) => "",
        (false, true) => " rounded",
        (false, false) => " unrounded",
    };
    format!("{height} {backness}{rounding}")
}

/// "high-toned", "rising-toned" for a letter that bears a tone mark.
fn pitch(bundle: &FeatureBundle) -> Option<String> {
    (bundle.tone != 0).then(|| format!("{}-toned", contour(bundle)))
}

fn tone(bundle: &FeatureBundle) -> String {
    if bundle.tone == 0 {
        return "tone".to_owned();
    }
    format!("{} tone", contour(bundle))
}

/// The shape of a tone in words.
fn contour(bundle: &FeatureBundle) -> String {
    let levels: Vec<u8> = bundle.tone_levels().collect();
    let word = |level: u8| match level {
        1 => "extra low",
        2 => "low",
        3 => "mid",
        4 => "high",
        5 => "extra high",
        15 => "neutral",
        _ => "numbered",
    };
    match levels.as_slice() {
        [] => String::new(),
        [one] => word(*one).to_owned(),
        [first, .., last] => {
            let shape = if levels.iter().all(|level| level == first) {
                "level"
            } else if levels
                .windows(2)
                .all(|pair| matches!(pair, [a, b] if a <= b))
            {
                "rising"
            } else if levels
                .windows(2)
                .all(|pair| matches!(pair, [a, b] if a >= b))
            {
                "falling"
            } else if first < levels.get(1).unwrap_or(first) {
                "rising-falling"
            } else {
                "falling-rising"
            };
            if shape == "level" {
                word(*first).to_owned()
            } else {
                format!("{shape} ({} to {})", word(*first), word(*last))
            }
        }
    }
}
