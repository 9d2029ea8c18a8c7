//! Drill material in the machine contract.

use serde::Serialize;

use super::VERSION;
use crate::material::{Alike, Candidate, Cell, Found, Slot, Sounds, Stock, Wish};
use crate::report::text::material::SamplePage;
use crate::syllable::{Part, Position};

/// A line of `apical words`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Word {
    /// Always [`VERSION`].
    pub version: u32,
    /// The word.
    pub word: &'static str,
    /// Its target.
    pub target: String,
    /// Its other variants.
    pub accepted: Vec<String>,
    /// Its occurrences in a million words; `null` if unknown.
    pub frequency: Option<f64>,
    /// Its rank among the words of the list, from 1.
    pub rank: Option<u32>,
    /// `drill` or `probe`.
    pub list: &'static str,
    /// Where the sounds stand that were asked for; empty where none was.
    pub places: Vec<Place>,
}

/// Where a sound stands.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Place {
    /// The sound.
    pub sound: String,
    /// Initial, medial or final in the word.
    pub position: &'static str,
    /// The part of its syllable.
    pub syllable_part: Option<&'static str>,
    /// Whether that syllable is stressed.
    pub stressed: Option<bool>,
    /// Its place in the cluster, from 1.
    pub slot: u32,
    /// How many sounds that cluster has; 1 for a sound alone.
    pub cluster: u32,
    /// The syllable, from 1.
    pub syllable: u32,
}

impl Word {
    /// The contract's form of a word that was chosen.
    #[must_use]
    pub fn new(
        candidate: &Candidate,
        list: &'static str,
        wish: &Wish,
        stock: &Stock<'_>,
    ) -> Self {
        let places = if wish.asks_for_a_sound() {
            wish.places(candidate, stock)
        } else {
            Vec::new()
        };
        let places = places.iter().filter_map(|at| {
            let placed = candidate.spoken.get(*at)?;
            Some(Place {
                sound: stock.sounds.text(placed.counts_as()),
                position: placed.site.position.name(),
                syllable_part: placed.site.part.map(Part::name),
                stressed: placed.site.stress.is_stressed(),
                slot: placed.site.slot + 1,
                cluster: placed.site.size,
                syllable: placed.site.syllable_in_word + 1,
            })
        });
        Self {
            version: VERSION,
            word: candidate.word(),
            target: candidate.target(),
            accepted: candidate.accepted(),
            frequency: candidate.entry.frequency(),
            rank: candidate.entry.rank(),
            list,
            places: places.collect(),
        }
    }
}

/// A word of a pair or a set.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Member {
    /// The word.
    pub word: &'static str,
    /// Its target.
    pub target: String,
    /// Its occurrences in a million words; `null` if unknown.
    pub frequency: Option<f64>,
    /// Its sound of the contrast.
    pub sound: String,
}

impl Member {
    fn new(slot: &Slot, sound: String) -> Self {
        Self {
            word: slot.candidate.word(),
            target: slot.candidate.target(),
            frequency: slot.candidate.entry.frequency(),
            sound,
        }
    }
}

/// A line of `apical pairs`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pair {
    /// Always [`VERSION`].
    pub version: u32,
    /// The word with the first sound.
    pub a: Member,
    /// The word with the second.
    pub b: Member,
    /// Where in the word the contrast stands.
    pub position: &'static str,
    /// Rules of the accent by which some speakers say the two alike; empty for most.
    pub some_say_alike: Vec<&'static str>,
    /// The sounds of the one other place where a near-minimal pair differs; `null` for a
    /// minimal one.
    pub near: Option<[String; 2]>,
}

impl Pair {
    /// The contract's form of a pair.
    #[must_use]
    pub fn new(found: &Found, sounds: &Sounds) -> Self {
        let [a, b] = found.contrast;
        Self {
            version: VERSION,
            a: Member::new(&found.a, sounds.text(a)),
            b: Member::new(&found.b, sounds.text(b)),
            position: found.position.name(),
            some_say_alike: match &found.alike {
                Some(Alike::Rules(rules)) => rules.iter().map(|it| it.0).collect(),
                _ => Vec::new(),
            },
            near: found.near.map(|it| [it.a, it.b].map(|it| sounds.text(it))),
        }
    }
}

/// A line of `apical pairs --set`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Set {
    /// Always [`VERSION`].
    pub version: u32,
    /// The words, in the order of the sounds asked for.
    pub set: Vec<Member>,
}

impl Set {
    /// The contract's form of a set.
    #[must_use]
    pub fn new(slots: &[Slot], sounds: &Sounds) -> Self {
        let members = slots.iter().map(|slot| {
            let placed = slot.candidate.spoken.get(slot.at);
            let sound = placed.map(|it| sounds.text(it.counts_as()));
            Member::new(slot, sound.unwrap_or_default())
        });
        Self {
            version: VERSION,
            set: members.collect(),
        }
    }
}

