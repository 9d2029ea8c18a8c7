//! A sheet file as a store of items. What is not changed stays byte for byte: columns nobody
//! knows, quotation marks, line ends, a byte order mark, bytes that are no text.

#![allow(
    clippy::disallowed_methods,
    reason = "this is where the desk reads a sheet"
)]

use std::fs;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use super::draft::Place;
use super::items::{Field, Items};
use super::store::write_whole;
use crate::app::Failure;
use crate::record::{Planned, TrialMark};

/// One record as it stands in the file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Record {
    /// Its bytes, the line end left out.
    bytes: Vec<u8>,
    /// Its line end.
    end: Vec<u8>,
    /// Where its cells are.
    cells: Vec<Range<usize>>,
}

/// A table on the disk, as it was read and with what has been changed since.
#[derive(Debug)]
pub(super) struct Sheet {
    path: PathBuf,
    delimiter: u8,
    mark: bool,
    header: Record,
    columns: Vec<String>,
    /// The rows; a blank line is a record without cells.
    records: Vec<Record>,
    /// Which records are items.
    items: Vec<usize>,
    /// When the file was written last, as far as we know.
    stamp: Option<(SystemTime, u64)>,
    /// The trials counted, in order, to take the last one back.
    trials: Vec<(usize, TrialMark)>,
}

const MARK: &[u8] = b"\xEF\xBB\xBF";

impl Sheet {
    /// Reads a sheet: a table of tabs, or of commas where its name ends so.
    ///
    /// # Errors
    /// Where the file cannot be read, is empty, or has no column `word` or `target`.
    pub(super) fn open(path: &Path) -> Result<Self, Failure> {
        let place = path.display().to_string();
        let bytes = fs::read(path).map_err(|error| {
            Failure::new(
                &place,
                format!("cannot be read: {error}"),
                "name a table whose first line has the columns word and target",
            )
        })?;
        let (mark, body) = match bytes.strip_prefix(MARK) {
            Some(rest) => (true, rest),
            None => (false, bytes.as_slice()),
        };
        if body.starts_with(&[0xFF, 0xFE]) || body.starts_with(&[0xFE, 0xFF]) {
            let reason = "the table is in UTF-16";
            return Err(Failure::new(place, reason, "save it as UTF-8"));
        }
        let first = body.split(|byte| *byte == b'\n').next().unwrap_or_default();
        let count = |wanted: u8| first.split(|byte| *byte == wanted).count();
        let by_comma = path.extension().is_some_and(|ending| ending == "csv");
        let delimiter = match (by_comma, count(b';') > count(b',')) {
            (false, _) => b'\t',
            (true, true) => b';',
            (true, false) => b',',
        };
        let mut records = records(body, delimiter).into_iter();
        let header = records.next().unwrap_or_default();
        let columns: Vec<String> = header
            .cells
            .iter()
            .map(|cell| {
                value(
                    header.bytes.get(cell.clone()).unwrap_or_default(),
                    delimiter,
                )
            })
            .map(|name| name.trim().to_owned())
            .collect();
        if !columns
            .iter()
            .any(|name| name == "word" || name == "target")
        {
            return Err(Failure::new(
                place,
                "the first line names neither the column word nor the column target",
                "begin the table with a line such as: word<tab>target<tab>production",
            ));
        }
        let records: Vec<Record> = records.collect();
        let mut sheet = Self {
            path: path.to_owned(),
            delimiter,
            mark,
            header,
            columns,
            items: Vec::new(),
            records,
            stamp: stamp(path),
            trials: Vec::new(),
        };
        sheet.find_items();
        Ok(sheet)
    }

    fn find_items(&mut self) {
        let numbered = self.records.iter().enumerate();
        self.items = numbered
            .filter(|(_, record)| !record.bytes.trim_ascii().is_empty())
            .map(|(at, _)| at)
            .collect();
    }

    fn column(&self, field: &Field) -> Option<usize> {
        self.columns.iter().position(|name| name == field.name())
    }

    /// The bytes of the file as it is to be.
    fn bytes(&self) -> Vec<u8> {
        let mut bytes = Vec::new();
        if self.mark {
            bytes.extend_from_slice(MARK);
        }
        for record in std::iter::once(&self.header).chain(&self.records) {
            bytes.extend_from_slice(&record.bytes);
            bytes.extend_from_slice(&record.end);
        }
        bytes
    }

