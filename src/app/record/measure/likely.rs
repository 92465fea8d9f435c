//! A value that is asked back: far from the others, from its plan, from what can be.

use super::super::desk::{Actor, Desk};
use super::super::{recompute, refused};
use super::{Ask, Taken};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::quantity::{Kind, Quantity, Style};
use crate::record::entry::{Correction, Measured, SLACK};
use crate::record::frozen::{Limits, Operation, Reading};
use crate::record::people::Instrument;
use crate::record::{agree, expected, hours, unit_seen, written};

/// A value beside what was read and done before it, unless somebody is sure of it.
pub(super) fn beside_what_was_read(
    desk: &Desk,
    taken: &Taken<'_>,
    ask: &Ask,
    actor: &Actor,
) -> Result<(), Failure> {
    let Taken { operation, reading, .. } = taken;
    if ask.sure {
        return Ok(());
    }
    same_unit(desk, operation, reading, &ask.text).map_err(|p| refused(p.help(surely(desk, ask, actor))))?;
    if ask.corrects.is_none() {
        let over = desk.scene(actor).over_later_work(operation, &reading.id);
        over.map_err(|p| refused(p.help(surely(desk, ask, actor))))?;
    }
    let Some(read) = taken.read else { return Ok(()) };
    like(desk, operation, reading, (read, &ask.text), ask.corrects.as_ref())
        .and_then(|()| desk.scene(actor).since_arc(operation, reading, read))
        .and_then(|()| hours::watched(&desk.plan, &desk.entries, &reading.id, read, &actor.at))
        .map_err(|p| refused(p.help(surely(desk, ask, actor))))
}

/// What is read of the unit beside the job, and beside what was read of it before.
fn same_unit(desk: &Desk, operation: &Operation, reading: &Reading, text: &str) -> Result<(), Diagnostic> {
    let why = unit_seen::unlike(&desk.plan, &desk.state, (operation, reading), text, u64::MAX);
    let Some(why) = why else { return Ok(()) };
    Err(Diagnostic::error("L301", format!("{}.{}: {why}", operation.number, reading.id))
        .rule("the unit at the work is the one of the job, and its odometer runs forward, as far as it was driven")
        .help("look at the plate and the odometer again; if the job file has it wrong, revise it"))
}

/// A value beside what the plan expects, unless somebody is sure of it, and beside what is
/// possible at all.
pub(super) fn beside_the_plan(
    desk: &Desk,
    taken: &Taken<'_>,
    limits: Option<Limits>,
    ask: &Ask,
    actor: &Actor,
) -> Result<(), Failure> {
    let reading = taken.reading;
    if let Some(read) = taken.read.filter(|_| !ask.sure && desk.plan.rules >= expected::SINCE) {
        plausible(reading, limits, read, desk.plan.rules)
            .map_err(|p| refused(p.help(surely(desk, ask, actor))))?;
    }
    possible(reading.replaces.as_deref(), taken.read).map_err(refused)?;
    match taken.read {
        Some(read) => agree::not_negative(reading, read.si()).map_err(refused),
        None => Ok(()),
    }
}

