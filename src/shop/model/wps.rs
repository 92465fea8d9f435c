//! Welding procedure specifications.

use super::{Backing, Transfer, WeldKind};
use crate::file::{Date, Id, Located, Reading, Text};
use crate::quantity::{Current, Dimensioned, Flow, HeatInput, Length, Number, Speed, Temperature, Voltage};
use crate::shop::Band;
use crate::shop::position::Progression;
use crate::{choice, record};

choice! {
    /// What stands behind a procedure.
    pub enum Support {
        /// A procedure qualification record.
        Pqr = "pqr",
        /// Prequalified by the code.
        Prequalified = "prequalified",
    }
}

choice! {
    /// Current and polarity.
    pub enum Polarity {
        /// Direct current, electrode positive.
        Dcep = "dcep",
        /// Direct current, electrode negative.
        Dcen = "dcen",
        /// Alternating current.
        Ac = "ac",
    }
}

record! {
    /// Preheat of one thickness range.
    pub struct PreheatRow {
        /// Thickness of the thickest part.
        required thickness: Located<Band<Length>> => "\"1/8 in to 3/4 in\"";
        /// Least preheat and interpass temperature.
        required minimum: Located<Reading<Temperature>> => "\"70 degF\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

record! {
    /// What was measured when the procedure was qualified; the shop range may
    /// not leave these by more than the code allows.
    pub struct Qualified {
        /// Current.
        optional amps: Located<Reading<Current>> => "\"180 A\"";
        /// Voltage.
        optional volts: Located<Reading<Voltage>> => "\"19 V\"";
        /// Wire feed speed.
        optional wire_feed: Located<Reading<Speed>> => "\"300 in/min\"";
        /// Travel speed.
        optional travel: Located<Reading<Speed>> => "\"10 in/min\"";
        /// Gas flow.
        optional gas_flow: Located<Reading<Flow>> => "\"35 ft3/h\"";
        /// Preheat.
        optional preheat: Located<Reading<Temperature>> => "\"70 degF\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

record! {
    /// A welding procedure specification.
    pub struct Wps {
        /// Id; joints of a job name it.
        required id: Located<Id> => "\"WPS-03\"";
        /// What it is for.
        required title: Text => "\"fillets, GMAW, carbon steel\"";
        /// Revision.
        default revision: Text = Text("0".to_owned()) => "\"1\"";
        /// What stands behind it.
        required support: Located<Support> => "\"pqr\"";
        /// Number of the supporting record, or the clause that prequalifies it.
        required record: Text => "\"PQR-03\"";
        /// Day from which it may be used.
        optional date: Located<Date> => "2025-03-01";
        /// Last day of its use.
        optional until: Located<Date> => "2028-03-01";
        /// Who released it.
        optional released_by: Located<Id> => "\"LO\"";
        /// Process.
        required process: Located<Text> => "\"GMAW\"";
        /// Metal transfer, for gas metal arc.
        optional transfer: Located<Transfer> => "\"short-circuit\"";
        /// Base metals or groups: names from the table of steels, or `D1.1 group I`.
        many base: Located<Text> => "[\"D1.1 group I\", \"1020 DOM\"]";
        /// Thickness of the parts.
        required thickness: Located<Band<Length>> => "\"1/8 in to 3/4 in\"";
        /// Outside diameter, where a pipe or tube is welded round.
        optional diameter: Located<Band<Length>> => "\"at least 3/4 in\"";
        /// Kinds of weld.
        many weld: WeldKind => "[\"fillet\"]";
        /// How the parts may meet: butt, tee, lap, corner.
        many joints: Located<Text> => "[\"tee\", \"lap\"]";
        /// Positions.
        many positions: Located<Text> => "[\"1F\", \"2F\", \"3F\"]";
        /// Progression of vertical parts.
        default progression: Progression = Progression::Up => "\"up\"";
        /// What the root runs against; groove welds.
        optional backing: Backing => "\"without\"";
        /// Filler classifications.
        many fillers: Located<Text> => "[\"ER70S-6\"]";
        /// Wire or electrode diameters.
        many wire: Located<Reading<Length>> => "[\"0.035 in\"]";
        /// Shielding gases.
        many gas: Located<Text> => "[\"75Ar/25CO2\"]";
        /// Gas flow.
        optional gas_flow: Located<Band<Flow>> => "\"30 ft3/h to 40 ft3/h\"";
        /// Polarity.
        required polarity: Located<Polarity> => "\"DCEP\"";
        /// Current; from the qualified value and the code's limits if absent.
        optional amps: Located<Band<Current>> => "\"162 A to 198 A\"";
        /// Voltage.
        optional volts: Located<Band<Voltage>> => "\"18 V to 20 V\"";
        /// Wire feed speed.
        optional wire_feed: Located<Band<Speed>> => "\"270 in/min to 330 in/min\"";
        /// Travel speed.
        optional travel: Located<Band<Speed>> => "\"8 in/min to 12 in/min\"";
        /// Least preheat by thickness.
        many preheat: PreheatRow => "";
        /// Interpass temperature never to be exceeded.
        required interpass_max: Located<Reading<Temperature>> => "\"450 degF\"";
        /// Heat input: U I / travel without an efficiency, or with the one of `heat_input_k`.
        optional heat_input: Located<Band<HeatInput>> => "\"15 kJ/in to 35 kJ/in\"";
        /// Thermal efficiency its heat input contains, where it is written to EN 1011-1; none if absent.
        optional heat_input_k: Located<Reading<Number>> => "0.8";
        /// Largest fillet leg laid in one pass; the code's value if absent.
        optional single_pass: Located<Reading<Length>> => "\"5/16 in\"";
        /// Whether more than one pass may be laid.
        default multipass: bool = true => "true";
        /// Values of the qualification test.
        optional qualified: Qualified => "";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

impl Wps {
    /// Whether it is written for short-circuit transfer.
    #[must_use]
    pub fn short_circuit(&self) -> bool {
        self.transfer.as_ref().is_some_and(|t| t.value == Transfer::ShortCircuit)
            || crate::shop::process::named_short_circuit(&self.process.value)
    }

    /// Id and revision as printed.
    #[must_use]
    pub fn label(&self) -> String {
        format!("{} rev {}", self.id.value, self.revision)
    }

    /// Heat input it allows, U I / travel without an efficiency, whichever it states.
    #[must_use]
    pub fn arc_energy(&self) -> Option<Band<HeatInput>> {
        let stated = self.heat_input.as_ref()?.value;
        let k = self.heat_input_k.as_ref().map_or(1.0, |k| k.value.value.si());
        Some(Band { low: stated.low.map(|l| l / k), high: stated.high.map(|h| h / k) })
    }

    /// Least preheat for a thickness, from its rows.
    #[must_use]
    pub fn preheat_min(&self, thickness: Option<Length>) -> Option<Temperature> {
        let rows = self.preheat.iter().filter(|r| thickness.is_none_or(|t| r.thickness.value.contains(t)));
        rows.map(|r| r.minimum.value.value).max_by(|a, b| a.si().total_cmp(&b.si()))
    }
}
