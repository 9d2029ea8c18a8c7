//! The machine contract as JSON Schema, one schema a command: what one line of its output is.
//!
//! Objects may gain fields, so further ones are allowed. The values of a feature are those
//! of its type.
//!
//! # Source
//! JSON Schema, draft 2020-12.

mod practice;
mod sheet;

use serde_json::{Value, json};

use super::VERSION;
use crate::alignment::Kind;
use crate::diagnostic::Code;
use crate::feature::{
    Airstream, Backness, Class, Contact, Detail, Height, Jaw, Length, Lips, Manner,
    Phonation, Place, Release, Secondary, TonguePart, TongueRoot, Voicing,
};

/// The commands that write JSON.
pub const COMMANDS: &[&str] = &[
    "check",
    "describe",
    "compare",
    "words",
    "pairs",
    "sample",
    "convert",
    "explain",
    "analyze",
    "agree",
    "practice",
    "mark",
    "confusions",
    "class",
];

/// The schema of what a command writes; none where it writes no JSON.
///
/// # Examples
///
/// ```
/// use apical::report::json::schema;
///
/// assert_eq!(schema::of("check").unwrap()["type"], "object");
/// assert!(schema::of("there-is-none").is_none());
/// ```
#[must_use]
pub fn of(command: &str) -> Option<Value> {
    let (title, own) = match command {
        "check" => ("What is wrong with a transcription", check()),
        "describe" => ("What each segment of a transcription is", describe()),
        "compare" => ("A production set against its target", compare()),
        "words" => ("A word to drill", words()),
        "pairs" => ("Two words that one sound keeps apart, or a set", pairs()),
        "sample" => ("What chances a word list gives", sample()),
        "convert" => ("A transcription in another notation", convert()),
        "explain" => ("What a code means", explain()),
        "practice" => (
            "A set of exercises as it is listed; marked answers are as of `mark`",
            practice::practice(),
        ),
        "mark" => ("A marked answer", practice::mark()),
        "confusions" => ("What is taken for what", practice::confusions()),
        "class" => ("How a class did", practice::class()),
        "analyze" => ("What a sheet shows", sheet::analyze()),
        "agree" => (
            "How far two transcriptions of a sample agree",
            sheet::agree(),
        ),
        _ => return None,
    };
    let schema = object(own);
    let head = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": title,
        "description": format!("One line of `apical {command} --format json`."),
    });
    Some(joined(head, schema))
}

/// Two objects in one.
fn joined(first: Value, second: Value) -> Value {
    match (first, second) {
        (Value::Object(mut first), Value::Object(second)) => {
            first.extend(second);
            Value::Object(first)
        }
        (first, _) => first,
    }
}

/// An object that must have these fields, but for those whose name ends in `?`.
fn object(fields: Value) -> Value {
    let Value::Object(fields) = fields else {
        return json!({"type": "object"});
    };
    let mut properties = serde_json::Map::new();
    let mut required = Vec::new();
    for (name, schema) in fields {
        if let Some(name) = name.strip_suffix('?') {
            properties.insert(name.to_owned(), schema);
        } else {
            required.push(Value::from(name.clone()));
            properties.insert(name, schema);
        }
    }
    json!({"type": "object", "properties": properties, "required": required})
}

#[allow(
    clippy::needless_pass_by_value,
    reason = "schemas are built from parts"
)]
fn list(items: Value) -> Value {
    json!({"type": "array", "items": items})
}

#[allow(
    clippy::needless_pass_by_value,
    reason = "schemas are built from parts"
)]
fn nullable(schema: Value) -> Value {
    json!({"anyOf": [{"type": "null"}, schema]})
}

fn one_of(names: impl Iterator<Item = &'static str>) -> Value {
    let names: Vec<&str> = names.collect();
    json!({"enum": names})
}

fn text() -> Value {
    json!({"type": "string"})
}

fn whole(least: u64) -> Value {
    json!({"type": "integer", "minimum": least})
}

