//! Which operations a job needs: procedures combined, shared operations merged,
//! states tied to their components, the job's own operations added.

use std::collections::{BTreeMap, BTreeSet};

use super::figures::JobFigures;
use super::library::{Library, Operation};
use super::listed;
use super::owed::{Lacks, Owed, Review};
use super::text;
use crate::diagnostic::{Diagnostic, Report, Span, nearest};
use crate::file::{Id, Located};
use crate::job::JobFile;
use crate::job::model::{Act, Component, HoldRule, OwnOperation, Verb};
use crate::term::Moment;

/// An operation of this job: one row on one component, a shared row on all
/// that need it, or an operation of the job's own.
#[derive(Debug, Clone)]
pub struct Selected<'a> {
    /// Unique key: `front/set-pinion`, `receive`.
    pub key: String,
    /// Id as the library or the job names it.
    pub id: String,
    /// Its row in a procedure file or in the job file.
    pub what: What<'a>,
    /// Components it is done on.
    pub components: Vec<Component<'a>>,
    /// Procedures that asked for it.
    pub procedures: Vec<String>,
    /// Place in the procedure's own order.
    pub rank: usize,
    /// States needed, tied to components.
    pub requires: Vec<String>,
    /// States made true.
    pub provides: Vec<String>,
    /// States made false.
    pub clears: Vec<String>,
    /// States that must not hold.
    pub forbids: Vec<String>,
    /// Reviews that stand before it, beside the points of its row.
    pub reviews: Vec<Review>,
    /// What the figures want settled, each signed by a lead.
    pub concerns: Vec<String>,
    /// Whether that is written and signed behind its last step or in front of its first.
    pub settles: Moment,
}

/// Where an operation comes from.
#[derive(Debug, Clone, Copy)]
pub enum What<'a> {
    /// A procedure, from the files that ship or from the shop's own.
    Library(&'a Operation),
    /// The job file.
    Own(&'a OwnOperation),
}

impl<'a> What<'a> {
    /// What it does, as the safety rules call it.
    #[must_use]
    pub fn acts(self) -> Vec<&'a str> {
        match self {
            Self::Library(library) => library.row.acts.iter().map(|a| &*a.0).collect(),
            Self::Own(own) => own.acts().iter().map(|a| a.word()).collect(),
        }
    }

    /// Use of the joints it works on.
    #[must_use]
    pub fn joints(self) -> Option<&'a Located<Id>> {
        match self {
            Self::Library(library) => library.row.joints.as_ref(),
            Self::Own(own) => own.joints.as_ref(),
        }
    }

    /// Use of the fasteners it works on.
    #[must_use]
    pub fn fasteners(self) -> Option<&'a Located<Id>> {
        match self {
            Self::Library(library) => library.row.fasteners.as_ref(),
            Self::Own(own) => own.fasteners.as_ref(),
        }
    }

    /// Whether it lays weld metal on: an arc or a tack.
    pub(super) fn welds(self) -> bool {
        self.acts().iter().any(|act| matches!(*act, "arc" | "tack"))
    }

    /// Whether welds are accepted at it: those of its own joints, or those its hold
    /// names.
    pub(super) fn accepts(self, usage: &str) -> bool {
        let is = |joints: Option<&'a Located<Id>>| joints.is_some_and(|j| j.0 == usage);
        match self {
            Self::Library(library) => {
                let acceptance = |p: &&super::file::PointRow| {
                    p.rule.as_ref().is_some_and(|r| *r.0 == *HoldRule::Acceptance.word())
                };
                let point = library.row.point.iter().filter(acceptance);
                point.clone().any(|p| is(p.joints.as_ref()))
                    || is(self.joints()) && (point.count() > 0 || self.acts().contains(&Act::Accept.word()))
            }
            Self::Own(own) => {
                let hold =
                    own.hold_rule == Some(HoldRule::Acceptance) && own.hold.is_some() && !own.hold_before;
                is(self.joints()) && (hold || own.acts().contains(&Act::Accept))
            }
        }
    }

    /// Parts it is done at.
    fn parts(self) -> Vec<&'a str> {
        let at = match self {
            Self::Library(library) => &library.row.at,
            Self::Own(own) => &own.at,
        };
        at.iter().map(|part| &*part.0).collect()
    }

    /// Whether it takes off what nobody puts back; cleaning, which is shared, does not.
    fn takes_off(self) -> bool {
        !matches!(self, Self::Library(o) if o.shared || o.row.each_component)
            && self.acts().iter().any(|act| [Act::CutPermanent.word(), Act::Grind.word()].contains(act))
    }

    /// Minutes it takes.
    #[must_use]
    pub const fn minutes(self) -> u32 {
        match self {
            Self::Library(library) => library.row.minutes,
            Self::Own(own) => own.minutes,
        }
    }

    /// Whether several procedures share it.
    pub(super) fn shared(self) -> bool {
        matches!(self, Self::Library(library) if library.shared)
    }

    /// Whether it is a card that is signed anew each shift.
    #[must_use]
    pub fn each_shift(self) -> bool {
        matches!(self, Self::Library(library) if library.row.each_shift)
    }

    /// Whether it is done after hand-over.
    #[must_use]
    pub fn deferred(self) -> bool {
        matches!(self, Self::Library(library) if library.row.deferred)
    }

    /// Whether the maker's figure is written at the bench where the job lists no group.
    pub(super) fn or_maker(self) -> bool {
        matches!(self, Self::Library(library) if library.row.or_maker)
    }

    /// Whether tightening is what it is for, before the unit is handed over.
    pub(super) fn tightens(self) -> bool {
        match self {
            Self::Library(library) => {
                (library.row.verb == Verb::Torque || library.row.or_maker) && !library.row.deferred
            }
            Self::Own(own) => own.verb == Verb::Torque,
        }
    }
}

