//! Every rule of one change that could ever be worth weighing, found once for a sheet: what
//! a screen then does is a sum for each.

use std::collections::BTreeMap;

use super::change::Change;
use super::constant::Constants;
use super::model::{Problem, Rule};
use super::site::{BEFORE_TWO, CODA, ONSET, STRESSED, Site, UNSTRESSED};
use super::sound::{Classes, Described, NOTHING, Set, bit};

/// The rules of one change, on the targets or on what was said.
#[derive(Clone, Debug, Default)]
pub(super) struct Shortlist {
    /// The sites where the change shows.
    pub(super) hits: Vec<usize>,
    /// What comes out at the last of them: slips of one kind cost alike.
    pub(super) outcome: u8,
    /// The rules, those that explain the same errors together.
    pub(super) groups: Vec<Group>,
}

/// Rules that explain the same errors.
#[derive(Clone, Debug, Default)]
pub(super) struct Group {
    /// A number for the sites and what becomes of them.
    pub(super) number: u64,
    /// The errors, by their places in the list of hits.
    pub(super) members: Vec<u32>,
    /// How many they are.
    pub(super) hits: f64,
    /// The rules, the most promising first.
    pub(super) options: Vec<Choice>,
}

/// One of them.
#[derive(Clone, Debug)]
pub(super) struct Choice {
    pub(super) rule: Rule,
    /// How often it could work, other errors left aside.
    pub(super) chances: f64,
    /// A number for the sites that it reaches and what it makes of them.
    pub(super) reach: u64,
}

/// A class cut down to the sounds that occur.
struct Side {
    set: Set,
    bits: f64,
    class: usize,
}

/// The counts of one pair of neighbours, and numbers for the sites behind them.
#[derive(Clone, Copy, Debug, Default)]
struct Cell {
    hits: f64,
    chances: f64,
    reach: u64,
    number: u64,
}

impl Cell {
    fn add(&mut self, other: &Self) {
        self.hits += other.hits;
        self.chances += other.chances;
        self.reach = self.reach.wrapping_add(other.reach);
        self.number = self.number.wrapping_add(other.number);
    }
}

/// A site that the change says something of.
struct Place {
    focus: u8,
    left: u8,
    right: u8,
    position: u8,
    cell: Cell,
}

/// Errors that a rule has to explain, at least.
pub(super) const FEWEST: f64 = 1.5;
/// Rules kept that explain the same errors.
const KEPT: usize = 8;
/// The rate of slips taken for the lowest there is: what it makes of a slip is the most
/// that a rule could save.
const CALM: f64 = 0.004;

/// What a list is made with.
pub(super) struct Maker<'m> {
    pub(super) problem: &'m Problem,
    pub(super) classes: &'m Classes,
    /// Steps taken so far.
    pub(super) steps: u64,
    /// Steps that may be taken.
    pub(super) budget: u64,
}

/// What all rules of one focus and position share.
struct Base {
    number: usize,
    focus: Set,
    class: usize,
    position: u8,
    said: bool,
    bits: f64,
    cost: f64,
}

