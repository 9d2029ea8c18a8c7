//! The code point table: what every character is, and everything that is not a letter or mark.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use unicode_normalization::UnicodeNormalization as _;

use crate::letters::Letters;
use crate::{automaton, line, read, sourced, symbol};

/// An entry of the table: kind, value, number, and up to three further numbers.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Entry {
    pub kind: &'static str,
    pub value: u8,
    pub id: u16,
    pub extra: [u16; 3],
}

/// Letters, each with a mark that makes it what is typed for another letter, by numbers.
pub type Misspelled = BTreeSet<(usize, usize)>;

pub const NONE: u16 = u16::MAX;

impl Entry {
    const fn new(kind: &'static str, id: usize) -> Self {
        Self {
            kind,
            value: 0,
            id: number(id),
            extra: [NONE; 3],
        }
    }
}

#[allow(
    clippy::cast_possible_truncation,
    reason = "tables have far fewer rows"
)]
const fn number(id: usize) -> u16 {
    id as u16
}

pub fn generate(
    grammar: &Path,
    letters: &Letters,
    out: &mut String,
    faults: &mut Vec<String>,
) {
    let mut table: BTreeMap<char, Entry> = BTreeMap::new();
    for (text, id) in &letters.symbols {
        let mut chars = text.chars();
        if let (Some(letter), None) = (chars.next(), chars.next()) {
            let mut entry = Entry::new("Letter", *id);
            // 1: the judge looks at the letter even without marks.
            entry.value =
                u8::from(letters.care.get(*id).is_some_and(|care| care >> 127 == 1));
            table.insert(letter, entry);
        }
    }
    for (mark, id) in &letters.marks {
        let kind = if letters.sits.get(*id).is_some_and(|sits| sits == "after") {
            "Modifier"
        } else {
            "Mark"
        };
        let mut entry = Entry::new(kind, *id);
        entry.value = letters.leads.get(*id).copied().unwrap_or(0);
        if table.insert(*mark, entry).is_some() {
            faults.push(format!("diacritics.tsv: `{mark}` is a letter too"));
        }
    }
    table.insert('\u{361}', Entry::new("Tie", 0));
    table.insert('\u{35C}', Entry::new("Tie", 1));
    table.insert('\u{362}', Entry::new("Tie", 2));
    table.insert('\u{327}', Entry::new("Cedilla", 0));
    table.insert('\\', Entry::new("Reiteration", 0));
    table.insert(' ', Entry::new("Space", 0));
    suprasegmentals(grammar, &mut table, out, faults);
    brackets(grammar, &mut table, out, faults);
    labels(grammar, out, faults);
    let (sequences, care, misspelled) =
        lookalikes(grammar, letters, &mut table, out, faults);
    precomposed(letters, &sequences, &mut table);
    automaton::generate(grammar, letters, &care, &misspelled, &table, out, faults);
    emit(&table, out);
}

fn suprasegmentals(
    grammar: &Path,
    table: &mut BTreeMap<char, Entry>,
    out: &mut String,
    faults: &mut Vec<String>,
) {
    let rows = read(
        &grammar.join("suprasegmentals.tsv"),
        &[
            "symbol",
            "codepoints",
            "kind",
            "name",
            "value",
            "status",
            "source",
        ],
        faults,
    )
    .rows;
    let mut body = String::new();
    for (id, row) in rows.iter().enumerate() {
        sourced(row, faults);
        let text = symbol(row, row.cell("symbol"), "codepoints", faults);
        let kind = match row.cell("kind") {
            "primary-stress" => "PrimaryStress",
            "secondary-stress" => "SecondaryStress",
            "syllable-break" => "SyllableBreak",
            "minor-group" => "MinorGroup",
            "major-group" => "MajorGroup",
            "linking" => "Linking",
            "step" => "Step",
            "intonation" => "Intonation",
            "tone-letter" => "ToneLetter",
            "tone-digit" => "ToneDigit",
            other => {
                faults.push(format!("{}: unknown kind `{other}`", row.place));
                continue;
            }
        };
        let mut entry = Entry::new(kind, id);
        // Tone 0 is the neutral tone: 15 keeps it apart from "no more levels".
        entry.value = match row.cell("value").parse::<i8>() {
            Ok(0) => 15,
            Ok(value) => value.unsigned_abs(),
            Err(_) => 0,
        };
        if let Some(c) = text.chars().next()
            && table.insert(c, entry).is_some()
        {
            faults.push(format!(
                "{}: `{text}` has another meaning already",
                row.place
            ));
        }
        line(
            &mut body,
            &format!(
                "Suprasegmental {{ text: {text:?}, name: {:?}, off_chart: {}, source: {:?} }},",
                row.cell("name"),
                row.cell("status") != "current",
                row.cell("source")
            ),
        );
    }
    line(
        out,
        &format!(
            "pub static SUPRASEGMENTALS: [Suprasegmental; {}] = [\n{body}];",
            rows.len()
        ),
    );
}

