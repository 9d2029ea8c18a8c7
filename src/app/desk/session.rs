//! Going through items: which is at hand, what is written where, what comes next.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::draft::Place;
use super::items::{Field, Items, MOST_ATTEMPTS, UNSURE_TOO};
use super::kept::SILENCE;
use crate::app::Failure;
use crate::notation::Transcription;
use crate::record::{Hat, Planned, TrialMark};
use crate::report::text::padded;
use crate::text::width;

/// What the session is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Pass {
    /// What is heard is written down.
    First,
    /// It is written down once more, the first pass hidden.
    Blind,
    /// Trials are counted.
    Tally,
}

/// A session on a store of items.
pub(super) struct Session {
    items: Box<dyn Items>,
    /// Which item is at hand.
    pub(super) at: usize,
    /// The item that was written last.
    last: Option<usize>,
    /// Which attempt what is heard now is, from 1.
    attempt: u32,
    /// The cue given from now on.
    pub(super) cue: String,
    /// The session that rows of a sheet are said in from now on.
    pub(super) stage: String,
    pub(super) pass: Pass,
    /// Whose work it is, for the words of what is shown; `None` where it is nobody's.
    pub(super) hat: Option<Hat>,
    /// Texts that were left unfinished, by item and field.
    drafts: BTreeMap<(usize, String), String>,
}

impl Session {
    /// A session that begins at the first unfinished text, else at the first item without a
    /// production.
    pub(super) fn new(items: Box<dyn Items>) -> Self {
        let mut session = Self {
            items,
            at: 0,
            last: None,
            attempt: 1,
            cue: String::new(),
            stage: String::new(),
            pass: Pass::First,
            hat: None,
            drafts: BTreeMap::new(),
        };
        let left = session.items.drafts();
        session.at = session.next_open(0).unwrap_or(0);
        if let Some((at, field, _)) = left.first() {
            session.at = *at;
            match field {
                Field::SecondPass => session.pass = Pass::Blind,
                Field::Attempt(number) => session.attempt = *number,
                _ => {}
            }
        }
        let left = left.into_iter();
        session.drafts = left
            .map(|(at, field, text)| ((at, field.name().to_owned()), text))
            .collect();
        session
    }

    /// A session that only counts trials.
    pub(super) fn drill(items: Box<dyn Items>) -> Self {
        let mut session = Self::new(items);
        session.pass = Pass::Tally;
        session
    }

    /// Takes an unfinished text over that was kept elsewhere, and goes to its item.
    pub(super) fn take_draft(&mut self, at: usize, text: String) {
        if at < self.len() {
            self.at = at;
            let field = self.heard().name().to_owned();
            self.drafts.insert((at, field), text);
        }
    }

    /// Where the line that is typed now is kept.
    pub(super) fn place(&self) -> Place {
        self.items.place(self.at, &self.heard())
    }

    /// Whether lines must not be written anywhere but into the store.
    pub(super) fn is_private(&self) -> bool {
        self.items.is_private()
    }

    pub(super) fn title(&self) -> String {
        self.items.title()
    }

    pub(super) fn len(&self) -> usize {
        self.items.len()
    }

    pub(super) fn folder(&self) -> std::path::PathBuf {
        self.items.folder()
    }

    /// What is known of the item at hand.
    pub(super) fn get(&self, field: &Field) -> String {
        self.items.get(self.at, field)
    }

    /// The target of an item, without brackets; `None` where there is none, or none that
    /// can be read.
    pub(super) fn target(&self) -> Option<String> {
        Some(bare(&self.get(&Field::Target))).filter(|text| is_sound(text))
    }

    /// Every target of the item at hand that can be read, what was accepted besides last.
    pub(super) fn targets(&self) -> Vec<String> {
        let accepted = self.get(&Field::Accepted);
        let also = accepted.split(';').map(bare).filter(|text| is_sound(text));
        self.target().into_iter().chain(also).collect()
    }

    /// The field that is written now.
    const fn heard(&self) -> Field {
        match self.pass {
            Pass::Blind => Field::SecondPass,
            Pass::First | Pass::Tally if self.attempt > 1 => Field::Attempt(self.attempt),
            Pass::First | Pass::Tally => Field::Production,
        }
    }

    /// Whether an item still waits for what was heard.
    fn is_open(&self, at: usize) -> bool {
        let empty = |field: &Field| self.items.get(at, field).trim().is_empty();
        match self.pass {
            Pass::Blind => empty(&Field::SecondPass),
            Pass::First | Pass::Tally => {
                empty(&Field::Production)
                    && !self.items.get(at, &Field::Response).starts_with("none")
            }
        }
    }

