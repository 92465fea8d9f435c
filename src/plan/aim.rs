//! What a reading should be: target, tolerance, limits; exact for judging,
//! rounded inward for the page.

use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Text};
use crate::job::model::Units;
use crate::procedure::figures::{JobFigures, Owner};
use crate::procedure::file::{ReadingKind, ReadingRow, share};
use crate::quantity::show::{self, GAUGE};
use crate::quantity::{Kind, Quantity, Style, Toward, parse, unit};

/// A value a reading is compared with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Named {
    /// Known, and how it is shown.
    Known(Quantity, Style),
    /// A figure that can't be computed yet.
    Unknown,
}

impl Named {
    /// The value, if it is known.
    #[must_use]
    pub const fn known(self) -> Option<Quantity> {
        match self {
            Self::Known(value, _) => Some(value),
            Self::Unknown => None,
        }
    }
}

/// What a reading should be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// Kind of quantity.
    pub kind: Kind,
    /// Units the paper has first.
    pub units: Units,
    /// What it should be; none where there are only limits, or nothing to compare with.
    pub target: Option<Named>,
    /// Tolerance above the target.
    pub plus: Option<Named>,
    /// Tolerance below it.
    pub minus: Option<Named>,
    /// Lower limit.
    pub least: Option<Named>,
    /// Upper limit.
    pub most: Option<Named>,
}

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
                return Some(self.figures.named(owner, name));
            }
        }
        None
    }
}

