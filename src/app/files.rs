//! Readers of lines, tables and JSON Lines: bytes in, one record at a time out.
//!
//! A record keeps the bytes of its texts as they came, so that ill-formed UTF-8 can be
//! reported where it stands. Memory holds one record, however long the input.

mod cell;
mod json_lines;
mod markup;
pub mod place;
pub mod prose;

use std::fs::File;
use std::io::{self, BufRead, BufReader, Cursor, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde::Serialize;
use serde_json::value::RawValue;

use super::arguments::{Alphabet, Form, Input};
use super::reading::LONGEST;
use super::{Failure, Stop};
use place::Place;

/// What an input called itself, handed through as it came.
#[derive(Debug, Default, Serialize)]
#[serde(untagged)]
pub enum Id {
    /// It has no name.
    #[default]
    None,
    /// A cell of a table.
    Cell(String),
    /// Any JSON value.
    Json(Box<RawValue>),
}

impl Id {
    /// The name as a person reads it; empty where there is none.
    #[must_use]
    pub fn shown(&self) -> String {
        match self {
            Self::None => String::new(),
            Self::Cell(text) => text.clone(),
            Self::Json(value) => value.get().to_owned(),
        }
    }
}

/// One input.
#[derive(Debug, Default)]
pub struct Record {
    /// What it called itself.
    pub id: Id,
    /// The line it stands on, from 1; for arguments, their number.
    pub line: u64,
    /// The word that is transcribed, where a table has a column of that name.
    pub word: Option<String>,
    /// Its texts, in the order of the columns asked for.
    pub texts: Vec<Vec<u8>>,
    /// Where each of them stands; none for arguments.
    pub places: Vec<Place>,
    /// The notation it is in, where the document says so.
    pub alphabet: Option<Alphabet>,
}

/// Where in a table, an object, a document or running text the transcriptions stand.
#[derive(Clone, Debug, Default)]
pub struct Pick {
    /// The column of a table.
    pub column: Option<String>,
    /// The field of an object.
    pub field: Option<String>,
    /// The element of a document.
    pub element: Option<String>,
    /// The attribute of an element.
    pub attribute: Option<String>,
    /// A class that the element must have.
    pub class: Option<String>,
    /// Whether they stand in running text.
    pub in_text: bool,
}

impl Pick {
    /// What the arguments say.
    #[must_use]
    pub fn of(input: &Input) -> Self {
        Self {
            column: input.column.clone(),
            field: input.field.clone(),
            element: input.element.clone(),
            attribute: input.attribute.clone(),
            class: input.class.clone(),
            in_text: input.in_text,
        }
    }

    /// The form that such a place promises.
    fn form(&self) -> Option<Form> {
        let document = [&self.element, &self.attribute, &self.class];
        if document.iter().any(|name| name.is_some()) {
            Some(Form::Xml)
        } else if self.field.is_some() {
            Some(Form::Json)
        } else if self.in_text {
            Some(Form::Lines)
        } else {
            None
        }
    }
}

/// Which fields of a table or an object hold the texts.
#[derive(Clone, Debug)]
pub enum Wanted {
    /// One text; of a table the column named, or the only one, or the one called
    /// `transcription`.
    One(Pick),
    /// The fields `target` and `production`.
    Pair,
}

/// Where records come from.
#[derive(Clone, Debug)]
pub enum Source {
    /// A file.
    File(PathBuf),
    /// What a file of this name holds or is to hold.
    Held(PathBuf, Arc<[u8]>),
    /// Standard input.
    Standard,
}

impl Source {
    /// The source a path on the command line stands for; `-` is standard input.
    #[must_use]
    pub fn of(path: &Path) -> Self {
        if path == Path::new("-") {
            Self::Standard
        } else {
            Self::File(path.to_owned())
        }
    }

    /// What to call it in a message.
    #[must_use]
    pub fn name(&self) -> String {
        match self {
            Self::File(path) | Self::Held(path, _) => path.display().to_string(),
            Self::Standard => "standard input".to_owned(),
        }
    }

    /// The form its name promises.
    pub(super) fn form(&self) -> Option<Form> {
        let (Self::File(path) | Self::Held(path, _)) = self else {
            return None;
        };
        let ending = path.extension()?.to_str()?;
        let is =
            |names: &[&str]| names.iter().any(|name| ending.eq_ignore_ascii_case(name));
        if is(&["tsv", "tab"]) {
            Some(Form::Tsv)
        } else if is(&["csv"]) {
            Some(Form::Csv)
        } else if is(&["json", "jsonl", "ndjson"]) {
            Some(Form::Json)
        } else if is(&["pls"]) {
            Some(Form::Pls)
        } else if is(&["ssml"]) {
            Some(Form::Ssml)
        } else if is(&["xml"]) {
            Some(Form::Xml)
        } else if is(&["html", "htm", "xhtml"]) {
            Some(Form::Html)
        } else {
            None
        }
    }

    /// How many bytes it has, where that can be told beforehand.
    pub(super) fn size(&self) -> Option<u64> {
        let Self::File(path) = self else { return None };
        let known = path.metadata().ok()?;
        known.is_file().then_some(known.len())
    }

    /// The whole of it as text.
    ///
    /// # Errors
    /// What cannot be opened or read, or is not UTF-8.
    pub(super) fn text(&self) -> Result<String, Failure> {
        let mut text = String::new();
        let read = self.open()?.read_to_string(&mut text);
        read.map_err(|error| match error.kind() {
            io::ErrorKind::InvalidData => Failure::new(
                self.name(),
                "the text is not well-formed UTF-8",
                "save it as UTF-8",
            ),
            _ => self.failure(&error),
        })?;
        Ok(text)
    }

    pub(super) fn open(&self) -> Result<Box<dyn BufRead>, Failure> {
        Ok(match self {
            Self::Held(_, bytes) => Box::new(Cursor::new(Arc::clone(bytes))),
            Self::Standard => Box::new(io::stdin().lock()),
            Self::File(_) => Box::new(BufReader::with_capacity(64 * 1024, self.bytes()?)),
        })
    }

    /// Its bytes, read in pieces as large as the reader asks for.
    pub(super) fn bytes(&self) -> Result<Box<dyn Read + Send>, Failure> {
        let path = match self {
            Self::File(path) => path,
            Self::Held(_, bytes) => {
                return Ok(Box::new(Cursor::new(Arc::clone(bytes))));
            }
            Self::Standard => return Ok(Box::new(io::stdin())),
        };
        if path.is_dir() {
            return Err(Failure::new(
                self.name(),
                "this is a folder, not a file",
                "name the files in it, with --file before each",
            ));
        }
        #[allow(
            clippy::disallowed_methods,
            reason = "this is the place that opens files"
        )]
        let file = File::open(path).map_err(|error| self.failure(&error))?;
        Ok(Box::new(file))
    }

    /// What cannot be done with it, and why.
    pub(super) fn failure(&self, error: &io::Error) -> Failure {
        let (reason, remedy) = match error.kind() {
            io::ErrorKind::NotFound => (
                "there is no such file".to_owned(),
                "look at the path and its spelling",
            ),
            io::ErrorKind::PermissionDenied => (
                "it may not be read".to_owned(),
                "ask for the right to read it, or copy it",
            ),
            io::ErrorKind::FileTooLarge => (
                error.to_string(),
                "look whether a line end or a quotation mark is missing",
            ),
            _ => (
                format!("reading failed: {error}"),
                "look whether the disk or pipe is still there",
            ),
        };
        Failure::new(self.name(), reason, remedy)
    }
}

