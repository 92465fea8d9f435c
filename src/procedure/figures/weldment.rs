//! Sizes and limits of a weldment: what its drawing asks for.

use super::{JobFigures, Owner, unit};
use crate::job::model::Weldment;
use crate::procedure::catalogue::component;
use crate::source::Source;

pub(super) fn compute(weldment: &Weldment, sheet: &mut JobFigures) {
    let owner = Owner::Component(weldment.id.0.clone());
    sheet.enter(&owner, component::length_wanted, weldment.length.as_ref());
    sheet.enter(&owner, component::width_wanted, weldment.width.as_ref());
    sheet.enter(&owner, component::height_wanted, weldment.height.as_ref());
    let entered = Source::entered("job file");
    if let Some(tolerance) = &weldment.tolerance {
        sheet.derive_down(
            &owner,
            component::size_tolerance,
            tolerance,
            "as entered in the job file",
            entered,
        );
    }
    match &weldment.squareness {
        Some(limit) => {
            sheet.derive_down(
                &owner,
                component::squareness_limit,
                limit,
                "as entered in the job file",
                entered,
            );
        }
        None => unit::squareness(&owner, sheet),
    }
    if let Some(drawing) = &weldment.drawing {
        sheet.derive(&owner, component::drawing, drawing.0.clone(), "as stated", entered);
    }
    if !weldment.piece.is_empty() {
        let pieces: Vec<&str> = weldment.piece.iter().map(|p| &*p.0).collect();
        sheet.derive(&owner, component::pieces, pieces.join("; "), "as stated", entered);
    }
}
