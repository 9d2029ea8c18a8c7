//! The reported distance is a metric on sounds, counts every difference, and orders sounds as
//! a phonetician does.

use apical::accent::Accent;
use apical::alignment::{Aligner, Setting, distance};
use apical::distance::between;
use apical::feature::{
    Airstream, Backness, Class, Details, FeatureBundle, Glide, Height, Length, Manner,
    Phonation, Place, Places, Releases, Secondaries, Shift, TongueRoot, Voicing,
};
use proptest::prelude::*;
use proptest::sample::select;

use crate::alignments_agree_with_published_ones::cut;

fn place() -> impl Strategy<Value = Places> {
    let one = || prop::option::of(select(Place::ALL));
    (one(), one()).prop_map(|(first, second)| Places {
        first,
        second: first.and(second).filter(|second| Some(*second) != first),
    })
}

fn glide() -> impl Strategy<Value = Option<Glide>> {
    let glide = (
        select(Height::ALL),
        select(Backness::ALL),
        any::<bool>(),
        any::<bool>(),
    )
        .prop_map(|(height, backness, rounded, rhotic)| Glide {
            height,
            backness,
            rounded,
            rhotic,
        });
    prop::option::of(glide)
}

prop_compose! {
    fn consonant_features()(
        voicing in select(Voicing::ALL),
        phonation in select(Phonation::ALL),
        place in place(),
        manner in prop::option::of(select(Manner::ALL)),
        lateral in any::<bool>(),
        airstream in select(Airstream::ALL),
        release in 0..4_u16,
        secondary in 0..4_u16,
    ) -> FeatureBundle {
        FeatureBundle {
            voicing, phonation, place, manner, lateral, airstream,
            release: Releases(release),
            secondary: Secondaries(secondary),
            ..FeatureBundle::CONSONANT
        }
    }
}

prop_compose! {
    fn vowel_features()(
        height in prop::option::of(select(Height::ALL)),
        backness in prop::option::of(select(Backness::ALL)),
        rounded in prop::option::of(any::<bool>()),
        glide in glide(),
        marks in any::<[bool; 3]>(),
    ) -> FeatureBundle {
        FeatureBundle {
            height, backness, rounded, glide,
            nasalized: marks[0],
            rhotic: marks[1],
            syllabic: marks[2],
            ..FeatureBundle::VOWEL
        }
    }
}

