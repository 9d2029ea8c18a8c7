//! What can be typed after the commands about practice.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::{Form, Format, Output};
use crate::practice::{Kind, generate};

/// Which exercises.
#[derive(Clone, Debug, Args)]
pub struct Exercises {
    /// A set that comes with the program, by its name (again for more); `apical practice`
    /// lists them
    #[arg(long = "set", value_name = "NAME")]
    pub sets: Vec<String>,
    /// A set of your own (again for more); its keys are looked through first
    #[arg(long = "file", value_name = "PATH")]
    pub files: Vec<PathBuf>,
    /// Exercises that are made from the word list, the accent and the patterns: broad,
    /// narrow, features, symbol, posture, mend, stress, pattern, listen, clinical (several
    /// parted by commas)
    #[arg(long, value_name = "KINDS", value_delimiter = ',', value_parser = kind)]
    pub generate: Vec<Kind>,
    /// How hard made exercises are, by what is in them: from 1 to 5, a fifth of the words
    /// each
    #[arg(long, value_name = "LEVEL", requires = "generate",
          value_parser = clap::value_parser!(u8).range(1..=5))]
    pub level: Option<u8>,
    /// How many exercises
    #[arg(long, value_name = "NUMBER")]
    pub count: Option<usize>,
    /// Draw made exercises, and the order of others, from this number: the same one gives
    /// the same exercises in the same order
    #[arg(long, value_name = "NUMBER")]
    pub seed: Option<u64>,
    /// Declare something about the speech that is transcribed, such as cot-caught, so that
    /// it counts as right (again for more)
    #[arg(long = "accent-option", value_name = "NAME")]
    pub accent_options: Vec<String>,
}

/// Arguments of `practice`.
#[derive(Debug, Args)]
pub struct Practice {
    /// Which exercises.
    #[command(flatten)]
    pub from: Exercises,
    /// Only what should come again by now, of the sets named or of all
    #[arg(long, conflicts_with_all = ["generate", "seed"])]
    pub due: bool,
    /// End the session after the answer at which so many minutes are over
    #[arg(long, value_name = "NUMBER")]
    pub minutes: Option<u32>,
    /// The record of practice; unless given, on a terminal the one that `APICAL_PRACTICE`
    /// names, else one among your own files, and none from a script
    #[arg(long, value_name = "FILE")]
    pub record: Option<PathBuf>,
    /// Keep no record
    #[arg(long, conflicts_with_all = ["record", "due"])]
    pub no_record: bool,
    /// The command that plays recordings, such as "aplay -q"; the desk's unless given
    #[arg(long, value_name = "COMMAND")]
    pub player: Option<String>,
    /// The code of who answers, for the marks; never a name
    #[arg(long, value_name = "CODE")]
    pub learner: Option<String>,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
}

/// Arguments of `mark`.
#[derive(Debug, Args)]
pub struct Mark {
    /// Tables with the columns `item` and `answer`, and perhaps `set` and `learner`; `-` for
    /// standard input
    #[arg(value_name = "ANSWERS", required = true)]
    pub sheets: Vec<PathBuf>,
    /// The form of the tables; by the file's ending unless given
    #[arg(long, value_enum, value_name = "FORM")]
    pub input: Option<Form>,
    /// Which exercises.
    #[command(flatten)]
    pub from: Exercises,
    /// How the marks are written.
    #[command(flatten)]
    pub output: MarksOutput,
}

/// Arguments of `confusions`.
#[derive(Debug, Args)]
pub struct Confusions {
    /// Answer sheets (as for `mark`) or marks (.jsonl); without any, the record of practice
    #[arg(value_name = "FILE")]
    pub sheets: Vec<PathBuf>,
    /// The form of answer sheets; by the file's ending unless given
    #[arg(long, value_enum, value_name = "FORM")]
    pub input: Option<Form>,
    /// Only the answers of this learner
    #[arg(long, value_name = "CODE")]
    pub learner: Option<String>,
    /// The record of practice; unless given, the one that `APICAL_PRACTICE` names, else one
    /// among your own files
    #[arg(long, value_name = "FILE", conflicts_with = "sheets")]
    pub record: Option<PathBuf>,
    /// Draw the table into this file as SVG
    #[arg(long, value_name = "PATH")]
    pub svg: Option<PathBuf>,
    /// Which exercises.
    #[command(flatten)]
    pub from: Exercises,
    /// How the answer is written.
    #[command(flatten)]
    pub output: Output,
}

/// Arguments of `assign`.
#[derive(Debug, Args)]
pub struct Assign {
    /// Which exercises.
    #[command(flatten)]
    pub from: Exercises,
    /// The code of a learner, never a name (again for more): each has rows of their own
    #[arg(long = "learner", value_name = "CODE")]
    pub learners: Vec<String>,
    /// An answer sheet to fill in, or the set itself with its keys, for `practice --file`
    #[arg(long, value_enum, value_name = "FORM", default_value = "tsv")]
    pub form: Sheet,
}

/// What exercises are handed out as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Sheet {
    /// A table, cells parted by tabs
    Tsv,
    /// A table, cells parted by commas
    Csv,
    /// A set
    Set,
}

/// Arguments of `class`.
#[derive(Debug, Args)]
pub struct Class {
    /// Answer sheets (as for `mark`) or marks (.jsonl)
    #[arg(value_name = "FILE", required = true)]
    pub sheets: Vec<PathBuf>,
    /// The form of answer sheets; by the file's ending unless given
    #[arg(long, value_enum, value_name = "FORM")]
    pub input: Option<Form>,
    /// Which exercises.
    #[command(flatten)]
    pub from: Exercises,
    /// How the answer is written.
    #[command(flatten)]
    pub output: MarksOutput,
}

/// A kind of exercise that can be made, by its name.
fn kind(name: &str) -> Result<Kind, String> {
    let known = generate::KINDS.iter();
    known
        .clone()
        .find(|kind| kind.name() == name)
        .copied()
        .ok_or_else(|| {
            let known: Vec<&str> = known.map(|kind| kind.name()).collect();
            format!("exercises can be made of the kinds {}", known.join(", "))
        })
}

/// How marks are written.
#[derive(Clone, Copy, Debug, Args)]
pub struct MarksOutput {
    /// For a person, one JSON object a line, or a table
    #[arg(long, value_enum, value_name = "FORMAT", default_value = "text")]
    pub format: Marks,
    /// How wide the screen is; as wide as the terminal unless given
    #[arg(long, value_name = "COLUMNS")]
    pub width: Option<usize>,
}

impl MarksOutput {
    /// The same for what is written as text or as objects.
    #[must_use]
    pub const fn output(&self) -> Output {
        Output {
            format: match self.format {
                Marks::Text => Format::Text,
                Marks::Json | Marks::Tsv | Marks::Csv => Format::Json,
            },
            width: self.width,
        }
    }
}

/// The form of marks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Marks {
    /// For a person
    Text,
    /// JSON Lines
    Json,
    /// A table, cells parted by tabs
    Tsv,
    /// A table, cells parted by commas
    Csv,
}
