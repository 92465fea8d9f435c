//! A job file, read and computed.

use std::path::{Path, PathBuf};

use super::failure::{Failure, SourceText};
use super::host::Host;
use super::shelf::Shelf;
use super::shop::ShopBook;
use super::source::{self, Wanted};
use crate::diagnostic::{Diagnostic, Report};
use crate::job::{self, JobFile};
use crate::procedure::figures::{self, Answered, JobFigures};
use crate::procedure::{listed, selection};

/// A job file that could be read, with its figures.
#[derive(Debug, Clone)]
pub struct Loaded {
    /// Where it stands.
    pub path: PathBuf,
    /// Its text as read, for showing problems in it.
    pub source: SourceText,
    /// What it says.
    pub job: JobFile,
    /// What follows from it.
    pub figures: JobFigures,
    /// Everything reported so far: warnings and blanks, no errors.
    pub report: Report,
}

impl Loaded {
    /// A job, settled and computed with the preferences and the procedures of a
    /// shop book.
    #[must_use]
    pub fn of(path: &Path, source: SourceText, job: JobFile, report: Report, shop: &ShopBook) -> Self {
        Self::again(path, source, job, report, shop, None)
    }

    /// As [`Loaded::of`], of a job that was computed before with other values: no family
    /// is asked again what it answered then.
    #[must_use]
    pub fn again(
        path: &Path,
        source: SourceText,
        mut job: JobFile,
        report: Report,
        shop: &ShopBook,
        before: Option<&Answered>,
    ) -> Self {
        shop.settle(&mut job, &source.text);
        let figures = figures::compute_again(&job, Some(&shop.book), shop.finest(), before);
        Self { path: path.to_owned(), source, job, figures, report }
    }
}

/// Reads a job file and computes its figures, with the preferences of the
/// shelf's book.
///
/// # Errors
/// If it can't be read, or it has errors; what the library has to say against a
/// faulty file (a procedure nobody knows, a component of the wrong kind) stands
/// in the same report.
pub fn load(host: &dyn Host, path: &Path, shelf: &Shelf) -> Result<Loaded, Failure> {
    let source = source::read(host, path, Wanted::Job)?;
    let (job, mut report) = job::load_judged(&source.name, &source.text, &|job| {
        let figures = figures::compute(job, Some(&shelf.shop.book));
        let obstacles = figures.obstacles.iter().map(|found| found.why.clone());
        obstacles.chain(figures.concerns.iter().map(|found| found.text.clone())).collect()
    });
    if let Some(job) = &job {
        far(job, host.today(), &mut report);
    }
    match job {
        Some(job) if !report.has_errors() => Ok(Loaded::of(path, source, job, report, &shelf.shop)),
        job => {
            if let Some(job) = job {
                let figures = figures::compute(&job, Some(&shelf.shop.book));
                report.extend(selection::select(&job, &shelf.library, &figures).1);
                listed::settle_names_first(&mut report);
                report.sort();
                report.reword(|text| job.job.units.say(text));
            }
            Err(Failure::Refused(report, vec![source]))
        }
    }
}

/// Days a traveler may be dated from today before somebody is asked: qualifications
/// and calibrations are counted on that day.
const FAR: i64 = 366;

/// As [`FAR`], back: a day a year ago is last year's, typed in January.
const PAST: i64 = 330;

/// Asks about a date that is likely a slip. What is invented is of no day.
fn far(job: &JobFile, today: chrono::NaiveDate, report: &mut Report) {
    if !job.job.invented {
        // A waiver or a change after the day of issue is told by that day.
        let done = job.found.iter().map(|f| &f.date);
        for date in done.filter(|d| !d.value.is_blank() && d.0 > today) {
            report.push(
                Diagnostic::stop("J116", format!("{} lies ahead, and today is {today}", date.value))
                    .at(Some(date.span.clone()))
                    .key(date.key.clone())
                    .expected("the day it was found")
                    .example(format!("date = {today}")),
            );
        }
    }
    let date = &job.job.date;
    let days = date.0.signed_duration_since(today).num_days();
    if job.job.invented || date.value.is_blank() || (-PAST..=FAR).contains(&days) {
        return;
    }
    report.push(
        Diagnostic::warning("J114", format!("the job is dated {}, and today is {today}", date.value))
            .at(Some(date.span.clone()))
            .key(date.key.clone())
            .expected("the day the traveler is issued: tests and calibrations are counted on it")
            .example(format!("date = {today}")),
    );
}
