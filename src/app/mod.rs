//! The use cases, and the host interface through which they reach files, the
//! clock and the environment.

pub mod batch;
pub mod blank;
pub mod compose;
pub mod failure;
pub mod figures;
pub mod form;
pub mod host;
pub mod issue;
pub mod load;
pub mod output;
pub mod paper_set;
pub mod plan;
pub mod reckon;
pub mod record;
pub mod route;
pub mod shelf;
pub mod shop;
pub mod sketches;
pub mod source;
pub mod template;
mod unknown;

pub use host::{Host, System};
