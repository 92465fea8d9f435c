//! Entries by hand: ticks, signatures, waived witnesses, found conditions,
//! dispositions, entries taken back.

use std::path::PathBuf;

use super::desk::{Actor, Desk, by};
use super::files::RecordHost;
use super::{photo, refused};
use crate::app::plan::Failure;
use crate::diagnostic::{Diagnostic, nearest};
use crate::record::entry::{Action, Correction, Photo};
use crate::record::frozen::{Operation, Point};
use crate::record::honest;
use crate::record::identified::by_pin;
use crate::record::log::Appended;
use crate::record::place::{INITIALS, Place};
use crate::record::question::{self, Questioned, WORDS_STAND};
use crate::record::words::{nothing_read, say_whole};
use crate::term::Disposition;

/// The entry that is replaced, and why.
pub type Replaced = Correction;

/// An entry that was made, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Done {
    /// Place and hash.
    pub entry: Appended,
    /// What was entered.
    pub words: String,
}

/// What is typed for steps that are printed as one, each by itself: `450.1-3` and
/// `450.1–3` are 450.1, 450.2 and 450.3. Everything else stays as it is.
#[must_use]
pub fn each(what: &str) -> Vec<String> {
    let several = || {
        let (operation, steps) = what.rsplit_once('.')?;
        let (first, last) = steps.split_once(['-', '–'])?;
        let (first, last) = (first.parse::<u32>().ok()?, last.parse::<u32>().ok()?);
        // More steps than a page holds are a slip.
        (first < last && last - first < 50)
            .then(|| (first..=last).map(|n| format!("{operation}.{n}")).collect())
    };
    several().unwrap_or_else(|| vec![what.to_owned()])
}

/// Ticks a step (`120.3`) or a whole operation (`120`).
///
/// # Errors
/// If a rule says no, or the system fails.
pub fn tick(
    desk: &mut Desk,
    what: &str,
    actor: &Actor,
    corrects: Option<Correction>,
) -> Result<Done, Failure> {
    let scene = desk.scene(actor);
    let place = scene.meant(what).map_err(refused)?;
    let (operation, step) = match place {
        Place::Operation(operation) => (operation, None),
        Place::Step(operation, step) => (operation, Some(step.number)),
        other => return Err(another_way(desk, &other, "ticked", "an operation or a step")),
    };
    let person = scene.person(&actor.id).map_err(refused)?;
    let by_other = step.and_then(|n| operation.steps.iter().find(|s| s.number == n)?.by.as_deref());
    let right = scene.work_by(person, operation, false, by_other).map_err(refused)?;
    if let (Some(step), None) = (step, &corrects) {
        scene.tick_waits(operation, step).map_err(refused)?;
    }
    if corrects.is_none() {
        scene.ticked_once(operation, step).map_err(refused)?;
    }
    if step.is_none() && corrects.is_none() {
        scene.initials_wait(operation).map_err(refused)?;
    }
    let over_nothing = scene.nothing_at(operation);
    let by = by(person, &right.role);
    let words = match step {
        Some(step) => format!("{}.{step} done by {}", operation.number, person.name),
        None => format!("{} initialled by {}: {}", operation.number, person.name, operation.title),
    };
    let key = operation.key.clone();
    let action = Action::Tick { operation: operation.at(), rests_on: right.rests_on, step };
    let mut entry = desk.enter(actor, by, corrects, action)?;
    if let (None, Some(done)) = (step, desk.plan.operations.iter().find(|o| o.key == key)) {
        let open = desk.state.lacking_work(done);
        let head = if over_nothing { "These initials stand over nothing so far. " } else { "" };
        if !open.is_empty() {
            let open = crate::record::rules::short(&open);
            entry.warnings.push(format!("{head}Still open at {}: {open}.", done.number));
        }
    }
    Ok(Done { entry, words })
}

