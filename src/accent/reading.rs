//! Which phonemes a transcription's segments are.

use std::collections::BTreeMap;

use super::{Accent, Phoneme};
use crate::distance;
use crate::feature::{
    Class, Details, FeatureBundle, Length, Phonation, Releases, Secondaries, Shift,
};
use crate::inventory::WeakFormRow;
use crate::notation::Transcription;
use crate::syllable::{Site, Syllabifier};

/// A phoneme as it stands in a transcription: one segment, or the two halves of an affricate
/// or a diphthong typed without a tie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sounded {
    /// The phoneme's number; `None` where the sound is no phoneme of the accent.
    pub number: Option<u16>,
    /// Its first segment.
    pub first: usize,
    /// How many segments.
    pub length: usize,
    /// Where it stands.
    pub site: Site,
}

impl Accent {
    /// The phonemes of a broad transcription; tones and pauses are left out. `sites` are those
    /// of the accent's own shapes.
    ///
    /// A letter with detail that makes no phonemes (length, aspiration, nasality, a shift off
    /// the letter) is the phoneme of the plain letter.
    #[must_use]
    pub fn phonemes_in(&self, bundles: &[FeatureBundle], sites: &[Site]) -> Vec<Sounded> {
        let mut sounded = Vec::with_capacity(bundles.len());
        let mut at = 0;
        while let (Some(bundle), Some(site)) = (bundles.get(at), sites.get(at)) {
            if matches!(bundle.class, Class::Tone | Class::Pause) {
                at += 1;
                continue;
            }
            let pair = bundles.get(at..at + 2);
            let next = sites.get(at + 1);
            let share = next.is_some_and(|next| {
                site.part.is_some()
                    && (next.syllable, next.part, next.slot)
                        == (site.syllable, site.part, site.slot)
            });
            let near = next.is_some_and(|next| next.word == site.word);
            let found = match (pair.filter(|_| share), pair.filter(|_| near)) {
                (Some(pair), _) => (self.phoneme_of(pair), 2),
                (None, Some(pair)) => match self.phoneme_of(&[*bundle]) {
                    // A vowel that is a phoneme only together with its r.
                    None if self.phoneme_of(pair).is_some() => (self.phoneme_of(pair), 2),
                    found => (found, 1),
                },
                (None, None) => (self.phoneme_of(&[*bundle]), 1),
            };
            sounded.push(Sounded {
                number: found.0.map(|phoneme| phoneme.number),
                first: at,
                length: found.1,
                site: *site,
            });
            at += found.1;
        }
        sounded
    }

    /// The phoneme that one segment is, or that two make up, in a broad transcription.
    #[must_use]
    pub fn phoneme_of(&self, segments: &[FeatureBundle]) -> Option<&Phoneme> {
        let at = self.spellings.find(segments)?;
        self.phonemes.get(at)
    }

    /// The entry of a word whose strong form and one of whose weak forms these are, given as
    /// phoneme numbers.
    #[must_use]
    pub fn weak_form(
        &self,
        strong: &[Option<u16>],
        weak: &[Option<u16>],
    ) -> Option<&'static WeakFormRow> {
        let entry = self.weak_forms.iter().find(|entry| {
            let is = |form: &Vec<u16>, heard: &[Option<u16>]| {
                form.iter().map(|it| Some(*it)).eq(heard.iter().copied())
            };
            is(&entry.strong, strong) && entry.weak.iter().any(|form| is(form, weak))
        });
        entry.map(|entry| entry.row)
    }

    /// The phonemes nearest to a sound, nearest first, equally near ones in the order of the
    /// accent's table; each once, with how far it is in thousandths of a feature.
    ///
    /// Cost: a distance to each phoneme and a sort.
    #[must_use]
    pub fn nearest(&self, sound: &FeatureBundle) -> Vec<(u32, &Phoneme)> {
        let mut near: Vec<(u32, &Phoneme)> = self
            .phonemes
            .iter()
            .filter(|phoneme| !phoneme.broad_only)
            .map(|phoneme| (how_far(sound, phoneme), phoneme))
            .collect();
        near.sort_by_key(|(far, phoneme)| (*far, phoneme.number));
        let mut seen = Vec::new();
        near.retain(|(_, phoneme)| {
            let new = !seen.contains(&phoneme.number);
            seen.push(phoneme.number);
            new
        });
        near
    }
}

