//! Exercises that are made hold as authored ones do, come out the same from the same seed,
//! and are as hard as their level says.

use std::collections::BTreeSet;

use apical::accent::Accent;
use apical::lexicon::Lexicon;
use apical::practice::generate::{KINDS, LEVELS, Wish, generate};
use apical::practice::{Grader, Kind, Outcome, Scale, Set};

fn made(kinds: &[Kind], count: usize, seed: u64, level: Option<u8>) -> Set {
    let wish = Wish {
        kinds: kinds.to_vec(),
        count,
        seed,
        level,
    };
    let accent = Accent::named("en-US").unwrap();
    generate(&Lexicon::of("en-US").unwrap(), &accent, &wish)
}

#[test]
fn every_made_exercise_is_right_by_its_key() {
    let (mut count, mut faults) = (0, Vec::new());
    for kind in KINDS {
        let set = made(&[kind], 40, 11, None);
        assert_eq!(set.exercises.len(), 40, "{}", kind.name());
        assert!(set.exercises.iter().all(|it| it.kind == kind));
        let mut grader = Grader::for_set(&set).unwrap();
        for fault in grader.faults(&set) {
            let exercise = &set.exercises[fault.line - 1];
            faults.push(format!("{} {} {fault}", kind.name(), exercise.id));
        }
        for exercise in &set.exercises {
            for answer in exercise.answers() {
                count += 1;
                let outcome = grader.grade(exercise, answer).outcome;
                assert_eq!(outcome, Outcome::Right, "{exercise:?}");
            }
        }
    }
    println!("{count} answers");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn a_made_set_can_be_written_and_read_again() {
    let set = made(&KINDS, 32, 3, None);
    let read = Set::read(&set.name, &set.written()).unwrap();
    assert_eq!(read.exercises.len(), set.exercises.len());
    for (one, other) in set.exercises.iter().zip(&read.exercises) {
        assert_eq!(
            (&one.given, &one.key, &one.also),
            (&other.given, &other.key, &other.also)
        );
        assert_eq!(
            (&one.rules, &one.point, one.kind),
            (&other.rules, &other.point, other.kind)
        );
    }
}

#[test]
fn a_seed_says_which_and_no_exercise_comes_twice() {
    let [one, same, other] = [5, 5, 6].map(|seed| made(&[Kind::Broad], 200, seed, None));
    assert_eq!(one, same);
    assert_ne!(one.exercises, other.exercises);
    let ids: BTreeSet<&str> = one.exercises.iter().map(|it| it.id.as_str()).collect();
    assert_eq!(ids.len(), 200);
}

#[test]
fn a_level_is_harder_than_the_one_before() {
    let mut scale = Scale::new(&Accent::named("en-US").unwrap());
    let mut before = 0;
    for level in 1..=LEVELS {
        let set = made(&[Kind::Broad], 60, 1, Some(level));
        let scores: Vec<u32> = set
            .exercises
            .iter()
            .map(|it| scale.measure(&it.key).score())
            .collect();
        let (least, most) = (scores.iter().min().unwrap(), scores.iter().max().unwrap());
        assert!(*least >= before, "level {level}: {least} after {before}");
        before = *most;
    }
}

/// Pairs of words of which the second is harder to write: common practice, no source.
#[test]
fn difficulty_orders_words_as_teachers_do() {
    let mut scale = Scale::new(&Accent::named("en-US").unwrap());
    for (easy, hard) in [
        ("pɛn", "spɛnt"),
        ("kæt", "stɹɛŋθ"),
        ("sit", "ˈsɪti"),
        ("ˈteɪbəl", "əˈbɪləti"),
        ("ˈwɔtɚ", "fəˈtɑɡɹəfɚ"),
        ("hæt", "θɪŋk"),
    ] {
        let [easy_is, hard_is] = [easy, hard].map(|it| scale.measure(it).score());
        assert!(easy_is < hard_is, "{easy} {easy_is}, {hard} {hard_is}");
    }
}
