//! A transcription as a tree: segments with their letters and marks, and everything that
//! stands between them.
//!
//! The tree is flat: items in text order, brackets as items that know their partner, so
//! that depth costs nothing. Offsets are bytes of the text as typed.

pub mod arpabet;
mod clean;
mod converted;
mod judge;
pub mod key_map;
mod parser;
mod printer;
mod suspicion;
mod words;
pub mod x_sampa;

pub use clean::{is_clean, is_valid};
pub use converted::{Converted, Fault, Piece};
#[cfg(feature = "app")]
pub(crate) use judge::LONG_STRETCH;

use crate::diagnostic::{Diagnostic, Severity};
use crate::inventory::{self, Mark, Status, Symbol};
use crate::text::Span;

/// What the outer delimiters promise.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Notation {
    /// Between slashes: phonemes.
    Broad,
    /// Between square brackets: sounds.
    Narrow,
    /// Without delimiters.
    #[default]
    Unmarked,
}

impl Notation {
    /// The word for it in the JSON contract.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Broad => "broad",
            Self::Narrow => "narrow",
            Self::Unmarked => "unmarked",
        }
    }
}

/// What an item is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ItemKind {
    /// One sound: a letter with its marks, or several letters under tie bars.
    Segment,
    /// A run of tone letters or of superscript tone digits.
    Tone,
    /// ˈ
    PrimaryStress,
    /// ˌ
    SecondaryStress,
    /// .
    SyllableBreak,
    /// |
    MinorGroup,
    /// ‖
    MajorGroup,
    /// ‿
    Linking,
    /// ꜛ or ꜜ
    Step,
    /// ↗ or ↘
    Intonation,
    /// White space between words.
    Space,
    /// (.) (..) (...) or a measured pause.
    Pause,
    /// An opening bracket; `partner` is its closing one.
    Open,
    /// A closing bracket; `partner` is its opening one.
    Close,
    /// The text inside double parentheses: not read.
    Obscured,
    /// A label of voice quality or prosody inside braces.
    Label,
    /// \ between repeated segments.
    Reiteration,
    /// A comma or tilde between two transcriptions.
    Separator,
    /// Something with no reading.
    Unreadable,
}

/// One item of the tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Item {
    pub(crate) start: u32,
    pub(crate) end: u32,
    /// Segments: number of the first letter, or the symbol of a plain one. Tones: the levels.
    /// Brackets: the partner's item number, or `NO_PARTNER`.
    pub(crate) first: u32,
    /// Segments: how many letters, or `PLAIN`. Brackets: which pair.
    pub(crate) count: u16,
    pub(crate) kind: ItemKind,
    /// Whether the judge has to look at it closely.
    pub(crate) suspect: bool,
}

/// The count of a segment that is one current letter without marks: it has no entry among
/// the letters.
pub(crate) const PLAIN: u16 = 0;

/// The partner of a bracket that has none.
pub(crate) const NO_PARTNER: u32 = u32::MAX;

impl Item {
    /// What it is.
    #[must_use]
    pub const fn kind(&self) -> ItemKind {
        self.kind
    }

    /// Where it stands.
    #[must_use]
    pub const fn span(&self) -> Span {
        Span::new(self.start as usize, self.end as usize)
    }
}

/// A letter with its marks, inside a segment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Letter {
    pub(crate) start: u32,
    pub(crate) end: u32,
    pub(crate) marks: u32,
    pub(crate) mark_count: u16,
    pub(crate) symbol: u16,
    /// How it hangs on the letter before it: 0 not, 1 tie above, 2 tie below, 3 slide.
    pub(crate) tie: u8,
}

/// How a letter hangs on the one before it when it slides from it.
pub(crate) const SLIDE: u8 = 3;

/// A mark on a letter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct MarkAt {
    pub(crate) start: u32,
    pub(crate) id: u16,
    /// Whether it stands before its letter.
    pub(crate) leading: bool,
}

/// The growing tree: buffers that a parse fills and the next one uses again.
#[derive(Debug, Default)]
pub(crate) struct Tree {
    pub(crate) items: Vec<Item>,
    pub(crate) letters: Vec<Letter>,
    pub(crate) marks: Vec<MarkAt>,
    pub(crate) diagnostics: Vec<Diagnostic>,
    pub(crate) notation: Notation,
    /// Open brackets while judging.
    pub(crate) stack: Vec<u32>,
    /// Which kinds of item besides segments there are, as bits.
    pub(crate) signs: u32,
    /// Whether any segment is suspect.
    pub(crate) suspects: bool,
    /// Whether the letter being read hangs on the one before it by a tie.
    pub(crate) chained: bool,
    /// Every opening brace and where it is closed; filled at the first.
    pub(crate) braces: Vec<(u32, Option<u32>)>,
}

