//! The machine contract: one object a line, in types of their own.
//!
//! Fields may be added; none is renamed, retyped or dropped without a new [`VERSION`].
//! Offsets are half-open byte offsets into the text exactly as it was given. The types
//! borrow what they write, and take an id of any type that can be written.
//!
//! # Examples
//!
//! ```
//! # #[cfg(feature = "app")] {
//! use apical::report::json::{Lazy, Origin, VERSION};
//!
//! let origin = Origin { version: VERSION, id: 7, line: 1, file: None, place: None };
//! assert_eq!(serde_json::to_string(&origin).unwrap(), r#"{"version":1,"id":7,"line":1}"#);
//! let lazy = Lazy(|| (1..=3).map(|number| number * number));
//! assert_eq!(serde_json::to_string(&lazy).unwrap(), "[1,4,9]");
//! # }
//! ```

mod accent;
pub mod agree;
pub mod analyze;
pub mod class;
#[cfg(all(feature = "app", feature = "lexicon"))]
pub mod material;
pub mod measure;
pub mod practice;
pub mod record;
pub mod rules;
pub mod sarif;
#[cfg(feature = "app")]
pub mod schema;

use std::borrow::Cow;

use serde::{Serialize, Serializer};

use crate::feature::{
    Backness, Contact, Detail, FeatureBundle, Height, Manner, Place, Posture, Release,
    Secondary, TonguePart, TongueRoot,
};
use crate::finding::{difference, prosody};
use crate::report::Fault;
use crate::syllable::{Part, Site};

pub use accent::{Accent, Allophone, Choice, Phoneme, WeakForm};

/// The version every object names.
pub const VERSION: u32 = 1;

/// A list that is made while it is written, so that a line with a million diagnostics
/// never holds them all.
#[derive(Clone, Copy, Debug)]
pub struct Lazy<F>(pub F);

impl<F, I> Serialize for Lazy<F>
where
    F: Fn() -> I,
    I: Iterator,
    I::Item: Serialize,
{
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq((self.0)())
    }
}

/// Writes a word of the contract, of letters and hyphens, as a variant without fields: a
/// serializer has nothing to escape in that.
fn word<S: Serializer>(word: &&'static str, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_unit_variant("Word", 0, word)
}

/// Where an input came from.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Origin<'a, Id> {
    /// Always [`VERSION`].
    pub version: u32,
    /// What the input called itself, handed through.
    pub id: Id,
    /// The line it stood on, from 1; for arguments, their number.
    pub line: u64,
    /// The file it came from, where it came from one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<&'a str>,
    /// Where in the file or stream the text stands; for arguments there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<InFile>,
}

/// A place in a file or stream.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct InFile {
    /// First byte, from 0.
    pub start: u64,
    /// One past the last byte.
    pub end: u64,
    /// Line of the first byte, from 1.
    pub line: u64,
    /// Character of that line, from 1.
    pub column: u64,
    /// Line of what comes after the last byte.
    pub end_line: u64,
    /// Character of that line.
    pub end_column: u64,
}

/// What `apical check` writes.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Check<'a, Id, Diagnostics> {
    // The fields of [`Origin`], here as they are: flattened they take twice the time.
    /// Always [`VERSION`].
    pub version: u32,
    /// What the input called itself, handed through.
    pub id: Id,
    /// The line it stood on, from 1; for arguments, their number.
    pub line: u64,
    /// The file it came from, where it came from one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<&'a str>,
    /// Where in the file or stream the text stands; for arguments there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<InFile>,
    /// The transcription; ill-formed bytes are replaced.
    pub text: &'a str,
    /// What it was before it was mended, where it was.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub was: Option<&'a str>,
    /// Its reading in the alphabet, where it was typed in another notation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ipa: Option<&'a str>,
    /// Whether it has a reading under the standard.
    pub valid: bool,
    /// `broad`, `narrow` or `unmarked`.
    #[serde(serialize_with = "word")]
    pub notation: &'static str,
    /// [`Diagnostic`]s in text order.
    pub diagnostics: Diagnostics,
}

/// One thing to say about a place in the text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Diagnostic {
    /// Its name in the register.
    #[serde(serialize_with = "word")]
    pub code: &'static str,
    /// `error`, `warning` or `style`.
    #[serde(serialize_with = "word")]
    pub severity: &'static str,
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
    /// What is wrong.
    pub message: String,
    /// What to type instead.
    pub help: Option<Cow<'static, str>>,
    /// What mends it when put in place of `start..end`.
    pub replacement: Option<String>,
    /// Other places that have to do with it.
    pub labels: Vec<Label>,
    /// Where it stands in the file or stream, as that is written: entities, escapes and
    /// quotation marks counted. For arguments there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<InFile>,
    /// `target` or `production`, in a comparison.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side: Option<&'static str>,
}

/// A second place that a diagnostic points at.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Label {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
    /// What is there.
    pub message: String,
}

