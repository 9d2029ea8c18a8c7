//! What the commands of the desk do.

use std::ffi::OsString;
use std::fmt::Write as _;
use std::io::IsTerminal as _;

use clap::Parser;

use super::live::Waiting;
use super::session::Pass;
use super::words::{Word, words};
use super::{Desk, Next, Said, columns, command, say, view};
use crate::accent::Accent;
use crate::app::arguments::{Arguments, Command, Input};
use crate::app::{Failure, Status, Stop};
use crate::lexicon::Lexicon;
use crate::notation::{Converted, Transcription, arpabet, key_map, x_sampa};
use crate::record::SessionKind;
use crate::report::text::line::visible;

/// Commands that take the accent of the desk unless one is named.
const WITH_ACCENT: &[&str] = &["check", "describe", "compare", "analyze", "agree"];

impl Desk {
    /// Does what a line says.
    pub(super) fn obey(&mut self, line: &str) -> Result<Next, Stop> {
        let line = clean(line);
        let line = line.trim();
        if line.is_empty() {
            return Ok(Next::Line(Status::Good));
        }
        let waiting = self.waiting();
        let (colon, rest) = match line.strip_prefix(':') {
            Some(rest) => (true, rest.trim_start()),
            None => (false, line),
        };
        if waiting == Waiting::Heard && !colon {
            // On a terminal these are keys.
            if let Some(leave) = self.session.as_ref().and_then(|session| {
                super::keys::on_empty_line(line, session.pass == Pass::Tally)
            }) {
                return self.leave(leave, "");
            }
            return self.heard(line);
        }
        let cut = words(rest, command::takes_path);
        let Some(first) = cut.first() else {
            return self.own("help", &[], "");
        };
        if first.is_transcription {
            return self.read(rest);
        }
        let name = first.text.clone();
        let arguments = cut.get(1..).unwrap_or_default();
        let tail = rest.get(first.span.end..).unwrap_or_default().trim();
        if command::is_own(&name) {
            self.own(&name, arguments, tail)
        } else if command::is_shared(&name) {
            self.shared(&name, arguments)
        } else {
            Err(unknown(&name))
        }
    }

    /// A transcription by itself: judged and described.
    fn read(&mut self, text: &str) -> Result<Next, Stop> {
        text.clone_into(&mut self.last);
        self.run("describe", &[text])
    }

    /// What was heard, set against the target.
    fn heard(&mut self, text: &str) -> Result<Next, Stop> {
        text.clone_into(&mut self.last);
        if self.session.is_some() {
            return self.take_heard(text);
        }
        let Some(target) = self.target.clone() else {
            return self.read(text);
        };
        if !Transcription::parse(text).is_valid() {
            // In a script nobody can mend the line; on a terminal it never comes here.
            let next = self.run("check", &[text])?;
            return Ok(next);
        }
        self.said = Some(Said::new(target.clone(), text.to_owned()));
        self.run("compare", &[&target, text])
    }

    /// A command of the program on texts, by the accent of the desk.
    pub(super) fn run(&self, name: &str, texts: &[&str]) -> Result<Next, Stop> {
        let mut line: Vec<OsString> = vec!["apical".into(), name.into()];
        if let Some(accent) = &self.accent {
            line.push("--accent".into());
            line.push(accent.name().into());
        }
        line.push("--".into());
        line.extend(texts.iter().map(OsString::from));
        program(line)
    }

    /// A command of the program as it was typed.
    fn shared(&mut self, name: &str, arguments: &[Word]) -> Result<Next, Stop> {
        let mut line: Vec<OsString> = vec!["apical".into(), name.into()];
        let named = arguments
            .iter()
            .any(|word| word.text == "--accent" || word.text.starts_with("--accent="));
        if let Some(accent) = self.accent.as_ref().filter(|_| !named) {
            if WITH_ACCENT.contains(&name) {
                line.push("--accent".into());
                line.push(accent.name().into());
            }
        }
        if let Some(last) = arguments.iter().rev().find(|word| word.is_transcription) {
            last.text.clone_into(&mut self.last);
        }
        line.extend(
            self.of_client(name, arguments)
                .into_iter()
                .map(OsString::from),
        );
        line.extend(arguments.iter().map(|word| OsString::from(&word.text)));
        let done = program(line);
        if command::is_of_record(name) {
            self.look_again();
        }
        done
    }

