//! The terminal program: arguments, files, the screen.
//!
//! The one place that reads, prints and asks the system anything. Each command turns
//! records into plain values and hands them to [`crate::report`].

mod accents;
mod agree;
mod analyze;
pub mod arguments;
mod assign;
pub mod caseload;
mod check;
mod class;
mod compare;
mod confusions;
mod convert;
mod describe;
mod desk;
mod explain;
pub mod files;
mod handout;
mod manual;
mod mark;
mod material;
mod mend;
pub mod output;
mod pairs;
mod picture;
mod practice;
pub mod reading;
mod record;
mod report;
mod sample;
mod schema;
mod serve;
mod sheet;
mod sound;
mod words;

use std::fmt;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crate::accent::Accent;
use crate::report::{json, text};
use crate::text::Span;
use arguments::{Arguments, Command, Form, Input};
use files::place::Walk;
use files::{Id, Record, Source, Wanted};
use reading::Manner;

/// Runs the program on the arguments it was started with, and says how it went: 0 nothing
/// wrong, 1 something invalid, 2 the run failed.
#[must_use]
pub fn run() -> ExitCode {
    let arguments = match Arguments::read() {
        Ok(arguments) => arguments,
        Err(error) => {
            // A closed pipe is no reason to complain about help that nobody reads.
            let _ = error.print();
            return ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2));
        }
    };
    let outcome = match arguments.command {
        Some(command) => dispatch(command),
        None => desk::run(&arguments.opening),
    };
    let status = match outcome {
        Ok(status) => status,
        Err(Stop::Unread) => Status::Good,
        Err(Stop::Source(failure) | Stop::Run(failure)) => {
            complain(&failure);
            Status::Failed
        }
    };
    ExitCode::from(status as u8)
}

/// Runs a command, from the command line or from a line of the desk.
fn dispatch(command: Command) -> Result<Status, Stop> {
    match command {
        Command::Check(arguments) => check::run(&arguments),
        Command::Describe(arguments) => describe::run(&arguments),
        Command::Compare(arguments) => compare::run(&arguments),
        Command::Analyze(arguments) => analyze::run(&arguments),
        Command::Agree(arguments) => agree::run(&arguments),
        Command::Words(arguments) => words::run(&arguments),
        Command::Pairs(arguments) => pairs::run(&arguments),
        Command::Sample(arguments) => sample::run(&arguments),
        Command::Clients(arguments) => record::clients(&arguments),
        Command::Client(arguments) => record::client(&arguments),
        Command::Keep(arguments) => record::keep(&arguments),
        Command::Progress(arguments) => record::progress(&arguments),
        Command::Report(arguments) => report::run(&arguments),
        Command::Handout(arguments) => handout::run(&arguments),
        Command::Export(arguments) => record::export(&arguments),
        Command::Import(arguments) => record::import(&arguments),
        Command::Forget(arguments) => record::forget(&arguments),
        Command::Verify(arguments) => record::verify(&arguments),
        Command::Passphrase(arguments) => record::passphrase(&arguments),
        Command::Practice(arguments) => practice::run(&arguments),
        Command::Mark(arguments) => mark::run(&arguments),
        Command::Confusions(arguments) => confusions::run(&arguments),
        Command::Assign(arguments) => assign::run(&arguments),
        Command::Class(arguments) => class::run(&arguments),
        Command::Convert(arguments) => convert::run(&arguments),
        Command::Accents(arguments) => accents::run(&arguments),
        Command::Explain(arguments) => explain::run(&arguments),
        Command::Notices => output::print(crate::lexicon::NOTICES),
        Command::Serve(arguments) => serve::run(&arguments),
        Command::Schema(arguments) => schema::run(&arguments),
        Command::Completions(arguments) => manual::completions(&arguments),
        Command::Manual(arguments) => manual::run(&arguments),
    }
}

