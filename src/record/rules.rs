//! What may be entered next. Every refusal names its rule and the way out.

use chrono::{DateTime, Days, FixedOffset, NaiveDate, TimeDelta};

use super::entry::{Action, By, Entry, SLACK};
use super::fitness::Right;
use super::frozen::{Frozen, Operation, Point, Reading};
use super::open::Open;
use super::outside::names_tester;
use super::people::{Register, Signer};
use super::state::State;
use crate::diagnostic::{Diagnostic, nearest};
use crate::term::clock::{told, told_like, told_text};
use crate::term::{Verdict, name};

pub(super) fn refuse(
    code: &'static str,
    rule: &str,
    message: impl Into<String>,
    way_out: impl Into<String>,
) -> Diagnostic {
    Diagnostic::error(code, message).rule(rule).help(way_out)
}

/// Everything the rules look at.
#[derive(Debug, Clone, Copy)]
pub struct Scene<'a> {
    /// Plan in force.
    pub plan: &'a Frozen,
    /// State so far.
    pub state: &'a State,
    /// Entries so far.
    pub entries: &'a [Entry],
    /// People and instruments.
    pub register: &'a Register,
    /// Day of the entry.
    pub day: NaiveDate,
    /// When it happened, as stated; none where nothing is entered.
    pub at: Option<DateTime<FixedOffset>>,
}

/// A time in the future is refused.
///
/// # Errors
/// If `at` is later than `now` by more than a few minutes.
pub fn time(at: &DateTime<FixedOffset>, now: &DateTime<FixedOffset>) -> Result<(), Diagnostic> {
    if (*at - *now).num_minutes() >= SLACK {
        return Err(refuse(
            "L101",
            "no entry from the future",
            format!("{} is later than now, {}", told_like(at, now), told(now)),
            match at
                .checked_sub_days(Days::new(1))
                .filter(|then| then <= now && *at - *now < TimeDelta::days(1))
            {
                Some(then) => format!(
                    "if it was the day before: --at \"{}\"; else give the time it happened, or set the clock",
                    told_like(&then, now)
                ),
                None => "give the time it happened (yesterday 14:05 is one too), or set the clock".to_owned(),
            },
        ));
    }
    Ok(())
}

impl<'a> Scene<'a> {
    /// A plan and where it stands, looked at: nobody enters anything.
    #[must_use]
    pub fn looking(plan: &'a Frozen, state: &'a State, register: &'a Register) -> Self {
        Self { plan, state, entries: &[], register, day: NaiveDate::default(), at: None }
    }

    /// Nothing happened before the traveler was issued.
    ///
    /// # Errors
    /// If `at` is earlier than the first entry by more than a few minutes.
    pub fn since_issue(&self, at: &DateTime<FixedOffset>) -> Result<(), Diagnostic> {
        let Some(issued) = self.entries.first().and_then(Entry::time) else { return Ok(()) };
        if (issued - *at).num_minutes() < SLACK {
            return Ok(());
        }
        Err(refuse(
            "L108",
            "no entry from before the issue",
            format!(
                "{} is earlier than the issue of {}, {}",
                told_like(at, &issued),
                self.plan.number,
                told(&issued)
            ),
            "give the time it happened; what was done before the paper was issued is no part of this traveler",
        ))
    }

