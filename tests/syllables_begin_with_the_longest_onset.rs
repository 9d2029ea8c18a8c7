//! Every segment has its place: syllable, part, slot, position in the word, stress.
//!
//! Sources beside the checks. Maximal onset: D. Kahn, Syllable-based Generalizations in
//! English Phonology (1976).

use apical::accent::Accent;
use apical::articulation::bundle;
use apical::feature::FeatureBundle;
use apical::notation::Transcription;
use apical::syllable::Part::{Coda, Nucleus, Onset};
use apical::syllable::Position::{Final, Initial, Medial};
use apical::syllable::{Shapes, Site, Stress, Syllabifier, syllables};
use proptest::prelude::*;

use crate::outside::{Share, Table};

/// A transcription with its sites.
fn placed(text: &str, shapes: Shapes) -> (Transcription, Vec<Site>) {
    let read = Transcription::parse(text);
    let bundles: Vec<FeatureBundle> = read.segments().map(|it| bundle(&it)).collect();
    let sites = Syllabifier::new(shapes).sites(&read, &bundles).to_vec();
    (read, sites)
}

fn american() -> Shapes {
    Accent::named("en-US").unwrap().shapes()
}

/// Syllables parted by dots, onset, nucleus and coda by hyphens, words by spaces.
fn drawn(text: &str, shapes: Shapes) -> String {
    let (read, sites) = placed(text, shapes);
    let texts: Vec<&str> = read.segments().map(|it| it.text()).collect();
    let mut out = String::new();
    let mut word = 0;
    for syllable in syllables(&sites) {
        if !out.is_empty() {
            out.push(if word == syllable.word { '.' } else { ' ' });
        }
        word = syllable.word;
        let ranges = [syllable.onset, syllable.nucleus, syllable.coda];
        out.push_str(&ranges.map(|range| texts[range].concat()).join("-"));
    }
    out
}

/// Textbook words; the divisions follow from the principle (Kahn 1976) and from the legal
/// onsets of English, on which the textbooks agree.
#[test]
fn words_are_divided() {
    for (text, expected) in [
        ("/ˈæstɹənɔt/", "-æ-.stɹ-ə-.n-ɔ-t"),
        ("/ɪkˈsplɔɹ/", "-ɪ-k.spl-ɔ-ɹ"),
        ("/ətlæntɪk/", "-ə-t.l-æ-n.t-ɪ-k"),
        ("/sɪŋɪŋ/", "s-ɪ-ŋ.-ɪ-ŋ"),
        ("/hæpi/", "h-æ-.p-i-"),
        ("/baʊt/", "b-aʊ-t"),
        ("/fl̥aɪɚ/", "fl̥-aɪ-.-ɚ-"),
        ("/ˈbʌtn̩/", "b-ʌ-.t-n̩-"),
        ("/bɪɡɪn/", "b-ɪ-.ɡ-ɪ-n"),
        ("/tʃɝtʃ/", "tʃ-ɝ-tʃ"),
        ("/nʌt.ʃɛl/", "n-ʌ-t.ʃ-ɛ-l"),
        ("/mɪstɚ/", "m-ɪ-.st-ɚ-"),
        ("/mɪs.tɚ/", "m-ɪ-s.t-ɚ-"),
        ("/fɪfθs/", "f-ɪ-fθs"),
        ("/ðə kæt sæt/", "ð-ə- k-æ-t s-æ-t"),
        ("[pʰl̥eɪ̯ɾəd̥]", "pʰl̥-eɪ̯-.ɾ-ə-d̥"),
        ("/duɪŋ/", "d-u-.-ɪ-ŋ"),
        ("/kaɪɑs/", "k-aɪ-.-ɑ-s"),
        ("[pst]", "--"),
        ("[ma˥˩ma˨]", "m-a-.m-a-"),
    ] {
        assert_eq!(drawn(text, american()), expected, "{text}");
    }
}

/// Without an accent a single consonant and rising clusters go to the right (common
/// practice, no source).
#[test]
fn any_language_is_divided() {
    for (text, expected) in [
        ("[patɾi]", "p-a-.tɾ-i-"),
        ("[kanta]", "k-a-n.t-a-"),
        ("[vlk]", "--"),
        ("[ˈma.ia]", "m-a-.-i-.-a-"),
    ] {
        assert_eq!(drawn(text, Shapes::general()), expected, "{text}");
    }
}

