//! The whole log once more, entry by entry, through the rules it was made by.
//!
//! What a rule needs from the shop book (PINs, tests, calibrations) is gone when
//! a record is checked elsewhere; the entry says what it rested on. Everything
//! else is judged by the frozen plan of the revision then in force: which work,
//! which reading, which limits, in which order, who signs what, what must be
//! decided before.

mod decided;
mod made;
mod said;
mod signed;
mod tested;
mod tooled;
mod worked;

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use super::calibration::Said;
use super::entry::{Action, Entry, Measured, entry as entry_at};
use super::frozen::{DROPPED_SINCE, Frozen};
use super::moved::{InForce, Place, Reckon, moves};
use super::open::Open;
use super::people::{Instrument, Register};
use super::rules::Scene;
use super::state::State;
use crate::diagnostic::Diagnostic;
use made::Made;

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

impl Replayed {
    /// Counts what comes out otherwise when it is computed again as against the rules, where
    /// the revision an entry is of is planned alike: elsewhere it proves nothing.
    pub fn count_otherwise(&mut self, planned_alike: impl Fn(u64) -> bool) {
        let all = std::mem::take(&mut self.otherwise).into_iter();
        let (wrong, told): (Vec<_>, Vec<_>) = all.partition(|(n, _)| planned_alike(*n));
        self.otherwise = told;
        self.against.extend(wrong);
        self.against.sort();
    }
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
        since: BTreeMap::new(),
        without: BTreeMap::new(),
        ticks_wait: false,
        pinned: BTreeSet::new(),
        strangers: BTreeSet::new(),
        unseen: BTreeSet::new(),
        open: Open::kept(),
        rows: None,
        said: Said::default(),
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
        let changed = again.changes(&state, entry);
        state.go_on(entry, old);
        if let (Some(plan), Some(_)) = (again.plan, entry.issue()) {
            state.follow(plan);
        }
        again.open.after(entry);
        if changed {
            again.changed(entry);
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
    /// The entry since which each of them has the value it has.
    since: BTreeMap<Place, u64>,
    /// What follows from all of them but one, with the last entry that changed another.
    without: BTreeMap<Place, (u64, Option<Rc<InForce>>)>,
    /// Ids of those who had a PIN by what was issued.
    pinned: BTreeSet<String>,
    /// Ids of those who gave a PIN that nobody knew of, told once.
    strangers: BTreeSet<String>,
    /// Tests nobody saw when the paper was issued, by welder, and calibrations, by
    /// instrument, each told once.
    unseen: BTreeSet<(String, String)>,
    /// What stands open, as far as it was asked for.
    open: Open,
    /// Rows of instruments frozen with the plan in force, once they were asked for.
    rows: Option<Vec<Instrument>>,
    /// What entries said of their instruments so far.
    said: Said,
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
        (self.now, self.rows) = (None, None);
        self.since.clear();
        self.without.clear();
        self.open = Open::kept();
        self.places = plan
            .iter()
            .flat_map(|p| &p.operations)
            .flat_map(|o| {
                o.readings().filter(|r| r.replaces.is_some()).map(|r| (o.key.clone(), r.id.clone()))
            })
            .collect();
    }

    /// Whether what follows from the readings may be another after an entry: most that are
    /// taken again decide nothing else than before. `state` is that before.
    fn changes(&self, state: &State, entry: &Entry) -> bool {
        match &entry.what {
            Action::Measure { reading } if self.decides(reading) => {
                let before = state.reading(&reading.operation.key, &reading.reading);
                let same =
                    |was: &Measured| (&was.value, &was.uncertainty) == (&reading.value, &reading.uncertainty);
                entry.corrects.is_some() || before.is_none_or(|(was, _)| !same(was))
            }
            Action::Withdrawn {} | Action::Issued { .. } | Action::Revised { .. } => true,
            _ => false,
        }
    }

    /// Forgets what an entry that [changes](Self::changes) it may have changed.
    fn changed(&mut self, entry: &Entry) {
        self.now = None;
        match &entry.what {
            Action::Measure { reading } if entry.corrects.is_none() => {
                let place = (reading.operation.key.clone(), reading.reading.clone());
                self.since.insert(place, entry.n);
            }
            _ => {
                self.since.clear();
                self.without.clear();
            }
        }
    }

