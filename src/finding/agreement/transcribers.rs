//! Two transcribers of one sample: where they agree, sound by sound, and where they do not.
//!
//! Two who agree can both be wrong: agreement is no accuracy.

use core::ops::Range;
use std::collections::BTreeMap;

use super::alpha::{Alpha, Level, alpha};
use super::kappa::{Kappa, Labels};
use crate::accent::{Accent, bare};
use crate::alignment::{self, Aligner, Setting};
use crate::articulation;
use crate::distance;
use crate::feature::{Class, FeatureBundle};
use crate::finding::item::broad_letters;
use crate::finding::measure::breakdown;
use crate::finding::prosody;
use crate::notation::{Notation, Transcription};

/// The rule that says what is counted, in words.
pub const DENOMINATOR: &str = "every place of the alignment counts once, one where only one \
                               of them has a sound too";

/// Agreements out of comparisons.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Share {
    /// Where they agree.
    pub agreements: u64,
    /// Where they were compared.
    pub comparisons: u64,
}

impl Share {
    /// As a percentage; `None` where nothing was compared.
    #[must_use]
    #[allow(
        clippy::cast_precision_loss,
        reason = "counts of sounds are far below the whole numbers that f64 holds"
    )]
    pub fn percent(self) -> Option<f64> {
        (self.comparisons > 0)
            .then(|| 100.0 * self.agreements as f64 / self.comparisons as f64)
    }

    fn add(&mut self, agreed: bool) {
        self.agreements += u64::from(agreed);
        self.comparisons += 1;
    }
}

/// One side of a place in the alignment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sound {
    /// As it was written, marks included.
    pub written: String,
    /// Its features, marks included; several where letters stand together that make no one
    /// sound.
    pub narrow: Vec<FeatureBundle>,
    /// What its letters alone say.
    pub broad: Vec<FeatureBundle>,
}

impl Sound {
    /// Its features as those of one sound, marks included: its first letter's where it is
    /// several.
    #[must_use]
    pub fn bundle(&self) -> FeatureBundle {
        self.narrow.first().copied().unwrap_or(FeatureBundle::PAUSE)
    }
}

/// A place where the two do not write the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Disagreement {
    /// The pair of transcriptions it is in, counted from 0.
    pub pair: usize,
    /// What the first wrote; `None` where only the second has a sound.
    pub one: Option<Sound>,
    /// What the second wrote.
    pub other: Option<Sound>,
    /// Whether the letters differ too, not only the marks.
    pub is_broad: bool,
}

/// The agreement within a class of sounds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OfClass {
    /// The class, as in `fricatives`.
    pub name: &'static str,
    /// By the letters.
    pub broad: Share,
    /// By letters and marks.
    pub narrow: Share,
}

/// How far two transcribers agree.
#[derive(Clone, Debug, PartialEq)]
pub struct Agreement {
    /// Point to point, by the letters alone.
    pub broad: Share,
    /// Point to point, by letters and marks.
    pub narrow: Share,
    /// Transcriptions that are alike in every sound, by letters and marks.
    pub whole: Share,
    /// By class: consonants, vowels, then their kinds; by what the first wrote, or where only
    /// the second has a sound, by that.
    pub classes: Vec<OfClass>,
    /// How many labels the coefficients know: the different sounds, marks included, and one
    /// for no sound.
    pub labels: usize,
    /// Cohen's kappa over those labels.
    pub kappa: Kappa,
    /// Cohen's kappa over the letters alone.
    pub broad_kappa: Kappa,
    /// Kappa weighted by how far two sounds are apart in features
    /// ([`distance::between`]; [`distance::alone`] beside no sound).
    pub weighted_kappa: Kappa,
    /// Krippendorff's alpha, nominal, over the same labels.
    pub alpha: Alpha,
    /// Every place where they disagree, in order.
    pub disagreements: Vec<Disagreement>,
    /// The pairs in which a mark of stress stands elsewhere or on one side alone.
    pub stress: Vec<usize>,
}

