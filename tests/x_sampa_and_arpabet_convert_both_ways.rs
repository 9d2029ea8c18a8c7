//! X-SAMPA and ARPABET convert to IPA and back; what cannot be converted is reported and
//! kept, and every byte of a result can be traced to the input.

#![allow(
    clippy::disallowed_methods,
    clippy::indexing_slicing,
    clippy::unwrap_used,
    reason = "a test reads its tables and fails where they are not as it expects"
)]

use std::path::Path;

use apical::inventory;
use apical::notation::{Converted, arpabet, x_sampa};
use apical::text::Span;
use proptest::prelude::*;
use unicode_normalization::UnicodeNormalization;

/// Rows of the columns asked for; from the full table where it is there, else the sample.
fn table<const N: usize>(
    full: &str,
    sample: &str,
    columns: [&str; N],
) -> Vec<[String; N]> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let full = root.join("../shared/data").join(full);
    let sample = root.join("tests/data/notations").join(sample);
    let text =
        std::fs::read_to_string(if full.exists() { full } else { sample }).unwrap();
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().unwrap().split('\t').collect();
    let at = columns.map(|column| header.iter().position(|h| *h == column).unwrap());
    lines
        .map(|line| {
            let cells: Vec<&str> = line.split('\t').collect();
            at.map(|at| cells[at].to_owned())
        })
        .collect()
}

fn nfd(text: &str) -> String {
    text.nfd().collect()
}

/// The text of a conversion that must go without a fault, in NFD.
fn clean(converted: &Converted, typed: &str) -> String {
    assert!(
        converted.faults.is_empty(),
        "{typed}: {:?}",
        converted.faults
    );
    nfd(&converted.text)
}

/// Results end to end over the text, sources over the input without overlap, and what is
/// at fault still in the text.
fn check_traces(typed: &str, converted: &Converted) {
    let mut end = 0;
    for piece in &converted.pieces {
        assert_eq!(piece.result.start, end, "{typed:?}: a gap in the result");
        end = piece.result.end;
        assert!(
            converted
                .text
                .get(piece.result.start..piece.result.end)
                .is_some()
        );
        assert!(
            typed.get(piece.source.start..piece.source.end).is_some(),
            "{typed:?}"
        );
    }
    assert_eq!(
        end,
        converted.text.len(),
        "{typed:?}: the pieces do not cover the result"
    );
    let mut sources: Vec<Span> =
        converted.pieces.iter().map(|piece| piece.source).collect();
    sources.sort();
    let mut end = 0;
    for source in sources {
        assert_eq!(
            source.start, end,
            "{typed:?}: a gap or an overlap in the input"
        );
        end = source.end;
    }
    assert_eq!(
        end,
        typed.len(),
        "{typed:?}: the pieces do not cover the input"
    );
    assert!(converted.faults.is_sorted_by_key(|fault| fault.span));
    for fault in &converted.faults {
        assert!(!fault.reason.is_empty() && !fault.help.is_empty());
        assert!(!fault.span.is_empty() && fault.span.end <= typed.len());
        let kept: String = converted
            .pieces
            .iter()
            .filter(|piece| {
                piece.source.start < fault.span.end && fault.span.start < piece.source.end
            })
            .map(|piece| nfd(piece.result.of(&converted.text)))
            .collect();
        let typed = nfd(fault.span.of(typed));
        assert!(
            typed.chars().any(|c| kept.contains(c)),
            "{typed:?} is lost in {kept:?}"
        );
    }
}

#[test]
fn every_row_of_the_standards_converts_to_ipa() {
    let rows = table(
        "standards/xsampa.tsv",
        "codes.tsv",
        ["scheme", "code", "ipa", "kind"],
    );
    assert!(rows.len() >= 64, "{} rows", rows.len());
    for [scheme, code, ipa, kind] in &rows {
        let converted = match scheme.as_str() {
            "X-SAMPA" => x_sampa::to_ipa(code),
            "ARPABET" => arpabet::to_ipa(code),
            other => panic!("unknown scheme {other}"),
        };
        match (code.as_str(), kind.as_str()) {
            // No code at all: a gap of the notation, reported when writing it.
            ("(none)", _) => assert_eq!(x_sampa::from_ipa(ipa).faults.len(), 1, "{ipa}"),
            // Only a part of letter codes: it stands for nothing by itself.
            ("_<", _) => assert_eq!(converted.faults.len(), 1),
            _ => assert_eq!(clean(&converted, code), nfd(ipa), "{scheme} {code}"),
        }
    }
}

