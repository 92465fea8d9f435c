//! Closing: nothing is open, and the customer gets the completed record.

use std::path::{Path, PathBuf};

use super::desk::{Actor, Desk, by};
use super::files::RecordHost;
use super::follow_ups::{self, Due};
use super::made::FIRST;
use super::shop_key::{Ask, Seal};
use super::{folder, made, recompute, refused, seal, shop_key, stands, system, waivers};
use crate::app::plan::Failure;
use crate::diagnostic::{Diagnostic, Report};
use crate::record::entry::Action;
use crate::record::identified::by_pin;
use crate::record::let_be;
use crate::record::log::Appended;
use crate::seal::identity::Identity;
use crate::seal::pdf;
use crate::term::clock::told_text;
use crate::term::counted;

/// A traveler that was closed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Closed {
    /// Place in the log and hash of what closes it.
    pub entry: Appended,
    /// What the customer gets of it.
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
    due: &[Due],
    ask: Ask<'_>,
) -> Result<Closed, Failure> {
    let scene = desk.scene(actor);
    let person = scene.person(&actor.id).map_err(refused)?;
    scene.role(person, "lead").map_err(refused)?;
    if let Some((mark, _)) = &desk.state.closed {
        return Err(refused(
            Diagnostic::error(
                "L111",
                format!("it was closed on {} by {}", told_text(&mark.at), mark.by.name),
            )
            .help(format!(
                "its completed record can be written again: tackwright complete {} --by {}",
                desk.plan.number, actor.id
            )),
        ));
    }
    let mut open = scene.open();
    open.extend(recompute::no_longer(host, desk)?.into_iter().map(|lost| lost.told()));
    if !open.is_empty() {
        let mut report = Report::new();
        let mut problem = Diagnostic::error(
            "L190",
            format!(
                "{} can't be closed: {} open",
                desk.plan.number,
                counted(open.len(), "place is", "places are")
            ),
        )
        .rule("nothing open at hand-over");
        for one in open.iter().take(FIRST) {
            problem = problem.help(one.clone());
        }
        if let Some(more) = open.len().checked_sub(FIRST).filter(|n| *n > 0) {
            let number = &desk.plan.number;
            problem = problem.help(format!("and {more} more: tackwright status {number} --operations"));
        }
        report.push(problem);
        return Err(Failure::Refused(report, Vec::new()));
    }
    let mut bad = stands::all_against(host, &desk.folder, &desk.entries)?;
    bad.extend(stands::photos(host, &desk.folder, &desk.state));
    if !bad.is_empty() {
        let number = &desk.plan.number;
        let problem =
            Diagnostic::error("L233", format!("{number} can't be closed: what is kept of it does not stand"))
                .rule("nothing is closed that could not be handed over");
        let problem = bad.into_iter().fold(problem, Diagnostic::help);
        return Err(refused(problem.help("put the newest good copy of the traveler's folder back, with its journal; without one show this to whoever keeps the heads on paper")));
    }
    let follow_ups = follow_ups::planned(desk, actor, due).map_err(refused)?;
    let identified = desk.door().identify(person, pin.or(desk.pin.as_deref()))?;
    // A key that does not fit is said before anything is written.
    let seal = shop_key::seal(host, &desk.folder, desk.shop.as_deref(), ask)?;
    let words = follow_ups.iter().filter_map(|one| {
        let operation = desk.plan.keyed(&one.operation.key)?;
        Some(format!("{} {} by {}", operation.number, operation.title, one.due))
    });
    let words = words.collect();
    let by = by(person, "lead");
    let action = Action::Closed { follow_ups, identified: identified.clone() };
    // Whatever stops the record stops the close: closed, nothing can be put right any more.
    made::would_stand(host, desk, desk.next_line(actor, by.clone(), action.clone())?, identity(&seal))?;
    let mut entry = desk.enter(actor, by, None, action)?;
    if !by_pin(&identified) {
        entry.warnings.push(format!("{} has no PIN, so the record rests on the id alone", actor.id));
    }
    let record = write(host, desk, &seal, &actor.id).map_err(|failure| {
        let words = format!(
            "{} is closed (entry {}), but it has no completed record to hand over: {}. Write it again: tackwright complete {} --by {}",
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
    /// The PDF in the traveler's folder.
    pub path: PathBuf,
    /// How many the PDF has.
    pub pages: usize,
    /// Whether it is signed.
    pub sealed: bool,
    /// How much of it stands by a decision or on somebody's word alone, as the first line of
    /// `verify` says it; none where nothing does.
    pub let_be: Option<String>,
    /// Sentences a person should read.
    pub warnings: Vec<String>,
}

/// Writes the completed record of a traveler as it stands.
///
/// # Errors
/// If the person is no lead or not identified, the key can't be opened, a file is
/// missing or changed, or the system fails.
pub fn complete(
    host: &dyn RecordHost,
    desk: &Desk,
    actor: &Actor,
    ask: Ask<'_>,
) -> Result<Completed, Failure> {
    let scene = desk.scene(actor);
    let person = scene.person(&actor.id).map_err(refused)?;
    scene.role(person, "lead").map_err(refused)?;
    desk.door().identify(person, desk.pin.as_deref())?;
    let seal = shop_key::seal(host, &desk.folder, desk.shop.as_deref(), ask)?;
    write(host, desk, &seal, &actor.id)
}

/// Who signs.
fn identity(key: &Seal) -> Option<&Identity> {
    match key {
        Seal::Key(identity) => Some(&**identity),
        Seal::None | Seal::Missing(_) => None,
    }
}

fn write(host: &dyn RecordHost, desk: &Desk, key: &Seal, by: &str) -> Result<Completed, Failure> {
    let path = folder::log(&desk.folder);
    let log = host.plain(&path).map_err(|e| system(&path, e))?;
    let identity = identity(key);
    let (parts, rendered) = made::make(host, desk, log, identity)?;
    let path = folder::completed(&desk.folder, &desk.plan.number)?;
    // Checked before it takes the place of one that was handed over.
    made::proved((desk, by), &path, &rendered.bytes, identity)?;
    let mut warnings = put(host, &path, &rendered.bytes)?;
    let written = host.plain(&path).map_err(|e| system(&path, e))?;
    if written != rendered.bytes {
        made::proved((desk, by), &path, &written, identity)?;
    }
    if identity.is_some_and(Identity::demonstration) {
        warnings.push("Signed with a DEMONSTRATION KEY: the signature proves nothing.".to_owned());
    }
    if let (Some(identity), Some(issued)) = (identity, parts.issued_root())
        && !seal::is_under(&identity.certificates, &issued, desk.entries.last())
    {
        warnings.push(format!(
            "The sealing key is not under the root on the paper that was issued ({issued}): tell the customer which one counts, and why."
        ));
    }
    if let Seal::Missing(path) = key {
        warnings.push(format!(
            "Not signed: the shop book names a root, but the key under it is not at {}. Put it back, then: tackwright complete {} --by {by}",
            path.display(),
            desk.plan.number
        ));
    }
    let mut all = let_be::let_be(&desk.plan, &desk.state, &desk.entries);
    all.extend(waivers::set_aside(parts.files.get("job.toml").map(Vec::as_slice)));
    let let_be = (!all.is_empty()).then(|| let_be::headed(all.len()));
    Ok(Completed { path, pages: rendered.pages, sealed: identity.is_some(), let_be, warnings })
}

/// Writes the file, and loses nothing that came after an earlier writing of it:
/// a time-stamp token or the customer's signature.
fn put(host: &dyn RecordHost, path: &Path, bytes: &[u8]) -> Result<Vec<String>, Failure> {
    let before = if host.exists(path) { host.plain(path).map_err(|e| system(path, e))? } else { Vec::new() };
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
