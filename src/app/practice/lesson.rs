//! A session: exercises asked one after the other, each answer marked at once.

use std::collections::VecDeque;
use std::io::{self, BufRead as _};
use std::time::{Duration, Instant};

use super::journal::Journal;
use super::sets::Loaded;
use crate::app::arguments::{Format, Practice};
use crate::app::desk::lesson::{Answering, Wanted, command};
use crate::app::output::Answers;
use crate::app::{Failure, Status, Stop, complain, sound};
use crate::feature::{Backness, Height, Manner, Place};
use crate::notation::key_map;
use crate::practice::{self, Exercise, Grade, Kind, Mark, Outcome};
use crate::report::json::practice as json;
use crate::report::text::line::visible;
use crate::report::text::practice as drawn;
use crate::report::text::push_hanging;

/// An exercise that is to be asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Taken {
    /// The number of its set.
    pub(super) set: usize,
    /// Its number in the set.
    pub(super) exercise: usize,
    /// The how-manieth time it is asked.
    pub(super) attempt: u32,
}

/// A session.
pub(super) struct Lesson {
    loaded: Vec<Loaded>,
    journal: Option<Journal>,
    queue: VecDeque<Taken>,
    /// How many have been asked.
    asked: usize,
    /// How many there are, with those that are asked again.
    total: usize,
    marks: Vec<Mark>,
    learner: String,
    answers: Answers,
    /// When it ends, after the answer at hand.
    until: Option<Instant>,
    /// Whether what went wrong is asked again at the end.
    again: bool,
    /// Whether a person answers.
    on_terminal: bool,
    /// The command that plays a recording.
    player: Vec<String>,
}

/// What comes after a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Next {
    /// The same exercise.
    Same,
    /// The next one.
    Other,
    /// Nothing.
    End,
}

const HELP: &str = "  :hint    what can be said without giving the answer away
  :key     show the key; the exercise counts as not answered
  :skip    leave it for the end
  :keys    the keys that type letters
  :play    what is to be heard, once more
  :names   what names there are, where a name is asked for
  :end     end the session, as Ctrl-D does
";

/// What a person is told before the first exercise, whatever is asked.
const FIRST: &str = "Type the answer, then Enter. :help lists what else can be typed, Ctrl-D \
     ends.";

/// What is told where transcriptions are asked for.
const LETTERS: &str = "Slashes or brackets may be left out. Capitals and signs type letters: \
     I ɪ, E ɛ, { æ, V ʌ, U ʊ, @ ə, T θ, D ð, S ʃ, Z ʒ, N ŋ, ' ˈ (:keys lists them all). Tab \
     turns a letter into its relatives (r, Tab: ɹ); _ and a key add a mark (t_h: tʰ), _ \
     twice ties two letters.";

/// What is told where names are asked for.
const NAMES: &str = "Where a name is asked for, :names lists what there is, and Tab completes \
     it.";

impl Lesson {
    /// A session of some exercises.
    pub(super) fn new(
        loaded: Vec<Loaded>,
        taken: Vec<Taken>,
        journal: Option<Journal>,
        arguments: &Practice,
    ) -> Self {
        let minutes = arguments.minutes;
        let length = minutes.map(|it| Duration::from_secs(u64::from(it) * 60));
        Self {
            loaded,
            journal,
            total: taken.len(),
            queue: taken.into(),
            asked: 0,
            marks: Vec::new(),
            learner: arguments.learner.clone().unwrap_or_default(),
            answers: Answers::new(&arguments.output),
            until: length.and_then(|length| Instant::now().checked_add(length)),
            again: false,
            on_terminal: false,
            player: arguments.player.as_deref().map(command).unwrap_or_default(),
        }
    }

    /// Asks on the terminal.
    pub(super) fn on_terminal(&mut self, mut editor: Answering) -> Result<Status, Stop> {
        self.on_terminal = true;
        if self.player.is_empty() {
            self.player = std::mem::take(&mut editor.player);
        }
        self.again = true;
        let mut page = String::new();
        let plain = anstyle::Style::new();
        let columns = self.answers.columns;
        if self.is_for_a_person() {
            let transcribed = |it: &Taken| {
                let exercise = self.at(*it).map(|(exercise, _)| exercise);
                exercise.is_some_and(|it| it.kind.is_transcription())
            };
            let (some, all) = (
                self.queue.iter().any(transcribed),
                self.queue.iter().all(transcribed),
            );
            let mut told = FIRST.to_owned();
            for (words, wanted) in [(LETTERS, some), (NAMES, !all)] {
                if wanted {
                    told.push(' ');
                    told.push_str(words);
                }
            }
            push_hanging(&mut page, 0, "", plain, 0, &told, columns);
            self.answers.page(&page)?;
        }
        while let Some(taken) = self.next() {
            self.show(taken)?;
            if self.is_heard(taken) {
                self.play(taken)?;
            }
            while let Some((exercise, accent)) = self.at(taken) {
                let wanted = wanted(exercise);
                let accent = accent.clone();
                let Some(line) = editor.ask(&wanted, &accent)? else {
                    return self.end();
                };
                match self.take(taken, &line)? {
                    Next::Same => {}
                    Next::Other => break,
                    Next::End => return self.end(),
                }
            }
        }
        self.end()
    }

