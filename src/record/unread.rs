//! Why a stored plan can't be gone by.

use std::fmt;

use super::edition::RULES;

/// Why a stored plan can't be gone by.
#[derive(Debug)]
pub enum Unread {
    /// It is kept by this edition of the rules, later than [`RULES`]: this version would go
    /// by it without what it does not know.
    Later(u32),
    /// It is no frozen plan.
    NoPlan(serde_json::Error),
}

impl fmt::Display for Unread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Later(edition) => write!(
                f,
                "a later version of Tackwright froze the plan: it is kept by edition {edition} of the rules, and this version knows them up to edition {RULES}"
            ),
            Self::NoPlan(error) => write!(f, "it is no frozen plan: {error}"),
        }
    }
}

impl std::error::Error for Unread {}
