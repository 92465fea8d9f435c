//! What is said of a file of a record that can't be read or written: which one it is,
//! what it is for, and what to do. The system's own words say none of it.

use std::path::Path;

use super::files::NO_FOLDER;
use super::folder::{LOG, TRAVELERS};
use super::journal::JOURNAL;
use super::register::SHOP;
use super::stored::{FORM, MANIFEST, PAPER, PLAN, WORK_PAPERS};
use super::tries::FILE as TRIES;
use crate::app::failure::{at, system_number};

/// What a file of a record is for, and where another one comes from.
fn purpose(path: &Path) -> Option<(&'static str, &'static str)> {
    const BACKUP: &str = "put the traveler's folder back from the backup; nothing of it can be made again";
    const ISSUED: &str = "put it back from the backup, or take it out of the paper: every file that was frozen is attached to the traveler's PDF or to its completed record";
    let name = path.file_name()?.to_string_lossy();
    let above = path.parent().and_then(Path::file_name).map(|n| n.to_string_lossy());
    Some(match &*name {
        LOG => ("the log of the traveler, with every entry", BACKUP),
        JOURNAL => (
            "the shop's journal, which tells of lost lines",
            "put it back from the copy kept elsewhere; if there is none, take away what stands in its place: the next entry begins it anew, and that is told",
        ),
        MANIFEST => ("the list of what was frozen at issue, which the log names by its digest", BACKUP),
        PLAN => ("the frozen plan, which every rule goes by", BACKUP),
        FORM => ("the list of boxes and their places on the paper", BACKUP),
        "job.toml" => ("the job as it was issued", ISSUED),
        "figures.json" => ("the figures as they were issued", ISSUED),
        "document.json" => ("the pages as they were issued, before typesetting", BACKUP),
        "procedures.json" => ("the procedures and the rows of the shop book it was planned with", BACKUP),
        PAPER => (
            "the traveler as it was issued",
            "put it back from the backup; a print of it can't take its place",
        ),
        WORK_PAPERS => ("the work papers as they were issued", "put it back from the backup"),
        "shop-book" => (
            "the note where the shop book of the traveler stands",
            "take away what stands in its place, and name the book: --shop FILE",
        ),
        SHOP => (
            "the shop book: people, PINs, tests and calibrations",
            "put it back, or name it where it stands: --shop FILE",
        ),
        TRIES => (
            "the list of wrong PINs beside the shop book",
            "put it back from the backup, or take away what stands in its place",
        ),
        "seal.key" | "seal-root.key" | "seal.pem" => {
            ("the shop's key", "put it back from the backup; `tackwright key` says what there is")
        }
        TRAVELERS => ("the folder of travelers", "name another one: --travelers FOLDER"),
        _ => match above.as_deref() {
            Some("photos") => ("a photo the log names by its digest", "put it back from the backup"),
            Some("pictures") => {
                ("a picture of paper, or what was read from one", "put it back, or take the picture in again")
            }
            Some("slips") => ("slips for the bench", "take away what stands in their place"),
            Some("copies") => ("a fill-in copy as it was given out", "put it back from the backup"),
            Some("taken-in") => ("a file that entries were taken in from", "put it back from the backup"),
            _ => return None,
        },
    })
}

/// The way out where the file is as it was and nothing has to be put back: the system only
/// did not let whoever runs this at it.
fn still_there(error: &str) -> Option<&'static str> {
    Some(match system_number(error)? {
        "13" | "1" => {
            "what stands in it was not touched, so put no older copy in its place; whoever owns it and its folder gives the right to read and to write both, or does this"
        }
        "28" => "what stands in it was not touched; make room on the disk, then do it again",
        "30" => {
            "what stands in it was not touched, so put no older copy in its place; have its disk made one that may be written, then do it again"
        }
        "24" | "26" => "what stands in it was not touched; end the other program, then do it again",
        _ => return None,
    })
}

/// What is said of a failure at a path.
pub(super) fn words(path: &Path, error: &str) -> String {
    let said = at(path, error);
    // Nothing was ever there to be put back.
    if error.ends_with("(os error 20)") {
        return format!("{said}. Name another place, or move that file away");
    }
    match purpose(path) {
        Some(_) if error == NO_FOLDER => said,
        Some((what, way_out)) => {
            let way_out = still_there(error).unwrap_or(way_out);
            format!("{said}. It is {what}: {way_out}")
        }
        None => said,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_file_of_a_record_is_told_in_the_systems_words() {
        for name in [
            "log.jsonl",
            "A/manifest.json",
            "A/plan.json",
            "A/form.json",
            "A/job.toml",
            "A/figures.json",
            "A/document.json",
            "A/procedures.json",
            "A/traveler.pdf",
            "A/work-papers.pdf",
            "shop-book",
            "photos/F1-1.jpg",
            "pictures/0a.json",
            "taken-in/0a.csv",
            "copies/c.pdf",
            "slips/entry-000001.pdf",
        ] {
            let path = Path::new("travelers/TW-1").join(name);
            for error in [2, 13, 21].map(std::io::Error::from_raw_os_error) {
                let said = words(&path, &error.to_string());
                assert!(said.starts_with(&format!("travelers/TW-1/{name} ")), "{said}");
                assert!(!said.contains("os error") && said.contains("It is "), "{said}");
            }
        }
        assert_eq!(words(Path::new("x.bin"), "odd"), "x.bin: odd");
        let said = words(Path::new("travelers/TW-1/log.jsonl"), NO_FOLDER);
        assert!(said.contains("name another place") && !said.contains("backup"), "{said}");
    }

    #[test]
    fn what_is_still_there_is_not_put_back_from_a_backup() {
        let path = Path::new("travelers/TW-1/log.jsonl");
        for error in [1, 13, 24, 26, 28, 30].map(std::io::Error::from_raw_os_error) {
            let said = words(path, &error.to_string());
            assert!(said.contains("was not touched") && !said.contains("backup"), "{said}");
        }
        let said = words(path, &std::io::Error::from_raw_os_error(2).to_string());
        assert!(said.contains("backup"), "{said}");
    }
}
