//! The JSON Schema of the job file, so that editors complete and check it.

use serde_json::{Value as Json, json};

use super::model::JobFile;
use crate::file::Field;

/// The whole schema, JSON Schema draft 2020-12.
#[must_use]
pub fn job_schema() -> Json {
    let mut schema = JobFile::schema();
    if let Some(object) = schema.as_object_mut() {
        object.insert("$schema".to_owned(), json!("https://json-schema.org/draft/2020-12/schema"));
        object.insert("title".to_owned(), json!("Tackwright job file"));
    }
    schema
}
