//! Verdicts in the Static Analysis Results Interchange Format, for continuous integration.
//!
//! One log holds one run; its results are written one at a time, so that memory stays flat.
//!
//! # Source
//! OASIS Standard, Static Analysis Results Interchange Format (SARIF) Version 2.1.0 (2020).

use serde::Serialize;

use super::InFile;
use crate::diagnostic::{Code, Severity};
use crate::report::Fault;

/// Where the schema of the format is published.
pub const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json";

/// The tool that made the results.
#[derive(Clone, Debug, Serialize)]
pub struct Tool {
    driver: Driver,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Driver {
    name: &'static str,
    semantic_version: &'static str,
    rules: Vec<Rule>,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Rule {
    id: &'static str,
    full_description: Message,
    default_configuration: Configuration,
}

#[derive(Clone, Copy, Debug, Serialize)]
struct Configuration {
    level: &'static str,
}

/// A text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Message {
    /// Its words.
    pub text: String,
}

impl Tool {
    /// This program and its register of codes.
    #[must_use]
    pub fn new() -> Self {
        let rules = Code::ALL.iter().map(|code| Rule {
            id: code.name(),
            full_description: Message {
                text: code.explanation().to_owned(),
            },
            default_configuration: Configuration {
                level: level(code.severity()),
            },
        });
        Self {
            driver: Driver {
                name: "apical",
                semantic_version: env!("CARGO_PKG_VERSION"),
                rules: rules.collect(),
            },
        }
    }
}

impl Default for Tool {
    fn default() -> Self {
        Self::new()
    }
}

const fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Style => "note",
    }
}

/// A file, or what stands for one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Artifact {
    /// The file's path as a URI, relative where the path is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub uri: Option<String>,
    /// What it is where it is no file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub description: Option<Message>,
}

impl Artifact {
    /// The file of a path.
    #[must_use]
    pub fn file(path: &str) -> Self {
        use std::fmt::Write as _;
        let mut uri = String::new();
        if path.starts_with('/') {
            uri.push_str("file://");
        }
        for byte in path.bytes() {
            if byte.is_ascii_alphanumeric() || b"/-._~".contains(&byte) {
                uri.push(char::from(byte));
            } else {
                let _ = write!(uri, "%{byte:02X}");
            }
        }
        Self {
            uri: Some(uri),
            description: None,
        }
    }

    /// What is no file.
    #[must_use]
    pub fn other(name: &str) -> Self {
        Self {
            uri: None,
            description: Some(Message {
                text: name.to_owned(),
            }),
        }
    }
}

/// One fault.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Finding {
    rule_id: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    rule_index: Option<usize>,
    level: &'static str,
    message: Message,
    locations: Vec<Location>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    fixes: Vec<Fix>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
struct Location {
    physical_location: Physical,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
struct Physical {
    artifact_location: Artifact,
    region: Region,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
struct Region {
    start_line: u64,
    start_column: u64,
    end_line: u64,
    end_column: u64,
    byte_offset: u64,
    byte_length: u64,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
struct Fix {
    artifact_changes: Vec<Change>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
struct Change {
    artifact_location: Artifact,
    replacements: Vec<Replacement>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
struct Replacement {
    deleted_region: Region,
    inserted_content: Message,
}

impl Finding {
    /// A fault at its place in a file; `replacement` is written as the file needs it.
    #[must_use]
    pub fn new(
        fault: &Fault,
        artifact: &Artifact,
        place: InFile,
        replacement: Option<String>,
    ) -> Self {
        let region = Region {
            start_line: place.line,
            start_column: place.column,
            end_line: place.end_line,
            end_column: place.end_column,
            byte_offset: place.start,
            byte_length: place.end - place.start,
        };
        let help = fault
            .help
            .as_deref()
            .map(|help| format!("; remedy: {help}"));
        let fixes = replacement.map(|text| Fix {
            artifact_changes: vec![Change {
                artifact_location: artifact.clone(),
                replacements: vec![Replacement {
                    deleted_region: region,
                    inserted_content: Message { text },
                }],
            }],
        });
        Self {
            rule_id: fault.code,
            rule_index: Code::ALL.iter().position(|code| code.name() == fault.code),
            level: level(fault.severity),
            message: Message {
                text: format!("{}{}", fault.message, help.unwrap_or_default()),
            },
            locations: vec![Location {
                physical_location: Physical {
                    artifact_location: artifact.clone(),
                    region,
                },
            }],
            fixes: fixes.into_iter().collect(),
        }
    }
}
