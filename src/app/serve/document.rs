//! A document that is open in an editor: its text, its places as the editor counts them,
//! and the transcriptions in it.

use std::ops::Range;
use std::path::PathBuf;
use std::sync::Arc;

use super::protocol::{self, Position};
use crate::app::arguments::Form;
use crate::app::files::{self, Pick, Record, Source, Wanted};
use crate::text::Span;

/// The ending of a file, and the name of a language, that promise a list: one
/// transcription a line.
pub(super) const LIST: [&str; 2] = ["ipa", "ipa-list"];

/// What a character is counted in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Encoding {
    /// Bytes of UTF-8.
    Utf8,
    /// Units of UTF-16: what an editor counts in unless it says otherwise.
    #[default]
    Utf16,
    /// Characters.
    Utf32,
}

impl Encoding {
    /// Those there are, the best first.
    pub(super) const ALL: [Self; 3] = [Self::Utf8, Self::Utf32, Self::Utf16];

    /// The protocol's name.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Utf8 => "utf-8",
            Self::Utf16 => "utf-16",
            Self::Utf32 => "utf-32",
        }
    }

    /// How many units a text takes.
    fn units(self, text: &str) -> usize {
        match self {
            Self::Utf8 => text.len(),
            Self::Utf16 => text.encode_utf16().count(),
            Self::Utf32 => text.chars().count(),
        }
    }
}

/// One transcription of a document: a record of one text.
pub(super) type Text = Record;

/// A document.
#[derive(Debug)]
pub(super) struct Document {
    /// Which state of it this is, in the editor's count.
    pub(super) version: i32,
    text: String,
    path: PathBuf,
    language: String,
    encoding: Encoding,
    /// Where each line begins.
    lines: Vec<usize>,
    /// The transcriptions in it, in order.
    texts: Vec<Text>,
}

impl Document {
    /// A document as it was opened.
    pub(super) fn new(
        uri: &str,
        language: &str,
        version: i32,
        text: String,
        encoding: Encoding,
    ) -> Self {
        let path = uri.split(['?', '#']).next().unwrap_or_default();
        let mut document = Self {
            version,
            text,
            path: PathBuf::from(path),
            language: language.to_owned(),
            encoding,
            lines: Vec::new(),
            texts: Vec::new(),
        };
        document.look();
        document
    }

    /// Changes it as the editor says. An end before its beginning is refused, and with it
    /// what comes after.
    pub(super) fn change(
        &mut self,
        version: i32,
        changes: &[protocol::Change],
    ) -> Result<(), String> {
        self.version = version;
        let mut outcome = Ok(());
        for change in changes {
            match change.range {
                Some(range) => {
                    let start = self.offset(range.start);
                    let end = self.offset(range.end);
                    if start > end {
                        outcome = Err("a range ends before it begins".to_owned());
                        break;
                    }
                    self.text.replace_range(start..end, &change.text);
                }
                None => self.text.clone_from(&change.text),
            }
            self.count_lines();
        }
        self.look();
        outcome
    }

    /// The transcriptions, in order.
    pub(super) fn texts(&self) -> &[Text] {
        &self.texts
    }

    /// Whether every line is a transcription.
    pub(super) fn is_list(&self) -> bool {
        let ending = self.path.extension().and_then(|ending| ending.to_str());
        LIST.contains(&self.language.as_str())
            || ending.is_some_and(|ending| LIST.contains(&ending))
    }

    /// The transcription that a byte stands in or at the end of.
    pub(super) fn text_at(&self, at: usize) -> Option<&Text> {
        self.texts.iter().find(|text| {
            let range = whole(text);
            range.start <= at && at <= range.end
        })
    }

    /// The line before a byte.
    pub(super) fn before(&self, at: usize) -> &str {
        let line = self.lines.partition_point(|start| *start <= at);
        let start = line.checked_sub(1).and_then(|line| self.lines.get(line));
        self.text
            .get(start.copied().unwrap_or(0)..at)
            .unwrap_or_default()
    }

    /// What stands between two bytes.
    pub(super) fn between(&self, range: Range<usize>) -> &str {
        self.text.get(range).unwrap_or_default()
    }

