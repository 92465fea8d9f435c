//! Dates out of order, and dates that can't be.

use chrono::{Datelike, NaiveDate};

use super::at;
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Date, FileName, Located};
use crate::job::JobFile;
use crate::job::model::Fastener;

/// Days between the issue of a traveler and anything else of its job, at most: beyond
/// it a year is a slip of the fingers (common practice: a job of two years is a new one).
const FAR: i64 = 731;

pub(super) fn check(job: &JobFile, report: &mut Report) {
    let issued = &job.job.date;
    if issued.value.is_blank() {
        return;
    }
    let dates = job
        .job
        .due
        .iter()
        .map(|d| ("the job is due", d))
        .chain(job.waiver.iter().map(|w| ("a waiver is dated", &w.date)))
        .chain(job.found.iter().map(|f| ("a found condition is dated", &f.date)))
        .chain(job.change.iter().map(|c| ("a change is dated", &c.date)));
    for (what, date) in dates {
        far(what, date, issued, report);
    }
    for fastener in &job.fastener {
        again(fastener, issued, report);
    }
    if let Some(due) = &job.job.due
        && due.value < issued.value
    {
        report.push(at(
            Diagnostic::error(
                "J110",
                format!("due {} is before the date of issue {}", due.value, issued.value),
            )
            .expected("a date on or after the date of issue")
            .example(meant(due.0, issued.0)),
            due,
        ));
    }
    for waiver in &job.waiver {
        not_after(&waiver.date, issued, "a waiver", report);
    }
    printed_whole(&job.job.number, report);
    revised(job, report);
    let mut last: Option<&Located<Date>> = None;
    for change in &job.change {
        not_after(&change.date, issued, "a change", report);
        if let Some(last) = last
            && change.date.value < last.value
            && !change.date.value.is_blank()
        {
            report.push(at(
                Diagnostic::error(
                    "J111",
                    format!("this change is dated {}, before the one above it", change.date.value),
                )
                .expected("changes in the order they were made")
                .example("this [[change]] above the one before it, or the day it was made"),
                &change.date,
            ));
        }
        last = Some(&change.date);
    }
}

/// A due date of this many days and fewer is one of a job in hand (common practice).
const IN_HAND: i64 = 120;

/// What a day before the issue was meant as: its own slip, of the year, the month or the
/// day. The day of issue is nobody's slip because another date lies before it.
fn meant(due: NaiveDate, issued: NaiveDate) -> String {
    let (year, month, day) = (due.year(), due.month(), due.day());
    let of = NaiveDate::from_ymd_opt;
    let month_of_issue = of(issued.year(), issued.month(), day).filter(|d| *d >= issued);
    let (next_year, next_month) =
        if issued.month() == 12 { (issued.year() + 1, 1) } else { (issued.year(), issued.month() + 1) };
    let year_of_issue = of(issued.year(), month, day).filter(|d| *d >= issued);
    let days = [
        year_of_issue,
        month_of_issue.or_else(|| of(next_year, next_month, day)),
        // The tens and the ones of the day exchanged.
        of(year, month, day % 10 * 10 + day / 10),
        of(year + 1, month, day),
    ];
    let mut near: Vec<NaiveDate> = Vec::new();
    for date in days.into_iter().flatten() {
        let wait = (date - issued).num_days();
        if (0..=IN_HAND).contains(&wait) && !near.contains(&date) && near.len() < 2 {
            near.push(date);
        }
    }
    match near.as_slice() {
        [] => "due = …".to_owned(),
        near => near.iter().map(|d| format!("due = {d}")).collect::<Vec<_>>().join(" or "),
    }
}

/// Longest number of a traveler, in characters: it stands whole in the head of every page
/// and in the code a picture is read by.
const NUMBER: usize = 32;

/// Two travelers whose numbers differ in what is cut off have the same head.
fn printed_whole(number: &Located<FileName>, report: &mut Report) {
    let length = number.chars().count();
    if length > NUMBER {
        let short: String = number.chars().take(NUMBER).collect();
        let problem = Diagnostic::error(
            "J299",
            format!(
                "the number of the traveler has {length} characters: the head of a page has no room for it"
            ),
        )
        .expected(format!("at most {NUMBER} characters"))
        .example(format!("number = \"{}\"", short.trim_end_matches(['-', '_', '.'])));
        report.push(at(problem, number));
    }
}

