//! One item of a sheet: a word with its target and its production, aligned.

use core::ops::Range;

use crate::accent::Accent;
use crate::alignment::{self, Aligner, Column, Kind, Setting};
use crate::articulation;
use crate::feature::FeatureBundle;
use crate::finding::production::{self, Judge};
use crate::finding::prosody;
use crate::inventory::AllophoneRow;
use crate::notation::{Notation, Segment, Transcription};
use crate::syllable::{Part, Site, Stress, Syllabifier};
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

    /// The stress of a place as rules over phrases want it: an unmarked word of one syllable
    /// beside words that are marked has none.
    #[must_use]
    pub fn stress_at(&self, site: &Site) -> Stress {
        let marks = |it: &Site| matches!(it.stress, Stress::Primary | Stress::Secondary);
        match site.stress {
            Stress::Unmarked if self.sites.iter().any(marks) => Stress::None,
            stress => stress,
        }
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
    /// For each column, what is wanted there and lacking: \[p\] without its puff of air.
    /// Empty for most.
    pub lacking: Vec<Vec<&'static AllophoneRow>>,
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
    judge: Judge,
    /// Letters that stand for another sound in broad transcriptions: \[r\] for \[ɹ\].
    broad: Vec<[FeatureBundle; 2]>,
}

impl Pairing {
    /// A maker of items that goes by an accent.
    #[must_use]
    pub fn new(accent: &Accent) -> Self {
        Self {
            aligner: Aligner::new(Setting::for_accent(accent)),
            syllabifier: Syllabifier::new(accent.shapes()),
            judge: Judge::new(Some(accent)),
            broad: broad_letters(accent),
        }
    }

    /// The item of a row. Both transcriptions should be valid: what has no reading is left
    /// out of account.
    pub fn item(
        &mut self,
        row: u64,
        word: &str,
        target: &Transcription,
        spoken: &Transcription,
    ) -> Item {
        let mut item = Item {
            row,
            word: word.to_owned(),
            target: self.side(target),
            production: self.side(spoken),
            ..Item::default()
        };
        let [wanted, said] = [&item.target.bundles, &item.production.bundles];
        self.aligner.align(wanted, said);
        let side = |transcription, bundles| production::Side {
            transcription,
            bundles,
        };
        let columns = self.aligner.columns();
        let findings =
            self.judge
                .judge(side(target, wanted), side(spoken, said), columns);
        let judged = columns
            .iter()
            .zip(findings)
            .map(|(column, finding)| Judged {
                column: Column {
                    kind: finding.kind,
                    ..column.clone()
                },
                lacking: finding.lacking,
            });
        let columns = with_whole_sounds(judged, &item.production.sites);
        let columns = joined(columns, &item.target.sites);
        (item.columns, item.lacking) = columns
            .into_iter()
            .map(|it| (it.column, it.lacking))
            .unzip();
        item.prosody = prosody::differences(target, spoken, &item.columns);
        item
    }