/// The point that is meant: a point number (`H4`), or the first one of an
/// operation that `role` still has to sign.
fn point<'a>(
    desk: &'a Desk,
    actor: &Actor,
    name: &str,
    role: &str,
) -> Result<(&'a Operation, &'a Point), Failure> {
    let operation = match desk.scene(actor).meant(name).map_err(refused)? {
        Place::Point(operation, point) => return Ok((operation, point)),
        Place::Operation(operation) => operation,
        other => return Err(another_way(desk, &other, "signed", "a point (H4), or an operation with one")),
    };
    let open = |p: &&Point| desk.state.unsigned(operation, p).contains(&role);
    let of_role = |p: &&Point| p.roles.iter().any(|r| r == role);
    let found = operation
        .points()
        .find(open)
        .or_else(|| operation.points().find(of_role))
        .or_else(|| operation.points().next());
    let key = &operation.key;
    let place = desk.plan.place(key).and_then(|i| desk.plan.operations.get(i));
    match (found, place) {
        (Some(found), Some(place)) => {
            let point = place.points().find(|p| p.slot == found.slot);
            point.map(|p| (place, p)).ok_or_else(|| refused(Diagnostic::error("L145", "the point is gone")))
        }
        _ => Err(refused(
            Diagnostic::error("L146", format!("operation {} has no point to sign", operation.number)).help(
                format!("tick it instead: tackwright tick {} {} --by ID", desk.plan.number, operation.number),
            ),
        )),
    }
}

/// Signs a point.
///
/// # Errors
/// If a rule says no, or the system fails.
pub fn sign(
    host: &dyn RecordHost,
    desk: &mut Desk,
    what: &str,
    role: &str,
    actor: &Actor,
    pin: Option<&str>,
) -> Result<Done, Failure> {
    let (operation, point) = point(desk, actor, what, role)?;
    let scene = desk.scene(actor);
    let person = scene.person(&actor.id).map_err(refused)?;
    let right = scene.sign(person, role, operation, point).map_err(refused)?;
    desk.lets(host, &scene, operation, point)?;
    let pin = pin.or(desk.pin.as_deref());
    let identified = desk.door().identify(person, pin)?;
    let words = format!(
        "{} of operation {} signed by {} ({}) as {role}: {}",
        point.number, operation.number, person.name, person.id, point.meaning
    );
    let own = scene.reviews_own(person, point);
    let by = by(person, role);
    let action = Action::Sign {
        identified: identified.clone(),
        meaning: point.meaning.clone(),
        operation: operation.at(),
        point: point.number.clone(),
        rests_on: right.rests_on,
        slot: point.slot.clone(),
    };
    let mut entry = desk.enter(actor, by, None, action)?;
    entry.warnings.extend(own.map(|words| format!("{words}: the record says so.")));
    if !by_pin(&identified) {
        entry.warnings.push(format!(
            "{} has no PIN, so the record rests on the id alone: tackwright key pin {}",
            actor.id, actor.id
        ));
    }
    Ok(Done { entry, words })
}

/// Who signed on paper, and where it stands there.
#[derive(Debug, Clone)]
pub struct Paper<'a> {
    /// Id of who signed.
    pub signer: &'a str,
    /// Where: `page 30`.
    pub place: &'a str,
}

