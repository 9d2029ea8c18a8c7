//! `apical analyze`: what a sheet shows, and what of it comes first.

mod measures;
mod rules;

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use super::arguments::{Analyze, Format};
use super::files::Source;
use super::output::Answers;
use super::sheet::{self, Sheet};
use super::{Failure, Status, Stop};
use crate::accent::Accent;
use crate::finding::error::{self, Error};
use crate::finding::measure::rules::Rules as Scoring;
use crate::finding::pattern::{self, Pattern, Tally};
use crate::finding::priority::Weights;
use crate::finding::prosody::rhythm::{self, Rhythm};
use crate::report::json::analyze as json;
use crate::report::text::analyze as drawn;

/// Runs the command.
pub(super) fn run(arguments: &Analyze) -> Result<Status, Stop> {
    let mut answers = Answers::new(&arguments.output);
    let accent = super::declared(&arguments.accent, &arguments.accent_options)?;
    let patterns = patterns(&arguments.patterns, arguments.own_patterns_only)?;
    let scoring = measures::rules(&arguments.measure_rules)?;
    let source = Source::of(&arguments.sheet);
    let manner = sheet::Manner {
        accent,
        alphabet: arguments.alphabet,
        form: arguments.input,
    };
    let mut progress = Progress::new(source.size());
    let sheet = sheet::read(&source, &manner, &mut |bytes| progress.reached(bytes))?;
    progress.looking();
    let weights = arguments.weights;
    let found = Found::in_sheet(&sheet, &manner.accent, &patterns, weights, &scoring);
    progress.done();
    match answers.format {
        Format::Json => answers.object(&found.json(&sheet, &manner.accent, &patterns))?,
        Format::Text => {
            let page = found.page(&sheet, &manner.accent, &patterns, arguments);
            answers.page(&drawn::page(&page, answers.columns))?;
        }
    }
    Ok(Status::Good)
}

/// What is found in a sheet. Further findings go here, and into the two forms below.
pub(super) struct Found {
    /// The errors of each item.
    errors: Vec<Vec<Error>>,
    /// What it shows of each pattern.
    tallies: Vec<Tally>,
    rhythm: Rhythm,
    /// The rules behind the errors, and what follows from them.
    rules: rules::Rules,
    /// How much is right, how near, how complex.
    measures: measures::Measures,
}

impl Found {
    pub(super) fn in_sheet(
        sheet: &Sheet,
        accent: &Accent,
        patterns: &[Pattern],
        weights: Weights,
        scoring: &Scoring,
    ) -> Self {
        let items = &sheet.items;
        Self {
            errors: items.iter().map(|it| error::errors(it, accent)).collect(),
            tallies: pattern::tally(patterns, items),
            rhythm: rhythm::rhythm(items),
            rules: rules::Rules::in_items(items, accent, patterns, weights),
            measures: measures::Measures::in_sheet(sheet, accent, scoring),
        }
    }

    /// Patterns by how often they show, then by share, then in their own order.
    fn ranked<'p>(&'p self, patterns: &'p [Pattern]) -> Vec<(&'p Pattern, &'p Tally)> {
        let mut ranked: Vec<(&Pattern, &Tally)> = patterns
            .iter()
            .zip(&self.tallies)
            .filter(|(_, tally)| tally.opportunities > 0)
            .collect();
        ranked.sort_by_key(|(_, tally)| {
            (std::cmp::Reverse(tally.occurrences), tally.opportunities)
        });
        ranked
    }

    /// The errors of each item.
    pub(super) fn errors(&self) -> &[Vec<Error>] {
        &self.errors
    }

    pub(super) fn json<'a>(
        &'a self,
        sheet: &'a Sheet,
        accent: &'a Accent,
        patterns: &'a [Pattern],
    ) -> json::Analysis<'a> {
        let items = &sheet.items;
        let errors = items.iter().zip(&self.errors);
        json::Analysis {
            looked_up: sheet.looked_up,
            left_out: sheet
                .left_out
                .iter()
                .map(|it| json::LeftOut {
                    row: it.row,
                    word: &it.word,
                    cause: it.cause.name(),
                    reason: &it.reason,
                })
                .collect(),
            errors: errors
                .flat_map(|(item, errors)| {
                    errors.iter().map(|error| json::Error::new(item, error))
                })
                .collect(),
            patterns: self
                .ranked(patterns)
                .into_iter()
                .map(|(pattern, tally)| json::Pattern::new(pattern, tally, items))
                .collect(),
            prosody: json::Rhythm::new(&self.rhythm, items),
            rules: self.rules.json(),
            measures: self.measures.json(),
            ..json::Analysis::new(accent.name(), items)
        }
    }

    fn page<'a>(
        &'a self,
        sheet: &'a Sheet,
        accent: &'a Accent,
        patterns: &'a [Pattern],
        arguments: &Analyze,
    ) -> drawn::Page<'a> {
        drawn::Page {
            accent: accent.called(),
            items: &sheet.items,
            looked_up: sheet.looked_up,
            left_out: sheet
                .left_out
                .iter()
                .map(|it| (it.row, it.word.as_str(), it.reason.as_str()))
                .collect(),
            errors: &self.errors,
            patterns: self.ranked(patterns),
            rhythm: &self.rhythm,
            rules: self.rules.page(arguments.whole_lists),
            measures: self.measures.page(arguments.measures),
            every_error: arguments.errors,
            whole_lists: arguments.whole_lists,
        }
    }
}

