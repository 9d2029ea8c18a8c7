//! `apical check --fix`: every mend that leaves no choice, written back.
//!
//! A file is read whole, mended, and replaced at once or not at all; every byte that is
//! not part of a mend stays as it was.

use std::collections::BTreeMap;
use std::io::{self, IsTerminal, Read, Write};
use std::path::Path;
use std::sync::Arc;

use super::arguments::{Check, Verdict};
use super::files::place::Mending;
use super::files::{self, Pick, Record, Source, Wanted};
use super::reading::Reading;
use super::{Failure, Status, Stop, complain};
use crate::diagnostic::Severity;
use crate::report::text::counted;
use crate::report::text::line::visible;
use crate::text::Span;

/// Rounds of mends on one text: a mend may bring another fault to light.
const ROUNDS: usize = 64;

/// What came of it.
#[derive(Debug)]
pub(super) struct Mended {
    /// What the files hold now.
    pub(super) sources: Vec<Source>,
    /// By the number of a transcription among all of them: what it was before.
    pub(super) was: BTreeMap<usize, String>,
    /// How it went.
    pub(super) status: Status,
    /// Whether everything was said already.
    pub(super) told: bool,
    records: usize,
    places: usize,
}

impl Mended {
    /// How much was mended.
    pub(super) fn summary(&self) -> String {
        if self.was.is_empty() {
            return "nothing to mend that leaves no choice\n".to_owned();
        }
        let places = counted(self.places, "place", "places");
        let texts = counted(self.was.len(), "transcription", "transcriptions");
        format!("mended: {places} in {texts}\n")
    }
}

/// A stretch of a file and what goes in its place.
struct Edit {
    start: usize,
    end: usize,
    with: Vec<u8>,
}

/// Mends every source, or shows what would be mended.
pub(super) fn mend(arguments: &Check, reading: &mut Reading) -> Result<Mended, Stop> {
    let mut mended = Mended {
        sources: Vec::new(),
        was: BTreeMap::new(),
        status: Status::Good,
        told: arguments.dry_run,
        records: 0,
        places: 0,
    };
    let sources = files::sources(&arguments.input);
    let filter = sources
        .iter()
        .any(|source| matches!(source, Source::Standard));
    let option = |option: &str, reason: &str, remedy: &str| {
        Err(Stop::Run(Failure::new(option, reason, remedy)))
    };
    if arguments.output.format != Verdict::Text && (filter || arguments.dry_run) {
        let reason = "standard output carries the mended text or the diff";
        return option("--format", reason, "leave it out, or name files to mend");
    }
    if filter && sources.len() > 1 {
        let reason = "standard input cannot be mended together with files";
        return option("--fix", reason, "mend it by itself");
    }
    if filter && !arguments.dry_run && io::stdin().is_terminal() {
        let reason = "there is no file to mend";
        return option("--fix", reason, "name one with --file, or pipe text in");
    }
    let wanted = Wanted::One(Pick::of(&arguments.input));
    let mut worst = Status::Good;
    for source in sources {
        match one(arguments, &source, &wanted, reading, &mut mended) {
            Ok(status) => worst = worst.max(status),
            Err(Stop::Source(failure)) => {
                complain(&failure);
                mended.status = Status::Failed;
            }
            Err(stop) => return Err(stop),
        }
    }
    if filter {
        mended.told = true;
        if !arguments.dry_run {
            let summary = mended.summary();
            let _ = anstream::stderr().write_all(summary.as_bytes());
        }
    }
    if mended.told {
        mended.status = mended.status.max(worst);
    }
    Ok(mended)
}

