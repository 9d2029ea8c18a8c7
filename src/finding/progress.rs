//! How a client's productions change from session to session.
//!
//! What was said without help and what was said after a cue are never added up: only the
//! first shows what a client does alone.

use std::collections::BTreeMap;

use super::item::Item;
use super::pattern::{Detector, Outcome, Pattern};
use super::prosody::{self, Feature};
use crate::alignment::Kind;
use crate::record::Session;
use crate::syllable::Stress;

/// So many right of so many.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Count {
    /// How many were right.
    pub right: u32,
    /// Of how many.
    pub of: u32,
}

impl Count {
    /// Counts one more.
    pub fn add(&mut self, right: bool) {
        self.right += u32::from(right);
        self.of += 1;
    }

    /// The share in percent; `None` of nothing.
    #[must_use]
    pub fn percent(self) -> Option<f64> {
        (self.of > 0).then(|| 100.0 * f64::from(self.right) / f64::from(self.of))
    }

    /// The 95 % interval of the share, in percent; `None` of nothing.
    ///
    /// It stays within 0 and 100 and is honest where few were counted: 3 of 3 does not mean
    /// that all will be right.
    ///
    /// # Source
    ///
    /// The score interval: Wilson 1927, J Am Stat Assoc 22:209–212.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::finding::progress::Count;
    ///
    /// let [low, high] = Count { right: 3, of: 3 }.interval().unwrap();
    /// assert!((low - 43.85).abs() < 0.01 && (high - 100.0).abs() < 1e-9);
    /// assert!(Count::default().interval().is_none());
    /// ```
    #[must_use]
    pub fn interval(self) -> Option<[f64; 2]> {
        const Z: f64 = 1.959_963_984_540_054;
        if self.of == 0 {
            return None;
        }
        let n = f64::from(self.of);
        let share = f64::from(self.right) / n;
        let middle = (share + Z * Z / (2.0 * n)) / (1.0 + Z * Z / n);
        let half = Z / (1.0 + Z * Z / n)
            * (share * (1.0 - share) / n + Z * Z / (4.0 * n * n)).sqrt();
        let bound = |it: f64| (100.0 * it).clamp(0.0, 100.0);
        Some([bound(middle - half), bound(middle + half)])
    }
}

/// One thing that is followed over the sessions.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Series {
    /// What is counted: a target phoneme, a pattern, whole words.
    pub target: String,
    /// A count for each session of what was said without help, empty where it did not come
    /// up.
    pub counts: Vec<Count>,
    /// The same of what was said after a cue.
    pub cued: Vec<Count>,
}

impl Series {
    fn new(target: &str, sessions: usize) -> Self {
        Self {
            target: target.to_owned(),
            counts: vec![Count::default(); sessions],
            cued: vec![Count::default(); sessions],
        }
    }

    /// All sessions together, without help.
    #[must_use]
    pub fn whole(&self) -> Count {
        sum(&self.counts)
    }

    /// All sessions together, after a cue.
    #[must_use]
    pub fn whole_cued(&self) -> Count {
        sum(&self.cued)
    }

    /// The last session in which it came up without help, if it is not the only one.
    #[must_use]
    pub fn latest(&self) -> Option<Count> {
        let mut counted = self.counts.iter().filter(|count| count.of > 0);
        counted.next()?;
        counted.next_back().copied()
    }

    /// How often it was not right, with or without help.
    fn missed(&self) -> u32 {
        let (alone, cued) = (self.whole(), self.whole_cued());
        alone.of - alone.right + cued.of - cued.right
    }
}

fn sum(counts: &[Count]) -> Count {
    counts.iter().fold(Count::default(), |all, it| Count {
        right: all.right + it.right,
        of: all.of + it.of,
    })
}

/// What one production of a word gives the figures.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tried {
    /// Whether every sound and every stress is right.
    pub right: bool,
    /// Each target phoneme, and whether it was said as intended or as the accent allows.
    /// Additions have no target and are not counted.
    pub sounds: Vec<(String, bool)>,
    /// Patterns that had a chance, by number: how often each stayed away, of its chances.
    pub patterns: Vec<(usize, Count)>,
}

impl Tried {
    /// What an item gives.
    #[must_use]
    pub fn of(item: &Item, detector: &mut Detector<'_>) -> Self {
        let columns = item.columns.iter().filter(|it| !it.target.is_empty());
        let chances = detector
            .chances(item)
            .chunk_by(|one, other| one.0 == other.0);
        let patterns = chances.filter_map(|chances| {
            let mut count = Count::default();
            for (_, chance) in chances {
                count.add(chance.outcome != Outcome::Shown);
            }
            Some((chances.first()?.0, count))
        });
        Self {
            right: is_right(item),
            sounds: columns
                .map(|column| {
                    let right = matches!(column.kind, Kind::Match | Kind::Allophone);
                    (item.target.text_of(&column.target), right)
                })
                .collect(),
            patterns: patterns.collect(),
        }
    }
}

