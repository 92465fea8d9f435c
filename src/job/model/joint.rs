//! A weld joint.

use crate::file::{Id, Located, Reading, Text};
use crate::quantity::{
    Angle, Current, Hydrogen, Length, MassFraction, Speed, Stress, Temperature, Time, Voltage,
};
use crate::{choice, record};

choice! {
    /// Kind of weld.
    pub enum WeldType {
        Fillet = "fillet",
        /// Single V groove.
        VGroove = "v-groove",
        /// Single bevel groove.
        BevelGroove = "bevel-groove",
        SquareGroove = "square-groove",
        /// Flare bevel groove: a round edge against a flat.
        FlareBevel = "flare-bevel",
        /// Plug or slot weld.
        Plug = "plug",
    }
}

impl WeldType {
    /// Whether its size is the depth of a groove cut or left for it.
    #[must_use]
    pub const fn is_groove(self) -> bool {
        matches!(self, WeldType::VGroove | WeldType::BevelGroove | WeldType::SquareGroove)
    }
}

choice! {
    /// Side of the joint a weld is on, seen from where the arrow of its symbol is.
    pub enum WeldSide {
        /// The side the arrow points to.
        Arrow = "arrow",
        /// The other side.
        Other = "other",
        /// Both sides alike.
        Both = "both",
    }
}

choice! {
    /// Where on its component a joint is.
    pub enum WeldPlace {
        Left = "left",
        Right = "right",
        /// At the front end, such as the hanger of a spring's front eye.
        Front = "front",
        /// At the rear end.
        Rear = "rear",
        /// At both ends or on both sides alike.
        Both = "both",
    }
}

choice! {
    /// How the parts meet.
    pub enum JointForm {
        Butt = "butt",
        Tee = "tee",
        Lap = "lap",
        Corner = "corner",
    }
}

choice! {
    /// What depends on the weld.
    pub enum Safety {
        Steering = "steering",
        Suspension = "suspension",
        /// Brakes.
        Brake = "brake",
        /// Lifting gear.
        Lifting = "lifting",
        /// Other structure.
        Structure = "structure",
    }
}

choice! {
    /// How much the parts can give while the weld shrinks.
    pub enum Restraint {
        Low = "low",
        Medium = "medium",
        High = "high",
    }
}

