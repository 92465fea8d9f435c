//! A range written as one text: `160 A to 200 A`, `at least 3 mm`, `at most 350 degF`.

use serde_json::{Value as Json, json};

use crate::diagnostic::Diagnostic;
use crate::file::{Field, Node, Reader, Text};
use crate::quantity::{Dimensioned, Kind, Quantity, Style, parse};
use crate::term::Units;

/// A range, closed at both ends; an absent end is open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band<T> {
    /// Lower end.
    pub low: Option<T>,
    /// Upper end.
    pub high: Option<T>,
}

impl<T: Dimensioned> Band<T> {
    /// Without an end on either side: every value is inside.
    #[must_use]
    pub const fn any() -> Self {
        Self { low: None, high: None }
    }

    /// From `low` to `high`.
    #[must_use]
    pub const fn between(low: T, high: T) -> Self {
        Self { low: Some(low), high: Some(high) }
    }

    /// From `low` up.
    #[must_use]
    pub const fn from(low: T) -> Self {
        Self { low: Some(low), high: None }
    }

    /// Up to `high`.
    #[must_use]
    pub const fn to(high: T) -> Self {
        Self { low: None, high: Some(high) }
    }

    /// Whether a value lies in it, ends included. A part in a thousand million
    /// is forgiven, so that 3/4 in is not above 2 x 3/8 in by rounding.
    #[must_use]
    pub fn contains(&self, value: T) -> bool {
        let room = 1e-9 * value.si().abs();
        self.low.is_none_or(|l| value.si() >= l.si() - room)
            && self.high.is_none_or(|h| value.si() <= h.si() + room)
    }

    /// Whether the other range lies wholly in it.
    #[must_use]
    pub fn covers(&self, other: &Self) -> bool {
        let low = match (self.low, other.low) {
            (None, _) => true,
            (Some(_), None) => false,
            (Some(_), Some(value)) => Self { low: self.low, high: None }.contains(value),
        };
        let high = match (self.high, other.high) {
            (None, _) => true,
            (Some(_), None) => false,
            (Some(_), Some(value)) => Self { low: None, high: self.high }.contains(value),
        };
        low && high
    }

    /// Whether the two share more than an end.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        let below = |a: &Self, b: &Self| matches!((a.high, b.low), (Some(high), Some(low)) if high.si() <= low.si() * (1.0 + 1e-9));
        !below(self, other) && !below(other, self)
    }

    /// In words, both units, inches first.
    #[must_use]
    pub fn words(&self) -> String {
        self.told(Units::Inch)
    }

    /// In words, both units, those of a job first.
    #[must_use]
    pub fn told(&self, units: Units) -> String {
        let style = match units {
            Units::Inch => Style::of(T::KIND),
            Units::Metric => Style::of(T::KIND).metric_first(),
        };
        let one = |v: T| style.both(v.into());
        match (self.low, self.high) {
            (Some(low), Some(high)) => format!("{} to {}", one(low), one(high)),
            (Some(low), None) => format!("at least {}", one(low)),
            (None, Some(high)) => format!("at most {}", one(high)),
            (None, None) => "any".to_owned(),
        }
    }
}

fn key(node: &Node<'_>) -> String {
    let last = node.key.rsplit('.').next().unwrap_or(&node.key);
    last.split('[').next().unwrap_or(last).to_owned()
}

/// A range as it was meant: `150-195 A`, `max. 195 A`, `172 A ± 20 A`.
fn mended(kind: Kind, text: &str) -> Option<String> {
    let good = |t: &str| parse::maybe(kind, t).is_some();
    for (words, begins) in [
        (&["at least", "min.", "min", "over", "above", "from", ">=", ">", "≥"][..], "at least"),
        (&["at most", "max.", "max", "up to", "under", "below", "<=", "<", "≤"][..], "at most"),
    ] {
        let rest = words.iter().find_map(|w| {
            let head = text.get(..w.len()).filter(|head| head.eq_ignore_ascii_case(w))?;
            text.get(head.len()..).map(str::trim)
        });
        if let Some(rest) = rest.filter(|r| good(r)) {
            return Some(format!("{begins} {rest}"));
        }
    }
    if let Some(read) = parse::maybe_measured(kind, text)
        && read.uncertainty > 0.0
    {
        return None;
    }
    [" to ", "...", "..", "…", " bis ", " - ", "–", "—", "-", ", ", "/"].into_iter().find_map(|mark| {
        text.match_indices(mark).find_map(|(at, _)| {
            let (low, high) = (text.get(..at)?.trim(), text.get(at + mark.len()..)?.trim());
            // The unit stands once, behind the upper end.
            let unit =
                high.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '/' | '-' | ' '));
            let own = if good(low) { low.to_owned() } else { format!("{low} {unit}") };
            (good(&own) && good(high)).then(|| format!("{own} to {high}"))
        })
    })
}

