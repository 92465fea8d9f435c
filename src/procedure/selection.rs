//! Which operations a job needs: procedures combined, shared operations merged,
//! states tied to their components, the job's own operations added.

use std::collections::{BTreeMap, BTreeSet};

use super::figures::{Context, JobFigures};
use super::library::Library;
use super::listed;
use super::operation::Operation;
use super::selected::{JobState, Selected, Selection, What};
use super::text;
use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::file::{Id, Located};
use crate::job::JobFile;
use crate::job::model::{Component, Work};
use crate::term::Moment;

/// Selects the operations of a job. Problems (unknown procedures, wrong
/// components, conditions that can't be answered) are reported, all of them.
#[must_use]
pub fn select<'a>(job: &'a JobFile, library: &'a Library, figures: &JobFigures) -> (Selection<'a>, Report) {
    let mut report = Report::new();
    let mut selection = Selection::default();
    let mut seen = Conditions { job, figures, seen: BTreeMap::new() };
    for mut wanted in wanted(job, library, &mut report) {
        let Some(operation) = library.operations.get(&wanted.operation) else { continue };
        match concerned(operation, &wanted.components, &mut seen) {
            Ok(components) if components.is_empty() => continue,
            Ok(components) => wanted.components = components,
            Err(problem) => report.push(problem),
        }
        selection.operations.push(wanted.selected(operation, selection.operations.len()));
    }
    on_one_timeline(&mut selection, library);
    add_own(job, &mut selection, &mut report);
    let listed: Vec<usize> = (0..selection.operations.len()).collect();
    selection.settle(figures, &listed);
    selection.states = states(&selection, library);
    listed::compare(job, &selection, &mut report);
    listed::unproved(job, figures, &selection, &mut report);
    (selection, report)
}

/// An operation that procedures of the job ask for, and what it is done on.
struct Wanted<'a> {
    operation: String,
    components: Vec<Component<'a>>,
    procedures: Vec<String>,
}

/// The operations of the procedures a job names, each once for what it is done on.
fn wanted<'a>(job: &'a JobFile, library: &Library, report: &mut Report) -> Vec<Wanted<'a>> {
    let mut wanted: Vec<Wanted<'a>> = Vec::new();
    for work in &job.work {
        let id = &work.procedure.0;
        let Some(procedure) = library.procedures.get(id) else {
            report.push(no_procedure(work, library));
            continue;
        };
        for component in on(job, work, &procedure.applies_to, report) {
            for operation in library.operations_of(id) {
                let shared = library.operations.get(&operation).is_some_and(|o| o.shared);
                let place = wanted.iter_mut().find(|w| {
                    w.operation == operation
                        && (shared || w.components.iter().any(|x| x.id() == component.id()))
                });
                match place {
                    Some(place) => place.also(component, id),
                    None => wanted.push(Wanted {
                        operation,
                        components: vec![component],
                        procedures: vec![id.clone()],
                    }),
                }
            }
        }
    }
    wanted
}

impl<'a> Wanted<'a> {
    /// Another procedure or component asks for it as well.
    fn also(&mut self, component: Component<'a>, procedure: &String) {
        if !self.components.iter().any(|c| c.id() == component.id()) {
            self.components.push(component);
        }
        if !self.procedures.contains(procedure) {
            self.procedures.push(procedure.clone());
        }
    }

    /// It as a part of a selection, its states tied to what it is done on.
    fn selected(self, operation: &'a Operation, rank: usize) -> Selected<'a> {
        let Self { operation: id, components, procedures } = self;
        let key = match components.as_slice() {
            _ if operation.shared => id.clone(),
            [only] => format!("{}/{id}", only.id()),
            _ => id.clone(),
        };
        let tie = |names: &[Located<Id>]| -> Vec<String> {
            let of =
                |n: &Located<Id>| components.iter().map(|c| tied_name(&n.value, c.id())).collect::<Vec<_>>();
            let unique: BTreeSet<String> = names.iter().flat_map(of).collect();
            unique.into_iter().collect()
        };
        let row = &operation.row;
        Selected {
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
        }
    }
}

/// A name no procedure has, with the nearest that one has.
fn no_procedure(work: &Work, library: &Library) -> Diagnostic {
    let id = &work.procedure.0;
    let problem = Diagnostic::error("J201", format!("there is no procedure \"{id}\""))
        .at(Some(work.procedure.span.clone()))
        .key(work.procedure.key.clone())
        .expected(library.procedures.keys().cloned().collect::<Vec<_>>().join(", "));
    match nearest(id, library.procedures.keys().map(String::as_str)) {
        Some(near) => {
            problem.help(format!("did you mean \"{near}\"?")).example(format!("procedure = \"{near}\""))
        }
        None => problem,
    }
}

/// One timeline for all procedures: the vocabulary of states is written in the order of
/// the work, and an operation belongs where the furthest state it provides stands.
fn on_one_timeline(selection: &mut Selection<'_>, library: &Library) {
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

/// What conditions about a component see, worded once for all operations.
struct Conditions<'a> {
    job: &'a JobFile,
    figures: &'a JobFigures,
    seen: BTreeMap<&'a str, Context>,
}

impl<'a> Conditions<'a> {
    fn of(&mut self, component: Component<'a>) -> &Context {
        let Self { job, figures, seen } = self;
        seen.entry(component.id()).or_insert_with(|| figures.context(job, component))
    }
}

/// The components an operation's condition holds on: what is shared by a steered axle and
/// one that does not steer asks nothing of the other's steering.
fn concerned<'a: 'b, 'b>(
    operation: &Operation,
    components: &[Component<'a>],
    seen: &mut Conditions<'b>,
) -> Result<Vec<Component<'a>>, Diagnostic> {
    let Some(when) = &operation.row.when else { return Ok(components.to_vec()) };
    let environment = text::environment();
    let failed = |e: minijinja::Error| {
        Diagnostic::error("P009", format!("the condition \"{}\" can't be answered: {e}", when.value))
            .at(Some(when.span.clone()))
            .key(when.key.clone())
            .expected("a condition that is true or false")
            .example("when = \"c.driven\"")
    };
    let expression = environment.compile_expression(&when.value).map_err(failed)?;
    let mut concerned = Vec::new();
    for component in components {
        if expression.eval(seen.of(*component)).map_err(failed)?.is_true() {
            concerned.push(*component);
        }
    }
    Ok(concerned)
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
                    .expected(listed(&link.0, ids.keys().map(String::as_str)))
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

/// Ids of the operations of a job that share a word with a name that is none, or all of
/// them: a job whose name is wrong has no route to look them up in.
fn listed<'a>(name: &str, ids: impl Iterator<Item = &'a str>) -> String {
    let words = |id: &str| id.split(['-', '/']).map(str::to_lowercase).collect::<Vec<_>>();
    let asked = words(name);
    // A plural is the same word.
    let same = |a: &str, b: &str| a.len() > 3 && a.trim_end_matches('s') == b.trim_end_matches('s');
    let ids: Vec<&str> = ids.collect();
    let near = |id: &&&str| words(id).iter().any(|word| asked.iter().any(|other| same(word, other)));
    let shared: Vec<&str> = ids.iter().filter(near).copied().collect();
    let shown = if shared.is_empty() { ids } else { shared };
    format!("the id of an operation of this job: {}", shown.join(", "))
}
