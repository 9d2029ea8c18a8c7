//! Arguments of what makes papers: `report` and `handout`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::{Alphabet, Form, Hat, Kept};

/// Arguments of `report`.
#[derive(Debug, Args)]
pub struct Report {
    /// A table with the columns `word`, `target` and `production`, as for `analyze`
    #[arg(value_name = "SHEET", conflicts_with = "client")]
    pub sheet: Option<PathBuf>,
    /// A client of the caseload: the latest session, and how it went until then
    #[arg(long, value_name = "CODE")]
    pub client: Option<String>,
    /// The latest session of this list instead
    #[arg(long, value_name = "NAME", requires = "client")]
    pub list: Option<String>,
    /// Who reads it
    #[arg(long = "for", value_enum, value_name = "READER")]
    pub reader: Reader,
    /// The form
    #[arg(long = "as", value_enum, value_name = "FORM", default_value = "html")]
    pub form: Paper,
    /// Write it to this file, for its owner alone; to standard output unless given
    #[arg(long, value_name = "FILE")]
    pub to: Option<PathBuf>,
    /// Put the client's code and the notes on it; for a colleague only where the client
    /// agreed
    #[arg(long)]
    pub identified: bool,
    /// What the work on a sheet is; it decides the words
    #[arg(long, value_enum, conflicts_with = "client")]
    pub hat: Option<Hat>,
    /// The form of the sheet; by the file's ending unless given
    #[arg(long, value_enum, value_name = "FORM")]
    pub input: Option<Form>,
    /// The notation the sheet is typed in
    #[arg(long, value_enum, value_name = "NOTATION", default_value = "ipa")]
    pub alphabet: Alphabet,
    /// The accent that a sheet aims at; a client's own stands in the caseload
    #[arg(long, value_name = "NAME", default_value = "en-US")]
    pub accent: String,
    /// Declare something about the speech (see `compare --help`)
    #[arg(long = "accent-option", value_name = "NAME")]
    pub accent_options: Vec<String>,
    /// The record of practice, for a trainee; unless given, the one that `APICAL_PRACTICE`
    /// names, else one among your own files
    #[arg(long, value_name = "FILE")]
    pub record: Option<PathBuf>,
    /// Only the answers of this learner, for a trainee
    #[arg(long, value_name = "CODE")]
    pub learner: Option<String>,
    /// Which caseload.
    #[command(flatten)]
    pub kept: Kept,
}

/// Who reads a report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Reader {
    /// The client: plain words, pictures first
    Client,
    /// A colleague: transcriptions, counts, rules, measures, reliability
    Colleague,
    /// A trainee: the record of practice in transcription
    Trainee,
}

/// The form of a paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Paper {
    /// One HTML file that stands alone, for screen and printer
    Html,
    /// Markdown, X-SAMPA beside IPA
    Markdown,
    /// Plain text, X-SAMPA beside IPA
    Text,
}

/// Arguments of `handout`.
#[derive(Debug, Args)]
pub struct Handout {
    /// The sound, such as θ
    pub target: String,
    /// The sound it is to be told apart from; the nearest of the accent unless given
    #[arg(long, value_name = "SOUND")]
    pub beside: Option<String>,
    /// The accent
    #[arg(long, value_name = "NAME", default_value = "en-US")]
    pub accent: String,
    /// The notation the sounds are typed in
    #[arg(long, value_enum, value_name = "NOTATION", default_value = "ipa")]
    pub alphabet: Alphabet,
    /// The form
    #[arg(long = "as", value_enum, value_name = "FORM", default_value = "html")]
    pub form: Paper,
    /// Write it to this file; to standard output unless given
    #[arg(long, value_name = "FILE")]
    pub to: Option<PathBuf>,
}
