//! Which rules are worth weighing: a quick look at all there are.

use std::collections::{BTreeMap, BTreeSet};

use super::change::Kind;
use super::model::{Fit, Rule};
use super::search::Search;
use super::shortlist::{FEWEST, Maker, Shortlist, mixed};
use super::sound::NOTHING;

/// A rule that the screen thinks worth a closer look.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    pub(super) rule: Rule,
    /// A number for the sites where it explains an error.
    pub(super) hits: u64,
}

/// A rule with what the screen makes of it.
struct Promise<'r> {
    gain: f64,
    rule: &'r Rule,
    hits: u64,
    reach: u64,
}

/// How many rules that explain the same errors are weighed.
const ALIKE: usize = 4;
/// How many rules a screen gives.
const MOST: usize = 200;

impl Search<'_> {
    /// The rules that promise to save bits over a fit, best first; of those that work at the
    /// same sites the cheapest, at most four that explain the same errors.
    pub(super) fn screen(
        &mut self,
        fit: &Fit,
        said: bool,
        only: Option<usize>,
    ) -> Vec<Candidate> {
        self.screen_down_to(fit, said, only, 0.0)
    }

    /// The same, with those that cost some bits more than they save.
    pub(super) fn screen_down_to(
        &mut self,
        fit: &Fit,
        said: bool,
        only: Option<usize>,
        least: f64,
    ) -> Vec<Candidate> {
        let problem = self.problem;
        for (number, change) in problem.changes.iter().enumerate() {
            let listed = matches!(change.kind, Kind::Listed(_));
            let left_out = only.is_some_and(|it| it != number);
            if listed || left_out || self.budget == 0 {
                continue;
            }
            if !self.lists.contains_key(&(said, number)) {
                let mut maker = Maker {
                    problem,
                    classes: self.classes,
                    steps: 0,
                    budget: self.budget,
                };
                let list = maker.list(number, change, said);
                self.budget = self.budget.saturating_sub(maker.steps);
                self.lists.insert((said, number), list);
            }
        }
        let mut promises: Vec<Promise<'_>> = Vec::new();
        let mut steps = 0;
        for ((on_said, number), list) in &self.lists {
            if *on_said == said && only.is_none_or(|it| it == *number) {
                steps += self.look(fit, *number, list, least, &mut promises);
            }
        }
        if !said {
            for rule in self.known {
                if only.is_none_or(|it| it == rule.change) {
                    steps += self.look_at_known(fit, rule, &mut promises);
                }
            }
        }
        promises.sort_by(|one, other| {
            other
                .gain
                .total_cmp(&one.gain)
                .then(one.rule.bits.total_cmp(&other.rule.bits))
                .then(one.rule.change.cmp(&other.rule.change))
                .then(one.rule.classes.cmp(&other.rule.classes))
        });
        let mut reached: BTreeSet<u64> = BTreeSet::new();
        let mut explained: BTreeMap<u64, usize> = BTreeMap::new();
        let mut all = Vec::new();
        for it in promises {
            let times = explained.entry(it.hits).or_default();
            if *times == ALIKE || !reached.insert(it.reach) {
                continue;
            }
            *times += 1;
            all.push(Candidate {
                rule: it.rule.clone(),
                hits: it.hits,
            });
            if all.len() == MOST {
                break;
            }
        }
        self.budget = self.budget.saturating_sub(steps);
        all
    }

    /// What the rules of a list would save; gives the steps taken.
    fn look<'l>(
        &self,
        fit: &Fit,
        number: usize,
        list: &'l Shortlist,
        least: f64,
        promises: &mut Vec<Promise<'l>>,
    ) -> u64 {
        let problem = self.problem;
        let Some(change) = problem.changes.get(number) else {
            return 0;
        };
        let [sounds, gaps] = fit.noise;
        let noise = if change.is_insertion() { gaps } else { sounds };
        let cost = problem.cost_of_slip(noise, change, list.outcome);
        let weights: Vec<f64> = list
            .hits
            .iter()
            .map(|at| {
                let count = problem.sites.get(*at).map_or(0.0, |(_, count)| *count);
                count * fit.slips.get(*at).copied().unwrap_or(0.0)
            })
            .collect();
        let total: f64 = weights.iter().sum();
        let mut steps = list.hits.len() as u64;
        if total < FEWEST || total * cost < change.bits + 2.0 + least {
            return steps;
        }
        for group in &list.groups {
            let members = group.members.iter();
            let unexplained: f64 = members
                .filter_map(|it| weights.get(usize::try_from(*it).ok()?))
                .sum();
            steps += (group.members.len() + group.options.len()) as u64;
            if unexplained < FEWEST {
                continue;
            }
            for it in &group.options {
                let bits = it.rule.bits;
                let gain = problem.constants.gain(
                    bits,
                    cost,
                    unexplained,
                    group.hits,
                    it.chances,
                );
                if gain > least {
                    promises.push(Promise {
                        gain,
                        rule: &it.rule,
                        hits: group.number,
                        reach: it.reach,
                    });
                }
            }
        }
        steps
    }

    /// The same of a known pattern.
    fn look_at_known<'k>(
        &self,
        fit: &Fit,
        rule: &'k Rule,
        promises: &mut Vec<Promise<'k>>,
    ) -> u64 {
        let problem = self.problem;
        let Some(change) = problem.changes.get(rule.change) else {
            return 0;
        };
        let (mut unexplained, mut hits, mut chances) = (0.0, 0.0, 0.0);
        let mut outcome = NOTHING;
        let (mut reach, mut explained) = (0_u64, 0_u64);
        let mut steps = 0;
        for (at, (site, count)) in problem.sites.reached(rule, change) {
            steps += 1;
            let made = change.of(site.focus).unwrap_or(NOTHING);
            let number = mixed((at as u64) << 8 | u64::from(made));
            reach = reach.wrapping_add(number);
            if change.gives(site.focus, site.outcome) > 0.0 {
                hits += count;
                chances += count;
                unexplained += count * fit.slips.get(at).copied().unwrap_or(0.0);
                outcome = site.outcome;
                explained = explained.wrapping_add(number);
            } else if !site.is_error() {
                chances += count;
            }
        }
        let [sounds, gaps] = fit.noise;
        let noise = if change.is_insertion() { gaps } else { sounds };
        let cost = problem.cost_of_slip(noise, change, outcome);
        let constants = &problem.constants;
        let gain = constants.gain(rule.bits, cost, unexplained, hits, chances);
        // What others who speak so do is looked at closer even if it promises nothing.
        if unexplained > FEWEST {
            promises.push(Promise {
                gain,
                rule,
                hits: explained,
                reach,
            });
        }
        steps + problem.sites.count(rule.starts(change)) as u64
    }
}
