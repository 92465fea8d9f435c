//! What shows that something found was put right: a reading, work of a revision, an
//! acceptance made anew. A decision alone shows nothing.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset};

use super::entry::Measured;
use super::frozen::{DROPPED_SINCE, Frozen, GATED_SINCE, Name, Operation, PointKind, Reading};
use super::remedy::{can_mend, is_there};
use super::rules::Scene;
use super::state::{Found, Mark, Signed, State, bad};
use crate::term::{Disposition, Verdict};

/// Edition of the rules since which what was found without a reading of its own is shown
/// put right before the unit goes.
pub(super) const SHOWN_SINCE: u32 = 4;

/// Whether something was not done before something else, by the times that are stated.
fn not_before(mark: &Mark, other: &Mark) -> bool {
    mark.time().zip(other.time()).is_none_or(|(then, at)| then >= at)
}

/// Whether a text names a found condition: `F1`, and not `F12`.
fn names(text: &str, found: &Found) -> bool {
    text.split(|c: char| !c.is_ascii_alphanumeric()).any(|word| word.eq_ignore_ascii_case(&found.number))
}

impl Found {
    /// Joints of its operation that what was found names: `crack at J1`. None of them where it
    /// speaks of the whole operation.
    pub(super) fn joints<'a>(&self, operation: &'a Operation) -> Vec<&'a str> {
        let named = |joint: &&String| {
            let mut words = self.text.split(|c: char| !c.is_alphanumeric() && c != '-' && c != '_');
            words.any(|word| word.eq_ignore_ascii_case(joint))
        };
        operation.joints.iter().filter(named).map(String::as_str).collect()
    }

    /// What is read again at an operation before it shows that all of it was put right: every
    /// reading that is judged, of a condition that names joints every one of those.
    pub(super) fn asks_again<'a>(&self, operation: &'a Operation) -> Vec<&'a Reading> {
        let named = self.joints(operation);
        let judged = operation.readings().filter(|r| r.asked() && r.judged());
        judged.filter(|r| named.is_empty() || named.iter().any(|joint| r.is_of(joint))).collect()
    }
}

impl Reading {
    /// Whether it is repeated for a joint: `preheat.J1`.
    pub(super) fn is_of(&self, joint: &str) -> bool {
        self.id.split('.').skip(1).any(|part| part == joint)
    }
}

