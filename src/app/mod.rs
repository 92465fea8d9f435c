//! The use cases, and the host interface through which they reach files, the
//! clock and the environment.

pub mod batch;
pub mod blank;
pub mod figures;
pub mod host;
pub mod issue;
pub mod plan;
pub mod reckon;
pub mod record;
pub mod route;
pub mod shop;
pub mod source;

pub use host::{Host, System};
