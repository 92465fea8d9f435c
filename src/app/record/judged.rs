//! What came of a reading: its verdict, and what it changed.

use std::path::PathBuf;

use super::recompute::Changed;
use crate::quantity::{Kind, Quantity, Style, Toward, show};
use crate::record::entry::Measured;
use crate::record::frozen::Limits;
use crate::record::held::READ_AGAIN;
use crate::record::log::Appended;
use crate::term::{self, Units, Verdict};

/// A reading whose printed target is another one now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewTarget {
    /// Number of its operation.
    pub operation: u32,
    /// Of the reading, within its operation.
    pub id: String,
    /// What is read, as the paper says it.
    pub label: String,
    /// As printed.
    pub before: String,
    /// As it follows from what was read since.
    pub now: String,
}

/// Limits that were taken in by a guard band, in the units of the job, never looser than they are:
/// `−0.89° to 1.89°`.
pub(super) fn between(units: Units, limits: Limits) -> String {
    let style = match limits.kind {
        Kind::Angle => show::FINE_ANGLE,
        Kind::Length => show::GAUGE,
        kind => Style::of(kind),
    };
    let say = |q: Quantity, toward: Toward| units.first(Style { toward, ..style }).shop(q);
    let (low, high) = (limits.lower.map(|q| say(q, Toward::Up)), limits.upper.map(|q| say(q, Toward::Down)));
    match (low, high) {
        (Some(low), Some(high)) => format!("{low} to {high}"),
        (Some(one), None) => format!("at least {one}"),
        (None, Some(one)) => format!("at most {one}"),
        (None, None) => String::new(),
    }
}

/// What came of a reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judged {
    /// Place and hash.
    pub entry: Appended,
    /// What was entered: value, limits, verdict.
    pub measured: Measured,
    /// One sentence: value, limits, guard band, verdict.
    pub words: String,
    /// Figures that changed.
    pub changed: Vec<Changed>,
    /// Targets that changed.
    pub targets: Vec<NewTarget>,
    /// Readings taken before that no longer hold by the new limits, in words.
    pub lost: Vec<String>,
    /// The slip for the bench.
    pub slip: Option<PathBuf>,
}

impl Judged {
    /// The same, everything that is told of it in other words.
    #[must_use]
    pub(super) fn reworded(mut self, say: impl Fn(&str) -> String) -> Self {
        let changed = self.changed.iter_mut();
        let changed = changed.flat_map(|c| [&mut c.what, &mut c.before, &mut c.now, &mut c.formula]);
        let told = self.entry.warnings.iter_mut().chain(&mut self.lost).chain([&mut self.words]);
        told.chain(changed).for_each(|text| *text = say(text));
        self
    }

    /// What to do about a reading that is not proven to conform, in the words a refusal has.
    #[must_use]
    pub fn advice(&self) -> Option<String> {
        let then = "either way file it (found), and a lead decides";
        match self.measured.verdict {
            // A word was chosen, nothing was measured; what it opened is said with it.
            term::Judged::Decided(Verdict::NotConform) if self.measured.value.is_none() => {
                let opened = !self.entry.warnings.is_empty();
                (!opened).then(|| format!("This answer keeps the next hold shut: {READ_AGAIN}; {then}."))
            }
            term::Judged::Decided(Verdict::NotConform) => {
                Some(format!("Outside its limits: {READ_AGAIN}; {then}."))
            }
            term::Judged::Decided(Verdict::NotProven) => Some(format!(
                "Inside the guard band: neither right nor wrong is proven. Measure better, with --again, and both stand; {then}."
            )),
            term::Judged::Decided(Verdict::Conform) | term::Judged::Recorded => None,
        }
    }
}
