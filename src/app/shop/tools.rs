//! Torques and readings against the tools of the book: range, calibration,
//! uncertainty against tolerance.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::readings::{Wanted, wanted};
use crate::app::plan::Loaded;
use crate::figure::metrology::decision::{Decision, Ratio, Verdict};
use crate::figure::{Ask, Figure, Given, registry};
use crate::job::model::Fastener;
use crate::procedure::figures::Owner;
use crate::procedure::selection::Selection;
use crate::quantity::{Dimensioned, Form, Number, Percent, Quantity, Style, Torque, unit};
use crate::shop::Book;
use crate::shop::fit::{Finding, Task, ToolFit, may};
use crate::shop::model::{Instrument, TorqueTool};
use crate::source::Source;

const RANGE: Source =
    Source::practice("tools are used from 20 to 100 % of capacity unless the certificate says otherwise");
const DECISION: Source =
    Source::standard("ISO 14253-1:2013", "5.2, limits reduced by the uncertainty").from_memory();

/// How well one tool does: reasons and remarks, and tolerance over uncertainty.
struct Trial {
    id: String,
    findings: Vec<Finding>,
    ratio: Option<f64>,
}

fn figure<'a>(figures: &'a [Figure], id: &str) -> Option<&'a Figure> {
    figures.iter().find(|f| f.id == id)
}

/// Tolerance each way against an expanded uncertainty, by the decision rule:
/// findings, and the ratio.
fn decide(tolerance: f64, expanded: f64) -> (Vec<Finding>, Option<f64>) {
    let number = Number::from_si;
    let decided = Ask::<Decision<Number>>::new()
        .with(Decision::value, number(0.0))
        .with(Decision::lower, number(-tolerance))
        .with(Decision::upper, number(tolerance))
        .with(Decision::uncertainty, number(expanded))
        .answer();
    let conforms = decided.is_ok_and(|answer| answer.verdict.get() == Some(&Verdict::Conform));
    let ratios = Ask::<Ratio<Number>>::new()
        .with(Ratio::tolerance, number(tolerance))
        .with(Ratio::uncertainty, number(expanded))
        .answer()
        .ok();
    let ratio = ratios.as_ref().and_then(|answer| answer.ratio.get()).map(|ratio| ratio.si());
    let sufficient = ratios.as_ref().is_some_and(|answer| answer.sufficient.get() == Some(&true));
    let mut findings = Vec::new();
    if !conforms {
        findings.push(Finding::no("its uncertainty takes up the whole tolerance").by(DECISION));
    } else if !sufficient {
        findings
            .push(Finding::remark("ratio under 4: keep inside the limits by its uncertainty").by(DECISION));
    }
    (findings, ratio)
}

