//! Whether the numbers written for a steering weld or a traceable joint are lots of the shop book.

use super::frozen::{GATED_SINCE, LotAsk};
use super::paper_name::has_a_digit;
use super::people::Lot;
use super::rules::{Scene, refuse};
use crate::diagnostic::Diagnostic;

/// Written for a part that was there before the job.
pub const EXISTING: &str = "existing part";

impl Scene<'_> {
    /// Whether the numbers written for a traceable joint are lots of the book
    /// that may be used that day.
    ///
    /// # Errors
    /// At the first number that is none, or is of something else.
    pub fn lots(&self, ask: &LotAsk, text: &str) -> Result<(), Diagnostic> {
        if self.plan.rules >= GATED_SINCE {
            numbered(text)?;
        }
        let Some(list) = &self.register.lots else { return Ok(()) };
        let fits = |designation: &str| {
            ask.designations.is_empty()
                || ask.designations.iter().any(|d| squeezed(d) == squeezed(designation))
        };
        let of_kind: Vec<_> = list
            .iter()
            .filter(|l| l.kind == ask.kind && fits(&l.designation))
            .filter(|l| l.until.is_none_or(|u| u >= self.day))
            .collect();
        let offer = || {
            if of_kind.is_empty() {
                format!(
                    "enter the lot of {} in the shop book, with its number and certificate",
                    ask.designations.join(" or ")
                )
            } else {
                let known: Vec<String> =
                    of_kind.iter().map(|l| format!("{} ({})", l.number, l.designation)).collect();
                let part = if ask.kind == "metal" { format!(" or \"{EXISTING}\"") } else { String::new() };
                format!("give {}{part}, or enter the lot in the shop book", known.join(" or "))
            }
        };
        let rule = "steering and traceable welds name lots of the shop book";
        for number in text.split([',', ';']).map(str::trim).filter(|n| !n.is_empty()) {
            // What was there before the job has no certificate to name.
            if ask.kind == "metal" && number.eq_ignore_ascii_case(EXISTING) {
                continue;
            }
            let same = |l: &&Lot| l.number.eq_ignore_ascii_case(number) || l.id.eq_ignore_ascii_case(number);
            let Some(lot) = list.iter().filter(|l| l.kind == ask.kind).find(same) else {
                let text = format!("{} has no {} lot \"{number}\"", self.register.book, ask.kind);
                return Err(refuse("L137", rule, text, offer()));
            };
            if !fits(&lot.designation) {
                let text = format!("{number} is {}, not {}", lot.designation, ask.designations.join(" or "));
                return Err(refuse("L137", rule, text, offer()));
            }
            if let Some(until) = lot.until.filter(|u| *u < self.day) {
                return Err(refuse("L137", rule, format!("{number} could be used until {until}"), offer()));
            }
        }
        Ok(())
    }
}

/// Whether a text names numbers somebody can look for: what has no digit is no lot.
fn numbered(text: &str) -> Result<(), Diagnostic> {
    let all = || text.split([',', ';']).map(str::trim).filter(|n| !n.is_empty());
    let no_number = |n: &&str| !has_a_digit(n) && !n.eq_ignore_ascii_case(EXISTING);
    match all().find(no_number) {
        None => Ok(()),
        Some(said) => Err(refuse(
            "L317",
            "a lot is told by its number",
            format!("\"{said}\" is no number of a lot"),
            "write the number on the spool, the box or the part, letters and digits as they stand there",
        )),
    }
}

fn squeezed(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}
