//! A coach's sheet: words with their targets and what was said, from a table to items.

use super::arguments::{Alphabet, Form};
use super::files::{self, Source};
use super::reading::Reading;
use super::{Failure, Stop};
use crate::accent::Accent;
use crate::alignment;
use crate::finding::item::{Item, Pairing};
use crate::lexicon::Lexicon;
use crate::notation::Transcription;
use crate::report::text::line::visible;

/// A sheet made ready to be looked into.
#[derive(Debug)]
pub(super) struct Sheet {
    /// What could be read, in the order of the rows.
    pub(super) items: Vec<Item>,
    /// What else stood in the row of each item.
    pub(super) notes: Vec<Notes>,
    /// What could not be read, in the order of the rows.
    pub(super) left_out: Vec<LeftOut>,
    /// How many targets were looked up.
    pub(super) looked_up: usize,
}

/// A row that is left out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct LeftOut {
    /// The row, counted in lines of the file from 1.
    pub(super) row: u64,
    /// The word.
    pub(super) word: String,
    /// Why, in one word for counting.
    pub(super) cause: Cause,
    /// Why, and what to do about it.
    pub(super) reason: String,
}

/// Why a row is left out, for counting.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Cause {
    /// The listener did not understand what was said.
    Unintelligible,
    /// Nothing was said.
    NoResponse,
    /// It was said after a cue, which is counted apart.
    Cued,
    /// There is no target to hold it against.
    NoTarget,
    /// A transcription cannot be read.
    Unreadable,
    /// The row has not the cells that it should have.
    Misshapen,
}

impl Cause {
    /// Its name in the JSON contract.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Unintelligible => "unintelligible",
            Self::NoResponse => "no response",
            Self::Cued => "after a cue",
            Self::NoTarget => "no target",
            Self::Unreadable => "unreadable",
            Self::Misshapen => "misshapen row",
        }
    }

    /// That with its reason in words.
    fn because(self, reason: impl Into<String>) -> Why {
        Why {
            cause: self,
            reason: reason.into(),
        }
    }
}

/// Why there is no item.
pub(super) struct Why {
    pub(super) cause: Cause,
    pub(super) reason: String,
}

/// What stands in a row beside word, target and production.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Notes {
    /// The coach's note.
    pub(super) note: String,
    /// The session it was said in.
    pub(super) session: String,
    /// Whether the target was looked up.
    pub(super) looked_up: bool,
    /// The other cells, by the name of their column.
    pub(super) others: Vec<(String, String)>,
}

/// How a sheet is read.
#[derive(Clone, Debug)]
pub(super) struct Manner {
    /// The accent that targets are looked up in and items are made by.
    pub(super) accent: Accent,
    /// The notation of its transcriptions.
    pub(super) alphabet: Alphabet,
    /// The form of the table.
    pub(super) form: Option<Form>,
}

/// Where the columns that have a meaning stand.
#[derive(Clone, Copy, Debug, Default)]
struct Columns {
    word: Option<usize>,
    target: Option<usize>,
    production: usize,
    accepted: Option<usize>,
    note: Option<usize>,
    session: Option<usize>,
}

/// Reads a sheet. `progress` is told after each row how many bytes of the table are read.
///
/// # Errors
/// What cannot be opened or read, and a table without the columns that are needed. Rows that
/// cannot be read are no error: they are left out, each with its reason.
pub(super) fn read(
    source: &Source,
    manner: &Manner,
    progress: &mut dyn FnMut(u64),
) -> Result<Sheet, Stop> {
    let fault = |error: std::io::Error| Stop::Source(source.failure(&error));
    let mut rows = files::rows(source, manner.form)?;
    let Some(header) = rows.next().map_err(fault)? else {
        let remedy = "its first line names the columns: word, target, production";
        return Err(Failure::new(source.name(), "the sheet is empty", remedy).into());
    };
    let header: Vec<String> = header
        .iter()
        .map(|cell| String::from_utf8_lossy(cell).trim().to_owned())
        .collect();
    let columns = columns(source, rows.line(), &header)?;
    let mut reader = Reader::new(manner);
    let mut sheet = Sheet {
        items: Vec::new(),
        notes: Vec::new(),
        left_out: Vec::new(),
        looked_up: 0,
    };
    while let Some(row) = rows.next().map_err(fault)? {
        progress(rows.bytes());
        if row.iter().all(|cell| cell.trim_ascii().is_empty()) {
            continue;
        }
        let line = rows.line();
        let cell = |at: Option<usize>| at.and_then(|at| row.get(at)).unwrap_or_default();
        let text = |at: Option<usize>| {
            String::from_utf8_lossy(cell(at).trim_ascii()).into_owned()
        };
        let word = text(columns.word);
        let cells = Cells {
            target: cell(columns.target).trim_ascii(),
            production: cell(Some(columns.production)).trim_ascii(),
            accepted: cell(columns.accepted).trim_ascii(),
        };
        let extra = row.len() > header.len()
            && row.iter().skip(header.len()).any(|cell| !cell.is_empty());
        let found = if extra {
            Err(Cause::Misshapen.because(format!(
                "the row has {} cells, the first line names {}: put quotes around a cell \
                 that holds the separator",
                row.len(),
                header.len()
            )))
        } else {
            reader.item(line, &word, &cells)
        };
        match found {
            Ok((item, looked_up)) => {
                sheet.looked_up += usize::from(looked_up);
                sheet.notes.push(Notes {
                    note: text(columns.note),
                    session: text(columns.session),
                    looked_up,
                    others: columns.others(&header, &row),
                });
                sheet.items.push(item);
            }
            Err(Why { cause, reason }) => sheet.left_out.push(LeftOut {
                row: line,
                word,
                cause,
                reason,
            }),
        }
    }
    Ok(sheet)
}

