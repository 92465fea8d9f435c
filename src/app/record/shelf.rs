//! The library and the part of the shop book a revision was planned with, as
//! they are frozen and read again.
//!
//! The file holds `{"book":{"demonstration":BOOL,"text":TOML},"procedures":[…]}`.
//! Travelers issued earlier carry a bare list instead, the whole shop book last
//! in it; it is read, and never written.

use serde::{Deserialize, Serialize};

use super::content::pretty;
use crate::app::plan::{Failure, Plan, Shelf, SourceText};
use crate::app::shop::book::{self as shop_book, ShopBook};
use crate::procedure::Library;
use crate::shop;

/// Name of a frozen book in messages.
const BOOK: &str = "shop.toml";

/// A procedure with its name.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Procedure {
    name: String,
    text: String,
}

/// The rows of the shop book the plan used.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Book {
    /// Whether it is the demonstration that ships with the program.
    demonstration: bool,
    text: String,
}

/// What is frozen.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Stored {
    book: Book,
    procedures: Vec<Procedure>,
}

/// Both shapes.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum Shape {
    Stored(Stored),
    List(Vec<Procedure>),
}

/// The shelf of a plan as it is frozen, JSON.
///
/// # Errors
/// If it can't be written as JSON.
pub fn write(plan: &Plan<'_>, shelf: &Shelf) -> Result<Vec<u8>, Failure> {
    let procedures =
        shelf.procedures().map(|s| Procedure { name: s.name.clone(), text: s.text.clone() }).collect();
    let book = Book { demonstration: shelf.shop.demo, text: plan.book.clone() };
    pretty(&Stored { book, procedures })
}

fn read(stored: &[u8]) -> Result<Stored, Failure> {
    let shape: Shape = serde_json::from_slice(stored)
        .map_err(|e| Failure::System(format!("the stored procedures can't be read: {e}")))?;
    match shape {
        Shape::Stored(stored) => Ok(stored),
        Shape::List(mut list) => {
            let last =
                list.pop().ok_or_else(|| Failure::System("the stored procedures are empty".to_owned()))?;
            let book = Book { demonstration: last.text == shop::DEMO, text: last.text };
            Ok(Stored { book, procedures: list })
        }
    }
}

impl Book {
    fn read(self) -> Result<ShopBook, Failure> {
        let mut shop = shop_book::of_frozen(BOOK.to_owned(), self.text)?;
        shop.demo = self.demonstration;
        shop.kept = true;
        Ok(shop)
    }
}

/// The rows of the shop book a revision was planned with, without the library:
/// most of what is frozen is procedures, and every entry asks for the book.
///
/// # Errors
/// If the stored book can't be read.
pub fn book(stored: &[u8]) -> Result<ShopBook, Failure> {
    read(stored)?.book.read()
}

/// The library a revision was planned with.
///
/// # Errors
/// If the stored procedures can't be read.
pub fn shelf(stored: &[u8]) -> Result<Shelf, Failure> {
    let stored = read(stored)?;
    let shop = stored.book.read()?;
    let mut sources: Vec<SourceText> =
        stored.procedures.into_iter().map(|p| SourceText { name: p.name, text: p.text }).collect();
    // What was issued was sound by the rules of its day; it is bound by its
    // digest, and a rule that came later does not stop the work on it.
    let (mut library, _) = Library::read(sources.iter().map(|s| (s.name.as_str(), s.text.as_str())));
    let _ = shop.set_levels(&mut library);
    sources.push(shop.source.clone());
    Ok(Shelf { library, sources, shop })
}

/// Whether a revision was planned with a book of the shop's own.
///
/// # Errors
/// If the stored procedures can't be read.
pub fn own_book(stored: &[u8]) -> Result<bool, Failure> {
    let book = read(stored)?.book;
    // The demonstration book speaks for no shop, and no book for nobody.
    Ok(!book.demonstration && !shop::is_empty(&book.text))
}
