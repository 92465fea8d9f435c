//! What operation texts see of a job.

use std::collections::{BTreeMap, BTreeSet};

use minijinja::value::Value;

use super::super::catalogue::{self, Scope};
use super::super::text::Shown;
use super::{JobFigures, Owner, Side};
use crate::figure::Figure;
use crate::job::JobFile;
use crate::job::model::{Axle, Brakes, Component, Fastener, Joint, Safety, Units, Work};
use crate::quantity::Dimensioned;
use crate::quantity::show::LENGTH;
use crate::reference::process;
use crate::term::Method;

/// The outside diameter of an axle's tube in the job's units; empty where none is
/// stated.
fn tube(component: Component<'_>, units: Units) -> String {
    let Component::Axle(axle) = component else { return String::new() };
    let od = axle.tube.as_ref().and_then(|t| t.od.as_ref());
    od.map_or_else(String::new, |od| units.first(LENGTH).shop(od.value.value.into()))
}

/// Whether a joint is a groove less deep than its thinner part, welded with a bare wire
/// under gas, whose arc may be a short one, or by a process the job does not say.
fn short_arc(joint: &Joint) -> bool {
    let process = joint.process.as_ref().and_then(|p| process::find(&p.value));
    let wire = process.is_none_or(|p| matches!(p.number, "13" | "131" | "135" | "138" | "139"));
    let plates = [&joint.thickness, &joint.other_thickness];
    let thinner = plates.into_iter().flatten().map(|t| t.value.value.si()).reduce(f64::min);
    let depth = joint.groove_depth.as_ref().map(|d| d.value.value.si());
    let whole = depth.zip(thinner).is_some_and(|(depth, plate)| depth >= plate);
    joint.kind.value.is_groove() && wire && !whole
}

/// A text context: names to values.
pub type Context = BTreeMap<&'static str, Value>;

/// A figure as texts see it, with the units the job wants first.
fn shown(figure: Option<&Figure>, units: Units) -> Value {
    let shown = match figure {
        None => Shown::unknown(),
        Some(figure) => Shown::of(figure.value.clone(), figure.style.map(|s| units.first(s))),
    };
    Value::from_object(shown)
}