    /// A command that only the desk has.
    fn own(&mut self, name: &str, arguments: &[Word], tail: &str) -> Result<Next, Stop> {
        let first = arguments.first().map(|word| word.text.as_str());
        match name {
            "quit" => return Ok(Next::End),
            "help" => help(first, self.session.is_some())?,
            "target" => self.aim(arguments, tail)?,
            "ring" => ring(first)?,
            "marks" => marks()?,
            "keys" => self.keys(first)?,
            "key" => self.key(first, arguments.get(1).map(|word| word.text.as_str()))?,
            "x-sampa" => self.convert(tail, "x-sampa", x_sampa::to_ipa)?,
            "arpabet" => self.convert(tail, "arpabet", arpabet::to_ipa)?,
            "mend" => self.mend(tail)?,
            "accent" => self.choose_accent(first)?,
            "player" => {
                if !tail.is_empty() {
                    tail.clone_into(&mut self.player);
                    self.keep_settings()?;
                }
                let player = if self.player.is_empty() {
                    "none set"
                } else {
                    &self.player
                };
                say(&format!("player: {player}\n"))?;
            }
            "history" => self.list_history(tail)?,
            "sheet" => self.open_sheet(first.unwrap_or_default())?,
            "with" => self.choose_client(first)?,
            "list" => {
                self.begin_list(name, SessionKind::List, first.unwrap_or_default())?;
            }
            "probe" => {
                self.begin_list(name, SessionKind::Probe, first.unwrap_or_default())?;
            }
            "draw" => self.begin_drawn(arguments)?,
            "drill" => self.begin_drill(arguments)?,
            "sessions" => self.list_sessions()?,
            "resume" => self.resume(first)?,
            _ => return self.going(name, arguments, tail),
        }
        Ok(Next::Line(Status::Good))
    }

    /// Sets or drops the target.
    fn aim(&mut self, arguments: &[Word], tail: &str) -> Result<(), Stop> {
        if self.session.is_some() {
            return Err(Stop::Run(Failure::new(
                "target",
                "a session is open, and its items have their own targets",
                "change this one's with :edit target TEXT, or :close the session",
            )));
        }
        let Some(first) = arguments.first() else {
            self.target = None;
            return say("no target\n");
        };
        let text = if first.is_transcription {
            tail.to_owned()
        } else {
            self.look_up(tail)?
        };
        let read = Transcription::parse(&text);
        if !read.is_valid() {
            let fault = read.diagnostics().first();
            let reason =
                fault.map_or_else(String::new, |fault| fault.message(read.text()));
            let help = fault.and_then(|fault| fault.help(read.text()));
            return Err(Stop::Run(Failure::new(
                format!("target {text}"),
                reason,
                help.unwrap_or_else(|| "write the target anew".into())
                    .into_owned(),
            )));
        }
        let bare = text.trim_matches(['/', '[', ']']).to_owned();
        say(&format!(
            "target {bare}: type what you hear; :target drops it\n"
        ))?;
        self.target = Some(bare);
        Ok(())
    }

    /// The target of a word.
    pub(super) fn look_up(&self, word: &str) -> Result<String, Stop> {
        let entry = self
            .lexicon
            .as_ref()
            .and_then(|lexicon| lexicon.look_up(word));
        let target = entry.and_then(|entry| entry.targets().next());
        target.ok_or_else(|| {
            Stop::Run(Failure::new(
                format!("target {word}"),
                "the word list of this accent does not have the word",
                "write the target in brackets, as in: target /kæt/",
            ))
        })
    }

    fn choose_accent(&mut self, name: Option<&str>) -> Result<(), Stop> {
        match name {
            None => {}
            Some("none") => {
                self.accent = None;
                self.lexicon = None;
            }
            Some(name) => {
                let Some(accent) = Accent::named(name) else {
                    let known: Vec<&str> = Accent::names().collect();
                    return Err(Stop::Run(Failure::new(
                        format!("accent {name}"),
                        "no accent has this name",
                        format!("the accents there are: {}, none", known.join(", ")),
                    )));
                };
                self.accent = Some(accent);
                self.lexicon = Lexicon::of(name);
            }
        }
        if name.is_some() {
            self.keep_settings()?;
        }
        let words = self.accent.as_ref().map_or_else(
            || "none: sounds are taken as the chart has them".to_owned(),
            |accent| format!("{}, {}", accent.name(), accent.called()),
        );
        say(&format!("accent: {words}\n"))
    }

    /// Lists the keys, or chooses the way of editing.
    fn keys(&mut self, way: Option<&str>) -> Result<(), Stop> {
        match way {
            Some("vi") => self.vi = true,
            Some("emacs") => self.vi = false,
            Some(other) => {
                return Err(Stop::Run(Failure::new(
                    format!("keys {other}"),
                    "lines are edited as in emacs or as in vi",
                    "type: keys emacs, or: keys vi",
                )));
            }
            None => {}
        }
        if way.is_some() {
            self.keep_settings()?;
            let way = if self.vi { "vi" } else { "emacs" };
            return say(&format!("lines are edited as in {way}\n"));
        }
        let mut page = String::from(KEYS);
        page.push_str("\nWhat the keys type in a transcription\n ");
        let mut used = 1;
        for (key, text, mark) in key_map::keys() {
            let circle = if mark { "◌" } else { "" };
            if used + 8 > columns() {
                page.push_str("\n ");
                used = 1;
            }
            let _ = write!(page, " {key} {circle}{text}   ");
            used += 7;
        }
        page.push('\n');
        for (key, text) in self.keys.own() {
            let _ = writeln!(page, "  {key} {text}   your own");
        }
        say(&page)
    }

