//! Words to drill are those that were asked for, all of them and no others; what is held back
//! stays out of every drill; and what is written can be read again.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use apical::accent::Accent;
use apical::finding::item::Pairing;
use apical::lexicon::{Kind, Lexicon};
use apical::material::{Candidate, Cluster, Draw, SoundWish, Stock, Wish, choose};
use apical::notation::Transcription;
use apical::syllable::{Part, Position, Stress};

use crate::program::{apical, fed, told};

/// A syllable, taken from the letters of a target and nothing else.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Cut {
    /// `ˈ`, `ˌ`, or `.` for none.
    pub(crate) stress: char,
    pub(crate) onset: Vec<String>,
    pub(crate) nucleus: String,
    pub(crate) coda: Vec<String>,
}

/// General American's vowels as the word list writes them, longest first.
const VOWELS: &[&str] = &[
    "eɪ", "aɪ", "ɔɪ", "aʊ", "oʊ", "i", "ɪ", "ɛ", "æ", "ɑ", "ɔ", "ʊ", "u", "ʌ", "ə", "ɝ",
    "ɚ",
];

/// Cuts a target at its marks and its syllables at their vowels: another way than the
/// program's, which goes by the numbers of the packed list.
pub(crate) fn cut(target: &str) -> Vec<Cut> {
    let mut syllables: Vec<(char, String)> = Vec::new();
    for c in target.chars() {
        match c {
            'ˈ' | 'ˌ' | '.' => syllables.push((c, String::new())),
            c => {
                if syllables.is_empty() {
                    syllables.push(('.', String::new()));
                }
                syllables.last_mut().unwrap().1.push(c);
            }
        }
    }
    let only = syllables.len() == 1;
    syllables
        .into_iter()
        .map(|(stress, text)| {
            let (mut onset, mut nucleus, mut coda) =
                (Vec::new(), String::new(), Vec::new());
            let mut rest = text.as_str();
            while !rest.is_empty() {
                let vowel = VOWELS.iter().find(|it| rest.starts_with(**it));
                if let Some(vowel) = vowel.filter(|_| nucleus.is_empty()) {
                    nucleus = (*vowel).to_owned();
                    rest = &rest[vowel.len()..];
                    continue;
                }
                let length = ["t͡ʃ", "d͡ʒ"]
                    .iter()
                    .find(|it| rest.starts_with(**it))
                    .map_or(rest.chars().next().unwrap().len_utf8(), |it| it.len());
                let side = if nucleus.is_empty() {
                    &mut onset
                } else {
                    &mut coda
                };
                side.push(rest[..length].to_owned());
                rest = &rest[length..];
            }
            Cut {
                stress: if only { 'ˈ' } else { stress },
                onset,
                nucleus,
                coda,
            }
        })
        .collect()
}

pub(crate) fn us() -> (Accent, Lexicon) {
    (
        Accent::named("en-US").unwrap(),
        Lexicon::of("en-US").unwrap(),
    )
}

fn all_forms() -> Draw {
    Draw {
        count: usize::MAX,
        hold_back: 0,
        seed: None,
        all_forms: true,
        except: Vec::new(),
        every_kind: false,
    }
}

fn sound(text: &str, stock: &Stock<'_>) -> SoundWish {
    SoundWish::parse(text, &stock.sounds).unwrap()
}

fn names(list: &[Candidate]) -> Vec<&str> {
    list.iter().map(Candidate::word).collect()
}

#[test]
fn words_are_read_as_the_accent_reads_their_targets() {
    let (accent, lexicon) = us();
    let stock = Stock::new(&lexicon, &accent);
    let mut pairing = Pairing::new(&accent);
    for entry in lexicon.commonest_first().iter().take(4_000) {
        for (sounds, target) in entry.sounds().zip(entry.targets()) {
            let side = pairing.side(&Transcription::parse(&format!("/{target}/")));
            let typed = stock.sounds.of_side(&side).expect(&target);
            assert_eq!(stock.sounds.of_entry(&sounds), typed, "{target}");
        }
    }
}

