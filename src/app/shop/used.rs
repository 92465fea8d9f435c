//! Which rows of the shop book a plan rests on: what is printed, proposed or
//! decides a point.

use std::collections::BTreeSet;

use super::ShopBook;
use crate::app::plan::Loaded;
use crate::diagnostic::Diagnostic;
use crate::procedure::selection::{Selection, What};
use crate::reference::metal::squeezed;
use crate::shop::fit::Table;
use crate::shop::keep::{Used, keep};

/// The text of the book with the rows the plan used; a book that was kept with
/// a traveler before stays as it is.
///
/// # Errors
/// If the book can't be written again.
pub fn kept(
    loaded: &Loaded,
    selection: &Selection<'_>,
    table: &Table,
    shop: &ShopBook,
) -> Result<String, Diagnostic> {
    if shop.kept {
        return Ok(shop.source.text.clone());
    }
    keep(&shop.source.name, &shop.source.text, &used(loaded, selection, table, shop))
}

fn used(loaded: &Loaded, selection: &Selection<'_>, table: &Table, shop: &ShopBook) -> Used {
    let job = &loaded.job;
    let book = &shop.book;
    let mut used = Used::default();
    // Printed on the paper: the job's people, or those whose role it needs.
    let roles = roles(selection);
    let signs = |p: &&crate::shop::model::Person| {
        if job.person.is_empty() {
            let here = p.until.as_ref().is_none_or(|u| u.value.0 >= job.job.date.value.0);
            here && p.role.iter().any(|r| roles.contains(r.word()))
        } else {
            job.person.iter().any(|own| own.id.value == p.id.value)
        }
    };
    used.people.extend(book.person.iter().filter(signs).map(|p| p.id.value.to_string()));
    for joint in &table.joints {
        used.people.extend(joint.able().map(|w| w.id.clone()));
        used.machines.extend(joint.usable().map(|m| m.id.clone()));
    }
    used.wps.extend(job.joint.iter().filter_map(|j| j.wps.as_ref()).map(|w| w.value.to_string()));
    used.tools.extend(table.tools.iter().flat_map(|t| t.tools.iter().cloned()));
    let materials: BTreeSet<String> = job
        .joint
        .iter()
        .filter(|j| j.traceable)
        .flat_map(|j| [&j.filler, &j.steel, &j.other_steel])
        .flatten()
        .map(|m| squeezed(&m.value))
        .collect();
    let lots = book.lot.iter().filter(|l| materials.contains(&squeezed(&l.designation.value)));
    used.lots.extend(lots.map(|l| l.id.value.to_string()));
    used
}

/// Roles that work or sign.
fn roles(selection: &Selection<'_>) -> BTreeSet<&'static str> {
    let lead = crate::job::model::Role::Lead.word();
    let mut roles = BTreeSet::from([lead]);
    for selected in &selection.operations {
        match selected.what {
            What::Library(library) => {
                roles.insert(library.row.role.word());
                roles.extend(
                    library
                        .row
                        .point
                        .iter()
                        .flat_map(|p| [Some(p.role), p.second])
                        .flatten()
                        .map(|r| r.word()),
                );
            }
            What::Own(own) => {
                roles.insert(own.hold_role.word());
            }
        }
    }
    roles
}
