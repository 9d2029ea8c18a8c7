//! What can be typed after `apical`.

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

/// Read a transcription, say what each sound is, set a production against its target.
#[derive(Debug, Parser)]
#[command(
    name = "apical",
    version,
    arg_required_else_help = false,
    disable_help_subcommand = true,
    after_help = "Exit status: 0 nothing wrong, 1 at least one transcription is invalid \
                  (check) or could not be carried over (convert), 2 the run failed."
)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Judge transcriptions: what is wrong, where, and what to type instead
    Check(Check),
    /// Name each sound and say what the mouth does
    Describe(Describe),
    /// Set what was said against what was intended, sound by sound
    Compare(Compare),
    /// Put a transcription into another notation
    Convert(Convert),
    /// List the accents; with a name, its phonemes, options and rules
    Accents(Accents),
    /// Explain a diagnostic code; without one, list them all
    Explain(Explain),
    /// Print the licence notices of the word lists compiled in
    Notices,
}

/// Arguments of `check`.
#[derive(Debug, Args)]
pub struct Check {
    /// Where the transcriptions come from.
    #[command(flatten)]
    pub input: Input,
    /// How they are read.
    #[command(flatten)]
    pub reading: Reading,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
    /// Leave out the lines that are in order
    #[arg(long)]
    pub faults_only: bool,
}

/// Arguments of `describe`.
#[derive(Debug, Args)]
pub struct Describe {
    /// Where the transcriptions come from.
    #[command(flatten)]
    pub input: Input,
    /// How they are read.
    #[command(flatten)]
    pub reading: Reading,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
    /// The mouth, drawn.
    #[command(flatten)]
    pub picture: Picture,
}

/// Arguments of `compare`.
#[derive(Debug, Args)]
pub struct Compare {
    /// What was intended
    #[arg(required_unless_present = "pairs", requires = "production")]
    pub target: Option<OsString>,
    /// What was said
    pub production: Option<OsString>,
    /// A table with the columns `target` and `production`, and perhaps `id` and `word`;
    /// `-` for standard input
    #[arg(long, value_name = "FILE", conflicts_with = "target")]
    pub pairs: Option<PathBuf>,
    /// The form of the table; by the file's ending unless given
    #[arg(long, value_enum, value_name = "FORM", requires = "pairs")]
    pub input: Option<Form>,
    /// How they are read.
    #[command(flatten)]
    pub reading: Reading,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
    /// The mouth, drawn.
    #[command(flatten)]
    pub picture: Picture,
}

/// Arguments of `convert`.
#[derive(Debug, Args)]
pub struct Convert {
    /// The notation it is in
    #[arg(long, value_enum, value_name = "NOTATION")]
    pub from: Alphabet,
    /// The notation it is wanted in
    #[arg(long, value_enum, value_name = "NOTATION")]
    pub to: Alphabet,
    /// Where the transcriptions come from.
    #[command(flatten)]
    pub input: Input,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
}

/// Arguments of `accents`.
#[derive(Debug, Args)]
pub struct Accents {
    /// The accent, such as en-US
    pub name: Option<String>,
    /// Show it with this declared (again for more)
    #[arg(long = "accent-option", value_name = "NAME", requires = "name")]
    pub options: Vec<String>,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
}

/// Arguments of `explain`.
#[derive(Debug, Args)]
pub struct Explain {
    /// The code, as it stands in brackets after a message
    pub code: Option<String>,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
}

/// Where transcriptions come from: arguments, files, or standard input.
#[derive(Debug, Args)]
pub struct Input {
    /// The transcriptions themselves; without any, and without a file, they are read from
    /// standard input
    #[arg(value_name = "TRANSCRIPTION")]
    pub texts: Vec<OsString>,
    /// Read a file (again for more); `-` for standard input
    #[arg(long = "file", value_name = "PATH", conflicts_with = "texts")]
    pub files: Vec<PathBuf>,
    /// The form of the input; by the file's ending unless given, else lines
    #[arg(long, value_enum, value_name = "FORM", conflicts_with = "texts")]
    pub input: Option<Form>,
    /// The column of a table that holds the transcriptions
    #[arg(long, value_name = "NAME", conflicts_with = "texts")]
    pub column: Option<String>,
}

/// How transcriptions are read.
#[derive(Debug, Args)]
pub struct Reading {
    /// The notation the input is typed in
    #[arg(long, value_enum, value_name = "NOTATION", default_value = "ipa")]
    pub alphabet: Alphabet,
    /// Go by this accent, such as en-US: its sounds and the postures taught for it
    #[arg(long, value_name = "NAME")]
    pub accent: Option<String>,
    /// Declare something about the client's own speech, such as cot-caught, so that it is
    /// never marked wrong (again for more); with `no-` before it, take it back. A name that
    /// is none shows those there are
    #[arg(long = "accent-option", value_name = "NAME", requires = "accent")]
    pub accent_options: Vec<String>,
}

/// How the answer is written.
#[derive(Debug, Args)]
pub struct Output {
    /// For a person, or one JSON object a line
    #[arg(long, value_enum, value_name = "FORMAT", default_value = "text")]
    pub format: Format,
    /// How wide the screen is; as wide as the terminal unless given
    #[arg(long, value_name = "COLUMNS")]
    pub width: Option<usize>,
}

/// The mouth, drawn.
#[derive(Debug, Args)]
pub struct Picture {
    /// Draw the mouth from the side, in the terminal
    #[arg(long)]
    pub picture: bool,
    /// What the terminal picture is made of
    #[arg(long, value_enum, value_name = "GRAIN", default_value = "dots")]
    pub drawn_in: Grain,
    /// Write the picture to this file as SVG; where there are several pictures, the files
    /// are numbered
    #[arg(long, value_name = "PATH")]
    pub svg: Option<PathBuf>,
    /// In the SVG, show the way from one position to the other, in stills and moving
    #[arg(long, requires = "svg")]
    pub steps: bool,
}

/// What a terminal picture is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Grain {
    /// Braille dots
    Dots,
    /// Plain characters, for a screen without dots
    Characters,
}

/// The form of an input.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Form {
    /// One transcription a line
    Lines,
    /// A table, cells parted by tabs, the first line naming the columns
    Tsv,
    /// A table, cells parted by commas, the first line naming the columns
    Csv,
    /// One JSON string or object a line
    Json,
}

/// The form of the output.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For a person
    Text,
    /// JSON Lines
    Json,
}

/// A notation for the sounds of speech.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Alphabet {
    /// The International Phonetic Alphabet
    Ipa,
    /// X-SAMPA: the alphabet in ASCII
    XSampa,
    /// ARPABET: two-letter codes for American English
    Arpabet,
}

impl Alphabet {
    /// Its name, as it is typed.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ipa => "ipa",
            Self::XSampa => "x-sampa",
            Self::Arpabet => "arpabet",
        }
    }
}