type Test = fn(&[Cut]) -> bool;

#[test]
fn every_word_that_fits_is_found_and_no_other() {
    let (accent, lexicon) = us();
    let stock = Stock::new(&lexicon, &accent);
    let one = |text: &str| vec![sound(text, &stock)];
    let number = |text: &str| stock.sounds.named(text).unwrap();
    let cases: Vec<(&str, Wish, Test)> = vec![
        (
            "θ initial",
            Wish {
                sounds: one("θ"),
                position: Some(Position::Initial),
                ..Wish::default()
            },
            |word| word[0].onset.iter().any(|it| it == "θ"),
        ),
        (
            "z final",
            Wish {
                sounds: one("z"),
                position: Some(Position::Final),
                ..Wish::default()
            },
            |word| word.last().unwrap().coda.iter().any(|it| it == "z"),
        ),
        (
            "ɹ in a coda",
            Wish {
                sounds: one("ɹ"),
                part: Some(Part::Coda),
                ..Wish::default()
            },
            |word| word.iter().any(|it| it.coda.iter().any(|it| it == "ɹ")),
        ),
        (
            "the cluster st",
            Wish {
                cluster: Some(Cluster::Exactly(vec![number("s"), number("t")])),
                ..Wish::default()
            },
            |word| {
                word.iter()
                    .any(|it| it.onset == ["s", "t"] || it.coda == ["s", "t"])
            },
        ),
        (
            "l in a cluster",
            Wish {
                sounds: one("l"),
                cluster: Some(Cluster::Any),
                ..Wish::default()
            },
            |word| {
                let has = |side: &Vec<String>| {
                    side.len() > 1 && side.iter().any(|it| it == "l")
                };
                word.iter().any(|it| has(&it.onset) || has(&it.coda))
            },
        ),
        (
            "i unstressed, two syllables",
            Wish {
                sounds: one("i"),
                stressed: Some(false),
                syllables: Some((2, 2)),
                ..Wish::default()
            },
            |word| {
                word.len() == 2
                    && word.iter().any(|it| it.stress == '.' && it.nucleus == "i")
            },
        ),
        (
            "010, no clusters, no ɹ",
            Wish {
                stress: Some(vec![Stress::None, Stress::Primary, Stress::None]),
                no_clusters: true,
                without: one("ɹ"),
                ..Wish::default()
            },
            |word| {
                let stresses: String = word.iter().map(|it| it.stress).collect();
                let small = |it: &Cut| it.onset.len() < 2 && it.coda.len() < 2;
                let r = |it: &Cut| it.onset.iter().chain(&it.coda).any(|it| it == "ɹ");
                stresses == ".ˈ." && word.iter().all(small) && !word.iter().any(r)
            },
        ),
        (
            "ɔɹ, not plain ɔ",
            Wish {
                sounds: one("ɔɹ"),
                ..Wish::default()
            },
            |word| {
                let r = |it: &Cut| it.coda.first().is_some_and(|it| it == "ɹ");
                word.iter().any(|it| it.nucleus == "ɔ" && r(it))
            },
        ),
        (
            "ɔ, not before its r",
            Wish {
                sounds: one("ɔ"),
                ..Wish::default()
            },
            |word| {
                let r = |it: &Cut| it.coda.first().is_some_and(|it| it == "ɹ");
                word.iter().any(|it| it.nucleus == "ɔ" && !r(it))
            },
        ),
        (
            "a voiceless fricative that begins the word",
            Wish {
                sounds: one("C[+fricative, -voice]"),
                position: Some(Position::Initial),
                ..Wish::default()
            },
            |word| {
                let these = ["f", "θ", "s", "ʃ", "h"];
                word[0].onset.iter().any(|it| these.contains(&it.as_str()))
            },
        ),
    ];
    // The words that may come up at all, and what their targets say.
    let candidates = stock.candidates(1.0, false);
    assert!(candidates.len() > 15_000, "{}", candidates.len());
    for (name, wish, fits) in cases {
        let wish = Wish { least: 1.0, ..wish };
        let chosen = choose(&stock, &wish, &all_forms()).expect(name);
        let found: BTreeSet<&str> = names(&chosen.drill).into_iter().collect();
        let expected: BTreeSet<&str> = candidates
            .iter()
            .filter(|it| fits(&cut(&it.target())))
            .filter(|it| {
                // A variant with r rules a word out too.
                wish.without.is_empty()
                    || !it.entry.targets().any(|target| target.contains('ɹ'))
            })
            .map(|it| it.word())
            .collect();
        let missing: Vec<_> = expected.difference(&found).collect();
        let wrong: Vec<_> = found.difference(&expected).collect();
        assert!(missing.is_empty(), "{name} lacks {missing:?}");
        assert!(wrong.is_empty(), "{name} has {wrong:?}");
        assert!(found.len() > 20, "{name}: {}", found.len());
    }
}

