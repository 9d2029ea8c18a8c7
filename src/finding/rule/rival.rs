//! Which of the rules that could stand in one's place stands, and how surely.
//!
//! Two descriptions are one rule if they do the same to the words of the language, or nearly;
//! on a short sheet rules that differ there may look alike. So each candidate is weighed with
//! all that do the same, and the one with most weight behind it stands.

use super::change::Change;
use super::model::{Fit, Rule, Sites};
use super::search::{CLOSER, Search, put};
use super::site::{CODA, ONSET, STRESSED, Site, UNSTRESSED};
use super::sound::{Described, NOTHING, Set, bit};

/// A rule in the place of another.
#[derive(Clone, Debug)]
pub(super) struct Rival {
    pub(super) rule: Rule,
    /// The bits it costs more than the one that stands.
    pub(super) more: f64,
}

/// How a rule stands among those that could be in its place.
#[derive(Clone, Debug, Default)]
pub(super) struct Standing {
    /// The chance that it, or what does the same, is right.
    pub(super) posterior: f64,
    /// Those that do something else, likeliest first; one for all that do the same.
    pub(super) rivals: Vec<Rival>,
}

/// Places of words on which rules are told apart, equal ones counted.
#[derive(Clone, Debug, Default)]
pub(super) struct Words {
    pub(super) sites: Sites,
}

/// The places of the words where a rule works, with what it makes of them, in order.
type Reach = Vec<(usize, u8)>;

/// Rules are one if they agree on this share of the places that either would change.
const ALIKE: f64 = 0.9;
/// A rule stands for those that do the same if it has nearly as much behind it as any.
const NEARLY_ALL: f64 = 0.9;
/// How many rules are kept that the sheet nearly shows.
const NEARLY: usize = 6;

/// A candidate, what it does, its weight against the one that stood.
struct Candidate {
    rule: Rule,
    reach: Reach,
    more: f64,
}

impl Words {
    fn reach(&self, rule: &Rule, change: &Change) -> Reach {
        reach(&self.sites, rule, change)
    }

    /// The share of the places that either would change on which both agree.
    fn agreement(&self, one: &Reach, other: &Reach) -> f64 {
        let count = |at: &usize| self.sites.get(*at).map_or(0.0, |(_, count)| *count);
        let (mut both, mut either) = (0.0, 0.0);
        let (mut one, mut other) = (one.iter().peekable(), other.iter().peekable());
        loop {
            match (one.peek(), other.peek()) {
                (Some((here, made)), Some((there, makes))) if here == there => {
                    let count = count(here);
                    either += count;
                    both += if made == makes { count } else { 0.0 };
                    one.next();
                    other.next();
                }
                (Some((here, _)), Some((there, _))) if here > there => {
                    either += count(there);
                    other.next();
                }
                (Some((here, _)), _) => {
                    either += count(here);
                    one.next();
                }
                (None, Some((there, _))) => {
                    either += count(there);
                    other.next();
                }
                (None, None) => break,
            }
        }
        if either > 0.0 { both / either } else { 1.0 }
    }
}

fn reach(sites: &Sites, rule: &Rule, change: &Change) -> Reach {
    let made = |site: &Site| change.of(site.focus).unwrap_or(NOTHING);
    let reached = sites.reached(rule, change);
    reached.map(|(at, (site, _))| (at, made(site))).collect()
}