impl Maker<'_> {
    /// The rules of a change that could save bits.
    pub(super) fn list(
        &mut self,
        number: usize,
        change: &Change,
        said: bool,
    ) -> Shortlist {
        let problem = self.problem;
        let mut list = Shortlist::default();
        let mut places: Vec<Place> = Vec::new();
        let mut hits: Vec<(usize, Site)> = Vec::new();
        let (mut present, mut hit_sounds) = (0, 0);
        let mut total = 0.0;
        let gaps = bit(NOTHING);
        let foci = change.applies & if change.is_insertion() { gaps } else { !gaps };
        for (at, (site, count)) in problem.sites.with_focus(foci) {
            let outcome = change.of(site.focus).unwrap_or(NOTHING);
            let key = mixed((at as u64) << 8 | u64::from(outcome));
            let hit = change.gives(site.focus, site.outcome) > 0.0;
            if hit {
                total += count;
                hit_sounds |= bit(site.focus);
                hits.push((at, *site));
                list.outcome = site.outcome;
            }
            present |= bit(site.focus);
            let (left, right) = if said {
                (site.said_left, site.said_right)
            } else {
                (site.left, site.right)
            };
            let counted = if hit || !site.is_error() { *count } else { 0.0 };
            places.push(Place {
                focus: site.focus,
                left,
                right,
                position: site.position,
                cell: Cell {
                    hits: if hit { *count } else { 0.0 },
                    chances: counted,
                    reach: key,
                    number: if hit { key } else { 0 },
                },
            });
        }
        self.steps += places.len() as u64;
        let constants = &problem.constants;
        let cost = problem.cost_of_slip(CALM, change, list.outcome);
        if total < FEWEST || total * cost < change.bits + 2.0 - constants.near {
            return list;
        }
        let places = merged(places);
        let mut hits_of = [0.0; 128];
        for it in &places {
            if let Some(sum) = hits_of.get_mut(usize::from(it.focus & 127)) {
                *sum += it.cell.hits;
            }
        }
        let mut groups: BTreeMap<u64, Group> = BTreeMap::new();
        for focus in self.foci(change, present, hit_sounds) {
            let promise = sum_over(&hits_of, focus.set & hit_sounds) * cost;
            if promise < change.bits + focus.bits + 2.0 - constants.near {
                continue;
            }
            let mut whole = 0;
            for (position, position_bits) in positions(change, constants) {
                let here: Vec<&Place> = places
                    .iter()
                    .filter(|it| {
                        focus.set & bit(it.focus) != 0 && position & !it.position == 0
                    })
                    .collect();
                self.steps += places.len() as u64;
                // Positions that leave nothing out say nothing for more bits.
                if position == 0 {
                    whole = here.len();
                } else if here.len() == whole {
                    continue;
                }
                let base = Base {
                    number,
                    focus: self
                        .classes
                        .focus
                        .get(focus.class)
                        .map_or(Set::MAX, |it| it.set),
                    class: focus.class,
                    position,
                    said,
                    bits: change.bits
                        + focus.bits
                        + position_bits
                        + f64::from(u8::from(said)) * constants.on_production,
                    cost,
                };
                let sum: f64 = here.iter().map(|it| it.cell.hits).sum();
                if sum < FEWEST || sum * cost < base.bits + 2.0 - constants.near {
                    continue;
                }
                self.contexts(&here, &base, &mut groups);
                if self.steps > self.budget {
                    break;
                }
            }
        }
        list.hits = hits.iter().map(|(at, _)| *at).collect();
        list.groups = groups.into_values().collect();
        for group in &mut list.groups {
            group.members = self.members(group, change, &hits);
        }
        list
    }

    /// Which of the hits the rules of a group explain.
    fn members(
        &mut self,
        group: &Group,
        change: &Change,
        hits: &[(usize, Site)],
    ) -> Vec<u32> {
        self.steps += hits.len() as u64;
        let Some(first) = group.options.first() else {
            return Vec::new();
        };
        hits.iter()
            .zip(0..)
            .filter(|((_, site), _)| first.rule.fits(change, site))
            .map(|(_, place)| place)
            .collect()
    }

    fn foci(&mut self, change: &Change, present: Set, wanted: Set) -> Vec<Side> {
        if change.is_insertion() {
            return vec![Side {
                set: bit(NOTHING),
                bits: 0.0,
                class: usize::MAX,
            }];
        }
        self.steps += self.classes.focus.len() as u64;
        cheapest(&self.classes.focus, present, wanted)
    }

    fn contexts(
        &mut self,
        places: &[&Place],
        base: &Base,
        groups: &mut BTreeMap<u64, Group>,
    ) {
        let (mut lefts, mut rights, mut hit_lefts, mut hit_rights) = (0, 0, 0, 0);
        let mut hits_after = [0.0; 128];
        for place in places {
            lefts |= bit(place.left);
            rights |= bit(place.right);
            if place.cell.hits > 0.0 {
                if let Some(sum) = hits_after.get_mut(usize::from(place.left & 127)) {
                    *sum += place.cell.hits;
                }
                hit_lefts |= bit(place.left);
                hit_rights |= bit(place.right);
            }
        }
        let classes = &self.classes.context;
        let left_sides = cheapest(classes, lefts, hit_lefts);
        let right_sides = cheapest(classes, rights, hit_rights);
        self.steps += 2 * classes.len() as u64;
        let least = -self.problem.constants.near;
        let mut row = [Cell::default(); 128];
        for left in &left_sides {
            let hits = sum_over(&hits_after, left.set & hit_lefts);
            self.steps += 1;
            if hits < FEWEST || hits * base.cost < base.bits + left.bits + 1.0 + least {
                continue;
            }
            let (mut touched, mut hit): (Set, Set) = (0, 0);
            for place in places {
                if left.set & bit(place.left) == 0 {
                    continue;
                }
                let Some(slot) = row.get_mut(usize::from(place.right & 127)) else {
                    continue;
                };
                let right = bit(place.right);
                if touched & right == 0 {
                    *slot = Cell::default();
                    touched |= right;
                }
                slot.add(&place.cell);
                if place.cell.hits > 0.0 {
                    hit |= right;
                }
            }
            self.steps += places.len() as u64;
            for right in &right_sides {
                let bits = base.bits + left.bits + right.bits;
                let sum = |mut set: Set| {
                    let mut sum = Cell::default();
                    while set != 0 {
                        if let Some(cell) = row.get(set.trailing_zeros() as usize) {
                            sum.add(cell);
                        }
                        set &= set - 1;
                    }
                    sum
                };
                self.steps += 1;
                let explained = sum(right.set & hit).hits;
                if explained < FEWEST || explained * base.cost < bits + least {
                    continue;
                }
                self.steps += u64::from((right.set & touched).count_ones());
                let sum = sum(right.set & touched);
                let constants = &self.problem.constants;
                let gain =
                    constants.gain(bits, base.cost, sum.hits, sum.hits, sum.chances);
                if gain > least {
                    self.keep(base, left, right, &sum, groups);
                }
            }
        }
    }

    /// Keeps a rule unless a cheaper one works at the same sites.
    fn keep(
        &self,
        base: &Base,
        left: &Side,
        right: &Side,
        sum: &Cell,
        groups: &mut BTreeMap<u64, Group>,
    ) {
        let group = groups.entry(sum.number).or_insert_with(|| Group {
            number: sum.number,
            hits: sum.hits,
            ..Group::default()
        });
        let bits = base.bits + left.bits + right.bits;
        let constants = &self.problem.constants;
        let gain = |bits: f64, chances: f64| {
            constants.gain(bits, base.cost, sum.hits, sum.hits, chances)
        };
        let own = gain(bits, sum.chances);
        let options = &mut group.options;
        let same = options.iter().position(|it| it.reach == sum.reach);
        match same {
            Some(at) if options.get(at).is_some_and(|it| it.rule.bits <= bits) => return,
            Some(at) => {
                options.remove(at);
            }
            None => {}
        }
        let better = |it: &Choice| gain(it.rule.bits, it.chances) >= own;
        let at = options.iter().take_while(|it| better(it)).count();
        if at >= KEPT {
            return;
        }
        let context = |side: &Side| {
            self.classes
                .context
                .get(side.class)
                .map_or(Set::MAX, |it| it.set)
        };
        let rule = Rule {
            change: base.number,
            focus: base.focus,
            left: context(left),
            right: context(right),
            position: base.position,
            said: base.said,
            bits,
            classes: [base.class, left.class, right.class],
            known: None,
        };
        options.insert(
            at,
            Choice {
                rule,
                chances: sum.chances,
                reach: sum.reach,
            },
        );
        options.truncate(KEPT);
    }
}

