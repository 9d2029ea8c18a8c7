//! The search for the rules that explain most with least.

use std::collections::BTreeMap;

use super::change::Kind;
use super::model::{Fit, Problem, Rule};
use super::screen::Candidate;
use super::shortlist::Shortlist;
use super::sound::Classes;

/// The search over one problem.
#[derive(Debug)]
pub(super) struct Search<'p> {
    pub(super) problem: &'p Problem,
    pub(super) classes: &'p Classes,
    /// Known patterns as rules, their bits those of the catalogue.
    pub(super) known: &'p [Rule],
    /// Steps left: counted, so that every machine finds the same.
    pub(super) budget: u64,
    /// For each change looked at, on the targets (`false`) or on what was said, the rules
    /// that could be worth weighing.
    pub(super) lists: BTreeMap<(bool, usize), Shortlist>,
}

/// How many candidates of a screen are weighed exactly.
pub(super) const CLOSER: usize = 24;
/// How many narrower rules are tried for the first of two in the place of one.
const SPLITS: usize = 3;
/// Bits below which one rule for all is not worth splitting: a rule costs more.
const WORTH_SPLITTING: f64 = 15.0;
/// Rules that a client may have, at most.
const MOST: usize = 16;

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
            self.split(&mut rules, &mut fit);
            self.reorder(&mut rules, &mut fit);
            self.grow(&mut rules, &mut fit);
            if fit.bits > before - 0.01 || self.budget == 0 {
                break;
            }
        }
        self.shrink(&mut rules, &mut fit);
        (rules, fit)
    }

    pub(super) fn weigh(&mut self, rules: &[Rule]) -> Fit {
        let fit = self.problem.fit(rules);
        self.budget = self.budget.saturating_sub(fit.steps);
        fit
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

    /// Puts two rules in the place of one that works on some of its sounds and not on others.
    fn split(&mut self, rules: &mut Vec<Rule>, fit: &mut Fit) {
        let mut at = 0;
        while at < rules.len() && rules.len() < MOST {
            if self.budget == 0 {
                return;
            }
            let uneven = rules.get(at).map_or(0.0, |it| self.unevenness(it));
            if uneven < WORTH_SPLITTING || !self.split_one(rules, fit, at) {
                at += 1;
            }
        }
    }

    fn split_one(&mut self, rules: &mut Vec<Rule>, fit: &mut Fit, at: usize) -> bool {
        let mut rest = rules.clone();
        let old = rest.remove(at);
        let without = self.weigh(&rest);
        let within = |it: &Rule| {
            let sides = [
                (it.focus, old.focus),
                (it.left, old.left),
                (it.right, old.right),
            ];
            sides.iter().all(|(own, wide)| own & !wide == 0)
                && sides.iter().any(|(own, wide)| own != wide)
        };
        let narrower = |it: &Candidate| within(&it.rule);
        let firsts: Vec<Candidate> = self
            .screen(&without, false, None)
            .into_iter()
            .filter(narrower)
            .take(SPLITS)
            .collect();
        let mut best: Option<(Vec<Rule>, Fit)> = None;
        for first in firsts {
            let mut trial = rest.clone();
            trial.push(first.rule);
            let mut weighed = self.weigh(&trial);
            let mut seconds = self.screen(&weighed, false, None);
            seconds.truncate(CLOSER / 2);
            if self.take_best(&mut trial, &mut weighed, &seconds, Vec::push) {
                let so_far = best.as_ref().map_or(fit.bits, |(_, it)| it.bits);
                if weighed.bits < so_far - 0.01 {
                    best = Some((trial, weighed));
                }
            }
        }
        let Some((better, weighed)) = best else {
            return false;
        };
        (*rules, *fit) = (better, weighed);
        true
    }

    /// The bits that one rate for all sounds of a rule costs more than a rate for each.
    fn unevenness(&self, rule: &Rule) -> f64 {
        let Some(change) = self.problem.changes.get(rule.change) else {
            return 0.0;
        };
        let mut counts = [[[0.0; 2]; 128]; 3];
        let mut all = [0.0; 2];
        for (_, (site, count)) in self.problem.sites.reached(rule, change) {
            let hit = change.gives(site.focus, site.outcome) > 0.0;
            if site.is_error() && !hit {
                continue;
            }
            let keys = [site.focus, site.left, site.right];
            let cells = counts
                .iter_mut()
                .zip(keys)
                .filter_map(|(cells, key)| cells.get_mut(usize::from(key & 127)));
            for cell in cells.chain([&mut all]) {
                if let Some(cell) = cell.get_mut(usize::from(hit)) {
                    *cell += count;
                }
            }
        }
        let bits = |[missed, hit]: [f64; 2]| {
            let part = |it: f64| {
                if it > 0.0 {
                    -it * (it / (missed + hit)).log2()
                } else {
                    0.0
                }
            };
            part(missed) + part(hit)
        };
        let parts = counts
            .into_iter()
            .map(|it| it.into_iter().map(bits).sum::<f64>());
        bits(all) - parts.fold(f64::INFINITY, f64::min)
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
}

pub(super) fn put(rules: &mut [Rule], at: usize, rule: Rule) {
    if let Some(slot) = rules.get_mut(at) {
        *slot = rule;
    }
}
