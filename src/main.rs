//! The command line program: parse, run, exit code; nothing else.

use std::process::ExitCode;

fn main() -> ExitCode {
    tackwright::cli::main()
}
