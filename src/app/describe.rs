//! `apical describe`: what each segment of a transcription is.

use super::arguments::{Describe, Format};
use super::output::Answers;
use super::picture::Drawer;
use super::reading::Reading;
use super::{Origins, Status, Stop, check};
use crate::accent::Accent;
use crate::articulation;
use crate::feature::{Class, FeatureBundle, Posture};
use crate::notation::Segment;
use crate::posture;
use crate::report::json;
use crate::report::text::describe::{Row, table};

/// Rows that are laid out together; a long text is drawn in stretches of so many.
const ROWS: usize = 500;

/// Runs the command.
pub(super) fn run(arguments: &Describe) -> Result<Status, Stop> {
    let mut answers = Answers::new(&arguments.output);
    let mut drawer = Drawer::new(&arguments.picture, answers.format)?;
    let mut reading = Reading::new(super::manner(&arguments.reading)?);
    let mut origins = Origins::default();
    let many = arguments.input.texts.len() != 1;
    let status = super::each_text(&arguments.input, &mut |record, origin| {
        let given = record.texts.first().map_or(&[][..], Vec::as_slice);
        reading.read_as(given, record.alphabet);
        if drawer.is_wanted() {
            let segments: Vec<_> = reading.transcription().segments().collect();
            let mut rest = segments.as_slice();
            while let [segment, after @ ..] = rest {
                let pair = after.first().zip(reading.accent());
                let pair = pair.and_then(|(next, accent)| {
                    super::picture::joined([segment, next], accent)
                });
                rest = if pair.is_some() {
                    after.get(1..).unwrap_or_default()
                } else {
                    after
                };
                drawer.sound(
                    pair.unwrap_or_else(|| {
                        super::picture::sound(segment, reading.accent())
                    }),
                );
            }
        }
        match answers.format {
            Format::Json => answers.object(&json::Description {
                origin: origin.json(record),
                text: reading.shown(),
                ipa: reading.ipa(),
                diagnostics: json::Lazy(|| reading.faults().map(json::Diagnostic::from)),
                segments: json::Lazy(|| {
                    let segments = reading.transcription().segments();
                    segments.map(|segment| written(&reading, &segment))
                }),
            }),
            Format::Text => {
                let mut page = origins.heading(origin);
                let number = many.then_some(record.line);
                page.push_str(&check::drawn(&reading, number, answers.columns));
                answers.page(&page)?;
                let mut segments = reading.transcription().segments().peekable();
                while segments.peek().is_some() {
                    let rows: Vec<Row<'_>> = segments
                        .by_ref()
                        .take(ROWS)
                        .map(|segment| row(&segment, reading.accent()))
                        .collect();
                    let indent = if many { 6 } else { 4 };
                    answers.page(&table(&rows, indent, answers.columns))?;
                }
                answers.page(&drawer.page(answers.columns))
            }
        }
    })?;
    drawer.finish(&mut answers)?;
    Ok(status)
}

/// The posture of a segment, and for a diphthong the one it moves to; none for a tone or
/// a pause.
pub(super) fn postures(
    bundle: &FeatureBundle,
    accent: Option<&Accent>,
) -> (Option<Posture>, Option<Posture>) {
    if matches!(bundle.class, Class::Tone | Class::Pause) {
        return (None, None);
    }
    match accent.and_then(|accent| accent.posture(bundle)) {
        Some((from, to)) => (Some(from), to),
        None => (Some(posture::of(bundle)), posture::glide_of(bundle)),
    }
}

fn row<'t>(segment: &Segment<'t>, accent: Option<&Accent>) -> Row<'t> {
    let bundle = articulation::bundle(segment);
    let (posture, to) = postures(&bundle, accent);
    Row {
        segment: segment.text(),
        name: articulation::name(&bundle),
        posture,
        to,
    }
}

fn written<'t>(reading: &Reading, segment: &Segment<'t>) -> json::Segment<'t> {
    let bundle = articulation::bundle(segment);
    let (posture, to) = postures(&bundle, reading.accent());
    let given = reading.given(segment.span());
    let written = json::Written {
        text: segment.text(),
        start: given.start,
        end: given.end,
        base: segment.base(),
        marks: segment.mark_names(),
        name: articulation::name(&bundle),
    };
    json::Segment::new(written, &bundle, posture.as_ref(), to.as_ref())
}
