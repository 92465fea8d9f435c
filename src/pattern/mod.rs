//! Patterns: figures of geometry drawn at full size, to wrap round a tube, to
//! lay on a plate, to drill through or to hold against the work.
//!
//! Each kind belongs to a figure family and takes its inputs. Nothing is
//! computed here that decides a size: places come from the figures and from the
//! functions behind them.

mod gauges;
mod plates;
mod wraps;

use crate::figure::geometry::{cope, mitre, plate_layout, taper_shim, wrap_strip};
use crate::figure::{Family, Figure, Given, Trouble, Value};
use crate::quantity::{Dimensioned, Length, Quantity, Style, unit};
use crate::shape::Sheet;
use crate::term::Units;

/// How a family is drawn.
type Draw = fn(&Given, &[Figure], Units, &mut Sheet) -> Result<(), Trouble>;

/// A kind of pattern.
#[derive(Debug, Clone, Copy)]
pub struct Kind {
    /// The family whose figures it draws.
    pub family: &'static Family,
    /// What it is, for its head line.
    pub title: &'static str,
    draw: Draw,
}

/// Every kind.
pub const KINDS: &[Kind] = &[
    Kind { family: &cope::COPE, title: "Cope template", draw: wraps::cope },
    Kind { family: &mitre::MITRE, title: "Mitre wrap", draw: wraps::mitre },
    Kind { family: &wrap_strip::EQUAL_DIVISION, title: "Dividing strip", draw: wraps::division },
    Kind { family: &wrap_strip::WRAP_STRIP, title: "Wrap strip", draw: wraps::strip },
    Kind { family: &plate_layout::DRILL_PATTERN, title: "Drill template", draw: plates::drill },
    Kind { family: &plate_layout::GUSSET, title: "Gusset", draw: plates::gusset },
    Kind { family: &plate_layout::BENT_BRACKET, title: "Bent bracket, flat", draw: plates::bracket },
    Kind { family: &plate_layout::ANGLE_GAUGE, title: "Angle gauge", draw: gauges::gauge },
    Kind { family: &taper_shim::TAPER_SHIM, title: "Taper shim", draw: gauges::shim },
];

/// The kind that draws a family.
#[must_use]
pub fn of(family: &Family) -> Option<&'static Kind> {
    KINDS.iter().find(|k| k.family.name == family.name)
}

impl Kind {
    /// Draws figures of its family from the inputs they came from. Name and
    /// origin are left to the caller.
    ///
    /// # Errors
    /// If an input that only the drawing needs is missing, or a shape has no
    /// place.
    pub fn sheet(&self, given: &Given, figures: &[Figure], units: Units) -> Result<Sheet, Trouble> {
        let mut sheet =
            Sheet { name: self.family.name.to_owned(), title: self.title.to_owned(), ..Sheet::default() };
        (self.draw)(given, figures, units, &mut sheet)?;
        sheet.settle();
        if let Some(first) = figures.first() {
            let given = first.inputs.iter().filter(|u| u.default.is_none());
            sheet
                .numbers
                .extend(given.map(|u| format!("{} {}", u.name.replace('_', " "), typed(units, &u.value))));
            sheet.notes.extend(first.warnings.iter().cloned());
        }
        let single = |f: &&Figure| f.value.quantity().is_some();
        sheet
            .numbers
            .extend(figures.iter().filter(single).map(|f| format!("{} {}", f.title, in_words(units, f))));
        for figure in figures {
            let source = figure.source.to_string();
            if !sheet.sources.contains(&source) {
                sheet.sources.push(source);
            }
        }
        if sheet.alt.is_empty() {
            sheet.alt = format!("{} at full size: {}", sheet.title, sheet.numbers.join("; "));
        }
        Ok(sheet)
    }
}

/// A length among figures, in millimetres.
fn size(figures: &[Figure], id: &'static str) -> Result<f64, Trouble> {
    maybe(figures, id).ok_or(Trouble::Missing(vec![id]))
}

/// The same, if it is there.
fn maybe(figures: &[Figure], id: &str) -> Option<f64> {
    let found = figures.iter().find(|f| f.id == id)?;
    found.value.quantity().and_then(Quantity::typed::<Length>).map(|l| l.to(unit::MM))
}

/// A list of lengths among figures, in millimetres.
fn sizes(figures: &[Figure], id: &str) -> Vec<f64> {
    let Some(found) = figures.iter().find(|f| f.id == id) else { return Vec::new() };
    let Value::List(list) = &found.value else { return Vec::new() };
    list.iter()
        .filter_map(|v| v.quantity().and_then(Quantity::typed::<Length>))
        .map(|l| l.to(unit::MM))
        .collect()
}

/// A word among figures.
fn word<'a>(figures: &'a [Figure], id: &str) -> Option<&'a str> {
    match &figures.iter().find(|f| f.id == id)?.value {
        Value::Word(word) => Some(word),
        _ => None,
    }
}

/// A figure as it is shown, these units first.
fn shown(figures: &[Figure], units: Units, id: &str) -> String {
    figures.iter().find(|f| f.id == id).map_or_else(String::new, |f| in_words(units, f))
}

fn in_words(units: Units, figure: &Figure) -> String {
    figure.value.show_with(figure.style.map(|style| units.first(style)))
}

/// An input as it was given, these units first.
fn typed(units: Units, value: &Value) -> String {
    let Some(quantity) = value.quantity() else { return value.show_input() };
    let text = units.first(Style::of(quantity.kind()).fine_enough(quantity)).both(quantity);
    // A count has no parts.
    text.strip_suffix(".000").map_or_else(|| text.clone(), str::to_owned)
}
