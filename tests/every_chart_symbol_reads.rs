//! Every letter, mark and sign of the chart is read as what the chart says.
//!
//! Source: IPA chart (revised to 2020), `standards/ipa-chart.tsv`.

use apical::articulation::{bundle, name};
use apical::feature::{Airstream, Class};
use apical::notation::Transcription;

use crate::outside::Table;

#[test]
fn letters_have_the_chart_s_features() {
    let table = Table::read("standards/ipa-chart.tsv");
    let mut letters = 0;
    for row in table.rows() {
        let text = row.cell("symbol");
        if row.cell("kind") != "letter" || text.chars().count() != 1 {
            continue;
        }
        letters += 1;
        let read = Transcription::parse(text);
        assert!(
            read.diagnostics().is_empty(),
            "{text}: {:?}",
            read.diagnostics()
        );
        let segments: Vec<_> = read.segments().collect();
        assert_eq!(segments.len(), 1, "{text}");
        let ours = bundle(&segments[0]);
        if !row.cell("height").is_empty() {
            assert_eq!(ours.class, Class::Vowel, "{text}");
            assert_eq!(ours.height.unwrap().name(), row.cell("height"), "{text}");
            assert_eq!(
                ours.backness.unwrap().name(),
                row.cell("backness"),
                "{text}"
            );
            if row.cell("rounding") != "unspecified" {
                assert_eq!(
                    ours.rounded,
                    Some(row.cell("rounding") == "rounded"),
                    "{text}"
                );
            }
        } else if !row.cell("place").is_empty() {
            if matches!(row.cell("voicing"), "voiced" | "voiceless") {
                assert_eq!(ours.voicing.name(), row.cell("voicing"), "{text}");
            }
            let manner = row.cell("manner");
            match manner {
                "click" => assert_eq!(ours.airstream, Airstream::Click, "{text}"),
                "implosive" => assert_eq!(ours.airstream, Airstream::Implosive, "{text}"),
                _ => {
                    let ours = ours.manner.unwrap().name();
                    assert!(
                        manner.contains(ours) || manner.contains("flap") && ours == "tap",
                        "{text}: {manner}"
                    );
                }
            }
            assert_eq!(
                ours.lateral,
                manner.contains("lateral") || row.cell("place").contains("lateral"),
                "{text}"
            );
        }
    }
    // 107 on the chart, the looptail g and the three that stand for letter and mark.
    assert_eq!(letters, 111);
}

#[test]
fn every_mark_reads_on_its_letter() {
    let table = Table::read("standards/ipa-chart.tsv");
    let mut marks = 0;
    for row in table.rows() {
        let mark = row.cell("symbol").trim_start_matches('◌');
        let group = row.cell("group");
        let diacritic = row.cell("kind") == "diacritic"
            && !row.cell("description").contains("tie bar")
            && !row.cell("description").contains("cedilla")
            && mark != "\u{327}";
        let tone = row.cell("kind") == "tone" && row.cell("symbol").starts_with('◌');
        if !diacritic && !tone {
            continue;
        }
        marks += 1;
        // Some letter must be able to carry it without remark.
        let carried = ["n", "s", "t", "d", "a", "ɔ", "e", "ə", "k", "z"]
            .iter()
            .find(|letter| {
                let read = Transcription::parse(&format!("[{letter}{mark}]"));
                read.diagnostics().is_empty() && read.segments().count() == 1
            });
        assert!(
            carried.is_some(),
            "{mark} ({group}: {})",
            row.cell("description")
        );
    }
    assert!(marks >= 60, "{marks} marks");
}

#[test]
fn the_phonetician_s_names() {
    // Source: IPA chart (2020), cell and diacritic names.
    for (text, expected) in [
        ("tʰ", "aspirated voiceless alveolar plosive"),
        ("t͡ʃ", "voiceless postalveolar affricate"),
        ("ɡ͡b", "voiced labial-velar plosive"),
        ("w", "voiced labial-velar approximant"),
        ("ɬ", "voiceless alveolar lateral fricative"),
        ("kʼ", "velar ejective plosive"),
        ("ɓ", "voiced bilabial implosive"),
        ("ǃ", "alveolar click"),
        ("n̩", "syllabic voiced alveolar nasal"),
        ("iː", "long close front unrounded vowel"),
        ("ə", "mid central vowel"),
        ("ɚ", "r-coloured mid central vowel"),
        ("ɹ̝", "voiced alveolar fricative"),
        ("β̞", "voiced bilabial approximant"),
        ("d̥", "voiceless alveolar plosive"),
        ("p̪", "voiceless labiodental plosive"),
        ("e̞", "mid front unrounded vowel"),
        ("ã", "nasalized open front unrounded vowel"),
    ] {
        let read = Transcription::parse(text);
        let segment = read.segments().next().unwrap();
        assert_eq!(name(&bundle(&segment)), expected, "{text}");
    }
}
