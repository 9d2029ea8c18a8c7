//! How hard a transcription is to write, counted from what is in it.

use std::collections::BTreeMap;
use std::fmt;

use crate::accent::Accent;
use crate::articulation;
use crate::feature::{Class, FeatureBundle};
use crate::notation::Transcription;
use crate::syllable::{Part, Stress, Syllabifier};

/// What each measure weighs, in thousandths, and why.
const TABLE: &str = include_str!("../../grammar/exercises/difficulty.tsv");
/// Sounds no further apart than this are a contrast that is easily lost: one feature, in
/// thousandths.
const NEAR: u32 = 1000;

/// What makes a transcription hard.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Difficulty {
    /// Sounds.
    pub sounds: u32,
    /// Syllables.
    pub syllables: u32,
    /// Consonants that stand beside another in the same onset or coda.
    pub clusters: u32,
    /// Whether the main stress is on a later syllable than the first.
    pub late_stress: bool,
    /// Vowels without stress, in words that have one.
    pub weak: u32,
    /// Letters that spelling does not have.
    pub new_letters: u32,
    /// Over all sounds, the other sounds of the accent that are no more than a feature away.
    pub contrasts: u32,
    /// Sounds that the accent does not have.
    pub foreign: u32,
}

impl Difficulty {
    /// All of it in one figure, in thousandths: the measures times the weights of
    /// `grammar/exercises/difficulty.tsv`, summed. Only its order means anything.
    #[must_use]
    pub fn score(&self) -> u32 {
        let parts = [
            ("sounds", self.sounds),
            ("syllables", self.syllables.saturating_sub(1)),
            ("clusters", self.clusters),
            ("late stress", u32::from(self.late_stress)),
            ("weak vowels", self.weak),
            ("new letters", self.new_letters),
            ("contrasts", self.contrasts),
            ("foreign sounds", self.foreign),
        ];
        parts.iter().map(|(name, count)| weight(name) * count).sum()
    }
}

impl fmt::Display for Difficulty {
    /// The measures in words.
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut parts = vec![plural(self.sounds, "sound")];
        if self.syllables > 1 {
            parts.push(plural(self.syllables, "syllable"));
        }
        if self.clusters > 0 {
            parts.push(format!(
                "{} in clusters",
                plural(self.clusters, "consonant")
            ));
        }
        if self.late_stress {
            parts.push("late stress".to_owned());
        }
        if self.weak > 0 {
            parts.push(plural(self.weak, "weak vowel"));
        }
        if self.new_letters > 0 {
            parts.push(plural(self.new_letters, "new letter"));
        }
        formatter.write_str(&parts.join(", "))
    }
}

fn plural(count: u32, word: &str) -> String {
    let end = if count == 1 { "" } else { "s" };
    format!("{count} {word}{end}")
}

fn weight(name: &str) -> u32 {
    let rows = TABLE.lines().skip(1).map(|line| line.split('\t'));
    let mut weights = rows.filter_map(|mut cells| {
        (cells.next()? == name).then(|| cells.next()?.parse().ok())?
    });
    weights.next().unwrap_or(0)
}

/// Measures transcriptions by one accent, keeping its memory.
///
/// # Examples
///
/// ```
/// use apical::accent::Accent;
/// use apical::practice::Scale;
///
/// let mut scale = Scale::new(&Accent::named("en-US").unwrap());
/// let [pen, asked, computer] = ["pɛn", "æskt", "kəmˈpjutɚ"].map(|it| scale.measure(it));
/// assert_eq!((asked.sounds, asked.clusters), (4, 3));
/// assert_eq!((computer.syllables, computer.weak, computer.late_stress), (3, 2, true));
/// assert!(pen.score() < asked.score() && asked.score() < computer.score());
/// ```
#[derive(Clone, Debug)]
pub struct Scale {
    accent: Accent,
    syllabifier: Syllabifier,
    /// How many sounds are near each, by the number of the phoneme.
    near: BTreeMap<u16, u32>,
}

impl Scale {
    /// A scale that goes by an accent.
    #[must_use]
    pub fn new(accent: &Accent) -> Self {
        let mut near = BTreeMap::new();
        for phoneme in accent.phonemes() {
            let count = accent
                .nearest(&phoneme.bundle)
                .iter()
                .filter(|(apart, other)| *apart <= NEAR && other.number != phoneme.number)
                .map(|(_, other)| other.number)
                .collect::<std::collections::BTreeSet<u16>>()
                .len();
            let count = u32::try_from(count).unwrap_or(u32::MAX);
            near.entry(phoneme.number).or_insert(count);
        }
        Self {
            accent: accent.clone(),
            syllabifier: Syllabifier::new(accent.shapes()),
            near,
        }
    }

    /// What makes a transcription hard.
    pub fn measure(&mut self, text: &str) -> Difficulty {
        let read = Transcription::parse(text);
        let bundles: Vec<FeatureBundle> = read
            .segments()
            .map(|it| articulation::bundle(&it))
            .collect();
        let sites = self.syllabifier.sites(&read, &bundles).to_vec();
        let sounded = self.accent.phonemes_in(&bundles, &sites);
        let mut found = Difficulty {
            sounds: count(sounded.len()),
            syllables: sites.iter().map(|it| it.syllables).max().unwrap_or(0),
            new_letters: count(read.text().chars().filter(|it| is_new(*it)).count()),
            ..Difficulty::default()
        };
        for sound in &sounded {
            match sound.number {
                Some(number) => {
                    found.contrasts += self.near.get(&number).copied().unwrap_or(0);
                }
                None => found.foreign += 1,
            }
        }
        let mut stressed = None;
        for (number, (site, bundle)) in sites.iter().zip(&bundles).enumerate() {
            let before = number.checked_sub(1).and_then(|at| sites.get(at));
            let is_half = before.is_some_and(|it| {
                (it.syllable, it.part, it.slot) == (site.syllable, site.part, site.slot)
            });
            if is_half || site.part.is_none() {
                continue;
            }
            if bundle.class == Class::Consonant && site.size > 1 {
                found.clusters += 1;
            }
            if site.part == Some(Part::Nucleus) && site.syllables > 1 {
                if site.stress == Stress::Primary {
                    stressed = stressed.or(Some(site.syllable_in_word));
                }
                found.weak += u32::from(site.stress.is_stressed() != Some(true));
            }
        }
        found.late_stress = stressed.is_some_and(|at| at > 0);
        found
    }
}

/// Whether a character is a letter that spelling does not have. Marks, ties and signs of
/// stress are none.
fn is_new(character: char) -> bool {
    let sign = matches!(character, 'ˈ' | 'ˌ' | 'ː' | '\u{300}'..='\u{36F}');
    !character.is_ascii() && character.is_alphabetic() && !sign && character != 'ɡ'
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}
