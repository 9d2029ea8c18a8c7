//! Word lists: `lexicon/NAME.tsv` and `lexicon/NAME.frequency.tsv`, compiled into a map
//! from word to offset and the packed entries it points into.
//!
//! The packed form is described, and read, in `src/lexicon/packed.rs`.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::{env, fs};

use crate::{Row, line, read};

/// The kinds of word, in the order of their numbers.
const KINDS: &[&str] = &["word", "name", "abbreviation", "unlisted"];

/// No phoneme's spelling is longer, in bytes.
const LONGEST_SOUND: usize = 8;

/// Zipf frequencies are below this, in hundredths.
const ZIPF_LIMIT: u16 = 1 << 10;

/// Writes `NAME.fst` and `NAME.packed` for every word list, and `lexicon.rs`, which
/// includes them.
pub fn generate(grammar: &Path, faults: &mut Vec<String>) {
    let folder = grammar.join("lexicon");
    println!("cargo::rerun-if-changed={}", folder.display());
    let mut names: Vec<String> = fs::read_dir(&folder)
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|entry| {
            let name = entry.file_name().to_string_lossy().into_owned();
            Some(name.strip_suffix(".tsv")?.to_owned())
        })
        .filter(|name| !name.contains('.'))
        .collect();
    names.sort();
    let target = Path::new(&env::var_os("OUT_DIR").unwrap_or_default()).to_owned();
    let mut out = String::from("pub(super) static TABLES: &[Table] = &[\n");
    for name in &names {
        let sounds = sounds(grammar, name, faults);
        let words = words(&folder, name, &sounds, faults);
        let Some((map, packed)) = compile(&words, faults) else {
            continue;
        };
        for (ending, bytes) in [("fst", map), ("packed", packed)] {
            if let Err(error) = fs::write(target.join(format!("{name}.{ending}")), bytes)
            {
                faults.push(format!("{name}.{ending}: {error}"));
            }
        }
        let file = |ending| {
            format!("include_bytes!(concat!(env!(\"OUT_DIR\"), \"/{name}.{ending}\"))")
        };
        line(
            &mut out,
            &format!(
                "Table {{ name: {name:?}, map: {}, packed: {}, words: {}, ranks: &{:?}, sounds: &[",
                file("fst"),
                file("packed"),
                words.len(),
                ranks(&words),
            ),
        );
        for sound in &sounds {
            line(
                &mut out,
                &format!(
                    "Sound {{ text: {:?}, also: &{:?}, vowel: {} }},",
                    sound.text, sound.also, sound.vowel
                ),
            );
        }
        line(&mut out, "] },");
    }
    line(&mut out, "];");
    if let Err(error) = fs::write(target.join("lexicon.rs"), out) {
        faults.push(format!("lexicon.rs: {error}"));
    }
}

/// A phoneme of the word list.
struct Sound {
    /// As the word list writes it.
    text: String,
    /// Other spellings.
    also: Vec<String>,
    vowel: bool,
}

/// The phonemes that a word list is written with: those of its accent, diphthongs untied.
/// A vowel before ɹ is two of them; syllabic consonants are not broad.
fn sounds(grammar: &Path, name: &str, faults: &mut Vec<String>) -> Vec<Sound> {
    let path = grammar.join("accents").join(name).join("phonemes.tsv");
    let mut sounds = Vec::new();
    let columns = ["phoneme", "kind", "also", "broad", "option"];
    for row in &read(&path, &columns, faults).rows {
        if !row.cell("option").is_empty() {
            continue;
        }
        let tied = row.cell("phoneme");
        let kind = row.cell("kind");
        let mut also: Vec<String> = row
            .cell("also")
            .split_whitespace()
            .chain(row.cell("broad").split_whitespace())
            .map(str::to_owned)
            .collect();
        let text = match kind {
            "diphthong" => {
                also.push(tied.to_owned());
                tied.replace('\u{361}', "")
            }
            "affricate" => {
                also.push(tied.replace('\u{361}', ""));
                tied.to_owned()
            }
            "consonant" | "monophthong" => tied.to_owned(),
            "r-coloured" if tied.chars().count() == 1 => tied.to_owned(),
            _ => continue,
        };
        let vowel = !matches!(kind, "consonant" | "affricate");
        if text.len() > LONGEST_SOUND {
            faults.push(format!("{}: `{text}` is too long to pack", row.place));
        }
        sounds.push(Sound { text, also, vowel });
    }
    if sounds.len() > 63 {
        faults.push(format!(
            "{}: more than 63 phonemes do not pack",
            path.display()
        ));
    }
    sounds
}

/// A word ready to be packed.
struct Word {
    /// In its usual spelling.
    shown: String,
    kind: u16,
    /// In hundredths; 0 if unknown.
    zipf: u16,
    /// Phonemes of every variant.
    targets: Vec<Vec<u8>>,
}

