//! What may be typed. Nothing is resolved or computed here.

pub(crate) mod at;
pub(crate) mod decide;
pub(crate) mod key;
pub(crate) mod record;

use std::path::PathBuf;

use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Parser, Subcommand};
use clap_complete::Shell;

use crate::term::{Paper, Units};

/// Reads one of the words of an enum, which the help lists.
fn word<T: Clone + Send + Sync + 'static>(
    words: &'static [&'static str],
    of: fn(&str) -> Option<T>,
) -> impl TypedValueParser<Value = T> {
    PossibleValuesParser::new(words.iter().copied()).try_map(move |word| of(&word).ok_or("none of its words"))
}

/// Job travelers for weld-and-fabrication shops: from a job file to the
/// controlled paper a welder works from.
#[derive(Debug, Parser)]
#[command(name = "tackwright", version, max_term_width = 100, after_help = EXITS)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// Exit codes, shown under the help.
const EXITS: &str = "\
Example: tackwright issue jobs/brush-truck.toml

Exit codes: 0 done; 1 the job says no (invalid, impossible order, rule broken,
a value missing or out of range); 2 wrong command line, unknown figure or input;
3 the system failed (a file could not be read or written); 4 the job is not ready to be issued.";

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Write a commented job file to start from.
    #[command(
        after_help = "Example: tackwright new spring-over --on rear --units metric --paper a4 > job.toml\n         tackwright new --list"
    )]
    New(New),
    /// Check a job: what will be done, the figures that matter, what is missing.
    #[command(after_help = "Example: tackwright check jobs/brush-truck.toml")]
    Check(Jobs),
    /// Print every computed figure with formula, inputs, source and uncertainty.
    #[command(after_help = "Example: tackwright figures jobs/brush-truck.toml --json")]
    Figures(Figures),
    /// Print the operations in order with their hold points, and why.
    #[command(after_help = "Example: tackwright route jobs/brush-truck.toml --why weld-pads")]
    Route(Route),
    /// Write the traveler as a PDF; several jobs at once.
    #[command(after_help = "Example: tackwright issue jobs/*.toml --out travelers/")]
    Issue(Issue),
    /// List the safety rules: what each asks, why, and how to satisfy it.
    #[command(after_help = "Example: tackwright rules --shop shop.toml")]
    Rules(Rules),
    /// List what runs out in the shop book: qualifications, continuity, calibrations.
    #[command(after_help = "Example: tackwright shop --within 60 --on 2026-03-02")]
    Shop(Shop),
    /// Compute one figure at the bench, or list them all.
    #[command(
        after_help = "Example: tackwright reckon preheat cet=0.34 thickness=\"35 mm\" hydrogen=\"8 ml/100g\" heat_input=\"1.3 kJ/mm\""
    )]
    Reckon(Reckon),
    /// Write shapes at full size, to wrap, lay on or drill through; of a job or from inputs.
    #[command(
        after_help = "Example: tackwright template jobs/brush-truck.toml --out templates/ --dxf\n         tackwright template TW-2041 --out templates/\n         tackwright template cope od=\"1-3/4 in\" wall=\"0.120 in\" on=\"2 in\" angle=\"45 deg\"\n         tackwright template\n\nA print is judged by its bars: --scale-x and --scale-y end with 1 if it is void."
    )]
    Template(Template),
    /// The record.
    #[command(flatten)]
    Record(record::Record),
    /// Print the JSON Schema of the job file, so that editors complete and check it.
    #[command(after_help = "Example: tackwright schema > job.schema.json")]
    Schema {
        /// The schema of the shop book instead.
        #[arg(long)]
        shop: bool,
    },
    /// Print completions for a shell.
    #[command(after_help = "Example: tackwright completions bash > tackwright.bash")]
    Completions {
        /// Shell to complete for.
        shell: Shell,
    },
    /// Print the manual page.
    #[command(after_help = "Example: tackwright manual | man -l -")]
    Manual,
}

