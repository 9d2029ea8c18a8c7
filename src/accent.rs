//! What an accent permits, and the coaching postures of its sounds.
//!
//! An accent is data: a folder under `grammar/accents/`.

mod allophone;
mod judge;
mod merger;
mod option;
mod reading;

pub use allophone::{Explanation, Heard};
pub use merger::Merger;
pub use option::UnknownOption;
pub use reading::Sounded;

use crate::articulation;
use crate::feature::{
    Class, Details, FeatureBundle, Length, Phonation, Posture, Releases, Secondaries,
    Shift, Voicing,
};
use crate::inventory::{
    self, AccentTable, AllophoneRow, CodaRow, OptionRow, PhonemeKind, PhonemeRow,
    WeakFormRow,
};
use crate::notation::{Segment, Transcription};
use crate::syllable::Shapes;
use allophone::{Cases, Rule};
use judge::Clusters;
use reading::{Spellings, WeakForm};

/// A sound of the accent with its features.
#[derive(Clone, Debug)]
pub struct Phoneme {
    /// In IPA, affricates and diphthongs tied.
    pub text: &'static str,
    /// Which phoneme of [`Accent::row`] it is; its other spellings have the same number.
    pub number: u16,
    /// What kind of phoneme.
    pub kind: PhonemeKind,
    /// A word that has it.
    pub keyword: &'static str,
    /// Its features as one segment.
    pub bundle: FeatureBundle,
    /// The features of its parts, as when it is typed without a tie; one for a plain sound.
    pub parts: Vec<FeatureBundle>,
    /// Whether it is a letter that stands for the phoneme in broad transcriptions only, and
    /// is another sound in narrow ones.
    pub broad_only: bool,
    /// Its letters without marks: as one segment, and as parts.
    bare: [Vec<FeatureBundle>; 2],
}

/// An accent, with the options that were declared.
#[derive(Clone, Debug)]
pub struct Accent {
    table: &'static AccentTable,
    options: Vec<&'static str>,
    phonemes: Vec<Phoneme>,
    spellings: Spellings,
    postures: Vec<(FeatureBundle, Posture, Option<Posture>)>,
    rules: Vec<Rule>,
    cases: Cases,
    clusters: Clusters,
    weak_forms: Vec<WeakForm>,
    shapes: Shapes,
}

