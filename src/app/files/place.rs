//! Where a text stands in its file, and how it is written there.

use std::ops::Range;

use crate::report::json;
use crate::text::Span;

/// A stretch of a text and the bytes of the file that it was written as. Of equal length,
/// they are the same bytes; else the stretch is one character and the bytes stand for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// In the text.
    pub text: Range<usize>,
    /// In the raw bytes.
    pub raw: Range<usize>,
}

/// How a character is written where it could be taken for something else.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Escape {
    /// As it is.
    #[default]
    None,
    /// A cell of CSV without quotation marks around it.
    CsvPlain,
    /// A cell of CSV between quotation marks.
    CsvQuoted,
    /// A string of JSON.
    Json,
    /// Text of XML or HTML.
    Markup,
    /// A CDATA section, in which nothing can be escaped.
    Verbatim,
    /// An attribute's value between these marks.
    Attribute(u8),
}

impl Escape {
    /// The text as it is written; none where it cannot stand there by itself.
    #[must_use]
    pub fn text(self, text: &str) -> Option<String> {
        let marks = |character| matches!(character, ',' | '"' | '\r' | '\n');
        if self == Self::CsvPlain && text.contains(marks) {
            return None;
        }
        text.chars()
            .map(|character| self.write(character))
            .collect()
    }

    /// The character as it is written; none where it cannot stand there.
    fn write(self, character: char) -> Option<String> {
        let written = match (self, character) {
            (Self::CsvQuoted, '"') => "\"\"".to_owned(),
            (Self::Json, '"') => "\\\"".to_owned(),
            (Self::Json, '\\') => "\\\\".to_owned(),
            (Self::Json, '\0'..='\u{1F}') => format!("\\u{:04x}", u32::from(character)),
            (Self::Markup | Self::Attribute(_), '&') => "&amp;".to_owned(),
            (Self::Markup | Self::Attribute(_), '<') => "&lt;".to_owned(),
            (Self::Markup, '>') => "&gt;".to_owned(),
            (Self::Verbatim, '&' | '<' | '>') => return None,
            (Self::Attribute(b'"'), '"') => "&quot;".to_owned(),
            (Self::Attribute(b'\''), '\'') => "&#39;".to_owned(),
            // An attribute of HTML without marks around it.
            (Self::Attribute(mark), '"' | '\'' | '=' | '>' | '`' | ' ')
                if !matches!(mark, b'"' | b'\'') =>
            {
                format!("&#{};", u32::from(character))
            }
            _ => character.to_string(),
        };
        Some(written)
    }
}

/// Where a text stands in its file.
#[derive(Clone, Debug, Default)]
pub struct Place {
    /// The first byte of it, from 0.
    pub start: u64,
    /// The line it begins on, from 1.
    pub line: u64,
    /// The character of that line it begins with, from 1.
    pub column: u64,
    /// How it is written; empty where that is the text itself.
    pub raw: Vec<u8>,
    /// How the text comes of it, in order, covering the text.
    pub pieces: Vec<Piece>,
    /// How a character is written there.
    pub escape: Escape,
    /// Whether the text cannot be traced back byte by byte; it is never mended then.
    pub untraced: bool,
}

impl Place {
    /// The bytes of the file that the text is made of.
    #[must_use]
    pub fn raw<'a>(&'a self, text: &'a [u8]) -> &'a [u8] {
        if self.pieces.is_empty() && !self.untraced {
            text
        } else {
            &self.raw
        }
    }

    /// The raw bytes of a span of the text.
    #[must_use]
    pub fn range(&self, span: Span) -> Range<usize> {
        if self.untraced {
            return 0..self.raw.len();
        }
        if self.pieces.is_empty() {
            return span.start..span.end;
        }
        let start = self.begin(span.start);
        if span.start == span.end {
            return start..start;
        }
        let last = self
            .pieces
            .partition_point(|piece| piece.text.start < span.end);
        let end = last
            .checked_sub(1)
            .and_then(|last| self.pieces.get(last))
            .map_or(start, |piece| {
                if piece.text.len() == piece.raw.len() {
                    piece.raw.start + (span.end - piece.text.start).min(piece.raw.len())
                } else {
                    piece.raw.end
                }
            });
        start..end.max(start)
    }