impl Search<'_> {
    /// Puts in the place of each rule the one with most weight behind it, drops those that
    /// are likelier not there, and says how each stands.
    pub(super) fn settle(
        &mut self,
        rules: &mut Vec<Rule>,
        fit: &mut Fit,
        words: &Words,
    ) -> Vec<Standing> {
        let mut at = 0;
        let mut standings = Vec::new();
        while at < rules.len() {
            let (better, standing) = self.stand(rules, fit, at, words);
            if let Some(better) = better {
                put(rules, at, better);
                *fit = self.weigh(rules);
            }
            if standing.posterior < self.problem.constants.doubtful {
                rules.remove(at);
                *fit = self.weigh(rules);
                continue;
            }
            standings.push(standing);
            at += 1;
        }
        standings
    }

    /// Rules that the sheet nearly shows: what they save is less than what they cost, by few
    /// bits.
    pub(super) fn nearly(&mut self, rules: &[Rule], fit: &Fit) -> Vec<Rival> {
        let mut nearly: Vec<Rival> = Vec::new();
        let mut taken: Vec<u64> = Vec::new();
        for candidate in
            self.screen_down_to(fit, false, None, -self.problem.constants.near)
        {
            // Of those that explain the same errors the cheapest.
            if taken.contains(&candidate.hits) || rules.contains(&candidate.rule) {
                continue;
            }
            taken.push(candidate.hits);
            let mut trial = rules.to_vec();
            trial.push(candidate.rule.clone());
            let more = self.weigh(&trial).bits - fit.bits;
            nearly.push(Rival {
                rule: candidate.rule,
                more: more.max(0.0),
            });
            if nearly.len() == CLOSER {
                break;
            }
        }
        nearly.retain(|it| it.more <= self.problem.constants.near);
        nearly.sort_by(|one, other| one.more.total_cmp(&other.more));
        nearly.truncate(NEARLY);
        nearly
    }

    /// How one rule stands; with the rule that should stand in its place, if another should.
    fn stand(
        &mut self,
        rules: &[Rule],
        fit: &Fit,
        at: usize,
        words: &Words,
    ) -> (Option<Rule>, Standing) {
        let mut rest = rules.to_vec();
        if at >= rest.len() {
            return (None, Standing::default());
        }
        let own = rest.remove(at);
        let without = self.weigh(&rest);
        let absent = (fit.bits - without.bits).exp2();
        let Some(own_change) = self.problem.changes.get(own.change) else {
            return (None, Standing::default());
        };
        let mut all = vec![Candidate {
            reach: words.reach(&own, own_change),
            rule: own.clone(),
            more: 0.0,
        }];
        let (mine, hits) = self.sites_of(&own);
        let (mut alike, mut unlike) = (0, 0);
        for candidate in self.screen(&without, false, None) {
            let rule = candidate.rule;
            let Some(change) = self.problem.changes.get(rule.change) else {
                continue;
            };
            let (theirs, their_hits) = self.sites_of(&rule);
            let shared: f64 = theirs
                .iter()
                .filter(|it| mine.binary_search(it).is_ok())
                .filter_map(|(at, _)| self.problem.sites.get(*at))
                .filter(|(site, _)| change.gives(site.focus, site.outcome) > 0.0)
                .map(|(_, count)| count)
                .sum();
            // What explains other errors is another rule, no rival.
            if rule == own || shared * 2.0 < hits.min(their_hits) {
                continue;
            }
            let reach = words.reach(&rule, change);
            let same = all
                .first()
                .is_some_and(|own| words.agreement(&own.reach, &reach) >= ALIKE);
            let count = if same { &mut alike } else { &mut unlike };
            *count += 1;
            if *count > CLOSER {
                continue;
            }
            let mut trial = rules.to_vec();
            put(&mut trial, at, rule.clone());
            let more = self.weigh(&trial).bits - fit.bits;
            all.push(Candidate { rule, reach, more });
        }
        all.sort_by(|one, other| one.more.total_cmp(&other.more));
        let likely = all.iter().take(8);
        let doubles: Vec<(Rule, f64)> = likely
            .flat_map(|it| self.doubles(&it.rule, it.more))
            .collect();
        for (rule, more) in doubles {
            let Some(change) = self.problem.changes.get(rule.change) else {
                continue;
            };
            let reach = words.reach(&rule, change);
            match all.iter_mut().find(|it| it.reach == reach) {
                Some(same) => {
                    if more < same.more {
                        same.more = more;
                    }
                }
                None => all.push(Candidate { rule, reach, more }),
            }
        }
        self.favour_known(&mut all);
        all.retain(|it| it.more < 20.0);
        all.sort_by(|one, other| one.more.total_cmp(&other.more));
        judge(&own, &all, absent, words)
    }

    /// Where the sheet can't tell a known pattern from another rule, what is known of others
    /// who speak so counts.
    fn favour_known(&self, all: &mut [Candidate]) {
        let favour = self.problem.constants.favour;
        let known: Vec<usize> = (0..all.len())
            .filter(|at| all.get(*at).is_some_and(|it| it.rule.known.is_some()))
            .collect();
        for at in known {
            let Some(sites) = all.get(at).map(|it| self.sites_of(&it.rule).0) else {
                continue;
            };
            let twin = all
                .iter()
                .any(|it| it.rule.known.is_none() && self.sites_of(&it.rule).0 == sites);
            if let Some(it) = all.get_mut(at).filter(|_| twin) {
                it.more -= favour;
            }
        }
    }

    /// The sites of the sheet where a rule works, with what it makes of them, in order; and
    /// how often it did.
    fn sites_of(&self, rule: &Rule) -> (Vec<(usize, u8)>, f64) {
        let Some(change) = self.problem.changes.get(rule.change) else {
            return (Vec::new(), 0.0);
        };
        let hit = |(site, count): &(Site, f64)| {
            let hit = change.gives(site.focus, site.outcome) > 0.0;
            if hit { *count } else { 0.0 }
        };
        let sites = &self.problem.sites;
        let hits = sites.reached(rule, change).map(|(_, it)| hit(it)).sum();
        (reach(sites, rule, change), hits)
    }

    /// Rules that work at the same sites of the sheet by another description: the words of
    /// the language may tell them apart, the sheet cannot.
    fn doubles(&self, rule: &Rule, more: f64) -> Vec<(Rule, f64)> {
        let mut all = Vec::new();
        let Some(change) = self.problem.changes.get(rule.change) else {
            return all;
        };
        let [focus, left, right] = rule.classes;
        let (sites, _) = self.sites_of(rule);
        // What stands at its sites: a double holds that at least.
        let mut present = [0 as Set; 3];
        for (site, _) in sites
            .iter()
            .filter_map(|(at, _)| self.problem.sites.get(*at))
        {
            let (before, after) = if rule.said {
                (site.said_left, site.said_right)
            } else {
                (site.left, site.right)
            };
            for (set, sound) in present.iter_mut().zip([site.focus, before, after]) {
                *set |= bit(sound);
            }
        }
        let [seen, before, after] = present;
        let mut offer = |double: Rule| {
            if self.sites_of(&double).0 == sites {
                let more = more + double.bits - rule.bits;
                all.push((double, more));
            }
        };
        if !change.is_insertion()
            && let Some(here) = self.classes.focus.get(focus)
        {
            for (class, it) in same(&self.classes.focus, here, seen) {
                offer(Rule {
                    focus: it.set,
                    classes: [class, left, right],
                    bits: rule.bits - here.bits + it.bits,
                    ..rule.clone()
                });
            }
        }
        if let Some(here) = self.classes.context.get(left) {
            for (class, it) in same(&self.classes.context, here, before) {
                offer(Rule {
                    left: it.set,
                    classes: [focus, class, right],
                    bits: rule.bits - here.bits + it.bits,
                    ..rule.clone()
                });
            }
        }
        if let Some(here) = self.classes.context.get(right) {
            for (class, it) in same(&self.classes.context, here, after) {
                offer(Rule {
                    right: it.set,
                    classes: [focus, left, class],
                    bits: rule.bits - here.bits + it.bits,
                    ..rule.clone()
                });
            }
        }
        if !change.is_insertion() && rule.classes != [usize::MAX; 3] {
            let price = |position| self.problem.constants.position(position);
            for position in [0, ONSET, CODA, STRESSED, UNSTRESSED] {
                if position != rule.position {
                    offer(Rule {
                        position,
                        bits: rule.bits - price(rule.position) + price(position),
                        ..rule.clone()
                    });
                }
            }
        }
        all
    }
}

