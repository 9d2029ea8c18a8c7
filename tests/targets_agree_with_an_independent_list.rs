//! Our targets against a list of broad American transcriptions that others made.
//!
//! That list has no stress marks and no syllables, writes affricates tied or not and
//! diphthongs in two letters. What is left after that is compared step by step, each step
//! with one more option that the accent leaves open. The list lies outside the crate; where
//! it is missing there is nothing to compare.

#![allow(
    clippy::print_stdout,
    reason = "the test prints the figures it rests on"
)]
#![allow(
    clippy::disallowed_methods,
    reason = "the test reads a list outside the crate"
)]
#![allow(
    clippy::expect_used,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test may stop"
)]

use std::collections::BTreeMap;

use apical::lexicon::Lexicon;

const LIST: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../shared/data/wordlists/eng-us-broad.tsv"
);

/// The options, each on top of those before it.
const STEPS: [&str; 6] = [
    "as written, without stress, length and ties",
    "cot–caught: ɔ and ɑ are one",
    "weak vowels: ə, ɪ, ʌ (and i before a vowel or at the end) where no stress is",
    "r-coloured vowels: ɝ, ɚ, əɹ, ʌɹ, ʊɹ are one, and a ə between a vowel and ɹ does not count",
    "vowels before ɹ: Mary, merry, marry; mirror, nearer; ɔ, oʊ and ʊ",
    "syllabic consonants are ə and the consonant",
];

/// A sound and whether it stands in a syllable without stress.
type Sound = (String, bool);

/// A text in its sounds, in the plainest spelling; what bears no mark is taken as weak if the
/// text marks stress at all.
fn sounds(text: &str, step: usize) -> Vec<Sound> {
    let mut sounds: Vec<Sound> = Vec::new();
    // A word of one syllable bears no mark and is no weak one.
    let marked = text.contains('ˈ');
    let mut weak = marked;
    for c in text.chars() {
        match c {
            'ˈ' | 'ˌ' => weak = false,
            '.' => weak = true,
            '\u{361}' | '\u{32f}' | 'ː' | ' ' => {}
            'g' => sounds.push(("ɡ".to_owned(), weak)),
            'r' => sounds.push(("ɹ".to_owned(), weak)),
            '\u{329}' => {
                if let Some((last, _)) = sounds.last_mut() {
                    last.push(c);
                }
            }
            _ => sounds.push((c.to_string(), weak)),
        }
    }
    sounds = joined(sounds);
    if step >= 5 {
        sounds = sounds
            .into_iter()
            .flat_map(|(sound, weak)| match sound.strip_suffix('\u{329}') {
                Some(letter) => vec![("ə".to_owned(), weak), (letter.to_owned(), weak)],
                None => vec![(sound, weak)],
            })
            .collect();
    }
    if step >= 3 {
        let mut plain: Vec<Sound> = Vec::new();
        for (sound, weak) in sounds {
            match sound.as_str() {
                "ɝ" | "ɚ" | "ɜ˞" => {
                    plain.push(("ə".to_owned(), weak));
                    plain.push(("ɹ".to_owned(), weak));
                }
                _ => plain.push((sound, weak)),
            }
        }
        let glides = |at: usize| {
            plain[at].0 == "ə"
                && plain.get(at + 1).is_some_and(|next| next.0 == "ɹ")
                && at > 0
                && is_vowel(&plain[at - 1].0)
        };
        sounds = (0..plain.len())
            .filter(|at| !glides(*at))
            .map(|at| plain[at].clone())
            .collect();
    }
    sounds
}

const VOWELS: [&str; 14] = [
    "i", "ɪ", "e", "ɛ", "æ", "a", "ɑ", "ɒ", "ɔ", "o", "ʊ", "u", "ʌ", "ə",
];

const DIPHTHONGS: [&str; 6] = ["eɪ", "aɪ", "ɔɪ", "aʊ", "oʊ", "əʊ"];

