//! `apical check`: what is wrong with a transcription.

mod lines;
mod sieve;

use std::io::{self, Write};

use super::arguments::{Alphabet, Check, Format, Output, Verdict};
use super::files::place::{Place, Walk};
use super::files::{self, Pick, Record, Source, Wanted};
use super::mend::{self, Mended};
use super::output::{Answers, Page, write_object};
use super::reading::{LONG, Manner, Reading};
use super::{Origin, Origins, Status, Stop};
use crate::notation;
use crate::report::json::sarif::{self, Artifact, Finding};
use crate::report::text::check::{Line, line, summary};
use crate::report::text::line::visible;
use crate::report::{Fault, Tally, json};

/// Faults of one line that are put into words for the screen.
pub(super) const MOST_WORDED: usize = 64;

/// How many bytes of what is said of a text wait to be written.
const ROOM: usize = 4 * 1024;

/// Runs the command.
pub(super) fn run(arguments: &Check) -> Result<Status, Stop> {
    let manner = super::manner(&arguments.reading)?;
    if !arguments.fix {
        let sources = files::sources(&arguments.input);
        return judge(arguments, &manner, &sources, None);
    }
    let mut mended = mend::mend(arguments, &mut Reading::new(manner.clone()))?;
    if mended.told {
        return Ok(mended.status);
    }
    let sources = std::mem::take(&mut mended.sources);
    let judged = judge(arguments, &manner, &sources, Some(&mended))?;
    Ok(judged.max(mended.status))
}

fn judge(
    arguments: &Check,
    manner: &Manner,
    sources: &[Source],
    mended: Option<&Mended>,
) -> Result<Status, Stop> {
    let verdict = arguments.output.format;
    let many = arguments.input.texts.len() != 1;
    let mut sink = Sink::new(arguments)?;
    let columns = sink.answers.columns;
    let mut judge = Judge::new(arguments, manner, mended.is_some(), columns);
    let wanted = Wanted::One(Pick::of(&arguments.input));
    let form = arguments.input.input;
    let mut number = 0_usize;
    let mut one =
        |judge: &mut Judge<'_>, sink: &mut Sink, at: &Record, of: &Origin<'_>| {
            let was = mended.and_then(|mended| mended.was.get(&number));
            number += 1;
            let room = std::mem::take(&mut judge.room);
            let mut outlet = Page::new(Outlet { sink, origin: of }, room, ROOM);
            judge.record(at, of, was.map(String::as_str), &mut outlet)?;
            outlet.flush()?;
            judge.room = outlet.into_parts().1;
            Ok(())
        };
    let status = if arguments.input.texts.is_empty() {
        super::each_source(sources, form, &wanted, &mut |source, origin| {
            if mended.is_none() && files::are_lines(source, form, &wanted)? {
                return lines::read(source, origin, &mut judge, &mut sink);
            }
            files::read(source, form, &wanted, &mut |record| {
                one(&mut judge, &mut sink, record, origin)
            })
        })
    } else {
        super::each_text(&arguments.input, &mut |record, origin| {
            one(&mut judge, &mut sink, record, origin)
        })
    };
    let tally = judge.tally;
    let worst = if tally.invalid > 0 {
        Status::Invalid
    } else {
        Status::Good
    };
    // What was counted is worth saying even when a source could not be read to its end.
    let said = tally.read > 0 || matches!(status, Ok(Status::Good));
    if verdict == Verdict::Text && many && status.is_ok() && said {
        let gap = if sink.said { "\n" } else { "" };
        let mut page = format!("{gap}{}", summary(&tally));
        if let Some(mended) = mended {
            page.push_str(&mended.summary());
        }
        sink.answers.page(&page)?;
    }
    if let (Verdict::Sarif, Ok(status)) = (verdict, &status) {
        let successful = *status != Status::Failed;
        let code = (*status).max(worst) as u8;
        sink.answers.page(&format!(
            "],\"invocations\":[{{\"executionSuccessful\":{successful},\"exitCode\":{code}}}]}}]}}\n"
        ))?;
    }
    Ok(status?.max(worst))
}

/// Where verdicts go: what stands before the first one is put there when it comes.
struct Sink {
    answers: Answers,
    origins: Origins,
    verdict: Verdict,
    /// Whether anything was written.
    said: bool,
}

impl Sink {
    fn new(arguments: &Check) -> Result<Self, Stop> {
        let verdict = arguments.output.format;
        let mut answers = Answers::new(&Output {
            format: match verdict {
                Verdict::Json | Verdict::Sarif => Format::Json,
                Verdict::Text | Verdict::Lines => Format::Text,
            },
            width: arguments.output.width,
        });
        if verdict == Verdict::Sarif {
            let schema = sarif::SCHEMA;
            let head = format!(
                "{{\"$schema\":\"{schema}\",\"version\":\"2.1.0\",\"runs\":[{{\"tool\":\n"
            );
            answers.page(&head)?;
            answers.object(&sarif::Tool::new())?;
            answers.page(",\"columnKind\":\"unicodeCodePoints\",\"results\":[\n")?;
        }
        Ok(Self {
            answers,
            origins: Origins::default(),
            verdict,
            said: false,
        })
    }

    /// Writes bytes that are about this origin.
    fn put(&mut self, origin: &Origin<'_>, mut bytes: &[u8]) -> io::Result<()> {
        if bytes.is_empty() {
            return Ok(());
        }
        if self.verdict == Verdict::Text {
            let heading = self.origins.heading(origin);
            self.answers.write_all(heading.as_bytes())?;
        }
        // Every result of SARIF brings the comma that parts it from the one before.
        if self.verdict == Verdict::Sarif && !self.said {
            bytes = bytes.get(1..).unwrap_or_default();
        }
        self.said = true;
        self.answers.write_all(bytes)
    }
}

