//! What the desk knows of the line while it is being typed: its transcriptions read and
//! judged, the sound at the cursor, how the line answers a target.

use std::borrow::Cow;
use std::path::PathBuf;

use crate::accent::Accent;
use crate::alignment::{Aligner, Column, Kind, Setting};
use crate::articulation;
use crate::diagnostic::{Code, Diagnostic, Severity};
use crate::feature::FeatureBundle;
use crate::finding::production::{Judge, Side};
use crate::notation::key_map::{self, Edit, KeyMap};
use crate::notation::{Notation, Segment, Transcription};
use crate::text::Span;

use super::words::words;
use crate::record::TrialMark;

/// Cells of the aligner's table that one keystroke may cost.
const CELLS_A_KEY: usize = 24_000;

/// What the desk is waiting for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Waiting {
    /// A command, or a transcription in brackets.
    #[default]
    Command,
    /// What was heard: the whole line is a transcription, unless it begins with a colon.
    Heard,
    /// A transcription that answers an exercise, or a command after a colon.
    Answer,
    /// Words that answer an exercise, or a command after a colon.
    Words,
}

impl Waiting {
    /// Whether the whole line is a transcription, unless it begins with a colon.
    pub(super) const fn is_transcription(self) -> bool {
        matches!(self, Self::Heard | Self::Answer)
    }
}

/// A way out of a line other than Enter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Leave {
    /// Said as the target.
    Same,
    /// To the item before.
    Back,
    /// On to the next, leaving this one open.
    Skip,
    /// The client said nothing.
    NoResponse,
    /// The same item again: a further attempt.
    Again,
    /// Play the recording.
    Play,
    /// The last item was not heard clearly.
    Unsure,
    /// Show the whole comparison of what was heard last.
    Full,
    /// Draw the mouth at a difference of what was heard last.
    Mouth,
    /// Count a trial.
    Count(TrialMark),
    /// Take the last trial back.
    Uncount,
}

/// What a key wants done to the line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Action {
    /// Text in place of a stretch; the cursor stands after it.
    Replace(Span, String),
    /// The cursor to a place.
    Move(usize),
    /// Only draw anew.
    Redraw,
}

/// A stretch of the line that is a transcription.
#[derive(Debug, Default)]
pub(super) struct Stretch {
    /// Where it begins in the line.
    pub(super) start: usize,
    /// What it says.
    pub(super) transcription: Transcription,
    /// What is wrong with it, by the notation and by the accent, in text order.
    pub(super) found: Vec<Diagnostic>,
    /// The features of its segments.
    pub(super) bundles: Vec<FeatureBundle>,
}

impl Stretch {
    /// Where it stands in the line.
    pub(super) fn span(&self) -> Span {
        Span::new(self.start, self.start + self.transcription.text().len())
    }

    /// The place in the line of a place in it.
    pub(super) fn shifted(&self, span: Span) -> Span {
        Span::new(span.start + self.start, span.end + self.start)
    }
}

/// What was intended, and how far the line has got in it.
#[derive(Debug)]
pub(super) struct Target {
    /// As it is written.
    pub(super) text: String,
    /// Its segments as they are written.
    pub(super) segments: Vec<String>,
    read: Transcription,
    bundles: Vec<FeatureBundle>,
    aligner: Aligner,
    judge: Judge,
    /// How what has been typed answers it, without what is still to come.
    columns: Vec<Column>,
    /// What became of each segment so far; `None` beyond what has been typed.
    pub(super) kinds: Vec<Option<Kind>>,
    /// The segment that the one at the cursor answers to; the number of segments past the
    /// last.
    pub(super) caret: usize,
}

impl Target {
    /// A target that is written so, under an accent or none.
    pub(super) fn new(text: &str, accent: Option<&Accent>) -> Self {
        let read = Transcription::parse(text);
        let setting = accent.map_or_else(Setting::general, Setting::for_accent);
        let segments: Vec<String> = read
            .segments()
            .map(|segment| segment.text().to_owned())
            .collect();
        Self {
            text: text.to_owned(),
            kinds: vec![None; segments.len()],
            segments,
            bundles: read
                .segments()
                .map(|segment| articulation::bundle(&segment))
                .collect(),
            read,
            aligner: Aligner::new(setting),
            judge: Judge::new(accent),
            columns: Vec::new(),
            caret: 0,
        }
    }

