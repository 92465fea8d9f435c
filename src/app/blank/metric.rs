//! What a metric shop writes where a shop of inches writes an example: round figures of
//! its own, not converted ones.

use crate::quantity::{Form, Kind, Quantity, Style, unit};

/// Sizes of plate, bar and parts a metric shop has, in mm (common practice; from memory
/// ISO 7452 and ISO 1035 list most of them).
const SIZES: &[f64] = &[
    2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 14.0, 15.0, 16.0, 18.0, 20.0, 22.0, 25.0, 28.0, 30.0,
    32.0, 35.0, 36.0, 38.0, 40.0, 45.0, 50.0,
];

/// Torques a wrench is set to or stepped by, in N·m (common practice).
const TORQUES: &[f64] = &[1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0];

/// The step a value is rounded to: of the first row it is below, both in the row's unit.
type Steps = &'static [(f64, f64)];

const EVER: f64 = f64::INFINITY;

/// Lengths that are no size from a list, laid off by tape.
const LENGTHS: Steps = &[(2.0, 0.5), (100.0, 1.0), (1000.0, 5.0), (EVER, 10.0)];
/// Lengths that are read by a gauge or a caliper: in inches they have a point.
const GAUGED: Steps = &[(0.5, 0.01), (30.0, 0.1), (EVER, 1.0)];

/// An example in the metric unit of its kind, and how it is written; `text` is the one in
/// inches, a fraction for what is made and a decimal for what is gauged.
pub(super) fn example(value: Quantity, text: &str) -> (Style, Quantity) {
    let kind = value.kind();
    let style = Style::of(kind);
    let Some((unit, list, steps)) = (match kind {
        Kind::Length if text.contains('.') => Some((unit::MM, None, GAUGED)),
        Kind::Length => Some((unit::MM, Some(SIZES), LENGTHS)),
        Kind::Torque => Some((unit::N_M, Some(TORQUES), &[(EVER, 10.0)] as Steps)),
        Kind::Mass => {
            Some((unit::KG, None, &[(20.0, 1.0), (100.0, 5.0), (1000.0, 10.0), (EVER, 50.0)] as Steps))
        }
        Kind::Stress => Some((unit::MPA, None, &[(EVER, 5.0)] as Steps)),
        Kind::Temperature => Some((unit::DEGC, None, &[(EVER, 5.0)] as Steps)),
        Kind::Speed => Some((unit::MM_MIN, None, &[(1000.0, 10.0), (EVER, 100.0)] as Steps)),
        Kind::Force => Some((unit::KN, None, &[(EVER, 0.1)] as Steps)),
        _ => None,
    }) else {
        return (style.as_example(), value);
    };
    let number = value.to(unit);
    let size = number.abs();
    let listed = list.filter(|list| list.first() <= Some(&size) && Some(&size) <= list.last());
    let near = listed
        .and_then(|list| list.iter().copied().min_by(|a, b| (a - size).abs().total_cmp(&(b - size).abs())));
    let row = steps.iter().find(|(below, _)| size < *below && size > 0.0);
    let step = row.map_or(1.0, |(_, step)| *step);
    let written = |step: f64| Style::single(Form::decimal(unit, step));
    match near {
        // A list has its own steps: nothing is rounded twice.
        Some(near) => {
            (written(if near.fract() == 0.0 { 1.0 } else { 0.1 }), Quantity::of(near.copysign(number), unit))
        }
        None => (written(step), value),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::parse;

    #[test]
    fn a_metric_example_is_a_size_a_metric_shop_has() {
        let rows = [
            (Kind::Length, "3/16 in", "5 mm"),
            (Kind::Length, "1/4 in", "6 mm"),
            (Kind::Length, "1/2 in", "12 mm"),
            (Kind::Length, "1-3/4 in", "45 mm"),
            (Kind::Length, "-3/8 in", "-10 mm"),
            (Kind::Length, "12-3/4 in", "325 mm"),
            (Kind::Length, "108 in", "2740 mm"),
            (Kind::Length, "0.281 in", "7.1 mm"),
            (Kind::Length, "0.003 in", "0.08 mm"),
            (Kind::Torque, "5 lbf-ft", "5 N·m"),
            (Kind::Torque, "90 lbf-ft", "120 N·m"),
            (Kind::Mass, "6200 lb", "2800 kg"),
            (Kind::Temperature, "70 degF", "20 °C"),
            (Kind::Speed, "11 in/min", "280 mm/min"),
            (Kind::Speed, "280 in/min", "7100 mm/min"),
            (Kind::Force, "1100 lbf", "4.9 kN"),
            (Kind::Length, "0 in", "0 mm"),
        ];
        for (kind, inch, metric) in rows {
            let (style, value) = example(parse::maybe(kind, inch).unwrap(), inch);
            assert_eq!(style.si(value).replace('\u{2212}', "-"), metric, "{inch}");
        }
    }
}