/// The sources that the arguments of a command name, if it has no texts among them.
#[must_use]
pub fn sources(input: &Input) -> Vec<Source> {
    if input.files.is_empty() {
        vec![Source::Standard]
    } else {
        input.files.iter().map(|path| Source::of(path)).collect()
    }
}

/// Reads every record of a source and hands it to `each`.
///
/// # Errors
/// What cannot be opened or read, a table without the columns wanted, a line that is not
/// JSON; and whatever `each` stops with.
pub fn read(
    source: &Source,
    form: Option<Form>,
    wanted: &Wanted,
    each: &mut dyn FnMut(&Record) -> Result<(), Stop>,
) -> Result<(), Stop> {
    let fault = |error: io::Error| Stop::Source(source.failure(&error));
    let (mut reader, marked) = without_mark(source.open()?).map_err(fault)?;
    let promised = match wanted {
        Wanted::One(pick) if form.is_none() && source.form().is_none() => pick.form(),
        _ => None,
    };
    let form = match (form.or_else(|| source.form()).or(promised), wanted) {
        (Some(form), _) => form,
        (None, Wanted::One(Pick { column: None, .. })) => Form::Lines,
        // A table is promised, so its first line tells by what its cells are parted.
        (None, _) => {
            let (whole, form) = by_its_head(reader).map_err(fault)?;
            reader = whole;
            form
        }
    };
    let usual = Pick::default();
    let pick = match wanted {
        Wanted::One(pick) => {
            fits(source, form, pick)?;
            pick
        }
        Wanted::Pair => &usual,
    };
    match form {
        Form::Lines if pick.in_text => passages(source, reader, marked, each),
        Form::Lines => lines(source, reader, marked, each),
        Form::Tsv | Form::Csv => table(source, reader, marked, form, wanted, each),
        Form::Json => json_lines::read(source, reader, marked, wanted, each),
        Form::Pls | Form::Ssml | Form::Xml | Form::Html => match wanted {
            Wanted::One(pick) => markup::read(source, reader, marked, form, pick, each),
            Wanted::Pair => {
                let reason = "a document has no columns target and production";
                let remedy = "give a table, or JSON Lines with these fields";
                Err(Failure::new(source.name(), reason, remedy).into())
            }
        },
    }
}

