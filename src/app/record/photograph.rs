//! Photos of the work, filed with an entry: of a step, a reading or an operation.

use std::path::PathBuf;

use super::act::Done;
use super::desk::{Actor, Desk, by};
use super::files::RecordHost;
use super::photo::take;
use super::refused;
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::record::entry::{Action, Photo};
use crate::record::honest;
use crate::record::place::Place;
use crate::term::{Shows, counted};

/// Files photos of an operation (`120`), a step of it (`120.3`) or a reading
/// (`120.first.left`).
///
/// # Errors
/// If there is no such place, a photo is none, or the system fails.
pub fn file(
    host: &dyn RecordHost,
    desk: &mut Desk,
    what: &str,
    shows: Shows,
    files: &[PathBuf],
    actor: &Actor,
) -> Result<Done, Failure> {
    let scene = desk.scene(actor);
    let place = scene.meant(what).map_err(refused)?;
    let operation = place.operation();
    let (step, reading) = match place {
        Place::Step(_, step) => (Some(step.number), None),
        Place::Reading(_, reading) => (None, Some(reading.id.clone())),
        _ => (None, None),
    };
    let person = scene.person(&actor.id).map_err(refused)?;
    if desk.state.closed.is_some() && !operation.deferred {
        return Err(refused(
            Diagnostic::error("L111", format!("{} is closed", desk.plan.number)).rule("closed means closed"),
        ));
    }
    let late = scene.as_found(operation, shows).map_err(refused)?;
    let early = scene.as_left(operation, shows).map_err(refused)?;
    let mut kept = Vec::new();
    for (path, n) in files.iter().zip(1_u32..) {
        kept.push(take(host, path, &format!("P{}-{n}", desk.state.entries + 1))?);
    }
    let photos: Vec<Photo> = kept.iter().map(|taken| taken.photo.clone()).collect();
    scene.photo_once(&photos, shows).map_err(refused)?;
    let mut before = honest::shown_before(&desk.state, &photos);
    before.extend(late.into_iter().chain(early));
    // Photos first: the entry may only name what is there.
    for taken in &kept {
        taken.keep(host, &desk.folder)?;
    }
    let by = by(person, person.roles.first().map_or("", String::as_str));
    let words = format!("{} photographed {shows}: {}", place.typed(), counted(kept.len(), "photo", "photos"));
    let action = Action::Photographed { operation: operation.at(), photos, reading, shows, step };
    let mut entry = desk.enter(actor, by, None, action)?;
    entry.warnings.extend(before.iter().map(|words| format!("{words}: `verify` tells it.")));
    Ok(Done { entry, words })
}
