//! What was entered all the same, at another time than stated, or without the shop book.

use super::super::super::super::document::Exception;
use super::super::{Facts, moment};
use super::exceptions::{ALL_THE_SAME, BACK_DATED, LATER, place, who};
use super::sentence;
use crate::record::Entry;
use crate::record::back_dated::{BackDated, back_dated};
use crate::record::entry::WITHOUT_BOOK;
use crate::record::state::Mark;
use crate::record::surely::{self, AllTheSame};
use crate::term::clock::told;
use crate::term::counted;

/// Readings that are hardly right and were entered all the same.
pub(super) fn all_the_same(facts: &Facts<'_>) -> Vec<Exception> {
    let one = |one: AllTheSame<'_>| Exception {
        kind: ALL_THE_SAME.to_owned(),
        place: format!("{}; {}, entry {}", place(one.operation), moment(&one.mark.at), one.mark.n),
        what: format!("{}: {}.", sentence(&one.reading.label), one.why),
        reason: "Asked back when it was written; whoever read it said that it is right.".to_owned(),
        decided: who(one.mark),
        ..Exception::default()
    };
    surely::entered(facts.plan, facts.state).into_iter().map(one).collect()
}

/// What was written down later, or without the shop book.
pub(super) fn rows(facts: &Facts<'_>) -> Vec<Exception> {
    let mut rows = Vec::new();
    let list = |which: &dyn Fn(&&Entry) -> bool| -> Vec<String> {
        facts.entries.iter().filter(which).map(|e| e.n.to_string()).collect()
    };
    let without = list(&|e| e.book.as_deref() == Some(WITHOUT_BOOK));
    if !without.is_empty() {
        rows.push(Exception {
            kind: "Entered without the shop book".to_owned(),
            what: format!("Entries {}.", without.join(", ")),
            reason: "Persons, tests and calibrations were not looked up.".to_owned(),
            ..Exception::default()
        });
    }
    let later = list(&|e| e.entered_later().is_some());
    if !later.is_empty() {
        let shown = later.iter().take(12).cloned().collect::<Vec<_>>().join(", ");
        let more = if later.len() > 12 { format!(" and {} more", later.len() - 12) } else { String::new() };
        rows.push(Exception {
            kind: LATER.to_owned(),
            what: format!("{}: {shown}{more}.", counted(later.len(), "entry", "entries")),
            reason: "The time stated is not the clock's; both stand in the log.".to_owned(),
            ..Exception::default()
        });
    }
    rows.extend(back_dated(facts.plan, facts.entries).iter().filter_map(|one| answered_later(facts, one)));
    rows
}

/// An issue, a signature, a decision or the close, stated hours before it was entered.
fn answered_later(facts: &Facts<'_>, one: &BackDated<'_>) -> Option<Exception> {
    let BackDated { entry, clock } = one;
    (!facts.state.voided.contains(&entry.n)).then(|| Exception {
        kind: BACK_DATED.to_owned(),
        place: format!("{}, entry {}", sentence(&one.what()), entry.n),
        what: format!("Stated {}, entered {}.", moment(&entry.at), told(clock)),
        reason: "Who gave it is identified at the time it was entered; the time before is their word."
            .to_owned(),
        decided: who(&Mark::of(entry)),
        ..Exception::default()
    })
}
