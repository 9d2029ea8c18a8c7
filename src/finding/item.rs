//! One item of a sheet: a word with its target and its production, aligned.

use core::ops::Range;

use crate::accent::Accent;
use crate::alignment::{self, Aligner, Column, Kind, Setting};
use crate::articulation;
use crate::feature::FeatureBundle;
use crate::finding::prosody;
use crate::notation::Transcription;
use crate::syllable::{Part, Site, Syllabifier};
use crate::text::Span;

/// One side of an item: what was intended, or what was said.
///
/// The three lists have an entry a segment, in order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Side {
    /// The transcription as it was typed or looked up.
    pub text: String,
    /// Where in the text each segment stands, marks included.
    pub spans: Vec<Span>,
    /// The features of each.
    pub bundles: Vec<FeatureBundle>,
    /// Where each stands in its word and its syllable.
    pub sites: Vec<Site>,
}

impl Side {
    /// The segments in a range as they were typed, without what stands between them.
    #[must_use]
    pub fn text_of(&self, range: &Range<u32>) -> String {
        let spans = self.spans.get(bounds(range)).unwrap_or_default();
        spans.iter().map(|span| span.of(&self.text)).collect()
    }

    /// The features in a range of segments.
    #[must_use]
    pub fn bundles_of(&self, range: &Range<u32>) -> &[FeatureBundle] {
        self.bundles.get(bounds(range)).unwrap_or_default()
    }

    /// The one sound that a range of segments stands for, see [`alignment::whole`].
    #[must_use]
    pub fn whole(&self, range: &Range<u32>) -> Option<FeatureBundle> {
        alignment::whole(self.bundles_of(range))
    }

    /// The place of the first segment in a range.
    #[must_use]
    pub fn site_of(&self, range: &Range<u32>) -> Option<Site> {
        let range = bounds(range);
        let site = self.sites.get(range.start);
        site.copied().filter(|_| !range.is_empty())
    }

    /// How many syllables it has.
    #[must_use]
    pub fn syllables(&self) -> usize {
        let peaks = self
            .sites
            .iter()
            .filter(|it| it.part == Some(Part::Nucleus));
        let mut peaks: Vec<u32> = peaks.map(|it| it.syllable).collect();
        peaks.dedup();
        peaks.len()
    }
}

fn bounds(range: &Range<u32>) -> Range<usize> {
    range.start as usize..range.end as usize
}

/// A word with its target and its production, set against each other.
///
/// The columns are those of the coaching setting, with the two halves of a diphthong or an
/// affricate that the target writes without a tie in one column: a column's target is one
/// phoneme, or nothing for an addition.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Item {
    /// The row of the sheet, counted in lines of its file from 1.
    pub row: u64,
    /// The word's spelling; empty where the sheet gives none.
    pub word: String,
    /// What was intended.
    pub target: Side,
    /// What was said.
    pub production: Side,
    /// How the two answer each other.
    pub columns: Vec<Column>,
    /// Differences of stress and boundaries; places are columns.
    pub prosody: Vec<prosody::Difference>,
}

impl Item {
    /// The place of a column: its target's, or for an addition where it was put in the
    /// production.
    #[must_use]
    pub fn site(&self, column: &Column) -> Site {
        let target = self.target.site_of(&column.target);
        target
            .or_else(|| self.production.site_of(&column.production))
            .unwrap_or_default()
    }

    /// Whether every sound and every stress is right; allophones are.
    #[must_use]
    pub fn is_right(&self) -> bool {
        self.prosody.is_empty() && self.has_right_sounds()
    }

    /// Whether every sound is right, whatever the stress.
    #[must_use]
    pub fn has_right_sounds(&self) -> bool {
        let right = |it: &Column| matches!(it.kind, Kind::Match | Kind::Allophone);
        self.columns.iter().all(right)
    }
}