#[test]
fn every_row_of_the_standards_converts_from_ipa() {
    // Codes that are read and not written: another code of the same symbol is.
    let read_only = [
        "v\\", "_=", "_~", "'", "_/", "_\\", "I\\", "U\\", "_<", "-", "(none)",
    ];
    let rows = table(
        "standards/xsampa.tsv",
        "codes.tsv",
        ["scheme", "code", "ipa", "kind"],
    );
    for [scheme, code, ipa, kind] in &rows {
        if read_only.contains(&code.as_str()) {
            continue;
        }
        let (converted, wanted) = match (scheme.as_str(), kind.as_str()) {
            ("X-SAMPA", _) => (x_sampa::from_ipa(ipa), code.as_str()),
            // A vowel alone has no stress mark, so nothing is known about its stress: only
            // the digit that tells it from another vowel is written.
            (_, "vowel+stress")
                if code.ends_with('0') && !["AH0", "ER0"].contains(&code.as_str()) =>
            {
                (arpabet::from_ipa(ipa), code.trim_end_matches('0'))
            }
            _ if code == "AX" => (arpabet::from_ipa(ipa), "AH0"),
            _ if code == "AXR" => (arpabet::from_ipa(ipa), "ER0"),
            _ => (arpabet::from_ipa(ipa), code.as_str()),
        };
        assert_eq!(clean(&converted, ipa), wanted, "{scheme} {ipa}");
    }
}

#[test]
fn all_107_letters_but_one_have_an_x_sampa_code() {
    let mut gaps = Vec::new();
    let mut letters = 0;
    for symbol in inventory::symbols()
        .iter()
        .filter(|symbol| symbol.set == "ipa")
    {
        // The chart's 107 letters do not count the looptail g nor what is a letter with a
        // mark built in.
        letters += usize::from(!["g", "ɚ", "ɝ", "ɫ"].contains(&symbol.text));
        let written = x_sampa::from_ipa(symbol.text);
        if written.faults.is_empty() {
            assert!(written.text.is_ascii(), "{}", symbol.text);
            let wanted = if symbol.text == "g" {
                "ɡ"
            } else {
                symbol.text
            };
            let back = x_sampa::to_ipa(&written.text);
            assert_eq!(clean(&back, &written.text), nfd(wanted));
        } else {
            gaps.push(symbol.text);
        }
    }
    assert_eq!(letters, 107);
    assert_eq!(gaps, ["ⱱ"]);
}

/// What a spelling of equal meaning comes back as.
fn canonical(symbol: &str) -> &str {
    match symbol {
        "g" => "ɡ",
        "\u{30A}" => "\u{325}",
        "\u{30D}" => "\u{329}",
        "\u{311}" => "\u{32F}",
        "˖" => "\u{31F}",
        "˗" => "\u{320}",
        "˔" => "\u{31D}",
        "˕" => "\u{31E}",
        "˒" => "\u{339}",
        "˓" => "\u{31C}",
        "꭪" => "\u{318}",
        "꭫" => "\u{319}",
        "ᵻ" => "ɪ\u{308}",
        "ᵿ" => "ʊ\u{308}",
        other => other,
    }
}

#[test]
fn every_letter_with_every_mark_comes_back_from_x_sampa() {
    let mut pairs = 0;
    for symbol in inventory::symbols() {
        for mark in inventory::marks() {
            let typed = format!("{}{}", symbol.text, mark.text);
            let written = x_sampa::from_ipa(&typed);
            check_traces(&typed, &written);
            if symbol.text.is_ascii() && !written.faults.is_empty() {
                // A capital with no code of its own, kept and reported, is one of X-SAMPA's.
                continue;
            }
            let back = x_sampa::to_ipa(&written.text);
            check_traces(&written.text, &back);
            let wanted = match (symbol.text, mark.text) {
                ("ə", "˞") => "ɚ".to_owned(),
                ("ɜ", "˞") => "ɝ".to_owned(),
                (letter, mark) => format!("{}{}", canonical(letter), canonical(mark)),
            };
            assert_eq!(nfd(&back.text), nfd(&wanted), "{typed} as {}", written.text);
            pairs += usize::from(written.faults.is_empty());
        }
    }
    assert!(pairs > 4_000, "only {pairs} pairs went without a fault");
}

