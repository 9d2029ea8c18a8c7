//! Minimal pairs are minimal in the accent that is declared: every one differs in one phoneme
//! and cannot be said alike, none is missed, and what is only near says so.

use std::collections::BTreeSet;

use apical::accent::Accent;
use apical::lexicon::Lexicon;
use apical::material::{Candidate, Question, Stock, minimal_sets, near_pairs, pairs};
use apical::syllable::Position;

use crate::program::{apical, told};
use crate::words_to_drill_are_as_asked_for::{Cut, cut, us};

fn question(stock: &Stock<'_>, contrasts: &[[&str; 2]]) -> Question {
    let number = |text: &&str| stock.sounds.named(text).unwrap();
    Question {
        contrasts: contrasts
            .iter()
            .map(|[a, b]| [number(a), number(b)])
            .collect(),
        least: 1.0,
        ..Question::default()
    }
}

fn spelled(stock: &Stock<'_>, contrast: [&str; 2]) -> Vec<(String, String)> {
    let found = pairs(stock, &question(stock, &[contrast])).found;
    let word = |it: &Candidate| it.word().to_owned();
    found
        .iter()
        .map(|it| (word(&it.a.candidate), word(&it.b.candidate)))
        .collect()
}

fn has(pairs: &[(String, String)], a: &str, b: &str) -> bool {
    pairs
        .iter()
        .any(|(one, other)| (one.as_str(), other.as_str()) == (a, b))
}

#[test]
fn pairs_of_the_trade_are_found() {
    type Known<'a> = ([&'a str; 2], &'a [(&'a str, &'a str)]);
    // Common practice, no source: pairs that every coach knows.
    let (accent, lexicon) = us();
    let stock = Stock::new(&lexicon, &accent);
    let all: Vec<Known<'_>> = vec![
        (
            ["ɪ", "i"],
            &[("ship", "sheep"), ("bit", "beat"), ("fill", "feel")],
        ),
        (
            ["θ", "t"],
            &[("thin", "tin"), ("thank", "tank"), ("path", "pat")],
        ),
        (
            ["θ", "s"],
            &[("think", "sink"), ("mouth", "mouse"), ("thick", "sick")],
        ),
        (
            ["l", "ɹ"],
            &[("light", "right"), ("lake", "rake"), ("glass", "grass")],
        ),
        (["v", "w"], &[("vine", "wine"), ("vest", "west")]),
        (
            ["b", "p"],
            &[("bear", "pair"), ("cab", "cap"), ("bin", "pin")],
        ),
        (
            ["s", "z"],
            &[("ice", "eyes"), ("race", "raise"), ("bus", "buzz")],
        ),
        (
            ["ɛ", "æ"],
            &[("bed", "bad"), ("men", "man"), ("pen", "pan")],
        ),
        (
            ["ʌ", "ɑ"],
            &[("cut", "cot"), ("luck", "lock"), ("shut", "shot")],
        ),
        (
            ["ʊ", "u"],
            &[("full", "fool"), ("pull", "pool"), ("look", "luke")],
        ),
        (
            ["t͡ʃ", "ʃ"],
            &[("chair", "share"), ("watch", "wash"), ("cheap", "sheep")],
        ),
        // R-coloured vowels are phonemes of their own.
        (["ɪɹ", "ɝ"], &[("beard", "bird")]),
        (["ɔɹ", "ɝ"], &[("four", "fur"), ("torn", "turn")]),
        (["ɑ", "ɑɹ"], &[("cot", "cart"), ("shop", "sharp")]),
    ];
    let contrasts: Vec<[&str; 2]> = all.iter().map(|it| it.0).collect();
    let every = pairs(&stock, &question(&stock, &contrasts)).found;
    for ([one, other], known) in all {
        let number = |text| stock.sounds.named(text).unwrap();
        let contrast = [number(one), number(other)];
        let word = |it: &Candidate| it.word().to_owned();
        let found: Vec<(String, String)> = every
            .iter()
            .filter(|it| it.contrast == contrast)
            .map(|it| (word(&it.a.candidate), word(&it.b.candidate)))
            .collect();
        for (a, b) in known {
            if *b == "luke" {
                // A name: kept out.
                assert!(!found.iter().any(|it| it.1 == "Luke"), "{one} {other}");
                continue;
            }
            let said = |word: &str| {
                // Of words said alike the commonest makes the pair: its target is enough.
                lexicon.look_up(word).unwrap().targets().next().unwrap()
            };
            let there = found
                .iter()
                .any(|(c, d)| said(c) == said(a) && said(d) == said(b));
            assert!(there, "{one} {other}: {a} {b}");
        }
    }
}

