//! A plan laid out, typeset, with its sources attached.

use super::failure::Failure;
use super::figures;
use super::plan::Plan;
use crate::render::{self, Attachment, Relationship};
use crate::traveler::document::Document;
use crate::traveler::wording::{Subject, document};

/// Words and draws a plan, with the logo of its shop.
#[must_use]
pub fn compose(plan: &Plan<'_>) -> Document {
    document(&Subject {
        plan: &plan.resolved,
        job: &plan.loaded.job,
        figures: &plan.loaded.figures,
        digest: &plan.digest(),
        logo: plan.shop.logo.as_ref(),
    })
}

/// Name of the figures among what is attached and frozen.
pub const FIGURES: &str = "figures.json";

/// What is attached to a traveler: its job and its figures.
///
/// # Errors
/// If the figures can't be written as JSON.
pub fn attachments(plan: &Plan<'_>) -> Result<Vec<Attachment>, Failure> {
    let name = plan
        .loaded
        .path
        .file_name()
        .map_or_else(|| "job.toml".to_owned(), |n| n.to_string_lossy().into_owned());
    // Read by programs, and a third of the pretty form are blanks.
    let figures = serde_json::to_string(&figures::json(plan.loaded))
        .map_err(|e| Failure::System(format!("the figures can't be written: {e}")))?;
    Ok(vec![
        Attachment {
            name,
            bytes: plan.loaded.source.text.as_bytes().into(),
            mime: "application/toml".to_owned(),
            relationship: Relationship::Source,
            description: "job file this traveler was made from".to_owned(),
        },
        Attachment {
            name: FIGURES.to_owned(),
            bytes: figures.into_bytes().into(),
            mime: "application/json".to_owned(),
            relationship: Relationship::Data,
            description: "every computed figure with inputs, formula and source".to_owned(),
        },
    ])
}

/// The PDF of a plan: bytes and page count.
///
/// # Errors
/// If a text can't be written or the page can't be typeset.
pub fn typeset(plan: &Plan<'_>) -> Result<(Document, render::Rendered), Failure> {
    let document = compose(plan);
    let rendered = render::pdf(&document, &attachments(plan)?).map_err(|e| Failure::System(e.to_string()))?;
    Ok((document, rendered))
}
