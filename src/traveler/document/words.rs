//! What is written in a box.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

/// What somebody wrote in a box, from the record.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Filled {
    /// The value, initials or sign, as it is printed in the box.
    pub value: String,
    /// Who wrote it and when; printed small under the value.
    pub by: Option<String>,
    /// True if the value is outside its tolerance: the box gets a heavy rule
    /// and the words `out of tolerance`.
    pub outside: bool,
    /// A remark, such as an older value that was struck out and why; printed
    /// small under the step.
    pub remark: Option<String>,
}

impl Filled {
    /// A value within its tolerance.
    #[must_use]
    pub fn new(value: impl Into<String>) -> Self {
        Self { value: value.into(), ..Self::default() }
    }

    /// Adds who wrote it and when.
    #[must_use]
    pub fn by(mut self, by: impl Into<String>) -> Self {
        self.by = Some(by.into());
        self
    }

    /// Initials that stand for several operations, with the first and the last day of them:
    /// days are written as ISO 8601 has them.
    #[must_use]
    pub fn and_days_of(mut self, other: Option<&Self>) -> Self {
        const TO: &str = " to ";
        let both = [self.by.as_deref(), other.and_then(|filled| filled.by.as_deref())];
        // The order of their letters is that of the days.
        let days: BTreeSet<&str> = both.into_iter().flatten().flat_map(|by| by.split(TO)).collect();
        let by = match (days.first(), days.last()) {
            (Some(first), Some(last)) if first != last => Some(format!("{first}{TO}{last}")),
            (first, _) => first.map(|day| (*day).to_owned()),
        };
        self.by = by;
        self
    }
}

#[cfg(test)]
mod tests {
    use super::Filled;

    #[test]
    fn one_box_of_initials_has_the_first_and_the_last_day() {
        let on = |day: &str| Filled::new("WO").by(day);
        let said = |one: Filled, other: Filled| one.and_days_of(Some(&other)).by.unwrap();
        assert_eq!(said(on("2026-03-05"), on("2026-03-05")), "2026-03-05");
        assert_eq!(said(on("2026-03-09"), on("2026-03-05")), "2026-03-05 to 2026-03-09");
        assert_eq!(said(on("2026-03-05 to 2026-03-09"), on("2026-03-06")), "2026-03-05 to 2026-03-09");
        assert_eq!(Filled::new("WO").and_days_of(None).by, None);
    }
}
