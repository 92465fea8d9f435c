//! A weld is judged when it can be cold, and tested when its time has come.

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::arcs::arcs;
use super::edition::GATED_SINCE;
use super::entry::SLACK;
use super::frozen::{Operation, Reading};
use super::hours::heats;
use super::kept::Mark;
use super::rules::{Scene, refuse};
use crate::diagnostic::Diagnostic;
use crate::quantity::{Quantity, Style};
use crate::term::Does;
use crate::term::clock::told;

/// Edition of the rules since which it is refused.
const SINCE: u32 = 2;
/// Hours by which a number that is counted on a wall clock, and by what was entered while
/// it was still welded, may be off.
const COUNTED: f64 = 2.0;
/// Minutes after the last arc in which no welded steel gets cold to the hand in still
/// air (3 mm at 150 degC, both sides giving off 15 W/m2K, takes 11 to 45 degC: Newton's
/// law of cooling; thicker takes longer). Whoever is quicker than usual is only told.
const TOUCH: i64 = 10;

const RULE: &str = "a weld is judged cold, and tested in its time";

impl<'a> Scene<'a> {
    /// When the last arc at one of these joints was out at the earliest, and where: what
    /// was taken in without a time of its own says nothing of it.
    fn last_arc(&self, joints: &[String]) -> Option<(DateTime<FixedOffset>, &'a Operation)> {
        self.last_of(joints, |mark| !mark.timeless)
    }

    /// When the last arc at one of these joints was out at the latest, and where: by the time of
    /// taking in where none was stated, so that no wait is proven by a column left empty.
    fn out_by(&self, joints: &[String]) -> Option<(DateTime<FixedOffset>, &'a Operation)> {
        let known = self.plan.rules >= GATED_SINCE;
        self.last_of(joints, |mark| known || !mark.timeless)
    }

