//! The table a check prints and the head page reads: joints with the welders,
//! procedures and machines for them, and tools with what they are for.

use chrono::NaiveDate;

use super::{Finding, Need, machine, may, ranges, welder, wps};
use crate::quantity::Dimensioned;
use crate::shop::model::Book;
use crate::source::Source;

/// State of a joint's procedure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Procedure {
    /// The job names none, or one that does not fit: to be qualified.
    ToBeQualified,
    /// The job names one the book does not have.
    Unknown(String),
    /// The job names this one.
    Named(String),
}

/// One welder for one joint.
#[derive(Debug, Clone, PartialEq)]
pub struct WelderFit {
    /// Id of the person in the shop book.
    pub id: String,
    /// Printed name.
    pub name: String,
    /// Reasons of a no, and remarks.
    pub findings: Vec<Finding>,
    /// Tests relied on.
    pub tests: Vec<String>,
    /// Last day they hold.
    pub until: Option<NaiveDate>,
}

/// One machine for one joint.
#[derive(Debug, Clone, PartialEq)]
pub struct MachineFit {
    /// Id of the machine in the shop book.
    pub id: String,
    /// Reasons of a no, and remarks.
    pub findings: Vec<Finding>,
}

/// One joint against the procedures, people and machines of the book.
#[derive(Debug, Clone, PartialEq)]
pub struct JointFit {
    /// Id of the joint in the job.
    pub id: String,
    /// State of its procedure.
    pub procedure: Procedure,
    /// Procedure as printed, with revision and support.
    pub label: Option<String>,
    /// Mismatches of procedure and joint.
    pub findings: Vec<Finding>,
    /// Every welder of the book.
    pub welders: Vec<WelderFit>,
    /// Every machine of the book.
    pub machines: Vec<MachineFit>,
    /// Procedures of the book that would fit, where none is named or the named
    /// one does not.
    pub candidates: Vec<String>,
    /// What traceability still lacks.
    pub traceability: Vec<Finding>,
}

impl JointFit {
    /// Whether the procedure covers the joint.
    #[must_use]
    pub fn covered(&self) -> bool {
        matches!(self.procedure, Procedure::Named(_)) && may(&self.findings)
    }

    /// Welders who may, whatever the machine.
    pub fn able(&self) -> impl Iterator<Item = &WelderFit> {
        self.welders.iter().filter(|w| may(&w.findings))
    }

    /// Machines that may be used, whoever welds.
    pub fn usable(&self) -> impl Iterator<Item = &MachineFit> {
        self.machines.iter().filter(|m| may(&m.findings))
    }

    /// The rows of the table: each welder with each machine.
    #[must_use]
    pub fn rows(&self) -> Vec<Row> {
        let procedure = match &self.procedure {
            Procedure::Named(id) | Procedure::Unknown(id) => id.clone(),
            Procedure::ToBeQualified => "none".to_owned(),
        };
        let own = match &self.procedure {
            Procedure::ToBeQualified => vec!["procedure to be qualified".to_owned()],
            Procedure::Unknown(id) => vec![format!("{id} is not in the shop book")],
            Procedure::Named(_) => reasons(&self.findings, ""),
        };
        let mut rows = Vec::new();
        for welder in &self.welders {
            for machine in &self.machines {
                let mut why = own.clone();
                why.extend(reasons(&welder.findings, &welder.id));
                why.extend(reasons(&machine.findings, &machine.id));
                rows.push(Row {
                    joint: self.id.clone(),
                    procedure: procedure.clone(),
                    welder: welder.id.clone(),
                    machine: machine.id.clone(),
                    may: why.is_empty(),
                    why,
                });
            }
        }
        rows
    }
}

fn reasons(findings: &[Finding], who: &str) -> Vec<String> {
    findings
        .iter()
        .filter(|f| f.refuses)
        .map(|f| if who.is_empty() { f.text.clone() } else { format!("{who} {}", f.text) })
        .collect()
}

/// One row of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Id of the joint in the job.
    pub joint: String,
    /// Id of the welding procedure; `none` where one has still to be qualified.
    pub procedure: String,
    /// Id of the welder.
    pub welder: String,
    /// Id of the machine.
    pub machine: String,
    /// Yes or no.
    pub may: bool,
    /// Every reason of a no.
    pub why: Vec<String>,
}

/// What a tool is needed for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Task {
    /// A torque of this fastener group.
    Torque(String),
    /// Readings with this instrument, by its kind.
    Readings(String),
}

