//! Times as a person or a spreadsheet writes them: the one reader for `--at`, the desk
//! and the sheets.
//!
//! A time without an offset is one of this computer's zone (`TZ`, or what the system is
//! set to), with the offset that zone has on that day. What is entered has its offset.

use chrono::{DateTime, Days, FixedOffset, LocalResult, NaiveDate, NaiveDateTime, NaiveTime};

use super::files::RecordHost;
use crate::diagnostic::Diagnostic;

/// Reads a time; a time of the day alone is of the day of `near`, and one without
/// an offset is of the zone of the machine.
///
/// # Errors
/// If it is no time, if day and month could be either, if the hour came twice that night
/// or was left out.
pub fn read(
    host: &dyn RecordHost,
    text: &str,
    near: &DateTime<FixedOffset>,
) -> Result<DateTime<FixedOffset>, Diagnostic> {
    let text = text.trim();
    let today = near.date_naive();
    let dotted = text.split_once('.').map(|(hour, minute)| format!("{hour}:{minute}"));
    let dotted = dotted.filter(|colon| clock(colon).is_some());
    let no = |why: &str| {
        let why =
            dotted.as_ref().map_or_else(|| why.to_owned(), |colon| format!("{why}: is it \"{colon}\"?"));
        Diagnostic::error("L205", format!("\"{text}\" {why}"))
            .expected("a day and a time of the day, or the time of today alone")
            .example(format!("\"{today} 14:05\", \"14:05\", \"today 14:05\" or \"yesterday 9:30\""))
    };
    if text.is_empty() {
        return Err(no("is no time"));
    }
    if text.eq_ignore_ascii_case("now") {
        return Ok(*near);
    }
    if let Ok(at) = DateTime::parse_from_rfc3339(text) {
        return Ok(at);
    }
    let (plain, offset) = without_offset(text);
    let at = moment(&plain, today).map_err(|why| no(&why))?;
    let here = match offset {
        Some(offset) => at.and_local_timezone(offset),
        None => host.here(at),
    };
    match here {
        LocalResult::Single(at) => Ok(at),
        LocalResult::Ambiguous(one, other) => Err(no("came twice that night, when the clocks went back")
            .example(format!("{at} {} or {at} {}", one.format("%:z"), other.format("%:z")))),
        LocalResult::None => Err(no("was left out that night, when the clocks went forward")),
    }
}

/// Whether a time says its offset; else the zone of the machine is taken.
#[must_use]
pub fn says_offset(text: &str) -> bool {
    let text = text.trim();
    DateTime::parse_from_rfc3339(text).is_ok() || without_offset(text).1.is_some()
}

/// The text without an offset at its end (`-06:00`, `Z`), and that.
fn without_offset(text: &str) -> (String, Option<FixedOffset>) {
    if let Some(rest) = text.strip_suffix(['Z', 'z']).filter(|r| r.ends_with(|c: char| c.is_ascii_digit())) {
        return (rest.to_owned(), FixedOffset::east_opt(0));
    }
    let end =
        text.rfind(['+', '-']).filter(|at| text.len() - at == 6 && text.get(at + 3..at + 4) == Some(":"));
    let parted = end.and_then(|at| {
        let offset = text.get(at..)?.parse().ok()?;
        Some((text.get(..at)?.trim_end().to_owned(), Some(offset)))
    });
    parted.unwrap_or_else(|| (text.to_owned(), None))
}

/// Day and time of the day, in either order.
fn moment(text: &str, today: NaiveDate) -> Result<NaiveDateTime, String> {
    // 2026-03-02T14:05, and a comma or the word "at" between day and time.
    let mut text = text.replace(',', " ");
    if let Some(place) = text.find('T').filter(|at| text.get(..*at).is_some_and(|d| date(d, today).is_ok())) {
        text.replace_range(place..=place, " ");
    }
    let words: Vec<&str> = text.split_whitespace().filter(|w| !w.eq_ignore_ascii_case("at")).collect();
    let time = |words: &[&str]| clock(&words.join(" "));
    if let Some(time) = time(&words) {
        return Ok(today.and_time(time));
    }
    // The longest time first: "9:30 pm" before "pm".
    for n in (1..words.len()).rev() {
        let (before, after) = words.split_at(n);
        let (day, at) = match (time(after), time(before)) {
            (Some(at), _) => (before, at),
            (None, Some(at)) => (after, at),
            (None, None) => continue,
        };
        // With "2026-03-02 9:30 pm" the day is all that stands before the hour.
        let longer = n > 1 && words.get(n - 1..).is_some_and(|w| time(w).is_some());
        if longer {
            continue;
        }
        return Ok(date(&day.join(" "), today)?.and_time(at));
    }
    match date(&words.join(" "), today) {
        Ok(_) => Err("has no time of the day".to_owned()),
        Err(why) if why.contains(" or ") => Err(why),
        Err(_) => Err("is no time".to_owned()),
    }
}

