//! Cognate words aligned by hand in a published collection are aligned the same way.
//!
//! The expectation is the collection's (`tests/data/alignment/README.md`). A licensed sample
//! is always read, the larger cut of the same source where it stands beside the project; the
//! figures asserted are the same for both.

use std::fmt::Write as _;
use std::ops::Range;

use apical::alignment::{Aligner, Column, Kind, Setting};
use apical::articulation::bundle;
use apical::feature::FeatureBundle;
use apical::notation::Transcription;
use unicode_normalization::UnicodeNormalization;

/// A word cut into segments: the text and the features of each.
pub(crate) struct Cut {
    pub(crate) texts: Vec<String>,
    pub(crate) bundles: Vec<FeatureBundle>,
}

pub(crate) fn cut(text: &str) -> Cut {
    let tree = Transcription::parse(text);
    let texts = tree
        .segments()
        .map(|segment| segment.text().to_owned())
        .collect();
    Cut {
        texts,
        bundles: tree.segments().map(|segment| bundle(&segment)).collect(),
    }
}

/// The columns as pairs of texts, `-` for nothing.
pub(crate) fn cells(
    columns: &[Column],
    target: &Cut,
    production: &Cut,
) -> Vec<[String; 2]> {
    let side = |cut: &Cut, range: &Range<u32>| {
        let text = cut.texts[range.start as usize..range.end as usize].concat();
        if text.is_empty() {
            "-".to_owned()
        } else {
            text
        }
    };
    columns
        .iter()
        .map(|column| {
            [
                side(target, &column.target),
                side(production, &column.production),
            ]
        })
        .collect()
}

/// Where each cell's letters stand in its word, in characters of its NFD form.
fn spans(cells: &[[String; 2]]) -> Vec<[Option<Range<usize>>; 2]> {
    let mut at = [0, 0];
    let mut span = |text: &String, side: usize| {
        (text != "-").then(|| {
            let start = at[side];
            at[side] += text.nfd().count();
            start..at[side]
        })
    };
    cells
        .iter()
        .map(|[one, other]| [span(one, 0), span(other, 1)])
        .collect()
}

/// For each gold column, whether the same material is paired, whatever the cuts.
pub(crate) fn found(gold: &[[String; 2]], ours: &[[String; 2]]) -> Vec<bool> {
    let touch = |one: &Option<Range<usize>>, other: &Option<Range<usize>>| matches!((one, other), (Some(one), Some(other)) if one.start < other.end && other.start < one.end);
    let (gold, ours) = (spans(gold), spans(ours));
    let partners = |of: &Option<Range<usize>>, side: usize| -> Vec<usize> {
        let met = |column: &[Option<Range<usize>>; 2]| {
            ours.iter().any(|ours| {
                touch(&ours[side], of) && touch(&ours[1 - side], &column[1 - side])
            })
        };
        (0..gold.len()).filter(|&at| met(&gold[at])).collect()
    };
    gold.iter()
        .enumerate()
        .map(|(at, [one, other])| match (one, other) {
            (Some(_), Some(_)) => partners(one, 0) == [at] && partners(other, 1) == [at],
            (Some(_), None) => partners(one, 0).is_empty(),
            _ => partners(other, 1).is_empty(),
        })
        .collect()
}

struct Row {
    id: String,
    family: String,
    gold: Vec<[String; 2]>,
    core: Vec<bool>,
    swap: bool,
}

/// The sample in the repository, and the larger cut of the same source where it stands beside
/// the project.
#[allow(clippy::disallowed_methods, reason = "a test reads its data")]
fn sets() -> Vec<(&'static str, Vec<Row>)> {
    let sample = include_str!("data/alignment/cognates.tsv");
    let outside = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../shared/data/gold-alignments.tsv"
    );
    let mut sets = vec![("sample", rows(sample))];
    sets.extend(
        std::fs::read_to_string(outside)
            .ok()
            .map(|text| ("outside", rows(&text))),
    );
    sets
}

