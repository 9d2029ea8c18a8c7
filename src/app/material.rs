//! What the commands about drill material share: the words they choose from, lists they read,
//! sheets they write.

use std::fs::OpenOptions;
use std::io::{ErrorKind, Write};
use std::path::Path;
use std::sync::Arc;

use super::arguments::{Form, Marks, Material, Standing};
use super::files::{self, Source};
use super::mark::table_of;
use super::output::{self, Answers};
use super::{Failure, Status, Stop};
use crate::accent::Accent;
use crate::lexicon::Lexicon;
use crate::material::{SoundWish, Sounds};
use crate::report::text::line::visible;
use crate::syllable::{Part, Position};

/// The accent of the arguments and its word list.
pub(super) fn words_of(arguments: &Material) -> Result<(Accent, Lexicon), Stop> {
    let accent = super::declared(&arguments.accent, &arguments.accent_options)?;
    let lexicon = Lexicon::of(accent.name()).ok_or_else(|| {
        let listed = |name: &&str| Lexicon::of(name).is_some();
        let known: Vec<&str> = Accent::names().filter(listed).collect();
        Stop::Run(Failure::new(
            format!("--accent {}", arguments.accent),
            format!("there is no word list for {}", accent.called()),
            format!("the accents that have one: {}", known.join(", ")),
        ))
    })?;
    Ok((accent, lexicon))
}

/// Sounds or classes as they were typed; `place` is what to call them in a complaint.
pub(super) fn wishes(
    texts: &[String],
    place: &str,
    sounds: &Sounds,
) -> Result<Vec<SoundWish>, Stop> {
    texts
        .iter()
        .map(|text| {
            SoundWish::parse(text, sounds).map_err(|(reason, remedy)| {
                Stop::Run(Failure::new(
                    format!("{place} {}", visible(text)),
                    reason,
                    remedy,
                ))
            })
        })
        .collect()
}

/// Sounds that are ruled out: parted by commas outside of brackets, or given again.
pub(super) fn ruled_out(
    arguments: &Material,
    sounds: &Sounds,
) -> Result<Vec<SoundWish>, Stop> {
    let mut texts = Vec::new();
    for given in &arguments.without {
        let mut depth = 0_i32;
        let mut text = String::new();
        for character in given.chars() {
            match character {
                '[' | '{' => depth += 1,
                ']' | '}' => depth -= 1,
                _ => {}
            }
            let parts = depth == 0 && (matches!(character, ',' | ' '));
            if parts {
                texts.push(std::mem::take(&mut text));
            } else {
                text.push(character);
            }
        }
        texts.push(text);
    }
    texts.retain(|it| !it.is_empty());
    wishes(&texts, "--without", sounds)
}

/// The place in the word that is asked for.
pub(super) fn position(standing: &Standing) -> Option<Position> {
    match standing {
        it if it.initial => Some(Position::Initial),
        it if it.medial => Some(Position::Medial),
        it if it.r#final => Some(Position::Final),
        _ => None,
    }
}

/// The part of the syllable that is asked for.
pub(super) fn part(standing: &Standing) -> Option<Part> {
    match standing {
        it if it.onset => Some(Part::Onset),
        it if it.nucleus => Some(Part::Nucleus),
        it if it.coda => Some(Part::Coda),
        _ => None,
    }
}

/// The stress on the sound that is asked for.
pub(super) fn stressed(standing: &Standing) -> Option<bool> {
    match standing {
        it if it.stressed => Some(true),
        it if it.unstressed => Some(false),
        _ => None,
    }
}

/// Refuses what no word can be: a sound asked for and ruled out, a vowel outside the nucleus.
pub(super) fn no_contradiction(
    asked: &[SoundWish],
    without: &[SoundWish],
    standing: &Standing,
    sounds: &Sounds,
) -> Result<(), Stop> {
    for wish in asked {
        let same = without.iter().find(|it| it.text == wish.text);
        if let Some(same) = same {
            return Err(Stop::Run(Failure::new(
                format!("--without {}", visible(&same.text)),
                format!("{} is asked for and ruled out", visible(&wish.text)),
                "leave one of the two away",
            )));
        }
        let Some(number) = wish.phoneme() else {
            continue;
        };
        let wrong = match part(standing) {
            Some(Part::Nucleus) => !sounds.is_vowel(number),
            Some(_) => sounds.is_vowel(number),
            None => false,
        };
        if let (true, Some(part)) = (wrong, part(standing)) {
            let (kind, right) = if sounds.is_vowel(number) {
                ("a vowel", "nucleus")
            } else {
                ("a consonant", "onset or a coda")
            };
            return Err(Stop::Run(Failure::new(
                format!("--{}", part.name()),
                format!("{} is {kind} and stands in no {}", wish.text, part.name()),
                format!("it stands in the {right}: leave --{} away", part.name()),
            )));
        }
    }
    Ok(())
}

