//! Judges a tree: what stands where it may not, contradicts, or adds nothing.
//!
//! One pass over the items; only segments that the parser found suspect are looked at
//! letter by letter. Linear in the text.

use super::parser::{MARKS_ON_A_LETTER, is_plain};
use super::{Item, ItemKind, Letter, MarkAt, NO_PARTNER, Notation, Tree};
use crate::diagnostic::{Code, Diagnostic, Severity, Subject};
use crate::feature::{Airstream, Class, FeatureBundle, Manner};
use crate::inventory::{self, BracketKind, EntryKind, MarkStatus, Sits, Status, kind};

/// How many segments in one stretch are too many to read.
const LONG_STRETCH: usize = 1_000;

/// Judges the tree and puts all diagnostics in text order.
pub(super) fn judge(text: &str, tree: &mut Tree) {
    let mut judge = Judge { text, tree };
    let brackets = 1 << ItemKind::Open as u32 | 1 << ItemKind::Close as u32;
    if judge.tree.signs & brackets != 0 {
        judge.delimiters();
    }
    // A short word of clean segments needs no second look.
    let clean = judge.tree.signs == 0 && !judge.tree.suspects;
    if !clean || judge.tree.items.len() >= LONG_STRETCH {
        judge.items();
    }
    judge.whole();
    if judge.tree.diagnostics.len() > 1 {
        judge
            .tree
            .diagnostics
            .sort_by_key(|found| (found.span.start, found.span.end, found.code));
    }
}

struct Judge<'t, 'w> {
    text: &'t str,
    tree: &'w mut Tree,
}

impl Judge<'_, '_> {
    fn report(&mut self, found: Diagnostic) {
        self.tree.diagnostics.push(found);
    }

    fn report_at(&mut self, code: Code, start: usize, end: usize) {
        self.report(Diagnostic::new(code, start, end, Subject::None));
    }

    fn item(&self, at: usize) -> Option<Item> {
        self.tree.items.get(at).copied()
    }

    /// The item before, if any.
    fn before(&self, at: usize) -> Option<Item> {
        at.checked_sub(1).and_then(|at| self.item(at))
    }

    /// Matches brackets and finds what the outer ones promise.
    fn delimiters(&mut self) {
        let outer = self
            .tree
            .items
            .iter()
            .find(|item| !matches!(item.kind, ItemKind::Space | ItemKind::Unreadable))
            .filter(|item| item.kind == ItemKind::Open)
            .and_then(|item| inventory::brackets().get(usize::from(item.count)));
        self.tree.notation = match outer.map(|bracket| bracket.kind) {
            Some(BracketKind::Narrow) => Notation::Narrow,
            Some(BracketKind::Broad) => Notation::Broad,
            _ => Notation::Unmarked,
        };
        let mut transcriptions = 0_usize;
        let mut stack = std::mem::take(&mut self.tree.stack);
        for at in 0..self.tree.items.len() {
            let Some(item) = self.item(at) else { break };
            match item.kind {
                ItemKind::Open => {
                    if is_transcription(&item) {
                        if transcriptions > 0 {
                            self.report_run(Code::BracketNested, item);
                        }
                        transcriptions += 1;
                    }
                    stack.push(u32::try_from(at).unwrap_or(NO_PARTNER));
                }
                ItemKind::Close => self.close(at, item, &mut stack, &mut transcriptions),
                _ => {}
            }
        }
        for open in stack.drain(..).rev() {
            if let Some(item) = self.item(open as usize) {
                self.unclosed(item);
            }
        }
        self.tree.stack = stack;
    }

    fn close(
        &mut self,
        at: usize,
        item: Item,
        stack: &mut Vec<u32>,
        transcriptions: &mut usize,
    ) {
        let matches = |judge: &Self, open: &u32| {
            judge
                .item(*open as usize)
                .is_some_and(|open| open.count == item.count)
        };
        let Some(top) = stack.last().copied() else {
            self.report_run(Code::BracketUnopened, item);
            return;
        };
        if !matches(self, &top)
            && !stack
                .iter()
                .rev()
                .take(4096)
                .any(|open| matches(self, open))
        {
            let opened = self.item(top as usize).unwrap_or(item);
            let found = Diagnostic::new(
                Code::BracketMismatched,
                item.start as usize,
                item.end as usize,
                Subject::Bracket(bracket_text(&opened, false)),
            )
            .with_related(opened.start as usize, opened.end as usize)
            .replaced_by(bracket_text(&opened, false));
            self.report(found);
            if is_transcription(&opened) {
                *transcriptions = transcriptions.saturating_sub(1);
            }
            stack.pop();
            return;
        }
        while let Some(open) = stack.pop() {
            let Some(opened) = self.item(open as usize) else {
                continue;
            };
            if is_transcription(&opened) {
                *transcriptions = transcriptions.saturating_sub(1);
            }
            if opened.count != item.count {
                self.unclosed(opened);
                continue;
            }
            self.partner(open as usize, at);
            let inside = self.tree.items.get(open as usize + 1..at).unwrap_or(&[]);
            if inside.iter().all(|item| item.kind == ItemKind::Space) {
                let found = Diagnostic::new(
                    Code::BracketEmpty,
                    opened.start as usize,
                    item.end as usize,
                    Subject::Bracket(bracket_text(&opened, true)),
                );
                self.report(found);
            }
            return;
        }
    }

