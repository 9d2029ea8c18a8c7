//! How fast mouths are computed and drawn, as ratios to a named baseline in one run; and
//! ten thousand bundles of features that no letter has, each kept within the wall.

#![allow(
    clippy::print_stdout,
    missing_docs,
    reason = "a benchmark prints its figures"
)]
#![allow(
    clippy::indexing_slicing,
    clippy::cast_precision_loss,
    reason = "a benchmark that panics has failed, and its figures are rounded"
)]

#[path = "../movement.rs"]
mod movement;

use std::hint::black_box;
use std::process::ExitCode;
use std::time::Instant;

use apical::feature::{
    Airstream, Backness, Details, FeatureBundle, Height, Manner, Place, Places, Releases,
    Secondaries, Shift, TongueRoot, Voicing,
};
use apical::inventory;
use apical::posture::gesture::{self, Gesture};
use apical::posture::mouth::Mouth;
use apical::report::picture::{self, Sound};
use movement::largest_step;

fn seconds(work: &mut dyn FnMut()) -> f64 {
    let start = Instant::now();
    work();
    start.elapsed().as_secs_f64()
}

/// Numbers that come out the same on every run.
fn below(state: &mut u64, most: usize) -> usize {
    *state = state
        .wrapping_mul(6_364_136_223_846_793_005)
        .wrapping_add(1_442_695_040_888_963_407);
    (*state >> 33) as usize % most
}

fn any(state: &mut u64) -> FeatureBundle {
    let mut roll = |most: usize| below(state, most);
    let base = if roll(3) == 0 {
        FeatureBundle {
            height: Some(Height::ALL[roll(7)]),
            backness: Some(Backness::ALL[roll(5)]),
            rounded: Some(roll(2) == 0),
            rhotic: roll(5) == 0,
            ..FeatureBundle::VOWEL
        }
    } else {
        let (first, second) = (Place::ALL[roll(14)], Place::ALL[roll(14)]);
        FeatureBundle {
            place: if roll(6) == 0 && first != second {
                Places::two(first.min(second), first.max(second))
            } else {
                Places::one(first)
            },
            manner: Some(Manner::ALL[roll(7)]),
            lateral: roll(5) == 0,
            airstream: Airstream::ALL[roll(4)],
            ..FeatureBundle::CONSONANT
        }
    };
    FeatureBundle {
        voicing: Voicing::ALL[roll(2)],
        nasalized: roll(4) == 0,
        tongue_root: [
            None,
            Some(TongueRoot::Advanced),
            Some(TongueRoot::Retracted),
        ][roll(3)],
        release: Releases(if roll(3) == 0 { 1 << roll(14) } else { 0 }),
        secondary: Secondaries(if roll(3) == 0 { 1 << roll(9) } else { 0 }),
        detail: Details(if roll(3) == 0 { 1 << roll(31) } else { 0 }),
        shift: Shift {
            raising: [-2, -1, 0, 1, 2][roll(5)],
            advancing: [-2, -1, 0, 1, 2][roll(5)],
            ..Shift::NONE
        },
        ..base
    }
}

/// Moves every letter to the three that follow it, in 20 steps and in 40: halving the steps
/// about halves the largest, but where the velum passes the tongue. How many do not.
fn movements(letters: &[Sound]) -> u32 {
    let (mut pairs, mut jumps, mut sweeps, mut largest) = (0_u32, 0, 0_u32, 0.0_f64);
    let first: Vec<(&str, &Gesture)> = letters
        .iter()
        .filter_map(|it| Some((it.text.as_str(), it.gestures.first()?)))
        .collect();
    for (at, (one, from)) in first.iter().enumerate() {
        for (other, to) in first.iter().skip(at + 1).take(3) {
            if (from.pose.velum - to.pose.velum).abs() > 0.1 {
                sweeps += 1;
                continue;
            }
            pairs += 1;
            let (coarse, fine) = (largest_step(from, to, 20), largest_step(from, to, 40));
            largest = largest.max(coarse);
            if fine > coarse * 0.75 + 0.12 {
                jumps += 1;
                println!("  {one} to {other}: {coarse:.2} mm, halved {fine:.2} mm");
            }
        }
    }
    println!(
        "{pairs} movements between letters: largest of 20 steps {largest:.1} mm, {jumps} with \
         jumps; {sweeps} sweeps of the velum left out"
    );
    jumps
}

fn main() -> ExitCode {
    let letters: Vec<Sound> = inventory::symbols()
        .iter()
        .filter(|it| it.set == "ipa" && it.status == inventory::Status::Current)
        .map(|it| Sound::new(it.text, &it.bundle, None))
        .collect();
    // Baseline: the memory traffic of the finished pictures, copied byte for byte.
    let pictures: Vec<String> = letters.iter().filter_map(picture::sound).collect();
    let bytes: usize = pictures.iter().map(String::len).sum();
    let mut copy = || {
        for picture in &pictures {
            black_box(picture.chars().rev().collect::<String>());
        }
    };
    let mut draw = || {
        for symbol in inventory::symbols().iter().filter(|it| it.set == "ipa") {
            let sound = Sound::new(symbol.text, &symbol.bundle, None);
            black_box(picture::sound(&sound));
        }
    };
    copy();
    draw();
    let mut ratios: Vec<f64> = (0..15)
        .map(|_| seconds(&mut draw) / seconds(&mut copy))
        .collect();
    ratios.sort_by(f64::total_cmp);
    println!(
        "drawing {} letters ({bytes} bytes of SVG): {:.1} × reversing the same text",
        pictures.len(),
        ratios[ratios.len() / 2]
    );
    println!("once: {:.3} s", seconds(&mut draw));
    let mut state = 11;
    let (mut mouths, mut beyond, mut worst) = (0_u32, 0_u32, 0.0_f64);
    let mut faults = Vec::new();
    for _ in 0..10_000 {
        let bundle = any(&mut state);
        for gesture in gesture::of(&bundle, None) {
            let mouth = Mouth::at(&gesture);
            let over = mouth.overreach();
            mouths += 1;
            worst = worst.max(over);
            if over.is_nan() || over > 0.15 {
                beyond += 1;
                faults.push(format!("{over:.2} mm beyond the wall: {bundle:?}"));
            }
        }
    }
    println!(
        "10,000 bundles, {mouths} mouths: {beyond} beyond the wall, farthest {worst:.3} mm"
    );
    for fault in faults.iter().take(10) {
        println!("  {fault}");
    }
    let ends = letters.iter().flat_map(|it| &it.gestures);
    let crossing = ends.filter(|it| Mouth::at(it).crosses_itself()).count();
    println!("outlines of letters that cross themselves: {crossing}");
    let jumps = movements(&letters);
    if beyond == 0 && crossing == 0 && jumps == 0 {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
