//! The desk: lines typed on a terminal, or read from a pipe as a script.
//!
//! Every function is a command that can be typed; the keys only save strokes. The commands
//! of the program work here as they do in a shell.

mod client;
mod command;
mod draft;
mod drill;
mod editor;
mod going;
mod helper;
mod items;
mod kept;
mod keys;
pub(super) mod lesson;
mod list;
mod live;
mod mouth;
mod obey;
mod second;
mod session;
mod sheet;
mod store;
mod terminal;
mod view;
mod words;

use std::io::{self, BufRead as _, IsTerminal, Write as _};
use std::path::PathBuf;

use super::arguments::Opening;
use super::{Failure, Status, Stop};
use crate::accent::Accent;
use crate::lexicon::Lexicon;
use crate::notation::key_map::KeyMap;
use crate::record::SessionKind;
use crate::report::text::line::visible;
use crate::report::text::push_hanging;
use client::AtHand;
use draft::Drafts;
use editor::{Lines, Typed};
use helper::Shared;
use live::{Target, Waiting};
use session::{Pass, Session};
use store::{Draft, Store};

/// The accent that one begins with.
const USUAL_ACCENT: &str = "en-US";

/// Runs the desk on standard input: a terminal, or a script.
pub(super) fn run(opening: &Opening) -> Result<Status, Stop> {
    if io::stdin().is_terminal() {
        on_terminal(opening)
    } else {
        script(opening)
    }
}

/// What comes after a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Next {
    /// The next line.
    Line(Status),
    /// Nothing: the desk is left.
    End,
}

/// A target and a production that were compared.
#[derive(Clone, Debug)]
struct Said {
    target: String,
    production: String,
    /// How many of its differences have been drawn.
    drawn: usize,
}

impl Said {
    fn new(target: String, production: String) -> Self {
        Self {
            target,
            production,
            drawn: 0,
        }
    }
}

/// Everything the desk knows between two lines.
struct Desk {
    store: Store,
    /// The accent it goes by.
    accent: Option<Accent>,
    /// The words of that accent.
    lexicon: Option<Lexicon>,
    /// What the keys stand for.
    keys: KeyMap,
    /// Whether lines are edited as in vi.
    vi: bool,
    /// The command that plays a recording.
    player: String,
    /// What was intended.
    target: Option<String>,
    /// The items that are gone through.
    session: Option<Session>,
    /// What the next line begins with.
    initial: String,
    /// The last transcription that was taken.
    last: String,
    /// Earlier lines, for the command that lists them.
    history: Vec<String>,
    /// Whether a person is typing.
    on_terminal: bool,
    /// The caseload, where one was named.
    caseload: Option<PathBuf>,
    /// The client at hand.
    at_hand: Option<AtHand>,
    /// A text that was left unfinished, with the sheet and the row it is for.
    left: Option<(String, (PathBuf, usize))>,
    /// What was compared last.
    said: Option<Said>,
}

impl Desk {
    fn new(store: Store, on_terminal: bool) -> Self {
        let mut desk = Self {
            store,
            accent: Accent::named(USUAL_ACCENT),
            lexicon: Lexicon::of(USUAL_ACCENT),
            keys: KeyMap::default(),
            vi: false,
            player: String::new(),
            target: None,
            session: None,
            initial: String::new(),
            last: String::new(),
            history: Vec::new(),
            on_terminal,
            caseload: None,
            at_hand: None,
            left: None,
            said: None,
        };
        // A script must not depend on what someone once chose at the keyboard.
        if on_terminal {
            for (name, value) in desk.store.settings() {
                desk.set(&name, &value);
            }
        }
        desk
    }

    /// Begins as the arguments of the program say.
    fn open(&mut self, opening: &Opening) -> Result<(), Stop> {
        self.caseload.clone_from(&opening.kept.caseload);
        let Some(client) = &opening.client else {
            return Ok(());
        };
        self.choose_client(Some(client))?;
        let Some(words) = &opening.words else {
            return Ok(());
        };
        let (name, kind) = if opening.probe {
            ("probe", SessionKind::Probe)
        } else {
            ("list", SessionKind::List)
        };
        self.begin_list(name, kind, &words.display().to_string())
    }

    /// Takes over a setting that was written down.
    fn set(&mut self, name: &str, value: &str) {
        match name {
            "accent" => {
                self.accent = Accent::named(value);
                self.lexicon = Lexicon::of(value);
            }
            "keys" => self.vi = value == "vi",
            "player" => value.clone_into(&mut self.player),
            _ => {
                let key = name.strip_prefix("key ").and_then(|key| key.chars().next());
                if let Some(key) = key {
                    self.keys.set(key, Some(value));
                }
            }
        }
    }

