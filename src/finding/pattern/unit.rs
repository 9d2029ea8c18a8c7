//! A target's sounds with what became of each, as rules look at them.

use core::ops::Range;

use crate::alignment::{self, Kind};
use crate::feature::{Class, FeatureBundle};
use crate::finding::item::Item;
use crate::syllable::{Part, Site, Stress};

/// A target's phoneme.
#[derive(Clone, Copy, Debug)]
pub(super) struct Unit {
    pub(super) bundle: FeatureBundle,
    pub(super) site: Site,
    /// Its column.
    pub(super) column: usize,
}

/// A sound of a production, or what the segments of a column make together.
#[derive(Clone, Copy, Debug)]
pub(super) struct Said {
    pub(super) bundle: FeatureBundle,
    pub(super) site: Site,
}

/// An item as rules look at it.
#[derive(Clone, Debug, Default)]
pub(super) struct Units {
    pub(super) sounds: Vec<Unit>,
    /// For each column, the sounds that were said.
    said: Vec<Said>,
    ranges: Vec<Range<usize>>,
    kinds: Vec<Kind>,
    /// For each column, whether its sides are the same sounds throughout.
    same: Vec<bool>,
    /// Whether what the accent allows is looked at like an error.
    pub(super) counts_allowed: bool,
    /// Before each unit, and after the last: whether a pause was made there.
    pub(super) pauses: Vec<bool>,
    pub(super) syllables: Vec<Syllable>,
}

/// A target's syllable and what became of it.
#[derive(Clone, Debug)]
pub(super) struct Syllable {
    pub(super) word: u32,
    pub(super) stress: Stress,
    /// The column of its peak.
    pub(super) column: usize,
    /// Its sounds in the target.
    pub(super) target: Vec<FeatureBundle>,
    /// The stress and the sounds of the production's syllable that holds what was said for
    /// its peak; `None` where that is missing.
    pub(super) said: Option<(Stress, Vec<FeatureBundle>)>,
}

impl Units {
    pub(super) fn of(item: &Item) -> Self {
        // Made once at their length: they are made for every item.
        let columns = item.columns.len();
        let mut all = Self {
            sounds: Vec::with_capacity(columns),
            said: Vec::with_capacity(columns),
            ranges: Vec::with_capacity(columns),
            kinds: Vec::with_capacity(columns),
            same: Vec::with_capacity(columns),
            pauses: Vec::with_capacity(columns + 1),
            ..Self::default()
        };
        let blank = Site::default();
        for (number, column) in item.columns.iter().enumerate() {
            let start = all.said.len();
            let place = |range: &Range<u32>, at: u32| {
                let at = (range.start + at) as usize;
                item.production.sites.get(at).copied().unwrap_or(blank)
            };
            let bundles = item.production.bundles_of(&column.production);
            // Vowel and r, or vowel and nasal, stay two: rules tell them apart.
            let alike = bundles.windows(2).all(|pair| match pair {
                [one, other] => one.class == other.class,
                _ => true,
            });
            match alignment::whole(bundles).filter(|_| alike) {
                Some(bundle) => all.said.push(Said {
                    bundle,
                    site: place(&column.production, 0),
                }),
                None => all.said.extend((0..).zip(bundles).map(|(at, bundle)| Said {
                    bundle: *bundle,
                    site: place(&column.production, at),
                })),
            }
            all.ranges.push(start..all.said.len());
            all.kinds.push(column.kind);
            all.same
                .push(item.target.bundles_of(&column.target) == bundles);
            let target = item.target.whole(&column.target);
            let first = item.target.bundles_of(&column.target).first().copied();
            if let Some(bundle) = target.or(first) {
                if matches!(bundle.class, Class::Consonant | Class::Vowel) {
                    all.pauses.push(all.is_pause_before(item, number));
                    all.sounds.push(Unit {
                        bundle,
                        site: item.site(column),
                        column: number,
                    });
                }
            }
        }
        all.pauses.push(false);
        all.lay_syllables(item);
        all
    }

