//! Why a figure can't be given.

use std::fmt;

use crate::diagnostic::nearest;
use crate::source::Source;

/// A refusal, with what would help.
#[derive(Debug, Clone, PartialEq)]
pub enum Trouble {
    /// Inputs that are still needed.
    Missing(Vec<&'static str>),
    /// An input outside the range its formula is good for.
    OutOfRange {
        /// Input name.
        input: String,
        /// Its value, in words.
        given: String,
        /// The range, in words.
        range: String,
        /// Who sets the range.
        source: Source,
    },
    /// The inputs contradict each other or no solution exists.
    Impossible {
        /// Why, in one sentence.
        why: String,
        /// What to look at.
        hint: String,
    },
    /// A word that is none of the choices.
    Unknown {
        /// Input name.
        input: String,
        /// What was given.
        given: String,
        /// Accepted words.
        choices: Vec<String>,
    },
    /// An input of another kind than the family declares.
    WrongKind {
        /// Input name.
        input: String,
        /// What was expected.
        expected: String,
    },
}

/// What a family or a part of it works out, or why it can't.
pub type Result<T, E = Trouble> = std::result::Result<T, E>;

impl Trouble {
    /// No solution, or contradictory inputs.
    #[must_use]
    pub fn impossible(why: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::Impossible { why: why.into(), hint: hint.into() }
    }
}

/// A condition that must not hold.
pub trait Refuse {
    /// Refuses if it holds: why, in one sentence, and what to look at.
    ///
    /// # Errors
    /// [`Trouble::Impossible`] if it holds.
    fn refuse(self, why: &str, hint: &str) -> Result<(), Trouble>;
}

impl Refuse for bool {
    fn refuse(self, why: &str, hint: &str) -> Result<(), Trouble> {
        if self { Err(Trouble::impossible(why, hint)) } else { Ok(()) }
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Trouble::Missing(names) => write!(f, "still needs {}", names.join(", ")),
            Trouble::OutOfRange { input, given, range, source } => {
                write!(f, "{input} is {given}, outside {range} ({source})")
            }
            Trouble::Impossible { why, hint } if hint.is_empty() => f.write_str(why),
            Trouble::Impossible { why, hint } => write!(f, "{why}; {hint}"),
            Trouble::Unknown { input, given, choices } => {
                write!(f, "{input} \"{given}\" is not known; ")?;
                if let Some(near) = nearest(given, choices.iter().map(String::as_str)) {
                    write!(f, "did you mean \"{near}\"? ")?;
                }
                if choices.is_empty() {
                    return f.write_str("nothing of the kind is listed");
                }
                write!(f, "choose from {}", choices.join(", "))
            }
            Trouble::WrongKind { input, expected } => write!(f, "{input} must be {expected}"),
        }
    }
}

impl std::error::Error for Trouble {}
