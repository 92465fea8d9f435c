//! Safety rules, checked on a found route.
//!
//! A rule looks at the route and reports; it never changes it. Each has an id,
//! a reason, a way to satisfy it and a source. Shops add rules as data
//! ([`data::DataRule`]). A broken rule is an error until somebody waives it by
//! name ([`waiver::Waiver`]); waived findings are listed, never hidden.

mod as_found_first;
mod cut_hold;
pub mod data;
mod hold_order;
mod hot_work;
pub mod parts;
mod refit;
mod torque_last;
mod torque_recorded;
pub mod view;
pub mod waiver;
mod weld_holds;
mod weld_inspector;

use crate::diagnostic::{Diagnostic, Report, Severity};
use crate::routing::problem::Problem;
use crate::source::Source;
use data::DataRule;
use view::View;
use waiver::Waiver;

/// A built-in rule.
#[derive(Debug)]
pub struct Rule {
    /// Diagnostic code.
    pub code: &'static str,
    /// Stable id, kebab-case.
    pub id: &'static str,
    /// What it asks, one line.
    pub title: &'static str,
    /// Printed as help where it is broken.
    pub reason: &'static str,
    /// How to satisfy it.
    pub satisfy: &'static str,
    /// Where it comes from.
    pub source: Source,
    /// How bad a broken one is.
    pub severity: Severity,
    /// How it is checked.
    pub check: Check,
}

/// How a rule is checked.
#[derive(Debug, Clone, Copy)]
pub enum Check {
    /// By conditions written as data.
    Data(fn() -> DataRule),
    /// By code: the number of things looked at, and where it is broken.
    Code(fn(&View<'_>) -> (usize, Vec<Hit>)),
}

/// One place where a rule is broken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hit {
    /// Its place in the problem, whatever its place in the route.
    pub operation: usize,
    /// What is wrong there.
    pub message: String,
}

impl Hit {
    /// `operation` is its place in the problem, `message` what is wrong there.
    #[must_use]
    pub const fn at(operation: usize, message: String) -> Self {
        Self { operation, message }
    }
}

/// Every built-in rule.
pub static RULES: &[&Rule] = &[
    &weld_holds::RULE,
    &weld_inspector::RULE,
    &cut_hold::RULE,
    &as_found_first::RULE,
    &torque_recorded::RULE,
    &torque_last::RULE,
    &refit::RULE,
    &hold_order::RULE,
    &hot_work::FUEL,
    &hot_work::BRAKE_LINE,
    &hot_work::WIRING,
    &hot_work::BEARINGS,
    &hot_work::SEALS,
    &hot_work::TYRE,
];

/// Code of every rule a shop adds.
pub const SHOP_RULE: &str = "R150";

/// A broken rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// Id of the rule.
    pub rule: String,
    /// Its diagnostic code.
    pub code: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// Key of the operation.
    pub operation: Option<String>,
    /// Library id of the operation.
    pub operation_id: Option<String>,
    /// What is wrong.
    pub message: String,
    /// Why the rule exists.
    pub reason: String,
    /// How to satisfy it.
    pub satisfy: String,
    /// Where the rule comes from.
    pub source: String,
}

impl Finding {
    /// As a diagnostic.
    #[must_use]
    pub fn diagnostic(&self) -> Diagnostic {
        let new = if self.severity == Severity::Error { Diagnostic::error } else { Diagnostic::warning };
        let mut d = new(self.code, format!("{} (rule `{}`)", self.message, self.rule))
            .key(self.operation.clone().unwrap_or_default())
            .expected(self.satisfy.clone())
            .help(self.reason.clone());
        if !self.source.is_empty() {
            d = d.help(format!("Source: {}.", self.source));
        }
        d
    }
}

/// A finding somebody has taken on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waived {
    /// What the rule has against the route.
    pub finding: Finding,
    /// Who, why and when.
    pub waiver: Waiver,
}

/// How much a rule had to look at. A rule that found nothing to look at proves
/// nothing about the job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tally {
    /// Id of the rule.
    pub rule: String,
    /// Things it looked at.
    pub looked_at: usize,
    /// Places where it is broken, waived ones included.
    pub broken: usize,
}

