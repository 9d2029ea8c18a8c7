//! Known patterns as rules over the sounds of a sheet.

use super::change::{Change, Kind};
use super::constant::Constants;
use super::model::{Rule, Sites};
use super::site;
use super::sound::{self, Classes, Described, NOTHING, OTHER, Set, Sounds, bit};
use crate::finding::pattern::Pattern;

/// A known pattern that may stand among the rules.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Known {
    /// What each of its sounds becomes; `None` for nothing, so that one pair from `None`
    /// puts something in.
    pub pairs: Vec<(Option<u8>, Option<u8>)>,
    /// What may come of it instead, whichever: any full vowel. Empty where `pairs` say all.
    pub open: Vec<u8>,
    /// The sounds that may stand before it; `None` for anything.
    pub left: Option<Neighbours>,
    /// The sounds that may stand after it; `None` for anything.
    pub right: Option<Neighbours>,
    /// Whether two consonants have to follow; where something is put in.
    pub before_two: bool,
    /// Whether it asks for onset (`Some(true)`) or coda (`Some(false)`).
    pub onset: Option<bool>,
    /// Whether it asks for a stressed syllable, or an unstressed one.
    pub stressed: Option<bool>,
    /// Of how many such tables it is one, 0 or 1 if it stands alone: which one has to be
    /// said too.
    pub of: usize,
}

/// What may stand beside a sound.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Neighbours {
    /// These sounds.
    pub sounds: Vec<u8>,
    /// And the edge of the word.
    pub edge: bool,
}

/// The patterns that rules can state, over the sounds of a sheet, each with the place of its
/// pattern in the list. Sounds are numbered before: those that come later no pattern knows.
#[must_use]
pub fn catalogue(patterns: &[Pattern], sounds: &Sounds) -> Vec<(usize, Known)> {
    let bundles: Vec<_> = sounds
        .numbers()
        .filter_map(|it| sounds.bundle(it).copied())
        .collect();
    let number = |it: usize| u8::try_from(it).unwrap_or(OTHER);
    let side = |it: &Option<(Vec<usize>, bool)>| {
        it.as_ref().map(|(sounds, edge)| Neighbours {
            sounds: sounds.iter().map(|it| number(*it)).collect(),
            edge: *edge,
        })
    };
    let mut all = Vec::new();
    for (place, pattern) in patterns.iter().enumerate() {
        for table in pattern.tables(&bundles) {
            let known = Known {
                pairs: table
                    .pairs
                    .iter()
                    .map(|(from, to)| (from.map(number), to.map(number)))
                    .collect(),
                open: Vec::new(),
                left: side(&table.left),
                right: side(&table.right),
                before_two: table.before_two,
                onset: table.onset,
                stressed: table.stressed,
                of: table.of,
            };
            all.push((place, known));
        }
    }
    all
}

/// The known patterns as rules, those whose change was seen; a change that is not among the
/// changes is added to them. One that works beside some sounds or at the edge of the word
/// stands for its parts too: a client may have half of it.
pub(super) fn rules(
    known: &[Known],
    sites: &Sites,
    changes: &mut Vec<Change>,
    classes: &Classes,
    constants: &Constants,
) -> Vec<Rule> {
    let mut seen: Vec<(u8, u8)> = sites
        .iter()
        .filter(|(site, _)| site.is_error())
        .map(|(site, _)| (site.focus, site.outcome))
        .collect();
    seen.sort_unstable();
    seen.dedup();
    let all = known.iter().enumerate();
    all.filter_map(|(number, it)| rule(it, number, &seen, changes, classes, constants))
        .flat_map(|it| parts(it, constants))
        .collect()
}

/// A rule, and what is left of it without the edge of the word and without the sounds.
fn parts(rule: Rule, constants: &Constants) -> Vec<Rule> {
    let edge = bit(sound::EDGE);
    let mixed = |side: Set| side != Set::MAX && side & edge != 0 && side != edge;
    let (left, right) = (rule.left, rule.right);
    let mut sides = Vec::new();
    if mixed(left) {
        sides.extend([(left & !edge, right), (edge, right)]);
    }
    if mixed(right) {
        sides.extend([(left, right & !edge), (left, edge)]);
    }
    let bits = rule.bits + constants.part;
    let mut all = vec![rule];
    for (left, right) in sides {
        all.extend(all.first().cloned().map(|rule| Rule {
            left,
            right,
            bits,
            ..rule
        }));
    }
    all
}