fn brackets(
    grammar: &Path,
    table: &mut BTreeMap<char, Entry>,
    out: &mut String,
    faults: &mut Vec<String>,
) {
    let rows = read(
        &grammar.join("brackets.tsv"),
        &[
            "open",
            "open_codepoints",
            "close",
            "close_codepoints",
            "kind",
            "name",
            "source",
        ],
        faults,
    )
    .rows;
    let mut body = String::new();
    for (id, row) in rows.iter().enumerate() {
        sourced(row, faults);
        let open = symbol(row, row.cell("open"), "open_codepoints", faults);
        let close = symbol(row, row.cell("close"), "close_codepoints", faults);
        let kind = match row.cell("kind") {
            "narrow" => "Narrow",
            "broad" => "Broad",
            "silent" => "Silent",
            "obscured" => "Obscured",
            "voice" => "Voice",
            "optional" => "Optional",
            other => {
                faults.push(format!("{}: unknown kind `{other}`", row.place));
                continue;
            }
        };
        line(
            &mut body,
            &format!(
                "Bracket {{ open: {open:?}, close: {close:?}, kind: BracketKind::{kind}, name: {:?} }},",
                row.cell("name")
            ),
        );
        let mut opening = open.chars();
        if let (Some(o), None, Some(c)) =
            (opening.next(), opening.next(), close.chars().next())
        {
            if o == c {
                table.insert(o, Entry::new("Slash", id));
            } else {
                table.insert(o, Entry::new("Open", id));
                table.insert(c, Entry::new("Close", id));
            }
        }
    }
    line(
        out,
        &format!(
            "pub static BRACKETS: [Bracket; {}] = [\n{body}];",
            rows.len()
        ),
    );
}

fn labels(grammar: &Path, out: &mut String, faults: &mut Vec<String>) {
    let rows = read(
        &grammar.join("voice_labels.tsv"),
        &["label", "codepoints", "kind", "name", "source"],
        faults,
    )
    .rows;
    let mut all = Vec::new();
    for row in &rows {
        sourced(row, faults);
        let text = symbol(row, row.cell("label"), "codepoints", faults);
        all.push((text, row.cell("name").to_owned()));
    }
    // Longest first, so that the first that fits is the right one.
    all.sort_by(|a, b| b.0.len().cmp(&a.0.len()).then(a.0.cmp(&b.0)));
    let mut body = String::new();
    for (text, name) in &all {
        line(&mut body, &format!("    ({text:?}, {name:?}),"));
    }
    line(
        out,
        &format!(
            "pub static VOICE_LABELS: [(&str, &str); {}] = [\n{body}];",
            all.len()
        ),
    );
}

