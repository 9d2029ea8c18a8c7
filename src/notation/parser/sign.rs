//! Signs that stand between sounds: stress, breaks, groups, steps, tones, separators.

use super::super::ItemKind;
use super::{Read, Reader};
use crate::diagnostic::{Code, Diagnostic, Subject};
use crate::inventory::{self, Entry, EntryKind};
use nom::Parser;
use nom::bytes::complete::{tag, take_while1};
use nom::character::complete::{one_of, space1};
use nom::combinator::{opt, recognize};

impl<'t> Reader<'t, '_> {
    /// linking, intonation, reiterated: a sign that is one character.
    pub(super) fn sign(&mut self, input: &'t str, kind: ItemKind) -> Read<'t> {
        let mut chars = input.chars();
        chars.next();
        let rest = chars.as_str();
        self.push(kind, self.at(input), self.at(rest), 0, 0);
        Ok((rest, ()))
    }

    /// space: white space between words.
    pub(super) fn space(&mut self, input: &'t str) -> Read<'t> {
        let (rest, _) = take_while1(|c| c == ' ').parse(input)?;
        self.push(ItemKind::Space, self.at(input), self.at(rest), 0, 0);
        Ok((rest, ()))
    }

    /// stress: ˈ or ˌ.
    pub(super) fn stress(&mut self, input: &'t str, entry: Entry) -> Read<'t> {
        let kind = if entry.kind == EntryKind::PrimaryStress {
            ItemKind::PrimaryStress
        } else {
            ItemKind::SecondaryStress
        };
        self.sign(input, kind)
    }

    /// syllable-break: a full stop. Three in a row are no breaks but a pause without its
    /// parentheses.
    pub(super) fn syllable_break(&mut self, input: &'t str) -> Read<'t> {
        let (rest, dots) = take_while1(|c| c == '.').parse(input)?;
        let (start, end) = (self.at(input), self.at(rest));
        if dots.len() >= 3 {
            let found =
                Diagnostic::new(Code::FullStops, start, end, Subject::Count(dots.len()));
            self.report(if dots.len() == 3 {
                found.replaced_by("(...)")
            } else {
                found
            });
            self.push(ItemKind::Pause, start, end, 0, 0);
            return Ok((rest, ()));
        }
        for at in start..end {
            self.push(ItemKind::SyllableBreak, at, at + 1, 0, 0);
        }
        Ok((rest, ()))
    }

    /// group: | or ‖, the latter also typed as two strokes.
    #[inline(never)]
    pub(super) fn group(&mut self, input: &'t str, entry: Entry) -> Read<'t> {
        if let Ok((rest, typed)) = tag::<_, _, ()>("||").parse(input) {
            if let Some(id) = inventory::sequence(typed) {
                self.report_lookalike(id, self.at(input), self.at(rest));
            }
            self.push(ItemKind::MajorGroup, self.at(input), self.at(rest), 0, 0);
            return Ok((rest, ()));
        }
        let minor = entry.kind == EntryKind::MinorGroup;
        self.sign(
            input,
            if minor {
                ItemKind::MinorGroup
            } else {
                ItemKind::MajorGroup
            },
        )
    }

    /// step: ꜛ or ꜜ.
    pub(super) fn step(&mut self, input: &'t str, _entry: Entry) -> Read<'t> {
        self.sign(input, ItemKind::Step)
    }

    /// tone-run: tone letters or superscript tone digits.
    #[inline(never)]
    pub(super) fn tone_run(&mut self, input: &'t str) -> Read<'t> {
        let mut tone = 0_u32;
        let mut levels = 0_u16;
        let mut suspect = false;
        let mut rest = input;
        let mut chars = input.chars();
        while let Some(c) = chars.next() {
            let entry = inventory::entry(c);
            if !matches!(entry.kind, EntryKind::ToneLetter | EntryKind::ToneDigit) {
                // A glottal catch in the middle of a contour, as in Vietnamese ˦ˀ˥.
                let broken = entry.kind == EntryKind::Modifier
                    && levels > 0
                    && chars.clone().next().is_some_and(|next| {
                        inventory::entry(next).kind == EntryKind::ToneLetter
                    })
                    && inventory::mark(entry.id).kind == inventory::kind::GLOTTALIZED;
                if broken {
                    continue;
                }
                break;
            }
            if entry.value != 0 && levels < 8 {
                tone |= u32::from(entry.value & 0xF) << (4 * levels);
            }
            levels = levels.saturating_add(1);
            suspect |= inventory::suprasegmentals()
                .get(usize::from(entry.id))
                .is_some_and(|sign| sign.off_chart);
            rest = chars.as_str();
        }
        self.push(ItemKind::Tone, self.at(input), self.at(rest), tone, levels);
        if let Some(item) = self.tree.items.last_mut() {
            item.suspect = suspect || levels > 4;
        }
        Ok((rest, ()))
    }

    /// separator: between two transcriptions, a comma or tilde separates variants; inside
    /// one it is noticed.
    #[inline(never)]
    pub(super) fn separator(&mut self, input: &'t str) -> Read<'t> {
        let (rest, sign) = recognize((
            one_of(inventory::VARIANTS.as_slice()),
            opt(space1::<&str, ()>),
        ))
        .parse(input)?;
        let sign: &str = sign;
        let (start, end) = (self.at(input), self.at(rest));
        let between = self.tree.items.last().is_some_and(|item| {
            item.kind == ItemKind::Close
                || item.kind == ItemKind::Space && self.closed_before(item.start)
        });
        self.push(ItemKind::Separator, start, end, 0, 0);
        self.slashes = 0;
        if !between {
            let c = sign.chars().next().unwrap_or(',');
            let found = Diagnostic::new(
                Code::VariantsListed,
                start,
                start + c.len_utf8(),
                Subject::Character(c),
            );
            self.report(found);
        }
        Ok((rest, ()))
    }

    pub(super) fn closed_before(&self, offset: u32) -> bool {
        self.tree
            .items
            .iter()
            .rev()
            .find(|item| item.end <= offset)
            .is_some_and(|item| item.kind == ItemKind::Close)
    }
}