/// Other classes that hold what occurs.
fn same<'c>(
    classes: &'c [Described],
    here: &'c Described,
    present: Set,
) -> impl Iterator<Item = (usize, &'c Described)> {
    classes.iter().enumerate().filter(move |(_, it)| {
        present & !it.set == 0 && it.set != here.set && it.bits <= here.bits + 12.0
    })
}

/// Which of the candidates stands, and how surely.
fn judge(
    own: &Rule,
    all: &[Candidate],
    absent: f64,
    words: &Words,
) -> (Option<Rule>, Standing) {
    let total: f64 = absent + all.iter().map(|it| (-it.more).exp2()).sum::<f64>();
    let behind: Vec<f64> = all
        .iter()
        .take(CLOSER)
        .map(|one| {
            all.iter()
                .filter(|it| words.agreement(&one.reach, &it.reach) >= ALIKE)
                .map(|it| (-it.more).exp2())
                .sum()
        })
        .collect();
    // The likeliest, which stand first, of those with most behind them.
    let most = behind.iter().copied().fold(0.0, f64::max);
    let best = behind.iter().position(|it| *it >= NEARLY_ALL * most);
    let Some((at, behind)) = best.and_then(|at| Some((at, *behind.get(at)?))) else {
        return (None, Standing::default());
    };
    let Some(chosen) = all.get(at) else {
        return (None, Standing::default());
    };
    let mut rivals: Vec<Rival> = Vec::new();
    let mut named: Vec<&Reach> = vec![&chosen.reach];
    for it in all {
        if named
            .iter()
            .any(|known| words.agreement(known, &it.reach) >= ALIKE)
        {
            continue;
        }
        named.push(&it.reach);
        rivals.push(Rival {
            rule: it.rule.clone(),
            more: it.more - chosen.more,
        });
    }
    let standing = Standing {
        posterior: behind / total,
        rivals,
    };
    ((chosen.rule != *own).then(|| chosen.rule.clone()), standing)
}