    /// Aligns what has been typed. The line may not be done yet, so it is set against the
    /// beginnings of the target, and answers the one that costs least.
    fn follow(&mut self, line: Option<&Stretch>) {
        self.kinds.fill(None);
        self.columns.clear();
        let Some(line) = line.filter(|line| !line.bundles.is_empty()) else {
            return;
        };
        let said = &line.bundles;
        let whole = self.bundles.len();
        let tries = CELLS_A_KEY / ((whole + 1) * (said.len() + 1));
        let around = said.len().min(whole);
        let from = around.saturating_sub(tries / 2);
        let to = (around + tries / 2).min(whole);
        let mut best: Option<(i64, usize)> = None;
        for length in from..=to {
            let beginning = self.bundles.get(..length).unwrap_or_default();
            self.aligner.align(beginning, said);
            let cost = self.aligner.cost();
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, length));
            }
        }
        let length = best.map_or(whole, |(_, length)| length);
        // A long line has only one beginning tried: that alignment is at hand already.
        if from < to || best.is_none() {
            let beginning = self.bundles.get(..length).unwrap_or_default();
            self.aligner.align(beginning, said);
        }
        self.columns.extend_from_slice(self.aligner.columns());
        let so_far = self.columns.len();
        // What is still to come is no omission yet, but the accent reads the whole word.
        let end = u32::try_from(said.len()).unwrap_or(u32::MAX);
        self.columns.extend((length..whole).filter_map(|number| {
            let number = u32::try_from(number).ok()?;
            Some(Column {
                target: number..number + 1,
                production: end..end,
                kind: Kind::Omission,
            })
        }));
        let wanted = Side {
            transcription: &self.read,
            bundles: &self.bundles,
        };
        let heard = Side {
            transcription: &line.transcription,
            bundles: said,
        };
        let found = self.judge.judge(wanted, heard, &self.columns);
        self.columns.truncate(so_far);
        for (column, finding) in self.columns.iter().zip(found) {
            let target = column.target.start as usize..column.target.end as usize;
            for kind in self.kinds.get_mut(target).unwrap_or_default() {
                *kind = Some(finding.kind);
            }
        }
    }

    /// Puts the caret under the segment that the one of a number in the line answers to.
    fn point(&mut self, at: usize) {
        // Columns stand in the order of the line.
        let after = self
            .columns
            .partition_point(|column| column.production.start as usize <= at);
        let column = after.checked_sub(1).and_then(|at| self.columns.get(at));
        // An addition stands where the target goes on.
        self.caret = column.map_or(0, |column| {
            let target = &column.target;
            target.end.saturating_sub(1).max(target.start) as usize
        });
    }
}

/// The line as it stands, and what is known of it.
#[derive(Debug, Default)]
pub(super) struct Live {
    /// What the keys stand for.
    pub(super) keys: KeyMap,
    /// The accent that postures and alignment go by.
    pub(super) accent: Option<Accent>,
    /// What the desk is waiting for.
    pub(super) waiting: Waiting,
    /// Whether an item is at hand, so that keys lead from item to item.
    pub(super) in_session: bool,
    /// Whether trials are counted, so that digits judge.
    pub(super) in_tally: bool,
    /// What the line began with.
    pub(super) laid: String,
    /// Rows above the line, before the target.
    pub(super) header: Vec<String>,
    /// What was intended.
    pub(super) target: Option<Target>,
    /// Columns of the screen.
    pub(super) columns: usize,
    /// Whether colours may be used.
    pub(super) in_colour: bool,
    /// The caseload that was named, for the codes of its clients.
    pub(super) caseload: Option<PathBuf>,
    /// Whether sounds are not named: their names are what is asked for.
    pub(super) nameless: bool,
    /// What Tab completes words to, when words are asked for.
    pub(super) offers: Vec<String>,
    /// What a key wants done.
    pub(super) pending: Option<Action>,
    /// Whether the numbered list is shown.
    pub(super) listing: bool,
    /// Whether the ring is shown.
    pub(super) turning: bool,
    /// Whether Enter was refused.
    pub(super) refused: bool,
    /// Whether control characters have just been taken out.
    pub(super) cleaned: bool,
    /// Whether the history is being searched.
    pub(super) searching: bool,
    /// How the line was left.
    pub(super) leave: Option<Leave>,
    /// The line and the cursor when they were last read.
    pub(super) line: String,
    /// The cursor, in bytes of the line.
    pub(super) position: usize,
    stretches: Vec<Stretch>,
    count: usize,
    /// Whether the target has been set against the line as it stands.
    followed: bool,
}

impl Live {
    /// Reads the line as it stands now.
    pub(super) fn read(&mut self, line: &str, position: usize) {
        let moved = self.position != position;
        self.position = position;
        if self.line != line {
            line.clone_into(&mut self.line);
            self.take_stretches();
            self.followed = false;
        } else if !moved {
            return;
        }
        self.follow();
    }

