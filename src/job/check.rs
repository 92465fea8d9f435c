//! Cross-checks a good lead would make.
use super::JobFile;
use crate::diagnostic::Report;
/// All cross-checks.
#[must_use]
pub fn all(_job: &JobFile) -> Report {
    Report::new()
}