    fn begin(&self, at: usize) -> usize {
        let piece = self.pieces.partition_point(|piece| piece.text.end <= at);
        match self.pieces.get(piece) {
            Some(piece) if piece.text.len() == piece.raw.len() => {
                piece.raw.start + at.saturating_sub(piece.text.start)
            }
            Some(piece) => piece.raw.start,
            None => self.pieces.last().map_or(0, |piece| piece.raw.end),
        }
    }
}

/// Walks through a text's places in order, counting lines and characters as it goes.
#[derive(Debug)]
pub struct Walk<'a> {
    place: &'a Place,
    text: &'a [u8],
    cursor: Cursor,
}

impl<'a> Walk<'a> {
    /// At the beginning of a text.
    #[must_use]
    pub fn new(place: &'a Place, text: &'a [u8]) -> Self {
        let cursor = Cursor {
            at: 0,
            line: place.line,
            column: place.column,
        };
        Self {
            place,
            text,
            cursor,
        }
    }

    /// The place in the file of a span of the text.
    pub fn place(&mut self, span: Span) -> json::InFile {
        let raw = self.place.raw(self.text);
        let range = self.place.range(span);
        if range.start < self.cursor.at {
            self.cursor = Self::new(self.place, self.text).cursor;
        }
        self.cursor.advance(raw, range.start);
        let from = self.cursor;
        let mut to = from;
        to.advance(raw, range.end);
        let offset = |at: usize| self.place.start + u64::try_from(at).unwrap_or(0);
        json::InFile {
            start: offset(range.start),
            end: offset(range.end),
            line: from.line,
            column: from.column,
            end_line: to.line,
            end_column: to.column,
        }
    }
}

/// A place among bytes, in lines and characters.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cursor {
    /// The byte, from 0.
    pub(super) at: usize,
    /// Its line, from 1.
    pub(super) line: u64,
    /// Its character in the line, from 1.
    pub(super) column: u64,
}

impl Cursor {
    /// Before the first byte.
    pub(super) const START: Self = Self {
        at: 0,
        line: 1,
        column: 1,
    };

    /// Goes on to a later byte.
    pub(super) fn advance(&mut self, bytes: &[u8], to: usize) {
        for byte in bytes.get(self.at..to).unwrap_or_default() {
            if *byte == b'\n' {
                self.line += 1;
                self.column = 1;
            } else if byte & 0xC0 != 0x80 {
                self.column += 1;
            }
        }
        self.at = self.at.max(to);
    }
}

/// One character of a text, or a byte that is none, and how it is written; without text, a
/// stretch that does not count, such as a tag.
#[derive(Clone, Debug)]
struct Atom {
    text: Vec<u8>,
    raw: Vec<u8>,
}

/// A text that is being mended, with the bytes of the file it is written as.
#[derive(Clone, Debug)]
pub struct Mending {
    atoms: Vec<Atom>,
    escape: Escape,
}