record! {
    /// A weld joint.
    pub struct Joint {
        /// Id printed on the weld schedule.
        required id: Located<Id> => "\"J1\"";
        /// What is joined to what.
        required title: Text => "\"spring pad to tube, left\"";
        /// Component it is on.
        required on: Located<Id> => "\"front\"";
        /// What it is for; operations pick their joints by this word.
        required usage as "use": Located<Id> => "\"pad\"";
        /// What depends on it.
        default safety: Safety = Safety::Structure => "\"suspension\"";
        /// Kind of weld.
        required kind as "weld": Located<WeldType> => "\"fillet\"";
        /// Side of the joint it is on, as its symbol's arrow points.
        default side: WeldSide = WeldSide::Arrow => "\"other\"";
        /// Where on its component it is, so that the weld map can show it.
        optional place: WeldPlace => "\"left\"";
        /// The two parts of its weldment it joins, so that the weld map can show it.
        many parts: Located<Id> => "[\"left-post\", \"beam\"]";
        /// How the parts meet.
        default form: JointForm = JointForm::Tee => "\"tee\"";
        /// Thickness of the first part.
        optional thickness: Located<Reading<Length>> => "\"3/8 in\"";
        /// Thickness of the second part.
        optional other_thickness: Located<Reading<Length>> => "\"0.281 in\"";
        /// Thickness of what stands behind the seam: a spigot, a sleeve, a strip.
        optional backing: Located<Reading<Length>> => "\"3/8 in\"";
        /// Steel of the first part, by a name from the table of steels.
        optional steel: Located<Text> => "\"A36\"";
        /// Steel of the second part.
        optional other_steel: Located<Text> => "\"1020 DOM\"";
        /// Carbon equivalent CET of the richer part, from its certificate, if known.
        optional cet: Located<Reading<MassFraction>> => "\"0.30 %\"";
        /// Fillet leg wanted, the smallest allowed one if absent; diameter of a plug, width of a slot.
        optional size: Located<Reading<Length>> => "\"1/4 in\"";
        /// Length of one weld.
        optional length: Located<Reading<Length>> => "\"5 in\"";
        /// From middle to middle of the welds of a broken seam.
        optional pitch: Located<Reading<Length>> => "\"10 in\"";
        /// How many such welds.
        default count: u32 = 1 => "2";
        /// Runs all round a tube of this diameter.
        optional around: Located<Reading<Length>> => "\"3.25 in\"";
        /// Runs all round a part that is no round tube: a square post, a plate on edge.
        default all_round: bool = false => "true";
        /// Included angle of a V groove, or the angle of a bevel.
        optional groove_angle: Located<Reading<Angle>> => "\"60 deg\"";
        /// Depth of the groove; of a flare bevel, the throat it is filled to.
        optional groove_depth: Located<Reading<Length>> => "\"0.25 in\"";
        /// Root opening.
        optional root_opening: Located<Reading<Length>> => "\"1/16 in\"";
        /// Root face.
        optional root_face: Located<Reading<Length>> => "\"1/32 in\"";
        /// Made in the field, not at the bench.
        default field: bool = false => "true";
        /// Process: GMAW, FCAW, SMAW, GTAW, SAW or an ISO 4063 number.
        optional process: Located<Text> => "\"GMAW\"";
        /// Filler classification.
        optional filler: Located<Text> => "\"ER70S-6\"";
        /// Shielding gas.
        optional gas: Text => "\"75Ar/25CO2\"";
        /// Weld metal tensile strength; from the filler if absent.
        optional weld_strength: Located<Reading<Stress>> => "\"70 ksi\"";
        /// Diffusible hydrogen; from the filler if absent.
        optional hydrogen: Located<Reading<Hydrogen>> => "\"5 ml/100g\"";
        /// Where values of your own stand: cet, weld_strength, hydrogen.
        optional values_from: Text => "\"certificate, heat 4711\"";
        /// Welding procedure specification.
        optional wps: Located<Text> => "\"WPS-03\"";
        /// Arc voltage.
        optional volts: Located<Reading<Voltage>> => "\"19 V\"";
        /// Welding current.
        optional amps: Located<Reading<Current>> => "\"170 A\"";
        /// Travel speed.
        optional travel: Located<Reading<Speed>> => "\"12 in/min\"";
        /// Wire feed speed.
        optional wire_feed: Located<Reading<Speed>> => "\"280 in/min\"";
        /// Wire diameter.
        optional wire: Located<Reading<Length>> => "\"0.035 in\"";
        /// Preheat the WPS asks for.
        optional preheat: Located<Reading<Temperature>> => "\"70 degF\"";
        /// Interpass temperature never to be exceeded.
        optional interpass_max: Located<Reading<Temperature>> => "\"350 degF\"";
        /// Cooling time t8/5 not to be undercut, from the steel maker.
        optional cooling_least: Located<Reading<Time>> => "\"5 s\"";
        /// Cooling time t8/5 not to be passed.
        optional cooling_most: Located<Reading<Time>> => "\"20 s\"";
        /// Spacing of tacks on a straight seam, set by the shop.
        optional tack_spacing: Located<Reading<Length>> => "\"6 in\"";
        /// How much the parts can give.
        optional restraint: Restraint => "\"medium\"";
        /// Position, as the joint lies when it is welded: fillet 1F flat, 2F horizontal, 3F vertical, 4F overhead; groove 1G to 4G alike; round a tube 1G turned under the arc, 2G tube upright, 5G tube level and fixed; or words.
        optional position: Text => "\"2F\"";
        /// How it is inspected.
        optional inspection: Text => "\"visual, dye penetrant\"";
        /// Acceptance standard.
        default acceptance: Acceptance = Acceptance::D11Cyclic => "\"AWS D1.1 cyclic\"";
        /// Heat and lot numbers of metal and filler must be on record.
        default traceable: bool = false => "true";
        /// Anything the welder must know.
        optional note: Text => "\"Wrap the ends.\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

choice! {
    /// Which limits a weld is accepted to.
    pub enum Acceptance {
        /// AWS D1.1, cyclically loaded.
        D11Cyclic = "aws d1.1 cyclic",
        /// AWS D1.1, statically loaded.
        D11Static = "aws d1.1 static",
        /// ISO 5817 level B.
        Iso5817B = "iso 5817 b",
        /// ISO 5817 level C.
        Iso5817C = "iso 5817 c",
        /// ISO 5817 level D.
        Iso5817D = "iso 5817 d",
    }
}

impl Acceptance {
    /// As its standard is written on paper: `AWS D1.1 cyclic`, `ISO 5817 B`.
    #[must_use]
    pub fn printed(self) -> String {
        let word = self.word();
        match word.strip_prefix("iso 5817 ") {
            Some(level) => format!("ISO 5817 {}", level.to_uppercase()),
            None => word.replace("aws d1.1", "AWS D1.1"),
        }
    }
}

impl Acceptance {
    /// Whether it is a level of ISO 5817; else a loading of AWS D1.1.
    #[must_use]
    pub const fn is_iso(self) -> bool {
        matches!(self, Self::Iso5817B | Self::Iso5817C | Self::Iso5817D)
    }
}

impl Joint {
    /// Least room between preheat and interpass maximum, in kelvin: twice the guard band of a
    /// contact thermometer, and what a run adds (common practice; the size from memory).
    pub const ROOM_TO_WELD: f64 = 15.0;

    /// The thickness of the thinner part, as it was written; that of the only one stated.
    #[must_use]
    pub fn thinner(&self) -> Option<&Located<Reading<Length>>> {
        match (&self.thickness, &self.other_thickness) {
            (Some(a), Some(b)) => Some(if a.value.value <= b.value.value { a } else { b }),
            (a, b) => a.as_ref().or(b.as_ref()),
        }
    }

    /// The same as a length.
    #[must_use]
    pub fn thin(&self) -> Option<Length> {
        self.thinner().map(|stated| stated.value.value)
    }
}
