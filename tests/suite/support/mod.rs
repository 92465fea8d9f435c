//! Tools of the tests.

pub(crate) mod bench;
pub(crate) mod desk;
pub(crate) mod drawn_page;
pub(crate) mod gate;
pub(crate) mod golden;
pub(crate) mod keys;
pub(crate) mod pdf;
pub(crate) mod picture;
pub(crate) mod printed;
pub(crate) mod program;
pub(crate) mod rust_paths;
pub(crate) mod sample;
pub(crate) mod story;
mod story_values;
pub(crate) mod time_service;
