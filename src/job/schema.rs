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

/// What each key of the job file is, as the schema tells editors.
#[derive(Debug)]
pub struct KeyHelp(Json);

impl KeyHelp {
    /// Help of every key; making it costs, so it is made once for many.
    #[must_use]
    pub fn new() -> Self {
        Self(JobFile::schema())
    }

    /// What a key is, by its path in the file: of `axle[0].spring.seat_new` "From the tube
    /// surface to the new pad face." Nothing for a path the file does not have.
    #[must_use]
    pub fn of(&self, path: &str) -> Option<&str> {
        let mut node = &self.0;
        for part in path.split('.') {
            let key = part.split_once('[').map_or(part, |(key, _)| key);
            node = node.get("properties")?.get(key)?;
            node = node.get("items").unwrap_or(node);
        }
        node.get("description")?.as_str()
    }
}

impl Default for KeyHelp {
    fn default() -> Self {
        Self::new()
    }
}
