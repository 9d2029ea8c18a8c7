//! The smallest set of feature rules that explains a client's errors.
//!
//! A rule is A → B / C _ D over natural classes. The rules found are those that describe
//! what was said in the fewest bits, under a model in which each rule works or not where it
//! could, and slips follow no rule; so one rule for θ → t and ð → d costs less than two, and
//! a rule that seldom works costs more than it saves. Everything is counted: the same
//! sheet gives the same rules on any machine.
//!
//! # Source
//! Minimum description length: Rissanen (1978), from memory; that rules are found so over
//! natural classes: Goldsmith and Riggle (2012), from memory. The constants stand in
//! `grammar/rules.tsv` with their reasons.

mod catalogue;
mod change;
mod constant;
mod model;
mod probe;
mod rival;
mod screen;
mod search;
mod shortlist;
mod site;
mod sound;
mod word;

pub use catalogue::{Known, Neighbours, catalogue};
pub use probe::{Probe, probes};
pub use site::{Sample, Spoken};
pub use sound::Sounds;

use std::collections::BTreeMap;

use change::{Change, Kind};
use model::{Fit, Problem, Rule, Sites};
use rival::Standing;
use search::Search;
use site::Site;
use sound::{Classes, NOTHING, OTHER};

/// How sure a rule is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Confidence {
    /// No other rule would do, and it has worked often enough.
    Firm,
    /// Another rule would do, less well.
    Likely,
    /// The sheet can't tell it from another rule.
    Undecided,
    /// Too few words could show it.
    TooFew,
}

impl Confidence {
    /// Its name, as reports write it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Firm => "firm",
            Self::Likely => "likely",
            Self::Undecided => "undecided",
            Self::TooFew => "too few chances",
        }
    }
}

/// A rule as a table of predictions: what a rule does, whatever it is called.
#[derive(Clone, Debug)]
pub struct Effect {
    change: Change,
    rule: Rule,
}

impl Effect {
    /// Whether what comes out is left open: a full vowel, whichever.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.change.open != 0
    }

    /// Where it could work in a word, and what it would make of the sound: for each place
    /// its number in the word (gaps count: gap 0, sound 0, gap 1 …) and the sound that comes
    /// out, `None` for none.
    #[must_use]
    pub fn predictions(
        &self,
        sample: &Sample,
        sounds: &Sounds,
    ) -> Vec<(usize, Option<u8>)> {
        site::sites(core::slice::from_ref(sample), sounds)
            .iter()
            .enumerate()
            .filter(|(_, (site, _))| self.rule.fits(&self.change, site))
            .filter_map(|(at, (site, _))| Some((at, self.change.of(site.focus)?)))
            .map(|(at, outcome)| (at, (outcome != NOTHING).then_some(outcome)))
            .collect()
    }
}

/// A rule that was found.
#[derive(Clone, Debug)]
pub struct Found {
    /// In the notation of phonology: \[dental fricative\] → \[plosive\] / # _.
    pub rule: String,
    /// In plain words, one line without a full stop.
    pub plain: String,
    /// How often it worked.
    pub covers: usize,
    /// How often it could have worked and the sound was right.
    pub exceptions: usize,
    /// How often something else became of the sound, as under another rule.
    pub otherwise: usize,
    /// The rows where it worked, in order.
    pub rows: Vec<u64>,
    /// The rows of its exceptions.
    pub exception_rows: Vec<u64>,
    /// Each sound it changed with what came of it and how often, commonest first; `None`
    /// for no sound.
    pub changes: Vec<(Option<u8>, Option<u8>, usize)>,
    /// How sure it is.
    pub confidence: Confidence,
    /// The chance that it is this rule and not a rival, from 0 to 1.
    pub posterior: f64,
    /// Other rules that could stand in its place, likeliest first, in the same notation,
    /// each with the bits it costs more.
    pub rivals: Vec<(String, f64)>,
    /// Which of the known patterns it is, by its place in their list.
    pub known: Option<usize>,
    /// What it does.
    pub effect: Effect,
    /// What its rivals do, in their order.
    pub rival_effects: Vec<Effect>,
}

