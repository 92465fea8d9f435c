//! What a person states or types: the time, a PIN, a line.

use std::io::{BufRead, IsTerminal};

use chrono::{DateTime, FixedOffset};

use crate::app::record::RecordHost;
use crate::cli::args::at::At;
use crate::cli::terminal;
use crate::term::clock::told;

/// The time that was stated, told where its zone was not; else the clock's.
pub(super) fn stated(host: &dyn RecordHost, at: Option<At>) -> DateTime<FixedOffset> {
    let Some(at) = at else { return host.now() };
    if at.here {
        terminal::note(format!("Time stated: {}, by the zone of this computer.", told(&at.time)));
    }
    at.time
}

/// The PIN of who issues: from standard input if asked to. At a terminal it is
/// asked for where the person is named.
pub(super) fn issuer_pin(from_stdin: bool, by: Option<&str>, draft: bool) -> Option<String> {
    if from_stdin {
        return line();
    }
    let by = by.filter(|_| !draft && std::io::stdin().is_terminal())?;
    hidden(&format!("PIN of {by} (empty if there is none): ")).filter(|pin| !pin.is_empty())
}

/// What is typed at the terminal, not shown; a plain line where there is none.
pub(super) fn hidden(text: &str) -> Option<String> {
    if std::io::stdin().is_terminal() { rpassword::prompt_password(text).ok() } else { line() }
}

/// A new PIN, typed twice.
pub(super) fn new_pin(id: &str) -> Option<String> {
    let first = hidden(&format!("New PIN of {id}: "))?;
    if std::io::stdin().is_terminal() && hidden("Once more: ")? != first {
        terminal::note("The two are not the same: nothing was changed.");
        return None;
    }
    Some(first)
}

/// A line of standard input without its end.
pub(super) fn line() -> Option<String> {
    let mut text = String::new();
    std::io::stdin().lock().read_line(&mut text).ok()?;
    Some(text.trim_end_matches(['\r', '\n']).to_owned())
}
