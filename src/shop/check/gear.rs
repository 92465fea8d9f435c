//! Cross-checks of machines, tools, lots, preferences, levels and rules.

use std::collections::BTreeMap;

use super::qualification::known_process;
use super::{at, bounds, in_order};
use crate::diagnostic::{Diagnostic, Report};
use crate::file::plausible::{Scope, judge};
use crate::file::{Located, Text};
use crate::quantity::{Dimensioned, Kind, parse, unit};
use crate::reference::electrode;
use crate::shop::model::{Book, Instrument, Lot, LotKind, Machine, Measures, Storage, TorqueTool};
use crate::term::instrument::misspelt;

pub(super) fn check(book: &Book, report: &mut Report) {
    for machine in &book.machine {
        check_machine(machine, report);
    }
    for instrument in &book.instrument {
        check_instrument(instrument, report);
    }
    for tool in &book.torque_tool {
        check_torque_tool(tool, report);
    }
    for lot in &book.lot {
        check_lot(lot, report);
    }
    if let Some(logo) = book.preference.as_ref().and_then(|p| p.logo.as_ref()) {
        let lower = logo.value.to_lowercase();
        if !lower.ends_with(".png") && !lower.ends_with(".svg") {
            report.push(at(
                Diagnostic::error("S060", format!("the logo {} is neither PNG nor SVG", &*logo.value))
                    .expected("a PNG or SVG file")
                    .example("logo = \"logo.svg\""),
                logo,
            ));
        }
    }
    let mut seen: BTreeMap<(&str, Option<&str>), ()> = BTreeMap::new();
    for level in &book.level {
        let operation = level.operation.as_ref().map(|o| &*o.0);
        if seen.insert((&level.point.value, operation), ()).is_some() {
            report.push(at(
                Diagnostic::error("S061", format!("the level of \"{}\" is set twice", level.point.value))
                    .expected("one level for a point")
                    .example("delete one of them"),
                &level.point,
            ));
        }
    }
}

fn check_machine(machine: &Machine, report: &mut Report) {
    for name in &machine.processes {
        known_process(name, report);
    }
    let mut points: Vec<_> = machine.duty.iter().collect();
    for point in &points {
        let percent = point.cycle.value.value.to(unit::PCT);
        if percent <= 0.0 || percent > 100.0 {
            report.push(at(
                Diagnostic::error("S050", "a duty cycle lies above 0 and up to 100 %")
                    .expected("a share of ten minutes")
                    .example("cycle = \"30 %\""),
                &point.cycle,
            ));
        }
    }
    points.sort_by(|a, b| a.amps.value.value.si().total_cmp(&b.amps.value.value.si()));
    for pair in points.windows(2) {
        let [lower, higher] = pair else { continue };
        if higher.cycle.value.value.si() >= lower.cycle.value.value.si()
            || higher.amps.value.value.si() <= lower.amps.value.value.si()
        {
            report.push(at(
                Diagnostic::error(
                    "S051",
                    format!(
                        "duty points of {} overlap: more amps must come with less duty",
                        machine.id.value
                    ),
                )
                .expected("amps rising while the duty cycle falls, as on the rating plate")
                .example("{ amps = \"200 A\", cycle = \"30 %\" }, { amps = \"140 A\", cycle = \"60 %\" }"),
                &higher.amps,
            ));
        }
    }
}

/// A quantity text of an instrument.
fn quantity(text: Option<&Located<Text>>, kind: Kind, report: &mut Report) -> Option<f64> {
    let text = text?;
    match parse::quantity(kind, &text.value) {
        Ok(quantity) => Some(quantity.si()),
        Err(error) => {
            let key = text.key.rsplit('.').next().unwrap_or_default();
            report.push(at(
                Diagnostic::error("Q001", format!("{key}: {}", error.message))
                    .expected(error.expected)
                    .example(format!("{key} = {}", error.example)),
                text,
            ));
            None
        }
    }
}

/// What an instrument measures by all its values, if none is of what it says.
fn measured(instrument: &Instrument) -> Option<Measures> {
    let values = [Some(&instrument.resolution), Some(&instrument.uncertainty)];
    let range = [instrument.least.as_ref(), instrument.most.as_ref(), instrument.capacity.as_ref()];
    let reads = |measures: Measures| {
        let of = |kind: Kind, text: &Located<Text>| parse::maybe(kind, &text.value).is_some();
        let steps = values.into_iter().flatten().all(|t| of(measures.difference(), t));
        let ends = range.into_iter().flatten().all(|t| of(measures.kind(), t));
        (steps, ends)
    };
    let (steps, ends) = reads(instrument.measures.value);
    if steps || (ends && range.iter().any(Option::is_some)) {
        return None;
    }
    let mut all = Measures::WORDS.iter().filter_map(|word| Measures::of(word));
    all.find(|measures| reads(*measures) == (true, true))
}

