//! What can be typed after `apical`.

mod material;
mod papers;
mod practice;
mod record;

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::finding::priority::Weights;
pub use material::{Material, Pairs, Sample, Standing, Words};
pub use papers::{Handout, Paper, Reader, Report};
pub use practice::{
    Assign, Class, Confusions, Exercises, Mark, Marks, MarksOutput, Practice, Sheet,
};
pub use record::{
    Answer, ClientChange, Clients, Forget, Hat, Import, Keep, Kept, Passphrase,
    PassphraseChange, Progress, RecordExport, Verify,
};

/// Read a transcription, say what each sound is, set a production against its target.
#[derive(Debug, Parser)]
#[command(
    name = "apical",
    version,
    arg_required_else_help = false,
    args_conflicts_with_subcommands = true,
    disable_help_subcommand = true,
    after_help = "Exit status: 0 nothing wrong, 1 at least one transcription is invalid \
                  (check) or could not be carried over (convert), 2 the run failed."
)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// Without a command: how the desk is opened.
    #[command(flatten)]
    pub opening: Opening,
}

impl Arguments {
    /// Reads what the program was started with. What other tools call a thousand times is
    /// read without building every command there is; whatever that does not take, help and
    /// faults among it, is read with the whole of them.
    ///
    /// # Errors
    ///
    /// What clap has to say: help, or what is wrong.
    pub fn read() -> Result<Self, clap::Error> {
        let said: Vec<OsString> = std::env::args_os().collect();
        let alone = match said.get(1).and_then(|name| name.to_str()) {
            Some("check") => alone(&said).map(Command::Check),
            Some("compare") => alone(&said).map(Command::Compare),
            Some("convert") => alone(&said).map(Command::Convert),
            Some("describe") => alone(&said).map(Command::Describe),
            _ => None,
        };
        match alone {
            Some(command) => Ok(Self {
                command: Some(command),
                opening: Opening::default(),
            }),
            None => Self::try_parse_from(said),
        }
    }
}

/// Reads what follows the name of a command, if nothing is wrong with it.
fn alone<C: Args>(said: &[OsString]) -> Option<C> {
    let command = C::augment_args(clap::Command::new("apical"));
    let matches = command.try_get_matches_from(said.get(1..)?).ok()?;
    C::from_arg_matches(&matches).ok()
}

/// How the desk is opened.
#[derive(Clone, Debug, Default, Args)]
#[command(next_help_heading = "The desk")]
pub struct Opening {
    /// Open the desk with this client at hand
    #[arg(long, value_name = "CODE")]
    pub client: Option<String>,
    /// Begin a session on this list: a table with the column `word`, or a word a line
    #[arg(long, value_name = "FILE", requires = "client")]
    pub words: Option<PathBuf>,
    /// The words of the list were never practised: they show what carries over
    #[arg(long, requires = "words")]
    pub probe: bool,
    /// Which caseload.
    #[command(flatten)]
    pub kept: Kept,
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
    /// Look into a sheet of words: errors, patterns, stress
    Analyze(Analyze),
    /// Say how far two transcriptions of one sample agree
    Agree(Agree),
    /// Find words to drill: by sound, place, cluster, syllables, stress, how common they are
    Words(Words),
    /// Find minimal pairs for a contrast, or sets, that are truly minimal in the accent
    Pairs(Pairs),
    /// Count the chances that a word list gives each sound, and find words for what is missing
    Sample(Sample),
    /// List the clients of the caseload
    Clients(Clients),
    /// Open a client's record, change it, show it
    Client(ClientChange),
    /// Put a sheet into a client's record as one session
    Keep(Keep),
    /// Show how a client goes on from session to session
    Progress(Progress),
    /// Write a report on a sheet, a client or a trainee: HTML, Markdown or plain text
    Report(Box<Report>),
    /// Make a practice sheet for a sound: pictures, cues, words, pairs, sentences
    Handout(Handout),
    /// Write records out, codes and notes left off unless asked for and agreed to
    Export(RecordExport),
    /// Take exported records in
    Import(Import),
    /// Remove a client and everything recorded, for good
    Forget(Forget),
    /// Look the caseload through for damage
    Verify(Verify),
    /// Encrypt the caseload, change its passphrase, or take the encryption off
    Passphrase(Passphrase),
    /// Practise transcription: a course of exercises, every answer marked at once
    Practice(Practice),
    /// Mark answer sheets: a table of answers in, their marks out
    Mark(Mark),
    /// Say what a learner, or a class, takes for what
    Confusions(Confusions),
    /// Hand exercises out as answer sheets, or as a set
    Assign(Assign),
    /// Analyse a class: how exercises and learners did, how far they agree
    Class(Class),
    /// Put a transcription into another notation
    Convert(Convert),
    /// List the accents; with a name, its phonemes, options and rules
    Accents(Accents),
    /// Explain a diagnostic code; without one, list them all
    Explain(Explain),
    /// Print the licence notices of the word lists compiled in
    Notices,
    /// Serve an editor by the Language Server Protocol, over standard input and output
    Serve(Serve),
    /// Print the JSON Schema of what a command writes with --format json
    Schema(Schema),
    /// Print the completions of these arguments for a shell
    Completions(Completions),
    /// Print the manual page of the program, or of one of its commands
    Manual(Manual),
}

