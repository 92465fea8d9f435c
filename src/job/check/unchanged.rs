//! What is to be other afterwards is made so by some work of the job: else a lift or a
//! rate is reckoned that nobody makes.

use super::{at, name, words};
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::{Axle, Spring};
use crate::quantity::{Dimensioned, Length};

/// Procedures that put a shackle, or a hanger, where it was not.
const SHACKLES: &[&str] = &["shackle-move"];
/// Procedures that take the springs off, and may put others on.
const SPRINGS: &[&str] = &["spring-pack", "spring-over", "trailer-springs"];

/// Heights and shackles apart by less are the same, read twice, in m (common practice).
const SAME_HEIGHT: f64 = 0.002;
/// Leaves apart by less are the same, worn or read twice, in m (common practice: leaves
/// come in steps of about 1 mm).
const SAME_LEAF: f64 = 0.0005;

pub(super) fn check(job: &JobFile, axle: &Axle, report: &mut Report) {
    let Some(spring) = &axle.spring else { return };
    let works = job.work.iter().filter(|w| w.on.iter().any(|on| on.value == axle.id.value));
    let works: Vec<&str> = works.map(|w| &*w.procedure.0).collect();
    if works.is_empty() {
        return;
    }
    let by = |procedures: &[&str]| works.iter().any(|work| procedures.contains(work));
    if !by(SHACKLES) {
        let shackle = changed(&spring.shackle_new, &spring.shackle_old, SAME_HEIGHT);
        tell(axle, spring, shackle, SHACKLES, "as shackle_old", report);
        tell(axle, spring, moved(&spring.hanger_shift), SHACKLES, "0", report);
    }
    if !by(SPRINGS) {
        tell(axle, spring, moved(&spring.arch_change), SPRINGS, "0", report);
        let leaf = changed(&spring.leaf_new, &spring.leaf, SAME_LEAF);
        tell(axle, spring, leaf, SPRINGS, "as leaf", report);
        let counts = spring.leaves_new.as_ref().zip(spring.leaves.as_ref());
        let count = counts.filter(|(new, old)| new.value != old.value);
        let count = count.map(|(new, _)| (new, new.value.to_string()));
        tell(axle, spring, count, SPRINGS, "as leaves", report);
    }
}

/// A value with its words.
type Said<'a, T> = Option<(&'a Located<T>, String)>;

/// A length that is to be another one afterwards, further apart than `same`.
fn changed<'a>(
    new: &'a Option<Located<Reading<Length>>>,
    old: &Option<Located<Reading<Length>>>,
    same: f64,
) -> Said<'a, Reading<Length>> {
    let si = |value: &Located<Reading<Length>>| value.value.value.si();
    let both = new.as_ref().zip(old.as_ref());
    both.filter(|(new, old)| (si(new) - si(old)).abs() > same).map(|(new, _)| (new, words(new)))
}

/// A change that is one.
fn moved(by: &Option<Located<Reading<Length>>>) -> Said<'_, Reading<Length>> {
    let more = by.as_ref().filter(|by| by.value.value.si().abs() > SAME_HEIGHT);
    more.map(|by| (by, words(by)))
}

/// Tells a value no work brings about.
fn tell<T>(axle: &Axle, spring: &Spring, value: Said<'_, T>, by: &[&str], stays: &str, report: &mut Report) {
    let Some((value, words)) = value else { return };
    let problem = Diagnostic::stop(
        "J268",
        format!("{} of {} is {words}, and no work of the job makes it so", name(value), axle.id.value),
    )
    .expected(format!("a [[work]] of {}, or {stays}, for what stays as it is", by.join(", ")))
    .example(format!("{} = \"…\", measured again", name(value)))
    .help("if it is right all the same, write beside it: sure = \"why it is right\"")
    .unless_sure(spring.sure.as_deref());
    report.push(at(problem, value));
}