/// Marks of a first issue: it changes nothing.
const FIRST: &[&str] = &["A", "0", "00", "1", "01", "-"];

/// A job that is not the first of its number says what is different, and who asked.
fn revised(job: &JobFile, report: &mut Report) {
    let revision = job.job.revision.to_string();
    if FIRST.contains(&revision.as_str()) {
        return;
    }
    let mut put = |says: &str, example: String| {
        let number = &job.job.number;
        report.push(
            Diagnostic::stop("J118", format!("revision {revision} {says}"))
                .at(Some(number.span.clone()))
                .key("job.revision")
                .expected("a [[change]] for the revision: what is different, since when, and who asked")
                .example(example),
        );
    };
    match job.change.iter().find(|c| *c.revision.0 == *revision) {
        None => put(
            "does not say what changed",
            format!("[[change]] with revision = \"{revision}\", date, what = \"…\" and asked = \"…\""),
        ),
        Some(change) if change.asked.is_none() => {
            put("does not say who asked for what changed", "asked = \"…\" in its [[change]]".to_owned());
        }
        Some(_) => {}
    }
}

/// A date years from the day of issue.
fn far(what: &str, date: &Located<Date>, issued: &Located<Date>, report: &mut Report) {
    let days = date.0.signed_duration_since(issued.0).num_days();
    if date.value.is_blank() || days.abs() <= FAR {
        return;
    }
    report.push(at(
        Diagnostic::stop(
            "J115",
            format!("{what} {}, years from the day of issue {}", date.value, issued.value),
        )
        .expected("a date within two years of the traveler")
        .example(format!("{} = {}", super::name(date), issued.value)),
        date,
    ));
}

/// A day named for tightening again lies behind the job.
fn again(fastener: &Fastener, issued: &Located<Date>, report: &mut Report) {
    let Some(text) = &fastener.retorque else { return };
    let late = |day: NaiveDate| day < issued.0 || (day - issued.0).num_days() > FAR;
    let Some(day) = text.0.split([' ', ',', ';', '(', ')']).find_map(day).filter(|d| late(*d)) else {
        return;
    };
    report.push(
        Diagnostic::stop(
            "J117",
            format!(
                "fastener {} is to be tightened again on {day}, and the traveler is issued on {}",
                fastener.id.value, issued.value
            ),
        )
        .at(Some(fastener.id.span.clone()))
        .key(format!("{}.retorque", fastener.id.key.trim_end_matches(".id")))
        .expected("a distance, or a day after the hand-over")
        .example("retorque = \"after 100 mi\""),
    );
}

/// A word that is a date: the year first, or last behind month and day in either order.
fn day(word: &str) -> Option<NaiveDate> {
    let parts: Vec<&str> = word.split(['-', '/', '.']).filter(|p| !p.is_empty()).collect();
    let [a, b, c] = parts.as_slice() else { return None };
    let number = |text: &str| text.parse::<u32>().ok();
    let (year, first, second) = match (a.len(), c.len()) {
        (4, _) => (a.parse::<i32>().ok()?, number(b)?, number(c)?),
        (_, 4) => (c.parse::<i32>().ok()?, number(a)?, number(b)?),
        _ => return None,
    };
    NaiveDate::from_ymd_opt(year, first, second).or_else(|| NaiveDate::from_ymd_opt(year, second, first))
}

fn not_after(date: &Located<Date>, issued: &Located<Date>, what: &str, report: &mut Report) {
    if date.value > issued.value {
        report.push(at(
            Diagnostic::error(
                "J112",
                format!("{what} dated {} is later than the traveler, {}", date.value, issued.value),
            )
            .expected(
                "a traveler issued on that day or later; or, if this date is a slip, the day it was done",
            )
            .example("date = …, the day it was done")
            .help(format!("if this revision is issued on {}, that is the date in [job]", date.value)),
            date,
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_date_is_told_from_a_distance() {
        let of = |y, m, d| NaiveDate::from_ymd_opt(y, m, d);
        assert_eq!(day("1999-05-01"), of(1999, 5, 1));
        assert_eq!(day("5/31/1999"), of(1999, 5, 31));
        assert_eq!(day("31.5.1999"), of(1999, 5, 31));
        for word in ["100", "2000", "1-1/2", "50-100", "3.25.1", "mi"] {
            assert_eq!(day(word), None, "{word}");
        }
    }
}
