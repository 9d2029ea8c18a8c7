//! Sets of exercises as a trainer writes them.

use core::fmt::{self, Write as _};

use crate::articulation;
use crate::feature::Class;
use crate::notation::Transcription;

/// What is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// A word, to be written broadly.
    Broad,
    /// A broad transcription, to be written narrowly by the accent's allophones.
    Narrow,
    /// A symbol, to be named by its features.
    Features,
    /// Features, to be written as a symbol.
    Symbol,
    /// A posture of the mouth, to be written as a symbol.
    Posture,
    /// A transcription with a fault, to be written without it.
    Mend,
    /// A transcription without stress, to be written with it.
    Stress,
    /// A target and a production, whose error pattern is to be named.
    Pattern,
    /// A recording, or a word that is spoken, to be transcribed.
    Listen,
    /// A production that is described, to be written with the marks it takes.
    Clinical,
}

impl Kind {
    /// Every kind, easiest first.
    pub const ALL: [Self; 10] = [
        Self::Features,
        Self::Symbol,
        Self::Posture,
        Self::Broad,
        Self::Stress,
        Self::Mend,
        Self::Narrow,
        Self::Pattern,
        Self::Clinical,
        Self::Listen,
    ];

    /// Its name, as a set's table writes it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Broad => "broad",
            Self::Narrow => "narrow",
            Self::Features => "features",
            Self::Symbol => "symbol",
            Self::Posture => "posture",
            Self::Mend => "mend",
            Self::Stress => "stress",
            Self::Pattern => "pattern",
            Self::Listen => "listen",
            Self::Clinical => "clinical",
        }
    }

    /// The kind of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.name() == name)
    }

    /// What a trainee is told to do, whatever the exercise.
    #[must_use]
    pub const fn task(self) -> &'static str {
        match self {
            Self::Broad => "Write the word broadly, in /…/",
            Self::Narrow => "Write it narrowly, in […]",
            Self::Features => {
                "Name the sound: voicing, place, manner, or height, backness, rounding"
            }
            Self::Symbol => "Write the symbol",
            Self::Posture => "Write the symbol of the sound that is made so",
            Self::Mend => "One thing is wrong for this word: write it as it should be",
            Self::Stress => "Write it with its stress marks",
            Self::Pattern => "Name the error pattern",
            Self::Listen => "Write what you hear",
            Self::Clinical => "Write what was said, in […]",
        }
    }

    /// Whether the answer is a transcription.
    #[must_use]
    pub const fn is_transcription(self) -> bool {
        !matches!(self, Self::Features | Self::Pattern)
    }
}

/// One exercise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Exercise {
    /// Its name within the set.
    pub id: String,
    /// What is asked for.
    pub kind: Kind,
    /// The word it is about; empty where it is about a sound alone.
    pub word: String,
    /// What is given beside the word.
    pub given: String,
    /// The answer.
    pub key: String,
    /// Other answers that are right.
    pub also: Vec<String>,
    /// The allophones that a narrow answer is asked for, by the names of the accent's
    /// rules; without any, all that the key shows.
    pub rules: Vec<String>,
    /// What it is there to teach.
    pub point: String,
    /// The line of the set's file, from 1.
    pub line: usize,
}

impl Exercise {
    /// The key, then the other right answers.
    pub fn answers(&self) -> impl Iterator<Item = &str> {
        core::iter::once(self.key.as_str()).chain(self.also.iter().map(String::as_str))
    }

    /// What is asked of the trainee, in a few words.
    #[must_use]
    pub fn task(&self) -> String {
        let vowel = || {
            let sound = Transcription::parse(&self.given);
            let first = sound.segments().next();
            first.is_some_and(|it| articulation::bundle(&it).class == Class::Vowel)
        };
        match self.kind {
            Kind::Features if vowel() => {
                "Name the vowel: height, backness, rounding".to_owned()
            }
            Kind::Features => "Name the consonant: voicing, place, manner".to_owned(),
            Kind::Narrow if !self.rules.is_empty() => {
                format!("{}, showing {}", self.kind.task(), self.rules.join(", "))
            }
            kind => kind.task().to_owned(),
        }
    }

    /// What is shown to the trainee, on one line.
    #[must_use]
    pub fn prompt(&self) -> String {
        let spoken = self.kind == Kind::Listen;
        match (self.word.as_str(), self.given.as_str()) {
            (_, given) if spoken => given.strip_prefix("say:").map_or_else(
                || format!("recording {given}"),
                |_| "a spoken word".to_owned(),
            ),
            ("", given) => given.to_owned(),
            (word, "") => word.to_owned(),
            (word, given) => format!("{word}: {given}"),
        }
    }
}

