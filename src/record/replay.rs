//! The whole log once more, entry by entry, through the rules it was made by.
//!
//! What a rule needs from the shop book (PINs, tests, calibrations) is gone when
//! a record is checked elsewhere; the entry says what it rested on. Everything
//! else is judged by the frozen plan of the revision then in force: which work,
//! which reading, which limits, in which order, who signs what, what must be
//! decided before.

mod said;
mod tested;

use std::collections::BTreeSet;
use std::rc::Rc;

use chrono::DateTime;
use said::{decides, in_date, is_identified};

use super::agree::{self, choose, verdict};
use super::change;
use super::entry::{Action, Entry, Measured, Photo, WITHOUT_BOOK, entry as entry_at};
use super::fitness::read_off;
use super::frozen::{DROPPED_SINCE, Frozen, Limits, Operation, Point, Sheet};
use super::honest;
use super::hours::heats;
use super::identified;
use super::moved::{Asked, InForce, Place, Reckon, moves, no_longer};
use super::open::Open;
use super::outdated::{outdated, releases_cut};
use super::people::{Register, Signer};
use super::rules::{self, Scene};
use super::state::State;
use super::surely;
use super::words::nothing_read;
use crate::diagnostic::Diagnostic;
use crate::quantity::Quantity;

/// Edition of the rules since which every entry says both times.
const CLOCK_SINCE: u32 = 5;

/// Edition of the rules since which an entry that is made with a shop book names its rows.
const BOOK_SINCE: u32 = 5;

/// Edition of the rules since which a weld names the welder's test.
const TEST_SINCE: u32 = 6;

/// What may be done about a found condition.
pub const DISPOSITIONS: &[&str] = &["use as is", "rework", "repair", super::state::REJECT];

/// What a replay found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Replayed {
    /// Entries a rule says no to, and why.
    pub against: Vec<(u64, String)>,
    /// Entries that rest on other limits than come out when the plan is computed
    /// again with what was read before them.
    pub otherwise: Vec<(u64, String)>,
    /// Entries of revisions whose plan is not here.
    pub before: u64,
    /// Readings judged by other limits than the plan prints: computed from what
    /// was read before them.
    pub moved: Vec<u64>,
    /// What is no rule's no, and a reader should look at.
    pub told: Vec<(u64, String)>,
    /// What was open when the traveler was closed.
    pub open: Vec<String>,
}

/// Goes through a log whose form was checked. `plans` are those of its revisions,
/// as far as they are kept; `reckon` computes them with what was read.
#[must_use]
pub fn replay(plans: &[&Frozen], entries: &[Entry], reckon: &dyn Reckon) -> Replayed {
    let mut again = Again {
        reckon,
        plan: None,
        places: Vec::new(),
        now: None,
        ticks_wait: false,
        pinned: BTreeSet::new(),
        strangers: BTreeSet::new(),
        unseen: BTreeSet::new(),
        open: Open::kept(),
        found: Replayed::default(),
    };
    let mut state = State::default();
    for (index, entry) in entries.iter().enumerate() {
        let old = entry.corrects.as_ref().and_then(|c| entry_at(entries, c.entry)).filter(|o| o.n < entry.n);
        let before = entries.get(..index).unwrap_or_default();
        let was = again.plan;
        if let Action::Issued { issue } | Action::Revised { issue, .. } = &entry.what {
            again.issue(plans.iter().copied().find(|p| p.revision == issue.revision));
            again.ticks_wait = issue.made_by.is_some();
            again.pinned.extend(issue.pins.keys().cloned());
        }
        match again.plan {
            None => again.found.before += 1,
            Some(plan) => {
                if let Err(problem) = again.one(was, plan, &state, before, entry) {
                    again.found.against.push((entry.n, problem.message));
                }
            }
        }
        state.go_on(entry, old);
        again.open.after(entry);
        if again.touches(entry) {
            again.now = None;
        }
    }
    again.found
}

