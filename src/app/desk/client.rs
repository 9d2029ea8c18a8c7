//! The client at hand: choosing one, beginning a session, taking one up again.

use std::fmt::Write as _;
use std::path::Path;
use std::sync::{Arc, Mutex};

use super::draft::{Shelf, opened};
use super::drill::Drill;
use super::kept::Kept;
use super::list::{self, List};
use super::session::Session;
use super::words::Word;
use super::{Desk, columns, say, tell};
use crate::accent::Accent;
use crate::app::arguments;
use crate::app::record;
use crate::app::{Failure, Stop};
use crate::lexicon::Lexicon;
use crate::record::{Client, Session as Kind, SessionKind};
use crate::report::text::line::{clipped, visible};

/// Sessions that are listed.
const LISTED: usize = 12;

/// The client at hand and the caseload that has the record.
#[derive(Clone, Debug)]
pub(super) struct AtHand {
    pub(super) client: Client,
    shelf: Shelf,
}

impl Desk {
    /// The caseload as the commands of the program name it.
    fn kept(&self) -> arguments::Kept {
        arguments::Kept {
            caseload: self.caseload.clone(),
        }
    }

    /// Chooses a client, or nobody.
    pub(super) fn choose_client(&mut self, code: Option<&str>) -> Result<(), Stop> {
        let Some(code) = code else {
            return match &self.at_hand {
                None => tell(
                    "no client is at hand; with CODE chooses one, clients lists them",
                ),
                Some(at_hand) => say(&format!("{}\n", at_hand.client.code)),
            };
        };
        if self.session.is_some() {
            return Err(Stop::Run(Failure::new(
                format!("with {}", visible(code)),
                "a session is open",
                "close it first: :close",
            )));
        }
        if code == "nobody" {
            self.at_hand = None;
            return say("no client is at hand\n");
        }
        let caseload = record::open(&self.kept())?;
        let client = caseload.client(code).map_err(Stop::Run)?;
        if let Some(accent) = Accent::named(&client.accent) {
            self.lexicon = Lexicon::of(accent.name());
            self.accent = Some(accent);
        }
        let sessions = caseload.sessions(code).map_err(Stop::Run)?;
        let wording = client.hat.wording();
        let mut words = client.code.clone();
        if !client.first_language.is_empty() {
            let _ = write!(
                words,
                ", first language {}",
                visible(&client.first_language)
            );
        }
        let _ = write!(words, ", {}, {}", client.accent, wording.work);
        match sessions.last() {
            None => words.push_str("; no session yet: list FILE or draw begins one"),
            Some(last) => {
                let _ = write!(
                    words,
                    "; {} {}, last {}",
                    sessions.len(),
                    if sessions.len() == 1 {
                        wording.session
                    } else {
                        wording.sessions
                    },
                    day(&last.began)
                );
            }
        }
        tell(&words)?;
        for session in sessions.iter().rev() {
            let (open, all) = caseload.waiting(session.id).map_err(Stop::Run)?;
            if open > 0 {
                tell(&format!(
                    "{open} of {all} items of {} wait: resume takes it up",
                    visible(&session.list)
                ))?;
                break;
            }
        }
        self.at_hand = Some(AtHand {
            client,
            shelf: Arc::new(Mutex::new(caseload)),
        });
        Ok(())
    }

    /// The client at hand; or what to do without one.
    fn someone(&self, name: &str) -> Result<AtHand, Stop> {
        self.at_hand.clone().ok_or_else(|| {
            Stop::Run(Failure::new(
                name,
                "no client is at hand",
                "choose one first, as in: with K-07; clients lists them, client CODE opens a \
                 new record",
            ))
        })
    }

    fn nothing_open(&self, name: &str) -> Result<(), Stop> {
        match &self.session {
            None => Ok(()),
            Some(session) => Err(Stop::Run(Failure::new(
                name,
                format!("{} is open", visible(&session.title())),
                "close it first: :close",
            ))),
        }
    }

    /// Begins a session on a list in a file.
    pub(super) fn begin_list(
        &mut self,
        name: &str,
        kind: SessionKind,
        path: &str,
    ) -> Result<(), Stop> {
        self.nothing_open(name)?;
        let at_hand = self.someone(name)?;
        if path.is_empty() {
            return Err(Stop::Run(Failure::new(
                name,
                "no file is named",
                format!(
                    "name a table with the column word, or a text with one word a line: {name} words.txt"
                ),
            )));
        }
        let path = Path::new(path);
        let list = list::read(path, self.lexicon.as_ref())?;
        self.begin(&at_hand, kind, list)
    }

    /// Begins a session on words drawn from the accent's.
    pub(super) fn begin_drawn(&mut self, wishes: &[Word]) -> Result<(), Stop> {
        self.nothing_open("draw")?;
        let at_hand = self.someone("draw")?;
        let wishes: Vec<String> = wishes.iter().map(|word| word.text.clone()).collect();
        let list = list::draw(&wishes, self.lexicon.as_ref())?;
        self.begin(&at_hand, SessionKind::List, list)
    }

    fn begin(
        &mut self,
        at_hand: &AtHand,
        kind: SessionKind,
        list: List,
    ) -> Result<(), Stop> {
        let List {
            name,
            planned,
            without_target,
        } = list;
        let code = &at_hand.client.code;
        let kept = Kept::begin(&at_hand.shelf, code, kind, &name, planned)?;
        self.work_through(Session::new(Box::new(kept)))?;
        if !without_target.is_empty() {
            tell(&format!(
                "without a target: {}; :edit target TEXT gives an item one",
                visible(&without_target.join(", "))
            ))?;
        }
        Ok(())
    }

