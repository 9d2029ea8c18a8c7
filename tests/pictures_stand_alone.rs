//! A picture is well-formed, the same every time, whole without colour, and has words beside
//! it; in a terminal it keeps to its size and does without braille where it must.

use apical::articulation::bundle;
use apical::inventory;
use apical::notation::Transcription;
use apical::report::picture::charts::{VowelShift, vowels};
use apical::report::picture::{self, Sound, dots};

use crate::the_tongue_stays_in_the_mouth::letters;

fn sound(text: &str) -> Sound {
    let read = Transcription::parse(text);
    let bundle = bundle(&read.segments().next().unwrap());
    Sound::new(text, &bundle, None)
}

/// Every element is closed, and every attribute and text escaped.
fn well_formed(svg: &str) {
    let mut open: Vec<&str> = Vec::new();
    for piece in svg.split('<').skip(1) {
        let (tag, text) = piece.split_once('>').expect("a tag ends");
        assert!(
            !text.replace("&lt;", "").replace("&gt;", "").contains('>')
                || open.last() == Some(&"style")
        );
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name));
        } else if !tag.ends_with('/') {
            open.push(tag.split_whitespace().next().unwrap());
        }
        assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
    }
    assert!(open.is_empty(), "{open:?}");
}

#[test]
fn every_letter_has_one_and_always_the_same() {
    for (text, bundle, _) in letters() {
        let svg = picture::sound(&Sound::new(text, &bundle, None)).unwrap();
        assert_eq!(
            svg,
            picture::sound(&Sound::new(text, &bundle, None)).unwrap(),
            "{text}"
        );
        well_formed(&svg);
        assert!(svg.contains("<title>") && svg.contains("<desc>"), "{text}");
        assert!(!svg.contains("NaN") && !svg.contains("inf"), "{text}");
        for outward in ["<script", "http", "url(", "href", "<image", "onload"] {
            let inside = svg.replace("http://www.w3.org/2000/svg", "");
            assert!(!inside.contains(outward), "{text}: {outward}");
        }
    }
}

#[test]
fn hostile_text_stays_text() {
    let mut hostile = sound("t");
    hostile.text = "<script>alert(\"1\")</script>&\u{202E}".to_owned();
    hostile.name = "]]>\" onload='x'".to_owned();
    let other = sound("θ");
    for svg in [
        picture::sound(&hostile).unwrap(),
        picture::difference(&hostile, &other).unwrap(),
        picture::correction(&hostile, &other).unwrap(),
    ] {
        assert!(!svg.contains("<script"));
        well_formed(&svg);
    }
}

#[test]
fn an_overlay_means_the_same_without_colour() {
    let svg = picture::difference(&sound("θ"), &sound("t")).unwrap();
    well_formed(&svg);
    // Said is dashed; the target is not.
    assert!(svg.contains("ap-said") && svg.contains("stroke-dasharray=\"7 4\""));
    for piece in svg
        .split('<')
        .filter(|it| it.contains("class=\"ap-target\""))
    {
        assert!(!piece.contains("stroke-dasharray"), "{piece}");
    }
    assert!(svg.contains("ap-arrow"), "arrows lead to the target");
    assert!(
        svg.contains("tip of the tongue: forward and down"),
        "the same in words"
    );
    assert!(svg.contains("target θ") && svg.contains("said t"));
}

#[test]
fn what_does_not_move_is_drawn_once() {
    let svg = picture::difference(&sound("z"), &sound("s")).unwrap();
    let fill = |class: &str| svg.contains(&format!("class=\"{class}\""));
    assert!(
        fill("ap-same") && !fill("ap-target-fill"),
        "one grey tongue"
    );
    assert!(svg.contains("voice: on: the folds hum"));
    let same = picture::difference(&sound("s"), &sound("s")).unwrap();
    assert!(same.contains("the mouth does the same"));
    assert!(!same.contains("class=\"ap-arrow\""), "no arrows");
}

#[test]
fn voicing_alone_changes_only_the_folds() {
    let shapes = |text: &str| -> Vec<String> {
        let svg = picture::sound(&sound(text)).unwrap();
        let drawn = svg.split_once("</desc>").unwrap().1.to_owned();
        let shapes = drawn.split('<').filter(|it| !it.starts_with("text"));
        shapes.map(str::to_owned).collect()
    };
    for (voiceless, voiced) in
        [("p", "b"), ("s", "z"), ("θ", "ð"), ("k", "ɡ"), ("ɬ", "ɮ")]
    {
        let (one, other) = (shapes(voiceless), shapes(voiced));
        let only = |these: &[String], those: &[String]| -> Vec<String> {
            let only = these.iter().filter(|it| !those.contains(it));
            only.cloned().collect()
        };
        let (lost, new) = (only(&one, &other), only(&other, &one));
        // The wedge of breath, and the zigzag of voice.
        assert!(
            lost.len() == 1 && lost[0].contains("ap-ink"),
            "{voiceless}: {lost:?}"
        );
        assert!(
            new.len() == 1 && new[0].contains("ap-mark"),
            "{voiced}: {new:?}"
        );
    }
}

