//! What the byte automata take as flawless, the parser has nothing to say about, and what
//! they take as valid it calls valid; and the former take nearly all that published word
//! lists hold, or they would be of no use.

use apical::notation::{Transcription, is_clean, is_valid};
use proptest::prelude::*;

use crate::outside::{Share, Table, unescape};

const LISTS: [&str; 5] = [
    "eng-uk-broad",
    "eng-us-broad",
    "eng-us-narrow",
    "eng-us-stress",
    "other-languages",
];

/// Fails where the two disagree.
fn agrees(text: &str, buffer: &mut Transcription) -> bool {
    let clean = is_clean(text.as_bytes());
    let parsed = Transcription::parse(text);
    if clean {
        let found = parsed.diagnostics();
        assert!(found.is_empty(), "{text:?} was taken, but: {found:?}");
    }
    assert_eq!(is_valid(text, buffer), parsed.is_valid(), "{text:?}");
    clean || !parsed.diagnostics().is_empty()
}

#[test]
fn on_every_published_word() {
    let mut buffer = Transcription::default();
    let mut share = Share::default();
    for list in LISTS {
        for row in Table::read(&format!("wordlists/{list}.tsv")).rows() {
            let word = row.cell("transcription").replace([' ', '/'], "");
            for text in [word.clone(), format!("/{word}/"), format!("[{word}]")] {
                let known = agrees(&text, &mut buffer);
                share.count(known, || text);
            }
        }
    }
    // No source: what makes the automaton worth its while.
    share.at_least(95.0, "clean words taken without parsing");
}

#[test]
fn on_single_letters_marks_and_pairs() {
    let mut buffer = Transcription::default();
    for letter in apical::inventory::symbols() {
        agrees(letter.text, &mut buffer);
        for mark in apical::inventory::marks() {
            for bracket in [["", ""], ["/", "/"], ["[", "]"]] {
                let [open, close] = bracket;
                let text = format!("{open}{}{}a{close}", letter.text, mark.text);
                agrees(&text, &mut buffer);
            }
            // Where it stops, it goes on nowhere.
            if !is_clean(format!("{}{}", letter.text, mark.text).as_bytes()) {
                continue;
            }
            for second in apical::inventory::marks() {
                let text = format!("{}{}{}", letter.text, mark.text, second.text);
                agrees(&text, &mut buffer);
            }
        }
        for second in apical::inventory::symbols() {
            for between in ["", "ˈ", "\u{361}", " ", ".", "‿", "˥"] {
                agrees(
                    &format!("{}{between}{}", letter.text, second.text),
                    &mut buffer,
                );
            }
        }
    }
}

#[test]
fn on_every_two_marks_of_letters_that_differ() {
    let mut buffer = Transcription::default();
    // A vowel, a plosive, an implosive, letters that some marks make another of, a nasal.
    for letter in ["a", "t", "ɓ", "s", "ʒ", "m"] {
        for first in apical::inventory::marks() {
            for second in apical::inventory::marks() {
                let text = format!("{letter}{}{}", first.text, second.text);
                agrees(&text, &mut buffer);
                agrees(&format!("{text}a"), &mut buffer);
                agrees(
                    &format!("{}{letter}{}i", first.text, second.text),
                    &mut buffer,
                );
            }
        }
    }
}

#[test]
fn on_variants_in_brackets() {
    for sign in [",", "~", "、", ", "] {
        for inside in [format!("a{sign}i"), format!("a{sign}"), format!("{sign}a")] {
            for text in [inside.clone(), format!("[{inside}]"), format!("/{inside}/")] {
                agrees(&text, &mut Transcription::default());
            }
        }
    }
}

fn pieces() -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for symbol in apical::inventory::symbols() {
        all.push(symbol.text.to_owned());
    }
    for mark in apical::inventory::marks() {
        all.push(mark.text.to_owned());
    }
    for sign in apical::inventory::suprasegmentals() {
        all.push(sign.text.to_owned());
    }
    for row in apical::inventory::lookalikes() {
        all.push(row.input.to_owned());
    }
    let more = [
        "\u{361}", "\u{35C}", " ", "ˈ", "ˌ", ".", "‿", "/", "[", "]", ",", "~", "、",
    ];
    all.extend(more.map(str::to_owned));
    all
}

/// Pieces that the automata know, so that long strings get far.
fn usual() -> Vec<&'static str> {
    "a e i ɪ ə ã p t k s ʃ n l ɹ m d ɓ ʒ ʰ ʷ ʼ ⁿ ˀ ᵊ ː ̃ ̩ ̯ ̝ ̞ ̠ ̌ ̬ ͡ ˈ ˌ . ‿ ˥ ˧ ⁵ ² ̪ ̥ , ~"
        .split(' ')
        .chain([" ", "/", "[", "]"])
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4_000))]

    #[test]
    fn on_any_pieces(pieces in prop::collection::vec(prop::sample::select(pieces()), 0..16)) {
        agrees(&pieces.concat(), &mut Transcription::default());
    }

    #[test]
    fn on_usual_pieces(
        pieces in prop::collection::vec(prop::sample::select(usual()), 0..24),
        bracket in prop::sample::select(vec![["", ""], ["/", "/"], ["[", "]"]]),
    ) {
        let [open, close] = bracket;
        agrees(&format!("{open}{}{close}", pieces.concat()), &mut Transcription::default());
    }

    #[test]
    fn on_any_text(text in any::<String>()) {
        agrees(&text, &mut Transcription::default());
    }
}

#[test]
fn on_published_strings_with_a_verdict() {
    let mut buffer = Transcription::default();
    for name in ["standards/valid.tsv", "standards/invalid.tsv"] {
        for row in Table::read(name).rows() {
            agrees(&unescape(row.cell("escaped")), &mut buffer);
        }
    }
}

#[test]
fn on_ill_formed_bytes_and_long_texts() {
    assert!(!is_clean(b"a\xFFa") && !is_clean(b"a\xC9") && !is_clean(b""));
    assert!(!is_clean("a".repeat(100_000).as_bytes()));
}
