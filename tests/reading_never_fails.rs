//! Any text at all is read: no panic, spans in order and on character boundaries, the same
//! tree for the same text composed or decomposed.

use apical::articulation::{bundle, name};
use apical::notation::Transcription;
use apical::posture;
use proptest::prelude::*;
use unicode_normalization::UnicodeNormalization;

/// Strings that look like transcriptions, with everything that can go wrong in one.
fn messy() -> impl Strategy<Value = String> {
    let pieces = prop_oneof![
        4 => prop::sample::select(letters()),
        4 => prop::sample::select(marks()),
        1 => prop::sample::select(signs()),
        1 => any::<char>().prop_map(|c| c.to_string()),
    ];
    prop::collection::vec(pieces, 0..24).prop_map(|pieces| pieces.concat())
}

fn letters() -> Vec<String> {
    apical::inventory::symbols()
        .iter()
        .map(|symbol| symbol.text.to_owned())
        .collect()
}

fn marks() -> Vec<String> {
    apical::inventory::marks()
        .iter()
        .map(|mark| mark.text.to_owned())
        .collect()
}

fn signs() -> Vec<String> {
    let mut all: Vec<String> = apical::inventory::suprasegmentals()
        .iter()
        .map(|sign| sign.text.to_owned())
        .collect();
    for bracket in apical::inventory::brackets() {
        all.extend([bracket.open.to_owned(), bracket.close.to_owned()]);
    }
    let more = [
        "\u{361}", "\u{35C}", "\u{362}", " ", "{f ", " f}", "3V!", "(.", ".)", "\\",
        "((", "))", "~", ",", "1", "'",
    ];
    all.extend(more.map(str::to_owned));
    all.extend(
        apical::inventory::lookalikes()
            .iter()
            .map(|row| row.input.to_owned()),
    );
    all
}

/// Everything that must hold of a reading.
fn holds(text: &str) {
    let read = Transcription::parse(text);
    let mut last = 0;
    for item in read.items() {
        let span = item.span();
        assert!(
            span.start >= last && span.end <= text.len(),
            "{text:?}: {span:?} after {last}"
        );
        assert!(
            text.is_char_boundary(span.start) && text.is_char_boundary(span.end),
            "{text:?}"
        );
        last = span.end;
    }
    for segment in read.segments() {
        let bundle = bundle(&segment);
        assert!(!name(&bundle).is_empty(), "{text:?}: {}", segment.text());
        let _ = posture::of(&bundle);
    }
    let mut before = 0;
    for found in read.diagnostics() {
        let span = found.span;
        assert!(
            span.start <= span.end && span.end <= text.len(),
            "{text:?}: {found:?}"
        );
        assert!(
            text.is_char_boundary(span.start) && text.is_char_boundary(span.end),
            "{text:?}: {found:?}"
        );
        assert!(span.start >= before, "{text:?}: diagnostics in text order");
        before = span.start;
        assert!(!found.message(text).is_empty());
        let _ = found.help(text);
    }
}

/// The tree less its spans.
fn shape(text: &str) -> Vec<(String, String)> {
    let read = Transcription::parse(text);
    let segments: Vec<_> = read
        .segments()
        .map(|s| format!("{:?}", bundle(&s)))
        .collect();
    let kinds: Vec<_> = read
        .items()
        .iter()
        .map(|item| format!("{:?}", item.kind()))
        .collect();
    kinds
        .into_iter()
        .zip(segments.into_iter().chain(std::iter::repeat(String::new())))
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_string(text in any::<String>()) {
        holds(&text);
    }

    #[test]
    fn anything_like_a_transcription(text in messy()) {
        holds(&text);
    }

    /// Letters and marks in any order, and capitals and letters of other scripts with a mark.
    #[test]
    fn composed_and_decomposed_are_the_same(
        known in prop::collection::vec(prop_oneof![
            prop::sample::select(letters()),
            prop::sample::select(marks()),
        ], 0..6),
        stranger in prop::sample::select("AEGIKNOUYАЕИОУгкΑΕΙαει한ガ".chars().collect::<Vec<_>>()),
        mark in prop::sample::select("\u{300}\u{301}\u{302}\u{303}\u{304}\u{306}\u{307}\u{308}\u{30C}\u{323}".chars().collect::<Vec<_>>()),
        strange in any::<bool>(),
    ) {
        let mut text = known.concat();
        if strange {
            text.extend([stranger, mark]);
        }
        let composed: String = text.nfc().collect();
        let decomposed: String = text.nfd().collect();
        prop_assert_eq!(shape(&composed), shape(&decomposed), "{:?} {:?}", composed, decomposed);
    }
}

#[test]
fn long_and_deep_texts_are_linear() {
    // Two hundred thousand bytes of the worst kinds; quadratic work would take minutes.
    for piece in [
        "a",
        "\u{301}\u{325}",
        "(",
        "{",
        "((",
        "ʰ",
        "ː",
        "t\u{361}",
        "/",
        "|",
        "ˈ",
        ".",
        "ⁿ",
        "a|",
        "\\",
        "\u{200B}",
        "7",
        "ʰː",
        "[",
        "^",
    ] {
        let text = piece.repeat(200_000 / piece.len());
        let read = Transcription::parse(&text);
        assert!(
            read.items()
                .iter()
                .all(|item| item.span().end <= text.len()),
            "{piece}"
        );
    }
}
