//! Judges a tree: what stands where it may not, contradicts, or adds nothing.
//!
//! One pass over the items; only segments that the parser found suspect are looked at
//! letter by letter. Linear in the text.

mod between;
mod bracket;
mod sound;

use super::{Item, ItemKind, Notation, Tree};
use crate::diagnostic::{Code, Diagnostic, Severity, Subject};
use crate::inventory::{self, BracketKind};

/// How many segments in one stretch are too many to read.
pub(crate) const LONG_STRETCH: usize = 1_000;

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

    /// One diagnostic for neighbours of the same code.
    fn report_run(&mut self, code: Code, item: Item) {
        if let Some(last) = self.tree.diagnostics.last_mut()
            && last.code == code
            && last.span.end == item.start as usize
        {
            last.span.end = item.end as usize;
            return;
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
            && let Some(item) = self.tree.items.iter().find(group).copied()
        {
            self.report_at(Code::GroupAlone, item.start as usize, item.end as usize);
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
