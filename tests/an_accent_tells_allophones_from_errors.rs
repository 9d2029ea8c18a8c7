//! An accent tells what it allows where a sound stands from what is off in detail and from
//! another sound.
//!
//! Sources by the letter in the first column: L, Ladefoged & Johnson, A Course in Phonetics,
//! ch. 3 and 4, rules of English allophones, from memory; C, Carley & Mees, American English
//! Phonetics and Pronunciation Practice, from memory; W, Wells, Accents of English (1982),
//! from memory; P, common practice, no source; B, Lindsey, English after RP (2019), and
//! Cruttenden, Gimson's Pronunciation of English, from memory.

use apical::accent::Accent;
use apical::alignment::{Aligner, Column, Kind, Setting};
use apical::articulation::bundle;
use apical::feature::FeatureBundle;
use apical::finding::production::{Finding, Judge, Side};
use apical::notation::Transcription;
use apical::syllable::{Part, Position, Stress};

fn accent(name: &str) -> Accent {
    let (name, options) = name.split_once(' ').unwrap_or((name, ""));
    let accent = Accent::named(name).unwrap();
    accent.declared(options.split_whitespace()).unwrap()
}

fn found(accent: &Accent, texts: [&str; 2]) -> (Vec<Column>, Vec<Finding>) {
    let sides = texts.map(Transcription::parse);
    let bundles = [&sides[0], &sides[1]].map(|side| -> Vec<FeatureBundle> {
        assert!(side.is_valid(), "{texts:?}: {:?}", side.diagnostics());
        side.segments().map(|it| bundle(&it)).collect()
    });
    let mut aligner = Aligner::new(Setting::for_accent(accent));
    let columns = aligner.align(&bundles[0], &bundles[1]).to_vec();
    let side = |at: usize| Side {
        transcription: &sides[at],
        bundles: &bundles[at],
    };
    let findings = Judge::new(Some(accent)).judge(side(0), side(1), &columns);
    assert_eq!(findings.len(), columns.len());
    (columns, findings)
}

/// A letter for each column.
fn kinds(accent: &Accent, texts: [&str; 2]) -> String {
    let letter = |finding: &Finding| match finding.kind {
        Kind::Match => '=',
        Kind::Allophone => 'a',
        Kind::Distortion => 'd',
        Kind::Substitution => 's',
        Kind::Omission => '-',
        Kind::Addition => '+',
        Kind::Transposition => 't',
    };
    found(accent, texts).1.iter().map(letter).collect()
}

fn table(name: &str, rows: &[(&str, &str, &str, &str)]) {
    let accent = accent(name);
    let mut misses = Vec::new();
    for (source, target, production, expected) in rows {
        let kinds = kinds(&accent, [target, production]);
        if kinds != *expected {
            misses.push(format!(
                "{target} {production}: {kinds}, not {expected} ({source})"
            ));
        }
    }
    assert!(misses.is_empty(), "{name}:\n{}", misses.join("\n"));
}

