//! Tackwright turns a job description into a controlled job traveler.
//!
//! Data flows one way: a job file and a shop book are read and validated
//! ([`job`]), figures are computed from them ([`figure`]), procedures supply
//! operations ([`procedure`]), routing puts them in a proved order
//! ([`routing`]), the plan resolves them once ([`plan`]), the traveler words and
//! rounds everything into a document model ([`traveler`]), and [`render`] typesets it. [`app`] holds the use
//! cases and [`cli`] the commands. A test fails on an import the layer table
//! in `DEVELOPERS.md` does not allow.

pub mod app;
pub mod cli;
pub mod diagnostic;
pub mod figure;
pub mod file;
pub mod form;
pub mod job;
pub mod pattern;
pub mod picture;
pub mod plan;
pub mod procedure;
pub mod quantity;
pub mod record;
pub mod reference;
pub mod render;
pub mod routing;
pub mod seal;
pub mod shape;
pub mod shop;
pub mod source;
pub mod term;
pub mod traveler;
