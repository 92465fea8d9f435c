//! What may be typed to keep a record.

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::Subcommand;
use clap::builder::{PossibleValuesParser, TypedValueParser};

use super::at::{At, time};
use super::decide::{Dispose, Waive};
use super::key::{Key, PassphraseFrom, Timestamp};
use crate::app::record::follow_ups::Due;
use crate::term::Shows;

/// Commands of the record.
#[derive(Debug, Subcommand)]
pub enum Record {
    /// Initial operations, or tick safety steps, as done.
    #[command(after_help = "Example: tackwright tick TW-2041 210.1 210 220 --by WO")]
    Tick(Tick),
    /// Write a reading; it is judged at once, and what depends on it computed again.
    #[command(
        after_help = "Example: tackwright measure TW-2041 480.first.left \"-5.3 deg\" --with AF-1 --by LO"
    )]
    Measure(Measure),
    /// Sign a hold, witness or review point.
    #[command(
        after_help = "Example: tackwright sign TW-2041 H4 --by LO --as lead\n         tackwright sign TW-2041 W2 --by LO --as inspector --nobody-came \"called 09:10, nobody by 09:40\""
    )]
    Sign(Sign),
    /// Open a found condition; later holds stay shut until a lead decides.
    #[command(
        after_help = "Example: tackwright found TW-2041 90 \"old gusset, cracked at the toe\" --photo gusset.jpg --by WO"
    )]
    Found(Found),
    /// Look at scans and pictures of filled pages, and propose what they hold.
    #[command(
        after_help = "Example: tackwright look TW-2041 scan.pdf\n         tackwright look TW-2041 page5.jpg page6.jpg --json"
    )]
    Look(Look),
    /// File photos of a step, a reading or an operation, as found or as left.
    #[command(after_help = "Example: tackwright photo TW-2041 50.4 brackets.jpg --shows as-found --by WO")]
    Photo(Photo),
    /// Enter what the 100 mm bars of a printed sheet at full size measured.
    #[command(
        after_help = "Example: tackwright bars TW-2041 1a2b3c4d5 --across \"99.8 mm\" --along \"100.1 mm\" --by WO\n\nThe nine letters and digits are printed on the sheet. Off by more than 0.5 mm, the print is void: the entry stands and the command ends with 1."
    )]
    Bars(Bars),
    /// Give a found condition its disposition.
    #[command(
        after_help = "Example: tackwright dispose TW-2041 F1 repair --by LO --reason \"cut out, weld, penetrant test\""
    )]
    Dispose(Dispose),
    /// Let somebody test who is not certified for it: a lead answers for it.
    #[command(
        after_help = "Example: tackwright waive TW-2041 580.cracks.J2 --tester IO --by LO --reason \"certificate renewed, card on its way\""
    )]
    Waive(Waive),
    /// Take an entry back: a tick, reading or signature that was wrong.
    #[command(
        after_help = "Example: tackwright correct TW-2041 41 --by LO --reason \"wrong side\"\n         tackwright correct TW-2041 480.first.left --by LO --reason \"wrong side\""
    )]
    Correct(Correct),
    /// Issue the next revision of a job; unchanged operations keep their entries.
    #[command(
        after_help = "Example: tackwright revise jobs/brush-truck.toml --by LO --reason \"F1: gusset repair added\""
    )]
    Revise(Revise),
    /// Show where each traveler stands.
    #[command(
        after_help = "Example: tackwright status TW-2041\n         tackwright status TW-2041 --boxes --station C\n         tackwright status TW-2041 --json"
    )]
    Status(Status),
    /// Go through what is open, question by question; every answer is entered at once.
    #[command(
        after_help = "Example: tackwright desk TW-2041 --by WO\n         tackwright desk TW-2041 --station C\n         tackwright desk TW-2041 --take monday.csv --by LO\n\nEnter leaves a blank. At every question: < goes back, ? explains, n goes to the next operation, w changes who did it, t the tool, at 14:05 the time, f files what was found, q stops. What was entered stays entered."
    )]
    Desk(DeskArgs),
    /// Write what is open as a sheet for a spreadsheet, or take a filled one in.
    #[command(
        after_help = "Example: tackwright sheet TW-2041 --out monday.csv\n         tackwright sheet TW-2041 --take monday.csv --by LO\n         tackwright sheet TW-2041 --take monday.csv --by LO --enter"
    )]
    Sheet(SheetArgs),
    /// Write a numbered copy of a traveler to fill in at a screen.
    #[command(after_help = "Example: tackwright copy TW-2041 --out tablet/")]
    Copy(Copy),
    /// Show what a fill-in copy that came back proposes, and enter it once looked at.
    #[command(
        after_help = "Example: tackwright returned TW-2041 TW-2041-A-copy-1.pdf\n         tackwright returned TW-2041 TW-2041-A-copy-1.pdf --by WO --enter"
    )]
    Returned(Returned),
    /// Close a traveler and write the completed record.
    #[command(after_help = "Example: tackwright close TW-2041 --by LO --follow-up 2026-04-20")]
    Close(Close),
    /// Write the completed record again, as the log stands now.
    #[command(after_help = "Example: tackwright complete TW-2041 --by LO")]
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
        after_help = "Example: tackwright key new\n         tackwright key renew --root\n         tackwright key import shop.p12\n         tackwright key pin LO"
    )]
    Key(Key),
}