/// A word of a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Listed {
    /// The line it stands on, from 1.
    pub(super) row: u64,
    /// The word or phrase.
    pub(super) word: String,
    /// Its target, where the list gives one.
    pub(super) target: String,
}

/// Reads a list: a table with the column `word` or `target`, or a text with a word or phrase a
/// line (or several parted by commas), `#` before a remark.
pub(super) fn listed(source: &Source, form: Option<Form>) -> Result<Vec<Listed>, Stop> {
    let text = source.text()?;
    let bare = text.trim_start_matches('\u{FEFF}');
    let first = bare.lines().next().unwrap_or_default();
    let named = first.split(['\t', ',', ';']).any(|cell| {
        let cell = cell.trim_matches(['"', ' ', '\r']);
        ["word", "target"]
            .iter()
            .any(|it| it.eq_ignore_ascii_case(cell))
    });
    let is_table = match form.or_else(|| source.form()) {
        Some(Form::Tsv | Form::Csv) => true,
        Some(Form::Lines) => false,
        _ => named,
    };
    let words = if is_table {
        table(source, &text, form)?
    } else {
        lines(bare)
    };
    if words.is_empty() {
        return Err(Failure::new(
            source.name(),
            "there is no word in it",
            "write one word a line, or a table with the column word",
        )
        .into());
    }
    Ok(words)
}

fn lines(text: &str) -> Vec<Listed> {
    let mut words = Vec::new();
    for (line, row) in text.lines().zip(1..) {
        let line = line.split('#').next().unwrap_or_default();
        let cells = line.split([',', ';', '\t']).map(str::trim);
        words.extend(cells.filter(|it| !it.is_empty()).map(|word| Listed {
            row,
            word: word.to_owned(),
            target: String::new(),
        }));
    }
    words
}

fn table(source: &Source, text: &str, form: Option<Form>) -> Result<Vec<Listed>, Stop> {
    // Standard input is read once: its table is read from what was held.
    let name = source.name();
    let held = Source::Held(name.clone().into(), Arc::from(text.as_bytes()));
    let form = form.or_else(|| source.form()).or(
        match text.lines().next().unwrap_or_default() {
            head if head.contains('\t') => Some(Form::Tsv),
            head if head.contains(',') => Some(Form::Csv),
            _ => Some(Form::Tsv),
        },
    );
    let fault = |error: std::io::Error| Stop::Source(source.failure(&error));
    let mut rows = files::rows(&held, form)?;
    let Some(header) = rows.next().map_err(fault)? else {
        return Ok(Vec::new());
    };
    let header: Vec<String> = header
        .iter()
        .map(|cell| String::from_utf8_lossy(cell).trim().to_owned())
        .collect();
    let find = |name: &str| header.iter().position(|it| it.eq_ignore_ascii_case(name));
    let (word, target) = (find("word"), find("target"));
    if word.is_none() && target.is_none() {
        let names: Vec<String> = header.iter().map(|it| visible(it)).collect();
        return Err(Failure::new(
            format!("{name}:{}", rows.line()),
            format!(
                "no column is called “word” or “target”; there are: {}",
                names.join(", ")
            ),
            "name the columns in the first line, or give a list with a word a line",
        )
        .into());
    }
    let mut words = Vec::new();
    while let Some(row) = rows.next().map_err(fault)? {
        let cell = |at: Option<usize>| {
            let cell = at.and_then(|at| row.get(at)).unwrap_or_default();
            String::from_utf8_lossy(cell).trim().to_owned()
        };
        let (word, target) = (cell(word), cell(target));
        if !word.is_empty() || !target.is_empty() {
            words.push(Listed {
                row: rows.line(),
                word,
                target,
            });
        }
    }
    Ok(words)
}

