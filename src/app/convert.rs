//! `apical convert`: the same transcription in another notation.

use std::io::Write as _;

use super::arguments::{Convert, Format};
use super::output::Answers;
use super::reading::{Manner, Reading};
use super::{Status, Stop};
use crate::report::json;
use crate::report::text::check::{Line, line};
use crate::report::text::line::visible;

/// Runs the command.
///
/// The text form writes one converted line for each that came in, fit for a pipe; what
/// could not be carried over is drawn on standard error.
pub(super) fn run(arguments: &Convert) -> Result<Status, Stop> {
    let mut answers = Answers::new(&arguments.output);
    let mut reading = Reading::new(Manner {
        alphabet: arguments.from,
        accent: None,
    });
    let mut lost = false;
    let many = arguments.input.texts.len() != 1;
    let status = super::each_text(&arguments.input, &mut |record, origin| {
        let given = record.texts.first().map_or(&[][..], Vec::as_slice);
        reading.read_as(given, record.alphabet);
        let (converted, faults) = reading.put_into(arguments.to);
        lost |= !faults.is_empty();
        match answers.format {
            Format::Json => answers.object(&json::Conversion {
                origin: origin.json(record),
                text: reading.shown(),
                from: record.alphabet.unwrap_or(arguments.from).name(),
                to: arguments.to.name(),
                converted: &converted,
                diagnostics: json::Lazy(|| {
                    faults.iter().cloned().map(json::Diagnostic::from)
                }),
            }),
            Format::Text => {
                let shown = if answers.on_screen {
                    visible(&converted)
                } else {
                    converted
                };
                answers.page(&format!("{shown}\n"))?;
                if !faults.is_empty() {
                    let drawn = line(
                        &Line {
                            number: many.then_some(record.line),
                            text: reading.shown(),
                            ipa: None,
                            notation: "",
                            faults: &faults,
                            more: 0,
                        },
                        answers.columns,
                    );
                    let _ = anstream::stderr().write_all(drawn.as_bytes());
                }
                Ok(())
            }
        }
    })?;
    Ok(if lost {
        status.max(Status::Invalid)
    } else {
        status
    })
}