impl From<Fault> for Diagnostic {
    fn from(fault: Fault) -> Self {
        Self {
            code: fault.code,
            severity: fault.severity.name(),
            start: fault.given.start,
            end: fault.given.end,
            message: fault.message,
            help: fault.help,
            replacement: fault.replacement,
            labels: fault
                .labels
                .into_iter()
                .map(|label| Label {
                    start: label.given.start,
                    end: label.given.end,
                    message: label.message,
                })
                .collect(),
            place: None,
            side: None,
        }
    }
}

/// What `apical describe` writes.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Description<'a, Id, Diagnostics, Segments> {
    /// Where it came from.
    #[serde(flatten)]
    pub origin: Origin<'a, Id>,
    /// The transcription; ill-formed bytes are replaced.
    pub text: &'a str,
    /// Its reading in the alphabet, where it was typed in another notation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ipa: Option<&'a str>,
    /// [`Diagnostic`]s in text order.
    pub diagnostics: Diagnostics,
    /// [`Segment`]s in text order.
    pub segments: Segments,
}

/// One segment and everything known about it; values as the feature types name them.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "the contract's fields are what they are"
)]
pub struct Segment<'a> {
    /// The segment as written.
    pub text: &'a str,
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
    /// Consonant, vowel, tone or pause.
    pub class: &'static str,
    /// The base letters without their marks.
    pub base: String,
    /// Voiced or voiceless.
    pub voicing: &'static str,
    /// Modal, breathy or creaky.
    pub phonation: &'static str,
    /// None, one or two places.
    pub place: Vec<&'static str>,
    /// `null` for vowels.
    pub manner: Option<&'static str>,
    /// Air over the sides.
    pub lateral: bool,
    /// What moves the air.
    pub airstream: &'static str,
    /// Nasalized by a mark.
    pub nasalized: bool,
    /// `null` for consonants.
    pub height: Option<&'static str>,
    /// `null` for consonants.
    pub backness: Option<&'static str>,
    /// `null` for consonants.
    pub rounded: Option<bool>,
    /// R-coloured.
    pub rhotic: bool,
    /// Made the peak of a syllable by a mark.
    pub syllabic: bool,
    /// Extra-short to overlong.
    pub length: &'static str,
    /// How it begins and ends.
    pub release: Vec<&'static str>,
    /// Lesser narrowings.
    pub secondary: Vec<&'static str>,
    /// `advanced`, `retracted` or `null`.
    pub tongue_root: Option<&'static str>,
    /// Further detail that a mark adds.
    pub detail: Vec<&'static str>,
    /// Pitch levels, 1 (extra low) to 5 (extra high), in order of time.
    pub tone: Vec<u8>,
    /// The names of its marks.
    pub marks: Vec<&'static str>,
    /// What a client can feel.
    #[serde(flatten)]
    pub posture: Mouth,
    /// Where the mouth of a diphthong moves to.
    pub to: Option<Mouth>,
    /// The phonetician's name.
    pub name: String,
}

/// A posture; `null` throughout for a tone or a pause.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Mouth {
    /// Closed, slightly open or open.
    pub jaw: Option<&'static str>,
    /// Neutral, spread, rounded or protruded.
    pub lips: Option<&'static str>,
    /// The parts of the tongue that work.
    pub tongue: Vec<&'static str>,
    /// What is touched or approached.
    pub contact: Option<&'static str>,
    /// Whether it is touched.
    pub touches: bool,
}

impl Mouth {
    /// The contract's form of a posture.
    #[must_use]
    pub fn new(posture: &Posture) -> Self {
        Self {
            jaw: Some(posture.jaw.name()),
            lips: Some(posture.lips.name()),
            tongue: posture.tongue.iter().map(TonguePart::name).collect(),
            contact: posture.contact.map(Contact::name),
            touches: posture.touches,
        }
    }
}

/// The words for a segment that its features alone do not give.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written<'a> {
    /// The segment as written.
    pub text: &'a str,
    /// First byte in what was given.
    pub start: usize,
    /// One past the last byte in what was given.
    pub end: usize,
    /// The base letters without their marks.
    pub base: String,
    /// The names of its marks.
    pub marks: Vec<&'static str>,
    /// The phonetician's name.
    pub name: String,
}

impl<'a> Segment<'a> {
    /// The contract's form of a segment.
    #[must_use]
    pub fn new(
        written: Written<'a>,
        bundle: &FeatureBundle,
        posture: Option<&Posture>,
        to: Option<&Posture>,
    ) -> Self {
        Self {
            text: written.text,
            start: written.start,
            end: written.end,
            class: bundle.class.name(),
            base: written.base,
            voicing: bundle.voicing.name(),
            phonation: bundle.phonation.name(),
            place: bundle.place.iter().map(Place::name).collect(),
            manner: bundle.manner.map(Manner::name),
            lateral: bundle.lateral,
            airstream: bundle.airstream.name(),
            nasalized: bundle.nasalized,
            height: bundle.height.map(Height::name),
            backness: bundle.backness.map(Backness::name),
            rounded: bundle.rounded,
            rhotic: bundle.rhotic,
            syllabic: bundle.syllabic,
            length: bundle.length.name(),
            release: bundle.release.iter().map(Release::name).collect(),
            secondary: bundle.secondary.iter().map(Secondary::name).collect(),
            tongue_root: bundle.tongue_root.map(TongueRoot::name),
            detail: bundle.detail.iter().map(Detail::name).collect(),
            tone: bundle.tone_levels().collect(),
            marks: written.marks,
            posture: posture.map(Mouth::new).unwrap_or_default(),
            to: to.map(Mouth::new),
            name: written.name,
        }
    }
}

