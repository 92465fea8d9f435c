//! Readings: what is written down, with target, tolerance and instrument.

use super::super::document::Reading;
use super::text::Writer;
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Text};
use crate::job::model::Units;
use crate::procedure::figures::{Context, JobFigures, Owner};
use crate::procedure::file::{ReadingKind, ReadingRow, share};
use crate::quantity::show::GAUGE;
use crate::quantity::{Kind, Quantity, Style, Toward, parse};
use crate::record::frozen::Limits;

/// Where a reading looks up its figures.
#[derive(Debug, Clone)]
pub(super) struct Place<'a> {
    pub(super) figures: &'a JobFigures,
    /// Owner tried first, then the component.
    pub(super) owner: Owner,
    pub(super) component: Owner,
    pub(super) units: Units,
}

impl Place<'_> {
    /// A figure of this name, from the nearest owner that knows the name.
    fn figure(&self, name: &str) -> Option<Option<&crate::figure::Figure>> {
        for owner in [&self.owner, &self.component] {
            if JobFigures::knows(owner.scope(), name) {
                return Some(self.figures.get(owner, name));
            }
        }
        None
    }
}

/// The quantity kind of a reading; none for words.
fn kind(kind: ReadingKind) -> Option<Kind> {
    Some(match kind {
        ReadingKind::Length => Kind::Length,
        ReadingKind::Angle => Kind::Angle,
        ReadingKind::Torque => Kind::Torque,
        ReadingKind::Temperature => Kind::Temperature,
        ReadingKind::Current => Kind::Current,
        ReadingKind::Voltage => Kind::Voltage,
        ReadingKind::Speed => Kind::Speed,
        ReadingKind::Time => Kind::Time,
        ReadingKind::Pressure => Kind::Stress,
        ReadingKind::Mass => Kind::Mass,
        ReadingKind::Number => Kind::Number,
        ReadingKind::Text => return None,
    })
}

/// A value named by a reading: a job figure or a quantity text.
enum Named {
    Known(Quantity, Style),
    /// A figure that can't be computed yet.
    Unknown,
}

fn named(text: &Located<Text>, wanted: Kind, place: &Place<'_>, report: &mut Report) -> Option<Named> {
    if let Some(figure) = place.figure(&text.value) {
        return Some(match figure.and_then(|f| f.value.quantity().map(|q| (q, f.style))) {
            Some((quantity, style)) if quantity.kind() == wanted => {
                Named::Known(quantity, place.units.first(style.unwrap_or_else(|| Style::of(wanted))))
            }
            _ => Named::Unknown,
        });
    }
    match parse::quantity(wanted, &text.value) {
        Ok(quantity) => {
            // A limit written in thousandths is read with a gauge, not a tape.
            let fine = wanted == Kind::Length && text.value.0.contains('.');
            let style = if fine { GAUGE } else { Style::of(wanted) };
            Some(Named::Known(quantity, place.units.first(style)))
        }
        Err(error) => {
            report.push(
                Diagnostic::error(
                    "T003",
                    format!("\"{}\" is no job figure and no {}", text.value, wanted.word()),
                )
                .at(Some(text.span.clone()))
                .key(text.key.clone())
                .expected(error.expected)
                .example(error.example),
            );
            None
        }
    }
}

/// A tolerance: a quantity, a job figure, or a share of the target, `10 %`.
fn spread(
    text: &Located<Text>,
    target: Option<&Named>,
    wanted: Kind,
    place: &Place<'_>,
    report: &mut Report,
) -> Option<Named> {
    let Some(share) = share(&text.value) else { return named(text, wanted, place, report) };
    Some(match target {
        Some(Named::Known(aim, style)) => {
            Named::Known(Quantity::from_si(wanted, (aim.si() * share).abs()), *style)
        }
        _ => Named::Unknown,
    })
}

