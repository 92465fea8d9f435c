//! Temperatures as AWS D1.1 prints them: each in both scales, rounded by the
//! code's own hand, so that 150 degF stands beside 65 degC.

use super::column::Column;
use crate::figure::prelude::*;

/// Values of the table by category, degrees Fahrenheit and Celsius.
pub(super) const CATEGORY: &[(f64, f64)] =
    &[(32.0, 0.0), (50.0, 10.0), (70.0, 20.0), (150.0, 65.0), (225.0, 110.0), (300.0, 150.0)];

/// Values of the hydrogen-control table, degrees Fahrenheit and Celsius
/// (recalled).
pub(super) const CONTROL: &[(f64, f64)] = &[
    (65.0, 20.0),
    (80.0, 25.0),
    (100.0, 40.0),
    (140.0, 60.0),
    (150.0, 65.0),
    (160.0, 70.0),
    (165.0, 75.0),
    (175.0, 80.0),
    (185.0, 85.0),
    (200.0, 95.0),
    (210.0, 100.0),
    (220.0, 105.0),
    (230.0, 110.0),
    (240.0, 115.0),
    (250.0, 120.0),
    (265.0, 130.0),
    (280.0, 140.0),
    (290.0, 145.0),
    (300.0, 150.0),
    (320.0, 160.0),
];

/// A preheat: a value of the code as printed there, any other up to the next
/// `step` degrees.
pub(super) const fn style(pairs: &'static [(f64, f64)], step: f64) -> Style {
    Style::pair(Form::Coded { unit: unit::DEGF, step, pairs }, Form::Coded { unit: unit::DEGC, step, pairs })
        .up()
}

/// The code's temperature for a cell in degrees Fahrenheit, in the unit of the
/// column.
pub(super) fn cell(fahrenheit: f64, pairs: &[(f64, f64)], column: Column) -> Temperature {
    match (column, pairs.iter().find(|(f, _)| (*f - fahrenheit).abs() < 1e-9)) {
        (Column::Metric, Some((_, celsius))) => Temperature::of(*celsius, unit::DEGC),
        _ => Temperature::of(fahrenheit, unit::DEGF),
    }
}
