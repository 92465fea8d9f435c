//! Readings: judged at once, and everything that depends on them computed again.

mod followed;
mod likely;

use super::act::another_way;
use super::desk::{Actor, Desk, by};
use super::files::RecordHost;
use super::judged::between;
pub use super::judged::{Judged, NewTarget};
use super::recompute::{self, Memo};
use super::weigh::judge;
use super::{refused, typed};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::quantity::{Kind, Quantity};
use crate::record::entry::{Action, By, Correction, Measured};
use crate::record::frozen::{Frozen, Limits, Operation, Reading};
use crate::record::log::Appended;
use crate::record::people::{Instrument, Signer, Spread};
use crate::record::place::Place;
use crate::record::rules::Scene;
use crate::record::{agree, calibration};
use crate::term::{Does, Verdict};
use followed::Standard;

/// What is written down.
#[derive(Debug, Clone)]
pub struct Ask {
    /// `OP.READING`.
    pub what: String,
    /// The value as it is written.
    pub text: String,
    /// Tool or instrument.
    pub tool: Option<String>,
    /// Entry it corrects.
    pub corrects: Option<Correction>,
    /// Taken once more; the one before stands beside it.
    pub again: bool,
    /// It is right although it is far off what is expected, the other side, or the one
    /// before.
    pub sure: bool,
}

/// Writes a reading down.
///
/// # Errors
/// If the value makes no sense, a rule says no, or the system fails.
pub fn measure(host: &dyn RecordHost, desk: &mut Desk, ask: Ask, actor: &Actor) -> Result<Judged, Failure> {
    measure_with(host, desk, ask, actor, &mut Memo::default())
}

/// As [`measure`], for many readings in a row.
///
/// # Errors
/// As [`measure`].
pub fn measure_with(
    host: &dyn RecordHost,
    desk: &mut Desk,
    ask: Ask,
    actor: &Actor,
    memo: &mut Memo,
) -> Result<Judged, Failure> {
    let came = written_down(host, desk, ask, actor, memo);
    // Whatever said it, the units of the job stand first.
    let say = |text: &str| desk.plan.say(text);
    match came {
        Ok(judged) => Ok(judged.reworded(say)),
        Err(Failure::Refused(mut report, sources)) => {
            report.reword(say);
            Err(Failure::Refused(report, sources))
        }
        Err(failure) => Err(failure),
    }
}

fn written_down(
    host: &dyn RecordHost,
    desk: &mut Desk,
    mut ask: Ask,
    actor: &Actor,
    memo: &mut Memo,
) -> Result<Judged, Failure> {
    let taken = taken(desk, &mut ask, actor)?;
    not_twice(desk, &taken, &ask, actor)?;
    desk.scene(actor).in_time(taken.operation, taken.reading, taken.does).map_err(refused)?;
    likely::beside_what_was_read(desk, &taken, &ask, actor)?;
    let standard = Standard::of(host, desk, &taken, memo)?;
    likely::beside_the_plan(desk, &taken, standard.limits, &ask, actor)?;
    let by_date = desk.plan.rules >= calibration::SINCE;
    let measured = weighed(&taken, &standard, &ask, by_date).map_err(refused)?;
    desk.scene(actor).as_said_before(&measured).map_err(refused)?;
    let words = sentence(&desk.plan, &taken, &measured, standard.limits);
    let opens = taken.opens(&measured);
    let filed = opens.is_some();
    let by = by(taken.person, &taken.role);
    let entry = enter(desk, actor, by, ask.corrects, (&measured, opens))?;
    let mut judged = Judged {
        entry,
        measured,
        words,
        changed: Vec::new(),
        targets: Vec::new(),
        lost: Vec::new(),
        slip: None,
    };
    // The entry stands whatever comes next; a failure below is a warning.
    followed::stops(desk, &mut judged);
    standard.warn(&mut judged);
    if ask.again && !filed {
        followed::both_stand(desk, &mut judged)?;
    }
    standard.follow(host, desk, memo, &mut judged);
    Ok(judged)
}

/// A value that may be written down, and whoever may take it.
struct Taken<'a> {
    operation: &'a Operation,
    reading: &'a Reading,
    person: &'a Signer,
    /// The role the person takes it in.
    role: String,
    /// What follows from its word, where it is one of a choice.
    does: Option<Does>,
    /// Certificates it rests on.
    rests_on: Vec<String>,
    /// What was read, where it is a quantity.
    read: Option<Quantity>,
    instrument: Option<&'a Instrument>,
}