    /// Gives a key a symbol of one's own.
    fn key(&mut self, key: Option<&str>, text: Option<&str>) -> Result<(), Stop> {
        let mut characters = key.unwrap_or_default().chars();
        let one = characters.next().filter(|key| !key.is_control());
        let (Some(one), None) = (one, characters.next()) else {
            return Err(Stop::Run(Failure::new(
                "key",
                "a key is one character, and a symbol comes after it",
                "type, for instance: key r ɹ",
            )));
        };
        if let Some(text) = text {
            if !Transcription::parse(text).is_valid() {
                return Err(Stop::Run(Failure::new(
                    format!("key {one} {text}"),
                    format!("{} is no transcription", visible(text)),
                    "give one symbol, as in: key r ɹ",
                )));
            }
        }
        self.keys.set(one, text);
        self.keep_settings()?;
        match text {
            Some(text) => {
                say(&format!("{one} types {text}; key {one} takes that back\n"))
            }
            None => say(&format!("{one} types what it usually does\n")),
        }
    }

    /// Puts a text into the alphabet and lays it ready.
    fn convert(
        &mut self,
        text: &str,
        name: &str,
        convert: fn(&str) -> Converted,
    ) -> Result<(), Stop> {
        if text.is_empty() {
            return Err(Stop::Run(Failure::new(
                name,
                "there is nothing to convert",
                format!("type the text after it, as in: {name} kat"),
            )));
        }
        let converted = convert(text);
        if let Some(fault) = converted.faults.first() {
            return Err(Stop::Run(Failure::new(
                format!("{name} {text}"),
                fault.reason.clone(),
                fault.help.clone(),
            )));
        }
        self.ready(converted.text)
    }

    /// Lays a text ready in the next line; in a script, prints it.
    fn ready(&mut self, text: String) -> Result<(), Stop> {
        say(&format!("{}\n", visible(&text)))?;
        let bracketed = text.starts_with(['/', '[']);
        self.last.clone_from(&text);
        self.initial = if self.waiting() == Waiting::Command && !bracketed {
            format!("[{text}]")
        } else {
            text
        };
        Ok(())
    }

    /// Mends everything that has one reading.
    fn mend(&mut self, text: &str) -> Result<(), Stop> {
        let given = if text.is_empty() {
            self.last.clone()
        } else {
            text.to_owned()
        };
        let mut text = given;
        // A mend may uncover another; each makes the text better, and there is an end.
        for _ in 0..100 {
            let read = Transcription::parse(&text);
            let mend = read.diagnostics().iter().find_map(|diagnostic| {
                Some((diagnostic.span, diagnostic.replacement()?.to_owned()))
            });
            let Some((span, replacement)) = mend else {
                break;
            };
            text.replace_range(span.start..span.end, &replacement);
        }
        self.ready(text)
    }

    fn list_history(&self, text: &str) -> Result<(), Stop> {
        const SHOWN: usize = 20;
        let found: Vec<&String> = self
            .history
            .iter()
            .filter(|line| line.contains(text))
            .collect();
        let mut page = String::new();
        for line in found.iter().skip(found.len().saturating_sub(SHOWN)) {
            let _ = writeln!(page, "  {}", visible(line));
        }
        if page.is_empty() {
            page.push_str("no such line\n");
        }
        say(&page)
    }
}

/// Runs a command of the program.
fn program(line: Vec<OsString>) -> Result<Next, Stop> {
    let arguments = match Arguments::try_parse_from(line) {
        Ok(arguments) => arguments,
        Err(error) => {
            let _ = error.print();
            let failed = error.exit_code() != 0;
            let status = if failed { Status::Failed } else { Status::Good };
            return Ok(Next::Line(status));
        }
    };
    let Some(command) = arguments.command else {
        return Ok(Next::Line(Status::Good));
    };
    if let Command::Practice(it) = &command {
        let from = &it.from;
        let named = from.sets.is_empty() && from.files.is_empty();
        let asks = it.due || !named || !from.generate.is_empty();
        if asks && !std::io::stdin().is_terminal() {
            return Err(Stop::Run(Failure::new(
                "practice",
                "its answers come from standard input, which is the desk's own here",
                "pipe the answers into `apical practice` itself",
            )));
        }
    }
    if matches!(command, Command::Passphrase(_)) {
        return Err(Stop::Run(Failure::new(
            "passphrase",
            "the desk may have the caseload open, and it is written anew",
            "leave the desk, then: apical passphrase set",
        )));
    }
    if let Some(name) = reads_standard_input(&command) {
        return Err(Stop::Run(Failure::new(
            name,
            "no transcription is given, and standard input is the desk's own",
            format!(
                "type it after the command, as in: {name} [kʰæt]; or name a file with --file"
            ),
        )));
    }
    crate::app::dispatch(command).map(Next::Line)
}

