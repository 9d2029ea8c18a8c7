//! The grammar of `grammar/notation.abnf` as nom parsers, one function a rule.
//!
//! Each takes the tree and the rest of the text, and folds what it reads into the tree's
//! buffers, so that reading allocates nothing. Every leaf is table driven: one look-up a
//! character. `element` is total: its last alternative takes any character.

mod bracket;
mod sign;
mod stranger;
mod tie;

use nom::IResult;

use self::stranger::lookalike_letter;
use super::{Item, ItemKind, Letter, MarkAt, PLAIN, Tree};
use crate::diagnostic::{Code, Diagnostic, Subject};
use crate::feature::Class;
use crate::inventory::{self, Entry, EntryKind, NONE, Status};

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

/// The letter that c becomes with a cedilla.
fn cedilla_of(symbol: u16) -> Option<u16> {
    (inventory::symbol(symbol).text == "c").then(|| inventory::entry('ç').id)
}

fn content_after(rest: &str, length: usize) -> &str {
    rest.get(length..).unwrap_or_default()
}

/// Whether a letter may be used without remark.
pub(super) fn is_plain(symbol: u16) -> bool {
    matches!(
        inventory::symbol(symbol).status,
        Status::Current | Status::Placeholder
    )
}