/// Who acts on which traveler.
#[derive(Debug, clap::Args)]
pub struct Who {
    /// Id of the person.
    #[arg(long, value_name = "ID")]
    pub by: String,
    /// When it happened: 14:05, "yesterday 9:30", "2026-03-02 14:05", by the zone of
    /// this computer, or with its offset; the clock if absent.
    #[arg(long, value_name = "TIME", value_parser = time)]
    pub at: Option<At>,
    /// Folder of travelers; travelers here or in jobs if absent.
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
    /// Entry this one replaces, or the place it fills.
    #[arg(long, value_name = "ENTRY|PLACE", requires = "reason")]
    pub corrects: Option<String>,
    /// Why it is replaced; with --corrects.
    #[arg(long, value_name = "TEXT")]
    pub reason: Option<String>,
}

impl Corrects {
    /// Whether an entry is corrected.
    pub(crate) fn named(&self) -> bool {
        self.corrects.is_some()
    }
}

/// Arguments of `copy`.
#[derive(Debug, clap::Args)]
pub struct Copy {
    /// Number or folder of the traveler.
    pub number: String,
    /// Folder or file to write it to; the folder you are in if absent.
    #[arg(short, long, value_name = "PLACE")]
    pub out: Option<PathBuf>,
    /// Folder of travelers; travelers here or in jobs if absent.
    #[arg(long, value_name = "FOLDER")]
    pub travelers: Option<PathBuf>,
}