impl Accent {
    /// The accent of that name (a BCP 47 language tag such as `en-US`), if its folder exists;
    /// with its usual options.
    ///
    /// # Examples
    ///
    /// ```
    /// let accent = apical::accent::Accent::named("en-US").unwrap();
    /// assert_eq!(accent.called(), "General American");
    /// assert!(apical::accent::Accent::named("xx-XX").is_none());
    /// ```
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let table = inventory::accents()
            .iter()
            .find(|table| table.name == name)?;
        let usual = table.options.iter().filter(|option| option.default);
        Some(Self::made(table, usual.map(|option| option.name).collect()))
    }

    /// The accent with the options that are on, by name.
    fn made(table: &'static AccentTable, options: Vec<&'static str>) -> Self {
        let mut reader = Transcription::default();
        let mut phonemes = Vec::new();
        let is_on = |option: &str| option.is_empty() || options.contains(&option);
        for (number, row) in (0..).zip(table.phonemes) {
            if is_on(row.option) {
                add_spellings(&mut phonemes, &mut reader, number, row);
            }
        }
        let postures = postures(table, &phonemes, &mut reader);
        let mut accent = Self {
            table,
            options,
            spellings: Spellings::of(&phonemes),
            phonemes,
            postures,
            rules: Vec::new(),
            cases: Cases::default(),
            clusters: Clusters::default(),
            weak_forms: Vec::new(),
            shapes: Shapes::general(),
        };
        accent.shapes = accent.made_shapes(&mut reader);
        accent.rules = Rule::all(&accent, &mut reader);
        accent.cases = Cases::of(&accent.rules);
        accent.clusters = Clusters::of(&accent);
        accent.weak_forms = WeakForm::all(&accent, &mut reader);
        accent
    }

    /// The names of all accents.
    pub fn names() -> impl Iterator<Item = &'static str> {
        inventory::accents().iter().map(|table| table.name)
    }

    /// The accent's name.
    #[must_use]
    pub fn name(&self) -> &'static str {
        self.table.name
    }

    /// What the accent is called.
    #[must_use]
    pub fn called(&self) -> &'static str {
        self.table.called
    }

    /// Its phonemes and their other spellings.
    #[must_use]
    pub fn phonemes(&self) -> &[Phoneme] {
        &self.phonemes
    }

    /// The phoneme of that number, as its table has it.
    #[must_use]
    pub fn row(&self, number: u16) -> Option<&'static PhonemeRow> {
        self.table.phonemes.get(usize::from(number))
    }

    /// Its phonemes, each once, without those of options that are off.
    pub fn inventory(&self) -> impl Iterator<Item = &'static PhonemeRow> {
        let on = |row: &&PhonemeRow| row.option.is_empty() || self.is_on(row.option);
        self.table.phonemes.iter().filter(on)
    }

    /// The rules about what its phonemes may be where, without those of options that are off.
    pub fn allophones(&self) -> impl Iterator<Item = &'static AllophoneRow> {
        let on = |row: &&AllophoneRow| row.option.is_empty() || self.is_on(row.option);
        self.table.allophones.iter().filter(on)
    }

    /// What a coach may declare about a client's own speech.
    #[must_use]
    pub fn options(&self) -> &'static [OptionRow] {
        self.table.options
    }

    /// Whether an option is on.
    #[must_use]
    pub fn is_on(&self, option: &str) -> bool {
        self.options.contains(&option)
    }

    /// Words that have another form where they are not stressed.
    #[must_use]
    pub fn weak_forms(&self) -> &'static [WeakFormRow] {
        self.table.weak_forms
    }

    /// Its legal onsets, phonemes separated by spaces.
    #[must_use]
    pub fn onsets(&self) -> &'static [&'static str] {
        self.table.onsets
    }

    /// Its legal codas of the options that are on, each as its phonemes, without the endings
    /// that may follow them.
    pub fn codas(&self) -> impl Iterator<Item = &'static [&'static str]> {
        let on = |row: &&CodaRow| row.option.is_empty() || self.is_on(row.option);
        let codas = self.table.codas.iter().filter(on);
        codas.filter(|row| row.after.is_empty()).map(|row| row.coda)
    }

    /// The shapes of its syllables, for a [`Syllabifier`](crate::syllable::Syllabifier).
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::articulation::bundle;
    /// use apical::notation::Transcription;
    /// use apical::syllable::{Part, Syllabifier};
    ///
    /// let accent = apical::accent::Accent::named("en-US").unwrap();
    /// let word = Transcription::parse("/ˈnætʃɚ/");
    /// let bundles: Vec<_> = word.segments().map(|it| bundle(&it)).collect();
    /// let mut syllabifier = Syllabifier::new(accent.shapes());
    /// let sites = syllabifier.sites(&word, &bundles);
    /// // The two letters of the affricate share a slot.
    /// assert_eq!((sites[2].part, sites[2].slot, sites[2].size), (Some(Part::Onset), 0, 1));
    /// assert_eq!((sites[3].part, sites[3].slot, sites[3].size), (Some(Part::Onset), 0, 1));
    /// ```
    #[must_use]
    pub fn shapes(&self) -> Shapes {
        self.shapes.clone()
    }

    fn made_shapes(&self, reader: &mut Transcription) -> Shapes {
        let onsets: Vec<Vec<FeatureBundle>> = self
            .onsets()
            .iter()
            .map(|onset| bundles(reader, onset))
            .collect();
        let consonants = self
            .phonemes
            .iter()
            .filter(|it| it.bundle.class == Class::Consonant && !it.bundle.syllabic)
            .map(|it| &it.bundle);
        let units = self.phonemes.iter().filter_map(|it| {
            let joined =
                matches!(it.kind, PhonemeKind::Affricate | PhonemeKind::Diphthong);
            match it.parts.as_slice() {
                &[first, second] if joined => Some(([first, second], it.bundle)),
                _ => None,
            }
        });
        Shapes::new(consonants, onsets.iter().map(Vec::as_slice), units)
    }

    /// The coaching posture of a sound, and the one it moves to if it is a diphthong; `None`
    /// where the accent has none and the chart's posture holds.
    ///
    /// Detail that does not change the mouth (length, aspiration, tone, nasality) is
    /// disregarded.
    #[must_use]
    pub fn posture(&self, bundle: &FeatureBundle) -> Option<(Posture, Option<Posture>)> {
        let wanted = core(bundle);
        let at = self
            .postures
            .binary_search_by(|(known, ..)| known.cmp(&wanted))
            .ok()?;
        self.postures.get(at).map(|(_, from, to)| (*from, *to))
    }
}

