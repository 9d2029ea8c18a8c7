//! Published transcriptions of many languages are read whole and cut as their editors cut
//! them.
//!
//! Source: `WikiPron` (Lee et al. 2020) and ipa-dict; their known dirt is described beside the
//! data.

use apical::notation::Transcription;

use crate::outside::{Share, Table};

fn list(name: &str, accepted_at_least: f64, cut_at_least: f64) {
    let table = Table::read(&format!("wordlists/{name}.tsv"));
    let (mut accepted, mut cut) = (Share::default(), Share::default());
    let mut read = Transcription::default();
    for row in table.rows() {
        let published = row.cell("transcription");
        let stressed = published.contains('/');
        let text = if stressed {
            published.to_owned()
        } else {
            published.replace(' ', "")
        };
        read.reparse(&text);
        accepted.count(read.is_valid(), || {
            format!("{published}: {:?}", read.diagnostics())
        });
        if !stressed {
            let ours: Vec<&str> = read.segments().map(|segment| segment.text()).collect();
            cut.count(published.split(' ').eq(ours.iter().copied()), || {
                format!("{published} | {}", ours.join(" "))
            });
        }
    }
    accepted.at_least(accepted_at_least, &format!("{name} accepted"));
    if cut_at_least > 0.0 {
        cut.at_least(cut_at_least, &format!("{name} cut as published"));
    }
}

#[test]
fn american_english_broad() {
    list("eng-us-broad", 99.9, 99.0);
}

#[test]
fn british_english_broad() {
    list("eng-uk-broad", 99.9, 99.0);
}

/// Cuts differ where the list cuts a mark off its letter (`ɑ ˞`, `ɹ̠ ˔ʷ`) or writes two
/// variants in a cell.
#[test]
fn american_english_narrow() {
    list("eng-us-narrow", 99.9, 97.0);
}

#[test]
fn american_english_with_stress() {
    list("eng-us-stress", 99.9, 0.0);
}

/// Cuts differ where the list hangs a superscript nasal on the vowel before the consonant
/// that it belongs to (oᵐ b) and where it cuts one tone into its digits (⁵ ⁵).
#[test]
fn twenty_five_other_lists() {
    list("other-languages", 99.0, 96.0);
}
