//! The search for the rules that explain most with least.

use std::collections::BTreeMap;

use super::change::{Change, Kind};
use super::model::{Fit, Problem, Rule};
use super::site::{BEFORE_TWO, CODA, ONSET, STRESSED, UNSTRESSED};
use super::sound::{Classes, Described, NOTHING, Set, bit};

/// A rule that the screen thinks worth a closer look.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    pub(super) rule: Rule,
    /// Bits it would save, roughly.
    pub(super) gain: f64,
    /// A number for the sites where it explains an error.
    hits: u64,
}

/// The search over one problem.
#[derive(Debug)]
pub(super) struct Search<'p> {
    pub(super) problem: &'p Problem,
    pub(super) classes: &'p Classes,
    /// Known patterns as rules, their bits those of the catalogue.
    pub(super) known: &'p [Rule],
    /// Steps left: counted, so that every machine finds the same.
    pub(super) budget: u64,
}

/// How many candidates of a screen are weighed exactly.
const CLOSER: usize = 24;
/// Rules that a client may have, at most.
const MOST: usize = 16;

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
    /// The rules found and their fit.
    pub(super) fn run(&mut self) -> (Vec<Rule>, Fit) {
        let mut rules: Vec<Rule> = Vec::new();
        let mut fit = self.problem.fit(&rules);
        self.grow(&mut rules, &mut fit);
        for _ in 0..8 {
            let before = fit.bits;
            self.shrink(&mut rules, &mut fit);
            self.replace(&mut rules, &mut fit);
            self.unite(&mut rules, &mut fit);
            self.reorder(&mut rules, &mut fit);
            self.grow(&mut rules, &mut fit);
            if fit.bits > before - 0.01 || self.budget == 0 {
                break;
            }
        }
        self.shrink(&mut rules, &mut fit);
        (rules, fit)
    }

    fn weigh(&mut self, rules: &[Rule]) -> Fit {
        let sites = self.problem.sites.len() as u64;
        self.budget = self.budget.saturating_sub(sites * 8);
        self.problem.fit(rules)
    }

    /// Adds rules while they help.
    fn grow(&mut self, rules: &mut Vec<Rule>, fit: &mut Fit) {
        while rules.len() < MOST && self.budget > 0 {
            let candidates = self.screen(fit, false, None);
            if !self.take_best(rules, fit, &candidates, Vec::push) {
                break;
            }
        }
    }

    /// Takes the best of some changes to the list if it helps.
    fn take_best(
        &mut self,
        rules: &mut Vec<Rule>,
        fit: &mut Fit,
        candidates: &[Candidate],
        change: impl Fn(&mut Vec<Rule>, Rule),
    ) -> bool {
        let mut best: Option<(Vec<Rule>, Fit)> = None;
        for candidate in candidates.iter().take(CLOSER) {
            if rules.contains(&candidate.rule) {
                continue;
            }
            let mut trial = rules.clone();
            change(&mut trial, candidate.rule.clone());
            let weighed = self.weigh(&trial);
            let so_far = best.as_ref().map_or(fit.bits, |(_, it)| it.bits);
            if weighed.bits < so_far - 0.01 {
                best = Some((trial, weighed));
            }
        }
        let Some((better, weighed)) = best else {
            return false;
        };
        (*rules, *fit) = (better, weighed);
        true
    }

    /// Drops rules while that helps.
    fn shrink(&mut self, rules: &mut Vec<Rule>, fit: &mut Fit) {
        let mut at = 0;
        while at < rules.len() {
            let mut trial = rules.clone();
            trial.remove(at);
            let weighed = self.weigh(&trial);
            if weighed.bits <= fit.bits {
                (*rules, *fit) = (trial, weighed);
                at = 0;
            } else {
                at += 1;
            }
        }
    }

    /// Puts a better rule in one's place.
    fn replace(&mut self, rules: &mut Vec<Rule>, fit: &mut Fit) {
        for at in 0..rules.len() {
            if self.budget == 0 {
                return;
            }
            let mut rest = rules.clone();
            let old = rest.remove(at);
            let without = self.weigh(&rest);
            let mut candidates = self.screen(&without, false, None);
            candidates.truncate(CLOSER);
            let deletes = self
                .problem
                .changes
                .get(old.change)
                .is_some_and(|it| it.kind == Kind::Deletion);
            // What other rules do matters to a rule's neighbours, if there are others.
            if !deletes && !rest.is_empty() {
                let mut said = self.screen(&without, true, Some(old.change));
                said.truncate(CLOSER / 2);
                candidates.extend(said);
                let place = |rules: &mut Vec<Rule>, rule| put(rules, at, rule);
                self.take_best(rules, fit, &candidates[..], place);
                continue;
            }
            self.take_best(rules, fit, &candidates, |rules, it| put(rules, at, it));
        }
    }

    /// Puts one rule in the place of two.
    fn unite(&mut self, rules: &mut Vec<Rule>, fit: &mut Fit) {
        let mut one = 0;
        while one < rules.len() {
            let mut other = one + 1;
            while other < rules.len() {
                if self.budget == 0 {
                    return;
                }
                let mut rest = rules.clone();
                rest.remove(other);
                rest.remove(one);
                let without = self.weigh(&rest);
                let candidates = self.screen(&without, false, None);
                let mut few = candidates;
                few.truncate(CLOSER / 2);
                let united = self.take_best(rules, fit, &few, |rules, it| {
                    rules.remove(other);
                    rules.remove(one);
                    rules.push(it);
                });
                if !united {
                    other += 1;
                }
            }
            one += 1;
        }
    }

    /// Lets neighbours in the list change places.
    fn reorder(&mut self, rules: &mut Vec<Rule>, fit: &mut Fit) {
        for at in 1..rules.len() {
            let mut trial = rules.clone();
            trial.swap(at - 1, at);
            let weighed = self.weigh(&trial);
            if weighed.bits < fit.bits - 0.01 {
                (*rules, *fit) = (trial, weighed);
            }
        }
    }

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
            if only.is_some_and(|it| it != number) || self.budget == 0 {
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
        for ((site, count), slip) in self.problem.sites.iter().zip(&fit.slips) {
            if !rule.fits(change, site) {
                continue;
            }
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
            self.keep(rule.clone(), gain, found);
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
        let mut total = 0.0;
        let mut cost = 0.0;
        let mut hit_sounds: Set = 0;
        for (at, (site, count)) in self.problem.sites.iter().enumerate() {
            if change.applies & bit(site.focus) == 0
                || change.is_insertion() != (site.focus == NOTHING)
            {
                continue;
            }
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
        if total < 1.5 || total * cost < change.bits + 2.0 {
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
                if unexplained < 1.5 || unexplained * cost < base + 2.0 {
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
                .for_each(|(rule, gain)| self.keep(rule, gain, found));
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
            if unexplained < 1.5 || unexplained * cost < base + left.bits + 1.0 {
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
                if sum.unexplained < 1.5 || sum.unexplained * cost < bits {
                    continue;
                }
                let gain = self.gain(bits, cost, sum.unexplained, sum.hits, sum.chances);
                if gain > 0.0 {
                    found.push(make(gain, bits, left, right));
                }
            }
        }
        found.sort_by(|one, other| other.1.total_cmp(&one.1));
        found.truncate(60);
        found
    }

    /// Keeps a rule unless a cheaper one works at the same sites.
    fn keep(&self, rule: Rule, gain: f64, found: &mut BTreeMap<(usize, u64), Candidate>) {
        let Some(change) = self.problem.changes.get(rule.change) else {
            return;
        };
        let (mut reach, mut hits) = (0_u64, 0_u64);
        for ((site, _), at) in self.problem.sites.iter().zip(0_u64..) {
            if rule.fits(change, site) {
                let outcome = change.of(site.focus).unwrap_or(NOTHING);
                let number = mixed(at << 8 | u64::from(outcome));
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

    /// Rules that could stand in the place of one of a list: each with the bits it costs
    /// more; the first is "no rule" (`None`).
    pub(super) fn rivals(
        &mut self,
        rules: &[Rule],
        fit: &Fit,
        at: usize,
    ) -> Vec<(Option<Rule>, f64)> {
        let mut rest = rules.to_vec();
        if at >= rest.len() {
            return Vec::new();
        }
        let own = rest.remove(at);
        let without = self.weigh(&rest);
        let mut rivals = vec![(None, without.bits - fit.bits)];
        let Some(change) = self.problem.changes.get(own.change) else {
            return rivals;
        };
        let candidates = self.screen(&without, false, None);
        let mine = |rule: &Rule, change: &Change| -> (Vec<(usize, u8)>, f64) {
            let mut sites = Vec::new();
            let mut hits = 0.0;
            for (number, (site, count)) in self.problem.sites.iter().enumerate() {
                if rule.fits(change, site) {
                    sites.push((number, change.of(site.focus).unwrap_or(NOTHING)));
                    if change.gives(site.focus, site.outcome) > 0.0 {
                        hits += count;
                    }
                }
            }
            (sites, hits)
        };
        let (own_sites, own_hits) = mine(&own, change);
        let mut chosen = Vec::new();
        for candidate in &candidates {
            let rule = &candidate.rule;
            let Some(other) = self.problem.changes.get(rule.change) else {
                continue;
            };
            let (sites, hits) = mine(rule, other);
            let both = sites.iter().filter(|it| own_sites.contains(it)).count();
            let either = sites.len() + own_sites.len() - both;
            let shared: f64 = sites
                .iter()
                .filter(|it| own_sites.contains(it))
                .filter_map(|(at, _)| self.problem.sites.get(*at))
                .filter(|(site, _)| other.gives(site.focus, site.outcome) > 0.0)
                .map(|(_, count)| count)
                .sum();
            // Works at nearly the same sites: no other rule.
            if both * 5 >= either * 4 || shared * 2.0 < own_hits.min(hits) {
                continue;
            }
            chosen.push(rule.clone());
            if chosen.len() == CLOSER {
                break;
            }
        }
        for rule in chosen {
            let mut trial = rules.to_vec();
            put(&mut trial, at, rule.clone());
            let weighed = self.weigh(&trial);
            rivals.push((Some(rule), weighed.bits - fit.bits));
        }
        rivals
    }
}

fn put(rules: &mut [Rule], at: usize, rule: Rule) {
    if let Some(slot) = rules.get_mut(at) {
        *slot = rule;
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