#[test]
fn x_sampa_reads_as_its_rules_say() {
    // Wells (1995) for the codes; the rules for `_` are ours, stated at `to_ipa`.
    for (typed, wanted) in [
        ("\"b{t@`", "ˈbætɚ"),
        ("[\"k{t]", "[ˈkæt]"),
        ("/str\\ENkTs/", "/stɹɛŋkθs/"),
        ("t_s", "t͡s"),
        ("t_r\\", "t͡ɹ"),
        ("t_r", "t̝"),
        ("d_z`", "d͡ʐ"),
        ("t_>\\", "t͡ʡ"),
        ("N_m", "ŋ̻"),
        ("r\\`", "ɻ"),
        ("r`", "ɽ"),
        ("r-`", "r˞"),
        ("a_B_L", "a᷅"),
        ("a_B-_L", "ȁ̀"),
        ("t_h_d", "t̪ʰ"),
        ("t_h-_d", "tʰ̪"),
        ("a:_~", "ãː"),
        ("b_<a", "ɓa"),
        ("p_<a", "ɓ̥a"),
        ("||\\a", "ǁa"),
        ("a||b", "a‖b"),
        ("a-\\b", "a‿b"),
        ("<R>a <F>b", "↗a ↘b"),
    ] {
        let converted = x_sampa::to_ipa(typed);
        assert_eq!(clean(&converted, typed), nfd(wanted), "{typed}");
        check_traces(typed, &converted);
    }
}

#[test]
fn codes_never_run_together() {
    for (ipa, wanted) in [
        ("t˞", "t-`"),
        ("|ǀ", "|-|\\"),
        ("a̋́", "a_T_H"),
        ("ȁ̀", "a_B-_L"),
        ("tʰ̥", "t_h-_0"),
        ("t̥ʰ", "t_0_h"),
        ("ç̥", "C_0"),
        ("t͡ʃ", "t_S"),
        ("t͡ɹ", "t_r\\"),
    ] {
        let converted = x_sampa::from_ipa(ipa);
        assert_eq!(clean(&converted, ipa), wanted, "{ipa}");
        check_traces(ipa, &converted);
        assert_eq!(clean(&x_sampa::to_ipa(wanted), wanted), nfd(ipa));
    }
}

#[test]
fn what_has_no_code_is_kept_and_named() {
    for (ipa, at, reason, help) in [
        ("aⱱa", 1, "`ⱱ` U+2C71 has no X-SAMPA code", "write v\\"),
        ("a˥", 1, "`˥` U+02E5 has no X-SAMPA code", "_T"),
        (
            "ŋ͡m",
            2,
            "the tie cannot be written before `m`: `_m` is the mark for laminal",
            "leave the tie out",
        ),
    ] {
        let converted = x_sampa::from_ipa(ipa);
        let [fault] = converted.faults.as_slice() else {
            panic!("{:?}", converted.faults)
        };
        assert_eq!(fault.span.start, at, "{ipa}");
        assert_eq!(fault.reason, reason);
        assert!(fault.help.contains(help), "{}", fault.help);
        assert_eq!(nfd(&x_sampa::to_ipa(&converted.text).text), nfd(ipa));
    }
    let odd = x_sampa::to_ipa("kə;t");
    assert_eq!(odd.text, "kə;t");
    assert_eq!(odd.faults[0].span, Span::new(1, 3));
    assert_eq!(odd.faults[0].help, "its code is `@`");
    assert_eq!(odd.faults[1].span, Span::new(3, 4));

    let odd = arpabet::to_ipa("K1 AE1 xx");
    assert_eq!(odd.text, "K1ˈæxx");
    assert_eq!(odd.faults.len(), 2);
    assert_eq!(odd.faults[0].span, Span::new(0, 2));
    assert_eq!(odd.faults[1].span, Span::new(7, 9));
    let odd = arpabet::from_ipa("kæˈt");
    assert_eq!(odd.text, "K AE ˈ T");
    assert_eq!(odd.faults[0].span, Span::new(3, 5));
}

#[test]
fn arpabet_stress_stands_before_its_syllable() {
    // Codes as the CMU Pronouncing Dictionary spells the words, from memory; syllables by
    // maximal onset, as dictionaries of American English divide them, from memory.
    for (typed, wanted) in [
        ("K AE1 T", "ˈkæt"),
        ("AH0 B AW1 T", "əˈbaʊt"),
        ("EH0 K S T R IY1 M", "ɛkˈstɹim"),
        ("IH0 K S K L EY1 M", "ɪkˈskleɪm"),
        ("D IH0 S K AH1 V ER0", "dɪˈskʌvɚ"),
        ("S AE2 T AH0 S F AE1 K SH AH0 N", "ˌsætəsˈfækʃən"),
        ("AE2 T L AE1 N T AH0", "ˌætˈlæntə"),
        ("R IH0 D IH1 K Y AH0 L AH0 S", "ɹɪˈdɪkjələs"),
        ("EH1 N IY0 HH W EH2 R", "ˈɛniˌhwɛɹ"),
        ("B ER1 D", "ˈbɝd"),
        ("CH ER1 CH # R AH1 N Z", "ˈt͡ʃɝt͡ʃ ˈɹʌnz"),
        ("K AE1 T | D AO1 G", "ˈkæt | ˈdɔɡ"),
        ("[K AE1 T]", "[ˈkæt]"),
        ("K AH0 N . T R OW1 L", "kən.ˈtɹoʊl"),
        ("B AA1 T EL", "ˈbɑtl̩"),
    ] {
        let converted = arpabet::to_ipa(typed);
        assert_eq!(clean(&converted, typed), nfd(wanted), "{typed}");
        check_traces(typed, &converted);
        assert_eq!(clean(&arpabet::from_ipa(wanted), wanted), typed);
    }
    let about = arpabet::to_ipa("AH0 B AW1 T");
    let mark = about.text.find('ˈ').unwrap();
    // The stress mark comes from the digit.
    assert_eq!(
        about.source_of(Span::new(mark, mark + 2)),
        Some(Span::new(8, 9))
    );
    assert_eq!(about.source_of(Span::new(0, 2)), Some(Span::new(0, 3)));
}

