//! What was measured takes the place of what was planned, and everything that
//! depends on it is computed again.

use std::collections::BTreeMap;

use super::freeze::{self, Content};
use crate::app::issue::compose;
use crate::app::plan::{Failure, Loaded, plan};
use crate::diagnostic::Span;
use crate::job::JobFile;
use crate::job::model::Knuckle;
use crate::job::read::{Located, Reading};
use crate::procedure::figures::{self, JobFigures, Side};
use crate::quantity::{Angle, Dimensioned, Length};
use crate::record::entry::Measured;
use crate::record::frozen::{self, Limits};
use crate::record::state::State;
use crate::traveler::document::{Document, Geometry};

/// The plan as it stands with what was measured.
#[derive(Debug, Clone)]
pub struct Now {
    /// Job with measured values in place.
    pub loaded: Loaded,
    /// Document with the targets that follow.
    pub document: Document,
    /// Readings by operation key and id.
    pub readings: BTreeMap<(String, String), frozen::Reading>,
    /// What took the place of what, in words.
    pub replaced: Vec<String>,
}

impl Now {
    /// Limits in force for a reading.
    #[must_use]
    pub fn limits(&self, key: &str, id: &str) -> Option<Limits> {
        self.readings.get(&(key.to_owned(), id.to_owned())).and_then(|r| r.limits)
    }

    /// Geometry with measured values.
    #[must_use]
    pub fn geometry(&self) -> Option<&Geometry> {
        self.document.geometry.as_ref()
    }
}

/// A value that differs from the one before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changed {
    /// What it is, and whose.
    pub what: String,
    /// Value before.
    pub before: String,
    /// Value now.
    pub now: String,
    /// Formula.
    pub formula: String,
}

/// Plans again with the readings of `state` in place.
///
/// # Errors
/// If the stored job or procedures can't be read.
pub fn now(content: &Content, state: &State) -> Result<Now, Failure> {
    let bytes = |name: &str| content.files.get(name).map(Vec::as_slice).unwrap_or_default();
    let shelf = freeze::shelf(bytes("procedures.json"))?;
    let text = String::from_utf8_lossy(bytes("job.toml")).into_owned();
    let mut loaded = freeze::loaded(&shelf, "job.toml", &text, &content.plan.revision)?;
    let replaced = put(&mut loaded.job, &content.plan, state);
    loaded.figures = figures::compute(&loaded.job);
    let planned = plan(&loaded, &shelf)?;
    let document = compose(&planned, &shelf)?;
    let again = freeze::frozen(&planned, &document);
    let readings = again
        .operations
        .iter()
        .flat_map(|o| o.readings().map(|r| ((o.key.clone(), r.id.clone()), r.clone())))
        .collect();
    Ok(Now { loaded: loaded.clone(), document, readings, replaced })
}

/// What differs between two sets of figures, as shown.
#[must_use]
pub fn changes(before: &JobFigures, after: &JobFigures) -> Vec<Changed> {
    let old: BTreeMap<(String, &str, &str, usize), String> =
        numbered(before).map(|(k, row)| (k, row.figure.show())).collect();
    numbered(after)
        .filter_map(|(key, row)| {
            let now = row.figure.show();
            let before = old.get(&key).cloned().unwrap_or_else(|| "not known".to_owned());
            (before != now && row.figure.value.quantity().is_some()).then(|| Changed {
                what: format!("{}, {}", row.figure.title, row.owner.words()),
                before,
                now,
                formula: row.figure.formula.clone(),
            })
        })
        .collect()
}

type Key<'a> = (String, &'a str, &'a str, usize);

/// Rows with a key of their own; a family may run twice for one owner.
fn numbered(figures: &JobFigures) -> impl Iterator<Item = (Key<'_>, &figures::JobFigure)> {
    let mut count: BTreeMap<(String, &str, &str), usize> = BTreeMap::new();
    figures.rows.iter().map(move |row| {
        let key = (row.owner.words(), row.figure.family, row.figure.id);
        let n = count.entry(key.clone()).or_default();
        *n += 1;
        ((key.0, key.1, key.2, *n), row)
    })
}

/// Readings that take the place of planned values: operation, readings.
const MAPPED: &[(&str, &[&str])] = &[
    ("caster-as-found", &["caster", "camber", "kpi"]),
    ("read-caster", &["first", "second"]),
    ("read-walls", &["top", "front", "bottom", "rear"]),
];

