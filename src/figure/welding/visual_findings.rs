//! What is told of a weld that is looked at: the standard, its sizes, what was
//! measured; and findings that can't be of one weld.

use super::column::Column;
use super::weld_strength::throat_of_leg;
use crate::figure::prelude::*;
use crate::figure::usual::PLATE;

words! {
    /// Standard of acceptance.
    pub Standard {
        AwsStatic = "aws-static" | "static" | "aws-d1.1-static" | "d1.1-static",
        AwsCyclic = "aws-cyclic" | "cyclic" | "aws-d1.1-cyclic" | "d1.1-cyclic",
        IsoB = "iso-b" | "b" | "iso-5817-b" | "level-b",
        IsoC = "iso-c" | "c" | "iso-5817-c" | "level-c",
        IsoD = "iso-d" | "d" | "iso-5817-d" | "level-d",
        /// With the loading beside it:
        Aws = "aws-d1.1" | "d1.1" | "aws" | "aws-d1.1/d1.1m" | "d1.1/d1.1m",
        /// With a level beside it:
        Iso = "iso-5817" | "en-iso-5817",
    }
}

words! {
    /// Loading of AWS D1.1.
    pub Loading { Static = "static" | "statically", Cyclic = "cyclic" | "cyclically" | "fatigue", }
}

words! {
    /// Level of ISO 5817.
    pub Quality { B = "B", C = "C", D = "D", }
}

words! {
    /// Where the main tension runs.
    pub Tension { Across = "across", Along = "along", }
}

family! {
    /// A weld that is looked at: its standard, its sizes and what was measured.
    reads Findings {
        optional standard: Standard,
            "AWS D1.1 static or cyclic, ISO 5817:2014 level B, C or D; aws-d1.1 with loading, iso-5817 with level",
            "class", "code";
        optional loading: Loading, "with aws-d1.1: how the weld is loaded", "load_type", "service";
        optional level: Quality, "level of ISO 5817, instead of iso-b, iso-c, iso-d", "quality_level", "quality";
        required thickness: Length in PLATE, "base metal thickness; the thinner part", "t", "s",
            "base_metal";
        optional leg: Length in ABOVE_ZERO, "leg of the fillet", "z", "leg_size", "weld_size";
        optional throat: Length in ABOVE_ZERO, "nominal throat; without it from the leg", "a";
        optional width: Length in ABOVE_ZERO, "width of the weld face", "b", "w", "face_width";
        optional length: Length in ABOVE_ZERO, "length of the weld", "l", "weld_length";
        default tension: Tension = Across,
            "aws-cyclic: whether the main tension runs across the weld or along it", "stress_direction";
        flag circumferential: bool, "a round seam", "round", "tube", "pipe";
        flag quenched: bool, "steel that cracks late: A514, A517, A709 grade 100", "qt", "delayed";
        optional undercut: Length in NOT_NEGATIVE, "measured undercut depth";
        optional undercut_length: Length in NOT_NEGATIVE,
            "measured total length of that undercut in the worst 12 in";
        optional undersize: Length in NOT_NEGATIVE, "measured undersize of the leg";
        optional undersize_length: Length in NOT_NEGATIVE, "measured total length that is undersize";
        optional convexity: Length in NOT_NEGATIVE, "measured convexity";
        optional misalignment: Length in NOT_NEGATIVE, "measured linear misalignment", "hi_lo", "mismatch";
        optional gap: Length in NOT_NEGATIVE, "measured root gap of a fillet", "root_gap";
        optional leg_difference: Length in NOT_NEGATIVE, "measured difference of the two legs", "asymmetry";
        optional throat_short: Length in NOT_NEGATIVE, "measured shortfall of the throat", "insufficient_throat";
        optional throat_excess: Length in NOT_NEGATIVE, "measured excess of the throat", "excess_throat";
        optional excess_weld: Length in NOT_NEGATIVE, "measured excess weld metal of a butt weld",
            "reinforcement";
        optional overlap: Length in NOT_NEGATIVE, "measured overlap";
        optional pore: Length in NOT_NEGATIVE, "diameter of the largest surface pore", "pore_diameter",
            "porosity";
        optional pore_sum: Length in NOT_NEGATIVE, "sum of pore diameters in the worst inch (AWS static)",
            "porosity_sum";
        optional pore_sum_foot: Length in NOT_NEGATIVE, "sum of pore diameters in the worst 12 in (AWS static)";
        optional pores: Number in NOT_NEGATIVE.whole(), "pores in the worst 4 in (AWS cyclic)", "pore_count";
        optional crater_pipe: Length in NOT_NEGATIVE, "measured depth of the deepest end crater pipe (ISO)", "end_crater";
        optional craters_filled: bool, "every crater is filled to the size of the weld (AWS)", "craters";
        flag crack: bool, "a crack was seen", "cracks";
        flag lack_of_fusion: bool, "lack of fusion was seen", "lof";
        default table: Column = Inch,
            "column of the code's table; at the bench that of the units the thickness is written in", "units",
            "column";
    }
}

pub(super) type Measured = Read<Option<Length>>;

pub(super) fn over(value: Length, max: Length) -> bool {
    value.si() > max.si() * (1.0 + 1e-9) + 1e-12
}

/// Refuses findings that can't be of one weld.
pub(super) fn contradictions(given: &Findings) -> Result<()> {
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
