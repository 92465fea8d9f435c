//! What speaks against calling a record all conforming.

use std::collections::BTreeSet;

use super::super::super::super::document::{Exception, Section, Waiver};
use super::super::Facts;
use super::exceptions::{
    CORRECTED, FOUND, HARDLY_TRUE, LATER, NOT_MEASURED, PIN_ELSEWHERE, STOPPED, TESTER, TURNED,
};
use super::{decision, sentence};
use crate::record::entry::Measured;
use crate::term::{Verdict, counted};

/// Starts of the kinds of exceptions that [`doubts`] has words for.
const TOLD: &[&str] = &[
    FOUND,
    "Reading outside",
    "Stop rule",
    "Nobody came",
    "Safety rule",
    "Signed without",
    PIN_ELSEWHERE,
    "Maker's figure",
    "Entered without",
    HARDLY_TRUE,
    NOT_MEASURED,
    TESTER,
    TURNED,
    STOPPED,
];

/// Those that speak against nothing: how the log was kept, told in section 4.
const QUIET: &[&str] = &[CORRECTED, LATER];

/// What the first page tells beside the work, a sentence each, and whether any of it speaks
/// against calling it all conforming: of a print nobody measured, only the shop knows
/// whether it was used.
pub(super) fn doubts(facts: &Facts<'_>, exceptions: &Section<Exception>) -> (Vec<String>, bool) {
    let of = |starts: &str| -> Vec<&Exception> {
        exceptions.rows.iter().filter(|r| r.kind.starts_with(starts)).collect()
    };
    let mut found = Vec::new();
    let open = exceptions.rows.iter().filter(|r| r.open).count();
    if open > 0 {
        found.push(format!("{} OPEN", counted(open, "matter is", "matters are")));
    }
    let founds = of(FOUND).iter().filter(|r| !r.open).count();
    if founds > 0 {
        found.push(format!(
            "{} that the plan did not foresee, and decided",
            counted(founds, "condition was found", "conditions were found")
        ));
    }
    let departs = |m: &Measured| m.verdict.decided() && !m.verdict.is(Verdict::Conform);
    let (mut again, mut stand, mut undecided) = (0, 0, 0);
    for (key, id) in facts.state.readings.keys() {
        let all: Vec<_> = facts.state.all_readings(key, id).collect();
        for (place, (one, mark)) in all.iter().enumerate() {
            if !departs(one) {
                continue;
            }
            if place + 1 < all.len() {
                again += 1;
            } else if decision(facts, key, id, mark.n).is_some() {
                stand += 1;
            } else {
                undecided += 1;
            }
        }
    }
    let said = [
        (again, "put right and read again"),
        (stand, "left as it is by a lead's decision"),
        (undecided, "NOT DECIDED"),
    ];
    if again + stand + undecided > 0 {
        let parts: Vec<String> =
            said.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}")).collect();
        found.push(format!(
            "{} outside a limit or not proven inside: {}",
            counted(again + stand + undecided, "reading was", "readings were"),
            parts.join(", ")
        ));
    }
    let turned = of(TURNED).len();
    if turned > 0 {
        found.push(format!(
            "{} outside a limit as first written, and corrected as a slip of the pen",
            counted(turned, "reading was", "readings were")
        ));
    }
    let stopped = of(STOPPED).len();
    if stopped > 0 {
        found.push(format!(
            "{} a stop rule as first written, and corrected as a slip of the pen",
            counted(stopped, "reading broke", "readings broke")
        ));
    }
    let testers = of(TESTER).len();
    if testers > 0 {
        found.push(format!("{} made without a certificate", counted(testers, "test was", "tests were")));
    }
    let stops = of("Stop rule").len();
    if stops > 0 {
        found.push(format!("{} broken", counted(stops, "stop rule was", "stop rules were")));
    }
    let waived = of("Nobody came").len();
    if waived > 0 {
        found.push(format!(
            "{} passed with nobody there",
            counted(waived, "witness point was", "witness points were")
        ));
    }
    let rules = of("Safety rule");
    if !rules.is_empty() {
        let late = rules.iter().filter(|r| r.place.contains(Waiver::LATE)).count();
        let late = if late > 0 { format!(", {late} after the work had begun") } else { String::new() };
        found.push(format!(
            "{} set aside{late}",
            counted(rules.len(), "safety rule was", "safety rules were")
        ));
    }
    let unknown = of("Signed without").iter().map(|r| r.place.as_str()).collect::<Vec<_>>();
    if !unknown.is_empty() {
        found.push(format!("signatures of {} rest on an id alone, without a PIN", listed(&unknown)));
    }
    let elsewhere = of(PIN_ELSEWHERE).iter().map(|r| r.place.as_str()).collect::<Vec<_>>();
    if !elsewhere.is_empty() {
        found.push(format!(
            "signatures of {} rest on a PIN that what was issued does not bear out",
            listed(&elsewhere)
        ));
    }
    let makers = of("Maker's figure").len();
    if makers > 0 {
        found.push(
            "maker's figures for torques were read at the work or are blank: the job states none".to_owned(),
        );
    }
    let other = of("Entered without").len();
    if other > 0 {
        found.push("entries were made without the shop book".to_owned());
    }
    let times = of(HARDLY_TRUE).len();
    if times > 0 {
        found.push("times are stated that can hardly be true".to_owned());
    }
    let mut against = !found.is_empty();
    if of(NOT_MEASURED).iter().any(|r| !r.open) {
        found.push("whether prints at full size were true to scale was not measured".to_owned());
    }
    // A kind nobody gave words of its own is told all the same.
    let untold = |r: &&Exception| !r.open && !TOLD.iter().chain(QUIET).any(|k| r.kind.starts_with(k));
    let untold: BTreeSet<String> =
        exceptions.rows.iter().filter(untold).map(|r| r.kind.to_lowercase()).collect();
    against |= !untold.is_empty();
    found.extend(untold);
    // They stand in one sentence, one behind the other.
    if let Some(first) = found.first_mut() {
        *first = sentence(first);
    }
    (found, against)
}

/// `A`, `A and B`, `A, B and C`.
fn listed(all: &[&str]) -> String {
    match all {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [before @ .., last] => format!("{} and {last}", before.join(", ")),
    }
}