/// Attests a signature that stands on paper; the time is that of the signature.
/// It is a lead's word for it, and says so.
///
/// # Errors
/// If a rule says no to the signature or to who attests it, or the system fails.
pub fn seen_on_paper(
    host: &dyn RecordHost,
    desk: &mut Desk,
    what: &str,
    role: &str,
    paper: &Paper<'_>,
    actor: &Actor,
) -> Result<Done, Failure> {
    let (operation, point) = point(desk, actor, what, role)?;
    let scene = desk.scene(actor);
    let person = scene.person(&actor.id).map_err(refused)?;
    let signer = scene.person(paper.signer).map_err(refused)?;
    scene.attest(person, signer, operation, point).map_err(refused)?;
    let right = scene.sign(signer, role, operation, point).map_err(refused)?;
    desk.lets(host, &scene, operation, point)?;
    if let Some(why) = nothing_read(paper.place) {
        return Err(refused(
            Diagnostic::error("L201", format!("say where on the paper the signature stands: {why}"))
                .rule("what was seen on paper can be found again")
                .example("--seen-on-paper \"page 30\""),
        ));
    }
    let identified = desk.door().identify(person, desk.pin.as_deref())?;
    let words = format!(
        "{} of operation {} signed on paper, {}, by {} ({}) as {role}; seen there by {} ({})",
        point.number, operation.number, paper.place, signer.name, signer.id, person.name, person.id
    );
    let action = Action::SeenOnPaper {
        identified,
        meaning: point.meaning.clone(),
        operation: operation.at(),
        place: paper.place.to_owned(),
        point: point.number.clone(),
        rests_on: right.rests_on,
        signer: by(signer, role),
        slot: point.slot.clone(),
    };
    let by = by(person, "lead");
    let entry = desk.enter(actor, by, None, action)?;
    Ok(Done { entry, words })
}

/// Goes on past a witness point nobody came to.
///
/// # Errors
/// If a rule says no, or the system fails.
pub fn waive(
    host: &dyn RecordHost,
    desk: &mut Desk,
    what: &str,
    role: &str,
    notice: &str,
    actor: &Actor,
) -> Result<Done, Failure> {
    let (operation, point) = point(desk, actor, what, role)?;
    let scene = desk.scene(actor);
    let person = scene.person(&actor.id).map_err(refused)?;
    scene.nobody_came(person, operation, point, notice).map_err(refused)?;
    desk.lets(host, &scene, operation, point)?;
    let before = scene.waited_before(operation, point, notice);
    let by = by(person, person.roles.first().map_or("", String::as_str));
    let words = format!("{} of operation {}: nobody came; {notice}", point.number, operation.number);
    let action = Action::WitnessWaived {
        notice: notice.to_owned(),
        operation: operation.at(),
        point: point.number.clone(),
        slot: point.slot.clone(),
    };
    let mut entry = desk.enter(actor, by, None, action)?;
    entry.warnings.extend(before.map(|words| format!("{words}: `verify` tells it.")));
    Ok(Done { entry, words })
}

/// Lets somebody test who is not certified for it: a lead answers for it, and the record
/// says so.
///
/// # Errors
/// If nothing is tested there, a rule says no, or the system fails.
pub fn waive_tester(
    desk: &mut Desk,
    what: &str,
    tester: &str,
    reason: &str,
    actor: &Actor,
) -> Result<Done, Failure> {
    let scene = desk.scene(actor);
    let place = scene.meant(what).map_err(refused)?;
    let Place::Reading(operation, reading) = place else {
        return Err(another_way(desk, &place, "tested", "the reading of a test, as 240.cracks.J1"));
    };
    let person = scene.person(&actor.id).map_err(refused)?;
    scene.role(person, "lead").map_err(refused)?;
    let who = scene.person(tester).map_err(refused)?;
    let tester = by(who, who.roles.first().map_or("", String::as_str));
    scene.waive_tester(person, &tester, operation, &reading.id, reason).map_err(refused)?;
    // Whoever may not read there at all is helped by no waiver.
    scene.may_read(who, operation, reading).map_err(refused)?;
    let words = format!(
        "{} ({}) may test at {} without a certificate; {} answers for it: {reason}",
        tester.name,
        tester.id,
        place.typed(),
        person.name
    );
    let action = Action::TesterWaived {
        operation: operation.at(),
        reading: reading.id.clone(),
        reason: reason.to_owned(),
        tester,
    };
    let by = by(person, "lead");
    let entry = desk.enter(actor, by, None, action)?;
    Ok(Done { entry, words })
}

