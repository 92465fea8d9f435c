//! What a traveler asks a person to write: ticks, readings, initials, signatures.
//!
//! Paper that asks too much is filled at the end of the day from memory. The
//! count is made from what the procedures declare, before any page is set:
//!
//! - a tick for each repetition of a safety step without a reading of its own;
//! - a reading for each box, repeated for sides, joints, fasteners and shifts;
//! - one initial for each table of a station, unless only he writes in it who
//!   signs the hold that ends it; one more for each second person and shift;
//! - a signature for each role of a hold, witness or review point.
//!
//! A station's table is everything done at one place between two holds.

use std::collections::BTreeSet;

use minijinja::value::Value;

use super::figures::{Context, JobFigures, Side};
use super::file::{Each, Moment, OperationRow, PointKind};
use super::selection::{Selected, Selection, What};
use super::text;
use crate::file::{Located, Text};
use crate::job::JobFile;
use crate::job::model::{Component, Fastener, Joint, Role, Verb};

/// Minutes of a shift: a card that is signed each shift is filled once for each
/// begun one (common practice: eight hours).
const SHIFT: u32 = 480;

/// Entries of one traveler, by kind.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Entries {
    /// Boxes that are ticked.
    pub ticks: usize,
    /// Values and words that are written or chosen.
    pub readings: usize,
    /// Initials under a station's table.
    pub initials: usize,
    /// Signatures of points.
    pub signatures: usize,
    /// Tables: one for each place between two holds.
    pub stations: usize,
}

impl Entries {
    /// Everything a pen writes.
    #[must_use]
    pub const fn total(self) -> usize {
        self.ticks + self.readings + self.initials + self.signatures
    }
}

/// Everything done at one place between two holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Station<'a> {
    /// The place.
    pub place: &'a str,
    /// Operations of the selection, in the order they are done.
    pub operations: Vec<usize>,
    /// Who signs the hold that ends it, if one does.
    pub signed: Option<Role>,
}

/// The stations of a route. A hold before an operation ends the station in
/// front of it, a hold after one ends its own.
#[must_use]
pub fn stations<'a>(selection: &'a Selection<'a>, order: &[usize]) -> Vec<Station<'a>> {
    let mut found: Vec<Station<'a>> = Vec::new();
    for (index, selected) in order.iter().filter_map(|i| Some((*i, selection.operations.get(*i)?))) {
        let (before, after) = holds(selected);
        let place = place(selected);
        match found.last_mut() {
            Some(last) if !before && last.signed.is_none() && last.place == place => {
                last.operations.push(index);
                last.signed = after;
            }
            _ => found.push(Station { place, operations: vec![index], signed: after }),
        }
    }
    found
}

/// Counts the entries of a job's operations in the order they are done.
#[must_use]
pub fn count(job: &JobFile, selection: &Selection<'_>, figures: &JobFigures, order: &[usize]) -> Entries {
    let shifts = shifts(selection);
    let mut entries = Entries::default();
    for station in stations(selection, order) {
        entries.stations += 1;
        let mut roles = BTreeSet::new();
        for selected in station.operations.iter().filter_map(|index| selection.operations.get(*index)) {
            let done = done(job, figures, selected, shifts);
            entries.ticks += done.ticks;
            entries.readings += done.readings;
            entries.signatures += done.signatures;
            entries.initials += done.seconds;
            if done.ticks + done.readings > 0 {
                roles.insert(role(selected));
            }
        }
        // Who signs the hold need not initial what he alone has written.
        let own = station.signed.is_some_and(|signed| roles.iter().all(|r| *r == signed));
        entries.initials += usize::from(!roles.is_empty() && !own);
    }
    entries
}

fn role(selected: &Selected<'_>) -> Role {
    match selected.what {
        What::Library(operation) => operation.row.role,
        // Whoever has the time.
        What::Own(_) => Role::Fitter,
    }
}

/// Shifts the hot work of a job takes, one at least.
fn shifts(selection: &Selection<'_>) -> usize {
    let hot = |selected: &&Selected<'_>| {
        matches!(selected.what, What::Library(o)
            if o.row.acts.iter().any(|a| matches!(&*a.value.0, "arc" | "tack" | "heat" | "grind")))
    };
    let minutes: u32 = selection
        .operations
        .iter()
        .filter(hot)
        .map(|s| match s.what {
            What::Library(o) => o.row.minutes,
            What::Own(own) => own.minutes,
        })
        .sum();
    usize::try_from(minutes.div_ceil(SHIFT).max(1)).unwrap_or(1)
}

fn place<'a>(selected: &Selected<'a>) -> &'a str {
    match selected.what {
        What::Library(operation) => operation.row.station.word(),
        What::Own(own) => own.station.word(),
    }
}

