//! Letters under a tie bar: one segment made of two.

use crate::feature::{
    Airstream, Class, Detail, FeatureBundle, Glide, Length, Manner, Place, Places,
    Release,
};

/// Joins a letter to what stands before it under the tie.
pub(super) fn join(
    first: &FeatureBundle,
    second: &FeatureBundle,
    slides: bool,
) -> FeatureBundle {
    let mut whole = match (first.class, second.class) {
        (Class::Vowel, Class::Vowel) => diphthong(first, second),
        (Class::Vowel, Class::Consonant) => r_coloured(first, second),
        (Class::Consonant, Class::Consonant) => consonants(first, second),
        _ => *first,
    };
    whole.length = if second.length == Length::Normal {
        first.length
    } else {
        second.length
    };
    whole.release.0 |= first.release.0 | second.release.0;
    whole.secondary.0 |= first.secondary.0 | second.secondary.0;
    whole.nasalized |= first.nasalized | second.nasalized;
    whole.syllabic |= first.syllabic | second.syllabic;
    whole.tongue_root = first.tongue_root.or(second.tongue_root);
    if whole.tone == 0 {
        whole.tone = second.tone;
    }
    if slides {
        whole.detail = whole.detail.with(Detail::Sliding);
    }
    whole
}

/// A vowel that moves: the first one's features, and where it ends.
fn diphthong(first: &FeatureBundle, second: &FeatureBundle) -> FeatureBundle {
    let glide = second
        .height
        .zip(second.backness)
        .map(|(height, backness)| Glide {
            height,
            backness,
            rounded: second.rounded == Some(true),
            rhotic: second.rhotic,
        });
    FeatureBundle {
        glide: glide.or(first.glide),
        ..*first
    }
}

/// A vowel tied to a rhotic approximant is r-coloured; to a glide, a diphthong's spelling.
fn r_coloured(first: &FeatureBundle, second: &FeatureBundle) -> FeatureBundle {
    let coronal = matches!(
        second.place.first,
        Some(Place::Alveolar | Place::Postalveolar | Place::Retroflex)
    );
    FeatureBundle {
        rhotic: first.rhotic || coronal && !second.lateral,
        ..*first
    }
}

fn consonants(first: &FeatureBundle, second: &FeatureBundle) -> FeatureBundle {
    use Manner::{Affricate, Approximant, Fricative, Nasal, Plosive, Tap, Trill};
    if second.airstream == Airstream::Click {
        return click(first, second);
    }
    let airstream = if second.airstream == Airstream::Pulmonic {
        first.airstream
    } else {
        second.airstream
    };
    match (first.manner, second.manner) {
        (Some(Plosive), Some(Fricative)) => FeatureBundle {
            manner: Some(Affricate),
            place: affricate_place(first.place, second.place),
            airstream,
            ..*second
        },
        (Some(Plosive), Some(Approximant)) if second.lateral => FeatureBundle {
            release: first.release.with(Release::Lateral),
            ..*first
        },
        (Some(Plosive), Some(Nasal)) => FeatureBundle {
            release: first.release.with(Release::Nasal),
            ..*first
        },
        (Some(Plosive), Some(Trill | Tap)) => FeatureBundle {
            release: first.release.with(Release::Trilled),
            ..*first
        },
        (Some(Nasal), Some(Plosive | Affricate | Fricative)) => FeatureBundle {
            release: second.release.with(Release::Prenasalized),
            ..*second
        },
        _ => FeatureBundle {
            place: both(first.place, second.place),
            airstream,
            ..*second
        },
    }
}

/// A click with a plosive, nasal or fricative made at the back.
fn click(first: &FeatureBundle, second: &FeatureBundle) -> FeatureBundle {
    FeatureBundle {
        voicing: first.voicing,
        phonation: first.phonation,
        nasalized: first.manner == Some(Manner::Nasal),
        ..*second
    }
}

/// An affricate is made where its friction is; where the closure is elsewhere, at both.
fn affricate_place(closure: Places, friction: Places) -> Places {
    let region = |places: Places| match places.first {
        Some(Place::Bilabial | Place::Labiodental) => 0,
        Some(
            Place::Linguolabial
            | Place::Dental
            | Place::Alveolar
            | Place::Postalveolar
            | Place::Retroflex
            | Place::AlveoloPalatal
            | Place::Palatal,
        ) => 1,
        Some(Place::Velar | Place::Uvular) => 2,
        Some(_) => 3,
        None => 4,
    };
    if region(closure) == region(friction) {
        friction
    } else {
        both(closure, friction)
    }
}

/// Two places as one, the front one first.
fn both(first: Places, second: Places) -> Places {
    match (first.first, second.first) {
        (Some(a), Some(b)) if a != b => Places::two(a.min(b), a.max(b)),
        (Some(a), _) => Places {
            first: Some(a),
            second: first.second.or(second.second),
        },
        (None, _) => second,
    }
}