/// What a rule costs as one that nobody knows, where it can be described so at all; `says`
/// tells which changes do what it does.
fn described(
    rule: &Rule,
    says: &dyn Fn(&Change) -> bool,
    changes: &[Change],
    classes: &Classes,
    constants: &Constants,
) -> Option<f64> {
    let cheapest = |all: &[Described], set: Set| {
        let same = all.iter().filter(|it| it.set == set).map(|it| it.bits);
        same.min_by(f64::total_cmp)
    };
    let fits = |it: &&Change| !matches!(it.kind, Kind::Listed(_)) && says(it);
    let change = changes.iter().filter(fits).map(|it| it.bits);
    let change = change.min_by(f64::total_cmp)?;
    let focus = if rule.focus == bit(NOTHING) {
        0.0
    } else {
        cheapest(&classes.focus, rule.focus)?
    };
    let left = cheapest(&classes.context, rule.left)?;
    let right = cheapest(&classes.context, rule.right)?;
    Some(change + focus + left + right + constants.position(rule.position))
}

fn rule(
    known: &Known,
    number: usize,
    seen: &[(u8, u8)],
    changes: &mut Vec<Change>,
    classes: &Classes,
    constants: &Constants,
) -> Option<Rule> {
    let pairs: Vec<(u8, u8)> = known
        .pairs
        .iter()
        .map(|(from, to)| (from.unwrap_or(NOTHING), to.unwrap_or(NOTHING)))
        .filter(|(from, to)| from != to)
        .collect();
    let set = |sounds: &[u8]| sounds.iter().fold(0, |set: Set, it| set | bit(*it));
    let open = set(&known.open);
    let shown = |(from, to): &(u8, u8)| {
        let any = |it: &(u8, u8)| it.0 == *from && open & bit(it.1) != 0;
        seen.binary_search(&(*from, *to)).is_ok() || seen.iter().any(any)
    };
    if !pairs.iter().any(shown) {
        return None;
    }
    let focus = pairs.iter().fold(0, |set: Set, (from, _)| set | bit(*from));
    let says = |change: &Change| {
        change.open == open
            && focus & !change.applies == 0
            && (open != 0 || pairs.iter().all(|(from, to)| change.of(*from) == Some(*to)))
    };
    let change = changes.iter().position(says).unwrap_or_else(|| {
        changes.push(Change::listed(&pairs, open));
        changes.len() - 1
    });
    let side = |it: &Option<Neighbours>| {
        it.as_ref().map_or(Set::MAX, |it| {
            set(&it.sounds) | if it.edge { bit(sound::EDGE) } else { 0 }
        })
    };
    let mut position = if known.before_two {
        site::BEFORE_TWO
    } else {
        0
    };
    if let Some(onset) = known.onset {
        position |= if onset { site::ONSET } else { site::CODA };
    }
    if let Some(stressed) = known.stressed {
        position |= if stressed {
            site::STRESSED
        } else {
            site::UNSTRESSED
        };
    }
    #[allow(clippy::cast_precision_loss, reason = "some dozens")]
    let which = (known.of.max(1) as f64).log2();
    let mut rule = Rule {
        change,
        focus,
        left: side(&known.left),
        right: side(&known.right),
        position,
        said: false,
        bits: constants.catalogue,
        classes: [usize::MAX; 3],
        known: Some(number),
    };
    // What is soon said is known the sooner.
    if let Some(own) = described(&rule, &says, changes, classes, constants) {
        rule.bits = rule.bits.min(own - constants.known);
    }
    rule.bits += which;
    Some(rule)
}

impl Change {
    /// A change given sound by sound: no kind that is searched for.
    fn listed(pairs: &[(u8, u8)], open: Set) -> Self {
        let mut table = [NOTHING; 128];
        let mut applies = 0;
        for (from, to) in pairs {
            applies |= bit(*from);
            if let Some(slot) = table.get_mut(usize::from(*from)) {
                *slot = *to;
            }
        }
        Self {
            kind: Kind::Listed(pairs.to_vec()),
            bits: 0.0,
            table,
            applies,
            open,
        }
    }
}
