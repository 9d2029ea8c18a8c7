//! Which rules are worth weighing: a quick look at all there are.

use std::collections::BTreeMap;

use super::change::{Change, Kind};
use super::model::{Fit, Rule};
use super::search::Search;
use super::site::{BEFORE_TWO, CODA, ONSET, STRESSED, Site, UNSTRESSED};
use super::sound::{Classes, Described, NOTHING, Set, bit};

/// A rule that the screen thinks worth a closer look.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    pub(super) rule: Rule,
    /// Bits it would save, roughly.
    pub(super) gain: f64,
    /// A number for the sites where it explains an error.
    pub(super) hits: u64,
}

/// A class cut down to the sounds that occur.
struct Side {
    set: Set,
    bits: f64,
    class: usize,
}

/// The counts of one pair of neighbours.
#[derive(Clone, Copy, Default)]
struct Cell {
    left: u8,
    right: u8,
    unexplained: f64,
    hits: f64,
    chances: f64,
}

impl Search<'_> {
    /// The rules that promise to save bits over a fit, best first; of those that work at the
    /// same sites the cheapest, at most four that explain the same errors.
    pub(super) fn screen(
        &mut self,
        fit: &Fit,
        said: bool,
        only: Option<usize>,
    ) -> Vec<Candidate> {
        let mut found: BTreeMap<(usize, u64), Candidate> = BTreeMap::new();
        let problem = self.problem;
        for (number, change) in problem.changes.iter().enumerate() {
            let listed = matches!(change.kind, Kind::Listed(_));
            if listed || only.is_some_and(|it| it != number) || self.budget == 0 {
                continue;
            }
            self.screen_change(fit, said, number, change, &mut found);
        }
        if !said {
            for rule in self.known {
                if only.is_none_or(|it| it == rule.change) {
                    self.screen_known(fit, rule, &mut found);
                }
            }
        }
        let mut all: Vec<Candidate> = found.into_values().collect();
        all.sort_by(|one, other| {
            other
                .gain
                .total_cmp(&one.gain)
                .then(one.rule.bits.total_cmp(&other.rule.bits))
                .then(one.rule.change.cmp(&other.rule.change))
                .then(one.rule.classes.cmp(&other.rule.classes))
        });
        let mut seen: BTreeMap<u64, usize> = BTreeMap::new();
        all.retain(|it| {
            let times = seen.entry(it.hits).or_default();
            *times += 1;
            *times <= 4
        });
        all.truncate(200);
        all
    }

    /// The same, with those that cost some bits more than they save.
    pub(super) fn screen_down_to(&mut self, fit: &Fit, least: f64) -> Vec<Candidate> {
        self.least = least;
        let all = self.screen(fit, false, None);
        self.least = 0.0;
        all
    }

    fn gain(
        &self,
        bits: f64,
        cost_of_slip: f64,
        unexplained: f64,
        hits: f64,
        chances: f64,
    ) -> f64 {
        let rate = ((hits + 1.0) / (chances + 1.5)).min(0.999);
        let constants = &self.problem.constants;
        unexplained * (cost_of_slip + rate.log2())
            + (chances - hits) * (1.0 - rate).log2()
            - bits
            - constants.rule
            - 0.5 * (chances + 1.0).log2()
            - (constants.rate_floor - rate).max(0.0) * constants.rate_slope
    }

    fn screen_known(
        &mut self,
        fit: &Fit,
        rule: &Rule,
        found: &mut BTreeMap<(usize, u64), Candidate>,
    ) {
        let Some(change) = self.problem.changes.get(rule.change) else {
            return;
        };
        let (mut unexplained, mut hits, mut chances) = (0.0, 0.0, 0.0);
        let mut cost = 0.0;
        let mut reached = Vec::new();
        let sites = self.problem.sites.iter().zip(&fit.slips);
        for (((site, count), slip), at) in sites.zip(0_u32..) {
            if !rule.fits(change, site) {
                continue;
            }
            reached.push((*site, at));
            let gives = change.gives(site.focus, site.outcome);
            if gives > 0.0 {
                hits += count;
                chances += count;
                unexplained += count * slip;
                cost = self.cost_of_slip(fit, change, site.outcome);
            } else if !site.is_error() {
                chances += count;
            }
        }
        self.budget = self.budget.saturating_sub(self.problem.sites.len() as u64);
        if unexplained > 1.5 {
            let gain = self.gain(rule.bits, cost, unexplained, hits, chances);
            self.keep(rule.clone(), gain, &reached, found);
        }
    }

    fn cost_of_slip(&self, fit: &Fit, change: &Change, outcome: u8) -> f64 {
        let constants = &self.problem.constants;
        let [sounds, gaps] = fit.noise;
        let noise = if change.is_insertion() { gaps } else { sounds };
        let share = if outcome == NOTHING {
            constants.noise_deletion
        } else {
            (1.0 - constants.noise_deletion) / constants.noise_sounds
        };
        let open = f64::from(change.open.count_ones().max(1));
        -(noise * share).log2() - open.log2()
    }

    fn screen_change(
        &mut self,
        fit: &Fit,
        said: bool,
        number: usize,
        change: &Change,
        found: &mut BTreeMap<(usize, u64), Candidate>,
    ) {
        // Where it would work, and whether it did.
        let mut here: Vec<(usize, bool)> = Vec::new();
        let mut reached: Vec<(Site, u32)> = Vec::new();
        let mut total = 0.0;
        let mut cost = 0.0;
        let mut hit_sounds: Set = 0;
        for (at, (site, count)) in self.problem.sites.iter().enumerate() {
            if change.applies & bit(site.focus) == 0
                || change.is_insertion() != (site.focus == NOTHING)
            {
                continue;
            }
            reached.push((*site, u32::try_from(at).unwrap_or(u32::MAX)));
            let hit = change.gives(site.focus, site.outcome) > 0.0;
            if hit {
                total += count * fit.slips.get(at).copied().unwrap_or(0.0);
                hit_sounds |= bit(site.focus);
                cost = self.cost_of_slip(fit, change, site.outcome);
            }
            if hit || !site.is_error() {
                here.push((at, hit));
            }
        }
        self.budget = self.budget.saturating_sub(self.problem.sites.len() as u64);
        if total < 1.5 || total * cost < change.bits + 2.0 + self.least {
            return;
        }
        let present = here.iter().fold(0, |set, (at, _)| {
            set | self
                .problem
                .sites
                .get(*at)
                .map_or(0, |(site, _)| bit(site.focus))
        });
        let constants = &self.problem.constants;
        let focuses: Vec<Side> = if change.is_insertion() {
            vec![Side {
                set: bit(NOTHING),
                bits: 0.0,
                class: usize::MAX,
            }]
        } else {
            cheapest(&self.classes.focus, present, hit_sounds, 0.0)
        };
        let positions: &[(u8, f64)] = if change.is_insertion() {
            &[
                (0, constants.no_position),
                (BEFORE_TWO, constants.syllable_position),
            ]
        } else {
            &[
                (0, constants.no_position),
                (ONSET, constants.syllable_position),
                (CODA, constants.syllable_position),
                (STRESSED, constants.stress_position),
                (UNSTRESSED, constants.stress_position),
            ]
        };
        for focus in &focuses {
            for (position, position_bits) in positions {
                let base = change.bits
                    + focus.bits
                    + position_bits
                    + f64::from(u8::from(said)) * constants.on_production;
                let mut cells: Vec<Cell> = Vec::new();
                let mut unexplained = 0.0;
                for (at, hit) in &here {
                    let Some((site, count)) = self.problem.sites.get(*at) else {
                        continue;
                    };
                    if focus.set & bit(site.focus) == 0 || position & !site.position != 0
                    {
                        continue;
                    }
                    let slip = fit.slips.get(*at).copied().unwrap_or(0.0);
                    let new = if *hit { count * slip } else { 0.0 };
                    unexplained += new;
                    let (left, right) = if said {
                        (site.said_left, site.said_right)
                    } else {
                        (site.left, site.right)
                    };
                    cells.push(Cell {
                        left,
                        right,
                        unexplained: new,
                        hits: f64::from(u8::from(*hit)) * count,
                        chances: *count,
                    });
                }
                self.budget = self.budget.saturating_sub(here.len() as u64);
                if unexplained < 1.5 || unexplained * cost < base + 2.0 + self.least {
                    continue;
                }
                self.screen_contexts(
                    &mut cells,
                    base,
                    cost,
                    |gain, bits, left, right| {
                        Rule {
                            change: number,
                            focus: focus.set_of(self.classes),
                            left: left.set_in(&self.classes.context),
                            right: right.set_in(&self.classes.context),
                            position: *position,
                            said,
                            bits,
                            classes: [focus.class, left.class, right.class],
                            known: None,
                        }
                        .with(gain)
                    },
                )
                .into_iter()
                .for_each(|(rule, gain)| self.keep(rule, gain, &reached, found));
            }
        }
    }

    fn screen_contexts(
        &self,
        cells: &mut [Cell],
        base: f64,
        cost: f64,
        make: impl Fn(f64, f64, &Side, &Side) -> (Rule, f64),
    ) -> Vec<(Rule, f64)> {
        let mut lefts: Set = 0;
        let mut rights: Set = 0;
        let mut hit_lefts: Set = 0;
        let mut hit_rights: Set = 0;
        for cell in cells.iter() {
            lefts |= bit(cell.left);
            rights |= bit(cell.right);
            if cell.unexplained > 0.0 {
                hit_lefts |= bit(cell.left);
                hit_rights |= bit(cell.right);
            }
        }
        let left_sides = cheapest(&self.classes.context, lefts, hit_lefts, 0.0);
        let right_sides = cheapest(&self.classes.context, rights, hit_rights, 0.0);
        let mut found = Vec::new();
        let mut row = [Cell::default(); 128];
        for left in &left_sides {
            let mut touched: Set = 0;
            let mut unexplained = 0.0;
            for cell in cells.iter() {
                if left.set & bit(cell.left) == 0 {
                    continue;
                }
                let Some(slot) = row.get_mut(usize::from(cell.right & 127)) else {
                    continue;
                };
                if touched & bit(cell.right) == 0 {
                    *slot = Cell::default();
                    touched |= bit(cell.right);
                }
                slot.unexplained += cell.unexplained;
                slot.hits += cell.hits;
                slot.chances += cell.chances;
                unexplained += cell.unexplained;
            }
            if unexplained < 1.5
                || unexplained * cost < base + left.bits + 1.0 + self.least
            {
                continue;
            }
            for right in &right_sides {
                let bits = base + left.bits + right.bits;
                let mut set = right.set & touched;
                let mut sum = Cell::default();
                while set != 0 {
                    let at = set.trailing_zeros() as usize;
                    if let Some(cell) = row.get(at) {
                        sum.unexplained += cell.unexplained;
                        sum.hits += cell.hits;
                        sum.chances += cell.chances;
                    }
                    set &= set - 1;
                }
                if sum.unexplained < 1.5 || sum.unexplained * cost < bits + self.least {
                    continue;
                }
                let gain = self.gain(bits, cost, sum.unexplained, sum.hits, sum.chances);
                if gain > self.least {
                    found.push(make(gain, bits, left, right));
                }
            }
        }
        found.sort_by(|one, other| other.1.total_cmp(&one.1));
        found.truncate(60);
        found
    }

    /// Keeps a rule unless a cheaper one works at the same sites; `reached` are those that
    /// its change says something of.
    fn keep(
        &self,
        rule: Rule,
        gain: f64,
        reached: &[(Site, u32)],
        found: &mut BTreeMap<(usize, u64), Candidate>,
    ) {
        let Some(change) = self.problem.changes.get(rule.change) else {
            return;
        };
        let (mut reach, mut hits) = (0_u64, 0_u64);
        for (site, at) in reached {
            if rule.fits(change, site) {
                let outcome = change.of(site.focus).unwrap_or(NOTHING);
                let number = mixed(u64::from(*at) << 8 | u64::from(outcome));
                reach = reach.wrapping_add(number);
                if change.gives(site.focus, site.outcome) > 0.0 {
                    hits = hits.wrapping_add(number);
                }
            }
        }
        let key = (usize::from(rule.said), reach);
        let candidate = Candidate { rule, gain, hits };
        match found.get_mut(&key) {
            Some(known) if known.gain >= candidate.gain => {}
            Some(known) => *known = candidate,
            None => {
                found.insert(key, candidate);
            }
        }
    }
}