/// Whether an operation is the one that can't be done without what is lacking.
fn stands_before(lacks: Lacks, what: What<'_>, usage: &str) -> bool {
    match lacks {
        Lacks::Procedure => what.welds() && what.joints().is_some_and(|u| *u.value == *usage),
        Lacks::Tester => what.accepts(usage),
    }
}

impl Selection<'_> {
    /// Puts each review before the first operation on its joint that can't do without it; a
    /// procedure not proved yet before what is there comes off or is cut for its weld.
    pub fn review(&mut self, job: &JobFile, reviews: &[Review]) {
        for review in reviews {
            let Some(joint) = job.joint.iter().find(|j| *j.id.0 == review.joint) else { continue };
            let on = |s: &&Selected<'_>| s.components.iter().any(|c| c.id() == joint.on.0);
            let needs = |s: &&Selected<'_>| stands_before(review.lacks, s.what, &joint.usage.value);
            let Some(first) = self.operations.iter().filter(on).find(needs) else { continue };
            let parts = first.what.parts();
            let same = |what: What<'_>| what.parts().iter().any(|part| parts.contains(part));
            let off = |s: &&Selected<'_>| s.what.takes_off() && same(s.what);
            let mut way = self.operations.iter().take_while(|s| s.key != first.key).filter(on);
            let before = if review.lacks == Lacks::Procedure { way.find(off) } else { None };
            let key = before.unwrap_or(first).key.clone();
            if let Some(selected) = self.operations.iter_mut().find(|s| s.key == key) {
                selected.reviews.push(review.clone());
            }
        }
    }
}

impl Selected<'_> {
    /// The component it is kept together with; empty for the whole unit.
    #[must_use]
    pub fn component(&self) -> &str {
        match self.components.as_slice() {
            [only] => only.id(),
            _ => "unit",
        }
    }

    /// What has to be looked at before it: joints of which the same is said share
    /// one review.
    #[must_use]
    pub fn owed(&self) -> Vec<Owed> {
        let mut shared: Vec<(&Review, Vec<String>)> = Vec::new();
        for review in &self.reviews {
            let same =
                |of: &&mut (&Review, Vec<String>)| of.0.why == review.why && of.0.lacks == review.lacks;
            match shared.iter_mut().find(same) {
                Some((_, joints)) => joints.push(review.joint.clone()),
                None => shared.push((review, vec![review.joint.clone()])),
            }
        }
        shared
            .into_iter()
            .map(|(review, joints)| Owed {
                what: review.lacks.said(&joints.join(", "), &review.why),
                lacks: review.lacks,
                joints,
            })
            .collect()
    }

    /// Where the operation is written.
    #[must_use]
    pub fn place(&self) -> Option<&Span> {
        Some(match self.what {
            What::Library(operation) => &operation.row.id.span,
            What::Own(own) => &own.id.span,
        })
    }

    /// Where it is written that it asks for `state`; where the operation is
    /// written if that can't be said closer.
    #[must_use]
    pub fn asked_at(&self, state: &str, must_be: bool) -> Option<&Span> {
        let What::Library(operation) = self.what else { return self.place() };
        let list = if must_be { &operation.row.requires } else { &operation.row.forbids };
        let bare = state.split_once(':').map_or(state, |(_, bare)| bare);
        list.iter().find(|s| s.0 == bare).map(|s| &s.span).or_else(|| self.place())
    }
}

