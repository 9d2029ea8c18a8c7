//! What the commands and keys of a session do.

use std::path::Path;

use super::items::Field;
use super::live::Leave;
use super::session::{Pass, Session, Trial};
use super::sheet::Sheet;
use super::words::{Word, words};
use super::{Desk, Next, columns, say, tell};
use crate::app::{Failure, Status, Stop, sound};
use crate::notation::Transcription;
use crate::report::text::line::{clipped, visible};

/// The failure of a command that needs a sheet.
fn no_sheet(name: &str) -> Stop {
    Stop::Run(Failure::new(
        name,
        "no sheet is open",
        "open one first, as in: sheet first_session.tsv",
    ))
}

impl Desk {
    /// Opens a sheet.
    pub(super) fn open_sheet(&mut self, path: &str) -> Result<(), Stop> {
        if path.is_empty() {
            return Err(Stop::Run(Failure::new(
                "sheet",
                "no file is named",
                "name a table with the columns word and target, as in: sheet words.tsv",
            )));
        }
        let sheet = Sheet::open(Path::new(path))?;
        let session = Session::new(Box::new(sheet));
        if session.len() == 0 {
            say("the sheet has no rows yet; add WORD makes one\n")?;
        }
        tell(&format!(
            "{}: {} rows, {} open. Type what you hear; = same, - no response, < back, > skip, \
             + again; commands begin with a colon, :help lists them.",
            visible(&session.title()),
            session.len(),
            session.open_count()
        ))?;
        self.target = None;
        self.session = Some(session);
        self.begin_item();
        Ok(())
    }

    /// Lays ready what stands at the item at hand.
    fn begin_item(&mut self) {
        if let Some(session) = &mut self.session {
            let at = session.at;
            self.initial = session.go(at);
        }
    }

    /// Takes what was heard for the item at hand.
    pub(super) fn take_heard(&mut self, text: &str) -> Result<Next, Stop> {
        let read = Transcription::parse(text);
        if !read.is_valid() {
            // On a terminal Enter does not let it through; in a script it is said and left.
            return self.run("check", &[text]);
        }
        let Some(session) = &mut self.session else {
            return Err(no_sheet("heard"));
        };
        if session.pass == Pass::Tally {
            return Err(Stop::Run(Failure::new(
                visible(text),
                "trials are being counted, not transcribed",
                "1 or :right, 2 or :cued, 3 or :wrong; :tally goes back to transcribing",
            )));
        }
        if session.len() == 0 {
            return Err(Stop::Run(Failure::new(
                "the sheet",
                "there is no row to write this in",
                "add one first, as in: :add think",
            )));
        }
        let target = session.target();
        if let Err(failure) = session.take(text) {
            text.clone_into(&mut self.initial);
            return Err(Stop::Run(failure));
        }
        let blind = session.pass == Pass::Blind;
        // In a blind pass a comparison would give the first one away to nobody; it helps.
        let next = match target {
            Some(target) if !blind => self.run("compare", &[&target, text])?,
            _ => Next::Line(Status::Good),
        };
        self.advance()?;
        Ok(next)
    }

    fn advance(&mut self) -> Result<(), Stop> {
        let Some(session) = &mut self.session else {
            return Ok(());
        };
        if let Some(initial) = session.advance() {
            self.initial = initial;
            return Ok(());
        }
        let all = session.len();
        match session.pass {
            Pass::Blind => {
                let page = session.agreement(self.accent.as_ref());
                session.begin(Pass::First);
                say(&format!("the second pass is done\n{page}"))
            }
            _ => tell(&format!(
                "every row is done ({all} of {all}); :close leaves the sheet, :go ROW goes back"
            )),
        }?;
        self.begin_item();
        Ok(())
    }