/// Whether a source is read as lines, each a transcription.
///
/// # Errors
/// An option that says nothing about lines.
pub(super) fn are_lines(
    source: &Source,
    form: Option<Form>,
    wanted: &Wanted,
) -> Result<bool, Failure> {
    let Wanted::One(pick) = wanted else {
        return Ok(false);
    };
    let form = form.or_else(|| source.form()).or_else(|| pick.form());
    let lines = match form {
        Some(form) => form == Form::Lines && !pick.in_text,
        None => pick.column.is_none(),
    };
    if lines {
        fits(source, Form::Lines, pick)?;
    }
    Ok(lines)
}

/// Refuses an option that says nothing about a form: it would be passed over in silence.
fn fits(source: &Source, form: Form, pick: &Pick) -> Result<(), Failure> {
    let table = matches!(form, Form::Tsv | Form::Csv);
    let document = matches!(form, Form::Xml | Form::Html);
    let (option, what) = match () {
        () if pick.column.is_some() && !table => ("--column", "tables"),
        () if pick.field.is_some() && form != Form::Json => ("--field", "JSON Lines"),
        () if pick.element.is_some() && !document => ("--element", "XML and HTML"),
        () if pick.attribute.is_some() && !document => ("--attribute", "XML and HTML"),
        () if pick.class.is_some() && !document => ("--class", "XML and HTML"),
        () if pick.in_text && form != Form::Lines => ("--in-text", "plain text"),
        () => return Ok(()),
    };
    Err(Failure::new(
        source.name(),
        format!("{option} is for {what}, and this is read as another form"),
        format!("leave out {option}, or say with --input what the form is"),
    ))
}

/// Takes a byte order mark off the front, reading no further than needed to tell.
fn without_mark(mut reader: Box<dyn BufRead>) -> io::Result<(Box<dyn BufRead>, u64)> {
    let mut head = Vec::new();
    for expected in [0xEF, 0xBB, 0xBF] {
        let mut byte = [0];
        if reader.read(&mut byte)? == 0 {
            break;
        }
        head.extend_from_slice(&byte);
        if byte != [expected] {
            break;
        }
    }
    if head == [0xEF, 0xBB, 0xBF] {
        return Ok((reader, 3));
    }
    Ok((Box::new(Cursor::new(head).chain(reader)), 0))
}

