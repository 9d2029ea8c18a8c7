//! How a client's productions change from session to session.

use std::collections::BTreeMap;

use super::item::Item;
use crate::alignment::Kind;
use crate::record::Session;

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
    /// What is counted: a target phoneme, a pattern, a drill's target.
    pub target: String,
    /// A count for each session, empty where it did not come up.
    pub counts: Vec<Count>,
}

impl Series {
    /// All sessions together.
    #[must_use]
    pub fn whole(&self) -> Count {
        self.counts.iter().fold(Count::default(), |all, it| Count {
            right: all.right + it.right,
            of: all.of + it.of,
        })
    }

    /// The first session in which it came up, and the last, if they are two.
    #[must_use]
    pub fn ends(&self) -> Option<[Count; 2]> {
        let mut counted = self.counts.iter().filter(|count| count.of > 0);
        let first = counted.next()?;
        counted.next_back().map(|last| [*first, *last])
    }
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

/// Target phonemes over the sessions: each counted once for every time a target asked for
/// it, right where it was said as intended or as the accent allows. What was always right is
/// left out unless `all`; the least secure comes first.
///
/// Additions have no target and are not counted here.
#[must_use]
pub fn by_target(sessions: &[Vec<Item>], all: bool) -> Vec<Series> {
    let mut series: BTreeMap<String, Vec<Count>> = BTreeMap::new();
    for (number, items) in sessions.iter().enumerate() {
        for item in items {
            for column in &item.columns {
                if column.target.is_empty() {
                    continue;
                }
                let counts = series
                    .entry(item.target.text_of(&column.target))
                    .or_insert_with(|| vec![Count::default(); sessions.len()]);
                if let Some(count) = counts.get_mut(number) {
                    count.add(matches!(column.kind, Kind::Match | Kind::Allophone));
                }
            }
        }
    }
    sorted(series, all)
}

/// Whole words over the sessions: right where every sound and every stress is.
#[must_use]
pub fn whole_words(sessions: &[Vec<Item>]) -> Series {
    let counts = sessions.iter().map(|items| {
        let mut count = Count::default();
        for item in items {
            count.add(item.is_right());
        }
        count
    });
    Series {
        target: "whole words".to_owned(),
        counts: counts.collect(),
    }
}

fn sorted(series: BTreeMap<String, Vec<Count>>, all: bool) -> Vec<Series> {
    let mut series: Vec<Series> = series
        .into_iter()
        .map(|(target, counts)| Series { target, counts })
        .filter(|it| all || it.whole().right < it.whole().of)
        .collect();
    // Wrong ones first; the names settle ties.
    series.sort_by_key(|it| {
        let whole = it.whole();
        (
            core::cmp::Reverse(whole.of - whole.right),
            it.target.clone(),
        )
    });
    series
}
