//! What a revision does not rewrite: whose clock the log goes by, the unit that was worked on,
//! and what a customer signed for. Another of these is another traveler.

use super::completed::Parts;
use super::desk::Desk;
use crate::diagnostic::Diagnostic;
use crate::job::Said;

/// Role of whoever the work is for.
const CUSTOMER: &str = "customer";

/// What the jobs of a record say otherwise from one revision to the next, in words.
pub(super) fn otherwise(parts: &Parts) -> Vec<String> {
    let files = parts.earlier.values().map(|revision| &revision.files).chain([&parts.files]);
    let jobs = files.filter_map(|files| files.get("job.toml"));
    let said: Vec<Said> = jobs.map(|text| Said::of(&String::from_utf8_lossy(text))).collect();
    said.iter().zip(said.iter().skip(1)).flat_map(|(one, later)| one.otherwise(later)).collect()
}

/// Whether a revision is of the job that was worked on.
///
/// # Errors
/// If it is of another unit, or rewrites what was signed for.
pub(super) fn revises(desk: &Desk, old: &str, new: &str) -> Result<(), Diagnostic> {
    let (old, new) = (Said::of(old), Said::of(new));
    let begun = desk.entries.len() > 1;
    let signed = desk.state.points.values().flatten().any(|s| s.mark.by.role == CUSTOMER);
    let mut all = if begun { old.otherwise(&new) } else { Vec::new() };
    if signed {
        all.extend(old.signed_for(&new));
    }
    if all.is_empty() {
        return Ok(());
    }
    let problem = Diagnostic::error(
        "L323",
        format!("{} can't be revised into this: {}", desk.plan.number, all.join("; ")),
    )
    .rule("a revision changes the work, not what it was done on or signed for")
    .help("put it back as it was issued; what is asked besides stands in a [[change]] with who asked for it");
    Err(problem.help("another unit or another customer is another traveler: a new number in [job], then tackwright issue JOB"))
}
