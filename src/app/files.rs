//! Readers of lines, tables and JSON Lines: bytes in, one record at a time out.
//!
//! A record keeps the bytes of its texts as they came, so that ill-formed UTF-8 can be
//! reported where it stands. Memory holds one record, however long the input.

use std::fs::File;
use std::io::{self, BufRead, BufReader, Cursor, Read};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use super::arguments::{Form, Input};
use super::{Failure, Stop};

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
}

/// Which fields of a table or an object hold the texts.
#[derive(Clone, Debug)]
pub enum Wanted {
    /// One field: the column named, or the only one, or the one called `transcription`.
    One(Option<String>),
    /// The fields `target` and `production`.
    Pair,
}

/// Where records come from.
#[derive(Clone, Debug)]
pub enum Source {
    /// A file.
    File(PathBuf),
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
            Self::File(path) => path.display().to_string(),
            Self::Standard => "standard input".to_owned(),
        }
    }

    /// The form its name promises.
    fn form(&self) -> Option<Form> {
        let Self::File(path) = self else { return None };
        let ending = path.extension()?.to_str()?;
        let is =
            |names: &[&str]| names.iter().any(|name| ending.eq_ignore_ascii_case(name));
        if is(&["tsv", "tab"]) {
            Some(Form::Tsv)
        } else if is(&["csv"]) {
            Some(Form::Csv)
        } else if is(&["json", "jsonl", "ndjson"]) {
            Some(Form::Json)
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

    fn open(&self) -> Result<Box<dyn BufRead>, Failure> {
        let Self::File(path) = self else {
            return Ok(Box::new(io::stdin().lock()));
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
        Ok(Box::new(BufReader::with_capacity(64 * 1024, file)))
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
    let mut reader = without_mark(source.open()?).map_err(fault)?;
    let form = match (form.or_else(|| source.form()), wanted) {
        (Some(form), _) => form,
        (None, Wanted::One(None)) => Form::Lines,
        // A table is promised, so its first line tells by what its cells are parted.
        (None, _) => {
            let (whole, form) = by_its_head(reader).map_err(fault)?;
            reader = whole;
            form
        }
    };
    match form {
        Form::Lines => lines(source, reader, each),
        Form::Tsv | Form::Csv => table(source, reader, form, wanted, each),
        Form::Json => objects(source, reader, wanted, each),
    }
}

/// Takes a byte order mark off the front, reading no further than needed to tell.
fn without_mark(mut reader: Box<dyn BufRead>) -> io::Result<Box<dyn BufRead>> {
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
        return Ok(reader);
    }
    Ok(Box::new(Cursor::new(head).chain(reader)))
}

/// Reads one line into `line`, without its ending; false at the end of the input.
fn next_line(reader: &mut dyn BufRead, line: &mut Vec<u8>) -> io::Result<bool> {
    line.clear();
    if reader.read_until(b'\n', line)? == 0 {
        return Ok(false);
    }
    if line.last() == Some(&b'\n') {
        line.pop();
    }
    if line.last() == Some(&b'\r') {
        line.pop();
    }
    Ok(true)
}

fn is_blank(line: &[u8]) -> bool {
    line.iter().all(|byte| matches!(byte, b' ' | b'\t'))
}

fn lines(
    source: &Source,
    mut reader: Box<dyn BufRead>,
    each: &mut dyn FnMut(&Record) -> Result<(), Stop>,
) -> Result<(), Stop> {
    let mut record = Record {
        texts: vec![Vec::new()],
        ..Record::default()
    };
    loop {
        let Some(text) = record.texts.first_mut() else {
            return Ok(());
        };
        if !next_line(&mut *reader, text).map_err(|error| source.failure(&error))? {
            return Ok(());
        }
        let blank = is_blank(text);
        record.line += 1;
        if !blank {
            each(&record)?;
        }
    }
}

/// The rows of a table, the one that names its columns first.
///
/// # Errors
/// What cannot be opened or read, or is no table.
pub(super) fn rows(source: &Source, form: Option<Form>) -> Result<Rows, Stop> {
    let fault = |error: io::Error| Stop::Source(source.failure(&error));
    let mut reader = without_mark(source.open()?).map_err(fault)?;
    let form = if let Some(form) = form.or_else(|| source.form()) {
        form
    } else {
        let (whole, form) = by_its_head(reader).map_err(fault)?;
        reader = whole;
        form
    };
    if matches!(form, Form::Lines | Form::Json) {
        return Err(Failure::new(
            source.name(),
            "a sheet is a table",
            "give a TSV or a CSV file, or say which it is with --input",
        )
        .into());
    }
    Ok(Rows::new(reader, form))
}

/// The form of a table, told by what the cells of its first line are parted by.
fn by_its_head(mut reader: Box<dyn BufRead>) -> io::Result<(Box<dyn BufRead>, Form)> {
    let mut head = Vec::new();
    reader.read_until(b'\n', &mut head)?;
    let tabs = head.contains(&b'\t') || !head.contains(&b',');
    let form = if tabs { Form::Tsv } else { Form::Csv };
    Ok((Box::new(Cursor::new(head).chain(reader)), form))
}

fn table(
    source: &Source,
    reader: Box<dyn BufRead>,
    form: Form,
    wanted: &Wanted,
    each: &mut dyn FnMut(&Record) -> Result<(), Stop>,
) -> Result<(), Stop> {
    let fault = |error: io::Error| Stop::Source(source.failure(&error));
    let mut rows = Rows::new(reader, form);
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
    bytes: Vec<u8>,
    /// How many bytes the rows before this one took.
    read: u64,
}

impl Rows {
    const fn new(reader: Box<dyn BufRead>, form: Form) -> Self {
        Self {
            reader,
            form,
            line: 0,
            next: 1,
            bytes: Vec::new(),
            read: 0,
        }
    }

    /// How many bytes of the table are read.
    pub(super) const fn bytes(&self) -> u64 {
        self.read + self.bytes.len() as u64
    }

    /// The line the last row began on.
    pub(super) const fn line(&self) -> u64 {
        self.line
    }

    /// The next row, if there is one.
    pub(super) fn next(&mut self) -> io::Result<Option<csv::ByteRecord>> {
        self.read = self.bytes();
        self.bytes.clear();
        while self.bytes.iter().all(|byte| matches!(byte, b'\r' | b'\n')) {
            self.bytes.clear();
            if self.reader.read_until(b'\n', &mut self.bytes)? == 0 {
                return Ok(None);
            }
            self.line = self.next;
            self.next += 1;
        }
        if self.form == Form::Csv {
            let (mut from, mut state) = (0, Cell::Start);
            loop {
                let unread = self.bytes.get(from..).unwrap_or_default();
                state = unread.iter().fold(state, |state, byte| state.after(*byte));
                from = self.bytes.len();
                if state != Cell::Quoted
                    || self.reader.read_until(b'\n', &mut self.bytes)? == 0
                {
                    break;
                }
                self.next += 1;
            }
        }
        let mut row = csv::ByteRecord::new();
        csv::ReaderBuilder::new()
            .delimiter(if self.form == Form::Tsv { b'\t' } else { b',' })
            .quoting(self.form == Form::Csv)
            .has_headers(false)
            .buffer_capacity(256)
            .from_reader(self.bytes.as_slice())
            .read_byte_record(&mut row)?;
        Ok(Some(row))
    }
}

/// Where in a cell of CSV a byte stands (RFC 4180).
#[derive(Clone, Copy, PartialEq, Eq)]
enum Cell {
    Start,
    Plain,
    Quoted,
    QuoteInQuoted,
}

impl Cell {
    const fn after(self, byte: u8) -> Self {
        match (self, byte) {
            (Self::Quoted, b'"') => Self::QuoteInQuoted,
            (Self::Start | Self::QuoteInQuoted, b'"') | (Self::Quoted, _) => Self::Quoted,
            (_, b',') => Self::Start,
            _ => Self::Plain,
        }
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
        Wanted::One(Some(name)) => find(name).map(|at| vec![at]).ok_or_else(|| {
            missing(name, "give one of these names with --column".to_owned())
        }),
        Wanted::One(None) if header.len() == 1 => Ok(vec![0]),
        Wanted::One(None) => find("transcription").map(|at| vec![at]).ok_or_else(|| {
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

/// A line of JSON input: the fields that any command reads.
#[derive(Deserialize)]
struct Object<'a> {
    text: Option<String>,
    target: Option<String>,
    production: Option<String>,
    word: Option<String>,
    #[serde(borrow)]
    id: Option<&'a RawValue>,
}

fn objects(
    source: &Source,
    mut reader: Box<dyn BufRead>,
    wanted: &Wanted,
    each: &mut dyn FnMut(&Record) -> Result<(), Stop>,
) -> Result<(), Stop> {
    let mut record = Record::default();
    let mut bytes = Vec::new();
    while next_line(&mut *reader, &mut bytes).map_err(|error| source.failure(&error))? {
        record.line += 1;
        if is_blank(&bytes) {
            continue;
        }
        // Inside a JSON string a byte has no offset of its own: ill-formed ones become
        // replacement characters here, and are reported as such later.
        let line = String::from_utf8_lossy(&bytes);
        let fault = |reason: String| {
            let fields = match wanted {
                Wanted::One(_) => "a string, or an object with the field text",
                Wanted::Pair => "an object with the fields target and production",
            };
            Failure::new(
                format!("{}:{}", source.name(), record.line),
                reason,
                format!("every line must be {fields}"),
            )
        };
        let lacks = |field: &str| fault(format!("the field {field} is missing"));
        let (id, word, texts) = if line.trim_start().starts_with('"') {
            let text: String = serde_json::from_str(&line)
                .map_err(|error| fault(format!("not JSON: {error}")))?;
            (Id::None, None, vec![text])
        } else {
            let object: Object<'_> = serde_json::from_str(&line)
                .map_err(|error| fault(format!("not JSON: {error}")))?;
            let texts = match wanted {
                Wanted::One(_) => vec![object.text.ok_or_else(|| lacks("text"))?],
                Wanted::Pair => vec![
                    object.target.ok_or_else(|| lacks("target"))?,
                    object.production.ok_or_else(|| lacks("production"))?,
                ],
            };
            let id = object.id.map_or(Id::None, |id| Id::Json(id.to_owned()));
            (id, object.word, texts)
        };
        if matches!(wanted, Wanted::Pair) && texts.len() != 2 {
            return Err(fault("a pair has two texts".to_owned()).into());
        }
        record.id = id;
        record.word = word;
        record.texts = texts.into_iter().map(String::into_bytes).collect();
        each(&record)?;
    }
    Ok(())
}
