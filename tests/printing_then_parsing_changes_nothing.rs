//! A canonical spelling means what was read, and is its own canonical spelling.

use apical::articulation::bundle;
use apical::feature::FeatureBundle;
use apical::notation::{ItemKind, Transcription};
use proptest::prelude::*;

use crate::outside::{Table, unescape};

fn sounds(read: &Transcription) -> Vec<FeatureBundle> {
    read.segments().map(|segment| bundle(&segment)).collect()
}

fn kinds(read: &Transcription) -> Vec<ItemKind> {
    read.items().iter().map(|item| item.kind()).collect()
}

/// Valid texts only: what has no reading has nothing to be kept.
fn holds(text: &str) {
    let read = Transcription::parse(text);
    if !read.is_valid() {
        return;
    }
    let printed = read.canonical();
    let again = Transcription::parse(&printed);
    assert!(
        again.is_valid(),
        "{text:?} {printed:?}: {:?}",
        again.diagnostics()
    );
    assert_eq!(sounds(&read), sounds(&again), "{text:?} {printed:?}");
    assert_eq!(kinds(&read), kinds(&again), "{text:?} {printed:?}");
    assert_eq!(again.canonical(), printed, "{text:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn of_anything_readable(pieces in prop::collection::vec(prop_oneof![
        3 => prop::sample::select(apical::inventory::symbols().iter().map(|it| it.text).collect::<Vec<_>>()),
        3 => prop::sample::select(apical::inventory::marks().iter().map(|it| it.text).collect::<Vec<_>>()),
        1 => prop::sample::select(apical::inventory::suprasegmentals().iter().map(|it| it.text).collect::<Vec<_>>()),
        1 => prop::sample::select(vec!["\u{361}", "\u{35C}", "\u{362}", " ", "'", ":", "g"]),
    ], 0..8)) {
        holds(&pieces.concat());
    }
}

/// The valid strings of the standards and the words of 26 published lists.
#[test]
fn of_published_strings() {
    for row in Table::read("standards/valid.tsv").rows() {
        holds(&unescape(row.cell("escaped")));
    }
    for name in ["eng-us-narrow", "other-languages"] {
        for row in Table::read(&format!("wordlists/{name}.tsv")).rows() {
            holds(row.cell("transcription").replace([' ', '/'], "").as_str());
        }
    }
}

/// Meaning-equal spellings have one canonical spelling.
///
/// Source: IPA Handbook (1999): tie bars above and below, the two shapes of g.
#[test]
fn of_spellings_that_mean_the_same() {
    for spellings in [["t͡s", "t͜s"], ["g", "ɡ"], ["ã", "a\u{303}"]] {
        let [one, other] = spellings.map(|text| Transcription::parse(text).canonical());
        assert_eq!(one, other, "{spellings:?}");
    }
}