    /// Reads the answers from standard input, one a line.
    pub(super) fn script(&mut self) -> Result<Status, Stop> {
        let mut lines = io::stdin().lock();
        let mut bytes = Vec::new();
        while let Some(taken) = self.next() {
            let mut shown = false;
            loop {
                bytes.clear();
                let read = lines.read_until(b'\n', &mut bytes).map_err(|error| {
                    let reason = format!("reading failed: {error}");
                    let remedy = "look where it comes from";
                    Stop::Run(Failure::new("standard input", reason, remedy))
                })?;
                if read == 0 {
                    return self.end();
                }
                let line = String::from_utf8_lossy(&bytes);
                let line = line.trim_end_matches(['\n', '\r']);
                // What is asked is shown with the answer, so that none stands without one.
                if !shown {
                    self.show(taken)?;
                    shown = true;
                }
                self.echo(line)?;
                match self.take(taken, line.trim_start_matches('\u{FEFF}'))? {
                    Next::Same => {}
                    Next::Other => break,
                    Next::End => return self.end(),
                }
            }
        }
        self.end()
    }

    const fn is_for_a_person(&self) -> bool {
        matches!(self.answers.format, Format::Text)
    }

    /// The next exercise, while there is time.
    fn next(&mut self) -> Option<Taken> {
        if self.until.is_some_and(|until| Instant::now() >= until) {
            return None;
        }
        self.queue.pop_front()
    }

    fn at(&self, taken: Taken) -> Option<(&Exercise, &crate::accent::Accent)> {
        let loaded = self.loaded.get(taken.set)?;
        let exercise = loaded.set.exercises.get(taken.exercise)?;
        Some((exercise, loaded.grader.accent()))
    }

    fn is_heard(&self, taken: Taken) -> bool {
        let exercise = self.at(taken).map(|(exercise, _)| exercise);
        exercise.is_some_and(|it| it.kind == Kind::Listen)
    }

    /// Plays what is to be heard; a synthetic voice is called one.
    fn play(&mut self, taken: Taken) -> Result<(), Stop> {
        let Some(loaded) = self.loaded.get(taken.set) else {
            return Ok(());
        };
        let Some(exercise) = loaded.set.exercises.get(taken.exercise) else {
            return Ok(());
        };
        let (played, words) = match exercise.given.strip_prefix("say:") {
            Some(word) => (
                sound::say(word.trim(), loaded.grader.accent().name()),
                "a synthetic voice speaks, not a person; :play says it again",
            ),
            None => (
                sound::play(
                    &self.player,
                    &loaded.folder.join(&exercise.given),
                    &format!("recording {}", visible(&exercise.given)),
                    "name one: apical practice --player \"aplay -q\", or :player at the desk",
                ),
                "playing; :play plays it again",
            ),
        };
        match played {
            Ok(()) => self.answers.page(&format!("  {words}\n")),
            Err(failure) => {
                complain(&failure);
                Ok(())
            }
        }
    }

    fn show(&mut self, taken: Taken) -> Result<(), Stop> {
        if !self.is_for_a_person() {
            return Ok(());
        }
        let Some(loaded) = self.loaded.get(taken.set) else {
            return Ok(());
        };
        let Some(exercise) = loaded.set.exercises.get(taken.exercise) else {
            return Ok(());
        };
        let number = (self.asked + 1, self.total);
        let columns = self.answers.columns;
        let page = drawn::task(number, &loaded.set, exercise, columns);
        self.answers.page(&page)
    }

    /// Shows a line of a script as if it had been typed.
    fn echo(&mut self, line: &str) -> Result<(), Stop> {
        if self.is_for_a_person() {
            self.answers.page(&format!("answer> {}\n", visible(line)))?;
        }
        Ok(())
    }

    /// Takes a line: an answer, or a command after a colon.
    fn take(&mut self, taken: Taken, line: &str) -> Result<Next, Stop> {
        let line = line.trim();
        if let Some(command) = line.strip_prefix(':') {
            return self.obey(taken, command.trim());
        }
        if line.is_empty() && self.on_terminal {
            self.answers.page(
                "  nothing typed: :skip leaves it for the end, :key shows the key\n",
            )?;
            return Ok(Next::Same);
        }
        self.mark(taken, line)?;
        Ok(Next::Other)
    }

    fn mark(&mut self, taken: Taken, answer: &str) -> Result<(), Stop> {
        let Some(loaded) = self.loaded.get_mut(taken.set) else {
            return Ok(());
        };
        let Some(exercise) = loaded.set.exercises.get(taken.exercise) else {
            return Ok(());
        };
        let grade = loaded.grader.grade(exercise, answer);
        let attempt = taken.attempt;
        let name = &loaded.set.name;
        let mark = Mark::new(name, exercise, &self.learner, attempt, &grade);
        match self.answers.format {
            Format::Json => self.answers.object(&json::Mark::from(&mark))?,
            Format::Text => {
                let page = drawn::marked(exercise, &grade, self.answers.columns);
                self.answers.page(&page)?;
            }
        }
        if let Some(journal) = &mut self.journal {
            if let Err(failure) = journal.add(&mark) {
                complain(&failure);
            }
        }
        self.asked += 1;
        self.ask_again(taken, &grade);
        self.marks.push(mark);
        Ok(())
    }

