//! Times as a person or a spreadsheet writes them.

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveDateTime, NaiveTime};

use crate::diagnostic::Diagnostic;

/// Reads a time; a time of the day alone is of the day of `near`, and one without
/// an offset has that of `near`.
///
/// # Errors
/// If it is no time, or day and month could be either.
pub(super) fn read(text: &str, near: &DateTime<FixedOffset>) -> Result<DateTime<FixedOffset>, Diagnostic> {
    let text = text.trim();
    let no = |why: &str| {
        Diagnostic::error("L205", format!("\"{text}\" {why}"))
            .expected("year-month-day and hours:minutes, or the time of today alone")
            .example("2026-03-02 14:05")
    };
    if let Ok(at) = DateTime::parse_from_rfc3339(text) {
        return Ok(at);
    }
    let here = |at: NaiveDateTime| at.and_local_timezone(near.timezone()).single();
    if let Some(time) = clock(text) {
        return here(near.date_naive().and_time(time)).ok_or_else(|| no("is no time"));
    }
    let squeezed = text.replace('T', " ");
    let (day, rest) = squeezed.split_once(' ').ok_or_else(|| no("has no time of the day"))?;
    let time = clock(rest.trim()).ok_or_else(|| no("is no time"))?;
    let day = date(day).map_err(no)?;
    here(day.and_time(time)).ok_or_else(|| no("is no time"))
}

fn clock(text: &str) -> Option<NaiveTime> {
    ["%H:%M", "%H:%M:%S", "%I:%M %p", "%I:%M:%S %p"]
        .iter()
        .find_map(|form| NaiveTime::parse_from_str(text, form).ok())
}

fn date(text: &str) -> Result<NaiveDate, &'static str> {
    // ISO 8601, and 2.3.2026, which is written day first wherever it is written.
    for form in ["%Y-%m-%d", "%d.%m.%Y"] {
        if let Ok(day) = NaiveDate::parse_from_str(text, form) {
            return Ok(day);
        }
    }
    let parts: Vec<u32> = text.split('/').filter_map(|p| p.parse().ok()).collect();
    let of = |year: u32, month, day| {
        let year = i32::try_from(year).map_err(|_| "is no date")?;
        NaiveDate::from_ymd_opt(year, month, day).ok_or("is no date")
    };
    match parts.as_slice() {
        [year, month, day] if *year > 31 => of(*year, *month, *day),
        [first, second, year] if *first > 12 => of(*year, *second, *first),
        [first, second, year] if *second > 12 || first == second => of(*year, *first, *second),
        [_, _, _] => Err("may be day or month first"),
        _ => Err("is no date"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_as_spreadsheets_write_them() {
        let near = DateTime::parse_from_rfc3339("2026-03-02T18:00:00-06:00").unwrap();
        let is = |text: &str| read(text, &near).map(|at| at.to_rfc3339());
        let wanted = Ok("2026-03-02T14:05:00-06:00".to_owned());
        for text in [
            "14:05",
            "2:05 PM",
            "2026-03-02 14:05",
            "2026-03-02T14:05",
            "2026-03-02T14:05:00-06:00",
            "02.03.2026 14:05",
            "2.3.2026 14:05",
            "2026/3/2 14:05:00",
        ] {
            assert_eq!(is(text), wanted, "{text}");
        }
        assert_eq!(is("3/25/2026 2:05 PM").as_deref(), Ok("2026-03-25T14:05:00-06:00"));
        assert_eq!(is("25/3/2026 14:05").as_deref(), Ok("2026-03-25T14:05:00-06:00"));
        for text in ["3/2/2026 14:05", "2026-03-02", "yesterday", "25:00", "2026-02-30 10:00", ""] {
            assert!(is(text).is_err(), "{text}");
        }
    }
}
