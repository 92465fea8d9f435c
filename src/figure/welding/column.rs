//! The inch and the metric column of a US code's table: two sets of limits,
//! each of round numbers, and no exact conversions of each other.

use crate::figure::{Given, Input, Need, Trouble};
use crate::quantity::{Length, Unit, unit};

/// Which column to read, where the unit of the thickness is not to decide.
pub(super) const COLUMN: Input = Input::choice(
    "table",
    &["inch", "metric"],
    Need::Default("metric for a thickness written in metric units, else inch"),
    "which column of the code's table to read",
)
.also(&["units", "column"]);

/// Column of a code's table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Column {
    /// Inches and degrees Fahrenheit.
    Inch,
    /// Millimetres and degrees Celsius.
    Metric,
}

impl Column {
    /// As `table` says, else by the unit the length `name` was written in.
    ///
    /// # Errors
    /// If `table` is not a word.
    pub(super) fn read(given: &Given, name: &str) -> Result<Self, Trouble> {
        Ok(match given.maybe_word("table")? {
            Some("metric") => Column::Metric,
            Some(_) => Column::Inch,
            None if given.is_metric(name) => Column::Metric,
            None => Column::Inch,
        })
    }

    /// The other one.
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
        use crate::quantity::Dimensioned;
        match self {
            Column::Inch => Length::of(inches, unit::IN),
            Column::Metric => Length::of(millimetres, unit::MM),
        }
    }

    /// In words.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Column::Inch => "inch",
            Column::Metric => "metric",
        }
    }
}
