//! A signed PDF file: taken apart into its revisions, each later one judged by
//! what it may change, its signatures found; and a signature put into an empty
//! field as a revision of its own.

mod described;
mod judge;
mod revisions;
mod write;

pub use judge::Step;
pub use revisions::{Read, Signature, behind, first, read};
pub use write::{Mark, put_contents, sign};