/// A value beside the others of the same thing: neither ten times as much nor of the
/// other sign.
fn like(
    desk: &Desk,
    operation: &Operation,
    reading: &Reading,
    (read, text): (Quantity, &str),
    corrects: Option<&Correction>,
) -> Result<(), Diagnostic> {
    for (name, words) in agree::beside(&desk.plan, operation, reading) {
        let Some((measured, mark)) = desk.state.reading(&name.operation, &name.reading) else { continue };
        // What is taken back is nothing to be compared with.
        if corrects.is_some_and(|c| c.entry == mark.n) {
            continue;
        }
        let other = recompute::number(measured).map(|(value, _)| Quantity::from_si(read.kind(), value));
        let beside = |other| expected::unlike_as_written((read, text), (other, &measured.text));
        let Some(why) = other.and_then(beside) else { continue };
        let number = &desk.plan.number;
        let place = format!("{}.{}", measured.operation.number, name.reading);
        let who = if measured.verdict.decided() { "another person than " } else { "" };
        let problem = Diagnostic::error(
            "L174",
            format!(
                "{}: {} {why} {words}, {place} with {} ({}by {})",
                reading.label,
                Style::of(read.kind()).fine_enough(read).both(read),
                measured.text,
                if desk.rehearses() { String::new() } else { format!("entry {} ", mark.n) },
                mark.by.name
            ),
        )
        .rule("like sides are read in like units")
        .help("look at the instrument and the unit of both, and read again");
        // What is only tried has no entry that could be corrected.
        if desk.rehearses() {
            return Err(problem.help(format!("if {place} is the wrong one, put that right first")));
        }
        return Err(problem.help(format!(
            "if {place} is the wrong one, that one first, by {who}{}: tackwright measure {number} {place} VALUE --corrects {} --reason \"…\" --by ID",
            mark.by.id, mark.n
        )));
    }
    Ok(())
}

/// A value beside what is expected of it.
fn plausible(
    reading: &Reading,
    limits: Option<Limits>,
    read: Quantity,
    rules: u32,
) -> Result<(), Diagnostic> {
    let Some(why) = expected::far(reading, limits, read, rules) else { return Ok(()) };
    Err(Diagnostic::error("L174", format!("{}: {why}", reading.label))
        .rule("a value far from what is expected is asked back")
        .help("look at the instrument, the unit, the point and the sign, and read again"))
}

/// A value inside its limits is inside them to its last decimal.
pub(super) fn to_its_decimals(
    instrument: Option<&Instrument>,
    read: Quantity,
    measured: &Measured,
) -> Result<(), Diagnostic> {
    let Some(decimals) = written::decimals_wanted(instrument, read, measured) else { return Ok(()) };
    let words = format!("{}: with so few decimals it may be over its limit", measured.text);
    Err(Diagnostic::error("L282", words)
        .rule("a value is written finely enough to be judged")
        .expected(format!("{decimals} decimals"))
        .help("read the instrument again and write every digit it shows"))
}

/// The command that enters a value all the same, by whatever way it came.
fn surely(desk: &Desk, ask: &Ask, actor: &Actor) -> String {
    format!("if it is right all the same, say so: {} --sure", command(desk, ask, actor, &actor.id))
}

/// The command that says what was asked, by a person of this id.
pub(super) fn command(desk: &Desk, ask: &Ask, actor: &Actor, by: &str) -> String {
    let quoted = |text: &str| format!("\"{}\"", text.replace('"', "\\\""));
    let mut command = format!("tackwright measure {} {} {}", desk.plan.number, ask.what, quoted(&ask.text));
    if let Some(tool) = &ask.tool {
        command.push_str(&format!(" --with {tool}"));
    }
    if ask.again {
        command.push_str(" --again");
    }
    if let Some(correction) = &ask.corrects {
        command.push_str(&format!(
            " --corrects {} --reason {}",
            correction.entry,
            quoted(&correction.reason)
        ));
    }
    command.push_str(&format!(" --by {by}"));
    if (desk.clock - actor.at).num_minutes().abs() >= SLACK {
        command.push_str(&format!(" --at {}", actor.at.to_rfc3339()));
    }
    command
}

/// A wall, a pack or a wheelbase is more than nothing.
fn possible(replaces: Option<&str>, read: Option<Quantity>) -> Result<(), Diagnostic> {
    let Some(place) = replaces.and_then(crate::job::measured::find) else { return Ok(()) };
    match read {
        Some(read) if place.kind == Kind::Length && read.si() <= 0.0 => Err(Diagnostic::error(
            "L172",
            format!(
                "{} can't be for the {}",
                Style::of(Kind::Length).fine_enough(read).both(read),
                place.words
            ),
        )
        .rule("what is computed with is possible")
        .help("read the instrument again; check the unit")),
        _ => Ok(()),
    }
}