/// Mends one source and says whether something invalid remains.
fn one(
    arguments: &Check,
    source: &Source,
    wanted: &Wanted,
    reading: &mut Reading,
    mended: &mut Mended,
) -> Result<Status, Stop> {
    let (name, old) = content(source)?;
    let form = arguments.input.input;
    let old: Arc<[u8]> = old.into();
    let held = |bytes: &Arc<[u8]>| Source::Held(name.clone().into(), Arc::clone(bytes));
    let mut edits = Vec::new();
    let mut was = BTreeMap::new();
    let (mut records, mut places) = (0, 0);
    let mut worst = Status::Good;
    files::read(&held(&old), form, wanted, &mut |record| {
        if let Some((edit, made)) = mends(record, reading) {
            let text = record.texts.first().map_or(&[][..], Vec::as_slice);
            was.insert(
                mended.records + records,
                String::from_utf8_lossy(text).into_owned(),
            );
            places += made;
            edits.push(edit);
        }
        if !reading.is_valid() {
            worst = Status::Invalid;
        }
        records += 1;
        Ok(())
    })?;
    let new = edited(&old, edits);
    if arguments.dry_run {
        diff(&name, &old, &new)?;
    } else if let Source::Standard = source {
        let mut out = io::stdout().lock();
        out.write_all(&new)?;
        out.flush()?;
    } else if *old != *new {
        replace(Path::new(&name), &old, &new)?;
    }
    mended.records += records;
    mended.places += places;
    mended.was.extend(was);
    mended.sources.push(held(&new.into()));
    Ok(worst)
}

/// What a source holds, and its name.
fn content(source: &Source) -> Result<(String, Vec<u8>), Failure> {
    let mut bytes = Vec::new();
    let path = match source {
        Source::Standard => {
            let mut stdin = io::stdin().lock();
            stdin
                .read_to_end(&mut bytes)
                .map_err(|error| source.failure(&error))?;
            return Ok((source.name(), bytes));
        }
        Source::File(path) | Source::Held(path, _) => path,
    };
    let failure = |error: io::Error| source.failure(&error);
    let facts = path.metadata().map_err(failure)?;
    if !facts.is_file() && !facts.is_dir() {
        let reason = "only a plain file can be mended, and this is none";
        let remedy = "pipe it in, and the mended text comes out";
        return Err(Failure::new(source.name(), reason, remedy));
    }
    let mut reader = source.open()?;
    reader.read_to_end(&mut bytes).map_err(failure)?;
    Ok((source.name(), bytes))
}

/// What mends a text and how many mends that takes; `reading` holds what comes of it.
fn mends(record: &Record, reading: &mut Reading) -> Option<(Edit, usize)> {
    let text = record.texts.first()?;
    let place = record.places.first()?;
    reading.read_as(text, record.alphabet);
    if place.untraced || reading.faults().all(|fault| fault.replacement.is_none()) {
        return None;
    }
    let errors = |reading: &Reading| {
        let faults = reading.faults();
        faults
            .filter(|fault| fault.severity == Severity::Error)
            .count()
    };
    let before = errors(reading);
    let mut mending = Mending::new(place, text);
    let mut seen = vec![text.clone()];
    let mut made = 0;
    for _ in 0..ROUNDS {
        let list: Vec<(Span, String)> = reading
            .faults()
            .filter_map(|fault| Some((fault.given, fault.replacement?)))
            .collect();
        let now = mending.replace(&list);
        if now == 0 {
            break;
        }
        made += now;
        let text = mending.text();
        reading.read_as(&text, record.alphabet);
        // Mends that lead in a circle, or to more errors, are no mends.
        if seen.contains(&text) || errors(reading) > before {
            made = 0;
            break;
        }
        seen.push(text);
    }
    if made == 0 {
        reading.read_as(text, record.alphabet);
        return None;
    }
    let start = usize::try_from(place.start).ok()?;
    let edit = Edit {
        start,
        end: start + place.raw(text).len(),
        with: mending.raw(),
    };
    Some((edit, made))
}

/// The bytes with every edit made.
fn edited(old: &[u8], mut edits: Vec<Edit>) -> Vec<u8> {
    edits.sort_by_key(|edit| edit.start);
    let mut new = Vec::with_capacity(old.len());
    let mut at = 0;
    for edit in edits {
        if edit.start < at {
            continue;
        }
        new.extend_from_slice(old.get(at..edit.start).unwrap_or_default());
        new.extend_from_slice(&edit.with);
        at = edit.end;
    }
    new.extend_from_slice(old.get(at..).unwrap_or_default());
    new
}

