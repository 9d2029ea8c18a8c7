//! Whole screens, as a person sees them without colour: a change of any is looked at before
//! it lands. What a screen must hold is asserted elsewhere; this is how it looks.

use std::process::Command;

/// What a command puts on a screen of so many columns.
fn screen(columns: &str, arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(arguments)
        .args(["--width", columns])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program starts");
    let mut page = String::from_utf8(output.stdout).expect("UTF-8");
    page.push_str(&String::from_utf8(output.stderr).expect("UTF-8"));
    page
}

/// Adds the snapshot of a screen under the name of what it shows.
macro_rules! screens {
    ($($name:ident: $columns:literal, $arguments:expr;)+) => {
        $(#[test]
        fn $name() {
            let arguments: &[&str] = &$arguments;
            insta::with_settings!({ description => arguments.join(" ") }, {
                insta::assert_snapshot!(stringify!($name), screen($columns, arguments));
            });
        })+
    };
}

screens! {
    one_clean_line: "80", ["check", "[ˈt͡ʃʰiːz]"];
    one_fault: "80", ["check", "/bed:/"];
    several_faults_in_a_line: "80", ["check", "[čʰi:ʧ]"];
    faults_on_one_letter: "80", ["check", "[bu\u{31F}\u{320}\u{325}n]"];
    faults_that_overlap: "80", ["check", "[tʰ\u{361}ʃ\u{325}a"];
    a_mark_without_a_letter: "80", ["check", "[\u{325}bæt]"];
    hidden_characters: "80", ["check", "[k\u{202E}æ\u{200B}t\u{7}]"];
    an_empty_text: "80", ["check", ""];
    many_lines: "80", ["check", "--file", "tests/data/demo/hasty_notes.txt"];
    many_lines_on_a_narrow_screen: "60", ["check", "--file", "tests/data/demo/hasty_notes.txt"];
    other_notation: "80", ["check", "--alphabet", "x-sampa", "\"TINk", "t_0a:b%"];
    sounds_in_sentences: "80", ["describe", "[t͡ʃʰa͡ɪld̥ ma˥˩ (..)]"];
    sounds_in_columns: "140", ["describe", "--accent", "en-US", "[t͡ʃʰa͡ɪld̥]"];
    a_pair_without_an_accent: "80", ["compare", "/stɹit/", "[ɛsˈtɾi]"];
    a_pair_with_an_accent: "80", ["compare", "--accent", "en-US", "/ˈtit͡ʃɚ/", "[tiˈtʃɛɾə]"];
    a_pair_alike: "80", ["compare", "/hæt/", "[hæt]"];
    a_pair_with_faults: "80", ["compare", "/bed:/", "[kæt"];
    a_long_pair_on_a_narrow_screen: "60", [
        "compare", "/ðə kwɪk bɹaʊn fɑks d͡ʒʌmps oʊvɚ ðə leɪzi dɑɡ/",
        "[də kwik bɾaun fɑks d͡ʒamps obɛɾ də lesi dɔk]"
    ];
    an_explanation: "80", ["explain", "diacritics-contradict"];
    no_such_code: "80", ["explain", "stress-double"];
}
