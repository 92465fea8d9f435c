//! Cross-checks of a welder's test.

use super::{at, in_order};
use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::file::{Located, Text};
use crate::quantity::Dimensioned;
use crate::reference::process as processes;
use crate::shop::model::{Book, Form, Qualification};
use crate::shop::process::{self, FillerGroup};
use crate::shop::qualify::derive;

pub(super) fn check(book: &Book, test: &Qualification, report: &mut Report) {
    known_process(&test.process, report);
    in_order(Some(&test.date), Some(&test.last_used), ("the test of", "last use on"), report);
    in_order(Some(&test.date), test.revalidated.as_ref(), ("the test of", "revalidation on"), report);
    if test.positions.is_empty() {
        report.push(at(
            Diagnostic::error("S022", format!("test {} names no position", test.id.value))
                .expected("the positions tested")
                .example("positions = [\"3G\", \"4G\"]"),
            &test.id,
        ));
    }
    positions(test, report);
    if test.form.value == Form::Pipe && test.diameter.is_none() {
        report.push(at(
            Diagnostic::error(
                "S023",
                format!("test {} was made on pipe, its diameter is missing", test.id.value),
            )
            .expected("the outside diameter of the test piece")
            .example("diameter = \"2.875 in\""),
            &test.form,
        ));
    }
    match FillerGroup::of(&test.filler_group.value) {
        None => report.push(at(
            Diagnostic::error("S024", format!("\"{}\" is no filler group", &*test.filler_group.value))
                .expected("F1 to F6, or FM1 to FM6 for ISO 9606-1")
                .example("filler_group = \"F6\""),
            &test.filler_group,
        )),
        Some(group) if matches!(group, FillerGroup::Fm(_)) != test.standard.value.iso() => report.push(at(
            Diagnostic::error(
                "S024",
                format!("{} is not how {} names filler groups", group.title(), test.standard.value.title()),
            )
            .expected(if test.standard.value.iso() { "FM1 to FM6" } else { "F1 to F6" })
            .example(if test.standard.value.iso() {
                "filler_group = \"FM1\""
            } else {
                "filler_group = \"F6\""
            }),
            &test.filler_group,
        )),
        Some(_) => {}
    }
    iso_only(test, report);
    if derive(test).ranges.is_empty() && !test.positions.is_empty() {
        let flaw = derive(test).flaws.first().cloned();
        report.push(at(
            Diagnostic::warning("S025", format!("test {} qualifies nothing", test.id.value)).expected(
                flaw.unwrap_or_else(|| "a position the standard has for this kind of weld".to_owned()),
            ),
            &test.id,
        ));
    }
    twice(book, test, report);
}

fn positions(test: &Qualification, report: &mut Report) {
    let standard = test.standard.value;
    for position in &test.positions {
        let title = position.value.title();
        if position.value.iso() != standard.iso() {
            report.push(at(
                Diagnostic::error("S026", format!("{title} is not a test position of {}", standard.title()))
                    .expected(if standard.iso() { "PA to PJ, H-L045, J-L045" } else { "1F to 5F, 1G to 6G" })
                    .example(if standard.iso() { "positions = [\"PF\"]" } else { "positions = [\"3G\"]" }),
                position,
            ));
        }
        if position.value.pipe_only() && test.form.value == Form::Plate {
            report.push(at(
                Diagnostic::error("S027", format!("{title} can only be tested on pipe"))
                    .expected("form = \"pipe\" with its diameter")
                    .example("form = \"pipe\""),
                position,
            ));
        }
        if position.value.asks_progression() && test.progression.is_none() {
            report.push(at(
                Diagnostic::error("S028", format!("{title} has a vertical part, its progression is missing"))
                    .expected("up or down")
                    .example("progression = \"up\""),
                position,
            ));
        }
    }
}

fn iso_only(test: &Qualification, report: &mut Report) {
    if test.standard.value.iso() {
        if test.revalidation.is_none() {
            report.push(at(
                Diagnostic::warning(
                    "S029",
                    format!("test {} does not say how it is revalidated", test.id.value),
                )
                .expected("a, b or c of ISO 9606-1, 9.3; the shorter term of two years is used")
                .example("revalidation = \"a\""),
                &test.standard,
            ));
        }
        return;
    }
    if let Some(way) = &test.revalidation {
        report.push(at(
            Diagnostic::error("S032", format!("{} knows no revalidation", test.standard.value.title()))
                .expected("the key left out: only ISO 9606-1 has it")
                .example("revalidation belongs to ISO 9606-1"),
            way,
        ));
    }
}

/// The same test entered twice makes its ranges overlap.
fn twice(book: &Book, test: &Qualification, report: &mut Report) {
    let key = |q: &Qualification| {
        let mut positions: Vec<_> = q.positions.iter().map(|p| p.value).collect();
        positions.sort_unstable();
        (
            q.person.value.clone(),
            q.standard.value,
            process::counted(&q.process.value).map(|c| c.us),
            q.short_circuit(),
            (q.weld.value, q.form.value, positions, q.date.value),
            q.thickness.value.value.si().to_bits(),
            FillerGroup::of(&q.filler_group.value).map(FillerGroup::title),
            q.backing.as_ref().map(|b| b.value),
        )
    };
    let earlier = book.qualification.iter().take_while(|q| q.span != test.span);
    if let Some(other) = earlier.into_iter().find(|q| key(q) == key(test)) {
        report.push(at(
            Diagnostic::error(
                "S030",
                format!("test {} repeats {}: their ranges overlap", test.id.value, other.id.value),
            )
            .expected("one entry for one test")
            .example("delete the one whose date of last use is older"),
            &test.id,
        ));
    }
}

/// A process the table knows.
pub(super) fn known_process(name: &Located<Text>, report: &mut Report) {
    if process::counted(&name.value).is_some() {
        return;
    }
    let words = processes::words();
    let mut problem = Diagnostic::error("S031", format!("there is no process \"{}\"", &*name.value))
        .expected(words.join(", "))
        .example("process = \"GMAW\"");
    let names = processes::PROCESSES.iter().flat_map(|p| p.names.iter().copied());
    if let Some(near) = nearest(&name.value, names) {
        problem = problem.help(format!("did you mean \"{}\"?", near.to_uppercase()));
    }
    report.push(at(problem, name));
}
