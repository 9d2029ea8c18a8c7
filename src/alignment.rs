//! Sets a production against its target, sound beside sound.
//!
//! Weighted dynamic programming over feature bundles: the alignment of least cost, over the
//! whole of both words. One engine, two settings: [`Setting::general`] for any two words of
//! any languages, [`Setting::coaching`] for target and production of one word. The constants
//! stand in `grammar/alignment.tsv`, each with its reason.

mod constant;
mod cost;
mod engine;
mod row;
mod table;
mod transposition;
mod unit;
mod word;

use core::cmp::Ordering;
use core::ops::Range;

use constant::Constants;
use engine::{Step, Workspace};
use row::Grid;
use table::Table;
use word::Slot;

use crate::accent::Accent;
use crate::distance;
use crate::feature::{
    Backness, Class, Detail, FeatureBundle, Height, Manner, Place, Places,
};
use crate::inventory::PhonemeKind;

/// What became of a target's sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// The same sound.
    Match,
    /// Another sound that the accent allows there; set by an accent, never by the aligner.
    Allophone,
    /// The same letter of the chart, off in detail: see [`same_phoneme`].
    Distortion,
    /// Another sound.
    Substitution,
    /// The target's sound is missing.
    Omission,
    /// A sound that the target does not have.
    Addition,
    /// The sound stands at another place: both columns where it is missing and where it
    /// stands instead.
    Transposition,
}

impl Kind {
    /// Every kind.
    pub const ALL: &'static [Self] = &[
        Self::Match,
        Self::Allophone,
        Self::Distortion,
        Self::Substitution,
        Self::Omission,
        Self::Addition,
        Self::Transposition,
    ];

    /// The word for it in the JSON contract.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Match => "match",
            Self::Allophone => "allophone",
            Self::Distortion => "distortion",
            Self::Substitution => "substitution",
            Self::Omission => "omission",
            Self::Addition => "addition",
            Self::Transposition => "transposition",
        }
    }
}

/// One column of an alignment: which sounds of the target and of the production answer each
/// other.
///
/// The ranges count segments from 0. One of them is empty for an omission or an addition;
/// one holds two segments where the coaching setting lets one sound answer two. Put together
/// in order, the columns of an alignment give back each side's segments once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Segments of the target.
    pub target: Range<u32>,
    /// Segments of the production.
    pub production: Range<u32>,
    /// What became of the target's sound.
    pub kind: Kind,
}

/// Which two words are compared.
#[derive(Clone, Debug)]
pub struct Setting {
    constants: Constants,
    units: Option<Vec<[FeatureBundle; 2]>>,
}

impl Setting {
    /// Any two words of any languages: vowels never answer to consonants, and every column
    /// holds at most one sound of each side.
    #[must_use]
    pub const fn general() -> Self {
        Self {
            constants: Constants::GENERAL,
            units: None,
        }
    }

    /// Target and production of one word, where sounds merge and split.
    ///
    /// `units` are the pairs of sounds that the accent counts as one: the halves of its
    /// diphthongs, the parts of its affricates (\[t ʃ\]), vowel and r of its r-coloured vowels
    /// (\[ə ɹ\]), schwa and consonant of its syllabic consonants (\[ə n\]). One sound of the
    /// other side may answer to both in one column. Glides answer to close vowels, coda \[l\]
    /// and \[r\] to vowels that are not front, syllabic consonants to vowels.
    #[must_use]
    pub fn coaching(units: &[[FeatureBundle; 2]]) -> Self {
        Self {
            constants: Constants::COACHING,
            units: Some(units.to_vec()),
        }
    }

    /// The coaching setting with an accent's own units.
    #[must_use]
    pub fn for_accent(accent: &Accent) -> Self {
        let schwa = FeatureBundle {
            height: Some(Height::Mid),
            backness: Some(Backness::Central),
            rounded: Some(false),
            ..FeatureBundle::VOWEL
        };
        let r = accent.phonemes().iter().map(|it| it.bundle).find(|it| {
            it.manner == Some(Manner::Approximant)
                && !it.lateral
                && it.place == Places::one(Place::Alveolar)
        });
        let mut units = Vec::new();
        for phoneme in accent.phonemes() {
            match (phoneme.kind, phoneme.parts.as_slice()) {
                (_, &[first, second]) => units.push([first, second]),
                (PhonemeKind::Syllabic, &[it]) => {
                    units.push([
                        schwa,
                        FeatureBundle {
                            syllabic: false,
                            ..it
                        },
                    ]);
                }
                (PhonemeKind::RColoured, &[it]) => {
                    units.extend(r.map(|r| {
                        [
                            FeatureBundle {
                                rhotic: false,
                                ..it
                            },
                            r,
                        ]
                    }));
                }
                _ => {}
            }
        }
        Self::coaching(&units)
    }
}

