//! Welding machines.

use crate::file::{Date, Id, Located, Reading, Text};
use crate::quantity::{Current, Percent};
use crate::record;
use crate::shop::Band;

record! {
    /// One point of a machine's rating plate.
    pub struct Duty {
        /// Rated current.
        required amps: Located<Reading<Current>> => "\"200 A\"";
        /// Duty cycle at that current, share of ten minutes.
        required cycle: Located<Reading<Percent>> => "\"30 %\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

record! {
    /// A welding machine.
    pub struct Machine {
        /// Id.
        required id: Located<Id> => "\"M1\"";
        /// What it is.
        required title: Text => "\"multi-process set, bay 1\"";
        /// Processes it can do.
        many processes: Located<Text> => "[\"GMAW\", \"SMAW\"]";
        /// Current it can be set to.
        required amps: Located<Band<Current>> => "\"30 A to 250 A\"";
        /// Duty cycles from the rating plate.
        many duty: Duty => "";
        /// Day the meters have to be validated again.
        optional validation_due: Located<Date> => "2026-11-30";
        /// Why it may not be used, if it may not.
        optional out_of_service: Text => "\"feeder slips\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}
