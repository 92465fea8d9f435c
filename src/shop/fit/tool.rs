//! Torques and readings against the tools of a book: range, calibration,
//! uncertainty against tolerance.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::{Finding, Task, ToolFit, Topic, may, ordered, shown};
use crate::figure::metrology::decision::Limits;
use crate::quantity::{Dimensioned, Form, Number, Quantity, Style, Torque, unit};
use crate::shop::Book;
use crate::shop::model::{Instrument, Measures, TorqueTool};
use crate::source::Source;
use crate::term::instrument::asked_for;
use crate::term::{Units, Verdict, counted};

const RANGE: Source =
    Source::practice("tools are used from 20 to 100 % of capacity unless the certificate says otherwise");
const DECISION: Source =
    Source::standard("ISO 14253-1:2013", "5.2, limits reduced by the uncertainty").from_memory();

/// Tolerance over expanded uncertainty that is enough without a second look.
/// Source: common practice, four to one.
const ENOUGH: f64 = 4.0;

/// A torque somebody has to tighten to.
#[derive(Debug, Clone, PartialEq)]
pub struct TorqueNeed {
    /// Id of the fastener group.
    pub id: String,
    /// Final torque.
    pub torque: Torque,
    /// Tolerance each way.
    pub tolerance: Option<Torque>,
    /// Torques of the stages before.
    pub stages: Vec<Torque>,
    /// Id of the wrench the job names.
    pub named: Option<String>,
    /// Units that stand first where it is told.
    pub units: Units,
}

/// A reading somebody has to take.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingNeed {
    /// Instrument as the procedure names it, lower case.
    pub instrument: String,
    /// What is measured.
    pub measures: Measures,
    /// Values met: target or limits, as far as known.
    pub values: Vec<Quantity>,
    /// Tolerance each way, in SI units; none for a value only recorded or
    /// limited on one side.
    pub tolerance: Option<f64>,
    /// What it is, for messages.
    pub label: String,
    /// Units that stand first where it is told.
    pub units: Units,
}

/// How well one tool does: reasons and remarks, and tolerance over uncertainty.
struct Trial {
    id: String,
    findings: Vec<Finding>,
    ratio: Option<f64>,
}

/// Tolerance each way against an expanded uncertainty, by the decision rule:
/// findings, and the ratio. A value on target has to come out as conform.
fn decide(tolerance: f64, expanded: f64) -> (Vec<Finding>, Option<f64>) {
    let limits = Limits { lower: Some(-tolerance), upper: Some(tolerance) };
    let ratio = Some(tolerance / expanded).filter(|r| r.is_finite());
    let mut findings = Vec::new();
    if limits.verdict(0.0, expanded) != Verdict::Conform {
        findings.push(Finding::no("its uncertainty takes up the whole tolerance").by(DECISION));
    } else if ratio.is_some_and(|r| r < ENOUGH * (1.0 - 1e-9)) {
        findings
            .push(Finding::remark("ratio under 4: keep inside the limits by its uncertainty").by(DECISION));
    }
    (findings, ratio)
}

fn dates(
    (calibrated, due): (Option<NaiveDate>, NaiveDate),
    out: Option<&str>,
    on: NaiveDate,
) -> Vec<Finding> {
    let mut found = Vec::new();
    if let Some(calibrated) = calibrated.filter(|c| *c > on) {
        found.push(
            Finding::no(format!("its calibration is dated {calibrated}, after the day"))
                .about(Topic::Calibration),
        );
    }
    if let Some(reason) = out {
        found.push(Finding::no(format!("out of service: {reason}")));
    }
    if due < on {
        found.push(Finding::no(format!("calibration was due on {due}")).about(Topic::Calibration));
    }
    found
}

