//! The rules behind errors, in what `apical analyze` writes.

use serde::Serialize;

#[cfg(feature = "lexicon")]
use crate::finding::priority;
#[cfg(feature = "lexicon")]
use crate::finding::rule::Discovery;
use crate::finding::rule::Found;

/// What is found behind the errors of a sheet; its fields stand in the analysis itself.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Rules<'a> {
    /// The rules, those that explain most first.
    pub rules: Vec<Rule<'a>>,
    /// Errors of sounds that no rule explains.
    pub unexplained: usize,
    /// Whether the search for rules was cut short.
    pub cut_short: bool,
    /// How many of the items rules were looked for in: all of a sheet of usual length.
    pub searched: usize,
    /// The contrasts lost, what to work on first before the others.
    pub priorities: Vec<Priority<'a>>,
    /// What to work on, first things first: contrasts of one rule together.
    pub work_first: Vec<Goal<'a>>,
    /// Words that the rules make alike, commonest first.
    pub homophones: Vec<Homophones<'a>>,
    /// Words that would tell most about which rules hold, most telling first.
    pub ask_next: Vec<Probe<'a>>,
}

/// A rule.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rule<'a> {
    /// In the notation of phonology.
    pub rule: &'a str,
    /// In plain words.
    pub plain: &'a str,
    /// The name of the pattern that it is, if it is a known one.
    pub pattern: Option<&'a str>,
    /// How often it worked.
    pub covers: usize,
    /// How often the sound was right where it could have worked.
    pub exceptions: usize,
    /// How often something else became of the sound.
    pub otherwise: usize,
    /// How often it could have worked: the sum of the three.
    pub chances: usize,
    /// The rows it worked in.
    pub rows: &'a [u64],
    /// The rows of its exceptions.
    pub exception_rows: &'a [u64],
    /// Firm, likely, undecided or too few chances.
    pub confidence: &'static str,
    /// The chance that it is this rule and no rival, from 0 to 1.
    pub posterior: f64,
    /// Rules that could stand in its place.
    pub rivals: Vec<&'a str>,
}

impl<'a> Rule<'a> {
    /// The contract's form of a rule found.
    #[must_use]
    pub fn new(found: &'a Found) -> Self {
        Self {
            rule: &found.rule,
            plain: &found.plain,
            pattern: None,
            covers: found.covers,
            exceptions: found.exceptions,
            otherwise: found.otherwise,
            chances: found.covers + found.exceptions + found.otherwise,
            rows: &found.rows,
            exception_rows: &found.exception_rows,
            confidence: found.confidence.name(),
            posterior: found.posterior,
            rivals: found.rivals.iter().map(|(rule, _)| rule.as_str()).collect(),
        }
    }
}

/// A contrast to work on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Priority<'a> {
    /// The sound intended and the sound said for it.
    pub contrast: [&'a str; 2],
    /// The phoneme nearest to the sound said, where that sound is none itself and the one
    /// intended is farther off.
    pub nearest: Option<&'a str>,
    /// How often.
    pub errors: usize,
    /// The share of what sounds tell that is lost with it; `null` if no two words are.
    pub functional_load: Option<f64>,
    /// The share of all errors that the rule behind it covers.
    pub generalises: f64,
    /// That rule's place in the list, from 0; `null` if none was found.
    pub rule: Option<usize>,
    /// The product of the three, errors as a share of all.
    pub score: f64,
}

#[cfg(feature = "lexicon")]
impl<'a> Priority<'a> {
    /// The contract's form of it.
    #[must_use]
    pub fn new(it: &'a priority::Priority) -> Self {
        Self {
            contrast: [&it.target, &it.production],
            nearest: it.nearest.as_deref(),
            errors: it.errors,
            functional_load: it.functional_load,
            generalises: it.generalises,
            rule: it.rule,
            score: it.score,
        }
    }
}

/// A rule to work on with the contrasts lost by it, or one contrast that no rule explains.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Goal<'a> {
    /// The rule's place in the list of rules, from 0; `null` for a contrast alone.
    pub rule: Option<usize>,
    /// The rule in plain words.
    pub plain: Option<&'a str>,
    /// The contrasts: the sound intended and the sound said for it, commonest first.
    pub contrasts: Vec<[&'a str; 2]>,
    /// How many errors it explains.
    pub errors: usize,
    /// The share of what sounds tell that is lost with it.
    pub functional_load: f64,
    /// The share of all errors that work on it reaches.
    pub generalises: f64,
    /// The product of the three, errors as a share of all.
    pub score: f64,
}

#[cfg(feature = "lexicon")]
impl<'a> Goal<'a> {
    /// The contract's form of it.
    #[must_use]
    pub fn new(
        it: &priority::Goal,
        discovery: &'a Discovery,
        contrasts: &'a [priority::Priority],
    ) -> Self {
        let rule = it.rule.and_then(|at| discovery.rules.get(at));
        let lost = it.contrasts.iter().filter_map(|at| contrasts.get(*at));
        Self {
            rule: it.rule,
            plain: rule.map(|it| it.plain.as_str()),
            contrasts: lost
                .map(|it| [it.target.as_str(), it.production.as_str()])
                .collect(),
            errors: it.errors,
            functional_load: it.functional_load,
            generalises: it.generalises,
            score: it.score,
        }
    }
}

/// Two words made alike.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Homophones<'a> {
    /// The commoner.
    pub a: &'a str,
    /// The other.
    pub b: &'a str,
    /// How both are then said.
    pub r#as: String,
}

/// A word worth asking for.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Probe<'a> {
    /// The word.
    pub word: &'a str,
    /// What it is expected to tell, in bits.
    pub bits: f64,
    /// The rule it tells most about, by its place in the list, from 0; `null` for one that
    /// the sheet only nearly shows.
    pub rule: Option<usize>,
}