impl State {
    /// Operations that revisions brought in for a found condition, by the reason they were
    /// issued for, and that can put it right; those they started again where they brought none
    /// in.
    #[must_use]
    pub fn work_for<'a>(&self, plan: &'a Frozen, found: &Found) -> Vec<&'a Operation> {
        let (brought, again) = self.named_work(plan, found);
        if brought.is_empty() { again } else { brought }
    }

    /// Operations that revisions brought in for a found condition, and those they started again
    /// for it.
    fn named_work<'a>(&self, plan: &'a Frozen, found: &Found) -> (Vec<&'a Operation>, Vec<&'a Operation>) {
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
        // What was brought in under its number, and can't mend it, is no work on it; what
        // looks at it behind the work that can is part of that.
        if plan.rules >= GATED_SINCE && !brought.iter().any(|o| can_mend(plan, found, o)) {
            brought.clear();
        }
        if plan.rules >= GATED_SINCE {
            brought.retain(|o| is_there(plan, found, o));
        }
        // What starts again for another reason is no work on it: only where it was found, or
        // what accepts that.
        if plan.rules >= GATED_SINCE {
            let on_it =
                |o: &&Operation| o.key == found.key || o.points().any(|p| p.concerns.contains(&found.key));
            again.retain(on_it);
        }
        (brought, again)
    }

    /// Whether all work a revision named for a found condition is done and signed; none where
    /// there is no such work.
    #[must_use]
    pub fn work_done(&self, plan: &Frozen, found: &Found) -> Option<bool> {
        let work = self.work_for(plan, found);
        let now = work.iter().filter(|o| !o.deferred);
        (!work.is_empty()).then(|| now.clone().all(|o| self.lacking(o).is_empty()))
    }

    /// When the work a revision brought in for a found condition was done last, by what is
    /// stated: its steps and readings, or its initials where it has none. None where it brought
    /// none in, or that was not begun.
    fn mended_at(&self, plan: &Frozen, found: &Found) -> Option<DateTime<FixedOffset>> {
        let (brought, _) = self.named_work(plan, found);
        let worked = brought.into_iter().filter(|o| o.key != found.key).flat_map(|o| {
            let steps = (o.key.clone(), 1)..=(o.key.clone(), u32::MAX);
            let ticks = self.ticks.range(steps).map(|(_, mark)| mark);
            let read = o.readings().flat_map(|r| self.all_readings(&o.key, &r.id)).map(|(_, mark)| mark);
            let proved: Vec<&Mark> = ticks.chain(read).collect();
            if proved.is_empty() { self.initials(o).into_iter().collect() } else { proved }
        });
        worked.filter_map(Mark::time).max()
    }

    /// The signatures by which work that a revision brought in shows a found condition put
    /// right, in words: all of that work is done, and a hold of its own was signed after it was
    /// decided. What was found may stand there for good, dressed or made good beside it: whoever
    /// signed over it says so.
    #[must_use]
    pub fn signed_right(&self, plan: &Frozen, found: &Found) -> Vec<String> {
        let decided = found.disposition.as_ref().filter(|_| plan.rules >= GATED_SINCE);
        let Some((_, _, decided)) = decided else { return Vec::new() };
        let (brought, _) = self.named_work(plan, found);
        if brought.iter().any(|o| !o.deferred && !self.lacking(o).is_empty()) {
            return Vec::new();
        }
        let holds = brought.iter().flat_map(|o| o.points().map(move |p| (*o, p)));
        let holds = holds.filter(|(_, p)| p.kind == PointKind::Hold);
        let signed = holds.flat_map(|(o, p)| self.standing(o, p).into_iter().map(move |s| (o, p, s)));
        let counts = |s: &Signed| !s.waived && s.mark.n > decided.n && not_before(&s.mark, &found.mark);
        let words = signed.filter(|(_, _, s)| counts(s)).map(|(o, p, s)| {
            format!(
                "{} signed by {} over operation {} {} (entry {})",
                p.number, s.mark.by.name, o.number, o.title, s.mark.n
            )
        });
        words.collect()
    }

    /// What shows that a found condition without a reading of its own was put right after it
    /// was decided, in words; empty where nothing does.
    #[must_use]
    pub fn shown_right(&self, plan: &Frozen, found: &Found) -> Vec<String> {
        let Some((_, _, decided)) = &found.disposition else { return Vec::new() };
        // Entered after it was decided, and by the time that is stated done after it was found.
        let later = |mark: &Mark| plan.rules < GATED_SINCE || not_before(mark, &found.mark);
        let after = |mark: &Mark| mark.n > decided.n && later(mark);
        let mended = self.mended_at(plan, found).filter(|_| plan.rules >= GATED_SINCE);
        let behind = |mark: &Mark| after(mark) && mended.zip(mark.time()).is_none_or(|(m, at)| at >= m);
        let mut shown = Vec::new();
        if let Some(own) = plan.operations.iter().find(|o| o.key == found.key) {
            let after = behind;
            shown.extend(self.looked_again(plan, (found, own), &after));
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

    /// Readings of an operation that were taken before and once more after a decision, and
    /// conform: somebody looked again. A first reading is the plan's. What was found names
    /// none of them: a look at one thing shows nothing of another, so that every reading that
    /// is judged there is taken again.
    fn looked_again(
        &self,
        plan: &Frozen,
        (found, operation): (&Found, &Operation),
        after: &dyn Fn(&Mark) -> bool,
    ) -> Vec<String> {
        let again = |reading: &&Reading| {
            let mut all = self.all_readings(&operation.key, &reading.id);
            let first = all.next()?;
            let (measured, mark) = all.last().filter(|(_, mark)| after(mark))?;
            (measured.verdict.is(Verdict::Conform) && first.1.n != mark.n).then(|| {
                format!(
                    "{}.{} read again: {}, conforms ({}, entry {})",
                    operation.number, reading.id, measured.text, mark.by.id, mark.n
                )
            })
        };
        if plan.rules < GATED_SINCE {
            return operation.readings().filter_map(|r| again(&r)).collect();
        }
        let judged = found.asks_again(operation);
        let shown: Vec<String> = judged.iter().filter_map(again).collect();
        if shown.len() == judged.len() { shown } else { Vec::new() }
    }

    /// What shows that a found condition with a reading of its own was put right: it, or what a
    /// rule holds it against, was read again after what failed, it does not fail, and no rule
    /// is broken by it. None where nothing does.
    #[must_use]
    pub fn read_right(&self, plan: &Frozen, found: &Found) -> Option<(&Measured, &Mark)> {
        let id = found.reading.as_ref()?;
        let own = |n: &Name| n.operation == found.key && n.reading == *id;
        let touching = || plan.all_rules().filter(|(_, rule)| rule.of.iter().any(own));
        if plan.rules < GATED_SINCE {
            let all: Vec<_> = self.all_readings(&found.key, id).collect();
            let (measured, mark) = all.last().copied()?;
            if measured.verdict.is(Verdict::Conform) {
                return Some((measured, mark));
            }
            let broken = || touching().any(|(o, rule)| self.breaks_now(plan, o, rule));
            return (!measured.verdict.decided() && all.len() > 1 && !broken()).then_some((measured, mark));
        }
        let (measured, mark) = self.reading(&found.key, id)?;
        if bad(measured.verdict) || touching().any(|(o, rule)| self.breaks_now(plan, o, rule)) {
            return None;
        }
        // Read again before it was filed, or done after it was found by the time that is stated.
        // And what a revision brought in to mend it was done before.
        let mended = self.mended_at(plan, found);
        let counts = |(_, mark): &(&Measured, &Mark)| {
            let behind = || mended.zip(mark.time()).is_none_or(|(mended, at)| at >= mended);
            mark.n < found.mark.n || not_before(mark, &found.mark) && behind()
        };
        let place = (found.key.clone(), id.clone());
        let failed = self.bad.get(&place).is_some_and(|entries| !entries.is_empty());
        if failed {
            return Some((measured, mark)).filter(counts);
        }
        // A rule was broken, and is not by what either side reads now.
        let again = touching().filter(|(_, rule)| self.was_broken(rule)).flat_map(|(_, rule)| &rule.of);
        let taken = again.filter_map(|n| self.reading(&n.operation, &n.reading)).map(|(m, mark)| (m, mark));
        let last = taken.max_by_key(|(_, mark)| mark.n);
        last.or_else(|| (mark.n > found.mark.n).then_some((measured, mark))).filter(counts)
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

impl State {
    /// Found conditions that are to be put right, that the reason of the last revision names,
    /// and that nothing it brought in or started again can put right.
    #[must_use]
    pub fn named_in_vain(&self, plan: &Frozen) -> Vec<&Found> {
        let Some(last) = self.revisions.last() else { return Vec::new() };
        let to_do = |f: &&Found| f.disposition.as_ref().is_some_and(|(what, ..)| what.puts_right());
        let all = self.founds.iter().filter(to_do).filter(|f| names(&last.reason, f));
        all.filter(|f| self.work_for(plan, f).is_empty()).collect()
    }
}

impl Scene<'_> {
    /// Keys of the operations at which a tick or a reading may show that something was put
    /// right, or that it was not after all.
    pub(super) fn shown_by(&self) -> BTreeSet<String> {
        let (plan, mut keys) = (self.plan, BTreeSet::new());
        let puts_right = |f: &&Found| f.disposition.as_ref().is_some_and(|(what, ..)| what.puts_right());
        for found in self.state.founds.iter().filter(puts_right) {
            keys.insert(found.key.clone());
            keys.extend(self.state.work_for(plan, found).into_iter().map(|o| o.key.clone()));
            for operation in &plan.operations {
                let accepts = operation.points().filter(|p| p.concerns.contains(&found.key));
                keys.extend(accepts.flat_map(|p| p.worked_by.iter().chain([&operation.key])).cloned());
                // Whatever a rule holds against the reading shows it as well.
                let at = |n: &Name| n.operation == found.key && Some(&n.reading) == found.reading.as_ref();
                let rules = plan.rules_of(operation);
                let of = rules.iter().map(|rule| &rule.of).filter(|of| of.iter().any(at));
                keys.extend(of.flatten().map(|name| name.operation.clone()));
            }
        }
        keys
    }
}
