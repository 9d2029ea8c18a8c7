//! Brackets and what they promise: slashes, pauses, obscured stretches, voice labels.

use super::super::{ItemKind, NO_PARTNER};
use super::{NOT_HERE, Read, Reader, content_after};
use crate::diagnostic::{Code, Diagnostic, Subject};
use crate::inventory::{self, BracketKind, Entry};
use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::{tag, take_while1};
use nom::character::complete::{digit1, space0};
use nom::combinator::{opt, recognize};

impl<'t> Reader<'t, '_> {
    /// narrow, content, silent, optional: an opening bracket.
    pub(super) fn open(&mut self, input: &'t str, entry: Entry) -> Read<'t> {
        self.bracket(input, ItemKind::Open, entry.id)
    }

    /// A closing bracket of any of them.
    pub(super) fn close(&mut self, input: &'t str, entry: Entry) -> Read<'t> {
        self.bracket(input, ItemKind::Close, entry.id)
    }

    /// A bracket, its partner not yet known.
    #[inline(never)]
    pub(super) fn bracket(
        &mut self,
        input: &'t str,
        kind: ItemKind,
        id: u16,
    ) -> Read<'t> {
        let mut chars = input.chars();
        chars.next();
        let rest = chars.as_str();
        self.push(kind, self.at(input), self.at(rest), NO_PARTNER, id);
        Ok((rest, ()))
    }

    /// broad: a slash opens where none is open, and closes where one is.
    #[inline(never)]
    pub(super) fn slash(&mut self, input: &'t str, entry: Entry) -> Read<'t> {
        let bit = 1 << (entry.id & 0xF);
        self.slashes ^= bit;
        if self.slashes & bit == 0 {
            self.close(input, entry)
        } else {
            self.open(input, entry)
        }
    }

    /// aside, pause, time, second: one to three full stops or a time, in parentheses.
    #[inline(never)]
    pub(super) fn pause(&mut self, input: &'t str) -> Read<'t> {
        let dots = recognize(take_while1::<_, &str, ()>(|c| c == '.'));
        let time = recognize((
            digit1::<&str, ()>,
            opt((alt((tag("."), tag(","))), digit1)),
            space0,
            opt(alt((
                tag("seconds"),
                tag("secs"),
                tag("sec"),
                tag("s"),
                tag("ms"),
            ))),
            opt(tag(".")),
        ));
        let ellipsis = recognize(tag::<_, &str, ()>("…"));
        let mut inside = (tag("("), alt((dots, time, ellipsis)), opt(tag(")")));
        let (rest, (_, content, closed)) = inside.parse(input)?;
        let (start, end) = (self.at(input), self.at(rest));
        let closed: Option<&str> = closed;
        let dotted = content.starts_with('.');
        if closed.is_none() && !dotted {
            return Err(NOT_HERE);
        }
        self.push(ItemKind::Pause, start, end, 0, 0);
        if closed.is_none() {
            let found =
                Diagnostic::new(Code::BracketUnclosed, start, end, Subject::Bracket("("));
            self.report(found);
        } else if dotted && content.len() > 3 {
            let found = Diagnostic::new(
                Code::PauseMalformed,
                start,
                end,
                Subject::Count(content.len()),
            );
            self.report(found.replaced_by("(...)"));
        } else if content == "…" {
            let mut found =
                Diagnostic::new(Code::FullStops, start, end, Subject::Count(3));
            found.severity = crate::diagnostic::Severity::Style;
            self.report(found.replaced_by("(...)"));
        }
        Ok((rest, ()))
    }

    /// obscured, remark: whatever stands in double parentheses, unread.
    #[inline(never)]
    pub(super) fn obscured(&mut self, input: &'t str) -> Read<'t> {
        let (rest, open) = alt((tag("(("), tag("⸨"))).parse(input)?;
        let close = if open == "((" { "))" } else { "⸩" };
        let id = inventory::brackets()
            .iter()
            .position(|b| b.open == open)
            .unwrap_or(0);
        let id = u16::try_from(id).unwrap_or(0);
        // Stops at the first double parenthesis of either kind, so that a run of opening
        // ones costs no more than its length.
        let next = rest
            .char_indices()
            .map(|(at, _)| (at, rest.get(at..).unwrap_or_default()))
            .find(|(_, tail)| tail.starts_with(open) || tail.starts_with(close));
        let Some((length, _)) = next.filter(|(_, tail)| tail.starts_with(close)) else {
            if open == "((" {
                return Err(NOT_HERE);
            }
            self.push(
                ItemKind::Open,
                self.at(input),
                self.at(rest),
                NO_PARTNER,
                id,
            );
            return Ok((rest, ()));
        };
        let start = self.at(input);
        let inner = start + open.len();
        let end = inner + length;
        self.push(ItemKind::Open, start, inner, NO_PARTNER, id);
        if length > 0 {
            self.push(ItemKind::Obscured, inner, end, 0, 0);
        }
        self.push(ItemKind::Close, end, end + close.len(), NO_PARTNER, id);
        Ok((rest.get(length + close.len()..).unwrap_or_default(), ()))
    }

    /// voice-stretch: an opening brace with its labels. The closing brace and the repeated
    /// labels before it are matched here, so that label letters are not read as segments.
    #[inline(never)]
    pub(super) fn voice_stretch(&mut self, input: &'t str) -> Read<'t> {
        let (rest, _) = tag("{").parse(input)?;
        let start = self.at(input);
        let id = inventory::brackets()
            .iter()
            .position(|bracket| bracket.kind == BracketKind::Voice)
            .and_then(|at| u16::try_from(at).ok())
            .unwrap_or(0);
        self.push(ItemKind::Open, start, start + 1, NO_PARTNER, id);
        // Deeper than anyone labels, braces are brackets like the others.
        let closing = if self.depth < 8 {
            self.closing_brace(start)
        } else {
            None
        };
        let Some(length) = closing
            .map(|at| at - start - 1)
            .filter(|at| *at <= rest.len())
        else {
            return Ok((rest, ()));
        };
        let content = rest.get(..length).unwrap_or_default();
        let mut labels = Vec::new();
        let mut inside = content;
        while let Ok((after, label)) = voice_label(inside) {
            labels.push(label);
            inside = after;
        }
        // As many labels as are repeated, in mirrored order, before the closing brace.
        let mut best = None;
        for take in (1..=labels.len()).rev() {
            let closing: String = labels.iter().take(take).rev().copied().collect();
            let opening: usize = labels.iter().take(take).map(|label| label.len()).sum();
            if content.ends_with(&closing) && opening + closing.len() <= content.len() {
                best = Some((opening, closing.len()));
                break;
            }
        }
        let inner = start + 1;
        let (opening, closing) = best.unwrap_or((0, 0));
        if opening > 0 {
            self.push(ItemKind::Label, inner, inner + opening, 0, 0);
            self.degree(labels.first().copied(), inner, inner + length);
        } else if let Some(label) = labels.first() {
            // A label letter may be a segment: only a label set off by a space is one.
            let set_off = content
                .get(label.len()..)
                .is_some_and(|rest| rest.starts_with(' '));
            let degree = label.starts_with(|c: char| c.is_ascii_digit());
            let capital = label.chars().any(|c| c.is_ascii_uppercase());
            if set_off || degree || capital {
                let end = inner + label.len();
                let found = Diagnostic::new(
                    Code::VoiceLabelUnmatched,
                    start,
                    end,
                    Subject::Words(Box::new((
                        format!(
                            "the label `{label}` is not repeated before the closing brace"
                        ),
                        Some(format!("type {{{label} … {label}}}")),
                    ))),
                );
                self.report(found);
                self.push(ItemKind::Label, inner, end, 0, 0);
                return Ok((content_after(rest, label.len()), ()));
            }
        } else {
            self.report(Diagnostic::new(
                Code::VoiceLabelMissing,
                start,
                inner,
                Subject::None,
            ));
        }
        // The stretch between the labels is read as usual, then the closing label.
        let middle = rest.get(opening..length - closing).unwrap_or_default();
        let mut left = middle;
        while !left.is_empty() {
            left = self.within(left);
        }
        if closing > 0 {
            let end = inner + length;
            self.push(ItemKind::Label, end - closing, end, 0, 0);
        }
        Ok((rest.get(length..).unwrap_or_default(), ()))
    }

    /// Reads one element of a stretch that ends before the text does.
    pub(super) fn within(&mut self, left: &'t str) -> &'t str {
        // Offsets count back from the end of the text, so the stretch is read by a reader
        // whose text ends where the stretch does.
        let start = (left.as_ptr() as usize).saturating_sub(self.text.as_ptr() as usize);
        let text = self.text.get(..start + left.len()).unwrap_or(self.text);
        let mut inner = Reader {
            text,
            tree: &mut *self.tree,
            broad: self.broad,
            slashes: 0,
            depth: self.depth + 1,
            no_lead_before: 0,
        };
        match inner.element(left) {
            Ok((after, ())) if after.len() < left.len() => after,
            _ => inner.skip_one(left),
        }
    }

    /// Where the brace at an offset is closed. All braces are matched once, at the first.
    #[allow(
        clippy::cast_possible_truncation,
        reason = "texts beyond 4 GB are not read"
    )]
    pub(super) fn closing_brace(&mut self, open: usize) -> Option<usize> {
        if self.tree.braces.is_empty() {
            let mut stack = Vec::new();
            for (at, byte) in self.text.bytes().enumerate() {
                match byte {
                    b'{' => {
                        stack.push(self.tree.braces.len());
                        self.tree.braces.push((at as u32, None));
                    }
                    b'}' => {
                        let pair =
                            stack.pop().and_then(|open| self.tree.braces.get_mut(open));
                        if let Some(pair) = pair {
                            pair.1 = Some(at as u32);
                        }
                    }
                    _ => {}
                }
            }
        }
        let braces = &self.tree.braces;
        let at = braces
            .binary_search_by_key(&open, |pair| pair.0 as usize)
            .ok()?;
        braces.get(at)?.1.map(|close| close as usize)
    }

    /// Degrees of voice quality go from 1 to 3.
    pub(super) fn degree(&mut self, label: Option<&str>, start: usize, end: usize) {
        let degree = label
            .and_then(|label| label.chars().next())
            .filter(char::is_ascii_digit);
        if let Some(degree) = degree
            && !('1'..='3').contains(&degree)
        {
            let found = Diagnostic::new(
                Code::VoiceDegree,
                start,
                end,
                Subject::Character(degree),
            );
            self.report(found);
        }
    }

    /// A digit before a label letter outside braces is read with the digits.
    #[inline(never)]
    pub(super) fn degree_outside(&mut self, input: &'t str) -> Read<'t> {
        let (rest, run) = take_while1(|c: char| c.is_ascii_digit()).parse(input)?;
        if run.len() < 2 {
            return Err(NOT_HERE);
        }
        let (start, end) = (self.at(input), self.at(rest));
        self.push(ItemKind::Unreadable, start, end, 0, 0);
        self.report(Diagnostic::new(
            Code::DigitInText,
            start,
            end,
            Subject::Count(run.len()),
        ));
        Ok((rest, ()))
    }
}

/// voice-label: an optional degree and a label.
fn voice_label(input: &str) -> Read<'_, &str> {
    let (rest, degree) = opt(take_while1(|c: char| c.is_ascii_digit())).parse(input)?;
    let degree = degree.unwrap_or_default();
    if degree.len() > 1 {
        return Err(NOT_HERE);
    }
    for (label, _) in inventory::voice_labels() {
        if let Some(after) = rest.strip_prefix(label) {
            let length = degree.len() + label.len();
            return Ok((after, input.get(..length).unwrap_or_default()));
        }
    }
    Err(NOT_HERE)
}