/// A state of this job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobState {
    /// Name with its component: `front:housing.bare`, `unit.received`.
    pub name: String,
    /// What it means.
    pub means: String,
    /// Whether it holds before the first operation.
    pub initial: bool,
}

/// What a job needs done.
#[derive(Debug, Clone, Default)]
pub struct Selection<'a> {
    /// Operations, in the procedures' own order.
    pub operations: Vec<Selected<'a>>,
    /// States they speak of.
    pub states: Vec<JobState>,
}

/// Selects the operations of a job. Problems (unknown procedures, wrong
/// components, conditions that can't be answered) are reported, all of them.
#[must_use]
pub fn select<'a>(job: &'a JobFile, library: &'a Library, figures: &JobFigures) -> (Selection<'a>, Report) {
    let mut report = Report::new();
    let mut wanted: Vec<(String, Vec<Component<'a>>, Vec<String>)> = Vec::new();
    for work in &job.work {
        let id = &work.procedure.0;
        let Some(procedure) = library.procedures.get(id) else {
            let mut problem = Diagnostic::error("J201", format!("there is no procedure \"{id}\""))
                .at(Some(work.procedure.span.clone()))
                .key(work.procedure.key.clone())
                .expected(library.procedures.keys().cloned().collect::<Vec<_>>().join(", "));
            if let Some(near) = nearest(id, library.procedures.keys().map(String::as_str)) {
                problem = problem
                    .help(format!("did you mean \"{near}\"?"))
                    .example(format!("procedure = \"{near}\""));
            }
            report.push(problem);
            continue;
        };
        for component in on(job, work, &procedure.applies_to, &mut report) {
            for operation in library.operations_of(id) {
                let shared = library.operations.get(&operation).is_some_and(|o| o.shared);
                let place = wanted.iter_mut().find(|(o, c, _)| {
                    *o == operation && (shared || c.iter().any(|x| x.id() == component.id()))
                });
                match place {
                    Some((_, components, procedures)) => {
                        if !components.iter().any(|c| c.id() == component.id()) {
                            components.push(component);
                        }
                        if !procedures.contains(id) {
                            procedures.push(id.clone());
                        }
                    }
                    None => wanted.push((operation, vec![component], vec![id.clone()])),
                }
            }
        }
    }
    let mut selection = Selection::default();
    for (id, components, procedures) in wanted {
        let Some(operation) = library.operations.get(&id) else { continue };
        match holds(job, operation, &components, figures) {
            Ok(false) => continue,
            Ok(true) => {}
            Err(problem) => report.push(problem),
        }
        let rank = selection.operations.len();
        let key = match components.as_slice() {
            _ if operation.shared => id.clone(),
            [only] => format!("{}/{id}", only.id()),
            _ => id.clone(),
        };
        let tie = |names: &[crate::file::Located<crate::file::Id>]| -> Vec<String> {
            let mut tied: Vec<String> = names
                .iter()
                .flat_map(|n| components.iter().map(move |c| tied_name(&n.value, c.id())))
                .collect();
            tied.dedup();
            let unique: BTreeSet<String> = tied.into_iter().collect();
            unique.into_iter().collect()
        };
        let row = &operation.row;
        selection.operations.push(Selected {
            key,
            id,
            what: What::Library(operation),
            requires: tie(&row.requires),
            provides: tie(&row.provides),
            clears: tie(&row.clears),
            forbids: tie(&row.forbids),
            components,
            procedures,
            rank,
            reviews: Vec::new(),
            concerns: Vec::new(),
            settles: Moment::After,
        });
    }
    // One timeline for all procedures: the vocabulary of states is written in
    // the order of the work, and an operation belongs where the furthest state
    // it provides stands.
    let furthest = |selected: &Selected<'_>| {
        let What::Library(operation) = selected.what else { return (true, usize::MAX) };
        let places = operation.row.provides.iter().filter_map(|s| library.states.get(&s.0)).map(|s| s.place);
        (operation.row.deferred, places.max().unwrap_or(usize::MAX))
    };
    // A card is opened right before the first work that needs it, not a day ahead.
    let needed = |card: &Selected<'_>| {
        let all = selection.operations.iter();
        all.filter(|o| o.requires.iter().any(|s| card.provides.contains(s))).map(furthest).min()
    };
    let mut keys: BTreeMap<String, _> = BTreeMap::new();
    for selected in &selection.operations {
        let opens = matches!(selected.what, What::Library(o) if o.row.each_shift && o.row.card.is_none());
        let first = if opens { needed(selected) } else { None };
        let key = (first.unwrap_or_else(|| furthest(selected)), first.is_none());
        keys.insert(selected.key.clone(), key);
    }
    selection.operations.sort_by_key(|selected| keys.get(&selected.key).copied());
    for (rank, selected) in selection.operations.iter_mut().enumerate() {
        selected.rank = rank;
    }
    add_own(job, &mut selection, &mut report);
    let listed: Vec<usize> = (0..selection.operations.len()).collect();
    selection.settle(figures, &listed);
    selection.states = states(&selection, library);
    listed::compare(job, &selection, &mut report);
    (selection, report)
}

