//! The router's problem from a job's selected operations.

use super::problem::{Moment, Operation, Point, PointKind, Problem, ReadingNeed};
use crate::job::model::{OwnOperation, Role, Verb};
use crate::procedure::file::{self, OperationRow};
use crate::procedure::selected::{Selection, What};

/// Builds the problem. Operations stand in it in the selection's order, so an
/// order of the problem is an order of the selection.
#[must_use]
pub fn problem(selection: &Selection<'_>) -> Problem {
    let mut problem = Problem::new();
    for state in &selection.states {
        let (component, name) = match state.name.split_once(':') {
            Some((component, name)) => (Some(component), name),
            None => (None, state.name.as_str()),
        };
        let id = problem.state(&state.name, name, component, &state.means);
        if state.initial {
            problem.start_with(id);
        }
    }
    for (selected, rank) in selection.operations.iter().zip(0_u32..) {
        let ids = |names: &[String], problem: &mut Problem| {
            names.iter().filter_map(|n| problem.find_state(n)).collect::<Vec<_>>()
        };
        let mut operation = match selected.what {
            What::Library(library) => from_row(&library.row),
            What::Own(own) => from_own(own),
        };
        operation.points.extend(selected.owed().into_iter().map(|owed| Point {
            kind: PointKind::Hold,
            moment: Moment::Before,
            role: Role::Lead.word().to_owned(),
            what: owed.what,
            rule: None,
            joints: None,
        }));
        // One lead signs all of it at once.
        operation.points.extend((!selected.concerns.is_empty()).then(|| Point {
            kind: PointKind::Hold,
            moment: selected.settles,
            role: Role::Lead.word().to_owned(),
            what: selected.concerns.join(" "),
            rule: None,
            joints: None,
        }));
        operation.key = selected.key.clone();
        operation.id = selected.id.clone();
        operation.component = selected.component().to_owned();
        if let [only] = selected.components.as_slice() {
            operation.component_name = only.name().to_owned();
        }
        operation.rank = rank * STEP;
        operation.requires = ids(&selected.requires, &mut problem);
        operation.provides = ids(&selected.provides, &mut problem);
        operation.clears = ids(&selected.clears, &mut problem);
        operation.forbids = ids(&selected.forbids, &mut problem);
        if let What::Own(own) = selected.what {
            let (beside, closed) = own_place(selection, own);
            operation.rank = beside.map_or(operation.rank, |r| r * STEP + 1);
            operation.forbids.extend(ids(&closed, &mut problem));
        }
        // Keys are unique and states known by construction of the selection.
        let added = problem.add(operation);
        debug_assert!(added.is_ok(), "{added:?}");
    }
    problem
}

/// Ranks of the library stand so far apart, to leave room for the job's own.
const STEP: u32 = 2;

/// Where an operation of the job's own belongs when nothing else says so: right
/// behind the last one it names in `after`, and before the unit is released and
/// handed over. Gives the place of that one, and the states that come too late.
fn own_place(selection: &Selection<'_>, own: &OwnOperation) -> (Option<u32>, Vec<String>) {
    let mut beside = None;
    let mut late = false;
    let mut closed = Vec::new();
    for (selected, rank) in selection.operations.iter().zip(0_u32..) {
        let What::Library(library) = selected.what else { continue };
        let last = library.row.verb == Verb::HandOver || selected.id == "final-release";
        let named = own.after.iter().any(|a| a.0 == selected.id || a.0 == selected.key);
        if named {
            beside = Some(rank);
            late |= last || library.row.deferred;
        }
        if last {
            closed.extend(selected.provides.iter().cloned());
        }
    }
    if late {
        closed.clear();
    }
    (beside, closed)
}

fn from_row(row: &OperationRow) -> Operation {
    let words =
        |list: &[crate::file::Located<crate::file::Id>]| list.iter().map(|w| w.0.clone()).collect::<Vec<_>>();
    // Words that hang on the job are known when the plan is resolved: till then the key
    // stands for a title that has some.
    let title = if row.title.contains('{') { String::new() } else { row.title.0.clone() };
    Operation {
        title,
        verb: row.verb.word().to_owned(),
        station: row.station.word().to_owned(),
        minutes: row.minutes,
        points: row
            .point
            .iter()
            .map(|p| Point {
                kind: p.kind,
                moment: p.moment,
                role: p.role.word().to_owned(),
                what: p.what.0.clone(),
                rule: p.rule.as_ref().map(|r| r.0.clone()),
                joints: p.joints.as_ref().map(|j| j.0.clone()),
            })
            .collect(),
        acts: words(&row.acts),
        at: words(&row.at),
        removes: words(&row.removes),
        refits: words(&row.refits),
        role: row.role.word().to_owned(),
        joints: row.joints.as_ref().map(|j| j.0.clone()),
        readings: row
            .step
            .iter()
            .flat_map(file::StepRow::written)
            .map(|r| ReadingNeed {
                kind: r.kind.word().to_owned(),
                instrument: r.instrument.as_ref().map_or_else(String::new, |i| i.0.clone()),
            })
            .collect(),
        deferred: row.deferred,
        ..Operation::default()
    }
}

fn from_own(own: &OwnOperation) -> Operation {
    let words =
        |list: &[crate::file::Located<crate::file::Id>]| list.iter().map(|w| w.0.clone()).collect::<Vec<_>>();
    let moment = if own.hold_before { Moment::Before } else { Moment::After };
    let hold = own.hold.as_ref().map(|what| Point {
        rule: own.hold_rule.map(|r| r.word().to_owned()),
        ..Point::hold(moment, own.hold_role.word(), what)
    });
    Operation {
        title: own.title.0.clone(),
        verb: own.verb.word().to_owned(),
        station: own.station.word().to_owned(),
        minutes: own.minutes,
        points: hold.into_iter().collect(),
        acts: own.acts().iter().map(|a| a.word().to_owned()).collect(),
        at: words(&own.at),
        removes: words(&own.removes),
        refits: words(&own.refits),
        role: own.role.word().to_owned(),
        joints: own.joints.as_ref().map(|j| j.0.clone()),
        readings: own
            .reading
            .iter()
            .map(|r| ReadingNeed {
                kind: r.kind.word().to_owned(),
                instrument: r.instrument.as_ref().map_or_else(String::new, |i| i.0.clone()),
            })
            .collect(),
        ..Operation::default()
    }
}
