//! Findings on a weld that can't be of one weld.

use super::visual_acceptance::{Measured, VisualAcceptance, over};
use super::weld_strength::throat_of_leg;
use crate::figure::prelude::*;

/// Refuses findings that can't be of one weld.
pub(super) fn contradictions(given: &VisualAcceptance) -> Result<()> {
    let zero = |measured: &Measured| measured.is_some_and(|size| size.si() == 0.0);
    let some = |measured: &Measured| measured.is_some_and(|size| size.si() > 0.0);
    let longer = |part: &Measured, whole: Option<Length>| {
        part.zip(whole).is_some_and(|(part, whole)| over(part, whole))
    };
    let sums = some(&given.pore_sum) || some(&given.pore_sum_foot);
    let counted = given.pores.is_some_and(|pores| pores.si() > 0.0);
    given
        .throat
        .zip(*given.leg)
        .is_some_and(|(throat, leg)| over(throat, throat_of_leg(leg) * 1.02))
        .refuse(
            "the throat is more than a fillet of this leg has",
            "check throat and leg: a is the throat and z the leg, 1.41 times it",
        )?;
    (zero(&given.undercut) && some(&given.undercut_length))
        .refuse("undercut is zero and has a length", "check undercut and undercut_length")?;
    (zero(&given.undersize) && some(&given.undersize_length))
        .refuse("undersize is zero and has a length", "check undersize and undersize_length")?;
    (some(&given.undercut) && zero(&given.undercut_length))
        .refuse("undercut was measured and its length is zero", "check undercut and undercut_length")?;
    (some(&given.undersize) && zero(&given.undersize_length))
        .refuse("undersize was measured and its length is zero", "check undersize and undersize_length")?;
    (longer(&given.undersize_length, *given.length) || longer(&given.undercut_length, *given.length))
        .refuse(
            "more of the weld is at fault than it is long",
            "check length, undercut_length and undersize_length",
        )?;
    (zero(&given.pore) && (sums || counted)).refuse(
        "the largest pore is zero and pores are counted",
        "check pore, pore_sum, pore_sum_foot and pores",
    )?;
    (some(&given.pore) && given.pores.is_some_and(|pores| pores.si() == 0.0))
        .refuse("a pore was measured and none is counted", "check pore and pores")?;
    let least = given.table.length(0.03125, 1.0);
    let counts = given.pore.filter(|pore| *pore >= least);
    (counts.zip(*given.pore_sum).is_some_and(|(pore, sum)| over(pore, sum))).refuse(
        "the largest pore is more than the sum of the pores in its inch",
        "check pore and pore_sum",
    )?;
    (given.pore_sum.zip(*given.pore_sum_foot).is_some_and(|(inch, foot)| over(inch, foot)))
        .refuse("an inch holds more pores than its foot", "check pore_sum and pore_sum_foot")
}
