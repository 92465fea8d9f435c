//! A sheet with the figures it was drawn from.

use chrono::{DateTime, Utc};
use serde_json::Value as Json;

use crate::app::reckon::{self, machine};
use crate::diagnostic::Diagnostic;
use crate::figure::{Family, Figure, Given};
use crate::pattern::Kind;
use crate::plan as planned;
use crate::shape::Sheet;
use crate::term::{Paper, Units};

/// A sheet with all that is written of it.
#[derive(Debug, Clone)]
pub struct Drawn {
    /// Shapes, title and notes, as they go into every kind of file.
    pub sheet: Sheet,
    /// Its figures, as they are attached.
    pub data: Json,
    /// Date of the file.
    pub dated: DateTime<Utc>,
    /// Paper of the job; letter at the bench.
    pub paper: Paper,
    /// Shop or author; empty at the bench.
    pub author: String,
    /// The traveler's sheet it is; none at the bench.
    pub of: Option<planned::Sheet>,
}

/// Draws figures of a family.
pub(super) fn draw(
    kind: &Kind,
    family: &Family,
    given: &Given,
    figures: &[Figure],
    units: Units,
) -> Result<Drawn, Diagnostic> {
    let sheet = kind.sheet(given, figures, units).map_err(|why| reckon::trouble(family, &[], &why))?;
    let data = machine::answer_json(family, given, figures);
    Ok(Drawn {
        sheet,
        data,
        dated: DateTime::UNIX_EPOCH,
        paper: Paper::Letter,
        author: String::new(),
        of: None,
    })
}

/// A name for a file from words.
pub(super) fn file_name(words: &[&str]) -> String {
    let joined = words.join("-").to_lowercase();
    let plain: String =
        joined.chars().map(|c| if c.is_ascii_alphanumeric() || c == '-' { c } else { '-' }).collect();
    plain.split('-').filter(|w| !w.is_empty()).collect::<Vec<_>>().join("-")
}
