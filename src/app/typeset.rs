//! A traveler on paper: two files that name each other.

use std::path::{Path, PathBuf};

use super::plan::Failure;
use crate::record::sha256;
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
}

/// Typesets a document as the copy for the bench, with the work papers attached
/// to it and their digest printed on it. What is issued gets marks for pictures;
/// a draft has none, so that nothing is read back from it.
///
/// # Errors
/// If a page can't be typeset.
pub fn set(
    document: &Document,
    attachments: &[Attachment],
    marks: Option<&Marks>,
) -> Result<PaperSet, Failure> {
    let failure = |e: RenderError| Failure::System(e.to_string());
    let (mut bench, behind) = papers::split(document.clone());
    let papers = render::pdf(&behind, attachments).map_err(failure)?;
    papers::name_papers(&mut bench, &sha256(&papers.bytes));
    let mut attachments = attachments.to_vec();
    attachments.push(Attachment {
        name: "work-papers.pdf".to_owned(),
        bytes: papers.bytes.as_slice().into(),
        mime: "application/pdf".to_owned(),
        relationship: Relationship::Supplement,
        description: "order of the work, geometry, pick list and worksheets".to_owned(),
    });
    let bench = match marks {
        Some(marks) => render::paper(&bench, &attachments, marks),
        None => render::pdf(&bench, &attachments),
    }
    .map_err(failure)?;
    Ok(PaperSet { bench, papers })
}

/// Where the work papers stand: beside the traveler, with its name.
#[must_use]
pub fn papers_path(traveler: &Path) -> PathBuf {
    let stem = traveler.file_stem().map_or_else(|| "traveler".into(), |s| s.to_string_lossy());
    traveler.with_file_name(format!("{stem}-work-papers.pdf"))
}
