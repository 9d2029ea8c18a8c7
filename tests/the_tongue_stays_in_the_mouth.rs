//! Whatever the features, the tongue stays inside teeth, roof, velum and throat, keeps its
//! volume, and moves without jumps.

use std::collections::BTreeSet;

use apical::articulation::bundle;
use apical::feature::{
    Airstream, Backness, Details, FeatureBundle, Height, Manner, Phonation, Place,
    Places, Releases, Secondaries, Shift, TongueRoot, Voicing,
};
use apical::inventory;
use apical::notation::Transcription;
use apical::posture::gesture::{self, Gesture};
use apical::posture::mouth::Mouth;

use crate::movement::largest_step;

/// The letters on the chart of 2020 and its two r-coloured vowels, with their moments.
pub(crate) fn letters() -> Vec<(&'static str, FeatureBundle, Gesture)> {
    let letters: Vec<_> = inventory::symbols()
        .iter()
        .filter(|it| it.set == "ipa" && it.status == inventory::Status::Current)
        .filter_map(|it| {
            let gesture = gesture::of(&it.bundle, None).into_iter().next()?;
            Some((it.text, it.bundle, gesture))
        })
        .collect();
    assert!(letters.len() >= 107, "{} letters", letters.len());
    letters
}

/// A letter with every mark that the tables know, as far as it reads as one segment.
fn marked() -> Vec<(String, FeatureBundle)> {
    // Many marks mean the same; each meaning once.
    let mut known = BTreeSet::new();
    let mut all = Vec::new();
    for mark in inventory::marks() {
        for letter in ["t", "n", "a"] {
            let text = format!("{letter}{}", mark.text);
            let read = Transcription::parse(&text);
            if let Some(segment) = read.segments().next() {
                let bundle = bundle(&segment);
                if known.insert(bundle) {
                    all.push((text.clone(), bundle));
                }
            }
        }
    }
    all
}

/// Numbers that come out the same on every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % most
    }

    fn one<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())]
    }

    fn step(&mut self) -> i8 {
        [-2, -1, 0, 0, 0, 1, 2][self.below(7)]
    }

    fn bundle(&mut self) -> FeatureBundle {
        let base = if self.below(3) == 0 {
            FeatureBundle {
                height: Some(self.one(Height::ALL)),
                backness: Some(self.one(Backness::ALL)),
                rounded: Some(self.below(2) == 0),
                rhotic: self.below(5) == 0,
                ..FeatureBundle::VOWEL
            }
        } else {
            let first = self.one(Place::ALL);
            let second = self.one(Place::ALL);
            FeatureBundle {
                place: if self.below(6) == 0 && second != first {
                    Places::two(first.min(second), first.max(second))
                } else {
                    Places::one(first)
                },
                manner: Some(self.one(Manner::ALL)),
                lateral: self.below(5) == 0,
                airstream: self.one(Airstream::ALL),
                ..FeatureBundle::CONSONANT
            }
        };
        FeatureBundle {
            voicing: self.one(Voicing::ALL),
            phonation: self.one(Phonation::ALL),
            nasalized: self.below(4) == 0,
            tongue_root: [
                None,
                Some(TongueRoot::Advanced),
                Some(TongueRoot::Retracted),
            ][self.below(3)],
            secondary: Secondaries(if self.below(3) == 0 {
                1 << self.below(9)
            } else {
                0
            }),
            release: Releases(if self.below(3) == 0 {
                1 << self.below(14)
            } else {
                0
            }),
            detail: Details(if self.below(3) == 0 {
                1 << self.below(31)
            } else {
                0
            }),
            shift: Shift {
                raising: self.step(),
                advancing: self.step(),
                centralizing: self.one(&[0, 0, 1, 2]),
                rounding: self.step(),
            },
            ..base
        }
    }
}

/// What is wrong with a mouth, if anything.
fn fault(mouth: &Mouth) -> Option<String> {
    let over = mouth.overreach();
    let finite = mouth
        .tongue
        .iter()
        .all(|it| it.x.is_finite() && it.y.is_finite());
    if !finite {
        Some("not a number".to_owned())
    } else if over > 0.15 {
        Some(format!("{over:.2} mm beyond the wall"))
    } else {
        None
    }
}

