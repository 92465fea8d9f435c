//! Places in a traveler's folder. Names that come out of a log, a list of files
//! or a plan pass here before they become a path, so none of them leads out.

use std::io;
use std::path::{Path, PathBuf};

use super::files::RecordHost;
use super::{refused, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::file::FileName;

/// Folder of travelers, when nothing else is said.
pub const TRAVELERS: &str = "travelers";
/// Name of the log.
pub const LOG: &str = "log.jsonl";
/// Folder of photos.
const PHOTOS: &str = "photos";
/// Folder of pictures of paper, and of what was read from them.
const PICTURES: &str = "pictures";
/// Folder of slips for the bench.
const SLIPS: &str = "slips";
/// Folder of fill-in copies.
const COPIES: &str = "copies";
/// Folder of files that were taken in: sheets, copies, pictures.
const TAKEN_IN: &str = "taken-in";
/// Note where the shop book stands.
const NOTE: &str = "shop-book";

/// Reads a plain file of a traveler's folder. A folder in it that is a link leads out of it,
/// and is not followed.
///
/// # Errors
/// If the file or its folder is a link, or it can't be read.
pub fn read(host: &dyn RecordHost, traveler: &Path, path: &Path) -> io::Result<Vec<u8>> {
    stays(host, traveler, path)?;
    host.plain(path)
}

/// Writes a file of a traveler's folder: what could not be read back is not written.
///
/// # Errors
/// If its folder is a link, or the system says no.
pub fn write(host: &dyn RecordHost, traveler: &Path, path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let written = stays(host, traveler, path).and_then(|()| host.write(path, bytes));
    written.map_err(|e| system(path, e))
}

/// Whether a place lies in the traveler's folder, whatever links there are.
fn stays(host: &dyn RecordHost, traveler: &Path, path: &Path) -> io::Result<()> {
    let real = |path: &Path| host.real(&host.absolute(path));
    let own = path.strip_prefix(traveler).ok().and_then(Path::parent);
    let led_out = own.is_some_and(|own| real(&traveler.join(own)) != real(traveler).join(own));
    if !led_out {
        return Ok(());
    }
    let why = "its folder is a link; a record is made of plain files";
    Err(io::Error::new(io::ErrorKind::InvalidInput, why))
}

/// The log of a traveler.
#[must_use]
pub fn log(folder: &Path) -> PathBuf {
    folder.join(LOG)
}

/// The note where the shop book of a traveler stands.
#[must_use]
pub fn note(folder: &Path) -> PathBuf {
    folder.join(NOTE)
}

/// What was printed for the bench when an entry was made: `entry-000012.pdf`.
#[must_use]
pub fn slip(folder: &Path, entry: u64) -> PathBuf {
    folder.join(SLIPS).join(format!("entry-{entry:06}.pdf"))
}

/// The folder of a revision.
///
/// # Errors
/// If the letter is no plain name, or the name of something else in the folder.
pub fn revision(folder: &Path, letter: &str) -> Result<PathBuf, Failure> {
    let name = name("revision", letter)?;
    let taken =
        [LOG, PHOTOS, PICTURES, SLIPS, COPIES, TAKEN_IN, NOTE].iter().any(|t| t.eq_ignore_ascii_case(letter));
    if taken || letter.to_ascii_lowercase().ends_with("-completed.pdf") {
        return Err(refused(
            Diagnostic::error("L005", format!("\"{letter}\" can't be the letter of a revision"))
                .key("revision")
                .expected("a letter or a short name; this one is used by the record itself")
                .example("revision = \"B\""),
        ));
    }
    Ok(name.below(folder))
}

/// A file of a revision.
///
/// # Errors
/// If it is no plain name.
pub fn part(revision: &Path, file: &str) -> Result<PathBuf, Failure> {
    Ok(name("list of files", file)?.below(revision))
}

/// A photo.
///
/// # Errors
/// If it is no plain name.
pub fn photo(folder: &Path, file: &str) -> Result<PathBuf, Failure> {
    Ok(name("photo", file)?.below(&folder.join(PHOTOS)))
}

/// A fill-in copy.
///
/// # Errors
/// If the number or the letter is no plain name.
pub fn copy(folder: &Path, number: &str, revision: &str, copy: u32) -> Result<PathBuf, Failure> {
    let (number, revision) = (name("number", number)?, name("revision", revision)?);
    Ok(folder.join(COPIES).join(format!("{number}-{revision}-copy-{copy}.pdf")))
}

/// Digits of a digest that name a file.
const DIGITS: usize = 32;

/// A file that was taken in, by its digest and the ending of its name.
///
/// # Errors
/// If they make no plain name.
pub fn taken_in(folder: &Path, sha256: &str, ending: &str) -> Result<PathBuf, Failure> {
    let digits = sha256.get(..DIGITS).unwrap_or(sha256);
    Ok(name("file that was taken in", &format!("{digits}.{ending}"))?.below(&folder.join(TAKEN_IN)))
}

/// The folder of files that were taken in.
#[must_use]
pub fn all_taken_in(folder: &Path) -> PathBuf {
    folder.join(TAKEN_IN)
}

/// The folder of pictures of paper.
#[must_use]
pub fn pictures(folder: &Path) -> PathBuf {
    folder.join(PICTURES)
}

/// A picture of paper, a crop of one or what was read from one, by its digest.
///
/// # Errors
/// If the digest or the ending is no plain name.
pub fn picture(folder: &Path, digest: &str, ending: &str) -> Result<PathBuf, Failure> {
    let file = format!("{}.{ending}", digest.get(..40).unwrap_or(digest));
    Ok(name("picture", &file)?.below(&pictures(folder)))
}

/// The completed record of a number.
///
/// # Errors
/// If the number is no plain name.
pub fn completed(folder: &Path, number: &str) -> Result<PathBuf, Failure> {
    let plain = name("number", number)?;
    Ok(folder.join(format!("{plain}-completed.pdf")))
}

/// The traveler of a number in a folder of travelers; none if it is no plain name.
#[must_use]
pub fn traveler(travelers: &Path, number: &str) -> Option<PathBuf> {
    FileName::of(number).map(|n| n.below(travelers))
}

/// That the folder of a traveler has the name of another number: a copy put beside the
/// traveler, or in the place of another one. None where its name is that of `number`.
#[must_use]
pub fn misnamed(host: &dyn RecordHost, folder: &Path, number: &str) -> Option<String> {
    let named = host.absolute(folder);
    let real = host.real(&named);
    // A traveler's folder may stand elsewhere, behind a link that has its name.
    let own = |path: &Path| path.file_name().is_some_and(|name| name == number);
    (!own(&named) && !own(&real))
        .then(|| format!("the folder {} has the record of {number} in it, and not its name", real.display()))
}

fn name(what: &str, text: &str) -> Result<FileName, Failure> {
    FileName::of(text).ok_or_else(|| {
        refused(
            Diagnostic::error("L007", format!("the {what} \"{text}\" can't be the name of a file"))
                .expected("letters, digits and hyphens, at most 60")
                .help("nothing was read or written; the files of this traveler were tampered with: take a copy that is whole"),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_name_leads_out_of_the_folder() {
        let folder = Path::new("travelers/TW-1");
        for bad in ["..", "../x", "/etc/passwd", "a/b", "a\\b", "", "C:", "x\0"] {
            assert!(revision(folder, bad).is_err(), "{bad:?}");
            assert!(part(folder, bad).is_err(), "{bad:?}");
            assert!(photo(folder, bad).is_err(), "{bad:?}");
            assert!(completed(folder, bad).is_err(), "{bad:?}");
            assert!(traveler(folder, bad).is_none(), "{bad:?}");
        }
        for taken in ["log.jsonl", "Photos", "slips", "shop-book", "TW-1-completed.pdf"] {
            assert!(revision(folder, taken).is_err(), "{taken}");
        }
        assert_eq!(revision(folder, "B").unwrap(), folder.join("B"));
        assert_eq!(photo(folder, "F1-1-ab.jpg").unwrap(), folder.join("photos/F1-1-ab.jpg"));
    }
}
