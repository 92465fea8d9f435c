//! The library of procedures: which operations a kind of work needs.
//!
//! Procedures are data (TOML under `templates/procedures`, or a shop's own
//! folder). Loading checks them whole: unknown states, states nobody provides,
//! texts naming an unknown figure, ids used twice. [`figures`] computes a job's
//! figures for them; [`selection`] picks and merges the operations a job needs.

pub mod catalogue;
pub mod embedded;
pub mod figures;
pub mod file;
mod levels;
pub mod library;
pub mod listed;
mod operation;
pub mod owed;
pub mod selected;
pub mod selection;
mod settled;
mod shows;
pub mod stated;
pub mod text;

pub use library::{Library, Procedure};
pub use operation::Operation;