    /// How many items wait.
    pub(super) fn open_count(&self) -> usize {
        (0..self.len()).filter(|at| self.is_open(*at)).count()
    }

    /// The next item that waits, from one on, then from the beginning.
    pub(super) fn next_open(&self, from: usize) -> Option<usize> {
        (from..self.len())
            .chain(0..from.min(self.len()))
            .find(|at| self.is_open(*at))
    }

    /// Goes to an item.
    pub(super) fn go(&mut self, at: usize) {
        self.attempt = 1;
        self.at = at.min(self.len().saturating_sub(1));
    }

    /// What the line begins with: the text that was left unfinished at this item, else what
    /// was written before.
    pub(super) fn ready(&self) -> String {
        if self.pass == Pass::Tally {
            return String::new();
        }
        let heard = self.heard();
        let kept = self.drafts.get(&(self.at, heard.name().to_owned()));
        let text = kept.map_or_else(|| self.get(&heard).trim().to_owned(), Clone::clone);
        if text == SILENCE { String::new() } else { text }
    }

    /// Which item and field the line is for.
    pub(super) fn written(&self) -> (usize, String) {
        (self.at, self.heard().name().to_owned())
    }

    /// What was left unfinished for an item and a field; empty where nothing was.
    pub(super) fn unfinished(&self, place: &(usize, String)) -> &str {
        self.drafts.get(place).map_or("", String::as_str)
    }

    /// Lets go of a command that was left unfinished at the item at hand; whether one was.
    pub(super) fn forget_command(&mut self) -> bool {
        let place = self.written();
        let command = self.unfinished(&place).trim_start().starts_with(':');
        command && self.drafts.remove(&place).is_some()
    }

    /// Keeps what stands unfinished in the line.
    pub(super) fn keep_draft(&mut self, text: &str) -> Result<(), Failure> {
        let heard = self.heard();
        let key = (self.at, heard.name().to_owned());
        let is_draft = !text.trim().is_empty() && self.get(&heard).trim() != text;
        if is_draft {
            self.items.keep_draft(self.at, &heard, text)?;
            self.drafts.insert(key, text.to_owned());
        } else if self.drafts.remove(&key).is_some() {
            self.items.keep_draft(self.at, &heard, "")?;
        }
        Ok(())
    }

    /// Lets go of what stands unfinished, as it was set aside.
    pub(super) fn drop_draft(&mut self) -> Result<(), Failure> {
        let heard = self.heard();
        self.drafts.remove(&(self.at, heard.name().to_owned()));
        self.items.keep_draft(self.at, &heard, "")
    }

    /// Writes down what was heard.
    pub(super) fn take(&mut self, text: &str) -> Result<(), Failure> {
        self.write(text, "")
    }

    /// Writes down that the client said nothing.
    pub(super) fn take_silence(&mut self) -> Result<(), Failure> {
        match self.pass {
            Pass::First | Pass::Tally if self.attempt == 1 => self.write("", "none"),
            Pass::First | Pass::Blind | Pass::Tally => self.write(SILENCE, ""),
        }
    }

    fn write(&mut self, text: &str, response: &str) -> Result<(), Failure> {
        let heard = self.heard();
        let key = (self.at, heard.name().to_owned());
        let mut values = vec![(heard, text)];
        if self.pass != Pass::Blind {
            let first = self.attempt == 1;
            let before = self.items.get(self.at, &Field::Response);
            if !response.is_empty() || (first && before.starts_with("none")) {
                values.push((Field::Response, response));
            }
            if !self.cue.is_empty() || first {
                values.push((Field::Cue, &self.cue));
            }
            if !self.stage.is_empty() {
                values.push((Field::Session, &self.stage));
            }
        }
        self.items.put(self.at, &values)?;
        self.drafts.remove(&key);
        self.last = Some(self.at);
        Ok(())
    }

    /// Moves on after an item was written; whether one waits.
    pub(super) fn advance(&mut self) -> bool {
        let next = self.next_open(self.at + 1);
        if let Some(next) = next {
            self.go(next);
        }
        next.is_some()
    }

    /// Passes the item at hand over; whether another one follows.
    pub(super) fn skip(&mut self) -> Result<bool, Failure> {
        if self.pass == Pass::First && self.attempt == 1 && self.is_open(self.at) {
            self.items.skip(self.at)?;
        }
        let more = self.at + 1 < self.len();
        if more {
            self.go(self.at + 1);
        }
        Ok(more)
    }