    fn partner(&mut self, open: usize, close: usize) {
        let number = |at| u32::try_from(at).unwrap_or(NO_PARTNER);
        if let Some(item) = self.tree.items.get_mut(open) {
            item.first = number(close);
        }
        if let Some(item) = self.tree.items.get_mut(close) {
            item.first = number(open);
        }
    }

    /// An opening bracket without its closing one; a run of them is one fault.
    fn unclosed(&mut self, item: Item) {
        if bracket_text(&item, true) == "{" {
            // Take the label in, so that the caret shows which stretch is meant.
            let rest = self.text.get(item.end as usize..).unwrap_or_default();
            let length = rest
                .bytes()
                .take(12)
                .position(|byte| matches!(byte, b' ' | b']' | b'/'))
                .unwrap_or(rest.len().min(12));
            let end = (item.end as usize..=item.end as usize + length)
                .rev()
                .find(|at| self.text.is_char_boundary(*at))
                .unwrap_or(item.end as usize);
            let found = Diagnostic::new(
                Code::BracketUnclosed,
                item.start as usize,
                end,
                Subject::Bracket("{"),
            );
            self.report(found);
            return;
        }
        if let Some(last) = self.tree.diagnostics.last_mut() {
            if last.code == Code::BracketUnclosed && last.span.start == item.end as usize
            {
                last.span.start = item.start as usize;
                return;
            }
        }
        self.report(Diagnostic::new(
            Code::BracketUnclosed,
            item.start as usize,
            item.end as usize,
            Subject::Bracket(bracket_text(&item, true)),
        ));
    }

    /// One diagnostic for neighbours of the same code.
    fn report_run(&mut self, code: Code, item: Item) {
        if let Some(last) = self.tree.diagnostics.last_mut() {
            if last.code == code && last.span.end == item.start as usize {
                last.span.end = item.end as usize;
                return;
            }
        }
        self.report(Diagnostic::new(
            code,
            item.start as usize,
            item.end as usize,
            Subject::Bracket(bracket_text(&item, item.kind == ItemKind::Open)),
        ));
    }

    /// What stands where.
    fn items(&mut self) {
        let mut stretch = 0_usize;
        let mut stretch_start = 0_usize;
        for at in 0..self.tree.items.len() {
            let Some(item) = self.item(at) else { break };
            match item.kind {
                ItemKind::Segment => {
                    if item.suspect {
                        self.segment(at, item);
                    }
                    if stretch == 0 {
                        stretch_start = item.start as usize;
                    }
                    stretch += 1;
                    if stretch == LONG_STRETCH {
                        self.long_stretch(at, stretch_start);
                    }
                    continue;
                }
                ItemKind::PrimaryStress | ItemKind::SecondaryStress => {
                    self.stress(at, item);
                }
                ItemKind::SyllableBreak => self.syllable_break(at, item),
                ItemKind::Tone => self.tone(at, item),
                ItemKind::Space => {
                    self.space(at, item);
                    self.lone_click(at);
                }
                ItemKind::Linking => self.linking(at, item),
                ItemKind::Step => self.step(at, item),
                ItemKind::Intonation => self.intonation(at, item),
                ItemKind::Reiteration => self.reiteration(at, item),
                _ => {}
            }
            if is_boundary(item.kind) {
                stretch = 0;
            }
        }
    }

    fn long_stretch(&mut self, at: usize, start: usize) {
        let end = self
            .tree
            .items
            .get(at..)
            .unwrap_or(&[])
            .iter()
            .take_while(|item| !is_boundary(item.kind) && item.kind != ItemKind::Close)
            .last()
            .map_or(start, |item| item.end as usize);
        self.report(Diagnostic::new(
            Code::TextLong,
            start,
            end,
            Subject::Count(LONG_STRETCH),
        ));
    }