/// Where procedures come from.
#[derive(Debug, clap::Args)]
pub struct Shelf {
    /// Folder with procedures of the shop's own; they go over those that ship.
    #[arg(long, value_name = "FOLDER")]
    pub procedures: Option<PathBuf>,
    /// Shop book; without it shop.toml next to the job, for an invented job the demonstration that ships.
    #[arg(long, value_name = "FILE")]
    pub shop: Option<PathBuf>,
}

/// Arguments of `new`.
#[derive(Debug, clap::Args)]
pub struct New {
    /// Procedures the job will use; or shop, operation, waiver.
    #[arg(value_name = "KIND", required_unless_present_any = ["list", "sketches"])]
    pub kinds: Vec<String>,
    /// End of the unit whose axle is worked on; twice for both axles, of a trailer too.
    #[arg(long, value_name = "END", value_parser = ["front", "rear"])]
    pub on: Vec<String>,
    /// Units that stand first.
    #[arg(long, value_name = "UNITS", value_parser = word(Units::WORDS, Units::of), default_value = "inch")]
    pub units: Units,
    /// Paper of the traveler.
    #[arg(long, value_name = "PAPER", value_parser = word(Paper::WORDS, Paper::of), default_value = "letter")]
    pub paper: Paper,
    /// List the procedures.
    #[arg(long)]
    pub list: bool,
    /// Write the page of sketches the keys of a job file name, as a PDF.
    #[arg(long, requires = "out", conflicts_with_all = ["kinds", "list"])]
    pub sketches: bool,
    /// Write to this file instead of standard output; an existing file is kept.
    #[arg(long, short, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Procedures.
    #[command(flatten)]
    pub shelf: Shelf,
}

/// Arguments of `check`.
#[derive(Debug, clap::Args)]
pub struct Jobs {
    /// Job files.
    #[arg(value_name = "JOB", required = true)]
    pub jobs: Vec<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
    /// List the values that stand once in the job, with what rests on each.
    #[arg(long)]
    pub all: bool,
    /// Procedures.
    #[command(flatten)]
    pub shelf: Shelf,
}

/// Arguments of `figures`.
#[derive(Debug, clap::Args)]
pub struct Figures {
    /// Job file.
    #[arg(value_name = "JOB")]
    pub job: PathBuf,
    /// Print JSON: SI values at full precision and display text.
    #[arg(long)]
    pub json: bool,
    /// Procedures.
    #[command(flatten)]
    pub shelf: Shelf,
}

/// Arguments of `route`.
#[derive(Debug, clap::Args)]
pub struct Route {
    /// Job file.
    #[arg(value_name = "JOB")]
    pub job: PathBuf,
    /// Explain the place of this operation (number, key or id).
    #[arg(long, value_name = "OPERATION")]
    pub why: Option<String>,
    /// How far this operation could still move towards the start, and what stops it.
    #[arg(long, value_name = "OPERATION")]
    pub before: Option<String>,
    /// How far this operation could still move towards the end, and what stops it.
    #[arg(long, value_name = "OPERATION")]
    pub after: Option<String>,
    /// Write the graph of operations as SVG to this file.
    #[arg(long, value_name = "FILE")]
    pub graph: Option<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
    /// Procedures.
    #[command(flatten)]
    pub shelf: Shelf,
}

/// Arguments of `issue`.
#[derive(Debug, clap::Args)]
pub struct Issue {
    /// Job files.
    #[arg(value_name = "JOB", required = true)]
    pub jobs: Vec<PathBuf>,
    /// Folder to write to, or the file for a single job; beside each job if absent.
    #[arg(long, short, value_name = "PLACE")]
    pub out: Option<PathBuf>,
    /// Folder of the records; `travelers` beside the PDF if absent.
    #[arg(long, value_name = "FOLDER")]
    pub travelers: Option<PathBuf>,
    /// Only a draft: stamped as one, and no record is started.
    #[arg(long)]
    pub draft: bool,
    /// Id of the person who issues; the job's first lead if absent.
    #[arg(long, value_name = "ID")]
    pub by: Option<String>,
    /// When it is issued, as "14:05" or "2026-03-02 14:05"; the clock if absent.
    #[arg(long, value_name = "TIME", value_parser = at::time)]
    pub at: Option<at::At>,
    /// PIN.
    #[command(flatten)]
    pub pin: record::Pin,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
    /// Procedures.
    #[command(flatten)]
    pub shelf: Shelf,
}