    /// Takes the last item written for its next attempt; which one that is.
    pub(super) fn again(&mut self) -> Option<u32> {
        let at = self.last.or_else(|| self.at.checked_sub(1))?;
        let known = (2..=MOST_ATTEMPTS)
            .rev()
            .find(|number| !self.items.get(at, &Field::Attempt(*number)).is_empty());
        let next = known.unwrap_or(1) + 1;
        if next > MOST_ATTEMPTS {
            return None;
        }
        self.at = at;
        self.attempt = next;
        Some(next)
    }

    /// Chooses the cue given from now on.
    pub(super) fn give_cue(&mut self, text: &str) -> Result<(), Failure> {
        let cue = if text.is_empty() || text == "none" || text == "0" {
            String::new()
        } else {
            self.items.cue(text)?
        };
        self.cue = cue;
        Ok(())
    }

    /// Which item a remark is about: the one written last, else the one at hand.
    pub(super) fn remarked(&self) -> usize {
        self.last.unwrap_or(self.at)
    }

    /// Marks what was heard last as not heard clearly; gives the item.
    pub(super) fn mark_unsure(&mut self) -> Result<usize, Failure> {
        let at = self.remarked();
        let silent = self.items.get(at, &Field::Response) == "none";
        let text = if silent { UNSURE_TOO } else { "unsure" };
        self.items.put(at, &[(Field::Response, text)])?;
        Ok(at)
    }

    /// Writes a field of an item.
    pub(super) fn put(
        &mut self,
        at: usize,
        field: Field,
        text: &str,
    ) -> Result<(), Failure> {
        self.items.put(at, &[(field, text)])
    }

    /// The name of an item in a message.
    pub(super) fn name_of(&self, at: usize) -> String {
        let word = self.items.get(at, &Field::Word);
        format!("item {} {word}", at + 1).trim_end().to_owned()
    }

    /// The item with a number or a word.
    pub(super) fn find(&self, text: &str) -> Option<usize> {
        match text.parse::<usize>() {
            Ok(number) => number.checked_sub(1).filter(|at| *at < self.len()),
            Err(_) => {
                (0..self.len()).find(|at| self.items.get(*at, &Field::Word) == text)
            }
        }
    }

    /// Adds an item after the one at hand and goes to it.
    pub(super) fn add(&mut self, planned: &Planned) -> Result<(), Failure> {
        let at = (self.at + 1).min(self.len());
        let at = self.items.insert(at, planned)?;
        self.shift_drafts(at, true);
        self.at = at;
        self.last = None;
        Ok(())
    }

    /// Takes the item at hand out.
    pub(super) fn remove(&mut self) -> Result<(), Failure> {
        self.items.remove(self.at)?;
        self.drafts.retain(|(at, _), _| *at != self.at);
        self.shift_drafts(self.at, false);
        self.at = self.at.min(self.len().saturating_sub(1));
        self.last = None;
        Ok(())
    }

    fn shift_drafts(&mut self, from: usize, up: bool) {
        let moved = std::mem::take(&mut self.drafts).into_iter();
        self.drafts = moved
            .map(|((at, field), text)| {
                let at = match (at >= from, up) {
                    (false, _) => at,
                    (true, true) => at + 1,
                    (true, false) => at.saturating_sub(1),
                };
                ((at, field), text)
            })
            .collect();
    }

    /// Begins another kind of pass, at the first item that waits in it.
    pub(super) fn begin(&mut self, pass: Pass) {
        self.pass = pass;
        self.attempt = 1;
        self.at = self.next_open(0).unwrap_or(0);
    }

    /// The rows above the line: which item, its word, what is special; the tally.
    pub(super) fn header(&self) -> Vec<String> {
        let word = self.get(&Field::Word);
        let mut row = self.items.owner();
        if !row.is_empty() {
            row.push_str("  ");
        }
        let _ = write!(row, "item {} of {}  {word}", self.at + 1, self.len());
        match self.pass {
            Pass::First if self.attempt > 1 => {
                let _ = write!(row, "  attempt {}", self.attempt);
            }
            Pass::First => {}
            Pass::Blind => row.push_str("  second pass"),
            Pass::Tally => row.push_str("  counting"),
        }
        if !self.cue.is_empty() && self.pass == Pass::First {
            row.push_str("  cue: ");
            row.push_str(&self.cue);
        }
        if self.pass == Pass::First {
            let response = self.get(&Field::Response);
            if !response.is_empty() {
                row.push_str("  ");
                row.push_str(&response.replace("none", "no response"));
            }
        }
        let tally = (self.pass == Pass::Tally).then(|| self.counts(Some(self.at)));
        std::iter::once(row).chain(tally).collect()
    }

    /// Counts a trial of the item at hand.
    pub(super) fn count(&mut self, mark: TrialMark) -> Result<(), Failure> {
        self.items.count(self.at, mark)
    }

