//! Whether the typesetter can set a photo: tried alone, before anything rests on it.

use crate::render::{self, Attachment, Relationship, RenderError};
use crate::traveler::document::{Document, FoundPhoto, PhotoSheet, RecordSheet};

/// Kind of a file of a photo, by its name.
#[must_use]
pub(super) fn mime(name: &str) -> &'static str {
    if name.ends_with(".png") { "image/png" } else { "image/jpeg" }
}

/// Whether a page can be set with a photo, under everything a record is held to.
///
/// # Errors
/// With what the typesetter says.
pub(super) fn sets(bytes: &[u8], name: &str) -> Result<(), RenderError> {
    let photo = FoundPhoto { file: name.to_owned(), caption: name.to_owned() };
    let sheet = PhotoSheet { title: name.to_owned(), photos: vec![photo] };
    let attachment = Attachment {
        name: name.to_owned(),
        bytes: bytes.into(),
        mime: mime(name).to_owned(),
        relationship: Relationship::Supplement,
        description: "photo".to_owned(),
    };
    // Photos stand in completed records alone.
    let record = Some(RecordSheet::default());
    render::pdf(&Document { photos: vec![sheet], record, ..Document::default() }, &[attachment]).map(|_| ())
}