/// What a sheet tells of a client's rules.
#[derive(Clone, Debug, Default)]
pub struct Discovery {
    /// The rules, those that explain most errors first.
    pub rules: Vec<Found>,
    /// Errors that no rule explains.
    pub unexplained: usize,
    /// All errors of sounds.
    pub errors: usize,
    /// Rules that the sheet nearly shows, likeliest first.
    pub nearly: Vec<Nearly>,
    /// Whether the search was cut short.
    pub cut_short: bool,
    /// How many of the words rules were looked for in: of a long sheet some, chosen by their
    /// targets so that every sound has its chances beside every other; what is counted is
    /// counted over all.
    pub searched: usize,
}

/// A rule that the sheet nearly shows: some more words would decide.
#[derive(Clone, Debug)]
pub struct Nearly {
    /// In the notation of phonology.
    pub rule: String,
    /// What it does.
    pub effect: Effect,
    /// The bits it costs more than it saves.
    pub more: f64,
}

/// Steps that a search may take: two seconds on a slow machine, far more than a sheet needs.
pub const BUDGET: u64 = 600_000_000;

/// Words beyond which a choice of them is searched: rules at work in a client's speech show
/// in some hundreds.
pub const LONG: usize = 600;

/// What is known before a sheet is looked at.
#[derive(Clone, Copy, Debug, Default)]
pub struct Background<'b> {
    /// Known patterns: they count as cheaper than new rules.
    pub known: &'b [Known],
    /// Words of the language with right productions, on which rules that look alike on the
    /// sheet are told apart: some thousands, so that rare sounds
    /// have their places. Without any the sheet itself serves.
    pub words: &'b [Sample],
}

/// Finds the rules behind the errors of some words. Cost: see [`BUDGET`]; a hundred words take some tens of milliseconds.
#[must_use]
pub fn discover(
    sounds: &Sounds,
    samples: &[Sample],
    background: &Background<'_>,
    budget: u64,
) -> Discovery {
    let located = site::sites(samples, sounds);
    let classes = Classes::of(sounds);
    let constants = constant::all();
    let chosen = site::spread(samples, LONG);
    let is_chosen = |it: &&(Site, u32)| chosen.binary_search(&(it.1 as usize)).is_ok();
    let searched = located.iter().filter(is_chosen).map(|(site, _)| *site);
    let sites = Sites::counted(searched);
    let mut kinds: Vec<Kind> = sites
        .iter()
        .filter(|(site, _)| site.is_error() && site.outcome != OTHER)
        .flat_map(|(site, _)| Change::kinds_of(sounds, site.focus, site.outcome))
        .collect();
    kinds.sort();
    kinds.dedup();
    let mut changes: Vec<Change> = Vec::new();
    for kind in kinds {
        let change = Change::new(kind, sounds, &constants);
        // The same table by another name is the same change: features set as in another sound.
        let again = changes.iter().any(|it| {
            it.table == change.table
                && it.applies == change.applies
                && it.open == change.open
        });
        if !again && change.applies != 0 {
            changes.push(change);
        }
    }
    let catalogue =
        catalogue::rules(background.known, &sites, &mut changes, &classes, &constants);
    let problem = Problem::new(sites, changes, &constants);
    let mut search = Search {
        problem: &problem,
        classes: &classes,
        known: &catalogue,
        budget,
        lists: BTreeMap::new(),
    };
    let (mut rules, mut fit) = search.run();
    let words = rival::Words {
        sites: if background.words.is_empty() {
            problem.sites.clone()
        } else {
            let sites = site::sites(background.words, sounds);
            Sites::counted(sites.iter().map(|(site, _)| *site))
        },
    };
    let standings = search.settle(&mut rules, &mut fit, &words);
    let mut discovery = Discovery {
        errors: located.iter().filter(|(site, _)| site.is_error()).count(),
        cut_short: search.budget == 0,
        searched: chosen.len(),
        ..Discovery::default()
    };
    discovery.unexplained = if chosen.len() < samples.len() {
        let all = Sites::counted(located.iter().map(|(site, _)| *site));
        let all = Problem::new(all, problem.changes.clone(), &problem.constants);
        all.unexplained(&all.fit(&rules))
    } else {
        problem.unexplained(&fit)
    };
    let wording = Wording {
        sounds,
        classes: &classes,
        problem: &problem,
    };
    let nearly = search.nearly(&rules, &fit).into_iter().filter_map(|it| {
        let change = problem.changes.get(it.rule.change)?;
        Some(Nearly {
            rule: word::notation(&it.rule, change, &wording),
            effect: Effect {
                change: change.clone(),
                rule: it.rule,
            },
            more: it.more,
        })
    });
    discovery.nearly = nearly.collect();
    for (rule, standing) in rules.iter().zip(&standings) {
        let Some(change) = problem.changes.get(rule.change) else {
            continue;
        };
        let found = found((rule, change), standing, &located, samples, &wording);
        discovery.rules.push(found);
    }
    discovery
        .rules
        .sort_by(|one, other| (other.covers, &one.rule).cmp(&(one.covers, &other.rule)));
    discovery
}

