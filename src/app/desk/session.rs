//! Going through items: which is at hand, what is written where, what comes next.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::items::{Field, Items};
use crate::accent::Accent;
use crate::alignment::{Aligner, Kind, Setting};
use crate::app::Failure;
use crate::articulation;
use crate::feature::FeatureBundle;
use crate::notation::Transcription;

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

/// The judgement of one trial.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Trial {
    Right,
    Cued,
    Wrong,
}

impl Trial {
    pub(super) const ALL: [Self; 3] = [Self::Right, Self::Cued, Self::Wrong];

    const fn field(self) -> Field {
        match self {
            Self::Right => Field::Right,
            Self::Cued => Field::Cued,
            Self::Wrong => Field::Wrong,
        }
    }

    /// The word for it.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Cued => "cued",
            Self::Wrong => "wrong",
        }
    }
}

/// A session on a store of items.
pub(super) struct Session {
    items: Box<dyn Items>,
    /// Which item is at hand.
    pub(super) at: usize,
    /// The item that was written last.
    last: Option<usize>,
    /// Whether what is heard now is the second attempt.
    second: bool,
    /// The cue given from now on.
    pub(super) cue: String,
    pub(super) pass: Pass,
    /// Texts that were left unfinished, by item.
    drafts: BTreeMap<usize, String>,
    /// The trials counted, in order, to take the last one back.
    trials: Vec<(usize, Trial)>,
}

impl Session {
    /// A session that begins at the first item without a production.
    pub(super) fn new(items: Box<dyn Items>) -> Self {
        let mut session = Self {
            items,
            at: 0,
            last: None,
            second: false,
            cue: String::new(),
            pass: Pass::First,
            drafts: BTreeMap::new(),
            trials: Vec::new(),
        };
        session.at = session.next_open(0).unwrap_or(0);
        session
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
        let target = bare(&self.get(&Field::Target));
        let read = Transcription::parse(&target);
        (read.is_valid() && read.segments().next().is_some()).then_some(target)
    }