#[test]
fn what_comes_up_can_be_put_before_a_client() {
    // Common practice, no source: everyday words of the trade are there, and what would
    // embarrass is not, whatever its form.
    let (accent, lexicon) = us();
    let stock = Stock::new(&lexicon, &accent);
    let all: BTreeSet<&str> = stock
        .candidates(0.0, true)
        .iter()
        .map(|it| it.word())
        .collect();
    for word in ["think", "thumb", "sheep", "ship", "rabbit", "lake", "a"] {
        assert!(all.contains(word), "{word}");
    }
    for word in [
        "bitch", "shits", "pissed", "fucking", "niggers", "don't", "b", "s",
    ] {
        assert!(!all.contains(word), "{word}");
    }
    let ordinary = stock.candidates(1.0, false);
    assert!(ordinary.iter().all(|it| it.entry.kind() == Kind::Word));
    let frequencies: Vec<f64> = ordinary.iter().map(Candidate::frequency).collect();
    assert!(frequencies.windows(2).all(|two| two[0] >= two[1]));
    assert!(frequencies.iter().all(|it| *it >= 1.0));
}

#[test]
fn forms_of_one_word_and_words_said_alike_count_once() {
    let (accent, lexicon) = us();
    let stock = Stock::new(&lexicon, &accent);
    let same = |a: &str, b: &str| {
        let (a, b) = (stock.keys(a), stock.keys(b));
        a.iter().any(|it| b.contains(it))
    };
    // From memory: regular and irregular forms, and homophones.
    for (a, b) in [
        ("think", "thinks"),
        ("think", "thinking"),
        ("think", "thought"),
        ("stop", "stopped"),
        ("make", "making"),
        ("study", "studies"),
        ("watch", "watches"),
        ("big", "bigger"),
        ("happy", "happiest"),
        ("mouse", "mice"),
        ("leaf", "leaves"),
        ("dog", "dog's"),
        ("weather", "whether"),
        ("their", "there"),
    ] {
        assert!(same(a, b), "{a} {b}");
    }
    for (a, b) in [
        ("let", "letter"),
        ("thin", "thing"),
        ("bed", "bad"),
        ("corn", "corner"),
        ("cot", "caught"),
        ("sing", "single"),
    ] {
        assert!(!same(a, b), "{a} {b}");
    }
    let merged = accent.declared(["cot-caught"]).unwrap();
    let merged = Stock::new(&lexicon, &merged);
    let keys = |word: &str| merged.keys(word);
    assert!(keys("cot").iter().any(|it| keys("caught").contains(it)));
}