/// How a run went; the numbers are the exit statuses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// Nothing wrong.
    Good = 0,
    /// At least one transcription is invalid.
    Invalid = 1,
    /// The run failed.
    Failed = 2,
}

/// Why the run could not go on: where, what and what to do about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failure {
    /// A file, perhaps with a line, or an argument.
    pub place: String,
    /// What went wrong.
    pub reason: String,
    /// What to do about it.
    pub remedy: String,
}

impl Failure {
    /// A failure at a place.
    pub fn new(
        place: impl Into<String>,
        reason: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            place: place.into(),
            reason: reason.into(),
            remedy: remedy.into(),
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            formatter,
            "{}: {}\n  remedy: {}",
            self.place, self.reason, self.remedy
        )
    }
}

/// What ends the work before its end.
#[derive(Debug)]
pub enum Stop {
    /// This source cannot be read further; others may.
    Source(Failure),
    /// The run cannot go on.
    Run(Failure),
    /// Nobody reads the output any more.
    Unread,
}

impl From<Failure> for Stop {
    fn from(failure: Failure) -> Self {
        Self::Source(failure)
    }
}

impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Self {
        if error.kind() == io::ErrorKind::BrokenPipe {
            return Self::Unread;
        }
        Self::Run(Failure::new(
            "standard output",
            format!("writing failed: {error}"),
            "look whether the disk is full",
        ))
    }
}

/// Says on standard error what failed; where even that cannot be written, nothing is left
/// to do.
fn complain(failure: &Failure) {
    let words = text::line::visible_lines(&failure.to_string());
    let mut page = format!("apical: {words}\n");
    if io::stderr().is_terminal() {
        // Read by a person: no word is broken at the edge of the screen.
        let size = terminal_size::terminal_size_of(io::stderr());
        let columns = size.map_or(80, |(columns, _)| usize::from(columns.0));
        let lines = std::mem::take(&mut page);
        for line in lines.lines() {
            let text = line.trim_start();
            let indent = line.len() - text.len();
            let style = anstyle::Style::new();
            text::push_hanging(&mut page, indent, "", style, 0, text, columns);
        }
    }
    let _ = anstream::stderr().write_all(page.as_bytes());
}

/// Where a record came from.
#[derive(Clone, Copy, Debug)]
struct Origin<'a> {
    /// The file, where it is one.
    file: Option<&'a str>,
    /// Whether it is one of several.
    several: bool,
}

impl Origin<'_> {
    /// The contract's form of it.
    fn json<'r>(&'r self, record: &'r Record) -> json::Origin<'r, &'r Id> {
        json::Origin {
            version: json::VERSION,
            id: &record.id,
            line: record.line,
            file: self.file,
            place: match (record.places.as_slice(), record.texts.as_slice()) {
                ([place], [text]) => {
                    Some(Walk::new(place, text).place(Span::new(0, text.len())))
                }
                _ => None,
            },
        }
    }
}

/// Remembers which file was named last on the screen.
#[derive(Debug, Default)]
struct Origins {
    named: Option<String>,
}

impl Origins {
    /// The name of the file, the first time one of several comes up.
    fn heading(&mut self, origin: &Origin<'_>) -> String {
        let Some(file) = origin.file.filter(|_| origin.several) else {
            return String::new();
        };
        if self.named.as_deref() == Some(file) {
            return String::new();
        }
        let gap = if self.named.is_some() { "\n" } else { "" };
        self.named = Some(file.to_owned());
        format!("{gap}{}\n", text::heading(&text::line::visible(file)))
    }
}

/// What is done with each record.
type Each<'a> = dyn FnMut(&Record, &Origin<'_>) -> Result<(), Stop> + 'a;

