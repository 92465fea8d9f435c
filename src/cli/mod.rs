//! The commands: one thin file each. Arguments in, a use case called, results
//! on standard output, everything else on standard error, an exit code out.

mod args;
mod commands;
mod overview;
pub mod terminal;

use std::process::ExitCode;

use clap::FromArgMatches;

pub use args::Cli;

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// What was asked for was done; exit code 0.
    Done,
    /// The job says no: invalid, impossible order, rule broken.
    Refused,
    /// The job can be read and planned, but not issued yet.
    NotReady,
    /// The command line asks for something that is not there.
    Misused,
    /// The system failed: a file could not be read or written.
    SystemFailed,
}

impl Ending {
    /// The worse of two endings, for several jobs in one call.
    #[must_use]
    pub fn worse(self, other: Self) -> Self {
        match (self, other) {
            (Ending::SystemFailed, _) | (_, Ending::SystemFailed) => Ending::SystemFailed,
            (Ending::Misused, _) | (_, Ending::Misused) => Ending::Misused,
            (Ending::Refused, _) | (_, Ending::Refused) => Ending::Refused,
            (Ending::NotReady, _) | (_, Ending::NotReady) => Ending::NotReady,
            _ => Ending::Done,
        }
    }
}

impl From<Ending> for ExitCode {
    fn from(ending: Ending) -> Self {
        ExitCode::from(match ending {
            Ending::Done => 0,
            Ending::Refused => 1,
            Ending::Misused => 2,
            Ending::SystemFailed => 3,
            Ending::NotReady => 4,
        })
    }
}

/// Parses the command line and runs it. A wrong command line ends with 2.
#[must_use]
pub fn main() -> ExitCode {
    let typed = overview::command().try_get_matches().and_then(|typed| Cli::from_arg_matches(&typed));
    let cli = match typed {
        Ok(cli) => cli,
        Err(error) => {
            if error.use_stderr() {
                // Nobody is left to be told that this could not be written.
                let _ = error.print();
                return Ending::Misused.into();
            }
            terminal::help(&error);
            return terminal::finish(Ending::Done).into();
        }
    };
    terminal::finish(commands::run(&cli)).into()
}