/// The words of lists that never come up.
pub(super) fn excepted(paths: &[std::path::PathBuf]) -> Result<Vec<String>, Stop> {
    let mut words = Vec::new();
    for path in paths {
        let list = listed(&Source::of(path), None).map_err(|stop| match stop {
            Stop::Source(failure) => Stop::Run(failure),
            stop => stop,
        })?;
        words.extend(list.into_iter().map(|it| it.word));
    }
    Ok(words)
}

/// A row of a sheet: word, target, accepted, and where it belongs in pairs or sets.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub(super) word: String,
    pub(super) target: String,
    pub(super) accepted: Vec<String>,
    /// The number of its pair or set, from 1.
    pub(super) group: Option<usize>,
}

/// A sheet as text: what `analyze` and the desk read, productions left empty.
pub(super) fn sheet(rows: &[Row], parted: u8) -> Result<String, Stop> {
    let grouped = rows.iter().any(|it| it.group.is_some());
    let mut columns = vec!["word", "target", "production", "accepted"];
    if grouped {
        columns.push("group");
    }
    let cells = rows.iter().map(|row| {
        let mut cells = vec![
            row.word.clone(),
            row.target.clone(),
            String::new(),
            row.accepted.join(";"),
        ];
        if grouped {
            cells.push(row.group.map(|it| it.to_string()).unwrap_or_default());
        }
        cells
    });
    table_of(&columns, cells, parted)
}

/// Writes a sheet to a file that is not there yet: one that is may hold a session's work.
pub(super) fn write(path: &Path, rows: &[Row]) -> Result<(), Stop> {
    let parted = match Source::of(path).form() {
        Some(Form::Csv) => b',',
        _ => b'\t',
    };
    let text = sheet(rows, parted)?;
    let failure = |error: std::io::Error| match error.kind() {
        ErrorKind::AlreadyExists => taken(path),
        _ => Stop::Run(Failure::new(
            path.display().to_string(),
            format!("cannot be written: {error}"),
            "give a path in a folder that exists and may be written to",
        )),
    };
    let mut file = OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(path)
        .map_err(failure)?;
    file.write_all(text.as_bytes())
        .and_then(|()| file.sync_all())
        .map_err(failure)
}

/// A sheet is never written over another file.
fn taken(path: &Path) -> Stop {
    Stop::Run(Failure::new(
        path.display().to_string(),
        "there is such a file already, and it may hold what a client said",
        "give another name, or move that file away",
    ))
}

/// Refuses a file that is there before anything is chosen, and one file for two sheets.
pub(super) fn free(paths: &[&Option<std::path::PathBuf>]) -> Result<(), Stop> {
    let paths: Vec<&Path> = paths.iter().filter_map(|it| it.as_deref()).collect();
    for (at, path) in paths.iter().enumerate() {
        if path.exists() {
            return Err(taken(path));
        }
        if paths.iter().skip(at + 1).any(|other| other == path) {
            return Err(Stop::Run(Failure::new(
                path.display().to_string(),
                "drill and probes cannot go into one sheet",
                "give the probes a file of their own",
            )));
        }
    }
    Ok(())
}

/// Writes rows to the sheet that is asked for, and prints them as a table where that is; says
/// whether they were printed.
pub(super) fn handed_over(
    rows: &[Row],
    to: Option<&Path>,
    format: Marks,
) -> Result<bool, Stop> {
    if let Some(path) = to {
        write(path, rows)?;
    }
    let parted = match format {
        Marks::Tsv => b'\t',
        Marks::Csv => b',',
        Marks::Text | Marks::Json => return Ok(false),
    };
    output::print(&sheet(rows, parted)?)?;
    Ok(true)
}

/// The page or the objects of an answer.
pub(super) fn answered(
    answers: &mut Answers,
    page: impl FnOnce(usize) -> String,
) -> Result<Status, Stop> {
    let page = page(answers.columns);
    answers.page(&page)?;
    Ok(Status::Good)
}

/// A candidate as a row.
pub(super) fn row(candidate: &crate::material::Candidate, group: Option<usize>) -> Row {
    Row {
        word: candidate.word().to_owned(),
        target: candidate.target(),
        accepted: candidate.accepted(),
        group,
    }
}
