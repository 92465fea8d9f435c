//! The typesetting engine: one for the whole program, with the embedded
//! templates and fonts, and no way to the file system.

use std::sync::OnceLock;

use chrono::{Datelike, Timelike};
use typst::diag::SourceDiagnostic;
use typst::foundations::{Array, Bytes, Datetime, Dict, IntoValue, Smart, Value};
use typst::text::Font;
use typst_as_lib::{TypstAsLibError, TypstEngine};
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

use super::{Attachment, RenderError, Rendered, assets};
use crate::traveler::document::{Logo, Meta};

/// The fonts, parsed once.
fn fonts() -> &'static [Font] {
    static FONTS: OnceLock<Vec<Font>> = OnceLock::new();
    FONTS.get_or_init(|| assets::FONTS.iter().flat_map(|bytes| Font::iter(Bytes::new(*bytes))).collect())
}

/// The engine. Typesetting keeps results of one run for the next and drops
/// what two runs did not use, so memory stays bounded in a batch.
fn engine() -> &'static TypstEngine {
    static ENGINE: OnceLock<TypstEngine> = OnceLock::new();
    ENGINE.get_or_init(|| {
        TypstEngine::builder()
            .fonts(fonts().to_vec())
            .with_static_source_file_resolver(assets::TEMPLATES.iter().copied())
            .comemo_evict_max_age(Some(1))
            .build()
    })
}

/// Whether every embedded face has a glyph for the character.
pub(super) fn prints(c: char) -> bool {
    fonts().iter().all(|font| font.info().coverage.contains(u32::from(c)))
}

/// Typesets the model, already cleaned, as JSON.
pub(super) fn typeset(
    model: Vec<u8>,
    meta: &Meta,
    logo: Option<&Logo>,
    attachments: &[Attachment],
) -> Result<Rendered, RenderError> {
    let mut inputs = Dict::new();
    inputs.insert("document".into(), Value::Bytes(Bytes::new(model)));
    inputs.insert("attachments".into(), files(attachments));
    if let Some(logo) = logo {
        inputs.insert("logo".into(), Value::Bytes(Bytes::new(logo.bytes.clone())));
        inputs.insert("logo-format".into(), logo.format.as_str().into_value());
    }
    let compiled = engine().compile_with_input(assets::MAIN, inputs);
    let warnings = compiled.warnings.iter().map(message).collect();
    let pages = compiled.output.map_err(|e| RenderError::Typeset(messages(e)))?;
    let bytes = typst_pdf::pdf(&pages, &options(meta)?)
        .map_err(|list| RenderError::Conformance(list.iter().map(message).collect()))?;
    let pages = pages.pages().len();
    // What typesetting and writing remembered is of no use to the next job; in
    // a batch it would pile up.
    typst::comemo::evict(0);
    Ok(Rendered { bytes, pages, warnings })
}

/// Attachments as values of the template.
fn files(attachments: &[Attachment]) -> Value {
    let list: Array = attachments
        .iter()
        .map(|one| {
            let mut file = Dict::new();
            file.insert("name".into(), one.name.as_str().into_value());
            file.insert("data".into(), Value::Bytes(Bytes::new(one.bytes.clone())));
            file.insert("mime".into(), one.mime.as_str().into_value());
            file.insert("relationship".into(), one.relationship.word().into_value());
            file.insert("description".into(), one.description.as_str().into_value());
            Value::Dict(file)
        })
        .collect();
    Value::Array(list)
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