    fn stress(&mut self, at: usize, item: Item) {
        let (start, end) = (item.start as usize, item.end as usize);
        let next = self.item(at + 1);
        if let Some(next) = next {
            if matches!(
                next.kind,
                ItemKind::PrimaryStress | ItemKind::SecondaryStress
            ) {
                let code = if next.kind == item.kind {
                    Code::StressRepeated
                } else {
                    Code::StressDoubled
                };
                if self.extends_last(code, start, next.end as usize) {
                    return;
                }
                let found =
                    Diagnostic::new(code, start, next.end as usize, Subject::None);
                let single = item.span().of(self.text).to_owned();
                self.report(if code == Code::StressRepeated {
                    found.replaced_by(single)
                } else {
                    found
                });
                return;
            }
        }
        // The syllable may open with a bracket, a step, an onset tone or a label.
        let mut ahead = at + 1;
        while self.item(ahead).is_some_and(|item| {
            matches!(
                item.kind,
                ItemKind::Open | ItemKind::Step | ItemKind::Tone | ItemKind::Label
            )
        }) {
            ahead += 1;
        }
        match self.item(ahead).map(|item| item.kind) {
            Some(ItemKind::Segment) => {
                self.stress_place(at, item);
                self.nucleus(ahead, item);
            }
            Some(ItemKind::Unreadable | ItemKind::Obscured | ItemKind::Pause) => {}
            _ => {
                let mut found =
                    Diagnostic::new(Code::StressUnattached, start, end, Subject::None);
                let after = self.item(at + 2).map(|item| item.kind);
                if let (Some(space), Some(ItemKind::Segment)) = (next, after) {
                    if space.kind == ItemKind::Space {
                        found.related = Some(found.span);
                        found.span.end = space.end as usize;
                        found =
                            found.replaced_by(format!(" {}", item.span().of(self.text)));
                    }
                }
                self.report(found);
            }
        }
    }

    /// A run of the same fault grows the last diagnostic.
    fn extends_last(&mut self, code: Code, start: usize, end: usize) -> bool {
        match self.tree.diagnostics.last_mut() {
            Some(last) if last.code == code && last.span.end > start => {
                last.span.end = end;
                true
            }
            _ => false,
        }
    }

    /// A stress mark between the onset of a word and its vowel.
    fn stress_place(&mut self, at: usize, item: Item) {
        let vowel = self.item(at + 1).is_some_and(|next| self.is_nucleus(&next));
        if !vowel {
            return;
        }
        let mut from = at;
        while at - from < 6 {
            match self.before(from) {
                Some(before)
                    if before.kind == ItemKind::Segment && !self.is_nucleus(&before) =>
                {
                    from -= 1;
                }
                Some(before) if before.kind == ItemKind::Segment => return,
                _ => break,
            }
        }
        let Some(onset) = self.item(from).filter(|_| from < at) else {
            return;
        };
        let start = onset.start as usize;
        let letters = self
            .text
            .get(start..item.start as usize)
            .unwrap_or_default();
        let mark = item.span().of(self.text);
        let found = Diagnostic::new(
            Code::StressBeforeVowel,
            start,
            item.end as usize,
            Subject::None,
        )
        .replaced_by(format!("{mark}{letters}"));
        self.report(found);
    }

    /// A stressed syllable needs a nucleus.
    fn nucleus(&mut self, from: usize, stress: Item) {
        let mut end = stress.end;
        for item in self.tree.items.get(from..).unwrap_or(&[]) {
            match item.kind {
                ItemKind::Segment => {
                    if self.is_nucleus(item) {
                        return;
                    }
                    end = item.end;
                }
                ItemKind::Tone | ItemKind::Open | ItemKind::Close | ItemKind::Label => {}
                ItemKind::Unreadable | ItemKind::Obscured => return,
                _ => break,
            }
        }
        self.report_at(
            Code::StressWithoutNucleus,
            stress.start as usize,
            end as usize,
        );
    }

    /// Whether a segment can be the peak of a syllable: a vowel, a syllabic consonant, or a
    /// sound that was not identified as a consonant.
    fn is_nucleus(&self, item: &Item) -> bool {
        if item.kind != ItemKind::Segment {
            return false;
        }
        self.tree.letters_of(item).any(|letter| {
            let symbol = inventory::symbol(letter.symbol);
            symbol.bundle.class == Class::Vowel
                || symbol.text == "◯"
                || self
                    .tree
                    .marks_of(&letter)
                    .iter()
                    .any(|mark| inventory::mark(mark.id).kind == kind::SYLLABIC)
        })
    }