/// One torque or kind of reading, and the tool for it.
#[derive(Debug, Clone, PartialEq)]
pub struct ToolFit {
    /// What for.
    pub task: Task,
    /// What is wanted of the tool, in words.
    pub wanted: String,
    /// Ids of tools that will do, best first.
    pub tools: Vec<String>,
    /// The best tool's uncertainty against the tolerance, in words.
    pub ratio: Option<String>,
    /// Why each other tool will not do; remarks on the chosen one.
    pub findings: Vec<Finding>,
}

/// The whole comparison of a job with a book.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Day it holds for.
    pub on: NaiveDate,
    /// Every joint of the job.
    pub joints: Vec<JointFit>,
    /// Every torque and kind of reading that wants a tool.
    pub tools: Vec<ToolFit>,
    /// Rules used, each once.
    pub sources: Vec<Source>,
}

/// Compares one joint with a book. `named` is the procedure the job names.
#[must_use]
pub fn fit(book: &Book, need: &Need, named: Option<&str>, on: NaiveDate) -> (JointFit, Vec<Source>) {
    let chosen = named.and_then(|id| book.wps(id));
    let procedure = match (named, chosen) {
        (None, _) => Procedure::ToBeQualified,
        (Some(id), None) => Procedure::Unknown(id.to_owned()),
        (Some(id), Some(_)) => Procedure::Named(id.to_owned()),
    };
    let findings = chosen.map_or_else(Vec::new, |w| wps(w, need, on));
    let limits = chosen.map(ranges);
    let mut sources: Vec<Source> = Vec::new();
    let mut welders = Vec::new();
    for person in book.welders() {
        let outcome = welder(book, person, chosen, need, on);
        sources.extend(outcome.sources.iter().copied());
        welders.push(WelderFit {
            id: person.id.value.to_string(),
            name: person.name.0.clone(),
            findings: outcome.findings,
            tests: outcome.tests,
            until: outcome.until,
        });
    }
    let machines: Vec<MachineFit> = book
        .machine
        .iter()
        .map(|m| MachineFit { id: m.id.value.to_string(), findings: machine(m, limits, need, on) })
        .collect();
    let candidates = if chosen.is_some() && may(&findings) {
        Vec::new()
    } else {
        let other = |id: &str| named != Some(id);
        // A preheat that the named procedure alone asks for is no need of the joint.
        let least = chosen.and_then(|w| w.preheat_min(need.thickest()));
        let asked = match (need.preheat_needed, least) {
            (Some(needed), Some(least)) if (needed.si() - least.si()).abs() < 0.5 => None,
            (needed, _) => needed,
        };
        let need = Need { preheat_needed: asked, ..need.clone() };
        book.wps
            .iter()
            .filter(|w| other(&w.id.0) && may(&wps(w, &need, on)))
            .map(|w| w.id.value.to_string())
            .collect()
    };
    let fit = JointFit {
        id: need.id.clone(),
        procedure,
        label: chosen.map(|w| format!("{}, {} {}", w.label(), w.support.value, w.record)),
        findings,
        welders,
        machines,
        candidates,
        traceability: traceability(book, need, on),
    };
    let all = fit
        .findings
        .iter()
        .chain(fit.welders.iter().flat_map(|w| &w.findings))
        .chain(fit.machines.iter().flat_map(|m| &m.findings));
    sources.extend(all.filter_map(|f| f.source));
    (fit, sources)
}

/// A traceable joint needs filler and metal with numbers in the book, a steering weld the filler
/// where the book has lots: none other is taken when it is written down.
fn traceability(book: &Book, need: &Need, on: NaiveDate) -> Vec<Finding> {
    use crate::reference::metal::squeezed;
    if !need.traceable && (!need.steering || book.lot.is_empty()) {
        return Vec::new();
    }
    let mut found = Vec::new();
    let steels = need.steels.iter().filter(|_| need.traceable).map(|(name, _)| ("metal", name));
    for (what, name) in need.filler.iter().map(|f| ("filler", f)).chain(steels) {
        let same: Vec<_> =
            book.lot.iter().filter(|l| squeezed(&l.designation.value) == squeezed(name)).collect();
        if same.is_empty() {
            found.push(Finding::no(format!(
                "no {what} lot of {name} is in the book; its number must be on record"
            )));
        } else if same.iter().all(|l| l.until.as_ref().is_some_and(|u| u.0 < on)) {
            found.push(Finding::no(format!("every {what} lot of {name} in the book has run out")));
        } else if same.iter().all(|l| l.certificate.is_none()) {
            found.push(Finding::remark(format!("no {what} lot of {name} in the book has a certificate")));
        }
    }
    found
}
