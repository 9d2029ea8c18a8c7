//! The alignment is the cheapest there is, the same whoever asks and whichever word comes
//! first, and gives every segment back once.

use std::ops::Range;

use apical::accent::Accent;
use apical::alignment::{Aligner, Column, Kind, Setting};
use apical::feature::FeatureBundle;
use proptest::prelude::*;

use crate::alignments_agree_with_published_ones::cut;

/// Sounds of every class that the rules tell apart.
fn sounds() -> Vec<FeatureBundle> {
    let mut sounds = cut(
        "p t k ʔ m n ŋ r ɹ ɾ l ʁ f s z ʃ h x t͡ʃ d͡ʒ w j ʋ tʰ kʷ nʲ n̩ l̩ ɬ \
         i ɪ e ɛ a ɑ o ʊ u ə ɚ ɝ ã iː a͡ɪ ˥ ˩ ˥˩",
    )
    .bundles;
    sounds.push(FeatureBundle::PAUSE);
    sounds
}

fn word(length: Range<usize>) -> impl Strategy<Value = Vec<FeatureBundle>> {
    prop::collection::vec(prop::sample::select(sounds()), length)
}

fn aligners() -> [Aligner; 2] {
    let accent = Accent::named("en-US").unwrap();
    [
        Aligner::new(Setting::general()),
        Aligner::new(Setting::for_accent(&accent)),
    ]
}

/// Every way of setting two words side by side.
fn every_alignment(target: u32, production: u32) -> Vec<Vec<Column>> {
    let mut found = Vec::new();
    extend(&mut Vec::new(), [0, 0], [target, production], &mut found);
    found
}

fn extend(
    so_far: &mut Vec<Column>,
    at: [u32; 2],
    ends: [u32; 2],
    found: &mut Vec<Vec<Column>>,
) {
    if at == ends {
        found.push(so_far.clone());
        return;
    }
    for [one, other] in [[1, 1], [1, 0], [0, 1], [2, 1], [1, 2]] {
        let next = [at[0] + one, at[1] + other];
        if next[0] <= ends[0] && next[1] <= ends[1] {
            so_far.push(Column {
                target: at[0]..next[0],
                production: at[1]..next[1],
                kind: Kind::Match,
            });
            extend(so_far, next, ends, found);
            so_far.pop();
        }
    }
}

/// Whether the columns give back each side once and in order.
fn gives_back(columns: &[Column], target: usize, production: usize) -> bool {
    let side = |of: fn(&Column) -> &Range<u32>, length: usize| {
        columns
            .iter()
            .flat_map(|column| of(column).clone())
            .eq(0..u32::try_from(length).unwrap())
    };
    side(|column| &column.target, target) && side(|column| &column.production, production)
}