fn rows(text: &str) -> Vec<Row> {
    let head: Vec<&str> = text.lines().next().unwrap().split('\t').collect();
    let column = |name: &str| head.iter().position(|it| *it == name).unwrap();
    let (id, family, a, b) = (column("id"), column("msa"), column("a"), column("b"));
    let (core, swap) = (column("core"), column("swap"));
    // Stress stands beside the columns, not in them.
    let side = |text: &str| -> Vec<String> {
        text.split(' ')
            .map(|cell| cell.replace(['ˈ', 'ˌ'], ""))
            .map(|cell| {
                if cell.is_empty() {
                    "-".to_owned()
                } else {
                    cell
                }
            })
            .collect()
    };
    text.lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<&str> = line.split('\t').collect();
            Row {
                id: cells[id].to_owned(),
                family: cells[family].to_owned(),
                gold: side(cells[a])
                    .into_iter()
                    .zip(side(cells[b]))
                    .map(|(one, other)| [one, other])
                    .collect(),
                core: cells[core].chars().map(|it| it == '*').collect(),
                swap: cells[swap] == "yes",
            }
        })
        .collect()
}

fn word(gold: &[[String; 2]], side: usize) -> String {
    gold.iter()
        .map(|cells| cells[side].as_str())
        .filter(|cell| *cell != "-")
        .collect()
}

fn percent(part: usize, whole: usize) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "small counts")]
    let (part, whole) = (part as f64, whole as f64);
    100.0 * part / whole
}

/// Perfect pairs, pairs, found columns, columns.
type Score = [usize; 4];

fn add(score: &mut Score, hits: &[bool]) {
    score[0] += usize::from(hits.iter().all(|hit| *hit));
    score[1] += 1;
    score[2] += hits.iter().filter(|hit| **hit).count();
    score[3] += hits.len();
}

#[test]
fn cognates_are_aligned_as_by_hand() {
    for (name, rows) in sets() {
        let mut aligner = Aligner::new(Setting::general());
        let mut all = Score::default();
        let mut halves = [Score::default(); 2];
        let mut misses = String::new();
        for row in rows.iter().filter(|row| !row.swap) {
            let (one, other) = (cut(&word(&row.gold, 0)), cut(&word(&row.gold, 1)));
            let ours = cells(aligner.align(&one.bundles, &other.bundles), &one, &other);
            assert_eq!(word(&ours, 0), word(&row.gold, 0), "{}", row.id);
            assert_eq!(word(&ours, 1), word(&row.gold, 1), "{}", row.id);
            let hits: Vec<bool> = found(&row.gold, &ours)
                .into_iter()
                .zip(&row.core)
                .filter_map(|(hit, core)| core.then_some(hit))
                .collect();
            add(&mut all, &hits);
            add(&mut halves[half(&row.family)], &hits);
            if hits.contains(&false) {
                writeln!(misses, "{} ours {ours:?} gold {:?}", row.id, row.gold).unwrap();
            }
        }
        let figures = [all, halves[0], halves[1]].map(|it| {
            format!("{:.2}/{:.2}", percent(it[0], it[1]), percent(it[2], it[3]))
        });
        let [whole, tuned, other] = figures;
        let summary = format!(
            "{name}: perfect/columns {whole}; families looked at {tuned}, others {other}"
        );
        println!("{summary}");
        assert!(percent(all[0], all[1]) >= 92.5, "{summary}\n{misses}");
        assert!(percent(all[2], all[3]) >= 96.0, "{summary}\n{misses}");
    }
}

/// The half of the families whose misses were looked at while the constants were set (0), and
/// the other (1).
fn half(family: &str) -> usize {
    let fingerprint = family
        .bytes()
        .fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x100_0000_01b3)
        });
    usize::from((fingerprint ^ fingerprint >> 29) % 2 == 1)
}

#[test]
fn sounds_that_changed_places_are_found() {
    for (name, rows) in sets() {
        let mut aligner = Aligner::new(Setting::general());
        // Rows, and rows where one is found; without a swap in gold, and with one.
        let mut counts = [[0; 2]; 2];
        for row in rows {
            let (one, other) = (cut(&word(&row.gold, 0)), cut(&word(&row.gold, 1)));
            let columns = aligner.align(&one.bundles, &other.bundles);
            let moved = columns
                .iter()
                .filter(|it| it.kind == Kind::Transposition)
                .count();
            assert_eq!(moved % 2, 0, "{}: both columns carry the label", row.id);
            counts[usize::from(row.swap)][0] += 1;
            counts[usize::from(row.swap)][1] += usize::from(moved > 0);
        }
        let [[rows, wrong], [swaps, right]] = counts;
        let summary = format!(
            "{name}: found {right} of {swaps}; where there is none {wrong} of {rows}"
        );
        println!("{summary}");
        assert!(percent(right, swaps) >= 60.0, "{summary}");
        assert!(percent(rows - wrong, rows) >= 99.0, "{summary}");
    }
}