    /// Writes the settings down.
    fn keep_settings(&self) -> Result<(), Failure> {
        let accent = self.accent.as_ref().map_or("none", Accent::name);
        let keys = if self.vi { "vi" } else { "emacs" };
        let mut settings = vec![
            ("accent".to_owned(), accent.to_owned()),
            ("keys".to_owned(), keys.to_owned()),
            ("player".to_owned(), self.player.clone()),
        ];
        for (key, text) in self.keys.own() {
            settings.push((format!("key {key}"), text.to_owned()));
        }
        if !self.on_terminal {
            return Ok(());
        }
        self.store.keep_settings(&settings).map_err(|error| {
            let reason = format!("not written down: {error}");
            Failure::new(
                "the settings of the desk",
                reason,
                "look whether the disk is full",
            )
        })
    }

    /// What the next line is taken for.
    fn waiting(&self) -> Waiting {
        if self.target.is_some() || self.session.is_some() {
            Waiting::Heard
        } else {
            Waiting::Command
        }
    }

    /// Takes off the row of the cursor what keys pressed ahead have left there while nobody
    /// read them; they are read afterwards all the same.
    fn fresh_row(&self) -> Result<(), Stop> {
        let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
        if self.on_terminal && !dumb {
            let mut out = io::stdout().lock();
            write!(out, "\r\u{1B}[K")?;
            out.flush()?;
        }
        Ok(())
    }

    /// Tells the line editor what it is to show.
    fn show(&self, shared: &Shared) {
        let mut live = shared.lock();
        live.keys = self.keys.clone();
        live.accent.clone_from(&self.accent);
        live.waiting = self.waiting();
        live.in_colour = in_colour();
        live.columns = columns();
        live.in_session = self.session.is_some();
        live.caseload.clone_from(&self.caseload);
        live.header.clear();
        live.in_tally = false;
        let mut text = self.target.clone();
        if let Some(session) = &self.session {
            live.header
                .extend(session.header().iter().map(|row| visible(row)));
            live.in_tally = session.pass == Pass::Tally;
            text = session.target();
            // While trials are counted nothing is typed that could answer a target.
            if live.in_tally {
                text = None;
            }
        }
        if live.target.as_ref().map(|target| target.text.as_str()) != text.as_deref() {
            live.target = text.map(|text| Target::new(&text, self.accent.as_ref()));
        }
    }
}

/// Whether the screen may be coloured.
fn in_colour() -> bool {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    io::stdout().is_terminal() && !refused && !dumb
}

/// How wide the screen is.
fn columns() -> usize {
    terminal_size::terminal_size().map_or(80, |(columns, _)| usize::from(columns.0))
}

/// How high the screen is.
fn screen_rows() -> usize {
    terminal_size::terminal_size().map_or(24, |(_, rows)| usize::from(rows.0))
}

/// Writes a page to the screen.
fn say(page: &str) -> Result<(), Stop> {
    let mut out = anstream::stdout().lock();
    out.write_all(page.as_bytes())?;
    Ok(out.flush()?)
}

/// Writes a sentence or two, broken at blanks.
fn tell(words: &str) -> Result<(), Stop> {
    let mut page = String::new();
    push_hanging(&mut page, 0, "", anstyle::Style::new(), 0, words, columns());
    say(&page)
}

