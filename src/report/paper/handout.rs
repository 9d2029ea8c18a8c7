//! A practice sheet for one sound: pictures, cues, words by position, minimal pairs,
//! sentences.

use super::cue::cues;
use super::explained::{explained, with_letters, words};
use super::{Line, Paper, sound, strong, text};
use crate::accent::{Accent, Phoneme};
use crate::distance;
use crate::lexicon::{Entry, Forms, Kind, Lexicon, Scope};
use crate::practice::generate::is_left_out;
use crate::report::picture::{self, Sound, change_in_words};

/// Carrier sentences, one a line: for what, sentence, source.
const SENTENCES: &str = include_str!("../../../grammar/handouts/sentences.tsv");

/// How many words stand at each position.
const WORDS: usize = 10;
/// How many of the nearest sounds are looked at for the one to tell apart.
const NEIGHBOURS: usize = 4;
/// How many minimal pairs.
const PAIRS: usize = 8;
/// Rarer words are not put before a client.
const RAREST: u32 = 12_000;

/// What a practice sheet is for.
#[derive(Clone, Debug)]
pub struct Wish<'a> {
    /// The sound, as its accent has it.
    pub target: &'a Phoneme,
    /// The sound it is to be told apart from.
    pub contrast: &'a Phoneme,
    /// The accent.
    pub accent: &'a Accent,
    /// Its word list.
    pub lexicon: Lexicon,
}

/// The sound to tell another apart from where nobody says: of its nearest neighbours the one
/// that most pairs of common words hang on, the nearest where none has any.
#[must_use]
pub fn neighbour<'a>(
    target: &Phoneme,
    accent: &'a Accent,
    lexicon: &Lexicon,
) -> Option<&'a Phoneme> {
    let mut near: Vec<&Phoneme> = accent
        .phonemes()
        .iter()
        .filter(|it| it.number != target.number && it.bundle.class == target.bundle.class)
        .filter(|it| !it.broad_only)
        .collect();
    near.sort_by_key(|it| (distance::between(&it.bundle, &target.bundle), it.number));
    near.truncate(NEIGHBOURS);
    let forms = Forms::of(lexicon, &Scope::default()).ok()?;
    let pairs = |it: &Phoneme| fit_pairs(lexicon, &forms, target, it).len();
    // The first of several maxima: the nearest.
    near.into_iter().rev().max_by_key(|it| pairs(it))
}

/// The practice sheet.
#[must_use]
pub fn paper(wish: &Wish<'_>) -> Paper {
    let (target, contrast) = (wish.target, wish.contrast);
    let lexicon = Some(&wish.lexicon);
    let name = explained(&target.bundle, wish.accent, lexicon);
    let mut paper = Paper {
        title: format!("Practice: {}", words(&name)),
        under: vec![
            text("Written "),
            sound(target.text),
            text(format!(
                " · {} · beside ",
                wish.accent.called()
            )),
        ],
        cautions: vec![
            "Pictures are schematic, from features; mouths differ. Short and often works \
             better than long and seldom. If something hurts or strains, stop and tell your \
             coach."
                .to_owned(),
        ],
        ..Paper::default()
    };
    paper.under.extend(with_letters(
        contrast.text,
        &contrast.bundle,
        wish.accent,
        lexicon,
    ));
    pictures(&mut paper, wish);
    by_position(&mut paper, wish);
    let pairs = minimal_pairs(wish);
    if !pairs.is_empty() {
        paper.title("Pairs of words");
        let mut head = vec![text("Listen first, then say them: only one sound differs.")];
        head.push(text(" First "));
        head.push(sound(target.text));
        head.push(text(", then "));
        head.push(sound(contrast.text));
        head.push(text("."));
        paper.paragraph(head);
        let lines = pairs
            .iter()
            .map(|(a, b)| vec![strong(a.as_str()), text(" – "), text(b.as_str())]);
        paper.short_list(lines.collect());
    }
    sentences(&mut paper, wish, &pairs);
    paper
}

fn drawn(phoneme: &Phoneme, accent: &Accent) -> Sound {
    let posture = accent.posture(&phoneme.bundle);
    Sound::new(phoneme.text, &phoneme.bundle, posture)
}

fn pictures(paper: &mut Paper, wish: &Wish<'_>) {
    let target = drawn(wish.target, wish.accent);
    let contrast = drawn(wish.contrast, wish.accent);
    paper.title("How to make it");
    paper.picture_beside(picture::sound(&target), Vec::new());
    let lines = cues(&wish.target.bundle, &target.postures);
    paper.list(lines.iter().map(|it| vec![text(*it)]).collect());
    let change = change_in_words(&target, &contrast);
    if !change.is_empty() {
        let mut line = vec![strong("From ")];
        line.push(sound(wish.contrast.text));
        line.push(strong(" to "));
        line.push(sound(wish.target.text));
        line.push(text(": "));
        line.push(text(change.join("; ")));
        line.push(text("."));
        paper.paragraph(line);
    }
}

/// Where a sound stands in a word of so many sounds.
const PLACES: [&str; 3] = ["At the beginning", "In the middle", "At the end"];

