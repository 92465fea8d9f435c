//! The inch and the metric column of a US code's table: two sets of limits,
//! each of round numbers, and no exact conversions of each other.

use crate::figure::prelude::*;
use crate::quantity::Unit;

words! {
    /// Column of a code's table. A family that reads one takes it as an input; the
    /// bench states the one its lengths were written in.
    pub Column {
        /// Inches and degrees Fahrenheit:
        Inch = "inch" | "in" | "imperial" | "us",
        /// Millimetres and degrees Celsius:
        Metric = "metric" | "mpa" | "mm",
    }
}

impl Column {
    /// Metric for inch, inch for metric.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Column::Inch => Column::Metric,
            Column::Metric => Column::Inch,
        }
    }

    /// Unit of its lengths.
    #[must_use]
    pub const fn unit(self) -> Unit {
        match self {
            Column::Inch => unit::IN,
            Column::Metric => unit::MM,
        }
    }

    /// The limit of this column.
    #[must_use]
    pub fn length(self, inches: f64, millimetres: f64) -> Length {
        match self {
            Column::Inch => Length::of(inches, unit::IN),
            Column::Metric => Length::of(millimetres, unit::MM),
        }
    }
}