    fn last_of(
        &self,
        joints: &[String],
        counts: impl Fn(&Mark) -> bool + Copy,
    ) -> Option<(DateTime<FixedOffset>, &'a Operation)> {
        let own = |o: &&Operation| o.joints.iter().any(|j| joints.contains(j));
        let timed = |o: &'a Operation| {
            let stated = arcs(self.plan.rules, self.state, o).filter(move |mark| counts(mark));
            stated.filter_map(move |mark| Some((mark.time()?, o)))
        };
        self.plan.operations.iter().filter(own).flat_map(timed).max_by_key(|(at, _)| *at)
    }

    /// Whether an operation that accepts welds is worked when they can be cold.
    ///
    /// # Errors
    /// If the last arc was out a few minutes before, or later.
    pub(super) fn cooled(&self, operation: &Operation) -> Result<(), Diagnostic> {
        let accepts = operation.points().any(|p| p.rule.as_deref() == Some("acceptance"));
        let Some(at) = self.at.filter(|_| self.plan.rules >= SINCE && accepts && !heats(operation)) else {
            return Ok(());
        };
        let Some((arc, hot)) = self.out_by(&operation.joints) else { return Ok(()) };
        let minutes = (at - arc).num_minutes();
        if minutes >= TOUCH {
            return Ok(());
        }
        let when = if at < arc { "before the last arc at" } else { "after the last arc at" };
        let problem = refuse(
            "L179",
            RULE,
            format!(
                "operation {} judges its welds cold, and {} is {} min {when} operation {}: nothing is cold in {TOUCH} min",
                operation.number,
                told(&at),
                minutes.abs(),
                hot.number
            ),
            format!(
                "let it cool in still air, and read it then; what was read earlier is entered with its time (--at TIME). If the arc was out sooner, put the time of its entry right: tackwright status {} --entries",
                self.plan.number
            ),
        );
        Err(self.with_its_own_time(operation, arc, problem))
    }

    /// Where an arc is only known to have been out when it was taken in, a refusal says how it
    /// gets a time of its own.
    fn with_its_own_time(
        &self,
        operation: &Operation,
        arc: DateTime<FixedOffset>,
        problem: Diagnostic,
    ) -> Diagnostic {
        if self.last_arc(&operation.joints).is_some_and(|(stated, _)| stated >= arc) {
            return problem;
        }
        problem.help(format!(
            "what was taken in without a time was done by {} at the latest: with its own time in the column when, it is judged by that",
            told(&arc)
        ))
    }

    /// When what an operation rests on was done last, by what is stated: its own work began then
    /// at the earliest.
    fn began_at(&self, operation: &Operation) -> Option<DateTime<FixedOffset>> {
        let before = self.nearest(operation).into_iter().flat_map(|o| {
            let signed = o.points().flat_map(|p| self.state.signatures(&o.key, &p.slot)).map(|s| &s.mark);
            self.state.marks(&o.key).chain(signed)
        });
        before.filter(|mark| !mark.timeless).filter_map(Mark::time).max()
    }

    /// The fewest and the most hours from the last arc at the joints of an operation to now, by
    /// the log, and what the fewest are counted from; none where it does not know. They are
    /// apart where an arc was taken in without its time: it burned after what it rests on.
    fn hours_since_arc(&self, operation: &Operation) -> Option<(f64, f64, String)> {
        let now = self.at?;
        let hours = |then: DateTime<FixedOffset>| (now - then).as_seconds_f64() / 3600.0;
        let (arc, hot) = self.out_by(&operation.joints)?;
        let stated = self.last_arc(&operation.joints).map(|(at, _)| at);
        let first = match stated == Some(arc) {
            true => stated,
            false => stated.max(self.began_at(hot)),
        };
        let from = format!("the last entry at operation {}, {}", hot.number, told(&arc));
        Some((hours(arc), first.map_or(f64::INFINITY, hours), from))
    }

    /// How a reading that says how long ago the last arc was departs from the log, with what
    /// the log says instead; none if both agree, to the hours people count in.
    #[must_use]
    pub fn unlike_the_log(
        &self,
        operation: &Operation,
        reading: &Reading,
        read: Quantity,
    ) -> Option<(String, String)> {
        let asked = reading.since_arc.then_some(operation)?;
        let (hours, most, from) = self.hours_since_arc(asked)?;
        if (hours - COUNTED..=most + COUNTED).contains(&read.si()) {
            return None;
        }
        let hours = format!("{hours:.1}");
        let words = format!(
            "{}.{}: {:.1} h from the last arc, and by the log it was {hours} h from {from}",
            operation.number,
            reading.id,
            read.si()
        );
        Some((words, hours))
    }

    /// Whether a reading that says how long ago the last arc was agrees with the log.
    ///
    /// # Errors
    /// If it does not: it is asked back.
    pub fn since_arc(
        &self,
        operation: &Operation,
        reading: &Reading,
        read: Quantity,
    ) -> Result<(), Diagnostic> {
        let Some((words, hours)) = self.unlike_the_log(operation, reading, read) else { return Ok(()) };
        let writes = self.measures(operation, reading, false).replacen("VALUE", &hours, 1);
        Err(refuse(
            "L232",
            "hours that the log knows are not typed otherwise",
            words,
            format!(
                "write what the log says: {writes}; or put the time of the arc or of this test right (--at TIME)"
            ),
        ))
    }

    /// Whether a reading that has to wait after the last arc waited, where its answer
    /// says that all is well.
    ///
    /// # Errors
    /// If its time has not come.
    pub fn in_time(
        &self,
        operation: &Operation,
        reading: &Reading,
        does: Option<Does>,
    ) -> Result<(), Diagnostic> {
        let conforms = does.is_none_or(|d| d == Does::Conforms);
        let asked = reading.after_arc.filter(|_| self.plan.rules >= SINCE && conforms);
        let (Some(wait), Some(at)) = (asked, self.at) else { return Ok(()) };
        let Some((arc, hot)) = self.out_by(&operation.joints) else { return Ok(()) };
        #[expect(clippy::cast_possible_truncation, reason = "whole seconds are fine enough")]
        let wait_for = TimeDelta::seconds(wait.si() as i64);
        if at + TimeDelta::minutes(SLACK) >= arc + wait_for {
            return Ok(());
        }
        let wait = in_words(wait);
        let mut problem = refuse(
            "L179",
            RULE,
            format!(
                "{}.{} is taken {wait} after the last arc or later; that was at operation {}, {}, and {} is sooner",
                operation.number,
                reading.id,
                hot.number,
                told(&arc),
                told(&at),
            ),
            format!("test it at {} or later", told(&(arc + wait_for))),
        );
        problem = self.with_its_own_time(operation, arc, problem);
        if let Some(early) = reading.choices.iter().find(|c| c.does == Does::Stops) {
            problem = problem.help(format!("tested already: answer \"{}\", and a lead decides", early.word));
        }
        Err(problem)
    }
}

/// A wait as people say it: in whole hours where it is some.
fn in_words(wait: Quantity) -> String {
    let hours = wait.si() / 3600.0;
    match hours >= 1.0 && hours.fract() == 0.0 {
        true => format!("{hours:.0} h"),
        false => Style::of(wait.kind()).both(wait),
    }
}
