//! Readings: judged at once, and everything that depends on them computed again.

use super::desk::{Actor, Desk, by};
use super::files::RecordHost;
pub use super::judged::{Judged, NewTarget};
use super::recompute::{self, Memo};
use super::{refused, slip};
use crate::app::plan::Failure;
use crate::diagnostic::{Diagnostic, nearest};
use crate::figure::metrology::decision;
use crate::quantity::{Kind, Quantity, Style, parse};
use crate::record::agree;
use crate::record::entry::{Action, Correction, Measured};
use crate::record::frozen::{Limits, Operation};
use crate::record::people::{Instrument, Spread};
use crate::record::state::State;
use crate::term::{self, Does, Verdict};

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
    /// It is right although it is far off the other side, or the one before.
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
    ask.what = desk.plan.typed(&ask.what);
    let scene = desk.scene(actor);
    let (name, id) = ask.what.split_once('.').ok_or_else(|| {
        refused(
            Diagnostic::error("L147", format!("\"{}\" names no reading", ask.what))
                .expected("OPERATION.READING")
                .example("120.first.left"),
        )
    })?;
    let operation = scene.operation(name).map_err(refused)?;
    let Some(reading) = operation.readings().find(|r| r.id == id) else {
        let ids: Vec<&str> = operation.readings().map(|r| r.id.as_str()).collect();
        let mut problem =
            Diagnostic::error("L109", format!("operation {} has no reading \"{id}\"", operation.number))
                .expected(if ids.is_empty() { "it has no readings".to_owned() } else { ids.join(", ") });
        if let Some(near) = nearest(id, ids) {
            problem = problem.help(format!("did you mean \"{near}\"?"));
        }
        return Err(refused(problem));
    };
    let person = scene.person(&actor.id).map_err(refused)?;
    let step = operation.step_of(id);
    let role =
        scene.work_by(person, operation, true, step.and_then(|s| s.by.as_deref())).map_err(refused)?.role;
    if let Some(step) = step.filter(|_| ask.corrects.is_none()) {
        scene.other_person(person, operation, step).map_err(refused)?;
    }
    let chosen = agree::choose(reading, &ask.text).map_err(refused)?;
    let does = chosen.map(|(_, does)| does);
    if let Some((word, _)) = chosen {
        word.clone_into(&mut ask.text);
    }
    let needed = reading.limits.and(reading.instrument.as_deref());
    let read = judge(reading.limits, &ask.text, None).map_err(refused)?;
    let read = reading.limits.zip(recompute::number(&read)).map(|(l, (v, _))| Quantity::from_si(l.kind, v));
    let instrument = scene
        .instrument(ask.tool.as_deref(), needed, reading.limits.map(|l| l.kind), read)
        .map_err(refused)?;
    if let (Some(instrument), Some(read)) = (instrument, read) {
        scene.in_range(instrument, needed, read).map_err(refused)?;
    }
    if let Some(lot) = &reading.lot {
        scene.lots(lot, &ask.text).map_err(refused)?;
    }
    let taken = desk.state.reading(&operation.key, id);
    if let (Some((_, mark)), None, false) = (taken, &ask.corrects, ask.again) {
        return Err(refused(
            Diagnostic::error(
                "L141",
                format!("{} was read by {} (entry {})", ask.what, mark.by.name, mark.n),
            )
            .rule("corrections only by a new entry that names the old one and why")
            .help("measured once more, and both stand: --again")
            .help(format!("a slip of the pen: --corrects {} --reason \"…\"", mark.n)),
        ));
    }
    if let Some(read) = read.filter(|_| !ask.sure) {
        like(&desk.state, &operation.key, id, read).map_err(refused)?;
    }
    let decides = reading.replaces.is_some();
    let content = memo.content(host, &desk.folder, &desk.issue)?;
    // Until something measured replaces a planned value, the paper holds.
    // A reading is never its own target: it is judged by the plan without itself.
    let mut without = desk.state.clone();
    without.forget(&operation.key, id);
    let judged_by = if decides || recompute::any(&desk.plan, &without) {
        Some(memo.now(&content, &without)?)
    } else {
        None
    };
    let before = match taken {
        Some(_) if decides => Some(memo.now(&content, &desk.state)?),
        _ => judged_by.clone(),
    };
    let in_force = judged_by.as_ref().and_then(|b| b.readings.get(&(operation.key.clone(), id.to_owned())));
    // Where a reading made the limits impossible to compute, the paper holds.
    let bounded = |l: &Limits| l.lower.is_some() || l.upper.is_some();
    let printed = reading.limits.is_some_and(|l| bounded(&l));
    let lost = printed && in_force.is_some_and(|r| !r.limits.is_some_and(|l| bounded(&l)));
    let in_force = in_force.filter(|_| !lost);
    let limits = in_force.and_then(|r| r.limits).or(reading.limits);
    let target = in_force.map_or_else(|| reading.target.clone(), |r| r.target.clone());
    let replaces = reading.replaces.clone();
    sound(replaces.as_deref(), read).map_err(refused)?;
    let mut measured = judge(limits, &ask.text, spread_for(instrument, limits)).map_err(refused)?;
    if let Some(does) = does {
        measured.verdict = agree::verdict(does);
    }
    measured.calibrated_until = instrument.and_then(|i| i.until).map(|u| u.to_string());
    measured.operation = operation.at();
    id.clone_into(&mut measured.reading);
    measured.tool = ask.tool;
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
            entry
                .warnings
                .push(format!("STOP: {}. The next hold stays shut until a lead decides.", stop.words));
        }
    }
    if lost {
        entry.warnings.push(
            "The limits can't be computed with what was read so far, so the printed ones were taken: look at the readings before, and ask the lead.".to_owned(),
        );
    }
    if ask.again
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
            judged.lost = no_longer(desk, &after);
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

