//! Makes the word list under `grammar/lexicon/` out of its three published sources.
//!
//! ```text
//! cargo run --example lexicon-recipe -- FOLDER DICTIONARY FREQUENCIES SPELLINGS...
//! ```
//!
//! `DICTIONARY` is `cmudict.dict`, `FREQUENCIES` an unpacked `large_en.msgpack`,
//! `SPELLINGS` are lists with one word a line in its usual capitals, the shortest first.
//! Writes `en-US.tsv` and `en-US.frequency.tsv` to `FOLDER`. Where the sources are from stands in
//! `grammar/lexicon/README.md`, with their licences.

#![allow(clippy::disallowed_methods, reason = "a recipe reads and writes files")]
#![allow(clippy::print_stdout, reason = "a recipe says what it did")]
#![allow(
    clippy::indexing_slicing,
    reason = "a recipe may stop on ill-formed sources"
)]
#![allow(
    clippy::string_slice,
    reason = "a recipe may stop on ill-formed sources"
)]
#![allow(
    clippy::expect_used,
    reason = "a recipe may stop on ill-formed sources"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::Path;
use std::{env, fs};

use apical::notation::arpabet;

fn main() {
    let arguments: Vec<String> = env::args().skip(1).collect();
    let [folder, dictionary, frequencies, spellings @ ..] = arguments.as_slice() else {
        println!("lexicon-recipe FOLDER DICTIONARY FREQUENCIES SPELLINGS...");
        return;
    };
    let dictionary = fs::read_to_string(dictionary).expect("the dictionary reads");
    let frequencies = fs::read(frequencies).expect("the frequencies read");
    let spellings: Vec<String> = spellings
        .iter()
        .map(|list| fs::read_to_string(list).expect("the spellings read"))
        .collect();
    let (words, frequencies) = tables(&dictionary, &frequencies, &spellings);
    fs::write(Path::new(folder).join("en-US.tsv"), words).expect("the words are written");
    fs::write(Path::new(folder).join("en-US.frequency.tsv"), frequencies)
        .expect("the frequencies are written");
}

/// The two tables, from the three sources.
fn tables(
    dictionary: &str,
    frequencies: &[u8],
    spellings: &[String],
) -> (String, String) {
    let entries = entries(dictionary);
    let letters = letter_names(&entries);
    let frequencies = zipf(frequencies);
    // The shortest list that has a word says how it is written: a longer one also has rare
    // words in small letters (english, a spin of the ball) that are commoner as names.
    let mut usual: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    for list in spellings {
        let mut here: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
        for word in list.lines() {
            here.entry(word.to_lowercase()).or_default().insert(word);
        }
        for (word, written) in here {
            usual.entry(word).or_insert(written);
        }
    }
    let mut words = String::from("word\tkind\ttargets\n");
    let mut numbers = String::from("word\tzipf\n");
    for (word, variants) in &entries {
        if is_letter_again(word) {
            continue;
        }
        let mut targets: Vec<String> = Vec::new();
        for phones in variants
            .iter()
            .filter(|phones| phones.iter().any(|p| is_vowel(p)))
        {
            let letters = spelled_out(word, phones, &letters);
            let target = target(word, phones, letters.as_deref());
            if !targets.contains(&target) {
                targets.push(target);
            }
        }
        if targets.is_empty() {
            continue;
        }
        let by_letters = spelled_out(word, &variants[0], &letters).is_some();
        let (shown, kind) = kind(word, by_letters, usual.get(word));
        let _ = writeln!(words, "{shown}\t{kind}\t{}", targets.join(";"));
        if let Some(zipf) = frequencies.get(word) {
            let _ = writeln!(numbers, "{word}\t{}.{:02}", zipf / 100, zipf % 100);
        }
    }
    (words, numbers)
}

/// The dictionary's words with the phones of every variant, in its order.
fn entries(dictionary: &str) -> BTreeMap<String, Vec<Vec<&str>>> {
    let mut entries: BTreeMap<String, Vec<Vec<&str>>> = BTreeMap::new();
    for line in dictionary.lines() {
        let line = line.split('#').next().unwrap_or_default();
        let mut cells = line.split_whitespace();
        let Some(word) = cells.next() else { continue };
        let word = word.split('(').next().unwrap_or_default();
        if word.contains(|c: char| c.is_ascii_lowercase()) {
            entries
                .entry(word.to_owned())
                .or_default()
                .push(cells.collect());
        }
    }
    for (word, variants) in &mut entries {
        if THOUGHT.iter().any(|letters| word.contains(letters)) {
            distinct_first(variants);
        }
    }
    entries
}

/// Spellings of the vowel of *thought*.
const THOUGHT: &[&str] = &["au", "aw", "ough", "alk", "all"];

