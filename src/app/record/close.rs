//! Closing: nothing is open, and the customer gets the completed record.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use chrono::NaiveDate;
use ed25519_dalek::SigningKey;

use super::completed::{self, Parts};
use super::desk::{Actor, Desk, by};
use super::files::RecordHost;
use super::key::Seal;
use super::pin::BY_PIN;
use super::verify::{self, Holds, Trust};
use super::{folder, key, refused, stored, system};
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
        .rule("nothing open at hand-over");
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
            .rule("a follow-up has a date")
            .example("--follow-up 2026-04-20"),
        ));
    }
    if let (Some(due), day) = (due, actor.at.date_naive())
        && due < day
    {
        return Err(refused(
            Diagnostic::error("L192", format!("{due} is before the day of closing, {day}"))
                .rule("a follow-up comes after hand-over")
                .expected(format!("a date from {day} on")),
        ));
    }
    let identified = desk.door().identify(person, pin.or(desk.pin.as_deref()))?;
    // A key that does not fit is said before anything is written.
    let seal = key::seal(host, &desk.folder, desk.shop.as_deref())?;
    let follow_ups: Vec<FollowUp> = due
        .map(|due| deferred.iter().map(|o| FollowUp { due: due.to_string(), operation: o.at() }).collect())
        .unwrap_or_default();
    let words = deferred.iter().map(|o| format!("{} {}", o.number, o.title)).collect();
    let by = by(person, "lead");
    let mut entry =
        desk.enter(actor, by, None, Action::Closed { follow_ups, identified: identified.clone() })?;
    if !identified.starts_with(BY_PIN) {
        entry.warnings.push(format!("{} has no PIN, so the record rests on the id alone", actor.id));
    }
    let record = write(host, desk, &seal).map_err(|failure| {
        let words = format!(
            "{} is closed (entry {}), but its completed record is not there: {}. Write it: tackwright complete {} --by {}",
            desk.plan.number,
            entry.n,
            failure.words(),
            desk.plan.number,
            actor.id
        );
        match failure {
            Failure::Refused(..) => refused(Diagnostic::error("L193", words)),
            Failure::System(_) => Failure::System(words),
        }
    })?;
    Ok(Closed { entry, record, follow_ups: words })
}

/// A completed record that was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Completed {
    /// Where.
    pub path: PathBuf,
    /// Its pages.
    pub pages: usize,
    /// Whether it is sealed.
    pub sealed: bool,
    /// Sentences a person should read.
    pub warnings: Vec<String>,
}

/// Writes the completed record of a traveler as it stands.
///
/// # Errors
/// If the person is no lead or not identified, a file is missing or changed, or
/// the system fails.
pub fn complete(host: &dyn RecordHost, desk: &Desk, actor: &Actor) -> Result<Completed, Failure> {
    let scene = desk.scene(actor);
    let person = scene.person(&actor.id).map_err(refused)?;
    scene.role(person, "lead").map_err(refused)?;
    desk.door().identify(person, desk.pin.as_deref())?;
    let seal = key::seal(host, &desk.folder, desk.shop.as_deref())?;
    write(host, desk, &seal)
}

/// Reads back what was written and checks it as anybody would: what is not good
/// is not called done.
fn proved(
    host: &dyn RecordHost,
    desk: &Desk,
    path: &Path,
    secret: Option<&SigningKey>,
) -> Result<Vec<String>, Failure> {
    let bytes = host.plain(path).map_err(|e| system(path, e))?;
    let trust = Trust { key: secret.map(key::public), ..Trust::default() };
    let verdict = verify::verify(&bytes, &trust);
    let good = match (&desk.state.closed, secret) {
        (None, _) => Holds::NotClosed,
        (Some(_), None) => Holds::NotSealed,
        (Some(_), Some(_)) => Holds::SealedByNamed,
    };
    if verdict.holds() >= good {
        return Ok(Vec::new());
    }
    let mut report = Report::new();
    let mut problem = Diagnostic::error(
        "L194",
        format!("{} was written, but does not hold: {}", path.display(), verdict.holds().sentence()),
    )
    .rule("what is handed over was checked");
    for looked in verdict.looked.iter().filter(|l| l.outcome != verify::Outcome::Good) {
        problem = problem.help(looked.words.clone());
    }
    report.push(problem);
    Err(Failure::Refused(report, Vec::new()))
}

/// The public key the paper was issued with.
fn frozen_key(parts: &Parts) -> Option<String> {
    let shelf = super::shelf::shelf(parts.files.get("procedures.json")?).ok()?;
    shelf.shop.book.seal.map(|s| s.value.to_lowercase())
}

fn write(host: &dyn RecordHost, desk: &Desk, seal: &Seal) -> Result<Completed, Failure> {
    let content = stored::load(host, &desk.folder, &desk.issue)?;
    let path = folder::log(&desk.folder);
    let log = host.plain(&path).map_err(|e| system(&path, e))?;
    let mut photos = BTreeMap::new();
    for photo in desk.state.founds.iter().flat_map(|f| &f.photos) {
        let path = folder::photo(&desk.folder, &photo.file)?;
        photos.insert(photo.file.clone(), host.plain(&path).map_err(|e| system(&path, e))?);
    }
    let parts = Parts { files: content.files, manifest: content.manifest, log, photos };
    let secret = match seal {
        Seal::Key(key) => Some(&**key),
        Seal::None | Seal::Missing(_) => None,
    };
    let rendered = completed::render(&parts, secret)?;
    let path = folder::completed(&desk.folder, &desk.plan.number)?;
    host.write(&path, &rendered.bytes).map_err(|e| system(&path, e))?;
    let mut warnings = proved(host, desk, &path, secret)?;
    if let (Some(secret), Some(issued)) = (secret, frozen_key(&parts))
        && key::public(secret) != issued
    {
        warnings.push(format!(
            "The sealing key is not the one on the paper that was issued ({issued}): tell the customer which one counts, and why."
        ));
    }
    if let Seal::Missing(path) = seal {
        warnings.push(format!(
            "Not sealed: the shop book names a key, but its private half is not at {}. Put it back, then: tackwright complete {}",
            path.display(),
            desk.plan.number
        ));
    }
    Ok(Completed { path, pages: rendered.pages, sealed: secret.is_some(), warnings })
}