#[test]
fn general_american_has_its_allophones() {
    table(
        "en-US",
        &[
            // The puff of air, and where it is absent.
            ("L", "/pɪn/", "[pʰɪ̃n]", "aa="),
            ("L", "/pɪn/", "[pɪn]", "d=="),
            ("L", "/pɪn/", "[bɪn]", "s=="),
            ("P", "/pɪn/", "/pɪn/", "==="),
            ("P", "/pɪn/", "pɪn", "==="),
            ("L", "/spɪn/", "[spɪn]", "===="),
            ("L", "/spɪn/", "[sp˭ɪn]", "=a=="),
            ("L", "/spɪn/", "[spʰɪn]", "=d=="),
            ("L", "/əˈtæk/", "[əˈtʰæk]", "=a=="),
            ("L", "/əˈtæk/", "[əˈtæk]", "=d=="),
            ("C", "/pəˈteɪtoʊ/", "[pəˈtʰeɪɾoʊ]", "==a==a=="),
            ("L", "/pleɪ/", "[pl̥eɪ]", "=a=="),
            ("L", "/bleɪ/", "[bl̥eɪ]", "=d=="),
            ("L", "/kju/", "[kʰju]", "a=="),
            // Stops at the end.
            ("L", "/kæp/", "[kʰæp̚]", "a=a"),
            ("L", "/kæp/", "[kʰæpʰ]", "a=a"),
            ("L", "/kæt/", "[kʰæʔ]", "a=a"),
            ("L", "/kæp/", "[kʰæʔ]", "a=s"),
            ("L", "/bæd/", "[bæd̥]", "==a"),
            ("L", "/bæd/", "[bæt]", "==s"),
            ("L", "/əˈdæd/", "[əˈd̥æd]", "=d=="),
            ("L", "/ækt/", "[æk̚t]", "=a="),
            // Flap, glottal stop, syllabic consonants.
            ("L", "/ˈwɔtɚ/", "[ˈwɔɾɚ]", "==a="),
            ("L", "/ˈwɔtɚ/", "[ˈwɔtɚ]", "===="),
            ("L", "/ˈlædɚ/", "[ˈlæɾɚ]", "==a="),
            ("L", "/əˈtæk/", "[əˈɾæk]", "=d=="),
            ("L", "/ɹɛd/", "[ɾɛd]", "s=="),
            ("L", "/ˈbʌtən/", "[ˈbʌʔn̩]", "==aa"),
            ("L", "/ˈbʌtn̩/", "[ˈbʌʔn̩]", "==a="),
            ("L", "/ˈbɑtəl/", "[ˈbɑɾl̩]", "==aa"),
            ("L", "/tɪn/", "[ʔɪn]", "d=="),
            // l, nasals, places.
            ("L", "/fil/", "[fiɫ]", "==a"),
            ("C", "/lif/", "[ɫif]", "a=="),
            ("L", "/tɛnθ/", "[tʰɛ̃n̪θ]", "aaa="),
            ("L", "/tɛn/", "[tʰɛn̪]", "a=d"),
            ("L", "/ˈkʌmfɚt/", "[ˈkʰʌɱfɚt]", "a=a==="),
            ("L", "/mæn/", "[ɱæn]", "d=="),
            ("L", "/ki/", "[k̟ʰi]", "a="),
            ("L", "/kul/", "[k̟ʰul]", "d=="),
            ("C", "/tɹi/", "[t͡ʃɹi]", "a=="),
            ("C", "/ti/", "[t͡ʃi]", "s="),
            ("L", "/ʃi/", "[ʃʷi]", "a="),
            ("L", "/wɔɹmθ/", "[wɔɹmpθ]", "====a="),
            ("L", "/wɔɹm/", "[wɔɹmp]", "====+"),
            ("L", "/bid/", "[biːd]", "=a="),
            ("L", "/bid/", "[bĩd]", "=d="),
            // Written otherwise.
            ("P", "/t͡ʃɪn/", "[tʃʰɪn]", "a=="),
            ("P", "/ɡoʊ/", "[ɡo͡ʊ]", "=="),
            ("P", "/bɝd/", "[bɜ˞d]", "==="),
            ("P", "/rɛd/", "[ɹɛd]", "==="),
            // A trill is no General American sound, and r is the nearest to it.
            ("P", "/ɹɛd/", "[rɛd]", "d=="),
            // Other phonemes, and lisps: clinical practice.
            ("P", "/θɪŋ/", "[t̪ɪŋ]", "s=="),
            ("P", "/sɪŋ/", "[s̪ɪŋ]", "d=="),
            ("P", "/sɪŋ/", "[ɬɪŋ]", "d=="),
            ("P", "/sɪŋ/", "[θɪŋ]", "s=="),
            ("P", "/ʃɪp/", "[ʃip]", "=s="),
            ("P", "/ˈsɪti/", "[ˈsiti]", "=s=="),
        ],
    );
}

#[test]
fn declared_speech_is_right() {
    for (name, rows) in [
        ("en-US", &[("W", "/kɔt/", "[kʰɑt]", "as=")][..]),
        ("en-US cot-caught", &[("W", "/kɔt/", "[kʰɑt]", "aa=")]),
        ("en-US cot-caught", &[("W", "/kɔɹt/", "[kʰɑɹt]", "as==")]),
        ("en-US", &[("W", "/kɑɹ/", "[kʰɑː]", "aa-")]),
        ("en-US r-dropping", &[("W", "/kɑɹ/", "[kʰɑː]", "aaa")]),
        ("en-US no-flap", &[("P", "/ˈwɔtɚ/", "[ˈwɔɾɚ]", "==d=")]),
        ("en-US pin-pen", &[("W", "/pɛn/", "[pʰɪn]", "aa=")]),
        ("en-US pin-pen", &[("W", "/pɛt/", "[pʰɪt]", "as=")]),
        ("en-US wh-kept", &[("W", "/wɪt͡ʃ/", "[ʍɪt͡ʃ]", "a==")]),
        ("en-US raised-glides", &[("W", "/ɹaɪt/", "[ɹʌɪt]", "=a==")]),
        ("en-US raised-glides", &[("W", "/ɹaɪd/", "[ɹʌɪd]", "=s==")]),
        ("en-US yod-keeping", &[("W", "/tun/", "[tʰjun]", "aa==")]),
        ("en-US l-vocalising", &[("W", "/mɪlk/", "[mɪok]", "==a=")]),
        ("en-US steady-face-goat", &[("W", "/deɪ/", "[deː]", "=a")]),
    ] {
        table(name, rows);
    }
}