/// Front, rear, or empty where no axle says it.
fn end(all: &[Component<'_>]) -> &'static str {
    let of = |c: &Component<'_>| match c {
        Component::Axle(axle) => axle.end.as_ref().map(|e| e.value.word()),
        _ => None,
    };
    all.iter().find_map(of).unwrap_or("")
}

/// Whether a wheel of the unit stays on the floor while those of the axles in work are off:
/// an axle of a trailer, or an end of a vehicle, that has no work of its own.
fn wheels_stay(job: &JobFile) -> bool {
    let worked = |axle: &&Axle| job.work.iter().any(|w| w.on.iter().any(|on| on.value == axle.id.value));
    if job.axle.iter().filter(worked).any(|a| a.trailer) {
        return !job.axle.iter().filter(|a| a.trailer).all(|a| worked(&a));
    }
    let ends: BTreeSet<&str> =
        job.axle.iter().filter(worked).filter_map(|a| a.end.as_ref()).map(|e| e.value.word()).collect();
    ends.len() < 2
}

/// What brakes the axles have, where the job says it: none only where none of them has any.
fn brakes(all: &[Component<'_>]) -> &'static str {
    let of = |c: &Component<'_>| match c {
        Component::Axle(axle) => Some(axle.brakes.as_ref().map(|b| b.value)),
        _ => None,
    };
    let stated: Vec<Option<Brakes>> = all.iter().filter_map(of).collect();
    let fitted = stated.iter().find(|b| **b != Some(Brakes::None));
    fitted.or_else(|| stated.first()).copied().flatten().map_or("", Brakes::word)
}

/// How knuckle and tube are joined; empty while nobody has said it.
fn construction(all: &[Component<'_>]) -> &'static str {
    let of = |c: &Component<'_>| match c {
        Component::Axle(axle) => axle.cut.as_ref()?.construction.as_ref().map(|k| k.value.word()),
        _ => None,
    };
    all.iter().find_map(of).unwrap_or("")
}

/// Procedures the job names for some components, each once.
fn work<'a>(job: &'a JobFile, all: &[Component<'_>]) -> BTreeSet<&'a str> {
    let on = |work: &&Work| work.on.iter().any(|id| all.iter().any(|c| c.id() == id.value.0));
    job.work.iter().filter(on).map(|work| &*work.procedure.0).collect()
}

/// Drawing of a weldment; empty if there is none.
fn drawing(component: Component<'_>) -> &str {
    match component {
        Component::Weldment(weldment) => weldment.drawing.as_deref().unwrap_or(""),
        _ => "",
    }
}

impl JobFigures {
    /// The figures of an owner as a value with one attribute per name.
    fn attributes(&self, job: &JobFile, owner: &Owner) -> Value {
        let map: BTreeMap<&str, Value> = catalogue::names(owner.scope())
            .map(|name| (name, shown(self.named(owner, name), job.job.units)))
            .collect();
        Value::from_pairs(map)
    }

    /// What texts about a component see.
    #[must_use]
    pub fn context(&self, job: &JobFile, component: Component<'_>) -> Context {
        self.context_of_all(job, component, &[component])
    }

    /// What texts about several components at once see: the names and figures
    /// of the first; driven and steered if one of them is.
    #[must_use]
    pub fn context_of_all(&self, job: &JobFile, first: Component<'_>, all: &[Component<'_>]) -> Context {
        let owner = Owner::Component(first.id().to_owned());
        let any = |of: fn(&Axle) -> bool| all.iter().any(|c| matches!(c, Component::Axle(a) if of(a)));
        let facts: BTreeMap<&str, Value> = BTreeMap::from([
            ("id", Value::from(first.id())),
            ("name", Value::from(first.name())),
            ("kind", Value::from(first.kind())),
            ("driven", Value::from(any(|a| a.driven))),
            ("steered", Value::from(any(|a| a.steered))),
            // Axles of a trailer that share its load.
            ("grouped", Value::from(any(|a| a.trailer) && job.axle.iter().filter(|a| a.trailer).count() > 1)),
            ("end", Value::from(end(all))),
            // Procedures the job names for them; those that come with another are not told.
            ("work", Value::from_iter(work(job, all))),
            // A driveshaft of theirs has work of its own, which takes it out and puts it back.
            (
                "shaft_in_work",
                Value::from(
                    all.iter()
                        .any(|c| matches!(c, Component::Axle(axle) if super::driveshaft::in_work(job, axle))),
                ),
            ),
            ("longer", Value::from(super::driveshaft::longer(self, &owner))),
            // A groove less deep than its plate, under a short arc as far as the job says: it
            // may lie on the plate and hold nothing.
            (
                "short_arc",
                Value::from(
                    job.joint.iter().any(|j| short_arc(j) && all.iter().any(|c| c.id() == j.on.value.0)),
                ),
            ),
            // A part a load hangs on: it is proved by a load.
            (
                "lifting",
                Value::from(
                    job.joint
                        .iter()
                        .any(|j| j.safety == Safety::Lifting && all.iter().any(|c| c.id() == j.on.value.0)),
                ),
            ),
            ("construction", Value::from(construction(all))),
            ("brakes", Value::from(brakes(all))),
            (
                "concerns",
                Value::from_iter(
                    self.concerns
                        .iter()
                        .filter(|k| all.iter().any(|c| c.id() == k.component))
                        .map(|k| k.name),
                ),
            ),
            ("drawing", Value::from(drawing(first))),
            ("tube", Value::from(tube(first, job.job.units))),
        ]);
        let unit: BTreeMap<&str, Value> = BTreeMap::from([
            ("name", Value::from(&*job.unit.name)),
            // Whether anything is welded: without it nobody signs that welds are accepted.
            ("welded", Value::from(!job.joint.is_empty())),
            ("wheels_stay", Value::from(wheels_stay(job))),
        ]);
        BTreeMap::from([
            ("unit", Value::from_pairs(unit)),
            ("c", Value::from_pairs(facts)),
            ("f", self.attributes(job, &owner)),
        ])
    }

    /// Adds one side: `side` and `fs`.
    pub fn add_side(&self, job: &JobFile, component: &str, side: Side, context: &mut Context) {
        context.insert("side", Value::from(side.word()));
        context.insert("fs", self.attributes(job, &Owner::Side(component.to_owned(), side)));
    }

    /// A joint as texts see it.
    #[must_use]
    pub fn joint(&self, job: &JobFile, joint: &Joint, symbol: &str) -> Value {
        let word = |t: Option<&str>| Value::from(t.unwrap_or(super::super::text::BLANK));
        let asked = joint.inspection.as_ref().map_or("", |t| &*t.0);
        let tests = Method::named_in(asked);
        // Cracks start at the surface: where no test of it is asked, penetrant is made as
        // well (common practice).
        let mut made = tests.clone();
        if !made.iter().any(|m| m.of_the_surface()) {
            made.insert(0, Method::Penetrant);
        }
        let tools: Vec<&str> = made.iter().map(|m| m.tool()).collect();
        let facts: BTreeMap<&str, Value> = BTreeMap::from([
            ("id", Value::from(&*joint.id.0)),
            ("title", Value::from(&*joint.title)),
            ("symbol", Value::from(symbol)),
            ("process", word(joint.process.as_ref().map(|p| &*p.0))),
            ("filler", word(joint.filler.as_ref().map(|p| &*p.0))),
            ("inspection", Value::from(asked)),
            ("tests", tests.iter().map(|m| m.word()).collect()),
            ("test", Value::from(Method::list(&made))),
            ("test_tools", Value::from(tools.join(" and "))),
            ("safety", Value::from(joint.safety.word())),
            ("f", self.attributes(job, &Owner::Joint(joint.id.0.clone()))),
        ]);
        Value::from_pairs(facts)
    }

    /// A fastener group as texts see it.
    #[must_use]
    pub fn fastener(&self, job: &JobFile, fastener: &Fastener) -> Value {
        let word = |t: Option<&str>| Value::from(t.unwrap_or(super::super::text::BLANK));
        let facts: BTreeMap<&str, Value> = BTreeMap::from([
            ("id", Value::from(&*fastener.id.0)),
            ("title", Value::from(&*fastener.title)),
            ("thread", word(fastener.thread.as_ref().map(|p| &*p.0))),
            ("grade", word(fastener.grade.as_ref().map(|p| &*p.0))),
            ("count", Value::from(fastener.count)),
            ("f", self.attributes(job, &Owner::Fastener(fastener.id.0.clone()))),
        ]);
        Value::from_pairs(facts)
    }

    /// Whether a scope knows a name; used by readings that name a target.
    #[must_use]
    pub fn knows(scope: Scope, name: &str) -> bool {
        catalogue::find(scope, name).is_some()
    }
}