/// How far two transcribers agree over pairs of transcriptions, the first's and the second's
/// of the same words.
///
/// With an accent its affricates, diphthongs and r-coloured vowels are one sound however many
/// letters write them, and outside square brackets a letter that the accent's broad
/// transcriptions use for a phoneme is that phoneme: \[r\] is \[ɹ\]. Without, every letter is
/// a sound.
///
/// Broad: the letters, marks left off. Narrow: letters and marks. What is written differently
/// and means the same (a tie below or above) agrees. Tones and pauses count in the whole and
/// in no class.
///
/// Cost: an alignment a pair; quadratic in the different sounds.
///
/// # Examples
///
/// ```
/// use apical::finding::agreement::transcribers::agreement;
/// use apical::notation::Transcription;
///
/// let pair = ["pʰæn", "pæn"].map(Transcription::parse);
/// let found = agreement(&[[&pair[0], &pair[1]]], None);
/// assert_eq!((found.narrow.agreements, found.narrow.comparisons), (2, 3));
/// assert_eq!((found.broad.agreements, found.broad.comparisons), (3, 3));
/// assert_eq!(found.disagreements[0].one.as_ref().unwrap().written, "pʰ");
/// assert_eq!(agreement(&[], None).narrow.percent(), None);
/// ```
///
/// # Source
/// The share of agreements over agreements and disagreements, point to point: common
/// practice; its wording from memory. Coefficients: [`Labels::kappa`], [`Labels::weighted`],
/// [`alpha()`].
#[must_use]
pub fn agreement(pairs: &[[&Transcription; 2]], accent: Option<&Accent>) -> Agreement {
    let setting = accent.map_or_else(Setting::general, Setting::for_accent);
    let letters = accent.map_or_else(Vec::new, broad_letters);
    let mut aligner = Aligner::new(setting);
    let mut places: Vec<[Option<Sound>; 2]> = Vec::new();
    let mut disagreements = Vec::new();
    let mut whole = Share::default();
    let mut stress = Vec::new();
    for (number, [one, other]) in pairs.iter().enumerate() {
        let sides = [sounds(one, &letters), sounds(other, &letters)];
        let [first, second] = &sides;
        let bundles = |side: &[Sound]| side.iter().map(Sound::bundle).collect::<Vec<_>>();
        let columns = aligner.align(&bundles(first), &bundles(second));
        let differences = prosody::differences(one, other, columns);
        let is_stress = |it: &prosody::Difference| {
            use prosody::Feature::{PrimaryStress, SecondaryStress};
            matches!(it.feature, PrimaryStress | SecondaryStress)
        };
        if differences.iter().any(is_stress) {
            stress.push(number);
        }
        let before = disagreements.len();
        for column in columns {
            let one = joined(first, &column.target);
            let other = joined(second, &column.production);
            let [narrow, broad] = alike(one.as_ref(), other.as_ref());
            if !narrow {
                disagreements.push(Disagreement {
                    pair: number,
                    one: one.clone(),
                    other: other.clone(),
                    is_broad: !broad,
                });
            }
            places.push([one, other]);
        }
        whole.add(disagreements.len() == before);
    }
    let mut found = Agreement {
        broad: Share::default(),
        narrow: Share::default(),
        whole,
        classes: Vec::new(),
        labels: 0,
        kappa: Labels::new(0).kappa(),
        broad_kappa: Labels::new(0).kappa(),
        weighted_kappa: Labels::new(0).kappa(),
        alpha: alpha(&[], Level::Nominal),
        disagreements,
        stress,
    };
    found.share(&places);
    found.coefficients(&places);
    found
}

impl Agreement {
    fn share(&mut self, places: &[[Option<Sound>; 2]]) {
        let mut classes: BTreeMap<usize, OfClass> = BTreeMap::new();
        for [one, other] in places {
            let [narrow, broad] = alike(one.as_ref(), other.as_ref());
            self.narrow.add(narrow);
            self.broad.add(broad);
            let Some(sound) = one.as_ref().or(other.as_ref()) else {
                continue;
            };
            let bundle = sound.bundle();
            let group = match bundle.class {
                Class::Consonant => "consonants",
                Class::Vowel => "vowels",
                Class::Tone | Class::Pause => continue,
            };
            for name in [group, breakdown::class(&bundle)] {
                let rank = ORDER.iter().position(|it| *it == name);
                let class = classes.entry(rank.unwrap_or(ORDER.len()));
                let class = class.or_insert(OfClass {
                    name,
                    broad: Share::default(),
                    narrow: Share::default(),
                });
                class.broad.add(broad);
                class.narrow.add(narrow);
            }
        }
        self.classes = classes.into_values().collect();
    }

