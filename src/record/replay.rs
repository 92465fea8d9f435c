//! The whole log once more, entry by entry, through the rules it was made by.
//!
//! What a rule needs from the shop book (PINs, tests, calibrations) is gone when
//! a record is checked elsewhere; the entry says what it rested on. Everything
//! else is judged by the frozen plan: which work, which reading, which limits, in
//! which order, who signs what, what must be decided before.

use super::agree::{choose, verdict};
use super::entry::{Action, Entry, entry as entry_at};
use super::frozen::{Frozen, Limits, Operation};
use super::people::{Register, Signer};
use super::rules::Scene;
use super::state::State;
use crate::diagnostic::Diagnostic;

/// What a replay found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Replayed {
    /// Entries a rule says no to, and why.
    pub against: Vec<(u64, String)>,
    /// Entries of revisions that were superseded, whose plan is not here.
    pub before: u64,
    /// Readings judged by other limits than the plan prints: computed from what
    /// was read before them.
    pub moved: Vec<u64>,
    /// What was open when the traveler was closed.
    pub open: Vec<String>,
}

/// Goes through a log whose form was checked; `plan` is that of the last revision.
#[must_use]
pub fn replay(plan: &Frozen, entries: &[Entry]) -> Replayed {
    let mut found = Replayed::default();
    let mut state = State::default();
    // Only the last revision's plan is kept with a record.
    let issued = entries
        .iter()
        .rev()
        .find(|e| matches!(e.what, Action::Issued { .. } | Action::Revised { .. }))
        .map_or(0, |e| e.n);
    for (index, entry) in entries.iter().enumerate() {
        let old = entry.corrects.as_ref().and_then(|c| entry_at(entries, c.entry)).filter(|o| o.n < entry.n);
        let before = entries.get(..index).unwrap_or_default();
        if entry.n < issued {
            found.before += 1;
        } else if let Err(problem) = one(plan, &state, before, entry, &mut found) {
            found.against.push((entry.n, problem.message));
        }
        state.go_on(entry, old);
    }
    found
}

fn one(
    plan: &Frozen,
    state: &State,
    before: &[Entry],
    entry: &Entry,
    found: &mut Replayed,
) -> Result<(), Diagnostic> {
    let wrong = |why: String| Err(Diagnostic::error("L195", why));
    let Some(at) = entry.time() else { return wrong("it has no time".to_owned()) };
    let person = Signer {
        id: entry.by.id.clone(),
        name: entry.by.name.clone(),
        roles: vec![entry.by.role.clone()],
        ..Signer::default()
    };
    let register = Register::default();
    let scene =
        Scene { plan, state, entries: before, register: &register, day: at.date_naive(), at: Some(at) };
    match &entry.what {
        Action::Issued { issue } if entry.n != 1 => {
            return wrong(format!("rev {} was issued a second time", issue.revision));
        }
        Action::Issued { .. } | Action::Revised { .. } | Action::TornLine { .. } => return Ok(()),
        _ if before.is_empty() => return wrong("the first entry is no issue".to_owned()),
        _ => scene.since_issue(&at)?,
    }
    if let Some(correction) = &entry.corrects {
        scene.correction(correction, &entry.what)?;
    }
    let operation = |key: &str| -> Result<&Operation, Diagnostic> {
        plan.operations
            .iter()
            .find(|o| o.key == key)
            .ok_or_else(|| Diagnostic::error("L195", format!("the plan has no operation \"{key}\"")))
    };
    match &entry.what {
        Action::Tick { operation: at, step, .. } => {
            let operation = operation(&at.key)?;
            if step.is_some_and(|s| !operation.steps.iter().any(|o| o.number == s)) {
                return wrong(format!("operation {} has no such step", operation.number));
            }
            let by = step.and_then(|n| operation.steps.iter().find(|s| s.number == n)?.by.as_deref());
            scene.work_by(&person, operation, false, by)?;
        }
        Action::Measure { reading } => {
            let operation = operation(&reading.operation.key)?;
            let Some(planned) = operation.readings().find(|r| r.id == reading.reading) else {
                return wrong(format!(
                    "operation {} has no reading \"{}\"",
                    operation.number, reading.reading
                ));
            };
            if planned.instrument.is_some() && planned.limits.is_some() && reading.tool.is_none() {
                return wrong(format!("{}.{} names no instrument", operation.number, reading.reading));
            }
            let limits =
                |l: &Limits| (l.lower.map(|q| q.si().to_string()), l.upper.map(|q| q.si().to_string()));
            let asked = planned.limits.as_ref().map_or((None, None), limits);
            if let Some((word, does)) = choose(planned, &reading.text)?
                && (word != reading.text || reading.verdict != verdict(does))
            {
                return wrong(format!(
                    "{}.{} has not the verdict of its word",
                    operation.number, reading.reading
                ));
            }
            let kind = planned.limits.map(|l| l.kind.word().to_owned());
            if kind != reading.kind {
                return wrong(format!(
                    "{}.{} is not of the kind the plan asks for",
                    operation.number, reading.reading
                ));
            }
            if asked != (reading.lower.clone(), reading.upper.clone()) {
                let moves =
                    plan.operations.iter().flat_map(Operation::readings).any(|r| r.replaces.is_some());
                if !moves || !moved(plan, state) {
                    return wrong(format!(
                        "{}.{} was judged by other limits than the plan has",
                        operation.number, reading.reading
                    ));
                }
                found.moved.push(entry.n);
            }
            let step = operation.step_of(&planned.id);
            scene.work_by(&person, operation, true, step.and_then(|s| s.by.as_deref()))?;
            if let Some(step) = step.filter(|_| entry.corrects.is_none()) {
                scene.other_person(&person, operation, step)?;
            }
        }
        Action::Sign { operation: at, slot, .. } => {
            let operation = operation(&at.key)?;
            let Some(point) = operation.points().find(|p| p.slot == *slot) else {
                return wrong(format!("operation {} has no such point", operation.number));
            };
            scene.sign(&person, &entry.by.role, operation, point)?;
        }
        Action::WitnessWaived { operation: at, slot, .. } => {
            let operation = operation(&at.key)?;
            let witness =
                |p: &super::frozen::Point| p.slot == *slot && p.kind == super::frozen::PointKind::Witness;
            if !operation.points().any(witness) {
                return wrong(format!("operation {} has no such witness point", operation.number));
            }
        }
        Action::Disposition { found: number, .. } => {
            if !state.founds.iter().any(|f| f.number == *number) {
                return wrong(format!("nothing was found as {number}"));
            }
            scene.role(&person, "lead")?;
        }
        Action::Closed { .. } => {
            scene.role(&person, "lead")?;
            if state.closed.is_some() {
                return wrong("it was closed before".to_owned());
            }
            found.open = scene.open();
        }
        Action::Photographed { operation: at, .. } => {
            operation(&at.key)?;
        }
        Action::Found { .. }
        | Action::Withdrawn {}
        | Action::Issued { .. }
        | Action::Revised { .. }
        | Action::TornLine { .. } => {}
    }
    Ok(())
}

/// Whether anything read so far takes the place of a planned value.
fn moved(plan: &Frozen, state: &State) -> bool {
    plan.operations
        .iter()
        .any(|o| o.readings().any(|r| r.replaces.is_some() && state.reading(&o.key, &r.id).is_some()))
}
