//! Why a use case ended without a result.

use std::path::Path;

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

/// The number the system gives an error; none if it is none of the system's.
pub(super) fn system_number(error: &str) -> Option<&str> {
    Some(error.rsplit_once("(os error ")?.1.trim_end_matches(')'))
}

/// What the system says, in words for a person; none if it says something else.
fn happened(error: &str) -> Option<&'static str> {
    Some(match system_number(error)? {
        "2" => "is not there",
        "13" | "1" => "may not be read or written by whoever runs this",
        "17" => "is there already",
        "20" => "can't be there: a part of the path is a file, not a folder",
        "21" => "is a folder, where a file belongs",
        "22" => "can't be used: this is no name or no file the system can open",
        "24" => "can't be opened: too many files are open",
        "26" => "is in use by another program",
        "28" => "could not be written: the disk is full",
        "30" => "could not be written: the disk may only be read",
        "40" => "is a link that leads in a circle",
        _ => return None,
    })
}

/// What happened at a path, for a person.
#[must_use]
pub fn at(path: &Path, error: &str) -> String {
    let place = path.display();
    happened(error).map_or_else(|| format!("{place}: {error}"), |what| format!("{place} {what}"))
}

impl Failure {
    /// A failure of the system at a path.
    #[must_use]
    pub fn at(path: &Path, error: &impl std::fmt::Display) -> Self {
        Self::System(at(path, &error.to_string()))
    }
}