impl Constants {
    /// The bits that a rule saves, roughly.
    pub(super) fn gain(
        &self,
        bits: f64,
        cost_of_slip: f64,
        unexplained: f64,
        hits: f64,
        chances: f64,
    ) -> f64 {
        let rate = ((hits + 1.0) / (chances + 1.5)).min(0.999);
        unexplained * (cost_of_slip + rate.log2())
            + (chances - hits) * (1.0 - rate).log2()
            - bits
            - self.rule
            - 0.5 * (chances + 1.0).log2()
            - self.suspect(rate, chances)
    }

    /// What it costs a rule that it seldom works: at each chance it had, so that no number
    /// of slips makes a rule.
    pub(super) fn suspect(&self, rate: f64, chances: f64) -> f64 {
        (self.rate_floor - rate).max(0.0) * self.rate_slope
            + (self.rate_least - rate).max(0.0) * self.rate_chance * chances
    }
}

impl Problem {
    /// What it costs to call an outcome a slip, at some rate of slips.
    pub(super) fn cost_of_slip(&self, noise: f64, change: &Change, outcome: u8) -> f64 {
        let constants = &self.constants;
        let share = if outcome == NOTHING {
            constants.noise_deletion
        } else {
            (1.0 - constants.noise_deletion) / constants.noise_sounds
        };
        let open = f64::from(change.open.count_ones().max(1));
        -(noise * share).log2() - open.log2()
    }
}

