//! The library: every procedure, checked whole when it is loaded.

use std::collections::{BTreeMap, BTreeSet};

use super::catalogue::{self, Scope};
use super::file::{OperationRow, ProcedureFile, ReadingKind, ReadingRow, StateRow, StatesFile};
use super::operation::Operation;
use super::{embedded, text};
use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::file::{self, Field, Id, Located, Text};
use crate::job::measured;
use crate::job::model::Component;

/// A state and what it means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StateMeaning {
    /// What it means, in words.
    pub means: String,
    /// Whether it holds before the first operation.
    pub initial: bool,
    /// Its place in the vocabulary, which is written in the order of the work.
    pub place: usize,
}

/// A procedure of the library.
#[derive(Debug, Clone, PartialEq)]
pub struct Procedure {
    /// Word a job asks for it by.
    pub id: String,
    /// For people; the id where the file has none.
    pub title: String,
    /// Kinds of component it applies to.
    pub applies_to: Vec<Located<Id>>,
    /// Scope sentence, a template.
    pub scope: Option<Located<Text>>,
    /// What it leaves done, a template.
    pub done: Option<Located<Text>>,
    /// Shared operations used.
    pub uses: Vec<Located<Id>>,
    /// Procedures included.
    pub includes: Vec<Located<Id>>,
    /// Job figures needed.
    pub figures: Vec<Located<Text>>,
    /// Ids of its own operations, in its own order.
    pub operations: Vec<String>,
}

/// Every procedure, operation and state.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Library {
    /// States by name.
    pub states: BTreeMap<String, StateMeaning>,
    /// Operations by id.
    pub operations: BTreeMap<String, Operation>,
    /// Ids of the shared operations, in the order of their file.
    pub shared: Vec<String>,
    /// Procedures by id.
    pub procedures: BTreeMap<String, Procedure>,
}