/// Reads one line into `line`, without its ending, and says how many bytes it took with
/// that; 0 at the end of the input.
fn next_line(reader: &mut dyn BufRead, line: &mut Vec<u8>) -> io::Result<u64> {
    line.clear();
    let read = whole_line(reader, line)?;
    without_end(line);
    Ok(read)
}

fn without_end(line: &mut Vec<u8>) {
    if line.last() == Some(&b'\n') {
        line.pop();
    }
    if line.last() == Some(&b'\r') {
        line.pop();
    }
}

/// Adds one line with its ending to `line`; refuses one that no record is as long as.
fn whole_line(reader: &mut dyn BufRead, line: &mut Vec<u8>) -> io::Result<u64> {
    let room = LONGEST_RECORD.saturating_sub(line.len() as u64);
    let read = reader.take(room + 1).read_until(b'\n', line)? as u64;
    if read > room {
        return Err(io::Error::new(
            io::ErrorKind::FileTooLarge,
            format!("a record is longer than {LONGEST_RECORD} bytes"),
        ));
    }
    Ok(read)
}

/// How many bytes a line of a table, of JSON Lines or of running text may have.
const LONGEST_RECORD: u64 = 16 * 1024 * 1024;

/// Reads one line as [`next_line`] does, but keeps no more of it than tells that it is too
/// long to be judged.
fn next_text(reader: &mut dyn BufRead, line: &mut Vec<u8>) -> io::Result<u64> {
    line.clear();
    let mut read = reader.take(LONGEST as u64 + 1).read_until(b'\n', line)? as u64;
    if line.len() > LONGEST && line.last() != Some(&b'\n') {
        read += reader.skip_until(b'\n')? as u64;
    }
    without_end(line);
    Ok(read)
}

pub(super) fn is_blank(line: &[u8]) -> bool {
    line.iter().all(|byte| matches!(byte, b' ' | b'\t'))
}

fn lines(
    source: &Source,
    mut reader: Box<dyn BufRead>,
    mut start: u64,
    each: &mut dyn FnMut(&Record) -> Result<(), Stop>,
) -> Result<(), Stop> {
    let mut record = Record {
        texts: vec![Vec::new()],
        places: vec![Place {
            column: 1,
            ..Place::default()
        }],
        ..Record::default()
    };
    loop {
        let (Some(text), Some(place)) =
            (record.texts.first_mut(), record.places.first_mut())
        else {
            return Ok(());
        };
        let read = next_text(&mut *reader, text);
        let read = read.map_err(|error| source.failure(&error))?;
        if read == 0 {
            return Ok(());
        }
        place.start = start;
        place.line += 1;
        start += read;
        let blank = is_blank(text);
        record.line += 1;
        if !blank {
            each(&record)?;
        }
    }
}

/// Reads the transcriptions that stand in running text.
fn passages(
    source: &Source,
    mut reader: Box<dyn BufRead>,
    mut start: u64,
    each: &mut dyn FnMut(&Record) -> Result<(), Stop>,
) -> Result<(), Stop> {
    let mut line = Vec::new();
    let mut record = Record::default();
    loop {
        let read = next_line(&mut *reader, &mut line);
        let read = read.map_err(|error| source.failure(&error))?;
        if read == 0 {
            return Ok(());
        }
        record.line += 1;
        let mut cursor = place::Cursor::START;
        for range in prose::find(&line) {
            cursor.advance(&line, range.start);
            record.texts = vec![line.get(range.clone()).unwrap_or_default().to_vec()];
            record.places = vec![Place {
                start: start + range.start as u64,
                line: record.line,
                column: cursor.column,
                ..Place::default()
            }];
            each(&record)?;
        }
        start += read;
    }
}

