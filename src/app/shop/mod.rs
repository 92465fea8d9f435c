//! The shop book in use: found, loaded, its preferences applied.

pub mod book;

pub use crate::shop::{book_json, book_lines, table_json, table_lines};
pub use book::{ShopBook, book, find};

/// The JSON Schema of the shop book.
#[must_use]
pub fn schema() -> serde_json::Value {
    crate::shop::schema()
}
