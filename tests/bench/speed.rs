//! Speed as ratios to named baselines in one run.
//!
//! Contenders take turns inside one process, and each ratio is the median of the ratios
//! of neighbouring turns, so that a machine whose speed drifts does not matter. The words
//! are varied real ones: a repeated word flatters up to four times.

#![allow(
    clippy::print_stdout,
    missing_docs,
    reason = "a benchmark prints its figures"
)]
#![allow(clippy::disallowed_methods, reason = "a benchmark reads its words")]
#![allow(
    clippy::indexing_slicing,
    clippy::cast_precision_loss,
    reason = "a benchmark that panics has failed, and its figures are rounded"
)]

use std::hint::black_box;
use std::time::Instant;

use apical::accent::Accent;
use apical::alignment::{Aligner, Kind, Setting, Sound};
use apical::articulation;
use apical::feature::FeatureBundle;
use apical::finding::difference;
use apical::notation::Transcription;
use apical::posture::Describer;
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
    let mut ratios: Vec<f64> = (0..turns)
        .map(|_| time(baseline) / time(contender))
        .collect();
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
    let mut describer = Describer::default();
    let mut features = || {
        for word in words {
            tree.reparse(word);
            for segment in tree.segments() {
                black_box(describer.describe(&segment));
            }
        }
    };
    let described = ratio(31, &mut nfd, &mut features);
    println!("{label}: {} words, {bytes} bytes", words.len());
    println!(
        "  parse to tree with diagnostics: {parsed:.2} x the rate of NFD per line (at least 1.0)"
    );
    println!("  parse plus features and posture: {described:.2} x (at least 0.7)");
}

/// Words against copies of them in which one segment in five is lost, put in or replaced,
/// by a fixed rule.
fn pairs(words: &[String]) -> Vec<[Vec<FeatureBundle>; 2]> {
    let words: Vec<Vec<FeatureBundle>> = words
        .iter()
        .map(|word| {
            let tree = Transcription::parse(word);
            tree.segments()
                .map(|segment| articulation::bundle(&segment))
                .collect()
        })
        .collect();
    let mut sounds: Vec<FeatureBundle> = words.concat();
    sounds.sort_unstable();
    sounds.dedup();
    let mut state = 88_172_645_463_325_252_u64;
    let mut next = |below: usize| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        usize::try_from(state % 1_000_003).unwrap_or(0) % below
    };
    let mut copies = Vec::new();
    for word in words {
        let mut copy = Vec::new();
        for &sound in &word {
            match next(15) {
                0 => {}
                1 => copy.push(sounds[next(sounds.len())]),
                2 => copy.extend([sound, sounds[next(sounds.len())]]),
                _ => copy.push(sound),
            }
        }
        copies.push([word, copy]);
    }
    copies
}

fn aligning(
    label: &str,
    limit: &str,
    setting: Setting,
    pairs: &[[Vec<FeatureBundle>; 2]],
) {
    let mut aligner = Aligner::new(setting);
    let mut sounds: Vec<FeatureBundle> =
        pairs.iter().flatten().flatten().copied().collect();
    sounds.sort_unstable();
    sounds.dedup();
    let numbers = |word: &Vec<FeatureBundle>| -> Vec<u32> {
        word.iter()
            .map(|sound| {
                u32::try_from(sounds.binary_search(sound).unwrap_or(0)).unwrap_or(0)
            })
            .collect()
    };
    let plain: Vec<[Vec<u32>; 2]> = pairs
        .iter()
        .map(|[one, other]| [numbers(one), numbers(other)])
        .collect();
    let mut number = |word: &Vec<FeatureBundle>| -> Vec<Sound> {
        word.iter().map(|sound| aligner.intern(sound)).collect()
    };
    let interned: Vec<[Vec<Sound>; 2]> = pairs
        .iter()
        .map(|[one, other]| [number(one), number(other)])
        .collect();
    let mut unit = || {
        for [one, other] in &plain {
            black_box(strsim::generic_levenshtein(one, other));
        }
    };
    let mut second = aligner.clone();
    let mut align = || {
        for [one, other] in &interned {
            aligner.align_sounds(one, other);
            for column in aligner.columns() {
                if !matches!(column.kind, Kind::Substitution | Kind::Distortion) {
                    continue;
                }
                let sound = |word: &[Sound], at: u32| {
                    word.get(at as usize)
                        .and_then(|sound| aligner.bundle(*sound))
                };
                let sides = (
                    sound(one, column.target.start),
                    sound(other, column.production.start),
                );
                if let (Some(target), Some(production)) = sides {
                    black_box(difference::between(target, production));
                }
            }
        }
    };
    let times = 1.0 / ratio(31, &mut unit, &mut align);
    let mut bundles = || {
        for [target, production] in pairs {
            black_box(second.align(target, production));
        }
    };
    let with_bundles = 1.0 / ratio(31, &mut unit, &mut bundles);
    println!("{label}: {} word pairs", pairs.len());
    println!(
        "  aligned, traced back, differences: {times:.2} x the time of strsim ({limit})"
    );
    println!("  from bundles not yet numbered: {with_bundles:.2} x");
}

/// Two long texts, with the process's peak of memory where the system tells it.
fn long_texts(words: &[[Vec<FeatureBundle>; 2]]) {
    let peak = || -> Option<u64> {
        let status = std::fs::read_to_string("/proc/self/status").ok()?;
        let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
        line.split_whitespace().nth(1)?.parse().ok()
    };
    let side = |side: usize| -> Vec<FeatureBundle> {
        words
            .iter()
            .flat_map(|pair| pair[side].iter().copied())
            .take(6000)
            .collect()
    };
    let (target, production) = (side(0), side(1));
    let before = peak();
    let mut aligner = Aligner::new(Setting::general());
    let seconds = time(&mut || {
        black_box(aligner.align(&target, &production));
    });
    print!(
        "two texts of {} segments: {:.0} ms",
        target.len(),
        seconds * 1000.0
    );
    match before.zip(peak()) {
        Some((before, after)) => println!(
            ", the process's peak grew by {:.1} MB to {:.1} MB (at most 60 MB)",
            (after - before) as f64 / 1024.0,
            after as f64 / 1024.0
        ),
        None => println!(),
    }
}

fn main() {
    let english = words(&["eng-us-broad", "eng-uk-broad", "eng-us-stress"]);
    let all = words(&[
        "eng-us-broad",
        "eng-us-narrow",
        "eng-uk-broad",
        "other-languages",
    ]);
    println!("baseline: NFD of each line by unicode-normalization into a reused String");
    parsing("English, broad", &english);
    parsing("English and 25 other lists, broad and narrow", &all);

    println!(
        "baseline: strsim::generic_levenshtein over numbered segments, the same pairs"
    );
    let pairs = pairs(&words(&["eng-us-broad"]));
    aligning(
        "general setting",
        "at most 6, aim 3",
        Setting::general(),
        &pairs,
    );
    if let Some(accent) = Accent::named("en-US") {
        aligning(
            "coaching setting, units and all",
            "no limit set",
            Setting::for_accent(&accent),
            &pairs,
        );
    }
    long_texts(&pairs);
}