/// The phonemes of a target with the stress on each vowel; a vowel and the r of its syllable
/// are one where they make an r-coloured vowel.
fn units(target: &str, joined: bool) -> Vec<(String, char)> {
    let syllables: Vec<Cut> = cut(target);
    let only = syllables.len() == 1;
    let mut units = Vec::new();
    for syllable in syllables {
        units.extend(syllable.onset.iter().map(|it| (it.clone(), ' ')));
        let mut coda = syllable.coda.iter().peekable();
        let mut nucleus = syllable.nucleus.clone();
        let coloured = ["ɪ", "ɛ", "ɑ", "ɔ", "ʊ"].contains(&nucleus.as_str());
        if joined && coloured && coda.peek().is_some_and(|it| *it == "ɹ") {
            nucleus.push('ɹ');
            coda.next();
        }
        units.push((nucleus, if only { ' ' } else { syllable.stress }));
        units.extend(coda.map(|it| (it.clone(), ' ')));
    }
    units
}

/// The places where two words of the same length differ.
fn differences<'u>(
    one: &'u [(String, char)],
    other: &'u [(String, char)],
) -> Option<Vec<(usize, &'u str, &'u str)>> {
    if one.len() != other.len() || one.iter().zip(other).any(|(a, b)| a.1 != b.1) {
        return None;
    }
    let both = one.iter().zip(other).enumerate();
    let unlike = both.filter(|(_, (a, b))| a.0 != b.0);
    Some(
        unlike
            .map(|(at, (a, b))| (at, a.0.as_str(), b.0.as_str()))
            .collect(),
    )
}

#[test]
fn no_pair_is_missed_and_none_is_wrong() {
    // Against comparing every word that has the one sound with every word that has the other,
    // from the letters of their targets.
    let (accent, lexicon) = us();
    let stock = Stock::new(&lexicon, &accent);
    for contrast in [["ɪ", "i"], ["l", "ɹ"], ["ʃ", "s"], ["ɔɹ", "oʊ"]] {
        let joined = contrast
            .iter()
            .any(|it| "ɪiɔɹoʊ".contains(it) && *it != "ɹ")
            && contrast != ["l", "ɹ"];
        let mut question = question(&stock, &[contrast]);
        question.least = 15.0;
        let result = pairs(&stock, &question);
        let key = |it: &apical::material::Found| {
            let [a, b] = [&it.a, &it.b].map(|it| it.candidate.target().replace('.', ""));
            (a, b)
        };
        let found: BTreeSet<(String, String)> =
            result.found.iter().chain(&result.alike).map(key).collect();
        let words: Vec<(String, Vec<(String, char)>)> = stock
            .candidates(15.0, false)
            .iter()
            .map(|it| (it.target().replace('.', ""), units(&it.target(), joined)))
            .collect();
        let having = |sound: &str| {
            let has =
                |it: &&(String, Vec<(String, char)>)| it.1.iter().any(|it| it.0 == sound);
            words.iter().filter(has).collect::<Vec<_>>()
        };
        let mut expected = BTreeSet::new();
        for (one, a) in having(contrast[0]) {
            for (other, b) in having(contrast[1]) {
                if let Some(unlike) = differences(a, b)
                    && let [(_, x, y)] = unlike.as_slice()
                    && [*x, *y] == contrast
                {
                    expected.insert((one.clone(), other.clone()));
                }
            }
        }
        assert!(expected.len() > 5, "{contrast:?}: {}", expected.len());
        assert_eq!(found, expected, "{contrast:?}");
        // What is printed cannot be said alike in any variant of the two.
        for pair in &result.found {
            let variants = |it: &Candidate| -> Vec<String> {
                it.entry.targets().map(|it| it.replace('.', "")).collect()
            };
            let (a, b) = (variants(&pair.a.candidate), variants(&pair.b.candidate));
            // Cot and caught apart is a contrast of its own, see below.
            assert!(!a.iter().any(|it| b.contains(it)), "{pair:?}");
        }
        let common: Vec<f64> = result
            .found
            .iter()
            .filter(|it| it.alike.is_none())
            .map(|it| it.a.candidate.frequency().min(it.b.candidate.frequency()))
            .collect();
        assert!(
            common.windows(2).all(|two| two[0] >= two[1]),
            "{contrast:?}"
        );
    }
}

