//! Every worked example of a measure comes out as it was published, or as its published
//! definition gives it; each row of the table names its source.

#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::float_cmp,
    reason = "the figures are small whole numbers"
)]

use apical::accent::Accent;
use apical::alignment;
use apical::articulation::bundle;
use apical::feature::FeatureBundle;
use apical::finding::agreement::alpha::{Level, alpha};
use apical::finding::agreement::kappa::{Kappa, Labels};
use apical::finding::agreement::transcribers::agreement;
use apical::finding::item::{Item, Pairing, Side};
use apical::finding::measure::{
    self, Sample, complexity, correctness, edit, repertoire, rules::Rules, score,
    segment_distance, whole_word,
};
use apical::notation::Transcription;

use crate::outside::Table;

struct Bench {
    pairing: Pairing,
}

impl Bench {
    fn new() -> Self {
        let accent = Accent::named("en-US").unwrap();
        Self {
            pairing: Pairing::new(&accent),
        }
    }

    /// The items of a row: words parted by bars are items of their own, and a word that
    /// nobody understood leaves the sample.
    fn items(&mut self, target: &str, production: &str) -> Vec<Item> {
        let (target, production) = match target.strip_prefix("[unintelligible] ") {
            Some(rest) => (rest, production.split_once(' ').unwrap().1),
            None => (target, production),
        };
        let pairs = target.split(" | ").zip(production.split(" | "));
        pairs
            .map(|(target, said)| {
                let [target, said] = [target, said].map(Transcription::parse);
                self.pairing.item(1, "", &target, &said)
            })
            .collect()
    }

    fn side(&mut self, text: &str) -> Side {
        self.pairing.side(&Transcription::parse(text))
    }
}

/// The transcription in a cell that may name its word first.
fn transcription(cell: &str) -> &str {
    match cell.split_once(' ') {
        Some((word, rest)) if word.chars().all(|it| it.is_ascii_lowercase()) => rest,
        _ => cell,
    }
}

/// The numbers in a text, as written.
fn numbers(text: &str) -> Vec<f64> {
    text.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
        .filter_map(|word| word.trim_end_matches('.').parse().ok())
        .collect()
}

fn fraction(text: &str) -> (u64, u64) {
    let word = text.split_whitespace().next().unwrap();
    let (one, other) = word.split_once('/').unwrap();
    (one.parse().unwrap(), other.parse().unwrap())
}

fn bundles(text: &str) -> Vec<FeatureBundle> {
    Transcription::parse(text)
        .segments()
        .map(|it| bundle(&it))
        .collect()
}

fn measured(items: &[Item], name: &str, rules: &Rules) -> (u64, u64) {
    let all = measure::all(items, rules);
    let found = all.iter().find(|it| it.name == name).unwrap();
    (found.numerator, found.denominator)
}

#[track_caller]
fn near(value: f64, printed: f64, places: i32, row: &str) {
    let step = 0.5 * 10_f64.powi(-places) + 1e-9;
    assert!(
        (value - printed).abs() <= step,
        "{row}: {value}, not {printed}"
    );
}

/// The rows that are about something else than a measure of Apical, by their metric and how
/// their target begins: why, and where it is shown instead.
const OUT_OF_SCOPE: &[(&str, &str, usize, &str)] = &[
    (
        "PWC",
        "six deck words",
        1,
        "names no transcriptions to count",
    ),
    (
        "PWV",
        "",
        2,
        "its definition is not verified: several formulas are in use",
    ),
    (
        "phonetic inventory",
        "10 chances",
        1,
        "a norm for children: bands are never given",
    ),
    (
        "percentage of occurrence",
        "",
        4,
        "counts of patterns without words; patterns are counted in sheets_are_analyzed, \
         and no threshold is applied to the counts",
    ),
    (
        "agreement point-to-point (narrow)",
        "non-native linguists",
        1,
        "the result of a study, without its transcriptions",
    ),
    (
        "feature distance (multivalued)",
        "",
        7,
        "the weights of another method: ours are in distances_are_distances",
    ),
    (
        "relational analysis",
        "",
        8,
        "kinds of errors, no figure: every_error_has_its_kind_and_place",
    ),
];

#[test]
fn each_row() {
    let shared = std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../shared/facts/worked-examples.tsv");
    let table = if shared.exists() {
        Table::read("../facts/worked-examples.tsv")
    } else {
        Table::read("measures/worked-examples.tsv")
    };
    let mut bench = Bench::new();
    let mut counted = 0;
    let mut left_out = vec![0; OUT_OF_SCOPE.len()];
    for row in table.rows() {
        let cell = |name| row.cell(name);
        let (target, said) = (cell("target"), cell("production"));
        let expected = cell("expected value");
        let name = format!("{} {target} → {said}", cell("metric"));
        if check(&mut bench, cell("metric"), [target, said, expected], &name) {
            counted += 1;
            continue;
        }
        let known = OUT_OF_SCOPE.iter().position(|(metric, begins, ..)| {
            *metric == cell("metric") && target.starts_with(begins)
        });
        left_out[known.unwrap_or_else(|| panic!("neither checked nor named: {name}"))] +=
            1;
    }
    for ((metric, _, rows, why), found) in OUT_OF_SCOPE.iter().zip(left_out) {
        let whole = shared.exists();
        let holds = if whole {
            found == *rows
        } else {
            found <= *rows
        };
        assert!(holds, "{metric}: {found} rows, not {rows}: {why}");
    }
    println!("{counted} rows");
    assert_eq!(counted, 71, "rows of measures and agreement");
}

