//! What a word list gives chances for is counted as the letters of its targets say, and the
//! words to add fill every gap that words can fill.

use std::collections::BTreeMap;

use apical::lexicon::Lexicon;
use apical::material::{Cover, cover};
use serde_json::Value;

use crate::program::fed;
use crate::words_to_drill_are_as_asked_for::{Cut, cut};

const LIST: &str = "ship\nsheep\nthink\nthree\nstrength\nbanana\nteacher\nmeasure\n\
                    car\nworld\nspring, sixths\nblack bird # a phrase\n";

fn sample(list: &str, arguments: &[&str]) -> Value {
    let arguments = [&["sample", "-", "--format", "json"], arguments].concat();
    let output = fed(&arguments, list.as_bytes());
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// Chances by sound and place, and by cluster, from the letters of targets.
#[derive(Default)]
struct Counted {
    places: BTreeMap<(String, &'static str), u64>,
    clusters: BTreeMap<(&'static str, String), u64>,
}

impl Counted {
    fn add(&mut self, target: &str) {
        let syllables: Vec<Cut> = cut(target);
        let last = syllables.len() - 1;
        let mut tell = |sound: String, places: &[&'static str]| {
            for place in places.iter().chain(&["all"]) {
                *self.places.entry((sound.clone(), place)).or_default() += 1;
            }
        };
        for (at, syllable) in syllables.iter().enumerate() {
            let stress = if syllable.stress == '.' {
                "unstressed"
            } else {
                "stressed"
            };
            let start = if at == 0 { "initial" } else { "medial" };
            let end = if at == last { "final" } else { "medial" };
            for sound in &syllable.onset {
                tell(sound.clone(), &["onset", start, stress]);
            }
            let coloured = ["ɪ", "ɛ", "ɑ", "ɔ", "ʊ"].contains(&syllable.nucleus.as_str())
                && syllable.coda.first().is_some_and(|it| it == "ɹ");
            let r = if coloured { "ɹ" } else { "" };
            let opens = at == 0 && syllable.onset.is_empty();
            let closes = at == last && syllable.coda.len() == usize::from(coloured);
            let place = match (opens, closes) {
                (true, _) => "initial",
                (false, true) => "final",
                (false, false) => "medial",
            };
            tell(format!("{}{r}", syllable.nucleus), &[place, stress]);
            for sound in &syllable.coda {
                tell(sound.clone(), &["coda", end, stress]);
            }
            for (part, run) in [("onset", &syllable.onset), ("coda", &syllable.coda)] {
                if run.len() > 1 {
                    *self.clusters.entry((part, run.concat())).or_default() += 1;
                }
            }
        }
    }
}

#[test]
fn chances_are_counted_as_the_letters_say() {
    let lexicon = Lexicon::of("en-US").unwrap();
    let mut expected = Counted::default();
    for word in LIST.split(['\n', ',', ' ']).filter(|it| !it.is_empty()) {
        if word == "#" || word == "a" || word == "phrase" {
            continue;
        }
        let target = lexicon.look_up(word).expect(word).targets().next().unwrap();
        expected.add(&target);
    }
    let found = sample(LIST, &[]);
    assert_eq!(found["words"], 14);
    for sound in found["sounds"].as_array().unwrap() {
        let name = sound["sound"].as_str().unwrap();
        for place in [
            "all",
            "initial",
            "medial",
            "final",
            "onset",
            "coda",
            "stressed",
            "unstressed",
        ] {
            let wanted = expected.places.get(&(name.to_owned(), place)).copied();
            assert_eq!(sound[place], wanted.unwrap_or(0), "{name} {place}");
        }
    }
    let mut clusters = 0;
    for cluster in found["clusters"].as_array().unwrap() {
        let sounds: String = cluster["sounds"]
            .as_array()
            .unwrap()
            .iter()
            .map(|it| it.as_str().unwrap())
            .collect();
        let part = if cluster["syllable_part"] == "onset" {
            "onset"
        } else {
            "coda"
        };
        let wanted = expected.clusters.get(&(part, sounds.clone())).copied();
        assert_eq!(cluster["all"], wanted.unwrap_or(0), "{sounds} {part}");
        clusters += wanted.unwrap_or(0);
    }
    assert_eq!(clusters, expected.clusters.values().sum::<u64>());
}

#[test]
fn the_words_to_add_fill_every_gap() {
    let lexicon = Lexicon::of("en-US").unwrap();
    for (list, arguments) in [
        (LIST, &[][..]),
        ("think\n", &["--chances", "2"]),
        (
            "rabbit\nlake\n",
            &["--cluster-chances", "0", "--syllables", "1-2"],
        ),
        ("rabbit\n", &["--chances", "1", "--without", "ɹ,ɝ,ɚ"]),
    ] {
        let before = sample(list, arguments);
        let added: Vec<&str> = before["add"]
            .as_array()
            .unwrap()
            .iter()
            .map(|it| it["word"].as_str().unwrap())
            .collect();
        let mut counted = Counted::default();
        for word in &added {
            assert!(!list.contains(word), "{word} is there already");
            let target = lexicon.look_up(word).unwrap().targets().next().unwrap();
            counted.add(&target);
        }
        for gap in before["gaps"].as_array().unwrap() {
            let sounds: Vec<&str> = gap["sounds"]
                .as_array()
                .unwrap()
                .iter()
                .map(|it| it.as_str().unwrap())
                .collect();
            let filled = if let Some(part) = gap["syllable_part"].as_str() {
                let part = if part == "onset" { "onset" } else { "coda" };
                counted.clusters.get(&(part, sounds.concat())).copied()
            } else {
                let place = match gap["position"].as_str() {
                    None => "all",
                    Some("initial") => "initial",
                    Some("medial") => "medial",
                    Some(_) => "final",
                };
                counted.places.get(&(sounds.concat(), place)).copied()
            };
            let number = |name: &str| gap[name].as_u64().unwrap();
            assert!(
                number("has") + filled.unwrap_or(0) + number("stays_open")
                    >= number("wanted"),
                "{arguments:?}: {gap}"
            );
        }
        let at_least = before["add_at_least"].as_u64().unwrap();
        assert!(at_least > 0 && at_least <= added.len() as u64);
        // With the words added nothing that words can fill is missing.
        let longer = format!("{list}{}\n", added.join("\n"));
        let after = sample(&longer, arguments);
        for gap in after["gaps"].as_array().unwrap() {
            assert!(
                gap["stays_open"].as_u64().unwrap() > 0,
                "{arguments:?}: {gap}"
            );
        }
    }
}

#[test]
fn the_bound_holds_and_the_list_is_near_it() {
    // Against trying every list of up to twelve words.
    let mut state = 7_u64;
    let mut below = |bound: u64| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        usize::try_from((state >> 33) % bound).unwrap()
    };
    let mut longer = 0;
    for _ in 0..150 {
        let needs = 3 + below(5);
        let need: Vec<usize> = (0..needs).map(|_| 1 + below(3)).collect();
        let gives: Vec<Vec<(usize, usize)>> = (0..12)
            .map(|_| {
                (0..needs)
                    .filter_map(|cell| {
                        let times = below(3);
                        (times > 0 && below(2) == 0).then_some((cell, times))
                    })
                    .collect()
            })
            .collect();
        let Cover {
            chosen,
            at_least,
            open,
        } = cover(&need, &gives, &mut |_, _| true);
        let sum = |words: &[usize], cell: usize| -> usize {
            words
                .iter()
                .flat_map(|it| &gives[*it])
                .filter(|it| it.0 == cell)
                .map(|it| it.1)
                .sum()
        };
        let missing =
            |cell: usize| open.iter().find(|it| it.0 == cell).map_or(0, |it| it.1);
        let filled: Vec<usize> = (0..needs).map(|it| need[it] - missing(it)).collect();
        let all: Vec<usize> = (0..12).collect();
        for cell in 0..needs {
            assert!(sum(&chosen, cell) >= filled[cell]);
            // Nothing stays open that words could fill.
            assert_eq!(filled[cell], need[cell].min(sum(&all, cell)));
        }
        let shortest = (0_u32..1 << 12)
            .filter(|set| {
                let words: Vec<usize> = (0..12).filter(|it| set >> it & 1 == 1).collect();
                (0..needs).all(|cell| sum(&words, cell) >= filled[cell])
            })
            .map(u32::count_ones)
            .min()
            .unwrap() as usize;
        assert!(at_least <= shortest, "{at_least} {shortest}");
        assert!(chosen.len() >= shortest);
        longer += chosen.len() - shortest;
    }
    assert!(longer <= 15, "{longer} words too many in 150 lists");
}

#[test]
fn what_cannot_be_counted_is_said_and_the_rest_counts() {
    let list = "word\ttarget\nthink\t\nthwink\t\nfoo\tfyː\nbar\t[b\nzat\tzæt\n";
    let found = sample(list, &[]);
    assert_eq!(found["words"], 2);
    let reasons: Vec<(u64, &str)> = found["left_out"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| (it["row"].as_u64().unwrap(), it["reason"].as_str().unwrap()))
        .collect();
    assert_eq!(reasons.len(), 3, "{reasons:?}");
    assert!(
        reasons[0].0 == 3 && reasons[0].1.contains("no entry “thwink”"),
        "{reasons:?}"
    );
    assert!(
        reasons[1].0 == 4 && reasons[1].1.contains("no sound of General"),
        "{reasons:?}"
    );
    assert!(
        reasons[2].0 == 5 && reasons[2].1.contains("cannot be read"),
        "{reasons:?}"
    );
    for (list, reason) in [
        ("", "there is no word in it"),
        ("\n# nothing\n", "there is no word in it"),
    ] {
        let output = fed(&["sample", "-"], list.as_bytes());
        let error = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2));
        assert!(error.contains(reason), "{error}");
    }
    let output = fed(&["sample", "-", "--input", "tsv"], b"sound\tkind\nx\ty\n");
    let error = String::from_utf8(output.stderr).unwrap();
    assert!(error.contains("there are: sound, kind"), "{error}");
}
