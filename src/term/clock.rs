//! Times as people read them: date, minute, offset; no `T`, no parts of a second.

use chrono::{DateTime, FixedOffset};

/// A time to the minute with its offset: `2026-03-02 14:05 -06:00`.
#[must_use]
pub fn told(at: &DateTime<FixedOffset>) -> String {
    at.format("%Y-%m-%d %H:%M %:z").to_string()
}

/// As [`told`], of a time as the log keeps it (RFC 3339); another text stays as it is.
#[must_use]
pub fn told_text(at: &str) -> String {
    match (at.get(..10), at.get(11..16), at.get(19..)) {
        (Some(date), Some(time), Some(offset)) => format!("{date} {time} {offset}"),
        _ => at.to_owned(),
    }
}

/// A time without its offset, as the clock showed it that has the offset of `like`.
#[must_use]
pub fn told_like(at: &DateTime<FixedOffset>, like: &DateTime<FixedOffset>) -> String {
    at.with_timezone(&like.timezone()).format("%Y-%m-%d %H:%M").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_is_told_to_the_minute() {
        let at = DateTime::parse_from_rfc3339("2026-03-02T14:05:59.123456789-06:00").unwrap();
        assert_eq!(told(&at), "2026-03-02 14:05 -06:00");
        assert_eq!(told_text("2026-03-02T14:05:59-06:00"), told(&at));
        assert_eq!(told_text("some day"), "some day");
        let east = DateTime::parse_from_rfc3339("2026-03-02T00:00:00+01:00").unwrap();
        assert_eq!(told_like(&at, &east), "2026-03-02 21:05");
    }
}
