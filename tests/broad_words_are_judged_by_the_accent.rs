//! With an accent, a broad transcription is judged by the accent's phonemes, the shapes of
//! its syllables and its stress.
//!
//! Sources: the facts of English phonotactics on which the textbooks agree (Roach, English
//! Phonetics and Phonology, ch. 8; Giegerich, English Phonology, ch. 6), from memory; word
//! lists as named beside the checks.

use apical::accent::Accent;
use apical::diagnostic::Severity;
use apical::notation::Transcription;

use crate::outside::{Share, Table};

/// Code, place and replacement of everything an accent finds.
fn found(accent: &Accent, text: &str) -> Vec<(&'static str, String, Option<String>)> {
    let read = Transcription::parse(text);
    assert!(read.is_valid(), "{text}: {:?}", read.diagnostics());
    accent
        .judge(&read)
        .iter()
        .map(|it| {
            assert!(it.help(text).is_some(), "{text}: no remedy");
            (
                it.code.name(),
                text[it.span.start..it.span.end].to_owned(),
                it.replacement().map(str::to_owned),
            )
        })
        .collect()
}

fn table(accent: &str, rows: &[(&str, &str, &str, Option<&str>)]) {
    let accent = Accent::named(accent).unwrap();
    for (text, code, place, replacement) in rows {
        let found = found(&accent, text);
        if code.is_empty() {
            assert!(found.is_empty(), "{text}: {found:?}");
            continue;
        }
        let expected = (*code, (*place).to_owned(), replacement.map(str::to_owned));
        assert_eq!(found, [expected], "{text}");
    }
}

#[test]
fn general_american_finds_what_is_not_its_own() {
    table(
        "en-US",
        &[
            ("/ˈkyt/", "phoneme-unknown", "y", None),
            ("/ʁɛd/", "phoneme-unknown", "ʁ", None),
            // The flap is how t or d may sound, the glottal stop how t may.
            ("/ˈwɔɾɚ/", "phoneme-unknown", "ɾ", None),
            ("/ˈkæʔnɪp/", "phoneme-unknown", "ʔ", Some("t")),
            ("/ʍɪt͡ʃ/", "phoneme-unknown", "ʍ", None),
            ("/ŋæt/", "sound-never-opens", "ŋ", None),
            ("/ˈsɪ.ŋɚ/", "sound-never-opens", "ŋ", None),
            ("/kæh/", "sound-never-closes", "h", None),
            ("/bɛw/", "sound-never-closes", "w", None),
            ("/tlæp/", "onset-illegal", "tl", None),
            ("/ˈmɪ.ltɚ/", "onset-illegal", "lt", None),
            ("/kætb/", "coda-illegal", "tb", None),
            ("/kætz/", "coda-illegal", "tz", None),
            ("/dɔɡs/", "coda-illegal", "ɡs", None),
            ("/sɪ/", "vowel-checked-open", "ɪ", None),
            ("/bɪˈɡʌ/", "vowel-checked-open", "ʌ", None),
            ("/pst/", "syllable-without-nucleus", "pst", None),
            ("/wɔtɚ/", "stress-missing", "wɔtɚ", None),
            ("/ˈfɔɹˈtin/", "stress-several", "ˈ", None),
            ("/ˈəbət/", "stress-on-reduced", "ə", Some("ʌ")),
            ("/ˈbɚdi/", "stress-on-reduced", "ɚ", Some("ɝ")),
        ],
    );
}

#[test]
fn general_american_finds_nothing_in_its_own_words() {
    let words = [
        "/stɹɛŋkθs/",
        "/sɪksθs/",
        "/twɛlfθs/",
        "/tɛksts/",
        "/ɡlɪmpst/",
        "/skwɝd/",
        "/ˈbɑ.tl̩/",
        "/ˈbʌtn̩/",
        "/ˈhæpi/",
        "/ˈsɪ.ti/",
        "/baʊt/",
        "/t͡ʃɝt͡ʃ/",
        "/tʃɝtʃ/",
        "/reɪ/",
        "/ɡoʊ/",
        "/biː/",
        "/əˈbaʊt ðə ˈhaʊs/",
        "/ðə/",
        "/ˌʌnˈdu/",
        "/p/",
        "/bɜɹd/",
        "/ˈɹɪðm̩/",
        "/spjuz/",
        "/θwɔɹt/",
    ];
    table("en-US", &words.map(|word| (word, "", "", None)));
}