/// A sound as an [`Aligner`] numbers it: valid only for the aligner that gave it out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Sound(u32);

/// Points of the table up to which the whole of it is searched.
const WHOLE: usize = 1 << 28;
/// Segments of both sides together up to which the whole table is searched.
const LONGEST: usize = 100_000;

/// Aligns pair after pair, keeping its tables and its memory.
///
/// After the first few pairs nothing is allocated: sounds are numbered once, what pairing
/// two of them costs is looked up.
///
/// Up to 2²⁸ points (16,384 segments by as many) and 100,000 segments in all, the alignment
/// is the cheapest there is. Longer texts are worked through in windows of 64 to 1,024
/// segments, half a window at a time: in time that grows with the length, and no longer
/// certainly the cheapest.
///
/// Of equally cheap alignments it takes one by a fixed rule, the same on every machine and
/// the same, mirrored, when target and production change places: the word whose first
/// differing sound comes first in the order of [`FeatureBundle`] is taken as the first;
/// looking back from the end, a pair goes before a gap and a sound of the first word alone
/// before one of the second.
///
/// # Examples
///
/// ```
/// use apical::alignment::{Aligner, Kind, Setting};
/// use apical::feature::{Backness, FeatureBundle, Height, Manner, Place, Places};
///
/// let t = FeatureBundle {
///     place: Places::one(Place::Alveolar),
///     manner: Some(Manner::Plosive),
///     ..FeatureBundle::CONSONANT
/// };
/// let i = FeatureBundle {
///     height: Some(Height::Close),
///     backness: Some(Backness::Front),
///     rounded: Some(false),
///     ..FeatureBundle::VOWEL
/// };
/// let mut aligner = Aligner::new(Setting::general());
/// let kinds: Vec<Kind> =
///     aligner.align(&[t, i, t], &[t, i]).iter().map(|column| column.kind).collect();
/// assert_eq!(kinds, [Kind::Match, Kind::Match, Kind::Omission]);
/// ```
#[derive(Clone, Debug)]
pub struct Aligner {
    table: Table,
    merging: bool,
    workspace: Workspace,
    words: [Vec<Sound>; 2],
    slots: [Vec<Slot>; 2],
    path: Vec<Step>,
    columns: Vec<Column>,
    cost: i64,
}

impl Aligner {
    /// An aligner of that setting that has met no sounds yet.
    #[must_use]
    pub fn new(setting: Setting) -> Self {
        let merging = setting.units.is_some();
        Self {
            table: Table::new(&setting.constants, setting.units.unwrap_or_default()),
            merging,
            workspace: Workspace::default(),
            words: [Vec::new(), Vec::new()],
            slots: [Vec::new(), Vec::new()],
            path: Vec::new(),
            columns: Vec::new(),
            cost: 0,
        }
    }

    /// The aligner's number for a sound; equal bundles have equal numbers.
    pub fn intern(&mut self, sound: &FeatureBundle) -> Sound {
        Sound(self.table.intern(sound))
    }

    /// The sound of a number that this aligner gave out.
    #[must_use]
    pub fn bundle(&self, sound: Sound) -> Option<&FeatureBundle> {
        self.table.bundle(sound.0)
    }

    /// Aligns two words given as bundles. The columns stand until the next call.
    ///
    /// Cost: see [`Aligner`].
    pub fn align(
        &mut self,
        target: &[FeatureBundle],
        production: &[FeatureBundle],
    ) -> &[Column] {
        let mut words = core::mem::take(&mut self.words);
        for (word, bundles) in words.iter_mut().zip([target, production]) {
            word.clear();
            word.extend(
                bundles
                    .iter()
                    .map(|bundle| Sound(self.table.intern(bundle))),
            );
        }
        let [target, production] = &words;
        self.run(target, production);
        self.words = words;
        &self.columns
    }

    /// Aligns two words of sounds that this aligner numbered. The columns stand until the
    /// next call.
    pub fn align_sounds(&mut self, target: &[Sound], production: &[Sound]) -> &[Column] {
        self.run(target, production);
        &self.columns
    }

    /// The columns of the last pair.
    #[must_use]
    pub fn columns(&self) -> &[Column] {
        &self.columns
    }