/// The rows of a table, the one that names its columns first.
///
/// # Errors
/// What cannot be opened or read, or is no table.
pub(super) fn rows(source: &Source, form: Option<Form>) -> Result<Rows, Stop> {
    let fault = |error: io::Error| Stop::Source(source.failure(&error));
    let (mut reader, marked) = without_mark(source.open()?).map_err(fault)?;
    let form = if let Some(form) = form.or_else(|| source.form()) {
        form
    } else {
        let (whole, form) = by_its_head(reader).map_err(fault)?;
        reader = whole;
        form
    };
    if !matches!(form, Form::Tsv | Form::Csv) {
        return Err(Failure::new(
            source.name(),
            "a sheet is a table",
            "give a TSV or a CSV file, or say which it is with --input",
        )
        .into());
    }
    Ok(Rows::new(reader, form, marked))
}

/// The form of a table, told by what the cells of its first line are parted by.
fn by_its_head(mut reader: Box<dyn BufRead>) -> io::Result<(Box<dyn BufRead>, Form)> {
    let mut head = Vec::new();
    whole_line(&mut *reader, &mut head)?;
    let tabs = head.contains(&b'\t') || !head.contains(&b',');
    let form = if tabs { Form::Tsv } else { Form::Csv };
    Ok((Box::new(Cursor::new(head).chain(reader)), form))
}

fn table(
    source: &Source,
    reader: Box<dyn BufRead>,
    marked: u64,
    form: Form,
    wanted: &Wanted,
    each: &mut dyn FnMut(&Record) -> Result<(), Stop>,
) -> Result<(), Stop> {
    let fault = |error: io::Error| Stop::Source(source.failure(&error));
    let mut rows = Rows::new(reader, form, marked);
    let Some(header) = rows.next().map_err(fault)? else {
        return Ok(());
    };
    let header: Vec<String> = header
        .iter()
        .map(|cell| String::from_utf8_lossy(cell).trim().to_owned())
        .collect();
    let columns = columns(source, rows.line, &header, wanted)?;
    let find = |name: &str| header.iter().position(|cell| cell == name);
    let (id, word) = (find("id"), find("word"));
    let mut record = Record {
        texts: vec![Vec::new(); columns.len()],
        ..Record::default()
    };
    while let Some(row) = rows.next().map_err(fault)? {
        let cell = |at: usize| row.get(at).unwrap_or_default();
        let named = |at: Option<usize>| {
            at.map(|at| String::from_utf8_lossy(cell(at)).into_owned())
        };
        record.line = rows.line;
        record.id = named(id).map_or(Id::None, Id::Cell);
        record.word = named(word);
        for (text, at) in record.texts.iter_mut().zip(&columns) {
            text.clear();
            text.extend_from_slice(cell(*at));
        }
        record.places.clear();
        let texts = record.texts.iter().zip(&columns);
        let places = texts.map(|(text, at)| rows.place(*at, text.len()));
        record.places.extend(places);
        each(&record)?;
    }
    Ok(())
}

/// The rows of a table, each with the line it begins on: blank lines are skipped but
/// counted, and a quoted cell may run over several.
pub(super) struct Rows {
    reader: Box<dyn BufRead>,
    form: Form,
    /// The line the last row began on.
    line: u64,
    /// The line that is read next.
    next: u64,
    /// The byte the last row began with.
    start: u64,
    /// The byte after it.
    end: u64,
    bytes: Vec<u8>,
}

impl Rows {
    /// Where a cell of the last row stands.
    fn place(&self, number: usize, length: usize) -> Place {
        let found = cell::find(&self.bytes, self.form, number).filter(|cell| {
            cell.pieces.last().map_or(0, |piece| piece.text.end) == length
        });
        let Some(found) = found else {
            return Place {
                start: self.start,
                line: self.line,
                column: 1,
                untraced: true,
                ..Place::default()
            };
        };
        let mut cursor = place::Cursor {
            line: self.line,
            ..place::Cursor::START
        };
        cursor.advance(&self.bytes, found.raw.start);
        Place {
            start: self.start + found.raw.start as u64,
            line: cursor.line,
            column: cursor.column,
            raw: self.bytes.get(found.raw).unwrap_or_default().to_vec(),
            pieces: found.pieces,
            escape: found.escape,
            untraced: false,
        }
    }

