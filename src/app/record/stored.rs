//! What was issued, as it lies in a traveler's folder: written once, and checked
//! against the log whenever it is read.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use serde_json::Value as Json;

use super::content::Content;
use super::files::RecordHost;
use super::{folder, refused, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::form::Form;
use crate::record::entry::Issue;
use crate::record::frozen::Unread;
use crate::record::{Frozen, sha256};

/// What to do about something of a later version.
pub(super) const LATER: &str =
    "nothing was written; work with the version that issued the traveler, or one after it";
/// Name of the list of frozen files.
pub const MANIFEST: &str = "manifest.json";
/// Name of the frozen plan.
pub const PLAN: &str = "plan.json";
/// Name of the list of boxes, with their places on the paper.
pub const FORM: &str = "form.json";
/// Name of the paper.
pub const PAPER: &str = "traveler.pdf";
/// Name of the work papers beside it.
pub const WORK_PAPERS: &str = "work-papers.pdf";

/// Writes a revision's files. They count only once the log names them.
///
/// # Errors
/// If a file can't be written.
pub fn store(host: &dyn RecordHost, traveler: &Path, content: &Content) -> Result<(), Failure> {
    let place = folder::revision(traveler, &content.plan.revision)?;
    for (name, bytes) in &content.files {
        let path = folder::part(&place, name)?;
        folder::write(host, traveler, &path, bytes)?;
    }
    let path = place.join(MANIFEST);
    folder::write(host, traveler, &path, &content.manifest)
}

/// The list of a revision's files, which is the one the log names.
struct Listed {
    traveler: PathBuf,
    place: PathBuf,
    manifest: Vec<u8>,
    /// Names and digests.
    files: Vec<(String, String)>,
}

impl Listed {
    fn open(host: &dyn RecordHost, traveler: &Path, issue: &Issue) -> Result<Self, Failure> {
        let place = folder::revision(traveler, &issue.revision)?;
        let path = place.join(MANIFEST);
        let manifest = folder::read(host, traveler, &path).map_err(|e| system(&path, e))?;
        if sha256(&manifest) != issue.content {
            return Err(changed(&path));
        }
        let listed: Json = serde_json::from_slice(&manifest).map_err(|e| system(&path, e))?;
        let one =
            |file: &Json| Some((file["name"].as_str()?.to_owned(), file["sha256"].as_str()?.to_owned()));
        let files = listed["files"].as_array().into_iter().flatten().filter_map(one).collect();
        Ok(Self { traveler: traveler.to_owned(), place, manifest, files })
    }

    fn read(&self, host: &dyn RecordHost, name: &str, digest: &str) -> Result<Vec<u8>, Failure> {
        let path = folder::part(&self.place, name)?;
        let bytes = folder::read(host, &self.traveler, &path).map_err(|e| system(&path, e))?;
        if sha256(&bytes) == digest { Ok(bytes) } else { Err(changed(&path)) }
    }
}

fn changed(path: &Path) -> Failure {
    refused(
        Diagnostic::error("L004", format!("{} was changed after it was issued", path.display()))
            .help("restore the file from a copy; what was issued can't be edited, only revised"),
    )
}

fn plan(bytes: &[u8], issue: &Issue) -> Result<Frozen, Failure> {
    let plan = Frozen::read(bytes).map_err(|why| match why {
        Unread::Later(_) => refused(Diagnostic::error("L280", why.to_string()).help(LATER)),
        Unread::NoPlan(_) => Failure::System(format!("{PLAN}: {why}")),
    })?;
    match plan.another_than(issue) {
        None => Ok(plan),
        Some(why) => Err(refused(
            Diagnostic::error("L269", why)
                .rule("a log goes with the plan it names")
                .help("nothing was written; put the newest copy of the traveler's folder back and show this to the lead"),
        )),
    }
}

/// A stored revision, checked against its list of files, and that against the log.
///
/// # Errors
/// If a file is missing or is not what was frozen.
pub fn load(host: &dyn RecordHost, traveler: &Path, issue: &Issue) -> Result<Content, Failure> {
    content(host, traveler, issue, |_| true)
}

fn content(
    host: &dyn RecordHost,
    traveler: &Path,
    issue: &Issue,
    wanted: impl Fn(&str) -> bool,
) -> Result<Content, Failure> {
    let listed = Listed::open(host, traveler, issue)?;
    let mut files = BTreeMap::new();
    for (name, digest) in listed.files.iter().filter(|(name, _)| wanted(name)) {
        files.insert(name.clone(), listed.read(host, name, digest)?);
    }
    let plan = plan(need(&files, PLAN)?, issue)?;
    Ok(Content { files, manifest: listed.manifest, plan })
}

/// As [`load`], of these files only, as far as the revision has them: what its plan
/// is made from again is a small part of what was issued.
///
/// # Errors
/// If one is not what was frozen, or the plan is missing.
pub fn some(
    host: &dyn RecordHost,
    traveler: &Path,
    issue: &Issue,
    names: &[&str],
) -> Result<Content, Failure> {
    content(host, traveler, issue, |name| names.contains(&name))
}

/// One frozen file, checked as [`load`] does.
///
/// # Errors
/// If it is missing or is not what was frozen.
pub fn file(host: &dyn RecordHost, traveler: &Path, issue: &Issue, name: &str) -> Result<Vec<u8>, Failure> {
    let listed = Listed::open(host, traveler, issue)?;
    match listed.files.iter().find(|(n, _)| n == name) {
        Some((_, digest)) => listed.read(host, name, digest),
        None => Err(lost(name)),
    }
}

/// The frozen plan of a revision, checked as [`load`] does.
///
/// # Errors
/// If it is missing or is not what was frozen.
pub fn frozen_plan(host: &dyn RecordHost, traveler: &Path, issue: &Issue) -> Result<Frozen, Failure> {
    plan(&file(host, traveler, issue, PLAN)?, issue)
}

/// The boxes of a revision, among its files that were read.
///
/// # Errors
/// If it was issued before boxes had names.
pub fn form(files: &BTreeMap<String, Vec<u8>>) -> Result<Form, Failure> {
    let Some(bytes) = files.get(FORM) else {
        return Err(refused(
            Diagnostic::error("L401", "this revision was issued before its boxes had names").help(
                "issue a revision; what was entered stays: tackwright revise JOB --by LEAD --reason \"…\"",
            ),
        ));
    };
    serde_json::from_slice(bytes).map_err(|e| Failure::System(format!("{FORM} is no list of boxes: {e}")))
}

/// A frozen file among those that were read.
///
/// # Errors
/// If it is not there.
pub fn need<'a>(files: &'a BTreeMap<String, Vec<u8>>, name: &str) -> Result<&'a [u8], Failure> {
    files.get(name).map(Vec::as_slice).ok_or_else(|| lost(name))
}

fn lost(name: &str) -> Failure {
    Failure::System(format!("{name} is missing from what was issued"))
}