/// A set of exercises on one matter.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Set {
    /// Its name: of its file, without the ending.
    pub name: String,
    /// What it is called.
    pub title: String,
    /// What it is for, in a sentence.
    pub about: String,
    /// The accent it goes by.
    pub accent: String,
    /// What is declared about that accent.
    pub options: Vec<String>,
    /// The exercises in order.
    pub exercises: Vec<Exercise>,
}

impl Set {
    /// The set as its file is written: [`Set::read`] gives it back.
    #[must_use]
    pub fn written(&self) -> String {
        let mut text = String::new();
        let options = self.options.join("; ");
        for (field, value) in [
            ("title", &self.title),
            ("about", &self.about),
            ("accent", &self.accent),
            ("options", &options),
        ] {
            if !value.is_empty() {
                let _ = writeln!(text, "{field}: {value}");
            }
        }
        text.push('\n');
        text.push_str(&COLUMNS.join("\t"));
        text.push('\n');
        for exercise in &self.exercises {
            let (also, rules) = (exercise.also.join(" | "), exercise.rules.join("; "));
            let cells = COLUMNS.iter().map(|column| match *column {
                "id" => exercise.id.as_str(),
                "kind" => exercise.kind.name(),
                "word" => &exercise.word,
                "given" => &exercise.given,
                "key" => &exercise.key,
                "also" => &also,
                "rules" => &rules,
                "point" => &exercise.point,
                _ => "",
            });
            text.push_str(&cells.collect::<Vec<_>>().join("\t"));
            text.push('\n');
        }
        text
    }

    /// The kinds of its exercises, each once, easiest first.
    #[must_use]
    pub fn kinds(&self) -> Vec<Kind> {
        let mut kinds = Kind::ALL.to_vec();
        kinds.retain(|kind| self.exercises.iter().any(|it| it.kind == *kind));
        kinds
    }
}

/// What is wrong with a set, where, and what to do about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The line of the file, from 1.
    pub line: usize,
    /// What is wrong.
    pub reason: String,
    /// What to do about it.
    pub remedy: String,
}

impl Fault {
    /// A fault on a line.
    pub(super) fn new(
        line: usize,
        reason: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        let (reason, remedy) = (reason.into(), remedy.into());
        Self {
            line,
            reason,
            remedy,
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            formatter,
            "line {}: {}; {}",
            self.line, self.reason, self.remedy
        )
    }
}

/// The columns that a set's table may have.
const COLUMNS: [&str; 8] = [
    "id", "kind", "word", "given", "key", "also", "rules", "point",
];
/// The columns that it must have.
const NEEDED: [&str; 4] = ["id", "kind", "key", "point"];
/// The fields of the heading.
const FIELDS: [&str; 5] = ["title", "about", "accent", "options", "source"];

impl Set {
    /// Reads a set: `field: value` lines (title, about, accent, options, source), an empty
    /// line, then a table whose cells are parted by tabs and whose first line names the
    /// columns (id, kind, word, given, key, also, rules, point; the second half may be
    /// absent where they are empty). In `also` ` | ` stands between answers, in `rules` and
    /// `options` `; `. Lines that begin with `#` are left out.
    ///
    /// Only the form is looked at: what the keys are worth is
    /// [`Grader::faults`](super::Grader::faults).
    ///
    /// # Errors
    ///
    /// Every fault, in the order of the lines.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::practice::Set;
    ///
    /// let text = "title: One\naccent: en-US\n\nid\tkind\tword\tkey\tpoint\n1\tbroad\tsee\t/si/\ti\n";
    /// let set = Set::read("one", text).unwrap();
    /// assert_eq!(set.exercises[0].key, "/si/");
    /// let faults = Set::read("one", &text.replace("broad", "wide")).unwrap_err();
    /// assert_eq!(faults[0].line, 5);
    /// ```
    pub fn read(name: &str, text: &str) -> Result<Self, Vec<Fault>> {
        let mut set = Self {
            name: name.to_owned(),
            ..Self::default()
        };
        let mut faults = Vec::new();
        let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
        let mut lines = (1..).zip(text.lines());
        let mut last = 1;
        for (number, line) in lines.by_ref() {
            last = number;
            let line = line.trim();
            if line.is_empty() {
                break;
            }
            if !line.starts_with('#') {
                set.heading(number, line, &mut faults);
            }
        }
        if set.title.is_empty() {
            faults.push(Fault::new(
                1,
                "the set has no title",
                "begin with a line `title: …`",
            ));
        }
        if set.accent.is_empty() {
            let remedy = "add a line `accent: en-US` to the heading";
            faults.push(Fault::new(1, "the set names no accent", remedy));
        }
        let mut columns: Option<Vec<&str>> = None;
        for (number, line) in lines {
            last = number;
            if line.trim().is_empty() || line.starts_with('#') {
                continue;
            }
            let cells: Vec<&str> = line.split('\t').map(str::trim).collect();
            match &columns {
                None => {
                    name_faults(number, &cells, &mut faults);
                    columns = Some(cells);
                }
                Some(columns) => set.row(number, columns, &cells, &mut faults),
            }
        }
        if set.exercises.is_empty() && faults.is_empty() {
            let remedy = "after the heading and an empty line comes the table";
            faults.push(Fault::new(last, "the set has no exercises", remedy));
        }
        if faults.is_empty() {
            Ok(set)
        } else {
            faults.sort_by_key(|fault| fault.line);
            Err(faults)
        }
    }

