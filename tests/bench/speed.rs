//! Speed as ratios to named baselines in one run.
//!
//! Contenders take turns inside one process, and each ratio is the median of the ratios
//! of neighbouring turns, so that a machine whose speed drifts does not matter. The words
//! are varied real ones: a repeated word flatters up to four times.

#![allow(clippy::print_stdout, missing_docs, reason = "a benchmark prints its figures")]
#![allow(clippy::disallowed_methods, reason = "a benchmark reads its words")]

use std::hint::black_box;
use std::time::Instant;

use apical::notation::Transcription;
use apical::{articulation, posture};
use unicode_normalization::UnicodeNormalization;

/// The outside word lists if they are beside the project, else the sample in the repository.
fn words(names: &[&str]) -> Vec<String> {
    let root = env!("CARGO_MANIFEST_DIR");
    let mut words = Vec::new();
    for name in names {
        let outside = format!("{root}/../shared/data/wordlists/{name}.tsv");
        let inside = format!("{root}/tests/data/wordlists/{name}.tsv");
        let text = std::fs::read_to_string(outside)
            .or_else(|_| std::fs::read_to_string(inside))
            .unwrap_or_default();
        for line in text.lines().skip(1) {
            if let Some(cell) = line.split('\t').nth(1) {
                words.push(cell.replace([' ', '/'], ""));
            }
        }
    }
    words
}

/// Seconds that one call takes.
fn time(work: &mut dyn FnMut()) -> f64 {
    let start = Instant::now();
    work();
    start.elapsed().as_secs_f64()
}

/// The median ratio baseline/contender over turns: above 1 the contender is faster.
fn ratio(turns: usize, baseline: &mut dyn FnMut(), contender: &mut dyn FnMut()) -> f64 {
    baseline();
    contender();
    let mut ratios: Vec<f64> =
        (0..turns).map(|_| time(baseline) / time(contender)).collect();
    ratios.sort_by(f64::total_cmp);
    ratios[ratios.len() / 2]
}

fn parsing(label: &str, words: &[String]) {
    let bytes: usize = words.iter().map(String::len).sum();
    let mut buffer = String::new();
    let mut nfd = || {
        for word in words {
            buffer.clear();
            buffer.extend(word.nfd());
            black_box(&buffer);
        }
    };
    let mut tree = Transcription::default();
    let mut parse = || {
        for word in words {
            tree.reparse(word);
            black_box(tree.diagnostics().len());
        }
    };
    let parsed = ratio(31, &mut nfd, &mut parse);
    let mut tree = Transcription::default();
    let mut features = || {
        for word in words {
            tree.reparse(word);
            for segment in tree.segments() {
                let bundle = articulation::bundle(&segment);
                black_box(posture::of_segment(&segment, &bundle));
                black_box(bundle);
            }
        }
    };
    let described = ratio(31, &mut nfd, &mut features);
    println!("{label}: {} words, {bytes} bytes", words.len());
    println!("  parse to tree with diagnostics: {parsed:.2} x the rate of NFD per line (at least 1.0)");
    println!("  parse plus features and posture: {described:.2} x (at least 0.7)");
}

fn main() {
    let english = words(&["eng-us-broad", "eng-uk-broad", "eng-us-stress"]);
    let all = words(&["eng-us-broad", "eng-us-narrow", "eng-uk-broad", "other-languages"]);
    println!("baseline: NFD of each line by unicode-normalization into a reused String");
    parsing("English, broad", &english);
    parsing("English and 25 other lists, broad and narrow", &all);
}
