//! How well a list of rules explains what was said: description length under a model in
//! which each rule works or not, and slips follow no rule.

use core::ops::Range;

use super::change::Change;
use super::constant::Constants;
use super::site::Site;
use super::sound::{NOTHING, OTHER, Set, bit};

/// A rule over the numbers of a problem.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Rule {
    /// Which change.
    pub(super) change: usize,
    /// The sounds that it changes; all for an insertion.
    pub(super) focus: Set,
    pub(super) left: Set,
    pub(super) right: Set,
    /// Which position it asks for, 0 for any.
    pub(super) position: u8,
    /// Whether its neighbours are those of the production.
    pub(super) said: bool,
    pub(super) bits: f64,
    /// The classes' places in their lists: focus, left, right.
    pub(super) classes: [usize; 3],
    /// Which known pattern it is.
    pub(super) known: Option<usize>,
}

impl Rule {
    /// Whether its surroundings are those of a site, whatever the sound.
    pub(super) fn surrounds(&self, site: &Site) -> bool {
        let (left, right) = if self.said {
            (site.said_left, site.said_right)
        } else {
            (site.left, site.right)
        };
        self.position & !site.position == 0
            && self.left & bit(left) != 0
            && self.right & bit(right) != 0
    }

    /// The sounds that it changes where the target has them; [`NOTHING`] stands for gaps.
    pub(super) fn starts(&self, change: &Change) -> Set {
        let gaps = bit(NOTHING);
        let all = self.focus & change.applies;
        all & if change.is_insertion() { gaps } else { !gaps }
    }

    /// Whether it could work at a site as the target has it.
    pub(super) fn fits(&self, change: &Change, site: &Site) -> bool {
        self.starts(change) & bit(site.focus) != 0 && self.surrounds(site)
    }
}

/// Sites in order, equal ones counted, with where those of each focus stand.
#[derive(Clone, Debug, Default)]
pub(super) struct Sites {
    all: Vec<(Site, f64)>,
    ranges: Vec<(u8, Range<usize>)>,
}

impl Sites {
    /// Counts sites; those beyond the sounds told apart are left out.
    pub(super) fn counted(sites: impl Iterator<Item = Site>) -> Self {
        let mut sorted: Vec<Site> = sites.filter(|it| it.focus != OTHER).collect();
        sorted.sort_unstable();
        let same = sorted.chunk_by(PartialEq::eq);
        #[allow(clippy::cast_precision_loss, reason = "counts of sites")]
        let all: Vec<(Site, f64)> = same
            .filter_map(|it| Some((*it.first()?, it.len() as f64)))
            .collect();
        let mut ranges = Vec::new();
        let mut start = 0;
        for chunk in all.chunk_by(|(one, _), (other, _)| one.focus == other.focus) {
            let end = start + chunk.len();
            if let Some((site, _)) = chunk.first() {
                ranges.push((site.focus, start..end));
            }
            start = end;
        }
        Self { all, ranges }
    }

    pub(super) fn len(&self) -> usize {
        self.all.len()
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = &(Site, f64)> {
        self.all.iter()
    }

    pub(super) fn get(&self, at: usize) -> Option<&(Site, f64)> {
        self.all.get(at)
    }

    /// The sites with one of these as their focus, each with its place, in order.
    pub(super) fn with_focus(
        &self,
        focus: Set,
    ) -> impl Iterator<Item = (usize, &(Site, f64))> {
        self.ranges
            .iter()
            .filter(move |(sound, _)| focus & bit(*sound) != 0)
            .flat_map(|(_, range)| {
                let sites = self.all.get(range.clone()).unwrap_or_default();
                range.clone().zip(sites)
            })
    }

    /// How many they are.
    pub(super) fn count(&self, focus: Set) -> usize {
        let ranges = self.ranges.iter();
        ranges
            .filter(|(sound, _)| focus & bit(*sound) != 0)
            .map(|(_, range)| range.len())
            .sum()
    }

    /// Where a rule could work, each place with its number, in order.
    pub(super) fn reached<'s>(
        &'s self,
        rule: &'s Rule,
        change: &'s Change,
    ) -> impl Iterator<Item = (usize, &'s (Site, f64))> {
        self.with_focus(rule.starts(change))
            .filter(|(_, (site, _))| rule.surrounds(site))
    }
}