fn declared(options: &[&str]) -> Accent {
    let accent = Accent::named("en-US").unwrap();
    accent.declared(options.iter().copied()).unwrap()
}

#[test]
fn what_the_accent_makes_one_is_no_pair() {
    let lexicon = Lexicon::of("en-US").unwrap();
    let found = |options: &[&str], contrast: [&str; 2]| {
        spelled(&Stock::new(&lexicon, &declared(options)), contrast)
    };
    // Cot and caught: the pair goes, and caught is as far from cut as cot is.
    assert!(has(&found(&[], ["ɑ", "ɔ"]), "cot", "caught"));
    // Before r, where the option leaves them apart, it stays one.
    for (a, b) in found(&["cot-caught"], ["ɑ", "ɔ"]) {
        let target = lexicon.look_up(&a).unwrap().targets().next().unwrap();
        assert!(target.contains("ɑ.ɹ") || target.contains("ɑˈɹ"), "{a} {b}");
    }
    let cut = ["ʌ", "ɑ"];
    assert!(
        !has(&found(&[], cut), "dug", "dog") || !has(&found(&[], cut), "cut", "caught")
    );
    let with = Stock::new(&lexicon, &declared(&["cot-caught"]));
    let mut number = question(&with, &[cut]);
    number.least = 0.0;
    let all = pairs(&with, &number).found;
    let caught = lexicon.look_up("caught").unwrap().targets().next().unwrap();
    assert!(caught.contains('ɔ'));
    assert!(all.iter().any(|it| it.b.candidate.target().contains('ɔ')));
    // But before r they stay apart.
    assert!(has(&found(&["cot-caught"], ["ɑɹ", "ɔɹ"]), "far", "for"));
    // Pin and pen, only before m and n.
    assert!(has(&found(&[], ["ɪ", "ɛ"]), "pin", "pen"));
    let south = found(&["pin-pen"], ["ɪ", "ɛ"]);
    assert!(!has(&south, "pin", "pen") && has(&south, "bit", "bet"));
    // Feel and fill, only before l.
    let fill = found(&["feel-fill"], ["i", "ɪ"]);
    assert!(!has(&fill, "feel", "fill") && has(&fill, "feet", "fit"));
    // A flap makes latter and ladder one; a client who aims at a clear t has the pair.
    assert!(!has(&found(&[], ["t", "d"]), "latter", "ladder"));
    assert!(has(&found(&["no-flap"], ["t", "d"]), "latter", "ladder"));
    assert!(has(&found(&[], ["t", "d"]), "seat", "seed"));
}

