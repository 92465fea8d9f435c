//! Why a use case ended without a result.

use crate::diagnostic::Report;

/// A file as it was read, for showing problems in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceText {
    /// Name as the user gave it.
    pub name: String,
    /// The whole file, whose bytes spans count; empty where it could not be read as text.
    pub text: String,
}

/// Why a use case ended without a result.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Failure {
    /// The job says no; the report says why.
    Refused(Report, Vec<SourceText>),
    /// The system failed.
    System(String),
}

impl Failure {
    /// The failure in one sentence.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Failure::Refused(report, _) => {
                report.problems.first().map_or_else(|| "refused".to_owned(), |p| p.message.clone())
            }
            Failure::System(why) => why.clone(),
        }
    }
}
