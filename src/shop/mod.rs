//! The shop book: who may weld what, with which procedure, machine and tool.
//!
//! [`Book`] is what the file says; [`qualify`] derives a welder's ranges from
//! the test by the rules of the named standard; [`fit`] compares people,
//! procedures and machines with what a joint needs and gives the reason of
//! every no. Nothing here knows a job file: a joint's needs come as
//! [`fit::Need`].

pub mod band;
pub mod check;
pub mod edit;
pub mod expiry;
pub mod fit;
pub mod keep;
pub mod model;
pub mod position;
pub mod process;
pub mod qualify;
mod report;

pub use band::Band;
pub use model::Book;
pub use report::{Origin, book_json, book_lines, table_json, table_lines};

use crate::diagnostic::Report;
use crate::file::{self, Field};

/// The book that ships with the program: an invented demonstration, used when
/// there is no other.
pub const DEMO: &str = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/jobs/shop.toml"));

/// A book without anything: what stands beside a job that has none.
pub const EMPTY: &str = "title = \"no shop book\"\n";

/// Whether a text is that book, also as it is kept with a traveler.
#[must_use]
pub fn is_empty(text: &str) -> bool {
    text.trim() == EMPTY.trim()
}

/// Name of the empty book in messages.
pub const EMPTY_NAME: &str = "no shop book";

/// Name of the demonstration book in messages.
pub const DEMO_NAME: &str = "jobs/shop.toml";

/// Reads a shop book: its content, if it can be used at all, and every problem.
#[must_use]
pub fn load(file: &str, text: &str) -> (Option<Book>, Report) {
    let (book, mut report) = file::parse(file, text, |node, reader| {
        let book = Book::read(node, reader);
        file::plausible::walk(node, check::bounds::BOUNDS, reader);
        book
    });
    if let Some(book) = &book {
        report.extend(check::all(book));
    }
    report.sort();
    (book, report)
}

/// The JSON Schema of the shop book.
#[must_use]
pub fn schema() -> serde_json::Value {
    let mut schema = Book::schema();
    if let Some(object) = schema.as_object_mut() {
        object.insert("$schema".to_owned(), "https://json-schema.org/draft/2020-12/schema".into());
        object.insert("title".to_owned(), "Tackwright shop book".into());
    }
    schema
}
