//! `apical accents`: the accents there are, and what each holds.

use super::arguments::{Accents, Format};
use super::output::Answers;
use super::{Status, Stop};
use crate::accent::Accent;
use crate::report::json;
use crate::report::text::accents::{index, page};

/// Runs the command.
pub(super) fn run(arguments: &Accents) -> Result<Status, Stop> {
    let mut answers = Answers::new(&arguments.output);
    let accents: Vec<Accent> = match &arguments.name {
        Some(name) => vec![super::declared(name, &arguments.options)?],
        None => Accent::names().filter_map(Accent::named).collect(),
    };
    match answers.format {
        Format::Json => {
            for accent in &accents {
                answers.object(&json::Accent::from(accent))?;
            }
        }
        Format::Text => {
            let text = match (&arguments.name, accents.first()) {
                (Some(_), Some(accent)) => page(accent, answers.columns),
                _ => index(&accents, answers.columns),
            };
            answers.page(&text)?;
        }
    }
    Ok(Status::Good)
}
