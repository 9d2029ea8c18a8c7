//! What the charts of a report are drawn from: counts over the items.

use std::collections::BTreeMap;

use super::{Case, day, small};
use crate::alignment::{Column, Kind};
use crate::feature::{Class, FeatureBundle};
use crate::finding::item::Item;
use crate::finding::priority::is_slip;
use crate::finding::progress::Part;
use crate::report::json::rules::Goal;
use crate::report::picture::charts::{Confusion, Consonant, Session, Share, VowelShift};

/// What is worth working on, in order: rules, and contrasts that are no mere slip.
pub(super) fn goals<'c, 'a>(case: &'c Case<'a>) -> Vec<&'c Goal<'a>> {
    let goals = case.analysis.rules.work_first.iter();
    let worth = |it: &&Goal<'_>| it.rule.is_some() || !is_slip(it.errors, it.generalises);
    goals.filter(worth).collect()
}

/// The contrasts lost, in the order in which they are to be worked on.
pub(super) fn contrasts<'a>(case: &Case<'a>) -> Vec<[&'a str; 2]> {
    let rules = &case.analysis.rules;
    let goals = rules
        .work_first
        .iter()
        .flat_map(|goal| goal.contrasts.iter());
    let mut ordered: Vec<[&str; 2]> = goals.copied().collect();
    for it in &rules.priorities {
        if !ordered.contains(&it.contrast) {
            ordered.push(it.contrast);
        }
    }
    ordered
}

fn is_right(column: &Column) -> bool {
    matches!(column.kind, Kind::Match | Kind::Allophone)
}

/// The target of a column with its features.
fn wanted(item: &Item, column: &Column) -> Option<(String, FeatureBundle)> {
    let bundle = item.target.whole(&column.target)?;
    Some((item.target.text_of(&column.target), bundle))
}

fn said(item: &Item, column: &Column) -> Option<(String, FeatureBundle)> {
    let bundle = item.production.whole(&column.production)?;
    Some((item.production.text_of(&column.production), bundle))
}

fn columns<'a>(case: &Case<'a>) -> impl Iterator<Item = (&'a Item, &'a Column)> {
    case.items
        .iter()
        .flat_map(|item| item.columns.iter().map(move |column| (item, column)))
}

/// How often each target sound was right: the sound, its features, right, of.
pub(super) fn targets(case: &Case<'_>) -> Vec<(String, FeatureBundle, u32, u32)> {
    let mut counted: BTreeMap<String, (FeatureBundle, u32, u32)> = BTreeMap::new();
    for (item, column) in columns(case) {
        if let Some((text, bundle)) = wanted(item, column) {
            let count = counted.entry(text).or_insert((bundle, 0, 0));
            count.1 += u32::from(is_right(column));
            count.2 += 1;
        }
    }
    let counted = counted.into_iter();
    counted
        .map(|(text, (bundle, right, of))| (text, bundle, right, of))
        .collect()
}

/// How often each consonant was right.
pub(super) fn consonants(case: &Case<'_>) -> Vec<Consonant> {
    let counted = targets(case).into_iter();
    counted
        .filter(|(_, bundle, ..)| {
            bundle.class == Class::Consonant && bundle.place.first.is_some()
        })
        .map(|(text, bundle, right, of)| Consonant {
            text,
            bundle,
            right,
            of,
        })
        .collect()
}

/// Vowels that were wanted and the vowels that were said for them.
pub(super) fn vowels(case: &Case<'_>) -> Vec<VowelShift> {
    let vowel = |it: &FeatureBundle| it.class == Class::Vowel;
    let mut counted: BTreeMap<(String, String), VowelShift> = BTreeMap::new();
    for (item, column) in columns(case) {
        let (Some(target), Some(production)) = (wanted(item, column), said(item, column))
        else {
            continue;
        };
        if vowel(&target.1) && vowel(&production.1) {
            let key = (target.0.clone(), production.0.clone());
            let shift = counted.entry(key).or_insert(VowelShift {
                target: target.0,
                wanted: target.1,
                said: production.0,
                produced: production.1,
                times: 0,
            });
            shift.times += 1;
        }
    }
    counted.into_values().collect()
}

/// Sounds that were ever wrong, with everything that was said for them.
pub(super) fn confusions(case: &Case<'_>) -> Vec<Confusion> {
    let mut counted: BTreeMap<(String, String), u32> = BTreeMap::new();
    let mut wrong: Vec<String> = Vec::new();
    for (item, column) in columns(case) {
        let target = item.target.text_of(&column.target);
        let right = is_right(column);
        let production = if right {
            target.clone()
        } else {
            item.production.text_of(&column.production)
        };
        if !right && !wrong.contains(&target) {
            wrong.push(target.clone());
        }
        *counted.entry((target, production)).or_default() += 1;
    }
    let counted = counted.into_iter();
    counted
        .filter(|((target, _), _)| wrong.contains(target))
        .map(|((target, said), times)| Confusion {
            target,
            said,
            times,
        })
        .collect()
}

/// Errors by the place in the word, by the part of the syllable, by stress.
pub(super) fn places(case: &Case<'_>) -> Vec<Share> {
    let mut counted: BTreeMap<(u8, String), (u32, u32)> = BTreeMap::new();
    for (item, column) in columns(case) {
        if column.target.is_empty() {
            continue;
        }
        let site = item.site(column);
        let mut names = vec![(
            site.position as u8,
            format!("{} in the word", site.position.name()),
        )];
        if let Some(part) = site.part {
            names.push((10 + part as u8, part.name().to_owned()));
        }
        match site.stress.is_stressed() {
            Some(true) => names.push((20, "stressed syllable".to_owned())),
            Some(false) => names.push((21, "unstressed syllable".to_owned())),
            None => {}
        }
        for name in names {
            let count = counted.entry(name).or_default();
            count.0 += u32::from(!is_right(column));
            count.1 += 1;
        }
    }
    let counted = counted.into_iter();
    counted
        .map(|((_, label), (count, of))| Share { label, count, of })
        .collect()
}

/// Whole words over the sessions.
pub(super) fn sessions(part: &Part) -> Vec<Session> {
    let sessions = part.sessions.iter().zip(&part.words.counts);
    sessions
        .map(|(session, count)| Session {
            label: day(&session.began).to_owned(),
            right: count.right,
            of: count.of,
        })
        .collect()
}

/// Words with every sound and every stress right, of all.
pub(super) fn words(case: &Case<'_>) -> (u32, u32) {
    let right = case.items.iter().filter(|it| it.is_right()).count();
    (small(right), small(case.items.len()))
}