    fn syllable_break(&mut self, at: usize, item: Item) {
        let (start, end) = (item.start as usize, item.end as usize);
        let before = self.before(at).map(|item| item.kind);
        let next = self.item(at + 1).map(|item| item.kind);
        let single = |code| Diagnostic::new(code, start, end, Subject::None);
        match (before, next) {
            (Some(ItemKind::SyllableBreak), _) => {
                if !self.extends_last(Code::BreakDoubled, start, end) {
                    let from = self.before(at).map_or(start, |item| item.start as usize);
                    let found =
                        Diagnostic::new(Code::BreakDoubled, from, end, Subject::None);
                    self.report(found.replaced_by("."));
                }
            }
            (_, Some(ItemKind::SyllableBreak)) => {}
            (_, None | Some(ItemKind::Close)) => {
                self.report(single(Code::BreakTrailing).replaced_by(""));
            }
            (None | Some(ItemKind::Open), _) => {
                self.report(single(Code::BreakLeading).replaced_by(""));
            }
            (Some(kind), _) | (_, Some(kind)) if is_boundary(kind) => {
                self.report(single(Code::BreakUnattached).replaced_by(""));
            }
            (_, Some(kind)) if is_boundary(kind) => {
                self.report(single(Code::BreakUnattached).replaced_by(""));
            }
            (
                Some(ItemKind::Segment | ItemKind::Tone),
                Some(ItemKind::PrimaryStress | ItemKind::SecondaryStress),
            ) => self.report(single(Code::BreakRedundant).replaced_by("")),
            _ => {}
        }
    }

    fn tone(&mut self, at: usize, item: Item) {
        let (start, end) = (item.start as usize, item.end as usize);
        if item.suspect {
            let off_chart = item.span().of(self.text).chars().any(|c| {
                inventory::entry(c).kind == EntryKind::ToneDigit
                    || ('꜒'..='꜖').contains(&c)
            });
            if off_chart {
                self.report_at(Code::ToneOffChart, start, end);
            } else if item.count > 4 {
                let count = Subject::Count(usize::from(item.count));
                self.report(Diagnostic::new(Code::ToneRunLong, start, end, count));
            }
        }
        let follows = self.item(at + 1).is_some_and(|next| {
            matches!(
                next.kind,
                ItemKind::Segment | ItemKind::PrimaryStress | ItemKind::SecondaryStress
            )
        });
        match self.before(at) {
            None => self.loose_tone(start, end, follows),
            Some(before) => match before.kind {
                ItemKind::Open
                | ItemKind::PrimaryStress
                | ItemKind::SecondaryStress
                | ItemKind::SyllableBreak
                | ItemKind::Separator => self.loose_tone(start, end, follows),
                kind if is_boundary(kind) => {
                    if follows || before.kind != ItemKind::Space {
                        self.loose_tone(start, end, follows);
                    } else {
                        let tone = item.span().of(self.text).to_owned();
                        let found = Diagnostic::new(
                            Code::ToneDetached,
                            before.start as usize,
                            end,
                            Subject::None,
                        );
                        self.report(found.replaced_by(tone));
                    }
                }
                _ => {}
            },
        }
    }

    /// Tone letters that no syllable stands before.
    fn loose_tone(&mut self, start: usize, end: usize, follows: bool) {
        // A digit before the word is a word accent, already noticed as off the chart.
        let digit = self
            .text
            .get(start..)
            .and_then(|rest| rest.chars().next())
            .is_some_and(|c| inventory::entry(c).kind == EntryKind::ToneDigit);
        if follows {
            if !digit {
                self.report_at(Code::ToneBeforeSyllable, start, end);
            }
        } else {
            self.report_at(Code::ToneUnattached, start, end);
        }
    }

    fn space(&mut self, at: usize, item: Item) {
        let open = self.before(at).is_some_and(|before| {
            before.kind == ItemKind::Open && is_transcription(&before)
        });
        let close = self
            .item(at + 1)
            .is_some_and(|next| next.kind == ItemKind::Close && is_transcription(&next));
        if open || close {
            let found = Diagnostic::new(
                Code::SpaceAtEdge,
                item.start as usize,
                item.end as usize,
                Subject::None,
            );
            self.report(found.replaced_by(""));
        }
    }

    /// A click letter alone between two spaces.
    fn lone_click(&mut self, at: usize) {
        let (Some(click), Some(after)) = (self.item(at + 1), self.item(at + 2)) else {
            return;
        };
        if click.kind != ItemKind::Segment || after.kind != ItemKind::Space {
            return;
        }
        let text = click.span().of(self.text);
        if text == "ǀ" || text == "ǁ" {
            self.report_at(Code::ClickOrGroup, click.start as usize, click.end as usize);
        }
    }

