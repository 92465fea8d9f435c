//! Typesetting: a document and its attachments become a PDF.
//!
//! Every file is PDF/A-3a and PDF/UA-1 at once: fonts embedded, tagged, with
//! bookmarks and with the files it was made from attached. The same document
//! and attachments give the same bytes on every machine; neither clock nor
//! system fonts are read. The functions may be called from several threads.

mod assets;
mod boxes;
mod clean;
pub mod drawn;
mod engine;
mod fields;
mod fill;
pub mod filled;
mod makers;
mod marks;
mod review;
mod rewrite;

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use serde::Serialize;
use serde_json::Value;
use typst::foundations::Bytes;

pub use boxes::Placed;
pub use fill::{ABOUT, DONE};
pub use makers::makers;
pub use marks::Marks;
pub use review::{Frame, LookAt, Review, Sheet, review};

use crate::diagnostic::Diagnostic;
use crate::form::{Form, Page};
use crate::shape::pages::Pages;
use crate::traveler::Document;
use crate::traveler::document::{Fact, Meta};

/// What an attached file is to the document (ISO 19005-3, `AFRelationship`).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Relationship {
    /// The document was made from it: the job file.
    Source,
    /// Its data is shown in the document: the figures.
    Data,
    /// Further material: the record.
    Supplement,
}

impl Relationship {
    const fn word(self) -> &'static str {
        match self {
            Relationship::Source => "source",
            Relationship::Data => "data",
            Relationship::Supplement => "supplement",
        }
    }
}

/// A file attached to the document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attachment {
    /// File name without folders: `job.toml`.
    pub name: String,
    /// Its bytes, which the typesetter holds as long as its file is made.
    pub bytes: Arc<[u8]>,
    /// MIME type: `application/toml`.
    pub mime: String,
    /// What it is to the document.
    pub relationship: Relationship,
    /// What it is, in words.
    pub description: String,
}

/// A typeset document.
#[derive(Debug, Clone, PartialEq)]
pub struct Rendered {
    /// The PDF file.
    pub bytes: Vec<u8>,
    /// Number of pages.
    pub pages: usize,
    /// What the typesetter complained about; empty unless a template is at fault.
    pub warnings: Vec<String>,
    /// Sizes of the pages, and the marks on them.
    pub sheets: Vec<Page>,
    /// Where its boxes stand, page by page.
    pub boxes: Vec<Placed>,
}

/// Why a document could not be typeset.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RenderError {
    /// The document model could not be handed over.
    Model(String),
    /// An attachment's name is empty, a path, or used twice.
    AttachmentName(String),
    /// The date of issue is outside the years 1 to 9999.
    Date(String),
    /// The template failed: its messages.
    Typeset(Vec<String>),
    /// The file would not keep PDF/A-3a or PDF/UA-1: the reasons.
    Conformance(Vec<String>),
}

impl fmt::Display for RenderError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            RenderError::Model(why) => write!(f, "the document could not be handed over: {why}"),
            RenderError::AttachmentName(name) => {
                write!(f, "\"{name}\" can't be the name of an attachment: it is empty, a path, or used twice")
            }
            RenderError::Date(date) => write!(f, "{date} can't be the date of a document"),
            RenderError::Typeset(messages) => write!(f, "typesetting failed: {}", messages.join("; ")),
            RenderError::Conformance(messages) => {
                write!(f, "the file would not be archival and accessible: {}", messages.join("; "))
            }
        }
    }
}

impl std::error::Error for RenderError {}

impl From<RenderError> for Diagnostic {
    fn from(error: RenderError) -> Self {
        let code = match error {
            RenderError::AttachmentName(_) => "T901",
            RenderError::Date(_) => "T902",
            RenderError::Model(_) | RenderError::Typeset(_) => "T903",
            RenderError::Conformance(_) => "T904",
        };
        Diagnostic::error(code, error.to_string())
    }
}

/// Typesets a document.
///
/// Characters the embedded fonts lack, control and direction marks print as
/// `[U+hhhh]`; over-long texts are cut with a note that says how much is
/// missing. Give the whole job as an attachment, so that nothing is lost.
///
/// # Errors
/// If an attachment has no usable name, the date is impossible, or the result
/// would not conform.
pub fn pdf(document: &Document, attachments: &[Attachment]) -> Result<Rendered, RenderError> {
    set(document, attachments, Set::default())
}

/// As [`pdf`], beside another document that is set at the same time.
///
/// # Errors
/// As [`pdf`].
pub fn beside(document: &Document, attachments: &[Attachment]) -> Result<Rendered, RenderError> {
    set(document, attachments, Set { beside: true, ..Set::default() })
}

/// What may be known only when the pages stand. It is told apart from the document:
/// whatever else is laid out stays as it is when this changes.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Late {
    /// Keywords of the file; never printed, and never from a user.
    pub keywords: Vec<String>,
    /// Facts of the head page, behind those of the document.
    pub facts: Vec<Fact>,
}

impl Late {
    /// Cleaned, as JSON.
    fn json(&self) -> Result<Bytes, RenderError> {
        let mut late = serde_json::to_value(self).map_err(|e| RenderError::Model(e.to_string()))?;
        clean::document(&mut late, &engine::prints);
        // No break may be put into a keyword.
        late["keywords"] = self.keywords.clone().into();
        bytes(&late)
    }
}

/// As [`pdf`], with something late that is known already; its keywords take the place
/// of those of the document.
///
/// # Errors
/// As [`pdf`].
pub fn known(document: &Document, late: Late, attachments: &[Attachment]) -> Result<Rendered, RenderError> {
    set(document, attachments, Set { late: Some(late), ..Set::default() })
}

