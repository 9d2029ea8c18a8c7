//! What can be typed after the commands about clients and their record.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::{Alphabet, Form, Output};

/// Which caseload.
#[derive(Clone, Debug, Default, Args)]
pub struct Kept {
    /// The caseload's file; unless given, the one that `APICAL_CASELOAD` names, else one
    /// among your own files. The passphrase of an encrypted one is read from
    /// `APICAL_PASSPHRASE`
    #[arg(long, value_name = "FILE")]
    pub caseload: Option<PathBuf>,
}

/// Arguments of `clients`.
#[derive(Debug, Args)]
pub struct Clients {
    /// Which caseload.
    #[command(flatten)]
    pub kept: Kept,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
}

/// Arguments of `client`.
#[derive(Debug, Args)]
pub struct ClientChange {
    /// The client's code: letters, digits, `-` and `_`; never a name
    pub code: String,
    /// The first language
    #[arg(long, value_name = "LANGUAGE")]
    pub first_language: Option<String>,
    /// The accent the client aims at
    #[arg(long, value_name = "NAME")]
    pub accent: Option<String>,
    /// What the work is; it decides the words of outputs
    #[arg(long, value_enum)]
    pub hat: Option<Hat>,
    /// Whether the client agreed that the record leaves the caseload with its code on it
    #[arg(long, value_enum, value_name = "ANSWER")]
    pub consent_export: Option<Answer>,
    /// Whether the client agreed that recordings are kept
    #[arg(long, value_enum, value_name = "ANSWER")]
    pub consent_recording: Option<Answer>,
    /// A note of your own
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
    /// Which caseload.
    #[command(flatten)]
    pub kept: Kept,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
}

/// What the work with a client is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Hat {
    /// Coaching that the client chose
    Elective,
    /// Speech-language pathology
    Clinical,
}

/// Yes or no.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Answer {
    /// Yes
    Yes,
    /// No
    No,
}

impl Answer {
    /// Whether it is yes.
    #[must_use]
    pub const fn is_yes(self) -> bool {
        matches!(self, Self::Yes)
    }
}

/// Arguments of `keep`.
#[derive(Debug, Args)]
pub struct Keep {
    /// A table with the columns `word`, `target` and `production`; an empty target is
    /// looked up
    #[arg(value_name = "SHEET")]
    pub sheet: PathBuf,
    /// The client's code
    #[arg(long, value_name = "CODE")]
    pub client: String,
    /// The name of the session's list; the file's name unless given
    #[arg(long, value_name = "NAME")]
    pub session: Option<String>,
    /// The day of the session, such as 2026-03-31; now unless given
    #[arg(long, value_name = "DAY")]
    pub on: Option<String>,
    /// The words were never practised: they show what carries over
    #[arg(long)]
    pub probe: bool,
    /// The form of the table; by the file's ending unless given
    #[arg(long, value_enum, value_name = "FORM")]
    pub input: Option<Form>,
    /// The notation the sheet is typed in
    #[arg(long, value_enum, value_name = "NOTATION", default_value = "ipa")]
    pub alphabet: Alphabet,
    /// Which caseload.
    #[command(flatten)]
    pub kept: Kept,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
}

/// Arguments of `progress`.
#[derive(Debug, Args)]
pub struct Progress {
    /// The client's code
    pub code: String,
    /// Show targets too that were right throughout
    #[arg(long)]
    pub all: bool,
    /// Declare something about the client's own speech (see `compare --help`)
    #[arg(long = "accent-option", value_name = "NAME")]
    pub accent_options: Vec<String>,
    /// Which caseload.
    #[command(flatten)]
    pub kept: Kept,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
}

/// Arguments of `export`.
#[derive(Debug, Args)]
pub struct RecordExport {
    /// The client's code; every client unless given
    pub client: Option<String>,
    /// A table (CSV) of the items and the trials of drills instead of JSON
    #[arg(long)]
    pub table: bool,
    /// Leave codes, notes and times of day on; every client must have agreed
    #[arg(long)]
    pub identified: bool,
    /// Write to this file, readable by you alone; standard output unless given
    #[arg(long, value_name = "FILE")]
    pub to: Option<PathBuf>,
    /// Which caseload.
    #[command(flatten)]
    pub kept: Kept,
}

/// Arguments of `import`.
#[derive(Debug, Args)]
pub struct Import {
    /// What `export` wrote; `-` for standard input
    pub file: PathBuf,
    /// Which caseload.
    #[command(flatten)]
    pub kept: Kept,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
}

/// Arguments of `forget`.
#[derive(Debug, Args)]
pub struct Forget {
    /// The client's code
    pub code: String,
    /// Do it: it cannot be undone
    #[arg(long)]
    pub for_good: bool,
    /// Which caseload.
    #[command(flatten)]
    pub kept: Kept,
}

/// Arguments of `passphrase`.
#[derive(Debug, Args)]
pub struct Passphrase {
    /// What to do with it
    #[arg(value_enum)]
    pub change: PassphraseChange,
    /// Which caseload.
    #[command(flatten)]
    pub kept: Kept,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
}

/// What to do with a caseload's passphrase.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PassphraseChange {
    /// Encrypt the caseload, or change its passphrase: the new one is read from
    /// `APICAL_NEW_PASSPHRASE`, else asked for
    Set,
    /// Take the encryption off
    Remove,
}

/// Arguments of `verify`.
#[derive(Debug, Args)]
pub struct Verify {
    /// Which caseload.
    #[command(flatten)]
    pub kept: Kept,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
}
