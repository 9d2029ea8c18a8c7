//! What stands between sounds: stress, breaks, tones, spaces, links, steps.

use super::super::{Item, ItemKind};
use super::{Judge, is_boundary, is_transcription};
use crate::diagnostic::{Code, Diagnostic, Subject};
use crate::feature::Class;
use crate::inventory::{self, EntryKind, kind};

impl Judge<'_, '_> {
    pub(super) fn stress(&mut self, at: usize, item: Item) {
        let (start, end) = (item.start as usize, item.end as usize);
        let next = self.item(at + 1);
        if let Some(next) = next
            && matches!(
                next.kind,
                ItemKind::PrimaryStress | ItemKind::SecondaryStress
            )
        {
            let code = if next.kind == item.kind {
                Code::StressRepeated
            } else {
                Code::StressDoubled
            };
            if self.extends_last(code, start, next.end as usize) {
                return;
            }
            let found = Diagnostic::new(code, start, next.end as usize, Subject::None);
            let single = item.span().of(self.text).to_owned();
            self.report(if code == Code::StressRepeated {
                found.replaced_by(single)
            } else {
                found
            });
            return;
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
                if let (Some(space), Some(ItemKind::Segment)) = (next, after)
                    && space.kind == ItemKind::Space
                {
                    found.related = Some(found.span);
                    found.span.end = space.end as usize;
                    found = found.replaced_by(format!(" {}", item.span().of(self.text)));
                }
                self.report(found);
            }
        }
    }

    /// A run of the same fault grows the last diagnostic.
    pub(super) fn extends_last(&mut self, code: Code, start: usize, end: usize) -> bool {
        match self.tree.diagnostics.last_mut() {
            Some(last) if last.code == code && last.span.end > start => {
                last.span.end = end;
                true
            }
            _ => false,
        }
    }

    /// A stress mark between the onset of a word and its vowel.
    pub(super) fn stress_place(&mut self, at: usize, item: Item) {
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
        // A stand-in that may be no stress mark at all has its own notice.
        let mark = item.span().of(self.text);
        if !mark.chars().all(|c| matches!(c, 'ˈ' | 'ˌ')) {
            return;
        }
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
    pub(super) fn nucleus(&mut self, from: usize, stress: Item) {
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
    pub(super) fn is_nucleus(&self, item: &Item) -> bool {
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

    pub(super) fn syllable_break(&mut self, at: usize, item: Item) {
        let (start, end) = (item.start as usize, item.end as usize);
        let before = self.before(at).map(|item| item.kind);
        let next = self.item(at + 1).map(|item| item.kind);
        let single = |code| Diagnostic::new(code, start, end, Subject::None);
        match (before, next) {
            (Some(ItemKind::SyllableBreak), _)
                if !self.extends_last(Code::BreakDoubled, start, end) =>
            {
                let from = self.before(at).map_or(start, |item| item.start as usize);
                let found = Diagnostic::new(Code::BreakDoubled, from, end, Subject::None);
                self.report(found.replaced_by("."));
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

    pub(super) fn tone(&mut self, at: usize, item: Item) {
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
    pub(super) fn loose_tone(&mut self, start: usize, end: usize, follows: bool) {
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

    pub(super) fn space(&mut self, at: usize, item: Item) {
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
    pub(super) fn lone_click(&mut self, at: usize) {
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

    pub(super) fn linking(&mut self, at: usize, item: Item) {
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

    pub(super) fn step(&mut self, at: usize, item: Item) {
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

    pub(super) fn intonation(&mut self, at: usize, item: Item) {
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

    pub(super) fn reiteration(&mut self, at: usize, item: Item) {
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
}