/// Arguments of `returned`.
#[derive(Debug, clap::Args)]
pub struct Returned {
    /// Number or folder of the traveler.
    pub number: String,
    /// The filled copy.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Who looked at it and takes it in; the work is theirs. Judged only, without --enter.
    #[arg(long, value_name = "ID")]
    pub by: Option<String>,
    /// Enter what is good.
    #[arg(long, requires = "by")]
    pub enter: bool,
    /// When the work was done, as "14:05" or "2026-03-02 14:05"; the clock if absent.
    #[arg(long, value_name = "TIME", value_parser = time)]
    pub at: Option<At>,
    /// Folder of travelers; travelers here or in jobs if absent.
    #[arg(long, value_name = "FOLDER")]
    pub travelers: Option<PathBuf>,
    /// Shop book; without it the one the traveler was issued with.
    #[arg(long, value_name = "FILE")]
    pub shop: Option<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `tick`.
#[derive(Debug, clap::Args)]
pub struct Tick {
    /// Number or folder of the traveler.
    pub number: String,
    /// Operations, operations and steps, or names of boxes.
    #[arg(value_name = "OP[.STEP]|BOX", required = true)]
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
    /// Operation and reading, or the name of the box.
    #[arg(value_name = "OP.READING|BOX")]
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
    /// Operations, numbers of points, or names of their boxes.
    #[arg(value_name = "OP|POINT|BOX", required = true)]
    pub what: Vec<String>,
    /// Role signed as: lead, welder, fitter, inspector or customer.
    #[arg(long = "as", value_name = "ROLE")]
    pub role: String,
    /// Go on past a witness point nobody came to; says how and when the notice was given.
    #[arg(long, value_name = "NOTICE")]
    pub nobody_came: Option<String>,
    /// It was signed on paper by somebody else, and you attest it as a lead; says
    /// where it stands. The time is that of the signature.
    #[arg(long, value_name = "PLACE", requires = "signer", conflicts_with = "nobody_came")]
    pub seen_on_paper: Option<String>,
    /// Who signed on paper.
    #[arg(long, value_name = "ID", requires = "seen_on_paper")]
    pub signer: Option<String>,
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
    #[arg(long, value_name = "WHAT", value_parser = shown())]
    pub shows: Shows,
    /// Who and when.
    #[command(flatten)]
    pub who: Who,
}

/// What a photo shows, as it is typed: `as-found` or `as-left`.
fn shown() -> impl TypedValueParser<Value = Shows> {
    PossibleValuesParser::new(["as-found", "as-left"])
        .try_map(|typed| Shows::of(&typed.replace('-', " ")).ok_or("neither as-found nor as-left"))
}

/// Arguments of `bars`.
#[derive(Debug, clap::Args)]
pub struct Bars {
    /// Number or folder of the traveler.
    pub number: String,
    /// The nine digits printed on the sheet.
    #[arg(value_name = "SHEET")]
    pub sheet: String,
    /// What the 100 mm bar across the page measured.
    #[arg(long, value_name = "LENGTH")]
    pub across: String,
    /// What the 100 mm bar along the page measured.
    #[arg(long, value_name = "LENGTH")]
    pub along: String,
    /// An entry to correct.
    #[command(flatten)]
    pub corrects: Corrects,
    /// Who and when.
    #[command(flatten)]
    pub who: Who,
}

/// Arguments of `look`.
#[derive(Debug, clap::Args)]
pub struct Look {
    /// Number or folder of the traveler; or its PDF as it was issued, where only that is
    /// at hand: then nothing is kept.
    pub number: String,
    /// Scans or pictures of filled pages: PDF, TIFF, PNG or JPEG.
    #[arg(value_name = "FILE", required = true)]
    pub files: Vec<PathBuf>,
    /// Where the review goes; beside the first picture if absent.
    #[arg(long, short, value_name = "FILE.pdf")]
    pub out: Option<PathBuf>,
    /// Write an entry sheet too: what is ticked is filled in, the rest is typed from
    /// the crops beside it.
    #[arg(long, value_name = "FILE.csv")]
    pub sheet: Option<PathBuf>,
    /// What stands between two columns of the sheet.
    #[arg(long, value_enum, default_value_t = Between::Comma, requires = "sheet")]
    pub between: Between,
    /// Shop book, for the tools named on the sheet; without it the one the traveler
    /// was issued with.
    #[arg(long, value_name = "FILE", requires = "sheet")]
    pub shop: Option<PathBuf>,
    /// Folder of travelers; travelers here or in jobs if absent.
    #[arg(long, value_name = "FOLDER")]
    pub travelers: Option<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `correct`.
#[derive(Debug, clap::Args)]
pub struct Correct {
    /// Number or folder of the traveler.
    pub number: String,
    /// Entry that is taken back, or the place it fills: 120.3, 120.first.left, H4, or the
    /// name of a box.
    #[arg(value_name = "ENTRY|PLACE")]
    pub entry: String,
    /// What is typed behind it in mistake: the value that should stand there.
    #[arg(value_name = "VALUE", hide = true)]
    pub value: Option<String>,
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
    /// All travelers of the folder in one table: where each stands, whom it waits for, what is
    /// late, which of its tools are due soon.
    #[arg(long, conflicts_with = "number")]
    pub shop: bool,
    /// List the boxes, open and done.
    #[arg(long, requires = "number")]
    pub boxes: bool,
    /// Which boxes and operations.
    #[command(flatten)]
    pub only: Only,
    /// Folder of travelers; travelers here or in jobs if absent.
    #[arg(long, value_name = "FOLDER")]
    pub travelers: Option<PathBuf>,
    /// Day that dates are compared with, year-month-day; today if absent.
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

/// Which part of a traveler.
#[derive(Debug, Default, clap::Args)]
pub struct Only {
    /// Stations: letters of the paper, or places such as "weld bay".
    #[arg(long, value_name = "STATION")]
    pub station: Vec<String>,
    /// Operations: number or key.
    #[arg(long, value_name = "OP")]
    pub operation: Vec<String>,
}

impl Only {
    /// Whether a part is named.
    pub(crate) fn any(&self) -> bool {
        !self.station.is_empty() || !self.operation.is_empty()
    }
}

/// Arguments of `sheet`.
#[derive(Debug, clap::Args)]
pub struct SheetArgs {
    /// Number or folder of the traveler.
    pub number: String,
    /// Which part of it.
    #[command(flatten)]
    pub only: Only,
    /// File the sheet is written to; standard output if absent.
    #[arg(long, value_name = "FILE", conflicts_with = "take")]
    pub out: Option<PathBuf>,
    /// What stands between two columns.
    #[arg(long, value_enum, default_value_t = Between::Comma)]
    pub between: Between,
    /// Take a filled sheet in; without --enter it is only judged.
    #[arg(long, value_name = "FILE", requires = "by")]
    pub take: Option<PathBuf>,
    /// Enter what is good.
    #[arg(long, requires = "take")]
    pub enter: bool,
    /// Who takes it in; the work of a line without a name is theirs.
    #[arg(long, value_name = "ID")]
    pub by: Option<String>,
    /// When the work of a line without a time was done, as "14:05" or "2026-03-02 14:05";
    /// the clock if absent.
    #[arg(long, value_name = "TIME", value_parser = time)]
    pub at: Option<At>,
    /// Folder of travelers; travelers here or in jobs if absent.
    #[arg(long, value_name = "FOLDER")]
    pub travelers: Option<PathBuf>,
    /// Shop book; without it the one the traveler was issued with.
    #[arg(long, value_name = "FILE")]
    pub shop: Option<PathBuf>,
    /// Print JSON.
    #[arg(long, requires = "take")]
    pub json: bool,
}

/// What stands between two columns of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Between {
    /// A comma.
    Comma,
    /// A semicolon: where a spreadsheet writes a decimal comma.
    Semicolon,
    /// A tab.
    Tab,
}

/// Arguments of `desk`.
#[derive(Debug, clap::Args)]
pub struct DeskArgs {
    /// Number or folder of the traveler.
    pub number: String,
    /// Which part of it.
    #[command(flatten)]
    pub only: Only,
    /// Who sits at the desk; asked for where it is needed if absent.
    #[arg(long, value_name = "ID")]
    pub by: Option<String>,
    /// Take the answers from a filled sheet, and ask for the signatures between them.
    #[arg(long, value_name = "FILE", requires = "by")]
    pub take: Option<PathBuf>,
    /// Go through what scans or pictures of filled pages show, one box after the other,
    /// and ask for the signatures between them.
    #[arg(long, value_name = "FILE", num_args = 1.., requires = "by", conflicts_with = "take")]
    pub pictures: Vec<PathBuf>,
    /// When the work was done, as "14:05" or "2026-03-02 14:05"; the clock if absent.
    #[arg(long, value_name = "TIME", value_parser = time)]
    pub at: Option<At>,
    /// Folder of travelers; travelers here or in jobs if absent.
    #[arg(long, value_name = "FOLDER")]
    pub travelers: Option<PathBuf>,
    /// Shop book; without it the one the traveler was issued with.
    #[arg(long, value_name = "FILE")]
    pub shop: Option<PathBuf>,
}

/// Arguments of `close`.
#[derive(Debug, clap::Args)]
pub struct Close {
    /// Number or folder of the traveler.
    pub number: String,
    /// Day, year-month-day, on which what is done after hand-over is due: one for all of it, or
    /// OPERATION=DATE for each.
    #[arg(long, value_name = "[OPERATION=]DATE")]
    pub follow_up: Vec<Due>,
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
    /// A head of the log as a slip or `status` printed it, kept on paper (12 digits or
    /// more); shows a log and a journal written anew together. May be given several times.
    #[arg(long, value_name = "DIGITS")]
    pub head: Vec<String>,
    /// The traveler's folder, which keeps what entries were taken in from; the folder
    /// the record stands in, if it is one.
    #[arg(long, value_name = "FOLDER")]
    pub kept: Option<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}
