//! Quantities stated in procedure texts, shown in the units of the job.
//!
//! `{{ most('1/8 in') }}` is a limit and rounds down, as the box of its reading does: one
//! limit is one number on paper. `{{ q('35 ft') }}` prints `35 ft` in an inch job and `11 m` in a metric one.
//! Two digits are kept: a stated distance is a round figure in the units it was
//! written in, and stays one in the others.

use crate::job::model::Units;
use crate::quantity::{Kind, Toward, math, parse, unit};

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
    stated(text, units, Toward::Nearest)
}

/// A stated limit in the job's units, never above what was stated.
///
/// # Errors
/// As [`shown`].
pub fn at_most(text: &str, units: Units) -> Result<String, String> {
    stated(text, units, Toward::Down)
}

fn stated(text: &str, units: Units, toward: Toward) -> Result<String, String> {
    let text = text.trim();
    let wrong = || {
        let known: Vec<_> = PAIRS.iter().flat_map(|(_, inch, metric)| [*inch, *metric]).collect();
        format!("\"{text}\" is no quantity in {}", known.join(", "))
    };
    let (number, written) = text.rsplit_once(' ').ok_or_else(wrong)?;
    let (kind, inch, metric) =
        PAIRS.iter().find(|(_, inch, metric)| written == *inch || written == *metric).ok_or_else(wrong)?;
    let value = parse::quantity(*kind, text).map_err(|_| wrong())?;
    let wanted = match units {
        Units::Inch => inch,
        Units::Metric => metric,
    };
    if *wanted == written {
        return Ok(said(number, written));
    }
    let unit = unit::find(*kind, wanted).ok_or_else(wrong)?;
    // A box shows tenths of a millimetre.
    let finest = if toward == Toward::Down && *wanted == "mm" { 0.1 } else { f64::INFINITY };
    Ok(said(&two_digits(unit.from_si(value.si()), toward, finest), wanted))
}

fn said(number: &str, unit: &str) -> String {
    format!("{number} {}", unit.replace("deg", "°"))
}

fn two_digits(value: f64, toward: Toward, finest: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    // Whole digits in front of the point, less one.
    let size = math::log10(value.abs()).floor();
    let step = math::pow(10.0, size - 1.0).min(finest);
    // A tie that the way through two units has bent is still a tie.
    let steps = value / step * (1.0 + 1e-12);
    let rounded = step
        * match toward {
            Toward::Nearest => steps.round(),
            Toward::Down => steps.floor(),
            Toward::Up => steps.ceil(),
        };
    let places = (-math::log10(step)).ceil().max(0.0);
    let mut text = format!("{rounded:.*}", places_of(places));
    if text.contains('.') {
        text = text.trim_end_matches('0').trim_end_matches('.').to_owned();
    }
    text
}

fn places_of(places: f64) -> usize {
    [0_u8, 1, 2, 3, 4, 5].into_iter().find(|p| f64::from(*p) >= places).map_or(6, usize::from)
}
