//! That nobody came to a witness point: written once the work it looks at is there, and
//! the time that was given has passed.

use chrono::{NaiveTime, TimeDelta};

use super::entry::SLACK;
use super::frozen::{Operation, Point, PointKind};
use super::people::Signer;
use super::rules::{Scene, refuse};
use crate::diagnostic::Diagnostic;
use crate::term::clock::told;

/// Edition of the rules since which it waits for the work, and the notice says when.
pub const SINCE: u32 = 3;

/// How a notice may be given.
pub const EXAMPLE: &str = "--nobody-came \"called by phone at 09:10, nobody by 09:40\"";

impl Scene<'_> {
    /// Whether `person` may write that nobody came to a point.
    ///
    /// # Errors
    /// If it is no witness point, `person` is who was called, the notice says nothing or
    /// not when, the point is settled, or what it looks at is not there.
    pub fn nobody_came(
        &self,
        person: &Signer,
        operation: &Operation,
        point: &Point,
        notice: &str,
    ) -> Result<(), Diagnostic> {
        let number = &point.number;
        if point.kind != PointKind::Witness {
            return Err(refuse(
                "L126",
                "only a witness point can be waived",
                format!("{number} is no witness point: work can't go on without it"),
                format!("have it signed by {}", point.roles.join(" and ")),
            ));
        }
        self.called(person, point)?;
        self.says(notice, "a witness is waived only with the notice", EXAMPLE)?;
        if self.state.unsigned(operation, point).is_empty() {
            return Err(self.settled(operation, point));
        }
        if self.plan.rules < SINCE {
            return Ok(());
        }
        self.point_waits(operation, point).map_err(|waits| Diagnostic {
            message: format!(
                "nobody can be called to {number} before what is looked at there is done: {}",
                waits.message
            ),
            ..waits
        })?;
        self.waited(number, notice)
    }

    /// That the time of a notice was over before what is looked at there was read, in words;
    /// none if it was not, or nobody knows. No refusal: who enters at the end of a day
    /// states one time for all of it.
    #[must_use]
    pub fn waited_before(&self, operation: &Operation, point: &Point, notice: &str) -> Option<String> {
        let (at, last) = (self.at?, times(notice).into_iter().next_back()?);
        let read = operation.readings().filter_map(|r| self.state.reading(&operation.key, &r.id));
        let read = read.filter(|(_, mark)| point.slot.starts_with("after") && !mark.timeless);
        let done = read.filter_map(|(_, mark)| mark.time()).max()?.with_timezone(&at.timezone());
        (done.date_naive() == at.date_naive() && done.time() - last >= TimeDelta::minutes(SLACK)).then(|| {
            format!(
                "by the notice of {} nobody was waited for after {}, and what is looked at there was read until {}",
                point.number,
                last.format("%H:%M"),
                done.format("%H:%M")
            )
        })
    }

    /// Whoever was called does not say that nobody came. A lead may where nobody else is
    /// there to say it.
    fn called(&self, person: &Signer, point: &Point) -> Result<(), Diagnostic> {
        let Some(role) = point.roles.iter().find(|role| person.roles.contains(role)) else { return Ok(()) };
        let others = self.people_able("", |p| !p.roles.iter().any(|r| point.roles.contains(r)));
        let first = others.first();
        if role == "lead" && (self.plan.rules < SINCE || first.is_none()) {
            return Ok(());
        }
        Err(refuse(
            "L128",
            "whoever did not come does not say so",
            format!("{} is the {role} who was called", person.name),
            first.map_or_else(
                || "have somebody else enter that nobody came, with when and how the call was made".to_owned(),
                |by| {
                    format!(
                        "sign it if you are there; else have somebody else say so: tackwright sign {} {} --as {role} --by {by} {EXAMPLE}",
                        self.plan.number, point.number
                    )
                },
            ),
        ))
    }

    /// The refusal of a second signature, or a second notice, at a point.
    pub(super) fn settled(&self, operation: &Operation, point: &Point) -> Diagnostic {
        let (number, traveler) = (&point.number, &self.plan.number);
        let by = self.state.standing(operation, point);
        let words = match by.iter().find(|s| s.waived) {
            Some(one) => format!(
                "that nobody came to {number} was written by {} (entry {})",
                one.mark.by.name, one.mark.n
            ),
            None => {
                let all: Vec<String> =
                    by.iter().map(|s| format!("{} (entry {})", s.mark.by.name, s.mark.n)).collect();
                format!("{number} was signed by {}", all.join(", "))
            }
        };
        let way = by.last().map_or_else(String::new, |s| {
            format!(
                "it stands; if it was wrong, it is taken back first: tackwright correct {traveler} {} --by {} --reason \"…\"",
                s.mark.n,
                s.seen_by.as_ref().unwrap_or(&s.mark.by).id
            )
        });
        refuse("L120", "a point is signed once", words, way)
    }

    /// Whether the notice says when, and that time had passed.
    fn waited(&self, number: &str, notice: &str) -> Result<(), Diagnostic> {
        let rule = "a witness is waived once the time that was given has passed";
        let no = |words: String, way: &str| Err(refuse("L220", rule, words, way).example(EXAMPLE));
        let times = times(notice);
        let (Some(first), Some(last)) = (times.first(), times.last()) else {
            return no(
                format!("the notice of {number} names no time: \"{}\"", notice.trim()),
                "say when the call was made, and until when somebody was waited for",
            );
        };
        let Some(at) = self.at else { return Ok(()) };
        // As it is said where it was entered: the notice has no zone of its own.
        let waited = at.time() - *last;
        if waited <= -TimeDelta::minutes(SLACK) {
            return no(
                format!(
                    "the notice of {number} waits until {}, and this is stated for {}",
                    last.format("%H:%M"),
                    told(&at)
                ),
                "write it when that time has passed; of an earlier day, state when the waiting was over: --at \"yesterday 09:40\"",
            );
        }
        if first == last && waited.abs() < TimeDelta::minutes(SLACK) {
            return no(
                format!(
                    "by its notice nobody was waited for at {number}: all of it is {}",
                    last.format("%H:%M")
                ),
                "say when the call was made, and until when somebody was waited for",
            );
        }
        Ok(())
    }
}