#[test]
fn bundles_without_a_letter_are_drawn() {
    use apical::feature::{FeatureBundle, Manner, Place, Places};
    let mut drawn = 0;
    for place in Place::ALL {
        for manner in Manner::ALL {
            let bundle = FeatureBundle {
                place: Places::one(*place),
                manner: Some(*manner),
                nasalized: true,
                ..FeatureBundle::CONSONANT
            };
            let svg = picture::sound(&Sound::new("", &bundle, None)).unwrap();
            well_formed(&svg);
            drawn += 1;
        }
    }
    assert_eq!(drawn, Place::ALL.len() * Manner::ALL.len());
}

#[test]
fn a_glottal_stop_lets_no_air_past_the_folds() {
    let shut = picture::sound(&sound("ʔ")).unwrap();
    assert!(!shut.contains("class=\"ap-breath\""));
    let breath = picture::sound(&sound("h")).unwrap();
    assert!(breath.contains("class=\"ap-breath\""));
}

#[test]
fn sounds_of_several_moments_are_shown_in_steps() {
    for text in ["t͡ʃ", "a͡ɪ", "ⁿd"] {
        let svg = picture::steps(&sound(text)).unwrap();
        well_formed(&svg);
        assert!(svg.contains("<animate"), "{text}: it moves");
        for still in ["1", "2", "3", "4"] {
            assert!(
                svg.contains(&format!(">{still}</text>")),
                "{text}: still {still}"
            );
        }
        assert!(svg.contains("prefers-reduced-motion"), "{text}");
    }
    assert!(picture::steps(&sound("t")).is_none());
    assert!(picture::sound(&sound("˥")).is_none());
}

#[test]
fn a_terminal_picture_keeps_to_its_size() {
    for symbol in inventory::symbols() {
        let drawn = Sound::new(symbol.text, &symbol.bundle, None);
        for gesture in &drawn.gestures {
            for grain in [dots::Grain::Dots, dots::Grain::Characters] {
                for (columns, rows) in [(40, 20), (1, 1), (0, 0)] {
                    let cells = dots::sound(gesture, columns, rows, grain);
                    assert_eq!(cells.len(), rows);
                    assert!(
                        cells.iter().all(|row| row.len() <= columns),
                        "{}",
                        symbol.text
                    );
                    let text = dots::text(&cells);
                    assert!(
                        text.lines().all(|line| !line.ends_with(' ')),
                        "{}",
                        symbol.text
                    );
                    if grain == dots::Grain::Characters {
                        assert!(text.is_ascii(), "{}", symbol.text);
                    }
                    assert!(!text.contains('\u{2800}'), "a blank is a blank");
                }
            }
        }
    }
}

#[test]
fn a_terminal_overlay_tells_the_two_apart_without_colour() {
    let (target, said) = (sound("θ"), sound("t"));
    let cells = dots::difference(
        &target.gestures[0],
        &said.gestures[0],
        44,
        22,
        dots::Grain::Characters,
    );
    let text = dots::text(&cells);
    assert!(
        text.contains('o') && text.contains('x') && text.contains('8'),
        "{text}"
    );
}

/// The vowel chart has every vowel once, whether it glides or not, and those of one place
/// beside each other.
#[test]
fn every_vowel_has_a_place_of_its_own_on_the_chart() {
    let glide = |text: &str| {
        let read = Transcription::parse(text);
        bundle(&read.segments().next().unwrap())
    };
    let shift = |target: &str, said: &str| VowelShift {
        target: target.replace('\u{361}', ""),
        wanted: glide(target),
        said: said.replace('\u{361}', ""),
        produced: glide(said),
        times: 2,
    };
    let shifts = [
        shift("e͡ɪ", "e"),
        shift("e͡ɪ", "e͡ɪ"),
        shift("o͡ʊ", "o"),
        shift("ɔ͡ɪ", "ɔ"),
        shift("ɪ", "i"),
    ];
    let svg = vowels(&shifts);
    well_formed(&svg);
    let drawn = svg.split("</desc>").nth(1).expect("a description");
    for text in ["eɪ", "e", "oʊ", "o", "ɔɪ", "ɔ", "ɪ", "i"] {
        assert_eq!(
            drawn.matches(&format!(">{text}</text>")).count(),
            1,
            "{text}"
        );
    }
    assert_eq!(
        drawn.matches("class=\"ap-glide\"").count(),
        3 + 1,
        "three and the key"
    );
    let places: Vec<(&str, &str)> = drawn
        .split("<circle")
        .skip(1)
        .filter_map(|it| {
            let of = |name: &str| it.split_once(name)?.1.split('"').next();
            Some((of("cx=\"")?, of("cy=\"")?))
        })
        .collect();
    for (at, place) in places.iter().enumerate() {
        assert!(!places[..at].contains(place), "{place:?} twice");
    }
}

/// Broad transcription of English writes affricates and diphthongs without ties, common
/// practice.
#[cfg(feature = "app")]
#[test]
fn an_untied_diphthong_moves_as_one_sound() {
    let folder = tempfile::tempdir().unwrap();
    for (text, moves) in [("/aɪ/", true), ("/tʃ/", true), ("/ta/", false)] {
        let file = folder.path().join("steps.svg");
        let status = crate::program::apical(&["describe", text, "--accent", "en-US"])
            .args(["--steps", "--svg", file.to_str().unwrap()])
            .output()
            .unwrap()
            .status;
        assert_eq!(status.success(), moves, "{text}");
        if moves {
            let svg = std::fs::read_to_string(file).unwrap();
            assert!(svg.contains("<animate"), "{text}");
            well_formed(&svg);
        }
    }
}