#[test]
fn what_only_some_say_alike_is_marked_and_stands_last() {
    // Some raise the vowel of bag towards that of beg (Carley and Mees, from memory).
    let (accent, lexicon) = us();
    let stock = Stock::new(&lexicon, &accent);
    let found = pairs(&stock, &question(&stock, &[["æ", "ɛ"]])).found;
    let bag = found
        .iter()
        .find(|it| it.a.candidate.word() == "bag")
        .unwrap();
    assert_eq!(bag.b.candidate.word(), "beg");
    assert!(bag.alike.is_some());
    let bad = found
        .iter()
        .find(|it| it.a.candidate.word() == "bad")
        .unwrap();
    assert!(bad.alike.is_none());
    let marks: Vec<bool> = found.iter().map(|it| it.alike.is_some()).collect();
    assert!(marks.windows(2).all(|two| two[0] <= two[1]));
}

#[test]
fn places_and_sounds_ruled_out_are_kept_to() {
    let (accent, lexicon) = us();
    let stock = Stock::new(&lexicon, &accent);
    let all = question(&stock, &[["s", "z"]]);
    for position in [Position::Initial, Position::Medial, Position::Final] {
        let question = Question {
            position: Some(position),
            ..all.clone()
        };
        let found = pairs(&stock, &question).found;
        assert!(!found.is_empty(), "{position:?}");
        for pair in found {
            // Where the sound stands among the consonants around the vowels.
            let sounds: Vec<(String, char)> = units(&pair.a.candidate.target(), false);
            let vowel = |it: &(String, char)| {
                "iɪɛæɑɔʊuʌəɝɚeao".contains(it.0.chars().next().unwrap())
            };
            let first = sounds.iter().position(vowel).unwrap();
            let last = sounds.iter().rposition(vowel).unwrap();
            let expected = match pair.a.at {
                at if at < first => Position::Initial,
                at if at > last => Position::Final,
                _ => Position::Medial,
            };
            assert_eq!(position, expected, "{pair:?}");
            assert_eq!(sounds[pair.a.at].0, "s");
        }
    }
    let without = apical::material::SoundWish::parse("ɹ", &stock.sounds).unwrap();
    let question = Question {
        without: vec![without],
        ..all
    };
    for pair in pairs(&stock, &question).found {
        for word in [pair.a, pair.b] {
            assert!(word.candidate.entry.targets().all(|it| !it.contains('ɹ')));
        }
    }
}

#[test]
fn sets_differ_in_one_place_only() {
    let (accent, lexicon) = us();
    let stock = Stock::new(&lexicon, &accent);
    let sounds = ["i", "ɪ", "ɛ", "æ"];
    let numbers = sounds.map(|it| stock.sounds.named(it).unwrap());
    let mut question = question(&stock, &[]);
    question.least = 3.0;
    let (sets, _) = minimal_sets(&stock, &numbers, &question);
    let words = |set: &Vec<apical::material::Slot>| -> Vec<&str> {
        set.iter().map(|it| it.candidate.word()).collect()
    };
    // Common practice, no source.
    assert!(
        sets.iter()
            .any(|set| words(set) == ["beat", "bit", "bet", "bat"])
    );
    for set in &sets {
        let all: Vec<Vec<(String, char)>> = set
            .iter()
            .map(|it| units(&it.candidate.target(), true))
            .collect();
        for (at, one) in all.iter().enumerate() {
            for (to, other) in all.iter().enumerate().skip(at + 1) {
                let unlike = differences(one, other).expect("same length");
                let [(_, a, b)] = unlike.as_slice() else {
                    panic!("{:?}", words(set));
                };
                assert_eq!([*a, *b], [sounds[at], sounds[to]]);
            }
        }
    }
    // None is missed: every word with the first sound, and the others made from its letters.
    let targets: BTreeSet<Vec<(String, char)>> = stock
        .candidates(3.0, false)
        .iter()
        .map(|it| units(&it.target(), true))
        .collect();
    let mut expected = 0;
    for units in &targets {
        for at in 0..units.len() {
            let other = |sound: &str| {
                let mut other = units.clone();
                other[at].0 = sound.to_owned();
                targets.contains(&other)
            };
            if units[at].0 == "i" && sounds[1..].iter().all(|it| other(it)) {
                expected += 1;
            }
        }
    }
    let (all, left_out) = minimal_sets(&stock, &numbers, &question);
    assert_eq!(all.len() + left_out, expected);
    assert!(expected >= 5, "{expected}");
}