fn on_terminal(opening: &Opening) -> Result<Status, Stop> {
    let store = Store::open();
    let mut desk = Desk::new(store.clone(), true);
    let lost = |error: &dyn std::fmt::Display| {
        Stop::Run(Failure::new(
            "the terminal",
            format!("{error}"),
            "pipe the lines in instead: the desk reads them as a script",
        ))
    };
    let drafts = Drafts::start(&store).map_err(|error| lost(&error))?;
    let shared = Shared::new(drafts.clone());
    terminal::guard(&drafts).map_err(|error| lost(&error))?;
    let mut lines = Lines::new(&shared, desk.vi, &store).map_err(|error| lost(&error))?;
    tell(
        "Type a transcription in brackets, or a command; help lists them, Ctrl-D leaves.",
    )?;
    match store.take_draft() {
        Some(Draft {
            text,
            row: Some((sheet, row)),
        }) => {
            tell(&format!(
                "The line you were typing at item {row} of {} waits there: sheet FILE opens it.",
                visible(&sheet.display().to_string())
            ))?;
            desk.left = Some((text, (sheet, row)));
        }
        Some(Draft { text, row: None }) => {
            say("Here is the line you were typing when the desk was ended.\n")?;
            desk.initial = text;
        }
        None => {}
    }
    desk.open(opening)?;
    loop {
        desk.show(&shared);
        let initial = std::mem::take(&mut desk.initial);
        let place = desk.session.as_ref().map(Session::place);
        let place = place.unwrap_or_default();
        drafts.begin(place.clone(), &initial);
        let private = desk.session.as_ref().is_some_and(Session::is_private);
        desk.fresh_row()?;
        shared.lock().laid.clone_from(&initial);
        let typed = lines.read(&initial, private);
        let written = drafts.end();
        let typed = typed.map_err(|error| lost(&error))?;
        if desk.session.is_some() {
            wipe(&shared, &typed)?;
        }
        match typed {
            Typed::End => return Ok(Status::Good),
            Typed::Interrupted(text) => {
                if text.trim().is_empty() {
                    say("Ctrl-D leaves the desk.\n")?;
                } else {
                    say("Set aside; the Up key brings it back.\n")?;
                    if let Some(session) = &mut desk.session {
                        is_end(
                            session.drop_draft().map(|()| Next::End).map_err(Stop::Run),
                        );
                    }
                }
            }
            Typed::Left(leave, text) => {
                if is_end(desk.leave(leave, &text)) {
                    return Ok(Status::Good);
                }
            }
            Typed::Line(line) => {
                desk.history = lines.history();
                // A command was written down while it was typed, and once it is obeyed it
                // is no draft any more.
                let command = line.trim_start().starts_with(':');
                let session = desk.session.as_mut().filter(|_| command);
                let draft = session.map(|session| {
                    let before = session.forget_command();
                    (written || before, session.written())
                });
                let end = is_end(desk.obey(&line));
                if let Some((true, item)) = draft {
                    let session = desk.session.as_ref();
                    place.settle(session.map_or("", |it| it.unfinished(&item)));
                }
                if end {
                    return Ok(Status::Good);
                }
                lines.set_vi(desk.vi);
            }
        }
    }
}

/// Takes what stood there while an item was at hand off the screen, once it is answered:
/// what is said about it instead is shorter, and the next item stands where it stood.
/// Commands stay, as their answers are about them.
fn wipe(shared: &Shared, typed: &Typed) -> Result<(), Stop> {
    let text = match typed {
        Typed::Line(text) | Typed::Left(_, text) => text,
        Typed::Interrupted(_) | Typed::End => return Ok(()),
    };
    let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    let live = shared.lock();
    let room = live
        .columns
        .saturating_sub(view::prompt(live.waiting).len() + 1);
    if dumb || text.trim_start().starts_with(':') || crate::text::width(text) >= room {
        return Ok(());
    }
    let rows = view::rows_above(&live) + 1;
    let mut out = io::stdout().lock();
    write!(out, "\u{1B}[{rows}A\r\u{1B}[J")?;
    Ok(out.flush()?)
}

/// Whether the desk is left after a line; what went wrong with it is said.
fn is_end(done: Result<Next, Stop>) -> bool {
    match done {
        Ok(Next::End) | Err(Stop::Unread) => true,
        Ok(Next::Line(_)) => false,
        Err(Stop::Source(failure) | Stop::Run(failure)) => {
            super::complain(&failure);
            false
        }
    }
}

/// Reads the lines of a script: the worst that happened is how it went.
fn script(opening: &Opening) -> Result<Status, Stop> {
    let mut desk = Desk::new(Store::default(), false);
    desk.open(opening)?;
    let mut worst = Status::Good;
    let mut number = 0_usize;
    let mut input = io::stdin().lock();
    let mut bytes = Vec::new();
    loop {
        bytes.clear();
        let read = input.read_until(b'\n', &mut bytes).map_err(|error| {
            let reason = format!("reading failed: {error}");
            Stop::Run(Failure::new(
                "standard input",
                reason,
                "look where it comes from",
            ))
        })?;
        if read == 0 {
            return Ok(worst);
        }
        number += 1;
        let line = String::from_utf8_lossy(&bytes);
        let line = line.trim_end_matches(['\n', '\r']);
        let line = if number == 1 {
            line.trim_start_matches('\u{FEFF}')
        } else {
            line
        };
        if line.trim_start().starts_with('#') {
            continue;
        }
        match desk.obey(line) {
            Ok(Next::Line(status)) => worst = worst.max(status),
            Ok(Next::End) => return Ok(worst),
            Err(Stop::Unread) => return Err(Stop::Unread),
            Err(Stop::Source(failure) | Stop::Run(failure)) => {
                let place = format!("line {number}: {}", failure.place);
                super::complain(&Failure { place, ..failure });
                worst = Status::Failed;
            }
        }
    }
}