impl Tree {
    pub(crate) fn clear(&mut self) {
        self.items.clear();
        self.letters.clear();
        self.marks.clear();
        self.diagnostics.clear();
        self.stack.clear();
        self.braces.clear();
        self.signs = 0;
        self.suspects = false;
        self.notation = Notation::Unmarked;
    }

    /// The letters of a segment; a plain one is made up on the spot.
    pub(crate) fn letters_of(&self, item: &Item) -> impl Iterator<Item = Letter> + '_ {
        let plain = item.kind == ItemKind::Segment && item.count == PLAIN;
        let first = item.first as usize;
        let kept = if item.kind == ItemKind::Segment {
            usize::from(item.count)
        } else {
            0
        };
        let kept = self.letters.get(first..first + kept).unwrap_or(&[]);
        let made = plain.then(|| Letter {
            start: item.start,
            end: item.end,
            marks: 0,
            mark_count: 0,
            symbol: u16::try_from(item.first).unwrap_or(0),
            tie: 0,
        });
        made.into_iter().chain(kept.iter().copied())
    }

    pub(crate) fn marks_of(&self, letter: &Letter) -> &[MarkAt] {
        let first = letter.marks as usize;
        self.marks
            .get(first..first + usize::from(letter.mark_count))
            .unwrap_or(&[])
    }
}

/// A transcription that has been read and judged.
///
/// # Examples
///
/// ```
/// use apical::notation::{Notation, Transcription};
///
/// let good = Transcription::parse("[ˈt͡ʃʰiːz]");
/// assert!(good.is_valid() && good.diagnostics().is_empty());
/// assert_eq!(good.notation(), Notation::Narrow);
/// let segments: Vec<&str> = good.segments().map(|segment| segment.text()).collect();
/// assert_eq!(segments, ["t͡ʃʰ", "iː", "z"]);
///
/// let bad = Transcription::parse("/bed:/");
/// assert!(!bad.is_valid());
/// let fault = &bad.diagnostics()[0];
/// assert_eq!(fault.replacement(), Some("ː"));
/// ```
///
/// # Source
///
/// IPA chart (revised 2020), extIPA (2015), `VoQS` (2016).
#[derive(Debug, Default)]
pub struct Transcription {
    text: String,
    tree: Tree,
}

impl Transcription {
    /// Reads and judges a text. Never fails: what has no reading is an item of its own and
    /// a diagnostic.
    #[must_use]
    pub fn parse(text: &str) -> Self {
        let mut transcription = Self::default();
        transcription.reparse(text);
        transcription
    }

    /// Reads another text into the same buffers. Linear in the text; allocates nothing once
    /// the buffers have grown.
    pub fn reparse(&mut self, text: &str) {
        self.text.clear();
        self.text.push_str(text);
        self.tree.clear();
        parser::transcription(&self.text, &mut self.tree);
        judge::judge(&self.text, &mut self.tree);
    }

    /// The text as it was typed.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// What the outer delimiters promise.
    #[must_use]
    pub fn notation(&self) -> Notation {
        self.tree.notation
    }

    /// What is wrong, in text order.
    #[must_use]
    pub fn diagnostics(&self) -> &[Diagnostic] {
        &self.tree.diagnostics
    }

    /// Whether it has a reading: no diagnostic is an error.
    #[must_use]
    pub fn is_valid(&self) -> bool {
        self.tree
            .diagnostics
            .iter()
            .all(|diagnostic| diagnostic.severity != Severity::Error)
    }

    /// Everything in text order.
    #[must_use]
    pub fn items(&self) -> &[Item] {
        &self.tree.items
    }

    /// The segments in text order: consonants, vowels, tones and pauses.
    pub fn segments(&self) -> impl Iterator<Item = Segment<'_>> {
        self.tree
            .items
            .iter()
            .filter(|item| {
                matches!(
                    item.kind,
                    ItemKind::Segment | ItemKind::Tone | ItemKind::Pause
                )
            })
            .map(|item| Segment {
                text: &self.text,
                tree: &self.tree,
                item,
            })
    }

    /// The segment that an item is, if it is one.
    #[must_use]
    pub fn segment<'t>(&'t self, item: &'t Item) -> Option<Segment<'t>> {
        matches!(
            item.kind,
            ItemKind::Segment | ItemKind::Tone | ItemKind::Pause
        )
        .then_some(Segment {
            text: &self.text,
            tree: &self.tree,
            item,
        })
    }
}

