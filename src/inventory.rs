//! A typed view of the tables under `grammar/`.
//!
//! The build script (`inventory/build.rs`) checks the tables and compiles them into the
//! sorted statics that this module looks things up in.

mod accent;
mod automaton;
pub(crate) mod number;

pub use accent::{
    AccentTable, AllophoneRow, CodaRow, Neighbours, OptionRow, PhonemeKind, PhonemeRow,
    PostureRow, WeakFormRow, Where,
};

#[cfg(feature = "app")]
pub(crate) use automaton::{ABREAST, turned_down};
pub(crate) use automaton::{reads, takes};

use crate::diagnostic::Severity;
use crate::feature::{
    Airstream, Backness, Class, Contact, Detail, Details, FeatureBundle, Height, Jaw,
    Length, Lips, Manner, Phonation, Place, Places, Posture, Release, Secondaries,
    Secondary, TongueParts, TongueRoot, Voicing,
};

/// Whether a letter is in use, and if not, why it still reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Status {
    /// On a current chart.
    Current,
    /// Withdrawn; reads with a warning.
    Retired,
    /// Withdrawn so long ago that it has no reading.
    RetiredError,
    /// A ligature for two letters under a tie bar; withdrawn.
    Ligature,
    /// In use somewhere, never on the chart.
    OffChart,
    /// Stands for a sound that was not identified.
    Placeholder,
    /// A capital that stands for any sound of a class.
    Wildcard,
}

/// A base letter.
#[derive(Debug)]
pub struct Symbol {
    /// The letter.
    pub text: &'static str,
    /// Its name on the chart.
    pub name: &'static str,
    /// What the letter itself is called ("esh", "turned r").
    pub called: &'static str,
    /// Its features without any mark.
    pub bundle: FeatureBundle,
    /// Whether it is current.
    pub status: Status,
    /// For a letter that is not current, what to write now; may be empty.
    pub now: &'static str,
    /// Kinds of mark that this letter cannot carry, as bits.
    pub(crate) misfit: u128,
    /// Kinds of mark that add nothing to this letter, as bits.
    pub(crate) nothing: u128,
    /// Which chart it is on: `ipa`, `extipa`, `para`, `other` or `retired`.
    pub set: &'static str,
    /// Where the row is from.
    pub source: &'static str,
}

/// Where a mark sits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Sits {
    /// Under the letter.
    Below,
    /// Over the letter.
    Above,
    /// After the letter, or before the next one.
    After,
    /// Across the letter.
    Overlay,
    /// Around the letter.
    Around,
}

/// Whether a mark is in use, and whether it may be repeated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MarkStatus {
    /// In use; once is enough.
    Current,
    /// In use; twice means more of it.
    Doubles,
    /// In use; twice means overlong.
    Length,
    /// Withdrawn; reads with a warning.
    Retired,
}

/// What a mark does to a bundle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Effect {
    /// Sets the voicing.
    Voicing(Voicing),
    /// Sets the phonation.
    Phonation(Phonation),
    /// Moves the place; on a labial letter, dental makes labiodental.
    Place(Place),
    /// Sets the airstream.
    Airstream(Airstream),
    /// Sets the length; twice long is overlong.
    Length(Length),
    /// Sets the tongue root.
    TongueRoot(TongueRoot),
    /// Moves a vowel towards the centre: 1 mid-centralized, 2 centralized.
    Centralizing(i8),
    /// Raises (+) or lowers (−) by half steps.
    Raising(i8),
    /// Advances (+) or retracts (−) by half steps.
    Advancing(i8),
    /// More (+) or less (−) rounded.
    Rounding(i8),
    /// Adds tone levels, a nibble each.
    Tone(u32),
    /// Adds a release or onset.
    Release(Release),
    /// Adds a secondary articulation.
    Secondary(Secondary),
    /// The overlay tilde: velarized on a lateral, otherwise velarized or pharyngealized.
    Overlay,
    /// Adds a detail.
    Detail(Detail),
    /// Nasalizes.
    Nasalized,
    /// Colours with r.
    Rhotic,
    /// Makes it the peak of a syllable.
    Syllabic,
}

