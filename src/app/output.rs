//! Standard output: buffered by record, plain or styled, quiet when its reader has gone.

use std::io::{self, BufWriter, IsTerminal, Write};

use serde::Serialize;

use super::Stop;
use super::arguments::{Format, Output};
use crate::report::text::NARROWEST;

/// Columns drawn for where the screen does not say how wide it is.
const USUAL_WIDTH: usize = 80;

/// Where answers go.
pub struct Answers {
    out: BufWriter<Box<dyn Write>>,
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
        let stdout: Box<dyn Write> = match output.format {
            Format::Json => Box::new(io::stdout().lock()),
            Format::Text => Box::new(anstream::stdout().lock()),
        };
        let on_screen = io::stdout().is_terminal();
        let screen = || {
            let size = on_screen.then(terminal_size::terminal_size).flatten();
            size.map(|(columns, _)| usize::from(columns.0))
        };
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
        serde_json::to_writer(&mut self.out, object).map_err(io::Error::from)?;
        self.out.write_all(b"\n")?;
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