/// Arguments of `serve`.
#[derive(Debug, Args)]
pub struct Serve {
    /// How transcriptions are read, where a document does not say.
    #[command(flatten)]
    pub reading: Reading,
}

/// Arguments of `schema`.
#[derive(Debug, Args)]
pub struct Schema {
    /// The command; without one, they are listed
    pub command: Option<String>,
}

/// Arguments of `completions`.
#[derive(Debug, Args)]
pub struct Completions {
    /// The shell
    #[arg(value_enum)]
    pub shell: clap_complete::Shell,
}

/// Arguments of `manual`.
#[derive(Debug, Args)]
pub struct Manual {
    /// The command; without one, the program
    pub command: Option<String>,
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
    pub output: Verdicts,
    /// Leave out the lines that are in order
    #[arg(long)]
    pub faults_only: bool,
    /// Judge lines on so many cores at once; on all there are unless given. What is written
    /// is the same
    #[arg(long, value_name = "CORES", value_parser = clap::value_parser!(u16).range(1..=512))]
    pub jobs: Option<u16>,
    /// Make every mend that leaves no choice, in the files themselves; what comes from
    /// standard input goes mended to standard output
    #[arg(long, conflicts_with = "texts")]
    pub fix: bool,
    /// Show what --fix would change, and change nothing
    #[arg(long, requires = "fix")]
    pub dry_run: bool,
}

/// How verdicts are written.
#[derive(Clone, Copy, Debug, Args)]
pub struct Verdicts {
    /// For a person, one JSON object a line, one fault a line for editors, or SARIF 2.1.0
    /// for continuous integration
    #[arg(long, value_enum, value_name = "FORMAT", default_value = "text")]
    pub format: Verdict,
    /// How wide the screen is; as wide as the terminal unless given
    #[arg(long, value_name = "COLUMNS")]
    pub width: Option<usize>,
}

/// The form of a verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Verdict {
    /// For a person
    Text,
    /// JSON Lines
    Json,
    /// file:line:column: severity: message
    Lines,
    /// SARIF 2.1.0
    Sarif,
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

/// Arguments of `agree`.
#[derive(Debug, Args)]
pub struct Agree {
    /// What the first transcriber wrote: a table with the columns `word` (or `target`, or
    /// `id`) and `production`, and perhaps `session`; `-` for standard input
    #[arg(value_name = "FIRST")]
    pub first: PathBuf,
    /// What the second wrote of the same words; without it, both stand in the first
    #[arg(value_name = "SECOND")]
    pub second: Option<PathBuf>,
    /// The columns that hold what each wrote; `production` unless given
    #[arg(long, value_name = "FIRST,SECOND", value_delimiter = ',')]
    pub columns: Vec<String>,
    /// The form of the tables; by the files' endings unless given
    #[arg(long, value_enum, value_name = "FORM")]
    pub input: Option<Form>,
    /// The accent that says what one sound is, such as an affricate written as two letters
    #[arg(long, value_name = "NAME", default_value = "en-US")]
    pub accent: String,
    /// Declare something about the accent, such as cot-caught (see `compare --help`)
    #[arg(long = "accent-option", value_name = "NAME")]
    pub accent_options: Vec<String>,
    /// The notation the tables are typed in
    #[arg(long, value_enum, value_name = "NOTATION", default_value = "ipa")]
    pub alphabet: Alphabet,
    /// List every single disagreement, row by row
    #[arg(long)]
    pub every: bool,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
}

