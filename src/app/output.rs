//! Standard output: buffered by record, plain or styled, quiet when its reader has gone.

use std::io::{self, BufWriter, IsTerminal, Write};

use serde::Serialize;

use super::arguments::{Format, Output};
use super::{Status, Stop};
use crate::report::text::NARROWEST;

/// Columns drawn for where the screen does not say how wide it is.
const USUAL_WIDTH: usize = 80;

/// Where answers go.
pub struct Answers {
    out: BufWriter<Box<dyn Write + Send>>,
    /// The form they are written in.
    pub format: Format,
    /// How wide the screen is.
    pub columns: usize,
    /// Whether a person reads it as it comes.
    pub on_screen: bool,
}

impl std::fmt::Debug for Answers {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter
            .debug_struct("Answers")
            .field("format", &self.format)
            .field("columns", &self.columns)
            .finish_non_exhaustive()
    }
}

impl Answers {
    /// Standard output in the form asked for.
    #[must_use]
    pub fn new(output: &Output) -> Self {
        let stdout: Box<dyn Write + Send> = match output.format {
            Format::Json => Box::new(io::stdout()),
            Format::Text => Box::new(anstream::stdout()),
        };
        let on_screen = io::stdout().is_terminal();
        // Behind a pager the screen is still there, on another stream.
        let screen =
            || terminal_size::terminal_size().map(|(columns, _)| usize::from(columns.0));
        let columns = output
            .width
            .or_else(screen)
            .unwrap_or(USUAL_WIDTH)
            .max(NARROWEST);
        let out = BufWriter::with_capacity(64 * 1024, stdout);
        Self {
            out,
            format: output.format,
            columns,
            on_screen,
        }
    }

    /// Writes one object and its line end, and sends it off.
    ///
    /// # Errors
    /// Whatever the writing stops with.
    pub fn object(&mut self, object: &impl Serialize) -> Result<(), Stop> {
        write_object(&mut self.out, object)?;
        Ok(self.out.flush()?)
    }

    /// Writes a piece of text as it is, and sends it off.
    ///
    /// # Errors
    /// Whatever the writing stops with.
    pub fn page(&mut self, page: &str) -> Result<(), Stop> {
        self.out.write_all(page.as_bytes())?;
        Ok(self.out.flush()?)
    }
}

/// Bytes as they are; they wait for a flush.
impl Write for Answers {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.out.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// Writes one object and its line end.
///
/// # Errors
/// Whatever the writing stops with.
pub fn write_object(out: &mut impl Write, object: &impl Serialize) -> io::Result<()> {
    let mut serializer = serde_json::Serializer::with_formatter(&mut *out, OneLine);
    object.serialize(&mut serializer).map_err(io::Error::from)?;
    out.write_all(b"\n")
}

/// Prints a text as it is.
///
/// # Errors
/// Whatever the writing stops with.
pub fn print(text: &str) -> Result<Status, Stop> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(Status::Good)
}

/// JSON in which no reader finds an end of line, and no terminal a command, inside an
/// object: what some programs take for a line end (U+0085, U+2028, U+2029), C1 controls and
/// controls of direction are escaped.
struct OneLine;

impl OneLine {
    fn write<W: ?Sized + Write>(writer: &mut W, fragment: &str) -> io::Result<()> {
        // All that is unsafe begins with one of these bytes.
        let first = |byte: &u8| matches!(byte, 0x7F | 0xC2 | 0xD8 | 0xE2 | 0xEF);
        // Without an early end, so that many bytes are looked at a time.
        if !fragment
            .as_bytes()
            .iter()
            .fold(false, |any, byte| any | first(byte))
        {
            return writer.write_all(fragment.as_bytes());
        }
        let mut rest = fragment;
        let mut from = 0;
        while let Some(next) = rest.as_bytes().iter().skip(from).position(first) {
            let (before, after) = rest.split_at(from + next);
            let Some(character) = after.chars().next() else {
                break;
            };
            from += next + character.len_utf8();
            if character == '\u{7F}' || is_unsafe(character) {
                writer.write_all(before.as_bytes())?;
                write!(writer, "\\u{:04x}", u32::from(character))?;
                rest = rest.get(from..).unwrap_or_default();
                from = 0;
            }
        }
        writer.write_all(rest.as_bytes())
    }
}

impl serde_json::ser::Formatter for OneLine {
    fn write_string_fragment<W: ?Sized + Write>(
        &mut self,
        writer: &mut W,
        fragment: &str,
    ) -> io::Result<()> {
        Self::write(writer, fragment)
    }

    // An id is handed through as it was written; outside its strings nothing is unsafe.
    fn write_raw_fragment<W: ?Sized + Write>(
        &mut self,
        writer: &mut W,
        fragment: &str,
    ) -> io::Result<()> {
        Self::write(writer, fragment)
    }
}

/// Whether a character beyond ASCII could end a line or reorder what is shown.
const fn is_unsafe(character: char) -> bool {
    matches!(
        character,
        '\u{80}'..='\u{9F}'
            | '\u{61C}'
            | '\u{200E}'
            | '\u{200F}'
            | '\u{2028}'..='\u{202E}'
            | '\u{2066}'..='\u{2069}'
            | '\u{FEFF}'
    )
}