/// The replay where it stands.
struct Again<'a> {
    reckon: &'a dyn Reckon,
    /// Plan of the revision in force.
    plan: Option<&'a Frozen>,
    /// Readings of it that take the place of planned values.
    places: Vec<Place>,
    /// What follows from them, once it was asked for.
    now: Option<Option<Rc<InForce>>>,
    /// Ids of those who had a PIN by what was issued.
    pinned: BTreeSet<String>,
    /// Ids of those who gave a PIN that nobody knew of, told once.
    strangers: BTreeSet<String>,
    /// Tests nobody saw when the paper was issued, by welder, each told once.
    unseen: BTreeSet<(String, String)>,
    /// What stands open, as far as it was asked for.
    open: Open,
    /// Whether a tick waits for the readings of its step.
    ticks_wait: bool,
    found: Replayed,
}

fn wrong<T>(why: impl Into<String>) -> Result<T, Diagnostic> {
    Err(Diagnostic::error("L195", why.into()))
}

impl<'a> Again<'a> {
    fn issue(&mut self, plan: Option<&'a Frozen>) {
        self.plan = plan;
        self.now = None;
        self.open = Open::kept();
        self.places = plan
            .iter()
            .flat_map(|p| &p.operations)
            .flat_map(|o| {
                o.readings().filter(|r| r.replaces.is_some()).map(|r| (o.key.clone(), r.id.clone()))
            })
            .collect();
    }

    /// Whether what follows from the readings may be another after an entry.
    fn touches(&self, entry: &Entry) -> bool {
        match &entry.what {
            Action::Measure { reading } => self.decides(reading),
            Action::Withdrawn {} | Action::Issued { .. } | Action::Revised { .. } => true,
            _ => false,
        }
    }

    fn decides(&self, reading: &Measured) -> bool {
        self.places.iter().any(|(key, id)| *key == reading.operation.key && *id == reading.reading)
    }

    fn in_force(&mut self, plan: &Frozen, state: &State) -> Option<Rc<InForce>> {
        if self.now.is_none() {
            let now = if self.moved(state) { self.reckon.in_force(plan, state) } else { None };
            self.now = Some(now);
        }
        self.now.clone().flatten()
    }

    /// Notes tests that the rows of the book frozen with the plan do not have: they may have
    /// been passed since, or made up.
    fn tests(&mut self, plan: &Frozen, entry: &Entry, rests_on: &[String]) {
        for basis in rests_on {
            if self.reckon.tested(plan, &entry.by, basis) == Some(false)
                && self.unseen.insert((entry.by.id.clone(), basis.clone()))
            {
                let words = format!(
                    "{} welds by {basis}, which the rows of the shop book frozen with the paper do not have: ask the shop for the test",
                    entry.by.name
                );
                self.found.told.push((entry.n, words));
            }
        }
    }

    /// Whether anything read so far takes the place of a planned value.
    fn moved(&self, state: &State) -> bool {
        self.places.iter().any(|place| state.readings.contains_key(place))
    }