/// Word position by the edge clusters, slots counted from the left: clinical practice.
#[test]
fn every_segment_has_its_place() {
    let (_, sites) = placed("/ˈstɹɛŋkθən ˌmi/", american());
    let told: Vec<_> = sites
        .iter()
        .map(|it| (it.position, it.part.unwrap(), it.slot, it.size))
        .collect();
    assert_eq!(
        told,
        [
            (Initial, Onset, 0, 3),
            (Initial, Onset, 1, 3),
            (Initial, Onset, 2, 3),
            (Medial, Nucleus, 0, 1),
            (Medial, Coda, 0, 2),
            (Medial, Coda, 1, 2),
            (Medial, Onset, 0, 1),
            (Medial, Nucleus, 0, 1),
            (Final, Coda, 0, 1),
            (Initial, Onset, 0, 1),
            (Final, Nucleus, 0, 1),
        ]
    );
    let stress = |at: usize| sites[at].stress;
    assert_eq!(
        (stress(3), stress(7), stress(10)),
        (Stress::Primary, Stress::None, Stress::Secondary)
    );
    assert_eq!((sites[8].word, sites[9].word), (0, 1));
    assert_eq!((sites[8].syllable, sites[10].syllable), (1, 2));
    assert_eq!((sites[8].syllables, sites[10].syllables), (2, 1));
}

/// A word of one syllable goes without a mark; a longer one without any does not say, nor
/// does a short one among longer ones.
#[test]
fn unmarked_stress_is_told_apart() {
    let stress = |text: &str| placed(text, american()).1[0].stress;
    assert_eq!(stress("/pɪn/"), Stress::Primary);
    assert_eq!(stress("/kən ˈsim/"), Stress::Unmarked);
    assert_eq!(stress("/kənˈsim/"), Stress::None);
    assert_eq!(stress("/pɪnɪŋ/"), Stress::Unmarked);
    assert_eq!(stress("/tʃˈɜtʃ/"), Stress::Primary);
}

/// ipa-dict `en_US` (made from the CMU dictionary by other hands): with its stress marks taken
/// out, a syllable of ours begins where each of them stood. They differ where that list cuts
/// after [s] (mis-take) or divides compounds.
#[test]
fn boundaries_agree_with_published_stress_marks() {
    let mut share = Share::default();
    for row in Table::read("wordlists/eng-us-stress.tsv").rows() {
        for text in row.cell("transcription").split(", ") {
            let marked = placed(text, american());
            let bare: String = text.chars().filter(|c| !"ˈˌ".contains(*c)).collect();
            let (_, ours) = placed(&bare, american());
            let starts: Vec<usize> = syllables(&marked.1)
                .filter(|it| it.stress.is_stressed() == Some(true))
                .map(|it| it.onset.start)
                .collect();
            let found =
                |start: &usize| syllables(&ours).any(|it| it.onset.start == *start);
            share.count(starts.iter().all(found), || text.to_owned());
        }
    }
    share.at_least(90.0, "stress marks at the start of a syllable of ours");
}

proptest! {
    /// As many sites as segments, numbers in order, slots within their cluster.
    #[test]
    fn sites_are_in_order(text in "[ptkbsʃzmnŋlɹjwaiuɪʊəɚ̩̯ˈˌ. ‿|˥͡ʰ]{0,24}") {
        for shapes in [american(), Shapes::general()] {
            let (read, sites) = placed(&text, shapes);
            prop_assert_eq!(sites.len(), read.segments().count());
            for pair in sites.windows(2) {
                let (one, next) = (pair[0], pair[1]);
                prop_assert!(next.word == one.word || next.word == one.word + 1);
                prop_assert!(
                    next.syllable == one.syllable || next.syllable == one.syllable + 1
                );
                prop_assert!(next.word == one.word || next.syllable > one.syllable);
            }
            for site in &sites {
                prop_assert!(site.slot < site.size);
                prop_assert!(site.syllable_in_word < site.syllables.max(1));
            }
        }
    }
}
