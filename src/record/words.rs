//! Words that somebody answers for say something.

use super::rules::{Scene, refuse};
use crate::diagnostic::Diagnostic;
use crate::term::said::{EXPECTED, says_nothing};

/// Refuses words that say nothing: a dot, a dash, "n/a". `what` they are, and how they
/// may be given.
///
/// # Errors
/// If they are empty or say nothing.
pub fn say(text: &str, what: &str, example: &str) -> Result<(), Diagnostic> {
    if !says_nothing(text) {
        return Ok(());
    }
    let said = match text.trim() {
        "" => "nothing is written".to_owned(),
        text => format!("\"{text}\" says nothing"),
    };
    Err(refuse("L155", "words that somebody answers for say something", format!("{what}: {said}"), "say it in a few words: the record is read by people who were not there")
        .expected(EXPECTED)
        .example(example))
}

impl Scene<'_> {
    /// As [`say`], by the rules the plan was frozen under: before editions were
    /// counted, words had only to be there.
    ///
    /// # Errors
    /// If they are empty or say nothing.
    pub fn says(&self, text: &str, what: &str, example: &str) -> Result<(), Diagnostic> {
        if !self.strict() && !text.trim().is_empty() { Ok(()) } else { say(text, what, example) }
    }
}
