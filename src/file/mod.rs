//! Reading TOML into typed records with every problem located.
//!
//! A file is parsed into a tree that remembers where each key and value stood.
//! Records are declared once with [`record!`](macro@crate::record): the declaration is
//! the Rust type, the reader, the JSON Schema and the help text. Reading goes on
//! after a problem, so that all problems of a file come at once.

pub mod bounds;
mod choice;
mod field;
mod looks;
mod mend;
pub mod mixed;
mod name;
mod node;
pub mod plausible;
pub mod record;
mod slip;
mod text;

pub use choice::meant as choice_meant;
pub use field::{Field, Located, Reading, last, still_blank};
pub use looks::{Looks, looks};
pub use name::{FileName, PathBelow};
pub use node::{Node, Reader, names_under, parse, parse_without, place_of, places_of};
pub use record::{FieldSpec, Record};
pub use slip::before_byte;
pub use text::{Date, Id, OperationName, REASONS, Text};
