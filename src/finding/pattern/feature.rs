//! The features that the matrices of a rule name.

use crate::feature::{
    Backness, Class, Detail, FeatureBundle, Height, Length, Manner, Place, Release,
    Secondary,
};
use crate::syllable::{Part, Position, Site};

/// What a feature asks of a sound and its place.
type Test = fn(&FeatureBundle, &Site) -> bool;

/// A feature.
#[derive(Clone, Copy, Debug)]
pub(super) struct Feature {
    pub(super) name: &'static str,
    pub(super) test: Test,
    /// What of a sound a change of it touches.
    pub(super) touches: u8,
    /// Whether broad targets say it: if not, a sound is not taken to lack it.
    pub(super) broad: bool,
    /// Whether it is about where a sound stands, and not about the sound.
    pub(super) of_place: bool,
}

/// What of a sound may change, as bits.
pub(super) mod part {
    pub(in crate::finding::pattern) const VOICING: u8 = 1;
    pub(in crate::finding::pattern) const PLACE: u8 = 2;
    pub(in crate::finding::pattern) const MANNER: u8 = 4;
    pub(in crate::finding::pattern) const HEIGHT: u8 = 8;
    pub(in crate::finding::pattern) const BACKNESS: u8 = 16;
    pub(in crate::finding::pattern) const LIPS: u8 = 32;
    pub(in crate::finding::pattern) const RHOTIC: u8 = 64;
    pub(in crate::finding::pattern) const GLIDE: u8 = 128;
}

const fn broad(name: &'static str, touches: u8, test: Test) -> Feature {
    Feature {
        name,
        test,
        touches,
        broad: true,
        of_place: false,
    }
}

const fn narrow(name: &'static str, test: Test) -> Feature {
    Feature {
        name,
        test,
        touches: 0,
        broad: false,
        of_place: false,
    }
}

const fn of_place(name: &'static str, test: Test) -> Feature {
    Feature {
        of_place: true,
        ..narrow(name, test)
    }
}

fn manner(it: &FeatureBundle, which: Manner) -> bool {
    it.manner == Some(which)
}

fn place(it: &FeatureBundle, from: Place, to: Place) -> bool {
    it.place.iter().any(|place| place >= from && place <= to)
}

fn is_liquid(it: &FeatureBundle) -> bool {
    let coronal = place(it, Place::Dental, Place::Retroflex);
    let approximant = manner(it, Manner::Approximant);
    let uvular = place(it, Place::Uvular, Place::Uvular);
    approximant && (it.lateral || coronal || uvular)
        || manner(it, Manner::Trill)
        || manner(it, Manner::Tap)
}

fn is_schwa(it: &FeatureBundle) -> bool {
    it.class == Class::Vowel
        && it.height == Some(Height::Mid)
        && it.backness == Some(Backness::Central)
}

