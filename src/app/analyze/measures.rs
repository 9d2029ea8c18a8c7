//! The measures of a sheet, for `apical analyze`.

use crate::accent::Accent;
use crate::app::sheet::{Cause, Sheet};
use crate::app::{Failure, Stop};
use crate::finding::measure::breakdown::{Group, breakdown};
use crate::finding::measure::repertoire::{Heard, repertoire};
use crate::finding::measure::rules::{Rules, Unset};
use crate::finding::measure::{self, Measure, Sample};
use crate::report::json::measure as json;
use crate::report::text::measure as drawn;

/// What was measured.
pub(super) struct Measures {
    rules: Rules,
    figures: Vec<Measure>,
    groups: Vec<Group>,
    inventory: Vec<Heard>,
    /// How many items count.
    items: usize,
    /// What does not count: why, and its rows.
    left_out: Vec<(&'static str, Vec<u64>)>,
}

impl Measures {
    pub(super) fn in_sheet(sheet: &Sheet, accent: &Accent, rules: &Rules) -> Self {
        let sample = Sample::of(&sheet.items, rules);
        let causes = [
            Cause::Unintelligible,
            Cause::NoResponse,
            Cause::Cued,
            Cause::NoTarget,
            Cause::Unreadable,
            Cause::Misshapen,
        ];
        let rows = |cause: Cause| -> Vec<u64> {
            let these = sheet.left_out.iter().filter(|it| it.cause == cause);
            these.map(|it| it.row).collect()
        };
        let mut left_out: Vec<(&str, Vec<u64>)> =
            causes.map(|it| (it.name(), rows(it))).into();
        left_out.push(("further repetition", sample.repetitions.clone()));
        left_out.retain(|(_, rows)| !rows.is_empty());
        Self {
            rules: rules.clone(),
            figures: measure::all(&sheet.items, rules),
            groups: breakdown(&sample, rules, accent),
            inventory: repertoire(&sample, accent),
            items: sample.items.len(),
            left_out,
        }
    }

    pub(super) fn json(&self) -> json::Measures<'_> {
        json::Measures {
            measures: self.figures.iter().map(json::Measure::new).collect(),
            measured: json::Measured::new(
                &self.rules,
                self.items,
                &self.left_out,
                &self.groups,
                &self.inventory,
            ),
        }
    }

    pub(super) fn page(&self, in_detail: bool) -> drawn::Page<'_> {
        drawn::Page {
            rules: &self.rules,
            measures: &self.figures,
            items: self.items,
            left_out: &self.left_out,
            details: in_detail.then_some((&self.groups, &self.inventory)),
        }
    }
}

/// The scoring rules with what was typed for them.
pub(super) fn rules(typed: &[String]) -> Result<Rules, Stop> {
    let mut rules = Rules::default();
    let mut before: Vec<(&str, &str)> = Vec::new();
    for typed in typed {
        let place = format!("--measure-rule {typed}");
        rules
            .set_typed(typed)
            .map_err(|unset| Stop::Run(refused(place.clone(), unset)))?;
        let (name, value) = typed.split_once('=').unwrap_or((typed, ""));
        let (name, value) = (name.trim(), value.trim());
        if before
            .iter()
            .any(|(it, other)| *it == name && *other != value)
        {
            let reason = format!("{name} is set twice, and differently");
            return Err(Stop::Run(Failure::new(
                place,
                reason,
                "leave one of them out",
            )));
        }
        before.push((name, value));
    }
    Ok(rules)
}

fn refused(place: String, unset: Unset) -> Failure {
    match unset {
        Unset::Name(_) => {
            let listed: Vec<String> = Rules::default()
                .all()
                .into_iter()
                .map(|(name, value, _, decides)| {
                    format!("\n    {name}={value}: {decides}")
                })
                .collect();
            Failure::new(
                place,
                "no rule of the measures has this name",
                format!("the rules, with their usual values:{}", listed.concat()),
            )
        }
        Unset::Value {
            name,
            value,
            may_be,
        } => {
            let reason = match value {
                None => format!("{name} has no value"),
                Some(_) => format!("{name} cannot be this"),
            };
            let remedy = format!("type {name}= and {may_be}");
            Failure::new(place, reason, remedy)
        }
    }
}
