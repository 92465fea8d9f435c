//! The record's use cases: freeze at issue, enter, revise, close, complete,
//! verify.

pub mod act;
pub mod barred;
pub mod bars;
pub mod boxes;
pub mod close;
pub mod completed;
pub mod content;
pub mod copies;
pub mod desk;
pub mod evidence;
pub mod files;
pub mod folder;
pub mod follow_ups;
pub mod freeze;
pub mod given;
pub mod handed_over;
pub mod journal;
pub mod judged;
pub mod key;
mod key_name;
mod made;
pub mod measure;
pub mod next_hand;
mod paper_kept;
pub mod paper_review;
pub mod paper_seen;
pub mod paper_sheet;
pub mod pdf;
pub mod photo;
pub mod photograph;
pub mod pin;
pub mod pin_reset;
pub mod propose;
pub mod recompute;
pub mod register;
pub mod revise;
mod same_job;
pub mod seal;
pub mod session;
mod set_photo;
pub mod sheet;
pub mod sheets;
pub mod shelf;
pub mod shop_key;
mod shop_rows;
pub mod signature;
pub mod slip;
pub mod stamps;
pub mod stands;
pub mod status;
pub mod stored;
pub mod timestamp;
mod tools_due;
pub mod tries;
mod trouble;
pub mod typed;
pub mod verify;
mod waivers;
pub mod weigh;
pub mod when;
pub mod whole;
mod wrong_file;

pub use desk::Desk;
pub use files::RecordHost;

use super::failure::Failure;
use crate::diagnostic::{Diagnostic, Report};
use crate::record::entry::{Correction, Entry};

/// Names the entry that is replaced, if one is, by its place, and why.
#[must_use]
pub fn corrects(entry: Option<u64>, reason: Option<&str>) -> Option<Correction> {
    entry.map(|entry| correction(entry, reason.unwrap_or_default()))
}

/// Names the entry that is replaced, by its place, and why.
#[must_use]
pub fn correction(entry: u64, reason: &str) -> Correction {
    Correction { entry, reason: reason.to_owned() }
}

/// The name of the box an entry fills, if it fills one.
#[must_use]
pub fn box_of(entry: &Entry) -> Option<crate::form::BoxName> {
    crate::record::boxes::of(entry)
}

/// What it says in a line, without who and when.
#[must_use]
pub fn words(entry: &Entry) -> String {
    crate::traveler::wording::completed::words(entry)
}

/// The first few of a list, and how many more there are.
#[must_use]
pub fn short(list: &[String]) -> String {
    crate::record::rules::short(list)
}

/// How much of a record stands by a decision or on somebody's word alone: `3 matters let be`.
#[must_use]
pub fn headed(number: usize) -> String {
    crate::record::let_be::headed(number)
}

/// A refusal of one problem.
#[must_use]
pub fn refused(problem: Diagnostic) -> Failure {
    let mut report = Report::new();
    report.push(problem);
    Failure::Refused(report, Vec::new())
}

/// A failure of the system at a path.
pub(super) fn system(path: &std::path::Path, error: impl std::fmt::Display) -> Failure {
    Failure::System(trouble::words(path, &error.to_string()))
}
