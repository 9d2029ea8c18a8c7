//! A sound in plain words: where it stands in a word that everybody knows.

use super::{Line, Run, sound, strong, text};
use crate::accent::{Accent, Phoneme};
use crate::distance;
use crate::feature::{Class, FeatureBundle, Length};
use crate::inventory::PhonemeKind;
use crate::lexicon::Lexicon;

/// The sound as "the first sound of **thick**", without its letters; a sound that the accent
/// does not have by the one it is nearest to.
pub(super) fn explained(
    bundle: &FeatureBundle,
    accent: &Accent,
    lexicon: Option<&Lexicon>,
) -> Line {
    let wanted = bare(bundle);
    let known = accent
        .phonemes()
        .iter()
        .filter(|it| !it.keyword.is_empty() && it.bundle.class == bundle.class)
        .map(|it| (distance::between(&bare(&it.bundle), &wanted), it))
        .min_by_key(|(far, _)| *far);
    match known {
        None => vec![text("a sound of its own")],
        Some((0, phoneme)) => placed(phoneme, lexicon),
        Some((_, phoneme)) => {
            let mut line = vec![text("a sound near ")];
            line.extend(placed(phoneme, lexicon));
            line
        }
    }
}

/// The same with the letters behind it: "the first sound of **thick**, θ".
pub(super) fn with_letters(
    letters: &str,
    bundle: &FeatureBundle,
    accent: &Accent,
    lexicon: Option<&Lexicon>,
) -> Line {
    let mut line = explained(bundle, accent, lexicon);
    line.extend([text(", "), sound(letters)]);
    line
}

/// Length, tone and the like do not make another sound.
fn bare(bundle: &FeatureBundle) -> FeatureBundle {
    FeatureBundle {
        length: Length::Normal,
        ..*bundle
    }
}

fn placed(phoneme: &Phoneme, lexicon: Option<&Lexicon>) -> Line {
    let word = phoneme.keyword;
    let what = match phoneme.kind {
        PhonemeKind::Consonant | PhonemeKind::Affricate => consonant(phoneme, lexicon),
        PhonemeKind::Monophthong | PhonemeKind::Diphthong
            if one_vowel(phoneme, lexicon) =>
        {
            "the vowel of "
        }
        PhonemeKind::Monophthong | PhonemeKind::Diphthong => vowel(phoneme, lexicon),
        PhonemeKind::RColoured => "the vowel and r of ",
        PhonemeKind::Syllabic => "the end of ",
    };
    // Some keywords say which of two words is meant.
    let word = word.split(" (").next().unwrap_or(word);
    vec![text(what), strong(word)]
}

/// The keyword as its word list writes it, without stress and ties.
fn written(phoneme: &Phoneme, lexicon: Option<&Lexicon>) -> Option<(String, String)> {
    let word = lexicon?.look_up(phoneme.keyword)?.targets().next()?;
    let plain = |it: &str| it.replace(['ˈ', 'ˌ', '.', '\u{0361}'], "");
    Some((plain(&word), plain(phoneme.text)))
}

fn consonant(phoneme: &Phoneme, lexicon: Option<&Lexicon>) -> &'static str {
    match written(phoneme, lexicon) {
        Some((word, letters)) if word.starts_with(&letters) => "the first sound of ",
        Some((word, letters)) if word.ends_with(&letters) => "the last sound of ",
        _ => "the sound in the middle of ",
    }
}

fn vowel(phoneme: &Phoneme, lexicon: Option<&Lexicon>) -> &'static str {
    match written(phoneme, lexicon) {
        Some((word, letters)) if word.starts_with(&letters) => "the first vowel of ",
        Some((word, letters)) if word.ends_with(&letters) => "the last vowel of ",
        _ => "the vowel of ",
    }
}

/// Whether the keyword has no other vowel.
fn one_vowel(phoneme: &Phoneme, lexicon: Option<&Lexicon>) -> bool {
    let Some((word, letters)) = written(phoneme, lexicon) else {
        return true;
    };
    let rest = word.replacen(&letters, "", 1);
    let read = crate::notation::Transcription::parse(&rest);
    let vowels = read
        .segments()
        .filter(|it| crate::articulation::bundle(it).class == Class::Vowel);
    vowels.count() == 0
}

/// A line as text, for titles.
pub(super) fn words(line: &Line) -> String {
    line.iter()
        .map(|run| match run {
            Run::Text(it) | Run::Strong(it) | Run::Sound(it) | Run::Given(it) => {
                it.as_str()
            }
        })
        .collect()
}