/// The sites of a sheet, equal ones counted, and the changes seen in it.
#[derive(Clone, Debug)]
pub(super) struct Problem {
    pub(super) sites: Sites,
    pub(super) changes: Vec<Change>,
    pub(super) constants: Constants,
    /// For each focus what no rule explains: sounds right, wrong, and the bits of the wrong.
    plain: Vec<(u8, [f64; 3])>,
    /// For each site whether it is a slip if no rule reaches it.
    slips: Vec<f64>,
}

/// A way from a target to an outcome: which rules were tried and which worked.
#[derive(Clone, Copy, Debug)]
struct Path {
    tried: u32,
    worked: u32,
    weight: f64,
}

/// Rules fitted to a problem.
#[derive(Clone, Debug, Default)]
pub(super) struct Fit {
    /// Description length in bits.
    pub(super) bits: f64,
    /// How often each rule works where it could.
    pub(super) rates: Vec<f64>,
    /// How often it was tried, and worked, as far as the model can tell.
    pub(super) tried: Vec<f64>,
    pub(super) worked: Vec<f64>,
    /// For each site, the chance that its outcome is a slip.
    pub(super) slips: Vec<f64>,
    /// The rate of slips in sounds and in gaps.
    pub(super) noise: [f64; 2],
    /// The steps that fitting took.
    pub(super) steps: u64,
}

const ROUNDS: usize = 12;

impl Problem {
    pub(super) fn new(sites: Sites, changes: Vec<Change>, constants: &Constants) -> Self {
        let slips = sites.iter().map(|(site, _)| site.is_error());
        let slips = slips.map(|it| f64::from(u8::from(it))).collect();
        let mut problem = Self {
            sites,
            changes,
            constants: *constants,
            plain: Vec::new(),
            slips,
        };
        let foci = problem.sites.ranges.iter().map(|(sound, _)| *sound);
        problem.plain = foci
            .map(|sound| {
                let mut sums = [0.0; 3];
                let [right, wrong, bits] = &mut sums;
                for (_, (site, count)) in problem.sites.with_focus(bit(sound)) {
                    if site.is_error() {
                        *wrong += count;
                        *bits -= count * problem.slip(site).log2();
                    } else {
                        *right += count;
                    }
                }
                (sound, sums)
            })
            .collect();
        problem
    }

    /// The chance of an outcome if it is a slip.
    pub(super) fn slip(&self, site: &Site) -> f64 {
        let other = (1.0 - self.constants.noise_deletion) / self.constants.noise_sounds;
        match (site.focus == site.outcome, site.outcome) {
            (true, _) => 0.0,
            (false, NOTHING) => self.constants.noise_deletion,
            (false, _) => other,
        }
    }