#[test]
fn every_letter_and_every_mark_keeps_within() {
    let mut faults = Vec::new();
    let mut crossing = Vec::new();
    let marked = marked();
    println!("{} letters with marks", marked.len());
    assert!(marked.len() > 100, "{}", marked.len());
    let letters = letters();
    let all = letters
        .iter()
        .map(|(text, bundle, _)| ((*text).to_owned(), *bundle));
    for (text, bundle) in all.chain(marked) {
        for gesture in gesture::of(&bundle, None) {
            let mouth = Mouth::at(&gesture);
            faults.extend(fault(&mouth).map(|fault| format!("{text}: {fault}")));
            if mouth.crosses_itself() {
                crossing.push(text.clone());
            }
        }
    }
    assert_eq!(faults, Vec::<String>::new());
    assert_eq!(crossing, Vec::<String>::new());
}

/// A few, which take seconds without optimisation, unless `APICAL_BUNDLES` says how many; the
/// benchmark `mouth` takes ten thousand and fails on the first fault.
#[test]
fn bundles_without_a_letter_keep_within() {
    let bundles = std::env::var("APICAL_BUNDLES").ok();
    let bundles: u32 = bundles.and_then(|it| it.parse().ok()).unwrap_or(60);
    let mut dice = Dice(5);
    let mut faults = Vec::new();
    for _ in 0..bundles {
        let bundle = dice.bundle();
        for gesture in gesture::of(&bundle, None) {
            let mouth = Mouth::at(&gesture);
            faults.extend(fault(&mouth).map(|it| format!("{it}: {bundle:?}")));
        }
    }
    assert!(
        faults.is_empty(),
        "{} faults, as {}",
        faults.len(),
        faults[0]
    );
}

#[test]
fn the_tongue_keeps_its_volume() {
    // The middle area stands for the volume; clicks, uvulars and ɧ may give more.
    let mut ratios = Vec::new();
    for (text, bundle, gesture) in letters() {
        let area = Mouth::at(&gesture).area;
        let loose = bundle.airstream == Airstream::Click
            || bundle.place.contains(Place::Uvular)
            || bundle.place.second.is_some();
        ratios.push((text, area, if loose { 0.20 } else { 0.07 }));
    }
    let mut areas: Vec<f64> = ratios.iter().map(|it| it.1).collect();
    areas.sort_by(f64::total_cmp);
    let median = areas[areas.len() / 2];
    println!(
        "area {:.0} to {:.0} mm², median {median:.0}",
        areas[0],
        areas[areas.len() - 1]
    );
    for (text, area, within) in ratios {
        let ratio = area / median;
        assert!((ratio - 1.0).abs() <= within, "{text}: {ratio:.3}");
    }
}

#[test]
fn every_letter_blends_with_the_next() {
    let letters = letters();
    let mut crossing = Vec::new();
    let mut frames = 0;
    for (one, other) in letters.iter().zip(letters.iter().cycle().skip(1)) {
        for share in [0.25, 0.5, 0.75] {
            let mouth = Mouth::of(&one.2.pose.towards(&other.2.pose, share));
            frames += 1;
            assert!(mouth.area.is_finite() && mouth.area > 1000.0, "{}", one.0);
            assert!(
                fault(&mouth).is_none(),
                "{} {}: {:?}",
                one.0,
                other.0,
                fault(&mouth)
            );
            if mouth.crosses_itself() {
                crossing.push(format!("{}–{} at {share}", one.0, other.0));
            }
        }
    }
    println!("{frames} frames between letters, outlines that cross: {crossing:?}");
    assert!(crossing.is_empty(), "{crossing:?}");
}

#[test]
fn movements_have_no_jumps() {
    // Halving the steps must about halve the largest of them. Sweeps of the velum are left
    // out: it passes the tongue.
    let letters = letters();
    let mut tried = 0;
    let mut largest: f64 = 0.0;
    for (at, (one, _, from)) in letters.iter().enumerate().step_by(7) {
        let (other, _, to) = &letters[(at * 7 + 11) % letters.len()];
        if (from.pose.velum - to.pose.velum).abs() > 0.1 || one == other {
            continue;
        }
        let (coarse, fine) = (largest_step(from, to, 8), largest_step(from, to, 16));
        largest = largest.max(coarse);
        tried += 1;
        assert!(
            fine <= coarse * 0.75 + 0.12,
            "{one} to {other}: {coarse:.2}, halved {fine:.2}"
        );
    }
    println!("{tried} pairs, largest step of 8: {largest:.1} mm");
    assert!(tried > 6);
}
