//! `apical completions` and `apical manual`: made of the arguments themselves.

use clap::CommandFactory;

use super::arguments::{Arguments, Completions, Manual};
use super::output;
use super::{Failure, Status, Stop};

/// Prints the completions for a shell.
pub(super) fn completions(arguments: &Completions) -> Result<Status, Stop> {
    let mut out = Vec::new();
    let mut command = Arguments::command();
    clap_complete::generate(arguments.shell, &mut command, "apical", &mut out);
    output::print(&String::from_utf8_lossy(&out))
}

/// Prints a manual page.
pub(super) fn run(arguments: &Manual) -> Result<Status, Stop> {
    let mut program = Arguments::command();
    program.build();
    let page = match &arguments.command {
        None => program,
        Some(name) => {
            let found = program.get_subcommands().find(|one| one.get_name() == name);
            let Some(found) = found else {
                let names = program.get_subcommands().map(clap::Command::get_name);
                let known: Vec<&str> = names.collect();
                return Err(Stop::Run(Failure::new(
                    format!("manual {name}"),
                    "there is no such command",
                    format!("the commands there are: {}", known.join(", ")),
                )));
            };
            let title = format!("apical-{name}");
            let version = env!("CARGO_PKG_VERSION");
            found.clone().name(title).version(version)
        }
    };
    let mut out = Vec::new();
    clap_mangen::Man::new(page).render(&mut out)?;
    output::print(&String::from_utf8_lossy(&out))
}
