//! The answers about a document: what is wrong, what mends it, what a sound is, what can be
//! typed, how it is to be coloured.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::document::{self, Document, Text};
use super::protocol::{
    Action, Completion, Diagnostic, Edits, Hover, Location, Position, Range, Related,
    TextEdit, Words,
};
use crate::app::describe;
use crate::app::files::place::Mending;
use crate::app::reading::Reading;
use crate::articulation;
use crate::diagnostic::Severity;
use crate::feature::Class;
use crate::inventory;
use crate::notation::ItemKind;
use crate::notation::key_map;
use crate::report::Fault;
use crate::report::text::posture_words;
use crate::text::Span;

/// An action that mends one fault.
pub(super) const MEND: &str = "quickfix";
/// An action that makes every mend which leaves no choice.
pub(super) const MEND_ALL: &str = "source.fixAll";
/// What begins the name of a symbol.
pub(super) const NAMED: char = '\\';
/// How a stretch can be coloured: names that every editor has a colour for. Vowels, consonants,
/// stress with length and boundaries, tones and tunes, brackets, what is not read.
pub(super) const KINDS: [&str; 6] = [
    "variable", "function", "operator", "number", "keyword", "comment",
];

/// The most symbols that are offered at once.
const OFFERED: usize = 60;

/// Everything wrong in a document, in order.
pub(super) fn diagnostics(
    uri: &str,
    document: &Document,
    reading: &mut Reading,
) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for text in document.texts() {
        reading.read_as(document::given(text), text.alphabet);
        found.extend(
            reading
                .faults()
                .map(|fault| diagnostic(uri, document, text, &fault)),
        );
    }
    found
}

fn diagnostic(uri: &str, document: &Document, text: &Text, fault: &Fault) -> Diagnostic {
    let message = match &fault.help {
        Some(help) => format!("{}\n{help}", fault.message),
        None => fault.message.clone(),
    };
    let related = fault.labels.iter().map(|label| Related {
        location: Location {
            uri: uri.to_owned(),
            range: document.range(document::bytes(text, label.given)),
        },
        message: label.message.clone(),
    });
    Diagnostic {
        range: document.range(document::bytes(text, fault.given)),
        severity: match fault.severity {
            Severity::Error => 1,
            Severity::Warning => 2,
            Severity::Style => 4,
        },
        code: fault.code,
        source: "apical",
        message,
        related_information: related.collect(),
    }
}

/// What can be done about the faults in a stretch.
pub(super) fn actions(
    uri: &str,
    document: &Document,
    reading: &mut Reading,
    range: Range,
    only: Option<&Vec<String>>,
) -> Vec<Action> {
    // A kind stands for those below it too: `source` asks for `source.fixAll`.
    let asked = |kind: &str| {
        only.is_none_or(|only| {
            let below = |wanted: &String| {
                kind.strip_prefix(wanted.as_str())
                    .is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
            };
            only.iter().any(below)
        })
    };
    let (from, to) = (document.offset(range.start), document.offset(range.end));
    let edit = |edits: Vec<TextEdit>| Edits {
        changes: BTreeMap::from([(uri.to_owned(), edits)]),
    };
    let mut actions = Vec::new();
    let mut all = Vec::new();
    for text in document.texts() {
        let here = document::whole(text);
        let near = here.start <= to && from <= here.end;
        if !near && !asked(MEND_ALL) {
            continue;
        }
        reading.read_as(document::given(text), text.alphabet);
        let faults: Vec<Fault> = reading.faults().collect();
        let mends: Vec<(Span, String)> = faults
            .iter()
            .filter_map(|fault| Some((fault.given, fault.replacement.clone()?)))
            .collect();
        all.extend(mended(document, text, &mends));
        if !near || !asked(MEND) {
            continue;
        }
        for fault in &faults {
            let bytes = document::bytes(text, fault.given);
            let Some(replacement) = &fault.replacement else {
                continue;
            };
            if bytes.start > to || from > bytes.end {
                continue;
            }
            let one = [(fault.given, replacement.clone())];
            let Some(change) = mended(document, text, &one) else {
                continue;
            };
            let typed = document.between(bytes);
            actions.push(Action {
                title: if replacement.is_empty() {
                    format!("Leave out ‘{typed}’")
                } else {
                    format!("Type ‘{replacement}’ for ‘{typed}’")
                },
                kind: MEND,
                diagnostics: vec![diagnostic(uri, document, text, fault)],
                is_preferred: true,
                edit: edit(vec![change]),
            });
        }
    }
    if asked(MEND_ALL) && !all.is_empty() {
        actions.push(Action {
            title: "Make every mend that leaves no choice".to_owned(),
            kind: MEND_ALL,
            diagnostics: Vec::new(),
            is_preferred: false,
            edit: edit(all),
        });
    }
    actions
}

