//! The word list is whole: every row of its table comes back out of the compiled form, and
//! every target is a broad transcription without fault.

#![allow(
    clippy::expect_used,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test may stop"
)]

use std::collections::BTreeMap;

use apical::accent::Accent;
use apical::lexicon::{Kind, Lexicon};
use apical::notation::Transcription;

const WORDS: &str = include_str!(concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/grammar/lexicon/en-US.tsv"
));
const FREQUENCIES: &str = include_str!(concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/grammar/lexicon/en-US.frequency.tsv"
));

fn lexicon() -> Lexicon {
    Lexicon::of("en-US").expect("American English has a word list")
}

/// Word, kind and targets of every row.
fn rows() -> impl Iterator<Item = (&'static str, &'static str, Vec<&'static str>)> {
    WORDS.lines().skip(1).map(|line| {
        let cells: Vec<&str> = line.split('\t').collect();
        (cells[0], cells[1], cells[2].split(';').collect())
    })
}

#[test]
fn there_are_enough_words() {
    assert!(lexicon().len() >= 120_000, "{}", lexicon().len());
    assert_eq!(lexicon().len(), rows().count());
}

#[test]
fn every_row_comes_back() {
    let lexicon = lexicon();
    let frequencies: BTreeMap<&str, &str> = FREQUENCIES
        .lines()
        .skip(1)
        .filter_map(|line| line.split_once('\t'))
        .collect();
    let mut known = 0;
    for ((word, kind, targets), entry) in rows().zip(&lexicon) {
        assert_eq!(entry.word(), word);
        let kind = match kind {
            "word" => Kind::Word,
            "name" => Kind::Name,
            "abbreviation" => Kind::Abbreviation,
            _ => Kind::Unlisted,
        };
        assert_eq!(entry.kind(), kind, "{word}");
        assert!(entry.targets().eq(targets), "{word}");
        let found = lexicon.look_up(word).expect("a listed word is found");
        assert_eq!(found.word(), word);
        assert!(found.targets().eq(entry.targets()), "{word}");
        let small: String = word.chars().flat_map(char::to_lowercase).collect();
        let zipf = frequencies.get(small.as_str());
        known += usize::from(zipf.is_some());
        assert_eq!(
            entry.zipf().map(|zipf| format!("{zipf:.2}")).as_ref(),
            zipf.map(|z| (*z).to_owned()).as_ref(),
            "{word}"
        );
        assert_eq!(entry.frequency().is_some(), zipf.is_some());
        assert_eq!(entry.rank().is_some(), zipf.is_some());
    }
    assert_eq!(known, frequencies.len(), "a frequency without its word");
}

#[test]
fn every_target_is_a_broad_transcription_of_the_accents_phonemes() {
    let accent = Accent::named("en-US").expect("the accent is there");
    let vowels: Vec<&str> = "i ɪ ɛ æ ɑ ɔ ʊ u ʌ ə eɪ aɪ ɔɪ aʊ oʊ ɝ ɚ"
        .split(' ')
        .collect();
    let mut tree = Transcription::default();
    for (word, _, targets) in rows() {
        for target in targets {
            tree.reparse(target);
            assert!(
                tree.diagnostics().is_empty(),
                "{word} {target}: {:?}",
                tree.diagnostics()
            );
            // A nucleus is whatever stands between two marks, or a mark and an end: there is
            // one in each, and one primary stress among two or more.
            let syllables: Vec<&str> = target
                .split(['.', 'ˈ', 'ˌ'])
                .filter(|part| !part.is_empty())
                .collect();
            for syllable in &syllables {
                let found = vowels
                    .iter()
                    .filter(|vowel| syllable.contains(**vowel))
                    .count();
                assert!(found >= 1, "{word} {target}: {syllable} has no vowel");
            }
            let primary = target.matches('ˈ').count();
            assert_eq!(primary, usize::from(syllables.len() > 1), "{word} {target}");
        }
    }
    for phoneme in lexicon().phonemes() {
        let bare = |text: &str| text.replace('\u{361}', "");
        assert!(
            accent
                .phonemes()
                .iter()
                .any(|known| bare(known.text) == bare(phoneme.text())),
            "{} is no phoneme of the accent",
            phoneme.text()
        );
    }
}

#[test]
fn the_list_is_ordered_by_frequency() {
    let entries = lexicon().commonest_first();
    assert_eq!(entries.len(), lexicon().len());
    let mut before = 0;
    for (at, pair) in entries.windows(2).enumerate() {
        let (one, next) = (&pair[0], &pair[1]);
        assert!(
            one.zipf() >= next.zipf(),
            "{} before {}",
            one.word(),
            next.word()
        );
        if let Some(rank) = one.rank() {
            if one.zipf() != next.zipf() {
                assert_eq!(
                    next.rank().unwrap_or(u32::try_from(at + 2).unwrap()) as usize,
                    at + 2
                );
            }
            assert!(rank >= before);
            before = rank;
        }
    }
    // Known to everyone who has counted English words.
    assert_eq!(entries[0].word(), "the");
    assert_eq!(entries[0].rank(), Some(1));
    let share = entries[0].frequency().expect("its frequency is known");
    assert!(
        (40_000.0..70_000.0).contains(&share),
        "{share} in a million is not 4 to 7 %"
    );
}

#[test]
fn the_notices_of_the_sources_are_carried() {
    let notices = apical::lexicon::NOTICES;
    for part in [
        "Carnegie Mellon University",
        "Attribution-ShareAlike 4.0",
        "Kevin Atkinson",
    ] {
        assert!(notices.contains(part), "{part}");
    }
}
