//! `apical check`: what is wrong with a transcription.

use super::arguments::{Check, Format};
use super::output::Answers;
use super::reading::Reading;
use super::{Origins, Status, Stop};
use crate::report::text::check::{Line, line, summary};
use crate::report::{Fault, Tally, json};

/// Faults of one line that are put into words for the screen.
pub(super) const MOST_WORDED: usize = 64;

/// Runs the command.
pub(super) fn run(arguments: &Check) -> Result<Status, Stop> {
    let mut answers = Answers::new(&arguments.output);
    let mut reading = Reading::new(super::manner(&arguments.reading)?);
    let mut tally = Tally::default();
    let mut origins = Origins::default();
    let many = arguments.input.texts.len() != 1;
    let mut gap = "";
    let status = super::each_text(&arguments.input, &mut |record, origin| {
        reading.read(record.texts.first().map_or(&[][..], Vec::as_slice));
        tally.count(reading.worst());
        match answers.format {
            Format::Json => answers.object(&json::Check {
                origin: origin.json(record),
                text: reading.shown(),
                ipa: reading.ipa(),
                valid: reading.is_valid(),
                notation: reading.transcription().notation().name(),
                diagnostics: json::Lazy(|| reading.faults().map(json::Diagnostic::from)),
            }),
            Format::Text => {
                if arguments.faults_only && reading.count() == 0 {
                    return Ok(());
                }
                gap = "\n";
                let mut page = origins.heading(origin);
                page.push_str(&drawn(
                    &reading,
                    many.then_some(record.line),
                    answers.columns,
                ));
                answers.page(&page)
            }
        }
    });
    // What was counted is worth saying even when a source could not be read to its end.
    let said = tally.read > 0 || matches!(status, Ok(Status::Good));
    if answers.format == Format::Text && many && status.is_ok() && said {
        answers.page(&format!("{gap}{}", summary(&tally)))?;
    }
    let worst = if tally.invalid > 0 {
        Status::Invalid
    } else {
        Status::Good
    };
    Ok(status?.max(worst))
}

/// A reading and its faults, drawn.
pub(super) fn drawn(reading: &Reading, number: Option<u64>, columns: usize) -> String {
    let faults: Vec<Fault> = reading.faults().take(MOST_WORDED).collect();
    let more = reading.count().saturating_sub(faults.len());
    let notation = reading.transcription().notation().name();
    line(
        &Line {
            number,
            text: reading.shown(),
            ipa: reading.ipa(),
            notation,
            faults: &faults,
            more,
        },
        columns,
    )
}