fn lookalikes(
    grammar: &Path,
    letters: &Letters,
    table: &mut BTreeMap<char, Entry>,
    out: &mut String,
    faults: &mut Vec<String>,
) -> (BTreeMap<String, Entry>, Vec<u128>, Misspelled) {
    let rows = read(
        &grammar.join("lookalikes.tsv"),
        &[
            "input",
            "codepoints",
            "called",
            "readings",
            "severity",
            "kind",
            "reason",
            "source",
        ],
        faults,
    )
    .rows;
    let mut body = String::new();
    let mut sequences: BTreeMap<String, Entry> = BTreeMap::new();
    let mut care = letters.care.clone();
    let mut errors = BTreeSet::new();
    let mut inserted = Vec::new();
    for (id, row) in rows.iter().enumerate() {
        sourced(row, faults);
        // The input may be white space or a mark, so the code points are the authority.
        let text: String = row
            .cell("codepoints")
            .split_whitespace()
            .filter_map(|code| {
                let c = code
                    .strip_prefix("U+")
                    .and_then(|hex| u32::from_str_radix(hex, 16).ok())
                    .and_then(char::from_u32);
                if c.is_none() {
                    faults.push(format!("{}: no code point `{code}`", row.place));
                }
                c
            })
            .collect();
        let severity = match row.cell("severity") {
            "error" => "Error",
            "warning" => "Warning",
            "style" => "Style",
            other => {
                faults.push(format!("{}: no severity `{other}`", row.place));
                "Error"
            }
        };
        let readings: Vec<&str> = match row.cell("readings") {
            "remove" => vec![""],
            "space" => vec![" "],
            cell => cell.split_whitespace().collect(),
        };
        let acts = readings
            .first()
            .and_then(|reading| {
                // A letter such as ç is one with its cedilla; else the letter without marks.
                let composed = reading.nfc().next().and_then(|c| table.get(&c));
                composed.or_else(|| table.get(&reading.chars().next()?))
            })
            .copied();
        if acts.is_none() && readings.first().is_some_and(|reading| !reading.is_empty()) {
            faults.push(format!(
                "{}: reading `{}` is not in the tables",
                row.place,
                readings.join(" ")
            ));
        }
        let mut entry = Entry::new("Lookalike", id);
        if let Some(acts) = acts {
            entry.extra = [kind_number(acts.kind), acts.id, u16::from(acts.value)];
        }
        let mut chars = text.chars();
        if let (Some(c), None) = (chars.next(), chars.next()) {
            if table.contains_key(&c) {
                faults.push(format!("{}: `{c}` is in another table already", row.place));
            }
            inserted.push((c, entry));
        } else if sequences.insert(text.clone(), entry).is_some() {
            faults.push(format!("{}: `{text}` twice", row.place));
        }
        if severity == "Error" {
            errors.insert(text.clone());
        }
        line(
            &mut body,
            &format!(
                "Lookalike {{ input: {text:?}, called: {:?}, readings: &{readings:?}, severity: Severity::{severity}, reason: {:?}, kind: {:?}, source: {:?} }},",
                row.cell("called"),
                row.cell("reason"),
                row.cell("kind"),
                row.cell("source"),
            ),
        );
    }
    let mut misspelled = Misspelled::new();
    for text in sequences.keys() {
        let mut chars = text.chars();
        let letter = chars
            .next()
            .and_then(|c| letters.symbols.get(&c.to_string()));
        let mark = chars.next().and_then(|c| letters.marks.get(&c));
        let kind = mark.and_then(|mark| letters.kinds.get(*mark));
        if let (Some(letter), Some(mark), true) = (letter, mark, errors.contains(text)) {
            misspelled.insert((*letter, *mark));
        }
        if let (Some(letter), Some(kind)) = (letter, kind)
            && let Some(mask) = care.get_mut(*letter)
        {
            *mask |= 1 << kind;
        }
    }
    line(
        out,
        &format!("pub static CARE: [u128; {}] = {care:?};", care.len()),
    );
    for (c, entry) in inserted {
        if table.insert(c, entry).is_some() {
            faults.push(format!("lookalikes.tsv: `{c}` twice"));
        }
    }
    line(
        out,
        &format!(
            "pub static LOOKALIKES: [Lookalike; {}] = [\n{body}];",
            rows.len()
        ),
    );
    let mut body = String::new();
    for (text, entry) in &sequences {
        line(&mut body, &format!("    ({text:?}, {}),", entry.id));
    }
    line(
        out,
        &format!(
            "pub static SEQUENCES: [(&str, u16); {}] = [\n{body}];",
            sequences.len()
        ),
    );
    (sequences, care, misspelled)
}