    /// Writes the file, unless someone else has written it since it was read.
    fn save(&mut self) -> Result<(), Failure> {
        let place = self.path.display().to_string();
        if stamp(&self.path) != self.stamp {
            return Err(Failure::new(
                place,
                "the file has been changed by someone else since it was opened; nothing was \
                 written",
                "close the sheet and open it again, or save the other program's copy elsewhere",
            ));
        }
        write_whole(&self.path, &self.bytes()).map_err(|error| {
            Failure::new(
                place,
                format!("not saved: {error}"),
                "the text stays in the line; mend that and press Enter again",
            )
        })?;
        self.stamp = stamp(&self.path);
        Ok(())
    }

    /// Changes the table and saves it; where that fails, everything is as it was.
    fn change(
        &mut self,
        change: impl FnOnce(&mut Self) -> Result<(), Failure>,
    ) -> Result<(), Failure> {
        let before = (
            self.header.clone(),
            self.columns.clone(),
            self.records.clone(),
        );
        let done = change(self).and_then(|()| {
            self.find_items();
            self.save()
        });
        if done.is_err() {
            (self.header, self.columns, self.records) = before;
            self.find_items();
        }
        done
    }

    /// The column of a field, added at the end of the header where there is none.
    fn ensure(&mut self, field: &Field) -> usize {
        if let Some(at) = self.column(field) {
            return at;
        }
        let at = self.columns.len();
        set(&mut self.header, at, field.name(), self.delimiter);
        self.columns.push(field.name().to_owned());
        at
    }
}

/// When a file was written last, and its length.
fn stamp(path: &Path) -> Option<(SystemTime, u64)> {
    let data = fs::metadata(path).ok()?;
    Some((data.modified().ok()?, data.len()))
}

impl Items for Sheet {
    fn title(&self) -> String {
        let name = self.path.file_name().unwrap_or_default();
        name.to_string_lossy().into_owned()
    }

    fn len(&self) -> usize {
        self.items.len()
    }

    fn get(&self, at: usize, field: &Field) -> String {
        let record = self.items.get(at).and_then(|at| self.records.get(*at));
        let cell = self.column(field).zip(record).and_then(|(column, record)| {
            let cell = record.cells.get(column)?;
            record.bytes.get(cell.clone())
        });
        value(cell.unwrap_or_default(), self.delimiter)
    }

    fn put(&mut self, at: usize, values: &[(Field, &str)]) -> Result<(), Failure> {
        self.change(|sheet| {
            for (field, text) in values {
                // An empty value needs no new column.
                if text.is_empty() && sheet.column(field).is_none() {
                    continue;
                }
                let column = sheet.ensure(field);
                let delimiter = sheet.delimiter;
                let record = sheet.items.get(at).copied();
                if let Some(record) = record.and_then(|at| sheet.records.get_mut(at)) {
                    let cell = record.cells.get(column).cloned().unwrap_or_default();
                    let old = record.bytes.get(cell).unwrap_or_default();
                    // What is the same stays as it was written.
                    if value(old, delimiter) != *text {
                        set(record, column, text, delimiter);
                    }
                }
            }
            Ok(())
        })
    }

    fn insert(&mut self, at: usize, planned: &Planned) -> Result<usize, Failure> {
        let (word, target) = (&planned.word, &planned.target);
        self.trials.clear();
        self.change(|sheet| {
            let place = sheet.items.get(at).copied().unwrap_or(sheet.records.len());
            let before = place
                .checked_sub(1)
                .and_then(|before| sheet.records.get_mut(before));
            let before = before.unwrap_or(&mut sheet.header);
            // A last line without an end gets one, and the new last line none.
            let usual = if before.end.is_empty() {
                std::mem::replace(&mut before.end, b"\n".to_vec())
            } else {
                before.end.clone()
            };
            let mut record = Record {
                end: usual,
                ..Record::default()
            };
            let columns = sheet.columns.len();
            let (word_at, target_at) =
                (sheet.ensure(&Field::Word), sheet.ensure(&Field::Target));
            set(&mut record, columns.saturating_sub(1), "", sheet.delimiter);
            set(&mut record, word_at, word, sheet.delimiter);
            set(&mut record, target_at, target, sheet.delimiter);
            sheet.records.insert(place, record);
            Ok(())
        })?;
        Ok(at)
    }

    fn remove(&mut self, at: usize) -> Result<(), Failure> {
        self.trials.clear();
        self.change(|sheet| {
            if let Some(place) = sheet.items.get(at).copied() {
                let gone = sheet.records.remove(place);
                // The last line may have no end; then the new last one has none.
                if gone.end.is_empty() {
                    let last = sheet.records.last_mut().unwrap_or(&mut sheet.header);
                    last.end.clear();
                }
            }
            Ok(())
        })
    }