impl Taken<'_> {
    /// Words of the found condition its word opens.
    fn opens(&self, measured: &Measured) -> Option<String> {
        (self.does == Some(Does::Found)).then(|| format!("{}: {}", self.reading.label, measured.text))
    }
}

/// The reading that is meant, by whoever may take it, with a tool that may be used for it.
/// What was asked for is put as the record writes it.
fn taken<'a>(desk: &'a Desk, ask: &mut Ask, actor: &Actor) -> Result<Taken<'a>, Failure> {
    let scene = desk.scene(actor);
    let place = desk.plan.meant(&ask.what).map_err(refused)?;
    let Place::Reading(operation, reading) = place else {
        return Err(another_way(desk, &place, "a reading", "OPERATION.READING, as 120.first.left"));
    };
    ask.what = place.typed();
    let person = scene.person(&actor.id).map_err(refused)?;
    let step = operation.step_of(&reading.id);
    let by = step.and_then(|s| s.by.as_deref());
    let role = scene.read_by(person, operation, &reading.id, by).map_err(refused)?.role;
    if let Some(step) = step {
        scene.other_person(person, operation, step, ask.corrects.is_some()).map_err(refused)?;
    }
    if let Some((taken, step)) = desk.taken_in.as_ref().zip(step) {
        scene.takes_in(&taken.by, operation, step).map_err(refused)?;
    }
    scene.still_there(operation, reading, ask.corrects.is_some()).map_err(refused)?;
    // A choice has a number wherever it is answered: at the desk, on a sheet, here.
    ask.text = typed::hours(reading, &ask.text).unwrap_or_else(|| typed::choice(reading, &ask.text));
    let chosen = agree::choose(reading, &ask.text, desk.plan.rules).map_err(refused)?;
    let does = chosen.as_ref().map(|(_, does)| *does);
    if let Some((word, _)) = chosen {
        ask.text = word;
    }
    let methods = agree::tests(reading, &ask.text);
    let rests_on = scene.may_test(person, methods, operation, reading).map_err(refused)?;
    let read = judge(reading.limits, &ask.text, None);
    let read = read.map_err(|problem| refused(in_its_unit(problem, reading, &ask.text)))?;
    let read = reading.limits.zip(recompute::number(&read)).map(|(l, (v, _))| Quantity::from_si(l.kind, v));
    let instrument = fit(&scene, reading, read, ask).map_err(refused)?;
    scene.dated(reading, &ask.text).map_err(refused)?;
    if let Some(lot) = &reading.lot {
        scene.lots(lot, &ask.text).map_err(refused)?;
    }
    Ok(Taken { operation, reading, person, role, does, rests_on, read, instrument })
}

/// What is written for a bare number: in the unit of its box, and in no other.
fn in_its_unit(problem: Diagnostic, reading: &Reading, text: &str) -> Diagnostic {
    let text = text.trim();
    let with = typed::value(reading, None, text).ok().filter(|with| with != text);
    let Some(with) = with.filter(|with| problem.code == "L171" && with.starts_with(text)) else {
        return problem;
    };
    let message = format!("\"{text}\" has no unit; write \"{with}\"");
    Diagnostic { message, example: format!("\"{with}\""), ..problem }
}

/// The instrument a value was read with, where it is one for such a value.
fn fit<'a>(
    scene: &Scene<'a>,
    reading: &Reading,
    read: Option<Quantity>,
    ask: &Ask,
) -> Result<Option<&'a Instrument>, Diagnostic> {
    let needed = reading.limits.and(reading.instrument.as_deref());
    let wanted = (needed, reading.limits);
    let as_written = read.map(|value| (value, &*ask.text));
    let instrument = scene.instrument(ask.tool.as_deref(), needed, reading.limits, as_written)?;
    if let (Some(instrument), Some(read)) = (instrument, read) {
        scene.in_range(instrument, wanted, read, &ask.text)?;
        scene.shown(instrument, wanted, read, &ask.text)?;
    }
    Ok(instrument)
}

