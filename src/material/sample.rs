//! What chances a list of words gives: each phoneme by its place, each cluster; and what is
//! missing.

use std::collections::{BTreeMap, BTreeSet};

use super::cover::{Cover, cover};
use super::wish::cluster_at;
use super::{Candidate, Sounds, Spoken, Stock};
use crate::finding::pattern::FEW;
use crate::syllable::{Part, Position};

/// How often a phoneme stands where.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Count {
    /// Anywhere.
    pub all: usize,
    /// At the start of the word: see [`Position`].
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

/// The chances of a list.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chances {
    /// How many words there are.
    pub words: usize,
    /// For each phoneme, by its number. A vowel before the r of its syllable counts as the
    /// r-coloured vowel, its r as r.
    pub sounds: BTreeMap<u16, Count>,
    /// For each cluster, an onset or a coda of two consonants or more.
    pub clusters: BTreeMap<(Part, Vec<u16>), usize>,
}

impl Chances {
    /// The chances that words give, each in one pronunciation.
    #[must_use]
    pub fn of<'w>(words: impl IntoIterator<Item = &'w Spoken>) -> Self {
        let mut chances = Self::default();
        for spoken in words {
            chances.words += 1;
            for cell in whole_counts(spoken) {
                chances.add(cell);
            }
            for (part, cluster) in clusters(spoken) {
                *chances.clusters.entry((part, cluster)).or_default() += 1;
            }
        }
        chances
    }

    fn add(&mut self, placed: Whole) {
        let count = self.sounds.entry(placed.number).or_default();
        count.all += 1;
        match placed.position {
            Position::Initial => count.initial += 1,
            Position::Medial => count.medial += 1,
            Position::Final => count.r#final += 1,
        }
        match placed.part {
            Some(Part::Onset) => count.onset += 1,
            Some(Part::Coda) => count.coda += 1,
            _ => {}
        }
        match placed.stressed {
            Some(true) => count.stressed += 1,
            Some(false) => count.unstressed += 1,
            None => {}
        }
    }

    /// How many chances there are in a cell.
    #[must_use]
    pub fn in_cell(&self, cell: &Cell) -> usize {
        match cell {
            Cell::Sound(number, place) => {
                let count = self.sounds.get(number).copied().unwrap_or_default();
                match place {
                    None => count.all,
                    Some(Position::Initial) => count.initial,
                    Some(Position::Medial) => count.medial,
                    Some(Position::Final) => count.r#final,
                }
            }
            Cell::Cluster(part, cluster) => {
                let key = (*part, cluster.clone());
                self.clusters.get(&key).copied().unwrap_or(0)
            }
        }
    }
}

/// A phoneme where it stands in its word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Whole {
    /// Which.
    pub number: u16,
    /// Where in the word.
    pub position: Position,
    /// In what part of its syllable.
    pub part: Option<Part>,
    /// Whether that is stressed.
    pub stressed: Option<bool>,
}

/// The phonemes of a word; a vowel with its r is where the two are.
fn whole_counts(spoken: &Spoken) -> impl Iterator<Item = Whole> + '_ {
    spoken.iter().enumerate().map(|(at, placed)| {
        let ends = placed.coloured.is_some() && at + 2 == spoken.len();
        let position = match placed.site.position {
            Position::Medial if ends => Position::Final,
            position => position,
        };
        Whole {
            number: placed.counts_as(),
            position,
            part: placed.site.part,
            stressed: placed.site.stress.is_stressed(),
        }
    })
}

/// The clusters of a word.
fn clusters(spoken: &Spoken) -> impl Iterator<Item = (Part, Vec<u16>)> + '_ {
    spoken.iter().enumerate().filter_map(|(at, placed)| {
        let part = placed.site.part?;
        let begins =
            placed.site.slot == 0 && placed.site.size > 1 && part != Part::Nucleus;
        let numbers = cluster_at(spoken, at).iter().map(|it| it.number);
        begins.then(|| (part, numbers.collect()))
    })
}

/// What is to have chances.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cell {
    /// A phoneme in a place of the word; in any, where none is named.
    Sound(u16, Option<Position>),
    /// A cluster.
    Cluster(Part, Vec<u16>),
}

/// Which words fill gaps, and how many chances are wanted.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// Of each consonant in each place of the word, and of each vowel. Default: as many as a
    /// share needs to say anything, [`FEW`].
    pub sounds: usize,
    /// Of each cluster. Default: 1, enough to hear whether it is made.
    pub clusters: usize,
    /// Words that may be added.
    pub candidates: Vec<Candidate>,
}

/// The chances wanted of each sound unless something else is asked for.
pub(super) const USUAL: usize = FEW;
/// A sound in a place, or a cluster, that fewer words have is not asked for: a client may know
/// none of them. A judgement; no source.
const RARE: usize = 20;

/// How many chances are usually wanted: of sounds in their places, and of clusters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kinds {
    /// Of sounds.
    pub sounds: usize,
    /// Of clusters.
    pub clusters: usize,
}

impl Default for Kinds {
    fn default() -> Self {
        Self {
            sounds: USUAL,
            clusters: 1,
        }
    }
}