/// Of two variants alike but for AA and AO, as some say *caught* like *cot*, puts the one
/// with AO first: the accent keeps the two apart, and who merges them can say so.
fn distinct_first(variants: &mut [Vec<&str>]) {
    let with_ao = |phones: &[&str]| -> Vec<String> {
        phones
            .iter()
            .map(|phone| phone.replace("AA", "AO"))
            .collect()
    };
    for at in 0..variants.len() {
        let wanted = with_ao(&variants[at]);
        let later = (at + 1..variants.len()).find(|to| variants[*to] == wanted);
        if let Some(to) = later {
            variants.swap(at, to);
        }
    }
}

/// `b.` and `b.'s`: the letter's own entry written once more.
fn is_letter_again(word: &str) -> bool {
    matches!(
        word.as_bytes(),
        [b'a'..=b'z', b'.'] | [b'a'..=b'z', b'.', b'\'', b's']
    )
}

fn is_vowel(phone: &str) -> bool {
    phone.ends_with(['0', '1', '2'])
}

fn without_digit(phone: &str) -> &str {
    phone.trim_end_matches(['0', '1', '2'])
}

/// What the letters are called, from the dictionary's entries `a.` to `z.`.
fn letter_names(
    entries: &BTreeMap<String, Vec<Vec<&str>>>,
) -> BTreeMap<char, Vec<String>> {
    ('a'..='z')
        .map(|letter| {
            let phones = &entries[&format!("{letter}.")][0];
            (
                letter,
                phones.iter().map(|p| without_digit(p).to_owned()).collect(),
            )
        })
        .collect()
}

/// Where each letter's name starts, in a word of two letters or more that is said as the
/// names of its letters, with or without the ending s.
fn spelled_out(
    word: &str,
    phones: &[&str],
    letters: &BTreeMap<char, Vec<String>>,
) -> Option<Vec<usize>> {
    let bare: Vec<&str> = phones.iter().map(|p| without_digit(p)).collect();
    let says = |word: &str, phones: &[&str]| {
        let mut starts = Vec::new();
        let mut names = Vec::new();
        for name in word.chars().filter_map(|c| letters.get(&c)) {
            starts.push(names.len());
            names.extend(name.iter().map(String::as_str));
        }
        (starts.len() > 1 && names == phones).then_some(starts)
    };
    says(word, &bare).or_else(|| match bare.split_last() {
        Some((&("S" | "Z"), rest)) => says(word.strip_suffix('s')?, rest),
        _ => None,
    })
}

/// How a word is usually written, and its kind.
///
/// The kinds are told apart as `grammar/lexicon/README.md` says.
fn kind(
    word: &str,
    by_letters: bool,
    usual: Option<&BTreeSet<&str>>,
) -> (String, &'static str) {
    let capitals = |text: &str| text.chars().filter(char::is_ascii_uppercase).count();
    let small = usual.is_some_and(|usual| usual.contains(word));
    // The fewest capitals, Cobol before COBOL, but for the pronoun; "I'm" is a word too.
    let shown = usual
        .into_iter()
        .flatten()
        .min_by_key(|shown| capitals(shown));
    let shown = match shown {
        _ if word == "i" => "I".to_owned(),
        Some(shown) => (*shown).to_owned(),
        None => word.to_owned(),
    };
    let stem = shown.trim_end_matches("'s");
    let all_capitals = stem.len() > 1 && !stem.contains(|c: char| c.is_ascii_lowercase());
    let voweled = word.contains(['a', 'e', 'i', 'o', 'u', 'y']);
    let letter = word.len() == 1 && word != "a" && word != "i";
    let kind = if small && !letter || word == "i" || word.starts_with("i'") {
        "word"
    } else if by_letters || letter || word.contains('.') || all_capitals || !voweled {
        "abbreviation"
    } else if usual.is_some() {
        "name"
    } else {
        "unlisted"
    };
    (shown, kind)
}

/// A pronunciation in broad IPA: one primary stress in a word of two syllables or more, a
/// stress mark or a dot between syllables, none in a word of one syllable.
///
/// `letters`: where each letter's name starts, if the word is spelled out.
fn target(word: &str, phones: &[&str], letters: Option<&[usize]>) -> String {
    let stresses = stresses(word, phones, letters.is_some());
    let mut text = String::new();
    // Where the digits of unstressed vowels stand in the text: they place the dots.
    let mut unstressed = Vec::new();
    for (at, (phone, stress)) in phones.iter().zip(stresses).enumerate() {
        if at > 0 && letters.is_some_and(|starts| starts.contains(&at)) {
            text.push_str(". ");
        }
        let bare = match *phone {
            "AH0" if stress.is_some() => "AX",
            "ER0" if stress.is_some() => "AXR",
            "AH0" | "ER0" => phone,
            _ => without_digit(phone),
        };
        text.push_str(bare);
        match stress {
            Some('0') => {
                unstressed.push(text.len());
                text.push('2');
            }
            Some(digit) => text.push(digit),
            None => {}
        }
        text.push(' ');
    }
    let converted = arpabet::to_ipa(text.trim_end());
    assert!(
        converted.faults.is_empty(),
        "{word}: {:?}",
        converted.faults
    );
    let mut target = String::new();
    for piece in &converted.pieces {
        let result = &converted.text[piece.result.start..piece.result.end];
        match (unstressed.contains(&piece.source.start), target.is_empty()) {
            // The break between two letters' names only placed the mark after it.
            (false, _) if result == "." => {}
            (false, _) => target.push_str(result),
            (true, false) => target.push('.'),
            (true, true) => {}
        }
    }
    target
}

