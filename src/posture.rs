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

use std::sync::LazyLock;

use crate::feature::{
    Backness, Class, Contact, Detail, FeatureBundle, Glide, Height, Jaw, Lips, Manner,
    Place, Posture, Secondary, TonguePart, TongueParts,
};
use crate::inventory::{self, MOVES};
use crate::notation::Segment;

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

/// The posture of a segment whose bundle is known: [`of`] that bundle, looked up for a plain
/// letter.
#[inline]
#[must_use]
pub fn of_segment(segment: &Segment<'_>, bundle: &FeatureBundle) -> Posture {
    // A letter whose marks leave jaw, lips and tongue alone has its plain posture.
    let still = || match segment.kept_letters() {
        [letter] => segment
            .marks_at(letter)
            .iter()
            .all(|mark| inventory::brief(mark.id).flags & MOVES == 0)
            .then_some(letter.symbol),
        _ => None,
    };
    let id = segment.plain_id().or_else(still);
    id.and_then(|id| PLAIN.get(usize::from(id)).copied())
        .unwrap_or_else(|| of(bundle))
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

/// The posture of every letter without marks, in the order of the inventory.
static PLAIN: LazyLock<Vec<Posture>> = LazyLock::new(|| {
    inventory::symbols()
        .iter()
        .map(|symbol| of(&symbol.bundle))
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