    /// The byte of a position. One past the end of a line is that end, one past the last
    /// line the end of the text.
    pub(super) fn offset(&self, position: Position) -> usize {
        let number = position.line as usize;
        let Some(start) = self.lines.get(number).copied() else {
            return self.text.len();
        };
        let next = self.lines.get(number + 1).copied();
        let line = self
            .text
            .get(start..next.unwrap_or(self.text.len()))
            .unwrap_or_default();
        let line = line.trim_end_matches(['\r', '\n']);
        let mut left = position.character as usize;
        for (at, character) in line.char_indices() {
            let mut bytes = [0; 4];
            let units = self.encoding.units(character.encode_utf8(&mut bytes));
            if left < units {
                return start + at;
            }
            left -= units;
        }
        start + line.len()
    }

    /// The position of a byte.
    pub(super) fn position(&self, at: usize) -> Position {
        let mut at = at.min(self.text.len());
        while !self.text.is_char_boundary(at) {
            at -= 1;
        }
        let line = self.lines.partition_point(|start| *start <= at);
        let line = line.saturating_sub(1);
        let before = self.encoding.units(self.before(at));
        let number = |number: usize| u32::try_from(number).unwrap_or(u32::MAX);
        Position {
            line: number(line),
            character: number(before),
        }
    }

    /// The range of some bytes.
    pub(super) fn range(&self, range: Range<usize>) -> protocol::Range {
        protocol::Range {
            start: self.position(range.start),
            end: self.position(range.end),
        }
    }

    /// Finds lines and transcriptions again.
    fn look(&mut self) {
        self.count_lines();
        let source = Source::Held(
            self.path.clone(),
            Arc::from(self.text.as_bytes().to_vec().into_boxed_slice()),
        );
        let one = Wanted::One(Pick::default());
        let prose = Wanted::One(Pick {
            in_text: true,
            ..Pick::default()
        });
        let lines = Some(Form::Lines);
        let ways = if self.is_list() {
            vec![(lines, one)]
        } else {
            match source.form() {
                None | Some(Form::Lines) => vec![(lines, prose)],
                Some(Form::Tsv | Form::Csv) => {
                    vec![(None, Wanted::Pair), (None, one), (lines, prose)]
                }
                Some(_) => vec![(None, one), (lines, prose)],
            }
        };
        for (form, wanted) in ways {
            self.texts.clear();
            let texts = &mut self.texts;
            let read = files::read(&source, form, &wanted, &mut |record| {
                texts.extend(parted(record));
                Ok(())
            });
            if read.is_ok() {
                return;
            }
        }
    }

    fn count_lines(&mut self) {
        self.lines.clear();
        self.lines.push(0);
        let bytes = self.text.as_bytes();
        for (at, byte) in bytes.iter().enumerate() {
            let ends =
                *byte == b'\n' || *byte == b'\r' && bytes.get(at + 1) != Some(&b'\n');
            if ends {
                self.lines.push(at + 1);
            }
        }
    }
}

/// Each text of a record as a record of its own.
fn parted(record: &Record) -> impl Iterator<Item = Text> {
    record
        .texts
        .iter()
        .zip(&record.places)
        .map(|(text, place)| Record {
            line: record.line,
            texts: vec![text.clone()],
            places: vec![place.clone()],
            alphabet: record.alphabet,
            ..Record::default()
        })
}

/// The bytes of a text, as they were given.
pub(super) fn given(text: &Text) -> &[u8] {
    text.texts.first().map_or(&[][..], Vec::as_slice)
}

/// The bytes of the document that a span of a text stands in.
pub(super) fn bytes(text: &Text, span: Span) -> Range<usize> {
    let Some(place) = text.places.first() else {
        return 0..0;
    };
    let start = usize::try_from(place.start).unwrap_or(usize::MAX);
    let range = place.range(span);
    start.saturating_add(range.start)..start.saturating_add(range.end)
}

/// The bytes of the document that a text stands in.
pub(super) fn whole(text: &Text) -> Range<usize> {
    bytes(text, Span::new(0, given(text).len()))
}
