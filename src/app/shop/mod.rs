//! The shop book in use: found, loaded, applied to plans, checked against jobs.

pub mod book;
mod needs;
mod problems;
mod readings;
mod report;
mod tools;

pub use book::{RuleWords, Shelves, ShopBook, Which, book, find, load_job, rules};
pub use report::{book_json, book_lines, table_json, table_lines};

use chrono::NaiveDate;

use super::plan::Loaded;
use crate::diagnostic::Report;
use crate::job::model::Joint;
use crate::procedure::figures::JobFigures;
use crate::procedure::selection::{Review, Selection};
use crate::shop::Book;
use crate::shop::fit::{Procedure, Table, WelderFit, fit};
use crate::source::Source;

/// Compares a job with the book: joints with people, procedures and machines;
/// torques and readings with tools. The day is the job's date of issue.
#[must_use]
pub fn table(loaded: &Loaded, selection: &Selection<'_>, shop: &ShopBook) -> Table {
    let on = loaded.job.job.date.value.0;
    let mut sources: Vec<Source> = Vec::new();
    let mut joints = Vec::new();
    for joint in &loaded.job.joint {
        let need = needs::need(joint, &loaded.figures);
        let named = joint.wps.as_ref().map(|w| &*w.value.0);
        let (one, used) = fit(&shop.book, &need, named, on);
        joints.push(one);
        sources.extend(used);
    }
    let mut all = tools::torques(loaded, &shop.book, on);
    all.extend(tools::readings(loaded, selection, &shop.book, on));
    sources.extend(all.iter().flat_map(|t| &t.findings).filter_map(|f| f.source));
    let mut once: Vec<Source> = Vec::new();
    for source in sources {
        if !once.contains(&source) {
            once.push(source);
        }
    }
    Table { on, joints, tools: all, sources: once }
}

/// Every welder of a book against a joint on a day.
#[must_use]
pub fn welders(joint: &Joint, figures: &JobFigures, book: &Book, on: NaiveDate) -> Vec<WelderFit> {
    let named = joint.wps.as_ref().map(|w| &*w.value.0);
    fit(book, &needs::need(joint, figures), named, on).0.welders
}

/// Review points for joints whose procedure is still to be qualified: one
/// before the first operation that makes an arc on the joint.
#[must_use]
pub fn reviews(table: &Table) -> Vec<Review> {
    table
        .joints
        .iter()
        .filter(|j| !j.covered())
        .map(|j| {
            let why = match &j.procedure {
                Procedure::ToBeQualified => "no welding procedure is named".to_owned(),
                Procedure::Unknown(id) => format!("{id} is not in the shop book"),
                Procedure::Named(id) => {
                    let first = j.findings.iter().find(|f| f.refuses).map_or("", |f| &f.text);
                    format!("{id} does not cover it: {first}")
                }
            };
            Review {
                joint: j.id.clone(),
                what: format!(
                    "Procedure to be qualified for {}. {}; qualify one, or have a licensed person release the values on the weld card.",
                    j.id,
                    capital(&why)
                ),
            }
        })
        .collect()
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What the table says as located problems.
#[must_use]
pub fn problems(loaded: &Loaded, table: &Table, shop: &ShopBook) -> Report {
    problems::all(loaded, table, shop)
}

/// The JSON Schema of the shop book.
#[must_use]
pub fn schema() -> serde_json::Value {
    crate::shop::schema()
}