/// Hands every text that the arguments name to `each`; a source that cannot be read is
/// complained about, and the next one tried.
fn each_text(input: &Input, each: &mut Each<'_>) -> Result<Status, Stop> {
    if input.texts.is_empty() {
        let sources = files::sources(input);
        let wanted = Wanted::One(files::Pick::of(input));
        return each_record(&sources, input.input, &wanted, each);
    }
    let origin = Origin {
        file: None,
        several: false,
    };
    for (text, line) in input.texts.iter().zip(1..) {
        let texts = vec![text.as_encoded_bytes().to_vec()];
        each(
            &Record {
                line,
                texts,
                ..Record::default()
            },
            &origin,
        )?;
    }
    Ok(Status::Good)
}

/// Hands every record of some sources to `each`, as [`each_text`] does.
fn each_record(
    sources: &[Source],
    form: Option<Form>,
    wanted: &Wanted,
    each: &mut Each<'_>,
) -> Result<Status, Stop> {
    each_source(sources, form, wanted, &mut |source, origin| {
        files::read(source, form, wanted, &mut |record| each(record, origin))
    })
}

/// What is done with each source.
type EachSource<'a> = dyn FnMut(&Source, &Origin<'_>) -> Result<(), Stop> + 'a;

/// Hands every source to `each`; one that cannot be read is complained about, and the next
/// one tried.
fn each_source(
    sources: &[Source],
    form: Option<Form>,
    wanted: &Wanted,
    each: &mut EachSource<'_>,
) -> Result<Status, Stop> {
    let mut status = Status::Good;
    for source in sources {
        let name = source.name();
        let file = !matches!(source, Source::Standard);
        let file = file.then_some(name.as_str());
        let origin = Origin {
            file,
            several: sources.len() > 1,
        };
        let lines = matches!(
            (form, wanted),
            (None, Wanted::One(files::Pick { column: None, .. }))
                | (Some(Form::Lines), _)
        );
        if matches!(source, Source::Standard) && lines && io::stdin().is_terminal() {
            let hint = "Type one transcription a line; Ctrl-D ends.";
            let _ = writeln!(anstream::stderr(), "{hint}");
        }
        match each(source, &origin) {
            Ok(()) => {}
            Err(Stop::Source(failure)) => {
                complain(&failure);
                status = Status::Failed;
            }
            Err(stop) => return Err(stop),
        }
    }
    Ok(status)
}

/// Where a file of the person's own is: as said, else as the variable of the environment
/// says, else under this name among her files; none where the system has no place for them.
fn own_file(said: Option<&Path>, variable: &str, name: &str) -> Option<PathBuf> {
    if let Some(path) = said {
        return Some(path.to_owned());
    }
    if let Some(path) = std::env::var_os(variable).filter(|path| !path.is_empty()) {
        return Some(path.into());
    }
    let folders = directories::ProjectDirs::from("", "", "apical")?;
    Some(folders.data_dir().join(name))
}

/// How the arguments say that texts are to be read.
fn manner(arguments: &arguments::Reading) -> Result<Manner, Stop> {
    let accent = match &arguments.accent {
        None => None,
        Some(name) => Some(declared(name, &arguments.accent_options)?),
    };
    Ok(Manner {
        alphabet: arguments.alphabet,
        accent,
    })
}

/// The accent of a name with the options declared.
fn declared(name: &str, options: &[String]) -> Result<Accent, Stop> {
    let accent = Accent::named(name).ok_or_else(|| {
        let known = Accent::names().collect::<Vec<_>>().join(", ");
        Stop::Run(Failure::new(
            format!("--accent {name}"),
            "no accent has this name",
            format!("the accents there are: {known}"),
        ))
    })?;
    let declared = accent.declared(options.iter().map(String::as_str));
    declared.map_err(|unknown| {
        let listed: Vec<String> = unknown
            .known
            .iter()
            .map(|option| {
                let is = if option.default { " (on)" } else { "" };
                format!("\n    {}{is}: {}", option.name, option.means)
            })
            .collect();
        Stop::Run(Failure::new(
            format!("--accent-option {}", unknown.given),
            format!("{name} has no option of this name"),
            format!(
                "its options, `no-` before one takes it back:{}",
                listed.concat()
            ),
        ))
    })
}