/// The shipped patterns and the coach's own, each file and folder read.
fn patterns(paths: &[PathBuf], own_only: bool) -> Result<Vec<Pattern>, Stop> {
    let mut all = if own_only {
        Vec::new()
    } else {
        pattern::shipped()
    };
    for path in paths {
        let mut files = vec![path.clone()];
        if path.is_dir() {
            files = listed(path)?;
        }
        for file in files {
            let text = Source::File(file.clone()).text()?;
            let name = file.display().to_string();
            let own = pattern::parse(&name, &text).map_err(|faults| {
                let first = faults.first();
                let more = faults.len().saturating_sub(1);
                let more = match more {
                    0 => String::new(),
                    1 => " (and 1 more fault)".to_owned(),
                    _ => format!(" (and {more} more faults)"),
                };
                Stop::Run(Failure::new(
                    first.map_or(name, |it| it.place.clone()),
                    first.map_or(String::new(), |it| it.reason.clone() + &more),
                    first.map_or(String::new(), |it| it.remedy.clone()),
                ))
            })?;
            all.extend(own);
        }
    }
    Ok(all)
}

/// The files of a folder, by name.
fn listed(folder: &Path) -> Result<Vec<PathBuf>, Stop> {
    let failure = |error: std::io::Error| {
        let reason = format!("the folder cannot be read: {error}");
        Stop::Run(Failure::new(
            folder.display().to_string(),
            reason,
            "look at its path and your rights",
        ))
    };
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(failure)? {
        let path = entry.map_err(failure)?.path();
        let hidden = path
            .file_name()
            .is_some_and(|name| name.to_string_lossy().starts_with('.'));
        if path.is_file() && !hidden {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

/// A bar on a terminal's standard error, once the work takes noticeably long.
struct Progress {
    began: Instant,
    size: Option<u64>,
    bar: Option<indicatif::ProgressBar>,
}

/// How long the work may take before a bar is drawn.
const PATIENCE: Duration = Duration::from_millis(400);

impl Progress {
    fn new(size: Option<u64>) -> Self {
        Self {
            began: Instant::now(),
            size,
            bar: None,
        }
    }

    /// So many bytes of the sheet are read.
    fn reached(&mut self, bytes: u64) {
        if self.bar.is_none() && self.began.elapsed() > PATIENCE {
            // The bar hides itself where standard error is no terminal.
            let bar = match self.size {
                Some(size) => indicatif::ProgressBar::new(size),
                None => indicatif::ProgressBar::new_spinner(),
            };
            bar.set_message("reading the sheet");
            let style =
                indicatif::ProgressStyle::with_template("{msg} {wide_bar} {percent} %");
            if let (Ok(style), Some(_)) = (style, self.size) {
                bar.set_style(style);
            }
            self.bar = Some(bar);
        }
        if let Some(bar) = &self.bar {
            bar.set_position(bytes);
        }
    }

    fn looking(&self) {
        if let Some(bar) = &self.bar {
            bar.set_message("looking for patterns");
        }
    }

    fn done(self) {
        if let Some(bar) = self.bar {
            bar.finish_and_clear();
        }
    }
}