    /// Fits the rates of some rules and gives the bits for all. Cost: a pass over the sites,
    /// then rounds over the distinct ones that a rule reaches.
    pub(super) fn fit(&self, rules: &[Rule]) -> Fit {
        let rules = rules.get(..rules.len().min(24)).unwrap_or(rules);
        let mut order: Vec<usize> = (0..rules.len()).collect();
        let change =
            |rule: usize| rules.get(rule).and_then(|it| self.changes.get(it.change));
        order.sort_by_key(|rule| change(*rule).map_or(0, Change::phase));
        let mut fit = Fit {
            rates: vec![0.75; rules.len()],
            tried: vec![0.0; rules.len()],
            worked: vec![0.0; rules.len()],
            slips: self.slips.clone(),
            noise: [0.04, 0.01],
            ..Fit::default()
        };
        let starts = rules.iter().zip(0..).fold(0, |set, (rule, number)| {
            set | change(number).map_or(0, |it| rule.starts(it))
        });
        // Sites that no rule reaches are right or slips; the others are grouped.
        let mut plain = [[0.0; 2]; 2];
        let mut slipped = 0.0;
        for (sound, [right, wrong, bits]) in &self.plain {
            let gap = usize::from(*sound == NOTHING);
            if let Some([rights, wrongs]) = plain.get_mut(gap)
                && starts & bit(*sound) == 0
            {
                *rights += right;
                *wrongs += wrong;
                slipped += bits;
            }
        }
        let mut keyed: Vec<(u64, usize)> = Vec::new();
        let mut concerned: (u8, Vec<Concerned<'_>>) = (OTHER, Vec::new());
        for (at, (site, count)) in self.sites.with_focus(starts) {
            if concerned.0 != site.focus {
                concerned = (site.focus, self.concerned(site.focus, rules, &order));
            }
            let mut mask = 0_u64;
            let mut begins = false;
            let gap = site.focus == NOTHING;
            for (number, rule, starts) in &concerned.1 {
                if rule.surrounds(site) {
                    mask |= 1 << number;
                    begins |= starts;
                }
            }
            if begins {
                let key =
                    mask << 16 | u64::from(site.focus) << 8 | u64::from(site.outcome);
                keyed.push((key, at));
            } else {
                let error = usize::from(site.is_error());
                if let Some(slot) = plain
                    .get_mut(usize::from(gap))
                    .and_then(|it| it.get_mut(error))
                {
                    *slot += count;
                }
                if site.is_error() {
                    slipped -= count * self.slip(site).log2();
                }
            }
        }
        keyed.sort_unstable();
        let mut groups: Vec<Group> = Vec::new();
        for chunk in keyed.chunk_by(|one, other| one.0 == other.0) {
            let Some((key, first)) = chunk.first() else {
                continue;
            };
            let Some((site, _)) = self.sites.get(*first) else {
                continue;
            };
            let mut paths = Vec::new();
            self.walk(
                rules,
                &order,
                key >> 16,
                site.focus,
                site.outcome,
                Path {
                    tried: 0,
                    worked: 0,
                    weight: 1.0,
                },
                &mut paths,
            );
            let counts = chunk.iter().filter_map(|(_, at)| self.sites.get(*at));
            groups.push(Group {
                count: counts.map(|(_, count)| count).sum(),
                slip: self.slip(site),
                gap: usize::from(site.focus == NOTHING),
                paths,
                slipped: 0.0,
            });
        }
        let mut bits = 0.0;
        for round in 0..ROUNDS {
            bits = fit.round(&mut groups, plain, round + 1 == ROUNDS);
        }
        let mut group = groups.iter();
        for chunk in keyed.chunk_by(|one, other| one.0 == other.0) {
            let Some(group) = group.next() else { break };
            for (_, at) in chunk {
                if let Some(slot) = fit.slips.get_mut(*at) {
                    *slot = group.slipped;
                }
            }
        }
        fit.bits = bits + slipped;
        let paths: usize = groups.iter().map(|it| it.paths.len() + 1).sum();
        fit.steps = (self.sites.len() / 8
            + self.sites.count(starts) * (1 + rules.len())
            + paths * ROUNDS * 2) as u64;
        for ((rule, rate), tried) in rules.iter().zip(&fit.rates).zip(&fit.tried) {
            let suspect = self.constants.suspect(*rate, *tried);
            fit.bits +=
                rule.bits + self.constants.rule + 0.5 * (tried + 1.0).log2() + suspect;
        }
        fit
    }

    /// The rules that a sound could meet, in any surroundings: each with its number and
    /// whether it changes the sound itself, not only what others make of it.
    fn concerned<'r>(
        &self,
        sound: u8,
        rules: &'r [Rule],
        order: &[usize],
    ) -> Vec<Concerned<'r>> {
        let mut possible = bit(sound);
        let mut all = Vec::new();
        for number in order {
            let rule = rules.get(*number);
            let Some((rule, change)) =
                rule.and_then(|it| Some((it, self.changes.get(it.change)?)))
            else {
                continue;
            };
            let starts = rule.starts(change);
            // What is put in may be changed in its turn, as a sound of the target is.
            let meets = if change.is_insertion() {
                sound == NOTHING
            } else {
                rule.focus & change.applies & possible & !bit(NOTHING) != 0
            };
            if !meets {
                continue;
            }
            all.push((*number, rule, starts & bit(sound) != 0));
            possible |= change.open | change.results(starts & possible);
        }
        all
    }

    /// Every way from a sound to its outcome.
    fn walk(
        &self,
        rules: &[Rule],
        order: &[usize],
        mask: u64,
        sound: u8,
        outcome: u8,
        path: Path,
        paths: &mut Vec<Path>,
    ) {
        let Some((number, rest)) = order.split_first() else {
            if sound == outcome {
                paths.push(path);
            }
            return;
        };
        let rule = rules.get(*number).filter(|_| mask >> number & 1 == 1);
        let change = rule.and_then(|it| Some((it, self.changes.get(it.change)?)));
        let Some((rule, change)) = change.filter(|(rule, change)| {
            rule.focus & change.applies & bit(sound) != 0
                && change.is_insertion() == (sound == NOTHING)
        }) else {
            return self.walk(rules, rest, mask, sound, outcome, path, paths);
        };
        let _ = rule;
        let tried = Path {
            tried: path.tried | 1 << number,
            ..path
        };
        self.walk(rules, rest, mask, sound, outcome, tried, paths);
        let (next, share) = if change.open == 0 {
            (change.of(sound), 1.0)
        } else {
            (Some(outcome), change.gives(sound, outcome))
        };
        if let Some(next) = next.filter(|_| share > 0.0) {
            let worked = Path {
                worked: tried.worked | 1 << number,
                weight: tried.weight * share,
                ..tried
            };
            self.walk(rules, rest, mask, next, outcome, worked, paths);
        }
    }
}