    /// Does what a key that left the line stands for.
    pub(super) fn leave(&mut self, leave: Leave, text: &str) -> Result<Next, Stop> {
        let Some(session) = &mut self.session else {
            return Ok(Next::Line(Status::Good));
        };
        session.keep_draft(text);
        let name = match leave {
            Leave::Same => "same",
            Leave::Back => "back",
            Leave::Skip => "skip",
            Leave::NoResponse => "silent",
            Leave::Again => "again",
            Leave::Play => "play",
            Leave::Count(Trial::Right) => "right",
            Leave::Count(Trial::Cued) => "cued",
            Leave::Count(Trial::Wrong) => "wrong",
            Leave::Uncount => "undo",
        };
        if leave == Leave::Play {
            text.clone_into(&mut self.initial);
        }
        self.going(name, &[], "")
    }

    /// A command of a session.
    pub(super) fn going(
        &mut self,
        name: &str,
        arguments: &[Word],
        tail: &str,
    ) -> Result<Next, Stop> {
        let first = arguments
            .first()
            .map(|word| word.text.as_str())
            .unwrap_or_default();
        let Some(session) = &mut self.session else {
            return Err(no_sheet(name));
        };
        let here = session.at;
        match name {
            "same" => {
                let Some(target) = session.target() else {
                    return Err(Stop::Run(Failure::new(
                        session.name_of(here),
                        "there is no target to be the same as",
                        "type what was heard, or give the row one: :edit target TEXT",
                    )));
                };
                session.take(&target)?;
                say(&format!(
                    "{}: {target}, as the target\n",
                    session.name_of(here)
                ))?;
                self.advance()?;
            }
            "silent" => {
                session.take_silence()?;
                say(&format!("{}: no response\n", session.name_of(here)))?;
                self.advance()?;
            }
            "back" => self.initial = session.go(here.saturating_sub(1)),
            "skip" => {
                if here + 1 < session.len() {
                    self.initial = session.go(here + 1);
                } else {
                    say("this is the last row\n")?;
                    self.initial = session.go(here);
                }
            }
            "again" => {
                if !session.again() {
                    say("no row has been written yet\n")?;
                }
            }
            "go" => {
                let Some(at) = session.find(tail) else {
                    return Err(Stop::Run(Failure::new(
                        format!("go {tail}"),
                        "no row has this number or word",
                        format!(
                            "give a number from 1 to {}, or a word; :rows lists them",
                            session.len()
                        ),
                    )));
                };
                self.initial = session.go(at);
            }
            "open" => match session.next_open(0) {
                Some(at) => self.initial = session.go(at),
                None => say("no row is open\n")?,
            },
            "cue" => {
                session.cue = if first == "none" {
                    String::new()
                } else {
                    tail.to_owned()
                };
                let cue = if session.cue.is_empty() {
                    "none"
                } else {
                    &session.cue
                };
                say(&format!("cue from now on: {cue}\n"))?;
                self.begin_item();
            }
            "unsure" => {
                let at = session.remarked();
                session.put(at, Field::Response, "unsure")?;
                say(&format!("{}: unsure\n", session.name_of(at)))?;
                self.begin_item();
            }
            "note" => {
                let at = session.remarked();
                session.put(at, Field::Note, tail)?;
                say(&format!(
                    "note on {}: {}\n",
                    session.name_of(at),
                    visible(tail)
                ))?;
                self.begin_item();
            }
            "edit" => self.edit(first, arguments, tail)?,
            "add" => {
                let target = match arguments.get(1) {
                    Some(target) => target.text.clone(),
                    None => self.look_up(first).unwrap_or_default(),
                };
                let Some(session) = &mut self.session else {
                    return Err(no_sheet(name));
                };
                session.add(first, &target)?;
                let target = if target.is_empty() {
                    "no target"
                } else {
                    &target
                };
                say(&format!(
                    "{} added, {target}\n",
                    session.name_of(session.at)
                ))?;
                self.begin_item();
            }
            "remove" => {
                let gone = session.name_of(here);
                session.remove()?;
                say(&format!("{gone} taken out\n"))?;
                self.begin_item();
            }
            "rows" => {
                let page = session.rows();
                let wide = columns();
                let rows: Vec<String> =
                    page.lines().map(|row| clipped(row, wide)).collect();
                say(&format!("{}\n", rows.join("\n")))?;
                self.begin_item();
            }
            "blind" => {
                session.begin(Pass::Blind);
                say("second pass: the first is hidden until this one is done\n")?;
                self.begin_item();
            }
            "tally" => {
                if session.pass == Pass::Tally {
                    let counts = session.counts(None);
                    session.begin(Pass::First);
                    say(&format!("all rows: {counts}\n"))?;
                } else {
                    let at = session.at;
                    session.begin(Pass::Tally);
                    session.at = at;
                    tell(
                        "1 right, 2 right with a cue, 3 wrong, 0 takes one back; < > other rows; :tally ends",
                    )?;
                }
                self.begin_item();
            }
            "right" | "cued" | "wrong" | "undo" => self.count(name)?,
            "play" => self.play()?,
            "close" => {
                let open = session.open_count();
                say(&format!(
                    "{} closed, {open} rows open\n",
                    visible(&session.title())
                ))?;
                self.session = None;
                self.initial.clear();
            }
            _ => return Err(no_sheet(name)),
        }
        Ok(Next::Line(Status::Good))
    }

