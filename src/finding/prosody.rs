//! How stress and boundaries of a production differ from its target's.

pub mod rhythm;

use crate::alignment::Column;
use crate::articulation;
use crate::feature::Class;
use crate::notation::{ItemKind, Transcription};

/// What of a word's prosody can differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Feature {
    /// ˈ
    PrimaryStress,
    /// ˌ
    SecondaryStress,
    /// A break between syllables.
    SyllableBreak,
    /// A space, or a mark of linking or grouping.
    Boundary,
}

impl Feature {
    /// Every feature, in the order of report.
    const ALL: [Self; 4] = [
        Self::PrimaryStress,
        Self::SecondaryStress,
        Self::SyllableBreak,
        Self::Boundary,
    ];

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::PrimaryStress => "primary stress",
            Self::SecondaryStress => "secondary stress",
            Self::SyllableBreak => "syllable break",
            Self::Boundary => "boundary",
        }
    }

    const fn of(kind: ItemKind) -> Option<Self> {
        match kind {
            ItemKind::PrimaryStress => Some(Self::PrimaryStress),
            ItemKind::SecondaryStress => Some(Self::SecondaryStress),
            ItemKind::SyllableBreak => Some(Self::SyllableBreak),
            ItemKind::MinorGroup
            | ItemKind::MajorGroup
            | ItemKind::Linking
            | ItemKind::Space => Some(Self::Boundary),
            _ => None,
        }
    }
}

/// One mark that stands elsewhere, or on one side alone.
///
/// Places are columns of the alignment, counted from 0: for stress the column of the vowel
/// that carries it, for a break or a boundary the column it stands before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Difference {
    /// What differs.
    pub feature: Feature,
    /// Where it stands in the target; `None` where it does not stand there.
    pub target: Option<usize>,
    /// Where it stands in the production.
    pub production: Option<usize>,
}

/// The differences of prosody between two aligned transcriptions.
///
/// Stress is compared by the vowel that carries it, so that a consonant gained or lost in
/// the onset moves nothing; where only one side writes a stress, a word of one syllable
/// counts as stressed on it. Breaks between syllables are compared only where both sides
/// write any: leaving them out is a habit of writing. The first mark of a kind on one side
/// that has no partner at its place is set against the first such mark on the other.
/// Cost: n log n in the length of both texts.
#[must_use]
pub fn differences(
    target: &Transcription,
    production: &Transcription,
    columns: &[Column],
) -> Vec<Difference> {
    let wanted = marks(
        target,
        columns.iter().map(|column| column.target.end as usize),
    );
    let said = marks(
        production,
        columns.iter().map(|column| column.production.end as usize),
    );
    let marked = wanted.stressed || said.stressed;
    let (wanted, said) = (wanted.complete(marked), said.complete(marked));
    let mut differences = Vec::new();
    for feature in Feature::ALL {
        let places = |marks: &[(Feature, usize)]| -> Vec<usize> {
            marks
                .iter()
                .filter(|mark| mark.0 == feature)
                .map(|mark| mark.1)
                .collect()
        };
        let (wanted, said) = (places(&wanted), places(&said));
        if feature == Feature::SyllableBreak && (wanted.is_empty() || said.is_empty()) {
            continue;
        }
        let mut lost = wanted
            .iter()
            .filter(|place| said.binary_search(place).is_err());
        let mut gained = said
            .iter()
            .filter(|place| wanted.binary_search(place).is_err());
        loop {
            let (target, production) = (lost.next().copied(), gained.next().copied());
            if target.is_none() && production.is_none() {
                break;
            }
            differences.push(Difference {
                feature,
                target,
                production,
            });
        }
    }
    differences
}

/// The marks of one side, in order, with the columns they belong to.
struct Marks {
    found: Vec<(Feature, usize)>,
    /// Whether a primary stress is among them.
    stressed: bool,
    /// The column of its vowel, where the side has just one.
    only_vowel: Option<usize>,
}

impl Marks {
    /// The marks, and where the other side `marked` a stress, the one that goes without
    /// saying on a word of one syllable.
    fn complete(mut self, marked: bool) -> Vec<(Feature, usize)> {
        if let Some(vowel) = self.only_vowel.filter(|_| marked && !self.stressed) {
            self.found.push((Feature::PrimaryStress, vowel));
        }
        self.found.sort_unstable();
        self.found.dedup();
        self.found
    }
}

/// Finds the marks of a transcription. `ends` tells for each column how many segments of
/// the side lie in it and before it.
fn marks(side: &Transcription, ends: impl Iterator<Item = usize>) -> Marks {
    let ends: Vec<usize> = ends.collect();
    let column = |segment: usize| ends.partition_point(|end| *end <= segment);
    let mut marks = Vec::new();
    let mut waiting: Vec<(Feature, usize)> = Vec::new();
    let (mut segments, mut vowels, mut vowel) = (0, 0, 0);
    for item in side.items() {
        if let Some(segment) = side.segment(item) {
            let bundle = articulation::bundle(&segment);
            if bundle.class == Class::Vowel || bundle.syllabic {
                vowels += 1;
                vowel = column(segments);
                marks.extend(waiting.drain(..).map(|(feature, _)| (feature, vowel)));
            }
            segments += 1;
            continue;
        }
        match Feature::of(item.kind()) {
            Some(feature @ (Feature::PrimaryStress | Feature::SecondaryStress)) => {
                // Without a vowel of its own, a stress stays where it was written.
                marks.append(&mut waiting);
                waiting.push((feature, column(segments)));
            }
            Some(feature) => marks.push((feature, column(segments))),
            None => {}
        }
    }
    marks.append(&mut waiting);
    let stressed = marks.iter().any(|mark| mark.0 == Feature::PrimaryStress);
    Marks {
        found: marks,
        stressed,
        only_vowel: (vowels == 1).then_some(vowel),
    }
}