#[test]
fn southern_british_has_rules_of_its_own() {
    table(
        "en-GB",
        &[
            ("/kɑːɹ/", "sound-never-closes", "ɹ", None),
            ("/kɒ/", "vowel-checked-open", "ɒ", None),
            ("/bɝd/", "phoneme-unknown", "ɝ", None),
            ("/kɑː/", "", "", None),
            ("/tjuːn/", "", "", None),
            ("/ˈhæpi/", "", "", None),
            ("/ˈwɔːtə/", "", "", None),
            ("/skweə/", "", "", None),
            ("/dɹɛs/", "", "", None),
            ("/ɡəʊ/", "", "", None),
        ],
    );
    assert!(!found(&Accent::named("en-US").unwrap(), "/kɒt/").is_empty());
}

#[test]
fn what_is_declared_is_no_fault() {
    let accent = Accent::named("en-US").unwrap();
    for (option, text) in [
        ("wh-kept", "/ʍɪt͡ʃ/"),
        ("loch", "/lɑx/"),
        ("cot-caught", "/kɒt/"),
    ] {
        let hint = found(&accent, text);
        assert_eq!(hint.len(), 1, "{text}");
        let read = Transcription::parse(text);
        let help = accent.judge(&read)[0].help(text).unwrap();
        assert!(help.contains(option), "{help}");
        assert!(found(&accent.declared([option]).unwrap(), text).is_empty());
    }
}

/// A sound that is no phoneme has no reading in the accent; the rest is readable.
#[test]
fn severities_follow_the_contract() {
    let accent = Accent::named("en-US").unwrap();
    let worst = |text: &str| accent.judge(&Transcription::parse(text))[0].severity;
    assert_eq!(worst("/ˈkyt/"), Severity::Error);
    assert_eq!(worst("/ŋæt/"), Severity::Warning);
    assert_eq!(worst("/ˈfɔɹˈtin/"), Severity::Warning);
}

/// Every word of our own list (from the CMU dictionary): what is found are names, loan words
/// and slips of the source.
#[cfg(feature = "lexicon")]
#[test]
fn the_word_list_is_clean() {
    let accent = Accent::named("en-US").unwrap();
    let lexicon = apical::lexicon::Lexicon::of("en-US").unwrap();
    let mut share = Share::default();
    let mut read = Transcription::default();
    // Each thirteenth word, since a debug build is slow.
    for entry in lexicon.iter().step_by(13) {
        for target in entry.targets() {
            read.reparse(&format!("/{target}/"));
            let found = accent.judge(&read);
            share.count(found.is_empty(), || {
                format!("{target}: {}", found[0].code.name())
            });
        }
    }
    share.at_least(
        99.5,
        "targets of the word list that the accent finds nothing in",
    );
}

/// WikiPron's American and British lists, which bear no stress: what is found besides. Most
/// of it is the other accent's vowels (ɒ, əʊ, a and e in the American list), which no
/// transcription of this one has; of the words that are written with its phonemes, hardly
/// any is faulted.
#[test]
fn published_words_are_clean() {
    for (name, list, options, written, clean) in [
        (
            "en-US",
            "eng-us-broad",
            &["cot-caught", "wh-kept", "loch"][..],
            96.0,
            99.0,
        ),
        (
            "en-GB",
            "eng-uk-broad",
            &["wh-kept", "loch", "r-keeping"],
            90.0,
            98.0,
        ),
    ] {
        let accent = Accent::named(name).unwrap();
        let accent = accent.declared(options.iter().copied()).unwrap();
        let (mut ours, mut share) = (Share::default(), Share::default());
        for row in Table::read(&format!("wordlists/{list}.tsv")).rows() {
            let text = format!("/{}/", row.cell("transcription").replace(' ', ""));
            let found = accent.judge(&Transcription::parse(&text));
            let codes: Vec<&str> = found
                .iter()
                .map(|it| it.code.name())
                .filter(|code| *code != "stress-missing")
                .collect();
            let foreign = codes.contains(&"phoneme-unknown");
            ours.count(!foreign, || text.clone());
            if !foreign {
                share.count(codes.is_empty(), || format!("{text}: {codes:?}"));
            }
        }
        ours.at_least(
            written,
            &format!("{list}: written with the phonemes of {name}"),
        );
        share.at_least(clean, &format!("{list}: of these, nothing found"));
    }
}