/// One sound, tone or pause of a transcription.
#[derive(Clone, Copy, Debug)]
pub struct Segment<'t> {
    text: &'t str,
    tree: &'t Tree,
    item: &'t Item,
}

impl<'t> Segment<'t> {
    /// Segment, tone or pause.
    #[must_use]
    pub fn kind(&self) -> ItemKind {
        self.item.kind
    }

    /// Where it stands, marks included.
    #[must_use]
    pub fn span(&self) -> Span {
        self.item.span()
    }

    /// The segment as typed.
    #[must_use]
    pub fn text(&self) -> &'t str {
        self.span().of(self.text)
    }

    /// Its base letters with their marks; one, or several under tie bars. Empty for a tone
    /// or a pause.
    pub fn letters(&self) -> impl Iterator<Item = LetterOf<'t>> {
        let tree = self.tree;
        tree.letters_of(self.item)
            .map(move |letter| LetterOf { letter, tree })
    }

    /// Its letters where they are kept: all but a plain one's.
    #[inline]
    pub(crate) fn kept_letters(&self) -> &'t [Letter] {
        let first = self.item.first as usize;
        let count = usize::from(self.item.count);
        if self.item.kind == ItemKind::Segment {
            self.tree.letters.get(first..first + count).unwrap_or(&[])
        } else {
            &[]
        }
    }

    /// The marks of one of its letters.
    #[inline]
    pub(crate) fn marks_at(&self, letter: &Letter) -> &'t [MarkAt] {
        self.tree.marks_of(letter)
    }

    /// The levels of a tone, a nibble each, the first lowest; 0 if it is no tone.
    #[must_use]
    pub fn tone(&self) -> u32 {
        if self.item.kind == ItemKind::Tone {
            self.item.first
        } else {
            0
        }
    }

    /// Its letters without marks, tied ones joined by a tie bar; for a tone or a pause, the
    /// text itself.
    #[must_use]
    pub fn base(&self) -> String {
        let mut base = String::new();
        for letter in self.letters() {
            if !base.is_empty() {
                base.push('\u{361}');
            }
            base.push_str(letter.symbol().text);
        }
        if base.is_empty() {
            self.text().to_owned()
        } else {
            base
        }
    }

    /// The names of its marks, in the order they were typed.
    #[must_use]
    pub fn mark_names(&self) -> Vec<&'static str> {
        self.letters()
            .flat_map(|letter| letter.marks().map(|(mark, _)| mark.name))
            .collect()
    }

    /// Whether it is one current letter without marks, and which.
    #[inline]
    pub(crate) fn plain(&self) -> Option<&'static Symbol> {
        self.plain_id().map(inventory::symbol)
    }

    /// Its letters and marks as one number, the same for two segments that mean the same;
    /// 0 if it has more of them than the number can hold, or is no sound.
    pub(crate) fn key(&self) -> u128 {
        let mut key = 0;
        let mut left = 8;
        for letter in self.kept_letters() {
            let marks = self.marks_at(letter);
            if marks.len() >= left {
                return 0;
            }
            left -= marks.len() + 1;
            // A letter is known by its top bit.
            let tie = u128::from(letter.tie) << 13;
            key = key << 16 | 0x8000 | tie | u128::from(letter.symbol);
            for mark in marks {
                let leading = u128::from(mark.leading) << 14;
                key = key << 16 | leading | u128::from(mark.id);
            }
        }
        key
    }

    /// The number of that letter.
    #[inline]
    pub(crate) fn plain_id(&self) -> Option<u16> {
        let plain = self.item.kind == ItemKind::Segment && self.item.count == PLAIN;
        plain.then(|| u16::try_from(self.item.first).unwrap_or(0))
    }
}

/// A letter of a segment.
#[derive(Clone, Copy, Debug)]
pub struct LetterOf<'t> {
    letter: Letter,
    tree: &'t Tree,
}

impl<'t> LetterOf<'t> {
    /// Its entry in the inventory.
    #[must_use]
    pub fn symbol(&self) -> &'static Symbol {
        inventory::symbol(self.letter.symbol)
    }

    /// Its marks in the order typed, each with whether it stands before the letter.
    pub fn marks(&self) -> impl Iterator<Item = (&'static Mark, bool)> + use<'t> {
        self.tree
            .marks_of(&self.letter)
            .iter()
            .map(|mark| (inventory::mark(mark.id), mark.leading))
    }

    /// Whether the letter is current.
    #[must_use]
    pub fn is_current(&self) -> bool {
        self.symbol().status == Status::Current
    }
}
