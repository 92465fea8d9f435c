//! What came after a customer signed that the unit was received: whoever signed knew nothing
//! of it, and the record says so.

use super::entry::{Action, Entry};
use super::frozen::{Frozen, Operation, Point};
use super::kept::{Found, Signed};
use super::state::State;
use crate::term::counted;

/// A signature of the customer, and what it does not speak of.
#[derive(Debug, Clone, PartialEq)]
pub struct Received<'a> {
    /// Where the point stands.
    pub operation: &'a Operation,
    /// What was signed.
    pub point: &'a Point,
    /// The last signature there.
    pub signed: &'a Signed,
    /// What came after it, each in words that follow "before".
    pub before: Vec<String>,
}

impl Received<'_> {
    /// In a sentence without its full stop.
    #[must_use]
    pub fn words(&self) -> String {
        let mark = &self.signed.mark;
        format!(
            "{} (operation {}) was signed by {} (entry {}) before {}",
            self.point.number,
            self.operation.number,
            mark.by.name,
            mark.n,
            self.before.join(", before ")
        )
    }
}

impl State {
    /// The last thing found where safety hangs on it, after a signature by which the unit was
    /// received and before the traveler was closed: it is received anew. What is found after
    /// that can only be told.
    pub(super) fn found_since(&self, point: &Point, signed: &Signed) -> Option<&Found> {
        let closed = self.closed.as_ref().map_or(u64::MAX, |(mark, _)| mark.n);
        let after = |f: &&Found| f.mark.n > signed.mark.n && f.mark.n < closed;
        self.founds.iter().filter(after).rfind(|f| point.receives.contains(&f.key))
    }
}

/// Signatures by which the unit was received and that something came after: a condition was
/// found, a reading failed, an entry was corrected, the plan was revised.
#[must_use]
pub fn received<'a>(plan: &'a Frozen, state: &'a State, entries: &[Entry]) -> Vec<Received<'a>> {
    let points = plan.operations.iter().flat_map(|o| o.points().map(move |p| (o, p)));
    let receiving = points.filter(|(_, point)| !point.receives.is_empty());
    let told = receiving.filter_map(|(operation, point)| {
        let signed = state.signatures(&operation.key, &point.slot).iter().rfind(|s| !s.waived)?;
        let before = after(plan, state, entries, signed.mark.n);
        (!before.is_empty()).then_some(Received { operation, point, signed, before })
    });
    told.collect()
}

/// What came after an entry, in words.
fn after(plan: &Frozen, state: &State, entries: &[Entry], n: u64) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    let founds = state.founds.iter().filter(|f| f.mark.n > n);
    all.extend(founds.map(|f| format!("{} was found at operation {}", f.number, f.operation)));
    // A reading that failed and was filed is told with what was filed.
    let filed = |key: &str, id: &str, at: u64| {
        let of = |f: &&Found| f.key == key && f.reading.as_deref() == Some(id) && f.mark.n > at;
        state.founds.iter().any(|f| of(&f))
    };
    for operation in &plan.operations {
        for (reading, mark) in state.failing_marks(operation).filter(|(_, mark)| mark.n > n) {
            let id = &reading.reading;
            if !filed(&operation.key, id, mark.n) {
                all.push(format!("{}.{id} was read {}: {}", operation.number, reading.text, reading.verdict));
            }
        }
    }
    let letters = state.revisions.iter().filter(|r| r.mark.n > n);
    all.extend(letters.map(|r| format!("rev {} was issued", r.letter)));
    let later = entries.iter().rev().take_while(|e| e.n > n);
    let changes = |e: &&Entry| {
        let place = e.corrects.as_ref().and_then(|c| super::entry::entry(entries, c.entry));
        place.is_some_and(|old| old.n <= n && !matches!(old.what, Action::Sign { .. }))
    };
    let corrected = later.filter(changes).count();
    if corrected > 0 {
        let words = counted(corrected, "entry made before it was", "entries made before it were");
        all.push(format!("{words} corrected or taken back"));
    }
    all
}
