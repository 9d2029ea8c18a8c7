//! What the commands and keys of a session do.

use std::path::Path;

use super::items::{Field, MOST_ATTEMPTS};
use super::live::Leave;
use super::session::{Pass, Session};
use super::sheet::Sheet;
use super::words::{Word, words};
use super::{Desk, Next, Said, columns, say, second, tell};
use crate::app::{Failure, Status, Stop, sound};
use crate::notation::Transcription;
use crate::record::{Planned, TrialMark};
use crate::report::text::brief::brief;
use crate::report::text::line::{clipped, visible};

/// The failure of a command that needs a session.
fn no_session(name: &str) -> Stop {
    Stop::Run(Failure::new(
        name,
        "nothing is open that this could be done to",
        "open a sheet, as in: sheet first_session.tsv; or choose a client and begin a list, \
         as in: with K-07, then: list words.tsv",
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
        let mut session = Session::new(Box::new(sheet));
        if session.len() == 0 {
            say("the sheet has no rows yet; add WORD makes one\n")?;
        }
        if let Some((row, text)) = self.left_at(Path::new(path)) {
            session.take_draft(row.saturating_sub(1), text);
        }
        self.work_through(session)
    }

    /// The text that was left unfinished in a sheet.
    fn left_at(&mut self, path: &Path) -> Option<(usize, String)> {
        let path = std::path::absolute(path).ok()?;
        #[allow(clippy::disallowed_methods, reason = "links must lead to one place")]
        let path = std::fs::canonicalize(&path).unwrap_or(path);
        let (draft, (_, row)) = self.left.take_if(|(_, (sheet, _))| *sheet == path)?;
        Some((row, draft))
    }

    /// Begins to work through items.
    pub(super) fn work_through(&mut self, mut session: Session) -> Result<(), Stop> {
        let what = match session.pass {
            Pass::Tally => {
                "1 right, 2 right with a cue, 3 wrong, 0 takes one back, < > others"
            }
            Pass::First | Pass::Blind => {
                "Type what you hear; = same, - no response, < back, > skip, + again"
            }
        };
        let open = match session.pass {
            Pass::Tally => String::new(),
            Pass::First | Pass::Blind => {
                format!(": {} items, {} open", session.len(), session.open_count())
            }
        };
        tell(&format!(
            "{}{open}. {what}; commands begin with a colon, :help lists them.",
            visible(&session.title()),
        ))?;
        self.target = None;
        self.said = None;
        session.hat = self.at_hand.as_ref().map(|it| it.client.hat);
        self.session = Some(session);
        self.begin_item();
        Ok(())
    }

    /// Lays ready what stands at the item at hand.
    fn begin_item(&mut self) {
        if let Some(session) = &self.session {
            self.initial = session.ready();
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
            return Err(no_session("heard"));
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
                session.title(),
                "there is no item to write this in",
                "add one first, as in: :add think",
            )));
        }
        let targets = session.targets();
        let word = session.get(&Field::Word);
        if let Err(failure) = session.take(text) {
            text.clone_into(&mut self.initial);
            return Err(Stop::Run(failure));
        }
        // In a blind pass a comparison would be one with the target; the first pass stays
        // hidden, and the eye on the sounds.
        let pass = session.pass;
        self.fresh_row()?;
        let found = if pass == Pass::First {
            let targets: Vec<&str> = targets.iter().map(String::as_str).collect();
            crate::app::compare::brief(&targets, text, self.accent.as_ref())
        } else {
            None
        };
        if let Some(found) = found {
            say(&brief(&word, &found.table, &found.prosody, columns()))?;
            self.said = Some(Said::new(found.target, text.to_owned()));
        } else {
            say(&format!("{}  {}\n", visible(&word), visible(text)))?;
        }
        self.advance()?;
        Ok(Next::Line(Status::Good))
    }

    fn advance(&mut self) -> Result<(), Stop> {
        let Some(session) = &mut self.session else {
            return Ok(());
        };
        if session.advance() {
            self.begin_item();
            return Ok(());
        }
        let all = session.len();
        match session.pass {
            Pass::Blind => {
                let page = second::agreement(&session.passes(), self.accent.as_ref());
                session.begin(Pass::First);
                say(&format!("the second pass is done\n{page}"))
            }
            _ => tell(&format!(
                "every item is done ({all} of {all}); :close ends the session, :go ITEM goes \
                 back"
            )),
        }?;
        // The last item stands there still, but what was said of it is not laid ready: the
        // next thing to type is a command.
        if self
            .session
            .as_ref()
            .is_some_and(|it| it.next_open(0).is_some())
        {
            self.begin_item();
        }
        Ok(())
    }

    /// The whole comparison of what was heard last.
    fn full(&mut self) -> Result<Next, Stop> {
        let Some(said) = self.said.clone() else {
            return Err(Stop::Run(Failure::new(
                "full",
                "nothing has been set against a target yet",
                "type what was heard first; its difference shows in short, :full in full",
            )));
        };
        self.run("compare", &[&said.target, &said.production])
    }

    /// Does what a key that left the line stands for.
    pub(super) fn leave(&mut self, leave: Leave, text: &str) -> Result<Next, Stop> {
        let Some(session) = &mut self.session else {
            // With a target alone: what stands in the line stays there.
            text.clone_into(&mut self.initial);
            return match leave {
                Leave::Full => self.full(),
                Leave::Mouth => self.draw_mouth(None),
                _ => Ok(Next::Line(Status::Good)),
            };
        };
        let counts = matches!(leave, Leave::Count(_) | Leave::Uncount);
        if !counts {
            session.keep_draft(text)?;
        }
        let name = match leave {
            Leave::Same => "same",
            Leave::Back => "back",
            Leave::Skip => "skip",
            Leave::NoResponse => "silent",
            Leave::Again => "again",
            Leave::Play => "play",
            Leave::Full => "full",
            Leave::Mouth => "mouth",
            Leave::Unsure => "unsure",
            Leave::Count(TrialMark::Right) => "right",
            Leave::Count(TrialMark::WithCue) => "cued",
            Leave::Count(TrialMark::Wrong) => "wrong",
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
        if matches!(name, "full" | "mouth") {
            // The item at hand is laid ready again, whatever comes of it.
            self.begin_item();
            return match name {
                "full" => self.full(),
                _ => self.draw_mouth(arguments.first().map(|word| word.text.as_str())),
            };
        }
        let Some(session) = &mut self.session else {
            return Err(no_session(name));
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
                let word = visible(&session.get(&Field::Word));
                self.fresh_row()?;
                say(&format!("{word}  {target}  as the target\n"))?;
                self.advance()?;
            }
            "silent" => {
                session.take_silence()?;
                let word = visible(&session.get(&Field::Word));
                self.fresh_row()?;
                say(&format!("{word}  no response\n"))?;
                self.advance()?;
            }
            "back" => {
                session.go(here.saturating_sub(1));
                self.begin_item();
            }
            "skip" => {
                if !session.skip()? {
                    say("this is the last item\n")?;
                }
                self.begin_item();
            }
            "again" => {
                if session.again().is_none() {
                    tell(&format!(
                        "no item to try again: none is written yet, or it has {MOST_ATTEMPTS} \
                         attempts"
                    ))?;
                }
                self.begin_item();
            }
            "go" => {
                let Some(at) = session.find(tail) else {
                    return Err(Stop::Run(Failure::new(
                        format!("go {tail}"),
                        "no item has this number or word",
                        format!(
                            "give a number from 1 to {}, or a word; :rows lists them",
                            session.len()
                        ),
                    )));
                };
                session.go(at);
                self.begin_item();
            }
            "open" => {
                match session.next_open(0) {
                    Some(at) => session.go(at),
                    None => say("no item is open\n")?,
                }
                self.begin_item();
            }
            "stage" => {
                tail.clone_into(&mut session.stage);
                say(&format!("session of the next lines: {}\n", visible(tail)))?;
                self.begin_item();
            }
            "cue" => {
                session.give_cue(tail)?;
                let cue = if session.cue.is_empty() {
                    "none"
                } else {
                    &session.cue
                };
                say(&format!("cue from now on: {cue}\n"))?;
                self.begin_item();
            }
            "unsure" => {
                let at = session.mark_unsure()?;
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
                    return Err(no_session(name));
                };
                session.add(&Planned {
                    word: first.to_owned(),
                    target: target.clone(),
                    ..Planned::default()
                })?;
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
                    let at = session.at;
                    session.begin(Pass::First);
                    session.at = at;
                    say(&format!("all items: {counts}\n"))?;
                } else {
                    let at = session.at;
                    session.begin(Pass::Tally);
                    session.at = at;
                    tell(
                        "1 right, 2 right with a cue, 3 wrong, 0 takes one back; < > other \
                         items; :tally ends",
                    )?;
                }
                self.begin_item();
            }
            "right" | "cued" | "wrong" | "undo" => self.count(name)?,
            "play" => self.play()?,
            "close" => {
                let state = match session.pass {
                    Pass::Tally => session.counts(None),
                    _ => format!("{} items open", session.open_count()),
                };
                say(&format!("{} closed, {state}\n", visible(&session.title())))?;
                self.session = None;
                self.said = None;
                self.initial.clear();
            }
            _ => return Err(no_session(name)),
        }
        Ok(Next::Line(Status::Good))
    }

    fn count(&mut self, name: &str) -> Result<(), Stop> {
        let Some(session) = &mut self.session else {
            return Err(no_session(name));
        };
        let marks = TrialMark::ALL.iter().copied();
        let mark = marks
            .into_iter()
            .find(|mark| Field::Trials(*mark).name() == name);
        match mark {
            Some(mark) => session.count(mark)?,
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
            return Err(no_session("edit"));
        };
        let field = Field::of(column);
        let known = !matches!(field, Field::Other(_)) || session.has(&field);
        if column.is_empty() || !known {
            return Err(Stop::Run(Failure::new(
                format!("edit {column}"),
                "there is no such column",
                "name word, target, production or another column of the sheet, then the text",
            )));
        }
        let from = arguments.get(1).map_or(tail.len(), |word| {
            let first = arguments.first().map_or(0, |first| first.span.start);
            word.span.start - first
        });
        let text = tail.get(from..).unwrap_or_default();
        let read = Transcription::parse(text);
        if field.is_transcription() && !text.is_empty() && !read.is_valid() {
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
            return Err(no_session("play"));
        };
        let recording = session.get(&Field::Recording);
        let place = session.name_of(session.at);
        if recording.is_empty() {
            let reason = "no file is named as its recording";
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
