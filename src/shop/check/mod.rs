//! Cross-checks of a shop book: ids, stamps, dates, ranges that overlap, values
//! a standard does not know.

pub mod bounds;
mod gear;
mod ids;
mod qualification;
mod wps;

use super::model::Book;
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Date, Located};

/// All cross-checks of a book.
pub(super) fn all(book: &Book) -> Report {
    let mut report = Report::new();
    ids::check(book, &mut report);
    for test in &book.qualification {
        qualification::check(book, test, &mut report);
    }
    for wps in &book.wps {
        wps::check(wps, &mut report);
    }
    gear::check(book, &mut report);
    report
}

/// Puts a problem where the value stands.
fn at<T>(problem: Diagnostic, value: &Located<T>) -> Diagnostic {
    problem.at(Some(value.span.clone())).key(value.key.clone())
}

/// One date must not be before another.
fn in_order(
    earlier: Option<&Located<Date>>,
    later: Option<&Located<Date>>,
    words: (&str, &str),
    report: &mut Report,
) {
    let (Some(earlier), Some(later)) = (earlier, later) else { return };
    // A blank is of no day.
    if !later.value.is_blank() && !earlier.value.is_blank() && later.value < earlier.value {
        report.push(at(
            Diagnostic::error(
                "S020",
                format!("{} {} is before {} {}", words.1, later.value, words.0, earlier.value),
            )
            .expected(format!("a date on or after {}", earlier.value))
            .example(format!("{}", earlier.value)),
            later,
        ));
    }
}
