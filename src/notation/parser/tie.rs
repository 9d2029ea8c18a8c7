//! Ties and slides: several letters under one bar, and ties that tie nothing.

use super::super::{Item, ItemKind, MarkAt, PLAIN};
use super::{NOT_LED, Read, Reader};
use crate::diagnostic::{Code, Diagnostic, Subject};
use crate::feature::{Class, Manner};
use crate::inventory::{self, Entry, EntryKind};
use nom::Parser;
use nom::bytes::complete::take_while1;

impl<'t> Reader<'t, '_> {
    /// The letters under tie bars that follow the segment just pushed.
    #[allow(
        clippy::cast_possible_truncation,
        reason = "texts beyond 4 GB are not read"
    )]
    #[inline(never)]
    pub(super) fn tied(&mut self, input: &'t str) -> &'t str {
        let mut rest = input;
        while let Some((after, (entry, length), joins)) = self.tie(rest) {
            // The next letter is read as a segment of its own, then joined to this one.
            let marks = self.tree.marks.len();
            let letter = self.text.get(self.at(after) - length..).unwrap_or(after);
            // `segment` comes back here only for the first letter: a chain is this loop.
            self.tree.chained = true;
            rest = self.segment(letter, after, entry, marks, NOT_LED);
            self.tree.chained = false;
            if let Some(letter) = self.tree.letters.last_mut() {
                letter.tie = joins;
            }
            let usual = self.usual_pair();
            let joined = self.tree.items.pop();
            if let (Some(item), Some(joined)) = (self.tree.items.last_mut(), joined) {
                item.end = joined.end;
                item.count = item.count.saturating_add(1);
                item.suspect |= joined.suspect || !usual || item.count > 2;
                self.tree.suspects |= item.suspect;
            }
        }
        rest
    }

    /// Whether the last two letters are an affricate or a diphthong with nothing between
    /// them and the tie: then the judge need not look.
    pub(super) fn usual_pair(&self) -> bool {
        let letters = &self.tree.letters;
        let before = letters.len().checked_sub(2).and_then(|at| letters.get(at));
        let (Some(first), Some(second)) = (before, letters.last()) else {
            return false;
        };
        let modified = self
            .tree
            .marks_of(first)
            .iter()
            .any(|mark| inventory::mark(mark.id).sits == inventory::Sits::After);
        let (a, b) = (
            &inventory::symbol(first.symbol).bundle,
            &inventory::symbol(second.symbol).bundle,
        );
        let affricate =
            a.manner == Some(Manner::Plosive) && b.manner == Some(Manner::Fricative);
        let diphthong = a.class == Class::Vowel && b.class == Class::Vowel;
        !modified && (affricate || diphthong)
    }

    /// tie: a tie bar or slide and the letter it joins. Gives the rest after that letter,
    /// its entry with its length in bytes, and how it joins.
    #[inline(never)]
    pub(super) fn tie(
        &mut self,
        input: &'t str,
    ) -> Option<(&'t str, (Entry, usize), u8)> {
        let mut chars = input.chars();
        let tie = chars.next()?;
        let entry = inventory::entry(tie);
        if entry.kind != EntryKind::Tie {
            return self.tie_lookalike(input);
        }
        // Canonical order puts marks below before the tie, and typing order may not: a mark
        // between tie and letter is the first letter's.
        let between = |c: char| {
            let entry = inventory::entry(c);
            entry.kind == EntryKind::Tie || entry.kind == EntryKind::Mark
        };
        let rest = chars.as_str().trim_start_matches(between);
        let mut after = rest.chars();
        let next = after.next().map(|c| (inventory::entry(c), c.len_utf8()))?;
        if !matches!(next.0.kind, EntryKind::Letter | EntryKind::Precomposed) {
            return None;
        }
        let gap = input.get(..input.len() - rest.len()).unwrap_or_default();
        let start = self.at(input);
        let mut ties = 0;
        let mut last_tie = start;
        for (at, c) in gap.char_indices() {
            let entry = inventory::entry(c);
            if entry.kind == EntryKind::Tie {
                ties += 1;
                last_tie = start + at + c.len_utf8();
            } else {
                self.late_mark(entry.id, start + at);
            }
        }
        if ties > 1 {
            let found =
                Diagnostic::new(Code::TieDoubled, start, last_tie, Subject::Count(ties));
            self.report(found.replaced_by("\u{361}"));
        }
        Some((
            after.as_str(),
            next,
            u8::try_from(entry.id).unwrap_or(0) + 1,
        ))
    }

    /// A mark typed between the tie and the next letter: the letter before the tie has it.
    #[allow(
        clippy::cast_possible_truncation,
        reason = "texts beyond 4 GB are not read"
    )]
    pub(super) fn late_mark(&mut self, id: u16, start: usize) {
        self.tree.marks.push(MarkAt {
            start: start as u32,
            id,
            leading: false,
        });
        if let Some(letter) = self.tree.letters.last_mut() {
            letter.mark_count = letter.mark_count.saturating_add(1);
        }
    }

    /// A single breve, half marks or a caret where a tie bar is meant.
    pub(super) fn tie_lookalike(
        &mut self,
        input: &'t str,
    ) -> Option<(&'t str, (Entry, usize), u8)> {
        let mut chars = input.chars();
        let sign = chars.next()?;
        if !matches!(sign, '\u{FE20}' | '^') {
            return None;
        }
        let next = chars.next()?;
        let entry = inventory::entry(next);
        if entry.kind != EntryKind::Letter {
            return None;
        }
        let start = self.at(input);
        let found = Diagnostic::new(
            Code::TieLookalike,
            start,
            start + sign.len_utf8(),
            Subject::Character(sign),
        );
        let mut rest = chars.as_str();
        let mut found = found.replaced_by("\u{361}");
        if sign == '\u{FE20}' && rest.starts_with('\u{FE21}') {
            let after = self.at(rest);
            found.span.end = after + 3;
            let mut fixed = String::from("\u{361}");
            fixed.push(next);
            found.replacement = Some(fixed.into());
            rest = rest.get(3..)?;
            self.report(found);
            return Some((rest, (entry, next.len_utf8() + 3), 1));
        }
        self.report(found);
        Some((rest, (entry, next.len_utf8()), 1))
    }

    /// A tie bar that joins nothing.
    #[inline(never)]
    pub(super) fn unattached_tie(&mut self, input: &'t str) -> Read<'t> {
        let (rest, ties) =
            take_while1(|c| inventory::entry(c).kind == EntryKind::Tie).parse(input)?;
        let (start, end) = (self.at(input), self.at(rest));
        let subject = Subject::Character(ties.chars().next().unwrap_or('\u{361}'));
        let before = self.tree.items.last().copied();
        let follows = rest
            .chars()
            .next()
            .map(inventory::entry)
            .map(|entry| entry.kind);
        let on_segment = before
            .is_some_and(|i| i.kind == ItemKind::Segment && i.end as usize == start);
        let between = on_segment
            && !matches!(
                follows,
                None | Some(EntryKind::Close | EntryKind::Space | EntryKind::Slash)
            );
        let code = if between {
            Code::TieInterrupted
        } else {
            Code::TieUnattached
        };
        let mut found = Diagnostic::new(code, start, end, subject);
        if between {
            self.move_interrupter(&mut found, rest);
        } else if on_segment {
            self.move_tie_back(&mut found, before);
        }
        self.report(found);
        // It belongs to the segment before it, so that the text is given back whole.
        if on_segment {
            self.stretch_last(end);
        } else {
            self.push(ItemKind::Unreadable, start, end, 0, 0);
        }
        Ok((rest, ()))
    }

    /// [t͡ˈʃ] → [ˈt͡ʃ], [t͡ːʃ] → [t͡ʃː]: one reading, so the whole is replaced.
    pub(super) fn move_interrupter(&self, found: &mut Diagnostic, rest: &str) {
        let Some(before) = self.tree.items.last() else {
            return;
        };
        let mut chars = rest.chars();
        let (Some(sign), Some(letter)) = (chars.next(), chars.next()) else {
            return;
        };
        if inventory::entry(letter).kind != EntryKind::Letter {
            return;
        }
        let first = before.span().of(self.text);
        let fixed = match inventory::entry(sign).kind {
            EntryKind::PrimaryStress | EntryKind::SecondaryStress => {
                format!("{sign}{first}\u{361}{letter}")
            }
            EntryKind::Modifier => format!("{first}\u{361}{letter}{sign}"),
            _ => return,
        };
        found.related = Some(found.span);
        found.span.start = before.start as usize;
        found.span.end = self.at(chars.as_str());
        found.replacement = Some(fixed.into());
    }

    /// `[tʃ͡]` → [t͡ʃ]: the tie typed after its second letter.
    pub(super) fn move_tie_back(&self, found: &mut Diagnostic, last: Option<Item>) {
        let items = &self.tree.items;
        let before = items.len().checked_sub(2).and_then(|at| items.get(at));
        let (Some(before), Some(last)) = (before, last) else {
            return;
        };
        if before.kind == ItemKind::Segment && before.end == last.start {
            let fixed = format!(
                "{}\u{361}{}",
                before.span().of(self.text),
                last.span().of(self.text)
            );
            found.related = Some(found.span);
            found.span.start = before.start as usize;
            found.replacement = Some(fixed.into());
        }
    }

    /// Widens the last item to take in what was typed after it.
    #[allow(
        clippy::cast_possible_truncation,
        reason = "texts beyond 4 GB are not read"
    )]
    pub(super) fn stretch_last(&mut self, end: usize) {
        if let Some(item) = self.tree.items.last_mut() {
            item.end = end as u32;
            if item.count != PLAIN
                && let Some(letter) = self.tree.letters.last_mut()
            {
                letter.end = end as u32;
            }
        }
    }
}