    /// Takes the last trial back.
    pub(super) fn uncount(&mut self) -> Result<bool, Failure> {
        let at = self.items.uncount()?;
        if let Some(at) = at {
            self.at = at;
        }
        Ok(at.is_some())
    }

    /// What has been counted for an item, or for all: n beside every percentage.
    pub(super) fn counts(&self, at: Option<usize>) -> String {
        let all = at.map_or(0..self.len(), |at| at..at + 1);
        let sum = |mark: TrialMark| -> u64 {
            all.clone().map(|at| self.items.counted(at, mark)).sum()
        };
        tally_words(
            self.hat,
            [
                sum(TrialMark::Right),
                sum(TrialMark::WithCue),
                sum(TrialMark::Wrong),
            ],
        )
    }

    /// What was heard in the two passes: the name of each item with both texts, for those
    /// that were listened to twice. Nothing said is [`SILENCE`].
    pub(super) fn passes(&self) -> Vec<(String, String, String)> {
        let mut both = Vec::new();
        for at in 0..self.len() {
            let read = |field: &Field| bare(&self.items.get(at, field));
            let (mut one, two) = (read(&Field::Production), read(&Field::SecondPass));
            if one.is_empty() && self.items.get(at, &Field::Response).starts_with("none")
            {
                SILENCE.clone_into(&mut one);
            }
            if !one.is_empty() && !two.is_empty() {
                both.push((self.name_of(at), one, two));
            }
        }
        both
    }

    /// The rows, one line each.
    pub(super) fn rows(&self) -> String {
        let mut page = String::new();
        let widest = |field: &Field| {
            let all = (0..self.len()).map(|at| width(&self.items.get(at, field)));
            all.max().unwrap_or(0)
        };
        let (words, targets) = (widest(&Field::Word), widest(&Field::Target));
        let blind = self.pass == Pass::Blind;
        for at in 0..self.len() {
            let get = |field: Field| self.items.get(at, &field);
            let here = if at == self.at { "*" } else { " " };
            let heard = if blind {
                get(Field::SecondPass)
            } else {
                get(Field::Production)
            };
            let further = (2..=MOST_ATTEMPTS)
                .map(|number| get(Field::Attempt(number)))
                .filter(|text| !blind && !text.is_empty());
            let response = if blind {
                String::new()
            } else {
                get(Field::Response).replace("none", "no response")
            };
            let state: Vec<String> = std::iter::once(heard)
                .chain(further)
                .chain(std::iter::once(response))
                .filter(|text| !text.is_empty())
                .collect();
            let state = if state.is_empty() {
                "open".to_owned()
            } else {
                state.join("  ")
            };
            let word = padded(&get(Field::Word), words);
            let target = padded(&get(Field::Target), targets);
            let _ = writeln!(page, "{here}{:>3}  {word}  {target}  {state}", at + 1);
        }
        page
    }

    /// Whether the store has a column for a field.
    pub(super) fn has(&self, field: &Field) -> bool {
        self.items.has(field)
    }
}

/// A transcription without its outer brackets.
pub(super) fn bare(text: &str) -> String {
    let text = text.trim();
    for (open, close) in [('/', '/'), ('[', ']')] {
        let inner = text
            .strip_prefix(open)
            .and_then(|text| text.strip_suffix(close));
        if let Some(inner) = inner {
            return inner.to_owned();
        }
    }
    text.to_owned()
}

/// Whether a text can be read and has sounds.
fn is_sound(text: &str) -> bool {
    let read = Transcription::parse(text);
    read.is_valid() && read.segments().next().is_some()
}

/// A part of a whole as a percentage, with both.
pub(super) fn percent(part: u64, whole: u64) -> String {
    if whole == 0 {
        return "0 of 0".to_owned();
    }
    // Half up, in whole numbers.
    let rounded = (part * 200 + whole) / (whole * 2);
    format!("{part} of {whole} ({rounded} %)")
}

/// The same, short.
fn share(part: u64, whole: u64) -> String {
    percent(part, whole).replace(" of ", "/")
}

/// Right, with a cue, wrong: each of n.
fn tally_words(hat: Option<Hat>, [right, cued, wrong]: [u64; 3]) -> String {
    let whole = right + cued + wrong;
    if whole == 0 {
        return "no trials yet".to_owned();
    }
    let [one, two, three] = hat.map_or(["right", "cued", "wrong"], |hat| {
        let wording = hat.wording();
        [wording.right, wording.with_cue, wording.wrong]
    });
    format!(
        "{one} {}, {two} {}, {three} {}",
        share(right, whole),
        share(cued, whole),
        share(wrong, whole)
    )
}
