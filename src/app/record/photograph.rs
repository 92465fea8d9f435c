//! Photos of the work, filed with an entry: of a step, a reading or an operation.

use std::path::PathBuf;

use super::act::Done;
use super::desk::{Actor, Desk, by};
use super::files::RecordHost;
use super::photo::take;
use super::refused;
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::record::entry::Action;

/// Files photos of an operation (`120`), a step of it (`120.3`) or a reading
/// (`120.first.left`); `shows` is `as found` or `as left`.
///
/// # Errors
/// If there is no such place, a photo is none, or the system fails.
pub fn file(
    host: &dyn RecordHost,
    desk: &mut Desk,
    what: &str,
    shows: &str,
    files: &[PathBuf],
    actor: &Actor,
) -> Result<Done, Failure> {
    let scene = desk.scene(actor);
    let (name, part) = what.split_once('.').map_or((what, None), |(name, part)| (name, Some(part)));
    let operation = scene.operation(name).map_err(refused)?;
    let step =
        part.and_then(|p| p.parse::<u32>().ok()).filter(|n| operation.steps.iter().any(|s| s.number == *n));
    let reading = part.filter(|p| operation.readings().any(|r| r.id == **p)).map(str::to_owned);
    if let (Some(part), None, None) = (part, step, &reading) {
        let ids: Vec<&str> = operation.readings().map(|r| r.id.as_str()).collect();
        return Err(refused(
            Diagnostic::error(
                "L109",
                format!("operation {} has no step or reading \"{part}\"", operation.number),
            )
            .expected(format!("a step from 1 to {}; {}", operation.steps.len(), ids.join(", "))),
        ));
    }
    let person = scene.person(&actor.id).map_err(refused)?;
    if desk.state.closed.is_some() && !operation.deferred {
        return Err(refused(
            Diagnostic::error("L111", format!("{} is closed", desk.plan.number)).rule("closed means closed"),
        ));
    }
    let mut kept = Vec::new();
    for (path, n) in files.iter().zip(1_u32..) {
        kept.push(take(host, path, &format!("P{}-{n}", desk.state.entries + 1))?);
    }
    // Photos first: the entry may only name what is there.
    for taken in &kept {
        taken.keep(host, &desk.folder)?;
    }
    let by = by(person, person.roles.first().map_or("", String::as_str));
    let words = format!("{what} photographed {shows}: {} photos", kept.len());
    let action = Action::Photographed {
        operation: operation.at(),
        photos: kept.into_iter().map(|taken| taken.photo).collect(),
        reading,
        shows: shows.to_owned(),
        step,
    };
    let entry = desk.enter(actor, by, None, action)?;
    Ok(Done { entry, words })
}
