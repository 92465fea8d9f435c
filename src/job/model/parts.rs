//! Driveshafts and weldments.

use crate::file::{Id, Located, Reading, Text};
use crate::quantity::{Angle, Length, RotationSpeed};
use crate::record;
use crate::term::FullSize;

record! {
    /// A driveshaft.
    pub struct Driveshaft {
        /// Id other sections refer to.
        required id: Located<Id> => "\"rear-shaft\"";
        /// What it is called on paper.
        optional name: Text => "\"rear driveshaft\"";
        /// Id of the axle it drives.
        optional axle: Located<Id> => "\"rear\"";
        /// Tube outside diameter.
        optional od: Located<Reading<Length>> => "\"3 in\"";
        /// Tube wall.
        optional wall: Located<Reading<Length>> => "\"0.083 in\"";
        /// Joint centre to joint centre at ride, as found.
        optional length: Located<Reading<Length>> => "\"48 in\"";
        /// Joint centre to joint centre at ride, afterwards.
        optional length_after: Located<Reading<Length>> => "\"48-3/4 in\"";
        /// Shortest, at full bump, afterwards.
        optional compressed: Located<Reading<Length>> => "\"46-1/2 in\"";
        /// Longest, at full droop, afterwards.
        optional extended: Located<Reading<Length>> => "\"51 in\"";
        /// Spline diameter.
        optional spline: Located<Reading<Length>> => "\"1-1/4 in\"";
        /// Spline engaged at ride, as found.
        optional engagement: Located<Reading<Length>> => "\"3-1/2 in\"";
        /// Room left to the bottom of the slip at ride, as found.
        optional bump_room: Located<Reading<Length>> => "\"1-1/2 in\"";
        /// Largest angle the maker allows at a joint of this shaft.
        optional joint_rating: Located<Reading<Angle>> => "\"20 deg\"";
        /// Highest speed of rotation.
        optional speed: Located<Reading<RotationSpeed>> => "\"3000 rpm\"";
        /// Joint angle at the axle, where it is not computed.
        optional joint_axle: Located<Reading<Angle>> => "\"3 deg\"";
        /// Joint angle at the case, where it is not computed.
        optional joint_case: Located<Reading<Angle>> => "\"3 deg\"";
        /// Phase error allowed between the yokes.
        optional phase: Located<Reading<Angle>> => "\"1 deg\"";
        /// Runout allowed.
        optional runout: Located<Reading<Length>> => "\"0.030 in\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

record! {
    /// A bracket, frame or other weldment.
    pub struct Weldment {
        /// Id other sections refer to.
        required id: Located<Id> => "\"hoist-frame\"";
        /// What it is called on paper.
        optional name: Text => "\"hoist frame\"";
        /// Drawing it is made to, with revision.
        optional drawing: Text => "\"HF-12 rev 2\"";
        /// Length over all.
        optional length: Located<Reading<Length>> => "\"48 in\"";
        /// Width over all.
        optional width: Located<Reading<Length>> => "\"30 in\"";
        /// Height over all.
        optional height: Located<Reading<Length>> => "\"62 in\"";
        /// Sizes may be off by this.
        optional tolerance: Located<Reading<Length>> => "\"1/8 in\"";
        /// Diagonals may differ by this.
        optional squareness: Located<Reading<Length>> => "\"1/8 in\"";
        /// Pieces to cut, one line each.
        many piece: Text => "[\"2 off 3 x 3 x 1/4 tube, 48 in\"]";
        /// Its parts as seen from the front, for the weld map.
        many part: Part => "";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

record! {
    /// A part of a weldment as seen from the front: a straight piece with its
    /// lower left corner at `left` and `up`, turned about that corner.
    pub struct Part {
        /// Id that joints refer to.
        required id: Located<Id> => "\"left-post\"";
        /// From the left end of the weldment to its corner.
        required left: Located<Reading<Length>> => "\"0 in\"";
        /// From the foot of the weldment up to its corner.
        required up: Located<Reading<Length>> => "\"3/4 in\"";
        /// Its size across, before it is turned.
        required across: Located<Reading<Length>> => "\"4 in\"";
        /// Its size upward, before it is turned.
        required high: Located<Reading<Length>> => "\"90-3/4 in\"";
        /// How far it is turned about the corner, counterclockwise.
        optional turn: Located<Reading<Angle>> => "\"45 deg\"";
    }
}

record! {
    /// A sheet at full size: a shape to wrap, to lay on or to drill through.
    pub struct OwnSheet {
        /// What it is called: part of its file name.
        required id: Located<Id> => "\"brace-cope\"";
        /// Id of the component it is for, or `unit`.
        required on: Located<Id> => "\"main-frame\"";
        /// What is drawn; `tackwright template` lists what there is.
        required kind: Located<FullSize> => "\"cope\"";
        /// Its inputs as `tackwright template KIND` takes them.
        many inputs: Located<Text> => "[\"od = 1-3/4 in\", \"on = 2 in\", \"wall = 0.120 in\"]";
    }
}
