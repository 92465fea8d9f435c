//! The completed record of a traveler, made from its folder and checked as anybody would: before
//! it is written, and before the entry that closes the traveler is.

use std::collections::BTreeMap;
use std::path::Path;

use super::completed::{self, Parts, Revision};
use super::desk::Desk;
use super::files::RecordHost;
use super::verify::{self, Holds, Outcome, Trust, Verdict};
use super::{folder, refused, set_photo, stored, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::record::Entry;
use crate::render::Rendered;
use crate::seal::identity::Identity;

/// Places that are named one by one where a traveler can't be closed.
pub(super) const FIRST: usize = 12;

/// Makes the record with this log.
///
/// # Errors
/// If a file is missing or changed, or the typesetter or the key can't make it.
pub(super) fn make(
    host: &dyn RecordHost,
    desk: &Desk,
    log: Vec<u8>,
    identity: Option<&Identity>,
) -> Result<(Parts, Rendered), Failure> {
    let content = stored::load(host, &desk.folder, &desk.issue)?;
    let mut photos = BTreeMap::new();
    for photo in desk.state.photos() {
        let path = folder::photo(&desk.folder, &photo.file)?;
        photos.insert(
            photo.file.clone(),
            folder::read(host, &desk.folder, &path).map_err(|e| system(&path, e))?,
        );
    }
    let mut earlier = BTreeMap::new();
    for issue in desk.entries.iter().filter_map(Entry::issue).filter(|i| **i != desk.issue) {
        let content = stored::load(host, &desk.folder, issue)?;
        earlier.insert(issue.revision.clone(), Revision::of(content));
    }
    let parts = Parts { files: content.files, manifest: content.manifest, log: log.into(), photos, earlier };
    let rendered = completed::render(&parts, identity)?;
    Ok((parts, rendered))
}

/// What a record is checked to be at least.
fn good(closed: bool, identity: Option<&Identity>) -> Holds {
    match identity {
        _ if !closed => Holds::NotClosed,
        None => Holds::NotSealed,
        Some(identity) if identity.demonstration() => Holds::Demonstration,
        Some(_) => Holds::SealedByNamed,
    }
}

fn looked(bytes: &[u8], identity: Option<&Identity>) -> Verdict {
    let trust = Trust { named: identity.and_then(Identity::root).into_iter().collect(), ..Trust::default() };
    verify::verify(bytes, &trust)
}

/// Checks a record as anybody would: what is not good is not called done, and takes the place
/// of nothing that was.
///
/// # Errors
/// With what is not good.
pub(super) fn proved(
    (desk, by): (&Desk, &str),
    path: &Path,
    bytes: &[u8],
    identity: Option<&Identity>,
) -> Result<(), Failure> {
    let verdict = looked(bytes, identity);
    if verdict.holds() >= good(desk.state.closed.is_some(), identity) {
        return Ok(());
    }
    let problem = Diagnostic::error(
        "L194",
        format!(
            "{} was made and checked, is not good to hand over, and was not written: {}",
            path.display(),
            verdict.holds().sentence()
        ),
    )
    .rule("what is handed over was checked")
    .help(format!(
        "no entry is lost; put right what is named here, then write it again: tackwright complete {} --by {by}",
        desk.plan.number
    ));
    Err(refused(named(problem, &verdict, &desk.plan.number)))
}

/// A problem with all that speaks against a record.
fn named(problem: Diagnostic, verdict: &Verdict, number: &str) -> Diagnostic {
    // What is open has its command where the traveler stands.
    let mut problem = verdict.open.iter().take(FIRST).cloned().fold(problem, Diagnostic::help);
    if !verdict.open.is_empty() {
        let more = verdict.open.len().saturating_sub(FIRST);
        let more = if more > 0 { format!("and {more} more; ") } else { String::new() };
        problem = problem.help(format!("{more}who puts it right, and how: tackwright status {number}"));
    }
    let against = verdict.remarks.iter().filter(|r| r.contains("is against the rules"));
    let bad = verdict.looked.iter().filter(|l| matches!(l.outcome, Outcome::Bad | Outcome::NotShown));
    against.chain(bad.map(|l| &l.words)).cloned().fold(problem, Diagnostic::help)
}

/// Makes the record as it would be with the entry that closes the traveler, and checks it:
/// closed, nothing can be put right any more.
///
/// # Errors
/// If no record could be made, or it would not be good to hand over.
pub(super) fn would_stand(
    host: &dyn RecordHost,
    desk: &Desk,
    line: Vec<u8>,
    identity: Option<&Identity>,
) -> Result<(), Failure> {
    let path = folder::log(&desk.folder);
    let mut log = host.plain(&path).map_err(|e| system(&path, e))?;
    // A torn last line was never confirmed, and is set aside by the next entry.
    log.truncate(log.iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1));
    log.extend(line);
    let number = &desk.plan.number;
    let no = |why: String| {
        let problem =
            Diagnostic::error("L355", format!("{number} can't be closed: its completed record {why}"));
        problem.rule("nothing is closed that could not be handed over")
    };
    match make(host, desk, log, identity) {
        Ok((_, rendered)) => {
            let verdict = looked(&rendered.bytes, identity);
            if verdict.holds() >= good(true, identity) {
                return Ok(());
            }
            let why = format!("would not be good to hand over: {}", verdict.holds().sentence());
            Err(refused(named(no(why), &verdict, number)))
        }
        Err(failure) => {
            let problem = no(format!("can't be made: {}", failure.words()));
            Err(refused(unset(host, desk).into_iter().fold(problem, Diagnostic::help)))
        }
    }
}

/// Photos no page can be set with, each with its way out.
fn unset(host: &dyn RecordHost, desk: &Desk) -> Vec<String> {
    let number = &desk.plan.number;
    let founds = desk.state.founds.iter().map(|f| (f.mark.n, &f.photos));
    let work = desk.state.photographed.iter().map(|p| (p.mark.n, &p.photos));
    let all = founds.chain(work).flat_map(|(n, photos)| photos.iter().map(move |photo| (n, photo)));
    let bad = all.filter_map(|(n, photo)| {
        let path = folder::photo(&desk.folder, &photo.file).ok()?;
        let bytes = folder::read(host, &desk.folder, &path).ok()?;
        set_photo::sets(&bytes, &photo.file).err()?;
        Some(format!(
            "no page can be set with the photo {}: take its entry back, tackwright correct {number} {n} --by ID --reason \"…\", then file the picture again: it is turned into one that can be set",
            photo.file
        ))
    });
    bad.collect()
}
