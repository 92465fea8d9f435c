//! Operations of the job's own.

use crate::file::{Id, Located, Text};
use crate::{choice, record};

choice! {
    /// What an operation does first of all.
    pub enum Verb {
        /// Receive.
        Receive = "receive",
        /// Protect.
        Protect = "protect",
        /// Strip.
        Strip = "strip",
        /// Measure.
        Measure = "measure",
        /// Cut.
        Cut = "cut",
        /// Rotate.
        Rotate = "rotate",
        /// Tack.
        Tack = "tack",
        /// Verify.
        Verify = "verify",
        /// Weld.
        Weld = "weld",
        /// Torque.
        Torque = "torque",
        /// Fit.
        Fit = "fit",
        /// Inspect.
        Inspect = "inspect",
        /// Assemble.
        Assemble = "assemble",
        /// Test.
        Test = "test",
        /// Hand over.
        HandOver = "hand-over",
    }
}

choice! {
    /// Where an operation is done.
    pub enum Station {
        /// Bench.
        Bench = "bench",
        /// Lift.
        Lift = "lift",
        /// Weld bay.
        WeldBay = "weld bay",
        /// Alignment rack.
        AlignmentRack = "alignment rack",
        /// Road.
        Road = "road",
    }
}

record! {
    /// An operation of the job's own.
    pub struct OwnOperation {
        /// Id; must not be one of a procedure's.
        required id: Located<Id> => "\"cut-out-gusset\"";
        /// What it does first of all.
        required verb: Verb => "\"inspect\"";
        /// Title.
        required title: Text => "\"Penetrant test under the left pad\"";
        /// Where it is done.
        default station: Station = Station::Bench => "\"weld bay\"";
        /// Component it is on.
        optional on: Located<Id> => "\"front\"";
        /// Minutes it takes.
        default minutes: u32 = 0 => "20";
        /// Ids of operations that come before it.
        many after: Located<Id> => "[\"bare-housing\"]";
        /// Ids of operations that come after it.
        many before: Located<Id> => "[\"tack-pads\"]";
        /// Steps, one line each.
        many step: Text => "[\"Clean to bright metal.\", \"Apply the penetrant, wait ten minutes, wipe, develop.\"]";
        /// Caution printed before the steps.
        optional caution: Text => "\"…\"";
        /// What must be true before the next operation; makes it a hold point.
        optional hold: Text => "\"No indication longer than 1/16 in.\"";
        /// Who signs the hold.
        default hold_role: super::Role = super::Role::Lead => "\"inspector\"";
    }
}
