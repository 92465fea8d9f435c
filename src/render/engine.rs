//! The typesetting engine: one for the whole program, with the embedded
//! templates and fonts, and no way to the file system.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, OnceLock};

use chrono::{Datelike, Timelike};
use serde_json::json;
use typst::diag::SourceDiagnostic;
use typst::foundations::{Bytes, Datetime, Smart};
use typst::syntax::Source;
use typst::text::Font;
use typst_as_lib::conversions::IntoSource;
use typst_as_lib::{TypstAsLibError, TypstEngine};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

use super::{Attachment, Marks, RenderError, Rendered, assets, boxes, marks};
use crate::form::Page;
use crate::traveler::document::{Logo, Meta};

/// The fonts, parsed once.
fn fonts() -> &'static [Font] {
    static FONTS: OnceLock<Vec<Font>> = OnceLock::new();
    FONTS.get_or_init(|| assets::FONTS.iter().flat_map(|bytes| Font::iter(Bytes::new(*bytes))).collect())
}

/// The templates, parsed once.
fn templates() -> &'static [Source] {
    static TEMPLATES: OnceLock<Vec<Source>> = OnceLock::new();
    TEMPLATES.get_or_init(|| assets::TEMPLATES.iter().map(|template| template.into_source()).collect())
}

/// For how many documents more what was laid out is kept unused.
static KEPT: AtomicUsize = AtomicUsize::new(0);

/// Keeps what is laid out for a document for the next so many, or forgets it
/// at once if 0, as at the start. Many documents that are alike are done in
/// half the time if it is kept, and every document kept takes memory. What is kept for
/// the most documents there can be is never looked through.
pub(super) fn keep(documents: usize) {
    KEPT.store(documents, Ordering::Relaxed);
}

/// Forgets what no document used for longer than it is kept.
fn forget() {
    let kept = KEPT.load(Ordering::Relaxed);
    if kept < usize::MAX {
        typst::comemo::evict(kept);
    }
}

/// The engine of one document: the embedded templates, and beside them the
/// document's own files. The library it typesets with is the same for every
/// document, so what was laid out for one serves the next in a batch.
fn engine(files: Vec<(String, Bytes)>) -> TypstEngine {
    TypstEngine::builder()
        .fonts(fonts().to_vec())
        .with_static_source_file_resolver(templates().iter().cloned())
        .with_static_file_resolver(files.iter().map(|(path, bytes)| (path.as_str(), bytes.clone())))
        .comemo_evict_max_age(None)
        .build()
}

/// The font plain text is set in.
pub(super) fn plain() -> Option<&'static Font> {
    fonts().first()
}

/// Whether every embedded face has a glyph for the character.
pub(super) fn prints(c: char) -> bool {
    fonts().iter().all(|font| font.info().coverage.contains(u32::from(c)))
}

/// What is told when it is known where the boxes stand.
pub(super) struct Settled {
    /// What is put in late, already cleaned, as JSON.
    pub(super) late: Bytes,
    /// All attachments.
    pub(super) attachments: Vec<Attachment>,
}

/// Settles what stood open when the boxes were first placed.
pub(super) type Last<'a> = &'a mut dyn FnMut(&[Page], &[boxes::Placed]) -> Result<Settled, RenderError>;

/// What is typeset.
pub(super) struct Words<'a> {
    /// The model, already cleaned, as JSON.
    pub(super) model: Bytes,
    /// The part of it that stands at the head and foot of every page.
    pub(super) running: Bytes,
    /// What may be known only when the pages stand: keywords, and facts of the head page.
    pub(super) late: Bytes,
    /// Marks for pictures, if it gets any.
    pub(super) marks: Option<&'a Marks>,
    /// Whether a field stands on every box.
    pub(super) filling: bool,
    /// Whether another document is laid out at the same time: what is remembered
    /// is left to it.
    pub(super) beside: bool,
}

/// Typesets a document.
pub(super) fn typeset(
    words: Words<'_>,
    meta: &Meta,
    logo: Option<&Logo>,
    attachments: &[Attachment],
    last: Option<Last<'_>>,
) -> Result<Rendered, RenderError> {
    compile(assets::MAIN, words, meta, (logo, attachments), last)
}

/// Typesets pages of shapes, already cleaned, as JSON.
pub(super) fn patterns(
    model: Vec<u8>,
    meta: &Meta,
    attachments: &[Attachment],
) -> Result<Rendered, RenderError> {
    let [model, running, late] = [model, b"{}".to_vec(), b"{}".to_vec()].map(Bytes::new);
    let words = Words { model, running, late, marks: None, filling: false, beside: false };
    compile(assets::PATTERNS, words, meta, (None, attachments), None)
}