fn dates(due: NaiveDate, out: Option<&str>, on: NaiveDate) -> Vec<Finding> {
    let mut found = Vec::new();
    if let Some(reason) = out {
        found.push(Finding::no(format!("out of service: {reason}")));
    }
    if due < on {
        found.push(Finding::no(format!("calibration was due on {due}")));
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

/// A tool for every torque of the job.
pub(super) fn torques(loaded: &Loaded, book: &Book, on: NaiveDate) -> Vec<ToolFit> {
    loaded.job.fastener.iter().filter_map(|f| torque(loaded, book, f, on)).collect()
}

fn torque(loaded: &Loaded, book: &Book, fastener: &Fastener, on: NaiveDate) -> Option<ToolFit> {
    let owner = Owner::Fastener(fastener.id.value.0.clone());
    let get = |name: &str| loaded.figures.quantity::<Torque>(&owner, name);
    let torque = get("torque")?;
    let tolerance = get("torque_low").zip(get("torque_high")).map(|(low, high)| (high - low) / 2.0);
    let stages: Vec<Torque> = ["stage_1", "stage_2"].iter().filter_map(|s| get(s)).collect();
    let trials =
        book.torque_tool.iter().map(|t| try_torque_tool(t, torque, tolerance, &stages, on)).collect();
    let fine = Style::pair(Form::decimal(unit::LBF_FT, 0.1), Form::decimal(unit::N_M, 0.1));
    let spread = tolerance.map_or(String::new(), |t| format!(" ± {}", fine.down().both(t.into())));
    let wanted = format!("{}{spread}", fine.both(torque.into()));
    let mut fit = conclude(Task::Torque(fastener.id.value.to_string()), wanted, trials);
    named_wrench(book, fastener, &mut fit);
    Some(fit)
}

/// A wrench the job names goes first if it will do, and is spoken of if not.
fn named_wrench(book: &Book, fastener: &Fastener, fit: &mut ToolFit) {
    let Some(named) = &fastener.wrench else { return };
    let id = named.split([',', ' ']).next().unwrap_or_default();
    if !book.torque_tool.iter().any(|t| *t.id.value.0 == *id) {
        fit.findings.push(Finding::remark(format!("the job names {id}, which is not in the shop book")));
    } else if let Some(place) = fit.tools.iter().position(|t| t == id) {
        let tool = fit.tools.remove(place);
        fit.tools.insert(0, tool);
    } else {
        fit.findings.push(Finding::remark(format!("the job names {id}, which will not do")));
    }
}

fn try_torque_tool(
    tool: &TorqueTool,
    torque: Torque,
    tolerance: Option<Torque>,
    stages: &[Torque],
    on: NaiveDate,
) -> Trial {
    let mut findings = dates(tool.due.value.0, tool.out_of_service.as_deref(), on);
    let capacity = tool.capacity.value.value;
    let mut given = Given::new();
    given.set("torque", torque).set("capacity", capacity).set("increment", tool.increment.value.value);
    given.set_some("tolerance", tolerance.filter(|t| t.si() > 0.0));
    match &tool.uncertainty {
        // A certificate covers the deviation: its standard uncertainty stands
        // in the place of a spread.
        Some(share) => {
            given.set("deviation", Percent::from_si(0.0));
            given.set("repeatability", torque * (share.value.value.si() / 2.0));
        }
        None => {
            given.set_some("deviation", tool.deviation.as_ref().map(|d| d.value.value));
        }
    }
    let Some(figures) = registry::find("wrench-choice").and_then(|f| f.reckon(&given).ok()) else {
        findings.push(Finding::no("can't be judged for this torque"));
        return Trial { id: tool.id.value.to_string(), findings, ratio: None };
    };
    // A certificate that starts elsewhere than at 20 % goes before that rule.
    let lowest = tool.least.as_ref().map_or(capacity * 0.2, |l| l.value.value);
    let fits = |t: Torque| t.si() >= lowest.si() * (1.0 - 1e-9) && t.si() <= capacity.si() * (1.0 + 1e-9);
    let show = |t: Torque| Style::of(crate::quantity::Kind::Torque).both(t.into());
    if fits(torque) {
        for stage in stages.iter().filter(|s| !fits(**s)) {
            findings.push(Finding::remark(format!(
                "the stage at {} is below its {}",
                show(*stage),
                show(lowest)
            )));
        }
    } else {
        findings.push(
            Finding::no(format!("{} is outside its {} to {}", show(torque), show(lowest), show(capacity)))
                .by(RANGE),
        );
    }
    let expanded = figure(&figures, "uncertainty").and_then(|f| f.value.quantity()).map(Quantity::si);
    let mut ratio = None;
    if let (Some(tolerance), Some(expanded)) = (tolerance.filter(|t| t.si() > 0.0), expanded) {
        let (more, found) = decide(tolerance.si(), expanded);
        findings.extend(more);
        ratio = found;
    }
    Trial { id: tool.id.value.to_string(), findings, ratio }
}

/// A tool for every kind of reading of the plan. Instruments without a number
/// to prove, such as a lamp, are left to the procedure.
pub(super) fn readings(
    loaded: &Loaded,
    selection: &Selection<'_>,
    book: &Book,
    on: NaiveDate,
) -> Vec<ToolFit> {
    let mut groups: BTreeMap<(String, &'static str), Vec<Wanted>> = BTreeMap::new();
    for one in wanted(&loaded.job, selection, &loaded.figures) {
        groups.entry((one.instrument.clone(), one.measures.word())).or_default().push(one);
    }
    groups.into_iter().filter_map(|((instrument, _), wants)| reading(book, &instrument, &wants, on)).collect()
}

fn reading(book: &Book, instrument: &str, wants: &[Wanted], on: NaiveDate) -> Option<ToolFit> {
    let measures = wants.first()?.measures;
    let fits =
        |i: &&Instrument| i.measures.value == measures && instrument.contains(&i.kind.value.to_lowercase());
    let owned: Vec<&Instrument> = book.instrument.iter().filter(fits).collect();
    let tightest = wants
        .iter()
        .filter(|w| w.tolerance.is_some())
        .min_by(|a, b| a.tolerance.unwrap_or(0.0).total_cmp(&b.tolerance.unwrap_or(0.0)));
    if owned.is_empty() && tightest.is_none() {
        return None;
    }
    let style = Style::of(measures.difference());
    let amount = |si: f64| style.down().both(Quantity::from_si(measures.difference(), si));
    let words = match tightest {
        Some(one) => format!(
            "{} readings, the tightest ± {}: {}",
            wants.len(),
            amount(one.tolerance.unwrap_or(0.0)),
            one.label
        ),
        None => format!("{} readings without a two-sided tolerance", wants.len()),
    };
    let trials =
        owned.iter().map(|i| try_instrument(i, wants, tightest.and_then(|t| t.tolerance), on)).collect();
    let mut fit = conclude(Task::Readings(instrument.to_owned()), words, trials);
    if owned.is_empty() {
        fit.findings.push(Finding::no(format!("no {instrument} for {measures} is in the shop book")));
    }
    Some(fit)
}

fn try_instrument(tool: &Instrument, wants: &[Wanted], tightest: Option<f64>, on: NaiveDate) -> Trial {
    let mut findings = dates(tool.due.value.0, tool.out_of_service.as_deref(), on);
    let (low, high) = tool.range();
    let style = Style::of(tool.measures.value.kind());
    let outside = wants.iter().flat_map(|w| w.values.iter().map(move |v| (v, &w.label))).find(|(v, _)| {
        let room = 1e-9 * v.si().abs();
        low.is_some_and(|l| v.si() < l.si() - room) || high.is_some_and(|h| v.si() > h.si() + room)
    });
    if let Some((value, label)) = outside {
        let end = |q: Option<Quantity>| q.map_or_else(|| "any".to_owned(), |q| style.both(q));
        let text = format!("{} ({label}) is outside its {} to {}", style.both(*value), end(low), end(high));
        let finding = Finding::no(text);
        findings.push(if tool.capacity.is_some() { finding.by(RANGE) } else { finding });
    }
    let mut ratio = None;
    if let (Some(tolerance), Some(expanded), Some(step)) = (tightest, tool.expanded(), tool.step()) {
        // The step is read on top of the certificate: U = 2 sqrt((U/2)² + (r/√12)²).
        let total = 2.0 * libm::hypot(expanded.si() / 2.0, step.si() / 12.0_f64.sqrt());
        let (more, found) = decide(tolerance, total);
        findings.extend(more);
        ratio = found;
    }
    Trial { id: tool.id.value.to_string(), findings, ratio }
}