/// Makes items by the rules of one accent, keeping its memory.
///
/// # Examples
///
/// ```
/// use apical::accent::Accent;
/// use apical::alignment::Kind;
/// use apical::finding::item::Pairing;
/// use apical::notation::Transcription;
///
/// let mut pairing = Pairing::new(&Accent::named("en-US").unwrap());
/// let [target, production] = ["ˈbæθtaɪm", "ˈbæstam"].map(Transcription::parse);
/// let item = pairing.item(2, "bathtime", &target, &production);
/// let wrong: Vec<String> = item
///     .columns
///     .iter()
///     .filter(|column| column.kind != Kind::Match)
///     .map(|column| item.target.text_of(&column.target))
///     .collect();
/// assert_eq!(wrong, ["θ", "aɪ"]);
/// ```
#[derive(Clone, Debug)]
pub struct Pairing {
    aligner: Aligner,
    syllabifier: Syllabifier,
}

impl Pairing {
    /// A maker of items that goes by an accent.
    #[must_use]
    pub fn new(accent: &Accent) -> Self {
        Self {
            aligner: Aligner::new(Setting::for_accent(accent)),
            syllabifier: Syllabifier::new(accent.shapes()),
        }
    }

    /// The item of a row. Both transcriptions should be valid: what has no reading is left
    /// out of account.
    pub fn item(
        &mut self,
        row: u64,
        word: &str,
        target: &Transcription,
        production: &Transcription,
    ) -> Item {
        let mut item = Item {
            row,
            word: word.to_owned(),
            target: self.side(target),
            production: self.side(production),
            ..Item::default()
        };
        self.aligner
            .align(&item.target.bundles, &item.production.bundles);
        item.columns = joined(self.aligner.columns(), &item.target.sites);
        item.prosody = prosody::differences(target, production, &item.columns);
        item
    }

    /// One side alone.
    pub fn side(&mut self, transcription: &Transcription) -> Side {
        let segments = transcription.segments();
        let (spans, bundles): (Vec<Span>, Vec<FeatureBundle>) = segments
            .map(|it| (it.span(), articulation::bundle(&it)))
            .unzip();
        let sites = self.syllabifier.sites(transcription, &bundles).to_vec();
        Side {
            text: transcription.text().to_owned(),
            spans,
            bundles,
            sites,
        }
    }

    /// What the alignment of a pair costs, to choose between targets: see
    /// [`Aligner::cost`].
    pub fn cost(&mut self, target: &Side, production: &Side) -> i64 {
        self.aligner.align(&target.bundles, &production.bundles);
        self.aligner.cost()
    }
}

/// The columns with the two halves of a target's phoneme in one.
fn joined(columns: &[Column], sites: &[Site]) -> Vec<Column> {
    let one_phoneme = |before: &Column, after: &Column| {
        let ends = [before.target.end.checked_sub(1), Some(after.target.start)];
        let [Some(last), Some(first)] = ends.map(|end| sites.get(end? as usize)) else {
            return false;
        };
        last.part.is_some()
            && (last.syllable, last.part, last.slot)
                == (first.syllable, first.part, first.slot)
    };
    let mut all: Vec<Column> = Vec::with_capacity(columns.len());
    // Additions since the last column with a target: inside a phoneme they belong to it.
    let mut since = 0;
    for column in columns {
        if column.target.is_empty() {
            since += 1;
            all.push(column.clone());
            continue;
        }
        let first = all.len().checked_sub(since + 1);
        let before = first.and_then(|first| all.get(first));
        if let (Some(first), true) = (
            first,
            before.is_some_and(|before| one_phoneme(before, column)),
        ) {
            let parts = all.split_off(first);
            let parts = parts.into_iter().chain([column.clone()]);
            all.extend(parts.reduce(|one, other| join(&one, &other)));
        } else {
            all.push(column.clone());
        }
        since = 0;
    }
    all
}

/// Two neighbouring columns as one.
fn join(one: &Column, other: &Column) -> Column {
    let kind = match (one.kind, other.kind) {
        (one, other) if one == other => one,
        (Kind::Match, other @ (Kind::Allophone | Kind::Distortion)) => other,
        (one @ (Kind::Allophone | Kind::Distortion), Kind::Match) => one,
        (Kind::Allophone, Kind::Distortion) | (Kind::Distortion, Kind::Allophone) => {
            Kind::Distortion
        }
        // Half of it left out, put in or changed: another sound.
        _ => Kind::Substitution,
    };
    Column {
        target: one.target.start..other.target.end,
        production: one.production.start..other.production.end,
        kind,
    }
}
