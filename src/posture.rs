//! What a client can feel: jaw, lips, tongue and contact, from the features of a segment.
//!
//! This is the posture that follows from the chart. An accent's coaching postures overrule
//! it ([`crate::accent`]). The geometry of the mouth that a picture is drawn from is
//! computed in steps: [`gesture`] (features to poses), [`pose`], [`mouth`] (a pose to
//! outlines), [`movement`] (from one mouth to another).

pub mod geometry;
pub mod gesture;
pub mod mouth;
pub mod movement;
pub mod pose;
mod tongue;
mod wall;
mod words;

pub use words::{contact_words, posture_words};

use std::sync::LazyLock;

use crate::feature::{
    Backness, Class, Contact, Detail, FeatureBundle, Glide, Height, Jaw, Lips, Manner,
    Place, Posture, Secondary, TonguePart, TongueParts,
};
use crate::notation::Segment;
use crate::{articulation, inventory};

/// The posture that follows from the chart.
///
/// A diphthong has two: this is the first, [`glide_of`] the second.
///
/// # Examples
///
/// ```
/// use apical::articulation::bundle;
/// use apical::feature::{Contact, Jaw, Lips};
/// use apical::notation::Transcription;
///
/// let word = Transcription::parse("tɑ");
/// let mut segments = word.segments();
/// let t = apical::posture::of(&bundle(&segments.next().unwrap()));
/// assert_eq!((t.contact, t.touches), (Some(Contact::AlveolarRidge), true));
/// let a = apical::posture::of(&bundle(&segments.next().unwrap()));
/// assert_eq!((a.jaw, a.lips), (Jaw::Open, Lips::Neutral));
/// ```
///
/// # Source
///
/// Common practice, no source: three jaw settings, four lip settings, tongue tip, middle,
/// back and sides.
#[must_use]
pub fn of(bundle: &FeatureBundle) -> Posture {
    match bundle.class {
        Class::Consonant => consonant(bundle),
        Class::Vowel => match (bundle.height, bundle.backness) {
            (Some(height), Some(backness)) => {
                let mut posture = vowel(height, backness, bundle.rounded == Some(true));
                if bundle.rhotic {
                    posture.tongue =
                        TongueParts::one(TonguePart::Middle).with(TonguePart::Sides);
                    posture.contact = Some(Contact::HardPalate);
                }
                if bundle.shift.rounding > 0 && posture.lips != Lips::Rounded {
                    posture.lips = Lips::Rounded;
                } else if bundle.shift.rounding < 0 && posture.lips == Lips::Rounded {
                    posture.lips = Lips::Protruded;
                }
                lips_of_marks(bundle, &mut posture);
                posture
            }
            _ => REST,
        },
        Class::Tone | Class::Pause => REST,
    }
}

/// A segment's features and the posture that follows from them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Described {
    /// What it is.
    pub bundle: FeatureBundle,
    /// What can be felt.
    pub posture: Posture,
}

impl Described {
    fn new(bundle: FeatureBundle) -> Self {
        let posture = of(&bundle);
        Self { bundle, posture }
    }
}

/// Describes segments one after another and works out each kind of segment once.
///
/// It keeps the 1,024 marked segments met last, some 80 kB; the answers are those of
/// [`articulation::bundle`] and [`of`].
///
/// # Examples
///
/// ```
/// use apical::feature::Jaw;
/// use apical::notation::Transcription;
/// use apical::posture::Describer;
///
/// let mut describer = Describer::default();
/// let word = Transcription::parse("[kʰɑːm]");
/// let jaws: Vec<Jaw> =
///     word.segments().map(|segment| describer.describe(&segment).posture.jaw).collect();
/// assert_eq!(jaws, [Jaw::SlightlyOpen, Jaw::Open, Jaw::Closed]);
/// ```
#[derive(Clone, Debug, Default)]
pub struct Describer {
    kept: Vec<(u128, Described)>,
    /// The last one that was not kept.
    passing: Option<Described>,
}

