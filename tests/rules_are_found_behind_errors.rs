//! Errors that a phonologist would put under one rule come out as one rule.
//!
//! Expectations: textbook examples of natural classes (final devoicing, stopping of dental
//! fricatives), from memory.

use apical::accent::Accent;
use apical::finding::item::Pairing;
use apical::finding::pattern;
use apical::finding::rule::{
    BUDGET, Background, Discovery, Known, Sample, Sounds, catalogue, discover,
};
use apical::notation::Transcription;

/// What a sheet of targets and productions shows.
fn found(sheet: &[(&str, &str)], budget: u64) -> Discovery {
    found_knowing(&[], sheet, budget)
}

/// The same where some patterns are known.
fn found_knowing(
    patterns: &[pattern::Pattern],
    sheet: &[(&str, &str)],
    budget: u64,
) -> Discovery {
    let accent = Accent::named("en-US").unwrap();
    let mut sounds = Sounds::of(&accent);
    let mut pairing = Pairing::new(&accent);
    let samples: Vec<Sample> = (2..)
        .zip(sheet)
        .map(|(row, (target, said))| {
            let [target, said] = [target, said].map(|it| Transcription::parse(it));
            Sample::of(&pairing.item(row, "", &target, &said), &mut sounds)
        })
        .collect();
    let known: Vec<Known> = catalogue(patterns, &sounds)
        .into_iter()
        .map(|it| it.1)
        .collect();
    let background = Background {
        known: &known,
        ..Background::default()
    };
    discover(&sounds, &samples, &background, budget)
}

const STOPPED: &[(&str, &str)] = &[
    ("θɪŋk", "tɪŋk"),
    ("θɪn", "tɪn"),
    ("bæθ", "bæt"),
    ("ðɪs", "dɪs"),
    ("ðoʊz", "doʊz"),
    ("bɹið", "bɹid"),
    ("θʌm", "tʌm"),
    ("ðɛm", "dɛm"),
    ("sɪt", "sɪt"),
    ("zu", "zu"),
    ("fæn", "fæn"),
    ("væn", "væn"),
    ("ʃip", "ʃip"),
    ("dɑɡ", "dɑɡ"),
];

const DEVOICED: &[(&str, &str)] = &[
    ("bɛd", "bɛt"),
    ("dɑɡ", "dɑk"),
    ("kæb", "kæp"),
    ("lʌv", "lʌf"),
    ("hɪz", "hɪs"),
    ("bɹið", "bɹiθ"),
    ("bædʒ", "bætʃ"),
    ("ɹoʊd", "ɹoʊt"),
    ("noʊz", "noʊs"),
    ("bɪɡ", "bɪk"),
    ("bɔl", "bɔl"),
    ("dɪn", "dɪn"),
    ("zɪp", "zɪp"),
    ("væn", "væn"),
    ("ɡoʊ", "ɡoʊ"),
    ("ðɛm", "ðɛm"),
];

#[test]
fn dental_fricatives_that_are_stopped_are_one_rule() {
    let found = found(STOPPED, BUDGET);
    let [rule] = &found.rules[..] else {
        panic!(
            "{:#?}",
            found.rules.iter().map(|it| &it.rule).collect::<Vec<_>>()
        )
    };
    assert_eq!((rule.covers, rule.exceptions), (8, 0));
    assert_eq!(rule.rows, [2, 3, 4, 5, 6, 7, 8, 9]);
    assert!(rule.rule.contains("dental"), "{}", rule.rule);
    assert_eq!((found.errors, found.unexplained), (8, 0));
}

#[test]
fn devoiced_finals_are_one_rule() {
    let found = found(DEVOICED, BUDGET);
    let [rule] = &found.rules[..] else {
        panic!(
            "{:#?}",
            found.rules.iter().map(|it| &it.rule).collect::<Vec<_>>()
        )
    };
    assert_eq!((rule.covers, rule.exceptions), (10, 0));
    assert!(rule.rule.contains("[voiceless]"), "{}", rule.rule);
    assert!(rule.plain.contains("becomes voiceless"), "{}", rule.plain);
}