/// A box has one value: another one is a correction, or measured once more.
fn not_twice(desk: &Desk, taken: &Taken<'_>, ask: &Ask, actor: &Actor) -> Result<(), Failure> {
    let before = desk.state.reading(&taken.operation.key, &taken.reading.id);
    let (Some((measured, mark)), None, false) = (before, &ask.corrects, ask.again) else { return Ok(()) };
    let other = measured.verdict.decided() && mark.by.id == actor.id;
    let scene = desk.scene(actor);
    let others = other.then(|| scene.others(measured, &by(taken.person, "")));
    let who = others.map_or(actor.id.as_str(), |others| others.first().copied().unwrap_or("ID"));
    let slip = if other { "a slip of the pen is put right by another person" } else { "a slip of the pen" };
    let again = likely::command(desk, &Ask { again: true, ..ask.clone() }, actor, &actor.id);
    let reason = Correction { entry: mark.n, reason: "…".to_owned() };
    let corrected = likely::command(desk, &Ask { corrects: Some(reason), ..ask.clone() }, actor, who);
    let (place, name, n, text) = (&ask.what, &mark.by.name, mark.n, &measured.text);
    Err(refused(
        Diagnostic::error("L141", format!("{place} was read by {name} (entry {n}) as {text}"))
            .rule("corrections only by a new entry that names the old one and why")
            .help(format!("measured once more, and both stand: {again}"))
            .help(format!("{slip}: {corrected}")),
    ))
}

/// A value against the limits in force, as the record writes it; with the day its instrument
/// was calibrated on, where the plan is kept `by_date`.
fn weighed(taken: &Taken<'_>, standard: &Standard, ask: &Ask, by_date: bool) -> Result<Measured, Diagnostic> {
    let spread = spread_for(taken.instrument, standard.limits);
    let mut measured = judge(standard.limits, &ask.text, spread)?;
    if let Some(read) = taken.read {
        likely::to_its_decimals(taken.instrument, read, &measured)?;
    }
    if let Some(does) = taken.does {
        measured.verdict = agree::verdict(does);
    }
    let calibrated = taken.instrument.and_then(|i| i.calibrated).filter(|_| by_date);
    measured.calibrated = calibrated.map(|day| day.to_string());
    measured.calibrated_until = taken.instrument.and_then(|i| i.until).map(|u| u.to_string());
    measured.operation = taken.operation.at();
    measured.rests_on.clone_from(&taken.rests_on);
    measured.reading.clone_from(&taken.reading.id);
    measured.tool = taken.instrument.map(|i| i.id.clone()).or_else(|| ask.tool.clone());
    measured.target.clone_from(&standard.target);
    Ok(measured)
}

/// Enters a reading, and the found condition its word opens.
fn enter(
    desk: &mut Desk,
    actor: &Actor,
    by: By,
    corrects: Option<Correction>,
    (measured, opens): (&Measured, Option<String>),
) -> Result<Appended, Failure> {
    let action = Action::Measure { reading: Box::new(measured.clone()) };
    let mut entry = desk.enter(actor, by.clone(), corrects, action)?;
    let Some(text) = opens else { return Ok(entry) };
    let number = format!("F{}", desk.state.founds.len() + 1);
    let finds = Action::Found {
        found: number.clone(),
        operation: measured.operation.clone(),
        photos: Vec::new(),
        reading: Some(measured.reading.clone()),
        text,
    };
    entry.warnings.push(match desk.enter(actor, by, None, finds) {
        Ok(_) => format!(
            "{number} is open: later holds stay shut until a lead decides: {}",
            desk.scene(actor).decides_on(&number)
        ),
        Err(_) => format!("{number} was not written: file it with `found`."),
    });
    Ok(entry)
}

/// The uncertainty of an instrument for a value of the kind it reads.
fn spread_for(instrument: Option<&Instrument>, limits: Option<Limits>) -> Option<Spread> {
    let (instrument, limits) = (instrument?, limits?);
    instrument.spread.filter(|_| limits.kind != Kind::Number)
}

fn sentence(plan: &Frozen, taken: &Taken<'_>, measured: &Measured, limits: Option<Limits>) -> String {
    let mut text = format!("{} {}: {}", taken.operation.number, taken.reading.label, measured.text);
    if let Some(target) = &measured.target
        && measured.verdict.decided()
    {
        text.push_str(&format!(", wanted {target}"));
    }
    if let (Some(limits), Some(guard)) = (limits, measured.guard.as_ref().and_then(|g| g.parse::<f64>().ok()))
        && guard > 0.0
    {
        let style = Some(plan.style(limits.kind));
        let shown = crate::quantity::show::uncertainty(Quantity::from_si(limits.kind, guard), style);
        text.push_str(&format!(", guard band {shown}"));
        // What would be accepted, where this was not.
        let accepted = limits.taken_in(|_| guard).map(|l| between(plan.units, l));
        if let Some(accepted) = accepted.filter(|_| measured.verdict.is(Verdict::NotProven)) {
            text.push_str(&format!(", accepted with it: {accepted}"));
        }
    }
    text.push_str(&format!(": {}", measured.verdict));
    text
}
