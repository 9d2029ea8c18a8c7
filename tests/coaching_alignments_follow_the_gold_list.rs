//! Target and production of English words are aligned as a coach would.
//!
//! The expectation is `tests/data/alignment/coaching.tsv`: alignments by phonetic judgement,
//! each with its reason, written before the aligner was first run on them.

use std::fmt::Write as _;

use apical::accent::Accent;
use apical::alignment::{Aligner, Kind, Setting};

use crate::alignments_agree_with_published_ones::{cells, cut, found};

const GOLD: &str = include_str!("data/alignment/coaching.tsv");

struct Row {
    target: &'static str,
    production: &'static str,
    gold: Vec<[String; 2]>,
    class: &'static str,
    held: bool,
}

fn rows() -> Vec<Row> {
    GOLD.lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<&str> = line.split('\t').collect();
            let side = |text: &str| -> Vec<String> {
                text.split(' ').map(|cell| cell.replace('+', "")).collect()
            };
            let gold: Vec<[String; 2]> = side(cells[2])
                .into_iter()
                .zip(side(cells[3]))
                .map(|(one, other)| [one, other])
                .collect();
            Row {
                target: cells[0],
                production: cells[1],
                gold,
                class: cells[4],
                held: cells[6] == "held",
            }
        })
        .collect()
}

fn aligner() -> Aligner {
    Aligner::new(Setting::for_accent(&Accent::named("en-US").unwrap()))
}

#[test]
fn the_list_is_well_formed() {
    let rows = rows();
    assert!(rows.len() >= 150);
    let held = rows.iter().filter(|row| row.held).count();
    assert!(held * 3 >= rows.len(), "a third is held out");
    for row in &rows {
        for (side, text) in [(0, row.target), (1, row.production)] {
            let joined: String = row
                .gold
                .iter()
                .map(|it| it[side].as_str())
                .filter(|it| *it != "-")
                .collect();
            assert_eq!(joined, text, "{} {}", row.target, row.production);
        }
        assert!(row.gold.iter().all(|cells| cells != &["-", "-"]));
    }
}

#[test]
fn english_pairs_are_aligned_as_by_judgement() {
    let mut aligner = aligner();
    let mut counts = [[0; 2]; 2];
    let mut misses = String::new();
    for row in rows() {
        let (target, production) = (cut(row.target), cut(row.production));
        let columns = aligner.align(&target.bundles, &production.bundles);
        let ours = cells(columns, &target, &production);
        let right = !found(&row.gold, &ours).contains(&false);
        counts[usize::from(row.held)][0] += usize::from(right);
        counts[usize::from(row.held)][1] += 1;
        if !right {
            writeln!(misses, "{}: ours {ours:?}, gold {:?}", row.class, row.gold)
                .unwrap();
        }
    }
    let [[tuned, of_tuned], [held, of_held]] = counts;
    println!("tuned {tuned} of {of_tuned}, held out {held} of {of_held}\n{misses}");
    assert!(
        (tuned + held) * 100 >= (of_tuned + of_held) * 97,
        "{misses}"
    );
    assert!(held * 100 >= of_held * 97, "{misses}");
}

#[test]
fn one_column_holds_what_merges_or_splits() {
    let mut aligner = aligner();
    // Common teaching: affricates, diphthongs, r-coloured vowels and syllabic consonants are
    // one sound each, however many letters write them.
    for (target, production, merged) in [
        ("t͡ʃiz", "tʃiz", true),
        ("wɑtʃ", "wɑʃ", true),
        ("taɪm", "tam", true),
        ("lɛtɚ", "lɛtəɹ", true),
        ("bʌtn̩", "bʌtən", true),
        ("taɪm", "taɪm", false),
        ("kæts", "kæt", false),
    ] {
        let (target, production) = (cut(target), cut(production));
        let columns = aligner.align(&target.bundles, &production.bundles);
        let has = columns
            .iter()
            .any(|it| it.target.len() + it.production.len() == 3);
        assert_eq!(has, merged, "{:?} {:?}", target.texts, production.texts);
    }
    let mut general = Aligner::new(Setting::general());
    let (target, production) = (cut("taɪm"), cut("tam"));
    let columns = general.align(&target.bundles, &production.bundles);
    assert!(
        columns
            .iter()
            .all(|it| it.target.len() <= 1 && it.production.len() <= 1)
    );
}

#[test]
fn kinds_say_what_became_of_each_sound() {
    let mut aligner = aligner();
    // The labels follow from their definitions in the contract.
    for (target, production, kinds) in [
        (
            "θɪŋk",
            "t̪ɪŋk",
            vec![Kind::Substitution, Kind::Match, Kind::Match, Kind::Match],
        ),
        (
            "sʌn",
            "s̪ʌn",
            vec![Kind::Distortion, Kind::Match, Kind::Match],
        ),
        (
            "tɛn",
            "tʰɛn",
            vec![Kind::Distortion, Kind::Match, Kind::Match],
        ),
        ("bɛd", "bɛ", vec![Kind::Match, Kind::Match, Kind::Omission]),
        ("spɑt", "ɛspɑt", {
            let mut kinds = vec![Kind::Addition];
            kinds.extend([Kind::Match; 4]);
            kinds
        }),
        (
            "t͡ʃɛɹ",
            "tʃɛɹ",
            vec![Kind::Distortion, Kind::Match, Kind::Match],
        ),
    ] {
        let (one, other) = (cut(target), cut(production));
        let ours: Vec<Kind> = aligner
            .align(&one.bundles, &other.bundles)
            .iter()
            .map(|it| it.kind)
            .collect();
        assert_eq!(ours, kinds, "{target} {production}");
    }
}

#[test]
fn sounds_that_changed_places_are_labelled_in_both_columns() {
    let mut aligner = aligner();
    for (target, production) in [
        ("æsk", "æks"),
        ("spəɡɛti", "pəsɡɛti"),
        ("kɹæb", "kæɹb"),
        ("kævəlɹi", "kælvəɹi"),
    ] {
        let (one, other) = (cut(target), cut(production));
        let columns = aligner.align(&one.bundles, &other.bundles);
        let moved = columns
            .iter()
            .filter(|it| it.kind == Kind::Transposition)
            .count();
        assert_eq!(moved, 2, "{target} {production}");
    }
}
