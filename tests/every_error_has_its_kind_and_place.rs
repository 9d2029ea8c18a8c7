//! Every error of an item has its kind (substitution, omission, distortion, addition,
//! transposition) and its place: position in the word, part of the syllable, cluster, stress.
//!
//! Sources beside the checks.

use apical::accent::Accent;
use apical::alignment::Kind;
use apical::finding::error::errors;
use apical::finding::item::Pairing;
use apical::notation::Transcription;

/// The errors of a pair, one a line: kind, sounds, position, part, slot of size, stress.
fn told(target: &str, production: &str) -> Vec<String> {
    let accent = Accent::named("en-US").unwrap();
    let mut pairing = Pairing::new(&accent);
    let [one, other] = [target, production].map(Transcription::parse);
    assert!(one.is_valid() && other.is_valid(), "{target} {production}");
    let item = pairing.item(1, "", &one, &other);
    let text = |it: Option<String>| it.unwrap_or_else(|| "∅".to_owned());
    errors(&item, &accent)
        .into_iter()
        .map(|it| {
            let site = it.site;
            format!(
                "{} {} → {}, {} {} {}/{} {}",
                it.kind.name(),
                text(it.target),
                text(it.production),
                site.position.name(),
                site.part.map_or("-", |part| part.name()),
                site.slot + 1,
                site.size,
                site.stress.name(),
            )
        })
        .collect()
}

/// Section, spring and æks for ask: Yoshida, Beyond Repeat After Me (open textbook), names
/// the kinds; the rest is common clinical practice, no source.
#[test]
fn kinds_and_places() {
    for (target, production, expected) in [
        (
            "/ˈsɛkʃən/",
            "[ˈsɛʃən]",
            &["omission k → ∅, medial coda 1/1 primary"][..],
        ),
        (
            "/spɹɪŋ/",
            "[pɪŋ]",
            &[
                "omission s → ∅, initial onset 1/3 primary",
                "omission ɹ → ∅, initial onset 3/3 primary",
            ],
        ),
        (
            "/æsk/",
            "[æks]",
            &["transposition s → s, final coda 1/2 primary"],
        ),
        (
            "/skul/",
            "[ɛˈskul]",
            &["addition ∅ → ɛ, initial nucleus 1/1 none"],
        ),
        (
            "/ˈbʌtɚ/",
            "[ˈbʌkɛɾ]",
            &[
                "substitution t → k, medial onset 1/1 none",
                "substitution ɚ → ɛɾ, final nucleus 1/1 none",
            ],
        ),
        (
            "/tʃɛɹ/",
            "[ʃɛɹ]",
            &["substitution tʃ → ʃ, initial onset 1/1 primary"],
        ),
        (
            "/taɪm/",
            "[tʰam]",
            &["substitution aɪ → a, medial nucleus 1/1 primary"],
        ),
        ("/bæk/", "[bæ]", &["omission k → ∅, final coda 1/1 primary"]),
        (
            "/ˈæpəl/",
            "[ˈhæpəl]",
            &["addition ∅ → h, initial onset 1/1 primary"],
        ),
    ] {
        assert_eq!(told(target, production), expected, "{target} {production}");
    }
}

/// A sound that moved is one error, not two.
#[test]
fn a_transposition_is_told_once() {
    let accent = Accent::named("en-US").unwrap();
    let [one, other] = ["æsk", "æks"].map(Transcription::parse);
    let item = Pairing::new(&accent).item(1, "ask", &one, &other);
    let moved = |it: &&apical::alignment::Column| it.kind == Kind::Transposition;
    assert_eq!(item.columns.iter().filter(moved).count(), 2);
    assert_eq!(errors(&item, &accent).len(), 1);
}
