//! Kappa and alpha are those of two reference libraries; `tests/oracle/agreement.py` made
//! the figures.

#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::float_cmp,
    reason = "the figures are small whole numbers"
)]

use apical::finding::agreement::alpha::{Level, alpha};
use apical::finding::agreement::kappa::Labels;

use crate::outside::Table;

#[test]
fn kappa_and_alpha() {
    let table = Table::read("agreement/reference.tsv");
    let mut counted = 0;
    for row in table.rows() {
        let units: Vec<Vec<Option<f64>>> = row
            .cell("ratings")
            .split(" / ")
            .map(|unit| unit.split(' ').map(|it| it.parse().ok()).collect())
            .collect();
        let wanted: f64 = row.cell("value").parse().unwrap();
        let found = match row.cell("figure") {
            "nominal" => alpha(&units, Level::Nominal).alpha,
            "ordinal" => alpha(&units, Level::Ordinal).alpha,
            "interval" => alpha(&units, Level::Interval).alpha,
            "ratio" => alpha(&units, Level::Ratio).alpha,
            kappa => {
                let mut labels = Labels::new(10);
                for unit in &units {
                    let [one, other] = [unit[0], unit[1]].map(|it| it.unwrap() as usize);
                    labels.add(one, other, 1.0);
                }
                match kappa {
                    "kappa" => labels.kappa(),
                    "linear" => labels.weighted(|a, b| a.abs_diff(b) as f64),
                    "quadratic" => labels.weighted(|a, b| (a.abs_diff(b) as f64).powi(2)),
                    other => panic!("{other}"),
                }
                .kappa
            }
        };
        let found = found.unwrap();
        assert!(
            (found - wanted).abs() < 1e-9,
            "{}: {found}, not {wanted}",
            row.cell("figure")
        );
        counted += 1;
    }
    assert!(counted >= 80, "only {counted} figures");
}