    /// What follows from the readings without one of them, which is never its own target.
    fn without(&mut self, plan: &Frozen, state: &State, place: &Place) -> Option<Rc<InForce>> {
        let others = self.since.iter().filter(|(other, _)| *other != place);
        let since = others.map(|(_, n)| *n).max().unwrap_or(0);
        if let Some((_, known)) = self.without.get(place).filter(|(at, _)| *at == since) {
            return known.clone();
        }
        let without = state.deciding_without(plan, &place.0, &place.1);
        let made = moves(plan, &without).then(|| self.reckon.in_force(plan, &without)).flatten();
        self.without.insert(place.clone(), (since, made.clone()));
        made
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

    /// Whether anything read so far takes the place of a planned value.
    fn moved(&self, state: &State) -> bool {
        self.places.iter().any(|place| state.readings.contains_key(place))
    }

    /// Judges one entry: how it was made, then what it says.
    fn one(
        &mut self,
        was: Option<&Frozen>,
        plan: &'a Frozen,
        state: &State,
        before: &[Entry],
        entry: &Entry,
    ) -> Result<(), Diagnostic> {
        let at = made::time(entry)?;
        let (person, register) = (made::signer(&entry.by), Register::default());
        let strict = plan.rules >= DROPPED_SINCE;
        let day = entry.day().filter(|_| strict).unwrap_or_else(|| at.date_naive());
        let scene = Scene { plan, state, entries: before, register: &register, day, at: Some(at) };
        if strict {
            said::in_date(entry, day)?;
        }
        match &entry.what {
            Action::Issued { issue } if entry.n != 1 => {
                return wrong(format!("rev {} was issued a second time", issue.revision));
            }
            Action::Issued { .. } | Action::TornLine { .. } => return Ok(()),
            _ if before.is_empty() => return wrong("the first entry is no issue"),
            _ => scene.since_issue(&at)?,
        }
        let made = Made { scene, person: &person, entry };
        self.started_again(&made)?;
        self.corrected(&made)?;
        self.identified(&made)?;
        self.by_the_book(&made)?;
        match &entry.what {
            Action::Tick { operation, step, rests_on } => self.ticked(&made, operation, *step, rests_on),
            Action::Measure { reading } => self.measured(&made, reading),
            Action::Sign { operation, slot, meaning, point, rests_on, .. } => {
                self.signed(&made, made.point(operation, slot)?, (meaning, point), rests_on)
            }
            Action::SeenOnPaper { operation, slot, signer, rests_on, .. } => {
                self.seen_on_paper(&made, made.point(operation, slot)?, (signer, rests_on))
            }
            Action::WitnessWaived { operation, slot, notice, .. } => {
                self.nobody_came(&made, made.point(operation, slot)?, notice)
            }
            Action::TesterWaived { operation, reading, reason, tester } => {
                self.tester_waived(&made, made.operation(operation)?, reading, (tester, reason))
            }
            Action::Found { .. } => self.found(&made),
            Action::Disposition { found, disposition, reason, .. } => {
                self.disposed(&made, found, *disposition, reason)
            }
            Action::Withdrawn {} => made.withdrawn(),
            Action::Revised { .. } => {
                made.revised(was)?;
                self.regrown(&made, was);
                Ok(())
            }
            Action::Closed { .. } => self.closed(&made),
            Action::Photographed { operation, photos, shows, .. } => {
                let operation = made.operation(operation)?;
                made.scene.photo_once(photos, *shows)?;
                let late = made.scene.as_found(operation, *shows)?;
                let early = made.scene.as_left(operation, *shows)?;
                self.tell(&made, late.into_iter().chain(early));
                self.shown_before(&made, photos);
                Ok(())
            }
            Action::Bars { bars } => self.bars(&made, bars),
            Action::Issued { .. } | Action::TornLine { .. } => Ok(()),
        }
    }

    /// Notes what no rule says no to, and a reader should look at.
    fn tell(&mut self, made: &Made<'_>, words: impl IntoIterator<Item = String>) {
        self.found.told.extend(words.into_iter().map(|words| (made.entry.n, words)));
    }

    /// Notes that an entry rests on other limits than come out when the plan is computed again.
    fn otherwise(&mut self, made: &Made<'_>, words: impl IntoIterator<Item = String>) {
        self.found.otherwise.extend(words.into_iter().map(|words| (made.entry.n, words)));
    }
}
