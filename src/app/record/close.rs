//! Closing: nothing is open, and the customer gets the completed record.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use chrono::NaiveDate;

use super::completed::{self, Parts};
use super::desk::{self, Actor, Desk, by};
use super::files::RecordHost;
use super::shop_key::{Ask, Seal};
use super::{freeze, key, refused, shop_key, system};
use crate::app::plan::Failure;
use crate::diagnostic::{Diagnostic, Report};
use crate::record::entry::{Action, FollowUp};
use crate::record::log::Appended;
use crate::seal::identity::Identity;
use crate::seal::pdf;

/// A traveler that was closed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Closed {
    /// Entry.
    pub entry: Appended,
    /// The completed record.
    pub record: Completed,
    /// What is to follow, and when.
    pub follow_ups: Vec<String>,
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
    ask: Ask<'_>,
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
    // A key that does not fit is said before anything is written.
    let seal = shop_key::seal(host, &desk.folder, desk.shop.as_deref(), ask)?;
    let follow_ups: Vec<FollowUp> = due
        .map(|due| deferred.iter().map(|o| FollowUp { due: due.to_string(), operation: o.at() }).collect())
        .unwrap_or_default();
    let words = deferred.iter().map(|o| format!("{} {}", o.number, o.title)).collect();
    let by = by(person, "lead");
    let mut entry =
        desk.enter(actor, by, None, Action::Closed { follow_ups, identified: identified.to_owned() })?;
    if identified != "pin" {
        entry.warnings.push(format!("{} has no PIN, so the record rests on the id alone", actor.id));
    }
    let record = write(host, desk, &seal)?;
    Ok(Closed { entry, record, follow_ups: words })
}

/// A completed record that was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Completed {
    /// Where.
    pub path: PathBuf,
    /// Its pages.
    pub pages: usize,
    /// Whether it is signed.
    pub sealed: bool,
    /// Sentences a person should read.
    pub warnings: Vec<String>,
}

/// Writes the completed record of a traveler as it stands.
///
/// # Errors
/// If a file is missing or changed, or the system fails.
pub fn complete(host: &dyn RecordHost, desk: &Desk, ask: Ask<'_>) -> Result<Completed, Failure> {
    let seal = shop_key::seal(host, &desk.folder, desk.shop.as_deref(), ask)?;
    write(host, desk, &seal)
}

fn write(host: &dyn RecordHost, desk: &Desk, seal: &Seal) -> Result<Completed, Failure> {
    let content = freeze::load(host, &desk.folder, &desk.plan.revision)?;
    let path = desk.folder.join(desk::LOG);
    let log = host.bytes(&path).map_err(|e| system(&path, e))?;
    let mut photos = BTreeMap::new();
    for photo in desk.state.founds.iter().flat_map(|f| &f.photos) {
        let path = desk.folder.join("photos").join(&photo.file);
        photos.insert(photo.file.clone(), host.bytes(&path).map_err(|e| system(&path, e))?);
    }
    let parts = Parts { files: content.files, manifest: content.manifest, log, photos };
    let identity = match seal {
        Seal::Key(identity) => Some(&**identity),
        Seal::None | Seal::Missing(_) => None,
    };
    let rendered = completed::render(&parts, identity)?;
    let path = desk.folder.join(format!("{}-completed.pdf", desk.plan.number));
    let mut warnings = put(host, &path, &rendered.bytes)?;
    if identity.is_some_and(Identity::demonstration) {
        warnings.push("Signed with a DEMONSTRATION KEY: the signature proves nothing.".to_owned());
    }
    if let Seal::Missing(path) = seal {
        warnings.push(format!(
            "Not signed: the shop book names a root, but the key under it is not at {}. Put it back, then: tackwright complete {}",
            path.display(),
            desk.plan.number
        ));
    }
    Ok(Completed { path, pages: rendered.pages, sealed: identity.is_some(), warnings })
}

/// Writes the file, and loses nothing that came after an earlier writing of it:
/// a time-stamp token or the customer's signature.
fn put(host: &dyn RecordHost, path: &Path, bytes: &[u8]) -> Result<Vec<String>, Failure> {
    let before = if host.exists(path) { host.bytes(path).map_err(|e| system(path, e))? } else { Vec::new() };
    let grown = |file: &[u8]| pdf::read(file).map_or(0, |r| r.ends.len());
    let first = |file: &[u8]| file.get(..pdf::first(file)).map(<[u8]>::to_vec);
    if before.is_empty() || before == bytes {
        return host.write(path, bytes).map_err(|e| system(path, e)).map(|()| Vec::new());
    }
    let same = first(&before) == first(bytes);
    if same && grown(&before) >= grown(bytes) {
        return Ok(vec![format!(
            "{} is this record already, with what was signed or stamped since: it was left as it is.",
            path.display()
        )]);
    }
    let mut said = Vec::new();
    if grown(&before) > 1 {
        let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let digest = crate::record::sha256(&before);
        let aside = path.with_file_name(format!("{name}-{}.pdf", digest.get(..8).unwrap_or_default()));
        host.write(&aside, &before).map_err(|e| system(&aside, e))?;
        said.push(format!("The record written before, with its signatures, is kept: {}", aside.display()));
    }
    host.write(path, bytes).map_err(|e| system(path, e))?;
    Ok(said)
}
