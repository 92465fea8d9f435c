//! One test binary; a module per subject.

#![allow(clippy::expect_used, clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

mod drawings;
mod figures;
mod pages;
mod quantities;
mod support;