    /// The person of this id.
    ///
    /// # Errors
    /// If nobody has it, or the person left the shop before that day.
    pub fn person(&self, id: &str) -> Result<&'a Signer, Diagnostic> {
        let person = self.register.person(id).ok_or_else(|| {
            let known: Vec<&str> = self.register.people.iter().map(|p| p.id.as_str()).collect();
            let problem = refuse(
                "L102",
                "known people only",
                format!("nobody has the id \"{id}\""),
                format!("give one of {}, or enter the person in the shop's book", known.join(", ")),
            );
            let named = self.register.people.iter().find(|p| name::same(&p.name, id));
            let meant = named.map(|p| p.id.as_str()).or_else(|| {
                // A zero for an O, a one for an l.
                let read = known.iter().copied().find(|k| name::read(k) == name::read(id));
                read.or_else(|| nearest(id, known.iter().copied()))
            });
            match meant {
                Some(meant) => problem.help(format!("did you mean \"{meant}\"?")),
                None => problem,
            }
        })?;
        self.present(person)?;
        Ok(person)
    }

    /// Whether an entry was made by `person`, under this id or another one: one name is
    /// one person. Logs from before editions were counted know ids alone.
    pub(super) fn is(&self, by: &By, person: &Signer) -> bool {
        by.id == person.id || self.strict() && name::same(&by.name, &person.name)
    }

    /// As [`Scene::is`], between two entries.
    pub(super) fn same(&self, one: &By, other: &By) -> bool {
        one.id == other.id || self.strict() && name::same(&one.name, &other.name)
    }

    /// The operation named by number, key or id.
    ///
    /// # Errors
    /// If there is none, or several.
    pub fn operation(&self, name: &str) -> Result<&'a Operation, Diagnostic> {
        self.plan.operation(name).ok_or_else(|| self.plan.unknown(name))
    }

    /// Whether `person` may act in `role`, and the certificates that rests on.
    ///
    /// # Errors
    /// If the book does not give the role, or it ran out.
    pub fn role(&self, person: &Signer, role: &str) -> Result<Vec<String>, Diagnostic> {
        if !person.roles.iter().any(|r| r == role) {
            return Err(refuse(
                "L104",
                "role",
                format!("{} ({}) is {}, not {role}", person.name, person.id, person.roles.join(" and ")),
                self.have(role, "do it", |_| true),
            ));
        }
        self.certified(person, role)
    }

    /// Holds that are open before `operation`; with `own`, also those before
    /// its own first step.
    fn open_hold(&self, operation: &Operation, own: bool, open: &Open) -> Option<(&'a Operation, &'a Point)> {
        let place = self.plan.place(&operation.key)?;
        let mut points = open.points(self).take_while(|(at, ..)| *at <= place);
        let found = points.find(|(at, other, point, before)| {
            // What came before hand-over was settled by closing.
            if self.state.closed.is_some() && !other.deferred || *at == place && !(own && *before) {
                return false;
            }
            // Work that took an acceptance away is finished before the next one.
            let again =
                || point.worked_by.contains(&operation.key) && self.state.reopened(other, point).is_some();
            !self.state.unsigned(other, point).is_empty() && !again()
        });
        found.map(|(_, other, point, _)| (other, point))
    }

    pub(super) fn order(&self, operation: &Operation, own: bool, open: &Open) -> Result<(), Diagnostic> {
        let Some((other, point)) = self.open_hold(operation, own, open) else { return Ok(()) };
        let message = format!(
            "{} point {} of operation {} is not signed{}, so work at {} must wait",
            point.kind,
            point.number,
            other.number,
            self.again(other, point),
            operation.number
        );
        let mut problem = Diagnostic::error("L110", message).rule("order: nothing past an open hold");
        if open.tells_ways_out() {
            match self.point_waits(other, point) {
                Ok(()) => problem.help.push(format!("sign it first: {}", self.signs(other, point))),
                Err(waits) => {
                    problem.help.push(format!("{} waits itself: {}", point.number, waits.message));
                    problem.help.extend(waits.help);
                }
            }
        }
        Err(problem)
    }

    /// Why a point that was signed is open again, in words.
    fn again(&self, operation: &Operation, point: &Point) -> String {
        let why = self.state.reopened(operation, point);
        why.map_or_else(String::new, |why| format!(" anew: {}", why.words))
    }

    pub(super) fn closed(&self, operation: &Operation) -> Result<(), Diagnostic> {
        match &self.state.closed {
            Some((mark, _)) if !operation.deferred => Err(refuse(
                "L111",
                "closed means closed",
                format!("{} was closed on {} by {}", self.plan.number, told_text(&mark.at), mark.by.name),
                "only the dated follow-ups can still be entered; other work needs a new traveler",
            )),
            None if operation.deferred => Err(refuse(
                "L112",
                "follow-ups come after hand-over",
                format!("operation {} is done after hand-over", operation.number),
                if self.open().is_empty() {
                    format!(
                        "close the traveler first: tackwright close {} --by {}",
                        self.plan.number,
                        self.by("lead", |_| true)
                    )
                } else {
                    format!(
                        "finish the work before it and close the traveler: tackwright status {}",
                        self.plan.number
                    )
                },
            )),
            _ => Ok(()),
        }
    }

    /// Whether work at `operation` may be entered: a tick or a reading.
    ///
    /// # Errors
    /// If a rule says no.
    pub fn work(&self, person: &Signer, operation: &Operation, reading: bool) -> Result<Right, Diagnostic> {
        self.work_by(person, operation, reading, None)
    }

    /// As [`Scene::work`], for a step that another person does: whoever has that
    /// role may.
    ///
    /// # Errors
    /// If a rule says no.
    pub fn work_by(
        &self,
        person: &Signer,
        operation: &Operation,
        reading: bool,
        by: Option<&str>,
    ) -> Result<Right, Diagnostic> {
        self.work_knowing(person, operation, reading, by, &Open::default())
    }

    /// As [`Scene::work_by`], where it is known what stands open.
    pub(super) fn work_knowing(
        &self,
        person: &Signer,
        operation: &Operation,
        reading: bool,
        by: Option<&str>,
        open: &Open,
    ) -> Result<Right, Diagnostic> {
        self.waits_knowing(operation, open)?;
        self.may_work(person, operation, reading, by)
    }

    /// As [`Scene::work_by`], for the reading `id`: what is read in each shift waits for no
    /// other work.
    ///
    /// # Errors
    /// If a rule says no.
    pub fn read_by(
        &self,
        person: &Signer,
        operation: &Operation,
        id: &str,
        by: Option<&str>,
    ) -> Result<Right, Diagnostic> {
        self.read_knowing(person, operation, id, by, &Open::default())
    }

    /// As [`Scene::read_by`], where it is known what stands open.
    pub(super) fn read_knowing(
        &self,
        person: &Signer,
        operation: &Operation,
        id: &str,
        by: Option<&str>,
        open: &Open,
    ) -> Result<Right, Diagnostic> {
        self.reading_knowing(operation, id, open)?;
        self.may_take(person, operation, id, by)
    }

    /// Whether `person` may take a reading: what a weld is accepted by is read by somebody
    /// else than its welder; who from outside tests it, a lead who welded may write down.
    fn may_take(
        &self,
        person: &Signer,
        operation: &Operation,
        id: &str,
        by: Option<&str>,
    ) -> Result<Right, Diagnostic> {
        if names_tester(id) {
            return self.may_act(person, operation, true, by);
        }
        self.may_work(person, operation, true, by)
    }

    /// Whether `person` may take a reading when its turn has come.
    ///
    /// # Errors
    /// If a rule says no.
    pub fn may_read(
        &self,
        person: &Signer,
        operation: &Operation,
        reading: &Reading,
    ) -> Result<Right, Diagnostic> {
        let by = operation.step_of(&reading.id).and_then(|step| step.by.as_deref());
        self.may_take(person, operation, &reading.id, by)
    }

    /// Whether `person` may do work whose turn it is.
    fn may_work(
        &self,
        person: &Signer,
        operation: &Operation,
        reading: bool,
        by: Option<&str>,
    ) -> Result<Right, Diagnostic> {
        if reading {
            self.read_by_another(person, operation)?;
        }
        self.may_act(person, operation, reading, by)
    }

    /// As [`Scene::may_work`], whatever `person` welded.
    fn may_act(
        &self,
        person: &Signer,
        operation: &Operation,
        reading: bool,
        by: Option<&str>,
    ) -> Result<Right, Diagnostic> {
        self.released_by_another(person, operation)?;
        let helps = |r: &String| r == "lead" || (reading && r == "inspector");
        let role = if let Some(by) = by.filter(|by| person.roles.iter().any(|r| r == by)) {
            by.to_owned()
        } else if operation.role.is_empty() || person.roles.contains(&operation.role) {
            if operation.role.is_empty() {
                person.roles.first().cloned().unwrap_or_default()
            } else {
                operation.role.clone()
            }
        } else if let Some(role) =
            person.roles.iter().find(|r| helps(r) && operation.role != "welder" || reading && helps(r))
        {
            role.clone()
        } else {
            operation.role.clone()
        };
        let mut rests_on = if role.is_empty() { Vec::new() } else { self.role(person, &role)? };
        // A tack is a weld: the same test covers it.
        if !reading && operation.acts.iter().any(|a| a == "arc" || a == "tack") {
            rests_on.extend(self.may_weld(person, operation)?);
        }
        Ok(Right { role, rests_on })
    }

    /// Whether `point` may be signed by `person` as `role`.
    ///
    /// # Errors
    /// If a rule says no.
    pub fn sign(
        &self,
        person: &Signer,
        role: &str,
        operation: &Operation,
        point: &Point,
    ) -> Result<Right, Diagnostic> {
        self.closed(operation)?;
        let rests_on = self.role(person, role)?;
        let number = &point.number;
        let left = self.state.unsigned(operation, point);
        if left.is_empty() {
            return Err(self.settled(operation, point));
        }
        if !left.contains(&role) {
            return Err(refuse(
                "L148",
                "role",
                format!("{number} is signed by {}, not by {role}", left.join(" and ")),
                format!("it waits for {}: {}", left.join(" and "), self.signs(operation, point)),
            ));
        }
        let signed = self.state.standing(operation, point);
        let saw = |s: &super::state::Signed| s.seen_by.as_ref().is_some_and(|by| self.is(by, person));
        if signed.iter().any(|s| self.is(&s.mark.by, person) || saw(s)) {
            return Err(refuse(
                "L121",
                "two persons",
                format!("{} has signed {number} already, and it takes two persons", person.name),
                self.have(role, "sign as the second one", |p| {
                    self.signers(operation, point, role).contains(&p.id.as_str())
                }),
            ));
        }
        self.point_waits(operation, point)?;
        self.independent(person, role, operation, point)?;
        self.read_by_a_second(person, role, operation, point)?;
        Ok(Right { role: role.to_owned(), rests_on })
    }

    pub(super) fn worked(&self, operation: &Operation, point: &Point) -> Result<(), Diagnostic> {
        let mut lacking = self.state.lacking_work(operation);
        lacking.extend(self.state.outdated(operation, point));
        if lacking.is_empty() {
            return Ok(());
        }
        // Work that waits itself is entered after what it waits for.
        let waits = self.work_waits(operation).err();
        let mut problem = refuse(
            "L123",
            "work first, signature second",
            format!("{} can't be signed, still open: {}", point.number, short(&lacking)),
            waits.as_ref().map_or_else(
                || self.next_of(operation, point),
                |waits| format!("operation {} waits itself: {}", operation.number, waits.message),
            ),
        );
        problem.help.extend(waits.into_iter().flat_map(|waits| waits.help));
        Err(problem)
    }

    /// The print of a sheet that was found void is measured again by another person,
    /// whether the first measurement was corrected or taken back.
    ///
    /// # Errors
    /// If the person measured it void last.
    pub fn bars_by(&self, sheet: &str, person: &By) -> Result<(), Diagnostic> {
        let last = self.entries.iter().rev().find_map(|e| match &e.what {
            Action::Bars { bars } if bars.sheet == sheet => Some((e, bars)),
            _ => None,
        });
        let Some((entry, bars)) = last
            .filter(|(e, b)| self.strict() && self.same(&e.by, person) && !b.verdict.is(Verdict::Conform))
        else {
            return Ok(());
        };
        Err(refuse(
            "L139",
            "a print that was void is measured again by another person",
            format!("{} found the print of {} void in entry {}", entry.by.name, bars.name, entry.n),
            format!(
                "destroy it and print it again; then have another person measure: tackwright bars {} {} --across … --along … --by ID",
                self.plan.number,
                sheet.get(..9).unwrap_or(sheet)
            ),
        ))
    }

    /// Everything that keeps the traveler from being closed.
    #[must_use]
    pub fn open(&self) -> Vec<String> {
        let mut open = Vec::new();
        for operation in self.plan.operations.iter().filter(|o| !o.deferred) {
            let lacking = self.state.lacking(operation);
            if !lacking.is_empty() {
                open.push(format!("operation {} {}: {}", operation.number, operation.title, short(&lacking)));
            }
            for (reading, verdict) in self.state.failing(operation) {
                open.push(format!("reading {}.{reading}: {verdict}, no disposition", operation.number));
            }
            for stop in self.state.stops(self.plan, operation) {
                open.push(format!("operation {}, {}: not decided", operation.number, stop.words));
            }
        }
        for found in &self.state.founds {
            if found.disposition.is_none() {
                open.push(format!("{} at operation {}: no disposition", found.number, found.operation));
            } else if self.state.rejected(found) {
                open.push(format!(
                    "{} at operation {}: rejected, and nothing takes its place",
                    found.number, found.operation
                ));
            }
        }
        open.extend(self.not_put_right().map(|one| one.words));
        open.extend(self.doubted_tools());
        open
    }
}

/// The first few of a list, and how many more there are.
#[must_use]
pub fn short(list: &[String]) -> String {
    let shown: Vec<&str> = list.iter().take(4).map(String::as_str).collect();
    let more = list.len().saturating_sub(4);
    if more == 0 { shown.join(", ") } else { format!("{} and {more} more", shown.join(", ")) }
}
