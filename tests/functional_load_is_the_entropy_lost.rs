//! Functional load as Surendran and Niyogi (2006) define it: the share of the entropy of
//! words that is lost when two phonemes fall together.

#![allow(
    clippy::expect_used,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test may stop"
)]

use apical::lexicon::{Forms, Lexicon, Scope};

fn lexicon() -> Lexicon {
    Lexicon::of("en-US").expect("American English has a word list")
}

/// The functional load of l and ɹ among some words, and their entropy.
fn load(words: &[&str]) -> (f64, f64) {
    let lexicon = lexicon();
    let forms = Forms::of(
        &lexicon,
        &Scope {
            words: Some(words),
            ..Scope::default()
        },
    )
    .unwrap();
    (
        forms.functional_load(lexicon.contrast("l", "ɹ").unwrap()),
        forms.entropy(),
    )
}

fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-6, "{found}, not {expected}");
}

fn zipf(word: &str) -> f64 {
    lexicon()
        .look_up(word)
        .and_then(|entry| entry.zipf())
        .expect("its frequency is known")
}

#[test]
fn four_equally_common_words_worked_by_hand() {
    // p = 1/4 each: H = 2 bits. Two fall together: 1/4, 1/4, 1/2, H = 1.5. Lost: 0.5 of 2.
    let words = ["breeding", "bleeding", QUIET[0], QUIET[1]];
    for word in words {
        near(zipf(word), 4.08);
    }
    let (load, entropy) = load(&words);
    near(entropy, 2.0);
    near(load, 0.25);
}

/// As common as breeding and bleeding.
const QUIET: [&str; 2] = ["basin", "enhanced"];

#[test]
fn words_ten_times_as_common_worked_by_hand() {
    // A step of one on the Zipf scale is ten times: p = 10/12, 1/12, 1/12.
    // H = log₂12 − (10/12) log₂10 = 0.816689. Merged 11/12, 1/12:
    // H = log₂12 − (11/12) log₂11 = 0.413817. Lost: 0.402872 of 0.816689.
    let words = ["freeze", "fleas", TENTH];
    near(zipf("freeze") - zipf("fleas"), 1.0);
    near(zipf(TENTH), zipf("fleas"));
    let (load, entropy) = load(&words);
    near(entropy, 0.816_689);
    near(load, 0.402_872 / 0.816_689);
}

/// As common as fleas.
const TENTH: &str = "bookshop";

#[test]
fn edges() {
    // Nothing falls together; everything does; one word, and none, say nothing.
    near(load(&["breeding", QUIET[0]]).0, 0.0);
    near(load(&["breeding", "bleeding"]).0, 1.0);
    assert_eq!(load(&["breeding"]), (0.0, 0.0));
    assert_eq!(load(&[]), (0.0, 0.0));
}

#[test]
fn the_order_of_contrasts_is_the_one_known() {
    // θ and ð keep hardly any words apart, ʊ and u few, against i and ɪ, l and ɹ, p and b:
    // common knowledge of pronunciation teaching (Catford 1987, Brown 1988, from memory).
    let lexicon = lexicon();
    let forms = Forms::of(&lexicon, &Scope::default()).unwrap();
    let load = |a, b| {
        let there = forms.functional_load(lexicon.contrast(a, b).unwrap());
        near(
            there,
            forms.functional_load(lexicon.contrast(b, a).unwrap()),
        );
        assert!((0.0..1.0).contains(&there));
        there
    };
    for (a, b) in [("l", "ɹ"), ("p", "b"), ("i", "ɪ"), ("æ", "ɛ")] {
        assert!(load(a, b) > 5.0 * load("θ", "ð"), "{a} {b}");
        assert!(load(a, b) > 2.0 * load("ʊ", "u"), "{a} {b}");
    }
    assert!(load("ʃ", "ʒ") < load("s", "ʃ"));
}