/// A state's name tied to a component, unless it is one of the whole unit.
fn tied_name(state: &str, component: &str) -> String {
    if state.starts_with("unit.") { state.to_owned() } else { format!("{component}:{state}") }
}

/// The name that was meant: a near one, or the only one; of several none that is unlike.
fn meant<'a>(given: &str, names: &[&'a str]) -> &'a str {
    match (nearest(given, names.iter().copied()), names) {
        (Some(near), _) => near,
        (None, [only]) => only,
        _ => "…",
    }
}

fn on<'a>(
    job: &'a JobFile,
    work: &'a crate::job::model::Work,
    applies_to: &[Located<Id>],
    report: &mut Report,
) -> Vec<Component<'a>> {
    let fits = |c: &Component<'_>| applies_to.iter().any(|k| k.0 == c.kind());
    let kinds = applies_to.iter().map(|k| k.0.as_str()).collect::<Vec<_>>().join(" or ");
    if work.on.is_empty() {
        let all: Vec<_> = job.components().filter(fits).collect();
        if let [only] = all.as_slice() {
            return vec![*only];
        }
        let names: Vec<_> = all.iter().map(|c| c.id()).collect();
        report.push(
            Diagnostic::error(
                "J202",
                format!("\"{}\" does not say what it is done on", work.procedure.value),
            )
            .at(Some(work.procedure.span.clone()))
            .key(work.procedure.key.clone())
            .expected(format!("on = a component of kind {kinds}: {}", names.join(", ")))
            .example("on = [\"…\"]"),
        );
        return Vec::new();
    }
    let mut found = Vec::new();
    for id in &work.on {
        let problem = match job.component(&id.value) {
            Some(component) if fits(&component) => {
                found.push(component);
                continue;
            }
            Some(component) => Diagnostic::error(
                "J203",
                format!(
                    "\"{}\" is done on {kinds}, but \"{}\" is of kind {}",
                    work.procedure.value,
                    id.value,
                    component.kind()
                ),
            )
            .expected(format!("a component of kind {kinds}")),
            None => {
                let names: Vec<_> = job.components().map(Component::id).collect();
                let mut problem =
                    Diagnostic::error("J204", format!("there is no component \"{}\"", id.value))
                        .expected(names.join(", "));
                if let Some(near) = nearest(&id.value, names) {
                    problem = problem.help(format!("did you mean \"{near}\"?"));
                }
                problem
            }
        };
        let names: Vec<_> = job.components().filter(fits).map(Component::id).collect();
        report.push(
            problem
                .at(Some(id.span.clone()))
                .key(id.key.clone())
                .example(format!("on = [\"{}\"]", meant(&id.value, &names))),
        );
    }
    found
}