    /// The field that is written now.
    const fn heard(&self) -> Field {
        match self.pass {
            Pass::Blind => Field::SecondPass,
            Pass::First | Pass::Tally if self.second => Field::SecondAttempt,
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
                    && self.items.get(at, &Field::Response) != "none"
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

    /// Goes to an item; its unfinished text, or what was written before, stands ready.
    pub(super) fn go(&mut self, at: usize) -> String {
        self.second = false;
        self.at = at.min(self.len().saturating_sub(1));
        let kept = self.drafts.remove(&self.at);
        kept.unwrap_or_else(|| {
            if self.pass == Pass::Tally {
                return String::new();
            }
            self.get(&self.heard()).trim().to_owned()
        })
    }

    /// Keeps what stands unfinished in the line.
    pub(super) fn keep_draft(&mut self, text: &str) {
        if text.trim().is_empty() || self.get(&self.heard()).trim() == text {
            self.drafts.remove(&self.at);
        } else {
            self.drafts.insert(self.at, text.to_owned());
        }
    }

    /// Writes down what was heard.
    pub(super) fn take(&mut self, text: &str) -> Result<(), Failure> {
        let mut values = vec![(self.heard(), text)];
        if self.pass != Pass::Blind {
            let second = self.second;
            if !second && self.items.get(self.at, &Field::Response) == "none" {
                values.push((Field::Response, ""));
            }
            if !self.cue.is_empty() || !second {
                values.push((Field::Cue, &self.cue));
            }
        }
        self.items.put(self.at, &values)?;
        self.drafts.remove(&self.at);
        self.last = Some(self.at);
        Ok(())
    }

    /// Writes down that the client said nothing.
    pub(super) fn take_silence(&mut self) -> Result<(), Failure> {
        let values = match self.pass {
            Pass::Blind => vec![(Field::SecondPass, "∅")],
            _ => vec![(self.heard(), ""), (Field::Response, "none")],
        };
        self.items.put(self.at, &values)?;
        self.last = Some(self.at);
        Ok(())
    }

    /// Moves on after an item was written; `None` where none waits any more.
    pub(super) fn advance(&mut self) -> Option<String> {
        let next = self.next_open(self.at + 1)?;
        Some(self.go(next))
    }

    /// Takes the last item written for its second attempt.
    pub(super) fn again(&mut self) -> bool {
        let Some(at) = self.last.or_else(|| self.at.checked_sub(1)) else {
            return false;
        };
        self.at = at;
        self.second = true;
        true
    }

    /// Which item a remark is about: the one written last, else the one at hand.
    pub(super) fn remarked(&self) -> usize {
        self.last.unwrap_or(self.at)
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
        format!("row {} {word}", at + 1).trim_end().to_owned()
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
    pub(super) fn add(&mut self, word: &str, target: &str) -> Result<(), Failure> {
        let at = (self.at + 1).min(self.len());
        self.items.insert(at, word, target)?;
        self.shift_drafts(at, true);
        self.at = at;
        self.last = None;
        self.trials.clear();
        Ok(())
    }

    /// Takes the item at hand out.
    pub(super) fn remove(&mut self) -> Result<(), Failure> {
        self.items.remove(self.at)?;
        self.drafts.remove(&self.at);
        self.shift_drafts(self.at, false);
        self.at = self.at.min(self.len().saturating_sub(1));
        self.last = None;
        self.trials.clear();
        Ok(())
    }

    fn shift_drafts(&mut self, from: usize, up: bool) {
        let moved = std::mem::take(&mut self.drafts).into_iter();
        self.drafts = moved
            .map(|(at, text)| match (at >= from, up) {
                (false, _) => (at, text),
                (true, true) => (at + 1, text),
                (true, false) => (at.saturating_sub(1), text),
            })
            .collect();
    }

    /// Begins another kind of pass, at the first item that waits in it.
    pub(super) fn begin(&mut self, pass: Pass) {
        self.pass = pass;
        self.second = false;
        self.drafts.clear();
        self.at = self.next_open(0).unwrap_or(0);
    }

    /// The rows above the line: which item, its word, what is special; the tally.
    pub(super) fn header(&self) -> Vec<String> {
        let word = self.get(&Field::Word);
        let mut row = format!("item {} of {}  {word}", self.at + 1, self.len());
        match self.pass {
            Pass::First if self.second => row.push_str("  second attempt"),
            Pass::First => {}
            Pass::Blind => row.push_str("  second pass"),
            Pass::Tally => row.push_str("  counting"),
        }
        if !self.cue.is_empty() && self.pass == Pass::First {
            row.push_str("  cue: ");
            row.push_str(&self.cue);
        }
        if self.pass != Pass::Blind {
            let response = self.get(&Field::Response);
            if response == "none" {
                row.push_str("  no response");
            } else if !response.is_empty() {
                row.push_str("  ");
                row.push_str(&response);
            }
        }
        let tally = (self.pass == Pass::Tally).then(|| self.counts(Some(self.at)));
        std::iter::once(row).chain(tally).collect()
    }

    /// Counts a trial of the item at hand.
    pub(super) fn count(&mut self, trial: Trial) -> Result<(), Failure> {
        let field = trial.field();
        let count = self.counted(self.at, trial) + 1;
        self.items.put(self.at, &[(field, &count.to_string())])?;
        self.trials.push((self.at, trial));
        Ok(())
    }

    /// Takes the last trial back.
    pub(super) fn uncount(&mut self) -> Result<bool, Failure> {
        let Some((at, trial)) = self.trials.last().copied() else {
            return Ok(false);
        };
        let count = self.counted(at, trial).saturating_sub(1);
        let text = if count == 0 {
            String::new()
        } else {
            count.to_string()
        };
        self.items.put(at, &[(trial.field(), &text)])?;
        self.trials.pop();
        self.at = at;
        Ok(true)
    }

    fn counted(&self, at: usize, trial: Trial) -> u64 {
        self.items
            .get(at, &trial.field())
            .trim()
            .parse()
            .unwrap_or(0)
    }

    /// What has been counted for an item, or for all: n beside every percentage.
    pub(super) fn counts(&self, at: Option<usize>) -> String {
        let sum = |trial: Trial| -> u64 {
            match at {
                Some(at) => self.counted(at, trial),
                None => (0..self.len()).map(|at| self.counted(at, trial)).sum(),
            }
        };
        tally_words([sum(Trial::Right), sum(Trial::Cued), sum(Trial::Wrong)])
    }

    /// How far two passes agree: in whole items, and sound by sound.
    pub(super) fn agreement(&self, accent: Option<&Accent>) -> String {
        let setting = accent.map_or_else(Setting::general, Setting::for_accent);
        let mut aligner = Aligner::new(setting);
        let (mut items, mut alike, mut sounds, mut agreeing) = (0, 0, 0, 0);
        let mut rows = String::new();
        for at in 0..self.len() {
            let read = |field: &Field| bare(&self.items.get(at, field));
            let (one, two) = (read(&Field::Production), read(&Field::SecondPass));
            if two.is_empty() || two == "∅" || one.is_empty() {
                // Nothing said, and nothing heard either time, is agreement on the item.
                if two == "∅" || (!two.is_empty() && one.is_empty()) {
                    items += 1;
                    let silent = self.items.get(at, &Field::Response) == "none";
                    alike += u64::from(two == "∅" && silent);
                }
                continue;
            }
            let [first, second] = [&one, &two].map(|text| bundles(text));
            let columns = aligner.align(&first, &second);
            let same = columns
                .iter()
                .filter(|column| column.kind == Kind::Match)
                .count();
            items += 1;
            alike += u64::from(same == columns.len());
            sounds += columns.len();
            agreeing += same;
            if same < columns.len() {
                let _ = writeln!(rows, "  {}: {one}, then {two}", self.name_of(at));
            }
        }
        format!(
            "{rows}agreement of the two passes: items {}, sounds {}\n",
            percent(alike, items),
            percent(agreeing as u64, sounds as u64)
        )
    }

    /// The rows, one line each.
    pub(super) fn rows(&self) -> String {
        let mut page = String::new();
        let blind = self.pass == Pass::Blind;
        for at in 0..self.len() {
            let get = |field: Field| self.items.get(at, &field);
            let here = if at == self.at { "*" } else { " " };
            let heard = if blind {
                get(Field::SecondPass)
            } else {
                get(Field::Production)
            };
            let state = match get(Field::Response).as_str() {
                "none" if !blind => "no response".to_owned(),
                other if !blind && !other.is_empty() => format!("{heard}  {other}"),
                _ if heard.is_empty() => "open".to_owned(),
                _ => heard,
            };
            let word = get(Field::Word);
            let target = get(Field::Target);
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

fn bundles(text: &str) -> Vec<FeatureBundle> {
    let read = Transcription::parse(text);
    read.segments()
        .map(|segment| articulation::bundle(&segment))
        .collect()
}

/// A part of a whole as a percentage, with both.
fn percent(part: u64, whole: u64) -> String {
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
fn tally_words([right, cued, wrong]: [u64; 3]) -> String {
    let whole = right + cued + wrong;
    if whole == 0 {
        return "no trials yet".to_owned();
    }
    format!(
        "right {}, cued {}, wrong {}",
        share(right, whole),
        share(cued, whole),
        share(wrong, whole)
    )
}
