//! `apical sample`: what chances a list gives, and what to add.

use super::arguments::{Format, Sample};
use super::files::Source;
use super::material::{self, Listed};
use super::output::Answers;
use super::sheet;
use super::{Status, Stop};
use crate::accent::Accent;
use crate::finding::item::Pairing;
use crate::material::{Candidate, Chances, Spoken, Stock, Wanted, Wish};
use crate::notation::Transcription;
use crate::report::json::material as json;
use crate::report::text::line::visible;
use crate::report::text::material as drawn;

/// Runs the command.
pub(super) fn run(arguments: &Sample) -> Result<Status, Stop> {
    let (accent, lexicon) = material::words_of(&arguments.material)?;
    let stock = Stock::new(&lexicon, &accent);
    material::free(&[&arguments.sheet])?;
    let listed = material::listed(&Source::of(&arguments.list), arguments.input)?;
    let read = Read::of(&listed, &accent, &stock);
    let chances = Chances::of(&read.spoken);
    let wish = Wish {
        syllables: arguments.material.syllables.or(Some(SAYABLE)),
        without: material::ruled_out(&arguments.material, &stock.sounds)?,
        least: arguments.material.at_least,
        ..Wish::default()
    };
    let candidates = stock
        .candidates(wish.least, arguments.material.names_too)
        .into_iter()
        .filter(|it| !wish.places(it, &stock).is_empty())
        .collect();
    let wanted = Wanted {
        sounds: arguments.chances,
        clusters: arguments.cluster_chances,
        candidates,
    };
    let gaps = wanted.gaps(&chances, &stock.sounds);
    let words: Vec<String> = listed.iter().map(|it| it.word.clone()).collect();
    let cover = wanted.fill(&gaps, &words, &stock);
    let fill: Vec<&Candidate> = cover
        .chosen
        .iter()
        .filter_map(|at| wanted.candidates.get(*at))
        .collect();
    let rows: Vec<material::Row> =
        fill.iter().map(|it| material::row(it, None)).collect();
    let mut answers = Answers::new(&arguments.output.output());
    let to = arguments.sheet.as_deref();
    if material::handed_over(&rows, to, arguments.output.format)? {
        read.complain();
        return Ok(Status::Good);
    }
    let found = drawn::SamplePage {
        accent: accent.called(),
        chances: &chances,
        cells: wanted.cells(&stock.sounds),
        gaps: &gaps,
        wanted: [arguments.chances, arguments.cluster_chances],
        fill: &fill,
        cover: &cover,
        left_out: &read.left_out,
        whole_lists: arguments.whole_lists,
        sheet: arguments
            .sheet
            .as_ref()
            .map(|it| visible(&it.display().to_string())),
        syllables: wish.syllables,
    };
    if answers.format == Format::Json {
        answers.object(&json::Sample::new(&found, accent.name(), &stock.sounds))?;
        return Ok(Status::Good);
    }
    material::answered(&mut answers, |columns| {
        drawn::sample_page(&found, &stock.sounds, columns)
    })
}

/// Syllables of the words that are added unless something else is asked for: long ones fill
/// much, but are hard to say and to write down. A judgement; no source.
const SAYABLE: (u32, u32) = (1, 3);

/// The words of a list in the accent.
struct Read {
    spoken: Vec<Spoken>,
    /// Row, word, why.
    left_out: Vec<(u64, String, String)>,
}

impl Read {
    fn of(listed: &[Listed], accent: &Accent, stock: &Stock<'_>) -> Self {
        let mut read = Self {
            spoken: Vec::new(),
            left_out: Vec::new(),
        };
        let mut pairing = Pairing::new(accent);
        for row in listed {
            let found = if row.target.is_empty() {
                looked_up(&row.word, stock)
            } else {
                typed(&row.target, stock, &mut pairing).map(|it| vec![it])
            };
            match found {
                Ok(spoken) => read.spoken.extend(spoken),
                Err(reason) => {
                    let word = if row.word.is_empty() {
                        &row.target
                    } else {
                        &row.word
                    };
                    read.left_out.push((row.row, word.clone(), reason));
                }
            }
        }
        read
    }

    /// Says on standard error what could not be counted, where the answer has no place for it.
    fn complain(&self) {
        for (row, word, reason) in &self.left_out {
            super::complain(&super::Failure::new(
                format!("row {row}, {}", visible(word)),
                reason.clone(),
                "mend the row and count again; the rest is counted",
            ));
        }
    }
}

/// The words of a phrase, each in its first variant.
fn looked_up(phrase: &str, stock: &Stock<'_>) -> Result<Vec<Spoken>, String> {
    let lexicon = stock.lexicon;
    let spoken = |word: &str| {
        let entry = lexicon.look_up(word)?;
        let sounds = entry.sounds().next()?;
        Some(stock.sounds.of_entry(&sounds))
    };
    if let Some(whole) = spoken(phrase) {
        return Ok(vec![whole]);
    }
    phrase
        .split_whitespace()
        .map(|word| {
            spoken(word).ok_or_else(|| {
                format!(
                    "the {} word list has no entry “{}”: type its target beside it",
                    lexicon.accent(),
                    visible(word)
                )
            })
        })
        .collect()
}

/// A target that the list gives.
fn typed(
    target: &str,
    stock: &Stock<'_>,
    pairing: &mut Pairing,
) -> Result<Spoken, String> {
    let mut reading = sheet::reading(super::arguments::Alphabet::Ipa);
    reading.read(target.as_bytes());
    sheet::sound(&reading, "target").map_err(|why| why.reason)?;
    let read = Transcription::parse(reading.transcription().text());
    let side = pairing.side(&read);
    stock.sounds.of_side(&side).map_err(|at| {
        let at = u32::try_from(at).unwrap_or(u32::MAX);
        let sound = side.text_of(&(at..at.saturating_add(1)));
        let accent = stock.sounds.accent().called();
        let near = side
            .bundles
            .get(at as usize)
            .map(|it| stock.sounds.accent().nearest(it))
            .unwrap_or_default();
        let near: Vec<String> = near
            .iter()
            .take(3)
            .map(|it| stock.sounds.text(it.1.number))
            .collect();
        format!(
            "target {}: {} is no sound of {accent}: nearest {}",
            visible(target),
            visible(&sound),
            near.join(", ")
        )
    })
}
