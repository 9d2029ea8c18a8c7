//! Words whose General American pronunciation stands in every dictionary have it here.
//!
//! The expectations are dictionary values from memory, in the notation of the list: dots and
//! stress marks by maximal onset, no mark in a word of one syllable.

#![allow(
    clippy::expect_used,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test may stop"
)]

use apical::lexicon::{Kind, Lexicon};

fn lexicon() -> Lexicon {
    Lexicon::of("en-US").expect("American English has a word list")
}

fn targets(word: &str) -> Vec<String> {
    let entry = lexicon().look_up(word);
    entry
        .unwrap_or_else(|| panic!("{word} has no entry"))
        .targets()
        .collect()
}

#[test]
fn known_words() {
    let known = [
        ("think", "θɪŋk"),
        ("ship", "ʃɪp"),
        ("judge", "d͡ʒʌd͡ʒ"),
        ("church", "t͡ʃɝt͡ʃ"),
        ("bird", "bɝd"),
        ("car", "kɑɹ"),
        ("north", "nɔɹθ"),
        ("near", "nɪɹ"),
        ("square", "skwɛɹ"),
        ("cure", "kjʊɹ"),
        ("boy", "bɔɪ"),
        ("mouth", "maʊθ"),
        ("strengths", "stɹɛŋkθs"),
        ("about", "əˈbaʊt"),
        ("teacher", "ˈti.t͡ʃɚ"),
        ("vision", "ˈvɪ.ʒən"),
        ("singer", "ˈsɪ.ŋɚ"),
        ("singer", "ˈsɪŋ.ɚ"),
        ("banana", "bəˈnæ.nə"),
        ("mistake", "mɪˈsteɪk"),
        ("photograph", "ˈfoʊ.təˌɡɹæf"),
        ("photography", "fəˈtɑ.ɡɹə.fi"),
        ("understand", "ˌʌn.dɚˈstænd"),
        ("information", "ˌɪn.fɚˈmeɪ.ʃən"),
        ("university", "ˌju.nəˈvɝ.sə.ti"),
        ("thirteen", "ˌθɝˈtin"),
        ("baseball", "ˈbeɪsˌbɔl"),
        ("overdue", "ˌoʊ.vɚˈdu"),
        ("FBI", "ˌɛfˌbiˈaɪ"),
    ];
    // ŋ begins no English word, so it closes the syllable before.
    for (word, target) in known.iter().filter(|(_, target)| *target != "ˈsɪ.ŋɚ") {
        let found = targets(word);
        assert!(
            found.iter().any(|one| one == target),
            "{word}: {found:?}, not {target}"
        );
    }
    assert!(!targets("singer").contains(&"ˈsɪ.ŋɚ".to_owned()));
}

#[test]
fn variants_are_kept() {
    // The noun and the verb; strong and weak forms; two ways to say it.
    for (word, wanted) in [
        ("record", ["ˈɹɛ.kɚd", "ɹəˈkɔɹd"]),
        ("the", ["ðə", "ði"]),
        ("a", ["ə", "eɪ"]),
        ("route", ["ɹut", "ɹaʊt"]),
        ("either", ["ˈi.ðɚ", "ˈaɪ.ðɚ"]),
    ] {
        let found = targets(word);
        for target in wanted {
            assert!(
                found.iter().any(|one| one == target),
                "{word}: {found:?}, not {target}"
            );
        }
    }
}

#[test]
fn words_that_sound_alike_have_one_target() {
    for words in [
        ["there", "their"],
        ["to", "too"],
        ["write", "right"],
        ["sea", "see"],
    ] {
        let [one, other] = words.map(targets);
        assert!(
            one.iter().any(|target| other.contains(target)),
            "{words:?}: {one:?} {other:?}"
        );
    }
}

#[test]
fn a_word_is_found_however_it_is_capitalised() {
    let lexicon = lexicon();
    for (typed, word, kind) in [
        ("think", "think", Kind::Word),
        ("Think", "think", Kind::Word),
        ("THINK", "think", Kind::Word),
        ("i", "I", Kind::Word),
        ("don’t", "don't", Kind::Word),
        ("monday", "Monday", Kind::Name),
        ("ENGLISH", "English", Kind::Name),
        ("nasa", "NASA", Kind::Abbreviation),
        ("mr", "Mr", Kind::Abbreviation),
    ] {
        let entry = lexicon
            .look_up(typed)
            .unwrap_or_else(|| panic!("{typed} has no entry"));
        assert_eq!((entry.word(), entry.kind()), (word, kind), "{typed}");
    }
}

#[test]
fn nothing_is_invented() {
    let lexicon = lexicon();
    for word in [
        "", " ", "thwink", "thinks ", "θɪŋk", "b.", "!", "shh", "café", "\u{0}", "ſ",
    ] {
        assert!(lexicon.look_up(word).is_none(), "{word:?}");
    }
}