/// The cells of a row that hold transcriptions.
#[derive(Clone, Copy, Debug)]
struct Cells<'r> {
    target: &'r [u8],
    production: &'r [u8],
    accepted: &'r [u8],
}

/// Makes items of rows, keeping its memory.
struct Reader {
    accent: Accent,
    alphabet: Alphabet,
    lexicon: Option<Lexicon>,
    production: Reading,
    pairing: Pairing,
}

impl Reader {
    fn new(manner: &Manner) -> Self {
        Self {
            accent: manner.accent.clone(),
            alphabet: manner.alphabet,
            lexicon: Lexicon::of(manner.accent.name()),
            production: reading(manner.alphabet),
            pairing: Pairing::new(&manner.accent),
        }
    }

    /// The item of a row and whether its target was looked up; or why there is none.
    fn item(
        &mut self,
        row: u64,
        word: &str,
        cells: &Cells<'_>,
    ) -> Result<(Item, bool), Why> {
        if let Some(why) = unheard(cells.production, self.alphabet) {
            return Err(why);
        }
        self.production.read(cells.production);
        sound(&self.production, "production")?;
        let mut candidates = Vec::new();
        if !cells.target.is_empty() {
            candidates.push(self.typed(cells.target, "target")?);
        }
        let accepted = cells.accepted.split(|byte| *byte == b';');
        for variant in accepted.map(<[u8]>::trim_ascii).filter(|it| !it.is_empty()) {
            candidates.push(self.typed(variant, "accepted")?);
        }
        let looked_up = candidates.is_empty();
        if looked_up {
            candidates = self.looked_up(word)?;
        }
        let production = self.production.transcription();
        let pairing = &mut self.pairing;
        let mut items = candidates
            .iter()
            .map(|target| pairing.item(row, word, target, production));
        // The nearest of the targets that count; of equally near ones the first.
        let mut best = items
            .next()
            .ok_or_else(|| Cause::NoTarget.because("no target"))?;
        let distance = |item: &Item| {
            let [target, production] = [&item.target.bundles, &item.production.bundles];
            alignment::distance(target, production, &item.columns)
        };
        for item in items {
            let key = |item: &Item| (distance(item), item.prosody.len());
            if key(&item) < key(&best) {
                best = item;
            }
        }
        Ok((best, looked_up))
    }

    /// A transcription of the sheet, if it is in order.
    fn typed(&self, given: &[u8], column: &str) -> Result<Transcription, Why> {
        let mut reading = reading(self.alphabet);
        reading.read(given);
        sound(&reading, column)?;
        Ok(Transcription::parse(reading.transcription().text()))
    }

    /// All variants of a word in the word list.
    fn looked_up(&self, word: &str) -> Result<Vec<Transcription>, Why> {
        let none = |reason: String| Cause::NoTarget.because(reason);
        if word.is_empty() {
            return Err(none("neither word nor target: type one of them".to_owned()));
        }
        let Some(lexicon) = &self.lexicon else {
            return Err(none(format!(
                "no target, and there is no word list for {}: type the target",
                self.accent.name()
            )));
        };
        let mut variants: Option<Vec<String>> = None;
        for one in word.split_whitespace() {
            let Some(entry) = lexicon.look_up(one) else {
                return Err(none(format!(
                    "no target, and the {} word list has no entry “{}”: type the target",
                    self.accent.name(),
                    visible(one)
                )));
            };
            variants = Some(match variants {
                None => entry.targets().collect(),
                Some(before) => entry
                    .targets()
                    .flat_map(|target| {
                        before.iter().map(move |it| format!("{it} {target}"))
                    })
                    .take(MOST_VARIANTS)
                    .collect(),
            });
        }
        let parse = |it: String| Transcription::parse(&it);
        Ok(variants
            .unwrap_or_default()
            .into_iter()
            .map(parse)
            .collect())
    }
}

