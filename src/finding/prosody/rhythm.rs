//! Prosody over a sheet: where stress went, which vowels were reduced, which syllables came
//! and went; apart from the sounds.

use crate::alignment::Kind;
use crate::feature::{Backness, Class, FeatureBundle, Height};
use crate::finding::item::Item;
use crate::syllable::{Part, Stress};

/// How often something held, out of how many chances.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Share {
    /// How often it held.
    pub held: usize,
    /// How often it could have.
    pub chances: usize,
    /// The items it did not hold in, each once, in order.
    pub failed: Vec<usize>,
}

impl Share {
    fn count(&mut self, item: usize, held: bool) {
        self.chances += 1;
        self.held += usize::from(held);
        if !held && self.failed.last() != Some(&item) {
            self.failed.push(item);
        }
    }

    /// How often it did not hold.
    #[must_use]
    pub const fn failures(&self) -> usize {
        self.chances.saturating_sub(self.held)
    }
}

/// What a sheet shows of prosody.
///
/// A syllable of a target and one of its production answer each other where their peaks do
/// in the alignment.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Rhythm {
    /// Words of several syllables whose primary stress stands where it should, of those
    /// whose target and production both mark one.
    pub stress: Share,
    /// Words of several syllables without any stress mark on one side or the other: nothing
    /// can be said of them.
    pub unmarked: Vec<usize>,
    /// Reduced vowels of targets (schwa, with or without r-colour) that are reduced in the
    /// production, of those that have a vowel there.
    pub reduction: Share,
    /// Full vowels of targets that are full in the production, of those that have a vowel.
    pub full: Share,
    /// Syllables of targets that the production keeps.
    pub kept: Share,
    /// Items with syllables that their target does not have, with how many.
    pub added: Vec<(usize, usize)>,
}

/// What some items show of prosody.
///
/// Cost: linear in the segments.
#[must_use]
pub fn rhythm(items: &[Item]) -> Rhythm {
    let mut rhythm = Rhythm::default();
    for (number, item) in items.iter().enumerate() {
        rhythm.count(number, item);
    }
    rhythm
}

impl Rhythm {
    fn count(&mut self, number: usize, item: &Item) {
        self.count_stress(number, item);
        let mut added = 0;
        for column in &item.columns {
            let peak = |side: &crate::finding::item::Side,
                        range: &core::ops::Range<u32>| {
                let range = range.start as usize..range.end as usize;
                let sites = side.sites.get(range.clone()).unwrap_or_default();
                let at = sites.iter().position(|it| it.part == Some(Part::Nucleus))?;
                side.bundles.get(range.start + at).copied()
            };
            let wanted = peak(&item.target, &column.target);
            let said = peak(&item.production, &column.production);
            match (wanted, said) {
                (Some(wanted), said) => {
                    let moved = column.kind == Kind::Transposition;
                    if !moved {
                        self.kept.count(number, said.is_some());
                    }
                    if let Some(said) = said.filter(|it| it.class == Class::Vowel)
                        && wanted.class == Class::Vowel
                    {
                        let (share, held) = if is_reduced(&wanted) {
                            (&mut self.reduction, is_reduced(&said))
                        } else {
                            (&mut self.full, !is_reduced(&said))
                        };
                        share.count(number, held);
                    }
                }
                (None, Some(_)) => {
                    added += usize::from(column.kind != Kind::Transposition);
                }
                (None, None) => {}
            }
        }
        if added > 0 {
            self.added.push((number, added));
        }
    }

    fn count_stress(&mut self, number: usize, item: &Item) {
        if item.target.syllables() < 2 {
            return;
        }
        let unmarked = |side: &crate::finding::item::Side| {
            side.sites
                .iter()
                .any(|it| side.stress_at(it) == Stress::Unmarked)
        };
        if unmarked(&item.target) || unmarked(&item.production) {
            self.unmarked.push(number);
            return;
        }
        let moved = item
            .prosody
            .iter()
            .any(|it| it.feature == super::Feature::PrimaryStress);
        self.stress.count(number, !moved);
    }
}

/// Whether a vowel is schwa, r-coloured or not.
fn is_reduced(bundle: &FeatureBundle) -> bool {
    bundle.class == Class::Vowel
        && bundle.height == Some(Height::Mid)
        && bundle.backness == Some(Backness::Central)
        && bundle.glide.is_none()
}