/// A diacritic, a modifier letter or a length mark.
#[derive(Debug)]
pub struct Mark {
    /// The mark, one code point.
    pub text: &'static str,
    /// Its kind: marks of one kind mean the same or go together.
    pub(crate) kind: u8,
    /// The kind's name.
    pub kind_name: &'static str,
    /// The adjective it adds to a segment's name.
    pub name: &'static str,
    /// Where it sits.
    pub sits: Sits,
    /// What it does after a letter.
    pub effects: &'static [Effect],
    /// What it does before a letter; empty if it cannot lead.
    pub leading: &'static [Effect],
    /// Kinds that contradict it, as bits.
    pub(crate) conflicts: u128,
    /// Kinds that go oddly with it, as bits.
    pub(crate) odd: u128,
    /// Whether it is current.
    pub status: MarkStatus,
    /// Whether it is a detail that no broad transcription carries.
    pub narrow_only: bool,
    /// Where the row is from.
    pub source: &'static str,
}

/// Stress, breaks, groups, steps, intonation and tone letters.
#[derive(Debug)]
pub struct Suprasegmental {
    /// The sign.
    pub text: &'static str,
    /// Its name.
    pub name: &'static str,
    /// Whether it is outside the chart.
    pub off_chart: bool,
    /// Where the row is from.
    pub source: &'static str,
}

/// What a pair of brackets says of what stands between them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BracketKind {
    /// […]: phonetic.
    Narrow,
    /// /…/: phonemic.
    Broad,
    /// (…): silent articulation, or a pause when only dots or a time stand in it.
    Silent,
    /// ((…)): noise or obscured speech; not read as IPA.
    Obscured,
    /// {…}: a stretch with a label.
    Voice,
    /// ⁽…⁾: optional or weak.
    Optional,
}

/// A pair of brackets.
#[derive(Debug)]
pub struct Bracket {
    /// The opening one.
    pub open: &'static str,
    /// The closing one.
    pub close: &'static str,
    /// What it says.
    pub kind: BracketKind,
    /// Its name.
    pub name: &'static str,
}

/// What people type that is not a symbol.
#[derive(Debug)]
pub struct Lookalike {
    /// What they type.
    pub input: &'static str,
    /// What that is.
    pub called: &'static str,
    /// What it may be meant for: one reading can be put in its place, several are asked about.
    /// The empty text means "remove".
    pub readings: &'static [&'static str],
    /// How bad it is.
    pub severity: Severity,
    /// Why it is not the symbol.
    pub reason: &'static str,
    /// Which class of mistake it is.
    pub kind: &'static str,
    /// Where the row is from.
    pub source: &'static str,
}

/// What a character is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub(crate) enum EntryKind {
    Unknown,
    Letter,
    Precomposed,
    Mark,
    Modifier,
    Tie,
    Cedilla,
    Reiteration,
    Space,
    PrimaryStress,
    SecondaryStress,
    SyllableBreak,
    MinorGroup,
    MajorGroup,
    Linking,
    Step,
    Intonation,
    ToneLetter,
    ToneDigit,
    Open,
    Close,
    Slash,
    Lookalike,
}

/// A character's entry: `id` counts within the table of its kind.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Entry {
    pub(crate) kind: EntryKind,
    /// Letters: 1 if the judge always looks; composed ones: 2 if a part is a lookalike. Modifiers: 1 may lead inside a word, 2 only at
    /// its start. Tones: the level.
    pub(crate) value: u8,
    pub(crate) id: u16,
}

/// What the parser needs of a mark, close together.
#[derive(Clone, Copy, Debug)]
pub(crate) struct MarkBrief {
    /// Its own kind and the kinds it clashes with, as bits.
    pub(crate) clash: u128,
    pub(crate) kind: u8,
    /// 1 retired, 2 narrow only, 4 sits after the letter.
    pub(crate) flags: u8,
}

/// What goes to a place of articulation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum MouthOrgan {
    /// The lips.
    Lips,
    /// The tip of the tongue.
    Tip,
    /// The part just behind the tip.
    Blade,
    /// The middle or the back.
    Body,
    /// The root and the epiglottis.
    Root,
    /// Nothing in the mouth.
    None,
}

