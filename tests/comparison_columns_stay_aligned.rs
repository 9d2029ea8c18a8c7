//! The two rows of a comparison and the marks under them stand column under column,
//! whatever is stacked on a letter, and fit the screen.

use apical::alignment::Kind;
use apical::report::text::compare::{Column, Side, comparison};
use apical::text::width;

fn side(text: &str) -> Side {
    Side {
        text: text.to_owned(),
        segments: 1,
        name: format!("sound {text}"),
        posture: None,
        to: None,
    }
}

fn column(target: &str, production: &str, kind: Kind) -> Column {
    let one = |text: &str| (!text.is_empty()).then(|| side(text));
    Column {
        target: one(target),
        production: one(production),
        kind,
        differences: Vec::new(),
        in_short: Vec::new(),
        place: String::new(),
        remarks: Vec::new(),
    }
}

/// Takes the escape sequences out.
fn plain(page: &str) -> String {
    anstream::adapter::strip_str(page).to_string()
}

/// The screen column at which each word of a row begins.
fn starts(row: &str) -> Vec<usize> {
    let mut starts = Vec::new();
    let mut blank = true;
    for (at, character) in row.char_indices() {
        if blank && character != ' ' {
            starts.push(width(&row[..at]));
        }
        blank = character == ' ';
    }
    starts
}

#[test]
fn marks_shift_no_column() {
    let table = [
        column("p\u{325}\u{303}\u{32A}", "b", Kind::Substitution),
        column("ɪ", "i\u{303}\u{325}ː", Kind::Distortion),
        column("t\u{361}ʃ", "t\u{361}ʃ", Kind::Match),
        column("ŋ", "", Kind::Omission),
        column("", "ə", Kind::Addition),
    ];
    let page = plain(&comparison(&table, &[], 2, 80));
    let rows: Vec<&str> = page.lines().take(3).collect();
    assert_eq!(starts(rows[0]), starts(rows[1]));
    let marked: Vec<usize> = [0, 1, 3, 4]
        .iter()
        .map(|number| starts(rows[0])[number + 1])
        .collect();
    assert_eq!(starts(rows[2]), marked);
}

#[test]
fn blocks_fit_the_screen_and_lose_nothing() {
    let table: Vec<Column> = (0..60)
        .map(|_| column("t\u{361}ʃʰ", "tʰ", Kind::Substitution))
        .collect();
    for columns in [40, 60, 79, 120] {
        let page = plain(&comparison(&table, &[], 2, columns));
        assert!(
            page.lines().all(|line| width(line) <= columns),
            "{columns}:\n{page}"
        );
        let targets: usize = page
            .lines()
            .filter(|line| line.trim_start().starts_with("target"))
            .map(|line| line.matches("t\u{361}ʃʰ").count())
            .sum();
        assert_eq!(targets, 60);
    }
}

#[test]
fn every_error_is_told_apart_without_colour() {
    let kinds = [
        Kind::Distortion,
        Kind::Substitution,
        Kind::Omission,
        Kind::Addition,
        Kind::Transposition,
    ];
    let marks: std::collections::BTreeSet<String> = kinds
        .iter()
        .map(|kind| {
            let (target, production) = match kind {
                Kind::Omission => ("s", ""),
                Kind::Addition => ("", "s"),
                _ => ("s", "ʃ"),
            };
            let page = plain(&comparison(
                &[column(target, production, *kind)],
                &[],
                2,
                80,
            ));
            page.lines().nth(2).unwrap_or_default().trim().to_owned()
        })
        .collect();
    assert_eq!(marks.len(), kinds.len(), "{marks:?}");
}

#[test]
fn it_says_when_nothing_differs() {
    let page = plain(&comparison(&[column("s", "s", Kind::Match)], &[], 2, 80));
    assert!(page.contains("no difference"), "{page}");
}

#[test]
fn an_error_that_comes_again_is_explained_once() {
    let table = [
        column("θ", "t", Kind::Substitution),
        column("ɪ", "ɪ", Kind::Match),
        column("s", "", Kind::Omission),
        column("θ", "t", Kind::Substitution),
    ];
    let page = plain(&comparison(&table, &[], 2, 80));
    let marks = page.lines().nth(2).expect("a row of marks");
    assert_eq!(
        marks.split_whitespace().collect::<Vec<_>>(),
        ["≠1", "−2", "≠1"]
    );
    assert_eq!(page.matches("θ → t").count(), 1, "{page}");
}