/// The quantity kind of a reading; none for words.
pub(super) const fn kind(kind: ReadingKind) -> Option<Kind> {
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
            let style = show::limit(quantity, &text.0, place.units == Units::Metric);
            // What somebody wrote is shown as it was written: 0.75 deg, not 0.8.
            // Of a pair the other unit keeps its own step.
            let style = if style.is_pair() { style } else { style.fine_enough(quantity) };
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

/// A limit of a rule (`apart`, `within`, a figure), if it is known.
pub(super) fn amount(
    text: &Located<Text>,
    wanted: ReadingKind,
    place: &Place<'_>,
    report: &mut Report,
) -> Option<Quantity> {
    named(text, kind(wanted)?, place, report)?.known()
}

/// The aim of a row in its place; none for words. A name that is neither figure
/// nor quantity is reported.
pub(super) fn aim(row: &ReadingRow, place: &Place<'_>, report: &mut Report) -> Option<Aim> {
    let kind = kind(row.kind)?;
    let mut get = |text: &Option<Located<Text>>| text.as_ref().and_then(|t| named(t, kind, place, report));
    let target = get(&row.target);
    let mut spread = |text: &Option<Located<Text>>| match text.as_ref().and_then(|t| share(&t.value)) {
        // A tolerance written as a share of the target.
        Some(share) => Some(match target {
            Some(Named::Known(aim, style)) => {
                Named::Known(Quantity::from_si(kind, (aim.si() * share).abs()), style)
            }
            _ => Named::Unknown,
        }),
        None => get(text),
    };
    let (plus, minus) = (spread(&row.plus), spread(&row.minus));
    Some(Aim { kind, units: place.units, target, plus, minus, least: get(&row.least), most: get(&row.most) })
}

impl Aim {
    /// The target, if it is known.
    #[must_use]
    pub fn target(&self) -> Option<Quantity> {
        self.target.and_then(Named::known)
    }

    /// The lower limit a value is judged by, exact. A target with a tolerance on
    /// one side only admits nothing on the other.
    #[must_use]
    pub fn lower(&self) -> Option<Quantity> {
        self.off(self.minus, -1.0).or_else(|| self.least.and_then(Named::known))
    }

    /// The upper limit a value is judged by, exact.
    #[must_use]
    pub fn upper(&self) -> Option<Quantity> {
        self.off(self.plus, 1.0).or_else(|| self.most.and_then(Named::known))
    }

    fn off(&self, by: Option<Named>, sign: f64) -> Option<Quantity> {
        let target = self.target()?.si();
        // A tolerance that is not known yet is no tolerance of zero.
        if self.plus.is_none() && self.minus.is_none() || matches!(by, Some(Named::Unknown)) {
            return None;
        }
        let by = by.and_then(Named::known).map_or(0.0, Quantity::si);
        Some(Quantity::from_si(self.kind, target + sign * by))
    }

    /// Whether a value is compared with anything, known already or not.
    #[must_use]
    pub const fn limited(&self) -> bool {
        self.plus.is_some() || self.minus.is_some() || self.least.is_some() || self.most.is_some()
    }

    /// Half the width between both limits, in SI units; none for a value that is
    /// only recorded or limited on one side.
    #[must_use]
    pub fn tolerance(&self) -> Option<f64> {
        let by = |n: Option<Named>| n.and_then(Named::known).map(|q| q.si().abs());
        let tolerance = match (by(self.plus), by(self.minus), self.least, self.most) {
            (Some(plus), Some(minus), ..) => Some((plus + minus) / 2.0),
            (Some(one), None, ..) | (None, Some(one), ..) => Some(one / 2.0),
            (None, None, Some(Named::Known(low, _)), Some(Named::Known(high, _))) => {
                Some((high.si() - low.si()) / 2.0)
            }
            _ => None,
        };
        tolerance.filter(|t| *t > 0.0)
    }

    /// Target or limits, those that are known.
    pub fn values(&self) -> impl Iterator<Item = Quantity> {
        [self.target, self.least, self.most].into_iter().flatten().filter_map(Named::known)
    }

    /// The target as it is read at the bench: `6.0°`, `≥ 0.28 in (7.1 mm)`,
    /// `80 to 100 A`, `record`. None for one that is not known yet.
    #[must_use]
    pub fn printed(&self) -> Option<String> {
        // A plain whole number has no places to be exact to.
        let whole = |value: Quantity| self.kind == Kind::Number && value.si().fract() == 0.0;
        match (self.target, self.least, self.most) {
            (Some(Named::Known(value, style)), ..) => Some(style.both(value)),
            (Some(Named::Unknown), ..) => None,
            (None, Some(Named::Known(low, low_style)), Some(Named::Known(high, high_style))) => {
                Some(format!(
                    "{} to {}",
                    inward(low_style, Toward::Up).both(low),
                    inward(high_style, Toward::Down).both(high)
                ))
            }
            // One limit that is not known yet does not hide the other.
            (None, Some(Named::Known(low, style)), None | Some(Named::Unknown)) => {
                if whole(low) {
                    return Some(format!("≥ {}", low.si()));
                }
                Some(format!("≥ {}", inward(style, Toward::Up).both(low)))
            }
            (None, None | Some(Named::Unknown), Some(Named::Known(high, style))) => {
                Some(format!("≤ {}", inward(style, Toward::Down).both(high)))
            }
            (None, None, None) => Some("record".to_owned()),
            _ => None,
        }
    }

    /// The tolerance as it is printed: `± 0.5°`.
    #[must_use]
    pub fn printed_tolerance(&self) -> Option<String> {
        let write = |n: Named| match n {
            Named::Known(value, style) => Some(inward(style, Toward::Down).both(value)),
            Named::Unknown => None,
        };
        match (self.plus.and_then(write), self.minus.and_then(write)) {
            (Some(up), Some(down)) if up == down => Some(format!("± {up}")),
            (Some(up), Some(down)) => Some(format!("+ {up}, − {down}")),
            (Some(up), None) => Some(format!("+ {up}, − 0")),
            (None, Some(down)) => Some(format!("+ 0, − {down}")),
            (None, None) => None,
        }
    }

    /// A value of the same kind as it is written: a limit of a rule, another reading.
    #[must_use]
    pub fn said(&self, value: Quantity) -> String {
        self.units.first(Style::of(self.kind).fine_enough(value)).shop(value)
    }

    /// How far a value may be off another, as the limit of a box is written: rounded
    /// inward where the units of the paper are not those of a shop's fractions.
    #[must_use]
    pub fn within(&self, by: Quantity) -> String {
        let usual = Style::of(self.kind);
        if self.units == Units::Inch || !usual.is_pair() {
            return self.said(by);
        }
        let parts = by.si() / unit::IN.to_si(1.0) * 64.0;
        let tape = self.kind != Kind::Length || (parts - parts.round()).abs() < 1e-6;
        let style = if tape { show::on_tape(by, true) } else { GAUGE };
        self.units.first(style.down()).shop(by)
    }

    /// The unit the box is written in; none for a plain number.
    #[must_use]
    pub fn unit(&self) -> Option<&'static str> {
        let pick = |inch, metric| match self.units {
            Units::Inch => inch,
            Units::Metric => metric,
        };
        Some(match self.kind {
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
            _ => return None,
        })
    }
}

/// Limits are rounded inward, so that a value on the printed limit passes.
fn inward(mut style: Style, toward: Toward) -> Style {
    style.toward = toward;
    style
}
