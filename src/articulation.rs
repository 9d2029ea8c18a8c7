//! What each segment is: its letters and marks added up to a bundle of features.

mod name;
mod tie;

pub use name::name;

use crate::feature::{
    Airstream, Backness, Class, Detail, FeatureBundle, Height, Length, Manner, Place,
    Places, Release, Secondary, Shift, Voicing,
};
use crate::inventory::{self, Effect};
use crate::notation::{ItemKind, Letter, MarkAt, SLIDE, Segment};

/// The features of a segment after its marks have had their say.
///
/// Tied letters are one bundle: an affricate, a double articulation or a diphthong.
///
/// # Examples
///
/// ```
/// use apical::articulation::{bundle, name};
/// use apical::feature::Manner;
/// use apical::notation::Transcription;
///
/// let word = Transcription::parse("[t͡ʃʰ]");
/// let affricate = bundle(&word.segments().next().unwrap());
/// assert_eq!(affricate.manner, Some(Manner::Affricate));
/// assert_eq!(name(&affricate), "aspirated voiceless postalveolar affricate");
/// ```
///
/// # Source
///
/// IPA chart (2020): "ɹ̝ = voiced alveolar fricative", "β̞ = voiced bilabial approximant" for
/// what raising and lowering do to consonants; IPA Handbook (1999) for e̞ as a mid vowel.
#[inline]
#[must_use]
pub fn bundle(segment: &Segment<'_>) -> FeatureBundle {
    match segment.plain() {
        Some(symbol) => symbol.bundle,
        None => added_up(segment),
    }
}

/// The bundle of anything but a plain letter.
fn added_up(segment: &Segment<'_>) -> FeatureBundle {
    match segment.kind() {
        ItemKind::Tone => FeatureBundle {
            tone: segment.tone(),
            ..FeatureBundle::TONE
        },
        ItemKind::Pause => FeatureBundle::PAUSE,
        _ => {
            let Some((first, others)) = segment.kept_letters().split_first() else {
                return FeatureBundle::PAUSE;
            };
            let mut whole = letter(first, segment.marks_at(first));
            for next in others {
                let joined = letter(next, segment.marks_at(next));
                whole = tie::join(&whole, &joined, next.tie == SLIDE);
            }
            whole
        }
    }
}

/// The features of one letter with its marks.
fn letter(letter: &Letter, marks: &[MarkAt]) -> FeatureBundle {
    let mut bundle = inventory::symbol(letter.symbol).bundle;
    let mut placed = false;
    for at in marks {
        let mark = inventory::mark(at.id);
        let effects = if at.leading {
            mark.leading
        } else {
            mark.effects
        };
        for effect in effects {
            placed |= matches!(effect, Effect::Place(_));
            apply(&mut bundle, *effect);
        }
    }
    if placed || bundle.shift != Shift::NONE || bundle.airstream == Airstream::Click {
        settle(&mut bundle, placed);
    }
    bundle
}

/// What one mark does.
fn apply(bundle: &mut FeatureBundle, effect: Effect) {
    match effect {
        Effect::Voicing(voicing) => bundle.voicing = voicing,
        Effect::Phonation(phonation) => bundle.phonation = phonation,
        Effect::Place(place) => bundle.place = placed(bundle.place, place),
        Effect::Airstream(airstream) => bundle.airstream = airstream,
        Effect::Length(length) => {
            let longer = bundle.length >= Length::HalfLong && length >= Length::HalfLong;
            bundle.length = if longer { Length::Overlong } else { length };
        }
        Effect::TongueRoot(root) => bundle.tongue_root = Some(root),
        Effect::Centralizing(much) => {
            bundle.shift.centralizing = bundle.shift.centralizing.max(much);
        }
        Effect::Raising(steps) => {
            bundle.shift.raising = bundle.shift.raising.saturating_add(steps);
        }
        Effect::Advancing(steps) => {
            bundle.shift.advancing = bundle.shift.advancing.saturating_add(steps);
        }
        Effect::Rounding(steps) => {
            bundle.shift.rounding = bundle.shift.rounding.saturating_add(steps);
        }
        Effect::Tone(levels) => {
            let had = u32::try_from(bundle.tone_levels().count()).unwrap_or(8);
            bundle.tone |= levels.checked_shl(4 * had).unwrap_or(0);
        }
        Effect::Release(release) => bundle.release = bundle.release.with(release),
        Effect::Secondary(secondary) => {
            bundle.secondary = bundle.secondary.with(secondary);
        }
        Effect::Overlay => {
            let secondary = if bundle.lateral {
                Secondary::Velarized
            } else {
                Secondary::VelarizedOrPharyngealized
            };
            bundle.secondary = bundle.secondary.with(secondary);
        }
        Effect::Detail(detail) => bundle.detail = bundle.detail.with(detail),
        Effect::Nasalized => bundle.nasalized = true,
        Effect::Rhotic => bundle.rhotic = true,
        Effect::Syllabic => bundle.syllabic = true,
    }
}

