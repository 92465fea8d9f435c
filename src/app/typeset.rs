//! A traveler on paper: two files that name each other.

use std::path::{Path, PathBuf};

use super::form::{Laid, form};
use super::plan::Failure;
use super::record::content::pretty;
use super::record::stored::FORM;
use super::record::whole::{self, Own};
use crate::form::Form;
use crate::record::{Frozen, sha256};
use crate::render::{self, Attachment, Marks, Relationship, RenderError, Rendered};
use crate::traveler::{Document, papers};

/// A traveler on paper: the copy for the bench, and the work papers it was made
/// from.
#[derive(Debug, Clone)]
pub struct PaperSet {
    /// What is read and written at the bench.
    pub bench: Rendered,
    /// Order, geometry, pick list and worksheets.
    pub papers: Rendered,
    /// The boxes of both by name, as it is attached; none of a draft.
    pub form: Option<Form>,
}

/// Typesets a document as the copy for the bench, with the work papers attached
/// to it and their digest printed on it. What is issued gets marks for pictures,
/// and the names and places of its boxes attached; a draft has none, so that
/// nothing is read back from it.
///
/// # Errors
/// If a page can't be typeset, or a box on it has no name.
pub fn set(
    document: &Document,
    attachments: &[Attachment],
    issued: Option<(&Marks, &Frozen)>,
) -> Result<PaperSet, Failure> {
    let failure = |e: RenderError| Failure::System(e.to_string());
    let own = if issued.is_some() { Own::Issued } else { Own::Draft };
    let (mut bench, mut behind) = papers::split(document.clone());
    let salt = whole::salt(attachments.iter().map(|a| (a.name.as_str(), &*a.bytes)));
    behind.meta.keywords = own.keywords(&salt);
    let mut papers = render::pdf(&behind, attachments).map_err(failure)?;
    papers.bytes = whole::finish(papers.bytes, &salt);
    papers::name_papers(&mut bench, &sha256(&papers.bytes));
    let mut attachments = attachments.to_vec();
    attachments.push(Attachment {
        name: "work-papers.pdf".to_owned(),
        bytes: papers.bytes.as_slice().into(),
        mime: "application/pdf".to_owned(),
        relationship: Relationship::Supplement,
        description: "order of the work, geometry, pick list and worksheets".to_owned(),
    });
    // The list of boxes is attached when it is known where they stand.
    let salt = whole::salt(attachments.iter().map(|a| (a.name.as_str(), &*a.bytes)));
    bench.meta.keywords = own.keywords(&salt);
    let mut made = None;
    let mut bench = match issued {
        None => render::pdf(&bench, &attachments),
        Some((marks, plan)) => render::paper(&bench, &attachments, marks, |pages, boxes| {
            let laid = Laid { pages, boxes, papers: &papers.boxes };
            let form = form(document, plan, laid, marks).map_err(|e| e.words())?;
            let bytes = pretty(&form).map_err(|e| e.words())?;
            made = Some(form);
            Ok(boxes_of(bytes))
        }),
    }
    .map_err(failure)?;
    bench.bytes = whole::finish(bench.bytes, &salt);
    Ok(PaperSet { bench, papers, form: made })
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