    fn linking(&mut self, at: usize, item: Item) {
        let (start, end) = (item.start as usize, item.end as usize);
        let (before, next) = (self.before(at), self.item(at + 1));
        if before.is_some_and(|before| before.kind == ItemKind::Linking) {
            if !self.extends_last(Code::LinkingDoubled, start, end) {
                let from = self.before(at).map_or(start, |item| item.start as usize);
                let found =
                    Diagnostic::new(Code::LinkingDoubled, from, end, Subject::None);
                self.report(found.replaced_by("‿"));
            }
            return;
        }
        // What stands in parentheses or braces can be linked, from outside.
        let nothing = |item: Option<Item>, inside: ItemKind| {
            item.is_none_or(|item| match item.kind {
                ItemKind::Separator => true,
                ItemKind::Open | ItemKind::Close => {
                    item.kind == inside || is_transcription(&item)
                }
                _ => false,
            })
        };
        if nothing(before, ItemKind::Open) || nothing(next, ItemKind::Close) {
            let found =
                Diagnostic::new(Code::LinkingUnattached, start, end, Subject::None);
            self.report(found.replaced_by(""));
        }
    }

    fn step(&mut self, at: usize, item: Item) {
        let (start, end) = (item.start as usize, item.end as usize);
        match self.item(at + 1).map(|item| item.kind) {
            Some(ItemKind::Step) => {
                let end = self.item(at + 1).map_or(end, |item| item.end as usize);
                if !self.extends_last(Code::StepRepeated, start, end) {
                    self.report_at(Code::StepRepeated, start, end);
                }
            }
            Some(
                ItemKind::Segment
                | ItemKind::PrimaryStress
                | ItemKind::SecondaryStress
                | ItemKind::Tone
                | ItemKind::Unreadable
                | ItemKind::Open,
            ) => {}
            _ => self.report_at(Code::StepUnattached, start, end),
        }
    }

    fn intonation(&mut self, at: usize, item: Item) {
        let ends = match self.item(at + 1) {
            None => true,
            Some(next) => matches!(next.kind, ItemKind::Close | ItemKind::Separator),
        };
        if !ends {
            return;
        }
        let items = self.tree.items.get(..at).unwrap_or(&[]);
        let phrase = items.iter().rposition(|item| {
            matches!(
                item.kind,
                ItemKind::Open
                    | ItemKind::MinorGroup
                    | ItemKind::MajorGroup
                    | ItemKind::Intonation
                    | ItemKind::Separator
            )
        });
        let from = phrase.map_or(0, |at| at + 1);
        let start = items.get(from).map(|item| item.start as usize);
        let mut found = Diagnostic::new(
            Code::IntonationMisplaced,
            item.start as usize,
            item.end as usize,
            Subject::None,
        );
        if let Some(start) = start {
            let phrase = self
                .text
                .get(start..item.start as usize)
                .unwrap_or_default();
            let fixed = format!("{}{}", item.span().of(self.text), phrase.trim_end());
            found.related = Some(found.span);
            found.span.start = start;
            found = found.replaced_by(fixed);
        }
        self.report(found);
    }

    fn reiteration(&mut self, at: usize, item: Item) {
        let segment = |item: Option<Item>| {
            item.is_some_and(|item| {
                matches!(item.kind, ItemKind::Segment | ItemKind::Tone)
            })
        };
        let next = self.item(at + 1);
        let after = segment(next)
            || next.is_some_and(|item| {
                matches!(
                    item.kind,
                    ItemKind::PrimaryStress | ItemKind::SecondaryStress
                )
            });
        if !segment(self.before(at)) || !after {
            self.report_at(
                Code::ReiterationUnattached,
                item.start as usize,
                item.end as usize,
            );
        }
    }

    /// A segment that the parser found suspect.
    fn segment(&mut self, at: usize, item: Item) {
        let first = item.first as usize;
        for number in first..first + usize::from(item.count) {
            let Some(letter) = self.tree.letters.get(number).copied() else {
                break;
            };
            self.letter_status(&letter);
            self.marks(&item, &letter, at);
            if letter.tie != 0 {
                if let Some(before) = self.tree.letters.get(number - 1).copied() {
                    self.tied(&before, &letter);
                }
            }
        }
        if item.count > 3 {
            let start = self
                .tree
                .letters
                .get(first)
                .map_or(item.start, |letter| letter.end);
            let count = Subject::Count(usize::from(item.count));
            let found =
                Diagnostic::new(Code::TieChain, start as usize, item.end as usize, count);
            self.report(found);
        }
    }