/// The words by their spelling in small letters.
fn words(
    folder: &Path,
    name: &str,
    sounds: &[Sound],
    faults: &mut Vec<String>,
) -> BTreeMap<String, Word> {
    let numbers: BTreeMap<&str, u8> = sounds
        .iter()
        .map(|sound| sound.text.as_str())
        .zip(1..)
        .collect();
    let mut words = BTreeMap::new();
    for row in &read(
        &folder.join(format!("{name}.tsv")),
        &["word", "kind", "targets"],
        faults,
    )
    .rows
    {
        let shown = row.cell("word");
        let key = shown.to_lowercase();
        let mut wrong = |reason: String| faults.push(format!("{}: {reason}", row.place));
        if shown.is_empty() || shown.len() > usize::from(u8::MAX) {
            wrong("a word has 1 to 255 bytes".to_owned());
        }
        let kind = (0..)
            .zip(KINDS)
            .find(|(_, kind)| **kind == row.cell("kind"));
        let kind = kind.map_or_else(
            || {
                wrong(format!("unknown kind `{}`", row.cell("kind")));
                0
            },
            |(number, _)| number,
        );
        let mut targets = Vec::new();
        for target in row.cell("targets").split(';') {
            match packed(target, &numbers) {
                Ok(target) if targets.contains(&target) => {
                    wrong("a target twice".to_owned());
                }
                Ok(target) => targets.push(target),
                Err(reason) => wrong(reason),
            }
        }
        let word = Word {
            shown: shown.to_owned(),
            kind,
            zipf: 0,
            targets,
        };
        if words.insert(key, word).is_some() {
            wrong(format!("`{shown}` stands twice"));
        }
    }
    frequencies(folder, name, &mut words, faults);
    words
}

/// A target as packed phonemes: in each the number of the phoneme in the lower six bits and
/// the mark before it in the upper two.
fn packed(target: &str, numbers: &BTreeMap<&str, u8>) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    let mut rest = target;
    while let Some(first) = rest.chars().next() {
        let mark = match first {
            '.' => 1,
            'ˌ' => 2,
            'ˈ' => 3,
            _ => 0,
        };
        if mark != 0 {
            rest = rest.strip_prefix(first).unwrap_or_default();
        }
        let found = (1..=LONGEST_SOUND).rev().find_map(|length| {
            let (start, after) = rest.split_at_checked(length)?;
            Some((*numbers.get(start)?, after))
        });
        let Some((number, after)) = found else {
            return Err(format!(
                "no phoneme of the accent at `{rest}` of `{target}`"
            ));
        };
        bytes.push(number | mark << 6);
        rest = after;
    }
    if bytes.is_empty() {
        Err("no target".to_owned())
    } else {
        Ok(bytes)
    }
}

fn frequencies(
    folder: &Path,
    name: &str,
    words: &mut BTreeMap<String, Word>,
    faults: &mut Vec<String>,
) {
    let path = folder.join(format!("{name}.frequency.tsv"));
    let mut seen = BTreeSet::new();
    for row in &read(&path, &["word", "zipf"], faults).rows {
        let mut wrong = |reason: &str| faults.push(format!("{}: {reason}", row.place));
        if !seen.insert(row.cell("word").to_owned()) {
            wrong("the word stands twice");
        }
        match (words.get_mut(row.cell("word")), hundredths(row)) {
            (Some(word), Some(zipf)) => word.zipf = zipf,
            (None, _) => wrong("not a word of the list"),
            (_, None) => wrong("zipf must have two decimals and lie between 0 and 10"),
        }
    }
}

/// A zipf frequency in hundredths.
fn hundredths(row: &Row) -> Option<u16> {
    let (whole, decimals) = row.cell("zipf").split_once('.')?;
    if decimals.len() != 2 {
        return None;
    }
    let hundredths: u16 = format!("{whole}{decimals}").parse().ok()?;
    (1..ZIPF_LIMIT).contains(&hundredths).then_some(hundredths)
}

/// The map and the packed entries.
fn compile(
    words: &BTreeMap<String, Word>,
    faults: &mut Vec<String>,
) -> Option<(Vec<u8>, Vec<u8>)> {
    let mut map = fst::MapBuilder::memory();
    let mut packed = Vec::new();
    for (key, word) in words {
        if let Err(error) = map.insert(key, packed.len() as u64) {
            faults.push(format!("`{key}`: {error}"));
        }
        packed.extend((word.zipf | word.kind << 10).to_le_bytes());
        packed.push(u8::try_from(word.shown.len()).unwrap_or(0));
        packed.extend(word.shown.as_bytes());
        for (at, target) in word.targets.iter().enumerate() {
            packed.extend(target);
            let last = at + 1 == word.targets.len();
            packed.push(if last { 1 << 6 } else { 0 });
        }
    }
    map.into_inner().ok().map(|map| (map, packed))
}

/// For every zipf frequency in hundredths the rank of its words: one more than the number
/// of words that are commoner.
fn ranks(words: &BTreeMap<String, Word>) -> Vec<u32> {
    let commonest = words.values().map(|word| word.zipf).max().unwrap_or(0);
    let mut ranks = vec![0_u32; usize::from(commonest) + 1];
    for word in words.values() {
        if let Some(count) = ranks.get_mut(usize::from(word.zipf)) {
            *count += 1;
        }
    }
    let mut before = 1;
    for rank in ranks.iter_mut().rev() {
        let here = *rank;
        *rank = before;
        before += here;
    }
    ranks
}
