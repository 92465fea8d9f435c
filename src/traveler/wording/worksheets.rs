//! Worksheets: how each safety-relevant figure came about.

use super::super::document::{Fact, WorkedFigure, Worksheet};
use super::Subject;
use crate::figure::fastening::charts::RETORQUE;
use crate::figure::welding::interpass_wait::INTERPASS_WAIT;
use crate::figure::welding::tacks::TACKS;
use crate::figure::welding::weld_metal::WELD_METAL;
use crate::figure::{Family, Figure, Used, registry};
use crate::job::model::Units;
use crate::procedure::figures::Owner;
use crate::quantity::Toward;

/// Families whose working nobody checks at the bench: what to buy, how long to
/// wait, how far apart to tack, a rule by kind of joint. Their values stand on
/// the cards, their working in the attached figures file.
static LEFT_OUT: [&Family; 4] = [&WELD_METAL, &INTERPASS_WAIT, &TACKS, &RETORQUE];

/// One sheet per owner and family, in the order the figures were computed.
/// Owners whose working is the same in every number share a sheet.
pub(super) fn all(planned: &Subject<'_>) -> Vec<Worksheet> {
    let mut sheets: Vec<(Owner, &'static str, Worksheet)> = Vec::new();
    for row in &planned.figures.rows {
        // A value the job states itself has no working to show; steps on the
        // way that nobody works to stand in the attached figures file.
        if row.figure.family == "job"
            || row.name.is_empty()
            || LEFT_OUT.iter().any(|f| f.name == row.figure.family)
        {
            continue;
        }
        let place = sheets.iter().position(|(o, f, _)| *o == row.owner && *f == row.figure.family);
        let index = place.unwrap_or_else(|| {
            sheets.push((row.owner.clone(), row.figure.family, Worksheet::default()));
            sheets.len() - 1
        });
        let first = sheets[index].2.figures.is_empty();
        sheets[index].2.figures.push(worked(planned, &row.figure, first));
    }
    let mut shared: Vec<(Vec<String>, &'static str, Worksheet)> = Vec::new();
    for (owner, family, sheet) in sheets {
        match shared.iter_mut().find(|(_, f, s)| *f == family && s.figures == sheet.figures) {
            Some((owners, ..)) => owners.push(owner.words()),
            None => shared.push((vec![owner.words()], family, sheet)),
        }
    }
    shared
        .into_iter()
        .map(|(owners, family, sheet)| {
            let title = registry::find(family).map_or(family, |f| f.title);
            Worksheet { title: format!("{}: {title}", owners.join(", ")), ..sheet }
        })
        .collect()
}

/// An input in words, the job's units first.
fn input(planned: &Subject<'_>, used: &Used) -> String {
    match planned.job.job.units {
        Units::Inch => used.show(),
        Units::Metric => used.show_metric(),
    }
}

/// Inputs and warnings are the same for a whole family run: they stand once,
/// on its first figure.
fn worked(planned: &Subject<'_>, figure: &Figure, first: bool) -> WorkedFigure {
    WorkedFigure {
        id: format!("{}.{}", figure.family, figure.id),
        title: figure.title.to_owned(),
        value: Some(planned.shown(figure)),
        uncertainty: figure.show_spread(figure.style.map(|style| planned.job.job.units.first(style))),
        formula: figure.formula.clone(),
        inputs: if first {
            figure.inputs.iter().map(|u| Fact::new(u.name.replace('_', " "), input(planned, u))).collect()
        } else {
            Vec::new()
        },
        source: figure.source.to_string(),
        rounding: match figure.style.map(|s| s.toward) {
            Some(Toward::Up) => Some("rounded up".to_owned()),
            Some(Toward::Down) => Some("rounded down".to_owned()),
            _ => None,
        },
        warnings: if first { figure.warnings.clone() } else { Vec::new() },
    }
}