/// All features, by name.
static FEATURES: &[Feature] = &[
    broad("son", part::MANNER, |it, _| {
        it.class == Class::Vowel
            || matches!(
                it.manner,
                Some(Manner::Nasal | Manner::Approximant | Manner::Tap | Manner::Trill)
            )
    }),
    broad("voice", part::VOICING, |it, _| {
        it.voicing == crate::feature::Voicing::Voiced
    }),
    broad("plosive", part::MANNER, |it, _| manner(it, Manner::Plosive)),
    broad("fricative", part::MANNER, |it, _| {
        manner(it, Manner::Fricative)
    }),
    broad("affricate", part::MANNER, |it, _| {
        manner(it, Manner::Affricate)
    }),
    broad("nasal", part::MANNER, |it, _| manner(it, Manner::Nasal)),
    broad("approximant", part::MANNER, |it, _| {
        manner(it, Manner::Approximant)
    }),
    broad("tap", part::MANNER, |it, _| manner(it, Manner::Tap)),
    broad("trill", part::MANNER, |it, _| manner(it, Manner::Trill)),
    broad("lateral", part::MANNER, |it, _| it.lateral),
    broad("liquid", part::MANNER, |it, _| is_liquid(it)),
    broad("glide", part::MANNER, |it, _| {
        manner(it, Manner::Approximant) && !is_liquid(it)
    }),
    broad("sibilant", part::MANNER | part::PLACE, |it, _| {
        it.detail.contains(Detail::Sibilant)
    }),
    broad("labial", part::PLACE, |it, _| {
        place(it, Place::Bilabial, Place::Labiodental)
    }),
    broad("coronal", part::PLACE, |it, _| {
        place(it, Place::Dental, Place::AlveoloPalatal)
    }),
    broad("dorsal", part::PLACE, |it, _| {
        place(it, Place::Palatal, Place::Uvular)
    }),
    broad("bilabial", part::PLACE, |it, _| {
        place(it, Place::Bilabial, Place::Bilabial)
    }),
    broad("labiodental", part::PLACE, |it, _| {
        place(it, Place::Labiodental, Place::Labiodental)
    }),
    broad("dental", part::PLACE, |it, _| {
        place(it, Place::Dental, Place::Dental)
    }),
    broad("alveolar", part::PLACE, |it, _| {
        place(it, Place::Alveolar, Place::Alveolar)
    }),
    broad("postalveolar", part::PLACE, |it, _| {
        place(it, Place::Postalveolar, Place::Postalveolar)
    }),
    broad("retroflex", part::PLACE, |it, _| {
        place(it, Place::Retroflex, Place::Retroflex)
    }),
    broad("palatal", part::PLACE, |it, _| {
        place(it, Place::Palatal, Place::Palatal)
    }),
    broad("velar", part::PLACE, |it, _| {
        place(it, Place::Velar, Place::Velar)
    }),
    broad("uvular", part::PLACE, |it, _| {
        place(it, Place::Uvular, Place::Uvular)
    }),
    broad("glottal", part::PLACE, |it, _| {
        place(it, Place::Glottal, Place::Glottal)
    }),
    broad("high", part::HEIGHT, |it, _| {
        it.height.is_some_and(|it| it <= Height::NearClose)
    }),
    broad("mid", part::HEIGHT, |it, _| {
        it.height
            .is_some_and(|it| it >= Height::CloseMid && it <= Height::OpenMid)
    }),
    broad("low", part::HEIGHT, |it, _| {
        it.height.is_some_and(|it| it >= Height::NearOpen)
    }),
    broad("front", part::BACKNESS, |it, _| {
        it.backness.is_some_and(|it| it <= Backness::NearFront)
    }),
    broad("central", part::BACKNESS, |it, _| {
        it.backness == Some(Backness::Central)
    }),
    broad("back", part::BACKNESS, |it, _| {
        it.backness.is_some_and(|it| it >= Backness::NearBack)
    }),
    broad("round", part::LIPS, |it, _| it.rounded == Some(true)),
    broad("rhotic", part::RHOTIC, |it, _| it.rhotic),
    broad("diphthong", part::GLIDE, |it, _| it.glide.is_some()),
    broad(
        "reduced",
        part::HEIGHT | part::BACKNESS | part::LIPS | part::RHOTIC | part::GLIDE,
        |it, _| is_schwa(it),
    ),
    narrow("syllabic", |it, _| it.class == Class::Vowel || it.syllabic),
    narrow("nasalized", |it, _| it.nasalized),
    narrow("long", |it, _| it.length >= Length::HalfLong),
    narrow("aspirated", |it, _| it.release.contains(Release::Aspirated)),
    narrow("unaspirated", |it, _| {
        it.release.contains(Release::Unaspirated)
    }),
    narrow("unreleased", |it, _| {
        it.release.contains(Release::Unreleased)
    }),
    narrow("velarized", |it, _| {
        it.secondary.contains(Secondary::Velarized)
            || it.secondary.contains(Secondary::VelarizedOrPharyngealized)
    }),
    narrow("palatalized", |it, _| {
        it.secondary.contains(Secondary::Palatalized)
    }),
    narrow("labialized", |it, _| {
        it.secondary.contains(Secondary::Labialized)
    }),
    narrow("prevoiced", |it, _| it.detail.contains(Detail::Prevoiced)),
    of_place("stress", |_, site| site.stress.is_stressed() == Some(true)),
    of_place("unstressed", |_, site| {
        site.stress.is_stressed() == Some(false)
    }),
    of_place("onset", |_, site| site.part == Some(Part::Onset)),
    of_place("coda", |_, site| site.part == Some(Part::Coda)),
    of_place("cluster", |_, site| site.size > 1),
    of_place("initial", |_, site| site.position == Position::Initial),
    of_place("final", |_, site| site.position == Position::Final),
    of_place("monosyllabic", |_, site| site.syllables == 1),
];

/// The feature of that name.
pub(super) fn named(name: &str) -> Option<&'static Feature> {
    FEATURES.iter().find(|feature| feature.name == name)
}

/// The names of all features.
pub(super) fn names() -> impl Iterator<Item = &'static str> {
    FEATURES.iter().map(|feature| feature.name)
}
