//! One place of a rule: the sounds it stands for.

use super::feature::{Feature, part};
use crate::alignment::same_phoneme;
use crate::feature::{Class, FeatureBundle, Manner};
use crate::syllable::Site;

/// What a letter of a rule stands for.
#[derive(Clone, Copy, Debug)]
pub(super) enum Letter {
    /// Only a matrix.
    Any,
    Consonant,
    Vowel,
    Nasal,
    Tone,
    /// A sound of the alphabet.
    Sound(FeatureBundle),
}

/// A sound or a class of them.
#[derive(Clone, Debug)]
pub(super) struct Sound {
    pub(super) letter: Letter,
    /// Features, each with whether it has to be there.
    pub(super) matrix: Vec<(bool, &'static Feature)>,
    /// The small number behind it.
    pub(super) number: Option<u8>,
    /// Whether its place is that of another sound: `[αplace]`.
    pub(super) alpha: bool,
}

/// One of what a place may hold.
#[derive(Clone, Debug)]
pub(super) enum Choice {
    Sound(Sound),
    /// Any of these, where each member of a set answers its like.
    Set(Vec<Choice>),
    WordEdge,
    SyllableEdge,
    Nothing,
    Pause,
}

impl Sound {
    /// Whether a sound at a place is one of these.
    pub(super) fn is(&self, bundle: &FeatureBundle, site: &Site) -> bool {
        self.is_letter(bundle) && self.has_features(bundle, site)
    }

    /// Whether a sound is one of these somewhere.
    pub(super) fn is_somewhere(&self, bundle: &FeatureBundle) -> bool {
        let site = Site::default();
        let holds = |(on, feature): &(bool, &Feature)| {
            feature.of_place || (feature.test)(bundle, &site) == *on
        };
        self.is_letter(bundle) && self.matrix.iter().all(holds)
    }

    fn is_letter(&self, bundle: &FeatureBundle) -> bool {
        match &self.letter {
            Letter::Any => true,
            Letter::Consonant => bundle.class == Class::Consonant,
            Letter::Vowel => bundle.class == Class::Vowel,
            Letter::Nasal => bundle.manner == Some(Manner::Nasal),
            Letter::Tone => bundle.class == Class::Tone,
            Letter::Sound(wanted) => is_like(wanted, bundle),
        }
    }

    pub(super) fn has_features(&self, bundle: &FeatureBundle, site: &Site) -> bool {
        let holds =
            |(on, feature): &(bool, &Feature)| (feature.test)(bundle, site) == *on;
        self.matrix.iter().all(holds)
    }

    /// Whether it is a change and no sound: features alone.
    pub(super) const fn is_change(&self) -> bool {
        matches!(self.letter, Letter::Any)
    }

    /// Whether a production is the target but for the change.
    pub(super) fn changes(
        &self,
        target: &FeatureBundle,
        (production, site): (&FeatureBundle, &Site),
    ) -> bool {
        let touched = self.matrix.iter().fold(0, |all, (_, it)| all | it.touches);
        let touched = touched | if self.alpha { part::PLACE } else { 0 };
        self.has_features(production, site) && is_rest_kept(touched, target, production)
    }

    /// Whether a change would change nothing, as far as a broad target tells.
    pub(super) fn is_vacuous(&self, target: &FeatureBundle, site: &Site) -> bool {
        self.is_change()
            && !self.matrix.is_empty()
            && self.matrix.iter().all(|(_, it)| it.broad)
            && self.has_features(target, site)
    }
}

/// Whether a sound is the one of a letter, with at least its marks.
fn is_like(wanted: &FeatureBundle, bundle: &FeatureBundle) -> bool {
    let marks = |wanted: u32, there: u32| wanted & !there == 0;
    let dental = wanted.place != bundle.place && is_moved(wanted);
    same_phoneme(wanted, bundle)
        && !dental
        && marks(wanted.release.0.into(), bundle.release.0.into())
        && marks(wanted.secondary.0.into(), bundle.secondary.0.into())
        && marks(wanted.detail.0, bundle.detail.0)
        && (!wanted.nasalized || bundle.nasalized)
        && (wanted.length <= bundle.length)
}

/// Whether a rule's letter says its place by a mark: dental where the letter is alveolar.
fn is_moved(wanted: &FeatureBundle) -> bool {
    use crate::feature::{Detail, Place};
    let friction = wanted.manner == Some(Manner::Fricative);
    wanted.place.first == Some(Place::Dental)
        && (!friction || wanted.detail.contains(Detail::Sibilant))
}

/// Whether two sounds are the same but for what a change touches; detail is left aside.
fn is_rest_kept(touched: u8, one: &FeatureBundle, other: &FeatureBundle) -> bool {
    let kept = |bit: u8, same: bool| touched & bit != 0 || same;
    // Everything a change touches is made alike, so that one rule tells what is the same.
    let mut made = *other;
    if touched & part::PLACE != 0 {
        made.place = one.place;
        made.detail = one.detail;
    }
    if touched & part::VOICING != 0 {
        made.voicing = one.voicing;
    }
    if touched & part::MANNER != 0 {
        made.manner = one.manner;
        made.lateral = one.lateral;
        made.detail = one.detail;
    }
    if touched & part::HEIGHT != 0 {
        made.height = one.height;
    }
    if touched & part::BACKNESS != 0 {
        made.backness = one.backness;
    }
    if touched & part::LIPS != 0 {
        made.rounded = one.rounded;
    }
    if touched & part::GLIDE != 0 {
        made.glide = one.glide;
    }
    if touched & part::RHOTIC != 0 {
        made.rhotic = one.rhotic;
    }
    kept(0, same_phoneme(one, &made))
}