    /// Whether the production pauses before what answers a column, or has a pause among the
    /// sounds put in before it.
    fn is_pause_before(&self, item: &Item, column: usize) -> bool {
        let Some(this) = item.columns.get(column) else {
            return false;
        };
        let next = this.production.start as usize;
        let span = |at: Option<usize>| at.and_then(|at| item.production.spans.get(at));
        let from = span(next.checked_sub(1)).map_or(0, |span| span.end);
        let to = span(Some(next)).map_or(from, |span| span.start);
        let between = item.production.text.get(from..to).unwrap_or_default();
        let added = self.added_before(column);
        next > 0 && between.contains(['|', '‖'])
            || added.iter().any(|said| said.bundle.class == Class::Pause)
    }

    fn lay_syllables(&mut self, item: &Item) {
        let nuclei = self
            .sounds
            .iter()
            .filter(|it| it.site.part == Some(Part::Nucleus));
        let columns: Vec<(Site, usize)> = nuclei.map(|it| (it.site, it.column)).collect();
        for (site, column) in columns {
            let these = self
                .sounds
                .iter()
                .filter(|it| it.site.syllable == site.syllable);
            let peak = self.said(column).iter();
            let peak = peak
                .map(|said| said.site)
                .find(|it| it.part == Some(Part::Nucleus));
            let said = peak.map(|peak| {
                let sites = item.production.sites.iter().zip(&item.production.bundles);
                let sounds = sites
                    .filter(|(it, _)| it.syllable == peak.syllable && it.part.is_some())
                    .map(|(_, bundle)| *bundle);
                (item.production.stress_at(&peak), sounds.collect())
            });
            self.syllables.push(Syllable {
                word: site.word,
                stress: item.target.stress_at(&site),
                column,
                target: these.map(|it| it.bundle).collect(),
                said,
            });
        }
    }

    /// What was said in a column.
    pub(super) fn said(&self, column: usize) -> &[Said] {
        let range = self.ranges.get(column).cloned().unwrap_or_default();
        self.said.get(range).unwrap_or_default()
    }

    /// What was said in a run of columns.
    pub(super) fn said_in(&self, columns: Range<usize>) -> &[Said] {
        let of = |at: usize| self.ranges.get(at).cloned().unwrap_or_default();
        match columns.end.checked_sub(1) {
            Some(last) if last >= columns.start => {
                let range = of(columns.start).start..of(last).end;
                self.said.get(range).unwrap_or_default()
            }
            _ => &[],
        }
    }

    /// Whether a column is right.
    pub(super) fn is_right(&self, column: usize) -> bool {
        let allowed =
            matches!(self.kinds.get(column), Some(Kind::Match | Kind::Allophone));
        let same = self.same.get(column) == Some(&true);
        allowed && (same || !self.counts_allowed)
    }

    pub(super) fn is_omitted(&self, column: usize) -> bool {
        self.said(column).is_empty()
    }

    /// The columns of sounds put in right before a column with a target; `column` may be
    /// one past the last.
    pub(super) fn gap(&self, unit: usize) -> Range<usize> {
        let from = unit
            .checked_sub(1)
            .and_then(|before| self.sounds.get(before))
            .map_or(0, |before| before.column + 1);
        let to = self
            .sounds
            .get(unit)
            .map_or(self.ranges.len(), |it| it.column);
        from..to.max(from)
    }

    /// Whether a word begins or ends between a unit and the one before it.
    pub(super) fn is_edge(&self, unit: usize) -> bool {
        let before = unit.checked_sub(1).and_then(|at| self.sounds.get(at));
        match (before, self.sounds.get(unit)) {
            (Some(before), Some(after)) => before.site.word != after.site.word,
            _ => true,
        }
    }

    /// What was put in right before a column.
    fn added_before(&self, column: usize) -> &[Said] {
        let from = self.sounds.last().map_or(0, |it| it.column + 1);
        self.said_in(from..column)
    }
}
