//! Letters with marks have the features that an independent source gives them.
//!
//! Source: Cross-Linguistic Transcription Systems (List, Anderson, Tresoldi & Forkel),
//! sounds of one base letter.

use std::collections::BTreeMap;

use apical::articulation::bundle;
use apical::feature::{Class, FeatureBundle};
use apical::notation::Transcription;
use unicode_properties::{GeneralCategory, UnicodeGeneralCategory};

use crate::outside::{Share, Table};

/// Features by name, several values for one.
type Features<'r> = BTreeMap<&'r str, Vec<&'r str>>;

fn features(cell: &str) -> Features<'_> {
    let mut all: Features<'_> = BTreeMap::new();
    for item in cell.split(' ') {
        let rest = item.split_once('_').expect("type_feature_value").1;
        let (name, value) = rest.rsplit_once('_').expect("feature_value");
        all.entry(name).or_default().push(value);
    }
    all
}

/// What differs between the source's features and ours, by name.
fn differences(theirs: &Features<'_>, ours: &FeatureBundle) -> Vec<&'static str> {
    let one = |name: &str| theirs.get(name).and_then(|values| values.first()).copied();
    let has =
        |name: &str, value: &str| theirs.get(name).is_some_and(|v| v.contains(&value));
    let mut wrong = Vec::new();
    let mut check = |name: &'static str, good: bool| {
        if !good {
            wrong.push(name);
        }
    };
    if let Some(place) = one("place") {
        let wanted: &[&str] = match place {
            "labio-dental" => &["labiodental"],
            "post-alveolar" => &["postalveolar"],
            "labio-velar" => &["bilabial", "velar"],
            "labio-palatal" => &["bilabial", "palatal"],
            "labial" => &["bilabial"],
            other => &[other],
        };
        check(
            "place",
            ours.place
                .iter()
                .map(|place| place.name())
                .eq(wanted.iter().copied()),
        );
    }
    let voicing = if has("voicing", "devoiced") {
        Some("voiceless")
    } else if has("voicing", "revoiced") {
        Some("voiced")
    } else {
        one("phonation")
    };
    check(
        "voicing",
        voicing.is_none_or(|voicing| ours.voicing.name() == voicing),
    );
    match one("manner") {
        Some("click" | "nasal-click") => {
            check("airstream", ours.airstream.name() == "click")
        }
        Some("implosive") => check("airstream", ours.airstream.name() == "implosive"),
        Some(manner) => {
            let manner = if manner == "stop" { "plosive" } else { manner };
            check(
                "manner",
                ours.manner.is_some_and(|ours| ours.name() == manner),
            );
        }
        None => {}
    }
    check(
        "airstream",
        !has("ejection", "ejective") || ours.airstream.name() == "ejective",
    );
    check("lateral", !has("airstream", "lateral") || ours.lateral);
    check(
        "rounded",
        one("roundedness").is_none_or(|r| ours.rounded == Some(r == "rounded")),
    );
    check(
        "height",
        one("height").is_none_or(|h| ours.height.is_some_and(|o| o.name() == h)),
    );
    check(
        "backness",
        one("centrality").is_none_or(|b| ours.backness.is_some_and(|o| o.name() == b)),
    );
    check(
        "nasalized",
        !has("nasalization", "nasalized") || ours.nasalized,
    );
    check(
        "rhotic",
        !theirs.contains_key("rhotacization") || ours.rhotic,
    );
    if let Some(duration) = one("duration") {
        let wanted = match duration {
            "mid-long" => "half-long",
            "ultra-long" => "overlong",
            "ultra-short" => "extra-short",
            other => other,
        };
        check("length", ours.length.name() == wanted);
    }
    check("syllabic", !has("syllabicity", "syllabic") || ours.syllabic);
    check(
        "breathy",
        !has("breathiness", "breathy") || ours.phonation.name() == "breathy",
    );
    check(
        "creaky",
        !has("creakiness", "creaky") || ours.phonation.name() == "creaky",
    );
    for (name, value) in [
        ("labialization", "labialized"),
        ("palatalization", "palatalized"),
        ("velarization", "velarized"),
        ("pharyngealization", "pharyngealized"),
    ] {
        let ours = ours
            .secondary
            .iter()
            .any(|secondary| secondary.name() == value);
        check(value_name(value), !has(name, value) || ours);
    }
    check(
        "aspirated",
        !has("aspiration", "aspirated")
            || ours.release.iter().any(|r| r.name() == "aspirated"),
    );
    wrong
}

fn value_name(value: &'static str) -> &'static str {
    value
}

/// Where we follow the chart and the source does not.
fn argued(grapheme: &str, class: Class) -> Option<&'static str> {
    let has = |c: char| grapheme.contains(c);
    let starts = |letters: &str| grapheme.starts_with(|c| letters.contains(c));
    let raised = has('\u{31D}') || has('\u{31E}');
    match class {
        _ if has('ɧ') => {
            Some("the chart: simultaneous ʃ and x, no palatal-velar column")
        }
        _ if has('ʍ') => Some("the chart: voiceless labial-velar fricative"),
        Class::Consonant if raised => Some(
            "the chart: raising makes ɹ̝ a fricative, lowering makes β̞ an approximant",
        ),
        Class::Consonant if has('\u{320}') && starts("nrtdlɹ") => {
            Some("one cell of the chart spans dental to postalveolar")
        }
        Class::Vowel if has('\u{308}') || has('\u{33D}') => {
            Some("half way to the centre from near-front is the centre")
        }
        _ => None,
    }
}

#[test]
fn one_letter_sounds() {
    let table = Table::read("sounds-features.tsv");
    let (mut curated, mut generated, mut unargued) =
        (Share::default(), Share::default(), Share::default());
    for row in table.rows() {
        let grapheme = row.cell("grapheme");
        let letters = grapheme
            .chars()
            .filter(|c| {
                matches!(
                    c.general_category(),
                    GeneralCategory::LowercaseLetter
                        | GeneralCategory::OtherLetter
                        | GeneralCategory::TitlecaseLetter
                )
            })
            .count();
        let modifier = grapheme
            .chars()
            .next()
            .is_some_and(|c| c.general_category() == GeneralCategory::ModifierLetter);
        if !matches!(row.cell("type"), "consonant" | "vowel") || letters != 1 || modifier
        {
            continue;
        }
        let read = Transcription::parse(grapheme);
        let segments: Vec<_> = read.segments().collect();
        assert_eq!(segments.len(), 1, "{grapheme} is one sound");
        let ours = bundle(&segments[0]);
        let wrong = differences(&features(row.cell("features")), &ours);
        let share = if row.cell("curated") == "yes" {
            &mut curated
        } else {
            &mut generated
        };
        share.count(wrong.is_empty(), || format!("{grapheme}: {wrong:?}"));
        if argued(grapheme, ours.class).is_none() {
            unargued.count(wrong.is_empty(), || format!("{grapheme}: {wrong:?}"));
        }
    }
    curated.at_least(98.0, "sounds entered by the source's editors");
    generated.at_least(97.0, "sounds generated by the source");
    unargued.at_least(99.5, "all but those where we follow the chart");
}
