//! Fill-in copies of a traveler: numbered, kept as they were given out, so that what
//! comes back is compared with what went.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::desk::Desk;
use super::files::RecordHost;
use super::{folder, refused, stored, system, wrong_file};
use crate::app::output::{self, Over};
use crate::app::plan::Failure;
use crate::diagnostic::{Diagnostic, Report};
use crate::form::{BoxKind, BoxName, Evidence, Form, FormBox, Proposal, Proposed, Rect, Way};
use crate::record::entry::{Action, Issue};
use crate::record::frozen::Sheet;
use crate::record::{Frozen, sha256};
use crate::render::filled::{self, Filled, Holds};
use crate::render::{self, Marks};
use crate::term::counted;
use crate::traveler::document::BarsBox;
use crate::traveler::{Document, papers};

/// A fill-in copy that was given out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// Counted from 1 for each revision.
    pub copy: u32,
    /// Where it is kept.
    pub kept: PathBuf,
    /// The PDF, as it is kept and as it is handed out.
    pub bytes: Vec<u8>,
    /// How many boxes can be entered from it; signatures and notes can't.
    pub fields: usize,
    /// Name to give it.
    pub name: String,
}

/// What a copy says of itself, one after the other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct About {
    /// Number of the traveler.
    pub number: String,
    /// Revision letter.
    pub revision: String,
    /// Digest of the revision's list of files.
    pub manifest: String,
    /// Number of the copy.
    pub copy: u32,
}

impl About {
    /// As it stands in the copy.
    #[must_use]
    pub fn words(&self) -> String {
        let Self { number, revision, manifest, copy } = self;
        format!("{number} rev {revision} copy {copy} of {manifest}")
    }

    /// What the words say; none if they are none of a copy.
    #[must_use]
    pub fn read(words: &str) -> Option<Self> {
        let (number, rest) = words.split_once(" rev ")?;
        let (revision, rest) = rest.split_once(" copy ")?;
        let (copy, manifest) = rest.split_once(" of ")?;
        Some(Self {
            number: number.to_owned(),
            revision: revision.to_owned(),
            manifest: manifest.to_owned(),
            copy: copy.parse().ok()?,
        })
    }
}

/// Writes the next fill-in copy of the revision in force to the place its name is
/// given, and keeps it. A copy that is there is never written over: somebody may
/// have filled it.
///
/// # Errors
/// If something is at the place; if the revision was issued before boxes had names,
/// or can't be read or typeset.
pub fn give(host: &dyn RecordHost, desk: &Desk, place: &dyn Fn(&str) -> PathBuf) -> Result<Given, Failure> {
    let content = stored::load(host, &desk.folder, &desk.issue)?;
    let form = with_bars(stored::form(&content.files)?, &content.plan);
    let document: Document = serde_json::from_slice(stored::need(&content.files, "document.json")?)
        .map_err(|e| Failure::System(format!("the stored document: {e}")))?;
    let revision = &content.plan.revision;
    let kept = |copy: u32| folder::copy(&desk.folder, &content.plan.number, revision, copy);
    let mut copy = 1;
    while host.exists(&kept(copy)?) {
        copy += 1;
    }
    let about = About {
        number: content.plan.number.clone(),
        revision: revision.clone(),
        manifest: content.digest(),
        copy,
    };
    let path = kept(copy)?;
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    // Before the number of the copy is used up.
    output::may_write(host, &place(&name), Over::Nothing)?;
    let bytes = make(document, &content.plan, &form, &about)?;
    folder::write(host, &desk.folder, &path, &bytes)?;
    output::put(host, &place(&name), Over::Nothing, &bytes)?;
    let fields = form.boxes.iter().filter(|b| b.kind.entered()).count();
    Ok(Given { copy, kept: path, bytes, fields, name })
}

/// The boxes of a paper and those for the bars of its sheets at full size, which stand
/// on a page of their own in the copy: on paper each sheet has its own.
fn with_bars(mut form: Form, plan: &Frozen) -> Form {
    let page = u32::try_from(form.pages.len() + 1).unwrap_or(u32::MAX);
    form.boxes.extend(bars(plan).into_iter().zip(&plan.sheets).map(|(one, sheet)| FormBox {
        name: one.name,
        kind: BoxKind::Value,
        page,
        rect: Rect::default(),
        asks: format!("{}, {}, in mm", one.title, one.asks),
        unit: Some("mm".to_owned()),
        word: None,
        covers: Vec::new(),
        steps: Vec::new(),
        operation_digest: sheet.digest.clone(),
    }));
    form
}

/// A box for the bars of each sheet.
fn bars(plan: &Frozen) -> Vec<BarsBox> {
    let one = |sheet: &Sheet| BarsBox {
        title: sheet.title.clone(),
        asks: format!("marked {}: across / along", sheet.mark()),
        name: BoxName::bars(&sheet.name),
    };
    plan.sheets.iter().map(one).collect()
}