    /// Puts an exercise that went wrong at the end, once.
    fn ask_again(&mut self, taken: Taken, grade: &Grade) {
        let wrong = matches!(
            grade.outcome,
            Outcome::Wrong | Outcome::Unread | Outcome::Blank
        );
        if self.again && wrong && taken.attempt == 1 {
            self.total += 1;
            self.queue.push_back(Taken {
                attempt: taken.attempt + 1,
                ..taken
            });
        }
    }

    fn obey(&mut self, taken: Taken, command: &str) -> Result<Next, Stop> {
        let columns = self.answers.columns;
        let Some((exercise, _)) = self.at(taken) else {
            return Ok(Next::Other);
        };
        let page = match command {
            "play" if self.on_terminal => {
                if self.is_heard(taken) {
                    self.play(taken)?;
                    return Ok(Next::Same);
                }
                "  there is nothing to hear here\n".to_owned()
            }
            "end" | "quit" => return Ok(Next::End),
            "key" => {
                self.mark(taken, "")?;
                return Ok(Next::Other);
            }
            "skip" => {
                self.queue.push_back(taken);
                return Ok(if self.queue.len() == 1 {
                    self.answers
                        .page("  this is the last one: :key shows the key\n")?;
                    self.queue.pop_back();
                    Next::Same
                } else {
                    Next::Other
                });
            }
            "hint" => {
                let mut page = String::new();
                let plain = anstyle::Style::new();
                push_hanging(&mut page, 2, "", plain, 0, &hint(exercise), columns);
                page
            }
            "keys" => {
                let mut page = String::new();
                let keys: Vec<String> = key_map::keys()
                    .map(|(key, text, mark)| {
                        let circle = if mark { "◌" } else { "" };
                        format!("{key} {circle}{text}")
                    })
                    .collect();
                let plain = anstyle::Style::new();
                push_hanging(&mut page, 2, "", plain, 0, &keys.join("   "), columns);
                page
            }
            "names" => {
                let mut page = String::new();
                let names = offers(exercise.kind).join(", ");
                let names = if names.is_empty() {
                    "no name is asked for".to_owned()
                } else {
                    names
                };
                let plain = anstyle::Style::new();
                push_hanging(&mut page, 2, "", plain, 0, &names, columns);
                page
            }
            "help" | "" => HELP.to_owned(),
            other => format!("  there is no :{other} here\n{HELP}"),
        };
        if self.is_for_a_person() {
            self.answers.page(&page)?;
        }
        Ok(Next::Same)
    }

    fn end(&mut self) -> Result<Status, Stop> {
        if self.is_for_a_person() {
            let mut page = drawn::summary(&self.marks, self.answers.columns);
            let lost = self.marks.iter().any(|mark| mark.credit < practice::FULL);
            if self.on_terminal && self.journal.is_some() && lost {
                page.push_str("`apical confusions` shows what is taken for what.\n");
            }
            self.answers.page(&page)?;
        }
        Ok(Status::Good)
    }
}

/// What kind of answer an exercise wants.
fn wanted(exercise: &Exercise) -> Wanted {
    Wanted {
        transcription: exercise.kind.is_transcription(),
        nameless: matches!(exercise.kind, Kind::Symbol | Kind::Posture),
        offers: offers(exercise.kind),
    }
}

/// The names that an exercise may ask for.
fn offers(kind: Kind) -> Vec<String> {
    let mut offers: Vec<String> = Vec::new();
    match kind {
        Kind::Pattern => {
            offers.extend(practice::pattern_names().map(|(short, _)| short.to_owned()));
        }
        Kind::Features => {
            let mut add = |name: &str| offers.push(name.to_owned());
            add("voiced");
            add("voiceless");
            for it in Place::ALL {
                add(it.name());
            }
            add("lateral");
            for it in Manner::ALL {
                add(it.name());
            }
            for it in Height::ALL {
                add(it.name());
            }
            for it in Backness::ALL {
                add(it.name());
            }
            add("rounded");
            add("unrounded");
            add("r-coloured");
        }
        _ => {}
    }
    offers
}

/// What can be said without giving the answer away: what the exercise teaches, and how many
/// sounds there are.
fn hint(exercise: &Exercise) -> String {
    let sounds = || {
        let key = crate::notation::Transcription::parse(&exercise.key);
        key.segments().count()
    };
    match exercise.kind {
        Kind::Broad | Kind::Listen => {
            let sounds = sounds();
            format!("{sounds} letters in the key; {}", exercise.point)
        }
        Kind::Features | Kind::Pattern => ":names lists what can be said".to_owned(),
        Kind::Symbol | Kind::Posture => {
            "start from a plain letter and turn it with Tab".to_owned()
        }
        _ => exercise.point.clone(),
    }
}
