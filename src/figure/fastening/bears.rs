//! Whether a bolt bears the preload it is given.

use super::profile;
use super::selection::{Strength, Thread};
use crate::figure::{Answer, Trouble};
use crate::quantity::{Area, Dimensioned, Force, Kind, Length, Style};
use crate::reference::grade;
use crate::source::Source;

/// Source of the verdict.
pub(super) const PROOF: Source = super::selection::shigley("eq. 8-31 and 8-32: preload below the proof load");

/// What becomes of a bolt under its preload.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bears {
    /// The whole band of the preload is within the proof load.
    Yes,
    /// The preload is within the proof load, its high end or its uncertainty is not.
    HighEnd,
    /// The preload passes the proof load.
    No,
    /// The proof load is not known.
    NotJudged,
}

impl Bears {
    /// In words.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Bears::Yes => "within the proof load",
            Bears::HighEnd => "may yield: the high end passes the proof load",
            Bears::No => "no: past the proof load",
            Bears::NotJudged => "not judged: no grade or proof stress given",
        }
    }

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
}

/// Refuses a preload that breaks the bolt: over the tensile strength of its
/// grade, or, where that is not known, of every bolt that is listed.
///
/// # Errors
/// If no bolt bears the preload.
pub(super) fn refuse_broken(
    preload: Force,
    thread: &Thread,
    area: Area,
    strength: Option<&Strength>,
) -> Result<(), Trouble> {
    let named = strength.and_then(|s| Some((s.name.clone(), s.tensile?)));
    let (name, tensile) = named.unwrap_or_else(|| {
        let strongest = grade::strongest(thread.is_metric());
        (format!("{}, the strongest listed", strongest.name()), strongest.tensile())
    });
    refuse(preload, tensile * area, &format!("{} of {name}", thread.name))
}

/// The same where only the diameter is known: no thread has more than its circle.
///
/// # Errors
/// If no bolt bears the preload.
pub(super) fn refuse_broken_size(preload: Force, major: Length) -> Result<(), Trouble> {
    let strongest = grade::strongest(false);
    let what = format!(
        "a bolt of {} of {}, the strongest listed",
        Style::of(Kind::Length).both(major.into()),
        strongest.name()
    );
    refuse(preload, strongest.tensile() * profile::circle(major), &what)
}

fn refuse(preload: Force, breaks: Force, what: &str) -> Result<(), Trouble> {
    if preload.si() <= breaks.si() * (1.0 + 1e-9) {
        return Ok(());
    }
    let show = |force: Force| Style::of(Kind::Force).both(force.into());
    Err(Trouble::impossible(
        format!(
            "a preload of {} is more than the bolt can carry: {what} breaks at {}",
            show(preload),
            show(breaks)
        ),
        "check torque, nut factor, thread and grade",
    ))
}

/// Tells about a preload past the proof load, in one way everywhere.
pub(super) fn tell(answer: &mut Answer, bears: Bears, preload: Force, high: Force, proof: Option<Force>) {
    let Some(proof) = proof else { return };
    let share = |force: Force| 100.0 * force.si() / proof.si();
    match bears {
        Bears::Yes | Bears::NotJudged => {}
        Bears::HighEnd => answer.warn(format!(
            "The high end of the preload is {:.0} % of the proof load: the bolt may yield. Lower the torque or use a closer method.",
            share(high)
        )),
        Bears::No => answer.warn(format!(
            "The preload is {:.0} % of the proof load: the bolt stretches for good. Lower it, or use a larger bolt or a higher grade.",
            share(preload)
        )),
    }
}

/// Whether a bolt of every listed grade bears the preload, so that the grade
/// need not be known.
#[must_use]
pub(super) fn any_bears(preload: Force, area: Area, metric: bool) -> bool {
    preload <= grade::weakest_proof(metric) * area
}