/// The two letters of a diphthong as one sound.
fn joined(sounds: Vec<Sound>) -> Vec<Sound> {
    let mut whole: Vec<Sound> = Vec::new();
    for (sound, weak) in sounds {
        match whole.last_mut() {
            Some((last, _))
                if DIPHTHONGS.contains(&format!("{last}{sound}").as_str()) =>
            {
                last.push_str(&sound);
            }
            _ => whole.push((sound, weak)),
        }
    }
    whole
}

fn is_vowel(sound: &str) -> bool {
    VOWELS.contains(&sound) || DIPHTHONGS.contains(&sound)
}

/// What lies behind the commonest disagreements, ours and theirs: read off the words, no
/// source.
const REASONS: [(&[&str], &str); 10] = [
    (&["oʊ əʊ"], "the British way to write oʊ"),
    (&["oʊ ə", "ə oʊ"], "unstressed oʊ kept or reduced"),
    (
        &["ɛ ɪ", "ɪ ɛ", "ɛ ə", "ə ɛ"],
        "e in a weak syllable: en-, ex-, de-, -est",
    ),
    (
        &[" j", "j "],
        "j after alveolars, or before a weak u, said or not",
    ),
    (
        &["j i", "i j"],
        "i before a vowel as a glide or as a syllable",
    ),
    (
        &["æ ə", "ɑ ə", "ə æ", "ə ɑ"],
        "full or reduced vowel beside the stress",
    ),
    (
        &["ɑ æ", "æ ɑ", "eɪ ɑ", "ɑ eɪ"],
        "the a of names and loan words",
    ),
    (
        &["ɹ ", " ɹ"],
        "the first of two ɹ dropped, as in particular",
    ),
    (&["ə u", "ə ʊ", "u ə", "u ʊ"], "weak u reduced or not"),
    (
        &["t ", " t", "z s", "s z"],
        "variants that both are listed in dictionaries",
    ),
];

/// Whether our sound may stand for theirs.
fn alike((our, weak): &Sound, (their, _): &Sound, before_r: bool, step: usize) -> bool {
    let among =
        |set: &[&str]| set.contains(&our.as_str()) && set.contains(&their.as_str());
    our == their
        || step >= 1 && among(&["ɔ", "ɑ", "ɒ"]) && (!before_r || step >= 4)
        || step >= 2 && *weak && among(&["ə", "ɪ", "ʌ", "ɨ"])
        || step >= 2 && *weak && among(&["i", "ɪ"])
        || step >= 3 && before_r && among(&["ə", "ʌ", "ɜ", "ʊ"])
        || step >= 4 && before_r && among(&["ɛ", "æ", "e", "eɪ"])
        || step >= 4 && before_r && among(&["ɪ", "i"])
        || step >= 4 && before_r && among(&["ɔ", "o", "oʊ", "ʊ", "u"])
}

