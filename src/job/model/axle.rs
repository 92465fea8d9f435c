//! An axle: tube, springs, pinion, knuckles, targets.

use crate::file::{Id, Located, Reading, Text};
use crate::quantity::{Angle, Force, Length, Number, Stress};
use crate::{choice, record};

choice! {
    /// Where the springs sit.
    pub enum SpringSide {
        /// Under the axle tube.
        Under = "under",
        /// Over the axle tube.
        Over = "over",
    }
}

choice! {
    /// Which end of the unit an axle is at.
    pub enum End {
        Front = "front",
        Rear = "rear",
    }
}

choice! {
    /// How steering knuckle and axle tube are joined.
    pub enum Construction {
        /// The knuckle has a spigot that sits in the tube.
        Spigot = "spigot in the tube",
        /// The knuckle is pressed over the tube.
        Over = "knuckle over the tube",
        /// Knuckle and tube butt over a sleeve of their own.
        Sleeve = "butt with sleeve",
        /// Knuckle and tube are one casting.
        Cast = "cast in one",
    }
}

impl Construction {
    /// Whether the groove goes through the wall of the tube, so that the wall
    /// readings decide its depth.
    #[must_use]
    pub const fn cuts_tube(self) -> bool {
        matches!(self, Construction::Spigot | Construction::Sleeve)
    }

    /// Where the cut runs and how deep it may go, in words.
    #[must_use]
    pub const fn cut_line(self) -> &'static str {
        match self {
            Construction::Spigot => {
                "through the tube wall inboard of the seam weld, down to the spigot, never into it"
            }
            Construction::Sleeve => {
                "through the tube wall beside the butt weld, down to the sleeve, never into it"
            }
            Construction::Over => {
                "through the seam weld at the edge of the knuckle; the weld decides the depth, never into the tube"
            }
            Construction::Cast => "none: there is no seam to cut",
        }
    }
}

choice! {
    /// What brakes the axle of a trailer has.
    pub enum Brakes {
        /// Magnets, no line under pressure.
        Electric = "electric",
        /// Fluid, by an actuator or from the tow vehicle.
        Hydraulic = "hydraulic",
        /// Compressed air.
        Air = "air",
        /// None: a light trailer.
        None = "none",
    }
}

choice! {
    /// How the pinion is set.
    pub enum Layout {
        /// Pinion points at the case; the double joint stands at the case.
        Pointed = "pointed",
        /// Pinion parallel to the output; two single joints.
        Parallel = "parallel",
        /// Equal and intersecting angles; two single joints.
        BrokenBack = "broken-back",
    }
}

record! {
    /// An axle.
    pub struct Axle {
        /// Id other sections refer to.
        required id: Located<Id> => "\"front\"";
        /// What it is called on paper.
        optional name: Text => "\"front axle\"";
        /// End of the unit it is at; not needed for the axle of a trailer.
        optional end: Located<End> => "\"front\"";
        /// Whether a driveshaft turns it.
        default driven: bool = false => "true";
        /// Whether it steers.
        default steered: bool = false => "true";
        /// True for the axle of a trailer.
        default trailer: bool = false => "false";
        /// Brakes of a trailer's axle; it is asked for those alone.
        optional brakes: Located<Brakes> => "\"electric\"";
        /// Axle tube.
        optional tube: Tube => "";
        /// Leaf springs and what changes about them.
        optional spring: Spring => "";
        /// Pinion and the shaft it meets.
        optional pinion: Pinion => "";
        /// Steering knuckles as found.
        optional knuckle: Knuckles => "";
        /// Angles wanted when the work is done.
        optional target: Target => "";
        /// Cut at the knuckle seam.
        optional cut: Cut => "";
        /// Spring pads.
        optional pad: Pad => "";
        /// Tyres.
        optional tyre: Tyre => "";
        /// Steering link from the arm on the axle.
        optional drag_link: DragLink => "";
        /// Shock absorbers and bump stops.
        optional shock: Shock => "";
        /// Why a result that is unusual is right all the same.
        optional sure: Text => "\"long-travel springs, measured twice\"";
    }
}