impl Library {
    /// Loads files given as name and text; a later file overrides a procedure,
    /// operation or state of an earlier one. All problems are reported.
    #[must_use]
    pub fn load<'a>(files: impl IntoIterator<Item = (&'a str, &'a str)>) -> (Self, Report) {
        let (library, mut report) = Self::read(files);
        library.check(&mut report);
        (library, report)
    }

    /// As [`Library::load`], of files that were checked before against one another: those
    /// of a traveler when it was issued, and those that ship, by the tests.
    #[must_use]
    pub fn read<'a>(files: impl IntoIterator<Item = (&'a str, &'a str)>) -> (Self, Report) {
        let mut library = Self::default();
        let mut report = Report::new();
        for (name, text) in files {
            if name.ends_with("states.toml") {
                let (file, problems) = file::parse(name, text, StatesFile::read);
                report.extend(problems);
                library.add_states(file.map(|f| f.state).unwrap_or_default());
            } else {
                let (file, problems) = file::parse(name, text, ProcedureFile::read);
                report.extend(problems);
                if let Some(file) = file {
                    library.add(file, &mut report);
                }
            }
        }
        (library, report)
    }

    fn add_states(&mut self, states: Vec<StateRow>) {
        for state in states {
            let name = state.name.value.0;
            let place = self.states.get(&name).map_or(self.states.len(), |s| s.place);
            self.states.insert(name, StateMeaning { means: state.means.0, initial: state.initial, place });
        }
    }

    fn add(&mut self, file: ProcedureFile, report: &mut Report) {
        self.add_states(file.state);
        let mut ids: Vec<String> = Vec::new();
        let shared = file.id.is_none();
        for row in file.operation {
            let id = row.id.0.clone();
            if ids.contains(&id) {
                report.push(
                    Diagnostic::error("P001", format!("two operations are called \"{id}\""))
                        .at(Some(row.id.span.clone()))
                        .key(row.id.key.clone())
                        .expected("an id used once")
                        .example(format!("id = \"{id}-2\"")),
                );
                continue;
            }
            ids.push(id.clone());
            if row.each_component && !shared {
                report.push(
                    Diagnostic::error("P090", format!("\"{id}\" is done for each component anyway"))
                        .at(Some(row.id.span.clone()))
                        .key(row.id.key.clone())
                        .expected("each_component in the file of the shared operations only")
                        .example("no each_component here"),
                );
            }
            let merged = shared && !row.each_component;
            self.operations.insert(id, Operation { row, shared: merged });
        }
        let Some(id) = file.id else {
            self.shared.extend(ids);
            return;
        };
        let procedure = Procedure {
            title: file.title.map_or_else(|| id.0.clone(), |t| t.0),
            applies_to: file.applies_to,
            scope: file.scope,
            done: file.done,
            uses: file.uses,
            includes: file.includes,
            figures: file.figures,
            operations: ids,
            id: id.0.clone(),
        };
        self.procedures.insert(id.value.0, procedure);
    }

    /// Operation ids of a procedure, its own and included ones first, shared
    /// ones behind, each once.
    #[must_use]
    pub fn operations_of(&self, procedure: &str) -> Vec<String> {
        let mut found = Vec::new();
        let mut seen = BTreeSet::new();
        self.collect(procedure, &mut found, &mut seen);
        found
    }

    /// The file of the shop's own an operation comes from; none if it ships with the program.
    #[must_use]
    pub fn own_file(&self, operation: &str) -> Option<&str> {
        let file = self.operations.get(operation)?.row.id.span.file.as_str();
        (!file.starts_with(embedded::FOLDER)).then_some(file)
    }

    /// The kind of the reading a name means in this operation: its own, or
    /// `operation.reading` of another.
    #[must_use]
    pub fn kind_of(&self, row: &OperationRow, name: &str) -> Option<ReadingKind> {
        super::levels::find(&self.operations, row, name)
    }

    fn collect(&self, id: &str, found: &mut Vec<String>, seen: &mut BTreeSet<String>) {
        let Some(procedure) = self.procedures.get(id) else { return };
        if !seen.insert(id.to_owned()) {
            return;
        }
        for operation in procedure.uses.iter().map(|u| &u.0).chain(&procedure.operations) {
            if self.operations.contains_key(operation) && !found.contains(operation) {
                found.push(operation.clone());
            }
        }
        for included in &procedure.includes {
            self.collect(&included.0, found, seen);
        }
    }

    fn check(&self, report: &mut Report) {
        super::levels::check(&self.operations, report);
        super::shows::check(&self.operations, report);
        for operation in self.operations.values() {
            self.check_states(&operation.row, report);
            check_texts(&operation.row, report);
        }
        for procedure in self.procedures.values() {
            for kind in procedure.applies_to.iter().filter(|k| !Component::KINDS.contains(&&*k.0)) {
                report.push(unknown(kind, "P010", "kind of component", Component::KINDS.iter().copied()));
            }
            for used in &procedure.uses {
                if !self.operations.contains_key(&used.0) {
                    report.push(unknown(
                        used,
                        "P004",
                        "shared operation",
                        self.shared.iter().map(String::as_str),
                    ));
                }
            }
            for included in &procedure.includes {
                if !self.procedures.contains_key(&included.0) {
                    let names = self.procedures.keys().map(String::as_str);
                    report.push(unknown(included, "P005", "procedure", names));
                }
            }
            for figure in &procedure.figures {
                if catalogue::find(Scope::Component, figure).is_none()
                    && catalogue::find(Scope::Side, figure).is_none()
                {
                    let names = catalogue::names(Scope::Component).chain(catalogue::names(Scope::Side));
                    report.push(
                        unknown_word(&figure.value, "P006", "job figure", names)
                            .at(Some(figure.span.clone()))
                            .key(figure.key.clone()),
                    );
                }
            }
            for text in procedure.scope.iter().chain(&procedure.done) {
                check_text(text, false, report);
            }
            self.check_reach(procedure, report);
        }
    }

    fn check_states(&self, row: &OperationRow, report: &mut Report) {
        let all = [&row.requires, &row.provides, &row.clears, &row.forbids];
        for state in all.into_iter().flatten() {
            if !self.states.contains_key(&state.0) {
                report.push(unknown(state, "P002", "state", self.states.keys().map(String::as_str)));
            }
        }
    }

    /// States an operation requires must be initial or provided by some
    /// operation of the same procedure; operations that can never have their
    /// turn are reported.
    fn check_reach(&self, procedure: &Procedure, report: &mut Report) {
        let ids = self.operations_of(&procedure.id);
        let rows: Vec<&OperationRow> =
            ids.iter().filter_map(|id| self.operations.get(id)).map(|o| &o.row).collect();
        let provided: BTreeSet<&str> = rows.iter().flat_map(|r| &r.provides).map(|s| &*s.0).collect();
        for row in &rows {
            for state in &row.requires {
                let initial = self.states.get(&state.0).is_none_or(|s| s.initial);
                if !initial && !provided.contains(&*state.0) {
                    report.push(
                        Diagnostic::error(
                            "P003",
                            format!(
                                "\"{}\" needs {}, which nothing in \"{}\" provides",
                                row.id.value, state.value, procedure.id
                            ),
                        )
                        .at(Some(state.span.clone()))
                        .key(state.key.clone())
                        .expected("a state that is initial or provided by an operation of the procedure")
                        .example(format!("provides = [\"{}\"]", state.value)),
                    );
                }
            }
        }
        let mut reached: BTreeSet<&str> =
            self.states.iter().filter(|(_, s)| s.initial).map(|(n, _)| n.as_str()).collect();
        let mut waiting = rows;
        loop {
            let before = waiting.len();
            waiting.retain(|row| {
                let ready = row.requires.iter().all(|s| reached.contains(&*s.0));
                if ready {
                    reached.extend(row.provides.iter().map(|s| &*s.0));
                }
                !ready
            });
            if waiting.len() == before {
                break;
            }
        }
        for row in waiting {
            report.push(
                Diagnostic::error(
                    "P008",
                    format!("\"{}\" can never have its turn in \"{}\"", row.id.value, procedure.id),
                )
                .at(Some(row.id.span.clone()))
                .key(row.id.key.clone())
                .expected("required states that can all be reached")
                .example("requires = [\"unit.received\"]"),
            );
        }
    }
}