/// Opens a found condition.
///
/// # Errors
/// If a photo is none, a rule says no, or the system fails.
pub fn found(
    host: &dyn RecordHost,
    desk: &mut Desk,
    what: &str,
    text: &str,
    photos: &[PathBuf],
    actor: &Actor,
) -> Result<Done, Failure> {
    let scene = desk.scene(actor);
    let place = scene.meant(what).map_err(refused)?;
    let operation = place.operation();
    // What is found at a step or a point is found at its operation.
    let (what, reading) = match place {
        Place::Reading(_, reading) => (place.typed(), Some(reading.id.as_str())),
        _ => (operation.number.to_string(), None),
    };
    let person = scene.person(&actor.id).map_err(refused)?;
    scene.was_read(operation, reading).map_err(refused)?;
    say_whole(text, "what was found", "\"crack at the toe of the left pad\"").map_err(refused)?;
    // What is found at a dated follow-up is decided and entered here.
    if desk.state.closed.is_some() && !operation.deferred {
        return Err(refused(
            Diagnostic::error("L111", format!("{} is closed", desk.plan.number))
                .rule("closed means closed")
                .help("name the follow-up it was found at; anything else found after hand-over needs a new traveler"),
        ));
    }
    let number = format!("F{}", desk.state.founds.len() + 1);
    let mut kept = Vec::new();
    for (path, n) in photos.iter().zip(1_u32..) {
        kept.push(photo::take(host, path, &format!("{number}-{n}"))?);
    }
    // Photos first: the entry may only name what is there.
    for taken in &kept {
        taken.keep(host, &desk.folder)?;
    }
    let by = by(person, person.roles.first().map_or("", String::as_str));
    let words = format!("{number} found at operation {what}: {text}");
    let photos: Vec<Photo> = kept.into_iter().map(|taken| taken.photo).collect();
    let before = honest::shown_before(&desk.state, &photos);
    let twice = scene.open_there(operation, reading);
    let action = Action::Found {
        found: number,
        operation: operation.at(),
        photos,
        reading: reading.map(str::to_owned),
        text: text.to_owned(),
    };
    let mut entry = desk.enter(actor, by, None, action)?;
    entry.warnings.extend(twice);
    entry.warnings.extend(before.iter().map(|words| format!("{words}: `verify` tells it.")));
    Ok(Done { entry, words })
}

/// The disposition somebody means: its words, with spaces or with `-`.
///
/// # Errors
/// If it is none.
pub fn disposition(text: &str) -> Result<Disposition, Failure> {
    let spaced = text.trim().replace(['-', '_'], " ").to_lowercase();
    Disposition::of(&spaced).ok_or_else(|| {
        let problem = Diagnostic::error("L153", format!("\"{text}\" is no disposition"))
            .expected(Disposition::WORDS.join(", "));
        refused(match nearest(text, Disposition::WORDS.iter().copied()) {
            Some(near) => problem.help(format!("did you mean \"{near}\"?")),
            None => problem,
        })
    })
}

/// What a lead decides about a found condition.
#[derive(Debug, Clone, Copy)]
pub struct Decision<'a> {
    /// Number of the found condition.
    pub found: &'a str,
    /// What is done about it.
    pub disposition: Disposition,
    /// What the decision rests on, in words.
    pub reason: &'a str,
    /// Whether the words chosen there before stand all the same.
    pub words_stand: bool,
}

