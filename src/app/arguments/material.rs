//! What can be typed after the commands about drill material.

use std::path::PathBuf;

use clap::Args;

use super::{Form, MarksOutput};
use crate::material::USUAL_COUNT;

/// The accent, and which of its words may come up.
#[derive(Clone, Debug, Args)]
pub struct Material {
    /// The accent the client aims at
    #[arg(long, value_name = "NAME", default_value = "en-US")]
    pub accent: String,
    /// Declare something about the accent, such as cot-caught (again for more); with `no-`
    /// before it, take it back. A name that is none shows those there are
    #[arg(long = "accent-option", value_name = "NAME")]
    pub accent_options: Vec<String>,
    /// Leave out words with these sounds or classes, in any variant: those the client cannot
    /// make yet (parted by commas, or again for more)
    #[arg(long, value_name = "SOUNDS")]
    pub without: Vec<String>,
    /// So many syllables, such as 1 or 2-3
    #[arg(long, value_name = "NUMBER", value_parser = range)]
    pub syllables: Option<(u32, u32)>,
    /// Words that occur at least so often in a million
    #[arg(long, value_name = "NUMBER", default_value_t = crate::material::USUAL_FLOOR,
          value_parser = frequency)]
    pub at_least: f64,
    /// Take names, abbreviations and words that no list of spellings has too
    #[arg(long)]
    pub names_too: bool,
}

/// Where the sound stands.
#[derive(Clone, Copy, Debug, Args)]
pub struct Standing {
    /// At the start of the word, before its first vowel or as it
    #[arg(long, short = 'i', group = "place in the word")]
    pub initial: bool,
    /// In the middle of the word
    #[arg(long, short = 'm', group = "place in the word")]
    pub medial: bool,
    /// At the end of the word, after its last vowel or as it
    #[arg(long, short = 'f', group = "place in the word")]
    pub r#final: bool,
    /// Before the vowel of its syllable
    #[arg(long, group = "part of the syllable")]
    pub onset: bool,
    /// As the peak of its syllable
    #[arg(long, group = "part of the syllable")]
    pub nucleus: bool,
    /// After the vowel of its syllable
    #[arg(long, group = "part of the syllable")]
    pub coda: bool,
    /// In a stressed syllable
    #[arg(long, group = "stress on the sound")]
    pub stressed: bool,
    /// In a syllable without stress
    #[arg(long, group = "stress on the sound")]
    pub unstressed: bool,
}

/// Arguments of `words`.
#[derive(Debug, Args)]
pub struct Words {
    /// Words with one of these: a sound in IPA, or a class in the notation of rules such as
    /// C[+fricative, -voice]; without any, all words
    #[arg(value_name = "SOUND")]
    pub sounds: Vec<String>,
    /// Where it stands.
    #[command(flatten)]
    pub standing: Standing,
    /// In this cluster, and no longer one, such as st; without SOUND, words with the cluster
    #[arg(long, value_name = "CLUSTER", conflicts_with = "in_cluster")]
    pub cluster: Option<String>,
    /// In any cluster
    #[arg(long)]
    pub in_cluster: bool,
    /// Words without any cluster
    #[arg(long, conflicts_with_all = ["cluster", "in_cluster"])]
    pub no_clusters: bool,
    /// Words stressed so: a digit a syllable, 1 for primary, 2 for secondary, 0 for no stress,
    /// such as 010
    #[arg(long, value_name = "DIGITS")]
    pub stress: Option<String>,
    /// Which words.
    #[command(flatten)]
    pub material: Material,
    /// How many words; `all` for all
    #[arg(long, short = 'n', value_name = "NUMBER", value_parser = count,
          default_value_t = USUAL_COUNT)]
    pub count: usize,
    /// Draw them by chance from this number: the same one gives the same words; without it,
    /// the commonest
    #[arg(long, value_name = "NUMBER")]
    pub seed: Option<u64>,
    /// List every form of a word, and words that are said alike; otherwise the commonest that
    /// fits stands for all
    #[arg(long)]
    pub all_forms: bool,
    /// Hold so many words back as probes that never appear in the drill, nor their forms, nor
    /// words said alike
    #[arg(long, value_name = "NUMBER")]
    pub hold_back: Option<usize>,
    /// Write what is held back to this sheet, for --except of later drills
    #[arg(long, value_name = "FILE", requires = "hold_back")]
    pub probes: Option<PathBuf>,
    /// Leave out the words of this sheet or list, with their forms and words said alike: a
    /// probe list of before (again for more)
    #[arg(long, value_name = "FILE")]
    pub except: Vec<PathBuf>,
    /// Write the words to this sheet, which `analyze` and the desk read
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,
    /// How the answer is written.
    #[command(flatten)]
    pub output: MarksOutput,
}