/// The fit of all trials: tools that will do, the best ratio first.
fn conclude(task: Task, wanted: String, mut trials: Vec<Trial>) -> ToolFit {
    trials.sort_by(|a, b| {
        let key = |t: &Trial| (!may(&t.findings), -t.ratio.unwrap_or(0.0));
        let (a, b) = (key(a), key(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    let able: Vec<&Trial> = trials.iter().filter(|t| may(&t.findings)).collect();
    let style = Style::single(Form::decimal(unit::ONE, 0.1)).down();
    let ratio = able.first().and_then(|t| t.ratio).map(|r| style.shop(Number::from_si(r).into()));
    let tools = able.iter().map(|t| t.id.clone()).collect();
    let best = able.first().map(|t| t.id.clone());
    let findings = trials
        .iter()
        .filter(|t| !may(&t.findings) || best.as_ref() == Some(&t.id))
        .flat_map(|t| {
            // Remarks matter on the tool that is taken, reasons on the others.
            let told = t.findings.iter().filter(|f| f.refuses || best.as_ref() == Some(&t.id));
            told.map(|f| Finding { text: format!("{}: {}", t.id, f.text), ..f.clone() })
        })
        .collect();
    ToolFit { task, wanted, tools, ratio, findings }
}

/// A tool for every torque.
#[must_use]
pub fn torques(book: &Book, needs: &[TorqueNeed], on: NaiveDate) -> Vec<ToolFit> {
    needs.iter().map(|n| torque(book, n, on)).collect()
}

fn torque(book: &Book, need: &TorqueNeed, on: NaiveDate) -> ToolFit {
    let trials = book.torque_tool.iter().map(|t| try_torque_tool(book, t, need, on)).collect();
    let fine = Style::pair(Form::decimal(unit::LBF_FT, 0.1), Form::decimal(unit::N_M, 0.1));
    let fine = ordered(need.units, fine);
    let spread = need.tolerance.map_or(String::new(), |t| format!(" ± {}", fine.down().both(t.into())));
    let wanted = format!("{}{spread}", fine.both(need.torque.into()));
    let mut fit = conclude(Task::Torque(need.id.clone()), wanted, trials);
    if let Some(named) = &need.named {
        named_wrench(book, named, &mut fit);
    }
    fit
}

/// A wrench the job names goes first if it will do, and is spoken of if not.
fn named_wrench(book: &Book, id: &str, fit: &mut ToolFit) {
    let told = |text: String| Finding::remark(text).about(Topic::NamedTool);
    if !book.torque_tool.iter().any(|t| *t.id.0 == *id) {
        fit.findings.push(told(format!("the job names {id}, which is not in the shop book")));
    } else if let Some(place) = fit.tools.iter().position(|t| t == id) {
        let tool = fit.tools.remove(place);
        fit.tools.insert(0, tool);
    } else {
        fit.findings.push(told(format!("the job names {id}, which will not do")));
    }
}

fn try_torque_tool(book: &Book, tool: &TorqueTool, need: &TorqueNeed, on: NaiveDate) -> Trial {
    let mut findings =
        dates((tool.calibrated.as_ref().map(|c| c.0), tool.due.0), tool.out_of_service.as_deref(), on);
    let (lowest, capacity) = tool.range();
    let fits = |t: Torque| t.si() >= lowest.si() * (1.0 - 1e-9) && t.si() <= capacity.si() * (1.0 + 1e-9);
    let show = |t: Torque| shown(need.units, t);
    if fits(need.torque) {
        for stage in need.stages.iter().filter(|s| !fits(**s)) {
            let reaches = |t: &&TorqueTool| {
                let (low, high) = t.range();
                let usable =
                    dates((t.calibrated.as_ref().map(|c| c.0), t.due.0), t.out_of_service.as_deref(), on);
                may(&usable)
                    && low.si() <= stage.si() * (1.0 + 1e-9)
                    && stage.si() <= high.si() * (1.0 + 1e-9)
            };
            let below = format!("the stage at {} is below its {}", show(*stage), show(lowest));
            findings.push(match book.torque_tool.iter().find(reaches) {
                Some(other) => Finding::remark(format!("{below}: {} for that one", other.id.value)),
                None => {
                    Finding::remark(format!("{below}, and no tool of the book reaches it: it is not proved"))
                }
            });
        }
    } else {
        findings.push(
            Finding::no(format!(
                "{} is outside its {} to {}",
                show(need.torque),
                show(lowest),
                show(capacity)
            ))
            .by(RANGE)
            .about(Topic::Range),
        );
    }
    let mut ratio = None;
    if let Some(tolerance) = need.tolerance.filter(|t| t.si() > 0.0) {
        let (more, found) = decide(tolerance.si(), 2.0 * tool.spread().at(need.torque.si()));
        findings.extend(more);
        ratio = found;
    }
    Trial { id: tool.id.value.to_string(), findings, ratio }
}

/// A tool for every kind of reading. Instruments without a number to prove, such
/// as a lamp, are left to the procedure.
#[must_use]
pub fn readings(book: &Book, needs: Vec<ReadingNeed>, on: NaiveDate) -> Vec<ToolFit> {
    let mut groups: BTreeMap<(String, &'static str), Vec<ReadingNeed>> = BTreeMap::new();
    for one in needs {
        groups.entry((one.instrument.clone(), one.measures.word())).or_default().push(one);
    }
    groups.into_iter().filter_map(|((instrument, _), wants)| reading(book, &instrument, &wants, on)).collect()
}

fn reading(book: &Book, instrument: &str, wants: &[ReadingNeed], on: NaiveDate) -> Option<ToolFit> {
    let (measures, units) = wants.first().map(|w| (w.measures, w.units))?;
    let fits = |i: &&Instrument| i.measures.value == measures && asked_for(&i.kind.value, instrument);
    let owned: Vec<&Instrument> = book.instrument.iter().filter(fits).collect();
    let tightest = wants
        .iter()
        .filter(|w| w.tolerance.is_some())
        .min_by(|a, b| a.tolerance.unwrap_or(0.0).total_cmp(&b.tolerance.unwrap_or(0.0)));
    if owned.is_empty() && tightest.is_none() {
        return None;
    }
    let style = ordered(units, Style::of(measures.difference()));
    // A tolerance of a thousandth must not read as none.
    let amount = |si: f64| {
        let room = Quantity::from_si(measures.difference(), si);
        style.near_enough(room).down().both(room)
    };
    let words = match tightest {
        Some(one) => format!(
            "{}, the tightest ± {}: {}",
            counted(wants.len(), "reading", "readings"),
            amount(one.tolerance.unwrap_or(0.0)),
            one.label
        ),
        None => format!("{} without a two-sided tolerance", counted(wants.len(), "reading", "readings")),
    };
    let trials =
        owned.iter().map(|i| try_instrument(i, wants, tightest.and_then(|t| t.tolerance), on)).collect();
    let mut fit = conclude(Task::Readings(instrument.to_owned()), words, trials);
    if owned.is_empty() {
        fit.findings.push(Finding::no(format!("no {instrument} for {measures} is in the shop book")));
    }
    Some(fit)
}

fn try_instrument(tool: &Instrument, wants: &[ReadingNeed], tightest: Option<f64>, on: NaiveDate) -> Trial {
    let mut findings =
        dates((tool.calibrated.as_ref().map(|c| c.0), tool.due.0), tool.out_of_service.as_deref(), on);
    let (low, high) = tool.range();
    let units = wants.first().map_or(Units::Inch, |w| w.units);
    let style = ordered(units, Style::of(tool.measures.value.kind()));
    let outside = wants.iter().flat_map(|w| w.values.iter().map(move |v| (v, &w.label))).find(|(v, _)| {
        // The sign of a length says which way; no tape is asked for less than nothing.
        let read = if tool.measures.value == Measures::Length { v.si().abs() } else { v.si() };
        let room = 1e-9 * v.si().abs();
        low.is_some_and(|l| read < l.si() - room) || high.is_some_and(|h| read > h.si() + room)
    });
    if let Some((value, label)) = outside {
        // A few thousandths must not read as none, nor the end of a feeler as a fraction near it.
        let said = |q: Quantity| style.fine_enough(q).both(q);
        let end = |q: Option<Quantity>| q.map_or_else(|| "any".to_owned(), said);
        let text = format!("{} ({label}) is outside its {} to {}", said(*value), end(low), end(high));
        let finding = Finding::no(text);
        findings.push(if tool.capacity.is_some() { finding.by(RANGE) } else { finding });
    }
    let mut ratio = None;
    if let (Some(tolerance), Some(spread)) = (tightest, tool.spread()) {
        let total = 2.0 * spread.fixed;
        let (more, found) = decide(tolerance, total);
        findings.extend(more);
        ratio = found;
    }
    Trial { id: tool.id.value.to_string(), findings, ratio }
}
