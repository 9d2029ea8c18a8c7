//! Each feature moves its own organ, in the direction that phonetics teaches.

use apical::accent::Accent;
use apical::articulation::bundle;
use apical::feature::{Backness, FeatureBundle, Height, Jaw, Place};
use apical::notation::Transcription;
use apical::posture::gesture::{self, Gesture};
use apical::posture::mouth::Mouth;
use apical::posture::movement::{self, Organ};

use crate::the_tongue_stays_in_the_mouth::letters;

/// The first moment of a sound, as an accent teaches it if one is named.
fn sound(text: &str, accent: Option<&str>) -> Gesture {
    let read = Transcription::parse(text);
    let bundle = bundle(&read.segments().next().unwrap());
    let accent = accent.map(|name| Accent::named(name).unwrap());
    let coaching = accent.and_then(|accent| accent.posture(&bundle));
    gesture::of(&bundle, coaching).remove(0)
}

fn taught(text: &str) -> Gesture {
    sound(text, Some("en-US"))
}

#[test]
fn jaw_falls_and_tongue_sinks_from_close_to_open() {
    for backness in Backness::ALL.iter().copied() {
        for rounded in [false, true] {
            let row: Vec<(f64, f64)> = Height::ALL
                .iter()
                .map(|height| {
                    let vowel = FeatureBundle {
                        height: Some(*height),
                        backness: Some(backness),
                        rounded: Some(rounded),
                        ..FeatureBundle::VOWEL
                    };
                    let gesture = gesture::of(&vowel, None).remove(0);
                    let top = Mouth::at(&gesture)
                        .tongue
                        .iter()
                        .map(|it| it.y)
                        .fold(f64::NEG_INFINITY, f64::max);
                    (gesture.pose.jaw, top)
                })
                .collect();
            for pair in row.windows(2) {
                assert!(pair[0].0 < pair[1].0, "{backness} {rounded}: jaw {row:?}");
                assert!(
                    pair[0].1 > pair[1].1,
                    "{backness} {rounded}: tongue {row:?}"
                );
            }
        }
    }
}

#[test]
fn rounding_narrows_the_mouth_and_pushes_the_lips_out() {
    for (height, backness) in Height::ALL
        .iter()
        .flat_map(|height| Backness::ALL.iter().map(move |back| (*height, *back)))
    {
        let [plain, round] = [false, true].map(|rounded| {
            let vowel = FeatureBundle {
                height: Some(height),
                backness: Some(backness),
                rounded: Some(rounded),
                ..FeatureBundle::VOWEL
            };
            gesture::of(&vowel, None).remove(0).pose
        });
        assert!(round.width < plain.width - 4.0, "{height} {backness}");
        assert!(
            round.protrusion > plain.protrusion + 2.0,
            "{height} {backness}"
        );
    }
    for (plain, round) in [
        ("i", "y"),
        ("e", "ø"),
        ("ɛ", "œ"),
        ("ɯ", "u"),
        ("ɤ", "o"),
        ("ʌ", "ɔ"),
        ("ɑ", "ɒ"),
    ] {
        let (plain, round) = (sound(plain, None).pose, sound(round, None).pose);
        assert!(round.width < plain.width - 5.0);
        assert!(round.protrusion > plain.protrusion + 2.0);
    }
    assert!(sound("ɔ̹", None).pose.width < sound("ɔ", None).pose.width);
    assert!(sound("ɔ̜", None).pose.width > sound("ɔ", None).pose.width);
    assert!(sound("tʷ", None).pose.protrusion > sound("t", None).pose.protrusion + 2.0);
}

/// Source: textbook phonetics and the postures taught for General American, common practice.
#[test]
fn english_sounds_look_as_they_are_taught() {
    // The tip on the ridge, between the teeth, at rest.
    for ridge in ["t", "d", "n", "l"] {
        let gesture = taught(ridge);
        let (_, at) = Mouth::at(&gesture)
            .gap_at(gesture.spots[0].1.unwrap(), 9.0)
            .unwrap();
        assert!(
            (5.0..13.0).contains(&at.x) && (6.5..14.0).contains(&at.y),
            "{ridge}: {at:?}"
        );
    }
    for between in ["θ", "ð"] {
        let pose = taught(between).pose;
        assert!(
            pose.tip.x < 2.5 && (-6.0..0.0).contains(&pose.tip.y),
            "{between}"
        );
    }
    for low in ["k", "ɡ", "ŋ", "i", "u", "ɑ", "p", "ɹ", "ɝ"] {
        assert!(taught(low).pose.tip.y < 0.0, "{low}: the tip is down");
    }
    // Lips.
    let (u, upsilon) = (taught("u").pose, taught("ʊ").pose);
    assert!(u.width < 30.0 && u.protrusion > 4.0, "tight rounding for u");
    assert!(
        upsilon.protrusion > 4.0 && upsilon.width > u.width + 5.0,
        "protruded for ʊ"
    );
    for spread in ["i", "s", "z"] {
        assert!(taught(spread).pose.width > 52.0, "{spread} is spread");
    }
    for together in ["p", "b", "m"] {
        assert!(taught(together).pose.aperture < 0.1, "{together}");
    }
    for tucked in ["f", "v"] {
        assert!(taught(tucked).pose.labiodental > 0.9, "{tucked}");
    }
    // Jaw.
    assert!(taught("ɑ").pose.jaw > 9.0);
    assert!(taught("ʌ").pose.jaw <= 3.6, "taught with a closed jaw");
    // Coaches hear the vowel of "cup" further forward than that of "caught".
    assert!(taught("ʌ").pose.body.x + 4.0 < taught("ɔ").pose.body.x);
}

