//! A practice sheet for one sound: pictures, cues, words by position, minimal pairs,
//! sentences.

use super::cue::{cues, felt};
use super::explained::{explained, with_letters, words};
use super::{Line, Paper, sound, strong, text};
use crate::accent::{Accent, Phoneme};
use crate::alignment::Kind as Swap;
use crate::distance;
use crate::finding::item::Pairing;
use crate::finding::pattern;
use crate::lexicon::{Entry, Forms, Kind, Lexicon, Scope};
use crate::notation::Transcription;
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

/// The sound to tell another apart from where nobody says: of those that the named patterns
/// swap for it in their examples, the one that most pairs of common words hang on; where
/// there is none with pairs, the same among its nearest neighbours, else the nearest that has
/// any pair, else the nearest.
///
/// `None` for an accent of one sound.
#[must_use]
pub fn neighbour<'a>(
    target: &Phoneme,
    accent: &'a Accent,
    lexicon: &Lexicon,
) -> Option<&'a Phoneme> {
    let others = || {
        accent
            .phonemes()
            .iter()
            .filter(|it| it.number != target.number && !it.broad_only)
            .filter(|it| it.bundle.class == target.bundle.class)
    };
    let forms = Forms::of(lexicon, &Scope::default()).ok()?;
    let pairs = |it: &Phoneme| fit_pairs(lexicon, &forms, target, it, usize::MAX).len();
    let mut near: Vec<&Phoneme> = others().collect();
    near.sort_by_key(|it| (distance::between(&it.bundle, &target.bundle), it.number));
    let swapped = swapped(target, accent);
    let known = near.iter().copied();
    let known = known.filter(|it| swapped.iter().any(|text| *text == loose(it.text)));
    // The first of several maxima is the nearest.
    let most = |of: Vec<&'a Phoneme>| of.into_iter().rev().max_by_key(|it| pairs(it));
    let usual = most(known.collect()).filter(|it| pairs(it) > 0);
    usual.or_else(|| {
        let nearest = near.iter().copied().take(NEIGHBOURS).collect();
        let near_pairs = most(nearest).filter(|it| pairs(it) > 0);
        let far_pairs = || near.iter().copied().find(|it| pairs(it) > 0);
        near_pairs.or_else(far_pairs).or(near.first().copied())
    })
}

/// A phoneme without its tie.
fn loose(phoneme: &str) -> String {
    phoneme.replace('\u{0361}', "")
}

/// What the named patterns put in the place of a sound in their own examples, untied.
fn swapped(target: &Phoneme, accent: &Accent) -> Vec<String> {
    let mut pairing = Pairing::new(accent);
    let wanted = loose(target.text);
    let mut found = Vec::new();
    for example in pattern::shipped().iter().flat_map(|it| &it.matches) {
        let [aim, said] =
            [&example.target, &example.production].map(|it| Transcription::parse(it));
        let item = pairing.item(1, &example.word, &aim, &said);
        for column in &item.columns {
            let text = loose(&item.production.text_of(&column.production));
            if column.kind == Swap::Substitution
                && loose(&item.target.text_of(&column.target)) == wanted
                && !found.contains(&text)
            {
                found.push(text);
            }
        }
    }
    found
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
    let words = by_position(&mut paper, wish);
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
    sentences(&mut paper, &words, &pairs);
    paper
}

/// The sound as it is drawn, named without terms.
fn drawn(phoneme: &Phoneme, wish: &Wish<'_>) -> Sound {
    let posture = wish.accent.posture(&phoneme.bundle);
    let name = explained(&phoneme.bundle, wish.accent, Some(&wish.lexicon));
    Sound {
        name: words(&name),
        ..Sound::new(phoneme.text, &phoneme.bundle, posture)
    }
}

