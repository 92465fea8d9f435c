//! The one door of what a person asks to have written: what may be written over,
//! and where nothing may be written at all.
//!
//! A file that is there gives way only to a newer one of its own kind and
//! traveler, and only if nobody has written into it. The folder of a traveler
//! belongs to the record: nothing asked for goes into it.

use std::path::{Path, PathBuf};

use super::host::{Host, There};
use super::plan::Failure;
use super::record::stored::{MANIFEST, PLAN};
use super::record::whole::{self, Own};
use super::record::{completed, folder, pdf, refused, sheet};
use crate::diagnostic::Diagnostic;
use crate::record::sha256;
use crate::shape::{dxf, svg};

/// What a file must be to be written over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Over<'a> {
    /// Nothing is: each of these is one of its own.
    Nothing,
    /// The paper of the traveler of this number, unless somebody wrote into it.
    Paper(&'a str),
    /// A draft of that paper; never the paper itself.
    Draft(&'a str),
    /// The sheet at full size or the graph of operations with this title.
    Shape(&'a str),
    /// The review of pictures of this traveler; of any, where none is named yet.
    Review(Option<&'a str>),
    /// The entry sheet of this traveler, while nothing is filled in.
    Sheet(&'a str),
}

impl Over<'_> {
    const fn words(self) -> &'static str {
        match self {
            Self::Nothing => "",
            Self::Paper(_) => "the paper of this traveler as it was written",
            Self::Draft(_) => "an earlier draft of this traveler as it was written",
            Self::Shape(_) => "an earlier copy of the same, unchanged",
            Self::Review(_) => "an earlier review of this traveler",
            Self::Sheet(_) => "an entry sheet of this traveler with nothing filled in",
        }
    }

    /// Whether the bytes are of that kind and traveler, changed since or not.
    fn same_kind(self, bytes: &[u8]) -> bool {
        match self {
            Self::Paper(number) | Self::Draft(number) => is_paper(bytes, number),
            Self::Shape(title) => is_shape(bytes, title),
            Self::Review(number) => is_review(bytes, number),
            Self::Nothing | Self::Sheet(_) => false,
        }
    }

    fn is(self, bytes: &[u8]) -> bool {
        match self {
            Self::Nothing => false,
            Self::Paper(number) => is_paper(bytes, number) && own(bytes).is_some(),
            Self::Draft(number) => is_paper(bytes, number) && own(bytes) == Some(Own::Draft),
            Self::Shape(title) => is_shape(bytes, title) && (!is_pdf(bytes) || own(bytes).is_some()),
            Self::Review(number) => is_review(bytes, number) && closed(bytes),
            Self::Sheet(number) => sheet::is_empty(bytes, number),
        }
    }
}

/// Writes a file a person asked for.
///
/// # Errors
/// If it may not be written there (`may_write`), or the system fails.
pub fn put(host: &dyn Host, path: &Path, over: Over<'_>, bytes: &[u8]) -> Result<(), Failure> {
    may_write(host, path, over)?;
    host.write(path, bytes).map_err(|e| Failure::at(path, &e))
}

/// Says whether a file a person asks for may be written to a path.
///
/// # Errors
/// If the path lies in the folder of a traveler, or something is there that must
/// be kept, or it can't be read.
pub fn may_write(host: &dyn Host, path: &Path, over: Over<'_>) -> Result<(), Failure> {
    if let Some(record) = record_around(host, path) {
        return Err(refused(
            Diagnostic::error(
                "T914",
                format!("{} lies in the record {}, which is kept as it is", path.display(), record.display()),
            )
            .expected("a place outside the folder of a traveler: what is in there is the record")
            .help("name a file beside your job, or a folder of your own"),
        ));
    }
    let taken = |why: &str| {
        let expected = match over {
            Over::Nothing => "a name that is free".to_owned(),
            _ => format!("a name that is free, or {} to write over", over.words()),
        };
        Err(refused(
            Diagnostic::error("T905", format!("{} is {why} and is kept", path.display()))
                .expected(expected)
                .help("name another file or a folder; if it is of no use any more, move it away first"),
        ))
    };
    // Nothing can stand below a file.
    let above = path.ancestors().skip(1).filter(|p| !p.as_os_str().is_empty());
    if let Some(file) = above.into_iter().find(|p| matches!(host.there(p), There::File | There::Other)) {
        return Err(Failure::System(format!(
            "{} is a file: nothing can be written below it. Name a folder (--out FOLDER), or move that file away",
            file.display()
        )));
    }
    match host.there(path) {
        There::Nothing => Ok(()),
        There::Folder => taken("a folder"),
        There::Other => taken("no plain file"),
        There::File if over == Over::Nothing => taken("there already"),
        There::File => {
            let bytes = host.bytes(path).map_err(|e| Failure::at(path, &e))?;
            match over {
                _ if over.is(&bytes) => Ok(()),
                Over::Sheet(_) if sheet::is_sheet(&bytes) => {
                    taken("a sheet that is filled in, or another traveler's,")
                }
                Over::Draft(number) if is_paper(&bytes, number) && own(&bytes) == Some(Own::Issued) => {
                    taken("the paper of the traveler as it was issued, which no draft replaces,")
                }
                Over::Paper(_) | Over::Draft(_) | Over::Shape(_) | Over::Review(_)
                    if over.same_kind(&bytes) =>
                {
                    taken(
                        "not as it was written (somebody's notes or a signature may be in it, or an earlier version wrote it)",
                    )
                }
                _ => taken("something else"),
            }
        }
    }
}

fn is_pdf(bytes: &[u8]) -> bool {
    bytes.starts_with(b"%PDF")
}

/// What a PDF of ours is, if it is as it was written.
fn own(bytes: &[u8]) -> Option<Own> {
    whole::untouched(bytes, &pdf::attachments(bytes).ok()?)
}

/// Begins the line that ends a PDF which holds no files, and by which it knows itself.
const END: &str = "%SHA-256 of all before this line: ";

/// A review with a last line that says it is as it was written.
#[must_use]
pub fn close(mut bytes: Vec<u8>) -> Vec<u8> {
    if !bytes.ends_with(b"\n") {
        bytes.push(b'\n');
    }
    let line = format!("{END}{}\n", sha256(&bytes));
    bytes.extend_from_slice(line.as_bytes());
    bytes
}

/// Whether a file ends with that line, and the line says so of it.
fn closed(bytes: &[u8]) -> bool {
    let length = END.len() + 64 + 1;
    let Some(at) = bytes.len().checked_sub(length) else { return false };
    bytes[at..] == *format!("{END}{}\n", sha256(&bytes[..at])).as_bytes()
}

/// The folder of a traveler a path lies in, links followed.
fn record_around(host: &dyn Host, path: &Path) -> Option<PathBuf> {
    let real = host.real(path);
    let marks = |above: &Path| {
        let kept = |name: &str| host.exists(&above.join(name));
        host.exists(&folder::note(above)) || kept(MANIFEST) && kept(PLAN) || has_log(host, above)
    };
    real.ancestors().skip(1).find(|above| marks(above)).map(Path::to_owned)
}

/// Whether a folder holds a log and the revision it begins with: a copy of a log
/// that lies about is no record.
fn has_log(host: &dyn Host, above: &Path) -> bool {
    let log = folder::log(above);
    if !host.exists(&log) {
        return false;
    }
    let text = host.read(&log).unwrap_or_default();
    let first = text.lines().next().and_then(|l| serde_json::from_str::<serde_json::Value>(l).ok());
    let revision = first.as_ref().and_then(|l| l.pointer("/entry/what/issue/revision")?.as_str());
    revision.is_some_and(|r| folder::revision(above, r).is_ok_and(|r| host.exists(&r.join(MANIFEST))))
}

fn is_shape(bytes: &[u8], title: &str) -> bool {
    if bytes.starts_with(b"%PDF") {
        let files = pdf::attachments(bytes).unwrap_or_default();
        let data = files.get("template.json");
        let data = data.and_then(|f| serde_json::from_slice::<serde_json::Value>(f).ok());
        return data.is_some_and(|d| d["sheet"] == title);
    }
    is_owned(bytes, title)
}

/// Begins the line by which a vector copy of a sheet knows itself.
const OWN: &str = "Tackwright drawing, SHA-256 of the other lines ";

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

/// Whether a file is a review: its title, which stands in the open in the file.
fn is_review(bytes: &[u8], number: Option<&str>) -> bool {
    let title = match number {
        Some(number) => format!("Pictures of {number} rev "),
        None => "Pictures of ".to_owned(),
    };
    bytes.starts_with(b"%PDF") && bytes.windows(title.len()).any(|w| w == title.as_bytes())
}

/// Whether a file is a paper of this traveler: its figures, which are attached,
/// name the number. A completed record has them too, and a log.
fn is_paper(bytes: &[u8], number: &str) -> bool {
    let Ok(files) = pdf::attachments(bytes) else { return false };
    let figures = files.get("figures.json").and_then(|f| serde_json::from_slice::<serde_json::Value>(f).ok());
    !files.contains_key(completed::LOG) && figures.is_some_and(|f| f["number"] == number)
}