impl Problem {
    /// How many errors no rule explains.
    fn unexplained(&self, fit: &Fit) -> usize {
        let slips = self.sites.iter().zip(&fit.slips);
        let errors = slips.filter(|((site, _), _)| site.is_error());
        whole(errors.map(|((_, count), slip)| count * slip).sum())
    }
}

/// What wording needs.
struct Wording<'w> {
    sounds: &'w Sounds,
    classes: &'w Classes,
    problem: &'w Problem,
}

fn found(
    (rule, change): (&Rule, &Change),
    standing: &Standing,
    located: &[(Site, u32)],
    samples: &[Sample],
    wording: &Wording<'_>,
) -> Found {
    let constants = &wording.problem.constants;
    let row = |number: u32| samples.get(number as usize).map_or(0, |it| it.row);
    let (mut rows, mut exception_rows) = (Vec::new(), Vec::new());
    let (mut covers, mut exceptions, mut otherwise) = (0, 0, 0);
    let mut pairs: Vec<(u8, u8)> = Vec::new();
    for (site, number) in located {
        if !rule.fits(change, site) {
            continue;
        }
        if change.gives(site.focus, site.outcome) > 0.0 {
            covers += 1;
            rows.push(row(*number));
            pairs.push((site.focus, site.outcome));
        } else if site.is_error() {
            otherwise += 1;
        } else {
            exceptions += 1;
            exception_rows.push(row(*number));
        }
    }
    rows.dedup();
    exception_rows.dedup();
    pairs.sort_unstable();
    let sound = |it: u8| (it != NOTHING).then_some(it);
    let mut changes: Vec<(Option<u8>, Option<u8>, usize)> = pairs
        .chunk_by(PartialEq::eq)
        .filter_map(|it| {
            let (from, to) = it.first()?;
            Some((sound(*from), sound(*to), it.len()))
        })
        .collect();
    changes.sort_by_key(|it| core::cmp::Reverse(it.2));
    let posterior = standing.posterior;
    let chances = covers + exceptions;
    let often = |wanted: f64, times: usize| times >= whole(wanted);
    let confidence = if !often(constants.few_chances, chances) {
        Confidence::TooFew
    } else if posterior >= constants.firm && often(constants.firm_hits, covers) {
        Confidence::Firm
    } else if posterior >= constants.likely {
        Confidence::Likely
    } else {
        Confidence::Undecided
    };
    let others = standing
        .rivals
        .iter()
        .filter(|it| it.more <= constants.near);
    let effect = |rule: &Rule| {
        let change = wording.problem.changes.get(rule.change)?.clone();
        Some(Effect {
            change,
            rule: rule.clone(),
        })
    };
    Found {
        rule: word::notation(rule, change, wording),
        plain: word::plain(rule, change, wording),
        covers,
        exceptions,
        otherwise,
        rows,
        exception_rows,
        changes,
        confidence,
        posterior,
        rivals: others
            .clone()
            .filter_map(|it| {
                let change = wording.problem.changes.get(it.rule.change)?;
                Some((word::notation(&it.rule, change, wording), it.more))
            })
            .collect(),
        known: rule.known,
        effect: Effect {
            change: change.clone(),
            rule: rule.clone(),
        },
        rival_effects: others.filter_map(|it| effect(&it.rule)).collect(),
    }
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "counts of sites, never negative"
)]
fn whole(count: f64) -> usize {
    count.round().max(0.0) as usize
}