/// Whether a word is right throughout. Who writes live leaves stress out where it is as it
/// should be: a production without any mark of it says nothing about stress.
fn is_right(item: &Item) -> bool {
    let sites = &item.production.sites;
    let marked = sites.iter().any(|site| site.stress != Stress::Unmarked);
    let counts = |difference: &&prosody::Difference| {
        let feature = difference.feature;
        marked || !matches!(feature, Feature::PrimaryStress | Feature::SecondaryStress)
    };
    item.has_right_sounds() && item.prosody.iter().find(counts).is_none()
}

/// What was said in a session, as far as it is counted: each with what makes it the same item
/// in another session, its word and its target as they were planned.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Said<'t> {
    /// First attempts without a cue.
    pub alone: Vec<(String, &'t Tried)>,
    /// Of each word the first attempt that was given with a cue, whichever attempt that was.
    pub cued: Vec<(String, &'t Tried)>,
}

/// How a client goes on, in figures.
#[derive(Clone, Debug, Default)]
pub struct Way {
    /// Sessions of practised lists, oldest first.
    pub practised: Part,
    /// Sessions of words that were never practised.
    pub probes: Part,
    /// Drills: right without help, of all trials.
    pub drills: Vec<(Session, Vec<Drill>)>,
}

/// Sessions of one kind.
#[derive(Clone, Debug, Default)]
pub struct Part {
    /// The sessions.
    pub sessions: Vec<Session>,
    /// Words right throughout.
    pub words: Series,
    /// Target phonemes.
    pub targets: Vec<Series>,
    /// Patterns: how often they did not show, of their chances.
    pub patterns: Vec<Series>,
    /// Items that are not counted: nothing said, skipped, or unreadable.
    pub not_counted: usize,
    /// Items of probes that are not counted because the word had been practised before.
    pub practised_before: usize,
    /// Before and after, on the same words.
    pub comparisons: Vec<Comparison>,
}

impl Part {
    /// Counts what was said: `said` has an entry a session. Targets that were always right
    /// are left out unless `all`, as are patterns that never showed; the least secure comes
    /// first.
    #[must_use]
    pub fn of(
        sessions: Vec<Session>,
        said: &[Said<'_>],
        patterns: &[Pattern],
        all: bool,
    ) -> Self {
        let mut words = Series::new("whole words", said.len());
        let mut targets: BTreeMap<&str, Series> = BTreeMap::new();
        let mut shown: Vec<Series> = patterns
            .iter()
            .map(|pattern| Series::new(&pattern.name, said.len()))
            .collect();
        for (number, session) in said.iter().enumerate() {
            for (help, tried) in [(false, &session.alone), (true, &session.cued)] {
                let add = |series: &mut Series, more: Count| {
                    let counts = if help {
                        &mut series.cued
                    } else {
                        &mut series.counts
                    };
                    if let Some(count) = counts.get_mut(number) {
                        count.right += more.right;
                        count.of += more.of;
                    }
                };
                for (_, it) in tried {
                    add(&mut words, Count::one(it.right));
                    for (sound, right) in &it.sounds {
                        let series = targets
                            .entry(sound)
                            .or_insert_with(|| Series::new(sound, said.len()));
                        add(series, Count::one(*right));
                    }
                    for (pattern, count) in &it.patterns {
                        if let Some(series) = shown.get_mut(*pattern) {
                            add(series, *count);
                        }
                    }
                }
            }
        }
        let mut targets: Vec<Series> = targets
            .into_values()
            .filter(|it| all || it.missed() > 0)
            .collect();
        // The names settle ties.
        targets.sort_by_key(|it| core::cmp::Reverse(it.missed()));
        shown.retain(|it| it.missed() > 0);
        shown.sort_by_key(|it| core::cmp::Reverse(it.missed()));
        Self {
            words,
            targets,
            patterns: shown,
            comparisons: comparisons(&sessions, said, patterns),
            sessions,
            ..Self::default()
        }
    }
}

impl Count {
    fn one(right: bool) -> Self {
        Self {
            right: u32::from(right),
            of: 1,
        }
    }
}

/// Two sessions on the same words, without help in both.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Comparison {
    /// The numbers of the earlier and the later session in their part, from 0.
    pub sessions: [usize; 2],
    /// Whether both are on the list of one name. Else they are those two sessions that have
    /// most words in common.
    pub same_list: bool,
    /// Words that were said without help in both: all figures are about them alone.
    pub items: usize,
    /// Words that were said without help in each.
    pub of: [usize; 2],
    /// Words right throughout.
    pub words: [Count; 2],
    /// Words that were right only the later time.
    pub gained: usize,
    /// Words that were right only the earlier time.
    pub lost: usize,
    /// Target phonemes that were not always right, those that changed most first.
    pub targets: Vec<Change>,
    /// Patterns that showed.
    pub patterns: Vec<Change>,
}

/// One thing before and after.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Change {
    /// What is counted.
    pub target: String,
    /// Before and after.
    pub counts: [Count; 2],
}

