//! Minimal pairs differ in one phoneme and nothing else, and none is missed.

#![allow(
    clippy::expect_used,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test may stop"
)]

use apical::lexicon::{
    Before, Form, Forms, Lexicon, Merge, Pair, Phoneme, Scope, Stress,
};

fn lexicon() -> Lexicon {
    Lexicon::of("en-US").expect("American English has a word list")
}

fn pairs(lexicon: &Lexicon, scope: &Scope<'_>, a: &str, b: &str) -> Vec<Pair> {
    let forms = Forms::of(lexicon, scope).expect("the merges are of this list");
    forms.minimal_pairs(lexicon.contrast(a, b).expect("two phonemes"))
}

fn has(pairs: &[Pair], a: &str, b: &str) -> bool {
    pairs
        .iter()
        .any(|pair| pair.a.word == a && pair.b.word == b)
}

#[test]
fn the_textbooks_pairs_are_found() {
    // Common practice, no source: what every book of drills has.
    let lexicon = lexicon();
    let forms = Forms::of(&lexicon, &Scope::default()).unwrap();
    for (a, b, one, other) in [
        ("ɪ", "i", "ship", "sheep"),
        ("i", "ɪ", "sheep", "ship"),
        ("ɛ", "æ", "bet", "bat"),
        ("ʊ", "u", "full", "fool"),
        ("ʌ", "ɑ", "cut", "cot"),
        ("θ", "s", "think", "sink"),
        ("ð", "d", "breathe", "breed"),
        ("l", "r", "light", "right"),
        ("l", "r", "light", "write"),
        ("v", "w", "vine", "wine"),
        ("p", "b", "pin", "bin"),
        ("ʃ", "tʃ", "share", "chair"),
        ("d͡ʒ", "j", "jet", "yet"),
        ("ŋ", "n", "sing", "sin"),
        ("e͡ɪ", "ɛ", "late", "let"),
        ("θ", "ð", "ether", "either"),
    ] {
        let found = forms.minimal_pairs(lexicon.contrast(a, b).unwrap());
        assert!(has(&found, one, other), "{one} and {other} for {a} and {b}");
    }
}

#[test]
fn what_is_no_pair_is_not_found() {
    let lexicon = lexicon();
    let whole = Scope::WHOLE;
    // Stress differs too: INsight, inCITE.
    assert!(!has(
        &pairs(&lexicon, &whole, "ə", "ɪ"),
        "insight",
        "incite"
    ));
    // Two variants of one word.
    assert!(!has(
        &pairs(&lexicon, &whole, "i", "aɪ"),
        "either",
        "either"
    ));
    assert!(lexicon.contrast("i", "i").is_none());
    assert!(lexicon.contrast("i", "ʀ").is_none());
    // Names only on demand.
    assert!(!has(
        &pairs(&lexicon, &Scope::default(), "ɪ", "i"),
        "Tim",
        "team"
    ));
    assert!(has(&pairs(&lexicon, &whole, "ɪ", "i"), "Tim", "team"));
}

#[test]
fn the_commonest_come_first() {
    let lexicon = lexicon();
    let found = pairs(&lexicon, &Scope::WHOLE, "θ", "s");
    let rarer = |pair: &Pair| {
        let of = |frequency: Option<f64>| frequency.unwrap_or(0.0);
        of(pair.a.frequency).min(of(pair.b.frequency))
    };
    assert!(found.len() > 100);
    assert!(found.windows(2).all(|two| rarer(&two[0]) >= rarer(&two[1])));
    assert_eq!(
        found,
        pairs(&lexicon, &Scope::WHOLE, "θ", "s"),
        "another order"
    );
    // The same pairs the other way round.
    assert_eq!(found.len(), pairs(&lexicon, &Scope::WHOLE, "s", "θ").len());
}

/// Whether two forms differ in one phoneme alone, and in which.
fn differ(one: &Form<'_>, other: &Form<'_>) -> Option<(Phoneme, Phoneme)> {
    let sounds = |form: &Form<'_>| form.phonemes().collect::<Vec<(Phoneme, Stress)>>();
    let (a, b) = (sounds(one), sounds(other));
    let mut unlike = a.iter().zip(&b).filter(|(a, b)| a != b);
    let ((a_phoneme, a_stress), (b_phoneme, b_stress)) = unlike.next()?;
    (a.len() == b.len() && a_stress == b_stress && unlike.next().is_none())
        .then_some((*a_phoneme, *b_phoneme))
}

