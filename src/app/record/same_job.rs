//! What a revision does not rewrite: whose clock the log goes by, the unit that was worked on,
//! and what a customer signed for. Another of these is another traveler.

use toml::{Table, Value};

use super::completed::Parts;
use super::desk::Desk;
use crate::diagnostic::Diagnostic;

/// Role of whoever the work is for.
const CUSTOMER: &str = "customer";

/// What a job says that no revision rewrites.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Said {
    /// Whether it is a demonstration: its log may go by a clock that is set.
    invented: bool,
    /// The number of the unit, or its name where it has none.
    unit: Option<String>,
    /// Who the work is for.
    customer: Option<String>,
    /// What they asked for.
    asked: Option<String>,
}

impl Said {
    /// What a job file says; nothing of what can't be read.
    pub(super) fn of(text: &str) -> Self {
        let table: Table = text.parse().unwrap_or_default();
        let of = |part: &str, key: &str| table.get(part).and_then(|t| t.get(key));
        let words = |part: &str, key: &str| {
            let text = of(part, key).and_then(Value::as_str)?;
            let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
            (!text.is_empty()).then_some(text)
        };
        Self {
            invented: of("job", "invented").and_then(Value::as_bool).unwrap_or_default(),
            unit: words("unit", "identification").or_else(|| words("unit", "name")),
            customer: words("customer", "name"),
            asked: words("job", "asked"),
        }
    }

    /// What a later revision says otherwise of the log's clock and the unit, in words.
    pub(super) fn otherwise(&self, later: &Self) -> Vec<String> {
        let mut all = Vec::new();
        if self.invented != later.invented {
            all.push(if later.invented {
                "the job was real and is called invented: nobody's clock vouches for its entries".to_owned()
            } else {
                "the job was invented, and its log may go by a clock that was set: it is no record of real work".to_owned()
            });
        }
        if self.unit.is_some() && self.unit != later.unit {
            all.push(format!(
                "the unit is \"{}\", and the work was done on \"{}\"",
                later.unit.as_deref().unwrap_or("none"),
                self.unit.as_deref().unwrap_or_default()
            ));
        }
        all
    }

    /// What a customer signed for and a later revision says otherwise, in words.
    fn signed_for(&self, later: &Self) -> Vec<String> {
        let mut all = Vec::new();
        if self.customer.is_some() && self.customer != later.customer {
            all.push(format!(
                "the customer is \"{}\", and \"{}\" signed",
                later.customer.as_deref().unwrap_or("none"),
                self.customer.as_deref().unwrap_or_default()
            ));
        }
        if self.asked.is_some() && self.asked != later.asked {
            all.push("what was asked for is not what the customer signed for".to_owned());
        }
        all
    }
}

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

#[cfg(test)]
mod tests {
    use super::*;

    const JOB: &str = "[job]\nasked = \"more room\"\n[unit]\nname = \"Trailer 3\"\nidentification = \"asset 3\"\n[customer]\nname = \"Upper Valley\"\n";

    #[test]
    fn a_unit_a_clock_and_a_customer_stay_what_they_were() {
        let other = |from: &str, to: &str| Said::of(&JOB.replace(from, to));
        let old = Said::of(JOB);
        assert!(old.otherwise(&other("more  room", "more room")).is_empty());
        // A name may be spelled better while the number of the unit is the same.
        assert!(old.otherwise(&other("Trailer 3", "Trailer three")).is_empty());
        assert_eq!(old.otherwise(&other("asset 3", "asset 9")).len(), 1);
        assert_eq!(old.otherwise(&other("[job]\n", "[job]\ninvented = true\n")).len(), 1);
        assert_eq!(other("[job]\n", "[job]\ninvented = true\n").otherwise(&old).len(), 1);
        assert_eq!(old.signed_for(&other("Upper", "Lower")).len(), 1);
        assert_eq!(old.signed_for(&other("more room", "a check")).len(), 1);
        assert!(old.signed_for(&old).is_empty());
    }
}
