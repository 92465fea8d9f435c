//! Lays a resolved plan out as a document: words, rounds, arranges.
//!
//! In: the plan, its job and its figures. Out: a [`Document`] in which every text
//! is final. What is done, read and signed stands in the plan; nothing of it is
//! worked out here.

pub mod completed;
mod geometry;
mod head;
mod joints;
mod lookup;
mod once;
mod operations;
mod pick;
mod sheets;
mod signers;
mod sketches;
mod symbols;
mod torques;
mod weld_map;
mod worksheets;

use crate::figure::Figure;
use crate::file::Text;
use crate::job::JobFile;
use crate::plan::{self, Plan};
use crate::procedure::figures::{JobFigures, Owner};
use crate::quantity::{Dimensioned, Quantity, Style};
use crate::shop::Band;

use super::document::{Document, Geometry, Logo, Meta, Running};
use super::lanes::{Stop, lanes};

/// What a document is laid out from.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// Resolved already: what is done, in which order, and with what.
    pub plan: &'a Plan,
    /// The job it is for.
    pub job: &'a JobFile,
    /// Computed for this job; drawings and tables take theirs from here.
    pub figures: &'a JobFigures,
    /// Digest of the plan, hexadecimal.
    pub digest: &'a str,
    /// The shop's logo.
    pub logo: Option<&'a Logo>,
}

impl Subject<'_> {
    /// A figure in words, the job's units first; `None` if it is not known.
    pub(super) fn text(&self, owner: &Owner, name: &str) -> Option<String> {
        Some(self.shown(self.figures.named(owner, name)?))
    }

    /// A figure in words, in the job's own unit alone; `None` if it is not known.
    pub(super) fn plain(&self, owner: &Owner, name: &str) -> Option<String> {
        let figure = self.figures.named(owner, name)?;
        let quantity = figure.value.quantity()?;
        let style = figure.style.unwrap_or_else(|| Style::of(quantity.kind()));
        Some(self.job.job.units.first(style).shop(quantity))
    }

    /// A range in words, in the job's units alone, the unit once.
    pub(super) fn band<T: Dimensioned>(&self, band: Band<T>) -> String
    where
        Quantity: From<T>,
    {
        let style = self.job.job.units.first(Style::of(T::KIND));
        let one = |value: T| style.shop(value.into());
        match (band.low.map(one), band.high.map(one)) {
            (Some(low), Some(high)) => between(&low, &high),
            (Some(low), None) => format!("at least {low}"),
            (None, Some(high)) => format!("at most {high}"),
            (None, None) => "any".to_owned(),
        }
    }

    /// Values of the job's own in place of a table's, and where they stand; `None` if there
    /// are none.
    pub(super) fn own<const N: usize>(
        &self,
        values: [(&str, Option<Quantity>); N],
        from: Option<&Text>,
    ) -> Option<String> {
        let style = |q: Quantity| self.job.job.units.first(Style::of(q.kind()).fine_enough(q)).shop(q);
        let known = values.into_iter().filter_map(|(name, value)| Some(format!("{name} {}", style(value?))));
        let known = known.collect::<Vec<_>>().join(", ");
        let from = from.map_or("source not named", |from| &**from);
        (!known.is_empty()).then(|| format!("Own value: {known}; from {from}"))
    }

    /// A figure's value in words, the job's units first.
    pub(super) fn shown(&self, figure: &Figure) -> String {
        plan::shown(self.job.job.units, figure)
    }

    /// A quantity in words, the job's units first.
    pub(super) fn quantity(&self, quantity: Quantity) -> String {
        plan::quantity(self.job.job.units, quantity)
    }
}

/// The document of a plan.
#[must_use]
pub fn document(planned: &Subject<'_>) -> Document {
    let job = planned.job;
    let (operations, after_hand_over) = operations::all(planned);
    let stops: Vec<Stop> = operations::stops(planned.plan);
    let mut document = Document {
        meta: meta(planned),
        running: running(planned),
        logo: planned.logo.cloned(),
        head: head::head(planned),
        route: (!stops.is_empty()).then(|| lanes(&stops)),
        geometry: geometry(planned),
        welds: joints::cards(planned),
        weld_map: weld_map::of(planned),
        sketches: Vec::new(),
        torques: torques::rows(planned),
        pick_list: pick::groups(planned),
        found: Some(sheets::found(job)),
        photos: Vec::new(),
        changes: sheets::changes(job),
        once: once::rows(planned),
        worksheets: worksheets::all(planned),
        customer: None,
        record: None,
        bars: Vec::new(),
        signatures: Vec::new(),
        stations: Vec::new(),
        later_stations: Vec::new(),
        operations,
        after_hand_over,
    };
    document.lay_out();
    document
}

/// Facts about the file.
#[must_use]
pub fn meta(planned: &Subject<'_>) -> Meta {
    let (job, plan) = (planned.job, planned.plan);
    Meta {
        kind: "Job traveler".to_owned(),
        title: format!("Job traveler {} rev {}: {}", plan.number, plan.revision, plan.unit),
        author: job.shop.as_ref().map_or_else(|| "the shop".to_owned(), |s| s.name.value.0.clone()),
        language: "en".to_owned(),
        keywords: Vec::new(),
        ident: format!("{} {} {}", plan.number, plan.revision, planned.digest),
        issued: job.job.date.0.and_time(chrono::NaiveTime::MIN).and_utc(),
        paper: job.job.paper,
    }
}

/// Head and foot of every page.
#[must_use]
pub fn running(planned: &Subject<'_>) -> Running {
    Running {
        number: planned.plan.number.clone(),
        revision: planned.plan.revision.clone(),
        unit: planned.plan.unit.clone(),
        work: planned.plan.title.clone(),
        validity: "Printed copy is valid with its revision only. Local law, the manufacturer's data and licensed practice come before this sheet."
            .to_owned(),
        digest: planned.digest.chars().take(9).collect(),
        stamp: planned.job.job.invented.then(|| "DEMONSTRATION".to_owned()),
    }
}

/// The geometry page; none for work that changes none.
#[must_use]
pub fn geometry(planned: &Subject<'_>) -> Option<Geometry> {
    geometry::geometry(planned)
}

/// A range of two shown values, their unit once where it is the same.
fn between(low: &str, high: &str) -> String {
    format!("{} to {high}", bare(low, high))
}

/// A value without its unit, if what is said after it ends with the same.
fn bare<'a>(value: &'a str, after: &str) -> &'a str {
    let own = value.split_once(' ').filter(|(_, unit)| after.ends_with(&format!(" {unit}")));
    own.map_or(value, |(number, _)| number)
}