    fn folder(&self) -> PathBuf {
        self.path.parent().map(Path::to_owned).unwrap_or_default()
    }

    fn has(&self, field: &Field) -> bool {
        self.column(field).is_some()
    }

    fn counted(&self, at: usize, mark: TrialMark) -> u64 {
        let cell = self.get(at, &Field::Trials(mark));
        cell.trim().parse().unwrap_or(0)
    }

    fn count(&mut self, at: usize, mark: TrialMark) -> Result<(), Failure> {
        let count = self.counted(at, mark) + 1;
        self.put(at, &[(Field::Trials(mark), &count.to_string())])?;
        self.trials.push((at, mark));
        Ok(())
    }

    fn uncount(&mut self) -> Result<Option<usize>, Failure> {
        let Some((at, mark)) = self.trials.last().copied() else {
            return Ok(None);
        };
        let text = match self.counted(at, mark) {
            0 | 1 => String::new(),
            count => (count - 1).to_string(),
        };
        self.put(at, &[(Field::Trials(mark), &text)])?;
        self.trials.pop();
        Ok(Some(at))
    }

    fn place(&self, at: usize, _: &Field) -> Place {
        let sheet = fs::canonicalize(&self.path).unwrap_or_else(|_| self.path.clone());
        Place::Row { sheet, row: at + 1 }
    }
}

/// Cuts a table into records and cells. Only a table of commas has quotation marks.
fn records(bytes: &[u8], delimiter: u8) -> Vec<Record> {
    let quotes = delimiter != b'\t';
    let mut records = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let start = at;
        let mut cells = Vec::new();
        let mut cell = start;
        let mut quoted = false;
        let end = loop {
            match bytes.get(at) {
                None => break at,
                Some(b'"') if quotes && (quoted || at == cell) => quoted = !quoted,
                // A doubled mark inside a quoted cell opens it again.
                Some(b'"') if quotes && bytes.get(at.wrapping_sub(1)) == Some(&b'"') => {
                    quoted = true;
                }
                Some(b'\n') if !quoted => break at,
                Some(byte) if *byte == delimiter && !quoted => {
                    cells.push(cell - start..at - start);
                    cell = at + 1;
                }
                Some(_) => {}
            }
            at += 1;
        };
        let carriage =
            end > start && bytes.get(end - 1) == Some(&b'\r') && end < bytes.len();
        let inner = if carriage { end - 1 } else { end };
        cells.push(cell.min(inner) - start..inner - start);
        at = (end + 1).min(bytes.len());
        records.push(Record {
            bytes: bytes.get(start..inner).unwrap_or_default().to_vec(),
            end: bytes.get(inner..at).unwrap_or_default().to_vec(),
            cells,
        });
    }
    records
}

/// What a cell says.
fn value(cell: &[u8], delimiter: u8) -> String {
    let text = String::from_utf8_lossy(cell);
    let quoted = (delimiter != b'\t')
        .then(|| text.strip_prefix('"')?.strip_suffix('"'))
        .flatten();
    match quoted {
        Some(inner) => inner.replace("\"\"", "\""),
        None => text.into_owned(),
    }
}

/// Writes a cell of a record, with empty cells before it where it is too short.
fn set(record: &mut Record, column: usize, text: &str, delimiter: u8) {
    if record.cells.is_empty() {
        record.cells.push(0..0);
    }
    while record.cells.len() <= column {
        record.bytes.push(delimiter);
        let end = record.bytes.len();
        record.cells.push(end..end);
    }
    let Some(cell) = record.cells.get(column).cloned() else {
        return;
    };
    let written = written(text, delimiter);
    let (old, new) = (cell.len(), written.len());
    record.bytes.splice(cell.clone(), written.bytes());
    for (at, cell) in record.cells.iter_mut().enumerate().skip(column) {
        if at > column {
            cell.start = cell.start + new - old;
        }
        cell.end = cell.end + new - old;
    }
}

/// A text as a cell holds it.
fn written(text: &str, delimiter: u8) -> String {
    let text: String = text
        .chars()
        .map(|character| {
            if character.is_control() {
                ' '
            } else {
                character
            }
        })
        .collect();
    let special = text.contains('"') || text.bytes().any(|byte| byte == delimiter);
    if delimiter != b'\t' && special {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text
    }
}