/// The change of a document that makes some mends of one of its texts.
fn mended(
    document: &Document,
    text: &Text,
    mends: &[(Span, String)],
) -> Option<TextEdit> {
    let place = text.places.first().filter(|place| !place.untraced)?;
    let mut mending = Mending::new(place, document::given(text));
    if mending.replace(mends) == 0 {
        return None;
    }
    Some(TextEdit {
        range: document.range(document::whole(text)),
        new_text: String::from_utf8(mending.raw()).ok()?,
    })
}

/// What the sound at a place is, and what the mouth does for it.
pub(super) fn hover(
    document: &Document,
    reading: &mut Reading,
    position: Position,
    markdown: bool,
) -> Option<Hover> {
    let at = document.offset(position);
    let text = document.text_at(at)?;
    reading.read_as(document::given(text), text.alphabet);
    // Between two sounds it is the one that begins there, at the end the last one.
    let standing = |segment: &crate::notation::Segment<'_>| {
        let range = document::bytes(text, reading.given(segment.span()));
        range.start <= at && at <= range.end
    };
    let segment = reading.transcription().segments().filter(standing).last()?;
    let bundle = articulation::bundle(&segment);
    let name = articulation::name(&bundle);
    let mut value = if markdown {
        format!("**{}** {name}\n", escaped(segment.text()))
    } else {
        format!("{} {name}\n", segment.text())
    };
    let (posture, to) = describe::postures(&bundle, reading.accent());
    if let Some(posture) = posture {
        let _ = write!(value, "\n{}", posture_words(&posture));
    }
    if let Some(to) = to {
        let _ = write!(value, "\n→ {}", posture_words(&to));
    }
    let range = document::bytes(text, reading.given(segment.span()));
    Some(Hover {
        contents: Words {
            kind: if markdown { "markdown" } else { "plaintext" },
            value,
        },
        range: document.range(range),
    })
}

/// A text in Markdown that stands for itself.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        if character.is_ascii_punctuation() {
            out.push('\\');
        }
        out.push(character);
    }
    out
}

/// What can stand at a place: by a name begun with a backslash, or the relatives of the letter
/// before it.
pub(super) fn completions(document: &Document, position: Position) -> Vec<Completion> {
    let at = document.offset(position);
    let before = document.before(at);
    if let Some(start) = before.rfind(NAMED) {
        let typed = before.get(start..).unwrap_or_default();
        if typed
            .chars()
            .skip(1)
            .all(|c| c.is_ascii_alphabetic() || c == '-')
        {
            return by_name(document, at, typed);
        }
    }
    if document.text_at(at).is_none() {
        return Vec::new();
    }
    let Some(ring) = key_map::ring(before) else {
        return Vec::new();
    };
    let others = (0..ring.letters.len()).filter(|number| *number != ring.at);
    let range = document.range(at - ring.back..at);
    let typed = before.get(before.len() - ring.back..).unwrap_or_default();
    others
        .filter_map(|number| key_map::picked(before, number))
        .zip(1..)
        .map(|(edit, number): (_, usize)| Completion {
            label: edit.insert.clone(),
            kind: TEXT,
            detail: named(&edit.insert),
            filter_text: typed.to_owned(),
            sort_text: format!("{number:03}"),
            text_edit: TextEdit {
                range,
                new_text: edit.insert,
            },
        })
        .collect()
}

/// The protocol's number for a completion that is text.
const TEXT: u8 = 1;

