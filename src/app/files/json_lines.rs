//! JSON Lines: a string a line, or an object with the texts in its fields.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::io::BufRead;

use serde::Deserialize;
use serde_json::value::RawValue;

use super::place::{Cursor, Escape, Piece, Place};
use super::{Id, Record, Source, Wanted, is_blank, next_line};
use crate::app::{Failure, Stop};

/// An object with its values as they are written; a field that comes twice is refused.
struct Fields<'a>(BTreeMap<Cow<'a, str>, &'a RawValue>);

impl<'a, 'de: 'a> Deserialize<'de> for Fields<'a> {
    fn deserialize<D: serde::Deserializer<'de>>(reader: D) -> Result<Self, D::Error> {
        struct Visitor<'a>(std::marker::PhantomData<&'a ()>);
        impl<'a, 'de: 'a> serde::de::Visitor<'de> for Visitor<'a> {
            type Value = Fields<'a>;

            fn expecting(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                out.write_str("an object")
            }

            fn visit_map<A: serde::de::MapAccess<'de>>(
                self,
                mut map: A,
            ) -> Result<Self::Value, A::Error> {
                let mut fields = BTreeMap::new();
                while let Some((name, value)) =
                    map.next_entry::<String, &'de RawValue>()?
                {
                    let twice = format!("the field `{name}` comes twice");
                    if fields.insert(Cow::Owned(name), value).is_some() {
                        return Err(serde::de::Error::custom(twice));
                    }
                }
                Ok(Fields(fields))
            }
        }
        reader.deserialize_map(Visitor(std::marker::PhantomData))
    }
}

/// Reads every line; `marked` bytes of a byte order mark came first.
pub(super) fn read(
    source: &Source,
    mut reader: Box<dyn BufRead>,
    marked: u64,
    wanted: &Wanted,
    each: &mut dyn FnMut(&Record) -> Result<(), Stop>,
) -> Result<(), Stop> {
    let mut record = Record::default();
    let mut bytes = Vec::new();
    let mut start = marked;
    let names: Vec<&str> = match wanted {
        Wanted::One(pick) => vec![pick.field.as_deref().unwrap_or("text")],
        Wanted::Pair => vec!["target", "production"],
    };
    loop {
        let read = next_line(&mut *reader, &mut bytes);
        let read = read.map_err(|error| source.failure(&error))?;
        if read == 0 {
            return Ok(());
        }
        let here = start;
        start += read;
        record.line += 1;
        if is_blank(&bytes) {
            continue;
        }
        // Inside a JSON string a byte has no offset of its own: ill-formed ones become
        // replacement characters here, and are reported as such later.
        let line = String::from_utf8_lossy(&bytes);
        let fault = |reason: String| {
            let fields = match wanted {
                Wanted::One(_) => {
                    let field = names.first().copied().unwrap_or_default();
                    format!("a string, or an object with the field {field}")
                }
                Wanted::Pair => {
                    "an object with the fields target and production".to_owned()
                }
            };
            Failure::new(
                format!("{}:{}", source.name(), record.line),
                reason,
                format!("every line must be {fields}"),
            )
        };
        let not_json = |error: serde_json::Error| fault(format!("not JSON: {error}"));
        let mut texts = Vec::new();
        let mut places = Vec::new();
        let traced = matches!(line, Cow::Borrowed(_));
        let mut take = |raw: &RawValue| -> Result<(), Failure> {
            let text: String = serde_json::from_str(raw.get()).map_err(not_json)?;
            let at = (raw.get().as_ptr() as usize).wrapping_sub(line.as_ptr() as usize);
            places.push(place(
                raw.get(),
                at,
                &line,
                here,
                record.line,
                &text,
                traced,
            ));
            texts.push(text.into_bytes());
            Ok(())
        };
        let (mut id, mut word) = (Id::None, None);
        if line.trim_start().starts_with('"') {
            let raw: &RawValue = serde_json::from_str(&line).map_err(not_json)?;
            take(raw)?;
            if matches!(wanted, Wanted::Pair) {
                return Err(fault("a pair has two texts".to_owned()).into());
            }
        } else {
            let Fields(fields) = serde_json::from_str(&line).map_err(not_json)?;
            for name in &names {
                let lacks = || fault(format!("the field {name} is missing"));
                take(find(&fields, name).ok_or_else(lacks)?)?;
            }
            let field = |name: &str| {
                let found = fields.get(name).copied();
                found.filter(|value| value.get() != "null")
            };
            id = field("id").map_or(Id::None, |id| Id::Json(id.to_owned()));
            if let Some(raw) = field("word") {
                word = Some(serde_json::from_str(raw.get()).map_err(not_json)?);
            }
        }
        record.id = id;
        record.word = word;
        record.texts = texts;
        record.places = places;
        each(&record)?;
    }
}

