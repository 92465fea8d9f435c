//! Worksheets: how each safety-relevant figure came about.

use super::super::document::{Fact, WorkedFigure, Worksheet};
use super::Planned;
use crate::figure::{Figure, registry};
use crate::procedure::figures::Owner;
use crate::quantity::Toward;

/// One sheet per owner and family, in the order the figures were computed.
pub(super) fn all(planned: &Planned<'_>) -> Vec<Worksheet> {
    let mut sheets: Vec<(Owner, &'static str, Worksheet)> = Vec::new();
    for row in &planned.figures.rows {
        // A value the job states itself has no working to show; steps on the
        // way that nobody works to stand in the attached figures file.
        if row.figure.family == "job" || row.name.is_empty() {
            continue;
        }
        let place = sheets.iter().position(|(o, f, _)| *o == row.owner && *f == row.figure.family);
        let index = place.unwrap_or_else(|| {
            let title = registry::find(row.figure.family).map_or(row.figure.family, |f| f.title);
            let sheet = Worksheet { title: format!("{}: {title}", row.owner.words()), figures: Vec::new() };
            sheets.push((row.owner.clone(), row.figure.family, sheet));
            sheets.len() - 1
        });
        let first = sheets[index].2.figures.is_empty();
        sheets[index].2.figures.push(worked(planned, &row.figure, first));
    }
    sheets.into_iter().map(|(_, _, sheet)| sheet).collect()
}

/// Inputs and warnings are the same for a whole family run: they stand once,
/// on its first figure.
fn worked(planned: &Planned<'_>, figure: &Figure, first: bool) -> WorkedFigure {
    WorkedFigure {
        id: format!("{}.{}", figure.family, figure.id),
        title: figure.title.to_owned(),
        value: Some(planned.shown(figure)),
        uncertainty: figure.show_uncertainty().map(|u| format!("± {u} (k = 2)")),
        formula: figure.formula.clone(),
        inputs: if first {
            figure.inputs.iter().map(|u| Fact::new(u.name.replace('_', " "), u.show())).collect()
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
