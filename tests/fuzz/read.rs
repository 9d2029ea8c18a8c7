//! Any bytes: read, judged, described, converted; spans in order and on boundaries, one
//! tree for composed and decomposed text.
#![no_main]

use apical::articulation::{bundle, name};
use apical::notation::{Transcription, arpabet, x_sampa};
use apical::posture::{self, Describer};
use libfuzzer_sys::fuzz_target;
use unicode_normalization::UnicodeNormalization;

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let read = Transcription::parse(&text);
    let mut last = 0;
    for item in read.items() {
        let span = item.span();
        assert!(span.start >= last && span.end <= text.len());
        assert!(text.is_char_boundary(span.start) && text.is_char_boundary(span.end));
        last = span.end;
    }
    let mut describer = Describer::default();
    for segment in read.segments() {
        let bundle = bundle(&segment);
        assert!(!name(&bundle).is_empty());
        let described = describer.describe(&segment);
        assert_eq!((described.bundle, described.posture), (bundle, posture::of(&bundle)));
    }
    let mut before = 0;
    for found in read.diagnostics() {
        let span = found.span;
        assert!(span.start >= before && span.start <= span.end && span.end <= text.len());
        assert!(text.is_char_boundary(span.start) && text.is_char_boundary(span.end));
        before = span.start;
        assert!(!found.message(&text).is_empty());
        let _ = found.help(&text);
    }
    if read.is_valid() {
        let bundles = |text: &str| -> Vec<_> {
            Transcription::parse(text).segments().map(|it| bundle(&it)).collect()
        };
        let composed: String = text.nfc().collect();
        let decomposed: String = text.nfd().collect();
        assert_eq!(bundles(&composed), bundles(&decomposed));
    }
    for converted in [x_sampa::to_ipa(&text), x_sampa::from_ipa(&text), arpabet::to_ipa(&text)] {
        let _ = (converted.text, converted.faults);
    }
});