/// Gives a found condition its disposition.
///
/// # Errors
/// If a rule says no, or the system fails.
pub fn dispose(
    desk: &mut Desk,
    decision: Decision<'_>,
    actor: &Actor,
    corrects: Option<Correction>,
) -> Result<Done, Failure> {
    let Decision { found, disposition, reason, words_stand } = decision;
    let scene = desk.scene(actor);
    let person = scene.person(&actor.id).map_err(refused)?;
    scene.role(person, "lead").map_err(refused)?;
    let Some(open) = desk.state.founds.iter().find(|f| f.number.eq_ignore_ascii_case(found)) else {
        let known: Vec<&str> = desk.state.founds.iter().map(|f| f.number.as_str()).collect();
        return Err(refused(
            Diagnostic::error("L152", format!("there is no found condition \"{found}\"")).expected(
                if known.is_empty() { "none was found so far".to_owned() } else { known.join(", ") },
            ),
        ));
    };
    scene.may_decide(open, disposition).map_err(refused)?;
    scene.answers_for(open, disposition, reason).map_err(refused)?;
    scene.decided_after(open).map_err(refused)?;
    say_whole(reason, "a disposition needs a reason", "--reason \"cut out, weld, penetrant test\"")
        .map_err(refused)?;
    if let (Some((was, _, mark)), None) = (&open.disposition, &corrects) {
        return Err(refused(
            Diagnostic::error(
                "L141",
                format!("{} has the disposition {was} (entry {})", open.number, mark.n),
            )
            .rule("corrections only by a new entry that names the old one and why")
            .help(format!(
                "tackwright dispose {} {} \"{disposition}\" --corrects {} --by {} --reason \"…\"",
                desk.plan.number, open.number, mark.n, actor.id
            )),
        ));
    }
    let number = open.number.clone();
    let before = desk.state.words_before(&desk.plan, open);
    let said = crate::record::rules::short(&before.iter().map(Questioned::said).collect::<Vec<_>>());
    if words_stand && before.is_empty() {
        return Err(refused(
            Diagnostic::error("L307", format!("no word was chosen where {number} was found, before it"))
                .rule("a lead lets stand what stands there")
                .help("leave out --words-stand"),
        ));
    }
    let stand = if words_stand { format!("; {WORDS_STAND}: {said}") } else { String::new() };
    let words = format!("{number}: {disposition}, by {}: {reason}{stand}", person.name);
    let action =
        Action::Disposition { disposition, found: number.clone(), reason: reason.to_owned(), words_stand };
    let by = by(person, "lead");
    let mut entry = desk.enter(actor, by, corrects, action)?;
    if !words_stand && !said.is_empty() && desk.plan.rules >= question::SINCE {
        entry.warnings.push(format!(
            "IN QUESTION: chosen before {number} was found there: {said}. Each is read again (--again), or a lead says that all stand: the same with --words-stand --corrects {}. The unit goes only then.",
            entry.n
        ));
    }
    Ok(Done { entry, words })
}

/// That a place is for another command, and for which.
pub(super) fn another_way(desk: &Desk, place: &Place<'_>, done: &str, expected: &str) -> Failure {
    refused(
        Diagnostic::error("L147", format!("{} is not {done}", place.typed()))
            .expected(expected)
            .help(place.way(&desk.plan.number)),
    )
}

/// The entry that is meant: its number, or the place it fills (`120.first.left`, `H4`,
/// the name of a box).
///
/// # Errors
/// If it is neither, nothing stands there, or several entries do.
pub fn entry_meant(desk: &Desk, what: &str) -> Result<u64, Failure> {
    let what = what.trim();
    let number = what.strip_prefix("entry").unwrap_or(what).trim();
    if let Ok(n) = number.parse::<u64>() {
        return entry_of_number(desk, n);
    }
    let filled: Vec<_> = match what.parse().ok().and_then(|name| desk.plan.box_of(&name)) {
        Some(asked) => asked.filled(&desk.state).into_iter().collect(),
        None => {
            let place = desk.plan.meant(what).map_err(|problem| {
                refused(
                    problem.help(format!("or the number of an entry: status {} --entries", desk.plan.number)),
                )
            })?;
            place.boxes(&desk.plan).iter().filter_map(|asked| asked.filled(&desk.state)).collect()
        }
    };
    match filled.as_slice() {
        [mark] => Ok(mark.n),
        [] => Err(refused(
            Diagnostic::error("L211", format!("{what} is empty: there is nothing to take back"))
                .help(format!("`status {} --entries` lists what was entered", desk.plan.number)),
        )),
        several => {
            let all: Vec<String> =
                several.iter().map(|mark| format!("{} by {}", mark.n, mark.by.name)).collect();
            Err(refused(
                Diagnostic::error("L211", format!("several entries stand at {what}"))
                    .expected(format!("one of the entries {}", all.join(", "))),
            ))
        }
    }
}