    /// What the last alignment cost, in thousandths of a lost consonant. It serves to choose
    /// between alignments and is not a distance: vowels are nearly free in it, context gives
    /// and takes, and it may be negative.
    #[must_use]
    pub const fn cost(&self) -> i64 {
        self.cost
    }

    /// What an alignment of two words costs by the rules of this setting, counted column by
    /// column. `None` where the columns do not give back each side's segments once and in
    /// order, or hold what no column of an alignment holds.
    ///
    /// An alignment of [`Aligner::align`] costs what [`Aligner::cost`] says, and no other
    /// alignment of the two words costs less (but for texts aligned in windows).
    pub fn cost_of(
        &mut self,
        target: &[FeatureBundle],
        production: &[FeatureBundle],
        columns: &[Column],
    ) -> Option<i64> {
        let mut at = [0, 0];
        let mut steps = Vec::new();
        for column in columns {
            let sides = [&column.target, &column.production];
            steps.push(match sides.map(ExactSizeIterator::len) {
                [1, 1] => Step::Pair,
                [1, 0] => Step::First,
                [0, 1] => Step::Second,
                [2, 1] if self.merging => Step::FirstTwo,
                [1, 2] if self.merging => Step::SecondTwo,
                _ => return None,
            });
            for (at, range) in at.iter_mut().zip(sides) {
                if range.start != *at {
                    return None;
                }
                *at = range.end;
            }
        }
        if at.map(|end| end as usize) != [target.len(), production.len()] {
            return None;
        }
        self.table.forget_rare_units();
        let [firsts, seconds] = &mut self.slots;
        for (slots, bundles) in [(&mut *firsts, target), (&mut *seconds, production)] {
            let word: Vec<Sound> = bundles
                .iter()
                .map(|it| Sound(self.table.intern(it)))
                .collect();
            word::prepare(slots, &word, &mut self.table, self.merging);
        }
        let grid = Grid::whole(&self.table, firsts, seconds, self.merging, self.merging);
        Some(engine::recount(grid, &steps))
    }

    fn run(&mut self, target: &[Sound], production: &[Sound]) {
        let swapped = self.order(target, production) == Ordering::Greater;
        let (first, second) = if swapped {
            (production, target)
        } else {
            (target, production)
        };
        let [firsts, seconds] = &mut self.slots;
        self.table.forget_rare_units();
        let merging = self.merging;
        let one = word::prepare(firsts, first, &mut self.table, merging);
        let other = word::prepare(seconds, second, &mut self.table, merging);
        let units = merging
            && (word::drop_units(firsts, other, &self.table)
                | word::drop_units(seconds, one, &self.table));
        self.path.clear();
        let grid = Grid::whole(&self.table, firsts, seconds, merging, units);
        let points = first.len().saturating_mul(second.len());
        if points <= WHOLE && first.len() + second.len() <= LONGEST {
            let cost = self.workspace.run(grid, &mut self.path);
            self.cost = i64::from(cost);
        } else {
            self.cost = self.workspace.run_in_windows(grid, &mut self.path);
        }
        self.lay_columns(target, production, swapped);
    }

    /// Turns the steps of the way into columns.
    fn lay_columns(&mut self, target: &[Sound], production: &[Sound], swapped: bool) {
        let table = &self.table;
        let (mut target_at, mut production_at) = (0, 0);
        let mut alone = [false; 2];
        self.columns.clear();
        self.columns.extend(self.path.iter().rev().map(|&step| {
            let (target_start, production_start) = (target_at, production_at);
            let [in_target, in_production] = step.sounds(swapped);
            target_at += in_target;
            production_at += in_production;
            alone[0] |= in_production == 0;
            alone[1] |= in_target == 0;
            let kind = if in_production == 0 {
                Kind::Omission
            } else if in_target == 0 {
                Kind::Addition
            } else if in_target + in_production == 2
                && target.get(target_start as usize)
                    == production.get(production_start as usize)
            {
                Kind::Match
            } else {
                unlike(
                    table,
                    target
                        .get(target_start as usize..target_at as usize)
                        .unwrap_or(&[]),
                    production
                        .get(production_start as usize..production_at as usize)
                        .unwrap_or(&[]),
                )
            };
            Column {
                target: target_start..target_at,
                production: production_start..production_at,
                kind,
            }
        }));
        if alone == [true; 2] {
            let columns = &mut self.columns;
            transposition::mark(&self.table, target, production, columns, self.merging);
        }
    }

    /// Which word is taken as the first.
    fn order(&self, target: &[Sound], production: &[Sound]) -> Ordering {
        for (one, other) in target.iter().zip(production) {
            if one != other {
                return self.table.order(one.0, other.0);
            }
        }
        target.len().cmp(&production.len())
    }
}

