//! Papers to hand over: a client's page, a colleague's report, a trainee's record, a practice
//! sheet. What a paper says is put together once, as headings, paragraphs, tables and
//! pictures; [`html`], [`markdown`] and [`plain`] write the same content in three forms.
//!
//! Text that came from a person (a note, a word, the name of a list) is told apart from our
//! own: it may be of any script and direction, and may hold anything.

pub mod client;
pub mod colleague;
mod counts;
mod cue;
mod explained;
pub mod handout;
mod html;
mod markdown;
mod plain;
pub mod trainee;

pub use html::html;
pub use markdown::markdown;
pub use plain::plain;

use crate::accent::Accent;
use crate::finding::agreement::transcribers::Share;
use crate::finding::error::Error;
use crate::finding::item::Item;
use crate::finding::progress::Way;
use crate::lexicon::Lexicon;
use crate::record::Hat;
use crate::report::json::analyze::Analysis;
use serde::Serialize;

/// A paper.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Paper {
    /// What it is.
    pub title: String,
    /// Whose and of when, in a line.
    pub under: Line,
    /// What it says.
    pub blocks: Vec<Block>,
    /// What the reader must know, at the end of every paper.
    pub cautions: Vec<String>,
}

/// A piece of a paper.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub enum Block {
    /// A heading, 2 or 3 deep.
    Heading {
        /// How deep.
        level: u8,
        /// What it says.
        line: Line,
    },
    /// A paragraph.
    Paragraph {
        /// What it says.
        line: Line,
    },
    /// A list.
    List {
        /// Its entries.
        lines: Vec<Line>,
        /// Whether they are short enough for two columns.
        short: bool,
    },
    /// A table.
    Table {
        /// What it shows.
        caption: String,
        /// The heads of its columns.
        head: Vec<String>,
        /// Its rows, as wide as the head.
        rows: Vec<Vec<Line>>,
    },
    /// A picture.
    Picture {
        /// An SVG that stands alone.
        svg: String,
        /// What stands under it.
        caption: Line,
        /// What it shows, for forms without pictures.
        words: String,
        /// Whether what follows may stand beside it.
        beside: bool,
    },
}

/// A line of text.
pub type Line = Vec<Run>;

/// A stretch of a line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "kind", content = "text", rename_all = "lowercase")]
pub enum Run {
    /// Words of our own.
    Text(String),
    /// The same, set off.
    Strong(String),
    /// A transcription in IPA.
    Sound(String),
    /// What a person typed.
    Given(String),
}

/// Words of our own.
fn text(words: impl Into<String>) -> Run {
    Run::Text(words.into())
}

/// Words set off.
fn strong(words: impl Into<String>) -> Run {
    Run::Strong(words.into())
}

/// IPA.
fn sound(ipa: impl Into<String>) -> Run {
    Run::Sound(ipa.into())
}

/// What a person typed.
fn given(words: impl Into<String>) -> Run {
    Run::Given(words.into())
}

impl Paper {
    fn heading(&mut self, level: u8, line: Line) {
        self.blocks.push(Block::Heading { level, line });
    }

    fn title(&mut self, words: &str) {
        self.heading(2, vec![text(words)]);
    }

    fn paragraph(&mut self, line: Line) {
        self.blocks.push(Block::Paragraph { line });
    }

    fn list(&mut self, lines: Vec<Line>) {
        self.list_of(lines, false);
    }

    /// A list whose entries are short.
    fn short_list(&mut self, lines: Vec<Line>) {
        self.list_of(lines, true);
    }

    fn list_of(&mut self, lines: Vec<Line>, short: bool) {
        if !lines.is_empty() {
            self.blocks.push(Block::List { lines, short });
        }
    }

    fn table(&mut self, caption: &str, head: &[&str], rows: Vec<Vec<Line>>) {
        if !rows.is_empty() {
            self.blocks.push(Block::Table {
                caption: caption.to_owned(),
                head: head.iter().map(|it| (*it).to_owned()).collect(),
                rows,
            });
        }
    }

    /// A picture; what it shows in words is its own description.
    fn picture(&mut self, svg: Option<String>, caption: Line) {
        self.picture_of(svg, caption, false);
    }

    /// A picture that what follows, up to the next heading, stands beside where there is room.
    fn picture_beside(&mut self, svg: Option<String>, caption: Line) {
        self.picture_of(svg, caption, true);
    }

    fn picture_of(&mut self, svg: Option<String>, caption: Line, beside: bool) {
        let Some(svg) = svg else { return };
        let words = described(&svg);
        self.blocks.push(Block::Picture {
            svg,
            caption,
            words,
            beside,
        });
    }
}

/// The description that every picture of ours carries, as text.
fn described(svg: &str) -> String {
    let inner = svg
        .split_once("<desc>")
        .and_then(|(_, rest)| rest.split_once("</desc>"))
        .map_or("", |(inner, _)| inner);
    let mut words = inner.to_owned();
    for (written, meant) in [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&apos;", "'"),
        ("&amp;", "&"),
    ] {
        words = words.replace(written, meant);
    }
    words
}

/// What a report is about.
#[derive(Clone, Debug)]
pub struct Case<'a> {
    /// The client's code; empty where it stays off the paper.
    pub code: &'a str,
    /// What the work is: it decides the words.
    pub hat: Hat,
    /// The accent the client aims at.
    pub accent: &'a Accent,
    /// Its word list, if it has one.
    pub lexicon: Option<Lexicon>,
    /// The first language; may be empty.
    pub first_language: &'a str,
    /// The coach's note about the client; empty where it stays off the paper.
    pub note: &'a str,
    /// The name of the list.
    pub list: &'a str,
    /// The day it was said on; empty where nobody knows.
    pub day: &'a str,
    /// What was said.
    pub items: &'a [Item],
    /// The note of each item; may be shorter.
    pub notes: &'a [String],
    /// The errors of each item.
    pub errors: &'a [Vec<Error>],
    /// What was found in it.
    pub analysis: &'a Analysis<'a>,
    /// How it went from session to session, if there are several.
    pub way: Option<&'a Way>,
    /// How far a second pass over the same recordings agrees, by letters and by letters and
    /// marks, if there is one.
    pub passes: Option<(Share, Share)>,
}

/// "7 of 10".
fn of(right: impl std::fmt::Display, all: impl std::fmt::Display) -> String {
    format!("{right} of {all}")
}

/// The day of a moment in RFC 3339.
fn day(moment: &str) -> &str {
    moment.split('T').next().unwrap_or(moment)
}

/// A count as 32 bits.
fn small(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}
