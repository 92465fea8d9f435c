//! What jobs are planned with: the library of procedures and the shop book.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::failure::{Failure, SourceText};
use super::host::Host;
use super::shop::book::book_of;
use super::shop::{self, ShopBook, Which};
use crate::procedure::{Library, embedded};

/// The library, and the files it was read from.
#[derive(Debug, Clone)]
pub struct Shelf {
    /// Procedures and operations.
    pub library: Library,
    /// Files, for showing problems.
    pub sources: Vec<SourceText>,
    /// The one that speaks for the job: a file's, the demonstration's or an empty one.
    pub shop: ShopBook,
}

impl Shelf {
    /// The files of procedures, without the shop book.
    pub fn procedures(&self) -> impl Iterator<Item = &SourceText> {
        self.sources.iter().filter(|s| **s != self.shop.source)
    }
}

/// Loads the procedures that ship with the program, and those of `folder`
/// over them, with the demonstration shop book.
///
/// # Errors
/// If the folder can't be read or a procedure is faulty.
pub fn shelf(host: &dyn Host, folder: Option<&Path>) -> Result<Shelf, Failure> {
    shelf_of(host, folder, shop::book(host, None)?)
}

/// As [`shelf`], with a given shop book: its folder of procedures goes over
/// those that ship, `folder` over both; its point levels are set.
///
/// # Errors
/// If a folder can't be read, or a procedure or a level is faulty.
pub fn shelf_of(host: &dyn Host, folder: Option<&Path>, shop: ShopBook) -> Result<Shelf, Failure> {
    let mut sources: Vec<SourceText> = embedded::FILES
        .iter()
        .map(|(name, text)| SourceText { name: (*name).to_owned(), text: (*text).to_owned() })
        .collect();
    for folder in shop.procedures().into_iter().chain(folder.map(Path::to_owned)) {
        let files = host.files(&folder, "toml").map_err(|e| Failure::at(&folder, &e))?;
        for path in files {
            let text = host.read(&path).map_err(|e| Failure::at(&path, &e))?;
            sources.push(SourceText { name: own_name(&path), text });
        }
    }
    let files = sources.iter().map(|s| (s.name.as_str(), s.text.as_str()));
    // What ships is checked by the tests and in every build for them; somebody's own
    // files over it are checked with it each time.
    let shipped = sources.len() == embedded::FILES.len() && !cfg!(debug_assertions);
    let (mut library, mut report) = if shipped { Library::read(files) } else { Library::load(files) };
    report.extend(shop.set_levels(&mut library));
    report.extend(shop.report.clone());
    sources.push(shop.source.clone());
    if report.has_errors() {
        return Err(Failure::Refused(report, sources));
    }
    Ok(Shelf { library, sources, shop })
}

/// What a file of the shop's own is called: never as one that ships.
fn own_name(path: &Path) -> String {
    let name = path.display().to_string();
    if name.starts_with(embedded::FOLDER) { format!("./{name}") } else { name }
}

/// The shelves of several jobs: one per shop book.
#[derive(Debug, Clone)]
pub struct Shelves {
    by_book: BTreeMap<Which, Result<Shelf, Failure>>,
    of_job: BTreeMap<PathBuf, Which>,
}

impl Shelves {
    /// Loads what the jobs need: `folder` goes over the procedures of the book,
    /// `named` is the book to use whatever lies next to the jobs.
    #[must_use]
    pub fn gather(host: &dyn Host, folder: Option<&Path>, named: Option<&Path>, jobs: &[PathBuf]) -> Self {
        let mut shelves = Self { by_book: BTreeMap::new(), of_job: BTreeMap::new() };
        for job in jobs {
            let which = Which::of(host, named, job);
            shelves
                .by_book
                .entry(which.clone())
                .or_insert_with(|| book_of(host, &which).and_then(|b| shelf_of(host, folder, b)));
            shelves.of_job.insert(job.clone(), which);
        }
        shelves
    }

    /// The shelf of a job.
    ///
    /// # Errors
    /// If its book or a procedure is faulty.
    pub fn of(&self, job: &Path) -> Result<&Shelf, Failure> {
        match self.of_job.get(job).and_then(|which| self.by_book.get(which)) {
            Some(Ok(shelf)) => Ok(shelf),
            Some(Err(failure)) => Err(failure.clone()),
            None => Err(Failure::System(format!("{}: not among the jobs given", job.display()))),
        }
    }
}