/// Arguments of `rules`.
#[derive(Debug, clap::Args)]
pub struct Rules {
    /// Shop book whose own rules are listed too; shop.toml in this folder if absent.
    #[arg(long, value_name = "FILE")]
    pub shop: Option<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `shop`.
#[derive(Debug, clap::Args)]
pub struct Shop {
    /// Shop book; without it shop.toml in this folder, or the demonstration that ships.
    #[arg(value_name = "FILE", conflicts_with = "file")]
    pub book: Option<PathBuf>,
    /// The same as FILE.
    #[arg(long = "shop", value_name = "FILE")]
    pub file: Option<PathBuf>,
    /// Days ahead.
    #[arg(long, value_name = "DAYS", default_value_t = 60)]
    pub within: u32,
    /// Day to count from, year-month-day; today if absent.
    #[arg(long, value_name = "DATE")]
    pub on: Option<chrono::NaiveDate>,
    /// List every qualification with the ranges that follow from its test.
    #[arg(long)]
    pub ranges: bool,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `reckon`.
#[derive(Debug, clap::Args)]
#[command(disable_help_flag = true)]
pub struct Reckon {
    /// Print help; with a figure, its inputs and outputs.
    #[arg(long, short)]
    pub help: bool,
    /// Figure to compute; without it, all are listed.
    pub figure: Option<String>,
    /// Inputs as name=value; a value carries its unit.
    #[arg(value_name = "NAME=VALUE")]
    pub inputs: Vec<String>,
    /// List all figures, as without a name.
    #[arg(long, conflicts_with = "figure")]
    pub list: bool,
    /// List every output of every figure with its source.
    #[arg(long, conflicts_with_all = ["figure", "list"])]
    pub sources: bool,
    /// List every default of every figure with its source.
    #[arg(long, conflicts_with_all = ["figure", "list", "sources"])]
    pub defaults: bool,
    /// Print JSON: SI values at full precision, inputs, formulas, sources, warnings.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `template`.
#[derive(Debug, clap::Args)]
pub struct Template {
    /// Job file, the number of a traveler (drawn with what was read), or a kind of template; without it, the kinds are listed.
    #[arg(value_name = "JOB|NUMBER|KIND")]
    pub what: Option<String>,
    /// Inputs of the kind as name=value; a value carries its unit.
    #[arg(value_name = "NAME=VALUE")]
    pub inputs: Vec<String>,
    /// Folder to write to; this folder if absent.
    #[arg(long, short, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
    /// Folder of travelers; travelers here or in jobs if absent.
    #[arg(long, value_name = "FOLDER")]
    pub travelers: Option<PathBuf>,
    /// Write SVG in true size too.
    #[arg(long)]
    pub svg: bool,
    /// Write DXF in millimetres too.
    #[arg(long)]
    pub dxf: bool,
    /// Paper, if not the job's; letter at the bench.
    #[arg(long, value_name = "PAPER", value_parser = word(Paper::WORDS, Paper::of))]
    pub paper: Option<Paper>,
    /// What the 100 mm bar across the page measured on a print: judges it and writes a corrected copy.
    #[arg(long, value_name = "LENGTH", requires = "scale_y")]
    pub scale_x: Option<String>,
    /// What the 100 mm bar along the page measured.
    #[arg(long, value_name = "LENGTH", requires = "scale_x")]
    pub scale_y: Option<String>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
    /// Procedures.
    #[command(flatten)]
    pub shelf: Shelf,
}
