//! Differences are listed by feature, in the contract's order, with both values and in plain
//! words.

use apical::finding::difference::{Feature, between};
use proptest::prelude::*;
use proptest::sample::select;

use crate::alignments_agree_with_published_ones::cut;

/// The order the JSON contract fixes.
const CONTRACT: [&str; 19] = [
    "voicing",
    "phonation",
    "place",
    "manner",
    "lateral",
    "nasalized",
    "airstream",
    "release",
    "height",
    "backness",
    "rounded",
    "rhotic",
    "syllabic",
    "length",
    "secondary",
    "jaw",
    "lips",
    "tongue",
    "contact",
];

#[test]
fn features_stand_in_the_order_of_the_contract() {
    let ours: Vec<&str> = Feature::ALL.iter().map(|feature| feature.name()).collect();
    let known: Vec<&str> = ours
        .iter()
        .copied()
        .filter(|it| CONTRACT.contains(it))
        .collect();
    assert_eq!(known, CONTRACT);
    // What the contract doesn't name stands between the sound and its posture.
    let secondary = ours.iter().position(|it| *it == "secondary").unwrap();
    let jaw = ours.iter().position(|it| *it == "jaw").unwrap();
    assert!(
        ours.iter()
            .enumerate()
            .all(|(at, it)| CONTRACT.contains(it) || (secondary..jaw).contains(&at))
    );
    // They count as they are listed.
    assert!(
        Feature::ALL
            .iter()
            .enumerate()
            .all(|(at, feature)| *feature as usize == at)
    );
}

#[test]
fn both_values_are_named() {
    // The chart's values of the two letters.
    for (target, production, expected) in [
        ("θ", "t̪", vec![("manner", "fricative", "plosive")]),
        ("t", "d", vec![("voicing", "voiceless", "voiced")]),
        ("tʰ", "t", vec![("release", "aspirated", "none")]),
        ("n", "nː", vec![("length", "normal", "long")]),
        ("ɫ", "l", vec![("secondary", "velarized", "none")]),
        ("ŋ", "n", vec![("place", "velar", "alveolar")]),
        ("i", "e", vec![("height", "close", "close-mid")]),
        ("w", "ɰ", vec![("place", "bilabial, velar", "velar")]),
        ("˥", "˩", vec![("tone", "extra high", "extra low")]),
    ] {
        let differences = between(&cut(target).bundles[0], &cut(production).bundles[0]);
        let ours: Vec<(String, String, String)> = differences
            .iter()
            .filter(|it| !it.feature.is_posture())
            .map(|it| (it.feature.name().to_owned(), it.target(), it.production()))
            .collect();
        let expected: Vec<(String, String, String)> = expected
            .into_iter()
            .map(|(a, b, c)| (a.to_owned(), b.to_owned(), c.to_owned()))
            .collect();
        assert_eq!(ours, expected, "{target} {production}");
    }
}

#[test]
fn a_posture_change_reads_from_what_was_done_to_what_is_wanted() {
    // Common practice: [i] is spread, [u] rounded, [ə] neutral.
    let [i, u, schwa] = ["i", "u", "ə"].map(|text| cut(text).bundles[0]);
    let lips = |target, production| {
        between(target, production)
            .iter()
            .find(|it| it.feature == Feature::Lips)
            .map(|it| it.advice())
    };
    assert_eq!(lips(&schwa, &i).as_deref(), Some("lips: spread → neutral"));
    assert_eq!(lips(&u, &i).as_deref(), Some("lips: spread → rounded"));
    assert_eq!(lips(&i, &i), None);
}

proptest! {
    #[test]
    fn a_difference_is_listed_exactly_where_values_differ(
        one in select(cut("pbtdkʔmnŋrɹɾlfvθszʃhxwjiɪeɛæaɑɔoʊuəɚtʰkʷn̩ãiː˥˩").bundles),
        other in select(cut("pbtdkʔmnŋrɹɾlfvθszʃhxwjiɪeɛæaɑɔoʊuəɚtʰkʷn̩ãiː˥˩").bundles),
    ) {
        let differences = between(&one, &other);
        prop_assert_eq!(differences.is_empty(), one == other);
        prop_assert_eq!(differences.iter().count(), differences.len());
        for difference in differences.iter() {
            prop_assert_ne!(difference.target(), difference.production());
            let advice = difference.advice();
            prop_assert!(advice.contains(&difference.target()), "{}", advice);
            prop_assert!(advice.contains(&difference.production()), "{}", advice);
            prop_assert!(!advice.contains('\n'));
        }
        let back = between(&other, &one);
        prop_assert!(differences.iter().map(|it| it.feature).eq(back.iter().map(|it| it.feature)));
    }
}
