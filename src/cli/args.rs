//! What may be typed. Nothing is resolved or computed here.

use clap::{Parser, Subcommand};

/// Job travelers for weld-and-fabrication shops.
#[derive(Debug, Parser)]
#[command(version, about, max_term_width = 100, after_help = EXITS)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// Exit codes, shown under every help.
const EXITS: &str = "Exit codes: 0 done, 1 the job says no, 2 wrong command line, 3 the system failed.";

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Compute one figure at the bench, or list them all.
    #[command(
        after_help = "Example: tackwright reckon lift tube_od=\"3 in\" pack=\"1-3/4 in\" seat_old=\"1/4 in\" seat_new=\"1/2 in\""
    )]
    Reckon(Reckon),
}

/// Arguments of `reckon`.
#[derive(Debug, clap::Args)]
pub struct Reckon {
    /// Figure to compute; without it, all are listed.
    pub figure: Option<String>,
    /// Inputs as name=value; a value carries its unit.
    #[arg(value_name = "NAME=VALUE")]
    pub inputs: Vec<String>,
    /// Print JSON: SI values at full precision, inputs, formulas, sources, warnings.
    #[arg(long)]
    pub json: bool,
}