/// Puts new content in the place of a file's, all at once: it is written beside it, with
/// the same rights, and takes its name when it is complete. A link stays a link.
fn replace(name: &Path, old: &[u8], new: &[u8]) -> Result<(), Failure> {
    let shown = name.display().to_string();
    let fail = |error: io::Error| {
        let reason = format!("it could not be written, and is as it was: {error}");
        let remedy = "look whether the folder may be written to and has room";
        Failure::new(shown.clone(), reason, remedy)
    };
    let path = name.canonicalize().map_err(fail)?;
    let facts = path.metadata().map_err(fail)?;
    if facts.permissions().readonly() {
        let reason = "it may not be written, and is as it was";
        let remedy = "allow writing to it, or mend a copy";
        return Err(Failure::new(shown, reason, remedy));
    }
    let folder = path.parent().unwrap_or(Path::new("."));
    let mut beside = tempfile::Builder::new()
        .prefix(".apical-")
        .tempfile_in(folder)
        .map_err(fail)?;
    beside.write_all(new).map_err(fail)?;
    let file = beside.as_file();
    #[cfg(unix)]
    {
        use std::os::unix::fs::{MetadataExt, fchown};
        // Only the owner of everything can give a file away; the rights are what counts.
        let _ = fchown(file, Some(facts.uid()), Some(facts.gid()));
    }
    file.set_permissions(facts.permissions()).map_err(fail)?;
    file.sync_all().map_err(fail)?;
    let same = content(&Source::File(path.clone())).is_ok_and(|(_, now)| now == old);
    if !same {
        let reason = "it was changed by another program meanwhile, and is left alone";
        return Err(Failure::new(shown, reason, "run it again"));
    }
    beside.persist(&path).map_err(|error| fail(error.error))?;
    Ok(())
}

/// Prints a unified diff. A mend neither adds nor takes away an end of line, so that line
/// stands against line, and no search for the shortest diff is needed.
fn diff(name: &str, old: &[u8], new: &[u8]) -> Result<(), Stop> {
    const CONTEXT: usize = 3;
    let lines = |bytes: &'_ [u8]| -> Vec<Vec<u8>> {
        bytes
            .split_inclusive(|byte| *byte == b'\n')
            .map(<[u8]>::to_vec)
            .collect()
    };
    let (old, new) = (lines(old), lines(new));
    let changed: Vec<usize> = (0..old.len())
        .filter(|at| old.get(*at) != new.get(*at))
        .collect();
    let mut out = io::BufWriter::new(io::stdout().lock());
    let screen = io::stdout().is_terminal();
    if !changed.is_empty() {
        writeln!(out, "--- {}\n+++ {}", visible(name), visible(name))?;
    }
    let mut put = |mark: char, line: &[u8]| -> io::Result<()> {
        write!(out, "{mark}")?;
        let (text, end) = match line.strip_suffix(b"\n") {
            Some(text) => (text, "\n"),
            None => (line, "\n\\ No newline at end of file\n"),
        };
        if screen {
            out.write_all(visible(&String::from_utf8_lossy(text)).as_bytes())?;
        } else {
            out.write_all(text)?;
        }
        out.write_all(end.as_bytes())
    };
    let apart = |pair: &[usize]| matches!(pair, [a, b] if b - a > 2 * CONTEXT);
    let mut rest = changed.as_slice();
    while let Some(first) = rest.first() {
        let length = rest
            .windows(2)
            .position(apart)
            .map_or(rest.len(), |at| at + 1);
        let (hunk, later) = rest.split_at(length);
        rest = later;
        let from = first.saturating_sub(CONTEXT);
        let last = hunk.last().unwrap_or(first);
        let to = (last + 1 + CONTEXT).min(old.len());
        let head = format!(
            "@ -{},{} +{},{} @@",
            from + 1,
            to - from,
            from + 1,
            to - from
        );
        put('@', format!("{head}\n").as_bytes())?;
        let mut at = from;
        while at < to {
            let run = hunk.iter().filter(|line| **line >= at);
            let run = run
                .enumerate()
                .take_while(|(number, line)| **line == at + number);
            let run = run.count();
            for (mark, lines) in [('-', &old), ('+', &new)] {
                for line in lines.iter().skip(at).take(run) {
                    put(mark, line)?;
                }
            }
            if run == 0 {
                put(' ', old.get(at).map_or(&[][..], Vec::as_slice))?;
            }
            at += run.max(1);
        }
    }
    out.flush()?;
    Ok(())
}