/// The name of what a symbol with its marks is.
fn named(symbol: &str) -> String {
    let transcription = crate::notation::Transcription::parse(symbol);
    let segment = transcription.segments().next();
    segment.map_or_else(String::new, |segment| {
        articulation::name(&articulation::bundle(&segment))
    })
}

/// The symbols whose name has every part that was typed, such as `\velar-nasal`.
fn by_name(document: &Document, at: usize, typed: &str) -> Vec<Completion> {
    let wanted: Vec<String> = typed
        .trim_start_matches(NAMED)
        .split('-')
        .map(|part| part.chars().map(|it| it.to_ascii_lowercase()).collect())
        .collect();
    let range = document.range(at - typed.len()..at);
    let letters = inventory::symbols()
        .iter()
        .filter(|symbol| symbol.status == inventory::Status::Current)
        .map(|symbol| (symbol.text, symbol.name));
    let marks = inventory::marks().iter().map(|mark| (mark.text, mark.name));
    let others = inventory::suprasegmentals()
        .iter()
        .filter(|sign| !sign.off_chart)
        .map(|sign| (sign.text, sign.name));
    letters
        .chain(marks)
        .chain(others)
        .filter(|(_, name)| wanted.iter().all(|part| name.contains(part.as_str())))
        .take(OFFERED)
        .zip(1..)
        .map(|((text, name), number): (_, usize)| Completion {
            label: text.to_owned(),
            kind: TEXT,
            detail: name.to_owned(),
            // Editors filter by what was typed; the names were filtered here already.
            filter_text: typed.to_owned(),
            sort_text: format!("{number:03}"),
            text_edit: TextEdit {
                range,
                new_text: text.to_owned(),
            },
        })
        .collect()
}

/// How the stretches of the transcriptions are to be coloured: five numbers each, relative to
/// the one before, as the protocol has it.
pub(super) fn tokens(
    document: &Document,
    reading: &mut Reading,
    within: Option<Range>,
) -> Vec<u32> {
    let within =
        within.map(|range| document.offset(range.start)..document.offset(range.end));
    let mut data = Vec::new();
    let mut last = Position {
        line: 0,
        character: 0,
    };
    for text in document.texts() {
        let whole = document::whole(text);
        let wanted = |range: &std::ops::Range<usize>| {
            whole.start < range.end && range.start < whole.end
        };
        if !within.as_ref().is_none_or(wanted) {
            continue;
        }
        reading.read_as(document::given(text), text.alphabet);
        for item in reading.transcription().items() {
            let class = reading
                .transcription()
                .segment(item)
                .map(|segment| articulation::bundle(&segment).class);
            let Some(kind) = kind_of(item.kind(), class) else {
                continue;
            };
            let bytes = document::bytes(text, reading.given(item.span()));
            let range = document.range(bytes);
            // Two items of the input can come of one character; a token may not go back, nor
            // over a line end.
            if range.start.line != range.end.line
                || range.start == range.end
                || range.start < last
            {
                continue;
            }
            let line = range.start.line - last.line;
            let character = if line == 0 {
                range.start.character - last.character
            } else {
                range.start.character
            };
            let length = range.end.character - range.start.character;
            if line == 0 && character == 0 && !data.is_empty() {
                continue;
            }
            data.extend([line, character, length, kind, 0]);
            last = range.start;
        }
    }
    data
}

/// The number of a kind of item among [`KINDS`].
const fn kind_of(kind: ItemKind, class: Option<Class>) -> Option<u32> {
    Some(match kind {
        ItemKind::Segment => match class {
            Some(Class::Vowel) => 0,
            _ => 1,
        },
        ItemKind::PrimaryStress
        | ItemKind::SecondaryStress
        | ItemKind::SyllableBreak
        | ItemKind::MinorGroup
        | ItemKind::MajorGroup
        | ItemKind::Linking
        | ItemKind::Reiteration
        | ItemKind::Separator
        | ItemKind::Pause => 2,
        ItemKind::Tone | ItemKind::Step | ItemKind::Intonation => 3,
        ItemKind::Open | ItemKind::Close => 4,
        ItemKind::Obscured | ItemKind::Label | ItemKind::Unreadable => 5,
        ItemKind::Space => return None,
    })
}