fn clock(text: &str) -> Option<NaiveTime> {
    let text = text.to_ascii_lowercase().replace("a.m.", "am").replace("p.m.", "pm");
    let hour = |text: &str| {
        let (hour, half) = text.split_at_checked(text.len().checked_sub(2)?)?;
        let hour: u32 = hour.trim().parse().ok().filter(|h| (1..=12).contains(h))?;
        let more = match half {
            "am" => 0,
            "pm" => 12,
            _ => return None,
        };
        NaiveTime::from_hms_opt(hour % 12 + more, 0, 0)
    };
    ["%H:%M", "%H:%M:%S", "%H:%M:%S%.f", "%I:%M %p", "%I:%M%p", "%I:%M:%S %p"]
        .iter()
        .find_map(|form| NaiveTime::parse_from_str(&text, form).ok())
        .or_else(|| hour(&text))
}

fn date(text: &str, today: NaiveDate) -> Result<NaiveDate, String> {
    let near = match text.to_ascii_lowercase().as_str() {
        "today" => Some(today),
        "yesterday" => today.checked_sub_days(Days::new(1)),
        _ => None,
    };
    if let Some(day) = near {
        return Ok(day);
    }
    // ISO 8601, 2.3.2026, which is written day first wherever it is written, and months
    // by their names.
    for form in ["%Y-%m-%d", "%d.%m.%Y", "%d %b %Y", "%b %d %Y", "%d %B %Y", "%B %d %Y", "%d-%b-%Y"] {
        // Years of two digits are no years.
        if let Ok(day) = NaiveDate::parse_from_str(text, form)
            && day >= NaiveDate::from_ymd_opt(1900, 1, 1).unwrap_or_default()
        {
            return Ok(day);
        }
    }
    let parts: Vec<u32> = text.split('/').filter_map(|p| p.parse().ok()).collect();
    let of = |year: u32, month, day| {
        let year = i32::try_from(year).ok().filter(|y| *y >= 1900)?;
        NaiveDate::from_ymd_opt(year, month, day)
    };
    let no = || "is no date".to_owned();
    match parts.as_slice() {
        [year, month, day] if *year > 31 => of(*year, *month, *day).ok_or_else(no),
        [first, second, year] if *first > 12 => of(*year, *second, *first).ok_or_else(no),
        [first, second, year] if *second > 12 || first == second => of(*year, *first, *second).ok_or_else(no),
        [first, second, year] => match (of(*year, *first, *second), of(*year, *second, *first)) {
            (Some(one), Some(other)) => Err(format!("may be {one} or {other}")),
            _ => Err(no()),
        },
        _ => Err(no()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::System;

    /// The zone of the machine that runs the test is not known; where it matters the
    /// offset is written.
    fn is(text: &str) -> Result<String, String> {
        let near = DateTime::parse_from_rfc3339("2026-03-02T18:00:00-06:00").unwrap();
        read(&System, text, &near)
            .map(|at| at.naive_local().to_string())
            .map_err(|p| format!("{} {}", p.message, p.example))
    }

    #[test]
    fn times_are_read_as_people_and_spreadsheets_write_them() {
        let wanted = Ok("2026-03-02 14:05:00".to_owned());
        for text in [
            "14:05",
            "2:05 PM",
            "2:05pm",
            "2:05 p.m.",
            "today 14:05",
            "Today at 2:05 pm",
            "14:05 today",
            "2026-03-02 14:05",
            "2026-03-02, 14:05",
            "14:05 2026-03-02",
            "2026-03-02T14:05",
            "2026-03-02T14:05:00-06:00",
            "2026-03-02 14:05 -06:00",
            "2026-03-02T14:05-06:00",
            "2026-03-02 14:05Z",
            "02.03.2026 14:05",
            "2.3.2026 14:05",
            "2026/3/2 14:05:00",
            "2 Mar 2026 14:05",
            "March 2, 2026 2:05 PM",
        ] {
            assert_eq!(is(text), wanted, "{text}");
        }
        assert_eq!(is("yesterday 9:30").as_deref(), Ok("2026-03-01 09:30:00"));
        assert_eq!(is("yesterday 9 pm").as_deref(), Ok("2026-03-01 21:00:00"));
        assert_eq!(is("12am").as_deref(), Ok("2026-03-02 00:00:00"));
        assert_eq!(is("now").as_deref(), Ok("2026-03-02 18:00:00"));
        assert_eq!(is("3/25/2026 2:05 PM").as_deref(), Ok("2026-03-25 14:05:00"));
        assert_eq!(is("25/3/2026 14:05").as_deref(), Ok("2026-03-25 14:05:00"));
    }

    #[test]
    fn what_may_be_two_times_or_none_is_asked_back_with_an_example() {
        for (text, part) in [
            ("3/2/2026 14:05", "may be 2026-03-02 or 2026-02-03"),
            ("2/3/2026", "may be 2026-02-03 or 2026-03-02"),
            ("2026-03-02", "no time of the day"),
            ("yesterday", "no time of the day"),
            ("25:00", "is no time"),
            ("2026-02-30 10:00", "is no date"),
            ("3/25/26 14:05", "is no date"),
            ("1405", "is no time"),
            ("noonish", "is no time"),
            ("tomorrow 14:05", "is no date"),
            ("", "is no time"),
            ("T", "is no time"),
            ("+01:00", "is no time"),
        ] {
            let said = is(text).unwrap_err();
            assert!(said.contains(part) && said.contains("yesterday 9:30"), "{text}: {said}");
        }
    }
}