/// The sounds, ours and theirs, that do not agree; an empty one is none.
fn differences(ours: &str, theirs: &str, step: usize) -> Vec<(String, String)> {
    let (ours, theirs) = (sounds(ours, step), sounds(theirs, step));
    let is = |sounds: &[Sound], at: usize, sound: &str| {
        sounds.get(at).is_some_and(|here| here.0 == sound)
    };
    let agree = |i: usize, j: usize| {
        let before_r = is(&ours, i + 1, "ɹ") && is(&theirs, j + 1, "ɹ");
        alike(&ours[i], &theirs[j], before_r, step)
    };
    let vowel = |sound: &Sound| is_vowel(&sound.0);
    let replacing = |i: usize, j: usize| match () {
        () if agree(i, j) => 0,
        () if vowel(&ours[i]) == vowel(&theirs[j]) => 2,
        () => 4,
    };
    // The cost from each place on; an omission or an addition costs 2 as well.
    let mut cost = vec![vec![0; theirs.len() + 1]; ours.len() + 1];
    for i in (0..=ours.len()).rev() {
        for j in (0..=theirs.len()).rev() {
            cost[i][j] = match (i < ours.len(), j < theirs.len()) {
                (true, true) => (cost[i + 1][j + 1] + replacing(i, j))
                    .min(cost[i + 1][j] + 2)
                    .min(cost[i][j + 1] + 2),
                (true, false) => cost[i + 1][j] + 2,
                (false, true) => cost[i][j + 1] + 2,
                (false, false) => 0,
            };
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut found = Vec::new();
    while i < ours.len() || j < theirs.len() {
        let both = i < ours.len() && j < theirs.len();
        if both && cost[i][j] == cost[i + 1][j + 1] + replacing(i, j) {
            if !agree(i, j) {
                found.push((ours[i].0.clone(), theirs[j].0.clone()));
            }
            (i, j) = (i + 1, j + 1);
        } else if i < ours.len() && cost[i][j] == cost[i + 1][j] + 2 {
            found.push((ours[i].0.clone(), String::new()));
            i += 1;
        } else {
            found.push((String::new(), theirs[j].0.clone()));
            j += 1;
        }
    }
    found
}

#[test]
fn most_words_agree_up_to_the_accents_options() {
    let Ok(table) = std::fs::read_to_string(LIST) else {
        return;
    };
    let lexicon = Lexicon::of("en-US").expect("American English has a word list");
    let mut theirs: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for line in table.lines().skip(1) {
        let mut cells = line.split('\t');
        if let (Some(word), Some(transcription)) = (cells.next(), cells.next()) {
            theirs.entry(word).or_default().push(transcription);
        }
    }
    let mut words = 0_u32;
    let mut agree = [0_u32; STEPS.len()];
    let mut left: BTreeMap<(String, String), Vec<String>> = BTreeMap::new();
    for (word, transcriptions) in &theirs {
        let Some(entry) = lexicon.look_up(word) else {
            continue;
        };
        words += 1;
        let ours: Vec<String> = entry.targets().collect();
        let pairs = || {
            ours.iter()
                .flat_map(|our| transcriptions.iter().map(move |t| (our, t)))
        };
        for (step, count) in agree.iter_mut().enumerate() {
            let one_agrees = pairs().any(|(our, t)| differences(our, t, step).is_empty());
            *count += u32::from(one_agrees);
        }
        let last = STEPS.len() - 1;
        let nearest = pairs()
            .map(|(our, t)| differences(our, t, last))
            .min_by_key(Vec::len);
        for difference in nearest.unwrap_or_default() {
            left.entry(difference).or_default().push((*word).to_owned());
        }
    }
    println!(
        "{} words, {words} of them in our list; with one target equal:",
        theirs.len()
    );
    for (step, count) in STEPS.iter().zip(agree) {
        println!(
            "{:6.2} %  {step}",
            100.0 * f64::from(count) / f64::from(words)
        );
    }
    let mut left: Vec<_> = left.into_iter().collect();
    left.sort_by_key(|(_, words)| std::cmp::Reverse(words.len()));
    for ((our, their), words) in left.iter().take(25) {
        let some: Vec<&str> = words.iter().take(5).map(String::as_str).collect();
        let key = format!("{our} {their}");
        let reason = REASONS
            .iter()
            .find(|(keys, _)| keys.contains(&key.as_str()));
        let reason = reason.map_or("", |(_, reason)| *reason);
        println!(
            "{:4}  ours {our:3} theirs {their:3} {}  {reason}",
            words.len(),
            some.join(", ")
        );
    }
    assert!(words > 1_000, "only {words} words to compare");
    let share = agree.map(|count| f64::from(count) / f64::from(words));
    assert!(share[0] >= 0.70, "as written: {}", share[0]);
    assert!(
        share[STEPS.len() - 1] >= 0.88,
        "with all options: {}",
        share[STEPS.len() - 1]
    );
}