fn unknown<'a>(
    id: &Located<Id>,
    code: &'static str,
    what: &str,
    names: impl Iterator<Item = &'a str>,
) -> Diagnostic {
    unknown_word(&id.0, code, what, names).at(Some(id.span.clone())).key(id.key.clone())
}

fn unknown_word<'a>(
    word: &str,
    code: &'static str,
    what: &str,
    names: impl Iterator<Item = &'a str>,
) -> Diagnostic {
    let mut problem = Diagnostic::error(code, format!("there is no {what} \"{word}\""))
        .expected(format!("a {what} the library knows"));
    if let Some(near) = nearest(word, names) {
        problem = problem.help(format!("did you mean \"{near}\"?")).example(format!("\"{near}\""));
    }
    problem
}

fn check_text(text: &Located<Text>, expression: bool, report: &mut Report) {
    for complaint in text::complaints(&text.value, expression) {
        report.push(
            Diagnostic::error("P007", complaint)
                .at(Some(text.span.clone()))
                .key(text.key.clone())
                .expected("names the figure catalogue and the context know")
                .example("{{ f.lift }}"),
        );
    }
}

/// A reading replaces a value the job has, of its own kind.
fn check_replaces(row: &ReadingRow, report: &mut Report) {
    let Some(name) = &row.replaces else { return };
    let names = measured::PLACES.iter().map(|p| p.name);
    match measured::find(&name.value) {
        None => report.push(
            unknown_word(&name.value, "P011", "value of a job a reading may replace", names)
                .at(Some(name.span.clone()))
                .key(name.key.clone()),
        ),
        Some(place) if place.kind.word() != row.kind.word() => report.push(
            Diagnostic::error("P016", format!("{} is {}, not {}", place.name, place.kind.word(), row.kind))
                .at(Some(name.span.clone()))
                .key(name.key.clone())
                .expected(format!("a reading of kind \"{}\"", place.kind.word()))
                .example(format!("kind = \"{}\"", place.kind.word())),
        ),
        Some(_) => {}
    }
}

fn check_texts(row: &OperationRow, report: &mut Report) {
    let mut texts: Vec<(&Located<Text>, bool)> = vec![(&row.title, false)];
    texts.extend(row.when.iter().map(|w| (w, true)));
    texts.extend(row.qualification.iter().map(|t| (t, false)));
    texts.extend(row.tools.iter().chain(&row.materials).map(|t| (t, false)));
    for caution in row.caution.iter().chain(row.step.iter().flat_map(|s| &s.caution)) {
        texts.extend([(&caution.hazard, false), (&caution.consequence, false), (&caution.avoid, false)]);
    }
    for step in &row.step {
        texts.push((&step.text, false));
        texts.extend(step.when.iter().map(|w| (w, true)));
        texts.extend(step.derived.iter().map(|d| (&d.label, false)));
        let shown = step.written().filter_map(|r| r.shows.as_ref());
        let shown = shown.chain(step.derived.iter().filter_map(|d| d.shows.as_ref()));
        texts.extend(shown.map(|shows| (&shows.row, false)));
        for reading in step.written() {
            check_replaces(reading, report);
            texts.push((&reading.label, false));
            texts.extend(reading.instrument.iter().map(|t| (t, false)));
            for choice in &reading.choices {
                texts.extend(choice.unlike.iter().chain(&choice.when).map(|w| (w, true)));
                texts.extend(choice.test.iter().map(|t| (t, false)));
            }
        }
    }
    for point in &row.point {
        texts.extend([(&point.what, false), (&point.meaning, false)]);
    }
    for (text, expression) in texts {
        check_text(text, expression, report);
    }
}
