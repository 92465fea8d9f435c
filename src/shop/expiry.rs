//! What runs out, and when.

use chrono::NaiveDate;

use super::model::Book;
use super::qualify::validity::validity;

/// Something with a last day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Expiry {
    /// Last day it holds.
    pub last_day: NaiveDate,
    /// Days left; negative once it has run out.
    pub days: i64,
    /// Kind: qualification, continuity, calibration, validation, certificate, procedure, lot, person.
    pub kind: &'static str,
    /// Id of the entry.
    pub id: String,
    /// Whose it is, or what it is.
    pub what: String,
    /// Rule behind the date, empty if the book states it.
    pub rule: String,
}

/// Everything that runs out on or before the day `within` days after `on`,
/// what has run out already included, the earliest first.
#[must_use]
pub fn expiring(book: &Book, on: NaiveDate, within: u32) -> Vec<Expiry> {
    let mut found = all(book, on);
    found.retain(|e| e.days <= i64::from(within));
    found.sort_by(|a, b| (a.last_day, a.kind, &a.id).cmp(&(b.last_day, b.kind, &b.id)));
    found
}

/// Dates of what was done that have not come yet on a day, a sentence each: a slip,
/// and it counts for nothing until then.
#[must_use]
pub fn ahead(book: &Book, on: NaiveDate) -> Vec<String> {
    let mut found = Vec::new();
    let mut look = |id: &str, what: &str, date: NaiveDate| {
        if date > on {
            found.push(format!(
                "{id}: {what} is dated {date}, after {on}: it counts for nothing before that day"
            ));
        }
    };
    for test in &book.qualification {
        let id = &test.id.0;
        look(id, "the test", test.date.0);
        look(id, "the last use", test.last_used.0);
        test.revalidated.iter().for_each(|r| look(id, "the revalidation", r.0));
    }
    for tool in &book.instrument {
        tool.calibrated.iter().for_each(|c| look(&tool.id.0, "the calibration", c.0));
    }
    for tool in &book.torque_tool {
        tool.calibrated.iter().for_each(|c| look(&tool.id.0, "the calibration", c.0));
    }
    for wps in &book.wps {
        wps.date.iter().for_each(|d| look(&wps.id.0, "the procedure", d.0));
    }
    found
}

fn all(book: &Book, on: NaiveDate) -> Vec<Expiry> {
    let mut found = Vec::new();
    let mut push = |last_day: NaiveDate, kind, id: &str, what: String, rule: String| {
        let days = last_day.signed_duration_since(on).num_days();
        found.push(Expiry { last_day, days, kind, id: id.to_owned(), what, rule });
    };
    for test in &book.qualification {
        let who = book.person(&test.person.value).map_or("?", |p| &p.name);
        let holds = validity(book, test, on);
        let what = format!("{who}: {}, {}", test.title(), test.standard.value.title());
        push(holds.continuity, "continuity", &test.id.value, what.clone(), holds.source.to_string());
        if let Some(retest) = holds.retest {
            push(retest, "qualification", &test.id.value, what, holds.source.to_string());
        }
    }
    for person in &book.person {
        if let (Some(until), Some(certificate)) = (&person.certificate_until, &person.certificate) {
            let what = format!("{}: {}", &*person.name, &**certificate);
            push(until.0, "certificate", &person.id.value, what, String::new());
        }
    }
    for wps in &book.wps {
        if let Some(until) = &wps.until {
            push(until.0, "procedure", &wps.id.value, wps.title.0.clone(), String::new());
        }
    }
    for machine in &book.machine {
        if let Some(due) = &machine.validation_due {
            push(due.0, "validation", &machine.id.value, machine.title.0.clone(), String::new());
        }
    }
    for tool in &book.instrument {
        push(tool.due.0, "calibration", &tool.id.value, tool.kind.0.clone(), String::new());
    }
    for tool in &book.torque_tool {
        push(tool.due.0, "calibration", &tool.id.value, tool.kind.0.clone(), String::new());
    }
    for lot in &book.lot {
        if let Some(until) = &lot.until {
            let what = format!("{}, {}", &*lot.designation.value, &*lot.number.value);
            push(until.0, "lot", &lot.id.value, what, String::new());
        }
    }
    found
}