    /// Forgets the line: what is around it has changed.
    pub(super) fn begin(&mut self) {
        self.line.clear();
        self.position = 0;
        self.count = 0;
        self.pending = None;
        self.listing = false;
        self.turning = false;
        self.refused = false;
        self.cleaned = false;
        self.searching = false;
        self.leave = None;
        self.followed = false;
        self.follow();
    }

    fn take_stretches(&mut self) {
        self.count = 0;
        let line = std::mem::take(&mut self.line);
        let command = line.trim_start().starts_with(':');
        if self.waiting.is_transcription() && !command {
            if !line.trim().is_empty() {
                self.push_stretch(&line, Span::new(0, line.len()));
            }
        } else if self.waiting != Waiting::Words {
            for word in words(&line, super::command::takes_path) {
                if word.is_transcription {
                    self.push_stretch(&line, word.span);
                }
            }
        }
        self.line = line;
    }

    fn push_stretch(&mut self, line: &str, span: Span) {
        if self.stretches.len() <= self.count {
            self.stretches.push(Stretch::default());
        }
        if let Some(stretch) = self.stretches.get_mut(self.count) {
            stretch.start = span.start;
            stretch.transcription.reparse(span.of(line));
            stretch.found.clear();
            let read = &stretch.transcription;
            stretch.found.extend_from_slice(read.diagnostics());
            let segments = read.segments();
            stretch.bundles.clear();
            stretch
                .bundles
                .extend(segments.map(|segment| articulation::bundle(&segment)));
            // As `check` does: a broad transcription is held against the accent's phonemes.
            if let Some(accent) = self.accent.as_ref() {
                if read.notation() == Notation::Broad && read.is_valid() {
                    stretch.found.extend(accent.judge(read));
                    stretch.found.sort_by_key(|diagnostic| diagnostic.span);
                }
            }
            self.count += 1;
        }
    }

    fn follow(&mut self) {
        let Some(mut target) = self.target.take() else {
            return;
        };
        let heard = self.waiting == Waiting::Heard;
        let line = self.stretches().first().filter(|_| heard);
        if !self.followed {
            target.follow(line);
        }
        let at = line.map_or(0, |line| {
            let begun = |it: &Segment<'_>| it.span().start + line.start < self.position;
            let segments = line.transcription.segments();
            segments.take_while(begun).count().saturating_sub(1)
        });
        target.point(at);
        self.target = Some(target);
        self.followed = true;
    }

    /// The transcriptions in the line.
    pub(super) fn stretches(&self) -> &[Stretch] {
        self.stretches.get(..self.count).unwrap_or_default()
    }

    /// The transcription that the cursor is in or just behind.
    pub(super) fn at_cursor(&self) -> Option<&Stretch> {
        self.stretches()
            .iter()
            .find(|stretch| {
                let span = stretch.span();
                span.start <= self.position && self.position <= span.end
            })
            .filter(|stretch| {
                // Behind the closing bracket one is outside.
                let text = stretch.transcription.text();
                let closed = text.len() > 1
                    && self.position == stretch.span().end
                    && text.ends_with(['/', ']']);
                self.waiting.is_transcription() || !closed
            })
    }

    /// Whether what is typed now is part of a transcription.
    pub(super) fn is_typing(&self) -> bool {
        match self.waiting {
            Waiting::Heard | Waiting::Answer => !self.line.trim_start().starts_with(':'),
            Waiting::Words => false,
            Waiting::Command => self
                .at_cursor()
                .is_some_and(|stretch| stretch.start < self.position),
        }
    }

    /// The text from the start of the transcription up to the cursor.
    pub(super) fn before(&self) -> &str {
        let start = self
            .at_cursor()
            .map_or(self.position, |stretch| stretch.start);
        self.line.get(start..self.position).unwrap_or_default()
    }

    /// An edit before the cursor as an action on the line.
    fn acted(&self, edit: Edit) -> Action {
        let start = self.position.saturating_sub(edit.remove);
        Action::Replace(Span::new(start, self.position), edit.insert)
    }

    /// What a typed character does, where it does not stand for itself.
    pub(super) fn typed(&self, key: char) -> Option<Action> {
        if !self.is_typing() {
            return None;
        }
        // A closing slash, a colon that begins a command.
        let begins = self.before().trim().is_empty();
        if self.waiting.is_transcription() && key == ':' && begins {
            return None;
        }
        let edit = self.keys.typed(self.before(), key)?;
        Some(self.acted(edit))
    }

    /// The symbol before the cursor turned.
    pub(super) fn turned(&self, steps: isize) -> Option<Action> {
        let edit = key_map::turned(self.before(), steps)?;
        Some(self.acted(edit))
    }