prop_compose! {
    /// Any bundle whose features fit its class.
    fn bundle()(
        sound in prop_oneof![
            consonant_features(),
            vowel_features(),
            Just(FeatureBundle::TONE),
            Just(FeatureBundle::PAUSE),
        ],
        length in select(Length::ALL),
        tongue_root in prop::option::of(select(TongueRoot::ALL)),
        steps in [-1_i8..2, -1..2, 0..3, -1..2],
        detail in 0..8_u32,
        tone in 0..0x55_u32,
    ) -> FeatureBundle {
        let [raising, advancing, centralizing, rounding] = steps;
        FeatureBundle {
            length, tongue_root, tone,
            shift: Shift { raising, advancing, centralizing, rounding },
            detail: Details(detail),
            ..sound
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn nothing_lies_between_equal_sounds_alone(one in bundle(), other in bundle()) {
        prop_assert_eq!(between(&one, &one), 0);
        prop_assert_eq!(between(&one, &other) == 0, one == other);
        prop_assert_eq!(between(&one, &other), between(&other, &one));
    }

    #[test]
    fn a_detour_is_never_shorter(one in bundle(), other in bundle(), by in bundle()) {
        prop_assert!(between(&one, &other) <= between(&one, &by) + between(&by, &other));
    }
}

#[test]
fn a_change_of_any_one_feature_counts() {
    let t = cut("t").bundles[0];
    let changes: [fn(&mut FeatureBundle); 20] = [
        |it| it.class = Class::Pause,
        |it| it.voicing = Voicing::Voiced,
        |it| it.phonation = Phonation::Creaky,
        |it| it.place = Places::two(Place::Alveolar, Place::Velar),
        |it| it.manner = Some(Manner::Affricate),
        |it| it.lateral = true,
        |it| it.airstream = Airstream::Ejective,
        |it| it.nasalized = true,
        |it| it.height = Some(Height::Mid),
        |it| it.backness = Some(Backness::Front),
        |it| it.rounded = Some(false),
        |it| it.rhotic = true,
        |it| it.syllabic = true,
        |it| it.length = Length::HalfLong,
        |it| it.release = Releases(1),
        |it| it.secondary = Secondaries(1),
        |it| it.tongue_root = Some(TongueRoot::Advanced),
        |it| it.shift.rounding = 1,
        |it| it.detail = Details(1),
        |it| it.tone = 1,
    ];
    for change in changes {
        let mut other = t;
        change(&mut other);
        assert!(between(&t, &other) > 0, "{other:?}");
    }
}

#[test]
fn every_part_of_a_diphthong_s_end_counts() {
    let a = cut("a").bundles[0];
    let glide = Glide {
        height: Height::Close,
        backness: Backness::Front,
        rounded: false,
        rhotic: false,
    };
    let glides = [
        Some(glide),
        Some(Glide {
            height: Height::Mid,
            ..glide
        }),
        Some(Glide {
            backness: Backness::Back,
            ..glide
        }),
        Some(Glide {
            rounded: true,
            ..glide
        }),
        Some(Glide {
            rhotic: true,
            ..glide
        }),
        None,
    ];
    for (at, one) in glides.iter().enumerate() {
        for other in &glides[at + 1..] {
            let [one, other] = [one, other].map(|&glide| FeatureBundle { glide, ..a });
            assert!(between(&one, &other) > 0);
        }
    }
}

#[test]
fn near_sounds_are_nearer_than_far_ones() {
    // Common teaching: fewer and smaller steps on the chart are nearer; a glide is nearer to
    // its vowel than to another consonant's loss.
    for (from, near, far) in [
        ("i", "ɪ", "ɛ"),
        ("i", "e", "ɛ"),
        ("i", "e", "u"),
        ("s", "ʃ", "x"),
        ("t", "d", "z"),
        ("t", "tʰ", "d"),
        ("p", "b", "m"),
        ("θ", "s", "k"),
        ("ɹ", "ɻ", "l"),
        ("a͡ɪ", "a͡ʊ", "i"),
        ("ɚ", "ə", "i"),
        ("˥", "˦", "˩"),
    ] {
        let [from, near, far] = [from, near, far].map(|text| cut(text).bundles[0]);
        assert!(between(&from, &near) < between(&from, &far), "{from:?}");
    }
    let [j, i] = [cut("j").bundles[0], cut("i").bundles[0]];
    assert!(between(&j, &i) < apical::distance::alone(&j));
}

proptest! {
    #[test]
    fn the_distance_of_words_is_symmetric_and_nothing_for_equal_ones(
        one in prop::collection::vec(select(cut("ptkbszʃlɹwjniɪeaɑouə˥˩").bundles), 0..8),
        other in prop::collection::vec(select(cut("ptkbszʃlɹwjniɪeaɑouə˥˩").bundles), 0..8),
    ) {
        let accent = Accent::named("en-US").unwrap();
        for setting in [Setting::general(), Setting::for_accent(&accent)] {
            let mut aligner = Aligner::new(setting);
            let there = distance(&one, &other, aligner.align(&one, &other));
            let back = distance(&other, &one, aligner.align(&other, &one));
            prop_assert_eq!(there, back);
            prop_assert_eq!(there == 0, one == other);
        }
    }
}

#[test]
fn a_word_counts_the_sum_of_its_columns() {
    // By the stated weights: manner 600 and 200 for the opening; a lost consonant 3,000.
    let mut aligner = Aligner::new(Setting::general());
    for (target, production, expected) in [
        ("θɪn", "t̪ɪn", 800),
        ("θɪn", "t̪ɪ", 3800),
        ("", "˥", 1000),
        ("", "", 0),
    ] {
        let (one, other) = (cut(target).bundles, cut(production).bundles);
        let apart = distance(&one, &other, aligner.align(&one, &other));
        assert_eq!(apart, expected, "{target} {production}");
    }
}