    const fn new(reader: Box<dyn BufRead>, form: Form, marked: u64) -> Self {
        Self {
            reader,
            form,
            line: 0,
            next: 1,
            start: 0,
            end: marked,
            bytes: Vec::new(),
        }
    }

    /// How many bytes of the table are read.
    pub(super) const fn bytes(&self) -> u64 {
        self.end
    }

    /// The line the last row began on.
    pub(super) const fn line(&self) -> u64 {
        self.line
    }

    /// The next row, if there is one.
    pub(super) fn next(&mut self) -> io::Result<Option<csv::ByteRecord>> {
        self.bytes.clear();
        while self.bytes.iter().all(|byte| matches!(byte, b'\r' | b'\n')) {
            self.bytes.clear();
            if whole_line(&mut *self.reader, &mut self.bytes)? == 0 {
                return Ok(None);
            }
            self.start = self.end;
            self.end += self.bytes.len() as u64;
            self.line = self.next;
            self.next += 1;
        }
        if self.form == Form::Csv {
            let (mut from, mut state) = (0, cell::State::Start);
            loop {
                let unread = self.bytes.get(from..).unwrap_or_default();
                state = unread.iter().fold(state, |state, byte| state.after(*byte));
                from = self.bytes.len();
                if state != cell::State::Quoted
                    || whole_line(&mut *self.reader, &mut self.bytes)? == 0
                {
                    break;
                }
                self.next += 1;
            }
            self.end = self.start + self.bytes.len() as u64;
        }
        let delimiter = if self.form == Form::Tsv { b'\t' } else { b',' };
        if self.form == Form::Tsv || !self.bytes.contains(&b'"') {
            // Nothing is quoted: making a reader for each line costs more than the line.
            let ends = |byte: &u8| matches!(byte, b'\r' | b'\n');
            let begins = self.bytes.iter().position(|it| !ends(it)).unwrap_or(0);
            let line = self.bytes.get(begins..).unwrap_or_default();
            let line = line.split(ends).next().unwrap_or_default();
            return Ok(Some(line.split(|byte| *byte == delimiter).collect()));
        }
        let mut row = csv::ByteRecord::new();
        csv::ReaderBuilder::new()
            .delimiter(delimiter)
            .quoting(self.form == Form::Csv)
            .has_headers(false)
            .buffer_capacity(256)
            .from_reader(self.bytes.as_slice())
            .read_byte_record(&mut row)?;
        Ok(Some(row))
    }
}

/// Where the wanted columns stand in a header.
fn columns(
    source: &Source,
    line: u64,
    header: &[String],
    wanted: &Wanted,
) -> Result<Vec<usize>, Failure> {
    let find = |name: &str| header.iter().position(|cell| cell == name);
    let missing = |name: &str, remedy: String| {
        let reason = format!(
            "no column is called \u{201C}{name}\u{201D}; there are: {}",
            header.join(", ")
        );
        Failure::new(format!("{}:{line}", source.name()), reason, remedy)
    };
    match wanted {
        Wanted::One(Pick {
            column: Some(name), ..
        }) => find(name).map(|at| vec![at]).ok_or_else(|| {
            missing(name, "give one of these names with --column".to_owned())
        }),
        Wanted::One(_) if header.len() == 1 => Ok(vec![0]),
        Wanted::One(_) => find("transcription").map(|at| vec![at]).ok_or_else(|| {
            missing(
                "transcription",
                "say with --column which one holds the transcriptions".to_owned(),
            )
        }),
        Wanted::Pair => ["target", "production"]
            .iter()
            .map(|name| {
                find(name).ok_or_else(|| {
                    missing(
                        name,
                        format!("call the column that holds it {name} in the first line"),
                    )
                })
            })
            .collect(),
    }
}