fn check_instrument(instrument: &Instrument, report: &mut Report) {
    let title = &instrument.kind.value;
    // A kind nobody asks for is taken for a plain one, that may read any length.
    if let Some(meant) = misspelt(title) {
        report.push(at(
            Diagnostic::error("S219", format!("no reading asks for a \"{}\"", &**title))
                .expected("the instrument in the words readings use for it: what it is, then what else is said of it")
                .example(format!("kind = \"{meant}\""))
                .help(format!("did you mean \"{meant}\"?")),
            &instrument.kind,
        ));
    }
    if let Some(meant) = measured(instrument) {
        report.push(at(
            Diagnostic::error(
                "S220",
                format!(
                    "{} measures {}, and its values are of {}",
                    instrument.id.value,
                    instrument.measures.value.word(),
                    meant.word()
                ),
            )
            .expected("what the instrument measures, and values in its units")
            .example(format!("measures = \"{}\"", meant.word())),
            &instrument.measures,
        ));
        return;
    }
    let kind = instrument.measures.value.kind();
    let step = instrument.measures.value.difference();
    let least = quantity(instrument.least.as_ref(), kind, report);
    let most = quantity(instrument.most.as_ref(), kind, report);
    quantity(instrument.capacity.as_ref(), kind, report);
    for (text, what) in [(&instrument.resolution, "resolution"), (&instrument.uncertainty, "uncertainty")] {
        if quantity(Some(text), step, report).is_some_and(|v| v <= 0.0) {
            report.push(at(
                Diagnostic::error("S052", format!("{} has no {what} of zero or less", instrument.id.value))
                    .expected("a value above zero")
                    .example(format!("{what} = \"{}\"", step.example())),
                text,
            ));
        }
    }
    let (of_step, of_range) = bounds::of_instrument(instrument.measures.value);
    let range = [&instrument.least, &instrument.most, &instrument.capacity].into_iter().flatten();
    let values = range
        .map(|t| (t, of_range))
        .chain([&instrument.resolution, &instrument.uncertainty].map(|t| (t, of_step)));
    let scope = Scope { bounds: &[], sure: instrument.sure.as_deref(), metric: false };
    for (text, bound) in values {
        let name = crate::file::last(&text.key);
        if let Some(problem) = judge(name, &text.value, &bound, scope) {
            report.push(at(problem, text));
        }
    }
    if let (Some(least_value), Some(most_value), Some(most)) = (least, most, &instrument.most)
        // Ends in each other's place are told by themselves.
        && least_value >= most_value
        && least_value <= most_value
    {
        report.push(at(
            Diagnostic::error("S053", format!("the range of {} is empty", instrument.id.value))
                .expected("most above least")
                .example(format!("most = \"{}\"", kind.example())),
            most,
        ));
    }
    if instrument.capacity.is_some() && instrument.most.is_some() {
        report.push(at(
            Diagnostic::error(
                "S054",
                format!("{} has both a certificate range and a capacity", instrument.id.value),
            )
            .expected("least and most by the certificate, or capacity (used from 20 to 100 %)")
            .example("delete capacity"),
            &instrument.id,
        ));
    }
    in_order(
        instrument.calibrated.as_ref(),
        Some(&instrument.due),
        ("its calibration of", "due date"),
        report,
    );
}

fn check_torque_tool(tool: &TorqueTool, report: &mut Report) {
    let capacity = tool.capacity.value.value;
    for (value, what) in [(&tool.capacity, "capacity"), (&tool.increment, "increment")] {
        if value.value.value.si() <= 0.0 {
            report.push(at(
                Diagnostic::error("S052", format!("{} has no {what} of zero or less", tool.id.value))
                    .expected("a torque above zero")
                    .example(format!("{what} = \"5 lbf-ft\"")),
                value,
            ));
        }
    }
    if let Some(least) = &tool.least
        && least.value.value.si() >= capacity.si()
    {
        report.push(at(
            Diagnostic::error("S053", format!("the range of {} is empty", tool.id.value))
                .expected("least below the capacity")
                .example("least = \"40 lbf-ft\""),
            least,
        ));
    }
    for share in tool.uncertainty.iter().chain(&tool.deviation) {
        if !(0.0..=25.0).contains(&share.value.value.to(unit::PCT)) {
            report.push(at(
                Diagnostic::error("S055", format!("{} is of no use with this share", tool.id.value))
                    .expected("0 to 25 % of the reading")
                    .example("uncertainty = \"1.5 %\""),
                share,
            ));
        }
    }
    in_order(tool.calibrated.as_ref(), Some(&tool.due), ("its calibration of", "due date"), report);
}

/// Low-hydrogen stick electrodes out of their package belong in an oven.
/// Source: AWS D1.1 5.3.2 (2020: 7.3.2), from memory.
fn check_lot(lot: &Lot, report: &mut Report) {
    let filler = electrode::find(&lot.designation.value);
    let wet = filler.is_some_and(|f| f.electrode.process == "SMAW" && f.electrode.low_hydrogen);
    if let (LotKind::Filler, Some(storage)) = (lot.kind, &lot.storage)
        && wet
        && matches!(storage.value, Storage::Open | Storage::Dry)
    {
        report.push(at(
            Diagnostic::warning(
                "S056",
                format!("{} is low-hydrogen and kept in {}", &*lot.designation.value, storage.value),
            )
            .expected("a sealed package, or an oven at 250 °F (120 °C) or more (AWS D1.1, from memory)")
            .example("storage = \"oven\""),
            storage,
        ));
    }
}