/// Whether an operation's condition holds on any of its components.
fn holds(
    job: &JobFile,
    operation: &Operation,
    components: &[Component<'_>],
    figures: &JobFigures,
) -> Result<bool, Diagnostic> {
    let Some(when) = &operation.row.when else { return Ok(true) };
    let environment = text::environment();
    let failed = |e: minijinja::Error| {
        Diagnostic::error("P009", format!("the condition \"{}\" can't be answered: {e}", when.value))
            .at(Some(when.span.clone()))
            .key(when.key.clone())
            .expected("a condition that is true or false")
            .example("when = \"c.driven\"")
    };
    let expression = environment.compile_expression(&when.value).map_err(failed)?;
    for component in components {
        let context = figures.context(job, *component);
        if expression.eval(&context).map_err(failed)?.is_true() {
            return Ok(true);
        }
    }
    Ok(false)
}

fn add_own<'a>(job: &'a JobFile, selection: &mut Selection<'a>, report: &mut Report) {
    let mut ids: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (index, operation) in selection.operations.iter().enumerate() {
        ids.entry(operation.id.clone()).or_default().push(index);
    }
    let first = selection.operations.len();
    for own in &job.operation {
        let id = own.id.0.clone();
        if let Some(before) = ids.get(&id) {
            let whose = if before.iter().any(|i| *i < first) { "a procedure's" } else { "another" };
            report.push(
                Diagnostic::error("J205", format!("\"{id}\" is already the id of {whose} operation"))
                    .at(Some(own.id.span.clone()))
                    .key(own.id.key.clone())
                    .expected("an id used once")
                    .example(format!("id = \"{id}-2\"")),
            );
            continue;
        }
        let component = own.on.as_ref().and_then(|on| {
            let found = job.component(&on.value);
            if found.is_none() {
                let names: Vec<_> = job.components().map(Component::id).collect();
                report.push(
                    Diagnostic::error("J204", format!("there is no component \"{}\"", on.value))
                        .at(Some(on.span.clone()))
                        .key(on.key.clone())
                        .expected(names.join(", "))
                        .example(format!("on = \"{}\"", meant(&on.value, &names))),
                );
            }
            found
        });
        let index = selection.operations.len();
        ids.entry(id.clone()).or_default().push(index);
        selection.operations.push(Selected {
            key: id.clone(),
            id,
            what: What::Own(own),
            components: vec![component.unwrap_or(Component::Unit(&job.unit))],
            procedures: Vec::new(),
            rank: index,
            requires: Vec::new(),
            provides: Vec::new(),
            clears: Vec::new(),
            forbids: Vec::new(),
            reviews: Vec::new(),
            concerns: Vec::new(),
            settles: Moment::After,
        });
    }
    for index in first..selection.operations.len() {
        let What::Own(own) = selection.operations[index].what else { continue };
        for (links, forward) in [(&own.after, true), (&own.before, false)] {
            for link in links {
                let whole = || selection.operations.iter().position(|s| s.key == link.0).map(|i| vec![i]);
                let others = ids.get(&link.0).cloned().or_else(whole);
                let Some(others) = others.filter(|o| !o.contains(&index)) else {
                    let mut problem = Diagnostic::error(
                        "J206",
                        format!("there is no operation \"{}\" in this job", link.value),
                    )
                    .at(Some(link.span.clone()))
                    .key(link.key.clone())
                    .expected("the id of an operation of this job; `tackwright route` lists them")
                    .example("[\"…\"]");
                    if let Some(near) = nearest(&link.0, ids.keys().map(String::as_str)) {
                        problem = problem
                            .example(format!("[\"{near}\"]"))
                            .help(format!("did you mean \"{near}\"?"));
                    }
                    report.push(problem);
                    continue;
                };
                for other in others {
                    let (earlier, later) = if forward { (other, index) } else { (index, other) };
                    let done = format!("done/{}", selection.operations[earlier].key);
                    if !selection.operations[earlier].provides.contains(&done) {
                        selection.operations[earlier].provides.push(done.clone());
                    }
                    selection.operations[later].requires.push(done);
                }
            }
        }
    }
}

/// Every state the selected operations speak of.
fn states(selection: &Selection<'_>, library: &Library) -> Vec<JobState> {
    let mut names: BTreeSet<&str> = BTreeSet::new();
    for operation in &selection.operations {
        for list in [&operation.requires, &operation.provides, &operation.clears, &operation.forbids] {
            names.extend(list.iter().map(String::as_str));
        }
    }
    names
        .into_iter()
        .map(|name| {
            let bare = name.split_once(':').map_or(name, |(_, bare)| bare);
            let meaning = library.states.get(bare);
            JobState {
                name: name.to_owned(),
                means: meaning.map_or_else(
                    || name.strip_prefix("done/").map_or(name.to_owned(), |op| format!("{op} is done")),
                    |m| m.means.clone(),
                ),
                initial: meaning.is_some_and(|m| m.initial),
            }
        })
        .collect()
}