fn origin() -> Value {
    json!({
        "version": {"const": VERSION},
        "id": true,
        "line": whole(1),
        "file?": text(),
        "place?": place(),
    })
}

fn place() -> Value {
    object(json!({
        "start": whole(0), "end": whole(0), "line": whole(1), "column": whole(1),
        "end_line": whole(1), "end_column": whole(1),
    }))
}

fn diagnostic() -> Value {
    object(json!({
        "code": one_of(Code::ALL.iter().map(|code| code.name())),
        "severity": {"enum": ["error", "warning", "style"]},
        "start": whole(0),
        "end": whole(0),
        "message": text(),
        "help": nullable(text()),
        "replacement": nullable(text()),
        "labels": list(object(json!({
            "start": whole(0), "end": whole(0), "message": text(),
        }))),
        "place?": place(),
        "side?": {"enum": ["target", "production"]},
    }))
}

fn check() -> Value {
    joined(
        origin(),
        json!({
            "text": text(),
            "was?": text(),
            "ipa?": text(),
            "valid": {"type": "boolean"},
            "notation": {"enum": ["broad", "narrow", "unmarked"]},
            "diagnostics": list(diagnostic()),
        }),
    )
}

fn mouth() -> Value {
    json!({
        "jaw": nullable(one_of(Jaw::ALL.iter().map(|one| one.name()))),
        "lips": nullable(one_of(Lips::ALL.iter().map(|one| one.name()))),
        "tongue": list(one_of(TonguePart::ALL.iter().map(|one| one.name()))),
        "contact": nullable(one_of(Contact::ALL.iter().map(|one| one.name()))),
        "touches": {"type": "boolean"},
    })
}

fn describe() -> Value {
    let yes_or_no = json!({"type": "boolean"});
    let segment = json!({
        "text": text(),
        "start": whole(0),
        "end": whole(0),
        "class": one_of(Class::ALL.iter().map(|one| one.name())),
        "base": text(),
        "voicing": one_of(Voicing::ALL.iter().map(|one| one.name())),
        "phonation": one_of(Phonation::ALL.iter().map(|one| one.name())),
        "place": list(one_of(Place::ALL.iter().map(|one| one.name()))),
        "manner": nullable(one_of(Manner::ALL.iter().map(|one| one.name()))),
        "lateral": yes_or_no,
        "airstream": one_of(Airstream::ALL.iter().map(|one| one.name())),
        "nasalized": yes_or_no,
        "height": nullable(one_of(Height::ALL.iter().map(|one| one.name()))),
        "backness": nullable(one_of(Backness::ALL.iter().map(|one| one.name()))),
        "rounded": nullable(yes_or_no.clone()),
        "rhotic": yes_or_no,
        "syllabic": yes_or_no,
        "length": one_of(Length::ALL.iter().map(|one| one.name())),
        "release": list(one_of(Release::ALL.iter().map(|one| one.name()))),
        "secondary": list(one_of(Secondary::ALL.iter().map(|one| one.name()))),
        "tongue_root": nullable(one_of(TongueRoot::ALL.iter().map(|one| one.name()))),
        "detail": list(one_of(Detail::ALL.iter().map(|one| one.name()))),
        "tone": list(json!({"type": "integer", "minimum": 1, "maximum": 5})),
        "marks": list(text()),
        "to": nullable(object(mouth())),
        "name": text(),
    });
    joined(
        origin(),
        json!({
            "text": text(),
            "ipa?": text(),
            "diagnostics": list(diagnostic()),
            "segments": list(object(joined(segment, mouth()))),
        }),
    )
}