/// The positions a rule may ask for, each with its bits; any first.
fn positions(change: &Change, constants: &Constants) -> Vec<(u8, f64)> {
    let mut all = vec![(0, constants.no_position)];
    if change.is_insertion() {
        all.push((BEFORE_TWO, constants.syllable_position));
    } else {
        all.extend([ONSET, CODA].map(|it| (it, constants.syllable_position)));
        all.extend([STRESSED, UNSTRESSED].map(|it| (it, constants.stress_position)));
    }
    all
}

/// The sum of what a set of sounds has.
fn sum_over(counts: &[f64; 128], mut set: Set) -> f64 {
    let mut sum = 0.0;
    while set != 0 {
        sum += counts.get(set.trailing_zeros() as usize).unwrap_or(&0.0);
        set &= set - 1;
    }
    sum
}

/// Places that are one to every rule as one.
fn merged(mut places: Vec<Place>) -> Vec<Place> {
    let key = |it: &Place| (it.focus, it.left, it.right, it.position);
    places.sort_by_key(key);
    places.dedup_by(|other, one| {
        let same = key(other) == key(one);
        if same {
            one.cell.add(&other.cell);
        }
        same
    });
    places
}

/// For each part of what occurs the cheapest class that cuts it out, if it holds something
/// that is wanted; without those that hold no more of it than a cheaper, smaller one.
fn cheapest(classes: &[Described], present: Set, wanted: Set) -> Vec<Side> {
    let mut sides: Vec<Side> = classes
        .iter()
        .enumerate()
        .filter(|(_, it)| it.set & wanted != 0)
        .map(|(class, it)| Side {
            set: it.set & present,
            bits: it.bits,
            class,
        })
        .collect();
    sides.sort_by(|one, other| {
        one.set
            .cmp(&other.set)
            .then(one.bits.total_cmp(&other.bits))
    });
    sides.dedup_by_key(|it| it.set);
    // Dearer, wider and no better: only those that hold the same of what is wanted compare.
    sides.sort_by(|one, other| {
        let key = |it: &Side| (it.set & wanted, it.set.count_ones());
        key(one)
            .cmp(&key(other))
            .then(one.bits.total_cmp(&other.bits))
    });
    let mut kept: Vec<Side> = Vec::with_capacity(sides.len());
    let mut first = 0;
    for side in sides {
        let same = |it: &Side| it.set & wanted == side.set & wanted;
        if kept.last().is_some_and(|it| !same(it)) {
            first = kept.len();
        }
        let beaten = kept
            .get(first..)
            .unwrap_or_default()
            .iter()
            .any(|it| it.bits <= side.bits && it.set & !side.set == 0);
        if !beaten {
            kept.push(side);
        }
    }
    kept
}

/// A number as random as can be.
pub(super) fn mixed(number: u64) -> u64 {
    let mut x = number.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    x = (x ^ x >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    x = (x ^ x >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^ x >> 31
}
