//! Time-stamp tokens beside the shop's journal: which of them speak of it, and what they
//! say against the clock the journal and a log were written by.
//!
//! Anybody may put a file there: one that can't be read, or was made over something else,
//! says nothing for a record and nothing against it.

use std::path::{Path, PathBuf};

use chrono::{DateTime, TimeDelta, Utc};

use super::files::RecordHost;
use super::system;
use crate::app::plan::Failure;
use crate::record::Entry;
use crate::record::journal::Journal;
use crate::seal::token::{self, Stamped};
use crate::term::counted;

/// How far two clocks may differ (common practice).
pub const CLOCKS: TimeDelta = TimeDelta::minutes(5);

/// What a file of this name beside a journal says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stamp {
    /// A service saw so many of its lines.
    Saw {
        /// Its first lines, as the journal stands.
        lines: usize,
        /// When, and which service.
        stamped: Box<Stamped>,
    },
    /// It was asked for over a line that is another by now, or not there any more; in words.
    Otherwise(String),
    /// It is no token over a line of this journal; in words.
    Nothing(String),
}

/// Where the token over the first `n` lines of a journal stands, or its query.
#[must_use]
pub fn place(journal: &Path, n: usize, ending: &str) -> PathBuf {
    let stem = journal.file_stem().unwrap_or_default().to_string_lossy();
    journal.with_file_name(format!("{stem}-{n}.{ending}"))
}

/// A moment as services say it.
#[must_use]
pub fn utc(seconds: i64) -> String {
    let at = DateTime::<Utc>::from_timestamp(seconds, 0);
    at.map_or_else(|| "a day that can't be".to_owned(), |at| at.format("%Y-%m-%d %H:%M:%S UTC").to_string())
}

/// Whether a clock, in seconds since 1970, was ahead of the service that saw what was
/// written by it.
#[must_use]
pub fn ahead(clock: i64, stamped: &Stamped) -> bool {
    clock > (stamped.at + CLOCKS).timestamp()
}

/// Tokens beside a journal, in the order of their names.
///
/// # Errors
/// If the folder can't be read.
pub fn beside(host: &dyn RecordHost, path: &Path, journal: &Journal) -> Result<Vec<Stamp>, Failure> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let over = |file: &Path| -> Option<usize> {
        let stem = format!("{}-", path.file_stem()?.to_str()?);
        file.file_name()?.to_str()?.strip_prefix(&stem)?.strip_suffix(".tsr")?.parse().ok()
    };
    let files = host.files(folder, "tsr").map_err(|e| system(folder, e))?;
    let named = files.iter().filter_map(|file| Some((over(file)?, file)));
    Ok(named.map(|(n, file)| one(host, path, journal, n, file)).collect())
}

/// What one of them says, which by its name is over the first `n` lines.
fn one(host: &dyn RecordHost, path: &Path, journal: &Journal, n: usize, file: &Path) -> Stamp {
    let nothing = |why: String| Stamp::Nothing(format!("{} says nothing: {why}", file.display()));
    let token = match host.plain(file) {
        Ok(bytes) => token::from_reply(&bytes),
        Err(why) => return nothing(format!("it can't be read ({why})")),
    };
    let held = token.and_then(|token| Ok((token::read(&token)?, token)));
    let (stamped, token) = match held {
        Ok(held) => held,
        Err(why) => return nothing(format!("it is no token of a time-stamping service that holds ({why})")),
    };
    let is = |hash: &String| token::over(&token, hash.as_bytes());
    let by_name = n.checked_sub(1).filter(|at| journal.hashes.get(*at).is_some_and(is));
    if let Some(at) = by_name.or_else(|| journal.hashes.iter().rposition(is)) {
        return Stamp::Saw { lines: at + 1, stamped: Box::new(stamped) };
    }
    let asked = host.plain(&place(path, n, "tsq")).is_ok_and(|query| token::answers(&token, &query));
    if !asked {
        return nothing("the token was made over something else than this journal".to_owned());
    }
    let (seen, has) = (utc(stamped.at.timestamp()), journal.hashes.len());
    let lines = counted(n, "line", "lines");
    Stamp::Otherwise(if n > has {
        format!(
            "{} is over {lines}, seen on {seen}, and this journal has {has}: it was cut short, or is an older copy",
            file.display()
        )
    } else {
        format!(
            "{} is over {lines} as they were asked about and seen on {seen}, and line {n} of this journal is another: it was written anew since, or is another copy",
            file.display()
        )
    })
}

/// How many entries of a traveler a token over the first `lines` of a journal covers.
#[must_use]
pub fn covered(journal: &Journal, lines: usize, number: &str) -> u64 {
    let seen = journal.notes.iter().take(lines).rev().find(|n| *n.traveler == *number);
    seen.map_or(0, |n| n.entries)
}

/// What a token over the first `lines` of a journal says against the clock the log of a
/// traveler was written by: an entry that was there before its own time. None if nothing.
#[must_use]
pub fn contradicts(
    stamped: &Stamped,
    lines: usize,
    journal: &Journal,
    number: &str,
    log: &[Entry],
) -> Option<String> {
    let entries = covered(journal, lines, number);
    let clock = |e: &Entry| Some(DateTime::parse_from_rfc3339(e.clock.as_deref()?).ok()?.timestamp());
    let of_log = log.iter().filter(|e| e.n <= entries).filter_map(|e| Some((clock(e)?, e.n)));
    let notes = journal.notes.iter().take(lines).filter(|n| *n.traveler == *number);
    let of_journal = notes.filter_map(|n| Some((n.clock?, n.entries)));
    let (clock, entry) = of_log.chain(of_journal).filter(|(clock, _)| ahead(*clock, stamped)).max()?;
    Some(format!(
        "the time-stamping service \"{}\" saw the log of {number} up to entry {entries} on {}, and by the shop's clock entry {entry} was written on {} only: the clock was fast, or set forward, so its times are not those of the work",
        stamped.service,
        utc(stamped.at.timestamp()),
        utc(clock)
    ))
}

/// What the tokens beside a journal say against it, or against the log of a traveler.
#[must_use]
pub fn against(
    host: &dyn RecordHost,
    path: &Path,
    journal: &Journal,
    number: &str,
    log: &[Entry],
) -> Vec<String> {
    // A folder that can't be listed is told where it is asked for.
    let all = beside(host, path, journal).unwrap_or_default();
    let says = |stamp| match stamp {
        Stamp::Saw { lines, stamped } => contradicts(&stamped, lines, journal, number, log),
        Stamp::Otherwise(why) => Some(why),
        Stamp::Nothing(_) => None,
    };
    all.into_iter().filter_map(says).collect()
}
