//! The scheduler gives the intervals that its authors publish.

use apical::practice::Outcome;
use apical::practice::schedule::{Recall, memory};

/// Noon on 29 November 2022, UTC: when the published series begins.
const START: i64 = 1_669_725_000;

#[test]
fn a_published_series_of_answers_gives_the_published_intervals() {
    // rs-fsrs 1.2.1 (MIT, the authors' own), src/tests.rs, test_basic_scheduler_interval:
    // each answer is given on the day it is due.
    let (good, again) = (Recall::Good, Recall::Again);
    let series = [
        good, good, good, good, good, good, again, again, good, good, good, good, good,
    ];
    let published = [0, 4, 15, 48, 136, 351, 0, 0, 7, 13, 24, 43, 77];
    let (mut answers, mut now, mut days) = (Vec::new(), START, Vec::new());
    for recall in series {
        answers.push((now, recall));
        let after = memory(&answers).unwrap();
        days.push(after.days);
        now = after.due;
    }
    assert_eq!(days, published);
    let last = memory(&answers).unwrap();
    assert_eq!((last.answers, last.lapses), (13, 1));
}

#[test]
fn the_order_of_a_record_does_not_matter_and_time_may_stand_still() {
    let answers = [
        (START, Recall::Good),
        (START + 600, Recall::Good),
        (START + 600, Recall::Again),
        (START + 90_000, Recall::Hard),
    ];
    let sorted = memory(&answers).unwrap();
    let mut mixed = answers;
    mixed.swap(0, 3);
    assert_eq!(memory(&mixed), Some(sorted));
    assert!(sorted.stability.is_finite() && sorted.due > START + 90_000);
    // Times that no calendar has are passed over.
    assert_eq!(memory(&[(i64::MAX, Recall::Good)]), None);
}

#[test]
fn a_slip_of_the_hand_does_not_bring_an_exercise_back() {
    assert_eq!(Recall::of(Outcome::Typing), Recall::Good);
    assert_eq!(Recall::of(Outcome::Detail), Recall::Hard);
    for lost in [Outcome::Wrong, Outcome::Unread, Outcome::Blank] {
        assert_eq!(Recall::of(lost), Recall::Again);
    }
}
