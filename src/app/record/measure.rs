//! Readings: judged at once, and everything that depends on them computed again.

use super::act::another_way;
use super::desk::{Actor, Desk, by};
use super::files::RecordHost;
pub use super::judged::{Judged, NewTarget};
use super::recompute::{self, Memo, Reckoner};
use super::weigh::judge;
use super::{refused, sheets, slip, typed};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::quantity::{Kind, Quantity, Style};
use crate::record::entry::{Action, Correction, Measured, SLACK};
use crate::record::frozen::{Limits, Operation, Reading};
use crate::record::hours;
use crate::record::moved::{self, Asked, Lost};
use crate::record::outdated::outdated;
use crate::record::people::{Instrument, Spread};
use crate::record::place::Place;
use crate::record::{agree, expected};
use crate::term::Does;

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
    mut ask: Ask,
    actor: &Actor,
    memo: &mut Memo,
) -> Result<Judged, Failure> {
    let scene = desk.scene(actor);
    let place = scene.meant(&ask.what).map_err(refused)?;
    let Place::Reading(operation, reading) = place else {
        return Err(another_way(desk, &place, "a reading", "OPERATION.READING, as 120.first.left"));
    };
    ask.what = place.typed();
    let id = reading.id.as_str();
    let person = scene.person(&actor.id).map_err(refused)?;
    let step = operation.step_of(id);
    let role =
        scene.read_by(person, operation, id, step.and_then(|s| s.by.as_deref())).map_err(refused)?.role;
    if let Some(step) = step {
        scene.other_person(person, operation, step, ask.corrects.is_some()).map_err(refused)?;
    }
    // A choice has a number wherever it is answered: at the desk, on a sheet, here.
    ask.text = typed::choice(reading, &ask.text);
    let chosen = agree::choose(reading, &ask.text).map_err(refused)?;
    let does = chosen.as_ref().map(|(_, does)| *does);
    if let Some((word, _)) = chosen {
        ask.text = word;
    }
    let rests_on =
        scene.may_test(person, agree::tests(reading, &ask.text), operation, reading).map_err(refused)?;
    let needed = reading.limits.and(reading.instrument.as_deref());
    let read = judge(reading.limits, &ask.text, None).map_err(refused)?;
    let read = reading.limits.zip(recompute::number(&read)).map(|(l, (v, _))| Quantity::from_si(l.kind, v));
    let instrument = scene
        .instrument(ask.tool.as_deref(), needed, reading.limits.map(|l| l.kind), read)
        .map_err(refused)?;
    if let (Some(instrument), Some(read)) = (instrument, read) {
        scene.in_range(instrument, needed, read, &ask.text).map_err(refused)?;
    }
    if let Some(lot) = &reading.lot {
        scene.lots(lot, &ask.text).map_err(refused)?;
    }
    let taken = desk.state.reading(&operation.key, id);
    if let (Some((_, mark)), None, false) = (taken, &ask.corrects, ask.again) {
        let other = taken.is_some_and(|(m, _)| m.verdict.decided()) && mark.by.id == actor.id;
        let others = taken.filter(|_| other).map(|(m, _)| scene.others(m, &by(person, "")));
        let by = others.map_or(actor.id.as_str(), |others| others.first().copied().unwrap_or("ID"));
        let slip =
            if other { "a slip of the pen is put right by another person" } else { "a slip of the pen" };
        let again = command(desk, &Ask { again: true, ..ask.clone() }, actor, &actor.id);
        let reason = Correction { entry: mark.n, reason: "…".to_owned() };
        let corrected = command(desk, &Ask { corrects: Some(reason), ..ask.clone() }, actor, by);
        return Err(refused(
            Diagnostic::error(
                "L141",
                format!(
                    "{} was read by {} (entry {}) as {}",
                    ask.what,
                    mark.by.name,
                    mark.n,
                    taken.map_or("", |(m, _)| m.text.as_str())
                ),
            )
            .rule("corrections only by a new entry that names the old one and why")
            .help(format!("measured once more, and both stand: {again}"))
            .help(format!("{slip}: {corrected}")),
        ));
    }
    scene.in_time(operation, reading, does).map_err(refused)?;
    if let Some(read) = read.filter(|_| !ask.sure) {
        like(desk, operation, reading, read, ask.corrects.as_ref())
            .map_err(|p| refused(p.help(surely(desk, &ask, actor))))?;
        scene.since_arc(operation, reading, read).map_err(|p| refused(p.help(surely(desk, &ask, actor))))?;
        hours::watched(&desk.plan, &desk.entries, id, read, &actor.at)
            .map_err(|p| refused(p.help(surely(desk, &ask, actor))))?;
    }
    let decides = reading.replaces.is_some();
    let content = memo.content(host, &desk.folder, &desk.issue)?;
    // Until something measured replaces a planned value, the paper holds.
    // A reading is never its own target: it is judged by the plan without itself.
    let without = desk.state.deciding_without(&desk.plan, &operation.key, id);
    let judged_by = if decides || moved::moves(&desk.plan, &without) {
        Some(memo.now(&content, &without)?)
    } else {
        None
    };
    let before = match taken {
        Some(_) if decides => Some(memo.now(&content, &desk.state)?),
        _ => judged_by.clone(),
    };
    let in_force = judged_by.as_ref().map(|now| now.in_force()).unwrap_or_default();
    let lost = in_force.lost(&operation.key, reading);
    let Asked { limits, target } = in_force.asked(&operation.key, reading);
    if let Some(read) = read.filter(|_| !ask.sure && desk.plan.rules >= expected::SINCE) {
        plausible(reading, limits, read).map_err(|p| refused(p.help(surely(desk, &ask, actor))))?;
    }
    let replaces = reading.replaces.clone();
    sound(replaces.as_deref(), read).map_err(refused)?;
    if let Some(read) = read {
        agree::not_negative(reading, read.si()).map_err(refused)?;
    }
    let mut measured = judge(limits, &ask.text, spread_for(instrument, limits)).map_err(refused)?;
    if let Some(does) = does {
        measured.verdict = agree::verdict(does);
    }
    measured.calibrated_until = instrument.and_then(|i| i.until).map(|u| u.to_string());
    measured.operation = operation.at();
    measured.rests_on = rests_on;
    id.clone_into(&mut measured.reading);
    measured.tool = instrument.map(|i| i.id.clone()).or(ask.tool);
    measured.target = target;
    let label = reading.label.clone();
    let number = operation.number;
    let words = sentence(number, &label, &measured, limits);
    let action = Action::Measure { reading: Box::new(measured.clone()) };
    let by = by(person, &role);
    let finds = Action::Found {
        found: format!("F{}", desk.state.founds.len() + 1),
        operation: operation.at(),
        photos: Vec::new(),
        reading: Some(id.to_owned()),
        text: format!("{label}: {}", measured.text),
    };
    let by_finder = by.clone();
    let entry = desk.enter(actor, by, ask.corrects, action)?;
    let mut entry = entry;
    if does == Some(Does::Found) {
        let number = format!("F{}", desk.state.founds.len() + 1);
        match desk.enter(actor, by_finder, None, finds) {
            Ok(_) => entry.warnings.push(format!(
                "{number} is open: later holds stay shut until a lead decides: tackwright dispose {} {number} … --by LEAD",
                desk.plan.number
            )),
            Err(_) => entry.warnings.push(format!("{number} was not written: file it with `found`.")),
        }
    }
    for stop in desk.plan.operations.iter().flat_map(|o| desk.state.stops(&desk.plan, o)) {
        if stop.of.iter().any(|n| n.operation == measured.operation.key && n.reading == measured.reading) {
            entry.warnings.push(format!(
                "STOP: {}. What depends on it, and later holds, wait until a lead decides.",
                stop.words
            ));
        }
    }
    if lost {
        entry.warnings.push(
            "The limits can't be computed with what was read so far, so the printed ones were taken: look at the readings before, and ask the lead.".to_owned(),
        );
    }
    // A word that opened a found condition by itself is filed already.
    if ask.again
        && does != Some(Does::Found)
        && desk.state.failing(operation_of(desk, &measured)?).iter().any(|(r, _)| *r == measured.reading)
    {
        entry.warnings.push(format!(
            "Both readings stand; a lead decides: tackwright found {} {}.{} \"…\" --by ID",
            desk.plan.number, measured.operation.number, measured.reading
        ));
    }
    // The entry stands whatever comes next; a failure below is a warning.
    let mut judged = Judged {
        entry,
        measured,
        words,
        changed: Vec::new(),
        targets: Vec::new(),
        lost: Vec::new(),
        slip: None,
    };
    let Some(before) = before.filter(|_| decides) else { return Ok(judged) };
    match memo.now(&content, &desk.state) {
        Ok(after) => {
            judged.changed = recompute::changes(&before.loaded.figures, &after.loaded.figures);
            judged.targets = targets(desk, &before, &after);
            let lost = moved::no_longer(&desk.plan, &desk.state, &after.in_force(), &Reckoner::default());
            judged.lost = lost.iter().map(Lost::told).collect();
            if !judged.changed.is_empty() {
                let redrawn = sheets::redrawn(host, &desk.folder, &desk.issue, &desk.plan, &desk.state);
                let old = outdated(&desk.plan, &desk.state, &redrawn.unwrap_or_default());
                judged.entry.warnings.extend(old.iter().map(|o| {
                    let number = &desk.plan.number;
                    format!(
                        "{}: print it again before anything is marked by it: tackwright template {number}.",
                        o.words()
                    )
                }));
            }
            if !judged.changed.is_empty() && !desk.rehearses() {
                match slip::write(host, desk, &after, &judged) {
                    Ok(path) => judged.slip = Some(path),
                    Err(Failure::System(why)) => {
                        judged.entry.warnings.push(format!("No slip was written: {why}"));
                    }
                    Err(Failure::Refused(..)) => {
                        judged.entry.warnings.push("No slip could be written.".to_owned());
                    }
                }
            }
        }
        Err(_) => judged.entry.warnings.push(
            "The plan can't be computed with this reading: stop and ask the lead before going on.".to_owned(),
        ),
    }
    Ok(judged)
}

