//! Limits of visual acceptance as numbers, by standard and level.

use super::column::Column;
use crate::figure::prelude::*;

pub(super) const AWS_STATIC: Source =
    Source::standard("AWS D1.1:2015", "table 6.1, statically loaded (2020: table 8.1)");
pub(super) const AWS_CYCLIC: Source =
    Source::standard("AWS D1.1:2015", "table 6.1, cyclically loaded (2020: table 8.1)").from_memory();
pub(super) const AWS_SI: Source =
    Source::standard("AWS D1.1:2015", "table 6.1, metric column (2020: table 8.1)").from_memory();
pub(super) const ISO: Source =
    Source::standard("ISO 5817:2014", "table 1, thickness over 3 mm").from_memory();

pub(super) const AWS_PROFILE: Source =
    Source::standard("AWS D1.1:2015", "table 5.9 and 5.10, profiles of butt welds (2020: table 7.9)")
        .from_memory();
pub(super) const AWS_FIT: Source =
    Source::standard("AWS D1.1:2015", "5.21, fit-up of plates (2020: 7.21)").from_memory();

/// A standard and level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    /// AWS D1.1, statically loaded.
    AwsStatic,
    /// AWS D1.1, cyclically loaded.
    AwsCyclic,
    /// ISO 5817 level B, strict.
    IsoB,
    /// ISO 5817 level C, intermediate.
    IsoC,
    /// ISO 5817 level D, moderate.
    IsoD,
}

impl Level {
    /// Whether it is a level of ISO 5817.
    pub(super) const fn is_iso(self) -> bool {
        matches!(self, Level::IsoB | Level::IsoC | Level::IsoD)
    }

    /// Source of its limits.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Level::AwsStatic => AWS_STATIC,
            Level::AwsCyclic => AWS_CYCLIC,
            _ => ISO,
        }
    }
}

/// `base + share x size`, at most `cap`, in millimetres, for levels B, C, D of
/// ISO 5817; AWS takes none of them.
fn iso(level: Level, size: Length, [b, c, d]: [(f64, f64, f64); 3]) -> Length {
    let (base, share, cap) = match level {
        Level::IsoB => b,
        Level::IsoC => c,
        _ => d,
    };
    Length::of((base + share * size.to(unit::MM)).min(cap), unit::MM)
}

const NONE: (f64, f64, f64) = (0.0, 0.0, 0.0);
const ANY: f64 = f64::INFINITY;

/// Greatest undercut along the weld. AWS cyclic: 0.010 in across the main
/// tension, else 1/32 in.
#[must_use]
pub fn undercut(level: Level, thickness: Length, across_tension: bool, column: Column) -> Length {
    match level {
        Level::AwsStatic if !thin(thickness, column) => column.length(0.0625, 2.0),
        Level::AwsCyclic if across_tension => column.length(0.010, 0.25),
        Level::AwsStatic | Level::AwsCyclic => column.length(0.03125, 1.0),
        _ => iso(level, thickness, [(0.0, 0.05, 0.5), (0.0, 0.1, 0.5), (0.0, 0.2, 1.0)]),
    }
}

/// Whether a part is under 1 in (25 mm).
fn thin(thickness: Length, column: Column) -> bool {
    thickness.si() < column.length(1.0, 25.0).si() - 1e-11
}

/// Undercut allowed for a total of 2 in in any 12 in, AWS static under 1 in.
pub(super) fn short_undercut(level: Level, thickness: Length, column: Column) -> Option<Length> {
    (level == Level::AwsStatic && thin(thickness, column)).then(|| column.length(0.0625, 2.0))
}

/// Greatest undersize of a fillet by its leg, over a tenth of its length
/// (AWS D1.1).
#[must_use]
pub fn undersize(leg: Length, column: Column) -> Length {
    let below = |inches, millimetres| leg.si() < column.length(inches, millimetres).si() - 1e-11;
    // Between the printed sizes the smaller allowance is taken.
    if below(0.25, 6.0) {
        column.length(0.0625, 2.0)
    } else if below(0.3125, 8.0) {
        column.length(0.09375, 2.5)
    } else {
        column.length(0.125, 3.0)
    }
}