    fn letter_status(&mut self, letter: &Letter) {
        if is_plain(letter.symbol) {
            return;
        }
        let symbol = inventory::symbol(letter.symbol);
        let start = letter.start as usize;
        let typed = self.text.get(start..).and_then(|rest| rest.chars().next());
        // A lookalike read as this letter has been reported as what it is.
        if typed.is_none_or(|c| inventory::entry(c).kind == EntryKind::Lookalike) {
            return;
        }
        let code = match symbol.status {
            Status::Ligature => Code::LetterLigature,
            Status::OffChart => Code::LetterOffChart,
            Status::Wildcard => Code::LetterWildcard,
            _ => Code::LetterRetired,
        };
        let end = start + typed.map_or(0, char::len_utf8);
        let mut found = Diagnostic::new(code, start, end, Subject::Symbol(letter.symbol));
        if symbol.status == Status::RetiredError {
            found.severity = Severity::Error;
        }
        if !symbol.now.is_empty() {
            found.replacement = Some(symbol.now.into());
        }
        self.report(found);
    }

    /// The marks of one letter against the letter and each other.
    fn marks(&mut self, item: &Item, letter: &Letter, at: usize) {
        let count = usize::from(letter.mark_count);
        let first = letter.marks as usize;
        let Some(marks) = self.tree.marks.get(first..first + count) else {
            return;
        };
        let (Some(head), Some(last)) = (marks.first().copied(), marks.last().copied())
        else {
            return;
        };
        let lengths = marks
            .iter()
            .filter(|mark| inventory::mark(mark.id).status == MarkStatus::Length)
            .count();
        if lengths > 3 && lengths == count {
            let subject = Subject::Count(lengths);
            self.report(Diagnostic::new(
                Code::LengthStack,
                head.start as usize,
                letter.end as usize,
                subject,
            ));
            return;
        }
        if count > MARKS_ON_A_LETTER {
            let subject = Subject::Count(count);
            let end = self.mark_end(&last);
            self.report(Diagnostic::new(
                Code::DiacriticStack,
                head.start as usize,
                end,
                subject,
            ));
            return;
        }
        let mut copied = [head; MARKS_ON_A_LETTER];
        for (slot, mark) in copied.iter_mut().zip(marks) {
            *slot = *mark;
        }
        let marks = copied.get(..count).unwrap_or(&[]);
        for (number, mark) in marks.iter().enumerate() {
            let earlier = marks.get(..number).unwrap_or(&[]);
            if self.stands_for_another(letter, mark, earlier) {
                continue;
            }
            self.mark_alone(letter, mark, marks, at);
            self.mark_pairs(letter, mark, earlier);
        }
        let _ = item;
    }

    /// The end of a mark as typed; inside a precomposed letter, the letter's end.
    fn mark_end(&self, mark: &MarkAt) -> usize {
        let start = mark.start as usize;
        start
            + self
                .text
                .get(start..)
                .and_then(|rest| rest.chars().next())
                .map_or(0, char::len_utf8)
    }

    /// Letter and mark that together are typed for something else, such as č or ñ.
    fn stands_for_another(
        &mut self,
        letter: &Letter,
        mark: &MarkAt,
        earlier: &[MarkAt],
    ) -> bool {
        let symbol = inventory::symbol(letter.symbol);
        let mut typed = [0_u8; 16];
        let (first, second) = (
            symbol.text.as_bytes(),
            inventory::mark(mark.id).text.as_bytes(),
        );
        let length = first.len() + second.len();
        let Some(buffer) = typed.get_mut(..length) else {
            return false;
        };
        for (slot, byte) in buffer.iter_mut().zip(first.iter().chain(second)) {
            *slot = *byte;
        }
        let Some(id) = std::str::from_utf8(buffer)
            .ok()
            .and_then(inventory::sequence)
        else {
            return false;
        };
        if mark.leading {
            return false;
        }
        let row = inventory::lookalike(id);
        let code = if row.kind == "americanist" {
            Code::AmericanistLetter
        } else {
            Code::LookalikeLetter
        };
        let (start, end) = (letter.start as usize, self.mark_end(mark));
        let mut found = Diagnostic::new(code, start, end, Subject::Lookalike(id));
        found.severity = row.severity;
        if let ([reading], true) = (row.readings, earlier.is_empty()) {
            found.replacement = Some((*reading).into());
        }
        self.report(found);
        true
    }

