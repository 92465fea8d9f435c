//! Who, what, when.

use crate::file::Reading;
use crate::file::{Date, FileName, Id, Located, OperationName, Text};
use crate::quantity::{Acceleration, Length, Mass, Percent, Style, paired};
pub use crate::term::{Paper, Role, Units};
use crate::{choice, record};

impl Units {
    /// A style with these units first.
    #[must_use]
    pub const fn first(self, style: Style) -> Style {
        match self {
            Units::Inch => style,
            Units::Metric => style.metric_first(),
        }
    }

    /// A sentence with these units first in every value it says in two.
    #[must_use]
    pub fn say(self, text: &str) -> String {
        match self {
            Units::Inch => text.to_owned(),
            Units::Metric => paired::metric_first(text),
        }
    }
}

choice! {
    /// Rules weld symbols are drawn by.
    pub enum WeldSymbols {
        Aws = "aws a2.4",
        /// ISO 2553, system A.
        Iso = "iso 2553 a",
    }
}

record! {
    /// Number, title, dates and settings of the job.
    pub struct Head {
        /// Traveler number; names the document and its record.
        required number: Located<FileName> => "\"TW-2041\"";
        /// One line: what is done to what.
        required title: Text => "\"Front axle: springs over, housing turned, knuckles re-indexed\"";
        /// Revision letter of this traveler.
        default revision: FileName = FileName::first_letter() => "\"A\"";
        /// Date the traveler is issued; the clock is never used.
        required date: Located<Date> => "2026-03-02";
        /// Date the work is promised.
        optional due: Located<Date> => "2026-03-20";
        /// What the customer asked for, in a sentence or two.
        optional asked: Text => "\"More clearance; keep it driving straight.\"";
        /// Paper of the traveler.
        default paper: Paper = Paper::Letter => "\"letter\"";
        /// Which units stand first.
        default units: Units = Units::Inch => "\"inch\"";
        /// Rules of the weld symbols; by the units if absent: inch AWS A2.4, metric ISO 2553 system A.
        optional weld_symbols: WeldSymbols => "\"AWS A2.4\"";
        /// True for an invented demonstration; printed on every page.
        default invented: bool = false => "true";
    }
}

record! {
    /// The shop that does the work.
    pub struct Shop {
        /// Name of the shop.
        required name: Located<Text> => "\"Ridge Road Fabrication (invented)\"";
        /// Address, one line.
        optional address: Text => "\"14 Quarry Lane\"";
        /// Telephone or other contact.
        optional contact: Text => "\"555-0142\"";
        /// Disclaimer printed instead of the standard one.
        optional disclaimer: Text => "\"…\"";
    }
}

record! {
    /// Who the work is for.
    pub struct Customer {
        /// Name of the customer.
        required name: Text => "\"Upper Valley Rescue District (invented)\"";
        /// Contact.
        optional contact: Text => "\"station officer\"";
        /// Customer's order number.
        optional order: Text => "\"PO 118\"";
    }
}

record! {
    /// The vehicle, trailer or assembly worked on.
    pub struct UnitFacts {
        /// What it is called on paper.
        required name: Text => "\"Brush truck 7\"";
        /// Serial, frame or asset number.
        optional identification: Text => "\"asset 7-114\"";
        /// Odometer or hour meter as received.
        optional meter: Text => "\"84 210 mi\"";
        /// Mass as weighed, ready for work.
        optional mass: Located<Reading<Mass>> => "\"5400 lb\"";
        /// Wheelbase as found.
        optional wheelbase: Located<Reading<Length>> => "\"108 in\"";
        /// Height of the centre of gravity as found; by axle scales, level and with one axle raised by H: over the wheel centres it is gain of the low axle x wheelbase x sqrt(wheelbase^2 - H^2) / (mass x H) (ISO 10392).
        optional cg_height: Located<Reading<Length>> => "\"29 in\"";
        /// From the rear axle to the centre of gravity.
        optional cg_to_rear: Located<Reading<Length>> => "\"58 in\"";
        /// Track, centre to centre of the tyres.
        optional track: Located<Reading<Length>> => "\"60 in\"";
        /// Share of the mass carried by the springs: mass less wheels, axles and half the springs; 80 to 88 % on leaf-sprung trucks (common practice).
        optional sprung_share: Located<Reading<Percent>> => "\"82 %\"";
        /// Rise of the frame at the axle the job does not work on, by other work between the readings as found and as left; 0 if it stays as it is or was raised before.
        optional other_axle_lift: Located<Reading<Length>> => "\"0 in\"";
        /// Deceleration the brakes are reckoned for.
        optional braking: Located<Reading<Acceleration>> => "\"0.7 g\"";
        /// Sideways acceleration the steering is reckoned for; from grip, track and height of the centre of gravity if absent.
        optional cornering: Located<Reading<Acceleration>> => "\"0.6 g\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

record! {
    /// A person who works on the job and may sign.
    pub struct Person {
        /// Short id used in signatures.
        required id: Located<Id> => "\"LO\"";
        /// Printed name.
        required name: Text => "\"Lead One\"";
        /// What the person may do and sign.
        many role: Role => "[\"lead\"]";
        /// Stamp or badge number.
        optional stamp: Text => "\"01\"";
    }
}

record! {
    /// A procedure wanted on one or several components.
    pub struct Work {
        /// Procedure id; `tackwright new --list` shows them.
        required procedure: Located<Id> => "\"spring-over\"";
        /// Ids of the components it is done on; `unit` for the whole unit.
        many on: Located<Id> => "[\"front\"]";
    }
}

record! {
    /// A safety rule waived for this job.
    pub struct Waiver {
        /// Rule id as `route` names it.
        required rule: Located<Id> => "\"weld-holds\"";
        /// Operation it is waived for; the whole job if absent.
        optional operation: Located<OperationName> => "\"weld-pads\"";
        /// Who waives it.
        required by: Text => "\"Lead One\"";
        /// Why it is safe without.
        required reason: Text => "\"…\"";
        /// When.
        required date: Located<Date> => "2026-03-02";
    }
}

choice! {
    /// What is done about a found condition.
    pub enum Disposition {
        /// Still open.
        Open = "open",
        /// Good enough as it is.
        UseAsIs = "use as is",
        /// Bring it to the drawing.
        Rework = "rework",
        /// Make it safe by another way than the drawing.
        Repair = "repair",
        /// Replace it.
        Reject = "reject",
    }
}

record! {
    /// A condition found that the first plan did not foresee.
    pub struct FoundCondition {
        /// What was found, and where.
        required what: Text => "\"Old gusset under the left pad, cracked at the toe\"";
        /// When.
        required date: Located<Date> => "2026-03-04";
        /// What is done about it.
        default disposition: Disposition = Disposition::Open => "\"repair\"";
        /// Who decided, and why.
        optional decided: Text => "\"Lead One: cut out, plug welded, penetrant tested\"";
    }
}

record! {
    /// One line of the change log.
    pub struct Change {
        /// Revision letter.
        required revision: Text => "\"B\"";
        /// When.
        required date: Located<Date> => "2026-03-05";
        /// What changed and why.
        required what: Text => "\"Gusset repair added\"";
        /// Who asked for it.
        optional asked: Text => "\"the customer, by letter of 2026-03-04\"";
    }
}

impl Change {
    /// What changed, and who asked where that is said.
    #[must_use]
    pub fn told(&self) -> String {
        match &self.asked {
            Some(asked) => format!("{}; asked by {}", &*self.what, &**asked),
            None => self.what.to_string(),
        }
    }
}