fn compare() -> Value {
    let difference = object(json!({
        "feature": text(), "target": text(), "production": text(),
    }));
    let allophone = object(json!({
        "name": text(), "rule": text(), "context": text(), "lacking?": text(),
    }));
    let column = object(json!({
        "target": nullable(text()),
        "production": nullable(text()),
        "kind": one_of(Kind::ALL.iter().map(|one| one.name())),
        "differences": list(difference),
        "position?": {"enum": ["initial", "medial", "final"]},
        "syllable_part?": nullable(json!({"enum": ["onset", "nucleus", "coda"]})),
        "slot?": whole(1),
        "cluster?": whole(0),
        "stressed?": nullable(json!({"type": "boolean"})),
        "stress?": {"enum": ["primary", "secondary", "none", "unmarked"]},
        "word?": whole(1),
        "syllable?": whole(1),
        "allophones": list(allophone.clone()),
        "lacking": list(allophone),
        "weak_form_of?": text(),
    }));
    let prosody = object(json!({
        "feature": text(), "target": nullable(whole(0)), "production": nullable(whole(0)),
    }));
    joined(
        origin(),
        json!({
            "target": text(),
            "production": text(),
            "diagnostics": list(diagnostic()),
            "distance": whole(0),
            "columns": list(column),
            "prosody": list(prosody),
        }),
    )
}

fn frequency() -> Value {
    nullable(json!({"type": "number", "exclusiveMinimum": 0}))
}

fn words() -> Value {
    let place = object(json!({
        "sound": text(),
        "position": {"enum": ["initial", "medial", "final"]},
        "syllable_part": nullable(json!({"enum": ["onset", "nucleus", "coda"]})),
        "stressed": nullable(json!({"type": "boolean"})),
        "slot": whole(1),
        "cluster": whole(1),
        "syllable": whole(1),
    }));
    json!({
        "version": {"const": VERSION},
        "word": text(),
        "target": text(),
        "accepted": list(text()),
        "frequency": frequency(),
        "rank": nullable(whole(1)),
        "list": {"enum": ["drill", "probe"]},
        "places": list(place),
    })
}

fn pairs() -> Value {
    let member = object(json!({
        "word": text(), "target": text(), "frequency": frequency(), "sound": text(),
    }));
    json!({
        "version": {"const": VERSION},
        "a?": member,
        "b?": member,
        "position?": {"enum": ["initial", "medial", "final"]},
        "some_say_alike?": list(text()),
        "near?": nullable(json!({"type": "array", "items": text(), "minItems": 2, "maxItems": 2})),
        "set?": list(member),
    })
}

fn sample() -> Value {
    let part = json!({"enum": ["onset", "coda"]});
    let chances = object(json!({
        "sound": text(), "all": whole(0), "initial": whole(0), "medial": whole(0),
        "final": whole(0), "onset": whole(0), "coda": whole(0), "stressed": whole(0),
        "unstressed": whole(0),
    }));
    let cluster = object(json!({
        "sounds": list(text()), "syllable_part": part.clone(), "all": whole(0),
    }));
    let gap = object(json!({
        "sounds": list(text()),
        "position": nullable(json!({"enum": ["initial", "medial", "final"]})),
        "syllable_part": nullable(part),
        "has": whole(0),
        "wanted": whole(1),
        "stays_open": whole(0),
    }));
    json!({
        "version": {"const": VERSION},
        "accent": text(),
        "words": whole(0),
        "chances": whole(0),
        "cluster_chances": whole(0),
        "sounds": list(chances),
        "clusters": list(cluster),
        "gaps": list(gap),
        "add": list(object(json!({
            "word": text(), "target": text(), "frequency": frequency(),
        }))),
        "add_at_least": whole(0),
        "left_out": list(object(json!({
            "row": whole(1), "word": text(), "reason": text(),
        }))),
    })
}

fn convert() -> Value {
    let notation = json!({"enum": ["ipa", "x-sampa", "arpabet"]});
    joined(
        origin(),
        json!({
            "text": text(),
            "from": notation,
            "to": notation,
            "converted": text(),
            "diagnostics": list(diagnostic()),
        }),
    )
}

fn explain() -> Value {
    json!({
        "version": {"const": VERSION},
        "code": one_of(Code::ALL.iter().map(|code| code.name())),
        "severity": {"enum": ["error", "warning", "style"]},
        "explanation": text(),
        "example": text(),
    })
}