/// A place that has too few chances.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gap {
    /// Where.
    pub cell: Cell,
    /// How many chances it has.
    pub has: usize,
    /// How many are wanted.
    pub wanted: usize,
}

impl Wanted {
    /// What an accent has that ought to have chances, in the order of its tables: every
    /// consonant in every place of the word, every vowel, every legal cluster, as far as twenty
    /// of the candidates or more have it.
    #[must_use]
    pub fn cells(&self, sounds: &Sounds) -> Vec<Cell> {
        let mut words: BTreeMap<Cell, usize> = BTreeMap::new();
        for candidate in &self.candidates {
            let mut cells: Vec<Cell> = gives(&candidate.spoken, sounds);
            cells.sort();
            cells.dedup();
            for cell in cells {
                *words.entry(cell).or_default() += 1;
            }
        }
        let mut all = Vec::new();
        for number in sounds.inventory() {
            if sounds.is_vowel(number) {
                all.push(Cell::Sound(number, None));
            } else {
                let places = [Position::Initial, Position::Medial, Position::Final];
                all.extend(places.map(|place| Cell::Sound(number, Some(place))));
            }
        }
        let accent = sounds.accent();
        let onsets = accent
            .onsets()
            .iter()
            .map(|it| (Part::Onset, (*it).to_owned()));
        let codas = accent.codas().map(|it| (Part::Coda, it.join(" ")));
        for (part, text) in onsets.chain(codas) {
            let run: Option<Vec<u16>> =
                text.split(' ').map(|it| sounds.named(it)).collect();
            if let Some(run) = run.filter(|run| run.len() > 1) {
                all.push(Cell::Cluster(part, run));
            }
        }
        let mut seen = BTreeSet::new();
        all.retain(|cell| {
            words.get(cell).is_some_and(|it| *it >= RARE) && seen.insert(cell.clone())
        });
        all
    }

    /// What a list lacks: first what has no chance at all, sounds before clusters.
    #[must_use]
    pub fn gaps(&self, chances: &Chances, sounds: &Sounds) -> Vec<Gap> {
        let mut gaps: Vec<Gap> = self
            .cells(sounds)
            .into_iter()
            .filter_map(|cell| {
                let wanted = match cell {
                    Cell::Sound(..) => self.sounds,
                    Cell::Cluster(..) => self.clusters,
                };
                let has = chances.in_cell(&cell);
                (has < wanted).then_some(Gap { cell, has, wanted })
            })
            .collect();
        let key = |gap: &Gap| (matches!(gap.cell, Cell::Cluster(..)), gap.has);
        gaps.sort_by_key(key);
        gaps
    }

    /// The candidates that fill gaps, by place: see [`cover`]. None of them is a word of
    /// `listed`, a form of one, or said like one, nor are two of them one word.
    #[must_use]
    pub fn fill(&self, gaps: &[Gap], listed: &[String], stock: &Stock<'_>) -> Cover {
        let places: BTreeMap<&Cell, usize> = gaps
            .iter()
            .enumerate()
            .map(|(at, gap)| (&gap.cell, at))
            .collect();
        let need: Vec<usize> = gaps.iter().map(|gap| gap.wanted - gap.has).collect();
        let all: Vec<Vec<(usize, usize)>> = self
            .candidates
            .iter()
            .map(|candidate| {
                let cells = gives(&candidate.spoken, &stock.sounds);
                let mut filled: Vec<usize> = cells
                    .iter()
                    .filter_map(|it| places.get(it).copied())
                    .collect();
                filled.sort_unstable();
                let counted = filled.chunk_by(PartialEq::eq);
                counted
                    .filter_map(|same| Some((*same.first()?, same.len())))
                    .collect()
            })
            .collect();
        let taken: BTreeSet<String> =
            listed.iter().flat_map(|word| stock.keys(word)).collect();
        let mut known: BTreeMap<usize, Vec<String>> = BTreeMap::new();
        let keys = |word: usize| {
            let candidate = self.candidates.get(word);
            candidate
                .map(|it| stock.keys(it.word()))
                .unwrap_or_default()
        };
        cover(&need, &all, &mut |word, chosen| {
            for it in chosen.iter().chain([&word]) {
                known.entry(*it).or_insert_with(|| keys(*it));
            }
            let own = known.get(&word).map(Vec::as_slice).unwrap_or_default();
            let beside = chosen.iter().filter_map(|it| known.get(it));
            let mut others = beside.flatten();
            own.iter().all(|it| !taken.contains(it)) && others.all(|it| !own.contains(it))
        })
    }
}

/// The cells that a word gives a chance to, each as often as it does.
fn gives(spoken: &Spoken, sounds: &Sounds) -> Vec<Cell> {
    let mut cells: Vec<Cell> = whole_counts(spoken)
        .map(|it| {
            let place = (!sounds.is_vowel(it.number)).then_some(it.position);
            Cell::Sound(it.number, place)
        })
        .collect();
    cells.extend(clusters(spoken).map(|(part, cluster)| Cell::Cluster(part, cluster)));
    cells
}