/// Greatest convexity of a fillet by the width of its face.
pub(super) fn convexity(level: Level, width: Length, column: Column) -> Length {
    if level.is_iso() {
        return iso(level, width, [(1.0, 0.1, 3.0), (1.0, 0.15, 4.0), (1.0, 0.25, 5.0)]);
    }
    if width.si() <= column.length(0.3125, 8.0).si() + 1e-11 {
        column.length(0.0625, 2.0)
    } else if thin(width, column) {
        column.length(0.125, 3.0)
    } else {
        column.length(0.1875, 5.0)
    }
}

/// Greatest excess weld metal of a butt weld by its width (ISO 5817).
pub(super) fn excess_weld(level: Level, width: Length) -> Length {
    iso(level, width, [(1.0, 0.1, 5.0), (1.0, 0.15, 7.0), (1.0, 0.25, 10.0)])
}

/// Greatest linear misalignment (ISO 5817), plates or round seams.
pub(super) fn misalignment(level: Level, thickness: Length, round: bool) -> Length {
    let rows = if round {
        [(0.0, 0.5, 2.0), (0.0, 0.5, 3.0), (0.0, 0.5, 4.0)]
    } else {
        [(0.0, 0.1, 3.0), (0.0, 0.15, 4.0), (0.0, 0.25, 5.0)]
    };
    iso(level, thickness, rows)
}

/// Greatest shortfall of the throat (ISO 5817); none at level B.
pub(super) fn short_throat(level: Level, throat: Length) -> Length {
    iso(level, throat, [NONE, (0.3, 0.1, 1.0), (0.3, 0.1, 2.0)])
}

/// Greatest excess of the throat (ISO 5817); any at level D.
pub(super) fn excess_throat(level: Level, throat: Length) -> Option<Length> {
    (level != Level::IsoD).then(|| iso(level, throat, [(1.0, 0.15, 3.0), (1.0, 0.2, 4.0), NONE]))
}

/// Greatest root gap of a fillet by its throat (ISO 5817).
pub(super) fn fillet_gap(level: Level, throat: Length) -> Length {
    iso(level, throat, [(0.5, 0.1, 2.0), (0.5, 0.2, 3.0), (1.0, 0.3, 4.0)])
}

/// Greatest difference of the legs by the throat (ISO 5817).
pub(super) fn asymmetry(level: Level, throat: Length) -> Length {
    iso(level, throat, [(1.5, 0.15, ANY), (2.0, 0.15, ANY), (2.0, 0.2, ANY)])
}

/// Greatest overlap by the width of the weld (ISO 5817); none at B and C.
#[must_use]
pub fn overlap(level: Level, width: Length) -> Length {
    iso(level, width, [NONE, NONE, (0.0, 0.2, ANY)])
}

/// Greatest end crater pipe (ISO 5817); none at B.
pub(super) fn crater_pipe(level: Level, thickness: Length) -> Length {
    iso(level, thickness, [NONE, (0.0, 0.1, 1.0), (0.0, 0.2, 2.0)])
}

/// Greatest surface pore of a butt weld by its nominal thickness (ISO 5817);
/// none at B.
pub(super) fn surface_pore(level: Level, thickness: Length) -> Length {
    iso(level, thickness, [NONE, (0.0, 0.2, 2.0), (0.0, 0.3, 3.0)])
}

/// Greatest reinforcement of a butt weld by the thickness (AWS D1.1 profiles).
pub(super) fn aws_reinforcement(thickness: Length, column: Column) -> Length {
    let to = |inches, millimetres| thickness.si() <= column.length(inches, millimetres).si() + 1e-11;
    if to(1.0, 25.0) {
        column.length(0.125, 3.0)
    } else if to(2.0, 50.0) {
        column.length(0.1875, 5.0)
    } else {
        column.length(0.25, 6.0)
    }
}

/// Greatest misalignment of butted plates (AWS D1.1 fit-up): a tenth of the
/// thinner part, not over 1/8 in (3 mm). Round seams have rules of their own.
pub(super) fn aws_misalignment(thickness: Length, column: Column) -> Length {
    smaller(thickness / 10.0, column.length(0.125, 3.0))
}
