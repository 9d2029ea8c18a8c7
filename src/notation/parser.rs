//! The grammar of `grammar/notation.abnf` as nom parsers, one function a rule.
//!
//! Each takes the tree and the rest of the text, and folds what it reads into the tree's
//! buffers, so that reading allocates nothing. Every leaf is table driven: one look-up a
//! character. `element` is total: its last alternative takes any character.

use nom::branch::alt;
use nom::bytes::complete::{tag, take_while, take_while1};
use nom::character::complete::{digit1, space0, space1};
use nom::combinator::{opt, recognize};
use nom::{IResult, Parser};
use unicode_normalization::UnicodeNormalization as _;
use unicode_properties::{GeneralCategory as G, UnicodeGeneralCategory as _};

use super::{Item, ItemKind, Letter, MarkAt, NO_PARTNER, PLAIN, Tree};
use crate::diagnostic::{Code, Diagnostic, Subject};
use crate::feature::{Class, Manner};
use crate::inventory::{self, BracketKind, Entry, EntryKind, NONE, Status};

/// What a rule gives: the rest of the text, or "not here".
type Read<'t, O = ()> = IResult<&'t str, O, ()>;

const NOT_HERE: nom::Err<()> = nom::Err::Error(());

/// Set in the kinds seen once a modifier letter has been; no kind has this bit.
const AFTER_MODIFIER: u128 = 1 << 126;

/// No modifier stands before the letter.
const NOT_LED: u32 = u32::MAX;

/// The most marks that fit on one letter before they are a stack.
pub(super) const MARKS_ON_A_LETTER: usize = 9;

/// transcription, variant: elements to the end of the text.
pub(super) fn transcription(text: &str, tree: &mut Tree) {
    // Offsets are kept in 32 bits: what lies beyond four gigabytes is not read.
    let within = u32::try_from(text.len()).is_ok();
    let broad = text.trim_start().starts_with(['/', '⫽']);
    let mut reader = Reader {
        text,
        tree,
        broad,
        slashes: 0,
        depth: 0,
        no_lead_before: 0,
    };
    let mut rest = if within { text } else { "" };
    if !within {
        let whole = Subject::Words(Box::new((
            "the text is longer than four gigabytes".to_owned(),
            Some("cut it into lines".to_owned()),
        )));
        reader.report(Diagnostic::new(Code::TextLong, 0, text.len(), whole));
    }
    while !rest.is_empty() {
        let read = match reader.word(rest) {
            Ok(read) => Ok(read),
            Err(_) => reader.element(rest),
        };
        rest = match read {
            Ok((after, ())) if after.len() < rest.len() => after,
            _ => reader.skip_one(rest),
        };
    }
}

/// The tree being filled, and the text that offsets count in.
struct Reader<'t, 'w> {
    text: &'t str,
    tree: &'w mut Tree,
    /// Whether the text opens with a slash: narrow detail is noticed then.
    broad: bool,
    /// Which kinds of slash are open, as bits.
    slashes: u16,
    /// How many labelled stretches deep.
    depth: u8,
    /// Modifiers before this offset are known not to lead on to a consonant.
    no_lead_before: usize,
}

