//! What work and signatures rest on: nothing is entered past what is not.

use std::collections::BTreeSet;

use chrono::TimeDelta;

use super::entry::SLACK;
use super::frozen::{Operation, Point, PointKind, Reading, Step};
use super::open::Open;
use super::people::Signer;
use super::rules::{Scene, refuse, short};
use super::state::Mark;
use crate::diagnostic::Diagnostic;
use crate::term::Level;
use crate::term::clock::told;

/// Edition of the rules since which neither of two readings is put right, or taken first,
/// by whoever took the other.
const BOTH_WAYS_SINCE: u32 = 5;
/// Work that what is entered now rests on, in a refusal of the order.
const MADE_AGAIN: &str = "the work made again before it";
/// Ticks a refusal names in its command.
const NAMED: usize = 12;

impl<'a> Scene<'a> {
    /// Whether the work an operation rests on was entered, and was done before.
    ///
    /// Only the nearest that prove something are looked at: they were entered by the
    /// same rule. Where something was taken back or started again since, it is looked
    /// at as well. Before the unit goes, everything is.
    pub(super) fn rests(&self, operation: &Operation, open: &Open) -> Result<(), Diagnostic> {
        if !operation.levelled() {
            return Ok(());
        }
        let nearest = open.nearest(self, operation);
        let settled = |o: &Operation| self.state.closed.is_some() && !o.deferred;
        let goes = self.strict() && operation.lets_go;
        let mut asked: Vec<&Operation> = nearest.clone();
        if goes {
            let place = self.plan.place(&operation.key).unwrap_or(0);
            asked = self.plan.operations.iter().take(place).filter(|o| o.levelled()).collect();
        } else if self.strict() && self.moved_on() {
            let open = |o: &&Operation| {
                o.levelled() && self.state.unsettled(&o.key) && !self.state.lacking_proof(o).is_empty()
            };
            let open: Vec<&Operation> = self.plan.operations.iter().filter(open).collect();
            // Seldom: then it is worth to look what all comes before.
            if !open.is_empty() {
                let before = self.plan.all_before(operation);
                asked.extend(open.into_iter().filter(|o| before.iter().any(|b| b.key == o.key)));
            }
        }
        let lacks = |o: &Operation| {
            if goes { self.state.lacking_work(o) } else { self.state.lacking_proof(o) }
        };
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        let lacking: Vec<Lacking<'a>> = asked
            .iter()
            .filter(|o| !settled(o) && seen.insert(&o.key))
            .map(|o| Lacking { operation: o, what: lacks(o) })
            .collect();
        let head = format!("operation {} builds on work that is not entered", operation.number);
        self.missing("L113", "work rests on the work before it", &head, lacking)?;
        if let Some(mark) = self.state.started_again.get(&operation.key) {
            self.later(mark, MADE_AGAIN, &format!("work at {}", operation.number))?;
        }
        for other in nearest {
            self.not_before(other, &format!("work at {}", operation.number))?;
        }
        for point in operation.before.iter().filter(|p| p.kind == PointKind::Hold) {
            for signed in self.state.signatures(&operation.key, &point.slot) {
                self.later(&signed.mark, &point.number, &format!("work at {}", operation.number))?;
            }
        }
        Ok(())
    }

    /// Whether the plan was frozen under the rules of today.
    pub(super) fn strict(&self) -> bool {
        self.plan.strict()
    }

    /// Whether anything was taken back or issued again.
    fn moved_on(&self) -> bool {
        let state = self.state;
        !state.taken_back.is_empty() || !state.started_again.is_empty() || state.revisions.len() > 1
    }