fn compile(
    main: &'static str,
    words: Words<'_>,
    meta: &Meta,
    (logo, attachments): (Option<&Logo>, &[Attachment]),
    last: Option<Last<'_>>,
) -> Result<Rendered, RenderError> {
    let fault = |why: String| RenderError::Typeset(vec![why]);
    let (marked, beside) = (words.marks, words.beside);
    let files = files(&words, logo, attachments).map_err(RenderError::Model)?;
    let mut compiled = engine(files).compile(main);
    let mut pages: PagedDocument = compiled.output.map_err(|e| RenderError::Typeset(messages(e)))?;
    let mut boxes = boxes::of(&pages).map_err(fault)?;
    let mut sheets = boxes::pages(&pages);
    let codes = marked.map(|marks| marks::place(&mut sheets, marks)).transpose().map_err(fault)?;
    if let Some(last) = last {
        let Settled { late, attachments } = last(&sheets, &boxes)?;
        let words = Words { late, ..words };
        // The other pages are remembered from the first time.
        let files = self::files(&words, logo, &attachments).map_err(RenderError::Model)?;
        compiled = engine(files).compile(main);
        let sizes = boxes::pages(&pages);
        pages = compiled.output.map_err(|e| RenderError::Typeset(messages(e)))?;
        let again = boxes::of(&pages).map_err(fault)?;
        if again != boxes || boxes::pages(&pages) != sizes {
            return Err(fault("the boxes moved when their list was attached".to_owned()));
        }
        boxes = again;
    }
    if let Some(codes) = codes {
        pages = marks::draw(&pages, &sheets, &codes);
    }
    let warnings = compiled.warnings.iter().map(message).collect();
    let options = options(meta)?;
    // Writing the file needs nothing of what was remembered: it is forgotten meanwhile.
    let bytes = std::thread::scope(|scope| {
        if !beside {
            scope.spawn(forget);
        }
        typst_pdf::pdf(&pages, &options)
    });
    let bytes = bytes.map_err(|list| RenderError::Conformance(list.iter().map(message).collect()))?;
    let pages = pages.pages().len();
    Ok(Rendered { bytes, pages, warnings, sheets, boxes })
}

/// Typesets letters, as JSON, in every weight.
pub(super) fn specimen(letters: Vec<u8>) -> Result<Vec<u8>, RenderError> {
    for_the_eye(assets::SPECIMEN, vec![("/letters.json".to_owned(), Bytes::new(letters))])
}

/// Typesets another template with its files as a plain PDF, for looking at only.
pub(super) fn for_the_eye(main: &str, files: Vec<(String, Bytes)>) -> Result<Vec<u8>, RenderError> {
    let compiled = engine(files).compile(main);
    forget();
    let pages = compiled.output.map_err(|e| RenderError::Typeset(messages(e)))?;
    typst_pdf::pdf(&pages, &PdfOptions::default())
        .map_err(|list| RenderError::Conformance(list.iter().map(message).collect()))
}

/// The files of a document, under the paths the template reads. The paths are
/// the same for every document: the typesetter never forgets one.
fn files(
    words: &Words<'_>,
    logo: Option<&Logo>,
    attachments: &[Attachment],
) -> Result<Vec<(String, Bytes)>, String> {
    let stored = |i: usize| format!("/attachment/{i}");
    let listed: Vec<_> = attachments
        .iter()
        .enumerate()
        .map(|(i, one)| {
            json!({
                "name": one.name, "path": stored(i), "mime": one.mime,
                "relationship": one.relationship.word(), "description": one.description,
            })
        })
        .collect();
    let room = words.marks.map_or(Ok(0.0), Marks::room)?;
    let envelope = json!({ "attachments": listed, "logo": logo.map(|l| l.format.as_str()) });
    let mut files = vec![
        ("/document.json".to_owned(), words.model.clone()),
        ("/running.json".to_owned(), words.running.clone()),
        ("/late.json".to_owned(), words.late.clone()),
        ("/filling.json".to_owned(), Bytes::new(words.filling.to_string().into_bytes())),
        ("/marks.json".to_owned(), Bytes::new(room.to_string().into_bytes())),
        ("/envelope.json".to_owned(), Bytes::new(envelope.to_string().into_bytes())),
    ];
    files.extend(logo.map(|l| ("/logo".to_owned(), Bytes::new(l.bytes.clone()))));
    files.extend(
        attachments.iter().enumerate().map(|(i, one)| (stored(i), Bytes::new(Arc::clone(&one.bytes)))),
    );
    Ok(files)
}

/// Both standards, the fixed date and the fixed identifier.
fn options(meta: &Meta) -> Result<PdfOptions, RenderError> {
    let at = meta.issued;
    let small = |n: u32| u8::try_from(n).unwrap_or(u8::MAX);
    let date = (1..=9999)
        .contains(&at.year())
        .then(|| {
            Datetime::from_ymd_hms(
                at.year(),
                small(at.month()),
                small(at.day()),
                small(at.hour()),
                small(at.minute()),
                small(at.second()),
            )
        })
        .flatten()
        .ok_or_else(|| RenderError::Date(at.to_rfc3339()))?;
    let standards = PdfStandards::new(&[PdfStandard::A_3a, PdfStandard::Ua_1])
        .map_err(|e| RenderError::Conformance(vec![e.message().to_string()]))?;
    Ok(PdfOptions {
        ident: Smart::Custom(meta.ident.clone()),
        creator: Smart::Custom(Some(concat!("Tackwright ", env!("CARGO_PKG_VERSION")).to_owned())),
        timestamp: Some(Timestamp::new_utc(date)),
        page_ranges: None,
        standards,
        tagged: true,
        pretty: false,
    })
}

fn messages(error: TypstAsLibError) -> Vec<String> {
    match error {
        TypstAsLibError::TypstSource(list) => list.iter().map(message).collect(),
        other => vec![other.to_string()],
    }
}

/// The message, its hints, and the template it comes from.
fn message(diagnostic: &SourceDiagnostic) -> String {
    let mut text = diagnostic.message.to_string();
    for hint in &diagnostic.hints {
        text.push_str("; ");
        text.push_str(&hint.v);
    }
    if let Some(file) = diagnostic.span.id() {
        text.push_str(&format!(" ({})", file.vpath().get_without_slash()));
    }
    text
}