/// Before and after on the same words: of each list that was said several times the first
/// and the last session; where no list was, the two sessions that have most words in common.
fn comparisons(
    sessions: &[Session],
    said: &[Said<'_>],
    patterns: &[Pattern],
) -> Vec<Comparison> {
    let mut lists: Vec<(&str, usize, usize)> = Vec::new();
    let counted = |number: usize| said.get(number).is_some_and(|it| !it.alone.is_empty());
    for (number, session) in sessions.iter().enumerate() {
        if !counted(number) {
            continue;
        }
        match lists.iter_mut().find(|(list, ..)| *list == session.list) {
            Some((.., last)) => *last = number,
            None => lists.push((&session.list, number, number)),
        }
    }
    let same: Vec<Comparison> = lists
        .iter()
        .filter(|(_, first, last)| first < last)
        .filter_map(|(_, first, last)| compared(said, [*first, *last], true, patterns))
        .collect();
    if !same.is_empty() {
        return same;
    }
    let keys: Vec<Vec<&str>> = said
        .iter()
        .map(|it| {
            let mut keys: Vec<&str> = it.alone.iter().map(|it| it.0.as_str()).collect();
            keys.sort_unstable();
            keys
        })
        .collect();
    let mut best: Option<(usize, [usize; 2])> = None;
    for (later, after) in keys.iter().enumerate() {
        for (earlier, before) in keys.iter().enumerate().take(later) {
            let common = before
                .iter()
                .filter(|key| after.binary_search(key).is_ok())
                .count();
            // Of equally many the pair that is farthest apart.
            let apart = |[one, other]: [usize; 2]| other - one;
            let better = best.is_none_or(|(most, pair)| {
                (common, later - earlier) > (most, apart(pair))
            });
            if common > 0 && better {
                best = Some((common, [earlier, later]));
            }
        }
    }
    best.and_then(|(_, pair)| compared(said, pair, false, patterns))
        .into_iter()
        .collect()
}

fn compared(
    said: &[Said<'_>],
    pair: [usize; 2],
    same_list: bool,
    patterns: &[Pattern],
) -> Option<Comparison> {
    let [before, after] = pair.map(|number| said.get(number));
    let (before, after) = (before?, after?);
    let known: BTreeMap<&str, &Tried> = after
        .alone
        .iter()
        .map(|(key, it)| (key.as_str(), *it))
        .collect();
    let mut found = Comparison {
        sessions: pair,
        same_list,
        of: [before, after].map(|it| it.alone.len()),
        ..Comparison::default()
    };
    let mut targets: BTreeMap<&str, [Count; 2]> = BTreeMap::new();
    let mut shown: BTreeMap<usize, [Count; 2]> = BTreeMap::new();
    for (key, one) in &before.alone {
        let Some(other) = known.get(key.as_str()) else {
            continue;
        };
        found.items += 1;
        found.gained += usize::from(other.right && !one.right);
        found.lost += usize::from(one.right && !other.right);
        for (side, it) in [*one, *other].into_iter().enumerate() {
            if let Some(words) = found.words.get_mut(side) {
                words.add(it.right);
            }
            for (sound, right) in &it.sounds {
                if let Some(count) = targets.entry(sound).or_default().get_mut(side) {
                    count.add(*right);
                }
            }
            for (pattern, more) in &it.patterns {
                if let Some(count) = shown.entry(*pattern).or_default().get_mut(side) {
                    count.right += more.right;
                    count.of += more.of;
                }
            }
        }
    }
    let changes = |counts: Vec<(String, [Count; 2])>| -> Vec<Change> {
        let missed = |it: &Count| it.of - it.right;
        let mut changes: Vec<Change> = counts
            .into_iter()
            .map(|(target, counts)| Change { target, counts })
            .filter(|it| it.counts.iter().any(|count| missed(count) > 0))
            .collect();
        changes.sort_by_key(|it| {
            let [before, after] = it.counts.each_ref().map(missed);
            core::cmp::Reverse((before.abs_diff(after), before.max(after)))
        });
        changes
    };
    let named = targets
        .into_iter()
        .map(|(it, counts)| (it.to_owned(), counts));
    found.targets = changes(named.collect());
    let named = shown.into_iter().filter_map(|(number, counts)| {
        Some((patterns.get(number)?.name.clone(), counts))
    });
    found.patterns = changes(named.collect());
    (found.items > 0).then_some(found)
}

/// The trials of one target in one drill.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Drill {
    /// What was practised.
    pub target: String,
    /// Right without help, of all.
    pub alone: Count,
    /// Right with or without help, of all.
    pub with_cue: Count,
}
