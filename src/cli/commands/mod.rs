//! One file per command.

mod reckon;

use super::{Cli, Ending, args::Command};

/// Runs the parsed command.
pub(super) fn run(cli: &Cli) -> Ending {
    match &cli.command {
        Command::Reckon(args) => reckon::run(args),
    }
}
