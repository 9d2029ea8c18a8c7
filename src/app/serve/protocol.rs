//! What is said to an editor and heard from it: the part of the protocol that is used.
//!
//! # Source
//! Language Server Protocol 3.17.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use serde_json::Value;

/// A place: line and unit in the line, both from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize, Serialize)]
pub(super) struct Position {
    pub(super) line: u32,
    pub(super) character: u32,
}

/// A stretch between two places.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
pub(super) struct Range {
    pub(super) start: Position,
    pub(super) end: Position,
}

/// A document by its address.
#[derive(Debug, Deserialize)]
pub(super) struct Named {
    pub(super) uri: String,
    #[serde(default)]
    pub(super) version: Option<i32>,
}

/// What `initialize` brings; nothing in it is needed.
#[derive(Debug, Default, Deserialize)]
#[serde(rename_all = "camelCase", default)]
pub(super) struct Initialize {
    pub(super) capabilities: Value,
}

/// A document that was opened.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Opened {
    pub(super) text_document: Whole,
}

/// A document with its text.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Whole {
    pub(super) uri: String,
    #[serde(default)]
    pub(super) language_id: String,
    #[serde(default)]
    pub(super) version: i32,
    pub(super) text: String,
}

/// A document that was changed.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Changed {
    pub(super) text_document: Named,
    pub(super) content_changes: Vec<Change>,
}

/// One change; without a range, of everything.
#[derive(Debug, Deserialize)]
pub(super) struct Change {
    #[serde(default)]
    pub(super) range: Option<Range>,
    pub(super) text: String,
}

/// A question about a document, and about a place or a stretch of it where it has one.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Asked {
    pub(super) text_document: Named,
    #[serde(default)]
    pub(super) position: Option<Position>,
    #[serde(default)]
    pub(super) range: Option<Range>,
    #[serde(default)]
    pub(super) context: Option<Context>,
}

/// Which kinds of action are asked for.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Context {
    pub(super) only: Option<Vec<String>>,
}

/// A fault.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Diagnostic {
    pub(super) range: Range,
    pub(super) severity: u8,
    pub(super) code: &'static str,
    pub(super) source: &'static str,
    pub(super) message: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) related_information: Vec<Related>,
}

/// A place that a fault goes with.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Related {
    pub(super) location: Location,
    pub(super) message: String,
}

/// A place in a document.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Location {
    pub(super) uri: String,
    pub(super) range: Range,
}

/// Something an editor can do about a fault.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Action {
    pub(super) title: String,
    pub(super) kind: &'static str,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) diagnostics: Vec<Diagnostic>,
    pub(super) is_preferred: bool,
    pub(super) edit: Edits,
}

/// Changes of documents.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Edits {
    pub(super) changes: BTreeMap<String, Vec<TextEdit>>,
}

/// A change of one stretch.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct TextEdit {
    pub(super) range: Range,
    pub(super) new_text: String,
}

/// Something that can stand at the caret.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Completion {
    pub(super) label: String,
    pub(super) kind: u8,
    pub(super) detail: String,
    pub(super) filter_text: String,
    pub(super) sort_text: String,
    pub(super) text_edit: TextEdit,
}

/// Words about what is under the pointer.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Hover {
    pub(super) contents: Words,
    pub(super) range: Range,
}

/// Words, marked up or plain.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Words {
    pub(super) kind: &'static str,
    pub(super) value: String,
}
