//! Readings of a plan: value and tolerance wanted, by instrument.

use crate::file::{Located, Text};
use crate::job::JobFile;
use crate::job::model::Component;
use crate::procedure::figures::{JobFigures, Owner, Side};
use crate::procedure::file::{Each, ReadingRow, share};
use crate::procedure::selection::{Selection, What};
use crate::procedure::text;
use crate::quantity::{Quantity, parse};
use crate::shop::model::Measures;

/// One reading somebody has to take.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Wanted {
    /// Instrument as the procedure names it, lower case.
    pub(super) instrument: String,
    /// What is measured.
    pub(super) measures: Measures,
    /// Values met: target or limits, as far as known.
    pub(super) values: Vec<Quantity>,
    /// Tolerance each way, in SI units; none for a value only recorded or
    /// limited on one side.
    pub(super) tolerance: Option<f64>,
    /// What it is, for messages.
    pub(super) label: String,
}

/// Every reading with an instrument, each repetition on its own.
pub(super) fn wanted(job: &JobFile, selection: &Selection<'_>, figures: &JobFigures) -> Vec<Wanted> {
    let mut found = Vec::new();
    for selected in &selection.operations {
        let What::Library(library) = selected.what else { continue };
        for step in &library.row.step {
            for row in step.written() {
                let (Some(instrument), Some(measures)) = (&row.instrument, Measures::of(row.kind.word()))
                else {
                    continue;
                };
                for component in &selected.components {
                    let owner = Owner::Component(component.id().to_owned());
                    for owners in repeats(job, *component, row.each.or(step.each), &owner, &library.row) {
                        let (values, tolerance) = limits(figures, &owners, row, measures);
                        found.push(Wanted {
                            instrument: instrument.value.to_lowercase(),
                            measures,
                            values,
                            tolerance,
                            label: format!("{} ({})", label(job, figures, *component, row), selected.key),
                        });
                    }
                }
            }
        }
    }
    found
}

/// The label as it is printed. A label that can't be written is told where the
/// paper is made; here its template stands for it.
fn label(job: &JobFile, figures: &JobFigures, component: Component<'_>, row: &ReadingRow) -> String {
    if !row.label.value.contains('{') {
        return row.label.value.to_string();
    }
    let context = figures.context(job, component);
    let written = text::environment_in(job.job.units).render_str(&row.label.value, context);
    let marked = written.unwrap_or_else(|_| row.label.value.to_string());
    marked.chars().filter(|c| *c != text::STRONG && *c != text::PLAIN).collect()
}

fn repeats(
    job: &JobFile,
    component: Component<'_>,
    each: Option<Each>,
    owner: &Owner,
    row: &crate::procedure::file::OperationRow,
) -> Vec<Vec<Owner>> {
    match each {
        None => vec![vec![owner.clone()]],
        Some(Each::Side) => Side::BOTH
            .iter()
            .map(|side| vec![Owner::Side(component.id().to_owned(), *side), owner.clone()])
            .collect(),
        Some(Each::Joint) => {
            let usage = row.joints.as_ref().map_or("", |j| &j.value.0);
            job.joints(component.id(), usage)
                .map(|j| vec![Owner::Joint(j.id.value.0.clone()), owner.clone()])
                .collect()
        }
        Some(Each::Fastener) => {
            let usage = row.fasteners.as_ref().map_or("", |f| &f.value.0);
            job.fasteners(component.id(), usage)
                .map(|f| vec![Owner::Fastener(f.id.value.0.clone()), owner.clone()])
                .collect()
        }
    }
}

/// Values and tolerance of a reading, from job figures or from the row.
fn limits(
    figures: &JobFigures,
    owners: &[Owner],
    row: &ReadingRow,
    measures: Measures,
) -> (Vec<Quantity>, Option<f64>) {
    let get = |text: &Option<Located<Text>>, kind| {
        let text = text.as_ref()?;
        for owner in owners {
            if JobFigures::knows(owner.scope(), &text.value) {
                return figures.get(owner, &text.value).and_then(|f| f.value.quantity());
            }
        }
        parse::quantity(kind, &text.value).ok()
    };
    let kind = measures.kind();
    let (target, least, most) = (get(&row.target, kind), get(&row.least, kind), get(&row.most, kind));
    let spread = |text: &Option<Located<Text>>| {
        if let Some(share) = text.as_ref().and_then(|t| share(&t.value)) {
            return target.map(|t: Quantity| (t.si() * share).abs());
        }
        get(text, kind).or_else(|| get(text, measures.difference())).map(|q: Quantity| q.si().abs())
    };
    let (plus, minus) = (spread(&row.plus), spread(&row.minus));
    let tolerance = match (plus, minus, least, most) {
        (Some(plus), Some(minus), ..) => Some((plus + minus) / 2.0),
        (Some(one), None, ..) | (None, Some(one), ..) => Some(one / 2.0),
        (None, None, Some(low), Some(high)) => Some((high.si() - low.si()) / 2.0),
        _ => None,
    };
    let values = [target, least, most].into_iter().flatten().filter(|q| q.kind() == kind).collect();
    (values, tolerance.filter(|t| *t > 0.0))
}