/// Every character that Unicode decomposes into a letter and marks of the tables.
fn precomposed(
    letters: &Letters,
    sequences: &BTreeMap<String, Entry>,
    table: &mut BTreeMap<char, Entry>,
) {
    for c in ('\u{A0}'..='\u{2FFFF}')
        .filter(|c| !table.contains_key(c))
        .collect::<Vec<_>>()
    {
        let mut parts: Vec<char> = std::iter::once(c).nfd().collect();
        if parts.as_slice() == [c] {
            continue;
        }
        let whole: String = parts.iter().collect();
        if let Some(at) = parts.iter().position(|part| *part == '\u{327}')
            && parts.first() == Some(&'c')
        {
            parts.remove(at);
            if let Some(first) = parts.first_mut() {
                *first = 'ç';
            }
        }
        let Some(first) = parts.first().and_then(|first| table.get(first)).copied()
        else {
            continue;
        };
        if parts.len() == 1 {
            table.insert(c, first);
            continue;
        }
        let marks: Option<Vec<u16>> = parts
            .iter()
            .skip(1)
            .map(|mark| letters.marks.get(mark).map(|id| number(*id)))
            .collect();
        let plain = first.kind == "Letter" && parts.len() <= 4;
        let entry = match (marks, sequences.get(&whole)) {
            (Some(marks), _) if plain => composed(first.id, first.value, &marks),
            (_, Some(sequence)) => *sequence,
            _ => match strange(first, &parts, table) {
                Some(entry) => entry,
                None => continue,
            },
        };
        table.insert(c, entry);
    }
}

fn composed(symbol: u16, value: u8, marks: &[u16]) -> Entry {
    let mut extra = [NONE; 3];
    for (slot, mark) in extra.iter_mut().zip(marks) {
        *slot = *mark;
    }
    Entry {
        kind: "Precomposed",
        value,
        id: symbol,
        extra,
    }
}

/// A letter and marks of which one at least is a lookalike: read as the two would be, and
/// looked at again when it is met (value 2).
fn strange(first: Entry, parts: &[char], table: &BTreeMap<char, Entry>) -> Option<Entry> {
    let acts_as = |entry: &Entry, kinds: &[&str]| {
        let kind = KINDS.get(usize::from(entry.extra[0]));
        kind.is_some_and(|kind| kinds.contains(kind))
            .then_some(entry.extra[1])
    };
    let symbol = match first.kind {
        "Letter" => first.id,
        "Lookalike" => acts_as(&first, &["Letter"])?,
        _ => return None,
    };
    let marks: Vec<u16> = parts
        .iter()
        .skip(1)
        .filter_map(|mark| {
            let entry = table.get(mark)?;
            match entry.kind {
                "Mark" | "Modifier" => Some(entry.id),
                _ => acts_as(entry, &["Mark", "Modifier"]),
            }
        })
        .collect();
    (marks.len() <= 3).then(|| composed(symbol, 2, &marks))
}

/// The kinds of entry, in the order of `EntryKind`.
const KINDS: &[&str] = &[
    "Unknown",
    "Letter",
    "Precomposed",
    "Mark",
    "Modifier",
    "Tie",
    "Cedilla",
    "Reiteration",
    "Space",
    "PrimaryStress",
    "SecondaryStress",
    "SyllableBreak",
    "MinorGroup",
    "MajorGroup",
    "Linking",
    "Step",
    "Intonation",
    "ToneLetter",
    "ToneDigit",
    "Open",
    "Close",
    "Slash",
    "Lookalike",
];

