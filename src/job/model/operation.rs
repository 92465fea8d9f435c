//! Operations of the job's own.

use crate::file::{Id, Located, OperationName, Text};
use crate::{choice, record};

choice! {
    /// What an operation does first of all.
    pub enum Verb {
        Receive = "receive",
        Protect = "protect",
        Strip = "strip",
        Measure = "measure",
        Cut = "cut",
        Rotate = "rotate",
        Tack = "tack",
        Verify = "verify",
        Weld = "weld",
        Torque = "torque",
        Fit = "fit",
        Inspect = "inspect",
        Assemble = "assemble",
        Test = "test",
        HandOver = "hand-over",
    }
}

choice! {
    /// Where an operation is done.
    pub enum Station {
        Bench = "bench",
        Lift = "lift",
        WeldBay = "weld bay",
        AlignmentRack = "alignment rack",
        Road = "road",
    }
}

choice! {
    /// What a reading holds.
    pub enum ReadingKind {
        Length = "length",
        Angle = "angle",
        Torque = "torque",
        Temperature = "temperature",
        Current = "current",
        Voltage = "voltage",
        Speed = "speed",
        Time = "time",
        Pressure = "pressure",
        Mass = "mass",
        Number = "number",
        /// Words.
        Text = "text",
    }
}

choice! {
    /// What an operation does, as the safety rules look at it.
    pub enum Act {
        /// Looks at the unit before anything is touched.
        AsFound = "as-found",
        /// Takes apart.
        Loosen = "loosen",
        /// Cuts what can't be put back.
        CutPermanent = "cut-permanent",
        /// Grinds.
        Grind = "grind",
        /// Tacks.
        Tack = "tack",
        /// Looks at the fit before the weld.
        FitUp = "fit-up",
        /// Welds.
        Arc = "arc",
        /// Heats.
        Heat = "heat",
        /// Accepts a weld.
        Accept = "accept",
        /// Tightens to a torque.
        Torque = "torque",
    }
}

choice! {
    /// Safety rule a hold satisfies.
    pub enum HoldRule {
        /// No permanent cut before a signature.
        CutHold = "cut-hold",
        /// Fit seen before the weld.
        FitUp = "fit-up",
        /// Weld accepted.
        Acceptance = "acceptance",
    }
}

record! {
    /// A reading of an operation of the job's own.
    pub struct OwnReading {
        /// Id, unique in the operation.
        required id: Located<Id> => "\"gap\"";
        /// What it is.
        required label: Text => "\"largest gap\"";
        /// What it holds.
        required kind: ReadingKind => "\"length\"";
        /// Value wanted, with its unit or the name of a figure.
        optional target: Located<Text> => "\"1/8 in\"";
        /// It may be larger by this.
        optional plus: Located<Text> => "\"1/32 in\"";
        /// It may be smaller by this.
        optional minus: Located<Text> => "\"1/32 in\"";
        /// Least value.
        optional least: Located<Text> => "\"1/8 in\"";
        /// Greatest value.
        optional most: Located<Text> => "\"1/16 in\"";
        /// Instrument.
        optional instrument: Text => "\"feeler\"";
        /// Whether it may be below nothing; an angle may, a length or a count may not.
        optional signed: bool => "true";
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
        /// Operations that come before it: ids, or as `route` names them.
        many after: Located<OperationName> => "[\"inspect-bare\"]";
        /// Operations that come after it: ids, or as `route` names them.
        many before: Located<OperationName> => "[\"tack-pads\"]";
        /// What it does besides its verb, for the safety rules: cut, tack, weld and torque say it themselves.
        many act: Act => "[\"arc\"]";
        /// Parts it does it at, as the safety rules name them.
        many at: Located<Id> => "[\"housing\"]";
        /// Safety parts taken off.
        many removes: Located<Id> => "[\"brake-line\"]";
        /// Safety parts put back or replaced.
        many refits: Located<Id> => "[\"brake-line\"]";
        /// Who does it.
        default role: super::Role = super::Role::Fitter => "\"welder\"";
        /// Tools and instruments.
        many tool: Text => "[\"angle finder\"]";
        /// Use of the weld joints it works on.
        optional joints: Located<Id> => "\"pad\"";
        /// Use of the fasteners it works on.
        optional fasteners: Located<Id> => "\"u-bolt\"";
        /// What is written down.
        many reading: OwnReading => "";
        /// Steps, one line each.
        many step: Text => "[\"Clean to bright metal.\", \"Apply the penetrant, wait ten minutes, wipe, develop.\"]";
        /// Caution printed before the steps.
        optional caution: Text => "\"Hot for an hour after the weld: gloves.\"";
        /// What must be true before the next operation; makes it a hold point.
        optional hold: Text => "\"No indication longer than 1/16 in.\"";
        /// True if the hold stands before the operation.
        default hold_before: bool = false => "true";
        /// Safety rule the hold satisfies.
        optional hold_rule: HoldRule => "\"cut-hold\"";
        /// Who signs the hold.
        default hold_role: super::Role = super::Role::Lead => "\"inspector\"";
        /// Why its words are right though they speak of other work than its verb.
        optional sure: Text => "\"the weld is looked at, not made\"";
    }
}

impl OwnOperation {
    /// What it does, for the safety rules: what it says, and what its verb means
    /// whether it says so or not. A cut that says what it is (of new stock:
    /// `grind`) is taken at its word.
    #[must_use]
    pub fn acts(&self) -> Vec<Act> {
        let mut acts = self.act.clone();
        let meant: &[Act] = match self.verb {
            Verb::Cut if acts.iter().any(|a| matches!(a, Act::CutPermanent | Act::Grind)) => &[],
            Verb::Cut => &[Act::CutPermanent, Act::Grind],
            Verb::Tack => &[Act::Tack],
            Verb::Weld => &[Act::Arc],
            Verb::Torque => &[Act::Torque],
            _ => &[],
        };
        for act in meant {
            if !acts.contains(act) {
                acts.push(*act);
            }
        }
        acts
    }
}