    /// A mark against its letter.
    fn mark_alone(&mut self, letter: &Letter, at: &MarkAt, all: &[MarkAt], item: usize) {
        let mark = inventory::mark(at.id);
        let symbol = inventory::symbol(letter.symbol);
        let bit = 1_u128 << mark.kind;
        let (start, end) = (at.start as usize, self.mark_end(at));
        let has =
            |wanted: u8| all.iter().any(|one| inventory::mark(one.id).kind == wanted);
        let about = |code| {
            Diagnostic::new(code, start, end, Subject::MarkOn(at.id, letter.symbol))
        };
        if self
            .text
            .get(start..)
            .and_then(|rest| rest.chars().next())
            .is_some_and(|c| inventory::entry(c).kind == EntryKind::Lookalike)
        {
            return;
        }
        if mark.status == MarkStatus::Retired {
            self.report(about(Code::DiacriticRetired));
        } else if inventory::shaded(letter.symbol, mark.kind).is_some() {
            self.report(about(Code::ArticulationImpossible));
        } else if mark.kind == kind::EJECTIVE
            && symbol.bundle.airstream == Airstream::Implosive
        {
            self.report(about(Code::AirstreamsContradict));
        } else if symbol.misfit & bit != 0
            && !at.leading
            && !excused(mark.kind, symbol.text, &has)
        {
            if mark.text == "\u{311}" && self.letter_follows(item, letter) {
                self.report(about(Code::TieLookalike).replaced_by("\u{361}"));
            } else {
                self.report(about(Code::DiacriticMisfit));
            }
        } else if symbol.nothing & bit != 0 && !at.leading {
            self.report(about(Code::DiacriticRedundant).replaced_by(""));
        }
        if mark.narrow_only && self.tree.notation == Notation::Broad {
            self.report(about(Code::DetailInBroad));
        }
    }

    /// Whether a letter follows the segment directly.
    fn letter_follows(&self, item: usize, letter: &Letter) -> bool {
        self.item(item + 1).is_some_and(|next| {
            next.kind == ItemKind::Segment && next.start == letter.end
        })
    }

    /// A mark against the marks before it.
    fn mark_pairs(&mut self, letter: &Letter, at: &MarkAt, earlier: &[MarkAt]) {
        let mark = inventory::mark(at.id);
        let end = self.mark_end(at);
        for one in earlier {
            let other = inventory::mark(one.id);
            let start = one.start as usize;
            if one.leading != at.leading {
                continue;
            }
            let code = if other.kind == mark.kind {
                match mark.status {
                    MarkStatus::Doubles => continue,
                    MarkStatus::Length => Code::LengthDoubled,
                    _ if mark.kind == kind::TONE => Code::ToneMarksStacked,
                    // Superscript letters of one kind are different sounds.
                    _ if mark.sits == Sits::After && mark.text != other.text => continue,
                    _ if mark.sits == Sits::After => continue,
                    _ => Code::DiacriticDoubled,
                }
            } else if mark.conflicts & 1 << other.kind != 0
                || other.conflicts & 1 << mark.kind != 0
            {
                Code::DiacriticsContradict
            } else if mark.odd & 1 << other.kind != 0 || other.odd & 1 << mark.kind != 0 {
                Code::DiacriticsOdd
            } else {
                continue;
            };
            if self.extends_last(code, start + 1, end) {
                return;
            }
            let subject = Subject::Marks(one.id, at.id);
            self.report(Diagnostic::new(code, start, end, subject));
            return;
        }
        let before = earlier
            .last()
            .filter(|one| !one.leading && one.start != at.start);
        if let Some(before) = before {
            let modifier = inventory::mark(before.id).sits == Sits::After;
            let adjacent = self.mark_end(before) == at.start as usize;
            if modifier
                && mark.sits != Sits::After
                && adjacent
                && at.start as usize > letter.start as usize
            {
                let start = before.start as usize;
                let fixed = format!("{}{}", mark.text, inventory::mark(before.id).text);
                let mut found = Diagnostic::new(
                    Code::DiacriticOnModifier,
                    start,
                    end,
                    Subject::Marks(at.id, before.id),
                );
                found.related = Some(crate::text::Span::new(at.start as usize, end));
                self.report(found.replaced_by(fixed));
            }
        }
    }

    /// Two letters under a tie.
    fn tied(&mut self, before: &Letter, letter: &Letter) {
        let tie = self
            .text
            .get(before.end as usize..letter.start as usize)
            .unwrap_or_default();
        let (start, end) = (before.end as usize, letter.start as usize);
        let last = self
            .tree
            .marks_of(before)
            .iter()
            .rev()
            .find(|mark| mark.start < before.end)
            .copied();
        if let Some(last) = last.filter(|last| {
            !last.leading
                && inventory::mark(last.id).sits == Sits::After
                && self.mark_end(last) == before.end as usize
        }) {
            let modifier = inventory::mark(last.id).text;
            let next = self.text.get(end..letter.end as usize).unwrap_or_default();
            let fixed = format!("{tie}{next}{modifier}");
            let mut found = Diagnostic::new(
                Code::TieAfterModifier,
                last.start as usize,
                letter.end as usize,
                Subject::Mark(last.id),
            )
            .replaced_by(fixed);
            found.related = Some(crate::text::Span::new(last.start as usize, end));
            self.report(found);
        }
        if letter.tie == 3 {
            return;
        }
        let first = &inventory::symbol(before.symbol).bundle;
        let second = &inventory::symbol(letter.symbol).bundle;
        if !goes_together(first, second) {
            let subject = Subject::Words(Box::new((
                format!(
                    "a tie joins `{}` and `{}`, which make no affricate, double articulation or diphthong",
                    inventory::symbol(before.symbol).text,
                    inventory::symbol(letter.symbol).text,
                ),
                Some("leave the tie out if these are two segments".to_owned()),
            )));
            self.report(Diagnostic::new(Code::TieImprobable, start, end, subject));
        }
    }