/// Arguments of `pairs`.
#[derive(Debug, Args)]
pub struct Pairs {
    /// Two sounds; or several contrasts, as θ-s ð-z, or a rule such as
    /// 'C[+fricative, +voice] → [-voice]'; with --set three sounds or more
    #[arg(value_name = "SOUND", required = true)]
    pub sounds: Vec<String>,
    /// Sets of words, one for each sound, that differ in one place only
    #[arg(long, conflicts_with = "near")]
    pub set: bool,
    /// Near-minimal pairs too: the words differ in one sound more
    #[arg(long)]
    pub near: bool,
    /// Where it stands.
    #[command(flatten)]
    pub standing: Standing,
    /// Which words.
    #[command(flatten)]
    pub material: Material,
    /// How many pairs or sets; `all` for all
    #[arg(long, short = 'n', value_name = "NUMBER", value_parser = count,
          default_value_t = USUAL_COUNT)]
    pub count: usize,
    /// Leave out the words of this sheet or list, with their forms and words said alike: a
    /// probe list of before (again for more)
    #[arg(long, value_name = "FILE")]
    pub except: Vec<PathBuf>,
    /// Write the words to this sheet, pair after pair, which `analyze` and the desk read
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,
    /// How the answer is written.
    #[command(flatten)]
    pub output: MarksOutput,
}

/// Arguments of `sample`.
#[derive(Debug, Args)]
pub struct Sample {
    /// A table with the column `word`, and perhaps `target`, or a list with a word a line; `-`
    /// for standard input
    #[arg(value_name = "LIST")]
    pub list: PathBuf,
    /// The form of a table; by the file's ending or its first line unless given
    #[arg(long, value_enum, value_name = "FORM")]
    pub input: Option<Form>,
    /// How many chances are wanted of each consonant in each place of the word, and of each
    /// vowel: below four a share says nothing
    #[arg(long, value_name = "NUMBER",
          default_value_t = crate::material::Kinds::default().sounds)]
    pub chances: usize,
    /// How many are wanted of each cluster: one shows whether it is made; 0 asks for none
    #[arg(long, value_name = "NUMBER",
          default_value_t = crate::material::Kinds::default().clusters)]
    pub cluster_chances: usize,
    /// Which words may be added.
    #[command(flatten)]
    pub material: Material,
    /// Show every sound and cluster with its chances, also those that have enough
    #[arg(long)]
    pub whole_lists: bool,
    /// Write the words to add to this sheet, which `analyze` and the desk read
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,
    /// How the answer is written; a table holds the words to add
    #[command(flatten)]
    pub output: MarksOutput,
}

/// A number, or `all`.
fn count(text: &str) -> Result<usize, String> {
    if text == "all" {
        return Ok(usize::MAX);
    }
    let number = text.parse::<usize>().ok().filter(|it| *it > 0);
    number.ok_or_else(|| "write a number from 1 on, or `all`".to_owned())
}

/// A number, or two with a hyphen between.
fn range(text: &str) -> Result<(u32, u32), String> {
    let (least, most) = text.split_once(['-', '–']).unwrap_or((text, text));
    let number = |it: &str| it.trim().parse::<u32>().ok().filter(|it| *it > 0);
    match (number(least), number(most)) {
        (Some(least), Some(most)) if least <= most => Ok((least, most)),
        (Some(_), Some(_)) => Err("the first number is the larger one".to_owned()),
        _ => Err("write a number such as 1, or two such as 2-3".to_owned()),
    }
}

/// A number that is not negative.
fn frequency(text: &str) -> Result<f64, String> {
    let number = text.trim().parse::<f64>().ok();
    number
        .filter(|it| it.is_finite() && *it >= 0.0)
        .ok_or_else(|| "write a number from 0 on, such as 5".to_owned())
}
