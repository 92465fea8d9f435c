//! Whose turn it is by now, in one line.

use std::path::Path;

use chrono::{DateTime, FixedOffset};

use super::boxes::{self, Sight};
use super::files::RecordHost;
use super::recompute::Memo;
use super::status::LEAD;
use crate::app::plan::Failure;
use crate::record::boxes::What;
use crate::record::frozen::Operation;
use crate::record::hours;
use crate::record::people::Signer;

/// Who may do the next thing, and what that is, in one line; none where the traveler is
/// finished, or its shop book can't be read.
///
/// # Errors
/// If its folder can't be read.
pub fn next_hand(
    host: &dyn RecordHost,
    folder: &Path,
    at: DateTime<FixedOffset>,
) -> Result<Option<String>, Failure> {
    let sight = Sight::of(host, folder, None, at)?;
    if sight.no_book.is_some() {
        return Ok(None);
    }
    let scene = sight.scene();
    let later = sight.state.closed.is_some();
    let operations = || sight.plan.operations.iter().filter(|o| o.deferred == later);
    let open =
        || operations().flat_map(Operation::boxes).filter(|asked| asked.filled(&sight.state).is_none());
    let now = boxes::in_force(host, folder, &sight.issue, &scene, &mut Memo::default())?;
    let Some(asked) = open().find(|asked| boxes::waits(&scene, now.as_deref(), asked).is_none()) else {
        // What waits for nothing but time waits for no lead.
        if let Some(why) = open().next().and_then(|asked| scene.cools(asked.operation)) {
            return Ok(Some(format!("nobody yet: {why}")));
        }
        // What is to be put right is read again by whoever does that work.
        if let Some(one) = scene.not_put_right().next().filter(|_| open().next().is_some()) {
            return Ok(Some(one.way_out));
        }
        let stuck = open().next().is_some();
        let leads = who(&sight.register.people, &|p| p.roles.iter().any(|r| r == LEAD));
        return Ok(stuck.then(|| format!("{leads}: nothing can be entered before what waits is put right and read again, or a lead decides it")));
    };
    let operation = asked.operation;
    let row = boxes::row(&scene, now.as_deref(), &asked);
    // Others may do it as well; who has the role is named first: whoever does the work of
    // another role may be the only one who could release it.
    let of_role = |p: &Signer| p.roles.iter().any(|r| row.roles.contains(r));
    // Whoever reads at a weld and may not make it would be stopped at its initials.
    let burns = hours::heats(operation);
    // Whoever may not write that a test is clear is not sent to it.
    let tests = |p: &Signer| match asked.what {
        What::Reading(_, reading) => scene.tests_there(p, operation, reading),
        _ => true,
    };
    let rank = |p: &Signer| (tests(p), of_role(p), !burns || scene.may_weld(p, operation).is_ok());
    let best = |may: &dyn Fn(&Signer) -> bool| {
        let people = &sight.register.people;
        let best = people.iter().filter(|p| may(p)).map(&rank).max();
        who(people, &|p| may(p) && Some(rank(p)) == best)
    };
    let people = match asked.what {
        What::Signature(point, role, _) => {
            who(&sight.register.people, &|p| scene.sign(p, role, operation, point).is_ok())
        }
        What::Tick(step) | What::Reading(step, _) => {
            let by = step.by.as_deref();
            let may = |p: &Signer| {
                // A second reading is another person's.
                scene.other_person(p, operation, step, false).is_ok()
                    && match asked.what {
                        What::Reading(_, reading) => scene.read_by(p, operation, &reading.id, by).is_ok(),
                        _ => scene.work_by(p, operation, true, by).is_ok(),
                    }
            };
            best(&may)
        }
        What::Initials | What::Bars(_) => best(&|p| scene.work_by(p, operation, false, None).is_ok()),
    };
    let roles = if row.roles.is_empty() { String::new() } else { format!(" ({})", row.roles.join(", ")) };
    let what = match asked.what {
        What::Signature(..) => format!("signs {}", row.typed),
        What::Initials => format!("initials {}", row.typed),
        What::Tick(_) => format!("ticks {}", row.typed),
        What::Reading(..) | What::Bars(_) => format!("{}, {}", row.typed, row.label),
    };
    Ok(Some(format!("{people}{roles}: {what}")))
}

/// The ids of those who may, at most four of them.
fn who(people: &[Signer], may: &dyn Fn(&Signer) -> bool) -> String {
    let all: Vec<&str> = people.iter().filter(|p| may(p)).map(|p| p.id.as_str()).collect();
    match all.as_slice() {
        [] => "nobody in the shop book".to_owned(),
        few if few.len() <= 4 => few.join(" or "),
        [one, two, ..] => format!("{one}, {two} and {} more", all.len() - 2),
        [one] => (*one).to_owned(),
    }
}
