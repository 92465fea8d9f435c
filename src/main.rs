//! The command line program: parse, run, exit code; nothing else.

use std::process::ExitCode;

/// Typesetting takes and gives back small pieces of memory on several threads all the time.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    tackwright::cli::main()
}