fn mirrored(columns: &[Column]) -> Vec<Column> {
    columns
        .iter()
        .map(|column| Column {
            target: column.production.clone(),
            production: column.target.clone(),
            kind: match column.kind {
                Kind::Omission => Kind::Addition,
                Kind::Addition => Kind::Omission,
                kind => kind,
            },
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn no_alignment_is_cheaper(target in word(0..6), production in word(0..6)) {
        let ends = [&target, &production].map(|it| u32::try_from(it.len()).unwrap());
        for mut aligner in aligners() {
            let columns = aligner.align(&target, &production).to_vec();
            let cost = aligner.cost();
            prop_assert_eq!(aligner.cost_of(&target, &production, &columns), Some(cost));
            let cheapest = every_alignment(ends[0], ends[1])
                .iter()
                .filter_map(|columns| aligner.cost_of(&target, &production, columns))
                .min();
            prop_assert_eq!(cheapest, Some(cost));
        }
    }
}

proptest! {
    #[test]
    fn the_cost_is_the_sum_of_its_steps(target in word(0..40), production in word(0..40)) {
        for mut aligner in aligners() {
            let columns = aligner.align(&target, &production).to_vec();
            let cost = aligner.cost();
            prop_assert_eq!(aligner.cost_of(&target, &production, &columns), Some(cost));
        }
    }

    #[test]
    fn every_segment_is_given_back_once(target in word(0..40), production in word(0..40)) {
        for mut aligner in aligners() {
            let columns = aligner.align(&target, &production);
            prop_assert!(gives_back(columns, target.len(), production.len()));
        }
    }

    #[test]
    fn changing_places_mirrors_the_columns(target in word(0..12), production in word(0..12)) {
        for mut aligner in aligners() {
            let there = aligner.align(&target, &production).to_vec();
            let back = aligner.align(&production, &target);
            prop_assert_eq!(mirrored(back), there);
        }
    }

    #[test]
    fn what_was_aligned_before_does_not_matter(
        before in prop::collection::vec(word(0..6), 0..4),
        target in word(0..12),
        production in word(0..12),
    ) {
        for (mut fresh, mut used) in aligners().into_iter().zip(aligners()) {
            for words in before.windows(2) {
                used.align(&words[0], &words[1]);
            }
            let columns = fresh.align(&target, &production).to_vec();
            prop_assert_eq!(used.align(&target, &production), columns);
            prop_assert_eq!(used.cost(), fresh.cost());
        }
    }

    #[test]
    fn numbered_sounds_are_aligned_as_their_bundles(
        target in word(0..12), production in word(0..12),
    ) {
        for mut aligner in aligners() {
            let [one, other] = [&target, &production]
                .map(|word| word.iter().map(|it| aligner.intern(it)).collect::<Vec<_>>());
            let columns = aligner.align(&target, &production).to_vec();
            prop_assert_eq!(aligner.align_sounds(&one, &other), columns);
        }
    }

    #[test]
    fn tones_and_pauses_answer_to_their_like_or_to_nothing(
        target in word(0..12), production in word(0..12),
    ) {
        use apical::feature::Class::{Pause, Tone};
        for mut aligner in aligners() {
            for column in aligner.align(&target, &production) {
                let classes: Vec<_> = target[column.target.start as usize..column.target.end as usize]
                    .iter()
                    .chain(&production[column.production.start as usize..column.production.end as usize])
                    .map(|sound| sound.class)
                    .collect();
                if classes.contains(&Tone) || classes.contains(&Pause) {
                    prop_assert!(classes.iter().all(|class| *class == classes[0]));
                }
            }
        }
    }
}

/// A text of that many segments, without a period.
fn text(length: usize, seed: usize) -> Vec<FeatureBundle> {
    let sounds = sounds();
    (0..length)
        .map(|at| sounds[(at * at + seed * at + at / 7) % sounds.len()])
        .collect()
}

#[test]
fn a_table_of_several_blocks_gives_the_cheapest_way_too() {
    // 1,100 by 1,100 points are more than are held at once.
    let (target, production) = (text(1100, 3), text(1100, 5));
    for mut aligner in aligners() {
        let columns = aligner.align(&target, &production).to_vec();
        assert!(gives_back(&columns, target.len(), production.len()));
        let cost = aligner.cost();
        assert_eq!(aligner.cost_of(&target, &production, &columns), Some(cost));
        // Cheaper than any two halves aligned on their own, to within what joining them
        // can change.
        let halves: i64 = [(0..550, 0..550), (550..1100, 550..1100)]
            .into_iter()
            .map(|(one, other)| {
                aligner.align(&target[one], &production[other]);
                aligner.cost()
            })
            .sum();
        assert!(cost <= halves + 2000, "{cost} {halves}");
    }
}

#[test]
fn texts_too_long_for_the_whole_table_are_aligned_in_windows() {
    let target = text(101_000, 3);
    let productions = [target[..400].to_vec(), text(60, 5)];
    for (mut aligner, production) in aligners().into_iter().zip(productions) {
        let columns = aligner.align(&target, &production).to_vec();
        assert!(gives_back(&columns, target.len(), production.len()));
        let cost = aligner.cost();
        assert_eq!(aligner.cost_of(&target, &production, &columns), Some(cost));
        if target.starts_with(&production) {
            let matched = columns.iter().filter(|it| it.kind == Kind::Match).count();
            assert!(matched * 2 > production.len(), "{matched}");
        }
    }
}

#[test]
fn hundreds_of_different_sounds_are_aligned_too() {
    // More sounds than costs are kept for.
    let different: Vec<FeatureBundle> = (0..700_u32)
        .map(|at| FeatureBundle {
            tone: at + 1,
            ..sounds()[usize::try_from(at).unwrap() % 20]
        })
        .collect();
    let production: Vec<FeatureBundle> =
        different.iter().skip(1).step_by(2).copied().collect();
    for mut aligner in aligners() {
        for (target, production) in [
            (&different[600..660], &different[605..650]),
            (&different[..300], &production[..150]),
            (&different[450..650], &different[500..700]),
        ] {
            let columns = aligner.align(target, production).to_vec();
            assert!(gives_back(&columns, target.len(), production.len()));
            let cost = aligner.cost();
            assert_eq!(aligner.cost_of(target, production, &columns), Some(cost));
            let back = aligner.align(production, target);
            assert_eq!(mirrored(back), columns);
        }
        aligner.align(&different, &different);
        assert!(
            aligner
                .columns()
                .iter()
                .all(|column| column.kind == Kind::Match)
        );
    }
}