impl<'t> Reader<'t, '_> {
    /// utterance, phrase, boundary: one element, a word or a sign between words.
    fn element(&mut self, input: &'t str) -> Read<'t> {
        let Some(first) = input.chars().next() else {
            return Err(NOT_HERE);
        };
        let entry = inventory::entry(first);
        match entry.kind {
            EntryKind::Letter | EntryKind::Precomposed => self.word(input),
            EntryKind::PrimaryStress | EntryKind::SecondaryStress => {
                self.stress(input, entry)
            }
            EntryKind::Space => self.space(input),
            EntryKind::SyllableBreak => self.syllable_break(input),
            EntryKind::ToneLetter | EntryKind::ToneDigit => self.tone_run(input),
            EntryKind::Modifier => self
                .leading(input)
                .or_else(|_| self.unattached_modifier(input)),
            EntryKind::Open => self
                .pause(input)
                .or_else(|_| self.obscured(input))
                .or_else(|_| self.voice_stretch(input))
                .or_else(|_| self.open(input, entry)),
            EntryKind::Close => self.close(input, entry),
            EntryKind::Slash => self.slash(input, entry),
            EntryKind::MinorGroup | EntryKind::MajorGroup => self.group(input, entry),
            EntryKind::Linking => self.sign(input, ItemKind::Linking),
            EntryKind::Step => self.step(input, entry),
            EntryKind::Intonation => self.sign(input, ItemKind::Intonation),
            EntryKind::Reiteration => self
                .escape_sequence(input)
                .or_else(|_| self.sign(input, ItemKind::Reiteration)),
            EntryKind::Lookalike => self
                .markup(input)
                .or_else(|_| self.degree_outside(input))
                .or_else(|_| self.lookalike(input, entry)),
            EntryKind::Mark | EntryKind::Cedilla => self.unattached_mark(input),
            EntryKind::Tie => self.unattached_tie(input),
            EntryKind::Unknown => {
                self.separator(input).or_else(|_| self.unreadable(input))
            }
        }
    }

    fn at(&self, rest: &str) -> usize {
        self.text.len() - rest.len()
    }

    fn report(&mut self, diagnostic: Diagnostic) {
        self.tree.diagnostics.push(diagnostic);
    }

    #[allow(
        clippy::cast_possible_truncation,
        reason = "texts beyond 4 GB are not read"
    )]
    fn push(&mut self, kind: ItemKind, start: usize, end: usize, first: u32, count: u16) {
        self.tree.signs |= 1 << kind as u32;
        self.tree.items.push(Item {
            start: start as u32,
            end: end as u32,
            first,
            count,
            kind,
            suspect: false,
        });
    }

    /// linking, intonation, reiterated: a sign that is one character.
    fn sign(&mut self, input: &'t str, kind: ItemKind) -> Read<'t> {
        let mut chars = input.chars();
        chars.next();
        let rest = chars.as_str();
        self.push(kind, self.at(input), self.at(rest), 0, 0);
        Ok((rest, ()))
    }

    /// space: white space between words.
    fn space(&mut self, input: &'t str) -> Read<'t> {
        let (rest, _) = take_while1(|c| c == ' ').parse(input)?;
        self.push(ItemKind::Space, self.at(input), self.at(rest), 0, 0);
        Ok((rest, ()))
    }

    /// stress: ˈ or ˌ.
    fn stress(&mut self, input: &'t str, entry: Entry) -> Read<'t> {
        let kind = if entry.kind == EntryKind::PrimaryStress {
            ItemKind::PrimaryStress
        } else {
            ItemKind::SecondaryStress
        };
        self.sign(input, kind)
    }

    /// syllable-break: a full stop. Three in a row are no breaks but a pause without its
    /// parentheses.
    fn syllable_break(&mut self, input: &'t str) -> Read<'t> {
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
    fn group(&mut self, input: &'t str, entry: Entry) -> Read<'t> {
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
    fn step(&mut self, input: &'t str, _entry: Entry) -> Read<'t> {
        self.sign(input, ItemKind::Step)
    }

    /// tone-run: tone letters or superscript tone digits.
    #[inline(never)]
    fn tone_run(&mut self, input: &'t str) -> Read<'t> {
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

    /// word, syllable, stressed, sounds, sound, run: one segment after another.
    ///
    /// A letter without marks is the common case and is read here; whatever else belongs to
    /// a segment is read by `segment`.
    #[allow(
        clippy::cast_possible_truncation,
        reason = "texts beyond 4 GB are not read"
    )]
    fn word(&mut self, input: &'t str) -> Read<'t> {
        let bytes = self.text.as_bytes();
        let begin = self.at(input);
        let mut start = begin;
        let Some((mut entry, mut length)) = inventory::entry_at(bytes, start) else {
            return Err(NOT_HERE);
        };
        while matches!(entry.kind, EntryKind::Letter | EntryKind::Precomposed) {
            let end = start + length;
            let next = inventory::entry_at(bytes, end);
            let alone = next.is_none_or(|(next, _)| !may_join(next.kind));
            if alone && entry.kind == EntryKind::Letter && entry.value == 0 {
                self.tree.items.push(Item {
                    start: start as u32,
                    end: end as u32,
                    first: u32::from(entry.id),
                    count: PLAIN,
                    kind: ItemKind::Segment,
                    suspect: false,
                });
                start = end;
                let Some(next) = next else { break };
                (entry, length) = next;
            } else {
                let marks = self.tree.marks.len();
                let letter = self.text.get(start..).unwrap_or_default();
                let after = self.text.get(end..).unwrap_or_default();
                let rest = self.segment(letter, after, entry, marks, NOT_LED);
                start = self.at(rest);
                let Some(next) = inventory::entry_at(bytes, start) else {
                    break;
                };
                (entry, length) = next;
            }
        }
        if start == begin {
            return Err(NOT_HERE);
        }
        Ok((self.text.get(start..).unwrap_or_default(), ()))
    }

    /// segment: a letter with its marks, and further letters under tie bars.
    ///
    /// The first letter has been looked up already and `after` begins behind it; marks from
    /// number `marks` on stand before it, from offset `led` on. Gives the rest.
    #[allow(
        clippy::cast_possible_truncation,
        reason = "texts beyond 4 GB are not read"
    )]
    fn segment(
        &mut self,
        input: &'t str,
        after: &'t str,
        entry: Entry,
        marks: usize,
        led: u32,
    ) -> &'t str {
        let start = self.at(input) as u32;
        let first_letter = self.tree.letters.len() as u32;
        let mut letter = Letter {
            start,
            end: 0,
            marks: marks as u32,
            mark_count: 0,
            symbol: entry.id,
            tie: 0,
        };
        let mut suspect = entry.value != 0 || led != NOT_LED;
        let mut seen = 0_u128;
        let mut rest = after;
        let mut chars = after.chars();
        let mut next = None;
        if entry.kind == EntryKind::Precomposed {
            suspect |= self.compose(&mut letter, &mut seen, entry.id);
            if entry.value == 2 {
                self.composed_lookalike(input);
            }
        }
        while let Some(c) = chars.next() {
            let entry = inventory::entry(c);
            match entry.kind {
                EntryKind::Mark => {}
                EntryKind::Modifier => {
                    if entry.value == 1 && self.leads_on(&letter, chars.as_str()) {
                        next = Some(entry);
                        break;
                    }
                }
                EntryKind::Cedilla | EntryKind::Lookalike | EntryKind::Unknown => {
                    if self.strange_mark(&mut letter, &mut seen, entry, c, rest) {
                        suspect = true;
                        rest = chars.as_str();
                        continue;
                    }
                    next = Some(entry);
                    break;
                }
                _ => {
                    next = Some(entry);
                    break;
                }
            }
            suspect |= self.mark(&mut seen, entry.id, self.at(rest));
            rest = chars.as_str();
        }
        let marked = self.tree.marks.len() - marks;
        if marked != 0 {
            letter.mark_count = marked.min(usize::from(u16::MAX)) as u16;
            suspect |= seen & inventory::care(letter.symbol) != 0;
        }
        letter.end = self.at(rest) as u32;
        self.tree.letters.push(letter);
        let start = if led == NOT_LED { start } else { led };
        self.tree.suspects |= suspect;
        self.tree.items.push(Item {
            start,
            end: letter.end,
            first: first_letter,
            count: 1,
            kind: ItemKind::Segment,
            suspect,
        });
        let follows = matches!(next, Some(entry) if matches!(entry.kind, EntryKind::Tie | EntryKind::Lookalike));
        if follows && !self.tree.chained {
            self.tied(rest)
        } else {
            rest
        }
    }

    /// The letters under tie bars that follow the segment just pushed.
    #[allow(
        clippy::cast_possible_truncation,
        reason = "texts beyond 4 GB are not read"
    )]
    #[inline(never)]
    fn tied(&mut self, input: &'t str) -> &'t str {
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
    fn usual_pair(&self) -> bool {
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

    /// letter: the marks of a precomposed one.
    fn compose(&mut self, letter: &mut Letter, seen: &mut u128, id: u16) -> bool {
        let (symbol, marks) = inventory::composed(id);
        letter.symbol = symbol;
        let mut suspect = inventory::care(symbol) >> 127 == 1;
        for id in marks {
            if id != NONE {
                suspect |= self.mark(seen, id, letter.start as usize);
            }
        }
        suspect
    }

    /// marks, diacritic, modifier, length: adds a mark to a letter. Gives whether the judge
    /// should look.
    #[inline]
    #[allow(
        clippy::cast_possible_truncation,
        reason = "texts beyond 4 GB are not read"
    )]
    fn mark(&mut self, seen: &mut u128, id: u16, start: usize) -> bool {
        self.tree.marks.push(MarkAt {
            start: start as u32,
            id,
            leading: false,
        });
        let mark = inventory::brief(id);
        let clash = *seen & mark.clash != 0;
        // A diacritic after a modifier letter sits on that.
        let on_modifier = mark.flags & 4 == 0 && *seen & AFTER_MODIFIER != 0;
        *seen |= 1_u128 << mark.kind
            | if mark.flags & 4 == 0 {
                0
            } else {
                AFTER_MODIFIER
            };
        clash || on_modifier || mark.flags & 1 != 0 || mark.flags & 2 != 0 && self.broad
    }

    /// Whether a modifier after a vowel belongs to the consonant that follows: aspiration,
    /// nasal and stop onsets do. A glottal catch stays with the vowel, as Danish stød does.
    fn leads_on(&mut self, letter: &Letter, after: &str) -> bool {
        if inventory::symbol(letter.symbol).bundle.class != Class::Vowel
            || self.at(after) < self.no_lead_before
        {
            return false;
        }
        let run = after.trim_start_matches(|c| {
            let entry = inventory::entry(c);
            entry.kind == EntryKind::Modifier && entry.value != 0
        });
        let leads = run
            .chars()
            .next()
            .map(inventory::entry)
            .is_some_and(is_consonant);
        if !leads {
            // The whole run hangs on the vowel: no need to look again for each of it.
            self.no_lead_before = self.at(run) + 1;
        }
        leads
    }

    /// A character after a letter that is none of the marks in use: c with a cedilla, a
    /// lookalike of a mark, or a combining mark of another notation. Gives whether it stays
    /// with the letter.
    #[cold]
    fn strange_mark(
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
        if let Some(id) = inventory::sequence(typed) {
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
        let combining = c.general_category_group() == GeneralCategoryGroup::Mark;
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

    /// tie: a tie bar or slide and the letter it joins. Gives the rest after that letter,
    /// its entry with its length in bytes, and how it joins.
    #[inline(never)]
    fn tie(&mut self, input: &'t str) -> Option<(&'t str, (Entry, usize), u8)> {
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
    fn late_mark(&mut self, id: u16, start: usize) {
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
    fn tie_lookalike(&mut self, input: &'t str) -> Option<(&'t str, (Entry, usize), u8)> {
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

    /// leading: modifier letters before a consonant, as in ʰt and ⁿd, and the segment.
    #[allow(
        clippy::cast_possible_truncation,
        reason = "texts beyond 4 GB are not read"
    )]
    #[inline(never)]
    fn leading(&mut self, input: &'t str) -> Read<'t> {
        let marks = self.tree.marks.len();
        let mut rest = input;
        let mut chars = input.chars();
        while let Some(c) = chars.next() {
            let entry = inventory::entry(c);
            match entry.kind {
                EntryKind::Modifier if entry.value != 0 => {
                    let start = self.at(rest) as u32;
                    self.tree.marks.push(MarkAt {
                        start,
                        id: entry.id,
                        leading: true,
                    });
                    rest = chars.as_str();
                }
                EntryKind::Letter | EntryKind::Precomposed
                    if is_consonant(entry) || self.vowel_may_lead(marks) =>
                {
                    let led = self.at(input) as u32;
                    return Ok((
                        self.segment(rest, chars.as_str(), entry, marks, led),
                        (),
                    ));
                }
                EntryKind::Lookalike => {
                    let Some((id, after, acting)) = lookalike_letter(rest, entry) else {
                        break;
                    };
                    if !is_consonant(acting) && !self.vowel_may_lead(marks) {
                        break;
                    }
                    self.report_lookalike(id, self.at(rest), self.at(after));
                    let led = self.at(input) as u32;
                    return Ok((self.segment(rest, after, acting, marks, led), ()));
                }
                _ => break,
            }
        }
        self.tree.marks.truncate(marks);
        Err(NOT_HERE)
    }

    /// Before a vowel only a glottal onset or a weak vowel may stand.
    fn vowel_may_lead(&self, marks: usize) -> bool {
        self.tree.marks.get(marks..).is_some_and(|leading| {
            leading.iter().all(|mark| {
                matches!(
                    inventory::mark(mark.id).kind_name,
                    "glottalized" | "vowel-release" | "voice-timing"
                )
            })
        })
    }

    /// A modifier letter or length mark with no letter.
    #[inline(never)]
    fn unattached_modifier(&mut self, input: &'t str) -> Read<'t> {
        self.unattached(input, EntryKind::Modifier, Code::ModifierUnattached)
    }

    /// A combining mark with no letter.
    #[inline(never)]
    fn unattached_mark(&mut self, input: &'t str) -> Read<'t> {
        self.unattached(input, EntryKind::Mark, Code::DiacriticUnattached)
    }

    /// A run of marks of a kind with no letter: one diagnostic, one item.
    fn unattached(&mut self, input: &'t str, kind: EntryKind, code: Code) -> Read<'t> {
        let mut rest = input;
        let mut chars = input.chars();
        let mut first = None;
        let mut after_fixed = false;
        while let Some(c) = chars.next() {
            let entry = inventory::entry(c);
            let same = entry.kind == kind
                || kind == EntryKind::Mark && entry.kind == EntryKind::Cedilla;
            // A modifier that can lead may start a segment of its own after one that cannot.
            if !same || after_fixed && entry.value != 0 {
                break;
            }
            after_fixed = entry.kind == EntryKind::Modifier && entry.value == 0;
            first.get_or_insert((entry, c));
            rest = chars.as_str();
        }
        let Some((entry, c)) = first else {
            return Err(NOT_HERE);
        };
        let (start, end) = (self.at(input), self.at(rest));
        let subject = if entry.kind == EntryKind::Cedilla {
            Subject::Character(c)
        } else {
            Subject::Mark(entry.id)
        };
        self.push(ItemKind::Unreadable, start, end, 0, 0);
        self.report(Diagnostic::new(code, start, end, subject));
        Ok((rest, ()))
    }

    /// A tie bar that joins nothing.
    #[inline(never)]
    fn unattached_tie(&mut self, input: &'t str) -> Read<'t> {
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
    fn move_interrupter(&self, found: &mut Diagnostic, rest: &str) {
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
    fn move_tie_back(&self, found: &mut Diagnostic, last: Option<Item>) {
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
    fn stretch_last(&mut self, end: usize) {
        if let Some(item) = self.tree.items.last_mut() {
            item.end = end as u32;
            if item.count != PLAIN {
                if let Some(letter) = self.tree.letters.last_mut() {
                    letter.end = end as u32;
                }
            }
        }
    }

    /// narrow, content, silent, optional: an opening bracket.
    fn open(&mut self, input: &'t str, entry: Entry) -> Read<'t> {
        self.bracket(input, ItemKind::Open, entry.id)
    }

    /// A closing bracket of any of them.
    fn close(&mut self, input: &'t str, entry: Entry) -> Read<'t> {
        self.bracket(input, ItemKind::Close, entry.id)
    }

    /// A bracket, its partner not yet known.
    #[inline(never)]
    fn bracket(&mut self, input: &'t str, kind: ItemKind, id: u16) -> Read<'t> {
        let mut chars = input.chars();
        chars.next();
        let rest = chars.as_str();
        self.push(kind, self.at(input), self.at(rest), NO_PARTNER, id);
        Ok((rest, ()))
    }

    /// broad: a slash opens where none is open, and closes where one is.
    #[inline(never)]
    fn slash(&mut self, input: &'t str, entry: Entry) -> Read<'t> {
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
    fn pause(&mut self, input: &'t str) -> Read<'t> {
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
    fn obscured(&mut self, input: &'t str) -> Read<'t> {
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
    fn voice_stretch(&mut self, input: &'t str) -> Read<'t> {
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
    fn within(&mut self, left: &'t str) -> &'t str {
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
    fn closing_brace(&mut self, open: usize) -> Option<usize> {
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
    fn degree(&mut self, label: Option<&str>, start: usize, end: usize) {
        let degree = label
            .and_then(|label| label.chars().next())
            .filter(char::is_ascii_digit);
        if let Some(degree) = degree {
            if !('1'..='3').contains(&degree) {
                let found = Diagnostic::new(
                    Code::VoiceDegree,
                    start,
                    end,
                    Subject::Character(degree),
                );
                self.report(found);
            }
        }
    }

    /// A digit before a label letter outside braces is read with the digits.
    #[inline(never)]
    fn degree_outside(&mut self, input: &'t str) -> Read<'t> {
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

    /// A tag of a markup language.
    #[inline(never)]
    fn markup(&mut self, input: &'t str) -> Read<'t> {
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
    fn escape_sequence(&mut self, input: &'t str) -> Read<'t> {
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

    /// separator: between two transcriptions, a comma or tilde separates variants; inside
    /// one it is noticed.
    #[inline(never)]
    fn separator(&mut self, input: &'t str) -> Read<'t> {
        let (rest, sign) = recognize((
            alt((tag(","), tag("~"), tag("、"))),
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

    fn closed_before(&self, offset: u32) -> bool {
        self.tree
            .items
            .iter()
            .rev()
            .find(|item| item.end <= offset)
            .is_some_and(|item| item.kind == ItemKind::Close)
    }

    /// A character that the table of lookalikes knows: reported, then read as what it is
    /// most likely meant for.
    #[inline(never)]
    fn lookalike(&mut self, input: &'t str, entry: Entry) -> Read<'t> {
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
    fn report_lookalike(&mut self, id: u16, start: usize, end: usize) {
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
    fn unreadable(&mut self, input: &'t str) -> Read<'t> {
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
                    && !matches!(c, ',' | '~' | '、')
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
    fn composed_lookalike(&mut self, input: &'t str) {
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
    fn read_as(&mut self, input: &'t str, rest: &'t str, plain: &str) -> Read<'t> {
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
    fn read_letter(&mut self, input: &'t str, rest: &'t str, entry: Entry) -> &'t str {
        let marks = self.tree.marks.len();
        let rest = self.segment(input, rest, entry, marks, NOT_LED);
        if let Some(item) = self.tree.items.last_mut() {
            item.suspect = true;
            self.tree.suspects = true;
        }
        rest
    }

    /// Takes one character, whatever it is.
    fn skip_one(&mut self, input: &'t str) -> &'t str {
        match self.unreadable(input) {
            Ok((rest, ())) => rest,
            Err(_) => "",
        }
    }
}

/// Whether a character may belong to the letter before it.
#[inline]
fn may_join(kind: EntryKind) -> bool {
    matches!(
        kind,
        EntryKind::Mark
            | EntryKind::Modifier
            | EntryKind::Tie
            | EntryKind::Cedilla
            | EntryKind::Lookalike
            | EntryKind::Unknown
    )
}

/// Whether a character is a consonant letter, or is read as one.
fn is_consonant(entry: Entry) -> bool {
    let acting = if entry.kind == EntryKind::Lookalike {
        inventory::acts(entry.id)
    } else {
        entry
    };
    inventory::letter_id(acting)
        .is_some_and(|id| inventory::symbol(id).bundle.class == Class::Consonant)
}

/// The lookalike that the text begins with if it is read as a letter, what follows it, and
/// that letter. A lookalike may be a letter with its marks, but not several letters.
fn lookalike_letter(input: &str, entry: Entry) -> Option<(u16, &str, Entry)> {
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

/// The letter that c becomes with a cedilla.
fn cedilla_of(symbol: u16) -> Option<u16> {
    (inventory::symbol(symbol).text == "c").then(|| inventory::entry('ç').id)
}

fn content_after(rest: &str, length: usize) -> &str {
    rest.get(length..).unwrap_or_default()
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

/// Whether a letter may be used without remark.
pub(super) fn is_plain(symbol: u16) -> bool {
    matches!(
        inventory::symbol(symbol).status,
        Status::Current | Status::Placeholder
    )
}
