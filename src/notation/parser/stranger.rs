//! What is no sign of the notation: lookalikes, markup, characters without a reading.

use super::super::{ItemKind, Letter};
use super::{NOT_HERE, NOT_LED, Read, Reader, cedilla_of, content_after};
use crate::diagnostic::{Code, Diagnostic, Subject};
use crate::inventory::{self, Entry, EntryKind};
use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::{tag, take_while, take_while1};
use nom::combinator::{opt, recognize};
use unicode_normalization::UnicodeNormalization as _;
use unicode_properties::{GeneralCategory as G, UnicodeGeneralCategory as _};

impl<'t> Reader<'t, '_> {
    /// A character after a letter that is none of the marks in use: c with a cedilla, a
    /// lookalike of a mark, or a combining mark of another notation. Gives whether it stays
    /// with the letter.
    #[cold]
    pub(super) fn strange_mark(
        &mut self,
        letter: &mut Letter,
        seen: &mut u128,
        entry: Entry,
        c: char,
        rest: &str,
    ) -> bool {
        use unicode_properties::{GeneralCategoryGroup, UnicodeGeneralCategory as _};
        if entry.kind == EntryKind::Cedilla
            && let Some(cedilla) = cedilla_of(letter.symbol)
        {
            letter.symbol = cedilla;
            return true;
        }
        let (start, end) = (self.at(rest), self.at(rest) + c.len_utf8());
        let letter_start = letter.start as usize;
        let typed = self.text.get(letter_start..end).unwrap_or_default();
        // No lookalike of several characters ends in a plain key.
        let sequence = (!c.is_ascii())
            .then(|| inventory::sequence(typed))
            .flatten();
        if let Some(id) = sequence {
            self.report_lookalike(id, letter_start, end);
            if let Some(id) = inventory::letter_id(inventory::acts(id)) {
                letter.symbol = id;
            }
            return true;
        }
        let known = entry.kind == EntryKind::Lookalike;
        if known {
            let acts = inventory::acts(entry.id);
            if matches!(acts.kind, EntryKind::Mark | EntryKind::Modifier) {
                self.report_lookalike(entry.id, start, end);
                let _ = self.mark(seen, acts.id, start);
                return true;
            }
            // An invisible character between a letter and its mark.
            let row = inventory::lookalike(entry.id);
            let invisible = row.readings == [""]
                && row.kind != "bracket"
                && rest.chars().nth(1).is_some_and(|next| {
                    matches!(
                        inventory::entry(next).kind,
                        EntryKind::Mark | EntryKind::Modifier
                    )
                });
            if invisible {
                self.report_lookalike(entry.id, start, end);
                return true;
            }
        }
        let combining =
            !c.is_ascii() && c.general_category_group() == GeneralCategoryGroup::Mark;
        // Half marks are a tie typed in two halves: `tie` reads them.
        if !combining || c == '\u{FE20}' {
            return false;
        }
        if known {
            self.report_lookalike(entry.id, start, end);
        } else {
            let found = Diagnostic::new(
                Code::DiacriticUnknown,
                start,
                end,
                Subject::Character(c),
            );
            self.report(found.with_related(letter_start, start));
        }
        true
    }

    /// A tag of a markup language.
    #[inline(never)]
    pub(super) fn markup(&mut self, input: &'t str) -> Read<'t> {
        let name = take_while1::<_, &str, ()>(|c: char| c.is_ascii_alphanumeric());
        let attributes = take_while(|c| c != '>' && c != '<' && c != '\n');
        let mut whole = recognize((tag("<"), opt(tag("/")), name, attributes, tag(">")));
        let (rest, _) = whole.parse(input)?;
        let (start, end) = (self.at(input), self.at(rest));
        self.push(ItemKind::Unreadable, start, end, 0, 0);
        self.report(
            Diagnostic::new(Code::Markup, start, end, Subject::None).replaced_by(""),
        );
        Ok((rest, ()))
    }

    /// An escape sequence: \u00e6, \x41, \u{e6}, \n.
    #[inline(never)]
    pub(super) fn escape_sequence(&mut self, input: &'t str) -> Read<'t> {
        let hex = |c: char| c.is_ascii_hexdigit();
        let braced = recognize((tag("u{"), take_while1::<_, &str, ()>(hex), tag("}")));
        let four = recognize((tag("u"), nom::bytes::complete::take_while_m_n(4, 4, hex)));
        let two = recognize((tag("x"), nom::bytes::complete::take_while_m_n(2, 2, hex)));
        let (rest, (_, escape)) = (tag("\\"), alt((braced, four, two))).parse(input)?;
        let digits: String = escape.chars().filter(char::is_ascii_hexdigit).collect();
        let meant = u32::from_str_radix(&digits, 16)
            .ok()
            .and_then(char::from_u32);
        let (start, end) = (self.at(input), self.at(rest));
        self.push(ItemKind::Unreadable, start, end, 0, 0);
        let found = Diagnostic::new(Code::EscapeSequence, start, end, Subject::None);
        self.report(match meant {
            Some(c) if inventory::entry(c).kind != EntryKind::Unknown => {
                found.replaced_by(c.to_string())
            }
            _ => found,
        });
        Ok((rest, ()))
    }

    /// A character that the table of lookalikes knows: reported, then read as what it is
    /// most likely meant for.
    #[inline(never)]
    pub(super) fn lookalike(&mut self, input: &'t str, entry: Entry) -> Read<'t> {
        if let Some((id, rest, acting)) = lookalike_letter(input, entry) {
            self.report_lookalike(id, self.at(input), self.at(rest));
            return Ok((self.read_letter(input, rest, acting), ()));
        }
        if let Some((typed, id)) = inventory::sequence_at(input) {
            let start = self.at(input);
            let rest = input.get(typed.len()..).unwrap_or_default();
            self.report_lookalike(id, start, start + typed.len());
            self.push(ItemKind::Unreadable, start, start + typed.len(), 0, 0);
            return Ok((rest, ()));
        }
        let mut chars = input.chars();
        chars.next();
        let rest = chars.as_str();
        let (start, end) = (self.at(input), self.at(rest));
        self.report_lookalike(entry.id, start, end);
        let acting = inventory::acts(entry.id);
        let kind = match acting.kind {
            EntryKind::PrimaryStress => ItemKind::PrimaryStress,
            EntryKind::SecondaryStress => ItemKind::SecondaryStress,
            EntryKind::SyllableBreak => ItemKind::SyllableBreak,
            EntryKind::Space => ItemKind::Space,
            EntryKind::MinorGroup => ItemKind::MinorGroup,
            EntryKind::MajorGroup => ItemKind::MajorGroup,
            EntryKind::Linking => ItemKind::Linking,
            EntryKind::Step => ItemKind::Step,
            EntryKind::Intonation => ItemKind::Intonation,
            EntryKind::Open => return self.open(input, acting),
            EntryKind::Close => return self.close(input, acting),
            EntryKind::Slash => return self.slash(input, acting),
            EntryKind::ToneLetter | EntryKind::ToneDigit => {
                self.push(ItemKind::Tone, start, end, u32::from(acting.value), 1);
                return Ok((rest, ()));
            }
            _ => ItemKind::Unreadable,
        };
        self.push(kind, start, end, 0, 0);
        Ok((rest, ()))
    }

    /// Reports a row of the lookalikes.
    pub(super) fn report_lookalike(&mut self, id: u16, start: usize, end: usize) {
        let row = inventory::lookalike(id);
        let code = match row.kind {
            "americanist" => Code::AmericanistLetter,
            "ascii" => Code::AsciiStandIn,
            "quote" => Code::QuoteMark,
            "digit" => Code::DigitInText,
            "superscript" => Code::SuperscriptLookalike,
            "tie" => Code::TieLookalike,
            "mark" => Code::MarkLookalike,
            "space" => Code::SpaceUnusual,
            "invisible" => Code::InvisibleCharacter,
            "bidi" => Code::BidiControl,
            "bracket" => Code::BracketLookalike,
            "arrow" => Code::ArrowLookalike,
            "ligature" => Code::TypographicLigature,
            "dash" => Code::DashOrHyphen,
            _ => Code::LookalikeLetter,
        };
        let code = if start == 0 && row.input == "\u{FEFF}" {
            Code::ByteOrderMark
        } else {
            code
        };
        let mut found = Diagnostic::new(code, start, end, Subject::Lookalike(id));
        found.severity = if code == Code::ByteOrderMark {
            code.severity()
        } else {
            row.severity
        };
        if let [reading] = row.readings {
            found.replacement = Some((*reading).into());
        }
        self.report(found);
    }

    /// unreadable: any character at all.
    #[inline(never)]
    pub(super) fn unreadable(&mut self, input: &'t str) -> Read<'t> {
        let mut chars = input.chars();
        let Some(c) = chars.next() else {
            return Err(NOT_HERE);
        };
        let mut rest = chars.as_str();
        let start = self.at(input);
        let code = match c.general_category() {
            G::Control => Code::ControlCharacter,
            G::Format => Code::InvisibleCharacter,
            G::LineSeparator | G::ParagraphSeparator => Code::ControlCharacter,
            G::SpaceSeparator => Code::SpaceUnusual,
            G::Unassigned | G::PrivateUse | G::Surrogate => Code::CharacterUnassigned,
            G::NonspacingMark | G::EnclosingMark | G::SpacingMark => {
                Code::DiacriticUnattached
            }
            _ => Code::CharacterUnknown,
        };
        if code == Code::SpaceUnusual {
            let end = self.at(rest);
            self.push(ItemKind::Space, start, end, 0, 0);
            self.report(
                Diagnostic::new(code, start, end, Subject::Character(c)).replaced_by(" "),
            );
            return Ok((rest, ()));
        }
        // A run of the same kind of stranger is one fault.
        if code == Code::CharacterUnknown {
            let plain: String = std::iter::once(c).nfkc().collect();
            let readable = !plain.is_empty()
                && !plain.starts_with(c)
                && plain
                    .chars()
                    .all(|p| inventory::entry(p).kind != EntryKind::Unknown);
            if readable {
                let end = self.at(rest);
                self.report(
                    Diagnostic::new(
                        Code::CompatibilityForm,
                        start,
                        end,
                        Subject::Character(c),
                    )
                    .replaced_by(plain.clone()),
                );
                return self.read_as(input, rest, &plain);
            }
            let strange = |c: char| {
                inventory::entry(c).kind == EntryKind::Unknown
                    && !inventory::VARIANTS.contains(&c)
                    && matches!(
                        c.general_category(),
                        G::OtherLetter
                            | G::OtherSymbol
                            | G::UppercaseLetter
                            | G::LowercaseLetter
                    )
                    && std::iter::once(c).nfkc().next() == Some(c)
                    && std::iter::once(c).nfd().next().is_some_and(|base| {
                        inventory::entry(base).kind == EntryKind::Unknown
                    })
            };
            // With its marks, so that it is one fault composed or decomposed.
            let mark = |c: char| {
                matches!(
                    c.general_category(),
                    G::NonspacingMark | G::EnclosingMark | G::SpacingMark
                ) && inventory::entry(c).kind != EntryKind::Tie
            };
            let run = strange(c);
            rest = rest.trim_start_matches(|c| run && strange(c) || mark(c));
        }
        let end = self.at(rest);
        self.push(ItemKind::Unreadable, start, end, 0, 0);
        let found = Diagnostic::new(code, start, end, Subject::Character(c));
        let removable = matches!(
            code,
            Code::ControlCharacter | Code::InvisibleCharacter | Code::CharacterUnassigned
        );
        self.report(if removable {
            found.replaced_by("")
        } else {
            found
        });
        Ok((rest, ()))
    }

    /// Reports a letter and marks in one character of which one at least is a lookalike (À).
    #[cold]
    pub(super) fn composed_lookalike(&mut self, input: &'t str) {
        let Some(c) = input.chars().next() else {
            return;
        };
        let (start, end) = (self.at(input), self.at(input) + c.len_utf8());
        let before = self.tree.diagnostics.len();
        let mut mended = Some(String::new());
        for part in std::iter::once(c).nfd() {
            let entry = inventory::entry(part);
            let meant = match entry.kind {
                EntryKind::Lookalike => {
                    self.report_lookalike(entry.id, start, end);
                    let found = self.tree.diagnostics.last_mut();
                    found.and_then(|found| found.replacement.take())
                }
                EntryKind::Letter | EntryKind::Mark | EntryKind::Modifier => {
                    Some(part.to_string().into())
                }
                _ => {
                    let part = Subject::Character(part);
                    let code = Code::DiacriticUnknown;
                    self.report(Diagnostic::new(code, start, end, part));
                    None
                }
            };
            mended = mended.zip(meant).map(|(all, one)| all + &one);
        }
        if let Some(found) = self.tree.diagnostics.get_mut(before) {
            found.replacement = mended.map(Into::into);
        }
    }

    /// Reads a compatibility form as the letter it stands for.
    pub(super) fn read_as(
        &mut self,
        input: &'t str,
        rest: &'t str,
        plain: &str,
    ) -> Read<'t> {
        let entry = plain.chars().next().map(inventory::entry);
        match entry {
            Some(entry) if entry.kind == EntryKind::Letter => {
                Ok((self.read_letter(input, rest, entry), ()))
            }
            Some(entry) if entry.kind == EntryKind::Open => self.open(input, entry),
            Some(entry) if entry.kind == EntryKind::Close => self.close(input, entry),
            Some(entry) if entry.kind == EntryKind::Slash => self.slash(input, entry),
            _ => {
                self.push(ItemKind::Unreadable, self.at(input), self.at(rest), 0, 0);
                Ok((rest, ()))
            }
        }
    }

    /// Reads a character that stands for a letter.
    pub(super) fn read_letter(
        &mut self,
        input: &'t str,
        rest: &'t str,
        entry: Entry,
    ) -> &'t str {
        let marks = self.tree.marks.len();
        let rest = self.segment(input, rest, entry, marks, NOT_LED);
        if let Some(item) = self.tree.items.last_mut() {
            item.suspect = true;
            self.tree.suspects = true;
        }
        rest
    }

    /// Takes one character, whatever it is.
    pub(super) fn skip_one(&mut self, input: &'t str) -> &'t str {
        match self.unreadable(input) {
            Ok((rest, ())) => rest,
            Err(_) => "",
        }
    }
}

/// The lookalike that the text begins with if it is read as a letter, what follows it, and
/// that letter. A lookalike may be a letter with its marks, but not several letters.
pub(super) fn lookalike_letter(input: &str, entry: Entry) -> Option<(u16, &str, Entry)> {
    let mut chars = input.chars();
    chars.next();
    let (id, rest) = match inventory::sequence_at(input) {
        None => (entry.id, chars.as_str()),
        Some((typed, id)) => {
            let mut marks = typed.chars().skip(1);
            let one = marks.all(|c| c.general_category() == G::NonspacingMark);
            (id, one.then(|| content_after(input, typed.len()))?)
        }
    };
    let acting = inventory::acts(id);
    let letter = matches!(acting.kind, EntryKind::Letter | EntryKind::Precomposed);
    letter.then_some((id, rest, acting))
}