fn help(name: Option<&str>, in_session: bool) -> Result<(), Stop> {
    match name {
        None => say(&command::overview(columns(), in_session)),
        Some("all") => say(&command::overview(columns(), false)),
        Some(name) => match command::full(name) {
            Some(page) => say(&page),
            None => Err(unknown(name)),
        },
    }
}

/// What the keys of the editor do.
const KEYS: &str = "\
Keys
  Tab, Shift-Tab     turn the symbol before the cursor through its relatives; on an empty
                     line under a target, begin with the target
  Ctrl-] or F4       list the relatives, numbered; a digit picks one
  _ and a key        a mark; _ twice ties the next letter
  Ctrl-V             the next key as it is
  Left, Right        by segment
  Backspace          the last mark, or the letter
  Ctrl-W             the whole segment
  Ctrl-F or F2       do the mend that is offered
  Ctrl-_             undo
  Alt-X or F6        the line from X-SAMPA;  Alt-A or F7 from ARPABET
  Up, Down, Ctrl-R   earlier lines, search
  in a session       Page Up, Page Down other items; Ctrl-O no response; Ctrl-T play;
                     F3 the whole comparison; F5 the mouth; on an empty line = same,
                     - no response, < back, > skip, + again, ! unsure, * the whole
                     comparison, a comma the mouth at the difference
  Ctrl-C             set the line aside;  Ctrl-D on an empty line leaves
";

/// A line without what a terminal would obey; tabs and line ends become blanks.
pub(super) fn clean(line: &str) -> String {
    line.chars()
        .map(|character| match character {
            '\t' | '\n' | '\r' | '\u{2028}' | '\u{2029}' => ' ',
            other => other,
        })
        .filter(|character| !character.is_control())
        .collect()
}

fn unknown(name: &str) -> Stop {
    let near = command::near(name);
    let near = if near.is_empty() {
        String::new()
    } else {
        format!("perhaps {}; ", near.join(", "))
    };
    Stop::Run(Failure::new(
        format!("\u{201C}{}\u{201D}", visible(name)),
        "no command has this name",
        format!("{near}help lists them; a transcription stands in brackets, as in [kæt]"),
    ))
}

/// The command that would read standard input, if this one would.
fn reads_standard_input(command: &Command) -> Option<&'static str> {
    let of_input = |input: &Input| {
        let files = input.files.iter().any(|file| file.as_os_str() == "-");
        files || input.texts.is_empty() && input.files.is_empty()
    };
    match command {
        Command::Check(it) => of_input(&it.input).then_some("check"),
        Command::Describe(it) => of_input(&it.input).then_some("describe"),
        Command::Convert(it) => of_input(&it.input).then_some("convert"),
        Command::Compare(it) => {
            let piped = it
                .pairs
                .as_ref()
                .is_some_and(|file| file.as_os_str() == "-");
            piped.then_some("compare")
        }
        Command::Mark(it) => {
            let piped = it.sheets.iter().any(|file| file.as_os_str() == "-");
            piped.then_some("mark")
        }
        _ => None,
    }
}

fn ring(symbol: Option<&str>) -> Result<(), Stop> {
    let symbol = symbol.unwrap_or_default().trim_matches(['/', '[', ']']);
    let Some(ring) = key_map::ring(symbol) else {
        return Err(Stop::Run(Failure::new(
            format!("ring {symbol}"),
            "this is no symbol with relatives",
            "give a letter of the alphabet, as in: ring t",
        )));
    };
    let mut page = String::new();
    for (number, letter) in ring.letters.iter().enumerate() {
        let _ = writeln!(
            page,
            "  {} {letter}  {}",
            number + 1,
            view::symbol_name(letter)
        );
    }
    say(&page)
}

fn marks() -> Result<(), Stop> {
    let mut page = String::new();
    for (key, mark) in key_map::mark_keys() {
        let name = view::mark_name(mark).unwrap_or_default();
        let _ = writeln!(page, "  _{key}  ◌{mark}  {name}");
    }
    page.push_str("  __  ◌\u{361}◌  ties two letters\n");
    say(&page)
}