/// Arguments of `analyze`.
#[derive(Debug, Args)]
pub struct Analyze {
    /// A table with the columns `word`, `target` and `production`, and perhaps `accepted`,
    /// `note` and `session`; an empty target is looked up; `-` for standard input
    #[arg(value_name = "SHEET")]
    pub sheet: PathBuf,
    /// The form of the table; by the file's ending unless given
    #[arg(long, value_enum, value_name = "FORM")]
    pub input: Option<Form>,
    /// The accent the client aims at
    #[arg(long, value_name = "NAME", default_value = "en-US")]
    pub accent: String,
    /// Declare something about the client's own speech, such as cot-caught, so that it is
    /// never marked wrong (again for more); with `no-` before it, take it back. A name that
    /// is none shows those there are
    #[arg(long = "accent-option", value_name = "NAME")]
    pub accent_options: Vec<String>,
    /// The notation the sheet is typed in
    #[arg(long, value_enum, value_name = "NOTATION", default_value = "ipa")]
    pub alphabet: Alphabet,
    /// Look for patterns of your own too: a file of them, or a folder of files (again for
    /// more)
    #[arg(long, value_name = "PATH")]
    pub patterns: Vec<PathBuf>,
    /// Look for your own patterns only
    #[arg(long, requires = "patterns")]
    pub own_patterns_only: bool,
    /// List every single error too
    #[arg(long)]
    pub errors: bool,
    /// Show long lists to their end
    #[arg(long)]
    pub whole_lists: bool,
    /// How much errors, functional load and reach count in what to work on first: 0 leaves
    /// one out, 1 is as usual, 2 twice as much
    #[arg(
        long,
        value_name = "ERRORS,LOAD,REACH",
        default_value = "1,1,1",
        value_parser = weights
    )]
    pub weights: Weights,
    /// Show the measures by class of sound, by place and by phoneme too, and the phonetic
    /// inventory
    #[arg(long)]
    pub measures: bool,
    /// Answer a question that published scoring rules answer differently, as in
    /// final-devoicing-counts=no (again for more). A name that is none shows those there are
    #[arg(long = "measure-rule", value_name = "NAME=VALUE")]
    pub measure_rules: Vec<String>,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
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
    /// The field of JSON Lines that holds the transcriptions, by name or as a JSON pointer
    /// such as /entry/ipa; text unless given
    #[arg(long, value_name = "NAME", conflicts_with = "texts")]
    pub field: Option<String>,
    /// The element of XML or HTML that holds the transcriptions
    #[arg(long, value_name = "NAME", conflicts_with = "texts")]
    pub element: Option<String>,
    /// The attribute of XML or HTML that holds the transcriptions
    #[arg(long, value_name = "NAME", conflicts_with = "texts")]
    pub attribute: Option<String>,
    /// Only elements of this class
    #[arg(long, value_name = "NAME", conflicts_with = "texts")]
    pub class: Option<String>,
    /// Look for transcriptions between slashes or brackets in running text
    #[arg(long, conflicts_with = "texts")]
    pub in_text: bool,
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

impl Output {
    /// For a person, as wide as the terminal.
    #[must_use]
    pub const fn plain() -> Self {
        Self {
            format: Format::Text,
            width: None,
        }
    }
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
    /// A pronunciation lexicon (W3C PLS 1.0): every phoneme, by its alphabet
    Pls,
    /// Speech synthesis markup (W3C SSML 1.1): every phoneme's ph, by its alphabet
    Ssml,
    /// XML, with --element, --attribute or both; lexicons and speech markup by themselves
    Xml,
    /// HTML, with --element, --attribute, --class or several
    Html,
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

/// Three numbers: how much errors, functional load and reach count.
fn weights(text: &str) -> Result<Weights, String> {
    let numbers: Vec<f64> = text
        .split(',')
        .map(|it| {
            let number = it.trim().parse::<f64>().ok();
            number
                .filter(|it| (0.0..=10.0).contains(it))
                .ok_or_else(|| format!("`{}` is no number from 0 to 10", it.trim()))
        })
        .collect::<Result<_, _>>()?;
    match numbers.as_slice() {
        [errors, functional_load, generalises] => Ok(Weights {
            errors: *errors,
            functional_load: *functional_load,
            generalises: *generalises,
        }),
        _ => Err(format!(
            "{} given; write three parted by commas, such as 1,2,1",
            match numbers.len() {
                1 => "one number".to_owned(),
                count => format!("{count} numbers"),
            }
        )),
    }
}
