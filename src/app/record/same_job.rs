//! What a revision does not rewrite: whose clock the log goes by, the unit that was worked on,
//! and what a customer signed for. Another of these is another traveler.

use super::completed::Parts;
use super::desk::Desk;
use crate::diagnostic::Diagnostic;
use crate::job::Said;

/// Edition of the rules since which what is found after the issue is written in the record
/// alone.
const FOUND_SINCE: u32 = 10;
/// Role of whoever the work is for.
const CUSTOMER: &str = "customer";

/// What the jobs of a record say otherwise from one revision to the next, in words.
pub(super) fn otherwise(parts: &Parts) -> Vec<String> {
    let files = parts.earlier.values().map(|revision| &revision.files).chain([&parts.files]);
    let jobs = files.filter_map(|files| files.get("job.toml"));
    let said: Vec<Said> = jobs.map(|text| Said::of(&String::from_utf8_lossy(text))).collect();
    let pairs = || said.iter().zip(said.iter().skip(1));
    let mut all: Vec<String> = pairs().flat_map(|(one, later)| one.otherwise(later)).collect();
    if parts.plan().is_some_and(|plan| plan.rules >= FOUND_SINCE) {
        all.extend(pairs().flat_map(|(one, later)| one.found_otherwise(later)));
    }
    all
}

/// Whether a revision is of the job that was worked on.
///
/// # Errors
/// If it is of another unit, or rewrites what was signed for.
pub(super) fn revises(desk: &Desk, old: &str, new: &str) -> Result<(), Diagnostic> {
    let (old, new) = (Said::of(old), Said::of(new));
    found_in_the_record(desk, &old, &new)?;
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

/// Whether a revision leaves what was found to the record: a job file is written without a PIN,
/// and holds no work up.
fn found_in_the_record(desk: &Desk, old: &Said, new: &Said) -> Result<(), Diagnostic> {
    let all = old.found_otherwise(new);
    if all.is_empty() {
        return Ok(());
    }
    let number = &desk.plan.number;
    Err(Diagnostic::error("L353", format!("{number} can't be revised into this: {}", all.join("; ")))
        .rule("what is found after the issue is filed and decided in the record")
        .expected("[[found]] as it was issued")
        .help(format!(
            "put [[found]] back as it was, and file what was found: tackwright found {number} OPERATION \"…\" --by ID; a lead decides: tackwright dispose {number} F… --by LEAD --reason \"…\""
        )))
}
