//! Sounds: letters that are not current, marks that do not fit, ties that tie nothing.

use super::super::parser::{MARKS_ON_A_LETTER, is_plain};
use super::super::{Item, ItemKind, Letter, MarkAt, Notation};
use super::Judge;
use crate::diagnostic::{Code, Diagnostic, Severity, Subject};
use crate::feature::{Airstream, Class, FeatureBundle, Manner};
use crate::inventory::{self, EntryKind, MarkStatus, Sits, Status, kind};

impl Judge<'_, '_> {
    /// A segment that the parser found suspect.
    pub(super) fn segment(&mut self, at: usize, item: Item) {
        let first = item.first as usize;
        for number in first..first + usize::from(item.count) {
            let Some(letter) = self.tree.letters.get(number).copied() else {
                break;
            };
            self.letter_status(&letter);
            self.marks(&item, &letter, at);
            if letter.tie != 0
                && let Some(before) = self.tree.letters.get(number - 1).copied()
            {
                self.tied(&before, &letter);
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

    pub(super) fn letter_status(&mut self, letter: &Letter) {
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
    pub(super) fn marks(&mut self, item: &Item, letter: &Letter, at: usize) {
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
    pub(super) fn mark_end(&self, mark: &MarkAt) -> usize {
        let start = mark.start as usize;
        start
            + self
                .text
                .get(start..)
                .and_then(|rest| rest.chars().next())
                .map_or(0, char::len_utf8)
    }

    /// Letter and mark that together are typed for something else, such as č or ñ.
    pub(super) fn stands_for_another(
        &mut self,
        letter: &Letter,
        mark: &MarkAt,
        earlier: &[MarkAt],
    ) -> bool {
        if mark.leading {
            return false;
        }
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
    pub(super) fn mark_alone(
        &mut self,
        letter: &Letter,
        at: &MarkAt,
        all: &[MarkAt],
        item: usize,
    ) {
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
    pub(super) fn letter_follows(&self, item: usize, letter: &Letter) -> bool {
        self.item(item + 1).is_some_and(|next| {
            next.kind == ItemKind::Segment && next.start == letter.end
        })
    }

    /// A mark against the marks before it.
    pub(super) fn mark_pairs(
        &mut self,
        letter: &Letter,
        at: &MarkAt,
        earlier: &[MarkAt],
    ) {
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
    pub(super) fn tied(&mut self, before: &Letter, letter: &Letter) {
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
