//! Transcriptions made ready to be marked.

use core::ops::Range;

use crate::alignment;
use crate::articulation::bundle;
use crate::feature::FeatureBundle;
use crate::finding::production::Side;
use crate::notation::Transcription;
use crate::text::Span;

/// A transcription made ready.
pub(super) struct Read {
    pub(super) text: Transcription,
    pub(super) bundles: Vec<FeatureBundle>,
    spans: Vec<Span>,
}

impl Read {
    pub(super) fn new(text: &str) -> Self {
        let text = Transcription::parse(text);
        let segments = text.segments().map(|it| (it.span(), bundle(&it)));
        let (spans, bundles) = segments.unzip();
        Self {
            text,
            bundles,
            spans,
        }
    }

    pub(super) fn side(&self) -> Side<'_> {
        Side {
            transcription: &self.text,
            bundles: &self.bundles,
        }
    }

    pub(super) fn written(&self, range: &Range<u32>) -> Option<String> {
        let spans = self.spans.get(usize_range(range)).unwrap_or_default();
        let text = spans.iter().map(|span| span.of(self.text.text()));
        (!spans.is_empty()).then(|| text.collect())
    }

    pub(super) fn whole(&self, range: &Range<u32>) -> Option<FeatureBundle> {
        alignment::whole(self.sounds(range))
    }

    pub(super) fn sounds(&self, range: &Range<u32>) -> &[FeatureBundle] {
        self.bundles.get(usize_range(range)).unwrap_or_default()
    }
}

pub(super) fn usize_range(range: &Range<u32>) -> Range<usize> {
    range.start as usize..range.end as usize
}

/// A transcription in the brackets asked for, whatever it came in.
pub(super) fn bracketed(text: &str, narrow: bool) -> String {
    let text = text.trim();
    let inner = |open: char, close: char| {
        let text = text.strip_prefix(open)?;
        text.strip_suffix(close)
    };
    let text = inner('/', '/')
        .or_else(|| inner('[', ']'))
        .unwrap_or(text)
        .trim();
    if narrow {
        format!("[{text}]")
    } else {
        format!("/{text}/")
    }
}