fn by_position(paper: &mut Paper, wish: &Wish<'_>) {
    let mut found: [Vec<&'static str>; 3] = Default::default();
    for entry in wish.lexicon.commonest_first() {
        if entry.rank().is_none_or(|rank| rank > RAREST) || !is_fit(&entry) {
            continue;
        }
        let Some(target) = entry.targets().next() else {
            continue;
        };
        if let Some(place) = place_in(&target, wish.target.text)
            && let Some(list) = found.get_mut(place)
            && list.len() < WORDS
        {
            list.push(entry.word());
        }
        if found.iter().all(|it| it.len() >= WORDS) {
            break;
        }
    }
    let lines: Vec<Line> = PLACES
        .iter()
        .zip(&found)
        .filter(|(_, words)| !words.is_empty())
        .map(|(place, words)| vec![strong(format!("{place}: ")), text(words.join(", "))])
        .collect();
    if !lines.is_empty() {
        paper.title("Words");
        paper.list(lines);
    }
}

/// An ordinary word of one or two syllables that may be put before anybody.
fn is_fit(entry: &Entry) -> bool {
    let word = entry.word();
    entry.kind() == Kind::Word
        && (3..=8).contains(&word.len())
        && word.bytes().all(|byte| byte.is_ascii_lowercase())
        && !is_left_out(word)
}

/// Where a phoneme stands in a target that has it once: 0 at the beginning, 1 in the middle,
/// 2 at the end. Targets write affricates tied and diphthongs untied.
fn place_in(target: &str, phoneme: &str) -> Option<usize> {
    let plain = target.replace(['ˈ', 'ˌ', '.'], "");
    let read = crate::notation::Transcription::parse(&plain);
    let letters: Vec<&str> = read.segments().map(|it| it.text()).collect();
    let wanted = phoneme.to_owned();
    let loose = phoneme.replace('\u{0361}', "");
    let parts = crate::notation::Transcription::parse(&loose);
    let parts: Vec<&str> = parts.segments().map(|it| it.text()).collect();
    let fits = |from: usize| -> Option<usize> {
        if letters.get(from).is_some_and(|it| *it == wanted) {
            return Some(1);
        }
        let here = letters.get(from..from + parts.len())?;
        (parts.len() > 1 && here == parts.as_slice()).then_some(parts.len())
    };
    let mut places = (0..letters.len()).filter_map(|at| Some((at, fits(at)?)));
    let (at, long) = places.next()?;
    // A vowel that is the first half of a diphthong is another sound.
    let next = letters.get(at + long).copied().unwrap_or_default();
    let last = letters.get(at.wrapping_sub(1)).copied().unwrap_or_default();
    let glides = |first: &str, second: &str| {
        matches!(second, "ɪ" | "ʊ") && matches!(first, "a" | "e" | "ɔ" | "o")
    };
    if long == 1 && (glides(&wanted, next) || glides(last, &wanted)) {
        return None;
    }
    if places.next().is_some() {
        return None;
    }
    Some(if at == 0 {
        0
    } else if at + long == letters.len() {
        2
    } else {
        1
    })
}

fn minimal_pairs(wish: &Wish<'_>) -> Vec<(String, String)> {
    Forms::of(&wish.lexicon, &Scope::default()).map_or_else(
        |_| Vec::new(),
        |forms| fit_pairs(&wish.lexicon, &forms, wish.target, wish.contrast),
    )
}

/// The commonest minimal pairs that may be put before anybody, each word once.
fn fit_pairs(
    lexicon: &Lexicon,
    forms: &Forms<'_>,
    target: &Phoneme,
    contrast: &Phoneme,
) -> Vec<(String, String)> {
    let Some(contrast) = lexicon.contrast(target.text, contrast.text) else {
        return Vec::new();
    };
    let fit = |word: &str| lexicon.look_up(word).is_some_and(|it| is_fit(&it));
    let mut pairs: Vec<(String, String)> = Vec::new();
    for pair in forms.minimal_pairs(contrast) {
        let (a, b) = (pair.a.word, pair.b.word);
        let once = !pairs.iter().any(|(one, other)| one == a || other == b);
        if once && fit(a) && fit(b) {
            pairs.push((a.to_owned(), b.to_owned()));
        }
        if pairs.len() >= PAIRS {
            break;
        }
    }
    pairs
}

fn sentences(paper: &mut Paper, wish: &Wish<'_>, pairs: &[(String, String)]) {
    let rows = || {
        SENTENCES.lines().skip(1).filter_map(|line| {
            let mut cells = line.split('\t');
            Some((cells.next()?, cells.next()?))
        })
    };
    let mut lines: Vec<Line> = Vec::new();
    let words: Vec<&str> = match pairs {
        [] => vec![wish.target.keyword],
        pairs => pairs.iter().map(|(a, _)| a.as_str()).collect(),
    };
    let singles = rows().filter(|(kind, _)| *kind == "word");
    for ((_, sentence), word) in singles.zip(words.iter().cycle()) {
        lines.push(vec![text(sentence.replace("{a}", word))]);
    }
    let doubles = rows().filter(|(kind, _)| *kind == "pair");
    for ((_, sentence), (a, b)) in doubles.zip(pairs) {
        let filled = sentence.replace("{a}", a).replace("{b}", b);
        lines.push(vec![text(filled)]);
    }
    paper.title("Sentences");
    paper.short_list(lines);
}
