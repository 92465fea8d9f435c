//! Words that somebody answers for say something.

use super::rules::{Scene, refuse};
use crate::diagnostic::Diagnostic;
use crate::term::empty::gives_no_reason;

/// What is expected of words that somebody answers for.
const EXPECTED: &str = "words that say what was seen, decided or done, for somebody who was not there";

/// Refuses words that say nothing: a dot, a dash, "n/a". `what` they are, and how they
/// may be given.
///
/// # Errors
/// If they are empty or say nothing.
pub fn say(text: &str, what: &str, example: &str) -> Result<(), Diagnostic> {
    if !gives_no_reason(text) {
        return Ok(());
    }
    let said = match text.trim() {
        "" => "nothing is written".to_owned(),
        text => format!("\"{text}\" says nothing"),
    };
    Err(refuse(
        "L155",
        "words that somebody answers for say something",
        format!("{what}: {said}"),
        "say it in a few words: the record is read in ten years",
    )
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