/// What became of a target's sounds that are paired with others.
fn unlike(table: &Table, target: &[Sound], production: &[Sound]) -> Kind {
    let whole = |sounds: &[Sound]| {
        let bundle =
            |at: usize| sounds.get(at).and_then(|it| table.bundle(it.0)).copied();
        match (bundle(0), bundle(1)) {
            (Some(first), Some(second)) => whole(&[first, second]),
            (first, _) => first,
        }
    };
    match (whole(target), whole(production)) {
        (Some(one), Some(other)) if same_phoneme(&one, &other) => Kind::Distortion,
        _ => Kind::Substitution,
    }
}

/// How far a production is from its target, in whole thousandths of one feature.
///
/// The sum over the columns of an alignment of the two: for paired sounds
/// [`distance::between`] them, for a sound alone [`distance::alone`], for one sound paired
/// with two [`distance::SPLIT`] and the distance between the one and what the two make
/// together. 0 only for the same bundles throughout, and symmetric, since an alignment and
/// its mirror have the same columns. The triangle inequality need not hold: the alignment is
/// chosen by another figure ([`Aligner::cost`]).
///
/// Cost: linear in the columns.
#[must_use]
pub fn distance(
    target: &[FeatureBundle],
    production: &[FeatureBundle],
    columns: &[Column],
) -> u64 {
    let side = |word: &[FeatureBundle], range: &Range<u32>| {
        whole(
            word.get(range.start as usize..range.end as usize)
                .unwrap_or(&[]),
        )
    };
    columns
        .iter()
        .map(|column| {
            let split = column.target.len() + column.production.len() > 2;
            let apart = match (
                side(target, &column.target),
                side(production, &column.production),
            ) {
                (Some(one), Some(other)) => distance::between(&one, &other),
                (Some(one), None) | (None, Some(one)) => distance::alone(&one),
                (None, None) => 0,
            };
            u64::from(apart + if split { distance::SPLIT } else { 0 })
        })
        .sum()
}

/// The one sound that one side of a column stands for: its segment, or what its two segments
/// make together (an affricate, a diphthong, an r-coloured vowel, a syllabic consonant).
/// `None` for an empty side.
#[must_use]
pub fn whole(side: &[FeatureBundle]) -> Option<FeatureBundle> {
    match side {
        [one] => Some(*one),
        [first, second] => unit::compose(first, second, true).map(|(_, whole)| whole),
        _ => None,
    }
}

/// Whether two sounds differ, if at all, only in detail: the rule that tells a distortion
/// from a substitution where no accent says it.
///
/// They agree in class, place, manner, voicing, airstream, laterality, height, backness,
/// rounding, r-colour and in the vowel a diphthong ends on. What may differ is length,
/// nasality, release, secondary articulation, phonation, tone, syllabicity, tongue root, a
/// shift off the letter and further detail. Dental, alveolar and postalveolar count as one
/// place where the chart has one letter for the three: everywhere but in fricatives and
/// affricates; there dental and alveolar are one if both are sibilant or neither is, so
/// that a dentalized \[s̪\] is an \[s\] off in detail and \[θ\] is not.
///
/// # Source
///
/// The chart's cells (IPA chart, 2020). That dentalizing, length and the like are distortions
/// and not substitutions is common clinical practice.
#[must_use]
pub fn same_phoneme(one: &FeatureBundle, other: &FeatureBundle) -> bool {
    one.class == other.class
        && one.class != Class::Tone
        && one.voicing == other.voicing
        && one.manner == other.manner
        && one.airstream == other.airstream
        && one.lateral == other.lateral
        && one.height == other.height
        && one.backness == other.backness
        && one.rounded == other.rounded
        && one.rhotic == other.rhotic
        && one.glide == other.glide
        && same_place(one, other)
}

fn same_place(one: &FeatureBundle, other: &FeatureBundle) -> bool {
    if one.place == other.place {
        return true;
    }
    let friction = matches!(one.manner, Some(Manner::Fricative | Manner::Affricate));
    let sibilant = |it: &FeatureBundle| it.detail.contains(Detail::Sibilant);
    let one_letter = |places: Places| match (places.first, places.second) {
        (Some(Place::Dental | Place::Alveolar), None) => true,
        (Some(Place::Postalveolar), None) => !friction,
        _ => false,
    };
    one_letter(one.place)
        && one_letter(other.place)
        && (!friction || sibilant(one) == sibilant(other))
}