/// Builds the box of a reading. `suffix` tells repeated readings apart.
pub(super) fn reading(
    row: &ReadingRow,
    suffix: &str,
    label_suffix: &str,
    place: &Place<'_>,
    writer: &Writer,
    context: &Context,
    report: &mut Report,
) -> Reading {
    let mut label = writer.plain(&row.label, context, report);
    let mut mark = None;
    if !label_suffix.is_empty() && !label.contains(label_suffix) {
        label = format!("{label}, {label_suffix}");
        mark = row.each.map(|_| label_suffix.to_owned());
    }
    let mut reading = Reading {
        id: if suffix.is_empty() { row.id.value.to_string() } else { format!("{}.{suffix}", row.id.value) },
        label,
        mark,
        target: None,
        tolerance: None,
        instrument: row.instrument.as_ref().map(|i| writer.plain(i, context, report)),
        unit: None,
        limits: None,
        replaces: row.replaces.as_ref().map(|r| r.value.to_string()),
        filled: None,
    };
    let Some(kind) = kind(row.kind) else { return reading };
    let target = row.target.as_ref().and_then(|t| named(t, kind, place, report));
    let plus = row.plus.as_ref().and_then(|t| spread(t, target.as_ref(), kind, place, report));
    let minus = row.minus.as_ref().and_then(|t| spread(t, target.as_ref(), kind, place, report));
    let least = row.least.as_ref().and_then(|t| named(t, kind, place, report));
    let most = row.most.as_ref().and_then(|t| named(t, kind, place, report));
    reading.limits = Some(limits(kind, [&target, &plus, &minus, &least, &most]));
    reading.target = match (target, least, most) {
        (Some(Named::Known(value, style)), ..) => Some(style.both(value)),
        (Some(Named::Unknown), ..) => None,
        (None, Some(Named::Known(low, low_style)), Some(Named::Known(high, high_style))) => Some(format!(
            "{} to {}",
            inward(low_style, Toward::Up).both(low),
            inward(high_style, Toward::Down).both(high)
        )),
        // One limit that is not known yet does not hide the other.
        (None, Some(Named::Known(low, style)), None | Some(Named::Unknown)) => {
            Some(format!("≥ {}", inward(style, Toward::Up).both(low)))
        }
        (None, None | Some(Named::Unknown), Some(Named::Known(high, style))) => {
            Some(format!("≤ {}", inward(style, Toward::Down).both(high)))
        }
        (None, None, None) => Some("record".to_owned()),
        _ => None,
    };
    reading.tolerance = tolerance(plus, minus);
    reading.unit = Some(unit_of(kind, place.units).to_owned()).filter(|u| !u.is_empty());
    reading
}

/// The limits a value is judged by, exact. A target with a tolerance on one
/// side only admits nothing on the other.
fn limits(kind: Kind, [target, plus, minus, least, most]: [&Option<Named>; 5]) -> Limits {
    let known = |named: &Option<Named>| match named {
        Some(Named::Known(value, _)) => Some(*value),
        _ => None,
    };
    let aim = known(target);
    let off = |by: &Option<Named>, sign: f64| {
        let aim = aim?.si();
        // A tolerance that is not known yet is no tolerance of zero.
        if plus.is_none() && minus.is_none() || matches!(by, Some(Named::Unknown)) {
            return None;
        }
        Some(Quantity::from_si(kind, aim + sign * known(by).map_or(0.0, Quantity::si)))
    };
    Limits {
        kind,
        target: aim,
        lower: off(minus, -1.0).or_else(|| known(least)),
        upper: off(plus, 1.0).or_else(|| known(most)),
    }
}

/// Limits are rounded inward, so that a value on the printed limit passes.
fn inward(mut style: Style, toward: Toward) -> Style {
    style.toward = toward;
    style
}

fn tolerance(plus: Option<Named>, minus: Option<Named>) -> Option<String> {
    let write = |n: Named| match n {
        Named::Known(value, style) => Some(inward(style, Toward::Down).both(value)),
        Named::Unknown => None,
    };
    match (plus.and_then(write), minus.and_then(write)) {
        (Some(up), Some(down)) if up == down => Some(format!("± {up}")),
        (Some(up), Some(down)) => Some(format!("+ {up}, − {down}")),
        (Some(up), None) => Some(format!("+ {up}, − 0")),
        (None, Some(down)) => Some(format!("+ 0, − {down}")),
        (None, None) => None,
    }
}

/// The unit written in the box.
fn unit_of(kind: Kind, units: Units) -> &'static str {
    let pick = |inch, metric| match units {
        Units::Inch => inch,
        Units::Metric => metric,
    };
    match kind {
        Kind::Length => pick("in", "mm"),
        Kind::Angle => "°",
        Kind::Torque => pick("lbf-ft", "N·m"),
        Kind::Temperature => pick("°F", "°C"),
        Kind::Current => "A",
        Kind::Voltage => "V",
        Kind::Speed => pick("in/min", "mm/min"),
        Kind::Time => "min",
        Kind::Stress => pick("psi", "kPa"),
        Kind::Mass => pick("lb", "kg"),
        _ => "",
    }
}
