//! Two texts of any bytes: each side's segments come back once and in order, the cost is
//! that of the columns, and the distance is symmetric, in both settings.
#![no_main]

use apical::accent::Accent;
use apical::alignment::{Aligner, Setting, distance};
use apical::articulation::bundle;
use apical::feature::FeatureBundle;
use apical::notation::Transcription;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let (one, other) = text.split_once('\n').unwrap_or((&text, ""));
    let bundles = |text: &str| -> Vec<FeatureBundle> {
        Transcription::parse(text).segments().map(|it| bundle(&it)).collect()
    };
    let (target, production) = (bundles(one), bundles(other));
    let accent = Accent::named("en-US").expect("a shipped accent");
    for setting in [Setting::general(), Setting::for_accent(&accent)] {
        let mut aligner = Aligner::new(setting);
        let columns = aligner.align(&target, &production).to_vec();
        let cost = aligner.cost();
        assert_eq!(aligner.cost_of(&target, &production, &columns), Some(cost));
        let back = aligner.align(&production, &target).to_vec();
        assert_eq!(aligner.cost(), cost);
        assert_eq!(
            distance(&target, &production, &columns),
            distance(&production, &target, &back)
        );
    }
});
