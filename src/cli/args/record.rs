//! What may be typed to keep a record.

use std::path::PathBuf;

use chrono::{DateTime, FixedOffset, NaiveDate};
use clap::Subcommand;

use super::key::{Key, PassphraseFrom, Timestamp};

/// Commands of the record.
#[derive(Debug, Subcommand)]
pub enum Record {
    /// Initial operations, or tick safety steps, as done.
    #[command(after_help = "Example: tackwright tick TW-2041 120.3 120 130 --by W1")]
    Tick(Tick),
    /// Write a reading; it is judged at once, and what depends on it computed again.
    #[command(
        after_help = "Example: tackwright measure TW-2041 170.first.left \"2.5 deg\" --with AF-2 --by L1"
    )]
    Measure(Measure),
    /// Sign a hold, witness or review point.
    #[command(
        after_help = "Example: tackwright sign TW-2041 H4 --by L1 --as lead\n         tackwright sign TW-2041 W1 --by L1 --as customer --nobody-came \"called 09:10, nobody by 09:40\""
    )]
    Sign(Sign),
    /// Open a found condition; later holds stay shut until a lead decides.
    #[command(
        after_help = "Example: tackwright found TW-2041 90 \"old gusset, cracked at the toe\" --photo gusset.jpg --by W1"
    )]
    Found(Found),
    /// Look at scans and pictures of filled pages: what is ticked, what is written, what a person has to look at.
    #[command(
        after_help = "Example: tackwright look TW-2041 scan.pdf\n         tackwright look TW-2041 page5.jpg page6.jpg --json"
    )]
    Look(Look),
    /// File photos of a step, a reading or an operation, as found or as left.
    #[command(after_help = "Example: tackwright photo TW-2041 50.4 brackets.jpg --shows as-found --by W1")]
    Photo(Photo),
    /// Give a found condition its disposition.
    #[command(
        after_help = "Example: tackwright dispose TW-2041 F1 repair --by L1 --reason \"cut out, weld, penetrant test\""
    )]
    Dispose(Dispose),
    /// Take an entry back: a tick, reading or signature that was wrong.
    #[command(after_help = "Example: tackwright correct TW-2041 41 --by L1 --reason \"wrong side\"")]
    Correct(Correct),
    /// Issue the next revision of a job; unchanged operations keep their entries.
    #[command(
        after_help = "Example: tackwright revise jobs/brush-truck.toml --by L1 --reason \"F1: gusset repair added\""
    )]
    Revise(Revise),
    /// Show where each traveler stands.
    #[command(after_help = "Example: tackwright status TW-2041")]
    Status(Status),
    /// Close a traveler and write the completed record.
    #[command(after_help = "Example: tackwright close TW-2041 --by L1 --follow-up 2026-04-20")]
    Close(Close),
    /// Write the completed record again, as the log stands now.
    #[command(after_help = "Example: tackwright complete TW-2041 --by L1")]
    Complete(Complete),
    /// Check a completed record with nothing but its PDF.
    #[command(after_help = "Example: tackwright verify TW-2041-completed.pdf --trust shop-root.pem")]
    Verify(Verify),
    /// Have a service outside the shop state when the shop's signature was there.
    #[command(
        after_help = "Example: tackwright timestamp TW-2041-completed.pdf\n         tackwright timestamp TW-2041-completed.pdf --reply TW-2041-completed.tsr"
    )]
    Timestamp(Timestamp),
    /// Make, renew, bring in or show the shop's key, or set a person's PIN.
    #[command(
        after_help = "Example: tackwright key new\n         tackwright key renew --root\n         tackwright key import shop.p12\n         tackwright key pin L1"
    )]
    Key(Key),
}

/// Who acts on which traveler.
#[derive(Debug, clap::Args)]
pub struct Who {
    /// Id of the person.
    #[arg(long, value_name = "ID")]
    pub by: String,
    /// When it happened, RFC 3339; the clock if absent.
    #[arg(long, value_name = "TIME", value_parser = time)]
    pub at: Option<DateTime<FixedOffset>>,
    /// Folder of travelers.
    #[arg(long, value_name = "FOLDER")]
    pub travelers: Option<PathBuf>,
    /// Shop book; without it the one the traveler was issued with.
    #[arg(long, value_name = "FILE")]
    pub shop: Option<PathBuf>,
    /// Go on although the shop book is gone; for a lead, and the record says so.
    #[arg(long, conflicts_with = "shop")]
    pub without_book: bool,
    /// PIN.
    #[command(flatten)]
    pub pin: Pin,
}

