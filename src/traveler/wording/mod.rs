//! Fills the document model from a planned job: words and rounds everything.
//!
//! In: the job, its figures, the selected operations in their proved order. Out:
//! a [`Document`] in which every text is final. Templates of operations are
//! rendered here, so a template that asks for something unknown is a located
//! problem and not a broken page.

pub mod completed;
mod geometry;
mod head;
mod joints;
mod lookup;
mod operations;
mod pick;
mod readings;
mod sheets;
mod signers;
mod text;
mod torques;
mod worksheets;

pub use joints::symbol;

use crate::diagnostic::Report;
use crate::figure::Figure;
use crate::job::JobFile;
use crate::procedure::figures::{JobFigures, Owner};
use crate::procedure::selection::{Selected, Selection};
use crate::quantity::{Quantity, Style};
use crate::shop::Book;
use crate::shop::fit::Table;

use super::document::{Document, Logo, Meta, Paper, Running};
use super::lanes::{Stop, lanes};

/// The shop book of a plan, and the job compared with it.
#[derive(Debug, Clone, Copy)]
pub struct Bench<'a> {
    /// The book.
    pub book: &'a Book,
    /// Joints against people, procedures and machines; readings against tools.
    pub table: &'a Table,
    /// The shop's logo.
    pub logo: Option<&'a Logo>,
}

/// A job with everything decided, ready to be worded.
#[derive(Debug, Clone, Copy)]
pub struct Planned<'a> {
    /// The job.
    pub job: &'a JobFile,
    /// Its figures.
    pub figures: &'a JobFigures,
    /// Its operations.
    pub selection: &'a Selection<'a>,
    /// Order: places in the selection.
    pub order: &'a [usize],
    /// Digest of the plan, hexadecimal.
    pub digest: &'a str,
    /// Scope sentences of the procedures, templates with their first component.
    pub scopes: &'a [(String, usize)],
    /// Names of procedures, as worded for the head page.
    pub procedures: &'a [String],
    /// The shop book, if there is one.
    pub shop: Option<Bench<'a>>,
}

/// An operation in its place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Placed<'a> {
    pub(super) number: u32,
    pub(super) selected: &'a Selected<'a>,
}

impl<'a> Planned<'a> {
    /// A figure in words, the job's units first; `None` if it is not known.
    pub(super) fn text(&self, owner: &Owner, name: &str) -> Option<String> {
        Some(self.shown(self.figures.get(owner, name)?))
    }

    /// A figure's value in words, the job's units first.
    pub(super) fn shown(&self, figure: &Figure) -> String {
        figure.value.show_with(figure.style.map(|style| self.job.job.units.first(style)))
    }

    /// A quantity in words, the job's units first.
    pub(super) fn quantity(&self, quantity: Quantity) -> String {
        self.job.job.units.first(Style::of(quantity.kind())).both(quantity)
    }

    /// Operations in order with their numbers.
    pub(super) fn placed(&self) -> Vec<Placed<'a>> {
        self.order
            .iter()
            .zip(1_u32..)
            .filter_map(|(index, n)| {
                let selected = self.selection.operations.get(*index)?;
                Some(Placed { number: n * 10, selected })
            })
            .collect()
    }
}

/// Words a planned job. Problems of operation texts are reported; the document
/// is complete all the same, with the raw text in place.
#[must_use]
pub fn document(planned: &Planned<'_>) -> (Document, Report) {
    let mut report = Report::new();
    let job = planned.job;
    let placed = planned.placed();
    let (operations, after_hand_over) = operations::all(planned, &placed, &mut report);
    let stops: Vec<Stop> = operations::stops(&placed, &operations);
    let title =
        format!("Job traveler {} rev {}: {}", job.job.number.value, job.job.revision, &*job.unit.name);
    let document = Document {
        meta: Meta {
            kind: "Job traveler".to_owned(),
            title,
            author: job.shop.as_ref().map_or_else(|| "the shop".to_owned(), |s| s.name.0.clone()),
            language: "en".to_owned(),
            keywords: Vec::new(),
            ident: format!("{} {} {}", job.job.number.value, job.job.revision, planned.digest),
            issued: job.job.date.value.0.and_time(chrono::NaiveTime::MIN).and_utc(),
            paper: match job.job.paper {
                crate::job::model::Paper::Letter => Paper::Letter,
                crate::job::model::Paper::A4 => Paper::A4,
            },
        },
        running: Running {
            number: job.job.number.value.to_string(),
            revision: job.job.revision.to_string(),
            unit: job.unit.name.to_string(),
            work: job.job.title.to_string(),
            validity: "Printed copy is valid with its revision only. Local law, the manufacturer's data and licensed practice come before this sheet."
                .to_owned(),
            digest: planned.digest.chars().take(9).collect(),
            stamp: job.job.invented.then(|| "DEMONSTRATION".to_owned()),
        },
        logo: planned.shop.and_then(|s| s.logo).cloned(),
        head: head::head(planned, &placed, &operations, &after_hand_over, &mut report),
        route: (!stops.is_empty()).then(|| lanes(&stops)),
        geometry: geometry::geometry(planned),
        welds: joints::cards(planned, &placed),
        torques: torques::rows(planned),
        pick_list: pick::groups(planned, &placed, &mut report),
        found: Some(sheets::found(job)),
        changes: sheets::changes(job),
        worksheets: worksheets::all(planned),
        record: None,
        signatures: Vec::new(),
        operations,
        after_hand_over,
    };
    report.sort();
    (document, report)
}
