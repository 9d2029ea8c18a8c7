//! Strings that the standards allow are accepted, others are noticed at the right place.
//!
//! Source: `standards/valid.tsv` and `invalid.tsv`: the IPA chart (2020), the extIPA chart
//! (2015), `VoQS` (2016), published Illustrations of the IPA, Unicode 15.0 data.

use std::collections::BTreeMap;

use apical::articulation::bundle;
use apical::diagnostic::Severity;
use apical::notation::Transcription;

use crate::outside::{Share, Table, unescape};

#[test]
fn valid_strings_are_accepted_and_clean_ones_get_no_notice() {
    let table = Table::read("standards/valid.tsv");
    let (mut accepted, mut clean) = (Share::default(), Share::default());
    for row in table.rows() {
        let text = unescape(row.cell("escaped"));
        let read = Transcription::parse(&text);
        let found = || format!("{} {text}: {:?}", row.cell("id"), read.diagnostics());
        accepted.count(read.is_valid(), found);
        if row.cell("strictness") == "clean" {
            clean.count(read.diagnostics().is_empty(), found);
        }
    }
    accepted.at_least(100.0, "valid strings accepted");
    clean.at_least(100.0, "clean strings without notice");
}

#[test]
fn spellings_of_one_meaning_have_equal_bundles() {
    let table = Table::read("standards/valid.tsv");
    let mut groups: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for row in table
        .rows()
        .filter(|row| !row.cell("equiv_group").is_empty())
    {
        let text = unescape(row.cell("escaped"));
        groups
            .entry(row.cell("equiv_group").to_owned())
            .or_default()
            .push(text);
    }
    for group in groups.values() {
        let read: Vec<Vec<_>> = group
            .iter()
            .map(|text| {
                Transcription::parse(text)
                    .segments()
                    .map(|s| bundle(&s))
                    .collect()
            })
            .collect();
        assert!(read.windows(2).all(|pair| pair[0] == pair[1]), "{group:?}");
    }
}

/// Thresholds by strictness: share noticed, share noticed in the right place.
fn noticed(strictness: &str, worst: Severity, noticed: f64, placed: f64) {
    let table = Table::read("standards/invalid.tsv");
    let (mut seen, mut right) = (Share::default(), Share::default());
    for row in table
        .rows()
        .filter(|row| row.cell("strictness").starts_with(strictness))
    {
        if !row.cell("hex_bytes").is_empty() {
            continue; // ill-formed UTF-8 is tested through the program
        }
        let text = unescape(row.cell("escaped"));
        let (start, end): (usize, usize) = (
            row.cell("byte_start").parse().unwrap(),
            row.cell("byte_end").parse().unwrap(),
        );
        let read = Transcription::parse(&text);
        let miss = || {
            let spans: Vec<_> = read
                .diagnostics()
                .iter()
                .map(|d| (d.code.name(), d.span))
                .collect();
            format!(
                "{} {} at {start}..{end}: {spans:?}",
                row.cell("id"),
                row.cell("reason")
            )
        };
        seen.count(
            read.diagnostics()
                .iter()
                .any(|found| found.severity <= worst),
            miss,
        );
        let touches = read.diagnostics().iter().any(|found| {
            found.span.start < end.max(start + 1)
                && start < found.span.end.max(found.span.start + 1)
        });
        right.count(touches, miss);
        if worst != Severity::Error {
            assert!(
                read.is_valid(),
                "{text} is only {strictness}: {:?}",
                read.diagnostics()
            );
        }
    }
    seen.at_least(noticed, &format!("{strictness} noticed"));
    right.at_least(placed, &format!("{strictness} in the right place"));
}

#[test]
fn errors_are_noticed_in_place() {
    noticed("error", Severity::Error, 100.0, 100.0);
}

#[test]
fn warnings_are_noticed_in_place() {
    noticed("warning", Severity::Warning, 97.0, 97.0);
}

#[test]
fn matters_of_style_are_noticed_in_place() {
    noticed("style", Severity::Style, 97.0, 97.0);
}