/// How many marked segments a [`Describer`] keeps, as a power of two.
const KEPT_BITS: u32 = 10;

impl Describer {
    /// The segment's features and posture.
    #[inline]
    pub fn describe(&mut self, segment: &Segment<'_>) -> &Described {
        let plain = segment.plain_id().and_then(|id| PLAIN.get(usize::from(id)));
        match plain {
            Some(described) => described,
            None => self.marked(segment),
        }
    }

    fn marked(&mut self, segment: &Segment<'_>) -> &Described {
        if self.kept.is_empty() {
            let none = (0, Described::new(FeatureBundle::PAUSE));
            self.kept.resize(1 << KEPT_BITS, none);
        }
        let key = segment.key();
        // Multiplying by the golden ratio spreads the keys over the places.
        #[expect(clippy::cast_possible_truncation, reason = "a hash may lose bits")]
        let folded = (key ^ key >> 64) as u64;
        let place = folded.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> (64 - KEPT_BITS);
        match (key, self.kept.get_mut(usize::try_from(place).unwrap_or(0))) {
            (1.., Some(slot)) => {
                if slot.0 != key {
                    *slot = (key, Described::new(articulation::bundle(segment)));
                }
                &slot.1
            }
            _ => self
                .passing
                .insert(Described::new(articulation::bundle(segment))),
        }
    }
}

/// The posture that a diphthong moves to, or `None` for a steady sound.
#[must_use]
pub fn glide_of(bundle: &FeatureBundle) -> Option<Posture> {
    bundle.glide.map(
        |Glide {
             height,
             backness,
             rounded,
             ..
         }| vowel(height, backness, rounded),
    )
}

/// Every letter without marks, in the order of the inventory.
static PLAIN: LazyLock<Vec<Described>> = LazyLock::new(|| {
    inventory::symbols()
        .iter()
        .map(|symbol| Described::new(symbol.bundle))
        .collect()
});

/// Nothing moves.
const REST: Posture = Posture {
    jaw: Jaw::Closed,
    lips: Lips::Neutral,
    tongue: TongueParts::NONE,
    contact: None,
    touches: false,
};

fn vowel(height: Height, backness: Backness, rounded: bool) -> Posture {
    let jaw = match height {
        Height::Close | Height::NearClose => Jaw::Closed,
        Height::CloseMid | Height::Mid | Height::OpenMid => Jaw::SlightlyOpen,
        Height::NearOpen | Height::Open => Jaw::Open,
    };
    let back = matches!(backness, Backness::Back | Backness::NearBack);
    let lips = match (rounded, height) {
        // The looser rounding of [ʊ], [ʏ] pushes the lips forward instead.
        (true, Height::NearClose) => Lips::Protruded,
        (true, _) => Lips::Rounded,
        (false, Height::Close) if !back => Lips::Spread,
        (false, _) => Lips::Neutral,
    };
    let high = matches!(height, Height::Close | Height::NearClose);
    let contact = match (high, back) {
        (false, _) => None,
        (true, true) => Some(Contact::SoftPalate),
        (true, false) => Some(Contact::HardPalate),
    };
    let part = if back {
        TonguePart::Back
    } else {
        TonguePart::Middle
    };
    Posture {
        jaw,
        lips,
        tongue: TongueParts::one(part),
        contact,
        touches: false,
    }
}

