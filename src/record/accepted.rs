//! An accepted joint that is worked on is accepted anew; a unit at which something was found
//! after it was received is received anew.

use chrono::TimeDelta;

use super::entry::SLACK;
use super::frozen::{Operation, Point};
use super::state::{Mark, Signed, State};

/// What took an acceptance away.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reopening {
    /// Place in the log of what did it.
    pub n: u64,
    /// What it was, in words.
    pub words: String,
}

impl State {
    /// Signatures of a point that still stand: nothing they accepted was worked on
    /// since. Those of any other point stand as they were made.
    #[must_use]
    pub fn standing(&self, operation: &Operation, point: &Point) -> Vec<&Signed> {
        let signed = self.signatures(&operation.key, &point.slot);
        signed.iter().filter(|s| self.touched(operation, point, s).is_none()).collect()
    }

    /// What took an acceptance away after it was signed, and nobody accepted since;
    /// none if nothing did.
    #[must_use]
    pub fn reopened(&self, operation: &Operation, point: &Point) -> Option<Reopening> {
        if self.unsigned(operation, point).is_empty() {
            return None;
        }
        let signed = self.signatures(&operation.key, &point.slot);
        let touched = signed.iter().filter_map(|s| self.touched(operation, point, s));
        let place = (operation.key.clone(), point.slot.clone());
        let undone = self.unsigned_by.get(&place).map(|(mark, key)| Reopening {
            n: mark.n,
            words: format!("{key} was worked on after it (entry {})", mark.n),
        });
        touched.chain(undone).max_by_key(|r| r.n)
    }

    /// The entry before which nothing that was read for an acceptance counts any more; none
    /// where all of it does.
    pub(super) fn counts_since(&self, operation: &Operation, point: &Point) -> Option<u64> {
        let accepts = !point.worked_by.is_empty() || !point.concerns.is_empty();
        self.reopened(operation, point).filter(|_| accepts).map(|since| since.n)
    }

    /// The last that touched what a signature accepted, after it.
    fn touched(&self, operation: &Operation, point: &Point, signed: &Signed) -> Option<Reopening> {
        if let Some(found) = self.found_since(point, signed) {
            let words = format!("{} was found after it (entry {})", found.number, found.mark.n);
            return Some(Reopening { n: found.mark.n, words });
        }
        if point.worked_by.is_empty() && point.concerns.is_empty() {
            return None;
        }
        let since = signed.mark.n;
        let own = |key: &String| *key == operation.key || point.concerns.contains(key);
        let decided = self.founds.iter().filter(|f| own(&f.key)).filter_map(|f| {
            let (what, _, mark) = f.disposition.as_ref()?;
            (what.puts_right() && mark.n > since)
                .then(|| Reopening { n: mark.n, words: format!("{} was decided: {what}", f.number) })
        });
        // Late entry of what was done before the signature touches nothing.
        let from = signed.mark.time().map(|at| at + TimeDelta::minutes(SLACK));
        let worked = point.worked_by.iter().filter_map(|key| {
            let n = self.worked.get(key)?.last_after(since, from)?;
            Some(Reopening { n, words: format!("{key} was worked on after it (entry {n})") })
        });
        // What stood in a box when it was accepted is not changed or added to under it,
        // whatever time is stated.
        let changed = point.worked_by.iter().filter_map(|key| {
            let n = self.changed.get(key).copied().filter(|n| *n > since)?;
            Some(Reopening { n, words: format!("{key} was entered anew after it (entry {n})") })
        });
        decided.chain(changed).chain(worked).max_by_key(|r| r.n)
    }

    /// Who ticked, initialled or read at an operation.
    pub fn marks<'a>(&'a self, key: &'a str) -> impl Iterator<Item = &'a Mark> {
        let ticks = self.ticks.range((key.to_owned(), 0)..=(key.to_owned(), u32::MAX)).map(|(_, mark)| mark);
        let of = move |(place, _): &(&'a (String, String), _)| place.0 == key;
        let from = (key.to_owned(), String::new());
        let last = self.readings.range(from.clone()..).take_while(move |(place, _)| place.0 == key);
        let earlier = self.earlier.range(from..).take_while(of).flat_map(|(_, all)| all);
        ticks.chain(last.map(|(_, (_, mark))| mark)).chain(earlier.map(|(_, mark)| mark))
    }

    /// Readings of an accepted operation that were taken before what was accepted was
    /// worked on again, and count for it no longer.
    #[must_use]
    pub fn outdated(&self, operation: &Operation, point: &Point) -> Vec<String> {
        // What the unit was handed over with is told anew, not read anew.
        if !point.receives.is_empty() {
            return Vec::new();
        }
        let Some(since) = self.counts_since(operation, point) else { return Vec::new() };
        operation
            .readings()
            .filter(|r| r.asked())
            .filter(|r| self.reading(&operation.key, &r.id).is_some_and(|(_, mark)| mark.n < since))
            .map(|r| format!("reading {}.{} once more (--again)", operation.number, r.id))
            .collect()
    }
}