impl Axle {
    /// End of the unit it is at, if it has been said.
    #[must_use]
    pub fn end(&self) -> Option<End> {
        self.end.as_ref().map(|e| e.value)
    }

    /// Whether it is the front axle.
    #[must_use]
    pub fn is_front(&self) -> bool {
        self.end() == Some(End::Front)
    }

    /// Whether it is an undriven trailer axle.
    #[must_use]
    pub fn is_trailer(&self) -> bool {
        self.trailer
    }
}

record! {
    /// Axle tube.
    pub struct Tube {
        /// Outside diameter where the pads sit, as measured.
        optional od: Located<Reading<Length>> => "\"3.25 in\"";
        /// Nominal wall, from the maker's data.
        optional wall: Located<Reading<Length>> => "\"0.281 in\"";
        /// Steel, by a name from the table of steels.
        optional steel: Located<Text> => "\"1020 DOM\"";
        /// Length between the pads' centres.
        optional pad_spread: Located<Reading<Length>> => "\"31 in\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

record! {
    /// Leaf springs.
    pub struct Spring {
        /// Where they sit as found.
        default from: SpringSide = SpringSide::Under => "\"under\"";
        /// Where they sit afterwards.
        default to: SpringSide = SpringSide::Over => "\"over\"";
        /// Pack thickness at the clamp.
        optional pack: Located<Reading<Length>> => "\"1-3/4 in\"";
        /// From the tube surface to the old pad face.
        optional seat_old: Located<Reading<Length>> => "\"1/4 in\"";
        /// From the tube surface to the new pad face.
        optional seat_new: Located<Reading<Length>> => "\"1/2 in\"";
        /// New minus old loaded arch.
        optional arch_change: Located<Reading<Length>> => "\"0 in\"";
        /// Old shackle, pin to pin.
        optional shackle_old: Located<Reading<Length>> => "\"3-3/4 in\"";
        /// New shackle, pin to pin.
        optional shackle_new: Located<Reading<Length>> => "\"4-3/4 in\"";
        /// Old shackle angle from vertical, positive with the lower eye away from the axle.
        optional shackle_lean: Located<Reading<Angle>> => "\"15 deg\"";
        /// Front half, eye to centre pin, along the leaf.
        optional front_half: Located<Reading<Length>> => "\"22 in\"";
        /// Rear half, centre pin to eye, along the leaf.
        optional rear_half: Located<Reading<Length>> => "\"24 in\"";
        /// Eye to eye of the loaded spring, in a straight line.
        optional chord: Located<Reading<Length>> => "\"45-3/4 in\"";
        /// Leaf width.
        optional width: Located<Reading<Length>> => "\"2-1/2 in\"";
        /// Number of leaves as found.
        optional leaves: Located<u32> => "6";
        /// Thickness of one leaf as found.
        optional leaf: Located<Reading<Length>> => "\"0.276 in\"";
        /// Number of leaves of the new pack.
        optional leaves_new: Located<u32> => "6";
        /// Thickness of one leaf of the new pack.
        optional leaf_new: Located<Reading<Length>> => "\"0.276 in\"";
        /// Where the fixed eye stands afterwards.
        optional fixed_eye: FixedEye => "\"front\"";
        /// Both spring hangers moved forward by this, beside what the pad hole does; rearward negative.
        optional hanger_shift: Located<Reading<Length>> => "\"0 in\"";
        /// Load on this spring at ride.
        optional load: Located<Reading<Force>> => "\"1100 lbf\"";
        /// Travel to the bump stop from ride.
        optional bump: Located<Reading<Length>> => "\"3 in\"";
        /// Travel to full droop from ride.
        optional droop: Located<Reading<Length>> => "\"4 in\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

choice! {
    /// Which eye of a spring does not swing.
    pub enum FixedEye {
        /// The front one; shackle behind.
        Front = "front",
        /// The rear one; shackle in front.
        Rear = "rear",
    }
}

record! {
    /// Pinion and the flange it is driven from; side view.
    pub struct Pinion {
        /// Pinion angle as found: above horizontal, looking toward the case.
        optional angle: Located<Reading<Angle>> => "\"4.0 deg\"";
        /// Signed offset of the pinion axis from the axle axis, above positive.
        optional offset: Located<Reading<Length>> => "\"-1.5 in\"";
        /// Along the pinion axis from the axle to the joint centre.
        optional reach: Located<Reading<Length>> => "\"13 in\"";
        /// From the axle to the flange joint centre, along the ground.
        optional case_forward: Located<Reading<Length>> => "\"33-1/2 in\"";
        /// From the axle up to the flange joint centre, as found.
        optional case_up: Located<Reading<Length>> => "\"6-5/16 in\"";
        /// Slope of the output shaft, same sign as the pinion angle: falling toward the axle positive.
        optional output_slope: Located<Reading<Angle>> => "\"3.0 deg\"";
        /// Sideways distance between flange and pinion.
        optional sideways: Located<Reading<Length>> => "\"2 in\"";
        /// How the pinion is set.
        optional layout: Layout => "\"pointed\"";
        /// Set this far below the shaft at rest, for wind-up.
        optional allowance: Located<Reading<Angle>> => "\"1 deg\"";
        /// Pinion angle wanted, where it is not computed.
        optional wanted: Located<Reading<Angle>> => "\"18.0 deg\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

record! {
    /// Steering knuckles as found, left and right.
    pub struct Knuckles {
        /// Left.
        optional left: Knuckle => "";
        /// Right.
        optional right: Knuckle => "";
    }
}

record! {
    /// One steering knuckle as found.
    pub struct Knuckle {
        /// Caster, top rearward positive.
        optional caster: Located<Reading<Angle>> => "\"3.5 deg\"";
        /// Steering axis inclination, top inboard positive.
        optional inclination: Located<Reading<Angle>> => "\"8.5 deg\"";
        /// Camber, top outboard positive.
        optional camber: Located<Reading<Angle>> => "\"0.5 deg\"";
        /// Toe, front inboard positive.
        optional toe: Located<Reading<Angle>> => "\"0.05 deg\"";
        /// Caster measured again with the pinion set; decides the rotation.
        optional caster_with_pinion_set: Located<Reading<Angle>> => "\"-4.5 deg\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

record! {
    /// Angles wanted when the work is done.
    pub struct Target {
        /// Caster wanted.
        optional caster: Located<Reading<Angle>> => "\"6.0 deg\"";
        /// Caster may be off by this.
        optional caster_tolerance: Located<Reading<Angle>> => "\"0.5 deg\"";
        /// Left and right may differ by this.
        optional caster_spread: Located<Reading<Angle>> => "\"0.5 deg\"";
        /// Total toe, in.
        optional toe: Located<Reading<Angle>> => "\"0.1 deg\"";
        /// Steepest drag link slope to be accepted, up or down; no steeper than as found if absent.
        optional link_slope: Located<Reading<Angle>> => "\"6 deg\"";
        /// Most bump steer over the travel to the bump stop; no more than as found if absent.
        optional bump_steer: Located<Reading<Angle>> => "\"0.5 deg\"";
        /// Pinion may be off by this.
        optional pinion_tolerance: Located<Reading<Angle>> => "\"0.5 deg\"";
        /// Resolution of the angle finder.
        optional finder_resolution: Located<Reading<Angle>> => "\"0.1 deg\"";
        /// Error limit of the angle finder.
        optional finder_limit: Located<Reading<Angle>> => "\"0.1 deg\"";
        /// Repeatability of a reading, as a standard deviation: read one face ten times, the finder lifted off each time; largest less smallest, divided by 3.
        optional finder_repeatability: Located<Reading<Angle>> => "\"0.05 deg\"";
        /// How often each reading is taken.
        optional finder_readings: u32 => "2";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

record! {
    /// Cut at the knuckle seam.
    pub struct Cut {
        /// How knuckle and tube are joined.
        optional construction: Located<Construction> => "\"spigot in the tube\"";
        /// From the seam weld inboard to the groove.
        optional groove_offset: Located<Reading<Length>> => "\"3/8 in\"";
        /// Wall readings in the cut plane, left.
        many walls_left: Located<Reading<Length>> => "[\"0.281 in\", \"0.276 in\", \"0.284 in\", \"0.279 in\"]";
        /// Wall readings in the cut plane, right.
        many walls_right: Located<Reading<Length>> => "[\"0.284 in\", \"0.280 in\", \"0.283 in\", \"0.281 in\"]";
        /// Error limit of the wall gauge.
        optional gauge_limit: Located<Reading<Length>> => "\"0.003 in\"";
        /// Error limit of the stop setting.
        optional setting_limit: Located<Reading<Length>> => "\"0.005 in\"";
        /// Wobble of the disc: full swing of a dial gauge on its side, near the rim, turned by hand.
        optional wobble: Located<Reading<Length>> => "\"0.008 in\"";
        /// Wall that is left standing in any case.
        optional reserve: Located<Reading<Length>> => "\"0.010 in\"";
        /// Width of the disc.
        optional kerf: Located<Reading<Length>> => "\"0.045 in\"";
        /// Half angle the groove is opened to for welding.
        optional bevel: Located<Reading<Angle>> => "\"30 deg\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

record! {
    /// Spring pads.
    pub struct Pad {
        /// Locating hole ahead of the tube centre; forward positive.
        optional hole_offset: Located<Reading<Length>> => "\"1/2 in\"";
        /// Pad thickness.
        optional thickness: Located<Reading<Length>> => "\"3/8 in\"";
        /// Length along the spring.
        optional length: Located<Reading<Length>> => "\"5 in\"";
        /// Distance between the two weld lines on the tube.
        optional weld_spread: Located<Reading<Length>> => "\"2-3/4 in\"";
        /// Weld metal strength the perch is reckoned with.
        optional weld_strength: Located<Reading<Stress>> => "\"70 ksi\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

record! {
    /// Tyres on this axle.
    pub struct Tyre {
        /// Loaded radius as found.
        optional radius: Located<Reading<Length>> => "\"15 in\"";
        /// Loaded radius afterwards, if the tyres change.
        optional radius_after: Located<Reading<Length>> => "\"16 in\"";
        /// From the rim centre plane to the knuckle seam.
        optional seam_offset: Located<Reading<Length>> => "\"6 in\"";
        /// Grip the brakes are reckoned with.
        optional grip: Located<Reading<Number>> => "0.9";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

record! {
    /// Steering link in side view: pitman joint and arm joint, from any one point.
    pub struct DragLink {
        /// Pitman joint, forward of the arm joint.
        optional along: Located<Reading<Length>> => "\"33 in\"";
        /// Pitman joint above the arm joint, as found.
        optional rise: Located<Reading<Length>> => "\"4 in\"";
        /// Length of the steering arm.
        optional arm: Located<Reading<Length>> => "\"7 in\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

record! {
    /// Shock absorbers and bump stops.
    pub struct Shock {
        /// Sideways or fore-aft offset between the mounts.
        optional offset: Located<Reading<Length>> => "\"4-3/4 in\"";
        /// Vertical distance between the mounts at ride.
        optional height: Located<Reading<Length>> => "\"19 in\"";
        /// Gap to the bump stop as found.
        optional bump_gap: Located<Reading<Length>> => "\"3 in\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}
