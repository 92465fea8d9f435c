//! Quantities stated in procedure texts, shown in the units of the job.
//!
//! `{{ q('35 ft') }}` prints `35 ft` in an inch job and `11 m` in a metric one.
//! Two digits are kept: a stated distance is a round figure in the units it was
//! written in, and stays one in the others.

use crate::job::model::Units;
use crate::quantity::{Kind, parse};

/// Units of one size class: what inch jobs and metric jobs call it.
struct Pair {
    kind: Kind,
    inch: &'static str,
    metric: &'static str,
    /// Factor and offset from the inch unit to the metric one.
    factor: f64,
    offset: f64,
}

const fn pair(kind: Kind, inch: &'static str, metric: &'static str, factor: f64) -> Pair {
    Pair { kind, inch, metric, factor, offset: 0.0 }
}

/// Factors by definition of the inch, mile and pound (NIST SP 811:2008, B.8).
const PAIRS: &[Pair] = &[
    pair(Kind::Length, "in", "mm", 25.4),
    pair(Kind::Length, "ft", "m", 0.3048),
    pair(Kind::Length, "mi", "km", 1.609_344),
    pair(Kind::Speed, "mph", "km/h", 1.609_344),
    pair(Kind::Mass, "lb", "kg", 0.453_592_37),
    pair(Kind::Stress, "psi", "kPa", 6.894_757_293_168),
    pair(Kind::Torque, "lbf-ft", "N·m", 1.355_817_948_331_4),
    Pair { kind: Kind::Temperature, inch: "degF", metric: "degC", factor: 5.0 / 9.0, offset: -32.0 },
];

/// A stated quantity in the job's units.
///
/// # Errors
/// If the text is no quantity in one of the units procedure texts may state;
/// the message says which these are.
pub fn shown(text: &str, units: Units) -> Result<String, String> {
    let text = text.trim();
    let place = text.rfind(' ').map(|at| text.split_at(at));
    let wrong = || {
        let known: Vec<_> = PAIRS.iter().flat_map(|p| [p.inch, p.metric]).collect();
        format!("\"{text}\" is no quantity in {}", known.join(", "))
    };
    let (number, unit) = place.map(|(n, u)| (n, u.trim())).ok_or_else(wrong)?;
    let pair = PAIRS.iter().find(|p| p.inch == unit || p.metric == unit).ok_or_else(wrong)?;
    parse::quantity(pair.kind, text).map_err(|_| wrong())?;
    let wanted = match units {
        Units::Inch => pair.inch,
        Units::Metric => pair.metric,
    };
    if wanted == unit {
        return Ok(said(number, unit));
    }
    let value = parse::quantity(Kind::Number, number).map_err(|_| wrong())?.si();
    let other = match units {
        Units::Metric => (value + pair.offset) * pair.factor,
        Units::Inch => value / pair.factor - pair.offset,
    };
    Ok(said(&two_digits(other), wanted))
}

fn said(number: &str, unit: &str) -> String {
    format!("{number} {}", unit.replace("deg", "°"))
}

fn two_digits(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    // Whole digits in front of the point, less one.
    let size = value.abs().log10().floor();
    let step = 10_f64.powf(size - 1.0);
    // A tie that the way through two units has bent is still a tie.
    let rounded = (value / step * (1.0 + 1e-12)).round() * step;
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
