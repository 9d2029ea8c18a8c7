//! The packed form of an entry, which `inventory/build/lexicon.rs` writes.
//!
//! An entry is a head of two bytes, low byte first: the Zipf frequency in hundredths (ten
//! bits; 0 is unknown) and the kind (two bits). Then the word in its usual spelling, its
//! length in bytes before it. Then the variants: a byte a phoneme, its number from 1 in the
//! lower six bits and the mark before it in the upper two; the byte `END` closes a variant
//! and `LAST` the entry's last.

use super::Kind;

const END: u8 = 0;
const LAST: u8 = 1 << 6;
/// The bits of a phoneme's number.
const NUMBER: u8 = (1 << 6) - 1;

/// What stands before a phoneme in a target.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Nothing: it goes on in the same syllable, or the word has only one.
    None,
    /// A syllable without stress begins.
    Break,
    /// A syllable with secondary stress begins.
    Secondary,
    /// The syllable with primary stress begins.
    Primary,
}

impl Mark {
    pub(super) fn text(self) -> &'static str {
        match self {
            Self::None => "",
            Self::Break => ".",
            Self::Secondary => "ˌ",
            Self::Primary => "ˈ",
        }
    }
}

/// An entry whose head is read.
#[derive(Clone, Copy, Debug)]
pub(super) struct Packed {
    /// In hundredths; 0 if unknown.
    pub(super) zipf: u16,
    pub(super) kind: Kind,
    pub(super) word: &'static str,
    /// The variants and all that follows the entry.
    rest: &'static [u8],
}

impl Packed {
    /// The entry that begins here.
    pub(super) fn read(bytes: &'static [u8]) -> Option<Self> {
        let (head, rest) = bytes.split_first_chunk()?;
        let head = u16::from_le_bytes(*head);
        let kind = *Kind::ALL.get(usize::from(head >> 10 & 3))?;
        let (length, rest) = rest.split_first()?;
        let (word, rest) = rest.split_at_checked((*length).into())?;
        let word = str::from_utf8(word).ok()?;
        Some(Self {
            zipf: head & 0x3ff,
            kind,
            word,
            rest,
        })
    }

    /// The variants, in their order.
    pub(super) fn variants(&self) -> impl Iterator<Item = Variant<'static>> + use<> {
        let mut rest = Some(self.rest);
        std::iter::from_fn(move || {
            let bytes = rest?;
            let end = bytes.iter().position(|byte| byte & NUMBER == 0)?;
            let (variant, after) = bytes.split_at_checked(end)?;
            let (close, after) = after.split_first()?;
            rest = (*close == END).then_some(after);
            Some(Variant { bytes: variant })
        })
    }

    /// The bytes that follow the entry.
    pub(super) fn after(&self) -> &'static [u8] {
        let end = self.rest.iter().position(|byte| *byte == LAST);
        end.and_then(|end| self.rest.get(end + 1..)).unwrap_or(&[])
    }
}

/// The phonemes of one variant, each as its number with the mark before it.
#[derive(Clone, Debug)]
pub(super) struct Variant<'b> {
    bytes: &'b [u8],
}

impl Iterator for Variant<'_> {
    type Item = (Mark, u8);

    fn next(&mut self) -> Option<(Mark, u8)> {
        let (first, rest) = self.bytes.split_first()?;
        self.bytes = rest;
        let mark = match first >> 6 {
            0 => Mark::None,
            1 => Mark::Break,
            2 => Mark::Secondary,
            _ => Mark::Primary,
        };
        Some((mark, first & NUMBER))
    }
}
