//! Instruments and torque tools.

use crate::file::{Date, Id, Located, Reading, Text};
use crate::quantity::{Kind, Percent, Quantity, Torque, parse};
use crate::{choice, record};

choice! {
    /// What an instrument measures.
    pub enum Measures {
        /// Length.
        Length = "length",
        /// Angle.
        Angle = "angle",
        /// Temperature.
        Temperature = "temperature",
        /// Current.
        Current = "current",
        /// Voltage.
        Voltage = "voltage",
        /// Speed.
        Speed = "speed",
        /// Time.
        Time = "time",
        /// Pressure.
        Pressure = "pressure",
        /// Mass.
        Mass = "mass",
    }
}

impl Measures {
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
    }
}

impl Instrument {
    fn read(text: Option<&Located<Text>>, kind: Kind) -> Option<Quantity> {
        parse::quantity(kind, &text?.value).ok()
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
    }
}