/// The bytes of a copy; the same every time.
fn make(document: Document, plan: &Frozen, form: &Form, about: &About) -> Result<Vec<u8>, Failure> {
    let (mut bench, _) = papers::split(document);
    let copy = about.copy;
    bench.bars = bars(plan);
    bench.meta.kind = "Fill-in copy".to_owned();
    bench.meta.title = bench.meta.title.replacen("Job traveler", &format!("Fill-in copy {copy} of"), 1);
    bench.meta.ident = format!("{} copy {copy}", bench.meta.ident);
    // An invented job stays told as one.
    bench.running.stamp = Some(match &bench.running.stamp {
        Some(_) => format!("DEMO · COPY {copy}"),
        None => format!("COPY {copy}"),
    });
    bench.running.validity = format!(
        "Copy {copy}, to be filled in at a screen. What is written counts once a person has looked at it and entered it; signatures are given at the desk."
    );
    let marks = Marks::new(&plan.number, &plan.revision, &plan.digest);
    let made =
        render::copy(&bench, form, &marks, &about.words()).map_err(|e| Failure::System(e.to_string()))?;
    Ok(made.bytes)
}

/// A copy that came back, read and compared with what was given out. Nothing is
/// entered.
#[derive(Debug, Clone, PartialEq)]
pub struct Returned {
    /// Which copy it is.
    pub about: About,
    /// SHA-256 of the file.
    pub sha256: String,
    /// What it says its boxes hold; empty ones are left out.
    pub proposals: Vec<Proposal>,
    /// What each of those boxes asks for, in the same order.
    pub asked: Vec<String>,
    /// What a person has to look at or to know, a sentence each.
    pub remarks: Vec<String>,
}

/// Reads a copy that came back. Its name counts for nothing.
///
/// # Errors
/// If it is no copy of this traveler, or not as it was given out: every reason.
pub fn returned(host: &dyn RecordHost, desk: &Desk, path: &Path) -> Result<Returned, Failure> {
    let bytes = host.bytes(path).map_err(|e| system(path, e))?;
    let no = |why: String| {
        let other = wrong_file::hint(&bytes, &desk.plan.number).filter(|_| filled::about(&bytes).is_err());
        refused(
            other
                .into_iter()
                .fold(Diagnostic::error("L402", format!("{}: {why}", path.display())), Diagnostic::help)
                .help("nothing was taken from it; type the values at the desk, or fill in a new copy: tackwright copy NUMBER"),
        )
    };
    let words = filled::about(&bytes).map_err(no)?;
    let about = About::read(&words).ok_or_else(|| no("it does not say which copy it is".to_owned()))?;
    if about.number != desk.plan.number {
        return Err(no(format!("it is a copy of {}, not of {}", about.number, desk.plan.number)));
    }
    let digest = sha256(&bytes);
    let issues = desk.entries.iter().filter_map(|e| match &e.what {
        Action::Issued { issue } | Action::Revised { issue, .. } => Some(issue),
        _ => None,
    });
    let issue = issues.into_iter().find(|i| i.revision == about.revision && i.content == about.manifest);
    let issue =
        issue.ok_or_else(|| no(format!("rev {} was never issued with this content", about.revision)))?;
    let kept = folder::copy(&desk.folder, &about.number, &about.revision, about.copy)?;
    let given = folder::read(host, &desk.folder, &kept)
        .map_err(|_| no(format!("copy {} was never given out", about.copy)))?;
    let read = filled::read(&bytes, &given).map_err(|wrong| {
        let mut report = Report::new();
        for why in wrong {
            report.push(
                Diagnostic::error("L403", format!("{}: {why}", path.display()))
                    .help("nothing was taken from it: only a copy that is as it was given out is read"),
            );
        }
        Failure::Refused(report, Vec::new())
    })?;
    let form = form_of(host, desk, issue)?;
    let now = form_of(host, desk, &desk.issue)?;
    let mut returned = Returned {
        about,
        sha256: digest,
        proposals: Vec::new(),
        asked: Vec::new(),
        remarks: read.marks.clone(),
    };
    returned.propose(&read, &form, &now, &path.display().to_string());
    Ok(returned)
}

/// What a box is said to hold, in words.
#[must_use]
pub fn words(value: &Proposed) -> String {
    match value {
        Proposed::Ticked => "ticked".to_owned(),
        Proposed::Empty => "empty".to_owned(),
        Proposed::Text(text) => format!("“{text}”"),
        Proposed::Written => "something is written".to_owned(),
        Proposed::Look(why) => format!("look: {why}"),
    }
}

/// The boxes of the words a reading is answered with.
fn words_of<'f>(form: &'f Form, name: &'f BoxName) -> impl Iterator<Item = &'f FormBox> {
    form.boxes.iter().filter(move |b| b.name == *name && b.word.is_some())
}

fn ticked(read: &Filled, one: &FormBox) -> bool {
    read.fields.get(&one.field()) == Some(&Holds::Ticked(true))
}

