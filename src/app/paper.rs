//! What may be written over: the paper of the same traveler, and nothing else.

use std::path::Path;

use super::host::{Host, There};
use super::plan::Failure;
use super::record::{completed, pdf, refused};
use crate::diagnostic::Diagnostic;
use crate::record::sha256;
use crate::shape::{dxf, svg};

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

/// Begins the line by which a vector copy of a sheet knows itself.
const OWN: &str = "Tackwright sheet at full size, SHA-256 of the other lines ";

/// A vector copy with the line that says it is ours and unchanged: the digest of
/// all its other lines, as a comment of its format.
#[must_use]
pub fn owned(text: &str) -> String {
    let line = format!("{OWN}{}", sha256(text.as_bytes()));
    match text.split_once('\n') {
        Some((first, rest)) if text.starts_with("<svg") => format!("{first}\n<!-- {line} -->\n{rest}"),
        _ => format!("999\n{line}\n{text}"),
    }
}

/// Whether bytes are a vector copy we wrote of a sheet of this title, as it was
/// written.
fn is_owned(bytes: &[u8], title: &str) -> bool {
    let Ok(text) = std::str::from_utf8(bytes) else { return false };
    let mut lines = text.split('\n');
    let (Some(first), Some(second)) = (lines.next(), lines.next()) else { return false };
    let rest: Vec<&str> = lines.collect();
    let (bare, names) = if first.starts_with("<svg") {
        (format!("{first}\n{}", rest.join("\n")), text.contains(&svg::title(title)))
    } else {
        (rest.join("\n"), rest.get(1) == Some(&dxf::words(title).as_str()))
    };
    names && second.contains(&format!("{OWN}{}", sha256(bare.as_bytes())))
}

/// Says whether a sheet at full size may be written to a path.
///
/// # Errors
/// If anything but an earlier copy of that sheet is there, or a vector copy that
/// somebody changed since.
pub fn may_draw_shape(host: &dyn Host, path: &Path, title: &str) -> Result<(), Failure> {
    let own = |bytes: &[u8]| {
        if bytes.starts_with(b"%PDF") {
            let files = pdf::attachments(bytes).unwrap_or_default();
            let data = files.get("template.json");
            let data = data.and_then(|f| serde_json::from_slice::<serde_json::Value>(f).ok());
            return data.is_some_and(|d| d["sheet"] == title);
        }
        is_owned(bytes, title)
    };
    occupied(host, path, "an earlier copy of this sheet, unchanged,", own)
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
