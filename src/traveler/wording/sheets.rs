//! Found conditions and the change log.

use super::super::document::{Change, FoundEntry, FoundSheet};
use crate::job::JobFile;
use crate::job::model::Disposition;
use crate::plan::Words;

/// Blank forms; more are copies.
const BLANKS: u32 = 1;
/// What the numbers of conditions in the job begin with, found before the paper was issued:
/// `F` are those of the record.
const BEFORE_ISSUE: &str = "P";

pub(super) fn found(job: &JobFile) -> FoundSheet {
    FoundSheet {
        rule: vec![
            Words::default().strong("Stop when the part in front of you is not the part on paper: ").then(
                "a crack, an old repair, a wrong part, a reading outside its limits. Leave it, write it on a form of the work papers; no hold after it is signed until the lead has decided, with a reason.",
            ),
        ],
        entries: job
            .found
            .iter()
            .zip(1_u32..)
            .map(|(f, n)| FoundEntry {
                number: format!("{BEFORE_ISSUE}{n}"),
                place: f.date.value.to_string(),
                found: f.what.0.clone(),
                disposition: (f.disposition != Disposition::Open).then(|| f.disposition.word().to_owned()),
                action: None,
                decided: f.decided.as_ref().map(|t| t.0.clone()),
                photos: Vec::new(),
            })
            .collect(),
        blanks: BLANKS,
        dispositions: Disposition::WORDS.iter().skip(1).map(|w| (*w).to_owned()).collect(),
    }
}

/// What the change log says of a first issue.
pub(super) const FIRST: &str = "first issue";

pub(super) fn changes(job: &JobFile) -> Vec<Change> {
    if job.change.is_empty() {
        return vec![Change {
            revision: job.job.revision.to_string(),
            date: job.job.date.value.to_string(),
            what: FIRST.to_owned(),
            ..Change::default()
        }];
    }
    job.change
        .iter()
        .map(|c| Change {
            revision: c.revision.0.clone(),
            date: c.date.value.to_string(),
            what: c.told(),
            ..Change::default()
        })
        .collect()
}