/// Adds a phoneme in all its spellings.
fn add_spellings(
    phonemes: &mut Vec<Phoneme>,
    reader: &mut Transcription,
    number: u16,
    row: &'static PhonemeRow,
) {
    let spellings = std::iter::once(&row.text).chain(row.also).chain(row.broad);
    for (at, spelling) in spellings.enumerate() {
        let Some(bundle) = single(reader, spelling) else {
            continue;
        };
        let untied: String = spelling.chars().filter(|c| *c != '\u{361}').collect();
        phonemes.push(Phoneme {
            text: row.text,
            number,
            kind: row.kind,
            keyword: row.keyword,
            bundle,
            parts: bundles(reader, &untied),
            broad_only: at > row.also.len(),
            bare: [bares(reader, spelling), bares(reader, &untied)],
        });
    }
}

/// The postures by the sound they belong to.
fn postures(
    table: &AccentTable,
    phonemes: &[Phoneme],
    reader: &mut Transcription,
) -> Vec<(FeatureBundle, Posture, Option<Posture>)> {
    let mut postures = Vec::new();
    for row in table.postures {
        if let Some(bundle) = single(reader, row.text) {
            postures.push((core(&bundle), row.from, row.to));
        }
    }
    // Another spelling of a phoneme has its posture, unless it has a row of its own.
    for phoneme in phonemes {
        let wanted = core(&phoneme.bundle);
        if !postures.iter().any(|(known, ..)| *known == wanted) {
            let row = table.postures.iter().find(|row| row.text == phoneme.text);
            postures.extend(row.map(|row| (wanted, row.from, row.to)));
        }
    }
    postures.sort_unstable();
    postures
}

/// The bundle of a text that is one segment.
fn single(reader: &mut Transcription, text: &str) -> Option<FeatureBundle> {
    reader.reparse(text);
    let mut segments = reader.segments();
    let first = segments.next()?;
    segments
        .next()
        .is_none()
        .then(|| articulation::bundle(&first))
}

/// The bundles of a text.
fn bundles(reader: &mut Transcription, text: &str) -> Vec<FeatureBundle> {
    reader.reparse(text);
    reader
        .segments()
        .map(|segment| articulation::bundle(&segment))
        .collect()
}

/// The bundles of a text's segments without any marks: what their letters alone say.
fn bares(reader: &mut Transcription, text: &str) -> Vec<FeatureBundle> {
    reader.reparse(text);
    reader.segments().map(|segment| bare(&segment)).collect()
}

/// What a segment's letters alone say, without their marks.
#[must_use]
pub fn bare(segment: &Segment<'_>) -> FeatureBundle {
    let mut letters = segment.letters();
    match (letters.next(), letters.next()) {
        (Some(only), None) => only.symbol().bundle,
        (Some(_), Some(_)) => single(&mut Transcription::default(), &segment.base())
            .unwrap_or_else(|| articulation::bundle(segment)),
        _ => articulation::bundle(segment),
    }
}

/// A bundle without the detail that leaves the posture as it is.
fn core(bundle: &FeatureBundle) -> FeatureBundle {
    let vowel = bundle.class == Class::Vowel;
    let dark = Secondaries(bundle.secondary.0);
    FeatureBundle {
        voicing: if vowel {
            Voicing::Voiced
        } else {
            bundle.voicing
        },
        phonation: Phonation::Modal,
        nasalized: false,
        syllabic: false,
        length: Length::Normal,
        release: Releases::NONE,
        secondary: if vowel { Secondaries::NONE } else { dark },
        tongue_root: None,
        shift: Shift {
            advancing: 0,
            raising: 0,
            centralizing: 0,
            rounding: 0,
        },
        detail: Details(bundle.detail.0 & !NEUTRAL_DETAIL),
        tone: 0,
        ..*bundle
    }
}

/// Details that do not change the posture.
const NEUTRAL_DETAIL: u32 = {
    use crate::feature::Detail as D;
    1 << D::NonSyllabic as u32
        | 1 << D::Strong as u32
        | 1 << D::Weak as u32
        | 1 << D::Partial as u32
        | 1 << D::InitialPartial as u32
        | 1 << D::FinalPartial as u32
        | 1 << D::Prevoiced as u32
        | 1 << D::Postvoiced as u32
        | 1 << D::Uncertain as u32
};
