//! Quantities stated in procedure texts, shown in the units of the job.
//!
//! `{{ q('35 ft') }}` prints `35 ft` in an inch job and `11 m` in a metric one.
//! A stated distance is a round figure in the units it was written in, and stays one in
//! the others: two digits, of millimetres whole ones, from twenty up by fives, from a
//! hundred by tens, as a metric rule is read (common practice): 6 mm of 1/4 in, 50 mm of 2 in.
//!
//! `{{ most('1/8 in') }}` is a limit nothing may go beyond, in the same millimetres
//! as the limit of a box: rounded inward, never to the nearest. `{{ least('1/4 in') }}` is
//! one nothing may fall short of.

use crate::job::model::Units;
use crate::quantity::show::limit;
use crate::quantity::{Kind, Quantity, math, parse, unit};

/// Units of one size class: what inch jobs and metric jobs call it.
const PAIRS: &[(Kind, &str, &str)] = &[
    (Kind::Length, "in", "mm"),
    (Kind::Length, "ft", "m"),
    (Kind::Length, "mi", "km"),
    (Kind::Speed, "mph", "km/h"),
    (Kind::Mass, "lb", "kg"),
    (Kind::Stress, "psi", "kPa"),
    (Kind::Torque, "lbf-ft", "N·m"),
    (Kind::Temperature, "degF", "degC"),
];

/// A stated quantity in the job's units.
///
/// # Errors
/// If the text is no quantity in one of the units procedure texts may state;
/// the message says which these are.
pub fn shown(text: &str, units: Units) -> Result<String, String> {
    let stated = Stated::read(text, units)?;
    Ok(match stated.unit {
        None => said(stated.number, stated.wanted),
        Some(unit) if stated.wanted == "mm" => said(&on_a_rule(unit.from_si(stated.value.si())), "mm"),
        Some(unit) => said(&two_digits(unit.from_si(stated.value.si()), f64::round), stated.wanted),
    })
}

/// A stated limit at least, as [`most`], never short of what was stated.
///
/// # Errors
/// As for [`shown`].
pub fn least(text: &str, units: Units) -> Result<String, String> {
    let stated = Stated::read(text, units)?;
    Ok(match stated.unit {
        None => said(stated.number, stated.wanted),
        Some(_) if stated.wanted == "mm" => {
            units.first(limit(stated.value, text, true).up()).shop(stated.value)
        }
        Some(unit) => said(&two_digits(unit.from_si(stated.value.si()), f64::ceil), stated.wanted),
    })
}

/// Millimetres by the marks of a rule; small ones with two digits.
fn on_a_rule(millimetres: f64) -> String {
    let step = match millimetres.abs() {
        small if small < 3.0 => return two_digits(millimetres, f64::round),
        small if small < 20.0 => 1.0,
        size if size < 100.0 => 5.0,
        _ => 10.0,
    };
    format!("{}", (millimetres / step * (1.0 + 1e-12)).round() * step)
}

/// A stated limit at most: a small length as the limits of boxes are written, what has
/// no box with two digits, never beyond what was stated.
///
/// # Errors
/// As for [`shown`].
pub fn most(text: &str, units: Units) -> Result<String, String> {
    let stated = Stated::read(text, units)?;
    Ok(match stated.unit {
        None => said(stated.number, stated.wanted),
        Some(_) if stated.wanted == "mm" => {
            units.first(limit(stated.value, text, true).down()).shop(stated.value)
        }
        Some(unit) => said(&two_digits(unit.from_si(stated.value.si()), f64::floor), stated.wanted),
    })
}

/// A stated quantity, and the unit it is shown in where that is another.
struct Stated<'a> {
    number: &'a str,
    value: Quantity,
    wanted: &'static str,
    unit: Option<unit::Unit>,
}

impl<'a> Stated<'a> {
    fn read(text: &'a str, units: Units) -> Result<Self, String> {
        let text = text.trim();
        let wrong = || {
            let known: Vec<_> = PAIRS.iter().flat_map(|(_, inch, metric)| [*inch, *metric]).collect();
            format!("\"{text}\" is no quantity in {}", known.join(", "))
        };
        let (number, written) = text.rsplit_once(' ').ok_or_else(wrong)?;
        let (kind, inch, metric) = PAIRS
            .iter()
            .find(|(_, inch, metric)| written == *inch || written == *metric)
            .ok_or_else(wrong)?;
        let value = parse::quantity(*kind, text).map_err(|_| wrong())?;
        let wanted = match units {
            Units::Inch => inch,
            Units::Metric => metric,
        };
        let unit = if *wanted == written { None } else { Some(unit::find(*kind, wanted).ok_or_else(wrong)?) };
        Ok(Self { number, value, wanted, unit })
    }
}

fn said(number: &str, unit: &str) -> String {
    format!("{number} {}", unit.replace("deg", "°"))
}

fn two_digits(value: f64, whole: fn(f64) -> f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    // Whole digits in front of the point, less one.
    let size = math::log10(value.abs()).floor();
    let step = math::pow(10.0, size - 1.0);
    // A tie that the way through two units has bent is still a tie.
    let rounded = whole(value / step * (1.0 + 1e-12)) * step;
    let places = if size < 1.0 { 1.0 - size } else { 0.0 };
    let mut text = format!("{rounded:.*}", places_of(places));
    if text.contains('.') {
        text = text.trim_end_matches('0').trim_end_matches('.').to_owned();
    }
    text
}

fn places_of(places: f64) -> usize {
    [0_u8, 1, 2, 3, 4, 5].into_iter().find(|p| f64::from(*p) >= places).map_or(6, usize::from)
}