/// As [`pdf`], with marks on every page by which a picture of it can be read. `late`
/// stands for what is not known yet and takes as much room. `settle` is told where the
/// boxes stand and gives what is put in its place, and all attachments; no box may stand
/// elsewhere after it.
///
/// # Errors
/// As [`pdf`], if the number is too long for a page's code, or `settle` says why not.
pub fn paper(
    document: &Document,
    late: Late,
    marks: &Marks,
    mut settle: impl FnMut(&[Page], &[Placed]) -> Result<(Late, Vec<Attachment>), String>,
) -> Result<Rendered, RenderError> {
    let mut last = |pages: &[Page], boxes: &[Placed]| {
        let (late, attachments) = settle(pages, boxes).map_err(|why| RenderError::Typeset(vec![why]))?;
        check_names(&attachments)?;
        Ok(engine::Settled { late: late.json()?, attachments })
    };
    set(document, &[], Set { late: Some(late), marks: Some(marks), last: Some(&mut last), ..Set::default() })
}

/// How a document is set.
#[derive(Default)]
struct Set<'a> {
    marks: Option<&'a Marks>,
    filling: bool,
    beside: bool,
    late: Option<Late>,
    last: Option<engine::Last<'a>>,
}

/// A fill-in copy: the paper with a field on every box of its form but those of
/// signatures. `about` is what the file says of itself, in a field nobody writes in.
///
/// The same document, form and words give the same bytes.
///
/// # Errors
/// As [`paper`], and if the boxes of the document are not those of the form.
pub fn copy(document: &Document, form: &Form, marks: &Marks, about: &str) -> Result<Rendered, RenderError> {
    let broken = |why: String| RenderError::Conformance(vec![why]);
    let mut made = set(document, &[], Set { marks: Some(marks), filling: true, ..Set::default() })?;
    let font = engine::plain().ok_or_else(|| broken("there is no font".to_owned()))?;
    made.bytes = fill::put(&made.bytes, form, about, font).map_err(broken)?;
    Ok(made)
}

/// A document as it is handed over: cleaned, as JSON.
struct Model {
    whole: Bytes,
    running: Bytes,
}

impl Model {
    fn of(document: &Document) -> Result<Self, RenderError> {
        let mut model = serde_json::to_value(document).map_err(|e| RenderError::Model(e.to_string()))?;
        // They are told late.
        model["meta"]["keywords"] = Value::Array(Vec::new());
        clean::document(&mut model, &engine::prints);
        Ok(Self { whole: bytes(&model)?, running: bytes(&model["running"])? })
    }
}

fn bytes(part: &Value) -> Result<Bytes, RenderError> {
    serde_json::to_vec(part).map(Bytes::new).map_err(|e| RenderError::Model(e.to_string()))
}

fn set(document: &Document, attachments: &[Attachment], how: Set<'_>) -> Result<Rendered, RenderError> {
    let Set { marks, filling, beside, late, last } = how;
    let late = late.unwrap_or_else(|| Late { keywords: document.meta.keywords.clone(), ..Late::default() });
    let Model { whole, running } = Model::of(document)?;
    check_names(attachments)?;
    let words = engine::Words { model: whole, running, late: late.json()?, marks, filling, beside };
    let mut made = engine::typeset(words, &document.meta, document.logo.as_ref(), attachments, last)?;
    let broken = |why: String| RenderError::Conformance(vec![why]);
    if !document.signatures.is_empty() {
        made.bytes = fields::put(&made.bytes, &document.signatures).map_err(broken)?;
    } else if !filling && rewrite::doubtful(&made.bytes) {
        made.bytes =
            rewrite::with_objects(&made.bytes, &BTreeMap::new()).map_err(|e| broken(e.to_owned()))?;
    }
    Ok(made)
}

/// Typesets shapes at full size. One millimetre of a page is one millimetre of
/// the work, times the factors the pages were laid out with.
///
/// # Errors
/// As for [`pdf`].
pub fn patterns(pages: &Pages, meta: &Meta, attachments: &[Attachment]) -> Result<Rendered, RenderError> {
    let mut model = serde_json::to_value(pages).map_err(|e| RenderError::Model(e.to_string()))?;
    model["title"] = meta.title.clone().into();
    model["author"] = meta.author.clone().into();
    model["language"] = meta.language.clone().into();
    clean::document(&mut model, &engine::prints);
    model["keywords"] = meta.keywords.clone().into();
    check_names(attachments)?;
    let model = serde_json::to_vec(&model).map_err(|e| RenderError::Model(e.to_string()))?;
    engine::patterns(model, meta, attachments)
}

/// The letters of a text in every weight pages are set in: what a letter of another
/// version's page has to look like.
///
/// # Errors
/// If it can't be typeset.
pub fn specimen(letters: &str) -> Result<Vec<u8>, RenderError> {
    let letters: String = letters.chars().filter(|c| engine::prints(*c)).collect();
    let text = serde_json::to_vec(&letters).map_err(|e| RenderError::Model(e.to_string()))?;
    engine::specimen(text)
}

/// Keeps what is laid out for a document until so many others are done; 0, as
/// at the start, forgets it at once. For batches; and `usize::MAX` for a program that
/// ends with its one document, and need not tidy up behind it.
pub fn keep(documents: usize) {
    engine::keep(documents);
}

fn check_names(attachments: &[Attachment]) -> Result<(), RenderError> {
    for (i, one) in attachments.iter().enumerate() {
        let plain = |c: char| c.is_ascii_alphanumeric() || "._- ".contains(c);
        let usable = one.name.chars().all(plain) && one.name.chars().any(|c| c.is_ascii_alphanumeric());
        let twice = attachments.iter().take(i).any(|other| other.name == one.name);
        if !usable || twice || one.name.contains("..") {
            return Err(RenderError::AttachmentName(one.name.clone()));
        }
    }
    Ok(())
}