/// The PIN.
#[derive(Debug, clap::Args)]
pub struct Pin {
    /// Read the PIN from standard input.
    #[arg(long)]
    pub pin_stdin: bool,
}

/// The entry that is replaced.
#[derive(Debug, clap::Args)]
pub struct Corrects {
    /// Entry this one replaces.
    #[arg(long, value_name = "ENTRY", requires = "reason")]
    pub corrects: Option<u64>,
    /// Why.
    #[arg(long, value_name = "TEXT")]
    pub reason: Option<String>,
}

impl Corrects {
    /// Whether an entry is corrected.
    pub(crate) fn named(&self) -> bool {
        self.corrects.is_some()
    }
}

/// Reads a time.
pub(crate) fn time(text: &str) -> Result<DateTime<FixedOffset>, String> {
    DateTime::parse_from_rfc3339(text).map_err(|e| format!("{e}; write it as 2026-03-02T14:05:00-06:00"))
}

/// Arguments of `tick`.
#[derive(Debug, clap::Args)]
pub struct Tick {
    /// Number or folder of the traveler.
    pub number: String,
    /// Operations, or operations and steps.
    #[arg(value_name = "OP[.STEP]", required = true)]
    pub what: Vec<String>,
    /// Who and when.
    #[command(flatten)]
    pub who: Who,
    /// What it replaces.
    #[command(flatten)]
    pub corrects: Corrects,
}

