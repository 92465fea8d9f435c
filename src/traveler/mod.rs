//! The traveler: everything a page needs, already worded and rounded.
//!
//! [`document`] is the model a page is typeset from, blank or completed.
//! [`drawing`] holds drawing primitives in sheet millimetres; [`side_view`] and
//! [`end_view`] draw an axle to scale with them. [`lanes`] lays the route out by
//! station.

pub mod document;
pub mod drawing;
pub mod end_view;
pub mod lanes;
pub mod papers;
pub mod side_view;
pub mod sketch;
pub mod stations;
pub mod weld;
pub mod wording;

pub use document::Document;
