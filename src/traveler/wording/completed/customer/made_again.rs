//! Work that was made again behind what was signed, and signatures that came after the work
//! they were to release.

use super::super::super::super::document::Exception;
use super::super::{Facts, day};
use super::exceptions::{place, who};
use crate::record::Entry;
use crate::record::state::Mark;

/// Kind of work that was made again over what was done behind it.
pub(super) const MADE_AGAIN: &str = "Work made again";
/// Kind of a hold that was signed after the work it releases.
pub(super) const SIGNED_AFTER: &str = "Signed after the work";

/// Both, in the order of the log and of the plan.
pub(super) fn rows(facts: &Facts<'_>) -> Vec<Exception> {
    let mut rows: Vec<Exception> = facts.entries.iter().filter_map(|entry| again(facts, entry)).collect();
    for operation in &facts.plan.operations {
        for point in operation.points() {
            let Some((signed, work, entry)) = facts.state.signed_after(facts.plan, operation, point) else {
                continue;
            };
            rows.push(Exception {
                kind: SIGNED_AFTER.to_owned(),
                place: format!("{}; entry {}", place(operation), signed.mark.n),
                what: format!(
                    "{} was signed {} by {}, and operation {}, which it releases, was entered before (entry {}, {}).",
                    point.number,
                    day(&signed.mark.at),
                    who(&signed.mark),
                    work.number,
                    entry.n,
                    entry.at.map_or_else(String::new, |at| day(&at.to_rfc3339()))
                ),
                reason: "Signed anew after something under it was entered again.".to_owned(),
                ..Exception::default()
            });
        }
    }
    rows
}

fn again(facts: &Facts<'_>, entry: &Entry) -> Option<Exception> {
    let undone = entry.undoes.as_ref()?;
    let at = entry.what.worked_at()?;
    let operation = facts.plan.operations.iter().find(|o| o.key == at.key);
    let mark = Mark::of(entry);
    Some(Exception {
        kind: MADE_AGAIN.to_owned(),
        place: format!(
            "{}; entry {}, {}",
            operation.map_or_else(|| format!("operation {}", at.number), place),
            entry.n,
            day(&mark.at)
        ),
        what: format!("Entered anew after what comes behind it; {}.", undone.words()),
        reason: "What was done, read and signed behind it before says nothing of the work as it is."
            .to_owned(),
        decided: who(&mark),
        ..Exception::default()
    })
}