    /// The nearest operations before one at which something is proved: those at which
    /// nothing is ticked or read are walked through.
    pub(super) fn nearest(&self, operation: &Operation) -> Vec<&'a Operation> {
        let mut open = self.plan.right_before(operation);
        if !self.strict() {
            open.retain(|o| o.levelled());
            return open;
        }
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        let mut found = Vec::new();
        while let Some(one) = open.pop() {
            if !seen.insert(&one.key) {
                continue;
            }
            let proves = one.steps.iter().any(|s| s.ticked() || s.readings.iter().any(Reading::asked));
            if one.levelled() && proves {
                found.push(one);
            } else {
                open.extend(self.plan.right_before(one));
            }
        }
        found
    }

    /// Whether everything a signature rests on was entered, and was done before.
    pub(super) fn rested(&self, operation: &Operation, point: &Point) -> Result<(), Diagnostic> {
        let counts = |o: &Operation| o.levelled() && (self.state.closed.is_none() || o.deferred);
        let rested_on = self.plan.rested_on(operation, point);
        let seen: BTreeSet<&str> = rested_on.iter().map(|o| o.key.as_str()).collect();
        let all: Vec<&Operation> = rested_on.into_iter().filter(|o| counts(o)).collect();
        // Initials are given at the end of a station, where its hold is: a review or a witness
        // in the middle of it comes before them. What lets the unit go waits for everything.
        let ends = point.kind == PointKind::Hold || operation.lets_go;
        let lacks = |o: &Operation| {
            if ends { self.state.lacking_work(o) } else { self.state.lacking_proof(o) }
        };
        let mut lacking: Vec<Lacking<'a>> =
            all.iter().map(|o| Lacking { operation: o, what: lacks(o) }).collect();
        // What else certainly comes before is entered; its initials may still be to come.
        if self.strict() && !point.rests_on.is_empty() {
            let more =
                self.plan.all_before(operation).into_iter().filter(|o| counts(o) && !seen.contains(&*o.key));
            lacking.extend(more.map(|o| Lacking { operation: o, what: self.state.lacking_proof(o) }));
        }
        let head = format!("{} rests on work that is not entered", point.number);
        self.missing("L115", "a signature rests on entered work", &head, lacking)?;
        let place = (operation.key.clone(), point.slot.clone());
        if let Some((mark, _)) = self.state.unsigned_by.get(&place) {
            self.later(mark, MADE_AGAIN, &format!("the signature of {}", point.number))?;
        }
        for operation in all {
            self.not_before(operation, &format!("the signature of {}", point.number))?;
        }
        Ok(())
    }

    /// A step with a set-up of another person is not read by whoever read the
    /// steps before it, nor those by whoever read it; a reading that `corrects` another is
    /// no exception.
    ///
    /// # Errors
    /// If `person` did.
    pub fn other_person(
        &self,
        person: &Signer,
        operation: &Operation,
        step: &Step,
        corrects: bool,
    ) -> Result<(), Diagnostic> {
        if corrects && self.plan.rules < BOTH_WAYS_SINCE {
            return Ok(());
        }
        let Some(own) = self.own_other(person, operation, step) else { return Ok(()) };
        let which = if step.by.is_some() { "the second one" } else { "the first one as well," };
        let role = step.by.as_deref().unwrap_or(&operation.role);
        Err(refuse(
            "L143",
            "a second reading is another person's",
            format!(
                "{} read {}.{} and can't be {which} at step {}.{}",
                person.name, operation.number, own.id, operation.number, step.number
            ),
            self.have(role, "read it with a set-up of their own", |p| {
                self.own_other(p, operation, step).is_none()
            }),
        ))
    }

    /// What `person` read of what another one reads twice: at the steps before one that is
    /// somebody else's, or at the one that is somebody else's than this.
    pub(super) fn own_other<'b>(
        &self,
        person: &Signer,
        operation: &'b Operation,
        step: &Step,
    ) -> Option<&'b Reading> {
        if step.by.is_some() || self.plan.rules < BOTH_WAYS_SINCE {
            return self.own_first(person, operation, step);
        }
        let second = operation.steps.iter().filter(|s| s.by.is_some() && s.number > step.number);
        second.flat_map(|s| &s.readings).find(|r| self.read_last(person, operation, r))
    }

    /// Whether what stands of a reading is by a person.
    fn read_last(&self, person: &Signer, operation: &Operation, reading: &Reading) -> bool {
        self.state.reading(&operation.key, &reading.id).is_some_and(|(_, mark)| self.is(&mark.by, person))
    }

    /// What `person` read at the steps before one that another person does.
    fn own_first<'b>(&self, person: &Signer, operation: &'b Operation, step: &Step) -> Option<&'b Reading> {
        step.by.as_ref()?;
        let first = operation.steps.iter().filter(|s| s.by.is_none() && s.number < step.number);
        first.flat_map(|s| &s.readings).find(|r| self.read_last(person, operation, r))
    }

    /// Whether a step may be ticked: what a safety step reads was read, and before.
    ///
    /// # Errors
    /// With the readings it waits for.
    pub fn tick_waits(&self, operation: &Operation, number: u32) -> Result<(), Diagnostic> {
        let step = operation.steps.iter().find(|s| s.number == number);
        let Some(step) = step.filter(|s| s.level == Some(Level::Safety)) else { return Ok(()) };
        let place = format!("{}.{}", operation.number, step.number);
        for reading in step.readings.iter().filter(|r| r.asked()) {
            let name = format!("{}.{}", operation.number, reading.id);
            let Some((_, mark)) = self.state.all_readings(&operation.key, &reading.id).next() else {
                return Err(refuse(
                    "L118",
                    "a safety step is done when it was read",
                    format!("step {place} can't be ticked: reading {name} is not entered"),
                    format!(
                        "read already: {} --at TIME; that says the step was done, and the tick is not needed",
                        self.measures(operation, reading, false)
                    ),
                ));
            };
            self.later(mark, &format!("reading {name}"), &format!("the tick of step {place}"))?;
        }
        Ok(())
    }

    /// Refuses with what is missing, the shortest way first. The commands are for the first
    /// of it that can be entered now: what it rests on itself is there.
    fn missing(
        &self,
        code: &'static str,
        rule: &str,
        head: &str,
        lacking: Vec<Lacking<'a>>,
    ) -> Result<(), Diagnostic> {
        let mut lacking: Vec<Lacking<'a>> = lacking.into_iter().filter(|l| !l.what.is_empty()).collect();
        if lacking.is_empty() {
            return Ok(());
        }
        let mut before: Vec<&'a Operation> = lacking.iter().map(|l| l.operation).collect();
        if self.strict() {
            before.extend(lacking.iter().flat_map(|l| self.plan.all_before(l.operation)).collect::<Vec<_>>());
        }
        let settled = |o: &Operation| self.state.closed.is_some() && !o.deferred;
        before.retain(|o| o.levelled() && !settled(o));
        let first = before
            .into_iter()
            .filter(|o| {
                !self.state.lacking_proof(o).is_empty() || lacking.iter().any(|l| l.operation.key == o.key)
            })
            .min_by_key(|o| self.plan.place(&o.key));
        if let Some(first) = first.filter(|f| !lacking.iter().any(|l| l.operation.key == f.key)) {
            lacking.push(Lacking { operation: first, what: self.state.lacking_proof(first) });
        }
        let now = |l: &Lacking<'_>| first.is_none_or(|first| first.key == l.operation.key);
        lacking.sort_by_key(|l| (!now(l), l.what.len(), l.operation.number));
        let all: Vec<String> = lacking.iter().flat_map(|l| l.what.iter().cloned()).collect();
        let next: Vec<&str> =
            lacking.iter().filter(|l| now(l)).flat_map(|l| l.what.iter().map(String::as_str)).collect();
        let of = |word: &str| -> Vec<&str> {
            next.iter().filter_map(|w| w.strip_prefix(word)).map(str::trim).collect()
        };
        let (readings, mut ticks) = (of("reading "), of("step "));
        // Initials say that all above them was done: they come when it is.
        if readings.is_empty() {
            ticks.extend(of("initials "));
        }
        let number = &self.plan.number;
        let read = readings.first().and_then(|name| {
            let (_, id) = name.split_once('.')?;
            let first = first?;
            Some((first, first.readings().find(|r| r.id == id)?))
        });
        let more = |all: usize, named: usize| match all - named {
            0 => String::new(),
            more => format!(" (and {more} more)"),
        };
        let mut ways: Vec<String> = Vec::new();
        ways.extend(read.map(|(operation, reading)| {
            let more = more(readings.len(), 1);
            format!("read already: {} --at TIME{more}", self.measures(operation, reading, false))
        }));
        if !ticks.is_empty() {
            let by = first.map_or("ID", |first| self.worker(first));
            let named: Vec<&str> = ticks.iter().take(NAMED).copied().collect();
            let more = more(ticks.len(), named.len());
            ways.push(format!(
                "done already: tackwright tick {number} {} --by {by} --at TIME{more}",
                named.join(" ")
            ));
        }
        if ways.is_empty() {
            ways.push("enter it with the time it was done (--at), then this".to_owned());
        }
        let mut problem = Diagnostic::error(code, format!("{head}: {}", short(&all))).rule(rule);
        problem.help.extend(ways);
        Err(problem)
    }

    /// Whether what was entered at `other` was done before now.
    fn not_before(&self, other: &Operation, what: &str) -> Result<(), Diagnostic> {
        for reading in other.readings() {
            let first = self.state.all_readings(&other.key, &reading.id).next();
            if let Some((_, mark)) = first {
                self.later(mark, &format!("reading {}.{}", other.number, reading.id), what)?;
            }
        }
        for step in other.steps.iter().filter(|s| s.ticked()) {
            if let Some(mark) = self.state.done(other, step) {
                self.later(mark, &format!("step {}.{}", other.number, step.number), what)?;
            }
        }
        Ok(())
    }

    pub(super) fn later(&self, mark: &Mark, done: &str, what: &str) -> Result<(), Diagnostic> {
        let Some(at) = self.at.filter(|_| mark.corrects.is_none()) else { return Ok(()) };
        let Some(then) = mark.time().filter(|then| *then - at >= TimeDelta::minutes(SLACK)) else {
            return Ok(());
        };
        Err(refuse(
            "L114",
            "work in an order that can be true",
            format!("{what} at {} can't rest on {done}, done at {}", told(&at), told(&then)),
            format!(
                "give the time it was done, {} or later, with its zone (--at, or the column when); or correct the time of the entry before",
                told(&then)
            ),
        ))
    }
}

/// What an operation lacks.
struct Lacking<'a> {
    operation: &'a Operation,
    what: Vec<String>,
}