/// Checks a row; false if it is about something else than measures.
fn check(
    bench: &mut Bench,
    metric: &str,
    [target, said, expected]: [&str; 3],
    name: &str,
) -> bool {
    let usual = Rules::default();
    match metric {
        "PCC" | "PCC-A" | "PCC-R" | "PVC" | "PPC" => {
            let items = bench.items(target, said);
            assert_eq!(
                measured(&items, metric, &usual),
                fraction(expected),
                "{name}"
            );
            if let Some((_, other)) = expected.split_once("; ") {
                let rules = Rules {
                    added_vowel_counts: true,
                    ..usual
                };
                assert_eq!(measured(&items, metric, &rules), fraction(other), "{name}");
            }
        }
        "ACI" => {
            let figures = numbers(&format!("{target} {said}"));
            let distortions = figures.get(2).copied().unwrap_or(0.0);
            let [all, wrong] = [figures[0], figures[1]].map(|it| it as u32);
            let value =
                correctness::articulation_competence(all, wrong, distortions as u32);
            let printed = expected.split_once("= ").unwrap().1.parse().unwrap();
            near(value.unwrap(), printed, 1, name);
        }
        "PMLU" => {
            let items = bench.items(transcription(target), said);
            let points = whole_word::points(&items[0], &usual);
            let printed = numbers(expected);
            let found = vec![points.target as f64, points.production as f64];
            assert_eq!(found, printed, "{name}");
        }
        "PWP" => {
            let items = bench.items(transcription(target), said);
            assert_eq!(
                measured(&items, "PWP", &usual),
                fraction(expected),
                "{name}"
            );
            if let Some((_, other)) = expected.split_once("cap; ") {
                let rules = Rules {
                    added_segments_earn: true,
                    ..usual
                };
                assert_eq!(measured(&items, "PWP", &rules), fraction(other), "{name}");
            }
        }
        "PWP (sample form)" => {
            let figures = numbers(target);
            let value = whole_word::weight_of_consonants(figures[0], figures[1]);
            let printed = numbers(expected)[0];
            let places = expected.trim().len() - expected.find('.').unwrap() - 1;
            near(value, printed, i32::try_from(places).unwrap(), name);
        }
        "PWC" if !target.is_ascii() => {
            let items = bench.items(target, said);
            let found = measured(&items, "whole-word correctness", &usual);
            assert_eq!(found, fraction(expected), "{name}");
        }
        "WCM" => word_complexity(bench, target, said, expected, name),
        "phonetic inventory" if target == "-" => inventory(bench, said, expected, name),
        metric if metric.starts_with("agreement") && target.starts_with("A: ") => {
            let texts = [(target, "A: "), (said, "B: ")];
            let [one, other] = texts.map(|(cell, name)| {
                Transcription::parse(cell.strip_prefix(name).unwrap())
            });
            let accent = Accent::named("en-US");
            for accent in [accent.as_ref(), None] {
                let found = agreement(&[[&one, &other]], accent);
                let share = if metric.contains("narrow") {
                    found.narrow
                } else {
                    found.broad
                };
                let counted = (share.agreements, share.comparisons);
                assert_eq!(counted, fraction(expected), "{name}");
            }
        }
        "Cohen's kappa" => kappa(target, expected, name),
        "weighted kappa" => weighted(target, expected, name),
        "Krippendorff's alpha" => krippendorff(target, said, expected, name),
        "Levenshtein distance"
        | "Levenshtein, length-normalised"
        | "phonemic edit-distance ratio" => {
            let word = |cell: &str| cell.split_whitespace().next().unwrap().to_owned();
            let found = if metric.starts_with("Lev") {
                edit::between(&bundles(&word(target)), &bundles(&word(said)))
            } else {
                let [one, other] = [target, said].map(|it| {
                    let side = bench.side(&word(it));
                    score::sounds(&side)
                        .iter()
                        .map(|it| it.0)
                        .collect::<Vec<_>>()
                });
                edit::Edit {
                    columns: one.len(),
                    ..edit::between(&one, &other)
                }
            };
            if metric == "Levenshtein distance" {
                assert_eq!(found.edits as f64, numbers(expected)[0], "{name}");
            } else {
                let found = (found.edits as u64, found.columns as u64);
                assert_eq!(found, fraction(expected), "{name}");
            }
        }
        "feature distance (PMV count)" => {
            let [one, other] = [target, said]
                .map(|it| alignment::whole(&bench.side(it).bundles).unwrap());
            let found = segment_distance::place_manner_voicing(&one, &other);
            assert_eq!(f64::from(found), numbers(expected)[0], "{name}");
        }
        _ => return false,
    }
    true
}

