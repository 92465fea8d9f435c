//! What was done at each operation, in the order of its entries: a long log asks for the
//! first and the last of it at every entry.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

use super::kept::Mark;

/// An entry that ticked, initialled or read at an operation, and stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Work {
    /// Place of the entry.
    pub n: u64,
    /// As stated; none if the text is no time.
    pub at: Option<DateTime<FixedOffset>>,
    /// Whether it put another entry right.
    corrects: bool,
    /// Whether it is the card of a shift: that is kept beside the work.
    card: bool,
}

impl Work {
    /// That of a mark at a box.
    pub(super) fn of(mark: &Mark, card: bool) -> Self {
        Self { n: mark.n, at: mark.time(), corrects: mark.corrects.is_some(), card }
    }
}

/// What was done at one operation.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Worked {
    all: BTreeMap<u64, Work>,
    /// The earliest and the latest time ever stated there; one that was taken back since may
    /// be among them, so they only say that there is nothing to look for.
    earliest: Option<DateTime<FixedOffset>>,
    latest: Option<DateTime<FixedOffset>>,
    /// Whether one ever stated no time.
    timeless: bool,
}

impl Worked {
    pub(super) fn add(&mut self, work: Work) {
        self.all.insert(work.n, work);
        match work.at {
            Some(at) => {
                self.earliest = Some(self.earliest.map_or(at, |first| first.min(at)));
                self.latest = Some(self.latest.map_or(at, |last| last.max(at)));
            }
            None => self.timeless = true,
        }
    }

    pub(super) fn remove(&mut self, n: u64) {
        self.all.remove(&n);
    }

    /// Whether nothing was done, or all of it was taken back.
    pub(super) fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// The last entry after `since` that put no other right and was done at `from` or later,
    /// or at no time; any of them where `from` is none.
    pub(super) fn last_after(&self, since: u64, from: Option<DateTime<FixedOffset>>) -> Option<u64> {
        let late = |at: Option<DateTime<FixedOffset>>| from.zip(at).is_none_or(|(from, at)| at >= from);
        if !self.timeless && !late(self.latest) {
            return None;
        }
        let later = self.all.range(since + 1..).rev();
        later.map(|(_, work)| work).find(|work| !work.corrects && late(work.at)).map(|work| work.n)
    }

    /// The first entry of what was done by `at`.
    pub(super) fn first_by(&self, at: DateTime<FixedOffset>) -> Option<Work> {
        self.earliest.filter(|first| *first <= at)?;
        self.all.values().find(|work| work.at.is_some_and(|then| then <= at)).copied()
    }

    /// All that is work, the first first.
    pub(super) fn work(&self) -> impl Iterator<Item = Work> {
        self.all.values().filter(|work| !work.card).copied()
    }

    /// Whether all work was done after `at`.
    pub(super) fn all_after(&self, at: DateTime<FixedOffset>) -> bool {
        let known_after = !self.timeless && self.earliest.is_some_and(|first| first > at);
        known_after || self.work().all(|work| work.at.is_some_and(|then| then > at))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(minute: u32) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339(&format!("2026-03-02T08:{minute:02}:00Z")).unwrap()
    }

    fn work(n: u64, minute: u32) -> Work {
        Work { n, at: Some(at(minute)), corrects: false, card: false }
    }

    #[test]
    fn what_is_asked_of_the_work_at_an_operation_is_found_as_by_going_through_it() {
        let mut worked = Worked::default();
        for one in [work(3, 20), work(5, 10), Work { corrects: true, ..work(7, 30) }] {
            worked.add(one);
        }
        // The latest time belongs to a correction, which is no work.
        assert_eq!(worked.last_after(2, Some(at(25))), None);
        assert_eq!(worked.last_after(2, Some(at(15))), Some(3));
        assert_eq!(worked.last_after(3, None), Some(5));
        assert_eq!(worked.first_by(at(9)), None);
        assert_eq!(worked.first_by(at(15)).map(|w| w.n), Some(5));
        assert!(worked.all_after(at(9)) && !worked.all_after(at(10)));
        // The earliest was taken back: what is left was done later.
        worked.remove(5);
        assert!(worked.all_after(at(15)));
        assert_eq!(worked.first_by(at(15)), None);
        // A card is no work, and one without a time is later than nothing.
        worked.add(Work { card: true, ..work(8, 1) });
        assert!(worked.all_after(at(15)));
        worked.add(Work { at: None, ..work(9, 0) });
        assert!(!worked.all_after(at(15)));
        assert_eq!(worked.last_after(2, Some(at(50))), Some(9));
    }
}
