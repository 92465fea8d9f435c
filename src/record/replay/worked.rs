//! Work that was done and read: ticks, readings and what they were judged by, prints.

use super::made::{BOOK_SINCE, Made};
use super::{Again, wrong};
use crate::diagnostic::Diagnostic;
use crate::quantity::Quantity;
use crate::record::agree::{self, choose, verdict};
use crate::record::entry::{At, Bars, Measured};
use crate::record::fitness::read_off;
use crate::record::frozen::{DROPPED_SINCE, Limits, Operation, Reading, Sheet};
use crate::record::hours::heats;
use crate::record::moved::Asked;
use crate::record::rules::Scene;
use crate::record::surely;
use crate::record::words::nothing_read;

/// Edition of the rules since which a weld names the welder's test.
const TEST_SINCE: u32 = 6;

impl Again<'_> {
    /// An entry says what starts again with it: that is worked out once more.
    pub(super) fn started_again(&mut self, made: &Made<'_>) -> Result<(), Diagnostic> {
        let Made { scene, entry, .. } = made;
        let asked = scene.undoes(&entry.what, entry.corrects.is_some());
        if asked.as_ref() != entry.undoes.as_deref() {
            let words = asked.map_or_else(|| "nothing starts again".to_owned(), |asked| asked.words());
            return wrong(format!("it does not say what starts again with it: {words}"));
        }
        self.tell(made, asked.map(|asked| format!("work was made again: {}", asked.words())));
        Ok(())
    }

    /// An operation or a step of it ticked off.
    pub(super) fn ticked(
        &mut self,
        made: &Made<'_>,
        at: &At,
        step: Option<u32>,
        rests_on: &[String],
    ) -> Result<(), Diagnostic> {
        let operation = made.operation(at)?;
        let planned = step.map(|n| operation.steps.iter().find(|s| s.number == n));
        if planned == Some(None) {
            return wrong(format!("operation {} has no such step", operation.number));
        }
        // What stands in a box is replaced by an entry that names it.
        let once = made.scene.plan.rules >= DROPPED_SINCE && made.entry.corrects.is_none();
        let there = made.scene.state.ticks.get(&(at.key.clone(), step.unwrap_or(0)));
        if let Some(mark) = there.filter(|_| once) {
            let place =
                step.map_or_else(|| operation.number.to_string(), |n| format!("{}.{n}", operation.number));
            return wrong(format!("{place} was ticked by {} (entry {})", mark.by.name, mark.n));
        }
        let by = planned.flatten().and_then(|s| s.by.as_deref());
        made.scene.work_knowing(made.person, operation, false, by, &self.open)?;
        if !operation.joints.is_empty() && heats(operation) {
            self.welded(made, operation, rests_on)?;
        }
        // Logs that do not name their maker are from before the rule.
        match step.filter(|_| self.ticks_wait && made.entry.corrects.is_none()) {
            Some(step) => made.scene.tick_waits(operation, step),
            None if step.is_none() && made.entry.corrects.is_none() => made.scene.initials_wait(operation),
            None => Ok(()),
        }
    }

    /// Who welds names the test that rests on, where the paper was issued with a shop book.
    fn welded(
        &mut self,
        made: &Made<'_>,
        operation: &Operation,
        rests_on: &[String],
    ) -> Result<(), Diagnostic> {
        let plan = made.scene.plan;
        if !self.reckon.booked(plan) {
            return Ok(());
        }
        let unproven = rests_on.is_empty() && !made.without_book();
        if plan.rules >= BOOK_SINCE && unproven {
            let joints = operation.joints.join(", ");
            let words = format!("{} welds {joints} and names no test", made.entry.by.name);
            if plan.rules >= TEST_SINCE {
                return wrong(words);
            }
            self.tell(made, [words]);
        }
        self.tests(made, rests_on);
        Ok(())
    }

    /// Notes tests that the rows of the book frozen with the plan do not have: they may have
    /// been passed since, or made up.
    fn tests(&mut self, made: &Made<'_>, rests_on: &[String]) {
        let by = &made.entry.by;
        for basis in rests_on {
            if self.reckon.tested(made.scene.plan, by, basis) == Some(false)
                && self.unseen.insert((by.id.clone(), basis.clone()))
            {
                let words = format!(
                    "{} welds by {basis}, which the rows of the shop book frozen with the paper do not have: ask the shop for the test",
                    by.name
                );
                self.tell(made, [words]);
            }
        }
    }

    /// A reading: its value and verdict, and whoever took it.
    pub(super) fn measured(&mut self, made: &Made<'_>, reading: &Measured) -> Result<(), Diagnostic> {
        let Made { scene, person, entry } = made;
        let operation = made.operation(&reading.operation)?;
        self.tell(made, surely::told(scene, operation, reading));
        let planned = read_well(scene, operation, reading)?;
        self.asked(made, operation, planned, reading)?;
        self.tooled(made, operation, reading)?;
        let step = operation.step_of(&reading.reading);
        let by = step.and_then(|s| s.by.as_deref());
        scene.read_knowing(person, operation, &reading.reading, by, &self.open)?;
        if let Some(step) = step {
            scene.other_person(person, operation, step, entry.corrects.is_some())?;
        }
        if let Some((taken, step)) = entry.taken_in.as_ref().zip(step) {
            scene.takes_in(&taken.by, operation, step)?;
        }
        scene.still_there(operation, planned, entry.corrects.is_some())?;
        self.tester(scene, operation, reading, entry)
    }

    /// Whether a reading was judged by what the plan asks of it: as it is printed,
    /// or computed with what was read before.
    fn asked(
        &mut self,
        made: &Made<'_>,
        operation: &Operation,
        planned: &Reading,
        reading: &Measured,
    ) -> Result<(), Diagnostic> {
        let Scene { plan, state, .. } = made.scene;
        let name = named(operation, reading);
        let own = (reading.lower.clone(), reading.upper.clone());
        let printed = Asked { limits: planned.limits, target: planned.target.clone() };
        // A reading is never its own target.
        let now = if planned.replaces.is_some() && state.reading(&operation.key, &reading.reading).is_some() {
            self.without(plan, state, &(operation.key.clone(), reading.reading.clone()))
        } else {
            self.in_force(plan, state)
        };
        let asked = now.as_ref().map_or_else(|| printed.clone(), |now| now.asked(&operation.key, planned));
        if written(asked.limits) == own && asked.target == reading.target {
            if own != written(printed.limits) {
                self.found.moved.push(made.entry.n);
            }
            return Ok(());
        }
        if now.is_some() || self.moved(state) {
            let target = asked.target.as_deref().unwrap_or("no limit");
            let judged = reading.target.as_deref().unwrap_or("none");
            self.otherwise(
                made,
                [format!("{name} was judged by \"{judged}\", and the plan asked for \"{target}\"")],
            );
            return Ok(());
        }
        if written(asked.limits) == own && reading.target.is_none() {
            return Ok(());
        }
        wrong(format!("{name} was judged by other limits than the plan has"))
    }

    /// A print whose bars were measured is one of the plan, or drawn with what was read.
    pub(super) fn bars(&mut self, made: &Made<'_>, bars: &Bars) -> Result<(), Diagnostic> {
        let Scene { plan, state, .. } = made.scene;
        let issued = |s: &Sheet| s.digest == bars.sheet && s.name == bars.name;
        if !plan.sheets.iter().any(issued) {
            // A print of the sheet as it stood with what was read until then.
            let moved = self.moved(state);
            let redrawn = moved.then(|| self.reckon.redrawn(plan, state)).flatten();
            if redrawn.is_none() && !moved {
                return wrong(format!("the plan has no sheet {}", bars.name));
            }
            if !redrawn.iter().flatten().any(|r| r.digest == bars.sheet && r.name == bars.name) {
                let why = format!("{} is not drawn like that with what was read until then", bars.name);
                self.otherwise(made, [why]);
            }
        }
        made.scene.bars_by(&bars.sheet, &made.entry.by)?;
        if bars.judged() != Some(bars.verdict) {
            return wrong(format!("the bars of {} do not say {}", bars.name, bars.verdict));
        }
        made.before_the_close()
    }
}

/// A reading by its operation and its name.
fn named(operation: &Operation, reading: &Measured) -> String {
    format!("{}.{}", operation.number, reading.reading)
}

/// Limits as a log keeps them: lower and upper, in the base unit.
fn written(limits: Option<Limits>) -> (Option<String>, Option<String>) {
    let si = |q: Option<Quantity>| q.map(|q| q.si().to_string());
    limits.map_or((None, None), |l| (si(l.lower), si(l.upper)))
}

/// The reading of the plan, where what was written is a value of it that can be.
fn read_well<'a>(
    scene: &Scene<'a>,
    operation: &'a Operation,
    reading: &Measured,
) -> Result<&'a Reading, Diagnostic> {
    let name = named(operation, reading);
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
    let chosen = choose(planned, &reading.text, scene.plan.rules)?;
    if let Some((word, does)) = &chosen
        && (*word != reading.text || reading.verdict != verdict(*does))
    {
        return wrong(format!("{name} has not the verdict of its word"));
    }
    scene.dated(planned, &reading.text)?;
    if let Some(lot) = &planned.lot {
        scene.lots(lot, &reading.text)?;
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
    Ok(planned)
}