/// The place after a mark of place: dental on a labial is labiodental, alveolar on a labial
/// is labioalveolar (extIPA).
fn placed(before: Places, mark: Place) -> Places {
    let labial = before.first == Some(Place::Bilabial) && before.second.is_none();
    match mark {
        Place::Dental if labial => Places::one(Place::Labiodental),
        Place::Alveolar if labial => Places::two(Place::Bilabial, Place::Alveolar),
        _ => Places::one(mark),
    }
}

/// Moves a segment as far as its marks say, where the chart has a name for the new spot.
fn settle(bundle: &mut FeatureBundle, placed: bool) {
    if bundle.class == Class::Vowel {
        settle_vowel(bundle);
    } else {
        settle_consonant(bundle, placed);
    }
    // The bridge below and above together: between the teeth.
    if placed
        && bundle.detail.contains(Detail::Dentolabial)
        && bundle.place.contains(Place::Dental)
    {
        bundle.detail = bundle
            .detail
            .without(Detail::Dentolabial)
            .with(Detail::Interdental);
    }
    if bundle.airstream == Airstream::Click
        && bundle.release.contains(Release::Prenasalized)
    {
        bundle.nasalized = true;
        bundle.voicing = Voicing::Voiced;
    }
}

fn settle_vowel(bundle: &mut FeatureBundle) {
    // The chart prints no mid front or mid back letter: a lowered close-mid vowel is it.
    if bundle.height == Some(Height::CloseMid) && bundle.shift.raising < 0 {
        bundle.height = Some(Height::Mid);
        bundle.shift.raising += 1;
    }
    // Half way to the centre from a near-front or near-back vowel is the centre.
    let near = matches!(
        bundle.backness,
        Some(Backness::NearFront | Backness::NearBack)
    );
    if near && bundle.shift.centralizing == 2 {
        bundle.backness = Some(Backness::Central);
        bundle.shift.centralizing = 0;
    }
    // Mid-centralized from a close corner of the chart is the spot of ɪ ʏ ʊ.
    if bundle.height == Some(Height::Close) && bundle.shift.centralizing == 1 {
        bundle.height = Some(Height::NearClose);
        bundle.backness = match bundle.backness {
            Some(Backness::Front) => Some(Backness::NearFront),
            Some(Backness::Back) => Some(Backness::NearBack),
            other => other,
        };
        bundle.shift.centralizing = 0;
    }
}

fn settle_consonant(bundle: &mut FeatureBundle, placed: bool) {
    match bundle.manner {
        Some(Manner::Approximant) if bundle.shift.raising > 0 => {
            bundle.manner = Some(Manner::Fricative);
            bundle.shift.raising -= 1;
        }
        // A lowered sibilant has a wider groove but still hisses: only the others lose
        // their friction.
        Some(Manner::Fricative)
            if bundle.shift.raising < 0 && !bundle.detail.contains(Detail::Sibilant) =>
        {
            bundle.manner = Some(Manner::Approximant);
            bundle.shift.raising += 1;
        }
        Some(Manner::Trill) if bundle.shift.raising > 0 => {
            bundle.detail = bundle.detail.with(Detail::Frictionalized);
            bundle.shift.raising -= 1;
        }
        _ => {}
    }
    if bundle.shift.advancing < 0 && !placed {
        let sibilant = bundle.detail.contains(Detail::Sibilant);
        let moved = match (bundle.place.first, bundle.manner) {
            // One cell of the chart spans dental to postalveolar for these.
            (Some(Place::Alveolar), Some(manner))
                if !sibilant
                    && manner != Manner::Fricative
                    && bundle.airstream == Airstream::Pulmonic
                    && !(bundle.lateral && manner == Manner::Tap) =>
            {
                Some(Place::Postalveolar)
            }
            (Some(Place::Dental), Some(Manner::Fricative)) => Some(Place::Alveolar),
            _ => None,
        };
        if let (Some(place), None) = (moved, bundle.place.second) {
            bundle.place = Places::one(place);
            bundle.shift.advancing += 1;
        }
    }
}