/// What is written on the line for a paper, behind the words of the same reading.
fn papers<'r>(read: &'r Filled, form: &Form, one: &FormBox) -> Option<&'r str> {
    words_of(form, &one.name).next()?;
    let line = form.boxes.iter().find(|b| b.name == one.name && b.word.is_none())?;
    match read.fields.get(&line.field()) {
        Some(Holds::Text(text)) if !text.trim().is_empty() => Some(text.trim()),
        _ => None,
    }
}

fn form_of(host: &dyn RecordHost, desk: &Desk, issue: &Issue) -> Result<Form, Failure> {
    let bytes = stored::file(host, &desk.folder, issue, stored::FORM)?;
    let form = stored::form(&BTreeMap::from([(stored::FORM.to_owned(), bytes)]))?;
    Ok(with_bars(form, &stored::frozen_plan(host, &desk.folder, issue)?))
}

impl Returned {
    /// That this very file was not taken in before.
    ///
    /// # Errors
    /// If an entry was made from it.
    pub fn new_to(&self, desk: &Desk) -> Result<(), Diagnostic> {
        let from = |e: &&crate::record::Entry| e.taken_in.as_ref().is_some_and(|t| t.sha256 == self.sha256);
        match desk.entries.iter().find(from) {
            None => Ok(()),
            Some(entry) => Err(Diagnostic::error(
                "L405",
                format!("this file was taken in before, see entry {}", entry.n),
            )
            .expected("a later state of the copy, or another one")
            .help("what was entered wrong is taken back with: tackwright correct")),
        }
    }

    /// A copy of an earlier revision counts only where its operation asks the same
    /// today.
    fn propose(&mut self, read: &Filled, form: &Form, now: &Form, file: &str) {
        let mut other = 0;
        let mut chosen: BTreeMap<&BoxName, Vec<&FormBox>> = BTreeMap::new();
        for one in form.boxes.iter().filter(|b| b.kind.entered()) {
            let paper = papers(read, form, one);
            // The line for a paper is read with its words.
            if one.word.is_none() && words_of(form, &one.name).next().is_some() {
                let lone = words_of(form, &one.name).all(|word| !ticked(read, word));
                if !lone || paper.is_none() {
                    continue;
                }
            }
            let (value, asks) = match read.fields.get(&one.field()) {
                None | Some(Holds::Ticked(false)) => continue,
                Some(Holds::Text(text)) if text.trim().is_empty() => continue,
                Some(Holds::Text(text)) if paper.is_some() => {
                    let why = format!("\"{}\" is written behind a word, and no word is ticked", text.trim());
                    (Proposed::Look(why), &one.asks)
                }
                Some(Holds::Text(text)) => (Proposed::Text(text.trim().to_owned()), &one.asks),
                Some(Holds::Disagrees) => {
                    (Proposed::Look("its value and what it shows differ".to_owned()), &one.asks)
                }
                Some(Holds::Ticked(true)) => match &one.word {
                    Some(word) => {
                        let said = paper.map_or_else(|| word.clone(), |paper| format!("{word}: {paper}"));
                        (Proposed::Text(said), &one.asks)
                    }
                    None => (Proposed::Ticked, &one.asks),
                },
            };
            let same = |b: &&FormBox| b.name == one.name && b.operation_digest == one.operation_digest;
            if !now.boxes.iter().any(|b| same(&b)) {
                other += 1;
                continue;
            }
            if one.word.is_some() {
                chosen.entry(&one.name).or_default().push(one);
            }
            let rule = "value of a field, version 1".to_owned();
            let from = Evidence {
                way: Way::Copy,
                file: file.to_owned(),
                sha256: self.sha256.clone(),
                place: format!("page {}", one.page),
                rule,
                ..Evidence::default()
            };
            for name in one.answers_for() {
                self.asked.push(asks.clone());
                self.proposals.push(Proposal {
                    name,
                    value: value.clone(),
                    by: None,
                    at: None,
                    tool: None,
                    from: from.clone(),
                });
            }
        }
        for (name, list) in chosen.iter().filter(|(_, list)| list.len() > 1) {
            let words: Vec<&str> = list.iter().filter_map(|b| b.word.as_deref()).collect();
            let why = format!("{} are ticked at once", words.join(" and "));
            let mut kept = false;
            let mut asked = std::mem::take(&mut self.asked).into_iter();
            let mut left = Vec::new();
            self.proposals.retain_mut(|p| {
                let asks = asked.next().unwrap_or_default();
                let keep = p.name != **name || !std::mem::replace(&mut kept, true);
                if keep {
                    if p.name == **name {
                        p.value = Proposed::Look(why.clone());
                    }
                    left.push(asks);
                }
                keep
            });
            self.asked = left;
        }
        if other > 0 {
            self.remarks.push(format!(
                "{} of rev {} left out: rev {} asks something else there",
                counted(other, "box", "boxes"),
                form.revision,
                now.revision
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_copy_says_of_itself_reads_back() {
        let about =
            About { number: "TW-2041".into(), revision: "A".into(), manifest: "ab12".into(), copy: 3 };
        assert_eq!(About::read(&about.words()), Some(about));
        assert_eq!(About::read("TW-2041 rev A"), None);
    }
}
