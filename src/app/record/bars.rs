//! The bars of a printed sheet at full size, entered and judged.

use super::act::Done;
use super::desk::{Actor, Desk, by};
use super::refused;
use crate::app::plan::Failure;
use crate::app::template;
use crate::diagnostic::Diagnostic;
use crate::quantity::{Dimensioned, Length};
use crate::record::entry::{Action, Bars, Correction};
use crate::record::frozen::{Frozen, Sheet};
use crate::term::{Judged, Verdict};

/// Least digits that name a sheet.
const DIGITS: usize = 6;

/// Enters what the 100 mm bars of a sheet measured, across and along the page.
/// The sheet is named by the digits printed on it, so that what was measured is
/// the sheet of the revision in force. True with a print that may be used.
///
/// # Errors
/// If there is no such sheet, a length is none, a rule says no, or the disk fails.
pub fn enter(
    desk: &mut Desk,
    sheet: &str,
    (across, along): (&str, &str),
    actor: &Actor,
    corrects: Option<Correction>,
) -> Result<(Done, bool), Failure> {
    let read = |name, text| template::measured(name, text).map_err(refused);
    let (x, y) = (read("across", across)?, read("along", along)?);
    let sheet = named(&desk.plan, sheet).map_err(refused)?;
    let scene = desk.scene(actor);
    let person = scene.person(&actor.id).map_err(refused)?;
    if desk.state.closed.is_some() {
        return Err(refused(
            Diagnostic::error("L111", format!("{} is closed", desk.plan.number)).rule("closed means closed"),
        ));
    }
    scene.bars_by(&sheet.digest, &person.id).map_err(refused)?;
    let metres = |length: Length| length.si().to_string();
    let bars = Bars {
        across: metres(x),
        along: metres(y),
        sheet: sheet.digest.clone(),
        name: sheet.name.clone(),
        text: format!("{} across, {} along", across.trim(), along.trim()),
        verdict: Judged::Decided(Verdict::NotConform),
    };
    let bars = Bars { verdict: bars.judged().unwrap_or(bars.verdict), ..bars };
    let good = bars.verdict.is(Verdict::Conform);
    let words = bars.words();
    let by = by(person, person.roles.first().map_or("", String::as_str));
    let mut entry = desk.enter(actor, by, corrects, Action::Bars { bars })?;
    if !good {
        entry.warnings.push(
            "Destroy the print. Print again at 100 %, or a corrected copy: tackwright template JOB --scale-x … --scale-y …; then measure its bars."
                .to_owned(),
        );
    }
    Ok((Done { entry, words }, good))
}

fn named(plan: &Frozen, typed: &str) -> Result<Sheet, Diagnostic> {
    let typed = typed.trim().to_ascii_lowercase();
    let found = plan.sheets.iter().find(|s| typed.len() >= DIGITS && s.digest.starts_with(&typed));
    found.cloned().ok_or_else(|| {
        let all: Vec<String> = plan.sheets.iter().map(Sheet::called).collect();
        let problem = Diagnostic::error(
            "L230",
            format!("{} rev {} has no sheet \"{typed}\"", plan.number, plan.revision),
        )
        .rule("only a sheet of the revision in force counts");
        if all.is_empty() {
            return problem.expected("a traveler that was issued with sheets at full size").help(
                "a print drawn at the bench belongs to no traveler: judge it with `template … --scale-x … --scale-y …`",
            );
        }
        problem
            .expected(format!("the nine digits printed on one of: {}", all.join(", ")))
            .help("other digits are those of another revision or another job: print the sheet again with `template JOB`")
    })
}
