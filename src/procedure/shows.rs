//! Checks of what a customer reads of a value: that it fits where it is to stand, and that
//! the readings of one row are of one kind.

use std::collections::BTreeMap;

use super::embedded;
use super::file::{Each, OperationRow, ReadingKind, Section, ShowsRow, StepRow};
use super::levels::{find, is_figure, kind, unknown_figure};
use super::operation::Operation;
use crate::diagnostic::{Diagnostic, Report};

/// A value that is told: what it holds, whether it has words to choose from, what it is
/// repeated for.
struct Value<'a> {
    id: &'a str,
    kind: ReadingKind,
    chosen: bool,
    each: Option<Each>,
    derived: bool,
}

/// Checks the rows of every operation.
pub(super) fn check(operations: &BTreeMap<String, Operation>, report: &mut Report) {
    let mut rows: BTreeMap<&str, (ReadingKind, String)> = BTreeMap::new();
    // Those that ship first: a row of a shop's own file is told there.
    let own = |o: &&Operation| !o.row.id.span.file.starts_with(embedded::FOLDER);
    let (own, shipped): (Vec<_>, Vec<_>) = operations.values().partition(own);
    for operation in shipped.into_iter().chain(own) {
        for (value, shows) in values(&operation.row, operations) {
            check_fit(&operation.row, &value, shows, report);
            if shows.section != Section::Values {
                continue;
            }
            let here = format!("{}.{}", operation.row.id.value, value.id);
            let (first, place) = rows.entry(&shows.row.value).or_insert((value.kind, here));
            if *first != value.kind {
                let told =
                    format!("row \"{}\" holds {} here and {first} at {place}", shows.row.value, value.kind);
                report.push(
                    Diagnostic::error("J302", told)
                        .at(Some(shows.row.span.clone()))
                        .key(shows.row.key.clone())
                        .expected("readings of one kind in one row, or another name for this one")
                        .example(format!("shows = {{ row = \"{}, {}\" }}", shows.row.value, value.kind)),
                );
            }
        }
    }
}

/// Every value of an operation that is told, with its row.
fn values<'a>(
    row: &'a OperationRow,
    operations: &BTreeMap<String, Operation>,
) -> Vec<(Value<'a>, &'a ShowsRow)> {
    let mut all = Vec::new();
    for step in &row.step {
        all.extend(read(step));
        let derived = step.derived.iter().filter_map(|d| Some((d, d.shows.as_ref()?)));
        all.extend(derived.filter_map(|(derived, shows)| {
            let kind = find(operations, row, &derived.of.first()?.value)?;
            let each = None;
            Some((Value { id: &derived.id.0, kind, chosen: false, each, derived: true }, shows))
        }));
    }
    all
}

fn read(step: &StepRow) -> impl Iterator<Item = (Value<'_>, &ShowsRow)> {
    step.written().filter_map(|reading| {
        let each = reading.each.or(step.each);
        let chosen = !reading.choices.is_empty();
        let value = Value { id: &reading.id.0, kind: reading.kind, chosen, each, derived: false };
        Some((value, reading.shows.as_ref()?))
    })
}

/// That a value can stand where its row says.
fn check_fit(row: &OperationRow, value: &Value<'_>, shows: &ShowsRow, report: &mut Report) {
    let text = value.kind == ReadingKind::Text;
    let of_group = matches!(value.each, Some(Each::Joint | Each::Fastener));
    let plain = !shows.came
        && !shows.on_stands
        && shows.before.is_none()
        && shows.planned.is_none()
        && shows.height.is_none();
    let wrong = match shows.section {
        Section::Values if text && !value.chosen => {
            Some(("words of one's own are no value of the table", "section = \"parts\""))
        }
        Section::Values if of_group => Some((
            "what is read at each joint or fastener group stands in a table of its own",
            "section = \"welds\"",
        )),
        Section::Welds if row.joints.is_none() => {
            Some(("its operation works on no joints", "joints = \"pad\""))
        }
        Section::Parts | Section::Settled | Section::Law | Section::Papers if !text => {
            Some(("a number names no part and no paper", "section = \"values\""))
        }
        Section::Values => None,
        _ if value.derived => Some(("what follows from readings is a value", "section = \"values\"")),
        _ if !plain => Some((
            "came, on_stands, before, planned and height are of the table of values",
            "section = \"values\"",
        )),
        _ => None,
    };
    let wrong = wrong.or_else(|| {
        let sides = shows.side.is_some() && value.each == Some(Each::Side);
        sides.then_some(("a step that is repeated for both sides says its side itself", "no side here"))
    });
    let height = shows.height.is_some() && value.kind != ReadingKind::Length;
    let wrong = wrong.or(height.then_some(("a height is a length", "no height here")));
    if let Some((why, instead)) = wrong {
        report.push(
            Diagnostic::error("J301", format!("\"{}\" can't stand in that row: {why}", value.id))
                .at(Some(shows.row.span.clone()))
                .key(shows.row.key.clone())
                .expected("a row for what it is: values for a quantity or words to choose from, welds at joints, parts, settled, law or papers for a text")
                .example(instead),
        );
    }
    let own = kind(value.kind);
    for figure in [&shows.before, &shows.planned].into_iter().flatten() {
        if !is_figure(&figure.value, own) {
            report.push(unknown_figure(figure, own));
        }
    }
}
