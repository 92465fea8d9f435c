//! What was measured takes the place of what was planned, and everything that
//! depends on it is computed again.

use std::collections::BTreeMap;
use std::path::Path;

use super::freeze::{self, Content};
use super::stored::need;
use crate::app::plan::{Failure, Loaded, plan};
use crate::job::JobFile;
use crate::job::measured::{self, Place, Read};
use crate::plan::Plan;
use crate::procedure::figures::{self, JobFigures};
use crate::record::entry::Measured;
use crate::record::frozen::{self, Limits};
use crate::record::state::State;
use crate::term::Side;
use crate::traveler::document::{Geometry, Logo};
use crate::traveler::wording::{Subject, geometry};

/// The plan as it stands with what was measured.
#[derive(Debug, Clone)]
pub struct Now {
    /// Job with measured values in place.
    pub loaded: Loaded,
    /// What follows from them.
    pub plan: Plan,
    /// Digest of that.
    pub digest: String,
    /// The shop's logo.
    pub logo: Option<Logo>,
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

    /// What a page about it is laid out from.
    #[must_use]
    pub fn subject(&self) -> Subject<'_> {
        Subject {
            plan: &self.plan,
            job: &self.loaded.job,
            figures: &self.loaded.figures,
            digest: &self.digest,
            logo: self.logo.as_ref(),
        }
    }

    /// Geometry with measured values.
    #[must_use]
    pub fn geometry(&self) -> Option<Geometry> {
        geometry(&self.subject())
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
    let shelf = super::shelf::shelf(need(&content.files, "procedures.json")?)?;
    let text = String::from_utf8_lossy(need(&content.files, "job.toml")?).into_owned();
    let (mut job, source, report) = freeze::job(&shelf, "job.toml", &text, &content.plan.revision)?;
    let replaced = put(&mut job, &content.plan, state);
    let loaded = Loaded::of(Path::new("job.toml"), source, job, report, &shelf.shop);
    let planned = plan(&loaded, &shelf)?;
    let readings = planned
        .resolved
        .operations
        .iter()
        .flat_map(|o| o.readings().map(|r| ((o.key.clone(), r.id.clone()), freeze::reading(r))))
        .collect();
    let (digest, resolved) = (planned.digest(), planned.resolved);
    let logo = shelf.shop.logo;
    Ok(Now { loaded, plan: resolved, digest, logo, readings, replaced })
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

/// Whether anything measured so far takes the place of a planned value.
#[must_use]
pub fn any(plan: &frozen::Frozen, state: &State) -> bool {
    plan.operations
        .iter()
        .any(|o| o.readings().any(|r| r.replaces.is_some() && state.reading(&o.key, &r.id).is_some()))
}

/// Where a reading goes: component, side, name of the value.
type Goal<'a> = (&'a str, Option<Side>, &'static Place);

fn goal<'a>(operation: &'a frozen::Operation, reading: &'a frozen::Reading) -> Option<Goal<'a>> {
    let place = measured::find(reading.replaces.as_deref()?)?;
    let mut parts = reading.id.rsplit('.');
    let hand = match parts.next() {
        Some("left") => Some(Side::Left),
        Some("right") => Some(Side::Right),
        _ => None,
    };
    // An operation on several components names them: `caster.front.left`.
    let middle = if hand.is_some() { parts.next() } else { None };
    let component = middle.filter(|_| parts.next().is_some());
    let component = component.or_else(|| operation.key.split_once('/').map(|(c, _)| c)).unwrap_or("unit");
    Some((component, hand.filter(|_| place.sided), place))
}

/// Puts measured values where the job has planned ones; says which. A value
/// that several readings of an operation give waits for all of them, and the
/// last operation that gives it counts.
fn put(job: &mut JobFile, plan: &frozen::Frozen, state: &State) -> Vec<String> {
    let mut replaced: Vec<String> = Vec::new();
    for operation in &plan.operations {
        let mut goals: Vec<(Goal<'_>, Vec<Option<Read>>)> = Vec::new();
        for reading in operation.readings() {
            let Some(goal) = goal(operation, reading) else { continue };
            let read = state.reading(&operation.key, &reading.id).and_then(|(m, _)| number(m));
            let read = read.map(|(value, uncertainty)| Read { value, uncertainty });
            match goals.iter_mut().find(|(g, _)| *g == goal) {
                Some((_, list)) => list.push(read),
                None => goals.push((goal, vec![read])),
            }
        }
        for ((component, hand, place), read) in goals {
            // A wall that was not read yet may be the least one.
            let Some(read) = read.into_iter().collect::<Option<Vec<Read>>>() else { continue };
            if measured::put(job, component, hand, place.name, &read) {
                let side = match hand {
                    Some(Side::Left) => " left",
                    Some(Side::Right) => " right",
                    None => "",
                };
                let many = if read.len() > 1 { format!(", {} readings", read.len()) } else { String::new() };
                let words = format!("{}, {component}{side}{many}", place.words);
                if !replaced.contains(&words) {
                    replaced.push(words);
                }
            }
        }
    }
    replaced
}

/// Value and standard uncertainty of a reading, in SI units.
#[must_use]
pub fn number(measured: &Measured) -> Option<(f64, f64)> {
    let value: f64 = measured.value.as_ref()?.parse().ok()?;
    let uncertainty: f64 = measured.uncertainty.as_ref().and_then(|u| u.parse().ok()).unwrap_or(0.0);
    Some((value, uncertainty))
}
