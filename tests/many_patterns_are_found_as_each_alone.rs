//! Looking for many patterns at once finds what each of them finds alone, in whatever order
//! the items come.

use apical::accent::Accent;
use apical::finding::item::{Item, Pairing};
use apical::finding::pattern::{Chance, Detector, Pattern, parse, shipped};
use apical::notation::Transcription;
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

/// Sounds of targets and productions: those that rules name, those that they nearly name,
/// and signs between sounds that rules look at.
const SOUNDS: [&str; 42] = [
    "p", "b", "t", "d", "k", "ɡ", "t̪", "tʰ", "k̚", "ʔ", "tʃ", "d͡ʒ", "m", "n", "ŋ", "f",
    "v", "θ", "ð", "s", "z", "s̪", "ʃ", "h", "x", "l", "ɫ", "ɹ", "ɾ", "j", "w", "i", "ɪ",
    "ɛ", "æ", "ɑ", "oʊ", "aɪ", "ə", "ɝ", "ɚ", "ĩ",
];
const SIGNS: [&str; 6] = ["ˈ", "ˌ", ".", " ", " | ", "ˈ"];

/// What rules are made of here, some of which make none.
const CHANGED: [&str; 14] = [
    "C",
    "V",
    "θ",
    "{s, z}",
    "C[-son, +voice]",
    "V[+stress]",
    "t[+final]",
    "∅",
    "C₁ C₂",
    "s C",
    "V N",
    "ˈσ",
    "σ",
    "σ[-stress] ˈσ",
];
const BECOMES: [&str; 14] = [
    "∅",
    "t",
    "{t, d}",
    "[-voice]",
    "[αplace]",
    "V[-stress]",
    "C[plosive]",
    "{∅, ʔ}",
    "C₂ C₁",
    "ə",
    "|",
    "ˈσ",
    "σ ˈσ",
    "{p, ɸ, f}",
];
const CONTEXTS: [&str; 16] = [
    "",
    "#",
    ".",
    "V",
    "C",
    "{C, #}",
    "{V, s}",
    "(C)",
    "…",
    "C[αplace] …",
    "C[+onset]",
    "s (C)",
    "# (C)",
    "V[+high] #",
    "ˈσ",
    "C C",
];

fn sound() -> impl Strategy<Value = &'static str> {
    prop_oneof![4 => prop::sample::select(&SOUNDS[..]), 1 => prop::sample::select(&SIGNS[..])]
}

/// A word's spelling, its target, and a production that has most of its sounds.
fn word() -> impl Strategy<Value = (&'static str, String, String)> {
    let said = prop_oneof![
        6 => Just(None),
        1 => Just(Some(String::new())),
        2 => sound().prop_map(|it| Some(it.to_owned())),
        1 => [sound(), sound()].prop_map(|it| Some(it.concat())),
    ];
    let spelling = prop::sample::select(&["think", "walked", "sounds", "station"][..]);
    let sounds = prop::collection::vec((sound(), said), 1..9);
    (spelling, sounds).prop_map(|(spelling, sounds)| {
        let target = sounds.iter().map(|(it, _)| *it).collect();
        let said = sounds
            .iter()
            .map(|(it, said)| said.as_deref().unwrap_or(it));
        (spelling, target, said.collect())
    })
}

/// A coach's own pattern, where the rule is one.
fn pattern() -> impl Strategy<Value = Vec<Pattern>> {
    let one = |all: &'static [&'static str]| prop::sample::select(all);
    let allowed = any::<bool>();
    let parts = (
        one(&CHANGED),
        one(&BECOMES),
        one(&CONTEXTS),
        one(&CONTEXTS),
        allowed,
    );
    parts.prop_map(|(changed, becomes, before, after, allowed)| {
        let allowed = if allowed { "allowed: yes\n" } else { "" };
        let rule = format!("{changed} → {becomes} / {before} _ {after}");
        parse("mine", &format!("name: mine\nrule: {rule}\n{allowed}")).unwrap_or_default()
    })
}

/// What each pattern finds alone.
fn alone(patterns: &[Pattern], item: &Item) -> Vec<(usize, Chance)> {
    let each = patterns.iter().enumerate();
    each.flat_map(|(number, pattern)| {
        let chances = pattern.chances(item).into_iter();
        chances.map(move |chance| (number, chance))
    })
    .collect()
}

#[test]
fn random_words_and_rules() {
    let mut runner = TestRunner::new(ProptestConfig {
        cases: 400,
        failure_persistence: None,
        ..ProptestConfig::default()
    });
    let pairing = Pairing::new(&Accent::named("en-US").unwrap());
    let shipped = shipped();
    let words = prop::collection::vec(word(), 1..5);
    let own = prop::collection::vec(pattern(), 0..30);
    let found = core::cell::Cell::new(0);
    let run = runner.run(&(words, own), |(words, own)| {
        let mut patterns: Vec<Pattern> = own.into_iter().flatten().collect();
        patterns.extend(shipped.iter().cloned());
        let mut pairing = pairing.clone();
        let mut detector = Detector::new(&patterns);
        for (spelling, target, said) in words {
            let [target, said] = [target, said].map(|it| Transcription::parse(&it));
            let item = pairing.item(1, spelling, &target, &said);
            let expected = alone(&patterns, &item);
            prop_assert_eq!(detector.chances(&item), expected.as_slice());
            found.set(found.get() + expected.len());
        }
        Ok(())
    });
    run.unwrap();
    assert!(found.get() > 10_000, "{} chances are few", found.get());
}

#[test]
fn the_examples_of_all_patterns() {
    let mut pairing = Pairing::new(&Accent::named("en-US").unwrap());
    let patterns = shipped();
    let mut detector = Detector::new(&patterns);
    for pattern in &patterns {
        for example in pattern.matches.iter().chain(&pattern.differs) {
            let [target, said] = [&example.target, &example.production];
            let [target, said] = [target, said].map(|it| Transcription::parse(it));
            let item = pairing.item(1, &example.word, &target, &said);
            let expected = alone(&patterns, &item);
            assert_eq!(detector.chances(&item), expected, "{}", example.place);
        }
    }
}
