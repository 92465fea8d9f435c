//! People, instruments and lots as the record's rules see them on one day,
//! whatever book they come from.

use chrono::NaiveDate;

use crate::quantity::{Kind, Quantity};
use crate::term::Method;

/// A person who may make entries.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Signer {
    /// As in the shop book; entries name the person by it.
    pub id: String,
    /// Printed name.
    pub name: String,
    /// Role words.
    pub roles: Vec<String>,
    /// Hash of the PIN (PHC string); none if the book has none.
    pub pin: Option<String>,
    /// Last day with the shop; none while it is open.
    pub left: Option<NaiveDate>,
    /// Qualifications the book lists.
    pub qualified: Vec<Qualified>,
}

impl Signer {
    /// Certificates for a method of testing, those that ended among them.
    pub fn certificates(&self, method: Method) -> impl Iterator<Item = &Qualified> {
        self.qualified.iter().filter(move |q| q.what == method.title())
    }

    /// Whether the book certifies the person for any method of testing.
    #[must_use]
    pub fn tests(&self) -> bool {
        Method::ALL.iter().any(|method| self.certificates(*method).next().is_some())
    }

    /// Whether the book lists a certificate of the person for a role.
    #[must_use]
    pub fn certified(&self, role: &str) -> bool {
        self.qualified.iter().any(|q| q.what == role)
    }
}

/// What a person may do by a test or certificate.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Qualified {
    /// What for: the id of a joint, a role word, or the title of a method of testing.
    pub what: String,
    /// Last day it is valid; none if it does not end.
    pub until: Option<NaiveDate>,
    /// What it rests on, in words: `Q-WO-TUBE until 2026-08-20`.
    pub basis: String,
    /// Why the person may not, if the book says no.
    pub why_not: Option<String>,
}

/// How well an instrument measures: a part of its own and a share of the value.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Spread {
    /// Standard uncertainty in SI units of what it reads.
    pub fixed: f64,
    /// Standard uncertainty as a share of the value.
    pub share: f64,
}

impl Spread {
    /// Standard uncertainty at a value, both in SI units.
    #[must_use]
    pub fn at(self, value: f64) -> f64 {
        crate::quantity::math::hypot(self.fixed, self.share * value)
    }
}

/// A tool or instrument.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Instrument {
    /// As in the shop book; entries name the instrument by it.
    pub id: String,
    /// What it is, as the shop book has it.
    pub title: String,
    /// What it measures; none if the book does not say.
    pub kind: Option<Kind>,
    /// Last day its calibration is valid; none if it needs none.
    pub until: Option<NaiveDate>,
    /// Day of its last calibration, if the book says it.
    pub calibrated: Option<NaiveDate>,
    /// Why it may not be used, if it may not.
    pub out_of_service: Option<String>,
    /// Lowest value it may be used for.
    pub least: Option<Quantity>,
    /// Highest value it may be used for.
    pub most: Option<Quantity>,
    /// Its uncertainty, if the book has one.
    pub spread: Option<Spread>,
    /// Smallest step it shows, of the kind it measures.
    pub step: Option<Quantity>,
}

impl Instrument {
    /// Whether a value lies where it may be used.
    #[must_use]
    pub fn takes(&self, value: Quantity) -> bool {
        let room = 1e-9 * value.si().abs();
        let inside = |si: f64| {
            let below = self.least.is_some_and(|l| si < l.si() - room);
            let above = self.most.is_some_and(|m| si > m.si() + room);
            !below && !above
        };
        // No gap is told by the thinnest blade that does not go in, and the sign
        // of a distance says which way, not how it was read.
        value.kind() == Kind::Length && value.si() == 0.0
            || inside(value.si())
            || value.kind() == Kind::Length && inside(value.si().abs())
    }
}

/// A lot of filler or a heat of material.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Lot {
    /// Id in the book.
    pub id: String,
    /// Heat or lot number.
    pub number: String,
    /// What it is: `filler`, `metal`.
    pub kind: String,
    /// Classification or grade.
    pub designation: String,
    /// Last day it may be used.
    pub until: Option<NaiveDate>,
}

/// Who and what the rules may look up.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Register {
    /// Where it comes from, for messages.
    pub book: String,
    /// Everybody the job and the book name, those who left among them.
    pub people: Vec<Signer>,
    /// Whether the right to weld a joint is known; if not, the role is enough.
    pub welding: bool,
    /// Instruments; none if there is no list to check against.
    pub instruments: Option<Vec<Instrument>>,
    /// Instruments as the paper in force was issued with them; none if nobody knows.
    pub frozen: Option<Vec<Instrument>>,
    /// People with what they were certified for, as the paper in force was issued with them;
    /// none where it was issued without a book of the shop's own.
    pub issued: Vec<Signer>,
    /// Lots; none if there is no list to check against.
    pub lots: Option<Vec<Lot>>,
}

impl Register {
    /// The person of this id.
    #[must_use]
    pub fn person(&self, id: &str) -> Option<&Signer> {
        self.people.iter().find(|p| p.id == id)
    }

    /// Whether somebody was certified for a test when the paper in force was issued, or is now:
    /// then a test is asked for its certificate, whatever left the book since.
    #[must_use]
    pub fn knows_testers(&self) -> bool {
        self.people.iter().chain(&self.issued).any(Signer::tests)
    }

    /// The instrument of this id.
    #[must_use]
    pub fn instrument(&self, id: &str) -> Option<&Instrument> {
        self.instruments.as_ref()?.iter().find(|i| i.id == id)
    }
}