#[test]
fn near_pairs_differ_in_one_sound_more_and_say_so() {
    let (accent, lexicon) = us();
    let stock = Stock::new(&lexicon, &accent);
    let mut question = question(&stock, &[["θ", "ð"]]);
    question.least = 1.0;
    let found = near_pairs(&stock, &question).found;
    assert!(found.len() > 5, "{}", found.len());
    for pair in &found {
        let [a, b] = [&pair.a, &pair.b].map(|it| units(&it.candidate.target(), false));
        let unlike = differences(&a, &b).expect("same length and stress");
        let [(one, ..), (other, ..)] = unlike.as_slice() else {
            panic!("{unlike:?}");
        };
        assert!(one.abs_diff(*other) > 1, "{pair:?}");
        assert!(unlike.iter().any(|(_, a, b)| (*a, *b) == ("θ", "ð")));
        let near = pair.near.expect("it is labelled");
        let texts = [near.a, near.b].map(|it| stock.sounds.text(it));
        assert!(unlike.iter().any(|(_, a, b)| [*a, *b] == texts));
    }
    let (out, _, _) = told(&mut apical(&["pairs", "θ", "ð", "--near", "-n", "3"]));
    assert!(
        out.contains("Near-minimal pairs, one sound more differs: 3 of "),
        "{out}"
    );
    let (out, _, _) = told(&mut apical(&["pairs", "θ", "ð", "-n", "3"]));
    assert!(!out.contains("Near-minimal"), "{out}");
}

#[test]
fn rules_and_several_contrasts_are_taken() {
    let (out, error, status) = told(&mut apical(&["pairs", "θ-s", "ð-z", "-n", "5"]));
    assert_eq!(status, 0, "{error}");
    assert!(out.starts_with("θ – s, ð – z: 5 of "), "{out}");
    let rule = "C[+fricative, +voice] → [-voice]";
    let (out, error, status) = told(&mut apical(&["pairs", rule, "--final", "-n", "5"]));
    assert_eq!(status, 0, "{error}");
    for contrast in ["v – f", "ð – θ", "z – s"] {
        assert!(out.contains(contrast), "{out}");
    }
}

#[test]
fn what_cannot_be_is_said_with_its_remedy() {
    let cases: &[(&[&str], &[&str])] = &[
        (
            &["pairs", "i"],
            &["a contrast is of two sounds", "apical pairs i ɪ"],
        ),
        (&["pairs", "i", "i"], &["named twice"]),
        (&["pairs", "i", "ɪ", "ɛ"], &["these are 3 sounds", "--set"]),
        (
            &["pairs", "i", "ø"],
            &["pairs ø", "no sound of General American", "nearest"],
        ),
        (&["pairs", "--set", "i", "ɪ"], &["three sounds or more"]),
        (
            &["pairs", "h", "ŋ"],
            &[
                "no two words of General American differ",
                "ask for another contrast",
            ],
        ),
        (
            &[
                "pairs",
                "ɑ",
                "ɔ",
                "--without",
                "ɹ",
                "--accent-option",
                "cot-caught",
            ],
            &["cot-caught makes ɔ and ɑ one sound", "no-cot-caught"],
        ),
        (
            &["pairs", "θ", "ð", "--initial", "--syllables", "4"],
            &["without --syllables"],
        ),
        (&["pairs", "C[+nasal", "→", "m"], &["is never closed"]),
    ];
    for (arguments, expected) in cases {
        let (out, error, status) = told(&mut apical(arguments));
        assert_eq!((out.as_str(), status), ("", 2), "{arguments:?}: {error}");
        for text in *expected {
            assert!(error.contains(text), "{arguments:?}: {error}");
        }
    }
}