    fn coefficients(&mut self, places: &[[Option<Sound>; 2]]) {
        type Label<'p> = Option<&'p [FeatureBundle]>;
        type Part = fn(&Sound) -> &[FeatureBundle];
        let pairs = |part: Part| {
            let pairs = places.iter();
            pairs.map(move |pair| pair.each_ref().map(|it| it.as_ref().map(part)))
        };
        let names = |part: Part| {
            let mut names: Vec<Label<'_>> = pairs(part).flatten().collect();
            names.sort_unstable();
            names.dedup();
            names
        };
        let numbered = |part: Part, names: &[Label<'_>]| -> Vec<[usize; 2]> {
            let at = |it: Label<'_>| names.binary_search(&it).unwrap_or(usize::MAX);
            pairs(part).map(|pair| pair.map(at)).collect()
        };
        let counted = |part: Part| {
            let names = names(part);
            let mut labels = Labels::new(names.len());
            for [one, other] in numbered(part, &names) {
                labels.add(one, other, 1.0);
            }
            labels
        };
        let narrow: Part = |it| &it.narrow;
        self.broad_kappa = counted(|it| &it.broad).kappa();
        let labels = counted(narrow);
        let names = names(narrow);
        self.labels = names.len();
        self.kappa = labels.kappa();
        let name = |at: usize| names.get(at).copied().flatten().unwrap_or_default();
        self.weighted_kappa =
            labels.weighted(|one, other| f64::from(apart(name(one), name(other))));
        let units: Vec<Vec<Option<f64>>> = numbered(narrow, &names)
            .into_iter()
            .map(|pair| pair.map(|at| u32::try_from(at).ok().map(f64::from)).into())
            .collect();
        self.alpha = alpha(&units, Level::Nominal);
    }
}

/// How far two labels are apart: sound by sound, what has no partner as a sound alone.
fn apart(one: &[FeatureBundle], other: &[FeatureBundle]) -> u32 {
    let paired = one.iter().zip(other);
    let together: u32 = paired
        .map(|(one, other)| distance::between(one, other))
        .sum();
    let rest = one
        .iter()
        .skip(other.len())
        .chain(other.iter().skip(one.len()));
    together + rest.map(distance::alone).sum::<u32>()
}

/// The classes in the order of reports.
const ORDER: &[&str] = &[
    "consonants",
    "plosives",
    "affricates",
    "fricatives",
    "nasals",
    "liquids",
    "glides",
    "taps and trills",
    "other consonants",
    "vowels",
    "plain vowels",
    "diphthongs",
    "r-coloured vowels",
];

fn sounds(transcription: &Transcription, letters: &[[FeatureBundle; 2]]) -> Vec<Sound> {
    let is_narrow = transcription.notation() == Notation::Narrow;
    let meant = |bundle: FeatureBundle| {
        let known = letters.iter().find(|[letter, _]| *letter == bundle);
        let known = known.filter(|_| !is_narrow);
        vec![known.map_or(bundle, |[_, sound]| *sound)]
    };
    transcription
        .segments()
        .map(|it| Sound {
            written: it.text().to_owned(),
            narrow: meant(articulation::bundle(&it)),
            broad: meant(bare(&it)),
        })
        .collect()
}

/// The sounds of a column as one, where they make one.
fn joined(side: &[Sound], range: &Range<u32>) -> Option<Sound> {
    let these = side.get(range.start as usize..range.end as usize)?;
    let whole = |part: fn(&Sound) -> &[FeatureBundle]| {
        let parts: Vec<FeatureBundle> = these.iter().flat_map(part).copied().collect();
        alignment::whole(&parts).map_or(parts, |whole| vec![whole])
    };
    (!these.is_empty()).then(|| Sound {
        written: these.iter().map(|it| it.written.as_str()).collect(),
        narrow: whole(|it| &it.narrow),
        broad: whole(|it| &it.broad),
    })
}

/// Whether two sides are the same with their marks, and by their letters.
fn alike(one: Option<&Sound>, other: Option<&Sound>) -> [bool; 2] {
    [
        one.map(|it| &it.narrow) == other.map(|it| &it.narrow),
        one.map(|it| &it.broad) == other.map(|it| &it.broad),
    ]
}