impl Rule {
    fn with(self, gain: f64) -> (Self, f64) {
        (self, gain)
    }
}

impl Side {
    fn set_in(&self, classes: &[Described]) -> Set {
        classes.get(self.class).map_or(Set::MAX, |it| it.set)
    }

    fn set_of(&self, classes: &Classes) -> Set {
        classes.focus.get(self.class).map_or(Set::MAX, |it| it.set)
    }
}

/// For each part of what occurs the cheapest class that cuts it out, if it holds something
/// that is wanted; without those that hold no more of it than a cheaper, smaller one.
fn cheapest(classes: &[Described], present: Set, wanted: Set, more: f64) -> Vec<Side> {
    let mut sides: Vec<Side> = classes
        .iter()
        .enumerate()
        .filter(|(_, it)| it.set & wanted != 0)
        .map(|(class, it)| Side {
            set: it.set & present,
            bits: it.bits + more,
            class,
        })
        .collect();
    sides.sort_by(|one, other| {
        one.set
            .cmp(&other.set)
            .then(one.bits.total_cmp(&other.bits))
    });
    sides.dedup_by_key(|it| it.set);
    // Dearer, wider and no better.
    let all: Vec<(Set, f64)> = sides.iter().map(|it| (it.set, it.bits)).collect();
    sides.retain(|it| {
        !all.iter().any(|(set, bits)| {
            *bits <= it.bits
                && *set != it.set
                && *set & !it.set == 0
                && *set & wanted == it.set & wanted
        })
    });
    sides
}

/// A number as random as can be.
fn mixed(number: u64) -> u64 {
    let mut x = number.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    x = (x ^ x >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    x = (x ^ x >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^ x >> 31
}