impl Mending {
    /// The text as it stands in the file.
    #[must_use]
    pub fn new(place: &Place, text: &[u8]) -> Self {
        let mut atoms = Vec::new();
        let raw = place.raw(text);
        let whole = [Piece {
            text: 0..text.len(),
            raw: 0..raw.len(),
        }];
        let pieces = if place.pieces.is_empty() {
            &whole[..]
        } else {
            &place.pieces
        };
        let mut at = 0;
        let bytes = |bytes: &[u8], range: Range<usize>| {
            bytes.get(range).unwrap_or_default().to_vec()
        };
        for piece in pieces {
            if at < piece.raw.start {
                atoms.push(Atom {
                    text: Vec::new(),
                    raw: bytes(raw, at..piece.raw.start),
                });
            }
            at = piece.raw.end;
            if piece.text.len() != piece.raw.len() {
                atoms.push(Atom {
                    text: bytes(text, piece.text.clone()),
                    raw: bytes(raw, piece.raw.clone()),
                });
                continue;
            }
            for chunk in bytes(text, piece.text.clone()).utf8_chunks() {
                for character in chunk.valid().chars() {
                    let written = character.to_string().into_bytes();
                    atoms.push(Atom {
                        text: written.clone(),
                        raw: written,
                    });
                }
                for byte in chunk.invalid() {
                    atoms.push(Atom {
                        text: vec![*byte],
                        raw: vec![*byte],
                    });
                }
            }
        }
        if let Some(rest) = raw.get(at..).filter(|rest| !rest.is_empty()) {
            atoms.push(Atom {
                text: Vec::new(),
                raw: rest.to_vec(),
            });
        }
        Self {
            atoms,
            escape: place.escape,
        }
    }

    /// The text as it is now.
    #[must_use]
    pub fn text(&self) -> Vec<u8> {
        self.atoms
            .iter()
            .flat_map(|atom| atom.text.iter().copied())
            .collect()
    }

    /// What to write into the file.
    #[must_use]
    pub fn raw(&self) -> Vec<u8> {
        let raw = self.atoms.iter().flat_map(|atom| atom.raw.iter().copied());
        let raw: Vec<u8> = raw.collect();
        let special = |byte: &u8| matches!(byte, b',' | b'"' | b'\r' | b'\n');
        if self.escape != Escape::CsvPlain || !raw.iter().any(special) {
            return raw;
        }
        let mut quoted = vec![b'"'];
        for byte in raw {
            if byte == b'"' {
                quoted.push(byte);
            }
            quoted.push(byte);
        }
        quoted.push(b'"');
        quoted
    }

    /// Puts replacements in place of spans of the text, given in order; one that begins
    /// before the last one ended is left for later, one that cannot be written is left
    /// out. Says how many were made.
    pub fn replace(&mut self, mends: &[(Span, String)]) -> usize {
        let mut made = 0;
        let mut out: Vec<Atom> = Vec::with_capacity(self.atoms.len());
        let mut mends = mends.iter().peekable();
        let mut atoms = std::mem::take(&mut self.atoms).into_iter().peekable();
        // The place in the text before the next atom.
        let mut at = 0;
        loop {
            while mends.next_if(|(span, _)| span.start < at).is_some() {}
            let here = mends.next_if(|(span, _)| span.start == at);
            let Some((span, replacement)) = here else {
                let Some(atom) = atoms.next() else { break };
                at += atom.text.len();
                out.push(atom);
                continue;
            };
            let mut taken: Vec<Atom> = Vec::new();
            // A tag before the text that is replaced stays before it.
            while !span.is_empty() {
                let Some(gap) = atoms.next_if(|atom| atom.text.is_empty()) else {
                    break;
                };
                out.push(gap);
            }
            while at < span.end {
                let Some(atom) = atoms.next() else { break };
                at += atom.text.len();
                taken.push(atom);
            }
            let written: Option<Vec<Atom>> = replacement
                .chars()
                .map(|character| {
                    Some(Atom {
                        text: character.to_string().into_bytes(),
                        raw: self.escape.write(character)?.into_bytes(),
                    })
                })
                .collect();
            let whole = at == span.end && taken.iter().all(|atom| !atom.text.is_empty());
            match written {
                Some(written) if whole => {
                    made += 1;
                    out.extend(written);
                }
                _ => out.extend(taken),
            }
            if span.is_empty() {
                let Some(atom) = atoms.next() else { continue };
                at += atom.text.len();
                out.push(atom);
            }
        }
        self.atoms = out;
        made
    }
}
