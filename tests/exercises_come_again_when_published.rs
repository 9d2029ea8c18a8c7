//! The scheduler gives the intervals that its authors publish.

use apical::practice::Outcome;
use apical::practice::schedule::{Recall, memory, memory_by};

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
fn a_published_series_of_answers_gives_the_published_memory() {
    // The same file, test_basic_scheduler_memo_state: rounded there to four places.
    const DAY: i64 = 86_400;
    let weights = [
        0.4197, 1.1869, 3.0412, 15.2441, 7.1434, 0.6477, 1.0007, 0.0674, 1.6597, 0.1712,
        1.1178, 2.0225, 0.0904, 0.3025, 2.1214, 0.2498, 2.9466, 0.4891, 0.6468,
    ];
    let later = [0, 0, 1, 4, 12, 33].map(|days| (START + days * DAY, Recall::Good));
    let mut answers = vec![(START, Recall::Again)];
    answers.extend(later);
    let last = memory_by(&weights, &answers).unwrap();
    assert!((last.stability - 71.4554).abs() < 5e-5, "{last:?}");
    assert!((last.difficulty - 5.0976).abs() < 5e-5, "{last:?}");
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
