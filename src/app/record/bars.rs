//! The bars of a printed sheet at full size, entered and judged.

use super::act::Done;
use super::desk::{Actor, Desk, by};
use super::files::RecordHost;
use super::{refused, sheets};
use crate::app::plan::Failure;
use crate::app::template;
use crate::diagnostic::Diagnostic;
use crate::form::BoxName;
use crate::quantity::{Dimensioned, Length};
use crate::record::entry::{Action, Bars, Correction};
use crate::record::frozen::{Frozen, Sheet};
use crate::record::outdated::{self, Redrawn};
use crate::record::state::State;
use crate::term::{Judged, Verdict};

/// Least digits that name a sheet.
const DIGITS: usize = 6;

/// Enters what the 100 mm bars of a sheet measured, across and along the page.
/// The sheet is named by the digits printed on it, so that what was measured is
/// the sheet of the revision in force, or the same drawn again with what was read.
/// True with a print that may be used.
///
/// # Errors
/// If there is no such sheet, it is out of date, a length is none, a rule says no, or
/// the disk fails.
pub fn enter(
    host: &dyn RecordHost,
    desk: &mut Desk,
    sheet: &str,
    (across, along): (&str, &str),
    actor: &Actor,
    corrects: Option<Correction>,
) -> Result<(Done, bool), Failure> {
    // The bars are 100 mm: a bare number is in millimetres.
    let bare = |text: &str| {
        let number = text.trim().parse::<f64>().is_ok();
        if number { format!("{} mm", text.trim()) } else { text.to_owned() }
    };
    let (across, along) = (&*bare(across), &*bare(along));
    let read = |name, text| template::measured(name, text).map_err(refused);
    let (x, y) = (read("across", across)?, read("along", along)?);
    let redrawn = sheets::redrawn(host, &desk.folder, &desk.issue, &desk.plan, &desk.state)?;
    let sheet = named(&desk.plan, &desk.state, &redrawn, sheet, corrects.is_some()).map_err(refused)?;
    let scene = desk.scene(actor);
    let person = scene.person(&actor.id).map_err(refused)?;
    if desk.state.closed.is_some() {
        return Err(refused(
            Diagnostic::error("L111", format!("{} is closed", desk.plan.number)).rule("closed means closed"),
        ));
    }
    let by = by(person, person.roles.first().map_or("", String::as_str));
    scene.bars_by(&sheet.digest, &by).map_err(refused)?;
    let metres = |length: Length| length.si().to_string();
    let bars = Bars {
        across: metres(x),
        along: metres(y),
        sheet: sheet.digest.clone(),
        name: sheet.name.clone(),
        text: text(across, along),
        verdict: Judged::Decided(Verdict::NotConform),
    };
    let bars = Bars { verdict: bars.judged().unwrap_or(bars.verdict), ..bars };
    let good = bars.verdict.is(Verdict::Conform);
    let words = bars.words();
    let mut entry = desk.enter(actor, by, corrects, Action::Bars { bars })?;
    if !good {
        entry.warnings.push(
            "Destroy the print. Print again at 100 %, or a corrected copy: tackwright template JOB --scale-x … --scale-y …; then measure its bars."
                .to_owned(),
        );
    }
    Ok((Done { entry, words }, good))
}

/// Both lengths as the record keeps them.
pub(super) fn text(across: &str, along: &str) -> String {
    format!("{} across, {} along", across.trim(), along.trim())
}

/// The sheet in force with these digits. A slip of the pen about an earlier print is
/// still put right.
fn named(
    plan: &Frozen,
    state: &State,
    redrawn: &[Redrawn],
    typed: &str,
    corrects: bool,
) -> Result<Sheet, Diagnostic> {
    let mut typed = typed.trim().to_ascii_lowercase();
    // By its name, or that of its box, the sheet in force is meant; `sheet 1a2b3c4d5` is how
    // `status` lists it.
    if let Some(digits) = typed.strip_prefix("sheet ") {
        typed = digits.trim().to_owned();
    }
    let named = |s: &&Sheet| {
        let its_box = BoxName::bars(&s.name).to_string();
        [s.name.as_str(), its_box.as_str()].iter().any(|name| name.eq_ignore_ascii_case(&typed))
    };
    if let Some(sheet) = plan.sheets.iter().find(named) {
        let now = outdated::in_force(plan, state, redrawn).into_iter().find(|s| s.name == sheet.name);
        typed = now.map_or(typed, |now| now.digest);
    }
    let found = if typed.len() >= DIGITS { outdated::named(plan, state, redrawn, &typed) } else { None };
    match found {
        Some(Ok(sheet)) => return Ok(sheet),
        Some(Err((old, _))) if corrects => return Ok(old),
        Some(Err((old, now))) => {
            let problem = Diagnostic::error(
                "L231",
                format!("sheet {} is OUT OF DATE: what was read since moved it", old.called()),
            );
            return Err(problem
                .rule("a print proves only the sheet that is in force")
                .expected(format!("the digits of {}", now.called()))
                .help(format!(
                    "print it again: tackwright template {}; measure that print, and mark again by it",
                    plan.number
                )));
        }
        None => {}
    }
    let all: Vec<String> = outdated::in_force(plan, state, redrawn).iter().map(Sheet::called).collect();
    let problem =
        Diagnostic::error("L230", format!("{} rev {} has no sheet \"{typed}\"", plan.number, plan.revision))
            .rule("only a sheet of the revision in force counts");
    if all.is_empty() {
        return Err(problem.expected("a traveler that was issued with sheets at full size").help(
            "a print drawn at the bench belongs to no traveler: judge it with `template … --scale-x … --scale-y …`",
        ));
    }
    Err(problem
        .expected(format!("the name of one of these, or the nine digits printed on it: {}", all.join(", ")))
        .help("other digits are those of another revision, of other readings or another job: print the sheet again with `template NUMBER`"))
}
