//! The engineering: pure functions from typed quantities to typed quantities,
//! and the registry through which jobs, pages and the bench reach them.
//!
//! A [`Family`] is one entry of the registry: the inputs it takes, the outputs
//! it gives (each with formula, source, range and safe rounding), and the
//! function that computes them. [`Family::reckon`] runs it and returns
//! [`Figure`]s with provenance; an input's uncertainty is carried to every
//! output by the law of propagation (JCGM 100:2008, 5.1.2), with numerical
//! sensitivities (5.1.3, note 2).
//!
//! No I/O here, and no text to parse: words are choices from a list.

pub mod answer;
pub mod declare;
pub mod defaults;
pub mod family;
pub mod fastening;
mod firm;
pub mod geometry;
pub mod given;
pub mod gives;
mod idle;
pub mod metrology;
mod prelude;
pub mod range;
pub mod read;
pub mod registry;
pub mod root;
pub mod rule;
mod shown;
pub mod trouble;
pub mod used;
pub mod usual;
pub mod value;
pub mod welding;

pub use answer::Answer;
pub use family::{Declared, Family, Figure, Group, Input, InputKind, Need, Output, OutputKind};
pub use given::Given;
pub use gives::{Gives, Out, Said, Shown};
pub use range::Range;
pub use read::{Ask, Asks, Field, Holds, Name, Read, Reads, require};
pub use rule::Rule;
pub use trouble::Trouble;
pub use used::Used;
pub use value::{Held, Value};