    fn one(
        &mut self,
        was: Option<&Frozen>,
        plan: &Frozen,
        state: &State,
        before: &[Entry],
        entry: &Entry,
    ) -> Result<(), Diagnostic> {
        let Some(at) = entry.time() else { return wrong("it has no time") };
        let clock = entry.clock.as_deref().map(DateTime::parse_from_rfc3339);
        match clock {
            Some(Ok(clock)) => rules::time(&at, &clock)?,
            Some(Err(_)) => return wrong("what its clock said is no time"),
            None => {}
        }
        let person = Signer {
            id: entry.by.id.clone(),
            name: entry.by.name.clone(),
            roles: vec![entry.by.role.clone()],
            ..Signer::default()
        };
        let register = Register::default();
        let day = if plan.rules >= DROPPED_SINCE { entry.day() } else { None };
        let day = day.unwrap_or_else(|| at.date_naive());
        let scene = Scene { plan, state, entries: before, register: &register, day, at: Some(at) };
        if plan.rules >= DROPPED_SINCE {
            in_date(entry, day)?;
        }
        match &entry.what {
            Action::Issued { issue } if entry.n != 1 => {
                return wrong(format!("rev {} was issued a second time", issue.revision));
            }
            Action::Issued { .. } | Action::TornLine { .. } => return Ok(()),
            _ if before.is_empty() => return wrong("the first entry is no issue"),
            _ => scene.since_issue(&at)?,
        }
        if let Some(correction) = &entry.corrects {
            scene.correction(correction, &entry.what)?;
            scene.once(correction, &entry.what)?;
            self.found.told.extend(honest::turned(before, entry).map(|turned| {
                (entry.n, format!("{} by {}: {}", turned.words(), entry.by.name, correction.reason))
            }));
            let old = entry_at(before, correction.entry);
            let stopped = old.map(|old| honest::stopped(plan, state, old)).unwrap_or_default();
            let words = |what: String| format!("{what}; by {}: {}", entry.by.name, correction.reason);
            self.found.told.extend(stopped.into_iter().map(|what| (entry.n, words(what))));
            // Logs without a clock are from before the rule.
            if entry.clock.is_some() {
                scene.second_person(correction, &entry.by)?;
            }
        }
        is_identified(entry, plan.rules)?;
        if plan.rules >= CLOCK_SINCE && entry.clock.is_none() {
            return wrong("it does not say what the clock was when it was written");
        }
        let pinned = self.pinned.contains(&entry.by.id);
        if pinned && decides(entry) && !entry.identified().is_some_and(identified::by_pin) {
            return wrong(format!("{} had a PIN by the issue, and it was not given", entry.by.name));
        }
        if identified::unknown(entry, &self.pinned, plan.rules) {
            let words = format!(
                "{} ({}) gives a PIN, had none by the issue, and the entry does not say when it was set",
                entry.by.name, entry.by.id
            );
            if identified::always_said(plan.rules) {
                return wrong(words);
            }
            if self.strangers.insert(entry.by.id.clone()) {
                self.found.told.push((entry.n, words));
            }
        }
        let without = entry.book.as_deref() == Some(WITHOUT_BOOK);
        if without && self.reckon.led(plan, &entry.by) == Some(false) {
            return wrong(format!(
                "{} went on without the shop book, and was no lead by the rows of it that were frozen",
                entry.by.name
            ));
        }
        let booked = self.reckon.booked(plan);
        if plan.rules >= BOOK_SINCE && booked && entry.book.is_none() {
            return wrong("it names no rows of the shop book, and the paper was issued with one");
        }
        let operation = |key: &str| -> Result<&Operation, Diagnostic> {
            let found = plan.operations.iter().find(|o| o.key == key);
            found.ok_or_else(|| Diagnostic::error("L195", format!("the plan has no operation \"{key}\"")))
        };
        match &entry.what {
            Action::Tick { operation: at, step, rests_on } => {
                let operation = operation(&at.key)?;
                if step.is_some_and(|s| !operation.steps.iter().any(|o| o.number == s)) {
                    return wrong(format!("operation {} has no such step", operation.number));
                }
                // What stands in a box is replaced by an entry that names it.
                let box_of = (at.key.clone(), step.unwrap_or(0));
                let once = plan.rules >= DROPPED_SINCE && entry.corrects.is_none();
                if let Some(mark) = state.ticks.get(&box_of).filter(|_| once) {
                    return wrong(format!(
                        "{} was ticked by {} (entry {})",
                        step.map_or_else(
                            || operation.number.to_string(),
                            |n| format!("{}.{n}", operation.number)
                        ),
                        mark.by.name,
                        mark.n
                    ));
                }
                let by = step.and_then(|n| operation.steps.iter().find(|s| s.number == n)?.by.as_deref());
                scene.work_knowing(&person, operation, false, by, &self.open)?;
                let proven = !booked || without || !rests_on.is_empty();
                let welds = !operation.joints.is_empty() && heats(operation);
                if plan.rules >= BOOK_SINCE && !proven && welds {
                    let words =
                        format!("{} welds {} and names no test", entry.by.name, operation.joints.join(", "));
                    if plan.rules >= TEST_SINCE {
                        return wrong(words);
                    }
                    self.found.told.push((entry.n, words));
                }
                if welds && booked {
                    self.tests(plan, entry, rests_on);
                }
                // Logs that do not name their maker are from before the rule.
                if let Some(step) = step.filter(|_| self.ticks_wait && entry.corrects.is_none()) {
                    scene.tick_waits(operation, step)?;
                }
            }
            Action::Measure { reading } => {
                let operation = operation(&reading.operation.key)?;
                let sure = surely::told(&scene, operation, reading);
                self.found.told.extend(sure.into_iter().map(|words| (entry.n, words)));
                self.limits(&scene, operation, reading, entry.n)?;
                let step = operation.step_of(&reading.reading);
                let by = step.and_then(|s| s.by.as_deref());
                scene.read_knowing(&person, operation, &reading.reading, by, &self.open)?;
                if let Some(step) = step {
                    scene.other_person(&person, operation, step, entry.corrects.is_some())?;
                }
                self.tester(&scene, operation, reading, entry)?;
            }
            Action::Sign { operation: at, slot, meaning, point: number, .. } => {
                let operation = operation(&at.key)?;
                let Some(point) = operation.points().find(|p| p.slot == *slot) else {
                    return wrong(format!("operation {} has no such point", operation.number));
                };
                if point.meaning != *meaning || point.number != *number {
                    return wrong(format!("the plan has other words at {}", point.number));
                }
                scene.sign(&person, &entry.by.role, operation, point)?;
                self.still_held(&scene, operation, point, entry.n);
            }
            Action::SeenOnPaper { operation: at, slot, signer, .. } => {
                let operation = operation(&at.key)?;
                let Some(point) = operation.points().find(|p| p.slot == *slot) else {
                    return wrong(format!("operation {} has no such point", operation.number));
                };
                let signer = Signer {
                    id: signer.id.clone(),
                    name: signer.name.clone(),
                    roles: vec![signer.role.clone()],
                    ..Signer::default()
                };
                scene.attest(&person, &signer, operation, point)?;
                let role = signer.roles.first().map_or("", String::as_str);
                scene.sign(&signer, role, operation, point)?;
                self.still_held(&scene, operation, point, entry.n);
            }
            Action::WitnessWaived { operation: at, slot, notice, .. } => {
                let operation = operation(&at.key)?;
                let Some(point) = operation.points().find(|p| p.slot == *slot) else {
                    return wrong(format!("operation {} has no such point", operation.number));
                };
                scene.nobody_came(&person, operation, point, notice)?;
                let before = scene.waited_before(operation, point, notice);
                self.found.told.extend(before.map(|words| (entry.n, words)));
                if person.roles.iter().any(|r| point.roles.contains(r)) {
                    let words = format!(
                        "{} wrote that nobody came to {}, and is a {} as was called",
                        person.name, point.number, entry.by.role
                    );
                    self.found.told.push((entry.n, words));
                }
                self.still_held(&scene, operation, point, entry.n);
            }
            Action::TesterWaived { operation: at, reading, reason, tester } => {
                let operation = operation(&at.key)?;
                scene.role(&person, "lead")?;
                scene.waive_tester(&person, tester, operation, reading, reason)?;
                let words = format!(
                    "{} lets {} test {}.{reading} without a certificate: {reason}",
                    entry.by.name, tester.name, operation.number
                );
                self.found.told.push((entry.n, words));
            }
            Action::Found { found, operation: at, photos, reading, text, .. } => {
                let operation = operation(&at.key)?;
                self.shown_before(&scene, photos, entry.n);
                scene.says(text, "what was found", "")?;
                if *found != format!("F{}", state.founds.len() + 1) {
                    return wrong(format!("{found} is not the next number of what is found"));
                }
                if reading.as_ref().is_some_and(|id| !operation.readings().any(|r| r.id == *id)) {
                    return wrong(format!("operation {} has no such reading", operation.number));
                }
                if state.closed.is_some() && !operation.deferred {
                    return wrong("it was closed before");
                }
            }
            Action::Disposition { found: number, disposition, reason } => {
                let Some(found) = state.founds.iter().find(|f| f.number == *number) else {
                    return wrong(format!("nothing was found as {number}"));
                };
                if found.disposition.is_some() && entry.corrects.is_none() {
                    return wrong(format!("{number} was decided before"));
                }
                if !DISPOSITIONS.contains(&disposition.as_str()) {
                    return wrong(format!("{number} is decided by no word"));
                }
                if state.rejected(found) && disposition != super::state::REJECT {
                    let words = format!("{number} was rejected, and decided as {disposition} afterwards");
                    self.found.told.push((entry.n, words));
                }
                scene.may_decide(found, disposition)?;
                scene.decided_after(found)?;
                scene.says(reason, "the reason of a disposition", "")?;
                scene.role(&person, "lead")?;
            }
            Action::Withdrawn {} => {
                let Some(correction) = &entry.corrects else { return wrong("it takes nothing back") };
                if state.closed.as_ref().is_some_and(|(mark, _)| mark.n > correction.entry) {
                    return wrong("it was closed before");
                }
            }
            Action::Revised { from, kept, reason, removed, reopened, .. } => {
                scene.role(&person, "lead")?;
                if state.closed.is_some() {
                    return wrong("it was closed before");
                }
                scene.says(reason, "the reason of a revision", "")?;
                let Some(was) = was else { return Ok(()) };
                let change = change::compare(was, plan);
                let again = |r: &super::entry::Reopened| r.key.clone();
                if was.revision != *from
                    || change.kept != *kept
                    || change.removed != *removed
                    || change.reopened.iter().map(again).ne(reopened.iter().map(again))
                {
                    return wrong(
                        "it keeps, starts again or removes other operations than the plans differ in",
                    );
                }
                if let Some((operation, reading, verdict)) = change::undecided(state, was, &change) {
                    return wrong(format!(
                        "{}.{reading} is {verdict}, and was never filed",
                        operation.number
                    ));
                }
            }
            Action::Closed { .. } => {
                scene.role(&person, "lead")?;
                if state.closed.is_some() {
                    return wrong("it was closed before");
                }
                let open = scene.open();
                if let Some(now) = self.in_force(plan, state) {
                    let lost = no_longer(plan, state, &now, self.reckon);
                    self.found.otherwise.extend(lost.iter().map(|l| (entry.n, l.told())));
                }
                self.found.open = open;
            }
            Action::Photographed { operation: at, photos, shows, .. } => {
                operation(&at.key)?;
                scene.photo_once(photos, shows)?;
                self.shown_before(&scene, photos, entry.n);
            }
            Action::Bars { bars } => {
                let issued = |s: &Sheet| s.digest == bars.sheet && s.name == bars.name;
                if !plan.sheets.iter().any(issued) {
                    // A print of the sheet as it stood with what was read until then.
                    let redrawn = self.moved(state).then(|| self.reckon.redrawn(plan, state)).flatten();
                    if redrawn.is_none() && !self.moved(state) {
                        return wrong(format!("the plan has no sheet {}", bars.name));
                    }
                    if !redrawn.iter().flatten().any(|r| r.digest == bars.sheet && r.name == bars.name) {
                        let why =
                            format!("{} is not drawn like that with what was read until then", bars.name);
                        self.found.otherwise.push((entry.n, why));
                    }
                }
                scene.bars_by(&bars.sheet, &entry.by)?;
                if bars.judged() != Some(bars.verdict) {
                    return wrong(format!("the bars of {} do not say {}", bars.name, bars.verdict));
                }
                if state.closed.is_some() {
                    return wrong("it was closed before");
                }
            }
            Action::Issued { .. } | Action::TornLine { .. } => {}
        }
        Ok(())
    }