#[test]
fn what_is_held_back_is_in_no_drill_whatever_the_seed() {
    let (accent, lexicon) = us();
    let stock = Stock::new(&lexicon, &accent);
    let wish = Wish {
        sounds: vec![sound("s", &stock)],
        position: Some(Position::Final),
        least: 20.0,
        ..Wish::default()
    };
    let mut differ = BTreeSet::new();
    for seed in (0..8).map(Some).chain([None]) {
        for all_forms in [false, true] {
            let draw = Draw {
                count: 60,
                hold_back: 15,
                seed,
                all_forms,
                ..self::all_forms()
            };
            let chosen = choose(&stock, &wish, &draw).unwrap();
            assert_eq!((chosen.drill.len(), chosen.probes.len()), (60, 15));
            assert_eq!(
                names(&choose(&stock, &wish, &draw).unwrap().drill),
                names(&chosen.drill)
            );
            differ.insert(names(&chosen.drill).join(" "));
            for probe in &chosen.probes {
                let said: Vec<String> = probe.entry.targets().collect();
                for word in &chosen.drill {
                    let (a, b) = (probe.word(), word.word());
                    let alike = word.entry.targets().any(|it| said.contains(&it));
                    // Another judgement of forms than the program's: by spelling alone.
                    let form = |short: &str, long: &str| {
                        ["", "s", "es", "ed", "ing", "'s"]
                            .iter()
                            .any(|ending| format!("{short}{ending}") == long)
                    };
                    assert!(!alike && !form(a, b) && !form(b, a), "{a} {b} {seed:?}");
                }
            }
            // A later drill that leaves the probes out has none of them either.
            let later = Draw {
                count: usize::MAX,
                hold_back: 0,
                except: names(&chosen.probes)
                    .into_iter()
                    .map(str::to_owned)
                    .collect(),
                ..draw
            };
            let later = choose(&stock, &wish, &later).unwrap();
            assert!(later.excepted >= 15);
            for probe in &chosen.probes {
                assert!(!names(&later.drill).contains(&probe.word()));
            }
        }
    }
    assert!(differ.len() > 12, "seeds draw the same: {}", differ.len());
}

#[test]
fn probes_are_about_as_common_as_what_is_drilled() {
    let (accent, lexicon) = us();
    let stock = Stock::new(&lexicon, &accent);
    let wish = Wish {
        sounds: vec![sound("l", &stock)],
        least: 1.0,
        ..Wish::default()
    };
    let draw = Draw {
        count: 40,
        hold_back: 10,
        all_forms: false,
        ..all_forms()
    };
    let chosen = choose(&stock, &wish, &draw).unwrap();
    let middle = |list: &[Candidate]| {
        let zipf: f64 = list.iter().filter_map(|it| it.entry.zipf()).sum();
        zipf / list.len() as f64
    };
    let apart = (middle(&chosen.drill) - middle(&chosen.probes)).abs();
    assert!(apart < 0.2, "{apart}");
}

fn scratch(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_file(&path);
    path
}

#[test]
fn sheets_are_read_by_what_comes_after() {
    let (sheet, probes) = (scratch("drill-θ.tsv"), scratch("probes-θ.tsv"));
    let (sheet, probes) = (sheet.to_str().unwrap(), probes.to_str().unwrap());
    let drill = [
        "words",
        "θ",
        "--initial",
        "-n",
        "6",
        "--hold-back",
        "3",
        "--sheet",
        sheet,
        "--probes",
        probes,
    ];
    let (out, error, status) = told(&mut apical(&drill));
    assert_eq!(status, 0, "{error}");
    assert!(out.starts_with("θ at the start of a word: 6 of "), "{out}");
    let text = std::fs::read_to_string(sheet).unwrap();
    assert!(
        text.starts_with("word\ttarget\tproduction\taccepted\n"),
        "{text}"
    );
    assert_eq!(text.lines().count(), 7);
    // Said as the targets have it, everything is right.
    let said: String = text
        .lines()
        .map(|line| {
            let cells: Vec<&str> = line.split('\t').collect();
            if cells[0] == "word" {
                format!("{line}\n")
            } else {
                format!("{}\t{}\t{}\t{}\n", cells[0], cells[1], cells[1], cells[3])
            }
        })
        .collect();
    let read = fed(&["analyze", "-", "--input", "tsv"], said.as_bytes());
    let read = String::from_utf8(read.stdout).unwrap();
    assert!(
        read.contains("6 words: all said right") || read.contains("6 said right"),
        "{read}"
    );
    // A second run does not write over a sheet.
    let (_, error, status) = told(&mut apical(&drill));
    assert_eq!(status, 2);
    assert!(error.contains("there is such a file already"), "{error}");
    assert_eq!(std::fs::read_to_string(sheet).unwrap(), text);
    // The probes stay out of the next drill.
    let later = ["words", "θ", "--initial", "-n", "all", "--except", probes];
    let (out, _, _) = told(&mut apical(&later));
    assert!(out.contains("left out: in the sheets named"), "{out}");
    for line in std::fs::read_to_string(probes).unwrap().lines().skip(1) {
        let word = line.split('\t').next().unwrap();
        assert!(!out.contains(&format!("\n  {word} ")), "{word}: {out}");
    }
}