    fn heading(&mut self, number: usize, line: &str, faults: &mut Vec<Fault>) {
        let Some((field, value)) = line.split_once(':') else {
            let remedy = "write `field: value`; an empty line ends the heading";
            faults.push(Fault::new(number, "this is no line of a heading", remedy));
            return;
        };
        let value = value.trim();
        match field.trim() {
            "title" => value.clone_into(&mut self.title),
            "about" => value.clone_into(&mut self.about),
            "accent" => value.clone_into(&mut self.accent),
            "options" => self.options = parts(value, ";"),
            "source" => {}
            other => faults.push(Fault::new(
                number,
                format!("a heading has no field “{other}”"),
                format!("the fields there are: {}", FIELDS.join(", ")),
            )),
        }
    }

    fn row(
        &mut self,
        line: usize,
        columns: &[&str],
        cells: &[&str],
        faults: &mut Vec<Fault>,
    ) {
        if cells.len() > columns.len() {
            let (has, named) = (cells.len(), columns.len());
            faults.push(Fault::new(
                line,
                format!("the row has {has} cells, and {named} columns are named"),
                "take the tabs out that are too many",
            ));
            return;
        }
        let cell = |name: &str| {
            let at = columns.iter().position(|column| *column == name);
            at.and_then(|at| cells.get(at)).copied().unwrap_or_default()
        };
        let before = faults.len();
        for needed in NEEDED {
            if cell(needed).is_empty() && columns.contains(&needed) {
                let reason = format!("`{needed}` is empty");
                faults.push(Fault::new(line, reason, "every exercise needs it"));
            }
        }
        let kind = Kind::from_name(cell("kind"));
        if kind.is_none() && !cell("kind").is_empty() {
            let known: Vec<&str> = Kind::ALL.iter().map(|kind| kind.name()).collect();
            faults.push(Fault::new(
                line,
                format!("“{}” is no kind of exercise", cell("kind")),
                format!("the kinds there are: {}", known.join(", ")),
            ));
        }
        if let Some(first) = self.exercises.iter().find(|it| it.id == cell("id")) {
            faults.push(Fault::new(
                line,
                format!(
                    "the id “{}” stands on line {} already",
                    cell("id"),
                    first.line
                ),
                "give each exercise an id of its own",
            ));
        }
        let exercise = Exercise {
            id: cell("id").to_owned(),
            kind: kind.unwrap_or(Kind::Broad),
            word: cell("word").to_owned(),
            given: cell("given").to_owned(),
            key: cell("key").to_owned(),
            also: parts(cell("also"), " | "),
            rules: parts(cell("rules"), ";"),
            point: cell("point").to_owned(),
            line,
        };
        if let (Some(kind), Some(missing)) = (kind, missing(&exercise)) {
            faults.push(Fault::new(
                line,
                format!("an exercise of the kind {} needs `{missing}`", kind.name()),
                "fill in the cell",
            ));
        }
        if faults.len() == before {
            self.exercises.push(exercise);
        }
    }
}

/// The cell that an exercise of its kind cannot do without, if it is empty.
fn missing(exercise: &Exercise) -> Option<&'static str> {
    let given = exercise.given.is_empty().then_some("given");
    let word = exercise.word.is_empty().then_some("word");
    match exercise.kind {
        Kind::Broad => word,
        Kind::Mend | Kind::Stress => word.or(given),
        Kind::Narrow
        | Kind::Features
        | Kind::Symbol
        | Kind::Posture
        | Kind::Pattern
        | Kind::Listen
        | Kind::Clinical => given,
    }
}

fn name_faults(number: usize, cells: &[&str], faults: &mut Vec<Fault>) {
    for needed in NEEDED.iter().filter(|needed| !cells.contains(needed)) {
        let reason = format!("the table has no column `{needed}`");
        let remedy = "its first line names the columns, parted by tabs";
        faults.push(Fault::new(number, reason, remedy));
    }
    for cell in cells.iter().filter(|cell| !COLUMNS.contains(cell)) {
        faults.push(Fault::new(
            number,
            format!("a table of exercises has no column “{cell}”"),
            format!("the columns there are: {}", COLUMNS.join(", ")),
        ));
    }
}

fn parts(text: &str, between: &str) -> Vec<String> {
    let parts = text.split(between).map(str::trim);
    parts
        .filter(|part| !part.is_empty())
        .map(str::to_owned)
        .collect()
}
