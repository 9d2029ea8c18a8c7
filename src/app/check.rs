//! `apical check`: what is wrong with a transcription.

use super::arguments::{Check, Format, Output, Verdict};
use super::files::place::{Place, Walk};
use super::files::{Pick, Record, Wanted};
use super::mend;
use super::output::Answers;
use super::reading::Reading;
use super::{Origin, Origins, Status, Stop};
use crate::report::json::sarif::{self, Artifact, Finding};
use crate::report::text::check::{Line, line, summary};
use crate::report::text::line::visible;
use crate::report::{Fault, Tally, json};

/// Faults of one line that are put into words for the screen.
pub(super) const MOST_WORDED: usize = 64;

/// Runs the command.
pub(super) fn run(arguments: &Check) -> Result<Status, Stop> {
    let mut reading = Reading::new(super::manner(&arguments.reading)?);
    if arguments.fix {
        let mut mended = mend::mend(arguments, &mut reading)?;
        if mended.told {
            return Ok(mended.status);
        }
        let status = mended.status;
        let sources = std::mem::take(&mut mended.sources);
        let wanted = Wanted::One(Pick::of(&arguments.input));
        let form = arguments.input.input;
        let judged = judge(arguments, &mut reading, Some(&mended), &mut |each| {
            super::each_record(&sources, form, &wanted, each)
        })?;
        return Ok(judged.max(status));
    }
    judge(arguments, &mut reading, None, &mut |each| {
        super::each_text(&arguments.input, each)
    })
}

/// What hands every record to a function.
type Records<'a> = dyn FnMut(&mut super::Each<'_>) -> Result<Status, Stop> + 'a;

fn judge(
    arguments: &Check,
    reading: &mut Reading,
    mended: Option<&mend::Mended>,
    records: &mut Records<'_>,
) -> Result<Status, Stop> {
    let verdict = arguments.output.format;
    let mut answers = Answers::new(&Output {
        format: match verdict {
            Verdict::Json | Verdict::Sarif => Format::Json,
            Verdict::Text | Verdict::Lines => Format::Text,
        },
        width: arguments.output.width,
    });
    let mut tally = Tally::default();
    let mut origins = Origins::default();
    let many = arguments.input.texts.len() != 1;
    let few = arguments.faults_only || mended.is_some();
    let mut gap = "";
    let mut number = 0_usize;
    let mut comma = "";
    if verdict == Verdict::Sarif {
        let schema = sarif::SCHEMA;
        let head = format!(
            "{{\"$schema\":\"{schema}\",\"version\":\"2.1.0\",\"runs\":[{{\"tool\":\n"
        );
        answers.page(&head)?;
        answers.object(&sarif::Tool::new())?;
        answers.page(",\"columnKind\":\"unicodeCodePoints\",\"results\":[\n")?;
    }
    let status = records(&mut |record, origin| {
        let given = record.texts.first().map_or(&[][..], Vec::as_slice);
        reading.read_as(given, record.alphabet);
        tally.count(reading.worst());
        let was = mended.and_then(|mended| mended.was.get(&number));
        number += 1;
        match verdict {
            Verdict::Json => answers.object(&json::Check {
                origin: origin.json(record),
                text: reading.shown(),
                was: was.map(String::as_str),
                ipa: reading.ipa(),
                valid: reading.is_valid(),
                notation: reading.transcription().notation().name(),
                diagnostics: json::Lazy(|| {
                    let mut walk =
                        record.places.first().map(|place| Walk::new(place, given));
                    reading.faults().map(move |fault| json::Diagnostic {
                        place: walk.as_mut().map(|walk| walk.place(fault.given)),
                        ..json::Diagnostic::from(fault)
                    })
                }),
            }),
            Verdict::Text => {
                if few && reading.count() == 0 {
                    return Ok(());
                }
                gap = "\n";
                let mut page = origins.heading(origin);
                let number = many.then_some(record.line);
                page.push_str(&drawn(reading, number, answers.columns));
                answers.page(&page)
            }
            Verdict::Lines => {
                let file = visible(origin.file.unwrap_or("-"));
                placed(reading, record, &mut |fault, place, _| {
                    answers.page(&format!(
                        "{file}:{}:{}: {}: {} ({})\n",
                        place.line,
                        place.column,
                        fault.severity.name(),
                        visible(&fault.message),
                        fault.code
                    ))
                })
            }
            Verdict::Sarif => {
                let artifact = artifact(origin, record);
                placed(reading, record, &mut |fault, place, replacement| {
                    let finding = Finding::new(fault, &artifact, place, replacement);
                    answers.page(comma)?;
                    comma = ",";
                    answers.object(&finding)
                })
            }
        }
    });
    let worst = if tally.invalid > 0 {
        Status::Invalid
    } else {
        Status::Good
    };
    // What was counted is worth saying even when a source could not be read to its end.
    let said = tally.read > 0 || matches!(status, Ok(Status::Good));
    if verdict == Verdict::Text && many && status.is_ok() && said {
        let mut page = format!("{gap}{}", summary(&tally));
        if let Some(mended) = mended {
            page.push_str(&mended.summary());
        }
        answers.page(&page)?;
    }
    if let (Verdict::Sarif, Ok(status)) = (verdict, &status) {
        let successful = *status != Status::Failed;
        let code = (*status).max(worst) as u8;
        answers.page(&format!(
            "],\"invocations\":[{{\"executionSuccessful\":{successful},\"exitCode\":{code}}}]}}]}}\n"
        ))?;
    }
    Ok(status?.max(worst))
}

/// What is done with a fault, its place, and what mends it.
type Placed<'a> =
    dyn FnMut(&Fault, json::InFile, Option<String>) -> Result<(), Stop> + 'a;

/// Hands every fault to `each`, with its place and what mends it as the file needs it.
fn placed(reading: &Reading, record: &Record, each: &mut Placed<'_>) -> Result<(), Stop> {
    let given = record.texts.first().map_or(&[][..], Vec::as_slice);
    let argument = Place {
        line: record.line,
        column: 1,
        ..Place::default()
    };
    let place = record.places.first().unwrap_or(&argument);
    let mut walk = Walk::new(place, given);
    for fault in reading.faults() {
        let replacement = fault.replacement.as_deref();
        let replacement = replacement.filter(|_| !place.untraced);
        let written = replacement.and_then(|text| place.escape.text(text));
        each(&fault, walk.place(fault.given), written)?;
    }
    Ok(())
}

/// Where a result is said to be.
fn artifact(origin: &Origin<'_>, record: &Record) -> Artifact {
    match origin.file {
        Some(file) => Artifact::file(file),
        None if record.places.is_empty() => Artifact::other("arguments, one a line"),
        None => Artifact::other("standard input"),
    }
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