    /// One side alone. Unless it stands in square brackets, a letter that the accent's broad
    /// transcriptions use for a phoneme is that phoneme: \[r\] is \[ɹ\].
    pub fn side(&mut self, transcription: &Transcription) -> Side {
        let segments = transcription.segments();
        let narrow = transcription.notation() == Notation::Narrow;
        let bundle = |it: &Segment<'_>| {
            let bundle = articulation::bundle(it);
            let known = self.broad.iter().find(|[letter, _]| *letter == bundle);
            known
                .filter(|_| !narrow)
                .map_or(bundle, |[_, sound]| *sound)
        };
        let (spans, bundles): (Vec<Span>, Vec<FeatureBundle>) =
            segments.map(|it| (it.span(), bundle(&it))).unzip();
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

/// The spellings of an accent's phonemes that are other sounds elsewhere, each with the
/// phoneme.
pub(crate) fn broad_letters(accent: &Accent) -> Vec<[FeatureBundle; 2]> {
    let phonemes = accent.phonemes();
    let mut letters = Vec::new();
    for spelling in phonemes {
        let first = phonemes.iter().find(|it| it.text == spelling.text);
        let sound = first.map_or(spelling.bundle, |it| it.bundle);
        if !alignment::same_phoneme(&spelling.bundle, &sound) {
            letters.push([spelling.bundle, sound]);
        }
    }
    letters
}

/// Whether two segments are the two halves of one sound.
fn is_one_sound(sites: &[Site], last: Option<u32>, first: u32) -> bool {
    let [Some(one), Some(other)] = [last, Some(first)].map(|at| sites.get(at? as usize))
    else {
        return false;
    };
    one.part.is_some()
        && (one.syllable, one.part, one.slot) == (other.syllable, other.part, other.slot)
}

/// A column with what is lacking in it.
#[derive(Clone, Debug)]
struct Judged {
    column: Column,
    lacking: Vec<&'static AllophoneRow>,
}

/// The columns with an added half of a production's affricate or diphthong beside its other
/// half: \[j\] said as \[dʒ\] is one error, not two.
fn with_whole_sounds(
    columns: impl Iterator<Item = Judged>,
    sites: &[Site],
) -> Vec<Judged> {
    let mut all: Vec<Judged> = Vec::with_capacity(columns.size_hint().0);
    for judged in columns {
        let column = &judged.column;
        let halves = all.last().is_some_and(|before| {
            let before = &before.column;
            let kinds = [before.kind, column.kind];
            kinds.contains(&Kind::Addition)
                && !kinds.contains(&Kind::Transposition)
                && !before.production.is_empty()
                && !column.production.is_empty()
                && is_one_sound(
                    sites,
                    before.production.end.checked_sub(1),
                    column.production.start,
                )
        });
        let before = if halves { all.pop() } else { None };
        all.push(match before {
            Some(before) => join(before, judged),
            None => judged,
        });
    }
    all
}

/// The columns with the two halves of a target's phoneme in one.
fn joined(columns: Vec<Judged>, sites: &[Site]) -> Vec<Judged> {
    let mut all: Vec<Judged> = Vec::with_capacity(columns.len());
    // Additions since the last column with a target: inside a phoneme they belong to it.
    let mut since = 0;
    for judged in columns {
        let target = &judged.column.target;
        if target.is_empty() {
            since += 1;
            all.push(judged);
            continue;
        }
        let first = all.len().checked_sub(since + 1);
        since = 0;
        let last = first.and_then(|first| all.get(first));
        let end = last.and_then(|last| last.column.target.end.checked_sub(1));
        match first.filter(|_| is_one_sound(sites, end, target.start)) {
            Some(first) => {
                let parts = all.split_off(first).into_iter().chain([judged]);
                all.extend(parts.reduce(join));
            }
            None => all.push(judged),
        }
    }
    all
}

/// Two neighbouring columns as one.
fn join(one: Judged, other: Judged) -> Judged {
    let kind = match (one.column.kind, other.column.kind) {
        (one, other) if one == other => one,
        (Kind::Match, other @ (Kind::Allophone | Kind::Distortion)) => other,
        (one @ (Kind::Allophone | Kind::Distortion), Kind::Match) => one,
        (Kind::Allophone, Kind::Distortion) | (Kind::Distortion, Kind::Allophone) => {
            Kind::Distortion
        }
        // Half of it left out, put in or changed: another sound.
        _ => Kind::Substitution,
    };
    let mut lacking = one.lacking;
    lacking.extend(other.lacking);
    lacking.sort_unstable_by_key(|row| row.name);
    lacking.dedup_by_key(|row| row.name);
    Judged {
        column: Column {
            target: one.column.target.start..other.column.target.end,
            production: one.column.production.start..other.column.production.end,
            kind,
        },
        lacking,
    }
}
