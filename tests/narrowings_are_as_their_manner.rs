//! Stops close, fricatives leave a slit, approximants a passage: at the place they name.
//!
//! The bounds are common teaching (a turbulent jet needs a passage of a millimetre or two, an
//! approximant one too wide for that), no source.

use apical::feature::{Airstream, Class, FeatureBundle, Manner, Place, Places, Voicing};
use apical::posture::gesture::{self, Air, Gesture};
use apical::posture::mouth::Mouth;

use crate::the_tongue_stays_in_the_mouth::letters;

/// The spot on the wall of a single place made with the tongue.
fn spot(gesture: &Gesture) -> Option<apical::posture::geometry::Point> {
    match gesture.spots[..] {
        [(_, spot)] => spot,
        _ => None,
    }
}

#[test]
fn gaps_of_all_letters_fit_their_manner() {
    let mut seen = [0; 4];
    for (text, bundle, gesture) in letters() {
        let mouth = Mouth::at(&gesture);
        if bundle.class == Class::Vowel {
            seen[0] += 1;
            assert!(mouth.narrowest.1 >= 2.5, "{text}: {:.2}", mouth.narrowest.1);
            continue;
        }
        let Some(spot) = spot(&gesture) else { continue };
        let (gap, at) = mouth.gap_at(spot, 14.0).unwrap();
        match bundle.manner.unwrap() {
            Manner::Plosive | Manner::Nasal => {
                seen[1] += 1;
                assert!(gap <= 0.05, "{text}: {gap:.2}");
                assert!(
                    mouth.contact_length() >= 3.0,
                    "{text}: {:.1}",
                    mouth.contact_length()
                );
            }
            Manner::Fricative if !bundle.lateral => {
                seen[2] += 1;
                assert!((0.8..=1.8).contains(&gap), "{text}: {gap:.2}");
            }
            Manner::Approximant if !bundle.lateral => {
                seen[3] += 1;
                assert!((2.5..=6.5).contains(&gap), "{text}: {gap:.2}");
            }
            Manner::Trill => assert!((0.02..=0.8).contains(&gap), "{text}: {gap:.2}"),
            _ => assert!(gap <= 0.3, "{text}: {gap:.2}"),
        }
        // The middle of the tongue follows the vault of the palate, evenly near over 20 mm.
        let broad = bundle.place.contains(Place::Palatal);
        let near = if broad { 13.0 } else { 8.0 };
        assert!(
            at.distance(spot) <= near,
            "{text}: {:.1} mm from its place",
            at.distance(spot)
        );
        let (narrowest, least) = mouth.narrowest;
        assert!(
            narrowest.distance(spot) <= near || least > gap - 0.05,
            "{text}: narrowest at {narrowest:?}, {least:.2} against {gap:.2}"
        );
    }
    println!("vowels, closures, fricatives, approximants: {seen:?}");
    assert!(
        seen[0] >= 28 && seen[1] >= 20 && seen[2] >= 18 && seen[3] >= 4,
        "{seen:?}"
    );
}

#[test]
fn at_each_place_stop_then_fricative_then_approximant() {
    let of = |place: Place, manner: Manner| FeatureBundle {
        place: Places::one(place),
        manner: Some(manner),
        ..FeatureBundle::CONSONANT
    };
    for place in &Place::ALL[3..13] {
        let gaps =
            [Manner::Plosive, Manner::Fricative, Manner::Approximant].map(|manner| {
                let gesture = gesture::of(&of(*place, manner), None).remove(0);
                let mouth = Mouth::at(&gesture);
                mouth.gap_at(spot(&gesture).unwrap(), 14.0).unwrap().0
            });
        assert!(
            gaps[0] + 0.5 < gaps[1] && gaps[1] + 0.5 < gaps[2],
            "{place}: {gaps:?}"
        );
    }
}

#[test]
fn lips_shut_hiss_and_part_likewise() {
    for place in [Place::Bilabial, Place::Labiodental] {
        let openings =
            [Manner::Nasal, Manner::Fricative, Manner::Approximant].map(|manner| {
                let sound = FeatureBundle {
                    place: Places::one(place),
                    manner: Some(manner),
                    ..FeatureBundle::CONSONANT
                };
                let gesture = gesture::of(&sound, None).remove(0);
                let touch = Mouth::at(&gesture).lips_touch;
                assert_eq!(touch.is_some(), manner == Manner::Nasal, "{place} {manner}");
                gesture.pose.aperture
            });
        assert!(
            openings[0] + 0.5 < openings[1] && openings[1] + 0.5 < openings[2],
            "{place}: {openings:?}"
        );
    }
    for (text, bundle, gesture) in letters() {
        if bundle.place.contains(Place::Bilabial)
            && matches!(bundle.manner, Some(Manner::Plosive | Manner::Nasal))
        {
            assert!(gesture.pose.aperture < 0.05, "{text}");
            assert!(Mouth::at(&gesture).lips_touch.is_some(), "{text}");
        }
    }
}

#[test]
fn the_nose_is_open_for_nasals_alone() {
    for (text, bundle, gesture) in letters() {
        let nasal = bundle.manner == Some(Manner::Nasal);
        assert_eq!(nasal, gesture.pose.velum > 0.0, "{text}");
        assert_eq!(
            nasal,
            matches!(gesture.air, Air::Nose | Air::Both),
            "{text}"
        );
        let nasalized = FeatureBundle {
            nasalized: true,
            ..bundle
        };
        let gesture = gesture::of(&nasalized, None).remove(0);
        assert!(gesture.pose.velum > 0.0, "nasalized {text}");
    }
}

#[test]
fn laterals_close_the_middle_and_open_the_sides() {
    let mut count = 0;
    for (text, bundle, gesture) in letters() {
        if !bundle.lateral {
            assert_ne!(gesture.air, Air::Sides, "{text}");
            assert!(gesture.pose.lateral < 0.5, "{text}");
        }
        if !bundle.lateral || bundle.airstream == Airstream::Click {
            continue;
        }
        count += 1;
        assert_eq!(gesture.air, Air::Sides, "{text}");
        let mouth = Mouth::at(&gesture);
        assert!(
            mouth.gap_at(spot(&gesture).unwrap(), 14.0).unwrap().0 < 0.05,
            "{text}"
        );
        let touched: Vec<_> = mouth
            .roof(&gesture.pose)
            .into_iter()
            .filter(|it| it.from < it.to)
            .collect();
        assert!(!touched.is_empty(), "{text}");
        assert!(
            touched.iter().all(|it| it.to < 0.95),
            "{text}: the sides are open"
        );
    }
    assert!(count >= 6);
}

#[test]
fn voicing_changes_the_folds_and_nothing_else() {
    for (text, bundle, gesture) in letters() {
        let other = match bundle.voicing {
            Voicing::Voiced => Voicing::Voiceless,
            Voicing::Voiceless => Voicing::Voiced,
        };
        let changed = gesture::of(
            &FeatureBundle {
                voicing: other,
                ..bundle
            },
            None,
        )
        .remove(0);
        assert_eq!(gesture.pose, changed.pose, "{text}");
        assert_eq!(gesture.spots, changed.spots, "{text}");
        assert_ne!(
            gesture.folds == changed.folds,
            bundle.place.first != Some(Place::Glottal)
                || bundle.manner != Some(Manner::Plosive),
            "{text}"
        );
    }
}
