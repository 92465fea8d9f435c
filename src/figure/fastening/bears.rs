//! Whether a bolt bears the preload it is given.

use super::profile;
use super::selection::{Strength, Thread};
use super::short_form::implied_preload;
use crate::figure::prelude::*;
use crate::reference::grade;

/// Source of the verdict.
pub(super) const PROOF: Source = super::selection::shigley("eq. 8-31 and 8-32: preload below the proof load");

words! {
    /// What becomes of a bolt under its preload.
    pub Bears {
        /// The whole band of the preload is within the proof load.
        Yes = "within the proof load",
        /// The preload is within the proof load, its high end or its uncertainty is not.
        HighEnd = "may yield: the high end passes the proof load",
        /// The preload passes the proof load.
        No = "no: past the proof load",
        /// The proof load is not known.
        NotJudged = "not judged: no grade or proof stress given",
    }
}

impl Bears {
    /// Judges a preload with the high end of its band (scatter and stated
    /// uncertainty) against the proof load.
    #[must_use]
    pub fn judge(preload: Force, high: Force, proof: Option<Force>) -> Self {
        let within = |force: Force, proof: Force| force.si() <= proof.si() * (1.0 + 1e-9);
        match proof {
            None => Bears::NotJudged,
            Some(proof) if !within(preload, proof) => Bears::No,
            Some(proof) if !within(high, proof) => Bears::HighEnd,
            Some(_) => Bears::Yes,
        }
    }

    /// Tells about a preload past the proof load, in one way everywhere.
    pub(super) fn tell(self, said: &mut Said, preload: Force, high: Force, proof: Option<Force>) {
        let Some(proof) = proof else { return };
        let share = |force: Force| 100.0 * force.si() / proof.si();
        match self {
            Bears::Yes | Bears::NotJudged => {}
            Bears::HighEnd => said.warn(format!(
                "The high end of the preload is {:.0} % of the proof load: the bolt may yield. Lower the torque or use a closer method.",
                share(high)
            )),
            Bears::No => said.warn(format!(
                "The preload is {:.0} % of the proof load: the bolt stretches for good. Lower it, or use a larger bolt or a higher grade.",
                share(preload)
            )),
        }
    }
}

/// Share of the proof load below which a preload is told as too low (common practice).
const SLACK: f64 = 0.25;

/// Tells of a preload so low that a unit or a digit is wrong, or the bolt works free.
pub(super) fn tell_slack(said: &mut Said, share: f64) {
    if share < SLACK {
        said.warn(format!(
            "The preload is {:.0} % of the proof load: a bolt as loose works free. Check the unit and the finish; 60 to 75 % is common practice.",
            100.0 * share
        ));
    }
}

/// Refuses a preload that breaks the bolt: over the tensile strength of its
/// grade, or, where that is not known, of every bolt that is listed.
pub(super) fn refuse_broken(
    preload: Force,
    thread: &Thread,
    area: Area,
    strength: Option<&Strength>,
) -> Result<()> {
    let named = strength.and_then(|s| Some((s.name.clone(), s.tensile?)));
    let (name, tensile) = named.unwrap_or_else(|| {
        let strongest = grade::strongest(thread.is_metric());
        (format!("{}, the strongest listed", strongest.name()), strongest.tensile())
    });
    refuse(preload, tensile * area, &format!("{} of {name}", thread.name))
}

/// The same by the thread alone, or by the diameter alone: no thread has more
/// than its circle.
pub(super) fn refuse_any_broken(preload: Force, major: Length, thread: Option<&Thread>) -> Result<()> {
    if let Some(thread) = thread {
        return refuse_broken(preload, thread, profile::nominal_stress_area(thread), None);
    }
    let strongest = grade::strongest(false);
    let size = show(major);
    let what = format!("a bolt of {size} of {}, the strongest listed", strongest.name());
    refuse(preload, strongest.tensile() * profile::circle(major), &what)
}

/// Highest nut factor that is taken for any finish.
const STIFFEST: f64 = 0.6;

/// Refuses a torque that breaks every bolt of the thread, whatever its finish.
pub(super) fn refuse_any_torque(torque: Torque, thread: &Thread) -> Result<()> {
    let least = implied_preload(torque, Number::from_si(STIFFEST), thread.major);
    refuse_any_broken(least, thread.major, Some(thread))
}

fn refuse(preload: Force, breaks: Force, what: &str) -> Result<()> {
    if preload.si() <= breaks.si() * (1.0 + 1e-9) {
        return Ok(());
    }
    Err(Trouble::impossible(
        format!(
            "a preload of {} is more than the bolt can carry: {what} breaks at {}",
            show(preload),
            show(breaks)
        ),
        "check torque, nut factor, thread and grade",
    ))
}

/// Whether a bolt of every listed grade bears the preload, so that the grade
/// need not be known.
#[must_use]
pub(super) fn any_bears(preload: Force, area: Area, metric: bool) -> bool {
    preload <= grade::weakest_proof(metric) * area
}
