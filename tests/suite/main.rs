//! One test binary; a module per subject.

mod figures;
mod quantities;
