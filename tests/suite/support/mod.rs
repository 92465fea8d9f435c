//! Tools of the tests.

pub mod pdf;
pub mod sample;