#[test]
fn no_pair_is_missed_and_none_is_wrong() {
    // Against comparing every word with every other.
    let lexicon = lexicon();
    let words: Vec<String> = lexicon
        .commonest_first()
        .iter()
        .take(700)
        .map(|entry| entry.word().to_owned())
        .collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let scope = Scope {
        words: Some(&words),
        ..Scope::WHOLE
    };
    let forms = Forms::of(&lexicon, &scope).unwrap();
    let all: Vec<Form<'_>> = forms.iter().collect();
    let mut expected = Vec::new();
    for (at, one) in (0_u32..).zip(&all) {
        for (to, other) in (0_u32..).zip(&all).skip(at as usize + 1) {
            if let Some((a, b)) = differ(one, other) {
                expected.push(if a < b {
                    (a, b, at, to)
                } else {
                    (b, a, to, at)
                });
            }
        }
    }
    expected.sort_unstable();
    let mut found = Vec::new();
    for pairs in forms.all_minimal_pairs() {
        for pair in &pairs.forms {
            found.push((pairs.contrast.a, pairs.contrast.b, pair.a, pair.b));
        }
        assert_eq!(forms.spelled(&pairs), forms.minimal_pairs(pairs.contrast));
    }
    assert!(expected.len() > 500, "{}", expected.len());
    assert_eq!(found, expected);
}

#[test]
fn a_merger_takes_its_pairs_away_and_no_others() {
    let lexicon = lexicon();
    let merge = Merge {
        from: "ɔ",
        into: "ɑ",
        before: Before::AnythingBut("ɹ"),
    };
    let merged = Scope {
        merges: &[merge],
        ..Scope::default()
    };
    let apart = pairs(&lexicon, &Scope::default(), "ɑ", "ɔ");
    let together = pairs(&lexicon, &merged, "ɑ", "ɔ");
    assert!(has(&apart, "cot", "caught") && has(&apart, "far", "four"));
    assert!(!has(&together, "cot", "caught") && has(&together, "far", "four"));
    // Now caught is as far from cut as cot is.
    assert!(has(&pairs(&lexicon, &merged, "ʌ", "ɑ"), "cut", "caught"));
    let forms = Forms::of(&lexicon, &merged).unwrap();
    let alike = |form: Form<'_>| {
        let words: Vec<String> =
            form.words().map(|entry| entry.word().to_owned()).collect();
        words.contains(&"cot".to_owned()) && words.contains(&"caught".to_owned())
    };
    assert!(forms.iter().any(alike));
    let unknown = Merge {
        from: "ʀ",
        into: "ɹ",
        before: Before::Anything,
    };
    let unknown = Forms::of(
        &lexicon,
        &Scope {
            merges: &[unknown],
            ..Scope::default()
        },
    );
    assert_eq!(
        unknown.unwrap_err().to_string(),
        "`ʀ` is no phoneme of the word list"
    );
}

#[test]
fn sets_have_a_word_for_each_phoneme() {
    let lexicon = lexicon();
    let forms = Forms::of(&lexicon, &Scope::default()).unwrap();
    let phonemes = ["æ", "ɛ", "ɪ"].map(|text| lexicon.phoneme(text).unwrap());
    let sets = forms.minimal_sets(&phonemes);
    let has = |words: [&str; 3]| {
        sets.iter()
            .any(|set| set.iter().map(|member| member.word).eq(words))
    };
    assert!(has(["bat", "bet", "bit"]));
    assert!(has(["pan", "pen", "pin"]));
    for set in &sets {
        for (member, phoneme) in set.iter().zip(phonemes) {
            assert!(member.target.contains(phoneme.text()), "{set:?}");
        }
    }
    assert!(forms.minimal_sets(&phonemes[..1]).is_empty());
    assert!(forms.minimal_sets(&[phonemes[0], phonemes[0]]).is_empty());
}
