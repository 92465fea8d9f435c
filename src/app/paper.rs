//! What may be written over: the paper of the same traveler, and nothing else.

use std::path::Path;

use super::host::{Host, There};
use super::plan::Failure;
use super::record::{completed, pdf, refused};
use crate::diagnostic::Diagnostic;

/// Says whether a traveler's paper may be written to a path: nothing is there,
/// or an earlier paper of that traveler.
///
/// # Errors
/// If anything else is there, or it can't be read.
pub fn may_write(host: &dyn Host, path: &Path, number: &str) -> Result<(), Failure> {
    occupied(host, path, "the paper of this traveler", |bytes| is_paper(bytes, number))
}

/// Says whether a traveler's graph of operations may be written to a path.
///
/// # Errors
/// If anything but an earlier graph of that traveler is there.
pub fn may_draw(host: &dyn Host, path: &Path, title: &str) -> Result<(), Failure> {
    let mark = format!("<title>{title}</title>");
    let is_graph = |bytes: &[u8]| {
        let start =
            String::from_utf8_lossy(bytes.get(..bytes.len().min(400)).unwrap_or_default()).into_owned();
        start.starts_with("<svg") && start.contains(&mark)
    };
    occupied(host, path, "a graph of this traveler", is_graph)
}

/// Says whether a sheet at full size may be written to a path.
///
/// # Errors
/// If anything but an earlier copy of that sheet is there.
pub fn may_draw_shape(host: &dyn Host, path: &Path, title: &str) -> Result<(), Failure> {
    let own = |bytes: &[u8]| {
        if bytes.starts_with(b"%PDF") {
            let files = pdf::attachments(bytes).unwrap_or_default();
            let data = files.get("template.json");
            let data = data.and_then(|f| serde_json::from_slice::<serde_json::Value>(f).ok());
            return data.is_some_and(|d| d["sheet"] == title);
        }
        let start = bytes.get(..bytes.len().min(400)).unwrap_or_default();
        let start = String::from_utf8_lossy(start);
        let svg = start.starts_with("<svg") && start.contains("<title>");
        svg || (start.starts_with("999\n") && start.contains("AC1009"))
    };
    occupied(host, path, "an earlier copy of this sheet", own)
}

fn occupied(
    host: &dyn Host,
    path: &Path,
    what: &str,
    own: impl FnOnce(&[u8]) -> bool,
) -> Result<(), Failure> {
    let taken = |why: &str| {
        Err(refused(
            Diagnostic::error("T905", format!("{} is {why} and is kept", path.display()))
                .expected(format!("a name that is free, or {what} to write over"))
                .help("name another file or a folder; if it is of no use any more, move it away first"),
        ))
    };
    match host.there(path) {
        There::Nothing => Ok(()),
        There::Folder => taken("a folder"),
        There::Other => taken("no plain file"),
        There::File => {
            let bytes = host.bytes(path).map_err(|e| Failure::System(format!("{}: {e}", path.display())))?;
            if own(&bytes) { Ok(()) } else { taken("something else") }
        }
    }
}

/// Whether a file is a paper of this traveler: its figures, which are attached,
/// name the number. A completed record has them too, and a log.
fn is_paper(bytes: &[u8], number: &str) -> bool {
    let Ok(files) = pdf::attachments(bytes) else { return false };
    let figures = files.get("figures.json").and_then(|f| serde_json::from_slice::<serde_json::Value>(f).ok());
    !files.contains_key(completed::LOG) && figures.is_some_and(|f| f["number"] == number)
}
