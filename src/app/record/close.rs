//! Closing: nothing is open, and the customer gets the completed record.

use std::collections::BTreeMap;
use std::path::PathBuf;

use chrono::NaiveDate;

use super::completed::{self, Parts};
use super::desk::{self, Actor, Desk, by};
use super::files::RecordHost;
use super::{freeze, key, refused, system};
use crate::app::plan::Failure;
use crate::diagnostic::{Diagnostic, Report};
use crate::record::entry::{Action, FollowUp};
use crate::record::log::Appended;

/// A traveler that was closed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Closed {
    /// Entry.
    pub entry: Appended,
    /// The completed record.
    pub path: PathBuf,
    /// Its pages.
    pub pages: usize,
    /// What is to follow, and when.
    pub follow_ups: Vec<String>,
    /// Whether it is sealed.
    pub sealed: bool,
}

/// Closes a traveler.
///
/// # Errors
/// If anything is open (all of it is listed), or the system fails.
pub fn close(
    host: &dyn RecordHost,
    desk: &mut Desk,
    actor: &Actor,
    pin: Option<&str>,
    due: Option<NaiveDate>,
) -> Result<Closed, Failure> {
    let scene = desk.scene(actor);
    let person = scene.person(&actor.id).map_err(refused)?;
    scene.role(person, "lead").map_err(refused)?;
    if let Some((mark, _)) = &desk.state.closed {
        return Err(refused(
            Diagnostic::error("L111", format!("it was closed on {} by {}", mark.at, mark.by.name))
                .help("write the completed record again: tackwright complete NUMBER"),
        ));
    }
    let open = scene.open();
    if !open.is_empty() {
        let mut report = Report::new();
        let mut problem = Diagnostic::error(
            "L190",
            format!("{} can't be closed: {} places are open", desk.plan.number, open.len()),
        )
        .key("rule: nothing open at hand-over");
        for one in &open {
            problem = problem.help(one.clone());
        }
        report.push(problem);
        return Err(Failure::Refused(report, Vec::new()));
    }
    let deferred: Vec<_> = desk.plan.operations.iter().filter(|o| o.deferred).collect();
    if let (Some(first), None) = (deferred.first(), due) {
        return Err(refused(
            Diagnostic::error(
                "L191",
                format!("operation {} {} is done after hand-over and has no date", first.number, first.title),
            )
            .key("rule: a follow-up has a date")
            .example("--follow-up 2026-04-20"),
        ));
    }
    let identified = key::identify(person, pin).map_err(refused)?;
    let follow_ups: Vec<FollowUp> = due
        .map(|due| deferred.iter().map(|o| FollowUp { due: due.to_string(), operation: o.at() }).collect())
        .unwrap_or_default();
    let words = deferred.iter().map(|o| format!("{} {}", o.number, o.title)).collect();
    let by = by(person, "lead");
    let mut entry = desk.enter(host, actor, by, None, Action::Closed { follow_ups })?;
    if identified != "pin" {
        entry.warnings.push(format!("{} has no PIN, so the record rests on the id alone", actor.id));
    }
    let (path, pages, sealed) = complete(host, desk)?;
    Ok(Closed { entry, path, pages, follow_ups: words, sealed })
}

/// Writes the completed record of a traveler as it stands: path, pages,
/// whether it is sealed.
///
/// # Errors
/// If a file is missing or changed, or the system fails.
pub fn complete(host: &dyn RecordHost, desk: &Desk) -> Result<(PathBuf, usize, bool), Failure> {
    let content = freeze::load(host, &desk.folder, &desk.plan.revision)?;
    let path = desk.folder.join(desk::LOG);
    let log = host.bytes(&path).map_err(|e| system(&path, e))?;
    let mut photos = BTreeMap::new();
    for photo in desk.state.founds.iter().flat_map(|f| &f.photos) {
        let path = desk.folder.join("photos").join(&photo.file);
        photos.insert(photo.file.clone(), host.bytes(&path).map_err(|e| system(&path, e))?);
    }
    let secret = key::secret(host, &desk.folder)?;
    let parts = Parts { files: content.files, manifest: content.manifest, log, photos };
    let rendered = completed::render(&parts, secret.as_ref())?;
    let path = desk.folder.join(format!("{}-completed.pdf", desk.plan.number));
    host.write(&path, &rendered.bytes).map_err(|e| system(&path, e))?;
    Ok((path, rendered.pages, secret.is_some()))
}