    /// The sessions of the client at hand, the last ones, numbered from the first.
    pub(super) fn list_sessions(&self) -> Result<(), Stop> {
        let at_hand = self.someone("sessions")?;
        let caseload = opened(&at_hand.shelf);
        let sessions = caseload.sessions(&at_hand.client.code).map_err(Stop::Run)?;
        let mut page = String::new();
        let hidden = sessions.len().saturating_sub(LISTED);
        if hidden > 0 {
            let _ = writeln!(
                page,
                "  {hidden} earlier ones: client {}",
                at_hand.client.code
            );
        }
        for (session, number) in sessions.iter().zip(1..).skip(hidden) {
            let state = match caseload.waiting(session.id).map_err(Stop::Run)? {
                (_, 0) => String::new(),
                (0, all) => format!("  {all} items"),
                (open, all) => format!("  {open} of {all} items wait"),
            };
            let row = format!(
                "{number:>4}  {}  {:<5}  {}{state}",
                day(&session.began),
                session.kind.name(),
                visible(&session.list)
            );
            let _ = writeln!(page, "{}", clipped(&row, columns()));
        }
        if page.is_empty() {
            page.push_str("no session yet: list FILE or draw begins one\n");
        }
        say(&page)
    }

    /// Takes a session up: the one of a number, else the last that has items waiting.
    pub(super) fn resume(&mut self, number: Option<&str>) -> Result<(), Stop> {
        self.nothing_open("resume")?;
        let at_hand = self.someone("resume")?;
        let found = find(&at_hand, number)?;
        let kept = Kept::resume(&at_hand.shelf, &at_hand.client.code, &found)?;
        self.work_through(Session::new(Box::new(kept)))
    }

    /// Counts trials of targets.
    pub(super) fn begin_drill(&mut self, targets: &[Word]) -> Result<(), Stop> {
        self.nothing_open("drill")?;
        if targets.is_empty() {
            return Err(Stop::Run(Failure::new(
                "drill",
                "it is not said what is practised",
                "name sounds or words, as in: drill θ ð",
            )));
        }
        let targets = targets.iter().map(|word| word.text.clone()).collect();
        let at_hand = self.at_hand.as_ref();
        let client = at_hand.map(|it| (&it.shelf, it.client.code.as_str()));
        if client.is_none() {
            tell("no client is at hand: these trials are counted and not kept")?;
        }
        let drill = Drill::new(targets, client);
        self.work_through(Session::drill(Box::new(drill)))
    }

    /// What a command of the program takes from the desk: the client and the caseload.
    pub(super) fn of_client(&self, name: &str, arguments: &[Word]) -> Vec<String> {
        let mut more = Vec::new();
        let said = |option: &str| {
            arguments.iter().any(|word| {
                word.text == option
                    || word
                        .text
                        .strip_prefix(option)
                        .is_some_and(|rest| rest.starts_with('='))
            })
        };
        let of_record = super::command::is_of_record(name);
        if let Some(caseload) = self.caseload.as_ref().filter(|_| of_record) {
            if !said("--caseload") {
                more.push("--caseload".to_owned());
                more.push(caseload.display().to_string());
            }
        }
        let Some(at_hand) = &self.at_hand else {
            return more;
        };
        let code = at_hand.client.code.clone();
        let first = arguments.first();
        let unnamed = first.is_none_or(|word| word.text.starts_with("--"));
        match name {
            "keep" if !said("--client") => more.extend(["--client".to_owned(), code]),
            "progress" | "client" | "export" if unnamed => more.insert(0, code),
            _ => {}
        }
        more
    }

    /// Takes over what was changed in the record of the client at hand.
    pub(super) fn look_again(&mut self) {
        let Some(at_hand) = &mut self.at_hand else {
            return;
        };
        let client = opened(&at_hand.shelf).client(&at_hand.client.code);
        match client {
            Ok(client) => at_hand.client = client,
            // Forgotten in the meantime.
            Err(_) => self.at_hand = None,
        }
    }
}

/// The session of a number, else the last that has items waiting.
fn find(at_hand: &AtHand, number: Option<&str>) -> Result<Kind, Stop> {
    let caseload = opened(&at_hand.shelf);
    let sessions = caseload.sessions(&at_hand.client.code).map_err(Stop::Run)?;
    if let Some(text) = number {
        let at = text.parse::<usize>().ok().and_then(|it| it.checked_sub(1));
        let found = at.and_then(|at| sessions.get(at));
        let found = found.filter(|it| it.kind != SessionKind::Tally);
        return found.cloned().ok_or_else(|| {
            Stop::Run(Failure::new(
                format!("resume {}", visible(text)),
                "no list or probe has this number",
                "sessions lists them with their numbers",
            ))
        });
    }
    for session in sessions.iter().rev() {
        let left = caseload.unfinished(session.id).map_err(Stop::Run)?;
        if caseload.waiting(session.id).map_err(Stop::Run)?.0 > 0 || !left.is_empty() {
            return Ok(session.clone());
        }
    }
    Err(Stop::Run(Failure::new(
        "resume",
        "no session has items waiting",
        "begin one: list FILE or draw; resume NUMBER goes back to a finished one",
    )))
}

fn day(time: &str) -> &str {
    time.split('T').next().unwrap_or(time)
}
