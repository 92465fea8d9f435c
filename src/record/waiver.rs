//! A lead lets somebody test who is not certified for it: an entry of its own.

use chrono::TimeDelta;

use super::entry::{Action, By, SLACK};
use super::frozen::{DROPPED_SINCE, HONEST_SINCE, Operation};
use super::people::Signer;
use super::rules::{Scene, refuse};
use super::state::{Mark, State};
use crate::diagnostic::Diagnostic;
use crate::term::clock::told;

/// A tester a lead let test without a certificate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waiver {
    /// Key of the operation.
    pub key: String,
    /// The reading that says how the test came out.
    pub reading: String,
    /// Who tests.
    pub tester: By,
    /// Why, in words.
    pub reason: String,
    /// The lead, when, by which entry.
    pub mark: Mark,
}

impl State {
    /// What lets a person test at a reading without a certificate; none if no lead did.
    #[must_use]
    pub fn tester(&self, key: &str, reading: &str, id: &str) -> Option<&Waiver> {
        self.testers.iter().rev().find(|w| w.key == key && w.reading == reading && w.tester.id == id)
    }
}

impl Scene<'_> {
    /// What lets a person test at a reading without a certificate; none if no lead did.
    ///
    /// # Errors
    /// If the test is said to be made before a lead let it be.
    pub fn let_test(
        &self,
        operation: &Operation,
        reading: &str,
        id: &str,
    ) -> Result<Option<&Waiver>, Diagnostic> {
        let waiver = self.state.tester(&operation.key, reading, id);
        let (Some(let_be), Some(at)) = (waiver.and_then(|w| w.mark.time()), self.at) else {
            return Ok(waiver);
        };
        if self.plan.rules < DROPPED_SINCE || let_be - at < TimeDelta::minutes(SLACK) {
            return Ok(waiver);
        }
        let place = format!("{}.{reading}", operation.number);
        Err(refuse(
            "L267",
            "a lead lets a test be before it is made",
            format!(
                "{place} is said to be tested at {}, and a lead let it be at {}",
                told(&at),
                told(&let_be)
            ),
            format!(
                "have who is certified test it; or test it now, and write it with the time it was tested: tackwright measure {} {place} WORD --by {id}",
                self.plan.number
            ),
        ))
    }

    /// Whether what a lead let be may be taken back: nothing was tested on it.
    ///
    /// # Errors
    /// With the entry that rests on it.
    pub(super) fn unused(&self, n: u64, what: &Action) -> Result<(), Diagnostic> {
        let Action::TesterWaived { operation, reading, tester, .. } = what else { return Ok(()) };
        let mut all = self.state.all_readings(&operation.key, reading);
        let used = all.find(|(m, mark)| mark.n > n && mark.by.id == tester.id && m.rests_on.is_empty());
        let Some((_, mark)) = used.filter(|_| self.plan.rules >= DROPPED_SINCE) else { return Ok(()) };
        Err(refuse(
            "L268",
            "what a test rests on is not taken back from under it",
            format!(
                "entry {n} lets {} test {}.{reading}, and entry {} rests on it",
                tester.name, operation.number, mark.n
            ),
            format!(
                "have who is certified test it again (--again), and both stand; or take the test back first: tackwright correct {} {} --by LEAD --reason \"…\"",
                self.plan.number, mark.n
            ),
        ))
    }

    /// Whether a lead may let `tester` test without a certificate at a reading.
    ///
    /// # Errors
    /// If nobody has to be certified there, the lead is the tester, or nothing is said for it.
    pub fn waive_tester(
        &self,
        lead: &Signer,
        tester: &By,
        operation: &Operation,
        reading: &str,
        reason: &str,
    ) -> Result<(), Diagnostic> {
        self.closed(operation)?;
        let place = format!("{}.{reading}", operation.number);
        let planned = operation.readings().find(|r| r.id == reading);
        let asks = planned.is_some_and(|r| r.choices.iter().any(|c| !c.tests.is_empty()));
        if !asks || self.plan.rules < HONEST_SINCE {
            let why = if asks {
                "this traveler was issued before it could be waived"
            } else {
                "nobody has to be certified for it"
            };
            return Err(refuse(
                "L265",
                "a lead waives what is asked, and nothing else",
                format!("{place}: {why}"),
                "write the reading; what is not as it should be is a found condition",
            ));
        }
        if self.is(tester, lead) {
            return Err(refuse(
                "L266",
                "nobody waives their own certificate",
                format!("{} would test at {place}, and let themselves do it", lead.name),
                self.have("lead", "waive it", |p| !self.is(tester, p)),
            ));
        }
        self.says(reason, "the reason of a waiver", "--reason \"certificate renewed, card on its way\"")
    }
}
