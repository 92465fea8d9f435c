//! What shows that something found was put right: a reading, work of a revision, an
//! acceptance made anew. A decision alone shows nothing.

use super::entry::Measured;
use super::frozen::{DROPPED_SINCE, Frozen, Name, Operation};
use super::state::{Found, Mark, State};
use crate::term::{Disposition, Verdict};

/// Edition of the rules since which what was found without a reading of its own is shown
/// put right before the unit goes.
pub(super) const SHOWN_SINCE: u32 = 4;

/// Whether a text names a found condition: `F1`, and not `F12`.
fn names(text: &str, found: &Found) -> bool {
    text.split(|c: char| !c.is_ascii_alphanumeric()).any(|word| word.eq_ignore_ascii_case(&found.number))
}

impl State {
    /// Operations that revisions brought in for a found condition, by the reason they were
    /// issued for; those they started again where they brought none in.
    #[must_use]
    pub fn work_for<'a>(&self, plan: &'a Frozen, found: &Found) -> Vec<&'a Operation> {
        let mut brought: Vec<&Operation> = Vec::new();
        let mut again: Vec<&Operation> = Vec::new();
        for (place, revision) in self.revisions.iter().enumerate() {
            if revision.mark.n <= found.mark.n || !names(&revision.reason, found) {
                continue;
            }
            let started = |key: &str| revision.reopened.iter().any(|(one, _)| one == key);
            let known = |key: &str| revision.kept.iter().any(|one| one == key) || started(key);
            // What the next revision found there was there after this one.
            let next = self.revisions.get(place + 1);
            let there = |key: &str| {
                next.is_none_or(|next| {
                    next.kept.iter().any(|one| one == key) || next.reopened.iter().any(|(one, _)| one == key)
                })
            };
            for operation in &plan.operations {
                if !known(&operation.key) && there(&operation.key) {
                    brought.push(operation);
                } else if started(&operation.key) {
                    again.push(operation);
                }
            }
        }
        if brought.is_empty() { again } else { brought }
    }

    /// What shows that a found condition without a reading of its own was put right after it
    /// was decided, in words; empty where nothing does.
    #[must_use]
    pub fn shown_right(&self, plan: &Frozen, found: &Found) -> Vec<String> {
        let Some((_, _, decided)) = &found.disposition else { return Vec::new() };
        let after = |mark: &Mark| mark.n > decided.n;
        let mut shown = Vec::new();
        let own = plan.operations.iter().find(|o| o.key == found.key);
        for (operation, reading) in own.iter().flat_map(|o| o.readings().map(move |r| (o, r))) {
            // Read before and once more: somebody looked again. A first reading is the plan's.
            let mut all = self.all_readings(&operation.key, &reading.id);
            let Some(first) = all.next() else { continue };
            let Some((measured, mark)) = all.last().filter(|(_, mark)| after(mark)) else { continue };
            if measured.verdict.is(Verdict::Conform) && first.1.n != mark.n {
                shown.push(format!(
                    "{}.{} read again: {}, conforms ({}, entry {})",
                    operation.number, reading.id, measured.text, mark.by.id, mark.n
                ));
            }
        }
        for (operation, point) in plan.operations.iter().flat_map(|o| o.after.iter().map(move |p| (o, p))) {
            if !point.concerns.contains(&found.key) {
                continue;
            }
            // The first acceptance is the plan's: it says nothing of what was found before it.
            let place = (operation.key.clone(), point.slot.clone());
            let before = self.first_signed.get(&place).is_some_and(|n| *n < decided.n);
            if !before && plan.rules >= DROPPED_SINCE {
                continue;
            }
            let anew = self.standing(operation, point).into_iter().find(|s| !s.waived && after(&s.mark));
            shown.extend(
                anew.filter(|_| self.unsigned(operation, point).is_empty()).map(|s| {
                    format!("{} signed anew by {} (entry {})", point.number, s.mark.by.name, s.mark.n)
                }),
            );
        }
        let work = self.work_for(plan, found);
        let proves = |o: &&&Operation| o.points().next().is_some() || o.readings().any(|r| r.asked());
        let done = |o: &&Operation| self.lacking(o).is_empty() && self.marks(&o.key).any(after);
        if !work.is_empty() && work.iter().filter(|o| !o.deferred).all(|o| self.lacking(o).is_empty()) {
            shown.extend(
                work.iter()
                    .filter(proves)
                    .copied()
                    .filter(done)
                    .map(|o| format!("operation {} {} was done for it", o.number, o.title)),
            );
        }
        shown
    }

    /// What shows that a found condition with a reading of its own was put right: it was read
    /// again and conforms, or it has no limit of its own, was read again, and no rule is
    /// broken by it. None where nothing does.
    #[must_use]
    pub fn read_right(&self, plan: &Frozen, found: &Found) -> Option<(&Measured, &Mark)> {
        let id = found.reading.as_ref()?;
        let all: Vec<_> = self.all_readings(&found.key, id).collect();
        let (measured, mark) = all.last().copied()?;
        if measured.verdict.is(Verdict::Conform) {
            return Some((measured, mark));
        }
        let own = |n: &Name| n.operation == found.key && n.reading == *id;
        let broken = || {
            let rules = plan.operations.iter().flat_map(|o| self.broken(plan, o));
            rules.into_iter().any(|stop| stop.of.iter().any(own))
        };
        (!measured.verdict.decided() && all.len() > 1 && !broken()).then_some((measured, mark))
    }

    /// Found conditions that were decided as rework or repair, name no reading the plan still
    /// has, and that nothing shows put right.
    pub fn not_shown<'a>(&'a self, plan: &'a Frozen) -> impl Iterator<Item = (&'a Found, Disposition)> {
        let unread = move |found: &Found| {
            let Some(id) = &found.reading else { return true };
            let there = |o: &Operation| o.key == found.key && o.readings().any(|r| r.id == *id);
            plan.rules >= DROPPED_SINCE && !plan.operations.iter().any(there)
        };
        self.founds.iter().filter(move |f| unread(f)).filter_map(move |found| {
            let (what, ..) = found.disposition.as_ref().filter(|(what, ..)| what.puts_right())?;
            let later = plan.operations.iter().any(|o| o.key == found.key && o.deferred);
            (!later && self.shown_right(plan, found).is_empty()).then_some((found, *what))
        })
    }
}