#[test]
fn arpabet_takes_ipa_as_people_type_it() {
    for (ipa, wanted) in [
        ("t͜ʃɪn", "CH IH N"),
        ("tʃɪn", "CH IH N"),
        ("ʤɑb", "JH AA B"),
        ("gɡ", "G G"),
        ("rɹɻ", "R R R"),
        ("ɜ˞ ə˞", "ER # ER0"),
        ("maɪ̯", "M AY"),
        ("o͡ʊo", "OW OW"),
        ("ˈəɚˌɚ", "AX1 ER0 AXR2"),
        // A stressless ʌ in a word with stress has no digit: AH0 would be ə.
        ("ˈʌnlʌk", "AH1 N L AH K"),
        ("əˈbaʊtə kæt", "AH0 B AW1 T AH0 # K AE T"),
    ] {
        assert_eq!(clean(&arpabet::from_ipa(ipa), ipa), wanted, "{ipa}");
    }
}

#[test]
fn published_stress_comes_back_where_it_stood() {
    let rows = table(
        "wordlists/eng-us-stress.tsv",
        "stressed-words.tsv",
        ["transcription"],
    );
    let (mut all, mut same) = (0_u32, 0_u32);
    for [cell] in &rows {
        for typed in cell.split(", ") {
            let phones = arpabet::from_ipa(typed);
            clean(&phones, typed);
            let back = arpabet::to_ipa(&phones.text);
            clean(&back, &phones.text);
            // The list writes l as ɫ and affricates without a tie.
            let wanted = typed
                .replace('ɫ', "l")
                .replace("tʃ", "t͡ʃ")
                .replace("dʒ", "d͡ʒ");
            let bare = |text: &str| text.replace(['ˈ', 'ˌ'], "");
            assert_eq!(bare(&back.text), bare(&wanted));
            all += 1;
            same += u32::from(back.text == wanted);
        }
    }
    // The rest divide compounds at their seam (`ˈfɹeɪtˌweɪ`), which no phone string shows.
    // One of a small sample may.
    assert!(
        same * 1000 >= all * 985 || all < 200 && same + 1 >= all,
        "{same} of {all} words"
    );
}

/// Anything, and strings of what these notations are made of.
fn text() -> impl Strategy<Value = String> {
    let ipa: Vec<&'static str> = inventory::symbols()
        .iter()
        .map(|symbol| symbol.text)
        .chain(inventory::marks().iter().map(|mark| mark.text))
        .chain([
            "\u{361}", "\u{35C}", "ˈ", "ˌ", ".", " ", "|", "‖", "[", "/", "\n", "5", "ẽ",
            "ḱ",
        ])
        .collect();
    prop_oneof![
        any::<String>(),
        prop::collection::vec(prop::sample::select(ipa), 0..12)
            .prop_map(|parts| parts.concat()),
        "[ -~]{0,16}",
        "([A-Z]{1,3}[0-2]?[ #|.]{0,2}){0,8}",
    ]
}

proptest! {
    #[test]
    fn nothing_is_lost_in_any_direction(typed in text()) {
        for convert in [x_sampa::to_ipa, x_sampa::from_ipa, arpabet::to_ipa, arpabet::from_ipa] {
            check_traces(&typed, &convert(&typed));
        }
    }

    #[test]
    fn what_went_without_a_fault_comes_back(typed in text()) {
        let written = x_sampa::from_ipa(&typed);
        if written.faults.is_empty() {
            let back = x_sampa::to_ipa(&written.text);
            prop_assert!(back.faults.is_empty(), "{:?}", back.faults);
            let again = x_sampa::to_ipa(&x_sampa::from_ipa(&back.text).text);
            prop_assert_eq!(nfd(&again.text), nfd(&back.text));
        }
        let written = arpabet::from_ipa(&typed);
        if written.faults.is_empty() {
            prop_assert!(arpabet::to_ipa(&written.text).faults.is_empty());
        }
    }
}
