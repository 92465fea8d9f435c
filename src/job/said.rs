//! What a job says of its clock, its unit and its customer, read from its text: no revision
//! rewrites these.

use toml::{Table, Value};

/// What a job says that no revision rewrites.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Said {
    /// Whether it is a demonstration: its log may go by a clock that is set.
    invented: bool,
    /// The number of the unit, or its name where it has none.
    unit: Option<String>,
    /// Who the work is for.
    customer: Option<String>,
    /// What they asked for.
    asked: Option<String>,
    /// What was found before the paper was issued, each with all that is said of it.
    found: Vec<String>,
}

impl Said {
    /// What a job file says; nothing of what can't be read.
    #[must_use]
    pub fn of(text: &str) -> Self {
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
            found: table
                .get("found")
                .and_then(Value::as_array)
                .map_or_else(Vec::new, |all| all.iter().map(said_once).collect()),
        }
    }

    /// What a later revision says otherwise of the log's clock and the unit, in words.
    #[must_use]
    pub fn otherwise(&self, later: &Self) -> Vec<String> {
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

    /// Conditions that a later revision has otherwise, in words: what is found after the
    /// issue is written in the record, where somebody decides and answers for it.
    #[must_use]
    pub fn found_otherwise(&self, later: &Self) -> Vec<String> {
        let mut all: Vec<String> = Vec::new();
        for (n, found) in (1..).zip(&later.found) {
            if !self.found.contains(found) {
                all.push(format!("[[found]] {n} is new or says something else than before"));
            }
        }
        for (n, found) in (1..).zip(&self.found) {
            if !later.found.contains(found) {
                all.push(format!("[[found]] {n} of the revision before is gone, or says something else"));
            }
        }
        all
    }

    /// What a customer signed for and a later revision says otherwise, in words.
    #[must_use]
    pub fn signed_for(&self, later: &Self) -> Vec<String> {
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

/// A table as one text, whatever its order and its white space.
fn said_once(value: &Value) -> String {
    let Some(table) = value.as_table() else { return value.to_string() };
    let mut keys: Vec<String> = table
        .iter()
        .map(|(key, value)| {
            let text = value.as_str().map_or_else(|| value.to_string(), str::to_owned);
            format!("{key}: {}", text.split_whitespace().collect::<Vec<_>>().join(" "))
        })
        .collect();
    keys.sort_unstable();
    keys.join("; ")
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

    #[test]
    fn what_was_found_before_the_issue_stays_what_it_was() {
        let with = |found: &str| Said::of(&format!("{JOB}{found}"));
        let one = with("[[found]]\nwhat = \"old  gusset\"\ndate = 2026-03-01\n");
        let same = with("[[found]]\ndate = 2026-03-01\nwhat = \"old gusset\"\n");
        assert!(one.found_otherwise(&same).is_empty());
        assert_eq!(with("").found_otherwise(&one).len(), 1);
        assert_eq!(one.found_otherwise(&with("")).len(), 1);
        let decided =
            with("[[found]]\nwhat = \"old gusset\"\ndate = 2026-03-01\ndisposition = \"use as is\"\n");
        assert_eq!(one.found_otherwise(&decided).len(), 2);
    }
}
