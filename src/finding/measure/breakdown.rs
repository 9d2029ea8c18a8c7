//! Where the right and wrong sounds are: by class of sound, by place, by phoneme.

use super::rules::Rules;
use super::score::{Score, is_liquid, scored};
use super::{Sample, segment_distance};
use crate::accent::Accent;
use crate::feature::{Class, FeatureBundle, Manner};
use crate::syllable::{Position, Site};

/// What sounds are put together by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum By {
    /// The class of sound: a consonant's manner, the make of a vowel.
    Class,
    /// Where a consonant stands: in the word, alone or in a cluster; for a vowel, the stress
    /// of its syllable.
    Place,
    /// The phoneme.
    Phoneme,
}

impl By {
    /// Its name in the JSON contract.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Class => "class",
            Self::Place => "position",
            Self::Phoneme => "phoneme",
        }
    }
}

/// The sounds of the targets that are put together, and what became of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Group {
    /// What they are put together by.
    pub by: By,
    /// What they have in common, as in `fricatives`.
    pub name: String,
    /// How many were right; allophones are.
    pub right: u64,
    /// How many were the right sound, off in detail.
    pub distorted: u64,
    /// How many were another sound, left out, or had a sound added to them.
    pub wrong: u64,
    /// How far the productions are from them, in thousandths of a feature in all. Sounds
    /// that were put in belong to no sound of a target and are not in here.
    pub distance: u64,
}

impl Group {
    /// How many sounds it has.
    #[must_use]
    pub const fn of(&self) -> u64 {
        self.right + self.distorted + self.wrong
    }
}

/// The classes in the order of reports.
const CLASSES: &[&str] = &[
    "plosives",
    "affricates",
    "fricatives",
    "nasals",
    "liquids",
    "glides",
    "taps and trills",
    "other consonants",
    "plain vowels",
    "diphthongs",
    "r-coloured vowels",
];

/// The places in the order of reports.
const PLACES: &[&str] = &[
    "initial consonants",
    "medial consonants",
    "final consonants",
    "consonants alone",
    "consonants in clusters",
    "stressed vowels",
    "unstressed vowels",
];

/// The sounds of a sample's targets by class, by place and by phoneme, groups without sounds
/// left off. Every class and every phoneme adds up to all sounds.
///
/// Cost: linear in the segments.
#[must_use]
pub fn breakdown(sample: &Sample<'_>, rules: &Rules, accent: &Accent) -> Vec<Group> {
    let mut groups = Groups(Vec::new());
    for item in &sample.items {
        for it in scored(item, rules) {
            let phoneme = accent.phoneme_of(&[it.sound]).map(|it| it.text);
            let phoneme = phoneme.unwrap_or(OTHER);
            for (by, name) in keys(&it.sound, &it.site, phoneme) {
                let group = groups.get(by, name);
                match it.score {
                    Score::Right => group.right += 1,
                    Score::CommonDistortion | Score::Distortion => group.distorted += 1,
                    Score::Wrong => group.wrong += 1,
                }
            }
        }
        for column in item.columns.iter().filter(|it| !it.target.is_empty()) {
            let wanted = item.target.bundles_of(&column.target);
            let whole = item.target.whole(&column.target);
            let Some(sound) = whole.or_else(|| wanted.first().copied()) else {
                continue;
            };
            if !matches!(sound.class, Class::Consonant | Class::Vowel) {
                continue;
            }
            let phoneme = accent.phoneme_of(&[sound]).map(|it| it.text);
            for (by, name) in keys(&sound, &item.site(column), phoneme.unwrap_or(OTHER)) {
                groups.get(by, name).distance += segment_distance::of(item, column);
            }
        }
    }
    let mut groups = groups.0;
    groups.retain(|it| it.of() > 0);
    let rank = |group: &Group| match group.by {
        By::Class => CLASSES.iter().position(|it| *it == group.name),
        By::Place => PLACES.iter().position(|it| *it == group.name),
        By::Phoneme => accent
            .phonemes()
            .iter()
            .position(|it| it.text == group.name),
    };
    groups.sort_by_key(|it| (it.by, rank(it).unwrap_or(usize::MAX)));
    groups
}

/// Sounds of the targets that are no phonemes of the accent.
const OTHER: &str = "other sounds";

struct Groups(Vec<Group>);

impl Groups {
    fn get(&mut self, by: By, name: &str) -> &mut Group {
        let found = self.0.iter().position(|it| it.by == by && it.name == name);
        let at = found.unwrap_or(self.0.len());
        if found.is_none() {
            self.0.push(Group {
                by,
                name: name.to_owned(),
                right: 0,
                distorted: 0,
                wrong: 0,
                distance: 0,
            });
        }
        #[allow(clippy::indexing_slicing, reason = "it was found or put there")]
        &mut self.0[at]
    }
}

/// The groups that a sound belongs to.
fn keys<'k>(
    sound: &FeatureBundle,
    site: &Site,
    phoneme: &'k str,
) -> impl Iterator<Item = (By, &'k str)> {
    let places = if sound.class == Class::Consonant {
        let where_in_word = match site.position {
            Position::Initial => "initial consonants",
            Position::Medial => "medial consonants",
            Position::Final => "final consonants",
        };
        let cluster = if site.size > 1 {
            "consonants in clusters"
        } else {
            "consonants alone"
        };
        [Some(where_in_word), Some(cluster)]
    } else {
        let stress = site.stress.is_stressed().map(|stressed| {
            if stressed {
                "stressed vowels"
            } else {
                "unstressed vowels"
            }
        });
        [stress, None]
    };
    let places = places.into_iter().flatten().map(|it| (By::Place, it));
    [(By::Class, class(sound)), (By::Phoneme, phoneme)]
        .into_iter()
        .chain(places)
}

/// The class of a sound, as in `fricatives`; liquids are \[l\] and \[ɹ\], glides \[j\] and
/// \[w\] and their like.
#[must_use]
pub fn class(sound: &FeatureBundle) -> &'static str {
    if sound.class == Class::Vowel {
        return match (sound.rhotic, sound.glide) {
            (true, _) => "r-coloured vowels",
            (_, Some(_)) => "diphthongs",
            _ => "plain vowels",
        };
    }
    match sound.manner {
        Some(Manner::Plosive) => "plosives",
        Some(Manner::Affricate) => "affricates",
        Some(Manner::Fricative) => "fricatives",
        Some(Manner::Nasal) => "nasals",
        _ if is_liquid(sound) => "liquids",
        Some(Manner::Approximant) => "glides",
        Some(Manner::Tap | Manner::Trill) => "taps and trills",
        None => "other consonants",
    }
}