/// What `apical sample` writes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sample<'a> {
    /// Always [`VERSION`].
    pub version: u32,
    /// The accent's name.
    pub accent: &'a str,
    /// Words that were counted; those of a phrase count each.
    pub words: usize,
    /// Chances wanted of each sound in its places.
    pub chances: usize,
    /// Chances wanted of each cluster.
    pub cluster_chances: usize,
    /// Every phoneme with its chances.
    pub sounds: Vec<Chances>,
    /// Every cluster of the list, and those asked for, with its chances.
    pub clusters: Vec<Cluster>,
    /// What has too few.
    pub gaps: Vec<Gap>,
    /// Words that fill the gaps, those that fill most first.
    pub add: Vec<Added>,
    /// No list of words that fills as much has fewer.
    pub add_at_least: usize,
    /// Rows that were not counted.
    pub left_out: Vec<LeftOut<'a>>,
}

/// The chances of a phoneme.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Chances {
    /// The phoneme.
    pub sound: String,
    /// Anywhere.
    pub all: usize,
    /// At the start of words.
    pub initial: usize,
    /// In the middle.
    pub medial: usize,
    /// At the end.
    pub r#final: usize,
    /// In onsets.
    pub onset: usize,
    /// In codas.
    pub coda: usize,
    /// In stressed syllables.
    pub stressed: usize,
    /// In syllables without stress.
    pub unstressed: usize,
}

/// The chances of a cluster.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Cluster {
    /// Its sounds.
    pub sounds: Vec<String>,
    /// Onset or coda.
    pub syllable_part: &'static str,
    /// How often.
    pub all: usize,
}

/// A place with too few chances.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Gap {
    /// The sound, or the sounds of the cluster.
    pub sounds: Vec<String>,
    /// Where in the word; `null` for anywhere, and for clusters.
    pub position: Option<&'static str>,
    /// For a cluster, onset or coda.
    pub syllable_part: Option<&'static str>,
    /// Chances it has.
    pub has: usize,
    /// Chances wanted.
    pub wanted: usize,
    /// Chances that no word that may be added fills.
    pub stays_open: usize,
}

/// A word to add.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Added {
    /// The word.
    pub word: &'static str,
    /// Its target.
    pub target: String,
    /// Its occurrences in a million words; `null` if unknown.
    pub frequency: Option<f64>,
}

/// A row that was not counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct LeftOut<'a> {
    /// The row, counted in lines from 1.
    pub row: u64,
    /// The word.
    pub word: &'a str,
    /// Why.
    pub reason: &'a str,
}

impl<'a> Sample<'a> {
    /// The contract's form of what was found.
    #[must_use]
    pub fn new(page: &'a SamplePage<'_>, accent: &'a str, sounds: &Sounds) -> Self {
        let texts = |run: &[u16]| run.iter().map(|it| sounds.text(*it)).collect();
        let mut clusters: Vec<(Part, Vec<u16>)> =
            page.chances.clusters.keys().cloned().collect();
        for cell in &page.cells {
            if let Cell::Cluster(part, run) = cell {
                clusters.push((*part, run.clone()));
            }
        }
        clusters.sort();
        clusters.dedup();
        let open = |at: usize| {
            let mut open = page.cover.open.iter();
            open.find(|it| it.0 == at).map_or(0, |it| it.1)
        };
        let [chances, cluster_chances] = page.wanted;
        Self {
            version: VERSION,
            accent,
            words: page.chances.words,
            chances,
            cluster_chances,
            sounds: sounds
                .inventory()
                .into_iter()
                .map(|number| {
                    let known = page.chances.sounds.get(&number).copied();
                    let count = known.unwrap_or_default();
                    Chances {
                        sound: sounds.text(number),
                        all: count.all,
                        initial: count.initial,
                        medial: count.medial,
                        r#final: count.r#final,
                        onset: count.onset,
                        coda: count.coda,
                        stressed: count.stressed,
                        unstressed: count.unstressed,
                    }
                })
                .collect(),
            clusters: clusters
                .into_iter()
                .map(|(part, run)| Cluster {
                    sounds: texts(&run),
                    syllable_part: part.name(),
                    all: page.chances.in_cell(&Cell::Cluster(part, run)),
                })
                .collect(),
            gaps: page
                .gaps
                .iter()
                .enumerate()
                .map(|(at, gap)| {
                    let (run, position, part) = match &gap.cell {
                        Cell::Sound(number, place) => {
                            (vec![*number], place.map(Position::name), None)
                        }
                        Cell::Cluster(part, run) => {
                            (run.clone(), None, Some(part.name()))
                        }
                    };
                    Gap {
                        sounds: texts(&run),
                        position,
                        syllable_part: part,
                        has: gap.has,
                        wanted: gap.wanted,
                        stays_open: open(at),
                    }
                })
                .collect(),
            add: page
                .fill
                .iter()
                .map(|it| Added {
                    word: it.word(),
                    target: it.target(),
                    frequency: it.entry.frequency(),
                })
                .collect(),
            add_at_least: page.cover.at_least,
            left_out: page
                .left_out
                .iter()
                .map(|(row, word, reason)| LeftOut {
                    row: *row,
                    word,
                    reason,
                })
                .collect(),
        }
    }
}