/// The phonemes by what they are spelled with.
#[derive(Clone, Debug, Default)]
pub(super) struct Spellings {
    /// As the letters say, marks included.
    exact: BTreeMap<Vec<FeatureBundle>, usize>,
    /// Without the detail that makes no phonemes.
    plain: BTreeMap<Vec<FeatureBundle>, usize>,
}

impl Spellings {
    /// Those of some phonemes; of two that are spelled alike the first counts.
    pub(super) fn of(phonemes: &[Phoneme]) -> Self {
        let mut all = Self::default();
        for (number, phoneme) in phonemes.iter().enumerate() {
            for spelling in [core::slice::from_ref(&phoneme.bundle), &phoneme.parts] {
                let plain = spelling.iter().map(plain).collect();
                all.exact.entry(spelling.to_vec()).or_insert(number);
                all.plain.entry(plain).or_insert(number);
            }
        }
        all
    }

    /// Which phoneme these segments are.
    fn find(&self, segments: &[FeatureBundle]) -> Option<usize> {
        if let Some(exact) = self.exact.get(segments) {
            return Some(*exact);
        }
        let plain = match segments {
            [one] => self.plain.get([plain(one)].as_slice()),
            several => {
                let plain: Vec<FeatureBundle> = several.iter().map(plain).collect();
                self.plain.get(&plain)
            }
        };
        plain.copied()
    }
}

/// A weak form made ready.
#[derive(Clone, Debug)]
pub(super) struct WeakForm {
    row: &'static WeakFormRow,
    strong: Vec<u16>,
    weak: Vec<Vec<u16>>,
}

impl WeakForm {
    /// The weak forms of an accent; those that its options leave without a phoneme are left
    /// out.
    pub(super) fn all(accent: &Accent, reader: &mut Transcription) -> Vec<Self> {
        let mut syllabifier = Syllabifier::new(accent.shapes());
        let mut numbers = |text: &str| -> Option<Vec<u16>> {
            let bundles = super::bundles(reader, text);
            let sites = syllabifier.sites(reader, &bundles);
            let sounded = accent.phonemes_in(&bundles, sites);
            sounded.iter().map(|it| it.number).collect()
        };
        let rows = accent.table.weak_forms.iter();
        rows.filter_map(|row| {
            Some(Self {
                row,
                strong: numbers(row.strong)?,
                weak: row.weak.iter().filter_map(|form| numbers(form)).collect(),
            })
        })
        .collect()
    }
}

/// How far a sound is from a phoneme; a steady vowel from a diphthong, how far from its
/// beginning and half a feature more for the glide that is missing.
fn how_far(sound: &FeatureBundle, phoneme: &Phoneme) -> u32 {
    const NO_GLIDE: u32 = 500;
    let whole = distance::between(sound, &phoneme.bundle);
    match phoneme.parts.as_slice() {
        [first, _] if phoneme.bundle.glide.is_some() && sound.glide.is_none() => {
            whole.min(distance::between(sound, first) + NO_GLIDE)
        }
        _ => whole,
    }
}

/// A bundle without the detail that makes no phonemes.
pub(super) fn plain(bundle: &FeatureBundle) -> FeatureBundle {
    FeatureBundle {
        phonation: Phonation::Modal,
        nasalized: false,
        length: Length::Normal,
        release: Releases::NONE,
        secondary: Secondaries::NONE,
        tongue_root: None,
        shift: Shift::NONE,
        detail: Details(bundle.detail.0 & LASTING),
        tone: 0,
        ..*bundle
    }
}

/// Details that belong to a letter and not to a mark.
const LASTING: u32 = {
    use crate::feature::Detail as D;
    1 << D::Sibilant as u32
        | 1 << D::Percussive as u32
        | 1 << D::Velopharyngeal as u32
        | 1 << D::Sliding as u32
};