/// A rule that a sound could meet: its number, itself, and whether it changes that sound.
type Concerned<'r> = (usize, &'r Rule, bool);

/// Sites that are one to all rules.
#[derive(Clone, Debug)]
struct Group {
    count: f64,
    slip: f64,
    gap: usize,
    paths: Vec<Path>,
    slipped: f64,
}

impl Fit {
    /// One round of expectation and maximisation; gives the bits of the data under the rates
    /// it found, without the constant part of the slips that no rule reaches.
    #[allow(
        clippy::indexing_slicing,
        reason = "the innermost step: rule numbers are below the count, gap is 0 or 1"
    )]
    fn round(&mut self, groups: &mut [Group], plain: [[f64; 2]; 2], last: bool) -> f64 {
        let rules = self.rates.len();
        let mut tried = vec![0.0; rules];
        let mut worked = vec![0.0; rules];
        let mut noisy = [plain[0][1], plain[1][1]];
        let mut clean = [plain[0][0], plain[1][0]];
        let mut bits = 0.0;
        for group in groups.iter_mut() {
            let noise = self.noise[group.gap];
            let slip = noise * group.slip;
            let mut total = slip;
            let mut chances = [0.0_f64; 64];
            for (path, slot) in group.paths.iter().zip(&mut chances) {
                let mut chance = path.weight;
                let mut left = path.tried;
                while left != 0 {
                    let at = left.trailing_zeros() as usize;
                    let rate = self.rates[at];
                    chance *= if path.worked >> at & 1 == 1 {
                        rate
                    } else {
                        1.0 - rate
                    };
                    left &= left - 1;
                }
                *slot = (1.0 - noise) * chance;
                total += *slot;
            }
            let total = total.max(1e-12);
            bits -= group.count * total.log2();
            group.slipped = slip / total;
            noisy[group.gap] += group.count * group.slipped;
            clean[group.gap] += group.count * (1.0 - group.slipped);
            for (path, chance) in group.paths.iter().zip(&chances) {
                let weight = group.count * chance / total;
                let mut left = path.tried;
                while left != 0 {
                    let at = left.trailing_zeros() as usize;
                    tried[at] += weight;
                    if path.worked >> at & 1 == 1 {
                        worked[at] += weight;
                    }
                    left &= left - 1;
                }
            }
        }
        for ([right, wrong], noise) in plain.iter().zip(self.noise) {
            bits -= right * (1.0 - noise).log2() + wrong * noise.log2();
        }
        if !last {
            for at in 0..rules {
                self.rates[at] = (worked[at] + 1.0) / (tried[at] + 1.5);
            }
            for gap in 0..2 {
                self.noise[gap] = (noisy[gap] + 0.5) / (noisy[gap] + clean[gap] + 20.0);
            }
        }
        self.tried = tried;
        self.worked = worked;
        bits
    }
}
