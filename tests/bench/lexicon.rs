//! The word list: minimal pairs against a map of wildcards, one contrast, functional load
//! and look-up.

#![allow(missing_docs, reason = "a benchmark has no public items")]
#![allow(clippy::print_stdout, reason = "a benchmark prints its figures")]
#![allow(
    clippy::disallowed_types,
    reason = "the baseline is what one would write at first"
)]
#![allow(
    clippy::iter_over_hash_type,
    reason = "the baseline sorts what it found"
)]
#![allow(clippy::unwrap_used, reason = "a benchmark may stop")]

use std::collections::HashMap;
use std::hint::black_box;
use std::time::Instant;

use apical::lexicon::{Forms, Lexicon, Phoneme, Scope, Stress};

/// The medians of two contenders' times in milliseconds, measured in turn.
fn medians(rounds: usize, one: &mut dyn FnMut(), other: &mut dyn FnMut()) -> (f64, f64) {
    let time = |run: &mut dyn FnMut()| {
        let start = Instant::now();
        run();
        start.elapsed().as_secs_f64() * 1000.0
    };
    let (mut first, mut second) = (Vec::new(), Vec::new());
    for _ in 0..rounds {
        first.push(time(one));
        second.push(time(other));
    }
    let median = |mut times: Vec<f64>| {
        times.sort_by(f64::total_cmp);
        times.get(times.len() / 2).copied().unwrap_or_default()
    };
    (median(first), median(second))
}

/// A pronunciation, a byte a sound: the phoneme's number and the stress on it.
type Sounds = Vec<u8>;

fn sounds(forms: &Forms<'_>, phonemes: &[Phoneme]) -> Vec<Sounds> {
    let code = |(phoneme, stress): (Phoneme, Stress)| {
        let number = phonemes.iter().position(|known| *known == phoneme).unwrap();
        let stress = match stress {
            Stress::None => 0,
            Stress::Secondary => 64,
            Stress::Primary => 128,
        };
        u8::try_from(number).unwrap() + 1 + stress
    };
    forms
        .iter()
        .map(|form| form.phonemes().map(code).collect())
        .collect()
}

/// All minimal pairs by a map from each word with a hole to the words that fill it.
fn map_of_wildcards(forms: &[Sounds]) -> Vec<(u8, u8, u32, u32)> {
    let mut map: HashMap<Vec<u8>, Vec<(u8, u32)>> = HashMap::new();
    for (number, form) in (0..).zip(forms) {
        for (at, sound) in form.iter().enumerate() {
            let mut pattern = form.clone();
            // The stress of the hole has to agree.
            pattern.splice(at..=at, [sound & 0xc0]);
            map.entry(pattern).or_default().push((sound & 0x3f, number));
        }
    }
    let mut pairs = Vec::new();
    for group in map.values() {
        for (at, (a, one)) in group.iter().enumerate() {
            for (b, other) in group.iter().skip(at + 1) {
                pairs.push(if a < b {
                    (*a, *b, *one, *other)
                } else {
                    (*b, *a, *other, *one)
                });
            }
        }
    }
    pairs.sort_unstable();
    pairs
}

/// The minimal pairs of one contrast in the same way: only the two sounds make holes.
fn map_for_contrast(forms: &[Sounds], a: u8, b: u8) -> Vec<(u32, u32)> {
    let mut map: HashMap<Vec<u8>, [Vec<u32>; 2]> = HashMap::new();
    for (number, form) in (0..).zip(forms) {
        for (at, sound) in form.iter().enumerate() {
            let which = usize::from(sound & 0x3f == b);
            if which == 0 && sound & 0x3f != a {
                continue;
            }
            let mut pattern = form.clone();
            pattern.splice(at..=at, [sound & 0xc0]);
            if let Some(group) = map.entry(pattern).or_default().get_mut(which) {
                group.push(number);
            }
        }
    }
    let mut pairs = Vec::new();
    for [ones, others] in map.values() {
        for one in ones {
            pairs.extend(others.iter().map(|other| (*one, *other)));
        }
    }
    pairs.sort_unstable();
    pairs
}

fn main() {
    let lexicon = Lexicon::of("en-US").unwrap();
    let (open, whole) = medians(
        15,
        &mut || {
            black_box(Lexicon::of("en-US"));
        },
        &mut || {
            black_box(Forms::of(&lexicon, &Scope::WHOLE).unwrap());
        },
    );
    println!("opening the list: {open:.4} ms; all its forms: {whole:.1} ms");

    let forms = Forms::of(&lexicon, &Scope::WHOLE).unwrap();
    let sounds = sounds(&forms, &lexicon.phonemes().collect::<Vec<_>>());
    let ours: usize = forms
        .all_minimal_pairs()
        .iter()
        .map(|pairs| pairs.forms.len())
        .sum();
    let theirs = map_of_wildcards(&sounds).len();
    println!(
        "{} distinct pronunciations, {ours} minimal pairs of them",
        forms.len()
    );
    assert_eq!(ours, theirs, "the baseline finds other pairs");
    let (fast, slow) = medians(
        7,
        &mut || {
            black_box(forms.all_minimal_pairs());
        },
        &mut || {
            black_box(map_of_wildcards(&sounds));
        },
    );
    println!("all minimal pairs: {fast:.1} ms; map of wildcards: {slow:.1} ms");
    println!("  {:.1} x the baseline's rate (at least 5)", slow / fast);

    for (a, b) in [("ɪ", "i"), ("θ", "s"), ("l", "ɹ"), ("æ", "ɛ")] {
        let contrast = lexicon.contrast(a, b).unwrap();
        let number = |text: &str| {
            let at = lexicon.phonemes().position(|it| it.text() == text);
            u8::try_from(at.unwrap()).unwrap() + 1
        };
        let (one, other) = (number(a), number(b));
        let found = forms
            .all_minimal_pairs()
            .iter()
            .find(|it| {
                [(a, b), (b, a)].contains(&(it.contrast.a.text(), it.contrast.b.text()))
            })
            .map_or(0, |it| it.forms.len());
        let baseline = map_for_contrast(&sounds, one, other).len();
        assert_eq!(found, baseline, "the baseline finds other pairs");
        // Both give pairs of pronunciations; spelled out and put in order is another figure.
        let (pairs, map) = medians(
            15,
            &mut || {
                black_box(forms.form_pairs(contrast));
            },
            &mut || {
                black_box(map_for_contrast(&sounds, one, other));
            },
        );
        let (load, words) = medians(
            15,
            &mut || {
                black_box(forms.functional_load(contrast));
            },
            &mut || {
                black_box(forms.minimal_pairs(contrast));
            },
        );
        println!(
            "{a} {b}: {found} pairs in {pairs:.2} ms; map of wildcards: {map:.2} ms; as \
             words, commonest first: {words:.2} ms; functional load {:.6} in {load:.2} ms",
            forms.functional_load(contrast),
        );
        println!("  {:.1} x the baseline's rate (at least 5)", map / pairs);
    }

    let words: Vec<String> = lexicon
        .iter()
        .map(|entry| entry.word().to_owned())
        .collect();
    let (look, list) = medians(
        7,
        &mut || {
            for word in &words {
                black_box(lexicon.look_up(word));
            }
        },
        &mut || {
            black_box(lexicon.commonest_first());
        },
    );
    println!(
        "looking every word up once: {look:.1} ms ({} words)",
        words.len()
    );
    println!("the list by frequency: {list:.1} ms");
}
