//! What follows from a reading: limits in force for it, stops, and what is another now.

use std::sync::Arc;

use super::super::content::Content;
use super::super::desk::Desk;
use super::super::files::RecordHost;
use super::super::judged::{Judged, NewTarget};
use super::super::recompute::{self, Memo, Now, Reckoner};
use super::super::{refused, sheets, slip};
use super::Taken;
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::record::frozen::{Limits, Reading};
use crate::record::moved::{self, Asked, Lost};
use crate::record::outdated::outdated;

/// What a reading is judged by, and the plan as it stood before it.
pub(super) struct Standard {
    /// Limits in force: printed, or computed with what was read before.
    pub(super) limits: Option<Limits>,
    /// Target in words.
    pub(super) target: Option<String>,
    /// Whether limits that are printed can't be computed with what was read before.
    lost: bool,
    content: Arc<Content>,
    /// The plan before a reading that takes the place of a planned value.
    before: Option<Arc<Now>>,
}

impl Standard {
    /// Until something measured replaces a planned value, the paper holds. A reading is
    /// never its own target: it is judged by the plan without itself.
    pub(super) fn of(
        host: &dyn RecordHost,
        desk: &Desk,
        taken: &Taken<'_>,
        memo: &mut Memo,
    ) -> Result<Self, Failure> {
        let Taken { operation, reading, .. } = taken;
        let decides = reading.replaces.is_some();
        let content = memo.content(host, &desk.folder, &desk.issue)?;
        let without = desk.state.deciding_without(&desk.plan, &operation.key, &reading.id);
        let judged_by = if decides || moved::moves(&desk.plan, &without) {
            Some(memo.now(&content, &without)?)
        } else {
            None
        };
        let read_before = desk.state.reading(&operation.key, &reading.id).is_some();
        let before = match decides {
            true if read_before => Some(memo.now(&content, &desk.state)?),
            true => judged_by.clone(),
            false => None,
        };
        let in_force = judged_by.as_ref().map(|now| now.in_force()).unwrap_or_default();
        let lost = in_force.lost(&operation.key, reading);
        let Asked { limits, target } = in_force.asked(&operation.key, reading);
        Ok(Self { limits, target, lost, content, before })
    }

    /// Says that the printed limits were taken for want of others.
    pub(super) fn warn(&self, judged: &mut Judged) {
        if self.lost {
            judged.entry.warnings.push(
                "The limits can't be computed with what was read so far, so the printed ones were taken: look at the readings before, and ask the lead.".to_owned(),
            );
        }
    }

    /// Computes again what depends on a reading that takes the place of a planned value.
    pub(super) fn follow(&self, host: &dyn RecordHost, desk: &Desk, memo: &mut Memo, judged: &mut Judged) {
        let Some(before) = &self.before else { return };
        let Ok(after) = memo.now(&self.content, &desk.state) else {
            judged.entry.warnings.push(
                "The plan can't be computed with this reading: stop and ask the lead before going on."
                    .to_owned(),
            );
            return;
        };
        judged.changed = recompute::changes(&before.loaded.figures, &after.loaded.figures);
        judged.targets = targets(desk, before, &after);
        let lost = moved::no_longer(&desk.plan, &desk.state, &after.in_force(), &Reckoner::default());
        judged.lost = lost.iter().map(Lost::told).collect();
        if judged.changed.is_empty() {
            return;
        }
        old_prints(host, desk, judged);
        if !desk.rehearses() {
            write_slip(host, desk, &after, judged);
        }
    }
}

/// Tells of prints at full size that are drawn otherwise now.
fn old_prints(host: &dyn RecordHost, desk: &Desk, judged: &mut Judged) {
    let redrawn = sheets::redrawn(host, &desk.folder, &desk.issue, &desk.plan, &desk.state);
    let old = outdated(&desk.plan, &desk.state, &redrawn.unwrap_or_default());
    let number = &desk.plan.number;
    judged.entry.warnings.extend(old.iter().map(|o| {
        format!(
            "{}: print it again before anything is marked by it: tackwright template {number}.",
            o.words()
        )
    }));
}

/// Writes the slip for the bench, or says that there is none.
fn write_slip(host: &dyn RecordHost, desk: &Desk, after: &Now, judged: &mut Judged) {
    match slip::write(host, desk, after, judged) {
        Ok(path) => judged.slip = Some(path),
        Err(Failure::System(why)) => judged.entry.warnings.push(format!("No slip was written: {why}")),
        Err(Failure::Refused(..)) => judged.entry.warnings.push("No slip could be written.".to_owned()),
    }
}

/// Tells of stop rules the reading broke.
pub(super) fn stops(desk: &Desk, judged: &mut Judged) {
    let Judged { entry, measured, .. } = judged;
    for stop in desk.plan.operations.iter().flat_map(|o| desk.state.stops(&desk.plan, o)) {
        if stop.of.iter().any(|n| n.operation == measured.operation.key && n.reading == measured.reading) {
            entry.warnings.push(match stop.waits {
                None => format!(
                    "STOP: {}. What depends on it, and later holds, wait until a lead decides.",
                    stop.words
                ),
                Some(_) => format!("WAIT: {}. Until then later holds stay shut.", stop.words),
            });
        }
    }
}

/// Tells that a reading taken once more does not undo the one before.
pub(super) fn both_stand(desk: &Desk, judged: &mut Judged) -> Result<(), Failure> {
    let Judged { entry, measured, .. } = judged;
    let operation = desk.plan.operations.iter().find(|o| o.key == measured.operation.key);
    let operation = operation.ok_or_else(|| refused(Diagnostic::error("L145", "the operation is gone")))?;
    if desk.state.failing(operation).iter().any(|(r, _)| *r == measured.reading) {
        entry.warnings.push(format!(
            "Both readings stand; a lead decides: tackwright found {} {}.{} \"…\" --by ID",
            desk.plan.number, measured.operation.number, measured.reading
        ));
    }
    Ok(())
}

/// Targets that are others now, of what is still to be read: what was read is judged again by
/// the plan without itself, and named where it no longer holds.
fn targets(desk: &Desk, before: &Now, after: &Now) -> Vec<NewTarget> {
    let mut found = Vec::new();
    for operation in &desk.plan.operations {
        let open = |r: &&Reading| desk.state.reading(&operation.key, &r.id).is_none();
        for reading in operation.readings().filter(open) {
            let key = (operation.key.clone(), reading.id.clone());
            let text = |now: &Now| {
                now.readings
                    .get(&key)
                    .and_then(|r| r.target.clone())
                    .unwrap_or_else(|| "not known".to_owned())
            };
            let (was, is) = (text(before), text(after));
            if was != is {
                found.push(NewTarget {
                    operation: operation.number,
                    id: reading.id.clone(),
                    label: reading.label.clone(),
                    before: was,
                    now: is,
                });
            }
        }
    }
    found
}
