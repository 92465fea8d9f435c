//! The record's use cases: freeze at issue, enter, revise, close, complete,
//! verify.

pub mod act;
pub mod close;
pub mod completed;
pub mod content;
pub mod desk;
pub mod files;
pub mod folder;
pub mod freeze;
pub mod journal;
pub mod judged;
pub mod key;
pub mod measure;
pub mod paper_review;
pub mod paper_seen;
pub mod pdf;
pub mod photo;
pub mod photograph;
pub mod pin;
pub mod recompute;
pub mod register;
pub mod revise;
pub mod seal;
pub mod shelf;
pub mod shop_key;
pub mod signature;
pub mod slip;
pub mod status;
pub mod stored;
pub mod timestamp;
pub mod verify;
pub mod whole;

pub use desk::Desk;
pub use files::RecordHost;

pub use crate::record::entry::Correction;
pub use crate::record::log::Appended;
pub use crate::record::rules::short;
pub use crate::record::state::fold;
pub use crate::traveler::wording::completed::words;

use super::failure::Failure;
use crate::diagnostic::{Diagnostic, Report};

/// A refusal of one problem.
#[must_use]
pub fn refused(problem: Diagnostic) -> Failure {
    let mut report = Report::new();
    report.push(problem);
    Failure::Refused(report, Vec::new())
}

/// A failure of the system at a path.
pub(super) fn system(path: &std::path::Path, error: impl std::fmt::Display) -> Failure {
    Failure::System(format!("{}: {error}", path.display()))
}