/// A bare number is an entry, not an operation: both are counted in the same numbers.
fn entry_of_number(desk: &Desk, n: u64) -> Result<u64, Failure> {
    if desk.entries.iter().any(|e| e.n == n) {
        return Ok(n);
    }
    let number = &desk.plan.number;
    let mut problem = Diagnostic::error(
        "L211",
        format!("{number} has no entry {n}: the last one is {}", desk.state.entries),
    )
    .expected("the number of an entry, or the place it fills")
    .help(format!("`status {number} --entries` lists them"));
    if desk.plan.operations.iter().any(|o| u64::from(o.number) == n) {
        problem = problem.help(format!(
            "{n} is an operation: its initials are {n}.{INITIALS}, a step {n}.1, a reading {n}.READING"
        ));
    }
    Err(refused(problem))
}

/// Whether an entry is only taken back: a value that should stand in its place is entered
/// as one.
///
/// # Errors
/// If a value was given, with the command that enters it.
pub fn only_taken_back(desk: &Desk, n: u64, value: Option<&str>, actor: &Actor) -> Result<(), Failure> {
    let Some(value) = value else { return Ok(()) };
    let number = &desk.plan.number;
    let old = desk.entries.iter().find(|e| e.n == n).map(|e| &e.what);
    let way_out = match old {
        Some(Action::Measure { reading }) => {
            let tool = reading.tool.as_ref().map(|t| format!(" --with {t}")).unwrap_or_default();
            format!(
                "tackwright measure {number} {}.{} \"{value}\"{tool} --corrects {n} --reason \"…\" --by {}",
                reading.operation.number, reading.reading, actor.id
            )
        }
        _ => format!("leave \"{value}\" out: nothing is written in the place of entry {n}"),
    };
    Err(refused(
        Diagnostic::error(
            "L270",
            format!("`correct` takes entry {n} back, and writes no value in its place"),
        )
        .rule("corrections only by a new entry that names the old one and why")
        .help(way_out),
    ))
}

/// Takes an entry back: a tick, reading or signature that was wrong.
///
/// # Errors
/// If a rule says no, or the system fails.
pub fn withdraw(desk: &mut Desk, correction: Correction, actor: &Actor) -> Result<Done, Failure> {
    let scene = desk.scene(actor);
    let person = scene.person(&actor.id).map_err(refused)?;
    if desk.state.closed.as_ref().is_some_and(|(mark, _)| mark.n > correction.entry) {
        return Err(refused(
            Diagnostic::error("L111", format!("{} is closed", desk.plan.number))
                .rule("closed means closed")
                .help("only what was entered after hand-over can be taken back"),
        ));
    }
    let own = desk.entries.iter().any(|e| e.n == correction.entry && e.by.id == person.id);
    if !own {
        scene.role(person, "lead").map_err(refused)?;
    }
    let was = desk.entries.iter().find(|e| e.n == correction.entry);
    let was = was.map_or(String::new(), |e| format!(" ({})", super::words(e)));
    let words =
        format!("entry {}{was} taken back by {}: {}", correction.entry, person.name, correction.reason);
    let role = if own { person.roles.first().map_or("", String::as_str) } else { "lead" };
    let by = by(person, role);
    let entry = desk.enter(actor, by, Some(correction), Action::Withdrawn {})?;
    Ok(Done { entry, words })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_printed_as_one_are_typed_as_one() {
        assert_eq!(each("450.1-3"), ["450.1", "450.2", "450.3"]);
        assert_eq!(each("450.2–3"), ["450.2", "450.3"]);
        for one in
            ["450", "450.2", "H4", "450.3-1", "450.1-900", "front/set-pinion:#3", "450.gap-left", "450.2-"]
        {
            assert_eq!(each(one), [one]);
        }
    }
}
