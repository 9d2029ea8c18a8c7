//! Standard output: buffered by record, plain or styled, quiet when its reader has gone.

mod one_line;
mod page;

pub use page::Page;

use std::io::{self, IsTerminal, Write};

use serde::Serialize;

use super::arguments::{Format, Output};
use super::{Status, Stop};
use crate::report::text::NARROWEST;

/// Columns drawn for where the screen does not say how wide it is.
const USUAL_WIDTH: usize = 80;

/// How many bytes of answers are written at a time.
const ROOM: usize = 16 * 1024;

/// Where answers go.
pub struct Answers {
    out: Page<Box<dyn Write + Send>>,
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
        let out = Page::new(stdout, Vec::new(), ROOM);
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

/// What was not sent off is, as far as that is possible.
impl Drop for Answers {
    fn drop(&mut self) {
        let _ = self.out.flush();
    }
}

/// Writes one object and its line end.
///
/// # Errors
/// Whatever the writing stops with.
pub fn write_object(
    out: &mut Page<impl Write>,
    object: &impl Serialize,
) -> io::Result<()> {
    one_line::write(out, object)?;
    out.put(b"\n")
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