/// Two numbers without a unit, with each unit they may be in.
fn unitless(text: &str, examples: &str) -> Option<String> {
    let (low, high) = text.split_once(" to ")?;
    let bare = |t: &str| t.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '/' | '-' | ' '));
    let ranges: Vec<String> = examples
        .split(" or ")
        .filter_map(|one| one.trim_matches('"').rsplit_once(' '))
        .map(|(_, unit)| format!("\"{} {unit} to {} {unit}\"", low.trim(), high.trim()))
        .collect();
    (bare(low) && bare(high) && !ranges.is_empty()).then(|| ranges.join(" or "))
}

impl<T: Dimensioned> Field for Band<T> {
    fn read(node: &Node<'_>, reader: &mut Reader) -> Option<Self> {
        let text = Text::read(node, reader)?;
        let lower = text.to_lowercase();
        let whole = lower.clone();
        let (low, high) = if let Some(rest) = lower.strip_prefix("at least ") {
            (Some(rest.to_owned()), None)
        } else if let Some(rest) = lower.strip_prefix("at most ") {
            (None, Some(rest.to_owned()))
        } else if let Some((low, high)) = lower.split_once(" to ") {
            (Some(low.to_owned()), Some(high.to_owned()))
        } else {
            reader.problem(
                node,
                Diagnostic::error("S010", format!("{} \"{}\" is not a range", key(node), &*text))
                    .expected(Self::expected())
                    .example(match mended(T::KIND, &text) {
                        Some(range) => format!("{} = \"{range}\"", key(node)),
                        None => format!("{} = \"… to …\"", key(node)),
                    }),
            );
            return None;
        };
        let mut failed = false;
        let mut end = |value: Option<String>| -> Option<T> {
            match parse::quantity(T::KIND, value?.trim()) {
                Ok(value) => Quantity::typed(value),
                // Both ends lack the same: told once.
                Err(_) if failed => None,
                Err(error) => {
                    failed = true;
                    reader.problem(
                        node,
                        Diagnostic::error("Q001", format!("{}: {}", key(node), error.message))
                            .expected(Self::expected())
                            .example(match mended(T::KIND, &text) {
                                Some(range) => format!("{} = \"{range}\"", key(node)),
                                None => match unitless(&whole, &error.example) {
                                    Some(ranges) => format!("{} = {ranges}", key(node)),
                                    None => format!("{} = {} in its range", key(node), error.example),
                                },
                            }),
                    );
                    None
                }
            }
        };
        let band = Self { low: end(low), high: end(high) };
        if failed {
            return None;
        }
        if let (Some(low), Some(high)) = (band.low, band.high)
            && low.si() > high.si()
        {
            reader.problem(
                node,
                Diagnostic::error("S011", format!("{} runs from the larger to the smaller value", key(node)))
                    .expected("the lower end first")
                    .example(format!("{} = \"{}\"", key(node), Self::between(high, low).words())),
            );
            return None;
        }
        Some(band)
    }

    fn schema() -> Json {
        json!({ "type": "string", "description": Self::expected() })
    }

    fn numbers(path: &str, into: &mut Vec<(String, Kind)>) {
        into.push((path.to_owned(), T::KIND));
    }

    fn expected() -> String {
        format!(
            "two values with \" to \" between them, \"at least …\" or \"at most …\", each with its unit, such as {}",
            T::KIND.example()
        )
    }
}
