//! What is possible and what is usual of quantities that many families read: one
//! range each, so that a wrong unit or a lost point is told wherever it is typed.
//!
//! Outside the bounds a value is refused, outside the usual ones it is told with
//! the answer (common practice). What is particular to one family stands with it.

use super::range::{ABOVE_ZERO, Range, within};
use crate::quantity::unit;
use crate::source::Source;

const METALS: Source = Source::practice("metals and fibre tubes; outside it a unit or a point is wrong");
const SIZES: Source =
    Source::practice("axle tubes, springs and shackles; outside it a unit or a digit is wrong");
const STEELS: Source = Source::practice("steels and weld metal; outside it a unit or a point is wrong");
const TYRES: Source = Source::practice("tyres of road vehicles; outside it a unit or a digit is wrong");

/// Elastic modulus: magnesium to steel is usual, carbon fibre and tungsten exist.
pub const MODULUS: Range = within(5.0, 500.0, unit::GPA, METALS).usually(40.0, 215.0, unit::GPA);
/// Density of a metal: aluminium to bronze is usual.
pub const DENSITY: Range = within(500.0, 23_000.0, unit::KG_M3, METALS).usually(2500.0, 9000.0, unit::KG_M3);
/// Proof, yield or tensile strength of a metal.
pub const STRENGTH: Range = within(10.0, 4000.0, unit::MPA, METALS).usually(100.0, 1800.0, unit::MPA);
/// Heat input of an arc weld, or its arc energy.
pub const HEAT_INPUT: Range = ABOVE_ZERO.usually(0.05, 10.0, unit::KJ_MM);
/// Diameter of a wire or a stick electrode.
pub const WIRE_SIZE: Range = ABOVE_ZERO.usually(0.5, 6.5, unit::MM);
/// Wire feed speed.
pub const FEED: Range = ABOVE_ZERO.usually(400.0, 30_000.0, unit::MM_MIN);
/// Outside diameter of an axle tube.
pub const AXLE_TUBE: Range = within(0.5, 14.0, unit::IN, SIZES).usually(1.25, 6.0, unit::IN);
/// Loaded radius of a tyre.
pub const TYRE_RADIUS: Range = within(3.0, 60.0, unit::IN, TYRES).above_zero().usually(6.0, 30.0, unit::IN);
/// Load on one wheel.
pub const WHEEL_LOAD: Range = ABOVE_ZERO.usually(100.0, 14_000.0, unit::LBF);
/// Speed of a driveshaft.
pub const SHAFT_SPEED: Range = ABOVE_ZERO.usually(100.0, 8000.0, unit::RPM);
/// Wall of an axle tube.
pub const WALL: Range = ABOVE_ZERO.usually(0.06, 1.25, unit::IN);
/// Stiffness of a bolt, or of what it clamps.
pub const BOLT_RATE: Range =
    within(1000.0, 1e8, unit::RATE_N_MM, METALS).usually(10_000.0, 1e7, unit::RATE_N_MM);
/// Rate of a leaf spring of a road vehicle.
pub const LEAF_RATE: Range = ABOVE_ZERO.usually(4.0, 1000.0, unit::RATE_N_MM);
/// Thickness of a welded part: sheet to heavy plate.
pub const PLATE: Range = ABOVE_ZERO.usually(0.5, 200.0, unit::MM);
/// Two or three parts that meet at a weld, their thicknesses added.
pub const TOGETHER: Range = ABOVE_ZERO.usually(1.0, 500.0, unit::MM);
/// Carbon equivalent of a steel, by whatever formula.
pub const EQUIVALENT: Range =
    within(0.0, 3.0, unit::PCT_MASS, STEELS).above_zero().usually(0.05, 1.2, unit::PCT_MASS);
/// Diffusible hydrogen of weld metal: the driest wire to cellulosic electrodes.
pub const HYDROGEN: Range =
    within(0.0, 100.0, unit::ML_100G, STEELS).above_zero().usually(0.5, 60.0, unit::ML_100G);
/// Travel of an axle to one side.
pub const TRAVEL: Range = ABOVE_ZERO.usually(0.25, 20.0, unit::IN);
