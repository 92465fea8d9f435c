//! Styles that figures of several trades are shown in: plain numbers by their last
//! digit, and a few units of which all have one style.

use crate::quantity::{Dimensioned, Form, Style, unit};

const fn number(step: f64) -> Style {
    Style::single(Form::decimal(unit::ONE, step))
}

/// A count.
pub(super) const WHOLE: Style = number(1.0);
pub(super) const HUNDREDTH: Style = number(0.01);
pub(super) const THOUSANDTH: Style = number(0.001);
pub(super) const TEN_THOUSANDTH: Style = number(0.0001);
pub(super) const HUNDRED_THOUSANDTH: Style = number(0.000_01);
pub(super) const FINE_RPM: Style = Style::single(Form::decimal(unit::RPM, 0.1));
/// A length as it is measured on a bolt.
pub(super) const FINE_LENGTH: Style =
    Style::pair(Form::decimal(unit::IN, 0.0001), Form::decimal(unit::MM, 0.001));

/// A quantity in words, both units, in the usual style of its kind.
pub(super) fn show<T: Dimensioned>(value: T) -> String {
    Style::of(T::KIND).both(value.into())
}