/// The value of a field; a name that begins with `/` is a JSON pointer (RFC 6901).
fn find<'a>(
    fields: &BTreeMap<Cow<'a, str>, &'a RawValue>,
    name: &str,
) -> Option<&'a RawValue> {
    let Some(path) = name.strip_prefix('/') else {
        return fields.get(name).copied();
    };
    let mut steps = path
        .split('/')
        .map(|step| step.replace("~1", "/").replace("~0", "~"));
    let mut value = *fields.get(steps.next()?.as_str())?;
    for step in steps {
        if value.get().starts_with('[') {
            let items: Vec<&'a RawValue> = serde_json::from_str(value.get()).ok()?;
            value = *items.get(step.parse::<usize>().ok()?)?;
        } else {
            let Fields(inner) = serde_json::from_str(value.get()).ok()?;
            value = *inner.get(step.as_str())?;
        }
    }
    Some(value)
}

/// The place of a string in its line.
fn place(
    raw: &str,
    at: usize,
    line: &str,
    start: u64,
    number: u64,
    text: &str,
    traced: bool,
) -> Place {
    let mut cursor = Cursor {
        line: number,
        ..Cursor::START
    };
    cursor.advance(line.as_bytes(), at + 1);
    let inside = raw.get(1..raw.len().saturating_sub(1)).unwrap_or_default();
    let pieces = pieces(inside.as_bytes());
    let covered = pieces.last().map_or(0, |piece| piece.text.end);
    let untraced = !traced || covered != text.len();
    Place {
        start: start + if untraced { 0 } else { at as u64 + 1 },
        line: number,
        column: if untraced { 1 } else { cursor.column },
        raw: inside.as_bytes().to_vec(),
        pieces: if untraced { Vec::new() } else { pieces },
        escape: Escape::Json,
        untraced,
    }
}

/// How the text of a string comes of what stands between its marks.
fn pieces(raw: &[u8]) -> Vec<Piece> {
    let mut pieces: Vec<Piece> = Vec::new();
    let (mut at, mut text) = (0, 0);
    while at < raw.len() {
        let rest = raw.get(at..).unwrap_or_default();
        let (length, width) = if rest.first() == Some(&b'\\') {
            escape(rest)
        } else {
            let run = rest.iter().position(|byte| *byte == b'\\');
            let run = run.unwrap_or(rest.len());
            (run, run)
        };
        pieces.push(Piece {
            text: text..text + width,
            raw: at..at + length,
        });
        at += length;
        text += width;
    }
    if pieces.is_empty() {
        pieces.push(Piece {
            text: 0..0,
            raw: 0..0,
        });
    }
    pieces
}

/// How long an escape is, and how many bytes of UTF-8 it stands for.
fn escape(raw: &[u8]) -> (usize, usize) {
    let unit = |at: usize| {
        let digits = raw.get(at + 2..at + 6)?;
        u32::from_str_radix(std::str::from_utf8(digits).ok()?, 16).ok()
    };
    if raw.get(1) != Some(&b'u') {
        return (2.min(raw.len()), 1);
    }
    match unit(0) {
        Some(0xD800..=0xDBFF) if raw.get(6..8) == Some(b"\\u") => (12.min(raw.len()), 4),
        Some(code) => (
            6.min(raw.len()),
            char::from_u32(code).map_or(3, char::len_utf8),
        ),
        None => (6.min(raw.len()), 3),
    }
}