    fn count(&mut self, name: &str) -> Result<(), Stop> {
        let Some(session) = &mut self.session else {
            return Err(no_sheet(name));
        };
        match Trial::ALL.into_iter().find(|trial| trial.name() == name) {
            Some(trial) => session.count(trial)?,
            None => {
                if !session.uncount()? {
                    say("nothing to take back\n")?;
                }
            }
        }
        if !self.on_terminal {
            say(&format!(
                "{}: {}\n",
                session.name_of(session.at),
                session.counts(Some(session.at))
            ))?;
        }
        Ok(())
    }

    /// Writes into a column of the item at hand.
    fn edit(&mut self, column: &str, arguments: &[Word], tail: &str) -> Result<(), Stop> {
        let Some(session) = &mut self.session else {
            return Err(no_sheet("edit"));
        };
        let field = Field::of(column);
        let known = !matches!(field, Field::Other(_)) || session.has(&field);
        if column.is_empty() || !known {
            return Err(Stop::Run(Failure::new(
                format!("edit {column}"),
                "the sheet has no such column",
                "name word, target, production or another column of the sheet, then the text",
            )));
        }
        let from = arguments.get(1).map_or(tail.len(), |word| {
            let first = arguments.first().map_or(0, |first| first.span.start);
            word.span.start - first
        });
        let text = tail.get(from..).unwrap_or_default();
        let transcribed = matches!(
            field,
            Field::Target | Field::Production | Field::SecondAttempt | Field::SecondPass
        );
        let read = Transcription::parse(text);
        if transcribed && !text.is_empty() && !read.is_valid() {
            let fault = read.diagnostics().first();
            return Err(Stop::Run(Failure::new(
                format!("edit {column} {text}"),
                fault.map_or_else(String::new, |fault| fault.message(text)),
                fault.and_then(|fault| fault.help(text)).unwrap_or_default(),
            )));
        }
        session.put(session.at, field, text)?;
        say(&format!(
            "{}: {column} {}\n",
            session.name_of(session.at),
            visible(text)
        ))?;
        self.begin_item();
        Ok(())
    }

    /// Plays the recording of the item at hand, and does not wait for its end.
    fn play(&mut self) -> Result<(), Stop> {
        let Some(session) = &self.session else {
            return Err(no_sheet("play"));
        };
        let recording = session.get(&Field::Recording);
        let place = session.name_of(session.at);
        if recording.is_empty() {
            let reason = "the column recording names no file for this row";
            let remedy = "write one: :edit recording FILE";
            return Err(Stop::Run(Failure::new(place, reason, remedy)));
        }
        let player = words(&self.player, |_| true);
        let player: Vec<String> = player.into_iter().map(|word| word.text).collect();
        let file = session.folder().join(&recording);
        let how = "set one, as in: :player aplay -q";
        sound::play(&player, &file, &place, how).map_err(Stop::Run)?;
        say(&format!("playing {}\n", visible(&recording)))
    }
}
