//! What a value of a file may be: usual in the trade, and possible at all.
//!
//! The usual bounds only ask a second look. The possible ones are where no such part
//! exists or the work could not be done. Both are wide on purpose: they catch a wrong
//! unit, a lost point and a wrong sign.

use crate::quantity::Kind;
use crate::quantity::unit::{self, Unit};

/// Bounds of one key of a file.
#[derive(Debug, Clone, Copy)]
pub struct Bound {
    /// Key path without numbers and sides: `axle.tube.od`.
    pub key: &'static str,
    /// What `usual` and `possible` are counted in: `in`, `lb`, `%`.
    pub unit: &'static str,
    /// Outside these a value needs a reason.
    pub usual: (f64, f64),
    /// Outside these it is refused.
    pub possible: (f64, f64),
}

/// A row of a table of bounds.
#[must_use]
pub const fn row(key: &'static str, unit: &'static str, usual: (f64, f64), possible: (f64, f64)) -> Bound {
    Bound { key, unit, usual, possible }
}

impl Bound {
    /// The unit its numbers are counted in.
    #[must_use]
    pub fn unit(&self) -> Option<Unit> {
        let kind = match self.unit {
            "" => Kind::Number,
            "in" => Kind::Length,
            "deg" => Kind::Angle,
            "lb" => Kind::Mass,
            "g" => Kind::Acceleration,
            "lbf" => Kind::Force,
            "lbf-ft" => Kind::Torque,
            "ksi" | "psi" => Kind::Stress,
            "rpm" => Kind::RotationSpeed,
            "in/min" => Kind::Speed,
            "A" => Kind::Current,
            "V" => Kind::Voltage,
            "degF" => Kind::Temperature,
            "K" => Kind::TemperatureRise,
            "s" => Kind::Time,
            "ml/100g" => Kind::Hydrogen,
            "ft3/h" => Kind::Flow,
            "kJ/in" => Kind::HeatInput,
            // A carbon equivalent is a share of the composition.
            "%" if self.key == "joint.cet" => Kind::MassFraction,
            "%" => Kind::Percent,
            _ => return None,
        };
        unit::find(kind, self.unit).or_else(|| kind.units().next())
    }
}

/// A key path without its numbers and sides, as tables of bounds name it.
#[must_use]
pub fn plain_path(path: &str) -> String {
    let plain: Vec<&str> = path
        .split('.')
        .map(|part| part.split('[').next().unwrap_or(part))
        .filter(|part| !matches!(*part, "left" | "right"))
        .collect();
    plain.join(".")
}