    /// Notes photos that were filed for something else before.
    fn shown_before(&mut self, scene: &Scene<'_>, photos: &[Photo], n: u64) {
        self.found.told.extend(honest::shown_before(scene.state, photos).into_iter().map(|words| (n, words)));
    }

    /// Notes a signature that what was read until then forbids.
    fn still_held(&mut self, scene: &Scene<'_>, operation: &Operation, point: &Point, n: u64) {
        let Scene { plan, state, .. } = *scene;
        let Some(now) = self.in_force(plan, state) else { return };
        let lost = no_longer(plan, state, &now, self.reckon);
        let forbidden = now.forbids(operation).map(|why| format!("what was read forbids the cut: {why}"));
        let shut = scene.holds_still(operation, point, &lost).err().map(|p| p.message);
        let by_marks = || {
            let drawn = releases_cut(operation, point) && !state.bars.is_empty();
            let redrawn = drawn.then(|| self.reckon.redrawn(plan, state)).flatten()?;
            scene.marks_hold(operation, point, &outdated(plan, state, &redrawn)).err().map(|p| p.message)
        };
        let why = forbidden.or(shut).or_else(by_marks);
        self.found.otherwise.extend(why.map(|why| (n, why)));
    }

    /// Whether a reading was judged by what the plan asks of it: as it is printed,
    /// or computed with what was read before.
    fn limits(
        &mut self,
        scene: &Scene<'_>,
        operation: &Operation,
        reading: &Measured,
        n: u64,
    ) -> Result<(), Diagnostic> {
        let Scene { plan, state, .. } = *scene;
        let name = format!("{}.{}", operation.number, reading.reading);
        let Some(planned) = operation.readings().find(|r| r.id == reading.reading) else {
            return wrong(format!("operation {} has no reading \"{}\"", operation.number, reading.reading));
        };
        let tooled = planned.instrument.as_deref().is_some_and(|needed| !read_off(needed));
        if tooled && planned.limits.is_some() && reading.tool.is_none() {
            return wrong(format!("{name} names no instrument"));
        }
        // No instrument knows a value better than exactly: a guard below nothing widens limits.
        let fair = |text: &String| text.parse::<f64>().is_ok_and(|u| u.is_finite() && u >= 0.0);
        if ![&reading.uncertainty, &reading.guard].into_iter().flatten().all(fair) {
            return wrong(format!("{name} has an uncertainty that can't be"));
        }
        let chosen = choose(planned, &reading.text)?;
        if let Some((word, does)) = &chosen
            && (*word != reading.text || reading.verdict != verdict(*does))
        {
            return wrong(format!("{name} has not the verdict of its word"));
        }
        scene.in_time(operation, planned, chosen.as_ref().map(|(_, does)| *does))?;
        if scene.strict()
            && planned.limits.is_none()
            && let Some(why) = nothing_read(&reading.text)
        {
            return wrong(format!("{name}: {why}"));
        }
        if planned.limits.map(|l| l.kind.word()) != reading.kind.as_deref() {
            return wrong(format!("{name} is not of the kind the plan asks for"));
        }
        if let Some(value) = reading.value.as_ref().and_then(|v| v.parse().ok()) {
            agree::not_negative(planned, value)?;
        }
        let si = |l: Option<Limits>| {
            let si = |q: Option<Quantity>| q.map(|q| q.si().to_string());
            l.map_or((None, None), |l| (si(l.lower), si(l.upper)))
        };
        let own = (reading.lower.clone(), reading.upper.clone());
        let printed = Asked { limits: planned.limits, target: planned.target.clone() };
        // A reading is never its own target.
        let now = if planned.replaces.is_some() && state.reading(&operation.key, &reading.reading).is_some() {
            let without = state.deciding_without(plan, &operation.key, &reading.reading);
            let moved = moves(plan, &without);
            moved.then(|| self.reckon.in_force(plan, &without)).flatten()
        } else {
            self.in_force(plan, state)
        };
        let asked = now.as_ref().map_or_else(|| printed.clone(), |now| now.asked(&operation.key, planned));
        if si(asked.limits) == own && asked.target == reading.target {
            if own != si(printed.limits) {
                self.found.moved.push(n);
            }
            return Ok(());
        }
        if now.is_some() || self.moved(state) {
            let target = asked.target.as_deref().unwrap_or("no limit");
            let judged = reading.target.as_deref().unwrap_or("none");
            self.found
                .otherwise
                .push((n, format!("{name} was judged by \"{judged}\", and the plan asked for \"{target}\"")));
            return Ok(());
        }
        if si(asked.limits) == own && reading.target.is_none() {
            return Ok(());
        }
        wrong(format!("{name} was judged by other limits than the plan has"))
    }
}