#[test]
fn what_cannot_be_is_said_with_its_remedy() {
    let cases: &[(&[&str], &[&str])] = &[
        (
            &["words", "x"],
            &["words x", "it is no sound of General American", "θ (thick)"],
        ),
        (&["words", "ç"], &["the nearest of its sounds:", "(she)"]),
        (
            &["words", "[+loud]"],
            &["unknown feature `loud`", "fricative"],
        ),
        (
            &["words", "θ", "--without", "s,θ"],
            &["--without θ", "asked for and ruled out"],
        ),
        (
            &["words", "i", "--coda"],
            &["--coda", "is a vowel", "nucleus"],
        ),
        (
            &["words", "--initial"],
            &["name it: apical words θ --initial"],
        ),
        (
            &["words", "--stress", "011"],
            &["--stress 011", "one primary stress"],
        ),
        (
            &["words", "--stress", "01", "--syllables", "3"],
            &["these are 2 syllables"],
        ),
        (
            &["words", "--cluster", "sit"],
            &["ɪ is a vowel", "--cluster st"],
        ),
        (
            &["words", "--cluster", "s"],
            &["one consonant is no cluster"],
        ),
        (&["words", "θ", "--cluster", "st"], &["θ is not in it"]),
        (
            &["words", "ŋ", "--initial"],
            &[
                "no word of General American is all of this",
                "without --initial ",
            ],
        ),
        (
            &["words", "ŋ", "--initial", "--syllables", "9"],
            &[
                "no one of the conditions alone",
                "without --initial and --syllables",
            ],
        ),
        (
            &["words", "θ", "--accent", "en-GB"],
            &["no word list", "en-US"],
        ),
        (
            &["words", "θ", "--format", "tsv", "--hold-back", "3"],
            &["--hold-back", "--probes probes.tsv"],
        ),
        (&["words", "θ", "--syllables", "3-2"], &["the larger one"]),
        (
            &["words", "θ", "--except", "no-such-file"],
            &["there is no such file"],
        ),
    ];
    for (arguments, expected) in cases {
        let arguments: Vec<&str> = arguments
            .iter()
            .map(|it| if *it == "sit" { "sɪt" } else { it })
            .collect();
        let (out, error, status) = told(&mut apical(&arguments));
        assert_eq!((out.as_str(), status), ("", 2), "{arguments:?}: {error}");
        for text in *expected {
            assert!(error.contains(text), "{arguments:?}: {error}");
        }
    }
    // How many words loosening brings back is what loosening brings back.
    let (_, error, _) = told(&mut apical(&["words", "h", "--final"]));
    let promised = error.split("without --final ").nth(1).expect(&error);
    let promised: usize = promised.split(' ').next().unwrap().parse().unwrap();
    let all = ["words", "h", "-n", "all", "--all-forms", "--format", "tsv"];
    let (out, _, _) = told(&mut apical(&all));
    assert_eq!(out.lines().count() - 1, promised);
}