/// A value beside the other side, or the one before: not ten times as much.
fn like(state: &State, key: &str, id: &str, read: Quantity) -> Result<(), Diagnostic> {
    let other = agree::other_side(id);
    for (name, words) in [(other.as_deref(), "the other side"), (Some(id), "the one before")] {
        let Some((measured, _)) = name.and_then(|name| state.reading(key, name)) else { continue };
        let Some((value, _)) = recompute::number(measured) else { continue };
        if agree::unlike(read.kind(), value, read.si()) {
            return Err(Diagnostic::error(
                "L174",
                format!("{} is ten times off {words}, {}", Style::of(read.kind()).both(read), measured.text),
            )
            .rule("like sides are read in like units")
            .help("look at the unit; if it is right: --sure"));
        }
    }
    Ok(())
}

/// Readings taken that conformed, and do not by the limits now; with the points
/// signed on them. A reading that decides the plan is not its own target.
fn no_longer(desk: &Desk, now: &recompute::Now) -> Vec<String> {
    let mut found = Vec::new();
    for operation in &desk.plan.operations {
        for reading in operation.readings().filter(|r| r.replaces.is_none()) {
            let Some((taken, _)) = desk.state.reading(&operation.key, &reading.id) else { continue };
            let Some(limits) = now.limits(&operation.key, &reading.id) else { continue };
            let own = taken.uncertainty.as_ref().and_then(|u| u.parse().ok());
            let spread = own.map(|fixed| Spread { fixed, share: 0.0 });
            let Ok(again) = judge(Some(limits), &taken.text, spread) else { continue };
            if !taken.verdict.is(Verdict::Conform)
                || !again.verdict.decided()
                || again.verdict.is(Verdict::Conform)
            {
                continue;
            }
            let signed: Vec<&str> = operation
                .points()
                .filter(|p| !desk.state.signatures(&operation.key, &p.slot).is_empty())
                .map(|p| p.number.as_str())
                .collect();
            let with = if signed.is_empty() {
                String::new()
            } else {
                format!("; {} was signed on it", signed.join(", "))
            };
            found.push(format!(
                "{}.{} {}: {} is {} now{with}",
                operation.number, reading.id, reading.label, taken.text, again.verdict
            ));
        }
    }
    found
}

