//! Brackets: which belong together, and what the outer ones promise.

use super::super::{Item, ItemKind, NO_PARTNER, Notation};
use super::{Judge, bracket_text, is_transcription};
use crate::diagnostic::{Code, Diagnostic, Subject};
use crate::inventory::{self, BracketKind};

impl Judge<'_, '_> {
    /// Matches brackets and finds what the outer ones promise.
    pub(super) fn delimiters(&mut self) {
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

    pub(super) fn close(
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

    pub(super) fn partner(&mut self, open: usize, close: usize) {
        let number = |at| u32::try_from(at).unwrap_or(NO_PARTNER);
        if let Some(item) = self.tree.items.get_mut(open) {
            item.first = number(close);
        }
        if let Some(item) = self.tree.items.get_mut(close) {
            item.first = number(open);
        }
    }

    /// An opening bracket without its closing one; a run of them is one fault.
    pub(super) fn unclosed(&mut self, item: Item) {
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
        if let Some(last) = self.tree.diagnostics.last_mut()
            && last.code == Code::BracketUnclosed
            && last.span.start == item.end as usize
        {
            last.span.start = item.start as usize;
            return;
        }
        self.report(Diagnostic::new(
            Code::BracketUnclosed,
            item.start as usize,
            item.end as usize,
            Subject::Bracket(bracket_text(&item, true)),
        ));
    }
}
