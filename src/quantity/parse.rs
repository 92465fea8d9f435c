//! Reads a quantity as a shop writes it: `3-1/4 in`, `1 1/2"`, `5 ft 3 in`,
//! `2°30'`, `90 ft-lb`, `2.5 deg ± 0.1 deg`.
//!
//! A unit is required unless the kind is a pure number or share, or the value is
//! zero. A share of one and above has to carry its sign, `75 %`. A value after
//! `±` (or `+/-`), in a unit or in per cent of the value, is a limit and gives a rectangular distribution, standard
//! uncertainty limit / sqrt 3 (JCGM 100:2008, 4.3.7); with `(k=2)` behind it, it
//! is an expanded uncertainty and is divided by two.

use super::read::{error, read, sample};
use super::{Kind, Quantity, mend, spell};

pub use super::read::{Measured, QuantityError};

/// Longest text read as a quantity; anything longer is a slip.
const LONGEST: usize = 120;

/// Reads `text` as a quantity of `kind`, without an uncertainty.
///
/// # Errors
/// If the text is no number, has no unit, or the unit is of another kind.
pub fn quantity(kind: Kind, text: &str) -> Result<Quantity, QuantityError> {
    let parsed = measured(kind, text)?;
    if parsed.uncertainty > 0.0 {
        return Err(error(kind, "an uncertainty is not wanted here"));
    }
    Ok(parsed.value)
}

/// Reads `text` as a quantity of `kind` that may carry `± limit`.
///
/// # Errors
/// As [`quantity`]; also if the uncertainty is negative or of another kind. The
/// example of the error is the text that was written, mended, if it can be.
pub fn measured(kind: Kind, text: &str) -> Result<Measured, QuantityError> {
    if text.len() > LONGEST {
        return Err(error(kind, format!("a text of {} characters is not a quantity", text.len())));
    }
    read(kind, text).map_err(|mut error| {
        let meant = mend::meant(kind, text);
        if !meant.is_empty() {
            error.example = format!("\"{}\"", meant.join("\" or \""));
        } else if text.contains(|c: char| c.is_ascii_digit())
            && error.example.replacen("\"-", "\"", 1) == sample(kind)
        {
            // Another number beside the one that was written would be copied.
            let unit = kind.units().next().map_or("", |u| u.symbol);
            error.example = format!("\"{}\"", format!("… {unit}").trim_end());
        }
        error
    })
}

/// What [`quantity`] reads, for who only asks whether there is one: what is wrong is
/// neither told nor mended, which takes much longer than to read.
#[must_use]
pub fn maybe(kind: Kind, text: &str) -> Option<Quantity> {
    maybe_measured(kind, text).filter(|read| read.uncertainty <= 0.0).map(|read| read.value)
}

/// What [`measured`] reads, as [`maybe`].
#[must_use]
pub fn maybe_measured(kind: Kind, text: &str) -> Option<Measured> {
    (text.len() <= LONGEST).then(|| read(kind, text).ok()).flatten()
}

/// The worth of the last decimal a quantity was written with, in SI units: 0.01 in for
/// `2.30 in`. None without a decimal point: a whole number and a fraction are read off a
/// mark. None also for what is no quantity of the kind.
#[must_use]
pub fn last_place(kind: Kind, text: &str) -> Option<f64> {
    let unit = maybe_measured(kind, text)?.unit;
    let plain = spell::plain(text);
    let number = plain.split('±').next()?;
    let (_, decimals) = number.split_once('.')?;
    let digits = decimals.chars().take_while(char::is_ascii_digit).count();
    let place = 10_f64.powi(-i32::try_from(digits).ok()?);
    Some(unit.to_si(place) - unit.to_si(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_place_is_that_of_the_last_decimal_in_its_unit() {
        let near = |text: &str, kind: Kind, metres: f64| {
            let place = last_place(kind, text).unwrap_or_default();
            assert!((place - metres).abs() < 1e-12, "{text}: {place}");
        };
        near("2.30 in", Kind::Length, 0.01 * 0.0254);
        near("0.000 in", Kind::Length, 0.001 * 0.0254);
        near("-12.5 mm ± 0.1 mm", Kind::Length, 1e-4);
        near("70.5 degF", Kind::Temperature, 0.1 / 1.8);
        for text in ["6 in", "3-1/4 in", "x"] {
            assert_eq!(last_place(Kind::Length, text), None, "{text}");
        }
    }
}
