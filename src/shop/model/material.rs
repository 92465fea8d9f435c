//! Lots of filler and heats of material.

use crate::file::{Date, Id, Located, Text};
use crate::{choice, record};

choice! {
    /// What a lot is.
    pub enum LotKind {
        /// Filler metal.
        Filler = "filler",
        /// Base metal.
        Metal = "metal",
        /// Shielding gas.
        Gas = "gas",
        /// Fasteners.
        Fastener = "fastener",
        /// Penetrant, paint and other consumables.
        Other = "other",
    }
}

choice! {
    /// How filler is kept.
    pub enum Storage {
        /// Unopened package.
        Sealed = "sealed",
        /// Holding oven.
        Oven = "oven",
        Dry = "dry cabinet",
        /// Open shelf or on the machine.
        Open = "open",
    }
}

record! {
    /// A lot of filler or a heat of material.
    pub struct Lot {
        /// Id.
        required id: Located<Id> => "\"L-ER70-7\"";
        /// What it is.
        required kind: LotKind => "\"filler\"";
        /// Classification or grade.
        required designation: Located<Text> => "\"ER70S-6\"";
        /// Heat or lot number.
        required number: Located<Text> => "\"7A-4471\"";
        /// Certificate.
        optional certificate: Text => "\"EN 10204 3.1, no. 118\"";
        /// How it is kept.
        optional storage: Located<Storage> => "\"dry cabinet\"";
        /// Last day it may be used.
        optional until: Located<Date> => "2027-06-30";
    }
}
