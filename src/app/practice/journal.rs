//! The learner's record: marked answers, one JSON object a line, only ever added to.

#![allow(
    clippy::disallowed_methods,
    reason = "this is where practice reads and writes its own file"
)]

use std::fs::{self, File, OpenOptions};
use std::io::{
    self, BufRead as _, BufReader, Read as _, Seek as _, SeekFrom, Write as _,
};
use std::path::{Path, PathBuf};

use crate::app::record::now;
use crate::app::{Failure, Stop, complain};
use crate::practice::Mark;
use crate::report::json::practice as json;

/// Names the record where no argument does.
const PLACE: &str = "APICAL_PRACTICE";

/// A mark with the time of its answer, in seconds since 1970 began; 0 where it is unknown.
pub(in crate::app) type Timed = (i64, Mark);

/// Where the record is.
pub(in crate::app) fn place(said: Option<&Path>) -> Result<PathBuf, Failure> {
    crate::app::own_file(said, PLACE, "practice.jsonl").ok_or_else(|| {
        Failure::new(
            "the record of practice",
            "this system does not say where a person's own files are",
            "name it with --record FILE, or do without one: --no-record",
        )
    })
}

/// Every mark of a file, and whether all its lines could be read. A line that cannot is
/// complained about, left out and left alone.
pub(in crate::app) fn read(path: &Path) -> Result<(Vec<Timed>, bool), Failure> {
    let name = path.display().to_string();
    let failed = |error: &io::Error| {
        let reason = format!("reading failed: {error}");
        Failure::new(
            name.clone(),
            reason,
            "look whether it is there and yours to read",
        )
    };
    let file = File::open(path).map_err(|error| failed(&error))?;
    let mut reader = BufReader::new(file);
    let (mut marks, mut whole, mut bytes) = (Vec::new(), true, Vec::new());
    for number in 1.. {
        bytes.clear();
        let read = reader.read_until(b'\n', &mut bytes);
        if read.map_err(|error| failed(&error))? == 0 {
            break;
        }
        let line = bytes.trim_ascii();
        if line.is_empty() {
            continue;
        }
        match mark_of(line) {
            Ok(mark) => marks.push(mark),
            Err(reason) => {
                whole = false;
                complain(&Failure::new(
                    format!("{name}:{number}"),
                    format!("no marked answer: {reason}"),
                    "the line is left out here and left alone in the file",
                ));
            }
        }
    }
    Ok((marks, whole))
}

fn mark_of(line: &[u8]) -> Result<Timed, String> {
    let mark: json::Mark =
        serde_json::from_slice(line).map_err(|error| error.to_string())?;
    let at = match mark.at.as_deref() {
        None => 0,
        Some(at) => {
            let at: jiff::Timestamp =
                at.parse().map_err(|error: jiff::Error| error.to_string())?;
            at.as_second()
        }
    };
    Ok((at, mark.try_into()?))
}

/// A record that is open for a session.
#[derive(Debug)]
pub(in crate::app) struct Journal {
    file: File,
    path: PathBuf,
    /// What was in it before the session.
    pub(in crate::app) marks: Vec<Timed>,
}

impl Journal {
    /// Opens a record, or begins one, readable by its owner alone.
    pub(in crate::app) fn open(path: &Path) -> Result<Self, Stop> {
        let failed = |error: io::Error| {
            Stop::Run(Failure::new(
                path.display().to_string(),
                format!("the record cannot be kept: {error}"),
                "name another file with --record, or do without one: --no-record",
            ))
        };
        if let Some(folder) = path.parent().filter(|it| !it.as_os_str().is_empty()) {
            let mut builder = fs::DirBuilder::new();
            builder.recursive(true);
            #[cfg(unix)]
            std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
            builder.create(folder).map_err(failed)?;
        }
        let mut options = OpenOptions::new();
        options.read(true).append(true).create(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        let mut file = options.open(path).map_err(failed)?;
        let (marks, _) = read(path).map_err(Stop::Run)?;
        // A line that was cut off by a loss of power must not swallow the next one.
        if file.seek(SeekFrom::End(0)).map_err(failed)? > 0 {
            let mut last = [0];
            file.seek(SeekFrom::End(-1)).map_err(failed)?;
            file.read_exact(&mut last).map_err(failed)?;
            if last != *b"\n" {
                file.write_all(b"\n").map_err(failed)?;
            }
        }
        Ok(Self {
            file,
            path: path.to_owned(),
            marks,
        })
    }

    /// Adds an answer. When this returns it is on the disk.
    pub(in crate::app) fn add(&mut self, mark: &Mark) -> Result<(), Failure> {
        let mut written = json::Mark::from(mark);
        written.at = Some(now());
        let line = serde_json::to_vec(&written).map_err(io::Error::from);
        let added = line.and_then(|mut line| {
            line.push(b'\n');
            self.file.write_all(&line)?;
            self.file.sync_data()
        });
        added.map_err(|error| {
            Failure::new(
                self.path.display().to_string(),
                format!("the answer was marked but not recorded: {error}"),
                "look whether the disk is full",
            )
        })
    }
}