/// Why there is nothing to hear in a production: it is empty, says that nothing was said,
/// or says that it was not understood. A word that was not understood leaves the sample
/// (Shriberg & Kwiatkowski 1982, from memory): it counts neither as right nor as wrong.
pub(super) fn unheard(production: &[u8], alphabet: Alphabet) -> Option<Why> {
    let text = String::from_utf8_lossy(production);
    let bare = text.trim_matches(['/', '[', ']', ' ']);
    if production.is_empty() {
        let reason = "no production: nothing was written down as said";
        return Some(Cause::NoResponse.because(reason));
    }
    if bare == NO_RESPONSE && alphabet == Alphabet::Ipa {
        let reason = "no response: the client said nothing";
        return Some(Cause::NoResponse.because(reason));
    }
    let unclear = |word: &&str| UNINTELLIGIBLE.contains(word);
    let words: Vec<&str> = bare.split_whitespace().collect();
    if !words.iter().any(unclear) {
        return None;
    }
    Some(Cause::Unintelligible.because(if words.iter().all(unclear) {
        "not understood (xxx): neither right nor wrong"
    } else {
        "a part of it was not understood (xxx): give each word a row, so that the \
             others count"
    }))
}

/// How a word that was not understood is written down: common practice in transcripts of
/// speech, no source. Three fricatives in a row at the back of the tongue are no word of any
/// target.
const UNINTELLIGIBLE: &[&str] = &["xxx", "XXX"];

/// How it is written down that nothing was said: common practice, no source.
const NO_RESPONSE: &str = "NR";

/// Targets of a phrase that are tried: the variants of its words multiply.
const MOST_VARIANTS: usize = 64;

/// A reader that judges the notation alone: what is no sound of the accent may well have
/// been said.
pub(super) fn reading(alphabet: Alphabet) -> Reading {
    Reading::new(super::reading::Manner {
        alphabet,
        accent: None,
    })
}

/// That a transcription can be read and has sounds; else what is wrong with it and where.
pub(super) fn sound(reading: &Reading, column: &str) -> Result<(), Why> {
    use crate::diagnostic::Severity;
    let error = reading.faults().find(|it| it.severity == Severity::Error);
    if let Some(fault) = error {
        let place = crate::text::column(reading.shown(), fault.span.start);
        let help = fault.help.map(|it| format!("; {it}")).unwrap_or_default();
        return Err(Cause::Unreadable.because(format!(
            "{column} {} cannot be read: at character {place}, {}{help}",
            visible(reading.shown()),
            fault.message
        )));
    }
    if reading.transcription().segments().next().is_none() {
        return Err(Cause::Unreadable.because(format!(
            "{column} {} has no sounds",
            visible(reading.shown())
        )));
    }
    Ok(())
}

impl Columns {
    /// The cells of the columns that have no meaning here.
    fn others(&self, header: &[String], row: &csv::ByteRecord) -> Vec<(String, String)> {
        let known = [
            self.word,
            self.target,
            Some(self.production),
            self.accepted,
            self.note,
            self.session,
        ];
        let cells = header.iter().zip(row).enumerate();
        cells
            .filter(|(at, (_, cell))| !known.contains(&Some(*at)) && !cell.is_empty())
            .map(|(_, (name, cell))| {
                (name.clone(), String::from_utf8_lossy(cell).into_owned())
            })
            .collect()
    }
}

/// Where the columns stand in a header, in any order and whatever the case of their names.
fn columns(source: &Source, line: u64, header: &[String]) -> Result<Columns, Failure> {
    let place = format!("{}:{line}", source.name());
    let there_are = || {
        let names: Vec<String> = header.iter().map(|name| visible(name)).collect();
        format!("there are: {}", names.join(", "))
    };
    let find = |name: &str| {
        let mut these = header
            .iter()
            .enumerate()
            .filter(|(_, cell)| cell.eq_ignore_ascii_case(name));
        let first = these.next().map(|(at, _)| at);
        match these.next() {
            None => Ok(first),
            Some(_) => Err(Failure::new(
                place.clone(),
                format!("two columns are called “{name}”"),
                "give one of them another name",
            )),
        }
    };
    let (word, target) = (find("word")?, find("target")?);
    if word.is_none() && target.is_none() {
        return Err(Failure::new(
            place,
            format!("no column is called “word” or “target”; {}", there_are()),
            "name the columns in the first line: word, target, production",
        ));
    }
    let Some(production) = find("production")? else {
        return Err(Failure::new(
            place,
            format!("no column is called “production”; {}", there_are()),
            "call the column with what was said production in the first line",
        ));
    };
    Ok(Columns {
        word,
        target,
        production,
        accepted: find("accepted")?,
        note: find("note")?,
        session: find("session")?,
    })
}
