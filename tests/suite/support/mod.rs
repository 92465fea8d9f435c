//! Tools of the tests.

pub(crate) mod desk;
pub(crate) mod pdf;
pub(crate) mod sample;