#[test]
fn weak_forms_belong_in_phrases() {
    table(
        "en-US",
        &[
            ("C", "/ænd ju/", "[ən jə]", "a=a=a"),
            ("C", "/kæn aɪ ˈsi/", "[kən aɪ ˈsi]", "=a====="),
            ("C", "/wɪθ ə ˈkæt/", "[wɪð ə ˈkʰæt]", "==a=a=="),
            // Said alone, or stressed, a word has its strong form.
            ("P", "/kæn/", "[kʰən]", "as="),
            ("P", "/aɪ ˈkæn/", "[aɪ ˈkʰən]", "==as="),
        ],
    );
}

#[test]
fn southern_british_is_data_alone() {
    table(
        "en-GB",
        &[
            ("B", "/pɪn/", "[pʰɪ̃n]", "aa="),
            ("B", "/pɪn/", "[pɪn]", "d=="),
            ("B", "/ˈwɔːtə/", "[ˈwɔːtʰə]", "==a="),
            ("B", "/ˈwɔːtə/", "[ˈwɔːɾə]", "==d="),
            ("B", "/skweə/", "[skwɛː]", "===aa"),
            ("B", "/fiːl/", "[fiːɫ]", "==a"),
            ("B", "/kʌp/", "[kʰɐp]", "aa="),
            ("B", "/ɡuːs/", "[ɡʉːs]", "=a="),
            ("B", "/ˈfɑː əˈweɪ/", "[ˈfɑːɹ əˈweɪ]", "==a===="),
            ("B", "/fɑː/", "[fɑːɹ]", "==+"),
            ("B", "/tjuːn/", "[t͡ʃuːn]", "a=="),
            ("B", "/lɒt/", "[lɑt]", "=s="),
        ],
    );
    table("en-GB r-keeping", &[("W", "/fɑː/", "[fɑːɹ]", "==a")]);
    table("en-GB glottal-t", &[("W", "/ˈwɔːtə/", "[ˈwɔːʔə]", "==a=")]);
    table("en-GB th-fronting", &[("W", "/θɪŋk/", "[fɪŋk]", "a===")]);
}

/// The same pair is judged by the accent it is set in: rhoticity and the flap tell the two
/// apart (Wells 1982).
#[test]
fn the_accent_makes_the_difference() {
    let [us, gb] = ["en-US", "en-GB"].map(accent);
    assert_eq!(kinds(&us, ["/ˈwɔtə/", "[ˈwɔɾə]"]), "==a=");
    assert_eq!(kinds(&gb, ["/ˈwɔːtə/", "[ˈwɔːɾə]"]), "==d=");
}

/// Each finding has its rule and its place.
#[test]
fn findings_have_a_reason_and_a_place() {
    let (_, findings) = found(&accent("en-US"), ["/ˈpɪntɪd/", "[ˈpɪ̃ntɪt]"]);
    let p = &findings[0];
    assert_eq!(p.kind, Kind::Distortion);
    assert_eq!(p.lacking[0].lacking, "unaspirated");
    assert_eq!(
        p.lacking[0].context,
        "alone at the start of a stressed syllable"
    );
    let site = p.site.unwrap();
    assert_eq!(
        (site.position, site.part),
        (Position::Initial, Some(Part::Onset))
    );
    assert_eq!(site.stress, Stress::Primary);
    let vowel = &findings[1];
    assert_eq!(vowel.kind, Kind::Allophone);
    assert_eq!(vowel.allophones[0].name, "nasalised vowel");
    assert!(vowel.allophones[0].rule().starts_with("V → ◌̃ / "));
    let d = &findings[5];
    assert_eq!(d.kind, Kind::Substitution);
    let site = d.site.unwrap();
    assert_eq!(
        (site.position, site.part),
        (Position::Final, Some(Part::Coda))
    );
    assert_eq!(site.stress, Stress::None);
}

/// Every example of every rule reads as IPA; a rule has a context and a source-given name.
#[test]
fn every_rule_has_an_example_that_reads() {
    for name in Accent::names() {
        let accent = Accent::named(name).unwrap();
        for row in accent.allophones() {
            assert!(
                !row.context.is_empty() && !row.example.is_empty(),
                "{}",
                row.name
            );
            if let Some((_, narrow)) = row.example.split_once(" [") {
                let read = Transcription::parse(&format!("[{narrow}"));
                assert!(read.is_valid(), "{}: {:?}", row.example, read.diagnostics());
            }
        }
    }
}
