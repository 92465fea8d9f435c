//! Words that say all is well beside something found later where they were chosen: they stand
//! once they were read again after it, or once a lead who decides about it says so.
//!
//! A condition that names a reading puts that one alone in question; one that names none puts
//! every word chosen at its operation in question, but those of joints it does not name. Words of other operations are not asked
//! again, and no number is: it has its limits.

use chrono::TimeDelta;

use super::entry::{Measured, SLACK};
use super::frozen::{Frozen, GATED_SINCE, Operation, Reading};
use super::held::{Kind, Undecided, stands_since};
use super::kept::{Found, Mark};
use super::rules::Scene;
use super::state::State;
use crate::term::{Disposition, Verdict};

/// Edition of the rules since which words beside what was found are in question.
pub const SINCE: u32 = GATED_SINCE;

/// That a lead who decided lets words stand, in words.
pub const WORDS_STAND: &str = "the words chosen there before stand";

/// A word, and what was found after it was chosen.
#[derive(Debug, Clone, Copy)]
pub struct Questioned<'a> {
    /// Where it was chosen.
    pub operation: &'a Operation,
    /// The box.
    pub reading: &'a Reading,
    /// What stands there.
    pub measured: &'a Measured,
    /// What was found.
    pub found: &'a Found,
}

impl Questioned<'_> {
    /// The word and its place: `120.cracks.J1, clear`.
    #[must_use]
    pub fn said(&self) -> String {
        format!("{}.{}, \"{}\"", self.operation.number, self.reading.id, self.measured.text)
    }
}

/// Whether a condition speaks of a reading at its operation: of the one it names, else of all
/// but those of joints it does not name.
fn about(found: &Found, operation: &Operation, reading: &Reading) -> bool {
    let named = found.joints(operation);
    let of_joint = operation.joints.iter().any(|joint| reading.is_of(joint));
    let speaks = named.is_empty() || !of_joint || named.iter().any(|joint| reading.is_of(joint));
    found.reading.as_ref().map_or(speaks, |id| *id == reading.id)
}

impl State {
    /// Whether a word was chosen before something was found, by its entry or by its time: what
    /// is entered later of an earlier look, or put right as a slip of the pen, says nothing of
    /// what was found.
    fn chosen_before(&self, word: &Mark, found: &Found) -> bool {
        let first = self.first_read.get(&word.n).copied().unwrap_or(word.n);
        let earlier = || {
            let times = word.time().zip(found.mark.time());
            times.is_some_and(|(word, found)| found - word >= TimeDelta::minutes(SLACK))
        };
        first < found.mark.n || earlier()
    }

    /// Conditions found at an operation, oldest first.
    fn found_at(&self, key: &str) -> impl DoubleEndedIterator<Item = &Found> {
        let places = self.found_at.get(key).map_or(&[][..], Vec::as_slice);
        places.iter().filter_map(|place| self.founds.get(*place))
    }

    /// Words that conform, chosen at an operation.
    fn words_at<'a>(
        &'a self,
        operation: &'a Operation,
    ) -> impl Iterator<Item = (&'a Reading, &'a Measured, &'a Mark)> {
        let words = operation.readings().filter(|r| !r.choices.is_empty());
        words.filter_map(|r| {
            let (measured, mark) = self.reading(&operation.key, &r.id)?;
            measured.verdict.is(Verdict::Conform).then_some((r, measured, mark))
        })
    }

    /// Words that were chosen before one condition was found, and speak of where it was.
    #[must_use]
    pub fn words_before<'a>(&'a self, plan: &'a Frozen, found: &'a Found) -> Vec<Questioned<'a>> {
        let operation = plan.operations.iter().find(|o| o.key == found.key && !o.deferred);
        let words = operation.into_iter().flat_map(|o| self.words_at(o).map(move |word| (o, word)));
        words
            .filter(|(operation, (reading, _, mark))| {
                about(found, operation, reading) && self.chosen_before(mark, found)
            })
            .map(|(operation, (reading, measured, _))| Questioned { operation, reading, measured, found })
            .collect()
    }

    /// Words in question: of each the last that was found after it, and that no lead lets it
    /// stand beside.
    #[must_use]
    pub fn questioned<'a>(&'a self, plan: &'a Frozen) -> Vec<Questioned<'a>> {
        if plan.rules < SINCE || self.founds.is_empty() {
            return Vec::new();
        }
        let here = plan.operations.iter().filter(|o| !o.deferred && self.found_at.contains_key(&o.key));
        let words = here.flat_map(|o| self.words_at(o).map(move |word| (o, word)));
        words
            .filter_map(|(operation, (reading, measured, mark))| {
                // A word read again after the last needs no look at those before.
                let mut later =
                    self.found_at(&operation.key).rev().take_while(|f| self.chosen_before(mark, f));
                let found = later.find(|f| about(f, operation, reading) && !f.words_stand)?;
                Some(Questioned { operation, reading, measured, found })
            })
            .collect()
    }
}

impl Scene<'_> {
    /// Words in question beside what a lead has decided: what is not decided shuts more.
    pub(super) fn questioned(&self) -> impl Iterator<Item = Undecided> {
        let decided =
            |found: &Found| found.disposition.as_ref().is_some_and(|(what, ..)| *what != Disposition::Reject);
        let all = self.state.questioned(self.plan).into_iter().filter(move |q| decided(q.found));
        all.map(|q| self.in_question(&q))
    }

    fn in_question(&self, q: &Questioned<'_>) -> Undecided {
        let Questioned { operation, reading, found, .. } = *q;
        let (what, n) = found.disposition.as_ref().map_or(("", 0), |(what, _, mark)| (what.word(), mark.n));
        Undecided {
            key: operation.key.clone(),
            kind: Kind::Questioned,
            n: Some(stands_since(found)),
            at: found.mark.time(),
            words: format!(
                "{} was found where {} was chosen before, and that is in question",
                found.number,
                q.said()
            ),
            way_out: format!(
                "read it again, as it is now: {}; or a lead says that it stands all the same: tackwright dispose {} {} \"{what}\" --words-stand --corrects {n} --by {} --reason \"…\"",
                self.measures(operation, reading, true),
                self.plan.number,
                found.number,
                self.by("lead", |_| true)
            ),
        }
    }
}
