//! Safety rules that were set aside after the paper was issued: the day a job states for it
//! is only words.

use std::path::Path;

use super::files::RecordHost;
use super::stored;
use crate::job::model::JobFile;
use crate::record::Entry;
use crate::record::entry::Issue;
use crate::term::counted;
use crate::traveler::document::{Document, Waiver};

/// The job of a revision, if it can be read.
fn job(bytes: &[u8]) -> Option<JobFile> {
    crate::job::load("job.toml", std::str::from_utf8(bytes).ok()?).0
}

/// Whether two jobs set aside the same rule for the same work.
fn has(job: &JobFile, one: &crate::job::model::Waiver) -> bool {
    let operation = |w: &crate::job::model::Waiver| w.operation.as_ref().map(|o| o.value.to_string());
    job.waiver.iter().any(|w| *w.rule.value == *one.rule.value && operation(w) == operation(one))
}

/// A safety rule and where it is set aside.
fn rule(one: &crate::job::model::Waiver) -> String {
    let at = one.operation.as_ref().map(|o| format!(" at {}", o.value)).unwrap_or_default();
    format!("the safety rule {}{at}", one.rule.value)
}

/// The safety rules a frozen job sets aside, and by whom, in words. Of a job that can't be
/// read it is said that nobody knows.
pub(super) fn set_aside(frozen: Option<&[u8]>) -> Vec<String> {
    match frozen.and_then(job) {
        Some(job) => job.waiver.iter().map(|w| format!("{} is set aside by {}", rule(w), w.by.0)).collect(),
        None => vec!["whether the job sets a safety rule aside can't be read".to_owned()],
    }
}

/// As [`set_aside`], of the job of a revision in a traveler's folder.
pub(super) fn of_issue(host: &dyn RecordHost, traveler: &Path, issue: &Issue) -> Vec<String> {
    set_aside(stored::file(host, traveler, issue, "job.toml").ok().as_deref())
}

/// What a revision sets aside that the job before it did not, and what it no longer does, in
/// words. `before` is the job as it was frozen.
pub(super) fn news(before: &[u8], now: &JobFile) -> Vec<String> {
    let Some(before) = job(before) else { return Vec::new() };
    let fresh = now.waiver.iter().filter(|w| !has(&before, w));
    let fresh = fresh.map(|w| format!("set aside: {}, by {}: {}", rule(w), w.by.0, w.reason.0));
    let gone = before.waiver.iter().filter(|w| !has(now, w));
    fresh.chain(gone.map(|w| format!("no longer set aside: {}", rule(w)))).collect()
}

/// Says of every waiver that the first paper did not have since which revision it stands
/// there, and how many entries were made before. `last` is the job of the revision in force,
/// `earlier` gives that of an earlier one by its letter.
pub(super) fn date<'a>(
    document: &mut Document,
    last: &[u8],
    earlier: impl Fn(&str) -> Option<&'a [u8]>,
    entries: &[Entry],
) {
    let Some(last) = job(last) else { return };
    for (own, shown) in last.waiver.iter().zip(&mut document.head.waivers) {
        // The first revision that did not have it; the one after those brought it in.
        let lacked =
            |issue: &Issue| earlier(&issue.revision).and_then(job).is_some_and(|job| !has(&job, own));
        let issues = entries.iter().filter_map(|e| Some((e, e.issue()?)));
        let mut since = issues.skip_while(|(_, i)| !lacked(i)).skip_while(|(_, i)| lacked(i));
        if let Some((entry, issue)) = since.next() {
            let day: String = entry.at.chars().take(10).collect();
            shown.date.push_str(&format!(
                "{}{} of {day}, after {}",
                Waiver::LATE,
                issue.revision,
                counted(entry.n.saturating_sub(1), "entry", "entries")
            ));
        }
    }
}
