//! The coaching postures of General American are those the trade teaches.

use apical::accent::Accent;
use apical::articulation::bundle;
use apical::feature::{Contact, Jaw, Lips, TonguePart};
use apical::notation::Transcription;

fn posture(text: &str) -> (Jaw, Lips, Vec<TonguePart>, Option<Contact>, bool) {
    let accent = Accent::named("en-US").unwrap();
    let read = Transcription::parse(text);
    let (posture, _) = accent
        .posture(&bundle(&read.segments().next().unwrap()))
        .unwrap();
    let tongue = posture.tongue.iter().collect();
    (
        posture.jaw,
        posture.lips,
        tongue,
        posture.contact,
        posture.touches,
    )
}

/// Source: common practice, no source.
#[test]
fn facts_of_the_trade() {
    let (jaw, lips, ..) = posture("ʌ");
    assert_eq!((jaw, lips), (Jaw::Closed, Lips::Neutral));
    assert_eq!(posture("ɛ").0, Jaw::SlightlyOpen);
    assert_eq!(posture("ɑ").0, Jaw::Open);
    for spread in ["i", "s", "z"] {
        assert_eq!(posture(spread).1, Lips::Spread, "{spread}");
    }
    assert_eq!(posture("u").1, Lips::Rounded);
    assert_eq!(posture("ʊ").1, Lips::Protruded);
    assert_eq!(posture("θ").2, [TonguePart::Tip]);
    let (_, _, tongue, contact, touches) = posture("d");
    assert_eq!(
        (tongue.as_slice(), contact, touches),
        (&[TonguePart::Tip][..], Some(Contact::AlveolarRidge), true)
    );
    assert_eq!(posture("k").2, [TonguePart::Back]);
    let (_, _, tongue, contact, _) = posture("i");
    assert_eq!(
        (tongue.as_slice(), contact),
        (&[TonguePart::Middle][..], Some(Contact::HardPalate))
    );
    let (_, _, _, contact, touches) = posture("s");
    assert_eq!((contact, touches), (Some(Contact::AlveolarRidge), false));
}

/// Length, aspiration, nasality and voice leave the posture as it is.
#[test]
fn detail_keeps_the_posture() {
    for (plain, detailed) in [
        ("t", "tʰ"),
        ("i", "iː"),
        ("ɑ", "ɑ̃"),
        ("s", "sː"),
        ("n", "n̩"),
    ] {
        assert_eq!(posture(plain), posture(detailed), "{plain} {detailed}");
    }
}

/// Every phoneme of the accent has a coaching posture, and every diphthong moves.
#[test]
fn every_phoneme_has_one() {
    let accent = Accent::named("en-US").unwrap();
    for phoneme in accent.phonemes() {
        let found = accent.posture(&phoneme.bundle);
        assert!(found.is_some(), "{}", phoneme.text);
        if phoneme.kind == apical::inventory::PhonemeKind::Diphthong {
            assert!(found.unwrap().1.is_some(), "{} moves", phoneme.text);
        }
    }
}

/// Source: Yoshida's open textbook of North American English pronunciation, lip and jaw
/// descriptions, from memory; textbook phonetics for the rest.
#[test]
fn diphthongs_move_from_one_posture_to_another() {
    let accent = Accent::named("en-US").unwrap();
    for (text, from, to) in [
        (
            "a͡ɪ",
            (Jaw::Open, Lips::Neutral),
            (Jaw::Closed, Lips::Spread),
        ),
        (
            "a͡ʊ",
            (Jaw::Open, Lips::Neutral),
            (Jaw::Closed, Lips::Rounded),
        ),
        (
            "ɔ͡ɪ",
            (Jaw::Open, Lips::Rounded),
            (Jaw::Closed, Lips::Spread),
        ),
        (
            "o͡ʊ",
            (Jaw::SlightlyOpen, Lips::Rounded),
            (Jaw::Closed, Lips::Rounded),
        ),
    ] {
        let read = Transcription::parse(text);
        let (start, end) = accent
            .posture(&bundle(&read.segments().next().unwrap()))
            .unwrap();
        let end = end.unwrap();
        assert_eq!(
            ((start.jaw, start.lips), (end.jaw, end.lips)),
            (from, to),
            "{text}"
        );
    }
}