fn word_complexity(
    bench: &mut Bench,
    target: &str,
    said: &str,
    expected: &str,
    name: &str,
) {
    let usual = Rules::default();
    let points = |bench: &mut Bench, text: &str| {
        f64::from(complexity::complexity(&bench.side(text), &usual))
    };
    let wanted = points(bench, transcription(target));
    let printed = numbers(expected);
    if said.starts_with('(') {
        assert_eq!(wanted, printed[0], "{name}");
    } else {
        assert_eq!([points(bench, said), wanted], printed[..2], "{name}");
    }
}

/// Sounds with the number of words each is in: `/p/ established (3 words), …`.
fn inventory(bench: &mut Bench, said: &str, expected: &str, name: &str) {
    let words: Vec<Item> = said
        .split(' ')
        .flat_map(|word| bench.items(word, word))
        .collect();
    let sample = Sample::of(&words, &Rules::default());
    let accent = Accent::named("en-US").unwrap();
    let found = repertoire::repertoire(&sample, &accent);
    for part in expected.split("), ") {
        let sound = part.split('/').nth(1).unwrap();
        let heard = found.iter().find(|it| it.sound == sound).unwrap();
        let count = heard.words.len();
        assert_eq!(count as f64, numbers(part)[0], "{name}: {sound}");
        let established = count >= Rules::default().inventory_words;
        assert_eq!(
            established,
            !part.contains("not established"),
            "{name}: {sound}"
        );
    }
}

/// The table in a cell: rows parted by slashes.
fn labels(text: &str) -> Labels {
    let rows: Vec<Vec<f64>> = text.split('/').map(numbers).collect();
    let mut labels = Labels::new(rows.len());
    for (one, row) in rows.iter().enumerate() {
        for (other, count) in row.iter().enumerate() {
            labels.add(one, other, *count);
        }
    }
    labels
}

fn after(text: &str, word: &str) -> f64 {
    let rest = text.split_once(word).unwrap().1;
    rest.trim_start_matches([' ', '='])
        .split([',', ' ', ';'])
        .next()
        .unwrap()
        .parse()
        .unwrap()
}

fn kappa(target: &str, expected: &str, name: &str) {
    let found: Kappa = if let Some((_, table)) = target.split_once("table ") {
        labels(table).kappa()
    } else {
        let [a, b, c, d] = numbers(target)[..] else {
            panic!("{name}: four counts")
        };
        labels(&format!("{a} {b} / {c} {d}")).kappa()
    };
    near(found.observed, after(expected, "po"), 2, name);
    near(found.expected, after(expected, "pe"), 3, name);
    near(found.kappa.unwrap(), after(expected, "kappa"), 3, name);
}

fn weighted(target: &str, expected: &str, name: &str) {
    let (table, weights) = target.rsplit_once("weights ").unwrap();
    let table = labels(
        table
            .split_once("table ")
            .unwrap()
            .1
            .split([',', ';'])
            .next()
            .unwrap(),
    );
    let weights: Vec<Vec<f64>> = if weights.contains('=') {
        // The labels s, f, t in the table's order.
        let pair = |name: &str| after(weights, name);
        let (sf, st, ft) = (pair("(s,f)"), pair("(s,t)"), pair("(f,t)"));
        vec![vec![0., sf, st], vec![sf, 0., ft], vec![st, ft, 0.]]
    } else {
        weights.split('/').map(numbers).collect()
    };
    let found = table
        .weighted(|one, other| weights[one][other])
        .kappa
        .unwrap();
    if expected.contains("unweighted") {
        near(found, after(expected, "weighted"), 3, name);
        near(
            table.kappa().kappa.unwrap(),
            after(expected, "unweighted"),
            3,
            name,
        );
    } else {
        near(found, *numbers(expected).last().unwrap(), 3, name);
    }
}

fn krippendorff(target: &str, said: &str, expected: &str, name: &str) {
    let rating = |word: &str| match word {
        "." => None,
        word => Some(
            word.parse()
                .unwrap_or_else(|_| f64::from(word.as_bytes()[0])),
        ),
    };
    let units: Vec<Vec<Option<f64>>> = if said == "-" {
        let columns = target.rsplit_once("column by column ").unwrap().1;
        columns
            .split(" / ")
            .map(|unit| unit.split_whitespace().map(rating).collect())
            .collect()
    } else {
        let pairs = target.split(' ').zip(said.split(' '));
        pairs
            .map(|(one, other)| vec![rating(one), rating(other)])
            .collect()
    };
    let (level, printed) = expected.split_once(' ').unwrap();
    let level = match level {
        "nominal" => Level::Nominal,
        "ordinal" => Level::Ordinal,
        "interval" => Level::Interval,
        "ratio" => Level::Ratio,
        other => panic!("{name}: {other}"),
    };
    near(
        alpha(&units, level).alpha.unwrap(),
        printed.parse().unwrap(),
        3,
        name,
    );
}
