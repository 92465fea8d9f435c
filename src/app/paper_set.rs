//! A traveler on paper: two files that name each other.

use std::path::{Path, PathBuf};

use super::form::{Laid, form};
use super::plan::Failure;
use super::record::content::pretty;
use super::record::stored::FORM;
use super::record::whole::{self, Own};
use crate::form::{Form, Page};
use crate::record::{Frozen, sha256};
use crate::render::{self, Attachment, Late, Marks, Placed, Relationship, RenderError, Rendered};
use crate::traveler::{Document, papers};

/// A traveler on paper: the copy for the bench, and the work papers it was made
/// from.
#[derive(Debug, Clone)]
pub struct PaperSet {
    /// What is read and written at the bench.
    pub bench: Rendered,
    /// Order, geometry, pick list and worksheets.
    pub papers: Rendered,
    /// What both were made from, as it is attached to them.
    pub sources: Vec<Attachment>,
    /// The boxes of both by name, as it is attached; none of a draft.
    pub form: Option<Form>,
}

/// Typesets a document as the copy for the bench, with the work papers attached
/// to it and their digest printed on it. What is issued gets marks for pictures,
/// and the names and places of its boxes attached; a draft has none, so that
/// nothing is read back from it. `sources` writes out what both are made from, on
/// the second core while the copy is laid out.
///
/// # Errors
/// If a page can't be typeset, a box on it has no name, or `sources` says why not.
pub fn set(
    document: &Document,
    sources: impl FnOnce() -> Result<Vec<Attachment>, Failure> + Send,
    issued: Option<(&Marks, &Frozen)>,
) -> Result<PaperSet, Failure> {
    let failure = |e: RenderError| Failure::System(e.to_string());
    let own = if issued.is_some() { Own::Issued } else { Own::Draft };
    let (bench, behind) = papers::split(document.clone());
    let Some((marks, plan)) = issued else {
        let sources = sources()?;
        let papers = work_papers(behind, &sources, own, render::pdf).map_err(failure)?;
        let (late, attachments, salt) = belonging(&papers, &sources, own);
        let mut bench = render::known(&bench, late, &attachments).map_err(failure)?;
        bench.bytes = whole::finish(bench.bytes, &salt);
        return Ok(PaperSet { bench, papers, sources, form: None });
    };
    // Both files are laid out at the same time, the copy with room for the digest of
    // the papers, which is put in when they are done.
    let unnamed = Late { keywords: Vec::new(), facts: vec![papers::named(&sha256(&[]))] };
    std::thread::scope(|scope| {
        let beside = scope.spawn(move || {
            let sources = sources()?;
            let papers = work_papers(behind, &sources, own, render::beside).map_err(failure)?;
            Ok::<_, Failure>((papers, sources))
        });
        let mut beside = Some(beside);
        let mut made = None;
        let settle = |pages: &[Page], boxes: &[Placed]| {
            let papers = beside.take().ok_or("the work papers were made already")?.join();
            let (papers, sources) = papers.map_err(|_| "the work papers failed")?.map_err(|e| e.words())?;
            let (late, mut attachments, salt) = belonging(&papers, &sources, own);
            // The list of boxes is attached when it is known where they stand.
            let laid = Laid { pages, boxes, papers: &papers.boxes };
            let form = form(document, plan, laid, marks).map_err(|e| e.words())?;
            attachments.push(boxes_of(pretty(&form).map_err(|e| e.words())?));
            made = Some((papers, sources, form, salt));
            Ok((late, attachments))
        };
        let mut bench = render::paper(&bench, unnamed, marks, settle).map_err(failure)?;
        let (papers, sources, form, salt) =
            made.ok_or_else(|| Failure::System("the work papers were not made".to_owned()))?;
        bench.bytes = whole::finish(bench.bytes, &salt);
        Ok(PaperSet { bench, papers, sources, form: Some(form) })
    })
}

/// Typesets the work papers, with `how` they are made into a file.
fn work_papers(
    mut behind: Document,
    attachments: &[Attachment],
    own: Own,
    how: impl Fn(&Document, &[Attachment]) -> Result<Rendered, RenderError>,
) -> Result<Rendered, RenderError> {
    let salt = salt_of(attachments);
    behind.meta.keywords = own.keywords(&salt);
    let mut papers = how(&behind, attachments)?;
    papers.bytes = whole::finish(papers.bytes, &salt);
    Ok(papers)
}

/// What makes a copy for the bench that of its work papers: it names them and has them
/// attached. The salt of its digest is the third.
fn belonging(papers: &Rendered, attachments: &[Attachment], own: Own) -> (Late, Vec<Attachment>, String) {
    let mut attachments = attachments.to_vec();
    attachments.push(Attachment {
        name: "work-papers.pdf".to_owned(),
        bytes: papers.bytes.as_slice().into(),
        mime: "application/pdf".to_owned(),
        relationship: Relationship::Supplement,
        description: "order of the work, geometry, pick list and worksheets".to_owned(),
    });
    let salt = salt_of(&attachments);
    let late = Late { keywords: own.keywords(&salt), facts: vec![papers::named(&sha256(&papers.bytes))] };
    (late, attachments, salt)
}

fn salt_of(attachments: &[Attachment]) -> String {
    whole::salt(attachments.iter().map(|a| (a.name.as_str(), &*a.bytes)))
}

/// The list of boxes as it is attached, to a traveler and to its completed record.
#[must_use]
pub fn boxes_of(bytes: Vec<u8>) -> Attachment {
    Attachment {
        name: FORM.to_owned(),
        bytes: bytes.into(),
        mime: "application/json".to_owned(),
        relationship: Relationship::Data,
        description: "the boxes of the paper: name, page, place in mm, what each asks for".to_owned(),
    }
}

/// Where the work papers stand: beside the traveler, with its name.
#[must_use]
pub fn papers_path(traveler: &Path) -> PathBuf {
    let stem = traveler.file_stem().map_or_else(|| "traveler".into(), |s| s.to_string_lossy());
    traveler.with_file_name(format!("{stem}-work-papers.pdf"))
}