/// A wall, a pack or a wheelbase is more than nothing.
fn sound(replaces: Option<&str>, read: Option<Quantity>) -> Result<(), Diagnostic> {
    let Some(place) = replaces.and_then(crate::job::measured::find) else { return Ok(()) };
    match read {
        Some(read) if place.kind == Kind::Length && read.si() <= 0.0 => Err(Diagnostic::error(
            "L172",
            format!("{} can't be for the {}", Style::of(Kind::Length).both(read), place.words),
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

/// Judges a value against limits. `spread` is the instrument's uncertainty, used
/// where the value carries none.
///
/// # Errors
/// If the text is no such quantity, or one that can't be.
pub fn judge(limits: Option<Limits>, text: &str, spread: Option<Spread>) -> Result<Measured, Diagnostic> {
    let text = text.trim();
    let mut measured = Measured {
        calibrated_until: None,
        guard: None,
        kind: None,
        lower: None,
        operation: crate::record::entry::At { key: String::new(), number: 0 },
        reading: String::new(),
        target: None,
        text: text.to_owned(),
        tool: None,
        uncertainty: None,
        upper: None,
        value: None,
        verdict: term::Judged::Recorded,
    };
    let Some(limits) = limits else {
        if text.is_empty() || text.chars().count() > 400 || text.chars().any(char::is_control) {
            return Err(Diagnostic::error("L170", "a reading in words has 1 to 400 visible characters"));
        }
        return Ok(measured);
    };
    let read = parse::measured(limits.kind, text).map_err(|e| {
        Diagnostic::error("L171", e.message.clone()).expected(e.expected.clone()).example(e.example)
    })?;
    possible(limits.kind, read.value)?;
    let uncertainty =
        if read.uncertainty > 0.0 { Some(read.uncertainty) } else { spread.map(|s| s.at(read.value.si())) };
    let guard = uncertainty.map_or(0.0, |u| 2.0 * u);
    measured.kind = Some(limits.kind.word().to_owned());
    measured.value = Some(read.value.si().to_string());
    measured.uncertainty = uncertainty.map(|u| u.to_string());
    let bounds =
        decision::Limits { lower: limits.lower.map(Quantity::si), upper: limits.upper.map(Quantity::si) };
    if bounds.lower.is_some() || bounds.upper.is_some() {
        measured.lower = bounds.lower.map(|v| v.to_string());
        measured.upper = bounds.upper.map(|v| v.to_string());
        measured.guard = Some(guard.to_string());
        measured.verdict = term::Judged::Decided(bounds.verdict(read.value.si(), guard));
    }
    Ok(measured)
}

/// Values no part of a vehicle has.
fn possible(kind: Kind, value: Quantity) -> Result<(), Diagnostic> {
    let si = value.si();
    let range = match kind {
        Kind::Angle => -6.3..=6.3,
        Kind::Length => -100.0..=100.0,
        Kind::Temperature => 173.15..=3273.15,
        Kind::Torque => 0.0..=1e5,
        Kind::Current => 0.0..=5e3,
        Kind::Voltage => 0.0..=1e3,
        Kind::Time => 0.0..=1e7,
        Kind::Mass => 0.0..=1e6,
        Kind::Stress => 0.0..=1e9,
        Kind::Speed => 0.0..=1e3,
        _ => -1e12..=1e12,
    };
    if si.is_finite() && range.contains(&si) {
        return Ok(());
    }
    Err(Diagnostic::error("L172", format!("{} can't be", Style::of(kind).both(value)))
        .expected(format!("a {} such as {}", kind.word(), kind.example()))
        .help("read the instrument again; check the unit"))
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