/// The stress of every phone: none for a consonant, nor in a word of one syllable.
///
/// The dictionary gives some words two primary stresses and a few none. The last keeps it
/// in what is spelled out, in a hyphenated word, after a prefix and before a suffix that
/// draws the stress; elsewhere the first: overdue and trainee, but
/// baseball. Without one, the
/// first secondary stress is raised, else the first full vowel.
fn stresses(word: &str, phones: &[&str], spelled_out: bool) -> Vec<Option<char>> {
    let digit = |phone: &&str| phone.chars().next_back().filter(char::is_ascii_digit);
    let mut stresses: Vec<Option<char>> = phones.iter().map(digit).collect();
    let of = |stresses: &[Option<char>], digit: char| -> Vec<usize> {
        (0..stresses.len())
            .filter(|at| stresses[*at] == Some(digit))
            .collect()
    };
    if stresses.iter().flatten().count() < 2 {
        return vec![None; phones.len()];
    }
    let primary = of(&stresses, '1');
    let stem = word.trim_end_matches("'s").trim_end_matches('s');
    let late = spelled_out
        || word.contains('-')
        || PREFIXES.iter().any(|prefix| word.starts_with(prefix))
        || SUFFIXES.iter().any(|suffix| stem.ends_with(suffix));
    let keeps = if late {
        primary.last()
    } else {
        primary.first()
    };
    for at in &primary {
        if Some(at) != keeps {
            stresses[*at] = Some('2');
        }
    }
    if primary.is_empty() {
        let full = |at: &usize| !matches!(phones[*at], "AH0" | "ER0");
        let vowels = of(&stresses, '0');
        let raised = of(&stresses, '2').first().copied();
        let raised = raised.or_else(|| vowels.iter().copied().find(|at| full(at)));
        if let Some(at) = raised.or_else(|| vowels.first().copied()) {
            stresses[at] = Some('1');
        }
    }
    stresses
}

/// Prefixes after which the later of two primary stresses is the word's.
const PREFIXES: &[&str] = &[
    "anti", "co", "counter", "de", "dis", "down", "inter", "micro", "mis", "multi",
    "non", "out", "over", "pre", "re", "semi", "sub", "super", "un", "under",
];

/// Endings that bear the stress, or draw it to the syllable before them.
const SUFFIXES: &[&str] = &[
    "ation", "ee", "een", "ese", "eer", "ic", "ity", "sion", "tion",
];

/// The frequency of every word, in hundredths on the Zipf scale.
///
/// The file is a list: a header, then for each hundredth of a power of ten, from one down,
/// the list of the words of that frequency. Zipf is the power of ten per thousand million.
fn zipf(bytes: &[u8]) -> BTreeMap<String, u32> {
    let mut reader = MessagePack { bytes, at: 0 };
    let bins = reader.length().expect("a list of bins");
    for _ in 0..reader.length().expect("a header") * 2 {
        reader.skip_scalar();
    }
    let mut words = BTreeMap::new();
    for bin in 0..bins - 1 {
        for _ in 0..reader.length().expect("a list of words") {
            let word = reader.text().expect("a word");
            let hundredths =
                900_u32.saturating_sub(u32::try_from(bin).unwrap_or(u32::MAX));
            words.insert(word.to_owned(), hundredths);
        }
    }
    words
}

/// Reads the four sorts of value that the frequency file is made of.
struct MessagePack<'b> {
    bytes: &'b [u8],
    at: usize,
}

impl<'b> MessagePack<'b> {
    fn byte(&mut self) -> usize {
        self.at += 1;
        usize::from(self.bytes[self.at - 1])
    }

    fn wide(&mut self) -> usize {
        self.byte() << 8 | self.byte()
    }

    /// The length of a list or a map.
    fn length(&mut self) -> Option<usize> {
        match self.byte() {
            small @ 0x80..=0x9f => Some(small & 0x0f),
            0xdc => Some(self.wide()),
            _ => None,
        }
    }

    fn text(&mut self) -> Option<&'b str> {
        let length = match self.byte() {
            small @ 0xa0..=0xbf => small & 0x1f,
            0xd9 => self.byte(),
            0xda => self.wide(),
            _ => return None,
        };
        self.at += length;
        str::from_utf8(&self.bytes[self.at - length..self.at]).ok()
    }

    /// Passes a text or a small number.
    fn skip_scalar(&mut self) {
        if self.bytes[self.at] < 0x80 {
            self.at += 1;
        } else {
            self.text();
        }
    }
}
