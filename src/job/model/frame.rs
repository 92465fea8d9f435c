//! Points of the frame that decide clearance.

use crate::file::{Located, Reading, Text};
use crate::quantity::Length;
use crate::record;

record! {
    /// Frame: points that decide clearance angles, rails.
    pub struct Frame {
        /// Approach point ahead of the front wheel centre.
        optional approach_ahead: Located<Reading<Length>> => "\"24 in\"";
        /// Approach point above the ground, as found.
        optional approach_height: Located<Reading<Length>> => "\"19 in\"";
        /// Departure point behind the rear wheel centre, of a trailer that of the last axle in the file.
        optional departure_behind: Located<Reading<Length>> => "\"36 in\"";
        /// Departure point above the ground, as found.
        optional departure_height: Located<Reading<Length>> => "\"20 in\"";
        /// Lowest belly point behind the front wheel centre.
        optional belly_behind: Located<Reading<Length>> => "\"50 in\"";
        /// Lowest belly point above the ground, as found.
        optional belly_height: Located<Reading<Length>> => "\"12 in\"";
        /// Frame rail above the ground at the front mark.
        optional rail_front: Located<Reading<Length>> => "\"24 in\"";
        /// Frame rail above the ground at the rear mark.
        optional rail_rear: Located<Reading<Length>> => "\"25 in\"";
        /// Between the two rail marks.
        optional rail_marks: Located<Reading<Length>> => "\"95 in\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}
