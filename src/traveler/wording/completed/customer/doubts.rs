//! What speaks against calling a record all conforming.

use std::collections::BTreeSet;

use super::super::super::super::document::{Exception, Section, Waiver};
use super::super::Facts;
use super::corrected::{CORRECTED, STOPPED, TURNED};
use super::exceptions::{
    ALL_THE_SAME, BACK_DATED, FOUND, HARDLY_TRUE, LATER, OWN_PROCEDURES, PIN_ELSEWHERE, SEEN, TESTER,
};
use super::prints::{NOT_MEASURED, VOID};
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
    OWN_PROCEDURES,
    TESTER,
    TURNED,
    STOPPED,
    SEEN,
    VOID,
    ALL_THE_SAME,
    BACK_DATED,
];

/// Signatures and decisions that are named one by one.
const NAMED: usize = 6;

/// Those that speak against nothing: how the log was kept, told in section 4.
const QUIET: &[&str] = &[CORRECTED, LATER];

/// What the first page tells beside the work, a sentence each, and whether any of it speaks
/// against calling it all conforming: of a print nobody measured, only the shop knows
/// whether it was used.
pub(super) fn doubts(facts: &Facts<'_>, exceptions: &Section<Exception>) -> (Vec<String>, bool) {
    let mut found = of_the_work(facts, exceptions);
    found.extend(of_who_made_entries(exceptions));
    let mut against = !found.is_empty();
    if of(exceptions, NOT_MEASURED).iter().any(|r| !r.open) {
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

/// Exceptions of a kind.
fn of<'a>(exceptions: &'a Section<Exception>, starts: &str) -> Vec<&'a Exception> {
    exceptions.rows.iter().filter(|r| r.kind.starts_with(starts)).collect()
}

/// What is open, was found, read outside its limits, broken or set aside.
fn of_the_work(facts: &Facts<'_>, exceptions: &Section<Exception>) -> Vec<String> {
    let some = |n: usize, one: &str, more: &str, then: &str| {
        (n > 0).then(|| format!("{} {then}", counted(n, one, more)))
    };
    let number = |kind: &str| of(exceptions, kind).len();
    let open = exceptions.rows.iter().filter(|r| r.open).count();
    let founds = of(exceptions, FOUND).iter().filter(|r| !r.open).count();
    [
        some(open, "matter is", "matters are", "OPEN"),
        some(
            founds,
            "condition was found",
            "conditions were found",
            "that the plan did not foresee, and decided",
        ),
        departed(facts),
        some(
            number(TURNED),
            "reading was",
            "readings were",
            "outside a limit as first written, and corrected as a slip of the pen",
        ),
        some(
            number(STOPPED),
            "reading broke",
            "readings broke",
            "a stop rule as first written, and corrected as a slip of the pen",
        ),
        some(number(TESTER), "test was", "tests were", "made without a certificate"),
        (number(OWN_PROCEDURES) > 0).then(|| {
            "procedures of the shop's own were followed, not those that ship with the program".to_owned()
        }),
        some(number("Stop rule"), "stop rule was", "stop rules were", "broken"),
        some(number("Nobody came"), "witness point was", "witness points were", "passed with nobody there"),
        rules_set_aside(exceptions),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Readings outside a limit or not proven inside, by what became of them.
fn departed(facts: &Facts<'_>) -> Option<String> {
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
    let all = again + stand + undecided;
    (all > 0).then(|| {
        let parts: Vec<String> =
            said.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}")).collect();
        format!(
            "{} outside a limit or not proven inside: {}",
            counted(all, "reading was", "readings were"),
            parts.join(", ")
        )
    })
}

/// Safety rules that were set aside, and how many of them late.
fn rules_set_aside(exceptions: &Section<Exception>) -> Option<String> {
    let rules = of(exceptions, "Safety rule");
    let late = rules.iter().filter(|r| r.place.contains(Waiver::LATE)).count();
    let late = if late > 0 { format!(", {late} after the work had begun") } else { String::new() };
    (!rules.is_empty())
        .then(|| format!("{} set aside{late}", counted(rules.len(), "safety rule was", "safety rules were")))
}

/// Signatures, figures, entries and times that rest on less than they might.
fn of_who_made_entries(exceptions: &Section<Exception>) -> Vec<String> {
    let places = |kind: &str| of(exceptions, kind).iter().map(|r| r.place.as_str()).collect::<Vec<_>>();
    let any = |kind: &str, words: &str| (!of(exceptions, kind).is_empty()).then(|| words.to_owned());
    let signed = |kind: &str, on: &str| {
        let signers = places(kind);
        (!signers.is_empty()).then(|| format!("signatures of {} rest on {on}", listed(&signers)))
    };
    [
        signed("Signed without", "an id alone, without a PIN"),
        signed(PIN_ELSEWHERE, "a PIN that what was issued does not bear out"),
        any(
            "Maker's figure",
            "maker's figures for torques were read at the work or are blank: the job states none",
        ),
        any("Entered without", "entries were made without the shop book"),
        any(HARDLY_TRUE, "times are stated that can hardly be true"),
        (!of(exceptions, BACK_DATED).is_empty()).then(|| {
            let what: Vec<String> =
                places(BACK_DATED).iter().filter_map(|p| p.split(", entry").next()).map(lower).collect();
            format!("{} stated hours before entered", were(&what))
        }),
        any(ALL_THE_SAME, "readings far off what the job states were entered all the same"),
        any(SEEN, "signatures on paper were entered by the word of somebody who saw them"),
        any(VOID, "a print at full size was not true to scale"),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// What was given, and how many more, as the subject of a sentence: `H4 and H5 were`.
fn were(what: &[String]) -> String {
    let named: Vec<&String> = what.iter().take(NAMED).collect();
    let more = what.len() - named.len();
    match (named.as_slice(), more) {
        ([one], 0) => format!("{one} was"),
        (named, 0) => format!("{} were", listed(named)),
        (named, more) => format!(
            "{} and {more} more were",
            named.iter().map(|one| one.as_str()).collect::<Vec<_>>().join(", ")
        ),
    }
}

/// A word in the middle of a sentence: what is no number of a point begins small.
fn lower(text: &str) -> String {
    text.replacen("The ", "the ", 1)
}

/// `A`, `A and B`, `A, B and C`.
pub(super) fn listed<T: AsRef<str>>(all: &[T]) -> String {
    let all: Vec<&str> = all.iter().map(AsRef::as_ref).collect();
    match all.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [before @ .., last] => format!("{} and {last}", before.join(", ")),
    }
}