/// The sink for what is about one origin.
struct Outlet<'a> {
    sink: &'a mut Sink,
    origin: &'a Origin<'a>,
}

impl Write for Outlet<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.sink.put(self.origin, bytes)?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.sink.answers.flush()
    }
}

/// Judges records one after another and says what is to be said of them.
struct Judge<'a> {
    arguments: &'a Check,
    manner: &'a Manner,
    reading: Reading,
    columns: usize,
    /// Whether the screen is spared what is in order.
    few: bool,
    /// Whether lines are numbered on the screen.
    many: bool,
    /// Room for what is said of one text.
    room: Vec<u8>,
    tally: Tally,
}

impl<'a> Judge<'a> {
    fn new(
        arguments: &'a Check,
        manner: &'a Manner,
        mended: bool,
        columns: usize,
    ) -> Self {
        Self {
            arguments,
            manner,
            reading: Reading::new(manner.clone()),
            columns,
            few: arguments.faults_only || mended,
            many: arguments.input.texts.len() != 1,
            room: Vec::new(),
            tally: Tally::default(),
        }
    }

    /// Another of the same kind, that has counted nothing yet.
    fn twin(&self) -> Self {
        Self {
            reading: Reading::new(self.manner.clone()),
            room: Vec::new(),
            tally: Tally::default(),
            ..*self
        }
    }

    /// Whether nothing is to be said of a text that is in order.
    fn is_sparing(&self) -> bool {
        self.arguments.faults_only
            || matches!(
                self.arguments.output.format,
                Verdict::Lines | Verdict::Sarif
            )
    }

    /// Whether a flawless transcription is counted, and that is all.
    fn passes_flawless(&self) -> bool {
        self.is_sparing()
            && self.manner.alphabet == Alphabet::Ipa
            && self.manner.accent.is_none()
    }

    /// Counts a text and passes over it, where that is all there is to do: it is flawless,
    /// and no accent has anything to add.
    fn passes(&mut self, given: &[u8]) -> bool {
        let broad = given.first() == Some(&b'/');
        let passed = self.is_sparing()
            && self.manner.alphabet == Alphabet::Ipa
            && !(broad && self.manner.accent.is_some())
            && notation::is_clean(given);
        if passed {
            self.tally.pass(1);
        }
        passed
    }

    /// Judges a record, and writes what is to be said of it.
    fn record(
        &mut self,
        record: &Record,
        origin: &Origin<'_>,
        was: Option<&str>,
        out: &mut Page<impl Write>,
    ) -> Result<(), Stop> {
        let given = record.texts.first().map_or(&[][..], Vec::as_slice);
        self.reading.read_as(given, record.alphabet);
        self.tally.count(self.reading.worst());
        self.say(record, origin, was, out)?;
        if given.len() > LONG {
            // What a long text needed is not kept for the short ones after it.
            self.reading = Reading::new(self.manner.clone());
        }
        Ok(())
    }

    /// Writes what is to be said of the record that has been read.
    fn say(
        &self,
        record: &Record,
        origin: &Origin<'_>,
        was: Option<&str>,
        out: &mut Page<impl Write>,
    ) -> Result<(), Stop> {
        let given = record.texts.first().map_or(&[][..], Vec::as_slice);
        let reading = &self.reading;
        let flawless = reading.count() == 0;
        match self.arguments.output.format {
            Verdict::Json if self.arguments.faults_only && flawless && was.is_none() => {}
            Verdict::Json => {
                let origin = origin.json(record);
                write_object(
                    out,
                    &json::Check {
                        version: origin.version,
                        id: origin.id,
                        line: origin.line,
                        file: origin.file,
                        place: origin.place,
                        text: reading.shown(),
                        was,
                        ipa: reading.ipa(),
                        valid: reading.is_valid(),
                        notation: reading.transcription().notation().name(),
                        diagnostics: json::Lazy(|| {
                            let mut walk = record
                                .places
                                .first()
                                .map(|place| Walk::new(place, given));
                            reading.faults().map(move |fault| json::Diagnostic {
                                place: walk.as_mut().map(|walk| walk.place(fault.given)),
                                ..json::Diagnostic::from(fault)
                            })
                        }),
                    },
                )?;
            }
            Verdict::Text if self.few && flawless => {}
            Verdict::Text => {
                let number = self.many.then_some(record.line);
                out.write_all(drawn(reading, number, self.columns).as_bytes())?;
            }
            Verdict::Lines => {
                let file = visible(origin.file.unwrap_or("-"));
                placed(reading, record, &mut |fault, place, _| {
                    writeln!(
                        out,
                        "{file}:{}:{}: {}: {} ({})",
                        place.line,
                        place.column,
                        fault.severity.name(),
                        visible(&fault.message),
                        fault.code
                    )
                })?;
            }
            Verdict::Sarif => {
                let artifact = artifact(origin, record);
                placed(reading, record, &mut |fault, place, replacement| {
                    out.write_all(b",")?;
                    write_object(out, &Finding::new(fault, &artifact, place, replacement))
                })?;
            }
        }
        Ok(())
    }
}

/// What is done with a fault, its place, and what mends it.
type Placed<'a> = dyn FnMut(&Fault, json::InFile, Option<String>) -> io::Result<()> + 'a;

/// Hands every fault to `each`, with its place and what mends it as the file needs it.
fn placed(reading: &Reading, record: &Record, each: &mut Placed<'_>) -> io::Result<()> {
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
