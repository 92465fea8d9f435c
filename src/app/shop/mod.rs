//! The shop book in use: found, loaded, its preferences applied.

pub mod book;

pub use book::{RuleWords, ShopBook, Which, book, find, rules};

use crate::shop::fit::Table;

/// What the book says of a job, in lines.
#[must_use]
pub fn table_lines(table: &Table, shop: &ShopBook) -> Vec<String> {
    crate::shop::table_lines(table, shop)
}

/// What the book says of a job, for machines.
#[must_use]
pub fn table_json(table: &Table, shop: &ShopBook) -> serde_json::Value {
    crate::shop::table_json(table, shop)
}

/// What runs out in the book within so many days of a day, in lines.
#[must_use]
pub fn book_lines(shop: &ShopBook, on: chrono::NaiveDate, within: u32, ranges: bool) -> Vec<String> {
    crate::shop::book_lines(shop, on, within, ranges)
}

/// Dates of the book that have not come yet on a day, a sentence each.
#[must_use]
pub fn ahead(shop: &ShopBook, on: chrono::NaiveDate) -> Vec<String> {
    crate::shop::expiry::ahead(&shop.book, on)
}

/// What runs out in the book within so many days of a day, for machines.
#[must_use]
pub fn book_json(shop: &ShopBook, on: chrono::NaiveDate, within: u32) -> serde_json::Value {
    crate::shop::book_json(shop, on, within)
}

/// The JSON Schema of the shop book.
#[must_use]
pub fn schema() -> serde_json::Value {
    crate::shop::schema()
}