/// A place of articulation in the side view; millimetres, 0 where it does not apply.
#[derive(Clone, Copy, Debug)]
pub(crate) struct MouthPlace {
    /// What goes there.
    pub(crate) organ: MouthOrgan,
    /// The spot on the roof or the throat wall.
    pub(crate) anchor: (f64, f64),
    /// Instead of a spot, the share of the way along the velum.
    pub(crate) along_velum: f64,
    /// Which way the organ comes from, where that is not square to the wall.
    pub(crate) normal: (f64, f64),
    /// The jaw's gap.
    pub(crate) jaw: f64,
    /// The centre of the body while another organ works.
    pub(crate) body: (f64, f64),
    /// Half the thickness of the tip.
    pub(crate) tip_radius: f64,
    /// The hollow behind the tip.
    pub(crate) hollow: f64,
}

/// No number.
pub(crate) const NONE: u16 = u16::MAX;

mod generated {
    #![allow(
        clippy::pedantic,
        clippy::unreadable_literal,
        unreachable_pub,
        missing_docs,
        reason = "written by the build script"
    )]
    use super::automaton::{Dense, Lines};
    use super::{
        AccentTable, Airstream, AllophoneRow, Backness, Bracket, BracketKind, Class,
        CodaRow, Contact, Detail, Details, Effect, Entry, EntryKind, FeatureBundle,
        Height, Jaw, Length, Lips, Lookalike, Manner, Mark, MarkBrief, MarkStatus,
        MouthOrgan, MouthPlace, OptionRow, Phonation, PhonemeKind, PhonemeRow, Place,
        Places, Posture, PostureRow, Release, Secondaries, Secondary, Severity, Sits,
        Status, Suprasegmental, Symbol, TongueParts, TongueRoot, Voicing, WeakFormRow,
    };
    include!(concat!(env!("OUT_DIR"), "/inventory.rs"));
}

pub(crate) use generated::{
    ARPABET, ARPABET_FROM_IPA, CORE_ONSETS, KEY_MAP, RINGS, VARIANTS, X_SAMPA,
    X_SAMPA_FROM_IPA, X_SAMPA_GAPS, kind, mouth,
};

/// All base letters, in the order of their table.
#[must_use]
pub fn symbols() -> &'static [Symbol] {
    &generated::SYMBOLS
}

/// All marks, in the order of their table.
#[must_use]
pub fn marks() -> &'static [Mark] {
    &generated::MARKS
}

/// All suprasegmental signs, in the order of their table.
#[must_use]
pub fn suprasegmentals() -> &'static [Suprasegmental] {
    &generated::SUPRASEGMENTALS
}

/// All brackets, in the order of their table.
#[must_use]
pub fn brackets() -> &'static [Bracket] {
    &generated::BRACKETS
}

/// All lookalikes, in the order of their table.
#[must_use]
pub fn lookalikes() -> &'static [Lookalike] {
    &generated::LOOKALIKES
}

/// The labels of voice quality and prosody, longest first, each with its meaning.
#[must_use]
pub fn voice_labels() -> &'static [(&'static str, &'static str)] {
    &generated::VOICE_LABELS
}

/// All accents, by name.
#[must_use]
pub fn accents() -> &'static [AccentTable] {
    &generated::ACCENTS
}

/// The files of the named patterns, by name: what to call each in a fault, and its text.
#[must_use]
pub fn patterns() -> &'static [(&'static str, &'static str)] {
    &generated::PATTERNS
}

/// The lookalike that is spelled with this sequence of several characters.
pub(crate) fn sequence(input: &str) -> Option<u16> {
    let table = &generated::SEQUENCES;
    let at = table
        .binary_search_by(|(known, _)| (*known).cmp(input))
        .ok()?;
    table.get(at).map(|(_, id)| *id)
}

/// The longest lookalike of several characters that the text begins with.
pub(crate) fn sequence_at(text: &str) -> Option<(&'static str, u16)> {
    let table = &generated::SEQUENCES;
    let first = text.chars().next()?;
    let from = table.partition_point(|(known, _)| known.chars().next() < Some(first));
    table
        .get(from..)?
        .iter()
        .take_while(|(known, _)| known.starts_with(first))
        .filter(|(known, _)| text.starts_with(known))
        .max_by_key(|(known, _)| known.len())
        .copied()
}