fn pictures(paper: &mut Paper, wish: &Wish<'_>) {
    let target = drawn(wish.target, wish);
    let contrast = drawn(wish.contrast, wish);
    paper.title("How to make it");
    let caption = "A head from the side, the lips at the left; below it the lips from the \
                   front, how far the jaw is down, and in dark what the tongue touches of \
                   the roof.";
    paper.picture_beside(picture::sound(&target), vec![text(caption)]);
    let lines = cues(&wish.target.bundle, &target.postures);
    paper.list(lines.iter().map(|it| vec![text(*it)]).collect());
    let change = change_in_words(&target, &contrast);
    if !change.is_empty() {
        let mut line = vec![strong("From ")];
        line.push(sound(wish.contrast.text));
        line.push(strong(" to "));
        line.push(sound(wish.target.text));
        line.push(text(": "));
        let change: Vec<String> = change.iter().map(|it| felt(it)).collect();
        line.push(text(change.join("; ")));
        line.push(text("."));
        paper.paragraph(line);
    }
}

/// Where a sound stands in a word of so many sounds.
const PLACES: [&str; 3] = ["At the beginning", "In the middle", "At the end"];

/// Words by where the sound stands in them; gives some from each place, for sentences.
fn by_position(paper: &mut Paper, wish: &Wish<'_>) -> Vec<&'static str> {
    let mut found: [Vec<&'static str>; 3] = Default::default();
    for entry in wish.lexicon.commonest_first() {
        if !is_common(&entry) || !is_fit(&entry) {
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
    let mixed = (0..WORDS).flat_map(|at| found.iter().filter_map(move |it| it.get(at)));
    let words: Vec<&str> = mixed.copied().collect();
    if words.is_empty() {
        vec![wish.target.keyword]
    } else {
        words
    }
}

fn is_common(entry: &Entry) -> bool {
    entry.rank().is_some_and(|rank| rank <= RAREST)
}

/// An ordinary word that may be put before anybody, and that is said in one way.
fn is_fit(entry: &Entry) -> bool {
    let word = entry.word();
    entry.kind() == Kind::Word
        && entry.targets().nth(1).is_none()
        && (3..=8).contains(&word.len())
        && word.bytes().all(|byte| byte.is_ascii_lowercase())
        && !is_left_out(word)
}

/// Where a phoneme stands in a target that has it once: 0 at the beginning, 1 in the middle,
/// 2 at the end. Targets write affricates tied and diphthongs untied.
fn place_in(target: &str, phoneme: &str) -> Option<usize> {
    let plain = target.replace(['ˈ', 'ˌ', '.'], "");
    let read = Transcription::parse(&plain);
    let letters: Vec<&str> = read.segments().map(|it| it.text()).collect();
    let wanted = phoneme.to_owned();
    let loose = loose(phoneme);
    let parts = Transcription::parse(&loose);
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
        |forms| fit_pairs(&wish.lexicon, &forms, wish.target, wish.contrast, PAIRS),
    )
}

/// The commonest minimal pairs that may be put before anybody, each word once, at most so
/// many.
fn fit_pairs(
    lexicon: &Lexicon,
    forms: &Forms<'_>,
    target: &Phoneme,
    contrast: &Phoneme,
    most: usize,
) -> Vec<(String, String)> {
    let Some(contrast) = lexicon.contrast(target.text, contrast.text) else {
        return Vec::new();
    };
    let fit = |word: &str| {
        let entry = lexicon.look_up(word);
        entry.is_some_and(|it| is_common(&it) && is_fit(&it))
    };
    let mut pairs: Vec<(String, String)> = Vec::new();
    for pair in forms.minimal_pairs(contrast) {
        let (a, b) = (pair.a.word, pair.b.word);
        // Each word once, and no pair that is another with an ending.
        let new = !pairs.iter().any(|(one, other)| {
            one == a || other == b || a.starts_with(one) && b.starts_with(other)
        });
        if new && fit(a) && fit(b) {
            pairs.push((a.to_owned(), b.to_owned()));
        }
        if pairs.len() >= most {
            break;
        }
    }
    pairs
}

fn sentences(paper: &mut Paper, words: &[&str], pairs: &[(String, String)]) {
    let rows = || {
        SENTENCES.lines().skip(1).filter_map(|line| {
            let mut cells = line.split('\t');
            Some((cells.next()?, cells.next()?))
        })
    };
    let mut lines: Vec<Line> = Vec::new();
    let words: Vec<&str> = match pairs {
        [] => words.to_vec(),
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
