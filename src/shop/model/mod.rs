//! What a shop book says: one record per section.

mod machine;
mod material;
mod person;
mod preference;
mod qualification;
mod tool;
mod wps;

pub use crate::term::Role;
pub use machine::*;
pub use material::*;
pub use person::*;
pub use preference::*;
pub use qualification::*;
pub use tool::*;
pub use wps::*;

use crate::file::{Located, Text};
use crate::record;

record! {
    /// A shop book: people, qualifications, procedures, machines, tools and preferences of one shop.
    pub struct Book {
        /// Name of the book, printed where a list came from it.
        required title: Located<Text> => "\"Quarry Lane Fabrication, shop book (invented)\"";
        /// SHA-256 of the root certificate the shop signs its records under (64 hexadecimal digits), written by `tackwright key new`.
        optional seal: Located<Text> => "\"9f2c41…\"";
        /// Preferences of the shop.
        optional preference: Preference => "";
        /// People who may work and sign.
        many person: Person => "";
        /// Tests welders have passed.
        many qualification: Qualification => "";
        /// Welding procedure specifications.
        many wps: Wps => "";
        /// Welding machines.
        many machine: Machine => "";
        /// Measuring instruments.
        many instrument: Instrument => "";
        /// Torque tools.
        many torque_tool: TorqueTool => "";
        /// Lots of filler and heats of material in the shop.
        many lot: Lot => "";
        /// Levels of hold, witness and review points.
        many level: Level => "";
        /// Safety rules of the shop's own.
        many rule: ShopRule => "";
    }
}

impl Book {
    /// The person of this id.
    #[must_use]
    pub fn person(&self, id: &str) -> Option<&Person> {
        self.person.iter().find(|p| *p.id.0 == *id)
    }

    /// The procedure of this id.
    #[must_use]
    pub fn wps(&self, id: &str) -> Option<&Wps> {
        self.wps.iter().find(|w| *w.id.0 == *id)
    }

    /// Qualifications of a person.
    pub fn qualifications<'a>(&'a self, person: &'a str) -> impl Iterator<Item = &'a Qualification> {
        self.qualification.iter().filter(move |q| *q.person.0 == *person)
    }

    /// People who may weld.
    pub fn welders(&self) -> impl Iterator<Item = &Person> {
        self.person.iter().filter(|p| p.role.contains(&Role::Welder))
    }
}