#[test]
fn an_accent_s_posture_bends_the_mouth() {
    // Tip up by the chart, bunched as taught: both are ways of making it.
    assert!(sound("ɹ", None).pose.tip.y > 2.0);
    assert!(taught("ɹ").pose.tip.y < 0.0);
    for phoneme in Accent::named("en-US").unwrap().phonemes() {
        let coaching = Accent::named("en-US").unwrap().posture(&phoneme.bundle);
        let (from, _) = coaching.unwrap();
        let jaw = gesture::of(&phoneme.bundle, coaching)[0].pose.jaw;
        assert_eq!(opening(jaw), from.jaw, "{}: {jaw:.1}", phoneme.text);
    }
}

/// The word for a jaw.
fn opening(jaw: f64) -> Jaw {
    if jaw <= 3.6 {
        Jaw::Closed
    } else if jaw <= 9.0 {
        Jaw::SlightlyOpen
    } else {
        Jaw::Open
    }
}

#[test]
fn the_jaw_drawn_is_the_jaw_named() {
    for (text, bundle, gesture) in letters() {
        // The tip reaches the upper lip only past an open jaw; an r-coloured vowel is bunched.
        if bundle.place.contains(Place::Linguolabial) || bundle.rhotic {
            continue;
        }
        let named = apical::posture::of(&bundle).jaw;
        assert_eq!(
            opening(gesture.pose.jaw),
            named,
            "{text}: {:.1}",
            gesture.pose.jaw
        );
    }
}

#[test]
fn one_feature_moves_one_organ() {
    let moved = |from: &str, to: &str| -> Vec<Organ> {
        let (from, to) = (sound(from, None), sound(to, None));
        movement::between(&from, &to)
            .into_iter()
            .map(|it| it.organ)
            .collect()
    };
    assert_eq!(moved("s", "z"), []);
    assert_eq!(moved("p", "b"), []);
    assert_eq!(moved("b", "m"), [Organ::Body, Organ::Velum]);
    assert_eq!(moved("ɛ", "ɛ̃"), [Organ::Velum]);
    assert_eq!(moved("p", "pʼ"), [Organ::Larynx]);
    assert_eq!(moved("t", "tʷ"), [Organ::Lips]);
    assert!(moved("i", "y").contains(&Organ::Lips));
    assert!(!moved("θ", "t").contains(&Organ::Velum));
    let organs = moved("t", "k");
    assert!(
        organs.contains(&Organ::Tip) && organs.contains(&Organ::Body),
        "{organs:?}"
    );
}

#[test]
fn arrows_lead_from_what_was_said_to_the_target() {
    let (said, target) = (sound("t", None), sound("θ", None));
    for step in movement::between(&said, &target) {
        assert!(step.distance >= 0.8, "{step:?}");
        if step.organ == Organ::Tip {
            assert!(
                step.to.x < step.from.x && step.to.y < step.from.y,
                "{step:?}"
            );
        }
    }
    let words = movement::in_words(&said, &target).join("; ");
    assert!(
        words.contains("tip of the tongue: forward and down"),
        "{words}"
    );
    assert!(movement::between(&target, &target).is_empty());
    assert!(movement::in_words(&target, &target).is_empty());
}

#[test]
fn no_two_letters_look_the_same_unless_they_are_the_same() {
    let letters = letters();
    for (at, (one, bundle, gesture)) in letters.iter().enumerate() {
        for (other, same, second) in &letters[at + 1..] {
            if bundle != same {
                assert_ne!(gesture, second, "{one} {other}");
            }
        }
    }
}

/// Whatever has no letter is drawn like what has one: nothing in the way from features to a
/// picture knows letters.
#[test]
fn no_letter_has_a_branch_of_its_own() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut folders = vec![root.join("posture"), root.join("report/picture")];
    let mut files = vec![root.join("posture.rs"), root.join("report/picture.rs")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                files.push(path);
            }
        }
    }
    assert!(files.len() > 20, "{files:?}");
    let letters: Vec<&str> = letters()
        .into_iter()
        .map(|(text, ..)| text)
        .filter(|it| !it.is_ascii())
        .collect();
    for file in files {
        let code = std::fs::read_to_string(&file).unwrap();
        for (number, line) in code.lines().enumerate() {
            let line = line.split("//").next().unwrap_or_default();
            for letter in &letters {
                assert!(
                    !line.contains(letter),
                    "{}:{}: {letter}",
                    file.display(),
                    number + 1
                );
            }
        }
    }
}