/// The times of day a text names, in its order: `09:10`, `9:10 am`, `2:30 p.m.`.
fn times(text: &str) -> Vec<NaiveTime> {
    let mut found = Vec::new();
    for (colon, _) in text.match_indices(':') {
        let (before, after) = (&text[..colon], &text[colon + 1..]);
        let hours: String = before.chars().rev().take_while(char::is_ascii_digit).collect();
        let minutes: String = after.chars().take_while(char::is_ascii_digit).collect();
        let hours: String = hours.chars().rev().collect();
        if !(1..=2).contains(&hours.len()) || minutes.len() != 2 {
            continue;
        }
        let (Ok(hour), Ok(minute)) = (hours.parse::<u32>(), minutes.parse::<u32>()) else { continue };
        let half: String = after[2..]
            .trim_start()
            .chars()
            .filter(|c| *c != '.')
            .take(2)
            .flat_map(char::to_lowercase)
            .collect();
        let hour = match half.as_str() {
            "pm" if hour < 12 => hour + 12,
            "am" if hour == 12 => 0,
            _ => hour,
        };
        found.extend(NaiveTime::from_hms_opt(hour, minute, 0));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::times;

    #[test]
    fn the_times_of_a_notice_are_read() {
        let said = |text: &str| -> Vec<String> {
            times(text).iter().map(|t| t.format("%H:%M").to_string()).collect()
        };
        assert_eq!(said("called by phone at 09:10, nobody by 09:40"), ["09:10", "09:40"]);
        assert_eq!(said("called 9:10 am for 2:30 p.m."), ["09:10", "14:30"]);
        assert_eq!(said("12:05 am, 12:05 pm"), ["00:05", "12:05"]);
        assert!(said("ratio 1:4, at 25:10, notice: none; 2026:03").is_empty());
    }
}