/// Whether a hold stands before the operation, and who signs the one that ends it.
fn holds(selected: &Selected<'_>) -> (bool, Option<Role>) {
    match selected.what {
        What::Library(operation) => {
            let hold = |moment| {
                let mut points = operation.row.point.iter();
                points.find(|p| p.kind == PointKind::Hold && p.moment == moment).map(|p| p.role)
            };
            (hold(Moment::Before).is_some(), hold(Moment::After))
        }
        What::Own(own) => (false, own.hold.as_ref().map(|_| own.hold_role)),
    }
}

/// Entries of one operation.
#[derive(Default)]
struct Done {
    ticks: usize,
    readings: usize,
    signatures: usize,
    /// Initials beyond that of the table: of other persons and shifts.
    seconds: usize,
}

fn done(job: &JobFile, figures: &JobFigures, selected: &Selected<'_>, shifts: usize) -> Done {
    let row = match selected.what {
        What::Library(operation) => &operation.row,
        What::Own(own) => {
            return Done {
                ticks: own.step.len(),
                signatures: usize::from(own.hold.is_some()) + selected.reviews_worded().len(),
                ..Done::default()
            };
        }
    };
    let on = |component: &str| selected.components.iter().any(|c| c.id() == component);
    let joints: Vec<&Joint> = job
        .joint
        .iter()
        .filter(|j| row.joints.as_ref().is_some_and(|u| u.value == j.usage.value) && on(&j.on.value.0))
        .collect();
    let fasteners: Vec<&Fastener> = job
        .fastener
        .iter()
        .filter(|b| row.fasteners.as_ref().is_some_and(|u| u.value == b.usage.value) && on(&b.on.value.0))
        .collect();
    let work = Work { job, figures, selected, joints, fasteners };
    let mut done = Done {
        signatures: row.point.iter().map(|p| 1 + usize::from(p.second.is_some())).sum::<usize>()
            + selected.reviews_worded().len(),
        ..Done::default()
    };
    for step in &row.step {
        for context in work.repeats(step.each, work.context()) {
            if !holds_true(step.when.as_ref(), &context) {
                continue;
            }
            done.ticks += usize::from(step.ticked());
            let boxes = |each| work.repeats(each, context.clone()).len();
            done.readings +=
                step.written().map(|r| if r.each.is_none() { 1 } else { boxes(r.each) }).sum::<usize>();
            done.seconds += usize::from(step.by.is_some());
        }
    }
    done.readings += traced(row, &work.joints);
    if row.each_shift {
        done.readings *= shifts;
        done.ticks *= shifts;
        // The card is signed each shift, not once with its station.
        done.seconds += shifts - 1;
    }
    done
}

/// Filler lots and heats, written beside each weld.
fn traced(row: &OperationRow, joints: &[&Joint]) -> usize {
    if row.verb != Verb::Weld {
        return 0;
    }
    joints.iter().map(|j| 1 + usize::from(j.traceable)).sum()
}

/// An operation with what its texts may speak of.
struct Work<'a> {
    job: &'a JobFile,
    figures: &'a JobFigures,
    selected: &'a Selected<'a>,
    joints: Vec<&'a Joint>,
    fasteners: Vec<&'a Fastener>,
}

impl Work<'_> {
    fn context(&self) -> Context {
        let all = &self.selected.components;
        let first = all.first().copied().unwrap_or(Component::Unit(&self.job.unit));
        let mut context = self.figures.context_of_all(self.job, first, all);
        let joints: Vec<Value> = self.joints.iter().map(|j| self.figures.joint(self.job, j, "")).collect();
        let fasteners: Vec<Value> =
            self.fasteners.iter().map(|b| self.figures.fastener(self.job, b)).collect();
        context.insert("joints", Value::from(joints));
        context.insert("fasteners", Value::from(fasteners));
        context
    }

    /// The contexts of a step's or reading's repetitions.
    fn repeats(&self, each: Option<Each>, context: Context) -> Vec<Context> {
        let with = |key: &'static str, value: Value| {
            let mut own = context.clone();
            own.insert(key, value);
            own
        };
        match each {
            None => vec![context],
            Some(Each::Side) => self
                .selected
                .components
                .iter()
                .flat_map(|component| Side::BOTH.map(|side| (component, side)))
                .map(|(component, side)| {
                    let mut own = context.clone();
                    self.figures.add_side(self.job, component.id(), side, &mut own);
                    own
                })
                .collect(),
            Some(Each::Joint) => {
                self.joints.iter().map(|j| with("j", self.figures.joint(self.job, j, ""))).collect()
            }
            Some(Each::Fastener) => {
                self.fasteners.iter().map(|b| with("b", self.figures.fastener(self.job, b))).collect()
            }
        }
    }
}

/// Whether a condition holds. One that can't be answered is told where the
/// paper is made; here the box counts.
fn holds_true(when: Option<&Located<Text>>, context: &Context) -> bool {
    let Some(when) = when else { return true };
    let environment = text::environment();
    let answer = environment.compile_expression(&when.value).and_then(|e| e.eval(context));
    answer.map_or(true, |value| value.is_true())
}