fn kind_number(kind: &str) -> u16 {
    number(KINDS.iter().position(|name| *name == kind).unwrap_or(0))
}

/// Writes the two-level table: 64 code points a page, equal pages shared. What does not fit
/// an entry of four bytes stands in tables of its own.
fn emit(table: &BTreeMap<char, Entry>, out: &mut String) {
    let unknown = Entry {
        kind: "Unknown",
        value: 0,
        id: 0,
        extra: [NONE; 3],
    };
    let mut composed: Vec<Entry> = Vec::new();
    let mut acts: BTreeMap<u16, [u16; 3]> = BTreeMap::new();
    let mut code = |entry: &Entry| -> String {
        let mut id = entry.id;
        if entry.kind == "Precomposed" {
            id = number(
                composed
                    .iter()
                    .position(|known| known == entry)
                    .unwrap_or_else(|| {
                        composed.push(*entry);
                        composed.len() - 1
                    }),
            );
        }
        if entry.kind == "Lookalike" {
            acts.insert(entry.id, entry.extra);
        }
        format!(
            "Entry {{ kind: EntryKind::{}, value: {}, id: {id} }}",
            entry.kind, entry.value
        )
    };
    let at = |c: u32| {
        char::from_u32(c)
            .and_then(|c| table.get(&c))
            .unwrap_or(&unknown)
    };
    let direct: Vec<String> = (0..0x800).map(|c| code(at(c))).collect();
    let empty = vec![code(&unknown); 64];
    let mut pages: Vec<Vec<String>> = vec![empty];
    let mut page_of = Vec::new();
    for page in 0..0x11_0000_u32 / 64 {
        let first = page * 64;
        let low = char::from_u32(first).unwrap_or('\u{E000}');
        let high = char::from_u32(first + 63).unwrap_or('\u{E000}');
        let index = if low > high || table.range(low..=high).next().is_none() {
            0
        } else {
            let cells: Vec<String> = (first..first + 64).map(|c| code(at(c))).collect();
            pages
                .iter()
                .position(|known| *known == cells)
                .unwrap_or_else(|| {
                    pages.push(cells);
                    pages.len() - 1
                })
        };
        page_of.push(index);
    }
    line(
        out,
        &format!(
            "pub static DIRECT: [Entry; 2048] = [{}];",
            direct.join(", ")
        ),
    );
    line(
        out,
        &format!("pub static PAGE_OF: [u8; {}] = {page_of:?};", page_of.len()),
    );
    let cells: Vec<String> = pages
        .iter()
        .map(|page| format!("[{}]", page.join(", ")))
        .collect();
    line(
        out,
        &format!(
            "pub static PAGES: [[Entry; 64]; {}] = [{}];",
            pages.len(),
            cells.join(",\n")
        ),
    );
    let cells: Vec<String> = composed
        .iter()
        .map(|entry| format!("({}, {:?})", entry.id, entry.extra))
        .collect();
    line(
        out,
        &format!(
            "pub static COMPOSED: [(u16, [u16; 3]); {}] = [{}];",
            cells.len(),
            cells.join(", ")
        ),
    );
    let last = acts.keys().next_back().map_or(0, |id| usize::from(*id) + 1);
    let cells: Vec<String> = (0..last)
        .map(|id| match acts.get(&number(id)) {
            Some([kind, id, value]) if *kind != NONE => format!(
                "Entry {{ kind: EntryKind::{}, value: {value}, id: {id} }}",
                KINDS.get(usize::from(*kind)).unwrap_or(&"Unknown")
            ),
            _ => "Entry { kind: EntryKind::Unknown, value: 0, id: 0 }".to_owned(),
        })
        .collect();
    line(
        out,
        &format!(
            "pub static ACTS: [Entry; {}] = [{}];",
            cells.len(),
            cells.join(", ")
        ),
    );
}