/// What a character is. Cost: one load for code points
/// below U+0800, two above.
#[inline]
#[allow(
    clippy::indexing_slicing,
    reason = "the build script makes the pages complete: every index is in bounds, and this is \
              the innermost step of parsing"
)]
pub(crate) fn entry(c: char) -> Entry {
    let code = c as usize;
    if code < 0x800 {
        generated::DIRECT[code]
    } else {
        generated::PAGES[generated::PAGE_OF[code >> 6] as usize][code & 63]
    }
}

/// What the character at a byte offset is, and its length in bytes; `None` at the end.
///
/// The bytes are those of a `str` and the offset is a character's: one or two byte
/// characters, nearly all of a transcription, are looked up without decoding them first.
#[inline]
#[allow(
    clippy::indexing_slicing,
    reason = "eleven masked bits index 2,048 entries"
)]
pub(crate) fn entry_at(bytes: &[u8], at: usize) -> Option<(Entry, usize)> {
    let first = *bytes.get(at)?;
    if first >= 0xE0 {
        return long_entry_at(bytes, at, first);
    }
    // One byte or two is as good as random in a transcription, so it is chosen by a mask
    // and not by a branch.
    let second = bytes.get(at + 1).copied().unwrap_or(0);
    let wide = usize::from(first >> 7);
    let narrow_code = usize::from(first);
    let wide_code = usize::from(first & 0x1F) << 6 | usize::from(second & 0x3F);
    let mask = wide.wrapping_neg();
    let code = narrow_code & !mask | wide_code & mask;
    Some((generated::DIRECT[code & 0x7FF], 1 + wide))
}

/// A character of three or four bytes.
#[cold]
fn long_entry_at(bytes: &[u8], at: usize, first: u8) -> Option<(Entry, usize)> {
    let length = if first < 0xF0 { 3 } else { 4 };
    let c = core::str::from_utf8(bytes.get(at..at + length)?)
        .ok()?
        .chars()
        .next()?;
    Some((entry(c), length))
}

/// The letter and the marks of a precomposed character.
pub(crate) fn composed(id: u16) -> (u16, [u16; 3]) {
    generated::COMPOSED
        .get(usize::from(id))
        .copied()
        .unwrap_or((0, [NONE; 3]))
}

/// What a lookalike is read as; of kind `Unknown` if as nothing.
pub(crate) fn acts(id: u16) -> Entry {
    let nothing = Entry {
        kind: EntryKind::Unknown,
        value: 0,
        id: 0,
    };
    generated::ACTS
        .get(usize::from(id))
        .copied()
        .unwrap_or(nothing)
}

/// The number of the letter that a character is or is composed from.
pub(crate) fn letter_id(entry: Entry) -> Option<u16> {
    match entry.kind {
        EntryKind::Letter => Some(entry.id),
        EntryKind::Precomposed => Some(composed(entry.id).0),
        _ => None,
    }
}

/// The kinds of mark on a letter that call for a closer look, as bits; bit 127 if the letter
/// itself does.
#[inline]
pub(crate) fn care(id: u16) -> u128 {
    generated::CARE
        .get(usize::from(id))
        .copied()
        .unwrap_or(u128::MAX)
}

/// Why a letter with a mark of a kind is a shaded cell of the chart, if it is.
pub(crate) fn shaded(symbol: u16, kind: u8) -> Option<&'static str> {
    generated::SHADED
        .iter()
        .find(|(letter, mark, _)| *letter == symbol && *mark == kind)
        .map(|(_, _, reason)| *reason)
}

/// A letter by its number.
pub(crate) fn symbol(id: u16) -> &'static Symbol {
    generated::SYMBOLS
        .get(usize::from(id))
        .unwrap_or(&generated::SYMBOLS[0])
}

/// A mark by its number.
pub(crate) fn mark(id: u16) -> &'static Mark {
    generated::MARKS
        .get(usize::from(id))
        .unwrap_or(&generated::MARKS[0])
}

/// The short form of a mark.
#[inline]
pub(crate) fn brief(id: u16) -> MarkBrief {
    let nothing = MarkBrief {
        clash: 0,
        kind: 0,
        flags: 0,
    };
    generated::BRIEFS
        .get(usize::from(id))
        .copied()
        .unwrap_or(nothing)
}

/// A lookalike by its number.
pub(crate) fn lookalike(id: u16) -> &'static Lookalike {
    generated::LOOKALIKES
        .get(usize::from(id))
        .unwrap_or(&generated::LOOKALIKES[0])
}
