//! Difficulty, discrimination and reliability are those of a reference library;
//! `tests/oracle/item_statistics.py` made the figures.

use apical::practice::class::{item_statistics, kuder_richardson};

use crate::outside::Table;

#[test]
fn difficulty_discrimination_and_reliability() {
    let table = Table::read("item-statistics/reference.tsv");
    let mut counted = 0;
    for row in table.rows() {
        let answers: Vec<Vec<Option<bool>>> = row
            .cell("answers")
            .split(" / ")
            .map(|learner| {
                let cells = learner.split(' ');
                cells
                    .map(|cell| match cell {
                        "1" => Some(true),
                        "0" => Some(false),
                        _ => None,
                    })
                    .collect()
            })
            .collect();
        let item = row.cell("item").parse::<usize>().ok();
        let statistics = item_statistics(&answers);
        let found = match (row.cell("figure"), item) {
            ("difficulty", Some(item)) => statistics[item].difficulty,
            ("point-biserial", Some(item)) => statistics[item].point_biserial,
            ("corrected", Some(item)) => statistics[item].corrected,
            ("upper-lower", Some(item)) => statistics[item].upper_lower,
            ("KR-20", None) => kuder_richardson(&answers).0,
            other => panic!("{other:?}"),
        };
        let wanted = row.cell("value").parse::<f64>().ok();
        let same = match (found, wanted) {
            (Some(found), Some(wanted)) => (found - wanted).abs() < 1e-9,
            (None, None) => true,
            _ => false,
        };
        assert!(
            same,
            "{} {item:?}: {found:?}, not {wanted:?}: {}",
            row.cell("figure"),
            row.cell("answers")
        );
        counted += 1;
    }
    println!("{counted} figures");
    assert!(counted >= 200, "only {counted} figures");
}

#[test]
fn what_is_undefined_is_none() {
    // Everybody right: nothing to correlate (the definition divides by the spread).
    let all = vec![vec![Some(true), Some(false)], vec![Some(true), Some(true)]];
    let statistics = item_statistics(&all);
    assert_eq!(statistics[0].difficulty, Some(1.0));
    assert_eq!(statistics[0].point_biserial, None);
    assert_eq!(item_statistics(&[]).len(), 0);
    assert_eq!(kuder_richardson(&[]).0, None);
    assert_eq!(kuder_richardson(&[vec![Some(true)]]), (None, 1));
}
