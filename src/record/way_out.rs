//! The way out of a refusal: who may do it, with what, by which command. Only what
//! would be taken is proposed.

use super::entry::{By, Measured};
use super::fitness::read_off;
use super::frozen::{Limits, Operation, Point, Reading, Step};
use super::outside::names_tester;
use super::people::Signer;
use super::rules::Scene;
use crate::quantity::Quantity;

impl<'a> Scene<'a> {
    /// People who may act in a role on the day and to whom `also` applies.
    pub fn people_able(&self, role: &str, also: impl Fn(&Signer) -> bool) -> Vec<&'a str> {
        let all = self.register.people.iter();
        all.filter(|p| self.present(p).is_ok() && self.acts(p, role) && also(p))
            .map(|p| p.id.as_str())
            .collect()
    }

    /// Whether a person has a role by the book, and its certificate holds.
    fn acts(&self, person: &Signer, role: &str) -> bool {
        let has = role.is_empty() || person.roles.iter().any(|r| r == role);
        has && self.holds(person, role)
    }

    /// Who does it: `have IO or IT do it`, or what the shop book lacks.
    pub(super) fn have(&self, role: &str, what: &str, also: impl Fn(&Signer) -> bool) -> String {
        let able = self.people_able(role, also);
        match (able.is_empty(), self.register.people.is_empty()) {
            (false, _) => format!("have {} {what}", able.join(" or ")),
            (true, true) => format!("have another {role} {what}"),
            (true, false) => format!(
                "nobody in {} may {what} as {role} that day: enter somebody with the role, or the renewed certificate",
                self.register.book
            ),
        }
    }

    /// The id a command names for a role: the first who may, else a word for it.
    pub(super) fn by(&self, role: &str, also: impl Fn(&Signer) -> bool) -> &'a str {
        first_of(&self.people_able(role, also), role)
    }

    /// The command that takes a reading, with a tool that will be taken.
    pub(super) fn measures(&self, operation: &Operation, reading: &Reading, again: bool) -> String {
        let needed = reading.instrument.as_deref();
        let tool = reading.limits.filter(|_| needed.is_some_and(|needed| !read_off(needed))).map(|limits| {
            let (named, others) = self.takes(needed, reading.to_prove(limits), self.wanted(reading, limits));
            let tool = named.first().or(others.first()).map_or("TOOL", |i| i.id.as_str());
            format!(" --with {tool}")
        });
        let step = operation.step_of(&reading.id);
        format!(
            "tackwright measure {} {}.{} {}{}{} --by {}",
            self.plan.number,
            operation.number,
            reading.id,
            reading.to_write(),
            tool.unwrap_or_default(),
            if again { " --again" } else { "" },
            self.reader(operation, step, reading)
        )
    }

    /// The value a reading is looked for at: its target, what it has to agree with where that
    /// was read, the middle of its limits, or what the job states.
    #[must_use]
    pub fn wanted(&self, reading: &Reading, limits: Limits) -> Option<Quantity> {
        let near = reading.near.as_ref().and_then(|near| {
            let (read, _) = self.state.reading(&near.to.operation, &near.to.reading)?;
            let of_kind = read.kind.as_deref() == Some(limits.kind.word());
            Some(Quantity::from_si(limits.kind, read.value.as_deref().filter(|_| of_kind)?.parse().ok()?))
        });
        let middle = || {
            let (lower, upper) = (limits.lower?.si(), limits.upper?.si());
            Some(Quantity::from_si(limits.kind, (lower + upper) / 2.0))
        };
        let limit = || limits.lower.or(limits.upper).or(reading.expected);
        limits.target.or(near).or_else(middle).or_else(limit)
    }

    /// The command that takes a reading of an entry once more.
    pub(super) fn again_at(&self, taken: &Measured) -> String {
        let operation = self.plan.operations.iter().find(|o| o.key == taken.operation.key);
        let reading = operation.and_then(|o| Some((o, o.readings().find(|r| r.id == taken.reading)?)));
        reading.map_or_else(
            || format!("tackwright status {}", self.plan.number),
            |(operation, reading)| self.measures(operation, reading, true),
        )
    }

    /// Who else may correct a reading, in words: `IO or LO`.
    pub(super) fn others_at(&self, taken: &Measured, person: &By) -> String {
        let able = self.others(taken, person);
        if able.is_empty() { "another person".to_owned() } else { able.join(" or ") }
    }

    /// Who else may correct a reading.
    #[must_use]
    pub fn others(&self, taken: &Measured, person: &By) -> Vec<&'a str> {
        let operation = self.plan.operations.iter().find(|o| o.key == taken.operation.key);
        let step = operation.and_then(|o| o.step_of(&taken.reading));
        let by = step.and_then(|s| s.by.as_deref());
        let may = |p: &Signer| {
            operation.is_some_and(|o| {
                !self.is(person, p)
                    && self.work_by(p, o, true, by).is_ok()
                    && step.is_none_or(|s| self.own_other(p, o, s).is_none())
            })
        };
        self.people_able("", may)
    }

    /// The command that enters the next of what an operation lacks before its point.
    pub(super) fn next_of(&self, operation: &Operation, point: &Point) -> String {
        let number = &self.plan.number;
        let lacks = |r: &&Reading| r.asked() && self.state.reading(&operation.key, &r.id).is_none();
        if let Some(reading) = operation.readings().find(lacks) {
            return format!("done already: {} --at TIME", self.measures(operation, reading, false));
        }
        let step = operation.steps.iter().find(|s| s.ticked() && self.state.done(operation, s).is_none());
        let by = self.worker(operation);
        if let Some(step) = step {
            return format!(
                "done already: tackwright tick {number} {}.{} --by {by} --at TIME",
                operation.number, step.number
            );
        }
        // Initials say that all above them was done: what counts no longer is read first.
        let since = self.state.counts_since(operation, point).unwrap_or(0);
        let old =
            |r: &&Reading| self.state.reading(&operation.key, &r.id).is_some_and(|(_, mark)| mark.n < since);
        if let Some(reading) = operation.readings().filter(|r| r.asked()).find(old) {
            return format!("read it once more: {}", self.measures(operation, reading, true));
        }
        if operation.levelled() && self.state.initials(operation).is_none() {
            return format!(
                "done already: tackwright tick {number} {} --by {by} --at TIME",
                operation.number
            );
        }
        "tick the steps and write the readings, then sign".to_owned()
    }

    /// The id a command names for a reading.
    fn reader(&self, operation: &Operation, step: Option<&Step>, reading: &Reading) -> &'a str {
        let role = step.and_then(|s| s.by.as_deref()).unwrap_or(&operation.role);
        first_of(&self.readers(operation, step, reading), role)
    }

    /// People who may read at a step in the role it is for.
    #[must_use]
    pub fn readers(&self, operation: &Operation, step: Option<&Step>, reading: &Reading) -> Vec<&'a str> {
        let by = step.and_then(|s| s.by.as_deref());
        let role = by.unwrap_or(&operation.role);
        self.people_able(role, |p| {
            step.is_none_or(|s| self.own_other(p, operation, s).is_none())
                && (names_tester(&reading.id) || self.own_reading(p, operation).is_none())
                && self.own_release(p, operation).is_none()
                && self.tests_there(p, operation, reading)
        })
    }

    /// The id a command names for the work of an operation.
    pub(super) fn worker(&self, operation: &Operation) -> &'a str {
        first_of(&self.workers(operation, None), &operation.role)
    }

    /// People who may work at an operation, in the role it is for or in that of a step that
    /// is `by` another person.
    #[must_use]
    pub fn workers(&self, operation: &Operation, by: Option<&str>) -> Vec<&'a str> {
        self.people_able(by.unwrap_or(&operation.role), |p| {
            let welds = operation.acts.iter().any(|a| a == "arc" || a == "tack");
            self.own_release(p, operation).is_none() && (!welds || self.may_weld(p, operation).is_ok())
        })
    }

    /// People who may sign a point in a role, whatever else it waits for.
    #[must_use]
    pub fn signers(&self, operation: &Operation, point: &Point, role: &str) -> Vec<&'a str> {
        self.people_able(role, |p| {
            let signed = self.state.standing(operation, point);
            !signed
                .iter()
                .any(|s| self.is(&s.mark.by, p) || s.seen_by.as_ref().is_some_and(|by| self.is(by, p)))
                && self.own(p, role, operation, point).is_none()
                && !self.own_issue(p, role, point)
        })
    }

    /// The command that signs a point in the next role it waits for.
    pub(super) fn signs(&self, operation: &Operation, point: &Point) -> String {
        let role = self.state.unsigned(operation, point).first().copied().unwrap_or("lead");
        let by = self.signers(operation, point, role).first().copied();
        format!(
            "tackwright sign {} {} --as {role} --by {}",
            self.plan.number,
            point.number,
            by.unwrap_or(if role == "lead" { "LEAD" } else { "ID" })
        )
    }
}

/// The first of those who may, else a word for who has the role.
fn first_of<'a>(able: &[&'a str], role: &str) -> &'a str {
    able.first().copied().unwrap_or(if role == "lead" { "LEAD" } else { "ID" })
}