    /// What only the whole text shows.
    fn whole(&mut self) {
        if self
            .tree
            .items
            .iter()
            .all(|item| item.kind == ItemKind::Space)
        {
            let end = self.text.len();
            self.report_at(Code::TextEmpty, 0, end);
            return;
        }
        let group = |item: &&Item| {
            matches!(item.kind, ItemKind::MinorGroup | ItemKind::MajorGroup)
        };
        let groups = 1 << ItemKind::MinorGroup as u32 | 1 << ItemKind::MajorGroup as u32;
        if self.tree.signs & groups != 0
            && !self
                .tree
                .items
                .iter()
                .any(|item| item.kind == ItemKind::Segment)
        {
            if let Some(item) = self.tree.items.iter().find(group).copied() {
                self.report_at(Code::GroupAlone, item.start as usize, item.end as usize);
            }
        }
        if self
            .tree
            .diagnostics
            .iter()
            .any(|found| found.severity == Severity::Error)
        {
            super::suspicion::foreign_brackets(self.text, &mut self.tree.diagnostics);
            super::suspicion::wrong_encoding(self.text, &mut self.tree.diagnostics);
            super::suspicion::other_notation(self.text, &mut self.tree.diagnostics);
        } else if self.text.is_ascii() && self.tree.notation != Notation::Unmarked {
            super::suspicion::spelling(self.text, &mut self.tree.diagnostics);
        }
    }
}

/// Whether an item ends the word before it.
fn is_boundary(kind: ItemKind) -> bool {
    matches!(
        kind,
        ItemKind::Space
            | ItemKind::MinorGroup
            | ItemKind::MajorGroup
            | ItemKind::Pause
            | ItemKind::Linking
            | ItemKind::Separator
    )
}

/// Whether a bracket is […] or /…/ or a double of them.
fn is_transcription(item: &Item) -> bool {
    inventory::brackets()
        .get(usize::from(item.count))
        .is_some_and(|bracket| {
            matches!(bracket.kind, BracketKind::Narrow | BracketKind::Broad)
        })
}

fn bracket_text(item: &Item, open: bool) -> &'static str {
    let bracket = inventory::brackets().get(usize::from(item.count));
    bracket.map_or(
        "",
        |bracket| if open { bracket.open } else { bracket.close },
    )
}

/// Marks that fit a letter only because of another mark on it.
fn excused(mark: u8, letter: &str, has: &dyn Fn(u8) -> bool) -> bool {
    match mark {
        // A syllabic consonant bears tone.
        kind::TONE => has(kind::SYLLABIC),
        // The bidental fricative is h with the bridge above and below.
        kind::DENTAL => letter == "h" && has(kind::DENTOLABIAL),
        // A voiced mark makes room for the voice qualities.
        kind::BREATHY | kind::CREAKY | kind::BREATHY_ASPIRATED => has(kind::VOICED),
        // A devoiced letter can be ejective.
        kind::EJECTIVE => has(kind::VOICELESS),
        _ => false,
    }
}

/// Whether two letters make one segment under a tie.
fn goes_together(first: &FeatureBundle, second: &FeatureBundle) -> bool {
    use Manner::{Affricate, Approximant, Fricative, Nasal, Plosive, Tap, Trill};
    match (first.class, second.class) {
        (Class::Vowel, Class::Vowel) => true,
        (Class::Consonant, Class::Consonant) => {
            let (Some(a), Some(b)) = (first.manner, second.manner) else {
                return true;
            };
            match (a, b) {
                (Plosive | Affricate | Nasal, _) | (Fricative, Fricative) => true,
                (Approximant | Trill | Tap, Approximant | Trill | Tap | Fricative) => {
                    true
                }
                (Fricative, Approximant | Trill) => true,
                _ => a == b,
            }
        }
        // An r-coloured vowel may be written as vowel and rhotic approximant.
        (Class::Vowel, Class::Consonant) => {
            second.manner == Some(Approximant) && !second.lateral
        }
        _ => false,
    }
}