    /// A numbered relative put in place of the symbol before the cursor.
    pub(super) fn picked(&self, number: usize) -> Option<Action> {
        let edit = key_map::picked(self.before(), number.checked_sub(1)?)?;
        Some(self.acted(edit))
    }

    /// The last mark before the cursor taken away.
    pub(super) fn without_mark(&self) -> Option<Action> {
        let edit = key_map::last_mark(self.before())?;
        Some(self.acted(edit))
    }

    /// The segment before the cursor taken away.
    pub(super) fn without_segment(&self) -> Option<Action> {
        let start = self.place_before()?;
        Some(Action::Replace(
            Span::new(start, self.position),
            String::new(),
        ))
    }

    /// Where the item before the cursor begins.
    pub(super) fn place_before(&self) -> Option<usize> {
        let stretch = self.at_cursor()?;
        let items = stretch.transcription.items().iter().rev();
        items
            .map(|item| item.span().start + stretch.start)
            .find(|start| *start < self.position)
    }

    /// Where the item at the cursor ends.
    pub(super) fn place_after(&self) -> Option<usize> {
        let stretch = self.at_cursor()?;
        let items = stretch.transcription.items().iter();
        items
            .map(|item| item.span().end + stretch.start)
            .find(|end| *end > self.position)
    }

    /// The mend of the fault at the cursor, or of the first that has one.
    pub(super) fn mended(&self) -> Option<Action> {
        let mends = self.stretches().iter().flat_map(|stretch| {
            let found = stretch.found.iter();
            found.filter_map(|diagnostic| {
                if self.is_unfinished(stretch, diagnostic) {
                    return None;
                }
                let text = diagnostic.replacement()?;
                Some((stretch.shifted(diagnostic.span), text))
            })
        });
        let (span, text) = mends.min_by_key(|(span, _)| {
            let here = span.start <= self.position && self.position <= span.end;
            (!here, span.start)
        })?;
        Some(Action::Replace(span, text.to_owned()))
    }

    /// Whether a fault is only that one is not done typing: the bracket still to be closed,
    /// the prefix of a mark.
    fn is_unfinished(&self, stretch: &Stretch, diagnostic: &Diagnostic) -> bool {
        let span = stretch.shifted(diagnostic.span);
        let at_end = self.position == stretch.span().end;
        let prefix = span.end == self.position && span.of(&self.line) == "_";
        at_end && !self.refused && (diagnostic.code == Code::BracketUnclosed || prefix)
    }

    /// The fault to name: the worst at the cursor, else the worst, the first of these.
    pub(super) fn fault(&self) -> Option<(Severity, Span, String, Option<String>, bool)> {
        let all = self.stretches().iter().flat_map(|stretch| {
            let found = stretch.found.iter();
            found.map(move |diagnostic| (stretch, diagnostic))
        });
        let all =
            all.filter(|(stretch, diagnostic)| !self.is_unfinished(stretch, diagnostic));
        let (stretch, diagnostic) = all.min_by_key(|(stretch, diagnostic)| {
            let span = stretch.shifted(diagnostic.span);
            let here = span.start < self.position && self.position <= span.end;
            (diagnostic.severity, !here, span.start)
        })?;
        let text = stretch.transcription.text();
        Some((
            diagnostic.severity,
            stretch.shifted(diagnostic.span),
            diagnostic.message(text),
            diagnostic.help(text).map(Cow::into_owned),
            diagnostic.replacement().is_some(),
        ))
    }

    /// Whether Enter may take the line: a transcription that is one whole line must have a
    /// reading. What an accent finds is said, and no reason to refuse what was heard.
    pub(super) fn may_enter(&self) -> bool {
        let whole = match self.waiting {
            Waiting::Heard | Waiting::Answer => true,
            Waiting::Words => false,
            Waiting::Command => {
                let line = self.line.trim_start();
                line.starts_with(['[', '/'])
            }
        };
        !whole
            || self
                .stretches()
                .iter()
                .all(|it| it.transcription.is_valid())
    }

    /// The segment that the cursor is in or just behind, with its features.
    pub(super) fn segment(&self) -> Option<(String, FeatureBundle)> {
        let stretch = self.at_cursor()?;
        let segments = stretch.transcription.segments().zip(&stretch.bundles);
        let (found, bundle) = segments
            .take_while(|(it, _)| it.span().start + stretch.start < self.position)
            .last()
            .filter(|(it, _)| it.span().end + stretch.start >= self.position)?;
        Some((found.text().to_owned(), *bundle))
    }
}