fn consonant(bundle: &FeatureBundle) -> Posture {
    let Some(place) = bundle.place.first else {
        return REST;
    };
    let second = bundle.place.second;
    let sibilant = bundle.detail.contains(Detail::Sibilant);
    let contact = match place {
        Place::Bilabial => Contact::Lips,
        Place::Labiodental | Place::Dental => Contact::Teeth,
        Place::Linguolabial => Contact::Lips,
        Place::Alveolar | Place::Postalveolar => Contact::AlveolarRidge,
        Place::Retroflex | Place::AlveoloPalatal | Place::Palatal => Contact::HardPalate,
        Place::Velar | Place::Uvular => Contact::SoftPalate,
        Place::Pharyngeal | Place::Epiglottal | Place::Glottal => Contact::Throat,
    };
    let mut tongue = tongue_at(place, sibilant);
    if let Some(second) = second {
        tongue.0 |= tongue_at(second, sibilant).0;
    }
    if bundle.lateral {
        tongue = tongue.with(TonguePart::Sides);
    }
    let velarized = bundle.secondary.contains(Secondary::Velarized)
        || bundle.secondary.contains(Secondary::Uvularized)
        || bundle
            .secondary
            .contains(Secondary::VelarizedOrPharyngealized);
    if velarized || bundle.secondary.contains(Secondary::Pharyngealized) {
        tongue = tongue.with(TonguePart::Back);
    }
    if bundle.secondary.contains(Secondary::Palatalized)
        || bundle.secondary.contains(Secondary::LabioPalatalized)
    {
        tongue = tongue.with(TonguePart::Middle);
    }
    if bundle.detail.contains(Detail::Laminal) && tongue.contains(TonguePart::Tip) {
        tongue = tongue.without(TonguePart::Tip).with(TonguePart::Middle);
    }
    let jaw = match place {
        Place::Velar
        | Place::Uvular
        | Place::Pharyngeal
        | Place::Epiglottal
        | Place::Glottal => Jaw::SlightlyOpen,
        Place::Dental if bundle.manner == Some(Manner::Fricative) && !sibilant => {
            Jaw::SlightlyOpen
        }
        Place::Alveolar | Place::Postalveolar | Place::Retroflex
            if matches!(bundle.manner, Some(Manner::Approximant | Manner::Tap)) =>
        {
            Jaw::SlightlyOpen
        }
        _ => Jaw::Closed,
    };
    let glide = bundle.manner == Some(Manner::Approximant) && !bundle.lateral;
    let lips = match place {
        Place::Bilabial if second.is_some() && glide => Lips::Rounded,
        Place::Postalveolar if sibilant => Lips::Protruded,
        Place::Alveolar if sibilant => Lips::Spread,
        Place::Palatal if glide => Lips::Spread,
        _ => Lips::Neutral,
    };
    let touches = match bundle.manner {
        Some(Manner::Approximant) => bundle.lateral,
        Some(Manner::Fricative) => {
            bundle.lateral
                || place == Place::Labiodental
                || place == Place::Dental && !sibilant
        }
        _ => true,
    };
    let mut posture = Posture {
        jaw,
        lips,
        tongue,
        contact: Some(contact),
        touches,
    };
    lips_of_marks(bundle, &mut posture);
    posture
}

/// Which part of the tongue works at a place.
fn tongue_at(place: Place, sibilant: bool) -> TongueParts {
    match place {
        Place::Bilabial | Place::Labiodental | Place::Glottal => TongueParts::NONE,
        Place::Alveolar if sibilant => {
            TongueParts::one(TonguePart::Tip).with(TonguePart::Sides)
        }
        Place::Postalveolar if sibilant => {
            TongueParts::one(TonguePart::Middle).with(TonguePart::Sides)
        }
        Place::Linguolabial
        | Place::Dental
        | Place::Alveolar
        | Place::Postalveolar
        | Place::Retroflex => TongueParts::one(TonguePart::Tip),
        Place::AlveoloPalatal | Place::Palatal => TongueParts::one(TonguePart::Middle),
        Place::Velar | Place::Uvular | Place::Pharyngeal | Place::Epiglottal => {
            TongueParts::one(TonguePart::Back)
        }
    }
}

/// Marks that say what the lips do.
fn lips_of_marks(bundle: &FeatureBundle, posture: &mut Posture) {
    if bundle.secondary.contains(Secondary::Labialized)
        || bundle.secondary.contains(Secondary::LabioPalatalized)
    {
        posture.lips = Lips::Rounded;
    }
    if bundle.detail.contains(Detail::LipSpread) {
        posture.lips = Lips::Spread;
    }
}
