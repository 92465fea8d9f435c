//! Words that somebody answers for say something.

use super::frozen::GATED_SINCE;
use super::rules::{Scene, refuse};
use crate::diagnostic::Diagnostic;
use crate::term::PRINTED;
use crate::term::empty::{gives_no_reason, says_nothing};
use crate::term::unseen::{breaks_line, hidden};

/// What is expected of words that somebody answers for.
const EXPECTED: &str = "words that say what was seen, decided or done, for somebody who was not there";

/// Refuses words that say nothing: a dot, a dash, "n/a". `what` they are, and how they
/// may be given.
///
/// # Errors
/// If they are empty or say nothing.
pub fn say(text: &str, what: &str, example: &str) -> Result<(), Diagnostic> {
    if text.trim().contains(breaks_line) {
        return Err(refuse(
            "L318",
            "what somebody answers for is one line, and begins no other",
            format!("{what}: there is a line break in it"),
            "write it in one line; sentences may follow one another",
        )
        .expected(EXPECTED)
        .example(example));
    }
    say_something(text, what, example)
}

/// As [`say`], on as many lines as it has: by rules from before they were one.
fn say_something(text: &str, what: &str, example: &str) -> Result<(), Diagnostic> {
    let said = match (hidden(text), text.trim()) {
        (Some(bad), _) => format!("the invisible character U+{:04X} is in it", u32::from(bad)),
        (None, "") => "nothing is written".to_owned(),
        (None, text) if gives_no_reason(text) => format!("\"{text}\" says nothing"),
        _ => return Ok(()),
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

/// As [`say`], for what is printed whole: what is cut off a page is not read in ten years.
///
/// # Errors
/// If they say nothing, or more than a page has room for.
pub fn say_whole(text: &str, what: &str, example: &str) -> Result<(), Diagnostic> {
    let length = text.chars().count();
    if length <= PRINTED {
        return say(text, what, example);
    }
    Err(refuse(
        "L155",
        "words that somebody answers for are printed whole",
        format!("{what}: {length} characters, and the pages print {PRINTED}"),
        "say what matters in a few sentences; a longer report is named by its number and kept with the record",
    ))
}

/// What is wrong with the words of a box; none if they say something.
#[must_use]
pub fn nothing_read(text: &str) -> Option<String> {
    match hidden(text) {
        Some(bad) => Some(format!("the invisible character U+{:04X} is in it", u32::from(bad))),
        None if says_nothing(text) => Some(format!("\"{}\" says nothing", text.trim())),
        None => None,
    }
}

impl Scene<'_> {
    /// As [`say`], by the rules the plan was frozen under: before editions were
    /// counted, words had only to be there.
    ///
    /// # Errors
    /// If they are empty or say nothing.
    pub fn says(&self, text: &str, what: &str, example: &str) -> Result<(), Diagnostic> {
        match self.plan.rules {
            _ if !self.strict() && !text.trim().is_empty() => Ok(()),
            rules if rules < GATED_SINCE => say_something(text, what, example),
            _ => say(text, what, example),
        }
    }
}