/// What `apical compare` writes.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Comparison<'a, Id, Diagnostics, Columns> {
    /// Where it came from.
    #[serde(flatten)]
    pub origin: Origin<'a, Id>,
    /// What was intended.
    pub target: &'a str,
    /// What was said.
    pub production: &'a str,
    /// [`Diagnostic`]s of both, each with its side.
    pub diagnostics: Diagnostics,
    /// How far apart, in thousandths of one feature.
    pub distance: u64,
    /// [`Column`]s in order.
    pub columns: Columns,
    /// Differences of stress and boundaries.
    pub prosody: &'a [Prosody],
}

/// One column of a comparison.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Column {
    /// What was intended; `null` for an addition.
    pub target: Option<String>,
    /// What was said; `null` for an omission.
    pub production: Option<String>,
    /// Match, allophone, distortion, substitution, omission, addition or transposition.
    pub kind: &'static str,
    /// By feature, in the contract's order.
    pub differences: Vec<Difference>,
    /// Where it stands; `null` throughout for tones and pauses.
    #[serde(flatten)]
    pub place: Option<Standing>,
    /// The accent's rules that allow what differs.
    pub allophones: Vec<Allophone>,
    /// The accent's rules that the sound ought to have followed and did not.
    pub lacking: Vec<Allophone>,
    /// The word that the sound belongs to the weak form of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weak_form_of: Option<&'static str>,
}

/// Where a sound stands: that of the target, or of the production for an addition. Left out
/// for a tone or a pause, and for a word without a nucleus.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Standing {
    /// `initial`, `medial` or `final` in its word; clusters count with the edge.
    pub position: &'static str,
    /// `onset`, `nucleus` or `coda`.
    pub syllable_part: Option<&'static str>,
    /// Its place in its cluster, from 1.
    pub slot: u32,
    /// How many sounds the cluster has.
    pub cluster: u32,
    /// Whether its syllable is stressed; `null` where the transcription does not say.
    pub stressed: Option<bool>,
    /// `primary`, `secondary`, `none` or `unmarked`.
    pub stress: &'static str,
    /// The word, from 1.
    pub word: u32,
    /// The syllable in its word, from 1.
    pub syllable: u32,
}

impl From<&Site> for Standing {
    fn from(site: &Site) -> Self {
        Self {
            position: site.position.name(),
            syllable_part: site.part.map(Part::name),
            slot: site.slot + 1,
            cluster: site.size,
            stressed: site.stress.is_stressed(),
            stress: site.stress.name(),
            word: site.word + 1,
            syllable: site.syllable_in_word + 1,
        }
    }
}

/// One feature in which two sounds differ.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Difference {
    /// The feature's name.
    pub feature: &'static str,
    /// Its value in the target, in words; `none` where it has none.
    pub target: String,
    /// Its value in the production.
    pub production: String,
}

impl From<difference::Difference<'_>> for Difference {
    fn from(difference: difference::Difference<'_>) -> Self {
        Self {
            feature: difference.feature.name(),
            target: difference.target(),
            production: difference.production(),
        }
    }
}

/// A difference of stress or of a boundary.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Prosody {
    /// Primary stress, secondary stress, syllable break or boundary.
    pub feature: &'static str,
    /// The column it belongs to in the target, from 0: for stress that of the vowel that
    /// carries it, else the one it stands before; `null` where it does not stand there.
    pub target: Option<usize>,
    /// The same in the production.
    pub production: Option<usize>,
}

impl From<&prosody::Difference> for Prosody {
    fn from(difference: &prosody::Difference) -> Self {
        Self {
            feature: difference.feature.name(),
            target: difference.target,
            production: difference.production,
        }
    }
}

/// What `apical convert` writes.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Conversion<'a, Id, Diagnostics> {
    /// Where it came from.
    #[serde(flatten)]
    pub origin: Origin<'a, Id>,
    /// What was given.
    pub text: &'a str,
    /// The notation it was given in.
    pub from: &'static str,
    /// The notation it was put into.
    pub to: &'static str,
    /// The same in the other notation; what has no counterpart is left as it was.
    pub converted: &'a str,
    /// [`Diagnostic`]s in text order.
    pub diagnostics: Diagnostics,
}

/// What `apical explain` writes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Explanation<'a> {
    /// Always [`VERSION`].
    pub version: u32,
    /// The code's name in the register.
    pub code: &'static str,
    /// How bad it usually is.
    pub severity: &'static str,
    /// Why it matters and what to do.
    pub explanation: &'static str,
    /// A transcription that has it.
    pub example: &'a str,
}