/// Whether a reading of an operation takes the place of a planned value.
#[must_use]
pub fn mapped(operation: &str, reading: &str) -> bool {
    let name = reading.split('.').next().unwrap_or(reading);
    MAPPED.iter().any(|(o, names)| *o == operation && names.contains(&name))
}

/// Whether anything measured so far takes the place of a planned value.
#[must_use]
pub fn any(plan: &frozen::Frozen, state: &State) -> bool {
    plan.operations.iter().any(|o| {
        MAPPED.iter().any(|(id, _)| *id == o.id)
            && o.readings().any(|r| mapped(&o.id, &r.id) && state.reading(&o.key, &r.id).is_some())
    })
}

/// Puts measured values where the job has planned ones.
fn put(job: &mut JobFile, plan: &frozen::Frozen, state: &State) -> Vec<String> {
    let mut replaced = Vec::new();
    for operation in &plan.operations {
        let Some((component, id)) = operation.key.split_once('/') else { continue };
        let value = |reading: &str| state.reading(&operation.key, reading).and_then(|(m, _)| number(m));
        let Some(axle) = job.axle.iter_mut().find(|a| a.id.value.0 == component) else { continue };
        for side in Side::BOTH {
            let word = side.word();
            let of = |reading: &str| value(&format!("{reading}.{word}"));
            let knuckle = axle.knuckle.as_mut().and_then(|k| match side {
                Side::Left => k.left.as_mut(),
                Side::Right => k.right.as_mut(),
            });
            if let Some(knuckle) = knuckle {
                put_knuckle(id, knuckle, &of, &format!("{component} {word}"), &mut replaced);
            }
            if id == "read-walls"
                && let Some(cut) = axle.cut.as_mut()
            {
                let walls: Vec<(f64, f64)> =
                    ["top", "front", "bottom", "rear"].iter().filter_map(|p| of(p)).collect();
                // A wall that was not read yet may be the least one.
                if walls.len() == 4 {
                    let list = walls.iter().map(|(v, u)| located(Length::from_si(*v), *u)).collect();
                    match side {
                        Side::Left => cut.walls_left = list,
                        Side::Right => cut.walls_right = list,
                    }
                    replaced.push(format!("four walls read, {component} {word}"));
                }
            }
        }
    }
    replaced
}

fn put_knuckle(
    operation: &str,
    knuckle: &mut Knuckle,
    of: &dyn Fn(&str) -> Option<(f64, f64)>,
    whose: &str,
    replaced: &mut Vec<String>,
) {
    let angle = |(value, uncertainty): (f64, f64)| Some(located(Angle::from_si(value), uncertainty));
    match operation {
        "caster-as-found" => {
            if let Some(read) = of("caster") {
                knuckle.caster = angle(read);
                replaced.push(format!("caster as found, {whose}"));
            }
            if let Some(read) = of("camber") {
                knuckle.camber = angle(read);
                replaced.push(format!("camber as found, {whose}"));
            }
            if let Some(read) = of("kpi") {
                knuckle.inclination = angle(read);
                replaced.push(format!("kingpin inclination as found, {whose}"));
            }
        }
        "read-caster" => {
            // The rotation rests on both readings, end for end.
            if let (Some(first), Some(second)) = (of("first"), of("second")) {
                let spread = crate::quantity::math::hypot(first.1, second.1) / 2.0;
                knuckle.caster_with_pinion_set = angle(((first.0 + second.0) / 2.0, spread));
                replaced.push(format!("caster with the pinion set, mean of two readings, {whose}"));
            }
        }
        _ => {}
    }
}

fn located<T>(value: T, uncertainty: f64) -> Located<Reading<T>> {
    Located {
        value: Reading { value, uncertainty },
        span: Span::new("record", 0..0),
        key: "record".to_owned(),
    }
}

/// Value and standard uncertainty of a reading, in SI units.
#[must_use]
pub fn number(measured: &Measured) -> Option<(f64, f64)> {
    let value: f64 = measured.value.as_ref()?.parse().ok()?;
    let uncertainty: f64 = measured.uncertainty.as_ref().and_then(|u| u.parse().ok()).unwrap_or(0.0);
    Some((value, uncertainty))
}
