//! People and instruments as the record's rules see them, whatever book they
//! come from.

use chrono::NaiveDate;

/// A person who may make entries.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Signer {
    /// Id.
    pub id: String,
    /// Printed name.
    pub name: String,
    /// Role words.
    pub roles: Vec<String>,
    /// Hash of the PIN (PHC string); none if the book has none.
    pub pin: Option<String>,
    /// Qualifications; empty if the book lists none at all.
    pub qualified: Vec<Qualified>,
}

/// A qualification.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Qualified {
    /// What for: a welding procedure, or a role word.
    pub what: String,
    /// Last day it is valid; none if it does not end.
    pub until: Option<NaiveDate>,
}

/// A tool or instrument.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Instrument {
    /// Id.
    pub id: String,
    /// Last day its calibration is valid; none if it needs none.
    pub until: Option<NaiveDate>,
    /// Standard uncertainty in SI units of what it reads, if the book has one.
    pub uncertainty: Option<String>,
}

/// Who and what the rules may look up.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Register {
    /// People.
    pub people: Vec<Signer>,
    /// Instruments; none if there is no list to check against.
    pub instruments: Option<Vec<Instrument>>,
}

impl Register {
    /// The person of this id.
    #[must_use]
    pub fn person(&self, id: &str) -> Option<&Signer> {
        self.people.iter().find(|p| p.id == id)
    }
}
