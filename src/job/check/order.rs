//! Dates out of order.

use super::at;
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Date, Located};
use crate::job::JobFile;

pub(super) fn check(job: &JobFile, report: &mut Report) {
    let issued = &job.job.date;
    if issued.value.is_blank() {
        return;
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
            .example(format!("due = {}", issued.value)),
            due,
        ));
    }
    for waiver in &job.waiver {
        not_after(&waiver.date, issued, "a waiver", report);
    }
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
                .example(format!("date = {}", last.value)),
                &change.date,
            ));
        }
        last = Some(&change.date);
    }
}

fn not_after(date: &Located<Date>, issued: &Located<Date>, what: &str, report: &mut Report) {
    if date.value > issued.value {
        report.push(at(
            Diagnostic::error(
                "J112",
                format!("{what} dated {} is later than the traveler, {}", date.value, issued.value),
            )
            .expected("a date on or before the date of issue")
            .example(format!("date = {}", issued.value)),
            date,
        ));
    }
}
