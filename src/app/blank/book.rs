//! A shop book to start from, written after the demonstration.

use chrono::NaiveDate;

use super::{Wish, write};
use crate::job::model::Units;
use crate::term::Paper;

const SHOP_INTRODUCTION: &str = "\
# A shop book for Tackwright: put it next to your jobs as shop.toml.
#
# Everything below is an INVENTED EXAMPLE. Put your own people, tests,
# procedures, machines and tools in its place, and delete what you do not have.
# `tackwright shop` lists what is wrong with the book and what runs out soon;
# `tackwright key pin ID` sets the PIN a person signs with, `tackwright key new`
# the key that signs completed records.";

/// A shop book to start from: the invented demonstration with every section
/// filled in, to be replaced line by line; its dates moved so that it is as
/// fresh on `today` as the demonstration was on its own day; its sizes in metric units
/// and its paper A4 if wished.
#[must_use]
pub fn shop_book(today: NaiveDate, wish: &Wish) -> String {
    let from = crate::shop::DEMO.find("\ntitle").unwrap_or(0);
    let mut book = moved(&crate::shop::DEMO[from..], today);
    if wish.units == Units::Metric {
        let lines: Vec<String> = book.lines().map(|line| write::in_units(line, Units::Metric)).collect();
        book = lines.join("\n") + "\n";
        book = book.replacen("units = \"inch\"", "units = \"metric\"", 1);
    }
    if wish.paper == Paper::A4 {
        book = book.replacen("paper = \"letter\"", "paper = \"a4\"", 1);
    }
    format!("{SHOP_INTRODUCTION}\n{book}")
}

/// Day the dates of the demonstration were written for.
const WRITTEN: Option<NaiveDate> = NaiveDate::from_ymd_opt(2026, 3, 2);

/// A text with all its dates moved by the days from the demonstration's own day
/// to another.
fn moved(text: &str, today: NaiveDate) -> String {
    let Some(days) = WRITTEN.map(|written| today.signed_duration_since(written)) else {
        return text.to_owned();
    };
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    while let Some(rest) = text.get(at..).filter(|rest| !rest.is_empty()) {
        let date = rest
            .get(..10)
            .filter(|d| d.starts_with(|c: char| c.is_ascii_digit()))
            .and_then(|d| NaiveDate::parse_from_str(d, "%Y-%m-%d").ok());
        if let Some(moved) = date.and_then(|d| d.checked_add_signed(days)) {
            out.push_str(&moved.format("%Y-%m-%d").to_string());
            at += 10;
            continue;
        }
        let letter = rest.chars().next().unwrap_or(' ');
        out.push(letter);
        at += letter.len_utf8();
    }
    out
}