fn operation_of<'a>(desk: &'a Desk, measured: &Measured) -> Result<&'a Operation, Failure> {
    let found = desk.plan.operations.iter().find(|o| o.key == measured.operation.key);
    found.ok_or_else(|| refused(Diagnostic::error("L145", "the operation is gone")))
}

/// A value beside the others of the same thing: neither ten times as much nor of the
/// other sign.
fn like(
    desk: &Desk,
    operation: &Operation,
    reading: &Reading,
    read: Quantity,
    corrects: Option<&Correction>,
) -> Result<(), Diagnostic> {
    for (name, words) in agree::beside(&desk.plan, operation, reading) {
        let Some((measured, mark)) = desk.state.reading(&name.operation, &name.reading) else { continue };
        // What is taken back is nothing to be compared with.
        if corrects.is_some_and(|c| c.entry == mark.n) {
            continue;
        }
        let other = recompute::number(measured).map(|(value, _)| Quantity::from_si(read.kind(), value));
        let Some(why) = other.and_then(|other| expected::unlike(read, other)) else { continue };
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
fn plausible(reading: &Reading, limits: Option<Limits>, read: Quantity) -> Result<(), Diagnostic> {
    let Some(why) = expected::far(reading, limits, read) else { return Ok(()) };
    Err(Diagnostic::error("L174", format!("{}: {why}", reading.label))
        .rule("a value far from what is expected is asked back")
        .help("look at the instrument, the unit, the point and the sign, and read again"))
}

/// The command that enters a value all the same, by whatever way it came.
fn surely(desk: &Desk, ask: &Ask, actor: &Actor) -> String {
    format!("if it is right all the same, say so: {} --sure", command(desk, ask, actor, &actor.id))
}

/// The command that says what was asked, by a person of this id.
fn command(desk: &Desk, ask: &Ask, actor: &Actor, by: &str) -> String {
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
fn sound(replaces: Option<&str>, read: Option<Quantity>) -> Result<(), Diagnostic> {
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

/// The uncertainty of an instrument for a value of the kind it reads.
fn spread_for(instrument: Option<&Instrument>, limits: Option<Limits>) -> Option<Spread> {
    let (instrument, limits) = (instrument?, limits?);
    instrument.spread.filter(|_| limits.kind != Kind::Number)
}

/// Targets that are others now.
fn targets(desk: &Desk, before: &recompute::Now, after: &recompute::Now) -> Vec<NewTarget> {
    let mut found = Vec::new();
    for operation in &desk.plan.operations {
        for reading in operation.readings() {
            let key = (operation.key.clone(), reading.id.clone());
            let text = |now: &recompute::Now| {
                now.readings
                    .get(&key)
                    .and_then(|r| r.target.clone())
                    .unwrap_or_else(|| "not known".to_owned())
            };
            let (was, is) = (text(before), text(after));
            if was != is {
                found.push(NewTarget {
                    operation: operation.number,
                    id: reading.id.clone(),
                    label: reading.label.clone(),
                    before: was,
                    now: is,
                });
            }
        }
    }
    found
}

fn sentence(number: u32, label: &str, measured: &Measured, limits: Option<Limits>) -> String {
    let mut text = format!("{number} {label}: {}", measured.text);
    if let Some(target) = &measured.target
        && measured.verdict.decided()
    {
        text.push_str(&format!(", wanted {target}"));
    }
    if let (Some(limits), Some(guard)) = (limits, measured.guard.as_ref().and_then(|g| g.parse::<f64>().ok()))
        && guard > 0.0
    {
        let shown = crate::quantity::show::uncertainty(Quantity::from_si(limits.kind, guard), None);
        text.push_str(&format!(", guard band {shown}"));
    }
    text.push_str(&format!(": {}", measured.verdict));
    text
}
