//! Instruments and torque tools.

use crate::file::{Date, Id, Located, Reading, Text};
use crate::quantity::{Dimensioned, Kind, Percent, Quantity, Torque, math, parse, unit};
use crate::{choice, record};

choice! {
    /// What an instrument measures.
    pub enum Measures {
        Length = "length",
        Angle = "angle",
        Temperature = "temperature",
        Current = "current",
        Voltage = "voltage",
        Speed = "speed",
        Time = "time",
        Pressure = "pressure",
        Mass = "mass",
    }
}

impl Measures {
    /// What measures a kind of quantity; none if no instrument of a book does.
    #[must_use]
    pub fn of_kind(kind: Kind) -> Option<Self> {
        Self::WORDS.iter().filter_map(|w| Self::of(w)).find(|m| m.kind() == kind)
    }

    /// The kind of its quantities.
    #[must_use]
    pub const fn kind(self) -> Kind {
        match self {
            Measures::Length => Kind::Length,
            Measures::Angle => Kind::Angle,
            Measures::Temperature => Kind::Temperature,
            Measures::Current => Kind::Current,
            Measures::Voltage => Kind::Voltage,
            Measures::Speed => Kind::Speed,
            Measures::Time => Kind::Time,
            Measures::Pressure => Kind::Stress,
            Measures::Mass => Kind::Mass,
        }
    }

    /// The kind of a difference of two such quantities: tolerances, steps and
    /// uncertainties.
    #[must_use]
    pub const fn difference(self) -> Kind {
        match self {
            Measures::Temperature => Kind::TemperatureRise,
            other => other.kind(),
        }
    }
}

record! {
    /// A measuring instrument.
    pub struct Instrument {
        /// Id.
        required id: Located<Id> => "\"AF-1\"";
        /// What it is, in the words readings use for their instrument.
        required kind: Located<Text> => "\"angle finder\"";
        /// What it measures.
        required measures: Located<Measures> => "\"angle\"";
        /// Lowest value it may be used for, by its certificate.
        optional least: Located<Text> => "\"0 deg\"";
        /// Highest value it may be used for, by its certificate.
        optional most: Located<Text> => "\"90 deg\"";
        /// Full scale, where the certificate gives no range: used from 20 to 100 % of it.
        optional capacity: Located<Text> => "\"200 psi\"";
        /// Smallest step it shows.
        required resolution: Located<Text> => "\"0.1 deg\"";
        /// Expanded uncertainty from its certificate, k = 2.
        required uncertainty: Located<Text> => "\"0.1 deg\"";
        /// Day of the last calibration.
        optional calibrated: Located<Date> => "2025-09-01";
        /// Last day of the calibration.
        required due: Located<Date> => "2026-09-01";
        /// Why it may not be used, if it may not.
        optional out_of_service: Text => "\"dropped\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

impl Instrument {
    fn read(text: Option<&Located<Text>>, kind: Kind) -> Option<Quantity> {
        parse::maybe(kind, &text?.value)
    }

    /// Usable range: the certificate's, or 20 to 100 % of full scale.
    #[must_use]
    pub fn range(&self) -> (Option<Quantity>, Option<Quantity>) {
        let kind = self.measures.value.kind();
        if let Some(full) = Self::read(self.capacity.as_ref(), kind) {
            let low = Self::read(self.least.as_ref(), kind)
                .unwrap_or_else(|| Quantity::from_si(kind, 0.2 * full.si()));
            return (Some(low), Some(full));
        }
        (Self::read(self.least.as_ref(), kind), Self::read(self.most.as_ref(), kind))
    }

    /// Smallest step.
    #[must_use]
    pub fn step(&self) -> Option<Quantity> {
        Self::read(Some(&self.resolution), self.measures.value.difference())
    }

    /// Expanded uncertainty of its certificate, k = 2.
    #[must_use]
    pub fn expanded(&self) -> Option<Quantity> {
        Self::read(Some(&self.uncertainty), self.measures.value.difference())
    }

    /// How well it measures: certificate and step together, u = sqrt((U/2)² +
    /// (r/√12)²). Source: JCGM 100:2008, 4.3.7 and 5.1.2.
    #[must_use]
    pub fn spread(&self) -> Option<Spread> {
        let (expanded, step) = (self.expanded()?, self.step()?);
        let fixed = math::hypot(expanded.si() / 2.0, step.si() / 12.0_f64.sqrt());
        Some(Spread { fixed, share: 0.0 })
    }
}

/// How well a tool measures: a part of its own and a share of the value, both
/// standard uncertainties.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// In SI units of what it reads.
    pub fixed: f64,
    /// Share of the value.
    pub share: f64,
}

impl Spread {
    /// Standard uncertainty at a value, both in SI units.
    #[must_use]
    pub fn at(self, value: f64) -> f64 {
        math::hypot(self.fixed, self.share * value)
    }
}

record! {
    /// A torque tool.
    pub struct TorqueTool {
        /// Id.
        required id: Located<Id> => "\"TW-3\"";
        /// What it is.
        required kind: Text => "\"click wrench, 1/2 in drive\"";
        /// Highest marked value.
        required capacity: Located<Reading<Torque>> => "\"250 lbf-ft\"";
        /// Lowest value its certificate covers; 20 % of the capacity if absent.
        optional least: Located<Reading<Torque>> => "\"40 lbf-ft\"";
        /// Smallest mark or step.
        required increment: Located<Reading<Torque>> => "\"1 lbf-ft\"";
        /// Expanded uncertainty from its certificate, k = 2, share of the reading.
        optional uncertainty: Located<Reading<Percent>> => "\"1.5 %\"";
        /// Permissible deviation, share of the reading, where there is no certificate; 4 %, 6 % to 10 N·m if absent.
        optional deviation: Located<Reading<Percent>> => "\"4 %\"";
        /// Day of the last calibration.
        optional calibrated: Located<Date> => "2025-09-01";
        /// Last day of the calibration.
        required due: Located<Date> => "2026-09-01";
        /// Why it may not be used, if it may not.
        optional out_of_service: Text => "\"dropped\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

impl TorqueTool {
    /// Usable range: what its certificate covers, or 20 to 100 % of the capacity.
    #[must_use]
    pub fn range(&self) -> (Torque, Torque) {
        let capacity = self.capacity.value.value;
        (self.least.as_ref().map_or(capacity * 0.2, |l| l.value.value), capacity)
    }

    /// How well it tightens: half its expanded uncertainty, or its permissible
    /// deviation as a limit (rectangular), with the step on top. Sources: JCGM
    /// 100:2008, 4.3.7; ISO 6789-1:2017 for the deviation where none is stated,
    /// from memory.
    #[must_use]
    pub fn spread(&self) -> Spread {
        let usual = if self.capacity.value.value.to(unit::N_M) > 10.0 { 0.04 } else { 0.06 };
        let share = match (&self.uncertainty, &self.deviation) {
            (Some(expanded), _) => expanded.value.value.si() / 2.0,
            (None, Some(deviation)) => deviation.value.value.si() / 3.0_f64.sqrt(),
            (None, None) => usual / 3.0_f64.sqrt(),
        };
        Spread { fixed: self.increment.value.value.si() / 12.0_f64.sqrt(), share }
    }
}