/// \[ŋɡ\] for /ŋ/, and voiceless obstruents at the end of a word: so \[ŋk\] there.
#[test]
fn what_one_rule_puts_in_another_changes() {
    let mut sheet = DEVOICED.to_vec();
    sheet.extend([
        ("sɪŋ", "sɪŋk"),
        ("lɔŋ", "lɔŋk"),
        ("ɹɪŋ", "ɹɪŋk"),
        ("hæŋ", "hæŋk"),
        ("sɪŋɚ", "sɪŋɡɚ"),
        ("lɔŋɪŋ", "lɔŋɡɪŋk"),
        ("hæŋɚ", "hæŋɡɚ"),
        ("ɹɪŋɪŋ", "ɹɪŋɡɪŋk"),
        ("ˈmæɡnət", "ˈmæɡnət"),
        ("ˈhʌzbənd", "ˈhʌzbənt"),
        ("ˈlɑbstɚ", "ˈlɑbstɚ"),
    ]);
    let found = found(&sheet, BUDGET);
    let rules: Vec<&str> = found.rules.iter().map(|it| &it.rule[..]).collect();
    assert_eq!(rules.len(), 2, "{rules:#?}");
    assert!(
        rules.iter().any(|it| it.contains("[voiceless]")),
        "{rules:#?}"
    );
    assert!(
        rules.iter().any(|it| it.starts_with("∅ → ɡ / ŋ _")),
        "{rules:#?}"
    );
    assert_eq!(found.unexplained, 0);
}

/// The shipped pattern is of both /t d/ before a high front vowel and of those at the end;
/// a client who does the one need not do the other.
#[test]
fn half_of_a_known_pattern_is_found_as_such() {
    let sheet = [
        ("tim", "tʃim"),
        ("tin", "tʃin"),
        ("dip", "dʒip"),
        ("tɪp", "tʃɪp"),
        ("dɪn", "dʒɪn"),
        ("dɪʃ", "dʒɪʃ"),
        ("hɑt", "hɑt"),
        ("bɛd", "bɛd"),
        ("kæt", "kæt"),
        ("nɑd", "nɑd"),
        ("tɑp", "tɑp"),
        ("dɑɡ", "dɑɡ"),
        ("tu", "tu"),
        ("du", "du"),
        ("kin", "kin"),
        ("ɡɪv", "ɡɪv"),
        ("pin", "pin"),
        ("bɪn", "bɪn"),
        ("sin", "sin"),
        ("zɪp", "zɪp"),
    ];
    let patterns: Vec<pattern::Pattern> = pattern::shipped()
        .into_iter()
        .filter(|it| it.rules().any(|rule| rule.contains("{i, ɪ, #}")))
        .collect();
    assert_eq!(patterns.len(), 1);
    let found = found_knowing(&patterns, &sheet, BUDGET);
    let [rule] = &found.rules[..] else {
        panic!("{:#?}", found.rules)
    };
    assert_eq!((rule.covers, rule.exceptions), (6, 0), "{}", rule.rule);
    assert_eq!(rule.known, Some(0), "{}", rule.rule);
    assert!(!rule.rule.contains('#'), "{}", rule.rule);
}

#[test]
fn right_productions_show_no_rule() {
    let right: Vec<(&str, &str)> = STOPPED
        .iter()
        .map(|(target, _)| (*target, *target))
        .collect();
    let found = found(&right, BUDGET);
    assert!(found.rules.is_empty());
    assert_eq!(found.errors, 0);
}

#[test]
fn one_slip_is_no_rule() {
    let mut sheet: Vec<(&str, &str)> = STOPPED
        .iter()
        .map(|(target, _)| (*target, *target))
        .collect();
    sheet.push(("kæt", "kæk"));
    let found = found(&sheet, BUDGET);
    assert!(found.rules.is_empty());
    assert_eq!((found.errors, found.unexplained), (1, 1));
}

#[test]
fn a_search_without_time_says_so_and_an_empty_sheet_is_no_trouble() {
    assert!(found(STOPPED, 100).cut_short);
    assert!(!found(STOPPED, BUDGET).cut_short);
    assert!(found(&[], BUDGET).rules.is_empty());
    assert!(found(&[("", ""), ("θɪn", ""), ("", "ə")], BUDGET).errors > 0);
}
