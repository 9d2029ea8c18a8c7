//! `apical schema`: the published form of the machine contract.

use super::arguments::Schema;
use super::output;
use super::{Failure, Status, Stop};
use crate::report::json::schema;

/// Runs the command.
pub(super) fn run(arguments: &Schema) -> Result<Status, Stop> {
    let known = schema::COMMANDS;
    let Some(name) = &arguments.command else {
        return output::print(&format!("{}\n", known.join("\n")));
    };
    let Some(schema) = schema::of(name) else {
        return Err(Stop::Run(Failure::new(
            format!("schema {name}"),
            "there is no schema of this name",
            format!("the commands that have one: {}", known.join(", ")),
        )));
    };
    output::print(&format!("{schema:#}\n"))
}
