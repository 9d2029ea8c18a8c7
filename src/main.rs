//! The program `apical`: see [`apical::app`].

use std::process::ExitCode;

fn main() -> ExitCode {
    apical::app::run()
}