/// Arguments of `measure`.
#[derive(Debug, clap::Args)]
pub struct Measure {
    /// Number or folder of the traveler.
    pub number: String,
    /// Operation and reading.
    #[arg(value_name = "OP.READING")]
    pub what: String,
    /// The value with its unit, or words.
    #[arg(allow_hyphen_values = true)]
    pub value: String,
    /// Tool or instrument it was taken with.
    #[arg(long, value_name = "TOOL")]
    pub with: Option<String>,
    /// Who and when.
    #[command(flatten)]
    pub who: Who,
    /// What it replaces.
    #[command(flatten)]
    pub corrects: Corrects,
    /// Taken once more: both readings stand, and a lead decides between them.
    #[arg(long, conflicts_with = "corrects")]
    pub again: bool,
    /// The value is right although it is ten times off the other side or the one before.
    #[arg(long)]
    pub sure: bool,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `sign`.
#[derive(Debug, clap::Args)]
pub struct Sign {
    /// Number or folder of the traveler.
    pub number: String,
    /// Operation, or number of the point.
    #[arg(value_name = "OP|POINT")]
    pub what: String,
    /// Role signed as.
    #[arg(long = "as", value_name = "ROLE")]
    pub role: String,
    /// Go on past a witness point nobody came to; says how and when the notice was given.
    #[arg(long, value_name = "NOTICE")]
    pub nobody_came: Option<String>,
    /// Who and when.
    #[command(flatten)]
    pub who: Who,
}

/// Arguments of `found`.
#[derive(Debug, clap::Args)]
pub struct Found {
    /// Number or folder of the traveler.
    pub number: String,
    /// Operation it was found at.
    #[arg(value_name = "OP")]
    pub what: String,
    /// What was found.
    pub text: String,
    /// Photo, JPEG or PNG; may be given several times.
    #[arg(long, value_name = "FILE")]
    pub photo: Vec<PathBuf>,
    /// Who and when.
    #[command(flatten)]
    pub who: Who,
}

/// Arguments of `photo`.
#[derive(Debug, clap::Args)]
pub struct Photo {
    /// Number or folder of the traveler.
    pub number: String,
    /// Operation, or operation and step, or operation and reading.
    #[arg(value_name = "OP[.STEP|.READING]")]
    pub what: String,
    /// Photos, JPEG or PNG.
    #[arg(value_name = "FILE", required = true)]
    pub files: Vec<PathBuf>,
    /// What they show.
    #[arg(long, value_name = "WHAT", value_parser = ["as-found", "as-left"])]
    pub shows: String,
    /// Who and when.
    #[command(flatten)]
    pub who: Who,
}

/// Arguments of `look`.
#[derive(Debug, clap::Args)]
pub struct Look {
    /// Number or folder of the traveler.
    pub number: String,
    /// Scans or pictures of filled pages: PDF, TIFF, PNG or JPEG.
    #[arg(value_name = "FILE", required = true)]
    pub files: Vec<PathBuf>,
    /// Where the review goes; beside the first picture if absent.
    #[arg(long, short, value_name = "FILE.pdf")]
    pub out: Option<PathBuf>,
    /// Folder of travelers.
    #[arg(long, value_name = "FOLDER")]
    pub travelers: Option<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `dispose`.
#[derive(Debug, clap::Args)]
pub struct Dispose {
    /// Number or folder of the traveler.
    pub number: String,
    /// Number of the found condition.
    #[arg(value_name = "F1")]
    pub found: String,
    /// Use as is, rework, repair or reject.
    pub disposition: String,
    /// Why.
    #[arg(long, value_name = "TEXT")]
    pub reason: String,
    /// Entry of the disposition this one replaces.
    #[arg(long, value_name = "ENTRY")]
    pub corrects: Option<u64>,
    /// Who and when.
    #[command(flatten)]
    pub who: Who,
}

/// Arguments of `correct`.
#[derive(Debug, clap::Args)]
pub struct Correct {
    /// Number or folder of the traveler.
    pub number: String,
    /// Entry that is taken back.
    pub entry: u64,
    /// Why.
    #[arg(long, value_name = "TEXT")]
    pub reason: String,
    /// Who and when.
    #[command(flatten)]
    pub who: Who,
}

/// Arguments of `revise`.
#[derive(Debug, clap::Args)]
pub struct Revise {
    /// Job file.
    pub job: PathBuf,
    /// Why.
    #[arg(long, value_name = "TEXT")]
    pub reason: String,
    /// Who and when.
    #[command(flatten)]
    pub who: Who,
    /// Folder with procedures of the shop's own; they go over those that ship.
    #[arg(long, value_name = "FOLDER")]
    pub procedures: Option<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `status`.
#[derive(Debug, clap::Args)]
pub struct Status {
    /// Number or folder of a traveler; all of them if absent.
    pub number: Option<String>,
    /// Folder of travelers.
    #[arg(long, value_name = "FOLDER")]
    pub travelers: Option<PathBuf>,
    /// Day dates are compared with; today if absent.
    #[arg(long, value_name = "DATE")]
    pub on: Option<NaiveDate>,
    /// List the entries of the log.
    #[arg(long, requires = "number")]
    pub entries: bool,
    /// List the operations with what is open.
    #[arg(long, requires = "number")]
    pub operations: bool,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `close`.
#[derive(Debug, clap::Args)]
pub struct Close {
    /// Number or folder of the traveler.
    pub number: String,
    /// Date what is done after hand-over is due.
    #[arg(long, value_name = "DATE")]
    pub follow_up: Option<NaiveDate>,
    /// Who and when.
    #[command(flatten)]
    pub who: Who,
    /// Passphrase.
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}

/// Arguments of `complete`.
#[derive(Debug, clap::Args)]
pub struct Complete {
    /// Number or folder of the traveler.
    pub number: String,
    /// Who and when. The shop book is the one whose key seals.
    #[command(flatten)]
    pub who: Who,
    /// Passphrase.
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}

/// Arguments of `verify`.
#[derive(Debug, clap::Args)]
pub struct Verify {
    /// Completed record.
    #[arg(value_name = "FILE.pdf")]
    pub file: PathBuf,
    /// The shop's root as the traveler's head page prints it (64 digits), or a file
    /// that names it: its certificate, or a shop book; may be given several times.
    #[arg(long, value_name = "FINGERPRINT|FILE")]
    pub trust: Vec<String>,
    /// Take a complete record for good although no key of a shop signed it.
    #[arg(long, conflicts_with = "trust")]
    pub unsealed: bool,
    /// The shop's journal; shows lost last lines, older copies and second logs.
    #[arg(long, value_name = "FILE")]
    pub journal: Option<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}