/// What the rules say about a route.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Audit {
    /// Broken rules.
    pub broken: Vec<Finding>,
    /// Broken rules somebody has taken on.
    pub waived: Vec<Waived>,
    /// Problems of the waivers and shop rules themselves.
    pub problems: Vec<Diagnostic>,
    /// Per rule, built-in ones first.
    pub tallies: Vec<Tally>,
}

impl Audit {
    /// Everything that is not waived, as diagnostics.
    #[must_use]
    pub fn report(&self) -> Report {
        let mut report = Report::new();
        self.broken.iter().for_each(|f| report.push(f.diagnostic()));
        self.problems.iter().cloned().for_each(|p| report.push(p));
        report
    }
}

/// Checks a route against the built-in rules and those of the shop.
#[must_use]
pub fn check(problem: &Problem, order: &[usize], shop: &[DataRule], waivers: &[Waiver]) -> Audit {
    let view = View::new(problem, order);
    let mut audit = Audit::default();
    let mut findings = Vec::new();
    for rule in RULES {
        let (looked_at, hits) = match rule.check {
            Check::Data(data) => data().check(&view),
            Check::Code(code) => code(&view),
        };
        audit.tallies.push(Tally { rule: rule.id.to_owned(), looked_at, broken: hits.len() });
        findings.extend(hits.into_iter().map(|hit| {
            let blank = Finding {
                rule: rule.id.to_owned(),
                code: rule.code,
                severity: rule.severity,
                operation: None,
                operation_id: None,
                message: String::new(),
                reason: rule.reason.to_owned(),
                satisfy: rule.satisfy.to_owned(),
                source: rule.source.to_string(),
            };
            located(problem, hit, blank)
        }));
    }
    for (i, rule) in shop.iter().enumerate() {
        let taken = RULES.iter().any(|r| r.id == rule.id) || shop[..i].iter().any(|r| r.id == rule.id);
        let flaw = rule.flaw().or_else(|| taken.then(|| "another rule has this id".to_owned()));
        if let Some(flaw) = flaw {
            let message = format!("shop rule `{}` can't be used: {flaw}", rule.id);
            audit.problems.push(Diagnostic::error("R192", message).key(format!("rule.{}", rule.id)));
            continue;
        }
        let (looked_at, hits) = rule.check(&view);
        audit.tallies.push(Tally { rule: rule.id.clone(), looked_at, broken: hits.len() });
        findings.extend(hits.into_iter().map(|hit| {
            let blank = Finding {
                rule: rule.id.clone(),
                code: SHOP_RULE,
                severity: Severity::Error,
                operation: None,
                operation_id: None,
                message: String::new(),
                reason: rule.reason.clone(),
                satisfy: rule.satisfy.clone(),
                source: rule.source.clone(),
            };
            located(problem, hit, blank)
        }));
    }
    apply(waivers, findings, &mut audit);
    audit
}

fn located(problem: &Problem, hit: Hit, blank: Finding) -> Finding {
    let op = problem.operations().get(hit.operation);
    Finding {
        operation: op.map(|o| o.key.clone()),
        operation_id: op.map(|o| o.id.clone()),
        message: hit.message,
        ..blank
    }
}

fn apply(waivers: &[Waiver], findings: Vec<Finding>, audit: &mut Audit) {
    let mut used = vec![false; waivers.len()];
    for finding in findings {
        let covering = waivers.iter().position(|w| w.flaw().is_none() && w.covers(&finding));
        match covering {
            Some(i) => {
                used[i] = true;
                audit.waived.push(Waived { finding, waiver: waivers[i].clone() });
            }
            None => audit.broken.push(finding),
        }
    }
    for (waiver, used) in waivers.iter().zip(used) {
        if let Some(flaw) = waiver.flaw() {
            audit.problems.push(flaw);
        } else if !used {
            let message = match &waiver.operation {
                Some(op) => format!("the waiver of `{}` for `{op}` waives nothing", waiver.rule),
                None => format!("the waiver of `{}` waives nothing", waiver.rule),
            };
            let nearest = crate::diagnostic::nearest(&waiver.rule, RULES.iter().map(|r| r.id));
            let mut problem = Diagnostic::warning("R190", message).key(format!("waiver.{}", waiver.rule));
            if let Some(near) = nearest.filter(|n| *n != waiver.rule) {
                problem = problem.help(format!("Did you mean `{near}`?"));
            }
            audit.problems.push(problem);
        }
    }
}
