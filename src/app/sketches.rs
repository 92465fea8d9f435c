//! The page of sketches: every sketch without a job, as a PDF.

use super::plan::Failure;
use crate::render;
use crate::term::{Paper, Sketch};
use crate::traveler::Document;
use crate::traveler::document::{Meta, Running};
use crate::traveler::sketch::{Values, draw};

/// The sketches with their numbers, showing the positive sense of each.
///
/// # Errors
/// If the page can't be typeset.
pub fn pdf(paper: Paper) -> Result<Vec<u8>, Failure> {
    let none = Values::default();
    let document = Document {
        meta: Meta {
            kind: "Sketches".to_owned(),
            title: "Sketches of what is measured".to_owned(),
            author: "Tackwright".to_owned(),
            ident: "sketches".to_owned(),
            paper,
            ..Meta::default()
        },
        running: Running {
            number: "Sketches".to_owned(),
            unit: "Where finder and ruler stand".to_owned(),
            work: "and which way a sign counts".to_owned(),
            validity: "The manufacturer's data and licensed practice come before these sketches.".to_owned(),
            ..Running::default()
        },
        sketches: Sketch::ALL.into_iter().map(|sketch| draw(sketch, &none)).collect(),
        ..Document::default()
    };
    render::pdf(&document, &[]).map(|done| done.bytes).map_err(|e| Failure::System(e.to_string()))
}
